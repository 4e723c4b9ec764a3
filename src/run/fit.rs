//! The law of a load, the resistance of its leads and the timer's capacitor from a few readings.
//!
//! ```text
//! v·mean_a = P·(duty·v / at_v)^exponent        fitted by least squares over the logarithms
//! lead_ohm = (pack_v − v)·duty / mean_a        capacitor_ratio = frequency predicted / frequency read
//! ```
//!
//! Ends are the extremes over all corners of the readings' errors, widened by what the fit leaves over. Holds between
//! the mean voltages of the readings; the label's current counts until two readings at different settings are there.
//! Source: definition; the spread of a label is common practice, no source.

use crate::error::{Check, Error};
use crate::part::load::Draw;
use crate::part::timing::{Outcome, TIMER_DEGC, Timer};
use crate::quantity::Interval;
use alloc::vec::Vec;

/// How far a label may be off: half of it to a fifth more. Common practice, no source.
const LABEL: Interval = Interval { low: 0.5, likely: 1.0, high: 1.2 };

/// Most readings: every corner of their errors is looked at.
const READINGS_MOST: usize = 5;

/// Smallest ratio between the highest and the lowest mean voltage that tells an exponent.
const SPAN_LEAST: f64 = 1.15;

/// What the label says.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LoadLabel {
    /// Current, in amperes.
    pub current_a: f64,
    /// Voltage of that current, in volts.
    pub at_v: f64,
    /// Power grows with this power of the voltage.
    pub exponent: f64,
}

/// Meters read at one setting.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SettingReading {
    /// Duty, 0 to 1.
    pub duty: f64,
    /// Voltage across load and switch in the on-time, in volts.
    pub load_v: f64,
    /// Voltage at the pack at the same time, in volts.
    pub pack_v: Option<f64>,
    /// Mean current from the pack, in amperes.
    pub mean_a: f64,
    /// Position of the knob, 0 to 1.
    pub wiper_ratio: Option<f64>,
    /// Frequency, in hertz.
    pub frequency_hz: Option<f64>,
}

/// Readings at different settings of the knob.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LoadFit {
    /// What the label says.
    pub label: LoadLabel,
    /// The readings; two or more tell the law.
    pub readings: Vec<SettingReading>,
    /// Error of each voltage, current and frequency, to both sides, as a ratio.
    pub error_ratio: f64,
    /// The timer as it is marked.
    pub timer: Option<Timer>,
}

/// What the law rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum LoadBasis {
    /// The label alone.
    Label,
    /// Readings.
    Measured,
}

/// The law and what changed.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LoadFitAnswer {
    /// What it rests on.
    pub basis: LoadBasis,
    /// The law, with its voltage at the highest mean voltage that was read.
    pub draw: Draw,
    /// Exponent of the power over the mean voltage.
    pub exponent: Interval,
    /// Lowest and highest mean voltage between which it was measured, in volts; none where it was not.
    pub holds_from_v: Option<f64>,
    /// Its upper end.
    pub holds_to_v: Option<f64>,
    /// Power at the label's voltage by this law, in watts.
    pub label_power_w: Interval,
    /// Whether the label lies outside that.
    pub label_is_refuted: bool,
    /// Largest difference between a reading and the law, as a ratio of the power.
    pub left_over_ratio: f64,
    /// Resistance between pack and load, in ohms, where both voltages were read.
    pub lead_ohm: Option<Interval>,
    /// The timer's capacitor against its marking, where frequencies were read.
    pub capacitor_ratio: Option<Interval>,
    /// Duty read less duty worked out, where the knob's position was read.
    pub duty_shift: Option<Interval>,
}

/// A straight line over logarithms.
#[derive(Clone, Copy)]
struct Line {
    exponent: f64,
    at_zero: f64,
}

