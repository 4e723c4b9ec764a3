//! A ramp held against a knob's voltage by a comparator.
//!
//! ```text
//! triangle   f = R_feedback / (4 · R_integrator · R_hysteresis · C),  high/low = ½ ± ½·R_hysteresis/R_feedback
//! sawtooth   t_rise = R·C·ln((1 − low)/(1 − high)),  t_fall = R_reset·C·ln(high/low)
//! duty       share of the period during which the ramp lies below the knob's voltage
//! ```
//!
//! All levels are shares of the supply. A knob outside the ramp gives 0 or 1. The triangle holds for outputs that
//! reach both rails. Source: TI Analog Engineer's Circuit SBOA212B for the triangle; RC step response for the rest.

use super::Cycle;
use crate::error::{Check, Error};
use alloc::format;

/// The ramp of a comparator circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Ramp {
    /// Integrator and comparator with hysteresis: straight both ways.
    Triangle(Triangle),
    /// A capacitor charged from the supply and emptied at once.
    Sawtooth(Sawtooth),
}

/// An integrator inside a comparator with hysteresis.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Triangle {
    /// Resistor into the integrator, in ohms.
    pub integrator_ohm: f64,
    /// Resistor from the integrator's output to the comparator, in ohms.
    pub hysteresis_ohm: f64,
    /// Resistor from the comparator's output back to its input, in ohms.
    pub feedback_ohm: f64,
    /// Integrating capacitor, in farads.
    pub c_f: f64,
}

/// A capacitor charged through a resistor from the supply and emptied through a switch.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Sawtooth {
    /// Charging resistor, in ohms.
    pub charge_ohm: f64,
    /// Resistance of the emptying switch, in ohms.
    pub reset_ohm: f64,
    /// The capacitor, in farads.
    pub c_f: f64,
    /// Where emptying ends, as a share of the supply.
    pub low_ratio: f64,
    /// Where charging ends, as a share of the supply.
    pub high_ratio: f64,
}

/// Where the ramp turns and how long it takes, with the knob anywhere.
struct Levels {
    low: f64,
    high: f64,
    rise_s: f64,
    fall_s: f64,
    below_s: f64,
}

impl Ramp {
    pub(super) fn check(&self, check: &mut Check) {
        match self {
            Self::Triangle(triangle) => check.inside("triangle", |check| {
                check.within("integrator_ohm", triangle.integrator_ohm, 1.0, 1e9);
                check.within("hysteresis_ohm", triangle.hysteresis_ohm, 1.0, 1e9);
                check.within("feedback_ohm", triangle.feedback_ohm, 1.0, 1e9);
                check.within("c_f", triangle.c_f, 1e-12, 1.0);
                if triangle.hysteresis_ohm > triangle.feedback_ohm {
                    let given = format!("{}", triangle.hysteresis_ohm);
                    check.note(Error::other("hysteresis_ohm", given, "at most feedback_ohm: the ramp has to turn"));
                }
            }),
            Self::Sawtooth(sawtooth) => check.inside("sawtooth", |check| {
                check.within("charge_ohm", sawtooth.charge_ohm, 1.0, 1e9);
                check.within("reset_ohm", sawtooth.reset_ohm, 0.0, 1e9);
                check.within("c_f", sawtooth.c_f, 1e-12, 1.0);
                check.within("low_ratio", sawtooth.low_ratio, 0.001, 0.99);
                check.within("high_ratio", sawtooth.high_ratio, 0.002, 0.999);
                if sawtooth.low_ratio >= sawtooth.high_ratio {
                    let given = format!("{}", sawtooth.low_ratio);
                    check.note(Error::other("low_ratio", given, "less than high_ratio"));
                }
            }),
        }
    }

    /// The cycle with the knob at `control_ratio` of the supply.
    pub(super) fn cycle(&self, supply_v: f64, control_ratio: f64) -> Cycle {
        let levels = match self {
            Self::Triangle(triangle) => triangle.levels(control_ratio),
            Self::Sawtooth(sawtooth) => sawtooth.levels(control_ratio),
        };
        let period_s = levels.rise_s + levels.fall_s;
        Cycle {
            low_s: period_s - levels.below_s,
            duty: levels.below_s / period_s,
            capacitor_low_v: levels.low * supply_v,
            capacitor_high_v: levels.high * supply_v,
            ..Cycle::of(levels.below_s, period_s - levels.below_s)
        }
    }
}

impl Triangle {
    fn levels(&self, control: f64) -> Levels {
        let half = 0.5 * self.hysteresis_ohm / self.feedback_ohm;
        let half_s = 2.0 * self.integrator_ohm * self.c_f * self.hysteresis_ohm / self.feedback_ohm;
        let (low, high) = (0.5 - half, 0.5 + half);
        let inside = control.max(low).min(high);
        let below_s = 2.0 * half_s * (inside - low) / (high - low);
        Levels { low, high, rise_s: half_s, fall_s: half_s, below_s }
    }
}

impl Sawtooth {
    fn levels(&self, control: f64) -> Levels {
        let (low, high) = (self.low_ratio, self.high_ratio);
        let inside = control.max(low).min(high);
        let rising_s = |to: f64| self.charge_ohm * self.c_f * libm::log((1.0 - low) / (1.0 - to));
        let falling_s = |from: f64| self.reset_ohm * self.c_f * libm::log(from / low);
        let below_s = rising_s(inside) + falling_s(inside);
        Levels { low, high, rise_s: rising_s(high), fall_s: falling_s(high), below_s }
    }
}
