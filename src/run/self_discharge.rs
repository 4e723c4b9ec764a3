//! Self-discharge of a cell from two rest voltages and the time between.
//!
//! ```text
//! self_discharge_ratio = (soc(first rest_v) − soc(second rest_v)) · 30 days / between_s
//! ```
//!
//! soc is read from the chemistry's rest curve. Both voltages carry the meter's gain of one range together and each its
//! own digits ([`crate::part::measure`]); a change of the cell's temperature moves the rest voltage by up to
//! [`TEMPERATURE_V_PER_K`]. Where the curve is flat a millivolt is several percent of charge, and the answer then says
//! how long to wait, or what step the meter must show. Charging leaves a surface charge that fades over hours and looks
//! like self-discharge: the first reading is refused within [`RESTED_LEAST_S`].
//! Holds at rest with nothing connected, for a cell whose rest curve is still about that of its chemistry. Source: common practice, no source, for the waiting time.

use crate::error::{Check, Error};
use crate::pack::group::SELF_DISCHARGE_MOST_RATIO;
use crate::part::cell::{Chemistries, Chemistry, Curves, OwnChemistry};
use crate::part::measure::{Voltmeter, check_same_range};
use crate::quantity::Interval;
use alloc::format;
use alloc::vec::Vec;

/// A month, in seconds.
pub const MONTH_S: f64 = 30.0 * 86400.0;

/// Shortest rest between charging and the first reading, in seconds. Common practice, no source.
pub const RESTED_LEAST_S: f64 = 86400.0;

/// Largest change of a lithium cell's rest voltage with its temperature, in volts per kelvin: entropy of the cell
/// reaction, from memory (0.5 mV/K at most over the state of charge).
pub const TEMPERATURE_V_PER_K: f64 = 0.0005;

/// Change of temperature that is taken where none is given, in kelvins. Own choice: a room.
pub const TEMPERATURE_CHANGE_K: f64 = 2.0;

/// Steps in which the meter's gain is tried over its range: under a millivolt each for a gain of 2 %.
const GAIN_STEPS: u32 = 200;

/// How far above full a rest voltage is still read, in volts: the doubt of a meter.
const ABOVE_FULL_V: f64 = 0.05;

/// Asks for the self-discharge.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RestTest {
    /// Chemistries of the maker's own.
    pub own_chemistries: Vec<OwnChemistry>,
    /// What the cell is made of.
    pub chemistry: Chemistry,
    /// The voltmeter.
    pub voltmeter: Voltmeter,
    /// Whether both voltages were read with it on the same range.
    pub same_range: bool,
    /// Rest between the end of charging and the first reading, in seconds.
    pub rested_s: f64,
    /// First rest voltage, in volts.
    pub first_v: f64,
    /// Second rest voltage, in volts.
    pub second_v: f64,
    /// Time between the two readings, in seconds.
    pub between_s: f64,
    /// Largest difference of the cell's temperature between the two, in kelvins; [`TEMPERATURE_CHANGE_K`] where it is
    /// left out.
    pub temperature_change_k: Option<f64>,
}

/// What two rest voltages tell.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct RestTestAnswer {
    /// Charge lost in thirty days as a share of the capacity; none where it cannot be told from nothing.
    pub self_discharge_ratio: Option<Interval>,
    /// It is not more than this, as a share of the capacity in thirty days.
    pub at_most_ratio: f64,
    /// Whether the doubt is small enough to tell a cell that must stay out from a good one: the doubt is at most half of
    /// [`SELF_DISCHARGE_MOST_RATIO`].
    pub tells: bool,
    /// The voltage rose by more than the doubt: it was not at rest, or the temperature changed by more than stated.
    pub rose: bool,
    /// Fall of the voltage that was read, in volts.
    pub fall_v: f64,
    /// How far the difference of the two voltages may be off, in volts: digits of both readings, gain, temperature.
    pub error_v: f64,
    /// Charge that one millivolt stands for between the two readings, as a share of the capacity.
    pub ratio_per_millivolt: f64,
    /// About the time between the readings after which this meter tells, in seconds.
    pub needed_s: f64,
    /// Smallest step that a meter with as many digits must show to tell in the time that passed, in volts; none where
    /// temperature and gain alone leave too much doubt.
    pub needed_step_v: Option<f64>,
}

