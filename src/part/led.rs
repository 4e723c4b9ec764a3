//! A string of LEDs behind a resistor or a driver.
//!
//! ```text
//! resistor   current = (v − n·Vf) / R, none below n·Vf          driver   its current from n·Vf + headroom on
//! ```
//!
//! Holds with a forward voltage that does not change with the current; its interval holds the spread. Light follows the
//! mean current. Source: first principles; light over current is common practice, no source.

use crate::error::{Check, Error};
use crate::quantity::Interval;
use alloc::vec::Vec;

/// What limits the current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum LedLimit {
    /// A resistor for each string.
    Resistor {
        /// Resistance, in ohms.
        resistance_ohm: f64,
    },
    /// A linear driver that holds a current.
    Driver {
        /// Current it holds, in amperes.
        current_a: Interval,
        /// Voltage it needs for itself, in volts.
        headroom_v: f64,
    },
}

/// Equal strings in parallel.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LedStrings {
    /// LEDs in series in each string.
    pub series: u32,
    /// Forward voltage of one LED, in volts.
    pub forward_v: Interval,
    /// What limits the current of each string.
    pub limit: LedLimit,
    /// Strings in parallel, each with its own resistor or driver.
    pub strings: u32,
    /// Largest current of one LED, in amperes.
    pub led_high_a: Option<f64>,
}

impl LedStrings {
    /// Current of all strings while on, in amperes; high with the smallest forward voltage.
    ///
    /// # Errors
    ///
    /// Every value out of range.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::led::{LedLimit, LedStrings};
    /// # use cellwright::quantity::Interval;
    /// let limit = LedLimit::Resistor { resistance_ohm: 350.0 };
    /// let lamp = LedStrings { series: 1, forward_v: Interval::exact(2.0), limit, strings: 1, led_high_a: None };
    /// assert!((lamp.current_a(12.6)?.likely - 0.030286).abs() < 1e-6);
    /// assert_eq!(lamp.current_a(1.5)?.likely, 0.0);
    /// assert!(LedStrings { series: 0, ..lamp }.current_a(12.0).is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn current_a(&self, supply_v: f64) -> Result<Interval, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.within("supply_v", supply_v, 0.0, 100.0);
        check.finish()?;
        Ok(self.worked(supply_v))
    }

    pub(crate) fn worked(&self, supply_v: f64) -> Interval {
        let strings = f64::from(self.strings);
        let left_v = |forward_v: f64| (supply_v - f64::from(self.series) * forward_v).max(0.0);
        let (most, likely, least) =
            (left_v(self.forward_v.low), left_v(self.forward_v.likely), left_v(self.forward_v.high));
        match self.limit {
            LedLimit::Resistor { resistance_ohm } => {
                let of = |left_v: f64| strings * left_v / resistance_ohm;
                Interval { low: of(least), likely: of(likely), high: of(most) }
            }
            LedLimit::Driver { current_a, headroom_v } => {
                // Below its headroom a linear driver is a wire with what is left: the current falls to nothing.
                let share =
                    |left_v: f64| if headroom_v > 0.0 { (left_v / headroom_v).min(1.0) } else { left_v.signum() };
                let of = |left_v: f64, a: f64| if left_v > 0.0 { strings * a * share(left_v) } else { 0.0 };
                Interval {
                    low: of(least, current_a.low),
                    likely: of(likely, current_a.likely),
                    high: of(most, current_a.high),
                }
            }
        }
    }

    /// The resistor that gives each string `wanted_a` at `supply_v`, in ohms.
    ///
    /// # Errors
    ///
    /// Every value out of range, or a supply that does not reach the forward voltage.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::led::{LedLimit, LedStrings};
    /// # use cellwright::quantity::Interval;
    /// let limit = LedLimit::Resistor { resistance_ohm: 350.0 };
    /// let lamp = LedStrings { series: 1, forward_v: Interval::exact(2.0), limit, strings: 1, led_high_a: None };
    /// assert!((lamp.resistor_ohm(12.0, 0.02)? - 500.0).abs() < 1e-9);
    /// assert!(lamp.resistor_ohm(1.5, 0.02).is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn resistor_ohm(&self, supply_v: f64, wanted_a: f64) -> Result<f64, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.within("supply_v", supply_v, 0.0, 100.0);
        check.within("wanted_a", wanted_a, 1e-5, 100.0);
        check.finish()?;
        let string_v = f64::from(self.series) * self.forward_v.likely;
        if supply_v <= string_v {
            return Err(Error::range("supply_v", supply_v, string_v, 100.0).into());
        }
        Ok((supply_v - string_v) / wanted_a)
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.within("series", f64::from(self.series), 1.0, 50.0);
        check.within("strings", f64::from(self.strings), 1.0, 1000.0);
        self.forward_v.note(check, "forward_v", 0.5, 50.0);
        if let Some(led_high_a) = self.led_high_a {
            check.within("led_high_a", led_high_a, 1e-4, 100.0);
        }
        check.inside("limit", |check| match self.limit {
            LedLimit::Resistor { resistance_ohm } => check.inside("resistor", |check| {
                check.within("resistance_ohm", resistance_ohm, 1e-2, 1e6);
            }),
            LedLimit::Driver { current_a, headroom_v } => check.inside("driver", |check| {
                current_a.note(check, "current_a", 1e-4, 100.0);
                check.within("headroom_v", headroom_v, 0.0, 20.0);
            }),
        });
    }
}
