//! How much current a conductor may carry for good, by how it lies, each limit with its source.
//!
//! ```text
//! limit = printed · bundle · metal · √((t − ambient) / (t_printed − ambient_printed))
//! t = the lower of the table's conductor temperature and the rating of the insulation
//! ```
//!
//! A table in the conductor's own measure (gauge or mm²) goes before the others; a size that a table does not print
//! takes the next thinner one it does, never something between. The lowest of the limits counts. Sources stand in
//! [`crate::data::ampacity`].

use super::conductor::Built;
use crate::data::Source;
use crate::data::ampacity::{
    ALUMINIUM_RATIO, BUNDLE, ENGINE_SPACE, ENGINE_SPACE_DEGC, ENGINE_SPACE_SOURCE, Laid, LimitRow, LimitSize,
    LimitTable, SMALL, SMALL_SOURCE, TABLES,
};
use crate::data::conductor::Metal;
use crate::error::Check;
use crate::quantity::gauge::Gauge;
use crate::quantity::order::sort_by;
use crate::quantity::root::sqrt;
use crate::quantity::said::wordings;
use alloc::string::String;
use alloc::vec::Vec;

/// How a lead lies.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Lies {
    /// Each conductor by itself in free air.
    FreeAir,
    /// A cable of two or three conductors on or at a surface.
    Surface,
    /// In a tube or a closed box.
    Box,
    /// Bundled with others.
    Bundle {
        /// Conductors in the bundle that carry current at the same time, those of this lead included.
        loaded: u32,
    },
}

/// One limit of a lead.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct WireLimit {
    /// Stable code, the key of its wording in every language.
    pub code: &'static str,
    /// Largest continuous current of the lead, all its parallel conductors together, in amperes.
    pub current_a: f64,
    /// What the table prints for one conductor, in amperes; nothing where it follows from physics.
    pub printed_a: Option<f64>,
    /// Conductor temperature at the limit, in degrees Celsius.
    pub conductor_degc: f64,
    /// Under which conditions the printed value holds, in plain English.
    pub condition: &'static str,
    /// Where it comes from.
    pub source: Source,
}

/// What the limits depend on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Place {
    pub(crate) conductor: Built,
    pub(crate) parallel: u32,
    pub(crate) lies: Lies,
    pub(crate) insulation_degc: f64,
    pub(crate) ambient_degc: f64,
}

impl Lies {
    pub(crate) fn check(self, check: &mut Check) {
        match self {
            Self::Bundle { loaded } => {
                check.inside("bundle", |check| check.within("loaded", f64::from(loaded), 1.0, 1000.0));
            }
            Self::FreeAir | Self::Surface | Self::Box => {}
        }
    }
}

impl Place {
    /// Limits of the published tables that fit, the lowest first; empty where none is printed.
    pub(crate) fn limits(&self) -> Vec<WireLimit> {
        let Some(metal_ratio) = metal_ratio(self.conductor) else { return Vec::new() };
        let by_gauge = self.conductor.size.gauge().is_some();
        let all: Vec<_> = self.tables().into_iter().filter_map(|table| self.limit(table, metal_ratio)).collect();
        let own = |(limit, gauge): &(WireLimit, bool)| (*gauge == by_gauge).then(|| limit.clone());
        let mut limits: Vec<_> = all.iter().filter_map(own).collect();
        if limits.is_empty() {
            limits = all.into_iter().map(|(limit, _)| limit).collect();
        }
        sort_by(&mut limits, |a, b| a.current_a.total_cmp(&b.current_a));
        limits
    }

