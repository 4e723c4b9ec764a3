//! Quantities: intervals, unit suffixes, text to numbers and back, roots, draws.

pub mod date;
pub(crate) mod decimal;
pub mod draw;
pub mod gauge;
pub mod junction;
pub(crate) mod order;
pub mod parse;
pub mod root;
pub mod said;
pub mod solve;
pub mod text;
pub mod tongue;
pub(crate) mod turns;
pub mod usual;

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

    /// The value at a place from −1 (low) over 0 (likely) to 1 (high), straight on either side of the likely one.
    #[must_use]
    pub const fn toward(&self, place: f64) -> f64 {
        let end = if place < 0.0 { self.low } else { self.high };
        self.likely + (end - self.likely) * place.abs()
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

/// Which quantity a field or a text stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Unit {
    /// Voltage, in volts.
    Volt,
    /// Current, in amperes.
    Ampere,
    /// Charge, in ampere-hours.
    AmpereHour,
    /// Energy, in watt-hours.
    WattHour,
    /// Resistance, in ohms.
    Ohm,
    /// Power, in watts.
    Watt,
    /// Capacitance, in farads.
    Farad,
    /// Inductance, in henries.
    Henry,
    /// Frequency, in hertz.
    Hertz,
    /// Time, in seconds.
    Second,
    /// Length, in metres.
    Metre,
    /// Cross-section, in square millimetres.
    SquareMillimetre,
    /// Temperature, in degrees Celsius.
    DegreeCelsius,
    /// Electric charge, in coulombs.
    Coulomb,
    /// Flow of water or air, in cubic metres per second, written in litres per minute.
    CubicMetrePerSecond,
    /// Share of a whole, 0 to 1, written in percent.
    Ratio,
    /// A plain number.
    Count,
}

/// One way to write a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suffix {
    /// As written.
    pub text: &'static str,
    /// Power of ten to the base unit.
    pub power: i32,
    /// Factor to the base unit beyond that power.
    pub factor: f64,
    /// Reading at which the base unit is zero: 32 for degrees Fahrenheit.
    pub zero: f64,
    /// Whether prefixes from pico to giga may stand before it.
    pub prefixed: bool,
}

/// What belongs to one [`Unit`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnitRow {
    /// The unit.
    pub unit: Unit,
    /// Its symbol.
    pub symbol: &'static str,
    /// Its name, in the plural.
    pub name: &'static str,
    /// Ending of a field name that carries it, without the underscore; empty for a count.
    pub ending: &'static str,
    /// Powers of ten, divisible by three, of the prefixes that text uses, the smallest first.
    pub powers: &'static [i32],
    /// Ways to write it.
    pub suffixes: &'static [Suffix],
}

/// Prefixes with their powers of ten. M is mega and m is milli, never one for the other.
///
/// Source: BIPM, The International System of Units, 9th edition, table 7; u for micro is common practice.
pub const PREFIXES: [(&str, i32); 10] =
    [("p", -12), ("n", -9), ("µ", -6), ("\u{3bc}", -6), ("u", -6), ("m", -3), ("", 0), ("k", 3), ("M", 6), ("G", 9)];

const fn plain(text: &'static str) -> Suffix {
    Suffix { text, power: 0, factor: 1.0, zero: 0.0, prefixed: false }
}

const fn base(text: &'static str) -> Suffix {
    Suffix { prefixed: true, ..plain(text) }
}

const fn scaled(text: &'static str, power: i32, factor: f64) -> Suffix {
    Suffix { power, factor, ..plain(text) }
}

const fn row(
    unit: Unit,
    symbol: &'static str,
    name: &'static str,
    ending: &'static str,
    powers: &'static [i32],
    suffixes: &'static [Suffix],
) -> UnitRow {
    UnitRow { unit, symbol, name, ending, powers, suffixes }
}

