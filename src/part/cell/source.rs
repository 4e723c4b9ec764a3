//! What a cell gives over one step or at one moment, as a function of its currents.

use super::asinh::Asinh;
use super::curves::{Curves, Rest};
use crate::quantity::root::sqrt;

/// A cell over one step, or at one moment: mean electromotive force as a function of the mean current, and the fast
/// part.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Source {
    pub(super) soc_ratio: f64,
    /// Rest voltage at the surface at the start.
    pub(super) start: Rest,
    /// Surface charge at the start, and at the end without current.
    pub(super) surface_ratio: f64,
    pub(super) end_ratio: f64,
    /// Surface and bulk charge that an ampere takes over the step.
    pub(super) surface_per_a: f64,
    pub(super) bulk_per_a: f64,
    pub(super) rc_v: f64,
    pub(super) rc_ohm: f64,
    pub(super) r_ohm: f64,
    pub(super) i0_a: f64,
    pub(super) per_i0_a: f64,
    pub(super) kinetic_v: f64,
}

/// Value and slope at one current.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tangent {
    pub(crate) v: f64,
    pub(crate) ohm: f64,
}

/// Voltage lost in the fast part, and its conductance, at one current.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Near {
    pub(crate) v: f64,
    pub(crate) siemens: f64,
}

/// Resistance of the fast part under which it counts as this much, in ohms.
const LEAST_OHM: f64 = 1e-9;

impl Source {
    /// Of no moment at all.
    pub(crate) const NONE: Self = Self {
        soc_ratio: 0.0,
        start: Rest { v: 0.0, slope_v: 0.0, area_v: 0.0 },
        surface_ratio: 0.0,
        end_ratio: 0.0,
        surface_per_a: 0.0,
        bulk_per_a: 0.0,
        rc_v: 0.0,
        rc_ohm: 0.0,
        r_ohm: 1.0,
        i0_a: 1.0,
        per_i0_a: 1.0,
        kinetic_v: 0.0,
    };

    /// Resistance without the reaction of the electrodes, in ohms.
    pub(crate) fn ohmic_ohm(&self) -> f64 {
        self.r_ohm
    }

    /// Electromotive force at the mean current and how fast it falls with it.
    ///
    /// The mean of the rest voltage over the step is the area under the curve between both ends over their distance.
    pub(crate) fn emf(&self, curves: &Curves, mean_a: f64) -> Tangent {
        let start = &self.start;
        let end_ratio = self.end_ratio - self.surface_per_a * mean_a;
        let moved = end_ratio - self.surface_ratio;
        let (rest_v, slope_v) = if moved.abs() > 1e-7 {
            let end = curves.rest(end_ratio);
            let per_moved = 1.0 / moved;
            let mean_v = (end.area_v - start.area_v) * per_moved;
            (mean_v, (end.v - mean_v) * per_moved)
        } else {
            (start.v + 0.5 * start.slope_v * moved, 0.5 * start.slope_v)
        };
        Tangent { v: rest_v - self.rc_v - self.rc_ohm * mean_a, ohm: slope_v * self.surface_per_a + self.rc_ohm }
    }

    /// As [`Source::fast`], from the inverse hyperbolic sine that was last worked out nearby.
    ///
    /// ```text
    /// asinh x = asinh x₀ + asinh d,   d = x · √(1 + x₀²) − x₀ · √(1 + x²),   asinh d = d − d³/6 + 3 d⁵/40 − …
    /// ```
    ///
    /// Source: addition theorem and series, NIST Digital Library of Mathematical Functions, 4.38 (from memory).
    #[expect(clippy::inline_always, reason = "read many times a step; left out of line where size counts")]
    #[inline(always)]
    pub(crate) fn fast_near(&self, current_a: f64, near: &mut Asinh) -> Near {
        let ohmic_v = current_a * self.r_ohm;
        if self.kinetic_v == 0.0 {
            return Near {
                v: ohmic_v,
                siemens: if self.r_ohm > LEAST_OHM { 1.0 / self.r_ohm } else { 1.0 / LEAST_OHM },
            };
        }
        let (root, asinh) = near.at(current_a * self.per_i0_a);
        let siemens = root / (self.r_ohm * root + self.kinetic_v * self.per_i0_a);
        Near {
            v: ohmic_v + self.kinetic_v * asinh,
            siemens: if siemens < 1.0 / LEAST_OHM { siemens } else { 1.0 / LEAST_OHM },
        }
    }

    /// Voltage lost in the fast part at `current_a`, and its slope.
    pub(crate) fn fast(&self, current_a: f64) -> Tangent {
        if self.kinetic_v == 0.0 {
            return Tangent { v: current_a * self.r_ohm, ohm: self.r_ohm };
        }
        let kinetic_v = self.kinetic_v * libm::asinh(current_a / self.i0_a);
        let kinetic_ohm = self.kinetic_v / sqrt(current_a * current_a + self.i0_a * self.i0_a);
        Tangent { v: current_a * self.r_ohm + kinetic_v, ohm: self.r_ohm + kinetic_ohm }
    }

    /// Mean rest voltage of the bulk over the step.
    pub(crate) fn bulk_v(&self, curves: &Curves, mean_a: f64) -> f64 {
        let moved = -mean_a * self.bulk_per_a;
        if moved.abs() < 1e-7 {
            return curves.rest(self.soc_ratio + 0.5 * moved).v;
        }
        (curves.rest(self.soc_ratio + moved).area_v - curves.rest(self.soc_ratio).area_v) / moved
    }
}
