//! What a charger must be for a pack, and what the maker has.
//!
//! ```text
//! voltage_v = cells in series · cell limit
//! current_a = least of (each group's limit at the worst temperature, connector, wire, supply)
//! ```
//!
//! Lithium cells: constant current, then constant voltage until the current has faded. Lead-acid: the same, with a
//! voltage that falls as it gets warmer. Nickel-metal hydride: constant current by the clock, or quickly until the
//! voltage drops. A cell that nobody can name gets no figure; a lithium cell found under its give-up voltage is recycled.
//! Source: rows of [`crate::data::charger`] and [`crate::data::chemistry`].

mod need;
mod wish;

pub use need::{
    ChargeMethod, ChargerAnswer, ChargerNeed, CurrentBand, CurrentLimit, NoFigure, PreChargeNeed, RapidCharge,
};
pub use wish::{ChargeGroup, ChargerWish};

use crate::data::charger as rows;
use crate::data::chemistry::{LCO_LIMITS, LFP_LIMITS, Limits};
use crate::error::{Check, Error, within};
use crate::quantity::{Interval, KELVIN_AT_ZERO_DEGC};
use alloc::string::String;

/// What kind of cells a pack is made of, as far as charging is concerned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum CellFamily {
    /// Lithium cobalt, nickel manganese cobalt, nickel cobalt aluminium: 3.6 or 3.7 V.
    LithiumIon,
    /// Lithium iron phosphate: 3.2 V.
    LithiumIronPhosphate,
    /// Lead-acid, valve-regulated: 2 V.
    LeadAcid,
    /// Nickel-metal hydride: 1.2 V.
    NickelMetalHydride,
    /// Nobody knows.
    Unidentified,
}

impl CellFamily {
    /// Limits of the lithium families.
    pub(crate) const fn lithium(self) -> Option<&'static Limits> {
        match self {
            Self::LithiumIon => Some(&LCO_LIMITS),
            Self::LithiumIronPhosphate => Some(&LFP_LIMITS),
            _ => None,
        }
    }

    /// Cell voltage under which a charger holds itself back, in volts; 0 for the families that know no such thing.
    pub(crate) const fn pre_charge_until_v(self) -> f64 {
        match self {
            Self::LithiumIon => rows::LI_ION_PRE_CHARGE.until_v,
            Self::LithiumIronPhosphate => rows::LFP_PRE_CHARGE.until_v,
            _ => 0.0,
        }
    }

    /// Highest cell voltage that a charger in tolerance may reach, in volts, for the lithium families.
    pub(crate) const fn upper_v(self) -> Option<f64> {
        match self {
            Self::LithiumIon => Some(rows::LI_ION_UPPER_V),
            Self::LithiumIronPhosphate => Some(rows::LFP_UPPER_V),
            _ => None,
        }
    }
}

/// How a charger or supply behaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum ChargerKind {
    /// Constant current, then constant voltage, then it ends by itself.
    CcCv,
    /// Holds a current until a clock or a hand ends it.
    CurrentOnly,
    /// Holds a current and ends when the voltage drops, for nickel-metal hydride.
    DropDetecting,
    /// Holds a voltage and nothing else, as a mains adapter for a laptop, a lamp or a router does.
    VoltageSupply,
    /// Nobody knows.
    Unknown,
}

/// A charger or supply the maker has.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Charger {
    /// The maker's name for it.
    pub name: String,
    /// How it behaves.
    pub kind: ChargerKind,
    /// Its voltage with nothing connected, in volts.
    pub voltage_v: Interval,
    /// The current it gives while its voltage is not reached, in amperes.
    pub current_a: Option<Interval>,
    /// Current at which it ends, in amperes.
    pub end_a: Option<f64>,
}

impl Charger {
    pub(crate) fn check(&self, check: &mut Check) {
        self.voltage_v.note(check, "voltage_v", 0.5, 500.0);
        if let Some(current_a) = self.current_a {
            current_a.note(check, "current_a", 0.001, 1000.0);
        }
        if let Some(end_a) = self.end_a {
            check.within("end_a", end_a, 1e-4, 1000.0);
        }
    }
}

/// Current that a resistor sets in the TP4056 charger circuit, in amperes: `1200 V / program_ohm`.
///
/// The circuit's own table lies 3 to 9 percent lower, so the formula is the upper side.
///
/// # Errors
///
/// Names a resistor outside 1.2 kΩ to 100 kΩ: under it the circuit would be asked for more than 1 A.
///
/// # Examples
///
/// ```
/// # use cellwright::part::charger::program_a;
/// assert!((program_a(1200.0)? - 1.0).abs() < 1e-12);
/// assert_eq!(program_a(0.0).unwrap_err().field(), "program_ohm");
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn program_a(program_ohm: f64) -> Result<f64, Error> {
    Ok(rows::TP4056.program_v / within("program_ohm", program_ohm, 1200.0, 1e5)?)
}

/// Resistance of a thermistor by its B value, in ohms: `r25_ohm · exp(b_k · (1/T − 1/298.15 K))`.
///
/// Two points fix B, so this is exact at 25 °C and some percent off elsewhere: a 10 kΩ part with 3435 K reads 27.3 kΩ at
/// 0 °C by its maker's table and 28.7 kΩ by this. Source: the B equation.
///
/// # Errors
///
/// Names a value out of range.
///
/// # Examples
///
/// ```
/// # use cellwright::part::charger::thermistor_ohm;
/// assert!((thermistor_ohm(10e3, 3435.0, 0.0)? / 28.7e3 - 1.0).abs() < 0.002);
/// assert_eq!(thermistor_ohm(10e3, 3435.0, -300.0).unwrap_err().field(), "cell_degc");
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn thermistor_ohm(r25_ohm: f64, b_k: f64, cell_degc: f64) -> Result<f64, Error> {
    let r25_ohm = within("r25_ohm", r25_ohm, 1.0, 1e7)?;
    let b_k = within("b_k", b_k, 500.0, 10000.0)?;
    let kelvin = within("cell_degc", cell_degc, -60.0, 200.0)? + KELVIN_AT_ZERO_DEGC;
    Ok(r25_ohm * libm::exp(b_k * (1.0 / kelvin - 1.0 / (25.0 + KELVIN_AT_ZERO_DEGC))))
}
