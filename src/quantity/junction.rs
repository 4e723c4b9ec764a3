//! Current and voltage of a junction in series with a resistance.
//!
//! ```text
//! v = N·(kT/q)·ln(1 + i/IS) + RS·i
//! ```
//!
//! Total for every finite input: below zero volts the current is zero (leakage is not counted).
//! It stands among the quantities because several parts need it, and parts never import parts.
//! Source: Shockley, Bell System Technical Journal 28 (1949), equation for the junction; series resistance added.

use crate::quantity::KELVIN_AT_ZERO_DEGC;

/// Charge of an electron over Boltzmann's constant, in kelvin per volt, exact by definition.
/// Source: BIPM, The International System of Units, 9th edition, 2.2.
pub const KELVIN_PER_VOLT: f64 = 1.602176634e-19 / 1.380649e-23;

/// Enough for any start: the steps converge at least quadratically from above.
const STEPS: usize = 60;

/// A junction at one temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Junction {
    /// Saturation current IS, in amperes.
    pub saturation_a: f64,
    /// N·kT/q, in volts.
    pub emission_v: f64,
    /// Series resistance RS, in ohms.
    pub series_ohm: f64,
}

impl Junction {
    /// A junction at the temperature where its saturation current is known.
    #[must_use]
    pub fn at_nominal(saturation_a: f64, emission_ratio: f64, series_ohm: f64, nominal_degc: f64) -> Self {
        let emission_v = emission_ratio * (nominal_degc + KELVIN_AT_ZERO_DEGC) / KELVIN_PER_VOLT;
        Self { saturation_a, emission_v, series_ohm }
    }

    /// The same junction at another temperature.
    ///
    /// ```text
    /// IS(T) = IS · (T/T₀)^(X/N) · exp((T/T₀ − 1) · Eg / (N·kT/q))
    /// ```
    #[must_use]
    pub fn warmed(&self, degc: f64, nominal_degc: f64, band_gap_v: f64, exponent: f64) -> Self {
        let ratio = (degc + KELVIN_AT_ZERO_DEGC) / (nominal_degc + KELVIN_AT_ZERO_DEGC);
        let emission_v = self.emission_v * ratio;
        let emission_ratio = self.emission_v * KELVIN_PER_VOLT / (nominal_degc + KELVIN_AT_ZERO_DEGC);
        let growth = libm::pow(ratio, exponent / emission_ratio) * libm::exp((ratio - 1.0) * band_gap_v / emission_v);
        Self { saturation_a: self.saturation_a * growth, emission_v, series_ohm: self.series_ohm }
    }

    /// Voltage across the junction and its series resistance, in volts, at `current_a` of 0 or more.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::junction::Junction;
    /// let diode = Junction::at_nominal(2.52e-9, 1.752, 0.568, 27.0);
    /// assert!((diode.drop_v(1e-3) - 0.585).abs() < 1e-3);
    /// ```
    #[must_use]
    pub fn drop_v(&self, current_a: f64) -> f64 {
        self.emission_v * libm::log1p(current_a / self.saturation_a) + self.series_ohm * current_a
    }

    /// Current at `voltage_v` across the junction, its series resistance and `extra_ohm`, in amperes.
    ///
    /// The logarithm y of 1 + i/IS is the root of a rising convex function; Newton's steps from above fall to it.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::junction::Junction;
    /// let diode = Junction::at_nominal(2.52e-9, 1.752, 0.568, 27.0);
    /// let current_a = diode.current_a(5.0, 1000.0);
    /// assert!((diode.drop_v(current_a) + 1000.0 * current_a - 5.0).abs() < 1e-9);
    /// assert_eq!(diode.current_a(-5.0, 1000.0), 0.0);
    /// ```
    #[must_use]
    pub fn current_a(&self, voltage_v: f64, extra_ohm: f64) -> f64 {
        if voltage_v.is_nan() || voltage_v <= 0.0 {
            return 0.0;
        }
        let scale_v = (self.series_ohm + extra_ohm) * self.saturation_a;
        let mut y = (voltage_v / self.emission_v).min(700.0);
        if scale_v > 0.0 {
            y = y.min(libm::log1p(voltage_v / scale_v));
        }
        for _ in 0..STEPS {
            let grown = libm::expm1(y);
            let excess_v = scale_v * grown + self.emission_v * y - voltage_v;
            let step = excess_v / (scale_v * (grown + 1.0) + self.emission_v);
            y -= step;
            // The next step would be half the square of this one at most: below the last bit.
            if libm::fabs(step) <= 1e-8 * y.min(1.0) {
                break;
            }
        }
        self.saturation_a * libm::expm1(y.max(0.0))
    }
}
