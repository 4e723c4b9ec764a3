//! What a plan holds beside cells, loads and leads.

use crate::error::{Check, Error};
use crate::part::timing::Timer;
use crate::quantity::Interval;
use alloc::vec::Vec;

/// Where cells come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Origin {
    /// Taken out of other packs.
    Salvaged,
    /// Bought new, with a data sheet.
    New,
}

/// Whether something watches each group.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Protection {
    /// Nothing does.
    None,
    /// A board that is connected to every group.
    Board(Board),
}

/// A protection board.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Board {
    /// Group voltage at which it ends charging, in volts.
    pub over_voltage_v: Option<f64>,
    /// Group voltage at which it ends discharging, in volts.
    pub cut_off_v: Option<f64>,
    /// Current it carries without end, in amperes.
    pub continuous_a: Option<f64>,
    /// Current at which it trips, in amperes.
    pub trip_a: Option<Interval>,
    /// Whether it balances the groups.
    pub balances: Option<bool>,
    /// Resistance in the current's way, in ohms.
    pub resistance_ohm: Interval,
}

/// The speed control.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Control {
    /// The timer that sets the pace.
    pub timer: Timer,
    /// Knob position the plan's runtime is worked out for, 0 to 1.
    pub wiper_ratio: f64,
    /// Knob positions to list, 0 to 1.
    pub positions: Vec<f64>,
    /// Resistance of the switch while it conducts, hot, in ohms.
    pub switch_ohm: Interval,
}

/// Whether there is a fuse.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum FuseChoice {
    /// There is none.
    None,
    /// There is one.
    Fitted(Fuse),
}

/// A fuse as it is printed on.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Fuse {
    /// Rated current, in amperes.
    pub rating_a: f64,
    /// Largest current it can break, in amperes.
    pub breaking_a: Option<f64>,
    /// Resistance in working order, holder included, in ohms.
    pub resistance_ohm: Interval,
    /// Whether it sits at the pack's positive end, before anything else.
    pub first_at_positive: Option<bool>,
}

/// How the pack is charged.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ChargingSetup {
    /// Highest voltage the charger or supply gives, in volts.
    pub supply_v: f64,
    /// Highest current it gives, in amperes.
    pub supply_a: f64,
    /// Whether it limits the current, then the voltage, and ends by itself; a plain supply does not.
    pub is_charger: bool,
    /// Whether the jack goes to the protection board's charge terminals.
    pub through_board: Option<bool>,
    /// Temperature of the cells while charging, in degrees Celsius.
    pub cell_degc: Option<Interval>,
}

impl Protection {
    pub(crate) fn check(&self, check: &mut Check) {
        if let Self::Board(board) = self {
            check.inside("board", |check| board.check(check));
        }
    }

    /// The board, where there is one.
    #[must_use]
    pub fn board(&self) -> Option<&Board> {
        match self {
            Self::None => None,
            Self::Board(board) => Some(board),
        }
    }
}

impl Board {
    fn check(&self, check: &mut Check) {
        for (field, value, low, high) in [
            ("over_voltage_v", self.over_voltage_v, 0.5, 5.0),
            ("cut_off_v", self.cut_off_v, 0.3, 5.0),
            ("continuous_a", self.continuous_a, 0.01, 1000.0),
        ] {
            if let Some(value) = value {
                check.within(field, value, low, high);
            }
        }
        if let Some(trip_a) = self.trip_a {
            trip_a.note(check, "trip_a", 0.01, 10000.0);
        }
        self.resistance_ohm.note(check, "resistance_ohm", 0.0, 10.0);
    }
}

impl Control {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("timer", |check| self.timer.check(check));
        check.within("wiper_ratio", self.wiper_ratio, 0.0, 1.0);
        if self.positions.len() > 25 {
            check.note(Error::range("positions", self.positions.len() as f64, 0.0, 25.0));
        }
        if self.positions.iter().any(|position| !(0.0..=1.0).contains(position)) {
            check.note(Error::other("positions", "this list", "knob positions between 0 and 1"));
        }
        self.switch_ohm.note(check, "switch_ohm", 0.0, 10.0);
    }
}

impl FuseChoice {
    pub(crate) fn check(&self, check: &mut Check) {
        if let Self::Fitted(fuse) = self {
            check.inside("fitted", |check| {
                check.within("rating_a", fuse.rating_a, 0.01, 1000.0);
                if let Some(breaking_a) = fuse.breaking_a {
                    check.within("breaking_a", breaking_a, 1.0, 1e6);
                }
                fuse.resistance_ohm.note(check, "resistance_ohm", 0.0, 100.0);
            });
        }
    }

    /// The fuse, where there is one.
    #[must_use]
    pub fn fitted(&self) -> Option<&Fuse> {
        match self {
            Self::None => None,
            Self::Fitted(fuse) => Some(fuse),
        }
    }
}

impl ChargingSetup {
    pub(crate) fn check(&self, check: &mut Check) {
        check.within("supply_v", self.supply_v, 0.5, 100.0);
        check.within("supply_a", self.supply_a, 0.001, 1000.0);
        if let Some(cell_degc) = self.cell_degc {
            cell_degc.note(check, "cell_degc", -40.0, 80.0);
        }
    }
}
