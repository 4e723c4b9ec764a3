//! The slopes of all straight lines that pass through a row of doubtful readings.
//!
//! ```text
//! for each pair: (low₂ − high₁) / (t₂ − t₁) ≤ slope ≤ (high₂ − low₁) / (t₂ − t₁)
//! ```
//!
//! A slope that keeps every pair's bounds belongs to a line through all doubts, and the other way round: the doubts are
//! crossed at one height where every two of them are. Where no slope keeps them all, the change is not a straight one;
//! the bounds then hold every slope up to the last reading. Source: arithmetic of intervals.

use crate::quantity::Interval;
use alloc::vec::Vec;

/// One doubtful reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// When, in days.
    pub day: f64,
    /// Where it may lie.
    pub value: Interval,
}

/// What a row of readings says about its slope.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Change a day.
    pub per_day: Interval,
    /// Whether one straight line passes through all readings.
    pub is_straight: bool,
}

/// The slopes of the lines through all readings, which come in the order of time; none where they are all of one day.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::Interval;
/// # use cellwright::run::diary::line::{Mark, line};
/// let mark = |day: f64, likely: f64| Mark { day, value: Interval { low: likely - 1.0, likely, high: likely + 1.0 } };
/// // Two readings tell 1 ± 0.2 a day over ten days; one between them narrows it.
/// let two = line(&[mark(0.0, 0.0), mark(10.0, 10.0)]).unwrap();
/// assert!((two.per_day.low - 0.8).abs() < 1e-12 && (two.per_day.high - 1.2).abs() < 1e-12);
/// let three = line(&[mark(0.0, 0.0), mark(5.0, 6.5), mark(10.0, 10.0)]).unwrap();
/// assert!(three.is_straight && three.per_day.low > two.per_day.low - 1e-12);
/// assert!(!line(&[mark(0.0, 0.0), mark(5.0, 9.0), mark(10.0, 0.0)]).unwrap().is_straight);
/// ```
#[must_use]
pub fn line(marks: &[Mark]) -> Option<Line> {
    let last = marks.last()?;
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for (i, after) in marks.iter().enumerate() {
        for before in marks.iter().take(i).filter(|before| before.day < after.day) {
            let days = after.day - before.day;
            let slopes = ((after.value.low - before.value.high) / days, (after.value.high - before.value.low) / days);
            (low, high) = (low.max(slopes.0), high.min(slopes.1));
            if after.day == last.day {
                (least, most) = (least.min(slopes.0), most.max(slopes.1));
            }
        }
    }
    if !(least.is_finite() && most.is_finite()) {
        return None;
    }
    let is_straight = low <= high && level_within(marks);
    let (low, high) = if is_straight { (low, high) } else { (least, most) };
    let likely = least_squares(marks).unwrap_or(0.5 * (low + high)).clamp(low, high);
    Some(Line { per_day: Interval { low, likely, high }, is_straight })
}

/// Whether readings of one day have something in common.
fn level_within(marks: &[Mark]) -> bool {
    let apart = |a: &Mark, b: &Mark| a.day == b.day && (a.value.low > b.value.high || b.value.low > a.value.high);
    !marks.iter().enumerate().any(|(i, b)| marks.iter().take(i).any(|a| apart(a, b)))
}

/// Slope of the least squares through the likely values.
fn least_squares(marks: &[Mark]) -> Option<f64> {
    let count = marks.len() as f64;
    let mean = |of: fn(&Mark) -> f64| marks.iter().map(of).sum::<f64>() / count;
    let (day, value) = (mean(|mark| mark.day), mean(|mark| mark.value.likely));
    let spans: Vec<(f64, f64)> = marks.iter().map(|mark| (mark.day - day, mark.value.likely - value)).collect();
    let square = spans.iter().map(|(x, _)| x * x).sum::<f64>();
    let slope = spans.iter().map(|(x, y)| x * y).sum::<f64>() / square;
    slope.is_finite().then_some(slope)
}
