//! Capacity of a cell from the log of a discharge.
//!
//! ```text
//! capacity_ah = Σ (current between two readings) · (time between) / 3600,   current = cell_v / resistor_ohm, or steady
//! energy_wh   = Σ (voltage · current between two readings) · (time between) / 3600
//! ```
//!
//! Likely values by the mean of both readings (trapezoids). A discharging cell's voltage only falls, so the truth lies
//! between the sum with each interval's first reading and that with its last: gaps in the log are part of the doubt,
//! beside the meter's gain and digits. A voltage that rises by more than the meter can be off means that the load was
//! off or another cell was read, and is refused. Source: the integral itself; meter errors as in [`super`].

use super::{Ammeter, Voltmeter};
use crate::error::{Check, Error};
use crate::quantity::Interval;
use alloc::format;
use alloc::vec::Vec;

/// Most readings of a log.
pub const READINGS_MAX: usize = 20_000;

/// What draws the current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum DischargedBy {
    /// A resistor across the cell.
    Resistor {
        /// The resistor with its leads, hot as it was, in ohms.
        resistor_ohm: Interval,
    },
    /// A steady current, by the load's own setting.
    Steady {
        /// The current with the load's own accuracy, in amperes.
        current_a: Interval,
    },
    /// A steady current that an ammeter shows.
    Shown {
        /// The reading, in amperes.
        current_a: f64,
        /// The ammeter.
        ammeter: Ammeter,
    },
}

/// One reading of the log.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LogReading {
    /// Time since the start, in seconds.
    pub time_s: f64,
    /// Voltage at the cell's own ends under load, in volts.
    pub cell_v: f64,
}

/// Asks for the capacity.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DischargeLog {
    /// The voltmeter, on one range throughout.
    pub voltmeter: Voltmeter,
    /// What drew the current.
    pub discharged_by: DischargedBy,
    /// The readings in the order of time, at least two.
    pub readings: Vec<LogReading>,
    /// Voltage under load at which the test counts as ended, in volts; the last reading where it is left out.
    pub end_v: Option<f64>,
}

/// A measured capacity.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct MeasuredCapacity {
    /// Charge delivered until the end voltage, in ampere-hours.
    pub capacity_ah: Interval,
    /// Energy delivered until then, in watt-hours.
    pub energy_wh: Interval,
    /// Time until then, in seconds.
    pub time_s: f64,
    /// Mean current, in amperes.
    pub mean_a: f64,
    /// Voltage at which it was counted as ended, in volts.
    pub end_v: f64,
    /// Whether the log stops above the end voltage: the capacity is then a lower bound for the whole.
    pub ended_early: bool,
    /// Half width of the capacity that comes from the gaps between the readings alone, in ampere-hours.
    pub gaps_ah: f64,
}

/// Sums over the log at one combination of extremes.
#[derive(Clone, Copy, Debug, Default)]
struct Sums {
    charge: f64,
    energy: f64,
}

/// Which reading of each interval stands for it.
#[derive(Clone, Copy, Debug)]
enum Rule {
    Lower,
    Mean,
    Upper,
}

