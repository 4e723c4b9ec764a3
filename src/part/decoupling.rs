//! The capacitor across a chopped load's supply: ripple, its own heating, and the rush when the pack is connected.
//!
//! ```text
//! ripple current   I · √(D·(1 − D)), or √(Σ Iₙ²/2 · |Zₗ/(Zₗ + Z꜀)|²) where the leads' resonance makes that larger
//! ripple voltage   I · D·(1 − D) / (f · C) + I · ESR
//! rush             V·√(C/L) · e^(−(α/ω)·atan(ω/α))         α = R/2L, ω² = 1/LC − α²   (with ω² < 0: the same, hyperbolic)
//! rush heating     ∫i²dt = C·V² / (2R)
//! ```
//!
//! The capacitor is taken to carry the whole alternating part of the chopped current, the pack the mean: the leads'
//! inductance sees to that well above their resonance with the capacitor, and well below it the figures are too large.
//! Near it, leads and capacitor of little resistance swing more current between them than the load takes: there the sum
//! over the harmonics Iₙ of the chopped current counts, with Zₗ of pack and leads and Z꜀ of the capacitor. Source: first principles of a charge balance and of a series R-L-C circuit.

use crate::error::{Check, Error};
use alloc::vec::Vec;
use core::f64::consts::PI;

/// Harmonics that are summed; those beyond have less than two hundredths of the chopped current's alternating square.
const HARMONICS: u32 = 25;

/// Inductance of leads out and back, in henries per metre of their length: the low side, where the rush is highest.
/// Common practice, no source.
pub const LEAD_H_PER_M: f64 = 0.5e-6;

/// A capacitor across the supply of a chopped load, behind the leads of the pack.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SupplyCapacitor {
    /// Supply with the full pack, in volts.
    pub supply_v: f64,
    /// Current of the load while on, in amperes.
    pub on_a: f64,
    /// Smallest share of the period with the load on, 0 to 1.
    pub duty_low: f64,
    /// Largest share of the period with the load on, 0 to 1.
    pub duty_high: f64,
    /// Lowest frequency of chopping, in hertz.
    pub frequency_hz: f64,
    /// The capacitor, in farads.
    pub c_f: f64,
    /// Its equivalent series resistance, in ohms.
    pub esr_ohm: f64,
    /// Resistance of pack and leads, there and back, in ohms.
    pub lead_ohm: f64,
    /// Inductance of the leads, there and back, in henries.
    pub lead_h: f64,
    /// Ripple voltage that is wanted at most, in volts.
    pub wanted_ripple_v: Option<f64>,
}

/// What the capacitor carries.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SupplyCapacitorAnswer {
    /// Ripple current at the worst duty of the range, RMS, in amperes: to be held against the capacitor's rating.
    pub ripple_a: f64,
    /// Ripple voltage at the worst duty of the range, peak to peak, in volts.
    pub ripple_v: f64,
    /// Heat in the capacitor, in watts.
    pub esr_w: f64,
    /// Smallest capacitor for the wanted ripple, in farads; none where none is wanted or the ESR alone exceeds it.
    pub needed_f: Option<f64>,
    /// Highest current when the pack is connected to the empty capacitor, in amperes.
    pub rush_a: f64,
    /// Heating value of that rush, in ampere-squared seconds: to be held against the fuse.
    pub rush_a2s: f64,
    /// Highest voltage of the capacitor after connecting, in volts: above the supply where the leads ring.
    pub rush_v: f64,
    /// Resonance of leads and capacitor, in hertz.
    pub resonance_hz: f64,
}

