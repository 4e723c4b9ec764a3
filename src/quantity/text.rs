//! Numbers to text with engineering prefixes: `4.70 kΩ`.

use crate::quantity::{PREFIXES, Unit};
use alloc::format;
use alloc::string::String;

/// The decimal sign of a language.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Decimal {
    /// A point.
    #[default]
    Point,
    /// A comma.
    Comma,
}

/// `value` with `digits` significant digits (1 to 9), a prefix where the unit takes one, and its symbol.
///
/// Ratios are shown as percent, times of a minute and more as hours and minutes.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::{Unit, text::{Decimal, write}};
/// assert_eq!(write(4700.0, Unit::Ohm, 3, Decimal::Point), "4.70 kΩ");
/// assert_eq!(write(0.0000001, Unit::Farad, 2, Decimal::Point), "100 nF");
/// assert_eq!(write(2.2, Unit::AmpereHour, 3, Decimal::Comma), "2,20 Ah");
/// assert_eq!(write(5400.0, Unit::Second, 3, Decimal::Point), "1 h 30 min");
/// ```
#[must_use]
pub fn write(value: f64, unit: Unit, digits: usize, decimal: Decimal) -> String {
    if !value.is_finite() {
        return String::from("–");
    }
    let digits = digits.clamp(1, 9);
    if unit == Unit::Second && libm::fabs(value) >= 60.0 {
        return time(value);
    }
    let shown = if unit == Unit::Ratio { value * 100.0 } else { value };
    let (mantissa, exponent) = scientific(shown, digits);
    let power = if takes_prefix(unit) { prefix_power(unit, exponent) } else { 0 };
    let number = plain(&mantissa, exponent - power);
    let number = if decimal == Decimal::Comma { number.replace('.', ",") } else { number };
    let prefix =
        PREFIXES.iter().find(|(_, there)| *there == power).map_or(String::new(), |(letter, _)| String::from(*letter));
    let symbol = unit.symbols().first().map_or("", |symbol| symbol.text);
    let sign = if shown < 0.0 { "−" } else { "" };
    if symbol.is_empty() { format!("{sign}{number}") } else { format!("{sign}{number} {prefix}{symbol}") }
}

/// Hours and minutes, rounded down: a promise of time is never rounded up.
fn time(value_s: f64) -> String {
    let minutes = libm::floor(libm::fabs(value_s) / 60.0);
    let hours = libm::floor(minutes / 60.0);
    let left = minutes - 60.0 * hours;
    let sign = if value_s < 0.0 { "−" } else { "" };
    if hours >= 48.0 {
        format!("{sign}{:.0} d {:.0} h", libm::floor(hours / 24.0), hours - 24.0 * libm::floor(hours / 24.0))
    } else if hours > 0.0 {
        format!("{sign}{hours:.0} h {left:02.0} min")
    } else {
        format!("{sign}{left:.0} min")
    }
}

fn takes_prefix(unit: Unit) -> bool {
    unit.symbols().first().is_some_and(|symbol| symbol.prefixed)
}

/// Digits of `value` without sign and point, and the power of ten of the first.
fn scientific(value: f64, digits: usize) -> (String, i32) {
    let text = format!("{:.*e}", digits - 1, libm::fabs(value));
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    (mantissa.replace('.', ""), exponent.parse().unwrap_or(0))
}

/// Power of the prefix that keeps one to three digits before the decimal sign.
fn prefix_power(unit: Unit, exponent: i32) -> i32 {
    let power = exponent.div_euclid(3) * 3;
    let (low, high) = match unit {
        Unit::Volt | Unit::AmpereHour | Unit::WattHour | Unit::Metre => (-3, 0),
        Unit::Ampere | Unit::Watt | Unit::Second => (-6, 3),
        Unit::Farad | Unit::Henry => (-12, 0),
        _ => (-3, 9),
    };
    power.clamp(low, high)
}

/// Digits with the decimal sign after the first and `exponent` more.
fn plain(digits: &str, exponent: i32) -> String {
    if exponent < 0 {
        let zeros = "0".repeat(usize::try_from(-exponent - 1).unwrap_or(0));
        return format!("0.{zeros}{digits}");
    }
    let whole = usize::try_from(exponent).unwrap_or(0) + 1;
    if whole >= digits.len() {
        return format!("{digits}{}", "0".repeat(whole - digits.len()));
    }
    let (before, after) = digits.split_at(whole);
    format!("{before}.{after}")
}
