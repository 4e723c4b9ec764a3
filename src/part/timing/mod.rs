//! Resistors, a capacitor and thresholds to period and duty.
//!
//! ```text
//! charging      from the trigger level to the threshold, toward the supply, through R_charge (and a diode)
//! discharging   from the threshold to the trigger level, toward the discharge pin, through R_discharge (and a diode)
//! discharge pin seen through ra: (ra·v₀ + r_on·supply) / (ra + r_on) behind ra·r_on / (ra + r_on)
//! ```
//!
//! Each phase is exact, with the diode's law instead of a fixed drop. The comparators' delay lets each
//! phase run on past its level. High means charging. Outside the part's range the answer says so instead of a number.
//! Source: equations of the LM555 and NE555 data sheets, extended from first principles.

mod circuit;
mod decay;
mod one_shot;
mod ramp;
mod range;

pub(crate) use circuit::Phases;
pub use circuit::{Circuit, DiodeSteered, ThresholdRamp, TwoResistor};
pub use one_shot::{OneShot, OneShotAnswer, PRESS_WORDS};
pub use ramp::{Ramp, Sawtooth, Triangle};
pub use range::{Limit, Note, Outside};

use crate::data::timer::{TimerPart, TimerRow};
use crate::error::{Check, Error};
use crate::quantity::Interval;
use alloc::vec::Vec;

/// Temperature that is taken where none is given, in degrees Celsius.
pub const TIMER_DEGC: f64 = 27.0;

/// A timer with its parts around it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Timer {
    /// Which timer; for a comparator circuit, the part whose supply range counts.
    pub part: TimerPart,
    /// The parts around it.
    pub circuit: Circuit,
    /// Delay of the comparators and the latch, in seconds; without it the law ends at 100 kHz.
    pub latch_delay_s: Option<f64>,
    /// Measured resistance of the conducting discharge pin, in ohms, in place of the part's saturation line.
    pub discharge_on_ohm: Option<f64>,
    /// Capacitor on the control pin, in farads.
    pub control_capacitor_f: Option<f64>,
}

/// Asks what a timer does at one supply and temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TimerQuestion {
    /// The timer.
    pub timer: Timer,
    /// Supply of the timer, in volts.
    pub supply_v: f64,
    /// Temperature of the diodes, in degrees Celsius; 27 °C where left out.
    pub temperature_degc: Option<f64>,
}

/// One period.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Cycle {
    /// Time of charging, output high, in seconds.
    pub high_s: f64,
    /// Time of discharging, output low, in seconds.
    pub low_s: f64,
    /// Both together, in seconds.
    pub period_s: f64,
    /// Frequency, in hertz.
    pub frequency_hz: f64,
    /// Share of the period with the output high, 0 to 1.
    pub duty: f64,
    /// Lowest voltage of the capacitor, in volts.
    pub capacitor_low_v: f64,
    /// Highest voltage of the capacitor, in volts.
    pub capacitor_high_v: f64,
    /// Largest current into the discharge pin, in amperes; 0 where there is none.
    pub discharge_a: f64,
}

/// What the timer does, or why that cannot be told.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Outcome {
    /// It runs like this.
    Runs(Cycle),
    /// Outside the range of the part or the law: no number.
    Outside(Vec<Outside>),
}

/// Answer to a [`TimerQuestion`].
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TimerAnswer {
    /// What the timer does.
    pub outcome: Outcome,
    /// Frequency between the spread of the part alone, resistors and capacitor exact; none outside the range.
    pub part_band_hz: Option<Interval>,
    /// Frequency by the printed formula without drops, where there is one.
    pub printed_hz: Option<f64>,
    /// What else to know.
    pub notes: Vec<Note>,
}

impl Cycle {
    pub(crate) fn of(high_s: f64, low_s: f64) -> Self {
        let period_s = high_s + low_s;
        Self {
            high_s,
            low_s,
            period_s,
            frequency_hz: 1.0 / period_s,
            duty: high_s / period_s,
            capacitor_low_v: 0.0,
            capacitor_high_v: 0.0,
            discharge_a: 0.0,
        }
    }
}

impl Timer {
    /// A timer without delay, measured discharge resistance or control capacitor.
    #[must_use]
    pub const fn new(part: TimerPart, circuit: Circuit) -> Self {
        Self { part, circuit, latch_delay_s: None, discharge_on_ohm: None, control_capacitor_f: None }
    }

