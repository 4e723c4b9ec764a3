//! The capacitor across a chopped load's supply: ripple, its own heating, and the rush when the pack is connected.
//!
//! ```text
//! ripple current   I · √(D·(1 − D)),             with g at the harmonics: I · √(D·(1 − D) + Σ (gₙ² − 1) · aₙ²/2)
//! ripple voltage   I · ESR + the larger of I · D·(1 − D) / (f · C) and I · ESR · swing,
//!                  and 2 · I · Σ (gₙ − 1) · aₙ · |Zₙ| more
//! swing            of the leads' current over I: the lesser of ESR · D·(1 − D) / (f · L) and ESR / (R + ESR)
//! resonance        g = |leads / (leads + capacitor)|, at least 1;  aₙ = 2·|sin(πnD)| / (πn)
//! rush             V·√(C/L) · e^(−(α/ω)·atan(ω/α))         α = R/2L, ω² = 1/LC − α²   (with ω² < 0: the same, hyperbolic)
//! rush heating     ∫i²dt = C·V² / (2R)
//! ```
//!
//! The capacitor is taken to carry at least the whole alternating part of the chopped current, the pack the mean: the
//! leads' inductance sees to that well above their resonance with the capacitor, and below it the figures are too large.
//! Near the resonance current swings between pack and capacitor, and more than the load's own goes through the capacitor:
//! each harmonic counts with the largest gain within a quarter of its frequency, as the inductance is not known better.
//! Source: first principles of a charge balance and of a series R-L-C circuit.

use crate::error::{Check, Error};
use crate::quantity::root::sqrt;
use alloc::vec::Vec;
use core::f64::consts::PI;

/// Inductance of leads out and back, in henries per metre of their length: the low side, where the rush is highest.
/// Common practice, no source.
pub const LEAD_H_PER_M: f64 = 0.5e-6;

/// How far a harmonic may lie off the resonance by what is not known of the leads' inductance. Common practice, no source.
const OFF_RATIO: f64 = 1.25;

