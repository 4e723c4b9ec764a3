//! The inverse hyperbolic sine, near a place where it is known.

use crate::quantity::root::sqrt;

/// A place where the inverse hyperbolic sine is known.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Asinh {
    x: f64,
    root: f64,
    value: f64,
}

/// Largest square of the distance from that place: the first term left out is then under 2e-15.
const NEAR: f64 = 1e-2;

/// Largest change of the square of its root: Heron's rule is then done after two rounds, and after one under the second.
const NEAR_ROOT: f64 = 0.2;
const NEAR_ONCE: f64 = 0.01;

/// Series of the inverse hyperbolic sine, without the odd power, the highest first.
const SERIES: [f64; 6] = [-63.0 / 2816.0, 35.0 / 1152.0, -5.0 / 112.0, 3.0 / 40.0, -1.0 / 6.0, 1.0];

impl Asinh {
    pub(crate) const ZERO: Self = Self { x: 0.0, root: 1.0, value: 0.0 };

    /// √(1 + x²) and asinh x; moves there where it lies too far away.
    ///
    /// ```text
    /// root  Heron's rule from root₀ · (1 + ¾ u) / (1 + ¼ u),   u = (x² − x₀²) / root₀²:   after two rounds under 1e-16
    /// ```
    ///
    /// Source: derived. A square root costs as much as all the rest where it is worked out without the processor's own.
    #[expect(clippy::inline_always, reason = "read many times a step; left out of line where size counts")]
    #[inline(always)]
    pub(super) fn at(&mut self, x: f64) -> (f64, f64) {
        let square = self.root * self.root;
        let u = (x - self.x) * (x + self.x) / square;
        if u.abs() < NEAR_ROOT {
            let mut root = (1.0 + 0.75 * u) / (1.0 + 0.25 * u);
            root = 0.5 * (root + (1.0 + u) / root);
            if u.abs() > NEAR_ONCE {
                root = 0.5 * (root + (1.0 + u) / root);
            }
            root *= self.root;
            let d = x * self.root - self.x * root;
            let square = d * d;
            if square < NEAR {
                let mut sum = 0.0;
                for term in &SERIES {
                    sum = sum * square + term;
                }
                return (root, self.value + d * sum);
            }
        }
        *self = Self { x, root: sqrt(1.0 + x * x), value: libm::asinh(x) };
        (self.root, self.value)
    }
}
