//! A capacitor that is pulled toward a fixed voltage through a resistance and perhaps a junction.
//!
//! ```text
//! u = R·i + v_junction(i),  C·du/dt = −i      (u: what is left between capacitor and source)
//! without junction   t = R·C·ln(u₁/u₂)
//! with junction      t = C·((R + RS)·ln(i₁/i₂) + (N·kT/q/IS)·(ln(1 + IS/i₂) − ln(1 + IS/i₁)))
//! ```
//!
//! Both are exact; the second follows from dt = −C·(du/di)·di/i. Capacitance and stored charge of the junction are
//! not counted: above 20 kHz they shorten the period of a steered timer by up to 0.5 %.
//! Source: RC step response and the junction law of [`crate::quantity::junction`].

use crate::quantity::junction::Junction;

/// One way in or out of the capacitor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Decay {
    /// Resistance in the way, in ohms.
    pub(super) ohm: f64,
    /// Junction in the way.
    pub(super) junction: Option<Junction>,
    /// The capacitor, in farads.
    pub(super) c_f: f64,
}

impl Decay {
    /// Time in which what is left falls from `from_v` to `to_v`, both above 0, in seconds.
    pub(super) fn time_s(&self, from_v: f64, to_v: f64) -> f64 {
        match &self.junction {
            None => self.ohm * self.c_f * libm::log(from_v / to_v),
            Some(junction) => {
                self.between_s(junction, junction.current_a(from_v, self.ohm), junction.current_a(to_v, self.ohm))
            }
        }
    }

    /// Current with `from_v` left, in amperes.
    pub(super) fn start_a(&self, from_v: f64) -> f64 {
        match &self.junction {
            None => from_v / self.ohm,
            Some(junction) => junction.current_a(from_v, self.ohm),
        }
    }

    /// What is left of `from_v` after `after_s`, in volts.
    pub(super) fn left_v(&self, from_v: f64, after_s: f64) -> f64 {
        if after_s <= 0.0 {
            return from_v;
        }
        match &self.junction {
            None => from_v * libm::exp(-after_s / (self.ohm * self.c_f)),
            Some(junction) => self.left_through_v(junction, from_v, after_s),
        }
    }

    /// Halves the bracket on the current: the time rises as the current at its end falls.
    fn left_through_v(&self, junction: &Junction, from_v: f64, after_s: f64) -> f64 {
        let start_a = junction.current_a(from_v, self.ohm);
        let (mut low_a, mut high_a) = (0.0, start_a);
        for _ in 0..100 {
            let middle_a = 0.5 * (low_a + high_a);
            if self.between_s(junction, start_a, middle_a) > after_s {
                low_a = middle_a;
            } else {
                high_a = middle_a;
            }
        }
        junction.drop_v(high_a) + self.ohm * high_a
    }

    fn between_s(&self, junction: &Junction, from_a: f64, to_a: f64) -> f64 {
        let is_a = junction.saturation_a;
        let resistive = (self.ohm + junction.series_ohm) * libm::log(from_a / to_a);
        let forward = junction.emission_v / is_a * (libm::log1p(is_a / to_a) - libm::log1p(is_a / from_a));
        self.c_f * (resistive + forward)
    }
}
