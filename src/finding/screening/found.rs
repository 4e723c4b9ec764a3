//! What the maker observes on a found cell.

use crate::data::size::CellSize;
use crate::error::{Check, Error};
use crate::pack::group::named_once;
use crate::part::cell::AC_TO_DC;
use crate::part::charger::CellFamily;
use crate::quantity::{End, Interval};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Most cells that are screened at once.
const CELLS_MAX: usize = 2000;

/// Rust on a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Rust {
    /// None.
    None,
    /// On the surface.
    Stain,
    /// Into the metal, or at the vent.
    Pitted,
}

/// The insulation of a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Wrapper {
    /// Wrapper and top ring are whole.
    Whole,
    /// Wrapper or top ring is torn or gone.
    Torn,
}

/// How warm a cell got while it was charged gently.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum ChargeWarmth {
    /// No warmer than a hand can tell.
    Cool,
    /// Warmer than the cells beside it.
    Warm,
    /// Too hot to hold, or above 45 °C.
    Hot,
}

/// Where a cell comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum FoundIn {
    /// A pack or device that still worked.
    Working,
    /// A pack or device that had failed.
    Failed,
    /// Something crashed, drowned, burnt or called back by its maker.
    Harmed,
    /// Nobody knows.
    Unknown,
}

/// How a resistance was taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum OhmKind {
    /// With 1 kHz alternating current, as data sheets print it.
    #[cfg_attr(feature = "serde", serde(rename = "ac_1khz"))]
    Ac1Khz,
    /// From the voltage drop under direct current.
    Dc,
}

/// A resistance with how it was taken.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FoundOhm {
    /// The resistance, in ohms.
    pub resistance_ohm: Interval,
    /// How it was taken.
    pub kind: OhmKind,
}

/// How long the maker of a cell says it may be kept and used.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum CalendarLife {
    /// It says nothing.
    NotStated,
    /// It states a time.
    Stated {
        /// The time from making the cell, in seconds.
        life_s: f64,
    },
}

/// A found cell. What is left out is named as not judged, and keeps the cell from being used.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FoundCell {
    /// What the maker wrote on it.
    pub name: String,
    /// What it is; unidentified where its own print does not say.
    pub family: CellFamily,
    /// Its size.
    pub size: Option<CellSize>,
    /// Where it comes from.
    pub found_in: Option<FoundIn>,
    /// Voltage as found, before anything was done to it, in volts.
    pub found_v: Option<f64>,
    /// Dented, cut, crushed, bulging, drilled or burnt.
    pub damaged: Option<bool>,
    /// Wet, crusted or leaking.
    pub leaked: Option<bool>,
    /// Rust.
    pub rust: Option<Rust>,
    /// Smells sweet or of solvent.
    pub smells: Option<bool>,
    /// Its insulation.
    pub wrapper: Option<Wrapper>,
    /// For a lithium cell found low: whether charging at a tenth of its capacity lifted it above the voltage for full
    /// charging within 30 minutes.
    pub pre_charge_lifted: Option<bool>,
    /// How warm it got while it was charged.
    pub charge_warmth: Option<ChargeWarmth>,
    /// Printed capacity, in ampere-hours.
    pub rated_ah: Option<f64>,
    /// Measured capacity, in ampere-hours.
    pub capacity_ah: Option<Interval>,
    /// Measured resistance.
    pub resistance: Option<FoundOhm>,
    /// Resistance of a new cell of the model.
    pub new_resistance: Option<FoundOhm>,
    /// Charge lost by itself in a month of 30 days, as a share of the capacity.
    pub self_discharge_ratio: Option<Interval>,
    /// Time since it was made, in seconds.
    pub age_s: Option<Interval>,
    /// How long its maker says it may be kept and used.
    pub calendar_life: Option<CalendarLife>,
}

/// The question which found cells may be used.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Screening {
    /// The cells.
    pub cells: Vec<FoundCell>,
}

impl FoundOhm {
    fn check(&self, check: &mut Check) {
        self.resistance_ohm.note(check, "resistance_ohm", 1e-5, 10.0);
    }

    /// Resistance over that of a new cell, as far apart as both doubts allow.
    pub(super) fn over(&self, new: &Self) -> Interval {
        let at = |ohm: &Self, end: End| match ohm.kind {
            OhmKind::Ac1Khz if self.kind != new.kind => ohm.resistance_ohm.at(end) * AC_TO_DC.at(end),
            _ => ohm.resistance_ohm.at(end),
        };
        let ratio = |end: End| at(self, end) / at(new, end.opposite());
        Interval { low: ratio(End::Low), likely: ratio(End::Likely), high: ratio(End::High) }
    }
}

impl FoundCell {
    /// A cell of which nothing is known but its name.
    #[must_use]
    pub fn unknown(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            family: CellFamily::Unidentified,
            size: None,
            found_in: None,
            found_v: None,
            damaged: None,
            leaked: None,
            rust: None,
            smells: None,
            wrapper: None,
            pre_charge_lifted: None,
            charge_warmth: None,
            rated_ah: None,
            capacity_ah: None,
            resistance: None,
            new_resistance: None,
            self_discharge_ratio: None,
            age_s: None,
            calendar_life: None,
        }
    }

    fn check(&self, check: &mut Check) {
        if let Some(found_v) = self.found_v {
            if self.family == CellFamily::LeadAcid && found_v > 5.0 && found_v <= 50.0 {
                let accepted = "that of one cell: of a 12 V block a sixth";
                check.note(Error::other("found_v", format!("{found_v} V"), accepted));
            } else {
                check.within("found_v", found_v, -5.0, 5.0);
            }
        }
        if let Some(rated_ah) = self.rated_ah {
            check.within("rated_ah", rated_ah, 0.01, 1000.0);
        }
        if let Some(capacity_ah) = self.capacity_ah {
            // A cell that holds nothing is a reading, not a mistake.
            capacity_ah.note(check, "capacity_ah", 0.0, 1000.0);
        }
        for (field, ohm) in [("resistance", &self.resistance), ("new_resistance", &self.new_resistance)] {
            if let Some(ohm) = ohm {
                check.inside(field, |check| ohm.check(check));
            }
        }
        if let Some(ratio) = self.self_discharge_ratio {
            ratio.note(check, "self_discharge_ratio", 0.0, 1.0);
        }
        if let Some(age_s) = self.age_s {
            age_s.note(check, "age_s", 0.0, 2e9);
        }
        if let Some(CalendarLife::Stated { life_s }) = self.calendar_life {
            check.inside("calendar_life", |check| {
                check.inside("stated", |check| check.within("life_s", life_s, 86400.0, 2e9));
            });
        }
    }
}

impl Screening {
    pub(super) fn check(&self, check: &mut Check) {
        if !(1..=CELLS_MAX).contains(&self.cells.len()) {
            check.note(Error::range("cells", self.cells.len() as f64, 1.0, CELLS_MAX as f64));
        }
        named_once(check, self.cells.iter().map(|cell| cell.name.as_str()));
        for (place, cell) in self.cells.iter().enumerate() {
            check.inside("cells", |check| check.inside(place, |check| cell.check(check)));
        }
    }
}
