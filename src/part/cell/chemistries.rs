//! A chemistry is data: built-in rows and the maker's own tables, looked up alike.

use super::curves::{Curves, PulseTable};
use super::fitted;
use crate::data::chemistry as rows;
use crate::data::chemistry::Limits;
use crate::data::other_cells as others;
use crate::data::{Seen, Source};
use crate::error::{Check, Error};
use alloc::boxed::Box;
use alloc::string::String;
use alloc::sync::Arc;
use alloc::vec::Vec;
use once_cell::race::OnceBox;

/// Highest current that runs of the lead-acid cell were held against, in multiples of the 20-hour capacity.
const LEAD_MOST_C: f64 = 0.6;

/// What a cell is made of.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum Chemistry {
    /// Lithium cobalt oxide.
    Lco,
    /// Lithium nickel manganese cobalt oxide.
    Nmc,
    /// Lithium nickel cobalt aluminium oxide.
    Nca,
    /// Lithium iron phosphate.
    Lfp,
    /// Sodium vanadium fluorophosphate, the 3.7 V kind of sodium-ion. The layered-oxide kind (3.0 to 3.1 V) is another.
    Nvpf,
    /// Nickel-metal hydride.
    Nimh,
    /// Valve-regulated lead-acid, a 2 V cell.
    LeadAcid,
    /// Nobody knows. Only a plan and a run work with it, over all kinds it may be.
    Unidentified,
    /// A table of the maker's own, by its name.
    Own(String),
}

/// One point of a rest-voltage table.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RestPoint {
    /// State of charge.
    pub soc_ratio: f64,
    /// Voltage after a long rest, in volts.
    pub rest_v: f64,
}

/// A chemistry of the maker's own.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OwnChemistry {
    /// The name that cells refer to.
    pub name: String,
    /// Rest voltage from empty (0) to full (1), rising in both.
    pub rest_points: Vec<RestPoint>,
    /// Pulse resistances at none, one or two temperatures.
    pub pulses: Vec<PulseTable>,
    /// Nominal voltage of a cell, in volts.
    pub nominal_v: f64,
    /// Highest charge voltage of a cell, in volts.
    pub charge_v: f64,
    /// Lowest voltage of a cell under load, in volts.
    pub floor_v: f64,
    /// Whether it is a lithium chemistry, for the rules that hold for those. Others are full at the end of their rest
    /// points, however high they are charged.
    pub lithium: bool,
}

/// Every chemistry of a plan, with its curves.
#[derive(Clone, Debug, Default)]
pub struct Chemistries {
    known: Vec<Known>,
}

#[derive(Clone, Debug)]
struct Known {
    chemistry: Chemistry,
    curves: Arc<Curves>,
    limits: Limits,
    lithium: bool,
}

impl Chemistries {
    /// Reads the maker's own tables and prepares the built-in ones that `used` names.
    ///
    /// # Errors
    ///
    /// Every wrong value of an own table, and every use of a name that no table has.
    pub fn new<'a>(own: &[OwnChemistry], used: impl Iterator<Item = &'a Chemistry>) -> Result<Self, Vec<Error>> {
        let mut check = Check::new();
        for (i, table) in own.iter().enumerate() {
            check.inside("own_chemistries", |check| check.inside(i, |check| table.check(check)));
        }
        check.finish()?;
        let mut all = Self { known: own.iter().map(Known::own).collect() };
        for chemistry in used {
            if all.find(chemistry).is_none() {
                let row = Known::built_in(chemistry).ok_or_else(|| alloc::vec![unknown(chemistry)])?;
                all.known.push(row);
            }
        }
        Ok(all)
    }

    /// The same chemistries worn, as [`Curves::worn`] tells it.
    #[must_use]
    pub fn worn(&self, lost_ratio: f64, toward: f64) -> Self {
        let worn = |known: &Known| Known { curves: Arc::new(known.curves.worn(lost_ratio, toward)), ..known.clone() };
        Self { known: self.known.iter().map(worn).collect() }
    }

    fn find(&self, chemistry: &Chemistry) -> Option<&Known> {
        self.known.iter().find(|known| known.chemistry == *chemistry)
    }

    fn get(&self, chemistry: &Chemistry) -> Result<&Known, Error> {
        self.find(chemistry).ok_or_else(|| unknown(chemistry))
    }

    /// Curves of a chemistry.
    ///
    /// # Errors
    ///
    /// Names a chemistry that is not here.
    pub fn curves(&self, chemistry: &Chemistry) -> Result<Arc<Curves>, Error> {
        self.get(chemistry).map(|known| Arc::clone(&known.curves))
    }

    /// Limits of a chemistry, a cell.
    ///
    /// # Errors
    ///
    /// Names a chemistry that is not here.
    pub fn limits(&self, chemistry: &Chemistry) -> Result<Limits, Error> {
        self.get(chemistry).map(|known| known.limits)
    }

    /// Whether a chemistry is a lithium one; an unknown one counts as such.
    #[must_use]
    pub fn is_lithium(&self, chemistry: &Chemistry) -> bool {
        self.find(chemistry).is_none_or(|known| known.lithium)
    }
}