impl RestTest {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("voltmeter", |check| self.voltmeter.check(check));
        check_same_range(check, self.same_range);
        if self.rested_s.is_finite() && self.rested_s < RESTED_LEAST_S {
            let accepted = format!("at least {RESTED_LEAST_S} s, a day, so that the surface charge is gone");
            check.note(Error::other("rested_s", format!("{} s", self.rested_s), accepted));
        } else {
            check.within("rested_s", self.rested_s, RESTED_LEAST_S, 1e9);
        }
        check.within("first_v", self.first_v, 0.3, 5.0);
        check.within("second_v", self.second_v, 0.3, 5.0);
        check.within("between_s", self.between_s, 3600.0, 1e9);
        if let Some(change_k) = self.temperature_change_k {
            check.within("temperature_change_k", change_k, 0.0, 60.0);
        }
    }

    /// The self-discharge with its doubt, or what it takes to see it.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs; a first reading within a day of charging; readings of two meters or
    /// ranges; a voltage outside the chemistry's rest curve.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::{cell::Chemistry, measure::Voltmeter};
    /// # use cellwright::run::self_discharge::RestTest;
    /// let nmc = RestTest {
    ///     own_chemistries: vec![],
    ///     chemistry: Chemistry::Nmc,
    ///     voltmeter: Voltmeter { reading_ratio: 0.005, digits: 2.0, step_v: 0.001 },
    ///     same_range: true,
    ///     rested_s: 2.0 * 86400.0,
    ///     first_v: 4.000,
    ///     second_v: 3.960,
    ///     between_s: 30.0 * 86400.0,
    ///     temperature_change_k: None,
    /// };
    /// let answer = nmc.answer()?;
    /// assert!(answer.tells && answer.self_discharge_ratio.unwrap().low > 0.03);
    /// // The same readings of the flat LFP curve tell next to nothing.
    /// let lfp = RestTest { chemistry: Chemistry::Lfp, first_v: 3.300, second_v: 3.298, ..nmc.clone() }.answer()?;
    /// assert!(!lfp.tells && lfp.needed_s > 30.0 * 86400.0);
    /// assert!(RestTest { rested_s: 3600.0, ..nmc }.answer().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<RestTestAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let chemistries = Chemistries::new(&self.own_chemistries, core::iter::once(&self.chemistry))?;
        if !chemistries.is_lithium(&self.chemistry) {
            return Err(alloc::vec![self.not_by_rest()]);
        }
        let curves = chemistries.curves(&self.chemistry).map_err(|error| alloc::vec![error])?;
        self.check_curve(&curves)?;
        let months = self.between_s / MONTH_S;
        let (low, high) = self.lost(&curves, self.voltmeter.step_v);
        let likely = (curves.soc_ratio(self.first_v) - curves.soc_ratio(self.second_v)) / months;
        let (low, high) = (low / months, high / months);
        let doubt = 0.5 * SELF_DISCHARGE_MOST_RATIO;
        let half = 0.5 * (high - low);
        let needed_s = self.between_s * half / doubt;
        let middle_v = 0.5 * (self.first_v + self.second_v);
        let ratio_per_millivolt = curves.soc_ratio(middle_v + 0.0005) - curves.soc_ratio(middle_v - 0.0005);
        Ok(RestTestAnswer {
            self_discharge_ratio: (low > 0.0).then_some(Interval { low, likely, high }),
            at_most_ratio: if high > 0.0 { high } else { 0.0 },
            tells: half <= doubt,
            rose: high < 0.0,
            fall_v: self.first_v - self.second_v,
            error_v: self.error_v(),
            ratio_per_millivolt,
            needed_s,
            needed_step_v: self.needed_step_v(&curves, doubt * months),
        })
    }

    fn not_by_rest(&self) -> Error {
        let accepted = "a lithium chemistry: the charge of others is measured before and after the rest";
        Error::other("chemistry", format!("{:?}", self.chemistry), accepted)
    }

    fn check_curve(&self, curves: &Curves) -> Result<(), Vec<Error>> {
        let (empty_v, full_v) = (curves.rest_v(0.0), curves.rest_v(1.0) + ABOVE_FULL_V);
        let mut check = Check::new();
        check.within("first_v", self.first_v, empty_v, full_v);
        check.within("second_v", self.second_v, empty_v, full_v);
        check.finish()
    }

    fn temperature_v(&self) -> f64 {
        TEMPERATURE_V_PER_K * self.temperature_change_k.unwrap_or(TEMPERATURE_CHANGE_K)
    }

    fn error_v(&self) -> f64 {
        let fall_v = libm::fabs(self.first_v - self.second_v);
        2.0 * self.voltmeter.error_v() + self.voltmeter.reading_ratio * fall_v + self.temperature_v()
    }

    /// Least and most charge lost, for a meter with steps of `step_v`.
    ///
    /// The curve rises, so that the extremes of digits and temperature are the ends; the gain moves both voltages to
    /// another part of the curve, where it may be flatter or steeper in between, and is tried in steps.
    fn lost(&self, curves: &Curves, step_v: f64) -> (f64, f64) {
        let meter = Voltmeter { step_v, ..self.voltmeter };
        let temperature_v = self.temperature_v();
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for step in 0..=GAIN_STEPS {
            let gain = 2.0 * f64::from(step) / f64::from(GAIN_STEPS) - 1.0;
            let lost = |first: f64| {
                let first_v = meter.true_v(self.first_v, gain, first);
                let second_v = meter.true_v(self.second_v, gain, -first) + first * temperature_v;
                curves.soc_ratio(first_v) - curves.soc_ratio(second_v)
            };
            low = low.min(lost(1.0));
            high = high.max(lost(-1.0));
        }
        (low, high)
    }

    /// Largest step with which the doubt is at most `half`; none where no step is small enough.
    fn needed_step_v(&self, curves: &Curves, half: f64) -> Option<f64> {
        let fits = |step_v: f64| {
            let (low, high) = self.lost(curves, step_v);
            0.5 * (high - low) <= half
        };
        let (mut small, mut large) = (libm::log(1e-7), libm::log(0.1));
        if !fits(1e-7) {
            return None;
        }
        if fits(0.1) {
            return Some(0.1);
        }
        for _ in 0..30 {
            let middle = 0.5 * (small + large);
            if fits(libm::exp(middle)) {
                small = middle;
            } else {
                large = middle;
            }
        }
        Some(libm::exp(small))
    }
}
