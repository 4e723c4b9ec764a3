//! How long a load runs after one press: the pulse of a timer that is wired as a single shot.
//!
//! ```text
//! pulse = R · C · ln((target − start) / (target − threshold)),   target = supply − leak · R,   start = the discharge pin
//! ```
//!
//! Without drop and leak that is R·C·ln 3. What leaks through the capacitor and into the threshold pin flows through R and
//! is missed there: it lengthens the pulse, and where the target stays under the threshold the pulse never ends. The band
//! takes every part at the end that makes it shorter or longer. Ageing of the capacitor is not counted. Source: equations
//! of the LM555 and NE555 data sheets; leak of an electrolytic capacitor: [`crate::data::dielectric`].

use super::decay::Decay;
use super::{Limit, Outside, Phases, range};
use crate::data::dielectric::{Dielectric, ELECTROLYTIC_LEAK};
use crate::data::timer::{TimerPart, TimerRow};
use crate::error::{Check, Error};
use alloc::vec::Vec;

/// What to know about the button. Common practice, no source.
pub const PRESS_WORDS: &str = "A button that is held down longer than the pulse keeps the load on: put 100 nF between \
    button and trigger pin, a resistor to the supply on either side of it, and a diode from the trigger pin to the supply, \
    so that only the press counts. Switching on can count as a press. A pump that must not run dry or flood needs a second \
    stop that does not hang on this timer.";

/// A single shot.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OneShot {
    /// Which timer.
    pub part: TimerPart,
    /// Supply of the timer, in volts.
    pub supply_v: f64,
    /// Resistor from the supply to the capacitor, in ohms.
    pub charge_ohm: f64,
    /// The capacitor, in farads.
    pub c_f: f64,
    /// Tolerance of the resistor, to both sides; 0.05 is five percent.
    pub resistor_ratio: f64,
    /// What the capacitor is made of; sets what is left out below.
    pub dielectric: Dielectric,
    /// Tolerance of the capacitor downward, a negative ratio.
    pub capacitor_low_ratio: Option<f64>,
    /// Tolerance of the capacitor upward.
    pub capacitor_high_ratio: Option<f64>,
    /// Largest current that leaks through the capacitor, in amperes; by its kind where left out.
    pub leak_a: Option<f64>,
}

/// How long the pulse of a single shot is.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OneShotAnswer {
    /// Length with marked values and no leak, in seconds; nothing outside the range of the part.
    pub likely_s: Option<f64>,
    /// Shortest, in seconds.
    pub low_s: Option<f64>,
    /// Longest, in seconds; nothing where the capacitor may leak so much that the pulse never ends.
    pub high_s: Option<f64>,
    /// Largest current beside the capacitor that was counted, in amperes.
    pub leak_a: f64,
    /// Limits of the part that are left.
    pub outside: Vec<Outside>,
    /// What to know about the button.
    pub press_words: &'static str,
}

