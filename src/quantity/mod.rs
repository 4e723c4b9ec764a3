//! Quantities: intervals, unit suffixes, text to numbers and back, roots, draws.

pub mod draw;
pub mod junction;
pub mod parse;
pub mod solve;
pub mod text;

use crate::error::{Check, Error};

/// 0 °C in kelvin, exact by definition. Source: BIPM, The International System of Units, 9th edition, 2.3.1.
pub const KELVIN_AT_ZERO_DEGC: f64 = 273.15;

/// An uncertain quantity: where it may lie at the least, where it likely is, where it may lie at the most.
///
/// Every finding uses the end that makes it worse.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::Interval;
/// let capacity_ah = Interval { low: 2.0, likely: 2.2, high: 2.3 };
/// assert!(capacity_ah.check("capacity_ah", 0.01, 100.0).is_ok());
/// assert!(Interval { low: 2.4, ..capacity_ah }.check("capacity_ah", 0.01, 100.0).is_err());
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Interval {
    /// Smallest credible value.
    pub low: f64,
    /// Likely value, between the two ends.
    pub likely: f64,
    /// Largest credible value.
    pub high: f64,
}

/// Which end of every uncertain input a computation uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum End {
    /// The smallest credible value.
    Low,
    /// The likely value.
    Likely,
    /// The largest credible value.
    High,
}

impl End {
    /// The other end; the likely value stays.
    #[must_use]
    pub const fn opposite(self) -> Self {
        match self {
            Self::Low => Self::High,
            Self::Likely => Self::Likely,
            Self::High => Self::Low,
        }
    }
}

impl Interval {
    /// An interval of no width, for a value that is known exactly.
    #[must_use]
    pub const fn exact(value: f64) -> Self {
        Self { low: value, likely: value, high: value }
    }

    /// `likely` with the same relative tolerance to both sides; 0.05 is five percent.
    #[must_use]
    pub fn around(likely: f64, tolerance_ratio: f64) -> Self {
        let half = if likely < 0.0 { -likely * tolerance_ratio } else { likely * tolerance_ratio };
        Self { low: likely - half, likely, high: likely + half }
    }

    /// The value at one end.
    #[must_use]
    pub const fn at(&self, end: End) -> f64 {
        match end {
            End::Low => self.low,
            End::Likely => self.likely,
            End::High => self.high,
        }
    }

    /// The interval itself, if its three values are in order and all lie between `low` and `high`.
    ///
    /// # Errors
    ///
    /// Names `field` and the first value out of range or out of order.
    pub fn check(&self, field: &'static str, low: f64, high: f64) -> Result<Self, Error> {
        for value in [self.low, self.likely, self.high] {
            crate::error::within(field, value, low, high)?;
        }
        if self.low <= self.likely && self.likely <= self.high {
            Ok(*self)
        } else {
            Err(Error::other(
                field,
                alloc::format!("low {}, likely {}, high {}", self.low, self.likely, self.high),
                "three values in rising order",
            ))
        }
    }

    /// As [`Interval::check`], noting the error in a [`Check`].
    pub fn note(&self, check: &mut Check, field: &'static str, low: f64, high: f64) {
        if let Err(error) = self.check(field, low, high) {
            check.note(error);
        }
    }
}