/// The one list of units and of the ways to write them.
///
/// Source: BIPM, The International System of Units, 9th edition, tables 4 and 8; foot and inch by definition;
/// IEC 60062 for R.
pub const UNITS: [UnitRow; 17] = [
    row(Unit::Volt, "V", "volts", "v", &[-6, -3, 0, 3], &[base("V"), base("v"), base("volt"), base("volts")]),
    row(Unit::Ampere, "A", "amperes", "a", &[-9, -6, -3, 0], &[base("A"), base("a"), base("amp"), base("amps")]),
    row(Unit::AmpereHour, "Ah", "ampere-hours", "ah", &[-3, 0], &[base("Ah"), base("ah"), base("AH"), base("A·h")]),
    row(Unit::WattHour, "Wh", "watt-hours", "wh", &[-3, 0, 3], &[base("Wh"), base("wh"), base("WH"), base("W·h")]),
    row(
        Unit::Ohm,
        "Ω",
        "ohms",
        "ohm",
        &[-6, -3, 0, 3, 6],
        &[base("Ω"), base("R"), base("ohm"), base("ohms"), base("Ohm"), base("Ohms"), base("OHM"), scaled("K", 3, 1.0)],
    ),
    row(Unit::Watt, "W", "watts", "w", &[-6, -3, 0, 3], &[base("W"), base("w"), base("watt"), base("watts")]),
    row(Unit::Farad, "F", "farads", "f", &[-12, -9, -6, -3, 0], &[base("F"), base("f"), base("farad")]),
    row(Unit::Henry, "H", "henries", "h", &[-9, -6, -3, 0], &[base("H"), base("henry")]),
    row(Unit::Hertz, "Hz", "hertz", "hz", &[-3, 0, 3, 6], &[base("Hz"), base("hz"), base("HZ")]),
    row(
        Unit::Second,
        "s",
        "seconds",
        "s",
        &[-9, -6, -3, 0],
        &[base("s"), base("sec"), scaled("min", 0, 60.0), scaled("h", 0, 3600.0), scaled("d", 0, 86400.0)],
    ),
    row(
        Unit::Metre,
        "m",
        "metres",
        "m",
        &[-6, -3, 0, 3],
        &[base("m"), scaled("cm", -2, 1.0), scaled("ft", 0, 0.3048), scaled("in", 0, 0.0254)],
    ),
    row(
        Unit::SquareMillimetre,
        "mm²",
        "square millimetres",
        "mm2",
        &[0],
        &[
            plain("mm²"),
            plain("mm2"),
            plain("mm^2"),
            plain("sqmm"),
            scaled("cm²", 2, 1.0),
            scaled("cm2", 2, 1.0),
            scaled("m²", 6, 1.0),
            scaled("m2", 6, 1.0),
        ],
    ),
    row(
        Unit::DegreeCelsius,
        "°C",
        "degrees Celsius",
        "degc",
        &[0],
        &[
            plain("°C"),
            plain("C"),
            plain("℃"),
            plain("degC"),
            plain("°"),
            Suffix { zero: KELVIN_AT_ZERO_DEGC, ..plain("K") },
            Suffix { zero: 32.0, ..scaled("°F", 0, 5.0 / 9.0) },
            Suffix { zero: 32.0, ..scaled("degF", 0, 5.0 / 9.0) },
        ],
    ),
    row(Unit::Coulomb, "C", "coulombs", "coulomb", &[-9, -6, -3, 0], &[base("C"), base("As"), base("A·s")]),
    row(
        Unit::CubicMetrePerSecond,
        "L/min",
        "litres per minute",
        "m3_per_s",
        &[0],
        &[
            scaled("L/min", -3, 1.0 / 60.0),
            scaled("l/min", -3, 1.0 / 60.0),
            scaled("L/h", -3, 1.0 / 3600.0),
            scaled("l/h", -3, 1.0 / 3600.0),
            scaled("L/s", -3, 1.0),
            scaled("m³/h", 0, 1.0 / 3600.0),
            scaled("m3/h", 0, 1.0 / 3600.0),
            plain("m³/s"),
            plain("m3/s"),
        ],
    ),
    row(Unit::Ratio, "%", "percent", "ratio", &[0], &[scaled("%", -2, 1.0)]),
    row(Unit::Count, "", "a plain number", "", &[0], &[]),
];

impl Unit {
    /// What belongs to this unit.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::Unit;
    /// assert_eq!(Unit::Ohm.row().symbol, "Ω");
    /// assert_eq!(Unit::of_field("capacity_ah"), Some(Unit::AmpereHour));
    /// assert_eq!(Unit::of_field("name"), None);
    /// ```
    #[must_use]
    pub fn row(self) -> &'static UnitRow {
        const NONE: UnitRow = row(Unit::Count, "", "a plain number", "", &[0], &[]);
        UNITS.iter().find(|row| row.unit == self).unwrap_or(&NONE)
    }

    /// The unit that the name of a field ends in.
    #[must_use]
    pub fn of_field(field: &str) -> Option<Self> {
        if field == "duty" {
            return Some(Self::Ratio);
        }
        if field.ends_with("m3_per_s") {
            return Some(Self::CubicMetrePerSecond);
        }
        let ending = field.rsplit('_').next()?;
        UNITS.iter().find(|row| !ending.is_empty() && row.ending == ending).map(|row| row.unit)
    }
}
