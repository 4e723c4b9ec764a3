//! Quantities: intervals, unit suffixes, text to numbers and back, roots, draws.

pub mod draw;
pub mod junction;
pub mod parse;
pub mod reading;
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

/// What kind of number a text or a field holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum Unit {
    /// Volts.
    Volt,
    /// Amperes.
    Ampere,
    /// Ampere-hours.
    AmpereHour,
    /// Watt-hours.
    WattHour,
    /// Ohms.
    Ohm,
    /// Watts.
    Watt,
    /// Farads.
    Farad,
    /// Henries.
    Henry,
    /// Hertz.
    Hertz,
    /// Seconds; minutes and hours are read too.
    Second,
    /// Metres.
    Metre,
    /// Square millimetres; wire gauges are read too.
    SquareMillimetre,
    /// Degrees Celsius.
    DegreeCelsius,
    /// A ratio; percent is read too.
    Ratio,
    /// A plain number.
    Number,
}

/// A unit symbol and what one of it is in the unit's own base.
pub(crate) struct Symbol {
    pub(crate) text: &'static str,
    pub(crate) factor: f64,
    /// Whether a prefix may stand before it.
    pub(crate) prefixed: bool,
}

const fn symbol(text: &'static str, factor: f64, prefixed: bool) -> Symbol {
    Symbol { text, factor, prefixed }
}

impl Unit {
    /// The one list of unit symbols; the first is the one that is written.
    pub(crate) const fn symbols(self) -> &'static [Symbol] {
        const VOLT: &[Symbol] = &[symbol("V", 1.0, true)];
        const AMPERE: &[Symbol] = &[symbol("A", 1.0, true)];
        const AMPERE_HOUR: &[Symbol] = &[symbol("Ah", 1.0, true)];
        const WATT_HOUR: &[Symbol] = &[symbol("Wh", 1.0, true)];
        const OHM: &[Symbol] =
            &[symbol("Ω", 1.0, true), symbol("ohm", 1.0, true), symbol("Ohm", 1.0, true), symbol("R", 1.0, false)];
        const WATT: &[Symbol] = &[symbol("W", 1.0, true)];
        const FARAD: &[Symbol] = &[symbol("F", 1.0, true)];
        const HENRY: &[Symbol] = &[symbol("H", 1.0, true)];
        const HERTZ: &[Symbol] = &[symbol("Hz", 1.0, true)];
        const SECOND: &[Symbol] = &[
            symbol("s", 1.0, true),
            symbol("min", 60.0, false),
            symbol("h", 3600.0, false),
            symbol("d", 86400.0, false),
        ];
        const METRE: &[Symbol] = &[symbol("m", 1.0, true), symbol("cm", 0.01, false)];
        const SQUARE: &[Symbol] = &[symbol("mm²", 1.0, false), symbol("mm2", 1.0, false), symbol("mm^2", 1.0, false)];
        const CELSIUS: &[Symbol] = &[symbol("°C", 1.0, false), symbol("C", 1.0, false), symbol("degC", 1.0, false)];
        const RATIO: &[Symbol] = &[symbol("%", 0.01, false)];
        match self {
            Self::Volt => VOLT,
            Self::Ampere => AMPERE,
            Self::AmpereHour => AMPERE_HOUR,
            Self::WattHour => WATT_HOUR,
            Self::Ohm => OHM,
            Self::Watt => WATT,
            Self::Farad => FARAD,
            Self::Henry => HENRY,
            Self::Hertz => HERTZ,
            Self::Second => SECOND,
            Self::Metre => METRE,
            Self::SquareMillimetre => SQUARE,
            Self::DegreeCelsius => CELSIUS,
            Self::Ratio => RATIO,
            Self::Number => &[],
        }
    }
}

/// Prefixes and their powers of ten. M is mega and m is milli, never the other.
pub(crate) const PREFIXES: [(char, i32); 7] =
    [('p', -12), ('n', -9), ('µ', -6), ('m', -3), ('k', 3), ('M', 6), ('G', 9)];