/// Curves that are derived once: that takes as long as hundreds of look-ups.
type Slot = OnceBox<Arc<Curves>>;

static LCO: Slot = Slot::new();
static NMC: Slot = Slot::new();
static NCA: Slot = Slot::new();
static LFP: Slot = Slot::new();
static NVPF: Slot = Slot::new();

fn once(slot: &'static Slot, derive: impl FnOnce() -> Curves) -> Arc<Curves> {
    Arc::clone(slot.get_or_init(|| Box::new(Arc::new(derive()))))
}

fn unknown(chemistry: &Chemistry) -> Error {
    let given = match chemistry {
        Chemistry::Own(name) => alloc::format!("\"{name}\""),
        Chemistry::Unidentified => "unidentified".into(),
        _ => alloc::format!("{chemistry:?}"),
    };
    let accepted = "lco, nmc, nca, lfp, nvpf, nimh, lead_acid, or the name of one of own_chemistries";
    Error::other("chemistry", given, accepted)
}

impl Known {
    fn built_in(chemistry: &Chemistry) -> Option<Self> {
        let (slot, cell, lags, limits) = match chemistry {
            Chemistry::Lco => (&LCO, &rows::LCO, &fitted::LCO, rows::LCO_LIMITS),
            Chemistry::Nmc => (&NMC, &rows::NMC, &fitted::NMC, rows::NMC_LIMITS),
            Chemistry::Nca => (&NCA, &rows::NCA, &fitted::NCA, rows::NCA_LIMITS),
            Chemistry::Lfp => (&LFP, &rows::LFP, &fitted::LFP, rows::LFP_LIMITS),
            _ => return Self::other(chemistry),
        };
        let curves = once(slot, || Curves::kept(cell, lags));
        Some(Self { chemistry: chemistry.clone(), curves, limits, lithium: true })
    }

    /// The built-in chemistries beside lithium-ion. What holds for lithium cells is held against sodium-ion too.
    fn other(chemistry: &Chemistry) -> Option<Self> {
        let (curves, limits, lithium) = match chemistry {
            Chemistry::Nvpf => {
                let curves = once(&NVPF, || Curves::kept_warm(&others::NVPF, &fitted::NVPF));
                (curves, others::NVPF_LIMITS, true)
            }
            Chemistry::Nimh => (Arc::new(Curves::plain(&others::NICKEL_CELL, None)), others::NICKEL_LIMITS, false),
            Chemistry::LeadAcid => {
                let curves = Curves::plain(&others::LEAD_ACID_CELL, Some(LEAD_MOST_C));
                (Arc::new(curves), others::LEAD_ACID_LIMITS, false)
            }
            _ => return None,
        };
        Some(Self { chemistry: chemistry.clone(), curves, limits, lithium })
    }

    fn own(table: &OwnChemistry) -> Self {
        let points: Vec<f64> = (0..=100).map(|i| RestPoint::read(&table.rest_points, f64::from(i) / 100.0)).collect();
        let source = Source { title: "the maker's own table", edition: "", place: "", seen: Seen::Original };
        let limits = Limits {
            nominal_v: table.nominal_v,
            charge_v: table.charge_v,
            floor_v: table.floor_v,
            voltage_source: source,
            ..rows::NMC_LIMITS
        };
        Self {
            chemistry: Chemistry::Own(table.name.clone()),
            curves: Arc::new(Curves::derive(&points, &table.pulses).charged_above_rest(!table.lithium)),
            limits,
            lithium: table.lithium,
        }
    }
}

