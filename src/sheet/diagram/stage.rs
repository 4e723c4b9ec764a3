//! The power stage: transistor with its resistors, and the flyback diode.

use super::control::OUT;
use super::pen::{At, Symbol};
use super::{
    CONTROL_PLUS, DRAIN, GATE, LEAD_THEN, MINUS_X, NO_RING, PLUS_X, RING, SHORT, SOURCE, Sheet, THIN, THROUGH, pointed,
};
use crate::quantity::said::wordings;
use crate::sheet::drawing::{Anchor, Ink};
use crate::sheet::parts::is_bipolar;
use crate::sheet::points::TestPoint;

/// Where the resistor from gate to source sits.
const PULL_DOWN: f64 = 180.0;

impl Sheet<'_> {
    /// From the timer's output to the transistor.
    pub(super) fn gate(&mut self, ground: f64) {
        let y = ground + 66.0;
        self.minus_to(y - 10.0);
        let (head, foot): (At, At) = ([OUT, ground + 8.0], [OUT, ground + 46.0]);
        if self.has("R6") {
            self.pen.part(Ink::Signal, head, foot, Symbol::Resistor);
            let words = self.marked("R6");
            self.pen.label([OUT - 9.0, ground + 31.0], Anchor::Right, 56.0, words);
        } else {
            self.pen.wire(Ink::Signal, &[head, foot]);
        }
        self.pen.wire(Ink::Signal, &[[OUT, ground + 46.0], [OUT, y], [322.0, y]]);
        self.pen.wire(Ink::Signal, &[[OUT, y], [PULL_DOWN, y]]);
        self.pen.part(Ink::Signal, [PULL_DOWN, y], [PULL_DOWN, ground], Symbol::Resistor);
        self.pen.dot([PULL_DOWN, ground]);
        let words = self.marked("R7");
        self.pen.label([PULL_DOWN - 9.0, ground + 37.0], Anchor::Right, 80.0, words);
        self.pen.point(TestPoint::Gate, [OUT, y]);
        if self.basis.plan.control.as_ref().is_some_and(is_bipolar) {
            self.bipolar(y);
            self.pen.label([312.0, y + 30.0], Anchor::Right, 130.0, NPN);
        } else {
            self.mosfet(y);
            self.pen.label([312.0, y + 30.0], Anchor::Right, 130.0, MOSFET);
        }
        let gate = pointed(GATE, TestPoint::Gate);
        let to = if self.has("R6") { THROUGH.with([gate.clone().into(), "R6".into()]) } else { gate.clone() };
        self.pen.link(pointed(OUTPUT_PIN, TestPoint::TimerOutput), to, THIN);
        let source = pointed(SOURCE, TestPoint::ControllerMinus);
        self.pen.link(gate, LEAD_THEN.with(["R7".into(), source.into()]), THIN);
    }

    /// An N-channel transistor, its source up at the minus line, its drain down.
    fn mosfet(&mut self, y: f64) {
        let (gate, channel) = (322.0, 327.0);
        let pen = &mut self.pen;
        pen.line(Ink::Minus, &[[gate, y - 11.0], [gate, y + 11.0]]);
        for middle in [-10.0, 0.0, 10.0] {
            pen.line(Ink::Minus, &[[channel, y + middle - 4.0], [channel, y + middle + 4.0]]);
        }
        pen.wire(Ink::Minus, &[[channel, y - 10.0], [MINUS_X, y - 10.0]]);
        pen.wire(Ink::Minus, &[[channel, y + 10.0], [MINUS_X, y + 10.0]]);
        pen.wire(Ink::Symbol, &[[MINUS_X, y - 10.0], [MINUS_X, y], [channel, y]]);
        pen.area(Ink::Solid, &[[channel + 1.0, y], [channel + 7.0, y - 3.0], [channel + 7.0, y + 3.0]]);
        pen.text([MINUS_X + 5.0, y - 12.0], Anchor::Left, Ink::Text, 9.0, "S");
        pen.text([MINUS_X + 5.0, y + 19.0], Anchor::Left, Ink::Text, 9.0, "D");
        self.minus_y = y + 10.0;
    }

    /// An NPN transistor, its emitter up at the minus line, its collector down.
    fn bipolar(&mut self, y: f64) {
        let base = 326.0;
        let pen = &mut self.pen;
        pen.line(Ink::Minus, &[[base, y - 11.0], [base, y + 11.0]]);
        pen.wire(Ink::Signal, &[[322.0, y], [base, y]]);
        pen.wire(Ink::Minus, &[[base, y - 5.0], [MINUS_X, y - 10.0]]);
        pen.wire(Ink::Minus, &[[base, y + 5.0], [MINUS_X, y + 10.0]]);
        pen.arrow([base, y - 5.0], [MINUS_X - 1.5, y - 9.5]);
        pen.text([MINUS_X + 5.0, y - 12.0], Anchor::Left, Ink::Text, 9.0, "E");
        pen.text([MINUS_X + 5.0, y + 19.0], Anchor::Left, Ink::Text, 9.0, "C");
        self.minus_y = y + 10.0;
    }

    /// Across the loads, its ring at plus.
    pub(super) fn flyback(&mut self, y: f64) {
        self.down_to(y + 12.0);
        if self.has("D3") {
            self.pen.across([Ink::Minus, Ink::Plus], [MINUS_X, y], [PLUS_X, y], Symbol::Diode);
            self.pen.dot([PLUS_X, y]);
            self.pen.label([40.0, y - 8.0], Anchor::Left, 130.0, D3);
            self.pen.link(pointed(DRAIN, TestPoint::LoadMinus), NO_RING.with(["D3".into()]), SHORT);
            self.pen.link(RING.with(["D3".into()]), pointed(CONTROL_PLUS, TestPoint::ControllerPlus), SHORT);
        }
        self.pen.dot([MINUS_X, y]);
        self.pen.point(TestPoint::LoadMinus, [MINUS_X, y]);
        self.y = y + 16.0;
    }
}

wordings! {
    NPN: "drawn_npn", "Q1 NPN transistor";
    MOSFET: "drawn_mosfet", "Q1 N-channel MOSFET";
    OUTPUT_PIN: "drawn_output_pin", "output pin of the timer U1";
    D3: "drawn_flyback", "D3, its ring to plus";
}
