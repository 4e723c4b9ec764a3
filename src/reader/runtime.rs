//! How long a pack of equal cells runs one load.
//!
//! The pack is full at the start and stops where its weakest group reaches the lowest voltage of its chemistry. The
//! three times are those of [`crate::run::spread`]: every input at its worse end, ageing and the model's own error with
//! it; the likely values; every input at its better end. The capacity is taken as measured between the two voltages of
//! the chemistry at a fifth of it an hour and 22 °C, the resistance as measured over ten seconds at half charge.

use super::{Entries, Field, ReaderAnswer, ReaderLine, at_entries, field};
use crate::error::Error;
use crate::finding::pack::{BEYOND_MODEL, CELL_CURRENT, USE_TEMPERATURE};
use crate::finding::{Subject, above, under};
use crate::pack::{Group, Pack};
use crate::part::cell::{CapacityTest, Cell, Chemistries, Chemistry, MeterLeads, ResistanceMethod, ResistanceTest};
use crate::part::load::{Draw, Load};
use crate::quantity::{Interval, Unit};
use crate::run::discharge::EndedBy;
use crate::run::pack_run::{PackRun, PackRunAnswer};
use crate::run::spread::RuntimeSpread;
use alloc::string::String;
use alloc::vec;
use alloc::vec::Vec;

/// Most cells in series and in a group.
const MOST: f64 = 20.0;

/// Temperature of the measurements that are not stated, in degrees Celsius. Common practice, no source.
const TEST_DEGC: f64 = 22.0;

const CAPACITY: Field = field("capacity_ah", Unit::AmpereHour, (0.05, 400.0)).within(0.05);
const RESISTANCE: Field = field("resistance_ohm", Unit::Ohm, (1e-4, 10.0)).within(0.2);
const POWER: Field = field("power_w", Unit::Watt, (1e-3, 10_000.0)).within(0.1);
const CURRENT: Field = field("current_a", Unit::Ampere, (1e-3, 1000.0)).within(0.1);
const LEADS: Field = field("lead_ohm", Unit::Ohm, (0.0, 10.0)).usual("0.02..0.1").within(0.3);
const AMBIENT: Field = field("ambient_degc", Unit::DegreeCelsius, (-20.0, 60.0)).usual("10..30");
const CELL_LIMIT: Field = field("discharge_limit_a", Unit::Ampere, (1e-3, 1000.0));

/// Cells and a load, each entry as it was written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ReaderRuntime {
    /// What the cells are made of: `nmc`, `nca`, `lco`, `lfp`, `nvpf`, `nimh` or `lead_acid`.
    pub chemistry: Option<String>,
    /// Groups in series, 1 to 20.
    pub series: Option<String>,
    /// Cells in each group, 1 to 20.
    pub parallel: Option<String>,
    /// Measured capacity of the weakest cell, such as `2.2 Ah ± 3 %`; ± 5 % where no tolerance is written.
    pub capacity_ah: Option<String>,
    /// Measured resistance of a cell, such as `60 mΩ`; ± 20 % where no tolerance is written.
    pub resistance_ohm: Option<String>,
    /// Power of the load, the same at every voltage, such as `9 W`; ± 10 % where no tolerance is written.
    pub power_w: Option<String>,
    /// Current of the load, the same at every voltage, in its place.
    pub current_a: Option<String>,
    /// Resistance of leads, switch, fuse and board together; 20 mΩ to 100 mΩ where left out.
    pub lead_ohm: Option<String>,
    /// Temperature around; 10 °C to 30 °C where left out.
    pub ambient_degc: Option<String>,
    /// Largest discharge current of a cell by its data sheet; a usual multiple of the capacity where left out.
    pub discharge_limit_a: Option<String>,
}

