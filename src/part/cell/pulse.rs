//! A cell after a pulse: its voltage, its resistance, and the factor on its resistances that a reading asks for.

use super::source::Source;

/// A cell after a time of constant current from rest.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pulse {
    pub(super) rest_v: f64,
    pub(super) now: Source,
    pub(super) current_a: f64,
}

impl Pulse {
    /// Voltage under load, in volts.
    pub(crate) fn cell_v(&self) -> f64 {
        self.now.start.v - self.now.rc_v - self.now.fast(self.current_a).v
    }

    /// Resistance since the rest if every fast resistance were `scale` times as large, in ohms.
    pub(crate) fn ohm(&self, scale: f64) -> f64 {
        (self.slow_v() + self.scaled(scale).fast(self.current_a).v) / self.current_a
    }

    /// The scale at which that resistance is `wanted_ohm`, between `low` where it is less and `high` where it is more.
    ///
    /// The resistance rises ever more slowly with the scale: from anywhere one step of Newton's method leads below the
    /// root, and from there every step leads nearer.
    pub(crate) fn scale_for(&self, wanted_ohm: f64, [low, high]: [f64; 2], guess: f64) -> f64 {
        let (slow_v, wanted_v) = (self.slow_v(), wanted_ohm * self.current_a);
        let mut scale = guess;
        for _ in 0..SCALE_STEPS {
            let fast = self.scaled(scale).fast(self.current_a);
            // What grows with the current by its resistance grows with the scale by the same share.
            let next = scale - (slow_v + fast.v - wanted_v) * scale / (fast.ohm * self.current_a);
            let next = next.clamp(low, high);
            let step = libm::fabs(next - scale);
            scale = next;
            if step < SCALE_NEAR * scale {
                break;
            }
        }
        scale
    }

    /// Voltage lost in the slow states, in volts.
    fn slow_v(&self) -> f64 {
        self.rest_v - self.now.start.v + self.now.rc_v
    }

    fn scaled(&self, scale: f64) -> Source {
        let Source { r_ohm, i0_a, .. } = self.now;
        Source { r_ohm: r_ohm * scale, i0_a: i0_a / scale, per_i0_a: scale / i0_a, ..self.now }
    }
}

/// How near the factor on the resistances is found, as a ratio of itself, and the most steps that takes.
const SCALE_NEAR: f64 = 1e-10;
const SCALE_STEPS: usize = 60;