impl LoadFit {
    /// The law of the load with what changed against the label.
    ///
    /// # Errors
    ///
    /// Every value out of range, and readings that no load's law passes through.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::run::fit::{LoadBasis, LoadFit, LoadLabel, SettingReading};
    /// let read = |duty: f64, mean_a| SettingReading {
    ///     duty, load_v: 12.0, pack_v: Some(12.1), mean_a, wiper_ratio: None, frequency_hz: None,
    /// };
    /// let label = LoadLabel { current_a: 2.0, at_v: 12.0, exponent: 3.0 };
    /// let fit = LoadFit { label, readings: vec![read(0.5, 0.2), read(1.0, 1.6)], error_ratio: 0.01, timer: None };
    /// let answer = fit.answer()?;
    /// assert!((answer.exponent.likely - 3.0).abs() < 1e-9 && answer.label_is_refuted);
    /// let alone = LoadFit { readings: vec![read(1.0, 1.6)], ..fit };
    /// assert_eq!(alone.answer()?.basis, LoadBasis::Label);
    /// assert!(LoadFit { error_ratio: 2.0, ..alone }.answer().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<LoadFitAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let mut answer = if self.readings.len() < 2 { self.by_label() } else { self.measured()? };
        answer.lead_ohm = self.gathered(|reading| self.lead_ohm(reading));
        answer.capacitor_ratio = self.gathered(|reading| self.capacitor_ratio(reading));
        answer.duty_shift = self.gathered(|reading| self.duty_shift(reading));
        Ok(answer)
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("label", |check| {
            check.within("current_a", self.label.current_a, 1e-4, 1000.0);
            check.within("at_v", self.label.at_v, 0.5, 60.0);
            check.within("exponent", self.label.exponent, 0.0, 4.0);
        });
        check.within("error_ratio", self.error_ratio, 0.0, 0.2);
        if self.readings.len() > READINGS_MOST {
            check.note(Error::range("readings", self.readings.len() as f64, 0.0, READINGS_MOST as f64));
        }
        for (i, reading) in self.readings.iter().enumerate() {
            check.inside("readings", |check| check.inside(i, |check| reading.check(check)));
        }
        if let Some(timer) = &self.timer {
            check.inside("timer", |check| timer.check(check));
        }
    }

    fn by_label(&self) -> LoadFitAnswer {
        let LoadLabel { current_a, at_v, exponent } = self.label;
        let label_w = current_a * at_v;
        let power_w = Interval { low: label_w * LABEL.low, likely: label_w, high: label_w * LABEL.high };
        LoadFitAnswer {
            basis: LoadBasis::Label,
            draw: Draw::FollowsVoltage { power_w, at_v, exponent },
            exponent: Interval { low: 0.0, likely: exponent, high: 4.0 },
            holds_from_v: None,
            holds_to_v: None,
            label_power_w: power_w,
            label_is_refuted: false,
            left_over_ratio: 0.0,
            lead_ohm: None,
            capacitor_ratio: None,
            duty_shift: None,
        }
    }

    fn measured(&self) -> Result<LoadFitAnswer, Vec<Error>> {
        let volts = || self.readings.iter().map(|reading| reading.duty * reading.load_v);
        let (low_v, high_v) = (volts().fold(f64::MAX, f64::min), volts().fold(0.0, f64::max));
        if high_v < SPAN_LEAST * low_v {
            let given = alloc::format!("mean voltages from {low_v} V to {high_v} V");
            return Err(Error::other("readings", given, "settings whose mean voltages differ by 15 % or more").into());
        }
        let likely = self.line(0).ok_or_else(|| self.refused())?;
        let points = self.points(0);
        let left = points.iter().map(|(x, y)| libm::fabs(y - likely.at(*x))).fold(0.0, f64::max);
        let mut exponent = Interval::exact(likely.exponent);
        let (high_x, label_x) = (libm::log(high_v), libm::log(self.label.at_v));
        let mut power = Interval::exact(likely.at(high_x));
        let mut label = Interval::exact(likely.at(label_x));
        for corner in 0..1_u32 << (2 * self.readings.len()) {
            let line = self.line(corner + 1).ok_or_else(|| self.refused())?;
            widen(&mut exponent, line.exponent);
            widen(&mut power, line.at(high_x));
            widen(&mut label, line.at(label_x));
        }
        let told = |y: Interval| Interval {
            low: libm::exp(y.low - left),
            likely: libm::exp(y.likely),
            high: libm::exp(y.high + left),
        };
        let label_w = self.label.current_a * self.label.at_v;
        let (power_w, label_power_w) = (told(power), told(label));
        if !(0.0..=4.0).contains(&exponent.likely) {
            return Err(self.refused());
        }
        Ok(LoadFitAnswer {
            basis: LoadBasis::Measured,
            draw: Draw::FollowsVoltage { power_w, at_v: high_v, exponent: exponent.likely },
            exponent,
            holds_from_v: Some(low_v),
            holds_to_v: Some(high_v),
            label_is_refuted: !(label_power_w.low..=label_power_w.high).contains(&label_w),
            label_power_w,
            left_over_ratio: libm::expm1(left),
            ..self.by_label()
        })
    }

    fn refused(&self) -> Vec<Error> {
        let given = alloc::format!("these {}", self.readings.len());
        Error::other("readings", given, "power that grows with the 0th to 4th power of the mean voltage").into()
    }

    /// Logarithms of mean voltage and power; `corner` above 0 takes each reading's voltage and current off by the error.
    fn points(&self, corner: u32) -> Vec<(f64, f64)> {
        let off = |bit: usize| match corner.checked_sub(1) {
            None => 1.0,
            Some(signs) if signs >> bit & 1 == 1 => 1.0 + self.error_ratio,
            Some(_) => 1.0 - self.error_ratio,
        };
        let point = |(i, reading): (usize, &SettingReading)| {
            let v = reading.load_v * off(2 * i);
            (libm::log(reading.duty * v), libm::log(v * reading.mean_a * off(2 * i + 1)))
        };
        self.readings.iter().enumerate().map(point).collect()
    }

    fn line(&self, corner: u32) -> Option<Line> {
        let points = self.points(corner);
        let count = points.len() as f64;
        let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / count;
        let (x, y) = (mean(|point| point.0), mean(|point| point.1));
        let square: f64 = points.iter().map(|point| (point.0 - x) * (point.0 - x)).sum();
        let product: f64 = points.iter().map(|point| (point.0 - x) * (point.1 - y)).sum();
        let exponent = product / square;
        exponent.is_finite().then_some(Line { exponent, at_zero: y - exponent * x })
    }

    fn gathered(&self, of: impl Fn(&SettingReading) -> Option<Interval>) -> Option<Interval> {
        let all: Vec<Interval> = self.readings.iter().filter_map(of).collect();
        let likely = all.iter().map(|one| one.likely).sum::<f64>() / all.len() as f64;
        let low = all.iter().map(|one| one.low).fold(f64::MAX, f64::min);
        let high = all.iter().map(|one| one.high).fold(f64::MIN, f64::max);
        (!all.is_empty()).then_some(Interval { low, likely, high })
    }

    fn lead_ohm(&self, reading: &SettingReading) -> Option<Interval> {
        let (pack_v, e) = (reading.pack_v?, self.error_ratio);
        let of = |pack_v: f64, load_v: f64, mean_a: f64| (pack_v - load_v).max(0.0) * reading.duty / mean_a;
        let told = Interval {
            low: of(pack_v * (1.0 - e), reading.load_v * (1.0 + e), reading.mean_a * (1.0 + e)),
            likely: of(pack_v, reading.load_v, reading.mean_a),
            high: of(pack_v * (1.0 + e), reading.load_v * (1.0 - e), reading.mean_a * (1.0 - e)),
        };
        // A load above its pack by more than the meters' error is not a lead of 0 Ω.
        Some(told).filter(|ohm| ohm.high > 0.0 || pack_v >= reading.load_v)
    }

    /// The timer's period at a reading, worked out: frequency and duty; none outside its range.
    fn worked(&self, reading: &SettingReading) -> Option<(f64, f64)> {
        let timer = self.timer?.turned(reading.wiper_ratio?);
        match timer.judged(reading.pack_v.unwrap_or(reading.load_v), TIMER_DEGC) {
            Outcome::Runs(cycle) => Some((cycle.frequency_hz, cycle.duty)),
            Outcome::Outside(_) => None,
        }
    }

    fn capacitor_ratio(&self, reading: &SettingReading) -> Option<Interval> {
        let ratio = self.worked(reading)?.0 / reading.frequency_hz?;
        let e = self.error_ratio;
        Some(Interval { low: ratio / (1.0 + e), likely: ratio, high: ratio / (1.0 - e) })
    }

    fn duty_shift(&self, reading: &SettingReading) -> Option<Interval> {
        let shift = reading.duty - self.worked(reading)?.1;
        let error = self.error_ratio * reading.duty;
        Some(Interval { low: shift - error, likely: shift, high: shift + error })
    }
}

impl Line {
    fn at(self, x: f64) -> f64 {
        self.at_zero + self.exponent * x
    }
}

fn widen(interval: &mut Interval, value: f64) {
    interval.low = interval.low.min(value);
    interval.high = interval.high.max(value);
}

impl SettingReading {
    fn check(&self, check: &mut Check) {
        check.within("duty", self.duty, 0.01, 1.0);
        check.within("load_v", self.load_v, 0.1, 60.0);
        check.within("mean_a", self.mean_a, 1e-5, 1000.0);
        for (field, value, low, high) in [
            ("pack_v", self.pack_v, 0.5, 60.0),
            ("wiper_ratio", self.wiper_ratio, 0.0, 1.0),
            ("frequency_hz", self.frequency_hz, 1e-3, 1e6),
        ] {
            if let Some(value) = value {
                check.within(field, value, low, high);
            }
        }
    }
}