impl ReaderRuntime {
    /// How long it runs, and whether its cells may give that current.
    ///
    /// # Errors
    ///
    /// Every entry that cannot be used, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::reader::runtime::ReaderRuntime;
    /// let text = |words: &str| Some(words.to_owned());
    /// let pump = ReaderRuntime {
    ///     chemistry: text("nmc"), series: text("3"), parallel: text("2"), capacity_ah: text("2,05 Ah"),
    ///     resistance_ohm: text("70 mΩ"), power_w: text("9 W"), ..ReaderRuntime::default()
    /// };
    /// let answer = pump.answer()?;
    /// assert_eq!(answer.lines[0].key, "at_least");
    /// assert!(answer.lines[0].value.unwrap().low < answer.lines[1].value.unwrap().low);
    /// let none = ReaderRuntime { capacity_ah: text("none"), ..pump }.answer().unwrap_err();
    /// assert_eq!(none[0].path(), "/capacity_ah");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<ReaderAnswer, Vec<Error>> {
        let mut entries = Entries::default();
        let chemistry = entries.chemistry(self.chemistry.as_ref());
        let series = entries.count("series", self.series.as_ref(), MOST);
        let parallel = entries.count("parallel", self.parallel.as_ref(), MOST);
        let capacity_ah = entries.interval(CAPACITY, self.capacity_ah.as_ref());
        let resistance_ohm = entries.interval(RESISTANCE, self.resistance_ohm.as_ref());
        let draw = self.draw(&mut entries);
        let lead_ohm = entries.interval(LEADS, self.lead_ohm.as_ref());
        let ambient_degc = entries.interval(AMBIENT, self.ambient_degc.as_ref());
        let stated_a = entries.optional(CELL_LIMIT, self.discharge_limit_a.as_deref()).map(|limit| limit.low);
        let read = entries.finish()?;
        let (Some(chemistry), Some(draw)) = (chemistry, draw) else {
            return Err(vec![Error::missing("chemistry", "a chemistry").placed("/chemistry")]);
        };
        let chemistries = Chemistries::new(&[], [&chemistry].into_iter()).map_err(at_entries)?;
        let limits = chemistries.limits(&chemistry).map_err(|error| at_entries(vec![error]))?;
        let cell = cell(chemistry, capacity_ah, resistance_ohm, [limits.charge_v, limits.floor_v]);
        let groups = vec![Group { cells: vec![cell; parallel] }; series];
        let link_ohm = Interval { low: 0.0, likely: 0.002, high: 0.005 };
        let run = PackRun {
            own_chemistries: Vec::new(),
            pack: Pack { groups, link_ohm, full_v: limits.charge_v, floor_v: limits.floor_v },
            loads: vec![Load::new("load", draw)],
            lead_ohm,
            ambient_degc,
            cut_off_v: None,
            trip_a: None,
            heat_path: None,
            time_s: None,
        };
        let corners = run.answer().map_err(at_entries)?;
        let spread = RuntimeSpread::new(run, 1).outline().map_err(at_entries)?;
        let lines = vec![
            ReaderLine::at_least("at_least", spread.at_least_s),
            ReaderLine::at_least("likely", spread.likely_s),
            ReaderLine::at_most("at_most", spread.at_most_s),
            ReaderLine::code("ended_by", ended(corners.likely.ended_by)),
            ReaderLine::span("load_v", ends(&corners), Unit::Volt),
            ReaderLine::number("pack_peak_a", most(&corners, |run| run.peak_a), Unit::Ampere),
            ReaderLine::number("cell_peak_a", cell_peak_a(&corners), Unit::Ampere),
        ];
        let mut findings = Vec::new();
        let limit_a = stated_a.unwrap_or(limits.discharge_c * capacity_ah.low);
        let each = Subject::new("", "each cell");
        above(&mut findings, &CELL_CURRENT, &each, cell_peak_a(&corners), limit_a);
        above(&mut findings, &USE_TEMPERATURE, &each, ambient_degc.high, limits.discharge_high_degc);
        under(&mut findings, &USE_TEMPERATURE, &each, ambient_degc.low, limits.discharge_low_degc);
        let trusted =
            [&corners.least, &corners.likely, &corners.most].into_iter().filter_map(|run| run.trusted_until_s);
        if let Some(trusted_s) = trusted.reduce(f64::min) {
            findings.push(BEYOND_MODEL.broken(&Subject::whole(), Some(trusted_s), None));
        }
        Ok(ReaderAnswer::new(lines, read).judged(findings))
    }

    /// Power or current, never both.
    fn draw(&self, entries: &mut Entries) -> Option<Draw> {
        match (&self.power_w, &self.current_a) {
            (Some(power), None) => entries.optional(POWER, Some(power)).map(|power_w| Draw::Power { power_w }),
            (None, Some(current)) => {
                entries.optional(CURRENT, Some(current)).map(|current_a| Draw::Current { current_a })
            }
            (None, None) => {
                entries.wrong(Error::missing("power_w", "the power of the load, or its current"), "power_w");
                None
            }
            (Some(_), Some(_)) => {
                let error = Error::other("current_a", "a current beside power_w", "one of the two");
                entries.wrong(error, "current_a");
                None
            }
        }
    }
}

fn cell(chemistry: Chemistry, capacity_ah: Interval, resistance_ohm: Interval, [full_v, floor_v]: [f64; 2]) -> Cell {
    let capacity = CapacityTest {
        capacity_ah,
        start_v: full_v,
        end_v: floor_v,
        current_a: 0.2 * capacity_ah.likely,
        cell_degc: TEST_DEGC,
    };
    let resistance = ResistanceTest {
        resistance_ohm,
        method: ResistanceMethod::Dc { after_s: 10.0, current_a: 0.5 * capacity_ah.likely },
        leads: MeterLeads::FourWire,
        cell_degc: TEST_DEGC,
        soc_ratio: 0.5,
    };
    Cell::new("cell", chemistry, capacity, resistance)
}

fn most(corners: &PackRunAnswer, of: impl Fn(&crate::run::discharge::Discharge) -> f64) -> f64 {
    [&corners.least, &corners.likely, &corners.most].into_iter().map(of).fold(0.0, f64::max)
}

/// Highest current of any cell in any corner, in amperes.
fn cell_peak_a(corners: &PackRunAnswer) -> f64 {
    most(corners, |run| run.groups.iter().flat_map(|group| &group.cells).map(|cell| cell.peak_a).fold(0.0, f64::max))
}

/// Voltage at the load: lowest at the end, at half the likely time, highest at the start.
fn ends(corners: &PackRunAnswer) -> Interval {
    let PackRunAnswer { least, likely, most, .. } = corners;
    let low = least.end_load_v.min(likely.end_load_v).min(most.end_load_v);
    let high = least.start_load_v.max(likely.start_load_v).max(most.start_load_v);
    Interval { low, likely: likely.half_load_v.clamp(low, high.max(low)), high: high.max(low) }
}

const fn ended(by: EndedBy) -> &'static str {
    match by {
        EndedBy::GroupFloor => "group_floor",
        EndedBy::ProtectionCutOff => "protection_cut_off",
        EndedBy::OverCurrent => "over_current",
        EndedBy::LoadDropOut => "load_drop_out",
        EndedBy::NoOperatingPoint => "no_operating_point",
        EndedBy::TimeLimit => "time_limit",
        EndedBy::NotFollowed => "not_followed",
    }
}
