//! Numbers to text: `4.70 kΩ`, `2.20 Ah`, `3 h 05 min`.
//!
//! Engineering notation: the power of ten is divisible by three and stands as a prefix. Digits are rounded from the
//! exact binary value, half to even, and never more are shown than asked. Reading the text back gives the same digits.

use crate::error::{Error, within};
use crate::quantity::{PREFIXES, Unit};
use alloc::format;
use alloc::string::{String, ToString};

/// Decimal sign of a language.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Decimal {
    /// 3.7
    Point,
    /// 3,7
    Comma,
}

/// Which way a time is rounded to what is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Rounding {
    /// Down: "at least".
    Down,
    /// Up: "at most".
    Up,
}

/// A number to write.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Writing {
    /// The number, in the base unit.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// Significant digits, 1 to 9; 3 where left out.
    pub digits: Option<u32>,
    /// Decimal sign; a point where left out.
    pub decimal: Option<Decimal>,
    /// For a time in seconds: write hours and minutes, rounded this way.
    pub clock: Option<Rounding>,
}

/// A written number.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Written {
    /// Number and unit.
    pub words: String,
}

impl Writing {
    /// The number in words.
    ///
    /// # Errors
    ///
    /// Names a value that is not a finite number, digits out of range, or a clock on something that is no time.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::{Unit, text::Writing};
    /// let writing = Writing { value: 4700.0, unit: Unit::Ohm, digits: None, decimal: None, clock: None };
    /// assert_eq!(writing.answer()?.words, "4.70 kΩ");
    /// assert_eq!(Writing { value: f64::NAN, ..writing }.answer().unwrap_err().field(), "value");
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn answer(&self) -> Result<Written, Error> {
        let value = within("value", self.value, -1e300, 1e300)?;
        let digits = self.digits.unwrap_or(3);
        within("digits", f64::from(digits), 1.0, 9.0)?;
        let words = match self.clock {
            None => written(value, self.unit, digits, self.decimal.unwrap_or(Decimal::Point)),
            Some(rounding) if self.unit == Unit::Second => {
                let words = clock(within("value", value, 0.0, 1e9)?, rounding);
                if self.decimal == Some(Decimal::Comma) { words.replace('.', ",") } else { words }
            }
            Some(_) => {
                return Err(Error::other("clock", "a clock for another unit", "a clock only where unit is second"));
            }
        };
        Ok(Written { words })
    }
}

/// Litres per minute in a cubic metre per second.
const LITRES_PER_MINUTE: f64 = 60000.0;

/// `value` with `digits` significant digits (1 to 17) and its unit.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::{Unit, text::{Decimal, written}};
/// assert_eq!(written(0.0022, Unit::AmpereHour, 2, Decimal::Comma), "2,2 mAh");
/// assert_eq!(written(0.425, Unit::Ratio, 3, Decimal::Point), "42.5 %");
/// assert_eq!(written(-5.0, Unit::DegreeCelsius, 2, Decimal::Point), "−5.0 °C");
/// assert_eq!(written(5e-5, Unit::CubicMetrePerSecond, 3, Decimal::Point), "3.00 L/min");
/// assert_eq!(written(999.96, Unit::Volt, 4, Decimal::Point), "1.000 kV");
/// ```
#[must_use]
pub fn written(value: f64, unit: Unit, digits: u32, decimal: Decimal) -> String {
    let row = unit.row();
    let value = if unit == Unit::CubicMetrePerSecond { value * LITRES_PER_MINUTE } else { value };
    let (mantissa, power) = rounded(value, digits);
    if mantissa.bytes().all(|digit| digit == b'0') {
        return format!("0 {}", row.symbol).trim_end().to_string();
    }
    let power = if unit == Unit::Ratio { power + 2 } else { power };
    let wanted = 3 * power.div_euclid(3);
    let lowest = row.powers.first().copied().unwrap_or(0);
    let highest = row.powers.last().copied().unwrap_or(0);
    let shift = wanted.clamp(lowest, highest);
    let sign = if value < 0.0 { "−" } else { "" };
    // Far outside the prefixes: a power of ten instead of a row of zeros.
    let number = if (-6..=6).contains(&(power - shift)) {
        placed(&mantissa, power - shift)
    } else {
        format!("{}e{}", placed(&mantissa, 0), power - shift)
    };
    let number = match decimal {
        Decimal::Point => number,
        Decimal::Comma => number.replace('.', ","),
    };
    format!("{sign}{number} {}{}", prefix(shift), row.symbol).trim_end().to_string()
}

/// Prefix of a power of ten; empty for one without.
pub(crate) fn prefix(power: i32) -> &'static str {
    PREFIXES.iter().find(|(_, of)| *of == power).map_or("", |(text, _)| text)
}

/// Digits without a decimal sign, and the power of ten of the first.
fn rounded(value: f64, digits: u32) -> (String, i32) {
    let places = digits.clamp(1, 17) as usize - 1;
    let text = format!("{:.places$e}", libm::fabs(value));
    let (mantissa, power) = text.split_once('e').unwrap_or((&text, "0"));
    (mantissa.replace('.', ""), power.parse().unwrap_or(0))
}

/// The digits with the decimal point behind the digit of power 0.
fn placed(mantissa: &str, power: i32) -> String {
    let count = mantissa.len();
    if power < 0 {
        let zeros = "0".repeat(power.unsigned_abs() as usize - 1);
        return format!("0.{zeros}{mantissa}");
    }
    let whole = power as usize + 1;
    if whole >= count {
        return format!("{mantissa}{}", "0".repeat(whole - count));
    }
    format!("{}.{}", mantissa.get(..whole).unwrap_or(mantissa), mantissa.get(whole..).unwrap_or(""))
}

/// A time of 0 s or more in hours and minutes, or minutes and seconds, or seconds; under ten seconds in thousandths.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::text::{Rounding, clock};
/// assert_eq!(clock(11159.0, Rounding::Down), "3 h 05 min");
/// assert_eq!(clock(11159.0, Rounding::Up), "3 h 06 min");
/// assert_eq!(clock(95.0, Rounding::Down), "1 min 35 s");
/// assert_eq!(clock(200.0 * 3600.0, Rounding::Up), "200 h");
/// assert_eq!(clock(0.2, Rounding::Down), "200 ms");
/// assert_eq!(clock(2.5004, Rounding::Up), "2.501 s");
/// ```
#[must_use]
pub fn clock(time_s: f64, rounding: Rounding) -> String {
    let to = |step_s: f64| {
        let steps = time_s.max(0.0) / step_s;
        let whole = libm::round(steps);
        // A whole number that a division missed by its last digit.
        let met = libm::fabs(steps - whole) <= 1e-12 * whole;
        let whole = match rounding {
            _ if met => whole,
            Rounding::Down => libm::floor(steps),
            Rounding::Up => libm::ceil(steps),
        };
        whole as u64
    };
    let thousandths = to(1e-3);
    if thousandths < 10_000 && thousandths % 1000 != 0 {
        return match thousandths {
            0..1000 => format!("{thousandths} ms"),
            _ => format!("{} s", format!("{}.{:03}", thousandths / 1000, thousandths % 1000).trim_end_matches('0')),
        };
    }
    if time_s < 60.0 && to(1.0) < 60 {
        return format!("{} s", to(1.0));
    }
    if time_s < 3600.0 && to(1.0) < 3600 {
        return format!("{} min {:02} s", to(1.0) / 60, to(1.0) % 60);
    }
    if to(60.0) < 100 * 60 {
        return format!("{} h {:02} min", to(60.0) / 60, to(60.0) % 60);
    }
    format!("{} h", to(3600.0))
}
