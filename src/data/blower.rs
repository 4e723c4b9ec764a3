//! What a four-wire blower's specification says.

use crate::data::{Seen, Source};

/// The control and supply of a four-wire blower.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FourWireRow {
    /// Frequency of the control signal that is aimed at, in hertz.
    pub target_hz: f64,
    /// Lowest frequency of the control signal, in hertz.
    pub low_hz: f64,
    /// Highest frequency of the control signal, in hertz.
    pub high_hz: f64,
    /// Largest voltage that counts as low, in volts.
    pub logic_low_v: f64,
    /// Highest voltage of the control wire, in volts.
    pub control_high_v: f64,
    /// Current that the controller must be able to sink, in amperes.
    pub sink_a: f64,
    /// Largest steady supply current at 12.6 V, in amperes.
    pub steady_a: f64,
    /// Largest supply current at start-up, in amperes.
    pub start_a: f64,
    /// How long the start-up may last, in seconds; from memory.
    pub start_s: f64,
    /// Tolerance of the supply around 12 V, to both sides.
    pub supply_ratio: f64,
    /// Pulses of the tachometer in a turn.
    pub tachometer_pulses: f64,
}

/// The four-wire specification.
pub const FOUR_WIRE: FourWireRow = FourWireRow {
    target_hz: 25e3,
    low_hz: 21e3,
    high_hz: 28e3,
    logic_low_v: 0.8,
    control_high_v: 5.25,
    sink_a: 5e-3,
    steady_a: 1.5,
    start_a: 2.2,
    start_s: 1.0,
    supply_ratio: 0.05,
    tachometer_pulses: 2.0,
};

/// Source of [`FOUR_WIRE`].
pub const FOUR_WIRE_SOURCE: Source = Source {
    title: "Intel, 4-Wire PWM Controlled Fans Specification",
    edition: "1.3, 2005",
    place: "pages 9 and 10; the highest control voltage from memory",
    seen: Seen::Original,
};

/// Lowest and highest frequency that control inputs of four-wire blowers take in practice, in hertz; the specification is
/// narrower.
pub const FOUR_WIRE_USUAL_HZ: [f64; 2] = [10e3, 30e3];

/// Lowest usual frequency of chopping the supply of a two- or three-wire blower, in hertz.
pub const TWO_WIRE_LOW_HZ: f64 = 10.0;

/// Highest usual frequency of that, in hertz.
pub const TWO_WIRE_HIGH_HZ: f64 = 100.0;

/// Source of these and of [`FOUR_WIRE_USUAL_HZ`].
pub const TWO_WIRE_SOURCE: Source = Source {
    title: "Microchip, PICDEM System Management User's Guide DS41304",
    edition: "",
    place: "pages 16 and 17; the upper end from memory",
    seen: Seen::Original,
};
