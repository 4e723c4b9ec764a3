//! What a pack's charger must be.

use crate::data::Source;
use alloc::boxed::Box;
use alloc::vec::Vec;

/// What sets the charge current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum CurrentLimit {
    /// The weakest group's data sheet.
    CellSheet,
    /// The weakest group's measured capacity, at the rate its family stands at this temperature.
    CellCapacity,
    /// The jack or connector.
    Connector,
    /// The thinnest wire.
    Wire,
    /// The supply.
    Supply,
}

/// How the charger works.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum ChargeMethod {
    /// Constant current up to the voltage, then that voltage until the current has faded, then off.
    CurrentThenVoltage,
    /// The same, with the voltage moved by the temperature.
    CurrentThenCompensatedVoltage,
    /// Constant current for a set time.
    CurrentByClock,
}

/// What the charger may give in a band of cell temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CurrentBand {
    /// Lowest cell temperature, in degrees Celsius.
    pub from_degc: f64,
    /// Highest cell temperature, in degrees Celsius.
    pub to_degc: f64,
    /// Highest current, in amperes.
    pub current_a: f64,
    /// Where it comes from.
    pub source: Source,
}

/// What a charger circuit does with a lithium cell that is low but not given up.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PreChargeNeed {
    /// Cell voltage under which the charger holds itself back, in volts.
    pub until_v: f64,
    /// Its current there, in amperes.
    pub current_a: f64,
    /// Time after which a cell that is still under `until_v` is rejected, in seconds.
    pub longest_s: f64,
    /// Whether a group was found low enough for it.
    pub applies: bool,
    /// Where it comes from.
    pub source: Source,
}

/// A quick charge that only a charger made for it may do.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RapidCharge {
    /// Current, in amperes.
    pub current_a: f64,
    /// Drop of the pack voltage from its highest that ends the charge, in volts.
    pub drop_v: f64,
    /// Time that ends it in any case, in seconds.
    pub longest_s: f64,
    /// Highest cell temperature, in degrees Celsius.
    pub to_degc: f64,
}

/// The charger a pack needs.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ChargerNeed {
    /// How it works.
    pub method: ChargeMethod,
    /// Groups in series.
    pub series: usize,
    /// The voltage it is set to, in volts; at the middle of the temperatures where it moves with them.
    pub voltage_v: Option<f64>,
    /// Highest voltage it may reach with its tolerance, in volts, at the warmest cell.
    pub voltage_most_v: Option<f64>,
    /// Change of that voltage with temperature, in volts per kelvin.
    pub voltage_v_per_k: f64,
    /// Voltage at which the pack may stay connected for good, in volts, at the middle of the temperatures.
    pub float_v: Option<f64>,
    /// Highest charge current, in amperes.
    pub current_a: f64,
    /// What sets it.
    pub limited_by: CurrentLimit,
    /// The weakest group, counted from 0 at the negative end.
    pub weakest_group: usize,
    /// Current at which it ends, in amperes.
    pub end_a: Option<f64>,
    /// Time at which it ends, in seconds.
    pub end_s: Option<f64>,
    /// Whether the cells' print asks for more than they are given.
    pub print_asks_more: bool,
    /// Current by cell temperature.
    pub bands: Vec<CurrentBand>,
    /// What the charger does with a low lithium cell.
    pub pre_charge: Option<PreChargeNeed>,
    /// A quick charge that a charger made for it may do.
    pub rapid: Option<RapidCharge>,
    /// Source of the voltage.
    pub voltage_source: Source,
    /// Source of the end.
    pub end_source: Source,
}

/// Why there is no charging figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum NoFigure {
    /// Nobody knows what the cells are.
    Unidentified,
    /// The cells may be colder than they may be charged.
    TooCold,
    /// The cells may be hotter than they may be charged.
    TooHot,
}

/// What to do with a pack.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum ChargerAnswer {
    /// Charge it with this.
    Charge(Box<ChargerNeed>),
    /// A cell of this group is done: take it to a collection point, never charge it back up.
    Recycle {
        /// The group, counted from 0 at the negative end.
        group: usize,
        /// Voltage at which it was found, in volts.
        found_v: f64,
        /// Voltage under which a cell is given up, in volts.
        under_v: f64,
        /// Where that comes from.
        source: Source,
    },
    /// There is no figure.
    NoFigure {
        /// Why.
        why: NoFigure,
        /// The limit that is passed, in degrees Celsius, where there is one.
        limit_degc: Option<f64>,
    },
}
