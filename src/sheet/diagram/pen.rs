//! Wires, symbols and words of the wiring diagram. Symbols after IEC 60617, drawn along the wire they sit in.

use super::Connection;
use crate::quantity::root::sqrt;
use crate::quantity::said::Phrase;
use crate::quantity::tongue::Tongue;
use crate::sheet::drawing::{Anchor, Ink, Shape, fitted, text_width};
use crate::sheet::points::TestPoint;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

/// A place on the diagram.
pub(super) type At = [f64; 2];

/// Size of type beside symbols.
pub(super) const SMALL: f64 = 10.0;
/// Size of type for what is read first.
pub(super) const LARGE: f64 = 11.0;
/// Radius of a test point.
const POINT_R: f64 = 9.0;
/// Smallest type of a text that is set smaller to fit.
const LEAST: f64 = 8.0;

/// A symbol that sits in a wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Symbol {
    Resistor,
    /// A resistor whose middle is tapped.
    Potentiometer,
    Fuse,
    Capacitor,
    /// Its first end is plus.
    Cell,
    /// Current flows from its first to its second end.
    Diode,
    Switch,
    Motor,
    Lamp,
    Load,
}

/// Collects what is drawn, layer by layer.
#[derive(Debug)]
pub(super) struct Pen<'a> {
    /// Words of what is written.
    tongue: &'a Tongue,
    wires: Vec<Shape>,
    symbols: Vec<Shape>,
    points: Vec<Shape>,
    words: Vec<Shape>,
    pub(super) links: Vec<Connection>,
    pub(super) shown: Vec<TestPoint>,
}

impl<'a> Pen<'a> {
    pub(super) fn new(tongue: &'a Tongue) -> Self {
        let (wires, symbols, points, words) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        Self { tongue, wires, symbols, points, words, links: Vec::new(), shown: Vec::new() }
    }

    /// Everything, the lowest first.
    pub(super) fn shapes(self) -> Vec<Shape> {
        [self.wires, self.symbols, self.points, self.words].concat()
    }

    pub(super) fn wire(&mut self, ink: Ink, points: &[At]) {
        self.wires.push(Shape::Path { points: points.to_vec(), closed: false, ink });
    }

    pub(super) fn line(&mut self, ink: Ink, points: &[At]) {
        self.symbols.push(Shape::Path { points: points.to_vec(), closed: false, ink });
    }

    pub(super) fn area(&mut self, ink: Ink, points: &[At]) {
        self.symbols.push(Shape::Path { points: points.to_vec(), closed: true, ink });
    }

    pub(super) fn frame(&mut self, ink: Ink, [x, y]: At, width: f64, height: f64) {
        self.symbols.push(Shape::Box { x, y, width, height, ink });
    }

    pub(super) fn circle(&mut self, ink: Ink, [x, y]: At, radius: f64) {
        self.symbols.push(Shape::Circle { x, y, radius, ink });
    }

    /// Wires that meet here are joined.
    pub(super) fn dot(&mut self, at: At) {
        self.circle(Ink::Solid, at, 2.6);
    }

    /// A phrase in the words of the drawing.
    pub(super) fn say(&self, phrase: impl Into<Phrase>) -> String {
        self.tongue.say(&phrase.into())
    }

    /// Signs that are the same in every language, or words that are said already.
    pub(super) fn text(&mut self, [x, y]: At, anchor: Anchor, ink: Ink, size: f64, text: &str) {
        self.words.push(Shape::Text { x, y, text: text.to_string(), size, anchor, ink });
    }

    /// A small text that is set smaller where it is wider than `width`, and cut where that does not do.
    pub(super) fn label(&mut self, at: At, anchor: Anchor, width: f64, phrase: impl Into<Phrase>) {
        self.fit(at, anchor, (Ink::Text, SMALL), width, &phrase.into());
    }

    /// The same in any ink and size.
    pub(super) fn fit(&mut self, at: At, anchor: Anchor, (ink, size): (Ink, f64), width: f64, phrase: &Phrase) {
        let text = self.tongue.say(phrase);
        let bold = if ink == Ink::Alarm { 1.1 } else { 1.0 };
        let size = size.min(width / text_width(&text, bold).max(1e-9)).max(LEAST);
        self.text(at, anchor, ink, size, &fitted(&text, size * bold, width + 1e-6));
    }

    /// A numbered test point on a wire.
    pub(super) fn point(&mut self, point: TestPoint, [x, y]: At) {
        self.points.push(Shape::Circle { x, y, radius: POINT_R, ink: Ink::Mark });
        let number = point.number().to_string();
        let size = if number.len() > 2 { 8.0 } else { 10.0 };
        let place = Shape::Text { x, y: y + 0.36 * size, text: number, size, anchor: Anchor::Middle, ink: Ink::Mark };
        self.points.push(place);
        self.shown.push(point);
    }

    /// Shapes made elsewhere.
    pub(super) fn add(&mut self, shapes: Vec<Shape>) {
        self.symbols.extend(shapes);
    }

