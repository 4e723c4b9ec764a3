//! A resistor and a capacitor: how fast the capacitor follows a step, and which frequencies it lets by.
//!
//! ```text
//! time_constant = R · C          charged = 1 − e^(−time / time_constant)          corner = 1 / (2π · R · C)
//! 10 % to 90 %  = ln 9 · time_constant
//! ```
//!
//! For charging a capacitor bank through a resistor before the switch closes, for a knob's voltage smoothed out of pulses,
//! for a button that shall not bounce. Exact for a plain resistor and a capacitor that does not leak. Source: step
//! response of a first-order circuit, derived.

use crate::error::{Check, Error};
use alloc::vec::Vec;
use core::f64::consts::PI;

/// A resistor and a capacitor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StepResponse {
    /// The resistor, in ohms.
    pub ohm: f64,
    /// The capacitor, in farads.
    pub c_f: f64,
    /// Time after the step, in seconds.
    pub after_s: Option<f64>,
    /// Share of the step that is wanted, above 0 and below 1.
    pub wanted_ratio: Option<f64>,
}

/// What the two do.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StepResponseAnswer {
    /// Resistor times capacitor, in seconds.
    pub time_constant_s: f64,
    /// Time from a tenth to nine tenths of the step, in seconds.
    pub rise_s: f64,
    /// Frequency that is let by at 71 %, in hertz.
    pub corner_hz: f64,
    /// Share of the step that is reached after the time asked about.
    pub reached_ratio: Option<f64>,
    /// Time until the wanted share is reached, in seconds.
    pub until_s: Option<f64>,
}

impl StepResponse {
    /// Time constant, corner, and what was asked.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::rc::StepResponse;
    /// let pair = StepResponse { ohm: 1e4, c_f: 1e-6, after_s: Some(0.01), wanted_ratio: Some(0.99) };
    /// let answer = pair.answer()?;
    /// assert!((answer.reached_ratio.unwrap() - 0.632121).abs() < 1e-6);
    /// assert!((answer.until_s.unwrap() - 0.0460517).abs() < 1e-7);
    /// assert_eq!(StepResponse { wanted_ratio: Some(1.0), ..pair }.answer().unwrap_err()[0].field(), "wanted_ratio");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<StepResponseAnswer, Vec<Error>> {
        let mut check = Check::new();
        check.within("ohm", self.ohm, 1e-6, 1e12);
        check.within("c_f", self.c_f, 1e-15, 1e4);
        check.within("after_s", self.after_s.unwrap_or(0.0), 0.0, 1e12);
        check.within("wanted_ratio", self.wanted_ratio.unwrap_or(0.5), 1e-9, 1.0 - 1e-9);
        check.finish()?;
        let time_constant_s = self.ohm * self.c_f;
        Ok(StepResponseAnswer {
            time_constant_s,
            rise_s: libm::log(9.0) * time_constant_s,
            corner_hz: 1.0 / (2.0 * PI * time_constant_s),
            reached_ratio: self.after_s.map(|after_s| -libm::expm1(-after_s / time_constant_s)),
            until_s: self.wanted_ratio.map(|ratio| -libm::log1p(-ratio) * time_constant_s),
        })
    }
}
