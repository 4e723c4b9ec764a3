//! Values to choose parts from: a preferred series, or what lies in the drawer with its pairs.
//!
//! ```text
//! preferred   mantissa · 10^k between two ends, both included
//! drawer      single, in series (a + b), in parallel (a·b / (a + b)); for capacitors the other way round
//! ```
//!
//! A drawer's value may be used as often as needed. Source: Ohm's law, and IEC 60063 in [`crate::data::series`].

use crate::data::series::Series;
use crate::error::{Check, Error};
use crate::quantity::decimal::double;
use crate::quantity::order::sort_by;
use alloc::format;
use alloc::vec::Vec;

/// Most values of one kind in a drawer.
pub const DRAWER_MOST: usize = 40;

/// One part, or two together, that give a value.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Made {
    /// The value, in ohms or farads.
    pub value: f64,
    /// First part, in ohms or farads.
    pub first: f64,
    /// Second part, where there is one.
    pub second: Option<f64>,
    /// How the two stand together.
    pub joined: Joined,
}

/// How two parts stand together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Joined {
    /// One part.
    Single,
    /// One after the other.
    InSeries,
    /// Side by side.
    InParallel,
}

impl Made {
    /// How many parts it takes.
    #[must_use]
    pub fn parts(&self) -> u32 {
        if self.second.is_some() { 2 } else { 1 }
    }

    fn single(value: f64) -> Self {
        Self { value, first: value, second: None, joined: Joined::Single }
    }
}

/// The value of a series nearest to `value` as a ratio, for any positive number.
///
/// # Errors
///
/// Names `value` where it is not a number between 1e-15 and 1e15.
///
/// # Examples
///
/// ```
/// # use cellwright::{data::series::Series, part::choice::nearest};
/// assert_eq!(nearest(Series::E12, 14.4e3)?, 15e3);
/// assert!(nearest(Series::E12, 0.0).is_err());
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn nearest(series: Series, value: f64) -> Result<f64, Error> {
    let value = crate::error::within("value", value, 1e-15, 1e15)?;
    let away = |candidate: f64| libm::fabs(libm::log(candidate / value));
    let around = preferred(series, value / 10.0, value * 10.0);
    Ok(around.into_iter().min_by(|a, b| away(*a).total_cmp(&away(*b))).unwrap_or(value))
}

/// Every value of a series between two ends, both included and positive, rising; each is the double nearest to the
/// decimal value.
///
/// # Examples
///
/// ```
/// # use cellwright::{data::series::Series, part::choice::preferred};
/// assert_eq!(preferred(Series::E3, 1e3, 1e4), [1e3, 2.2e3, 4.7e3, 1e4]);
/// assert!(preferred(Series::E3, 0.0, 1e4).is_empty());
/// ```
#[must_use]
pub fn preferred(series: Series, low: f64, high: f64) -> Vec<f64> {
    let mut values = Vec::new();
    if !(1e-20..=1e20).contains(&low) || !(1e-20..=1e20).contains(&high) {
        return values;
    }
    for power in decade(low)..=decade(high) {
        for hundredths in series.hundredths() {
            let value: f64 = double(&format!("{hundredths}e{}", power - 2)).unwrap_or(0.0);
            if value >= low && value <= high {
                values.push(value);
            }
        }
    }
    values
}

/// Power of ten of the first digit, taken from the shortest decimal form.
fn decade(value: f64) -> i32 {
    let text = format!("{value:e}");
    text.split_once('e').and_then(|split| split.1.parse().ok()).unwrap_or(0)
}

/// Resistors of a drawer, alone and in pairs, rising; of equal values the one with fewer parts.
#[must_use]
pub fn resistors(ohms: &[f64]) -> Vec<Made> {
    made(ohms, Joined::InSeries, Joined::InParallel)
}

/// Capacitors of a drawer, alone and in pairs, rising; of equal values the one with fewer parts.
#[must_use]
pub fn capacitors(farads: &[f64]) -> Vec<Made> {
    made(farads, Joined::InParallel, Joined::InSeries)
}

/// Single values only.
#[must_use]
pub fn singles(values: &[f64]) -> Vec<Made> {
    settled(values.iter().map(|value| Made::single(*value)).collect())
}

fn made(values: &[f64], adding: Joined, shrinking: Joined) -> Vec<Made> {
    let mut list: Vec<Made> = values.iter().map(|value| Made::single(*value)).collect();
    for (index, first) in values.iter().enumerate() {
        for second in values.iter().skip(index) {
            let (first, second) = (*first, Some(*second));
            let other = second.unwrap_or(first);
            list.push(Made { value: first + other, first, second, joined: adding });
            list.push(Made { value: first * other / (first + other), first, second, joined: shrinking });
        }
    }
    settled(list)
}

fn settled(mut list: Vec<Made>) -> Vec<Made> {
    sort_by(&mut list, |a, b| a.value.total_cmp(&b.value).then(a.parts().cmp(&b.parts())));
    list.dedup_by(|later, earlier| later.value.to_bits() == earlier.value.to_bits());
    list
}

/// Notes every value of a drawer that is out of range, and a drawer that holds nothing or too much.
pub(crate) fn check_drawer(check: &mut Check, field: &'static str, values: &[f64], low: f64, high: f64) {
    if values.is_empty() || values.len() > DRAWER_MOST {
        let accepted = format!("1 to {DRAWER_MOST} values");
        check.note(Error::other(field, format!("{} values", values.len()), accepted));
    }
    for (index, value) in values.iter().enumerate() {
        if let Err(error) = crate::error::within(field, *value, low, high) {
            check.inside(field, |check| check.note(error.placed(format!("/{index}"))));
        }
    }
}
