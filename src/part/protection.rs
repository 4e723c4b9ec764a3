//! What a protection board must do for a pack, and what a given board does.
//!
//! ```text
//! trip_a = over_current_v / path_ohm          least: low voltage over high resistance; most: the other way round
//! path_w = load_a² · path_ohm
//! balance_s = drift_per_cycle_ratio · capacity_ah / balance_a
//! ```
//!
//! The board measures the voltage over its own two transistors, so its trip current is as uncertain as their
//! resistance, which grows by half when they are hot. It is a guard against a failed charger, a flat cell and a short; a
//! fuse stays needed, because a transistor that fails is a closed switch.
//! Source: Ohm's law; thresholds from [`crate::data::protection`].

mod need;

pub use need::{BoardAnswer, CutsFirst, FuseGates, Happens, ProtectionAnswer, ProtectionNeed, ProtectionWish};

use crate::data::chemistry::{LCO_LIMITS, LFP_LIMITS, Limits};
use crate::data::protection::{BQ29700, DW01A, ProtectorRow, R5405, S8261ABM};
use crate::data::{COMMON_PRACTICE, Source};
use crate::error::Check;
use crate::quantity::Interval;
use alloc::string::String;

/// The lithium chemistry that a board is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum LithiumKind {
    /// Lithium cobalt, nickel manganese cobalt, nickel cobalt aluminium: 3.6 or 3.7 V.
    LithiumIon,
    /// Lithium iron phosphate: 3.2 V.
    LithiumIronPhosphate,
}

/// A protection circuit whose thresholds are known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Protector {
    /// The DW01A circuit.
    #[cfg_attr(feature = "serde", serde(rename = "dw01a"))]
    Dw01a,
    /// The BQ29700 circuit.
    #[cfg_attr(feature = "serde", serde(rename = "bq29700"))]
    Bq29700,
    /// The S-8261ABM circuit.
    #[cfg_attr(feature = "serde", serde(rename = "s8261abm"))]
    S8261abm,
    /// The R5405 circuit.
    #[cfg_attr(feature = "serde", serde(rename = "r5405"))]
    R5405,
}

/// Thresholds of a board.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Thresholds {
    /// Those of a known circuit.
    Circuit(Protector),
    /// The maker's own figures, from the board's data sheet.
    Own {
        /// Group voltage at which charging is cut, in volts.
        over_charge_v: Option<Interval>,
        /// Group voltage at which discharging is cut, in volts.
        over_discharge_v: Option<Interval>,
    },
}

/// How a board sees too much current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Trip {
    /// The board's data sheet gives the current.
    Current {
        /// The current at which it cuts, in amperes.
        trip_a: Interval,
    },
    /// It cuts at a voltage over its transistors or shunt.
    Voltage {
        /// That voltage, in volts.
        over_current_v: Interval,
        /// Resistance it is measured over, both transistors together, in ohms.
        path_ohm: Interval,
    },
}

/// A protection board.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ProtectionBoard {
    /// The maker's name for it.
    pub name: String,
    /// Groups it is made for.
    pub series: Option<u32>,
    /// Its voltages.
    pub thresholds: Thresholds,
    /// Current it carries for good, in amperes.
    pub continuous_a: Option<f64>,
    /// How it sees too much current.
    pub over_current: Option<Trip>,
    /// Time a current must last to trip it, in seconds.
    pub over_current_s: Option<Interval>,
    /// How it sees a short circuit.
    pub short_circuit: Option<Trip>,
    /// Whether it evens the groups out.
    pub balances: Option<bool>,
    /// Current it takes out of a full group for that, in amperes.
    pub balance_a: Option<f64>,
    /// Whether it has a temperature sensor that stops charging in the cold and in the heat.
    pub temperature_sensor: Option<bool>,
}

impl LithiumKind {
    /// Limits of the chemistry.
    pub(crate) const fn limits(self) -> &'static Limits {
        match self {
            Self::LithiumIon => &LCO_LIMITS,
            Self::LithiumIronPhosphate => &LFP_LIMITS,
        }
    }
}

