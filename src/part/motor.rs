//! A brushed motor from its constants, its sheet or two measurements.
//!
//! ```text
//! v = R·i + k·ω        torque = k·i − friction = k·(i − i₀)        ω = 2π·n/60
//! speed at a torque    n = n₀·(1 − torque / stall_torque)
//! ```
//!
//! Holds for a permanent-magnet motor with brushes, cold winding, within its rated voltage; mean values where it is
//! chopped with a flyback diode and the current never stops. Source: first principles.

use crate::data::motor::MotorRow;
use crate::error::{Check, Error, within};
use crate::quantity::Interval;
use alloc::vec::Vec;

/// Radians per second in one turn per minute.
const RAD_PER_S: f64 = core::f64::consts::TAU / 60.0;

/// Constants of a motor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MotorConstants {
    /// Resistance with brushes and leads, in ohms.
    pub motor_ohm: Interval,
    /// Back-EMF for each radian per second, in volt seconds; also the torque for each ampere.
    pub volt_second: Interval,
    /// Current that friction takes without load, in amperes.
    pub no_load_a: Interval,
}

/// One measurement of a motor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MotorReading {
    /// Voltage at the motor, in volts.
    pub motor_v: f64,
    /// Current, in amperes.
    pub current_a: f64,
    /// Speed, in turns per minute; 0 with the shaft held.
    pub turns_per_minute: f64,
}

/// Two measurements: one without load, one held or loaded.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MotorReadings {
    /// Without load.
    pub free: MotorReading,
    /// Held or loaded, with more current.
    pub loaded: MotorReading,
    /// Error of each reading, to both sides, as a ratio.
    pub error_ratio: f64,
}

/// A motor at one mean voltage and torque.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MotorPoint {
    /// Mean current, in amperes.
    pub current_a: f64,
    /// Speed, in turns per minute; 0 where it does not turn.
    pub turns_per_minute: f64,
    /// Power at the shaft, in watts.
    pub shaft_w: f64,
    /// Heat in the winding, in watts.
    pub heat_w: f64,
}

impl MotorConstants {
    /// Likely constants at a mean voltage against a constant torque.
    ///
    /// # Errors
    ///
    /// Every value out of range.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::motor::MotorConstants;
    /// # use cellwright::quantity::Interval;
    /// let motor = MotorConstants {
    ///     motor_ohm: Interval::exact(1.5), volt_second: Interval::exact(0.01), no_load_a: Interval::exact(0.2),
    /// };
    /// let point = motor.point(12.0, 0.01)?;
    /// assert!((point.current_a - 1.2).abs() < 1e-12 && (point.turns_per_minute - 9740.0).abs() < 1.0);
    /// assert_eq!(motor.point(1.0, 0.01)?.turns_per_minute, 0.0);
    /// assert!(motor.point(12.0, -1.0).is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn point(&self, motor_v: f64, torque_nm: f64) -> Result<MotorPoint, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.within("motor_v", motor_v, 0.0, 100.0);
        check.within("torque_nm", torque_nm, 0.0, 100.0);
        check.finish()?;
        let (ohm, k) = (self.motor_ohm.likely, self.volt_second.likely);
        let wanted_a = self.no_load_a.likely + torque_nm / k;
        let current_a = wanted_a.min(motor_v / ohm);
        let omega = ((motor_v - ohm * current_a) / k).max(0.0);
        Ok(MotorPoint {
            current_a,
            turns_per_minute: omega / RAD_PER_S,
            shaft_w: torque_nm * omega,
            heat_w: ohm * current_a * current_a,
        })
    }

    /// Current with the shaft held at a mean voltage, in amperes; the high end is the one that heats.
    ///
    /// # Errors
    ///
    /// Every value out of range.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::motor::MotorConstants;
    /// # use cellwright::quantity::Interval;
    /// let motor = MotorConstants {
    ///     motor_ohm: Interval::around(1.5, 0.1), volt_second: Interval::exact(0.01), no_load_a: Interval::exact(0.2),
    /// };
    /// assert!((motor.stall_a(6.0)?.likely - 4.0).abs() < 1e-12);
    /// assert!(motor.stall_a(f64::NAN).is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn stall_a(&self, motor_v: f64) -> Result<Interval, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.within("motor_v", motor_v, 0.0, 100.0);
        check.finish()?;
        let ohm = self.motor_ohm;
        Ok(Interval { low: motor_v / ohm.high, likely: motor_v / ohm.likely, high: motor_v / ohm.low })
    }

    pub(crate) fn check(&self, check: &mut Check) {
        self.motor_ohm.note(check, "motor_ohm", 1e-3, 1e4);
        self.volt_second.note(check, "volt_second", 1e-6, 100.0);
        self.no_load_a.note(check, "no_load_a", 0.0, 1000.0);
    }
}