impl RestPoint {
    /// Rest voltage of a table at a state of charge, straight between its points, in volts.
    pub(crate) fn read(points: &[Self], soc_ratio: f64) -> f64 {
        let mut before: Option<&Self> = None;
        for point in points {
            if point.soc_ratio >= soc_ratio {
                return match before {
                    Some(low) if point.soc_ratio > low.soc_ratio => {
                        let share = (soc_ratio - low.soc_ratio) / (point.soc_ratio - low.soc_ratio);
                        low.rest_v + (point.rest_v - low.rest_v) * share
                    }
                    _ => point.rest_v,
                };
            }
            before = Some(point);
        }
        before.map_or(0.0, |point| point.rest_v)
    }
}

/// Notes everything that is wrong with a rest table.
pub(crate) fn check_rest_points(points: &[RestPoint], check: &mut Check) {
    for (i, point) in points.iter().enumerate() {
        check.inside("rest_points", |check| {
            check.inside(i, |check| {
                check.within("soc_ratio", point.soc_ratio, 0.0, 1.0);
                check.within("rest_v", point.rest_v, 0.3, 5.0);
            });
        });
    }
    let rising = points.windows(2).all(|pair| match pair {
        [low, high] => low.soc_ratio < high.soc_ratio && low.rest_v < high.rest_v,
        _ => true,
    });
    let ends = (points.first(), points.last());
    let whole = matches!(ends, (Some(low), Some(high)) if low.soc_ratio == 0.0 && high.soc_ratio == 1.0);
    if !rising || !whole || points.len() > 1001 {
        let given = alloc::format!("{} points", points.len());
        check.note(Error::other("rest_points", given, "2 to 1001 points from soc_ratio 0 to 1, rising in both"));
    }
}

impl OwnChemistry {
    /// Notes everything that is wrong with the table.
    pub(crate) fn check(&self, check: &mut Check) {
        check.within("nominal_v", self.nominal_v, 0.5, 5.0);
        check.within("charge_v", self.charge_v, 0.5, 5.0);
        check.within("floor_v", self.floor_v, 0.3, 5.0);
        check_rest_points(&self.rest_points, check);
        if self.pulses.len() > 2 {
            let given = alloc::format!("{} tables", self.pulses.len());
            check.note(Error::other("pulses", given, "at most two temperatures"));
        }
        for (i, table) in self.pulses.iter().enumerate() {
            check.inside("pulses", |check| check.inside(i, |check| table.check(check)));
        }
    }
}

impl PulseTable {
    pub(crate) fn check(&self, check: &mut Check) {
        check.within("capacity_ah", self.capacity_ah, 0.01, 1000.0);
        check.within("current_a", self.current_a, 0.001, 1000.0);
        check.within("cell_degc", self.cell_degc, -20.0, 60.0);
        let rising = |values: &[f64]| values.windows(2).all(|pair| matches!(pair, [low, high] if low < high));
        if !rising(&self.soc_ratio)
            || !self.soc_ratio.iter().all(|soc| (0.0..=1.0).contains(soc))
            || self.soc_ratio.is_empty()
        {
            check.note(Error::other("soc_ratio", "this list", "rising values between 0 and 1"));
        }
        let first_s = self.after_s.first().copied().unwrap_or(f64::NAN);
        if !rising(&self.after_s)
            || !(0.001..=1.0).contains(&first_s)
            || self.after_s.last().is_none_or(|last| *last > 3600.0)
        {
            check.note(Error::other(
                "after_s",
                "this list",
                "rising times up to 3600 s, the first between 0.001 and 1 s",
            ));
        }
        let shaped = self.resistance_ohm.len() == self.soc_ratio.len()
            && self.resistance_ohm.iter().all(|row| row.len() == self.after_s.len());
        let sound = self.resistance_ohm.iter().flatten().all(|ohm| (0.0..=100.0).contains(ohm))
            && self.resistance_ohm.iter().all(|row| row.first().is_some_and(|ohm| *ohm > 0.0));
        if !shaped || !sound {
            let accepted = "a row for each soc_ratio, a column for each after_s, 0 to 100 Ω, the first column above 0";
            check.note(Error::other("resistance_ohm", "this table", accepted));
        }
    }
}