    /// One row of the list of connections.
    pub(super) fn link(&mut self, from: impl Into<Phrase>, to: impl Into<Phrase>, wire: impl Into<Phrase>) {
        let row = Connection { from: self.say(from), to: self.say(to), wire: self.say(wire) };
        self.links.push(row);
    }

    /// A symbol in the middle of a straight wire.
    pub(super) fn part(&mut self, ink: Ink, from: At, to: At, symbol: Symbol) {
        self.across([ink, ink], from, to, symbol);
    }

    /// A symbol in the middle of a straight wire whose ends are of different kinds.
    pub(super) fn across(&mut self, [first, second]: [Ink; 2], from: At, to: At, symbol: Symbol) {
        let spot = Spot::between(from, to);
        let reach = symbol.reach();
        self.wire(first, &[from, spot.at(-reach, 0.0)]);
        self.wire(second, &[spot.at(reach, 0.0), to]);
        self.symbol(&spot, symbol);
    }

    fn symbol(&mut self, spot: &Spot, symbol: Symbol) {
        let bar = |s: f64, t: f64| [spot.at(s, -t), spot.at(s, t)];
        let block = |s: f64, t: f64| [spot.at(-s, -t), spot.at(s, -t), spot.at(s, t), spot.at(-s, t)];
        match symbol {
            Symbol::Resistor => self.area(Ink::Symbol, &block(10.0, 4.5)),
            Symbol::Potentiometer => self.area(Ink::Symbol, &block(20.0, 5.0)),
            Symbol::Fuse => {
                self.area(Ink::Symbol, &block(12.0, 4.5));
                self.line(Ink::Symbol, &[spot.at(-12.0, 0.0), spot.at(12.0, 0.0)]);
            }
            Symbol::Capacitor => {
                self.line(Ink::Minus, &bar(-3.0, 9.0));
                self.line(Ink::Minus, &bar(3.0, 9.0));
            }
            Symbol::Cell => {
                self.line(Ink::Minus, &bar(-3.0, 11.0));
                self.area(Ink::Solid, &[spot.at(2.0, -6.0), spot.at(4.5, -6.0), spot.at(4.5, 6.0), spot.at(2.0, 6.0)]);
            }
            Symbol::Diode => {
                self.area(Ink::Symbol, &[spot.at(-7.0, -7.0), spot.at(7.0, 0.0), spot.at(-7.0, 7.0)]);
                self.line(Ink::Minus, &bar(7.0, 7.0));
            }
            Symbol::Switch => {
                self.line(Ink::Minus, &[spot.at(11.0, 0.0), spot.at(-11.0, -10.0)]);
            }
            Symbol::Motor => {
                self.circle(Ink::Symbol, spot.at(0.0, 0.0), 14.0);
                let [x, y] = spot.at(0.0, 0.0);
                self.text([x, y + 4.5], Anchor::Middle, Ink::Symbol, 12.0, "M");
            }
            Symbol::Lamp => {
                self.circle(Ink::Symbol, spot.at(0.0, 0.0), 14.0);
                self.line(Ink::Symbol, &[spot.at(-9.9, -9.9), spot.at(9.9, 9.9)]);
                self.line(Ink::Symbol, &[spot.at(-9.9, 9.9), spot.at(9.9, -9.9)]);
            }
            Symbol::Load => self.area(Ink::Symbol, &block(22.0, 10.0)),
        }
    }

    /// An arrowhead at `tip`, pointing away from `from`.
    pub(super) fn arrow(&mut self, from: At, tip: At) {
        let spot = Spot::between(tip, from);
        let length = spot.half;
        let back = 7.0 - length;
        self.area(Ink::Solid, &[tip, spot.at(back, 3.0), spot.at(back, -3.0)]);
    }
}

impl Symbol {
    /// Half its length along the wire.
    const fn reach(self) -> f64 {
        match self {
            Self::Resistor => 10.0,
            Self::Potentiometer => 20.0,
            Self::Fuse => 12.0,
            Self::Capacitor | Self::Cell => 3.0,
            Self::Diode => 7.0,
            Self::Switch => 11.0,
            Self::Motor | Self::Lamp => 14.0,
            Self::Load => 22.0,
        }
    }
}

/// The middle of a straight wire with its direction.
struct Spot {
    middle: At,
    along: At,
    half: f64,
}

impl Spot {
    fn between([x0, y0]: At, [x1, y1]: At) -> Self {
        let (dx, dy) = (x1 - x0, y1 - y0);
        let length = sqrt(dx * dx + dy * dy).max(1e-9);
        Self { middle: [0.5 * (x0 + x1), 0.5 * (y0 + y1)], along: [dx / length, dy / length], half: 0.5 * length }
    }

    /// `s` along the wire and `t` to its right.
    fn at(&self, s: f64, t: f64) -> At {
        let ([x, y], [ux, uy]) = (self.middle, self.along);
        [x + s * ux - t * uy, y + s * uy + t * ux]
    }
}