    /// The part's row, with the measured discharge resistance where there is one.
    #[must_use]
    pub fn row(&self) -> TimerRow {
        match self.discharge_on_ohm {
            Some(discharge_ohm) => TimerRow { discharge_ohm, discharge_v: 0.0, ..self.part.row() },
            None => self.part.row(),
        }
    }

    /// The same timer with its knob at `wiper_ratio`: the wiper, or the level a ramp is held against.
    #[must_use]
    pub fn turned(&self, wiper_ratio: f64) -> Self {
        Self { circuit: self.circuit.turned(wiper_ratio), ..*self }
    }

    /// The period at a supply and a temperature, or why it cannot be told.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    pub fn outcome(&self, supply_v: f64, temperature_degc: f64) -> Result<Outcome, Vec<Error>> {
        let question = TimerQuestion { timer: *self, supply_v, temperature_degc: Some(temperature_degc) };
        let mut check = Check::new();
        question.check(&mut check);
        check.finish()?;
        Ok(self.judged(supply_v, temperature_degc))
    }

    /// Frequency by the formula the part's data sheet prints, k / ((ra + 2·rb)·c), for the plain circuit alone.
    #[must_use]
    pub fn printed_hz(&self) -> Option<f64> {
        match &self.circuit {
            Circuit::TwoResistor(two) => {
                Some(self.part.row().printed_ratio / ((two.ra_ohm + 2.0 * two.rb_ohm) * two.c_f))
            }
            _ => None,
        }
    }

    /// The period with another row in place of the part's own, the range not judged.
    pub(crate) fn cycle_of(&self, row: &TimerRow, supply_v: f64, temperature_degc: f64) -> Option<Cycle> {
        self.circuit.cycle(row, supply_v, self.latch_delay_s.unwrap_or(0.0), temperature_degc)
    }

    /// As [`Timer::outcome`], for inputs that are already checked.
    pub(crate) fn judged(&self, supply_v: f64, temperature_degc: f64) -> Outcome {
        let cycle = self.cycle_of(&self.row(), supply_v, temperature_degc);
        let outside = range::outside(self, supply_v, cycle.as_ref());
        match cycle {
            Some(cycle) if outside.is_empty() => Outcome::Runs(cycle),
            _ => Outcome::Outside(outside),
        }
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("part", |check| self.part.check(check));
        check.inside("circuit", |check| self.circuit.check(check));
        if let Some(delay_s) = self.latch_delay_s {
            check.within("latch_delay_s", delay_s, 0.0, 1e-3);
        }
        if let Some(ohm) = self.discharge_on_ohm {
            check.within("discharge_on_ohm", ohm, 0.0, 1e4);
        }
        if let Some(capacitor_f) = self.control_capacitor_f {
            check.within("control_capacitor_f", capacitor_f, 0.0, 1e-3);
        }
    }
}

impl TimerQuestion {
    /// What the timer does, with the band of the part and what else to know.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::timer::TimerPart;
    /// # use cellwright::part::timing::{Circuit, Outcome, Timer, TimerQuestion, TwoResistor};
    /// let circuit = Circuit::TwoResistor(TwoResistor { ra_ohm: 10e3, rb_ohm: 47e3, c_f: 10e-9 });
    /// let timer = Timer::new(TimerPart::Bipolar, circuit);
    /// let question = TimerQuestion { timer, supply_v: 12.0, temperature_degc: None };
    /// let Outcome::Runs(cycle) = question.answer()?.outcome else { panic!() };
    /// assert!((cycle.frequency_hz - 1381.57).abs() < 0.01);
    /// let errors = TimerQuestion { supply_v: -1.0, ..question }.answer().unwrap_err();
    /// assert_eq!(errors[0].path(), "/supply_v");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<TimerAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let outcome = self.timer.judged(self.supply_v, self.temperature_degc.unwrap_or(TIMER_DEGC));
        let (part_band_hz, notes) = range::told(&self.timer, &outcome);
        Ok(TimerAnswer { outcome, part_band_hz, printed_hz: self.timer.printed_hz(), notes })
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("timer", |check| self.timer.check(check));
        check.within("supply_v", self.supply_v, 0.5, 60.0);
        check.within("temperature_degc", self.temperature_degc.unwrap_or(TIMER_DEGC), -40.0, 125.0);
    }
}
