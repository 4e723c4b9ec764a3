//! A small brushed motor's published sheet.

use crate::data::{Seen, Source};

/// What a motor's sheet says at one voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MotorRow {
    /// Voltage, in volts.
    pub at_v: f64,
    /// Speed without load, in turns per minute.
    pub no_load_turns_per_minute: f64,
    /// Torque with the shaft held, in newton metres.
    pub stall_nm: f64,
    /// Current with the shaft held, in amperes.
    pub stall_a: f64,
}

/// RC-260RA-2670 at 6 V.
pub const RC_260RA: MotorRow =
    MotorRow { at_v: 6.0, no_load_turns_per_minute: 24000.0, stall_nm: 7.0e-3, stall_a: 3.5 };

/// Source of [`RC_260RA`].
pub const RC_260RA_SOURCE: Source = Source {
    title: "Massachusetts Institute of Technology, course 2.007, motor information",
    edition: "",
    place: "RC-260RA-2670",
    seen: Seen::Original,
};

/// One gram-force centimetre, in newton metres; exact from the standard acceleration of gravity.
pub const GRAM_FORCE_CM_NM: f64 = 9.80665e-5;