impl DischargeLog {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("voltmeter", |check| self.voltmeter.check(check));
        check.inside("discharged_by", |check| match &self.discharged_by {
            DischargedBy::Resistor { resistor_ohm } => {
                check.inside("resistor", |check| resistor_ohm.note(check, "resistor_ohm", 1e-2, 1e5));
            }
            DischargedBy::Steady { current_a } => {
                check.inside("steady", |check| current_a.note(check, "current_a", 1e-3, 1000.0));
            }
            DischargedBy::Shown { current_a, ammeter } => check.inside("shown", |check| {
                check.within("current_a", *current_a, 1e-3, 1000.0);
                check.inside("ammeter", |check| ammeter.check(check));
                if ammeter.digits * ammeter.step_a >= *current_a {
                    let given = format!("± {} A on {current_a} A", ammeter.digits * ammeter.step_a);
                    check.note(Error::other("current_a", given, "a current above the ammeter's doubt"));
                }
            }),
        });
        if let Some(end_v) = self.end_v {
            check.within("end_v", end_v, 0.3, 5.0);
        }
        if !(2..=READINGS_MAX).contains(&self.readings.len()) {
            check.note(Error::range("readings", self.readings.len() as f64, 2.0, READINGS_MAX as f64));
        }
        for (place, reading) in self.readings.iter().enumerate() {
            let before = place.checked_sub(1).and_then(|before| self.readings.get(before));
            check.inside("readings", |check| check.inside(place, |check| self.check_reading(check, before, reading)));
        }
    }

    fn check_reading(&self, check: &mut Check, before: Option<&LogReading>, reading: &LogReading) {
        check.within("time_s", reading.time_s, 0.0, 1e8);
        check.within("cell_v", reading.cell_v, 0.1, 5.0);
        let Some(before) = before else { return };
        if reading.time_s <= before.time_s {
            let accepted = format!("a time after {} s", before.time_s);
            check.note(Error::other("time_s", format!("{} s", reading.time_s), accepted));
        }
        let most_v = before.cell_v + 2.0 * self.voltmeter.error_v();
        if reading.cell_v > most_v {
            let accepted = format!("at most {most_v:.4} V: under load the voltage only falls");
            check.note(Error::other("cell_v", format!("{} V after {} V", reading.cell_v, before.cell_v), accepted));
        }
    }

    /// The capacity with its doubt.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs: times that do not rise, a voltage that rises under load, an end
    /// voltage that the first reading lies under already.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::measure::Voltmeter;
    /// # use cellwright::part::measure::capacity::{DischargeLog, DischargedBy, LogReading};
    /// # use cellwright::Interval;
    /// let log = DischargeLog {
    ///     voltmeter: Voltmeter { reading_ratio: 0.005, digits: 2.0, step_v: 0.01 },
    ///     discharged_by: DischargedBy::Steady { current_a: Interval::around(0.5, 0.01) },
    ///     readings: [(0.0, 4.1), (7200.0, 3.6), (14400.0, 3.0)]
    ///         .map(|(time_s, cell_v)| LogReading { time_s, cell_v })
    ///         .to_vec(),
    ///     end_v: Some(3.0),
    /// };
    /// let answer = log.answer()?;
    /// assert!((answer.capacity_ah.likely - 2.0).abs() < 1e-12);
    /// assert!((answer.energy_wh.likely - 7.15).abs() < 1e-12);
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<MeasuredCapacity, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let first_v = self.readings.first().map_or(0.0, |reading| reading.cell_v);
        let last_v = self.readings.last().map_or(0.0, |reading| reading.cell_v);
        if let Some(end_v) = self.end_v.filter(|end_v| first_v <= *end_v) {
            let error = Error::other("end_v", format!("{end_v} V"), format!("a voltage under the first, {first_v} V"));
            return Err([error].into());
        }
        let whole = self.until(self.end_v.unwrap_or(0.0));
        let (low, high) = (self.sums(&whole, Rule::Lower, -1.0), self.sums(&whole, Rule::Upper, 1.0));
        let likely = self.sums(&whole, Rule::Mean, 0.0);
        let gaps = self.sums(&whole, Rule::Upper, 0.0).charge - self.sums(&whole, Rule::Lower, 0.0).charge;
        let interval = |of: fn(&Sums) -> f64| Interval {
            low: of(&low) / 3600.0,
            likely: of(&likely) / 3600.0,
            high: of(&high) / 3600.0,
        };
        Ok(MeasuredCapacity {
            capacity_ah: interval(|sums| sums.charge),
            energy_wh: interval(|sums| sums.energy),
            time_s: whole.likely_s,
            mean_a: likely.charge / whole.likely_s,
            end_v: self.end_v.unwrap_or(last_v),
            ended_early: self.end_v.is_some_and(|end_v| self.readings.iter().all(|reading| reading.cell_v > end_v)),
            gaps_ah: 0.5 * gaps / 3600.0,
        })
    }

    /// Readings until the first at or under the end voltage, and the times between which it was reached; all of them
    /// where none is.
    fn until(&self, end_v: f64) -> Whole {
        let start_s = self.readings.first().map_or(0.0, |reading| reading.time_s);
        let shifted = |reading: &LogReading| LogReading { time_s: reading.time_s - start_s, ..*reading };
        let mut kept: Vec<LogReading> =
            self.readings.iter().take_while(|reading| reading.cell_v > end_v).map(shifted).collect();
        let after = self.readings.get(kept.len()).map(shifted);
        let last = if after.is_some() { kept.last().copied() } else { kept.pop() };
        let before = last.unwrap_or(LogReading { time_s: 0.0, cell_v: end_v });
        let Some(after) = after else {
            let time_s = before.time_s;
            return Whole { kept, end_v: before.cell_v, low_s: time_s, likely_s: time_s, high_s: time_s };
        };
        let share = (before.cell_v - end_v) / (before.cell_v - after.cell_v);
        let likely_s = before.time_s + (after.time_s - before.time_s) * share;
        let (low_s, high_s) = if after.cell_v == end_v { (likely_s, likely_s) } else { (before.time_s, after.time_s) };
        Whole { kept, end_v, low_s, likely_s, high_s }
    }

    /// Sums with one rule and the meters at one extreme (−1, 0 or 1).
    fn sums(&self, whole: &Whole, rule: Rule, extreme: f64) -> Sums {
        let meter = &self.voltmeter;
        // A gain that reads high means a smaller truth.
        let true_v = |shown_v: f64| meter.true_v(shown_v, -extreme, -extreme);
        let current_a = |cell_v: f64| match &self.discharged_by {
            DischargedBy::Resistor { resistor_ohm } => cell_v / at(resistor_ohm, -extreme),
            DischargedBy::Steady { current_a } => at(current_a, extreme),
            DischargedBy::Shown { current_a, ammeter } => ammeter.true_a(*current_a, -extreme, -extreme),
        };
        let end_s = match rule {
            Rule::Lower => whole.low_s,
            Rule::Mean => whole.likely_s,
            Rule::Upper => whole.high_s,
        };
        let mut sums = Sums::default();
        let end = LogReading { time_s: end_s, cell_v: whole.end_v };
        let following = whole.kept.iter().skip(1).chain(core::iter::once(&end));
        for (from, to) in whole.kept.iter().zip(following) {
            let (high, low) = if from.cell_v > to.cell_v { (from.cell_v, to.cell_v) } else { (to.cell_v, from.cell_v) };
            let cell_v = true_v(match rule {
                Rule::Lower => low,
                Rule::Mean => 0.5 * (high + low),
                Rule::Upper => high,
            });
            let charge = current_a(cell_v) * (to.time_s - from.time_s);
            sums.charge += charge;
            sums.energy += charge * cell_v;
        }
        sums
    }
}

/// The part of a log that counts.
struct Whole {
    kept: Vec<LogReading>,
    end_v: f64,
    low_s: f64,
    likely_s: f64,
    high_s: f64,
}

fn at(value: &Interval, extreme: f64) -> f64 {
    match extreme {
        below if below < 0.0 => value.low,
        above if above > 0.0 => value.high,
        _ => value.likely,
    }
}
