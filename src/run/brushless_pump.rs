//! A pump with electronics of its own.
//!
//! Behind a chopped supply such electronics follow no law: the curve that was measured with the timer in place is read
//! between its points, and nothing is told beside it. What the water does at that speed is the pump's own law.

use crate::error::Check;
use crate::part::blower::MeasuredCurve;
use crate::part::pump::PumpKind;
use crate::quantity::Interval;

/// A pump with a brushless motor and its electronics.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BrushlessPump {
    /// Power from the supply at `at_v` without chopping, in watts; for an impeller, into the open.
    pub power_w: Interval,
    /// Voltage of full speed, in volts.
    pub at_v: f64,
    /// Which kind.
    pub kind: PumpKind,
    /// What was measured with the timer in place.
    pub curve: MeasuredCurve,
}

impl BrushlessPump {
    pub(crate) fn check(&self, check: &mut Check) {
        self.power_w.note(check, "power_w", 1e-3, 10000.0);
        check.within("at_v", self.at_v, 0.5, 60.0);
        check.inside("kind", |check| self.kind.check(check));
        check.inside("curve", |check| self.curve.check(check));
    }
}

/// Current of a load with electronics of its own at `r` of the voltage its curve was measured at, by end.
///
/// Electronics that follow their supply take less at less voltage (r² for a wheel in air or water, the same for a
/// constant torque); electronics that hold their speed take more (1/r). Which of them it is, is not known: the low and
/// the high end hold all three.
pub(crate) fn electronics_a(measured_a: f64, power_w: Interval, r: f64, likely_exponent: f64) -> [f64; 3] {
    let (square, hold) = (r * r, 1.0 / r);
    let spread = |share: f64, end: f64| measured_a * share * end / power_w.likely;
    [
        spread(square.min(1.0).min(hold), power_w.low),
        spread(libm::pow(r, likely_exponent), power_w.likely),
        spread(square.max(1.0).max(hold), power_w.high),
    ]
}
