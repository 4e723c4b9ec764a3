//! A blower at a speed, and its sound.
//!
//! ```text
//! flow ∝ speed      pressure ∝ speed²      power ∝ speed³
//! sound_db = 50·log10(speed_ratio) + 10·log10(count)
//! ```
//!
//! The laws hold for one blower on the same duct without static pressure, the air unchanged, between 0.3 and 1.2 of the
//! speed that was measured: below, bearings and brushes take a share that does not fall with the cube. Source: affinity
//! laws (AMCA); their range and the sound rule are common practice, no source.

use crate::error::{Check, Error, within};
use crate::quantity::Interval;
use alloc::vec::Vec;

/// Lowest speed ratio at which the laws are used.
pub const SPEED_LOW_RATIO: f64 = 0.3;
/// Highest speed ratio at which the laws are used.
pub const SPEED_HIGH_RATIO: f64 = 1.2;

/// How flow, pressure and power follow the speed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Affinity {
    /// Flow against the flow at full speed.
    pub flow_ratio: f64,
    /// Pressure against the pressure at full speed.
    pub pressure_ratio: f64,
    /// Power at the shaft against the power at full speed.
    pub power_ratio: f64,
}

/// Flow, pressure and power at `speed_ratio` of the full speed.
///
/// # Errors
///
/// Names `speed_ratio` where the laws do not hold.
///
/// # Examples
///
/// ```
/// # use cellwright::part::blower::affinity;
/// assert!((affinity(0.5)?.power_ratio - 0.125).abs() < 1e-12);
/// assert_eq!(affinity(0.1).unwrap_err().field(), "speed_ratio");
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn affinity(speed_ratio: f64) -> Result<Affinity, Error> {
    let r = within("speed_ratio", speed_ratio, SPEED_LOW_RATIO, SPEED_HIGH_RATIO)?;
    Ok(Affinity { flow_ratio: r, pressure_ratio: r * r, power_ratio: r * r * r })
}

/// Change of the sound level, in decibels, of `count` equal sources at `speed_ratio` against one at full speed.
///
/// # Errors
///
/// Names the value that is out of range.
///
/// # Examples
///
/// ```
/// # use cellwright::part::blower::sound_db;
/// assert!((sound_db(0.5, 1.0)? + 15.05).abs() < 0.01);
/// assert!((sound_db(1.0, 2.0)? - 3.01).abs() < 0.01);
/// assert_eq!(sound_db(0.0, 1.0).unwrap_err().field(), "speed_ratio");
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn sound_db(speed_ratio: f64, count: f64) -> Result<f64, Error> {
    let speed_ratio = within("speed_ratio", speed_ratio, SPEED_LOW_RATIO, SPEED_HIGH_RATIO)?;
    let count = within("count", count, 1.0, 100.0)?;
    Ok(50.0 * libm::log10(speed_ratio) + 10.0 * libm::log10(count))
}

/// What turns a blower.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum BlowerDrive {
    /// A brushed motor: its speed follows the mean voltage.
    Brushed(Winding),
    /// Four wires: the supply stays on, and the speed follows the control wire's duty.
    FourWire,
    /// Two or three wires and electronics inside: only what was measured is known.
    OwnElectronics(MeasuredCurve),
}

/// The winding of a brushed motor, as far as it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Winding {
    /// Resistance with the shaft held, in ohms.
    pub motor_ohm: Option<Interval>,
    /// Inductance, in henries.
    pub motor_h: Option<f64>,
}

/// A curve that was measured with the timer in place.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MeasuredCurve {
    /// Two or more points by rising duty.
    pub points: Vec<CurvePoint>,
}

/// One point of a measured curve.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CurvePoint {
    /// Duty, 0 to 1.
    pub duty: f64,
    /// Speed against the speed at `at_v` without chopping.
    pub speed_ratio: f64,
    /// Mean current from the supply, in amperes.
    pub mean_a: f64,
}

/// A blower.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Blower {
    /// Power from the supply at `at_v` without chopping, in watts.
    pub power_w: Interval,
    /// Voltage of that power and of the figures below, in volts.
    pub at_v: f64,
    /// Flow there, in cubic metres per second.
    pub flow_m3_per_s: Option<f64>,
    /// Speed there, in turns per minute.
    pub turns_per_minute: Option<f64>,
    /// What turns it.
    pub drive: BlowerDrive,
}

impl Blower {
    pub(crate) fn check(&self, check: &mut Check) {
        self.power_w.note(check, "power_w", 1e-3, 10000.0);
        check.within("at_v", self.at_v, 0.5, 60.0);
        if let Some(flow) = self.flow_m3_per_s {
            check.within("flow_m3_per_s", flow, 1e-9, 100.0);
        }
        if let Some(turns) = self.turns_per_minute {
            check.within("turns_per_minute", turns, 1.0, 200_000.0);
        }
        check.inside("drive", |check| match &self.drive {
            BlowerDrive::Brushed(winding) => check.inside("brushed", |check| winding.check(check)),
            BlowerDrive::FourWire => {}
            BlowerDrive::OwnElectronics(curve) => check.inside("own_electronics", |check| curve.check(check)),
        });
    }
}

impl Winding {
    fn check(&self, check: &mut Check) {
        if let Some(motor_ohm) = self.motor_ohm {
            motor_ohm.note(check, "motor_ohm", 1e-3, 1e4);
        }
        if let Some(motor_h) = self.motor_h {
            check.within("motor_h", motor_h, 1e-8, 100.0);
        }
    }
}

/// What is accepted where a curve is too short.
const CURVE_NEEDED: &str = "a measured curve of two or more points, or a load whose supply is not chopped: electronics behind a \
                            chopped supply follow no law";

impl MeasuredCurve {
    pub(crate) fn check(&self, check: &mut Check) {
        if self.points.len() < 2 {
            check.note(Error::missing("points", CURVE_NEEDED));
        }
        if self.points.len() > 50 {
            check.note(Error::range("points", self.points.len() as f64, 0.0, 50.0));
        }
        for (i, point) in self.points.iter().enumerate() {
            check.inside("points", |check| {
                check.inside(i, |check| {
                    check.within("duty", point.duty, 0.0, 1.0);
                    check.within("speed_ratio", point.speed_ratio, 0.0, 2.0);
                    check.within("mean_a", point.mean_a, 0.0, 1000.0);
                });
            });
        }
        if self.points.windows(2).any(|pair| matches!(pair, [a, b] if a.duty >= b.duty)) {
            check.note(Error::other("points", "duties that do not rise", "points by rising duty"));
        }
    }

    /// Between two measured points; none outside them.
    pub(crate) fn at(&self, duty: f64) -> Option<CurvePoint> {
        let pair = self.points.windows(2).find_map(|pair| match pair {
            [a, b] if (a.duty..=b.duty).contains(&duty) => Some((a, b)),
            _ => None,
        });
        let (a, b) = pair?;
        let x = (duty - a.duty) / (b.duty - a.duty);
        let between = |from: f64, to: f64| from + (to - from) * x;
        Some(CurvePoint {
            duty,
            speed_ratio: between(a.speed_ratio, b.speed_ratio),
            mean_a: between(a.mean_a, b.mean_a),
        })
    }
}