impl Protector {
    /// Row of the circuit.
    #[must_use]
    pub const fn row(self) -> &'static ProtectorRow {
        match self {
            Self::Dw01a => &DW01A,
            Self::Bq29700 => &BQ29700,
            Self::S8261abm => &S8261ABM,
            Self::R5405 => &R5405,
        }
    }
}

const fn band([low, likely, high]: [f64; 3]) -> Interval {
    Interval { low, likely, high }
}

impl Thresholds {
    /// Group voltages at which charging and discharging are cut.
    pub(crate) const fn voltages(&self) -> (Option<Interval>, Option<Interval>) {
        match self {
            Self::Circuit(circuit) => {
                (Some(band(circuit.row().over_charge_v)), Some(band(circuit.row().over_discharge_v)))
            }
            Self::Own { over_charge_v, over_discharge_v } => (*over_charge_v, *over_discharge_v),
        }
    }

    const fn source(&self) -> Source {
        match self {
            Self::Circuit(circuit) => circuit.row().source,
            Self::Own { .. } => OWN_SHEET,
        }
    }
}

const OWN_SHEET: Source = Source { title: "the board's data sheet, as entered", ..COMMON_PRACTICE };

impl Trip {
    fn check(&self, check: &mut Check) {
        match self {
            Self::Current { trip_a } => check.inside("current", |check| trip_a.note(check, "trip_a", 0.01, 10000.0)),
            Self::Voltage { over_current_v, path_ohm } => check.inside("voltage", |check| {
                over_current_v.note(check, "over_current_v", 0.001, 10.0);
                path_ohm.note(check, "path_ohm", 1e-5, 10.0);
            }),
        }
    }

    /// Current at which it cuts, in amperes.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::Interval;
    /// # use cellwright::part::protection::Trip;
    /// let trip = Trip::Voltage {
    ///     over_current_v: Interval { low: 0.12, likely: 0.15, high: 0.18 },
    ///     path_ohm: Interval { low: 0.03, likely: 0.03, high: 0.045 },
    /// };
    /// assert!((trip.trip_a().likely - 5.0).abs() < 1e-12);
    /// assert!(trip.trip_a().low < 2.7 && trip.trip_a().high > 5.9);
    /// ```
    #[must_use]
    pub fn trip_a(&self) -> Interval {
        match self {
            Self::Current { trip_a } => *trip_a,
            Self::Voltage { over_current_v: v, path_ohm: ohm } => {
                Interval { low: v.low / ohm.high, likely: v.likely / ohm.likely, high: v.high / ohm.low }
            }
        }
    }

    const fn path_ohm(&self) -> Option<Interval> {
        match self {
            Self::Current { .. } => None,
            Self::Voltage { path_ohm, .. } => Some(*path_ohm),
        }
    }
}

impl ProtectionBoard {
    pub(crate) fn check(&self, check: &mut Check) {
        if let Some(series) = self.series {
            check.within("series", f64::from(series), 1.0, 100.0);
        }
        if let Thresholds::Own { over_charge_v, over_discharge_v } = &self.thresholds {
            check.inside("thresholds", |check| {
                check.inside("own", |check| {
                    for (field, volts, low, high) in
                        [("over_charge_v", over_charge_v, 0.5, 6.0), ("over_discharge_v", over_discharge_v, 0.1, 5.0)]
                    {
                        if let Some(volts) = volts {
                            volts.note(check, field, low, high);
                        }
                    }
                });
            });
        }
        if let Some(continuous_a) = self.continuous_a {
            check.within("continuous_a", continuous_a, 0.01, 1000.0);
        }
        if let Some(over_current_s) = self.over_current_s {
            over_current_s.note(check, "over_current_s", 0.0, 60.0);
        }
        for (field, trip) in [("over_current", &self.over_current), ("short_circuit", &self.short_circuit)] {
            if let Some(trip) = trip {
                check.inside(field, |check| trip.check(check));
            }
        }
        if let Some(balance_a) = self.balance_a {
            check.within("balance_a", balance_a, 1e-4, 100.0);
        }
    }
}