    /// The tables that print this way of lying.
    fn tables(&self) -> Vec<&'static LimitTable> {
        let laid = |wanted: Laid| TABLES.iter().filter(move |table| table.laid == wanted);
        let any = match self.lies {
            Lies::FreeAir => laid(Laid::Alone).collect(),
            Lies::Surface => laid(Laid::Surface).collect(),
            Lies::Box => {
                let tube: Vec<_> = laid(Laid::Tube).filter(|table| self.row(table).is_some()).collect();
                if tube.is_empty() { laid(Laid::LargeBundle).collect() } else { tube }
            }
            Lies::Bundle { loaded } if loaded >= 33 => laid(Laid::LargeBundle).collect(),
            Lies::Bundle { .. } => laid(Laid::Alone).collect::<Vec<_>>(),
        };
        // Of one document's columns, the best that the insulation reaches; the lowest column where it reaches none.
        let better = |table: &LimitTable, other: &LimitTable| {
            let reached = other.conductor_degc <= self.insulation_degc;
            let same = other.source == table.source && other.laid == table.laid;
            let mine = table.conductor_degc <= self.insulation_degc;
            same && if mine {
                reached && other.conductor_degc > table.conductor_degc
            } else {
                reached || other.conductor_degc < table.conductor_degc
            }
        };
        any.iter().copied().filter(|table| !any.iter().any(|other| better(table, other))).collect()
    }

    /// The row of the largest printed size that is no larger than the conductor.
    fn row(&self, table: &LimitTable) -> Option<LimitRow> {
        let area_mm2 = self.conductor.size.area_mm2();
        // A gauge's area by formula and one typed in can differ in the last digit.
        let fits = |row: &&LimitRow| row_area_mm2(row.size) <= area_mm2 * (1.0 + 1e-9);
        table.rows.iter().rfind(fits).copied()
    }

    fn limit(&self, table: &'static LimitTable, metal_ratio: f64) -> Option<(WireLimit, bool)> {
        let row = self.row(table)?;
        let loaded = match self.lies {
            Lies::Bundle { loaded } if table.laid == Laid::Alone => loaded.max(self.parallel),
            _ if table.laid == Laid::LargeBundle => 1,
            _ => self.parallel,
        };
        let bundle_ratio = BUNDLE.iter().rfind(|row| row.loaded <= loaded).map_or(0.0, |row| row.ratio);
        let conductor_degc = table.conductor_degc.min(self.insulation_degc);
        let left_k = (conductor_degc - self.ambient_degc).max(0.0);
        let by_rise = printed_at_most(sqrt(left_k / (table.conductor_degc - table.ambient_degc)));
        let warm_ratio = by_rise.min(self.engine_space_ratio(table));
        let one_a = row.current_a * bundle_ratio * metal_ratio * warm_ratio;
        let limit = WireLimit {
            code: table.code,
            current_a: one_a * f64::from(self.parallel),
            printed_a: Some(row.current_a),
            conductor_degc,
            condition: table.condition,
            source: table.source,
        };
        Some((limit, matches!(row.size, LimitSize::Awg(_))))
    }

    /// What a boat's table prints for an engine space, where it is as warm as in one.
    fn engine_space_ratio(&self, table: &LimitTable) -> f64 {
        if self.ambient_degc < ENGINE_SPACE_DEGC || table.source.title != ENGINE_SPACE_SOURCE.title {
            return f64::INFINITY;
        }
        let printed = ENGINE_SPACE.iter().find(|[insulation_degc, _]| *insulation_degc >= table.conductor_degc);
        printed.map_or(f64::INFINITY, |[_, ratio]| *ratio)
    }
}

/// Largest fuse that the building code puts in front of a small conductor, in amperes; nothing where it names none.
///
/// # Examples
///
/// ```
/// # use cellwright::data::conductor::Metal;
/// # use cellwright::part::wire::{Built, Conductor, limit::small_conductor_fuse_a};
/// let wire = Built { size: Conductor::Awg { gauge: 18.0 }, metal: Metal::Copper, strands: None };
/// assert_eq!(small_conductor_fuse_a(&wire).unwrap().current_a, 7.0);
/// let size = Conductor::Strip { width_m: 8e-3, thickness_m: 2e-4, layers: 1 };
/// assert_eq!(small_conductor_fuse_a(&Built { size, ..wire }), None);
/// ```
#[must_use]
pub fn small_conductor_fuse_a(conductor: &Built) -> Option<WireLimit> {
    if conductor.size.is_strip() {
        return None;
    }
    let area_mm2 = conductor.size.area_mm2() * (1.0 + 1e-9);
    let row = SMALL.iter().rfind(|row| Gauge::new(row.awg).is_some_and(|gauge| gauge.area_mm2() <= area_mm2))?;
    let current_a = match conductor.metal {
        Metal::Copper | Metal::TinnedCopper => Some(row.copper_a),
        Metal::Aluminium | Metal::CopperCladAluminium => row.aluminium_a,
        Metal::Nickel | Metal::NickelPlatedSteel => None,
    }?;
    Some(WireLimit {
        code: SMALL_CONDUCTOR.code,
        current_a,
        printed_a: Some(current_a),
        conductor_degc: 60.0,
        condition: SMALL_CONDUCTOR.words,
        source: SMALL_SOURCE,
    })
}

/// The factor, but never above what tables print of it with two places: 1.154 is printed as 1.15.
fn printed_at_most(ratio: f64) -> f64 {
    ratio.min(libm::round(ratio * 100.0) / 100.0)
}

fn row_area_mm2(size: LimitSize) -> f64 {
    match size {
        LimitSize::Awg(awg) => Gauge::new(awg).map_or(f64::INFINITY, Gauge::area_mm2),
        LimitSize::AreaMm2(area_mm2) => area_mm2,
    }
}

/// Share of copper's limit; nothing for strip and for metals that no table has.
fn metal_ratio(conductor: Built) -> Option<f64> {
    match conductor.metal {
        _ if conductor.size.is_strip() => None,
        Metal::Copper | Metal::TinnedCopper => Some(1.0),
        Metal::Aluminium | Metal::CopperCladAluminium => Some(ALUMINIUM_RATIO),
        Metal::Nickel | Metal::NickelPlatedSteel => None,
    }
}

impl WireLimit {
    /// A limit that follows from the given cooling.
    pub(crate) const fn derived(current_a: f64, conductor_degc: f64) -> Self {
        Self {
            code: GIVEN_COOLING.code,
            current_a,
            printed_a: None,
            conductor_degc,
            condition: GIVEN_COOLING.words,
            source: crate::data::DERIVED,
        }
    }

    /// Both in words.
    #[must_use]
    pub fn words(&self) -> String {
        alloc::format!("{:.1} A ({}; {})", self.current_a, self.condition, self.source.title)
    }
}

wordings! {
    SMALL_CONDUCTOR: "nec_240_4_d", "largest fuse in front of a small conductor in a building";
    GIVEN_COOLING: "given_cooling", "where the insulation reaches its rating, alone, by the given cooling";
}
