//! The diagram on A4: as it is where it fits at a third of a millimetre a unit, otherwise in two columns.

use super::{MINUS_X, PLUS_X, WIDTH};
use crate::sheet::drawing::{Drawing, Ink, Shape};
use alloc::vec::Vec;

/// What A4 leaves within margins of 10 mm, in metres.
const A4_M: [f64; 2] = [0.190, 0.277];
/// Size of a unit on paper at most, in metres: small type is then 3.3 mm high.
const UNIT_M: f64 = 1e-3 / 3.0;
/// Left edge of the second column.
const SECOND: f64 = WIDTH + 24.0;
/// Where the second column begins.
const TOP: f64 = 40.0;

/// The narrow drawing laid out for A4; `cut_y` is where the lines run down with nothing between them.
pub(super) fn laid_out(narrow: &Drawing, cut_y: f64) -> Drawing {
    let [_, high_m] = A4_M;
    if narrow.height * UNIT_M <= high_m {
        return Drawing { unit_m: UNIT_M, ..narrow.clone() };
    }
    let mut shapes: Vec<Shape> = narrow.shapes.iter().map(|shape| moved(shape, cut_y)).collect();
    shapes.insert(0, joined(Ink::Plus, PLUS_X, cut_y, [12.0, WIDTH + 14.0, TOP - 14.0]));
    shapes.insert(0, joined(Ink::Minus, MINUS_X, cut_y, [4.0, WIDTH + 4.0, TOP - 24.0]));
    let width = SECOND + WIDTH;
    let height = (cut_y + 20.0).max(narrow.height - cut_y + TOP);
    Drawing { width, height, unit_m: unit_m(width, height), shapes, ..narrow.clone() }
}

/// Size of a unit with which the drawing fits, upright or across.
fn unit_m(width: f64, height: f64) -> f64 {
    let [short_m, long_m] = A4_M;
    let fits = |wide_m: f64, high_m: f64| (wide_m / width).min(high_m / height);
    fits(short_m, long_m).max(fits(long_m, short_m)).min(UNIT_M)
}

/// A line from the foot of the first column to the head of the second.
fn joined(ink: Ink, x: f64, cut_y: f64, [below, between_x, over_y]: [f64; 3]) -> Shape {
    let foot_y = cut_y + below;
    let points = alloc::vec![
        [x, cut_y],
        [x, foot_y],
        [between_x, foot_y],
        [between_x, over_y],
        [SECOND + x, over_y],
        [SECOND + x, TOP],
    ];
    Shape::Path { points, closed: false, ink }
}

/// The shape in its column.
fn moved(shape: &Shape, cut_y: f64) -> Shape {
    let upper = match shape {
        Shape::Path { points, .. } => points.iter().map(|[_, y]| *y).fold(f64::MAX, f64::min),
        Shape::Circle { y, .. } | Shape::Box { y, .. } | Shape::Text { y, .. } => *y,
    };
    if upper < cut_y - 1e-6 {
        return shape.clone();
    }
    let place = |x: f64, y: f64| [x + SECOND, y - cut_y + TOP];
    let mut moved = shape.clone();
    match &mut moved {
        Shape::Path { points, .. } => {
            for point in points {
                let [x, y] = *point;
                *point = place(x, y);
            }
        }
        Shape::Circle { x, y, .. } | Shape::Box { x, y, .. } | Shape::Text { x, y, .. } => [*x, *y] = place(*x, *y),
    }
    moved
}
