//! Axes with round steps, shared by the charts.

use crate::quantity::said::Phrase;
use crate::quantity::tongue::Tongue;
use crate::sheet::drawing::{Anchor, Drawing, Ink, Shape, fitted, plain, text_width};
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

/// Width of a chart, in units.
pub(super) const WIDTH: f64 = 360.0;
/// Left and right end of the plot.
pub(super) const LEFT: f64 = 46.0;
pub(super) const RIGHT: f64 = 348.0;
/// Size of type.
pub(super) const SMALL: f64 = 10.0;
/// Smallest type of a text that is set smaller to fit.
const LEAST: f64 = 7.5;

/// A quantity on a straight axis.
#[derive(Clone, Copy, Debug)]
pub(super) struct Axis {
    /// Ends of the quantity.
    pub(super) low: f64,
    pub(super) high: f64,
    /// Round step between marks.
    pub(super) step: f64,
    /// Where the ends lie on the drawing.
    pub(super) from: f64,
    pub(super) to: f64,
}

impl Axis {
    /// An axis that holds `low` to `high` with about `marks` round steps.
    pub(super) fn new(low: f64, high: f64, marks: f64, from: f64, to: f64) -> Self {
        let span = (high - low).max(1e-9 * libm::fabs(high)).max(1e-9);
        let step = round_step(span / marks);
        let low = step * libm::floor(low / step + 1e-9);
        let high = step * libm::ceil(high / step - 1e-9);
        Self { low, high: if high > low { high } else { low + step }, step, from, to }
    }

    /// Where a value lies.
    pub(super) fn at(&self, value: f64) -> f64 {
        let share = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        self.from + share * (self.to - self.from)
    }

    /// The round values.
    pub(super) fn marks(&self) -> Vec<f64> {
        let count = libm::round((self.high - self.low) / self.step).min(20.0) as u32;
        (0..=count).map(|i| self.low + self.step * f64::from(i)).collect()
    }

    /// A mark in as many places as the step needs.
    pub(super) fn words(&self, value: f64) -> String {
        let places = (-libm::floor(libm::log10(self.step) + 1e-9)).clamp(0.0, 6.0) as usize;
        let value = if libm::fabs(value) < 1e-9 * self.step { 0.0 } else { value };
        format!("{value:.places$}").replace('-', "−")
    }
}

/// 1, 2 or 5 times a power of ten, no smaller than `wanted`.
fn round_step(wanted: f64) -> f64 {
    let power = libm::pow(10.0, libm::floor(libm::log10(wanted.max(1e-12))));
    let times = [1.0, 2.0, 5.0].into_iter().find(|times| times * power >= wanted * (1.0 - 1e-9));
    times.unwrap_or(10.0) * power
}

/// Shapes of a chart in the making.
#[derive(Debug)]
pub(super) struct Plot<'a> {
    shapes: Vec<Shape>,
    tongue: &'a Tongue,
}

impl<'a> Plot<'a> {
    pub(super) fn new(tongue: &'a Tongue) -> Self {
        Self { shapes: Vec::new(), tongue }
    }

    /// A phrase in the words of the drawing, set smaller where it is wider than the drawing leaves for it.
    pub(super) fn said(&mut self, x: f64, y: f64, anchor: Anchor, phrase: impl Into<Phrase>) {
        let text = self.tongue.say(&phrase.into());
        let room = if anchor == Anchor::Right { x } else { WIDTH - x } - 4.0;
        let size = SMALL.min(room / text_width(&text, 1.0).max(1e-9)).max(LEAST);
        let text = fitted(&text, size, room + 1e-6);
        self.shapes.push(Shape::Text { x, y, text, size, anchor, ink: Ink::Text });
    }

    /// A number beside its line.
    pub(super) fn number(&mut self, x: f64, y: f64, anchor: Anchor, axis: &Axis, value: f64) {
        let text = self.tongue.plain(axis.words(value));
        self.text(x, y, anchor, Ink::Text, &text);
    }

    pub(super) fn text(&mut self, x: f64, y: f64, anchor: Anchor, ink: Ink, text: &str) {
        self.shapes.push(Shape::Text { x, y, text: text.to_string(), size: SMALL, anchor, ink });
    }

    pub(super) fn line(&mut self, ink: Ink, points: Vec<[f64; 2]>) {
        self.shapes.push(Shape::Path { points, closed: false, ink });
    }

    /// A closed shape.
    pub(super) fn shape(&mut self, ink: Ink, points: Vec<[f64; 2]>) {
        self.shapes.push(Shape::Path { points, closed: true, ink });
    }

    pub(super) fn boxed(&mut self, ink: Ink, [x, y]: [f64; 2], width: f64, height: f64) {
        self.shapes.push(Shape::Box { x, y, width: width.max(0.0), height: height.max(0.0), ink });
    }

    pub(super) fn circle(&mut self, ink: Ink, [x, y]: [f64; 2], radius: f64) {
        self.shapes.push(Shape::Circle { x, y, radius, ink });
    }

    /// Lines across with their values at the left.
    pub(super) fn across(&mut self, axis: &Axis) {
        for mark in axis.marks() {
            let y = axis.at(mark);
            self.line(Ink::Grid, alloc::vec![[LEFT, y], [RIGHT, y]]);
            self.number(LEFT - 4.0, y + 3.5, Anchor::Right, axis, mark);
        }
    }

    /// Lines down from `top` to `bottom`; their values below where asked for.
    pub(super) fn down(&mut self, axis: &Axis, top: f64, bottom: f64, named: bool) {
        for mark in axis.marks() {
            let x = axis.at(mark);
            self.line(Ink::Grid, alloc::vec![[x, top], [x, bottom]]);
            if named {
                self.number(x, bottom + 13.0, Anchor::Middle, axis, mark);
            }
        }
    }

    /// Thin strokes over a rectangle.
    pub(super) fn hatch(&mut self, [x, y]: [f64; 2], width: f64, height: f64) {
        if width < 0.5 || height < 0.5 {
            return;
        }
        let mut start = 4.0;
        while start < width + height {
            // From the left or lower edge up to the upper or right edge.
            let from = if start <= height { [x, y + start] } else { [x + start - height, y + height] };
            let to = if start <= width { [x + start, y] } else { [x + width, y + start - width] };
            self.line(Ink::Hatch, alloc::vec![from, to]);
            start += 4.0;
        }
    }

    pub(super) fn drawing(self, title: &Phrase, height: f64) -> Drawing {
        // 180 mm wide on paper.
        let unit_m = 0.180 / WIDTH;
        let title = plain(&self.tongue.say(title));
        Drawing { title, width: WIDTH, height, unit_m: unit_m.min(0.277 / height), line: 1.0, shapes: self.shapes }
    }
}
