//! Frequency and duty of a timer over the battery, the temperature and the knob.
//!
//! Every combination of the given supplies (such as the full, half and empty pack), temperatures and knob places, each
//! answered by [`crate::part::timing`].

use crate::error::{Check, Error};
use crate::part::timing::{Outcome, Timer};
use alloc::format;
use alloc::vec::Vec;

/// Most places in each of the three lists.
const MOST: usize = 25;

/// Asks for a table of a timer.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TimerSpan {
    /// The timer.
    pub timer: Timer,
    /// Supplies, in volts: the full, half and empty pack.
    pub supply_v: Vec<f64>,
    /// Temperatures, in degrees Celsius.
    pub temperature_degc: Vec<f64>,
    /// Places of the knob, 0 to 1.
    pub wiper_ratio: Vec<f64>,
}

/// One combination.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SpanRow {
    /// Supply, in volts.
    pub supply_v: f64,
    /// Temperature, in degrees Celsius.
    pub temperature_degc: f64,
    /// Place of the knob, 0 to 1.
    pub wiper_ratio: f64,
    /// What the timer does there.
    pub outcome: Outcome,
}

/// The table and its ends.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TimerSpanAnswer {
    /// Every combination: supplies outermost, knob places innermost.
    pub rows: Vec<SpanRow>,
    /// Lowest frequency of the table, in hertz; none where nothing runs.
    pub frequency_low_hz: Option<f64>,
    /// Highest frequency of the table, in hertz.
    pub frequency_high_hz: Option<f64>,
    /// Lowest duty of the table.
    pub duty_low: Option<f64>,
    /// Highest duty of the table.
    pub duty_high: Option<f64>,
}

impl TimerSpan {
    /// The table.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::timer::TimerPart;
    /// # use cellwright::part::timing::{Circuit, Timer, TwoResistor};
    /// # use cellwright::run::timer_span::TimerSpan;
    /// let circuit = Circuit::TwoResistor(TwoResistor { ra_ohm: 10e3, rb_ohm: 47e3, c_f: 100e-9 });
    /// let timer = Timer::new(TimerPart::Bipolar, circuit);
    /// let span = TimerSpan {
    ///     timer, supply_v: vec![12.6, 11.1, 9.0], temperature_degc: vec![20.0], wiper_ratio: vec![0.5],
    /// };
    /// assert_eq!(span.answer()?.rows.len(), 3);
    /// assert!(TimerSpan { wiper_ratio: vec![1.5], ..span }.answer().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<TimerSpanAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let mut rows = Vec::new();
        for supply_v in &self.supply_v {
            for temperature_degc in &self.temperature_degc {
                for wiper_ratio in &self.wiper_ratio {
                    let outcome = self.timer.turned(*wiper_ratio).judged(*supply_v, *temperature_degc);
                    let (supply_v, temperature_degc, wiper_ratio) = (*supply_v, *temperature_degc, *wiper_ratio);
                    rows.push(SpanRow { supply_v, temperature_degc, wiper_ratio, outcome });
                }
            }
        }
        let cycles =
            || rows.iter().filter_map(|row| if let Outcome::Runs(cycle) = &row.outcome { Some(cycle) } else { None });
        Ok(TimerSpanAnswer {
            frequency_low_hz: cycles().map(|cycle| cycle.frequency_hz).reduce(f64::min),
            frequency_high_hz: cycles().map(|cycle| cycle.frequency_hz).reduce(f64::max),
            duty_low: cycles().map(|cycle| cycle.duty).reduce(f64::min),
            duty_high: cycles().map(|cycle| cycle.duty).reduce(f64::max),
            rows,
        })
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("timer", |check| self.timer.check(check));
        list(check, "supply_v", &self.supply_v, 0.5, 60.0);
        list(check, "temperature_degc", &self.temperature_degc, -40.0, 125.0);
        list(check, "wiper_ratio", &self.wiper_ratio, 0.0, 1.0);
    }
}

fn list(check: &mut Check, field: &'static str, values: &[f64], low: f64, high: f64) {
    if values.is_empty() || values.len() > MOST {
        check.note(Error::other(field, format!("{} values", values.len()), format!("1 to {MOST} values")));
    }
    for (index, value) in values.iter().enumerate() {
        if let Err(error) = crate::error::within(field, *value, low, high) {
            check.inside(field, |check| check.note(error.placed(format!("/{index}"))));
        }
    }
}
