//! How far frequency and duty of a timer may lie from what its parts say.
//!
//! ```text
//! corners       every part at either end of its tolerance, all combinations
//! percentiles   parts drawn evenly between their ends, seeded
//! thresholds    spread so that a single shot, ln(1/(1 − k)), is off by the part's largest timing error;
//!               the trigger level moves with them
//! ```
//!
//! Capacitor: tolerance when bought, times the change over temperature that its class allows. Frequency drifts with
//! temperature as the part's sheet says, and the diodes follow their own law. Not counted: ageing, leakage, and what
//! class-2 ceramics lose under voltage. Source: data sheets in [`crate::data::timer`], classes in
//! [`crate::data::dielectric`]; even spread between the ends: common practice, no source.

mod vary;

use crate::data::dielectric::Dielectric;
use crate::error::{Check, Error};
use crate::part::timing::{Outcome, Timer};
use crate::quantity::Interval;
use crate::quantity::draw::{Draws, percentile};
use crate::quantity::order::sort_numbers;
use alloc::vec::Vec;
use vary::{Variables, Varied};

/// How exact the parts of a timer are.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TimerTolerance {
    /// The timer with the values its parts are marked with.
    pub timer: Timer,
    /// Supply, in volts.
    pub supply_v: Interval,
    /// Temperature around the timer, in degrees Celsius.
    pub temperature_degc: Interval,
    /// Tolerance of the resistors, to both sides; 0.05 is five percent.
    pub resistor_ratio: f64,
    /// Tolerance of the potentiometer, to both sides; 0.2 where left out.
    pub pot_ratio: Option<f64>,
    /// What the capacitor is made of; sets what is left out below.
    pub dielectric: Dielectric,
    /// Tolerance of the capacitor downward, a negative ratio.
    pub capacitor_low_ratio: Option<f64>,
    /// Tolerance of the capacitor upward.
    pub capacitor_high_ratio: Option<f64>,
    /// Whether the change over temperature that the capacitor's class allows is counted; yes where left out.
    pub over_temperature: Option<bool>,
    /// Seed of the draws: the same seed gives the same percentiles.
    pub seed: u32,
    /// Number of draws, 100 to 20000; 2000 where left out.
    pub draws: Option<u32>,
}

/// Where a quantity may lie.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Spread {
    /// Lowest corner.
    pub low: f64,
    /// 10th percentile of the draws.
    pub tenth: f64,
    /// Median of the draws.
    pub median: f64,
    /// 90th percentile of the draws.
    pub ninetieth: f64,
    /// Highest corner.
    pub high: f64,
}

/// What one part alone does to the frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Share {
    /// Name of the input that varies.
    pub part: &'static str,
    /// Frequency with that part alone at its lower end, over the frequency with marked values.
    pub at_low_ratio: f64,
    /// Frequency with that part alone at its upper end, over the frequency with marked values.
    pub at_high_ratio: f64,
}

/// Frequency and duty with their spread.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TimerToleranceAnswer {
    /// With marked values, likely supply and temperature.
    pub outcome: Outcome,
    /// Frequency, in hertz; none where a corner leaves the law.
    pub frequency_hz: Option<Spread>,
    /// Duty, 0 to 1; none where a corner leaves the law.
    pub duty: Option<Spread>,
    /// What each part alone does, in the order of the inputs.
    pub shares: Vec<Share>,
    /// Whether the capacitor's class covers the temperatures.
    pub class_covers_temperature: bool,
}