impl MotorReadings {
    /// Constants from the two readings, over all corners of their errors.
    ///
    /// # Errors
    ///
    /// Every value out of range, or readings that no motor has within their errors.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::motor::{MotorReading, MotorReadings};
    /// let readings = MotorReadings {
    ///     free: MotorReading { motor_v: 12.0, current_a: 0.2, turns_per_minute: 11173.0 },
    ///     loaded: MotorReading { motor_v: 3.0, current_a: 2.0, turns_per_minute: 0.0 },
    ///     error_ratio: 0.01,
    /// };
    /// let motor = readings.constants()?;
    /// assert!((motor.motor_ohm.likely - 1.5).abs() < 1e-9);
    /// assert!(motor.motor_ohm.low < 1.5 && motor.motor_ohm.high > 1.5);
    /// let same = MotorReadings { loaded: readings.free, ..readings };
    /// assert!(same.constants().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn constants(&self) -> Result<MotorConstants, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let likely = self.corner([0.0; 6]).ok_or_else(|| self.refused())?;
        let mut ohm = Interval::exact(likely.0);
        let mut k = Interval::exact(likely.1);
        for corner in 0..64_u32 {
            let sign = |bit: u32| if corner >> bit & 1 == 1 { self.error_ratio } else { -self.error_ratio };
            let signs = [sign(0), sign(1), sign(2), sign(3), sign(4), sign(5)];
            let (r, volt_second) = self.corner(signs).ok_or_else(|| self.refused())?;
            (ohm.low, ohm.high) = (ohm.low.min(r), ohm.high.max(r));
            (k.low, k.high) = (k.low.min(volt_second), k.high.max(volt_second));
        }
        let no_load_a = Interval::around(self.free.current_a, self.error_ratio);
        Ok(MotorConstants { motor_ohm: ohm, volt_second: k, no_load_a })
    }

    /// Resistance and constant with each reading off by a ratio; none where no motor has these.
    fn corner(&self, [v1, i1, n1, v2, i2, n2]: [f64; 6]) -> Option<(f64, f64)> {
        let read = |reading: &MotorReading, v: f64, i: f64, n: f64| {
            (
                reading.motor_v * (1.0 + v),
                reading.current_a * (1.0 + i),
                reading.turns_per_minute * RAD_PER_S * (1.0 + n),
            )
        };
        let (v1, i1, w1) = read(&self.free, v1, i1, n1);
        let (v2, i2, w2) = read(&self.loaded, v2, i2, n2);
        let together = i1 * w2 - i2 * w1;
        let ohm = (v1 * w2 - v2 * w1) / together;
        let volt_second = (i1 * v2 - i2 * v1) / together;
        ((1e-3..=1e4).contains(&ohm) && (1e-6..=100.0).contains(&volt_second)).then_some((ohm, volt_second))
    }

    fn refused(&self) -> Vec<Error> {
        let given = alloc::format!("{} A after {} A", self.loaded.current_a, self.free.current_a);
        Error::other("loaded", given, "a reading that differs from the free one by more than both errors").into()
    }

    pub(crate) fn check(&self, check: &mut Check) {
        for (field, reading) in [("free", &self.free), ("loaded", &self.loaded)] {
            check.inside(field, |check| {
                check.within("motor_v", reading.motor_v, 0.01, 100.0);
                check.within("current_a", reading.current_a, 1e-4, 1000.0);
                check.within("turns_per_minute", reading.turns_per_minute, 0.0, 200_000.0);
            });
        }
        check.within("error_ratio", self.error_ratio, 0.0, 0.2);
    }
}

impl MotorRow {
    /// Torque for each ampere, in newton metres, friction left out.
    #[must_use]
    pub fn torque_nm_per_a(&self) -> f64 {
        self.stall_nm / self.stall_a
    }

    /// Back-EMF for each radian per second, in volt seconds, the current without load left out.
    #[must_use]
    pub fn volt_second(&self) -> f64 {
        self.at_v / (self.no_load_turns_per_minute * RAD_PER_S)
    }

    /// Speed against a torque, in turns per minute.
    ///
    /// # Errors
    ///
    /// Names `torque_nm` outside 0 to the stall torque.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::motor::RC_260RA;
    /// assert!((RC_260RA.turns_per_minute(2e-3)? - 17143.0).abs() < 1.0);
    /// assert_eq!(RC_260RA.turns_per_minute(1.0).unwrap_err().field(), "torque_nm");
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn turns_per_minute(&self, torque_nm: f64) -> Result<f64, Error> {
        let torque_nm = within("torque_nm", torque_nm, 0.0, self.stall_nm)?;
        Ok(self.no_load_turns_per_minute * (1.0 - torque_nm / self.stall_nm))
    }
}

/// Power at the shaft, in watts.
///
/// # Errors
///
/// Names the value out of range.
///
/// # Examples
///
/// ```
/// # use cellwright::part::motor::shaft_w;
/// assert!((shaft_w(0.0196133, 11000.0)? - 22.59).abs() < 0.01);
/// assert_eq!(shaft_w(-1.0, 11000.0).unwrap_err().field(), "torque_nm");
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn shaft_w(torque_nm: f64, turns_per_minute: f64) -> Result<f64, Error> {
    let torque_nm = within("torque_nm", torque_nm, 0.0, 100.0)?;
    let turns = within("turns_per_minute", turns_per_minute, 0.0, 200_000.0)?;
    Ok(torque_nm * turns * RAD_PER_S)
}