impl OneShot {
    /// The pulse, with its band.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::{dielectric::Dielectric, timer::TimerPart};
    /// # use cellwright::part::timing::OneShot;
    /// let drip = OneShot {
    ///     part: TimerPart::Cmos, supply_v: 12.0, charge_ohm: 1e6, c_f: 10e-6, resistor_ratio: 0.05,
    ///     dielectric: Dielectric::Film, capacitor_low_ratio: None, capacitor_high_ratio: None, leak_a: None,
    /// };
    /// assert!((drip.answer()?.likely_s.unwrap() - 10.99).abs() < 0.01);
    /// // An electrolytic capacitor may leak more than two megohms deliver: the pump would run on.
    /// let leaky = OneShot { dielectric: Dielectric::Electrolytic, charge_ohm: 2e6, ..drip };
    /// assert_eq!(leaky.answer()?.high_s, None);
    /// assert_eq!(OneShot { c_f: 0.0, ..drip }.answer().unwrap_err()[0].field(), "c_f");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<OneShotAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let row = self.part.row();
        let leak_a = row.threshold_a + self.leak_a.unwrap_or_else(|| self.usual_leak_a());
        let outside = self.outside(&row);
        let class = self.dielectric.row();
        let capacitor_low = 1.0 + self.capacitor_low_ratio.unwrap_or(class.tolerance_low_ratio);
        let capacitor_high = 1.0 + self.capacitor_high_ratio.unwrap_or(class.tolerance_high_ratio);
        let low = (1.0 - self.resistor_ratio) * capacitor_low * (1.0 + class.fall_ratio) * (1.0 - row.timing_ratio);
        let high = (1.0 + self.resistor_ratio) * capacitor_high * (1.0 + class.rise_ratio) * (1.0 + row.timing_ratio);
        let told = |scale: f64, leak_a: f64| {
            let pulse_s = self.pulse_s(&row, leak_a * (1.0 + self.resistor_ratio)).map(|pulse_s| scale * pulse_s);
            pulse_s.filter(|_| outside.is_empty())
        };
        Ok(OneShotAnswer {
            likely_s: told(1.0, 0.0),
            low_s: told(low, 0.0),
            high_s: told(high, leak_a),
            leak_a,
            press_words: PRESS_WORDS,
            outside,
        })
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("part", |check| self.part.check(check));
        check.within("supply_v", self.supply_v, 0.5, 60.0);
        check.within("charge_ohm", self.charge_ohm, 1.0, 1e9);
        check.within("c_f", self.c_f, 1e-12, 1.0);
        check.within("resistor_ratio", self.resistor_ratio, 0.0, 0.5);
        check.within("capacitor_low_ratio", self.capacitor_low_ratio.unwrap_or(0.0), -0.9, 0.0);
        check.within("capacitor_high_ratio", self.capacitor_high_ratio.unwrap_or(0.0), 0.0, 5.0);
        check.within("leak_a", self.leak_a.unwrap_or(0.0), 0.0, 1.0);
    }

    /// The pulse with a leak through the resistor, in seconds; nothing where it never ends.
    fn pulse_s(&self, row: &TimerRow, leak_a: f64) -> Option<f64> {
        let target_v = self.supply_v - leak_a * self.charge_ohm;
        let start_v = row.discharge_v + row.discharge_ohm * self.supply_v / (self.charge_ohm + row.discharge_ohm);
        let left_v = target_v - row.threshold_ratio * self.supply_v;
        let ends = left_v > 0.0 && target_v - start_v > left_v;
        let charge = Decay { ohm: self.charge_ohm, junction: None, c_f: self.c_f };
        ends.then(|| charge.time_s(target_v - start_v, left_v))
    }

    fn usual_leak_a(&self) -> f64 {
        if self.dielectric != Dielectric::Electrolytic {
            return 0.0;
        }
        (ELECTROLYTIC_LEAK.per_s * self.c_f * self.supply_v).max(ELECTROLYTIC_LEAK.least_a)
    }

    fn outside(&self, row: &TimerRow) -> Vec<Outside> {
        let ends = Phases::new(row, self.supply_v, None).limits();
        let mut list = Vec::new();
        for (limit, given, low, high, words) in [
            (Limit::SupplyV, self.supply_v, row.supply_low_v, row.supply_high_v, "supply of the timer in volts"),
            (Limit::ChargeOhm, self.charge_ohm, 0.0, ends.charge_ohm, "charging resistance in ohms"),
            (Limit::RaOhm, self.charge_ohm, ends.ra_ohm, 1e9, "resistor to the discharge pin in ohms"),
        ] {
            list.extend(range::judged(limit, given, low, high, words, row.source));
        }
        if list.is_empty() && self.pulse_s(row, 0.0).is_none() {
            let words = "supply in volts, at which the discharge pin pulls below the threshold";
            let (low, high) = (row.supply_low_v, row.supply_high_v);
            list.push(Outside {
                limit: Limit::Levels,
                given: self.supply_v,
                low,
                high,
                words: words.into(),
                source: row.source,
            });
        }
        list
    }
}