impl TimerTolerance {
    /// Corners and percentiles of frequency and duty.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::{dielectric::Dielectric, timer::TimerPart};
    /// # use cellwright::part::timing::{Circuit, Timer, TwoResistor};
    /// # use cellwright::quantity::Interval;
    /// # use cellwright::run::timer_spread::TimerTolerance;
    /// let circuit = Circuit::TwoResistor(TwoResistor { ra_ohm: 10e3, rb_ohm: 47e3, c_f: 100e-9 });
    /// let tolerance = TimerTolerance {
    ///     timer: Timer::new(TimerPart::Bipolar, circuit), supply_v: Interval::exact(12.0),
    ///     temperature_degc: Interval { low: 0.0, likely: 20.0, high: 40.0 }, resistor_ratio: 0.05, pot_ratio: None,
    ///     dielectric: Dielectric::Y5v, capacitor_low_ratio: None, capacitor_high_ratio: None,
    ///     over_temperature: None, seed: 1, draws: None,
    /// };
    /// let spread = tolerance.answer()?.frequency_hz.unwrap();
    /// assert!(spread.low < spread.tenth && spread.ninetieth < spread.high);
    /// assert!(spread.high > 6.0 * spread.low, "a Y5V capacitor may lose four fifths");
    /// assert!(TimerTolerance { resistor_ratio: 1.0, ..tolerance }.answer().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<TimerToleranceAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let outcome = self.timer.judged(self.supply_v.likely, self.temperature_degc.likely);
        let variables = Variables::of(self);
        let spreads = self.spreads(&variables);
        let row = self.dielectric.row();
        let class_covers_temperature =
            self.temperature_degc.low >= row.low_degc && self.temperature_degc.high <= row.high_degc;
        Ok(TimerToleranceAnswer {
            outcome,
            frequency_hz: spreads.as_ref().map(|both| both.frequency_hz),
            duty: spreads.map(|both| both.duty),
            shares: variables.shares(self),
            class_covers_temperature,
        })
    }

    fn spreads(&self, variables: &Variables) -> Option<Both> {
        let mut corners = Ends::new();
        for corner in 0..1_u32 << variables.count() {
            let unit = |index: usize| if corner >> index & 1 == 1 { 1.0 } else { 0.0 };
            corners.take(&variables.varied(self, unit)?);
        }
        let draws = Draws::new(u64::from(self.seed), variables.count());
        let (mut frequencies, mut duties) = (Vec::new(), Vec::new());
        for index in 0..self.draws.unwrap_or(2000) {
            let varied = variables.varied(self, |dimension| draws.unit(index, dimension))?;
            frequencies.push(varied.frequency_hz);
            duties.push(varied.duty);
        }
        sort_numbers(&mut frequencies);
        sort_numbers(&mut duties);
        let spread = |sorted: &[f64], low: f64, high: f64| {
            let at = |share| percentile(sorted, share);
            Some(Spread { low, tenth: at(0.1)?, median: at(0.5)?, ninetieth: at(0.9)?, high })
        };
        Some(Both {
            frequency_hz: spread(&frequencies, corners.frequency_low, corners.frequency_high)?,
            duty: spread(&duties, corners.duty_low, corners.duty_high)?,
        })
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("timer", |check| self.timer.check(check));
        self.supply_v.note(check, "supply_v", 0.5, 60.0);
        self.temperature_degc.note(check, "temperature_degc", -40.0, 125.0);
        check.within("resistor_ratio", self.resistor_ratio, 0.0, 0.5);
        check.within("pot_ratio", self.pot_ratio.unwrap_or(0.0), 0.0, 0.5);
        check.within("capacitor_low_ratio", self.capacitor_low_ratio.unwrap_or(0.0), -0.9, 0.0);
        check.within("capacitor_high_ratio", self.capacitor_high_ratio.unwrap_or(0.0), 0.0, 5.0);
        check.within("draws", f64::from(self.draws.unwrap_or(2000)), 100.0, 20000.0);
    }
}

/// Both spreads.
struct Both {
    frequency_hz: Spread,
    duty: Spread,
}

/// Lowest and highest so far.
struct Ends {
    frequency_low: f64,
    frequency_high: f64,
    duty_low: f64,
    duty_high: f64,
}

impl Ends {
    fn new() -> Self {
        Self { frequency_low: f64::MAX, frequency_high: 0.0, duty_low: f64::MAX, duty_high: 0.0 }
    }

    fn take(&mut self, varied: &Varied) {
        self.frequency_low = self.frequency_low.min(varied.frequency_hz);
        self.frequency_high = self.frequency_high.max(varied.frequency_hz);
        self.duty_low = self.duty_low.min(varied.duty);
        self.duty_high = self.duty_high.max(varied.duty);
    }
}
