//! The table of knob positions as it is told.

use crate::part::pump::Flow;
use crate::part::switch::Heat;
use crate::part::timing::{Outcome, Outside};
use crate::quantity::Interval;
use crate::run::discharge::EndedBy;
use alloc::string::String;
use alloc::vec::Vec;

/// Whether a load starts from rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Starts {
    /// At every credible value.
    Yes,
    /// At some credible values.
    Perhaps,
    /// At none.
    No,
    /// Its starting voltage is not known.
    NotKnown,
}

/// Whether a load starts, over the battery.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StartsOver {
    /// With the full pack.
    pub full: Starts,
    /// With the half-full pack.
    pub half: Starts,
    /// With the empty pack.
    pub empty: Starts,
}

/// What flows with the shaft held.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HeldShaft {
    /// Mean current from the pack, in amperes.
    pub mean_a: Interval,
    /// Largest heat in the windings, in watts.
    pub heat_w: f64,
    /// What interrupts it first, where something may.
    pub trips_first: Option<String>,
    /// Whether that interrupts at every credible value.
    pub trips_surely: bool,
}

/// What one position does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct KnobSetting {
    /// Duty over the battery.
    pub duty: Interval,
    /// Frequency over the battery, in hertz.
    pub frequency_hz: Interval,
    /// Mean voltage at one load, half-full pack, in volts.
    pub mean_v: f64,
    /// Mean current from the half-full pack, in amperes.
    pub mean_a: Option<f64>,
    /// Mean power of all loads, half-full pack, in watts.
    pub power_w: Option<f64>,
    /// Whether a motor's current flows through the pauses, where that is known.
    pub current_never_stops: Option<bool>,
    /// Speed against full speed, where a law tells it.
    pub speed_ratio: Option<f64>,
    /// Speed, in turns per minute.
    pub turns_per_minute: Option<f64>,
    /// What one load moves.
    pub flow: Option<Flow>,
    /// Sound of all loads against one at full speed, in decibels; common practice, no source.
    pub sound_db: Option<f64>,
    /// The switch with the full pack in the warmest surroundings.
    pub switch: Option<Heat>,
    /// Whether it starts.
    pub starts: StartsOver,
    /// With the shaft held.
    pub held_shaft: Option<HeldShaft>,
    /// Time until the run ends, in seconds.
    pub runtime_s: Option<Interval>,
    /// What ends it at the likely values.
    pub ended_by: Option<EndedBy>,
}

/// One position of the knob.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct KnobRow {
    /// The position, 0 to 1.
    pub wiper_ratio: f64,
    /// Why the timer does not run there; empty where it does.
    pub outside: Vec<Outside>,
    /// What it does, where the timer runs.
    pub setting: Option<KnobSetting>,
}

/// Lowest duty at one supply, at the worst credible value.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LowestDuty {
    /// The supply, in volts.
    pub supply_v: f64,
    /// From which on the load surely starts; none where it never does or the voltage is not known.
    pub start_duty: Option<f64>,
    /// Down to which it surely keeps turning.
    pub hold_duty: Option<f64>,
}

/// A tolerance that moves the runtime.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Tolerance {
    /// The cells' capacity.
    Capacity,
    /// The cells' resistance.
    Resistance,
    /// The loads and the duty.
    Load,
    /// Leads and links.
    Leads,
    /// The temperature.
    Ambient,
}

/// What one tolerance does alone.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ToleranceEffect {
    /// Which one.
    pub tolerance: Tolerance,
    /// Change of the runtime at its worse end, as a ratio of the likely one.
    pub change_ratio: f64,
}

/// All positions.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct KnobAnswer {
    /// The positions in the order they were given.
    pub rows: Vec<KnobRow>,
    /// Lowest duties at the full, half and empty pack.
    pub lowest: Vec<LowestDuty>,
    /// Current of all loads at switching on, in amperes.
    pub surge_a: Option<f64>,
    /// What each tolerance does to the runtime at the middle position, where asked.
    pub tolerances: Vec<ToleranceEffect>,
    /// What is not worked out at every position.
    pub approximated: &'static str,
}

impl Starts {
    pub(super) fn of(mean_v: f64, start_v: Option<Interval>) -> Self {
        match start_v {
            None => Self::NotKnown,
            Some(start_v) if mean_v >= start_v.high => Self::Yes,
            Some(start_v) if mean_v < start_v.low => Self::No,
            Some(_) => Self::Perhaps,
        }
    }
}

impl KnobRow {
    pub(super) fn outside(wiper_ratio: f64, outcome: &Outcome) -> Self {
        let outside = if let Outcome::Outside(outside) = outcome { outside.clone() } else { Vec::new() };
        Self { wiper_ratio, outside, setting: None }
    }

    pub(super) fn of(wiper_ratio: f64, setting: KnobSetting) -> Self {
        Self { wiper_ratio, outside: Vec::new(), setting: Some(setting) }
    }
}
