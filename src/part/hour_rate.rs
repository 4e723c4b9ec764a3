//! Runtime of a lead-acid battery at another current than its rated one.
//!
//! ```text
//! runtime_s = rated_s · (rated_ah / (current_a · rated_s / 3600))^exponent
//! exponent  = ln(t₁/t₂) / ln(i₂/i₁)                 from two points of a data sheet
//! ```
//!
//! Peukert's rule with the rated hours in it: the capacity printed on the battery belongs to its rated time (20 h for
//! most). The other convention, `capacity / current^exponent`, wants a capacity at 1 A and gives other times from the
//! same numbers. Asked for it, give that capacity as `rated_ah` and as `rated_s` the hours it lasts at 1 A: 100 Ah are
//! 100 h, 360000 s, and both conventions are one. Holds between about a fifth and twenty times the rated current, warm;
//! the end voltages of the data-sheet points differ. Under the rated current the low end gives no more than the rated
//! charge. Source: Peukert 1897; equation as in battery-monitor manuals.

use crate::data::charger::{LEAD_ACID, LeadKind};
use crate::error::{Check, Error};
use crate::quantity::Interval;
use alloc::vec::Vec;

/// A point of a data sheet: this current for this long.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RatePoint {
    /// Current, in amperes.
    pub current_a: f64,
    /// Time, in seconds.
    pub time_s: f64,
}

impl RatePoint {
    /// Peukert's exponent between this point and another.
    ///
    /// # Errors
    ///
    /// Names a value out of range, or points that give an exponent outside 1 to 1.6.
    pub fn exponent(&self, other: &Self) -> Result<f64, Error> {
        for point in [self, other] {
            crate::error::within("current_a", point.current_a, 1e-3, 1e4)?;
            crate::error::within("time_s", point.time_s, 1.0, 1e7)?;
        }
        let exponent = libm::log(self.time_s / other.time_s) / libm::log(other.current_a / self.current_a);
        crate::error::within("exponent", exponent, 1.0, 1.6)
    }
}

/// The question how long a lead-acid battery lasts at a current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HourRate {
    /// Capacity over the rated time, in ampere-hours.
    pub rated_ah: Interval,
    /// Rated time, in seconds: 72000 for 20 hours.
    pub rated_s: f64,
    /// Current, in amperes.
    pub current_a: Interval,
    /// Peukert's exponent; that of `kind` where it is left out, or of sealed batteries.
    pub exponent: Option<Interval>,
    /// How the battery is made; not looked at where `exponent` stands.
    pub kind: Option<LeadKind>,
}

/// How long a lead-acid battery lasts.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HourRateAnswer {
    /// Time until the battery is empty, in seconds.
    pub runtime_s: Interval,
    /// Charge it gives, in ampere-hours.
    pub delivered_ah: Interval,
    /// Whether the current lies where the rule holds.
    pub trusted: bool,
    /// Which convention of Peukert's rule this is.
    pub convention: &'static str,
}

/// Which convention of Peukert's rule is used: the printed capacity belongs to the rated time.
pub const CONVENTION: &str = "rated time · (rated capacity / (current · rated time)) ^ exponent; not capacity / current ^ \
                              exponent, which needs the capacity at 1 A";

impl HourRate {
    pub(crate) fn check(&self, check: &mut Check) {
        self.rated_ah.note(check, "rated_ah", 0.1, 10000.0);
        check.within("rated_s", self.rated_s, 3600.0, 3.6e6);
        self.current_a.note(check, "current_a", 0.001, 10000.0);
        if let Some(exponent) = self.exponent {
            exponent.note(check, "exponent", 1.0, 1.6);
        }
    }

    /// How long the battery lasts, at the worst, likely and best of its inputs.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::Interval;
    /// # use cellwright::part::hour_rate::HourRate;
    /// let block = HourRate {
    ///     rated_ah: Interval::exact(7.0),
    ///     rated_s: 72000.0,
    ///     current_a: Interval::exact(2.0),
    ///     exponent: Some(Interval::exact(1.15)),
    ///     kind: None,
    /// };
    /// assert!((block.answer()?.runtime_s.likely / 3600.0 - 2.6948).abs() < 1e-4);
    /// assert_eq!(HourRate { rated_s: 0.0, ..block }.answer().unwrap_err()[0].field(), "rated_s");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<HourRateAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let exponent = self.exponent.unwrap_or_else(|| exponent_of(self.kind));
        let runtime = |rated_ah: f64, current_a: f64, steep: f64, flat: f64| {
            let ratio = rated_ah * 3600.0 / (current_a * self.rated_s);
            // Above the rated current a high exponent shortens the time, below it lengthens it.
            self.rated_s * libm::pow(ratio, if ratio < 1.0 { steep } else { flat })
        };
        let (rated_ah, current_a) = (self.rated_ah, self.current_a);
        let runtime_s = Interval {
            // Under the rated current the rule gives more than the battery is rated for, which nobody promises.
            low: runtime(rated_ah.low, current_a.high, exponent.high, 1.0),
            likely: runtime(rated_ah.likely, current_a.likely, exponent.likely, exponent.likely),
            high: runtime(rated_ah.high, current_a.low, exponent.low, exponent.high),
        };
        let given = |time_s: f64, current_a: f64| time_s * current_a / 3600.0;
        let rated_a = |ah: f64| ah * 3600.0 / self.rated_s;
        Ok(HourRateAnswer {
            runtime_s,
            delivered_ah: Interval {
                low: given(runtime_s.low, current_a.high),
                likely: given(runtime_s.likely, current_a.likely),
                high: given(runtime_s.high, current_a.low),
            },
            trusted: current_a.low >= 0.2 * rated_a(rated_ah.high) && current_a.high <= 20.0 * rated_a(rated_ah.low),
            convention: CONVENTION,
        })
    }
}

/// Exponent of a kind of battery: the middle of what is printed counts as likely.
fn exponent_of(kind: Option<LeadKind>) -> Interval {
    let [low, likely, high] = match kind.map(LeadKind::exponent) {
        Some([low, high]) => [low, 0.5 * (low + high), high],
        None => LEAD_ACID.exponent,
    };
    Interval { low, likely, high }
}
