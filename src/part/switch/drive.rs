//! What a timer's output does to a gate or base.

use crate::data::switch::{Mosfet, TransistorRow};
use crate::data::timer::TimerPart;
use crate::error::Check;
use alloc::format;
use alloc::string::String;

/// A timer's output with the resistors at the gate or base.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Drive {
    /// The timer.
    pub timer: TimerPart,
    /// Resistor from its output to the gate or base, in ohms.
    pub gate_ohm: f64,
    /// Resistor from the gate or base to the negative side, in ohms; none where there is none.
    pub pull_down_ohm: Option<f64>,
}

/// What reaches the gate or base.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct GateDrive {
    /// Voltage of the timer's high output at the empty pack and the largest drop, in volts.
    pub output_v: f64,
    /// Voltage at the gate at the empty pack, or between base and emitter, in volts.
    pub gate_v: f64,
    /// Highest voltage at the gate, full pack and smallest drop, in volts.
    pub gate_high_v: f64,
    /// Time of turning on, in seconds; none where the voltage does not reach the gate's threshold.
    pub rise_s: Option<f64>,
    /// Time of turning off, in seconds.
    pub fall_s: Option<f64>,
    /// Mean current of charging the gate, or base current while on, in amperes.
    pub average_a: f64,
}

/// Whether the transistor is known to be fully on.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum OnState {
    /// Its data sheet covers this drive.
    Guaranteed(FullyOn),
    /// Its data sheet does not: no number.
    NotGuaranteed(NotOn),
}

/// A transistor that is fully on.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FullyOn {
    /// Largest resistance at 25 °C, in ohms; 0 for a bipolar transistor.
    pub on_ohm: f64,
    /// Largest saturation voltage, in volts; 0 for a MOSFET.
    pub saturation_v: f64,
    /// Base current, in amperes; 0 for a MOSFET.
    pub base_a: f64,
}

/// A transistor that is not known to be fully on.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct NotOn {
    /// What there is: gate voltage in volts, or base current in amperes.
    pub given: f64,
    /// What it needs, in the same unit.
    pub needed: f64,
    /// `v` or `a`.
    pub unit: &'static str,
    /// The same in words, and what would work.
    pub words: String,
}

impl Drive {
    pub(super) fn check(&self, check: &mut Check) {
        check.inside("timer", |check| self.timer.check(check));
        check.within("gate_ohm", self.gate_ohm, 0.0, 1e6);
        if let Some(pull_down_ohm) = self.pull_down_ohm {
            check.within("pull_down_ohm", pull_down_ohm, 10.0, 1e7);
        }
    }

    pub(super) fn gate(&self, row: &TransistorRow, empty_v: f64, full_v: f64, frequency_hz: f64) -> GateDrive {
        let timer = self.timer.row();
        let output_v = (empty_v - timer.output_high_drop_v.high).max(0.0);
        let high_v = (full_v - timer.output_high_drop_v.low).max(0.0);
        let share = self.pull_down_ohm.map_or(1.0, |ohm| ohm / (ohm + self.gate_ohm));
        match row {
            TransistorRow::Mosfet(mosfet) => {
                let rise_a = (output_v - mosfet.threshold_high_v) / self.gate_ohm.max(1e-3);
                let fall_a = mosfet.threshold_low_v / self.gate_ohm.max(1e-3);
                let charge = mosfet.gate_charge_coulomb;
                GateDrive {
                    output_v,
                    gate_v: output_v * share,
                    gate_high_v: high_v * share,
                    rise_s: (rise_a > 0.0).then(|| charge / rise_a.min(timer.source_a)),
                    fall_s: Some(charge / fall_a.min(timer.sink_a)),
                    average_a: charge * frequency_hz,
                }
            }
            TransistorRow::Bipolar(bipolar) => {
                let away_a = self.pull_down_ohm.map_or(0.0, |ohm| bipolar.base_v / ohm);
                let base_a = ((output_v - bipolar.base_v) / self.gate_ohm.max(1e-3)).min(timer.source_a) - away_a;
                GateDrive {
                    output_v,
                    gate_v: bipolar.base_v.min(output_v),
                    gate_high_v: bipolar.base_v.min(high_v),
                    rise_s: Some(0.5 * bipolar.edges_s),
                    fall_s: Some(0.5 * bipolar.edges_s),
                    average_a: base_a.max(0.0),
                }
            }
        }
    }
}

/// Whether a gate voltage or base current keeps the transistor fully on at `on_a`.
pub(super) fn on_state(row: &TransistorRow, gate: &GateDrive, on_a: f64) -> OnState {
    let bipolar = match row {
        TransistorRow::Mosfet(mosfet) => return mosfet_on(mosfet, gate.gate_v),
        TransistorRow::Bipolar(bipolar) => bipolar,
    };
    let needed = on_a / bipolar.forced_gain_ratio;
    let (base_a, saturation_v) = (gate.average_a, bipolar.saturation_v);
    if base_a >= needed && base_a > 0.0 {
        return OnState::Guaranteed(FullyOn { on_ohm: 0.0, saturation_v, base_a });
    }
    let words = format!(
        "The base gets {base_a:.4} A where {needed:.4} A keep it saturated: a smaller base resistor, a Darlington \
         transistor or a MOSFET would work."
    );
    OnState::NotGuaranteed(NotOn { given: base_a, needed, unit: "a", words })
}

fn mosfet_on(mosfet: &Mosfet, gate_v: f64) -> OnState {
    let points = [Some(mosfet.on), mosfet.on_at_less];
    let covered = points.into_iter().flatten().find(|point| gate_v >= point.gate_v);
    if let Some(point) = covered {
        return OnState::Guaranteed(FullyOn { on_ohm: point.on_ohm, saturation_v: 0.0, base_a: 0.0 });
    }
    let needed = mosfet.on_at_less.unwrap_or(mosfet.on).gate_v;
    let words = format!(
        "The gate gets {gate_v:.1} V at the empty pack where the data sheet states the resistance from {needed:.1} V \
         on: a MOSFET stated at {:.1} V or less, or a timer whose output comes nearer to the supply, would work.",
        libm::floor(gate_v * 2.0) / 2.0
    );
    OnState::NotGuaranteed(NotOn { given: gate_v, needed, unit: "v", words })
}
