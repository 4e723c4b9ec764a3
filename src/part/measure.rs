//! What a home meter tells about a cell, with the doubt that the meter's own accuracy leaves.
//!
//! ```text
//! true = (shown − e) / (1 + g),   |g| ≤ reading_ratio,   |e| ≤ digits · step
//! ```
//!
//! g is the meter's gain on one range, the same in every reading there; e is another in each reading. A difference of
//! two readings of one meter on one range therefore keeps only g of the difference and twice e, not g of each reading:
//! a test by differences is far better than the data sheet suggests, and readings of two meters are refused. Every
//! combination of the extremes is tried; the law between them is monotone in each, so that no value lies outside.
//! Source: the usual reading of "± (% of reading + digits)" on a meter's data sheet; common practice, no source.

pub mod capacity;
pub mod resistance;

use crate::error::{Check, Error};

/// Accuracy of a voltmeter on the range that was used.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Voltmeter {
    /// The ± % of the reading, as a ratio: 0.005 for ± 0.5 %.
    pub reading_ratio: f64,
    /// The ± digits: how many of the smallest step.
    pub digits: f64,
    /// Smallest step shown, in volts.
    pub step_v: f64,
}

/// Accuracy of an ammeter on the range that was used.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Ammeter {
    /// The ± % of the reading, as a ratio: 0.01 for ± 1 %.
    pub reading_ratio: f64,
    /// The ± digits: how many of the smallest step.
    pub digits: f64,
    /// Smallest step shown, in amperes.
    pub step_a: f64,
}

impl Voltmeter {
    pub(crate) fn check(&self, check: &mut Check) {
        check.within("reading_ratio", self.reading_ratio, 0.0, 0.2);
        check.within("digits", self.digits, 0.5, 100.0);
        check.within("step_v", self.step_v, 1e-7, 1.0);
    }

    /// Largest error of one reading beside the gain, in volts.
    #[must_use]
    pub fn error_v(&self) -> f64 {
        self.digits * self.step_v
    }

    /// What a reading stands for when the gain is off by `gain` (−1 to 1 of its limit) and the rest by `rest`.
    pub(crate) fn true_v(&self, shown_v: f64, gain: f64, rest: f64) -> f64 {
        (shown_v - rest * self.error_v()) / (1.0 + gain * self.reading_ratio)
    }
}

impl Ammeter {
    pub(crate) fn check(&self, check: &mut Check) {
        check.within("reading_ratio", self.reading_ratio, 0.0, 0.2);
        check.within("digits", self.digits, 0.5, 100.0);
        check.within("step_a", self.step_a, 1e-7, 1.0);
    }

    /// What a reading stands for when the gain is off by `gain` (−1 to 1 of its limit) and the rest by `rest`.
    pub(crate) fn true_a(&self, shown_a: f64, gain: f64, rest: f64) -> f64 {
        (shown_a - rest * self.digits * self.step_a) / (1.0 + gain * self.reading_ratio)
    }
}

/// Notes that two readings do not come from one meter on one range.
pub(crate) fn check_same_range(check: &mut Check, same_range: bool) {
    if !same_range {
        let accepted = "both voltages read with one meter on one range: two meters differ by more than the cell does";
        check.note(Error::other("same_range", "false", accepted));
    }
}

/// Extremes that are tried together.
pub(crate) const EXTREMES: usize = 8;

/// Smallest and largest value of `law` over every combination of extremes (−1 or 1 each); nothing where any
/// combination has no value.
pub(crate) fn span(law: impl Fn(&[f64; EXTREMES]) -> Option<f64>) -> Option<(f64, f64)> {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for pattern in 0_u32..1 << EXTREMES {
        let mut signs = [0.0; EXTREMES];
        for (bit, sign) in signs.iter_mut().enumerate() {
            *sign = if pattern >> bit & 1 == 1 { 1.0 } else { -1.0 };
        }
        let value = law(&signs)?;
        low = if value < low { value } else { low };
        high = if value > high { value } else { high };
    }
    Some((low, high))
}
