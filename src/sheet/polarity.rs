//! The polarity of a round connector: minus outside, plus inside. After IEC 60417-5926, drawn from memory.

use super::drawing::{Ink, Shape};
use alloc::vec::Vec;

/// Width of the mark at scale 1, in units.
pub(crate) const WIDTH: f64 = 66.0;

/// Where the open ring begins: cosine and sine of 0.7 rad.
const ARC_FROM: [f64; 2] = [0.7648421872844885, 0.644217687237691];
/// One of the twelve steps to where it ends, as far from the other side: cosine and sine of (2 π − 1.4) / 12 rad.
const ARC_TURN: [f64; 2] = [0.9183393949485494, 0.3957938297719308];

/// The mark, its left end at `x` and its middle at `y`.
pub(crate) fn plus_inside([x, y]: [f64; 2], scale: f64) -> Vec<Shape> {
    let at = |dx: f64, dy: f64| [x + scale * dx, y + scale * dy];
    let line =
        |from: [f64; 2], to: [f64; 2]| Shape::Path { points: alloc::vec![from, to], closed: false, ink: Ink::Symbol };
    let ring = |[x, y]: [f64; 2]| Shape::Circle { x, y, radius: 6.0 * scale, ink: Ink::Symbol };
    let arc = core::iter::successors(Some(ARC_FROM), |[x, y]| {
        let [along, across] = ARC_TURN;
        Some([x * along - y * across, x * across + y * along])
    });
    let arc = arc.take(13).map(|[dx, dy]| at(34.0 + 8.0 * dx, 8.0 * dy));
    let [dot_x, dot_y] = at(34.0, 0.0);
    alloc::vec![
        line(at(12.0, 0.0), at(26.0, 0.0)),
        line(at(34.0, 0.0), at(54.0, 0.0)),
        ring(at(6.0, 0.0)),
        ring(at(60.0, 0.0)),
        line(at(3.0, 0.0), at(9.0, 0.0)),
        line(at(57.0, 0.0), at(63.0, 0.0)),
        line(at(60.0, -3.0), at(60.0, 3.0)),
        Shape::Path { points: arc.collect(), closed: false, ink: Ink::Symbol },
        Shape::Circle { x: dot_x, y: dot_y, radius: 2.6 * scale, ink: Ink::Solid },
    ]
}