/// Harmonics of the chopped current that are counted one by one.
const HARMONICS: u32 = 400;

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
    /// Highest frequency of chopping, in hertz; the lowest where left out.
    pub frequency_high_hz: Option<f64>,
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
    ///     supply_v: 12.6, on_a: 4.0, duty_low: 0.1, duty_high: 0.9, frequency_hz: 1000.0,
    ///     frequency_high_hz: None, c_f: 1e-3, esr_ohm: 0.03, lead_ohm: 0.1, lead_h: 1e-6, wanted_ripple_v: Some(0.5),
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
        let (ripple_a, ripple_v) = self.ripple(self.c_f);
        let ohm = self.lead_ohm + self.esr_ohm;
        let rush = self.rush(ohm);
        SupplyCapacitorAnswer {
            ripple_a,
            ripple_v,
            esr_w: ripple_a * ripple_a * self.esr_ohm,
            needed_f: self.wanted_ripple_v.and_then(|wanted_v| self.needed_f(wanted_v)),
            rush_a: rush.high_a,
            rush_a2s: 0.5 * self.c_f * self.supply_v * self.supply_v / ohm,
            rush_v: rush.high_v,
            resonance_hz: 1.0 / (2.0 * PI * sqrt(self.lead_h * self.c_f)),
        }
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.within("supply_v", self.supply_v, 0.1, 60.0);
        check.within("on_a", self.on_a, 0.0, 1000.0);
        check.within("duty_low", self.duty_low, 0.0, 1.0);
        check.within("duty_high", self.duty_high, self.duty_low.clamp(0.0, 1.0), 1.0);
        check.within("frequency_hz", self.frequency_hz, 0.1, 1e6);
        if let Some(high_hz) = self.frequency_high_hz {
            check.within("frequency_high_hz", high_hz, self.frequency_hz.clamp(0.1, 1e6), 1e6);
        }
        check.within("c_f", self.c_f, 1e-9, 1.0);
        check.within("esr_ohm", self.esr_ohm, 0.0, 100.0);
        check.within("lead_ohm", self.lead_ohm, 1e-4, 100.0);
        check.within("lead_h", self.lead_h, 1e-9, 1e-2);
        if let Some(wanted_v) = self.wanted_ripple_v {
            check.within("wanted_ripple_v", wanted_v, 1e-3, 60.0);
        }
    }

    /// Largest D·(1 − D) of the range: the worst duty is the one that lies nearest to one half.
    fn share(&self) -> f64 {
        let duty = self.duty_low.max(self.duty_high.min(0.5));
        duty * (1.0 - duty)
    }

    /// RMS current and voltage from peak to peak with a capacitor of that size.
    fn ripple(&self, c_f: f64) -> (f64, f64) {
        let way = Way { ohm: self.lead_ohm, h: self.lead_h, esr_ohm: self.esr_ohm, c_f };
        let share = self.share();
        let low = 2.0 * PI * self.frequency_hz;
        let high = 2.0 * PI * self.frequency_high_hz.unwrap_or(self.frequency_hz);
        let peak = way.peak();
        let (mut squared, mut more_v) = (share, 0.0);
        let mut rises = peak.is_some();
        for order in 1..=HARMONICS {
            if !rises {
                break;
            }
            let n = f64::from(order);
            let gain = way.gain(n * low / OFF_RATIO, n * high * OFF_RATIO, peak);
            let amplitude = 2.0 * self.sine(n) / (PI * n);
            squared += 0.5 * (gain * gain - 1.0) * amplitude * amplitude;
            more_v += 2.0 * (gain - 1.0) * amplitude * way.capacitor_ohm(n * low);
            // Above the peak the gain only falls.
            rises = peak.is_some_and(|peak| n * low / OFF_RATIO < peak) || gain > 1.001;
        }
        if let Some(peak) = peak.filter(|_| rises) {
            // What is left of a square wave beyond so many harmonics, as if all of it lay at the peak.
            let (gain, most) = (way.gain(peak, peak, None), f64::from(HARMONICS));
            squared += (gain * gain - 1.0) * 2.0 / (PI * PI * most);
            let until = (OFF_RATIO * peak / low / most).max(1.0);
            let ohm = self.esr_ohm * libm::log(until) + 1.0 / (low * c_f * most);
            more_v += 4.0 / PI * (gain - 1.0) * ohm;
        }
        // The leads' current swings too, and through the ESR it adds to the load's own at the edges.
        let shared = self.esr_ohm / (self.lead_ohm + self.esr_ohm);
        let swing = (self.esr_ohm * share / (self.frequency_hz * self.lead_h)).min(shared);
        let plain_v = self.esr_ohm + (share / (self.frequency_hz * c_f)).max(self.esr_ohm * swing);
        (self.on_a * sqrt(squared), self.on_a * (plain_v + more_v))
    }

    /// Largest |sin(π·n·D)| over the range of duties.
    fn sine(&self, n: f64) -> f64 {
        let (from, to) = (n * self.duty_low, n * self.duty_high);
        if libm::floor(to + 0.5) > libm::floor(from + 0.5) {
            return 1.0;
        }
        libm::fabs(libm::sin(PI * from)).max(libm::fabs(libm::sin(PI * to)))
    }

    /// Smallest capacitor in steps of a twentieth that keeps the ripple; nothing where none up to 1 F does.
    fn needed_f(&self, wanted_v: f64) -> Option<f64> {
        let left_v = Some(wanted_v - self.on_a * self.esr_ohm).filter(|left_v| *left_v > 1e-6)?;
        let mut c_f = (self.on_a * self.share() / self.frequency_hz / left_v).max(1e-12);
        while self.ripple(c_f).1 > wanted_v * (1.0 + 1e-9) {
            c_f *= 1.05;
            if c_f > 1.0 {
                return None;
            }
        }
        Some(c_f)
    }

    /// The first peak of current and, where it rings, of voltage.
    fn rush(&self, ohm: f64) -> Rush {
        let alpha = 0.5 * ohm / self.lead_h;
        let square = 1.0 / (self.lead_h * self.c_f) - alpha * alpha;
        let surge_a = self.supply_v * sqrt(self.c_f / self.lead_h);
        if square > 0.0 {
            let omega = sqrt(square);
            let high_a = surge_a * libm::exp(-alpha / omega * libm::atan2(omega, alpha));
            let high_v = self.supply_v * (1.0 + libm::exp(-PI * alpha / omega));
            return Rush { high_a, high_v };
        }
        // Both decay rates are real; the time of the peak is ln(fast/slow)/(fast − slow).
        let beta = sqrt(-square);
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

/// Leads and capacitor, side by side as the chopped load sees them.
#[derive(Clone, Copy)]
struct Way {
    ohm: f64,
    h: f64,
    esr_ohm: f64,
    c_f: f64,
}

impl Way {
    /// Share of an alternating current that goes through the capacitor, at a frequency in radians a second.
    fn ratio(&self, omega: f64) -> f64 {
        let square = omega * omega;
        let swing = square * self.h * self.c_f - 1.0;
        let both = (self.ohm + self.esr_ohm) * self.c_f;
        let above = self.c_f * self.c_f * square * (self.ohm * self.ohm + self.h * self.h * square);
        sqrt(above / (both * both * square + swing * swing))
    }

    /// Where that is largest, in radians a second; nothing where it only rises toward 1.
    ///
    /// From d/dx of x·(R² + L²x) / ((R + E)²C²x + (LCx − 1)²) · C² with x = ω²: (L²b − R²a)·x² + 2L²·x + R² = 0.
    fn peak(&self) -> Option<f64> {
        let (squared_h, squared_ohm) = (self.h * self.h, self.ohm * self.ohm);
        let both = (self.ohm + self.esr_ohm) * self.c_f;
        let (a, b) = (squared_h * self.c_f * self.c_f, both * both - 2.0 * self.h * self.c_f);
        let lead = squared_h * b - squared_ohm * a;
        let inner = squared_h * squared_h - lead * squared_ohm;
        let square = (squared_h + sqrt(inner.max(0.0))) / -lead;
        (lead < 0.0 && square.is_finite()).then(|| sqrt(square))
    }

    /// Largest ratio between two frequencies, at least 1.
    fn gain(&self, low: f64, high: f64, peak: Option<f64>) -> f64 {
        let inside = peak.filter(|peak| low <= *peak && *peak <= high).map_or(1.0, |peak| self.ratio(peak));
        inside.max(self.ratio(low)).max(self.ratio(high)).max(1.0)
    }

    fn capacitor_ohm(&self, omega: f64) -> f64 {
        libm::hypot(self.esr_ohm, 1.0 / (omega * self.c_f))
    }
}

struct Rush {
    high_a: f64,
    high_v: f64,
}