impl SupplyCapacitor {
    /// Ripple and rush.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::decoupling::SupplyCapacitor;
    /// let capacitor = SupplyCapacitor {
    ///     supply_v: 12.6, on_a: 4.0, duty_low: 0.1, duty_high: 0.9, frequency_hz: 1000.0, c_f: 1e-3, esr_ohm: 0.03,
    ///     lead_ohm: 0.1, lead_h: 1e-6, wanted_ripple_v: Some(0.5),
    /// };
    /// let answer = capacitor.answer()?;
    /// assert!((answer.ripple_a - 2.0).abs() < 1e-12, "half the current at half duty");
    /// assert!(answer.rush_a < 12.6 / 0.13);
    /// assert!(SupplyCapacitor { lead_ohm: 0.0, ..capacitor }.answer().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<SupplyCapacitorAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        Ok(self.worked())
    }

    /// As [`SupplyCapacitor::answer`], for values that were checked.
    pub(crate) fn worked(&self) -> SupplyCapacitorAnswer {
        // D·(1 − D) peaks at one half: the worst duty is the one of the range that lies nearest.
        let duty = self.duty_low.max(self.duty_high.min(0.5));
        let share = duty * (1.0 - duty);
        let ripple_a = self.on_a * libm::sqrt(share).max(self.resonant_ratio());
        let charge_as = self.on_a * share / self.frequency_hz;
        let left_v = self.wanted_ripple_v.map(|wanted_v| wanted_v - self.on_a * self.esr_ohm);
        let ohm = self.lead_ohm + self.esr_ohm;
        let rush = self.rush(ohm);
        SupplyCapacitorAnswer {
            ripple_a,
            ripple_v: charge_as / self.c_f + self.on_a * self.esr_ohm,
            esr_w: ripple_a * ripple_a * self.esr_ohm,
            needed_f: left_v.filter(|left_v| *left_v > 1e-6).map(|left_v| charge_as / left_v),
            rush_a: rush.high_a,
            rush_a2s: 0.5 * self.c_f * self.supply_v * self.supply_v / ohm,
            rush_v: rush.high_v,
            resonance_hz: 1.0 / (2.0 * PI * libm::sqrt(self.lead_h * self.c_f)),
        }
    }

    /// Largest RMS current of the capacitor over the current of the load, with the leads' impedance in it.
    fn resonant_ratio(&self) -> f64 {
        let within = |duty: f64| duty.max(self.duty_low).min(self.duty_high);
        let squares = |duty: f64| -> f64 { (1..=HARMONICS).map(|n| self.harmonic_square(duty, n)).sum() };
        let most = [0.25, 0.5, 0.75].map(|duty| squares(within(duty))).into_iter().fold(0.0, f64::max);
        libm::sqrt(most)
    }

    /// Mean square of one harmonic in the capacitor, over the square of the load's current.
    fn harmonic_square(&self, duty: f64, n: u32) -> f64 {
        let omega = 2.0 * PI * self.frequency_hz * f64::from(n);
        let load = 2.0 / (PI * f64::from(n)) * libm::sin(PI * f64::from(n) * duty);
        let lead_x = omega * self.lead_h;
        let (ohm, x) = (self.lead_ohm + self.esr_ohm, lead_x - 1.0 / (omega * self.c_f));
        0.5 * load * load * (self.lead_ohm * self.lead_ohm + lead_x * lead_x) / (ohm * ohm + x * x)
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.within("supply_v", self.supply_v, 0.1, 60.0);
        check.within("on_a", self.on_a, 0.0, 1000.0);
        check.within("duty_low", self.duty_low, 0.0, 1.0);
        check.within("duty_high", self.duty_high, self.duty_low.clamp(0.0, 1.0), 1.0);
        check.within("frequency_hz", self.frequency_hz, 0.1, 1e6);
        check.within("c_f", self.c_f, 1e-9, 1.0);
        check.within("esr_ohm", self.esr_ohm, 0.0, 100.0);
        check.within("lead_ohm", self.lead_ohm, 1e-4, 100.0);
        check.within("lead_h", self.lead_h, 1e-9, 1e-2);
        if let Some(wanted_v) = self.wanted_ripple_v {
            check.within("wanted_ripple_v", wanted_v, 1e-3, 60.0);
        }
    }

    /// The first peak of current and, where it rings, of voltage.
    fn rush(&self, ohm: f64) -> Rush {
        let alpha = 0.5 * ohm / self.lead_h;
        let square = 1.0 / (self.lead_h * self.c_f) - alpha * alpha;
        let surge_a = self.supply_v * libm::sqrt(self.c_f / self.lead_h);
        if square > 0.0 {
            let omega = libm::sqrt(square);
            let high_a = surge_a * libm::exp(-alpha / omega * libm::atan2(omega, alpha));
            let high_v = self.supply_v * (1.0 + libm::exp(-PI * alpha / omega));
            return Rush { high_a, high_v };
        }
        // Both decay rates are real; the time of the peak is ln(fast/slow)/(fast − slow).
        let beta = libm::sqrt(-square);
        let (fast, slow) = (alpha + beta, 1.0 / (self.lead_h * self.c_f * (alpha + beta)));
        let apart = fast - slow;
        let at_s = if apart > 1e-9 * fast { libm::log(fast / slow) / apart } else { 1.0 / alpha };
        let high_a = if apart > 1e-9 * fast {
            self.supply_v / (self.lead_h * apart) * (libm::exp(-slow * at_s) - libm::exp(-fast * at_s))
        } else {
            self.supply_v * at_s / self.lead_h * libm::exp(-1.0)
        };
        Rush { high_a, high_v: self.supply_v }
    }
}

struct Rush {
    high_a: f64,
    high_v: f64,
}
