//! The speed control: timer, its circuit and the supply capacitor.

use super::pen::{At, SMALL, Symbol};
use super::{
    AS_PROTECTED, CONTROL_PLUS, DRAIN, MINUS_WIRE, MINUS_X, NO_RING, PLUS_WIRE, PLUS_X, RING, SHORT, SOURCE, Sheet,
    THIN, THROUGH, pointed,
};
use crate::part::timing::Circuit;
use crate::quantity::said::{Filling, Phrase, Wording, wordings};
use crate::sheet::drawing::{Anchor, Ink};
use crate::sheet::points::TestPoint;

/// Where the resistors of the timer run down.
const STEM: f64 = 120.0;
/// The two halves of the potentiometer.
const HALVES: [f64; 2] = [90.0, 150.0];
/// Edges of the timer.
const CHIP: [f64; 2] = [200.0, 280.0];
/// Where the timer's output runs down.
pub(super) const OUT: f64 = 300.0;
/// Where the capacitor at the timer's supply sits.
const CLOSE: f64 = 321.0;
/// Supply and ground pin of the timer.
const SUPPLY_PIN: f64 = 222.0;
const RESET_PIN: f64 = 256.0;
const GROUND_PIN: f64 = 216.0;
const CONTROL_PIN: f64 = 252.0;

/// Where the parts of one timer circuit lie.
struct Levels {
    supply: f64,
    discharge: f64,
    capacitor: f64,
    ground: f64,
}

impl Sheet<'_> {
    pub(super) fn control(&mut self) {
        let Some(control) = &self.basis.plan.control else { return };
        self.arrive_plus(&pointed(CONTROL_PLUS, TestPoint::ControllerPlus));
        self.arrive_minus(&pointed(SOURCE, TestPoint::ControllerMinus));
        self.behind_minus = pointed(DRAIN, TestPoint::LoadMinus);
        self.supply_capacitor();
        let supply = self.y + 12.0;
        let steered = matches!(control.timer.circuit, Circuit::DiodeSteered(_));
        let discharge = supply + 48.0;
        let capacitor = discharge + if steered { if self.has("R5") { 132.0 } else { 102.0 } } else { 64.0 };
        let ground = capacitor + if self.has("C3") { 66.0 } else { 58.0 };
        let at = Levels { supply, discharge, capacitor, ground };
        self.down_to(at.supply);
        self.minus_to(at.ground);
        self.supply_line(&at);
        match control.timer.circuit {
            Circuit::TwoResistor(_) => self.two_resistor(&at),
            Circuit::DiodeSteered(_) => self.diode_steered(&at),
            Circuit::ThresholdRamp(_) => self.ramp(&at),
        }
        if !matches!(control.timer.circuit, Circuit::ThresholdRamp(_)) {
            self.first_resistor(&at);
            self.chip(&at);
        }
        self.pen.wire(Ink::Minus, &[[STEM, at.ground], [MINUS_X, at.ground]]);
        self.pen.dot([MINUS_X, at.ground]);
        self.pen.point(TestPoint::ControllerMinus, [CLOSE, at.ground]);
        self.gate(at.ground);
        self.flyback(at.ground + 118.0);
    }

    fn supply_capacitor(&mut self) {
        let y = self.y + 34.0;
        self.down_to(y);
        let (left, right): (At, At) = ([PLUS_X, y], [MINUS_X, y]);
        self.pen.across([Ink::Plus, Ink::Minus], left, right, Symbol::Capacitor);
        self.pen.dot(left);
        self.pen.dot(right);
        self.pen.text([166.0, y - 5.0], Anchor::Middle, Ink::Text, SMALL, "+");
        let need = |code: &str| {
            let row = self.parts.marked("C4")?;
            row.needs.iter().find(|need| need.code == code).and_then(|need| need.at_least)
        };
        let known = self.parts.marked("C4").is_some_and(|part| part.value.is_some());
        let words = match (need("c_f"), need("rated_v")) {
            (_, Some(v)) if known => C4_STANDS.with([self.marked("C4").into(), Filling::up(v, "v")]),
            (Some(f), Some(v)) => C4_NEEDS.with([Filling::up(f, "f"), Filling::up(v, "v")]),
            _ => C4.plain(),
        };
        self.pen.label([182.0, y - 16.0], Anchor::Middle, 280.0, words);
        let short = |way: Wording| way.with([SHORT.into()]);
        self.pen.link(pointed(CONTROL_PLUS, TestPoint::ControllerPlus), C4_PLUS, short(PLUS_WIRE));
        self.pen.link(C4_MINUS, pointed(SOURCE, TestPoint::ControllerMinus), short(MINUS_WIRE));
        self.y = y + 14.0;
    }

    fn supply_line(&mut self, at: &Levels) {
        let y = at.supply;
        self.pen.wire(Ink::Plus, &[[PLUS_X, y], [CLOSE, y]]);
        self.pen.dot([PLUS_X, y]);
        self.pen.point(TestPoint::ControllerPlus, [64.0, y]);
        self.pen.part(Ink::Signal, [CLOSE, y], [CLOSE, at.ground], Symbol::Capacitor);
        let words = self.marked("C2");
        self.pen.label([334.0, y - 6.0], Anchor::Right, 90.0, words);
        let (plus, minus) =
            (pointed(CONTROL_PLUS, TestPoint::ControllerPlus), pointed(SOURCE, TestPoint::ControllerMinus));
        self.pen.link(plus, SUPPLY_RESET, PLUS_WIRE.with([AS_PROTECTED.into()]));
        self.pen.link(GROUND, minus, MINUS_WIRE.with([AS_PROTECTED.into()]));
        self.pen.link(SUPPLY, ITS_GROUND.with(["C2".into()]), SHORT);
    }

    /// From the supply to the discharge pin.
    fn first_resistor(&mut self, at: &Levels) {
        self.pen.part(Ink::Signal, [STEM, at.supply], [STEM, at.discharge], Symbol::Resistor);
        self.pen.dot([STEM, at.supply]);
        let words = self.marked("R1");
        self.pen.label([STEM + 12.0, 0.5 * (at.supply + at.discharge) + 4.0], Anchor::Left, 60.0, words);
        self.pen.wire(Ink::Signal, &[[STEM, at.discharge], [CHIP[0], at.discharge]]);
        self.pen.point(TestPoint::TimerDischarge, [172.0, at.discharge]);
        self.pen.dot([STEM, at.discharge]);
        self.pen.link(SUPPLY, "R1", THIN);
        self.pen.link("R1", DISCHARGE, THIN);
        self.timing_capacitor(at);
    }

    fn timing_capacitor(&mut self, at: &Levels) {
        self.pen.part(Ink::Signal, [STEM, at.capacitor], [STEM, at.ground], Symbol::Capacitor);
        self.pen.dot([STEM, at.capacitor]);
        let words = self.marked("C1");
        self.pen.label([STEM + 14.0, 0.5 * (at.capacitor + at.ground) + 4.0], Anchor::Left, 62.0, words);
        self.pen.wire(Ink::Signal, &[[STEM, at.capacitor], [CHIP[0], at.capacitor]]);
        let tie = CHIP[0] - 14.0;
        let trigger = at.capacitor + 18.0;
        self.pen.wire(Ink::Signal, &[[tie, at.capacitor], [tie, trigger], [CHIP[0], trigger]]);
        self.pen.dot([tie, at.capacitor]);
        self.pen.point(TestPoint::TimerCapacitor, [164.0, at.capacitor]);
        self.pen.link(pointed(THRESHOLD, TestPoint::TimerCapacitor), "C1", THIN);
        self.pen.link("C1", GROUND, THIN);
    }

    fn two_resistor(&mut self, at: &Levels) {
        self.pen.part(Ink::Signal, [STEM, at.discharge], [STEM, at.capacitor], Symbol::Resistor);
        let words = self.marked("R2");
        self.pen.label([STEM + 12.0, 0.5 * (at.discharge + at.capacitor) + 4.0], Anchor::Left, 60.0, words);
        self.pen.link(DISCHARGE, "R2", THIN);
        self.pen.link("R2", "C1 (T9)", THIN);
    }

    fn diode_steered(&mut self, at: &Levels) {
        let [left, right] = HALVES;
        let top = at.discharge;
        let (middle, knob) = (top + 34.0, top + 78.0);
        self.pen.wire(Ink::Signal, &[[STEM, top], [left, top]]);
        self.pen.part(Ink::Signal, [left, top], [left, middle], Symbol::Diode);
        self.pen.part(Ink::Signal, [right, middle], [right, top], Symbol::Diode);
        self.pen.dot([right, top]);
        self.stop(left, middle, knob, "R3", Anchor::Right);
        self.stop(right, middle, knob, "R4", Anchor::Left);
        self.pen.point(TestPoint::KnobCharge, [left - 8.0, knob]);
        self.pen.point(TestPoint::KnobDischarge, [right + 8.0, knob]);
        self.pen.label([left - 11.0, top + 21.0], Anchor::Right, 44.0, "D1");
        self.pen.label([right + 11.0, top + 21.0], Anchor::Left, 34.0, "D2");
        self.pen.part(Ink::Signal, [left, knob], [right, knob], Symbol::Potentiometer);
        let wiper = knob + 24.0;
        self.pen.wire(Ink::Signal, &[[STEM, wiper], [STEM, knob + 10.0]]);
        self.pen.arrow([STEM, wiper], [STEM, knob + 5.0]);
        let words = self.marked("P1");
        self.pen.label([STEM - 10.0, wiper - 2.0], Anchor::Right, 76.0, words);
        if self.has("R5") {
            self.pen.part(Ink::Signal, [STEM, wiper], [STEM, at.capacitor], Symbol::Resistor);
            let words = self.marked("R5");
            self.pen.label([STEM + 10.0, at.capacitor - 12.0], Anchor::Left, 66.0, words);
        } else {
            self.pen.wire(Ink::Signal, &[[STEM, wiper], [STEM, at.capacitor]]);
        }
        let via = |to: Phrase, mark: &str| if self.has(mark) { THROUGH.with([to.into(), mark.into()]) } else { to };
        let (charge, shared) = (via(FIRST_END.plain(), "R3"), via("C1 (T9)".into(), "R5"));
        let discharge = via(NO_RING.with(["D2".into()]), "R4");
        self.pen.link(DISCHARGE, NO_RING.with(["D1".into()]), THIN);
        self.pen.link(RING.with(["D1".into()]), charge, THIN);
        self.pen.link(LAST_END, discharge, THIN);
        self.pen.link(RING.with(["D2".into()]), DISCHARGE, THIN);
        self.pen.link(WIPER, shared, THIN);
    }

    /// An end stop of the knob, or a plain wire.
    fn stop(&mut self, x: f64, from: f64, to: f64, mark: &str, side: Anchor) {
        if !self.has(mark) {
            return self.pen.wire(Ink::Signal, &[[x, from], [x, to]]);
        }
        self.pen.part(Ink::Signal, [x, from], [x, to - 6.0], Symbol::Resistor);
        self.pen.wire(Ink::Signal, &[[x, to - 6.0], [x, to]]);
        let words = self.marked(mark);
        let label_x = if side == Anchor::Right { x - 8.0 } else { x + 8.0 };
        self.pen.label([label_x, 0.5 * (from + to) + 1.0], side, 42.0, words);
    }

    /// The timer as a block with its pins.
    fn chip(&mut self, at: &Levels) {
        let [left, right] = CHIP;
        let (top, bottom) = (at.supply + 24.0, at.capacitor + 34.0);
        self.pen.frame(Ink::Symbol, [left, top], right - left, bottom - top);
        self.pen.wire(Ink::Signal, &[[SUPPLY_PIN, at.supply], [SUPPLY_PIN, top]]);
        self.pen.wire(Ink::Signal, &[[RESET_PIN, at.supply], [RESET_PIN, top]]);
        self.pen.dot([SUPPLY_PIN, at.supply]);
        self.pen.dot([RESET_PIN, at.supply]);
        self.pen.wire(Ink::Signal, &[[GROUND_PIN, bottom], [GROUND_PIN, at.ground]]);
        self.pen.dot([GROUND_PIN, at.ground]);
        let mut small = |at: At, anchor: Anchor, text: &str| self.pen.text(at, anchor, Ink::Text, 9.0, text);
        small([SUPPLY_PIN, top + 11.0], Anchor::Middle, "VCC");
        small([RESET_PIN, top + 11.0], Anchor::Middle, "RESET");
        small([SUPPLY_PIN + 4.0, top - 5.0], Anchor::Left, "8");
        small([RESET_PIN + 4.0, top - 5.0], Anchor::Left, "4");
        small([left + 4.0, at.discharge + 3.0], Anchor::Left, "DISCH");
        small([left - 3.0, at.discharge - 4.0], Anchor::Right, "7");
        small([left + 4.0, at.capacitor + 3.0], Anchor::Left, "THRES");
        small([left - 3.0, at.capacitor - 4.0], Anchor::Right, "6");
        small([left + 4.0, at.capacitor + 17.0], Anchor::Left, "TRIG");
        small([left - 3.0, at.capacitor + 29.0], Anchor::Right, "2");
        small([GROUND_PIN, bottom - 4.0], Anchor::Middle, "GND");
        small([GROUND_PIN + 4.0, bottom + 11.0], Anchor::Left, "1");
        let out = at.discharge + 30.0;
        small([right - 4.0, out + 3.0], Anchor::Right, "OUT");
        small([right + 3.0, out - 4.0], Anchor::Left, "3");
        small([right - 26.0, out - 14.0], Anchor::Middle, "U1 555");
        self.pen.wire(Ink::Signal, &[[right, out], [OUT, out], [OUT, at.ground + 8.0]]);
        self.pen.point(TestPoint::TimerOutput, [OUT, out + 20.0]);
        if self.has("C3") {
            self.pen.part(Ink::Signal, [CONTROL_PIN, bottom], [CONTROL_PIN, at.ground], Symbol::Capacitor);
            self.pen.dot([CONTROL_PIN, at.ground]);
            let words = self.marked("C3");
            self.pen.text([CONTROL_PIN + 8.0, bottom - 4.0], Anchor::Right, Ink::Text, 9.0, "5");
            let at = [CONTROL_PIN + 11.0, 0.5 * (bottom + at.ground) + 4.0];
            self.pen.fit(at, Anchor::Left, (Ink::Text, 9.0), 60.0, &words);
            self.pen.link(CONTROL_PIN_NAME, ITS_GROUND.with(["C3".into()]), THIN);
        }
    }

    /// A ramp with its comparator, as one block.
    fn ramp(&mut self, at: &Levels) {
        let [_, right] = CHIP;
        let (top, bottom) = (at.supply + 24.0, at.capacitor + 34.0);
        self.pen.frame(Ink::Symbol, [72.0, top], right - 72.0, bottom - top);
        self.pen.wire(Ink::Signal, &[[STEM, at.supply], [STEM, top]]);
        self.pen.dot([STEM, at.supply]);
        self.pen.wire(Ink::Signal, &[[STEM, bottom], [STEM, at.ground]]);
        self.pen.label([80.0, top + 14.0], Anchor::Left, right - 84.0, RAMP);
        let mut y = top + 30.0;
        for mark in ["R1", "R2", "R3", "P1", "C1"] {
            if self.has(mark) {
                let words = self.marked(mark);
                self.pen.label([80.0, y], Anchor::Left, 150.0, words);
                y += 13.0;
            }
        }
        self.pen.wire(Ink::Signal, &[[72.0, bottom - 16.0], [50.0, bottom - 16.0]]);
        self.pen.point(TestPoint::TimerCapacitor, [50.0, bottom - 16.0]);
        let out = at.discharge + 30.0;
        self.pen.wire(Ink::Signal, &[[right, out], [OUT, out], [OUT, at.ground + 8.0]]);
        self.pen.point(TestPoint::TimerOutput, [OUT, out + 20.0]);
        self.pen.text([right - 4.0, out + 4.0], Anchor::Right, Ink::Text, 9.0, "OUT");
        self.pen.link(pointed(RAMP_CAPACITOR, TestPoint::TimerCapacitor), INTEGRATOR, THIN);
        self.pen.link(WIPER, COMPARATOR, THIN);
    }
}

wordings! {
    C4_STANDS: "drawn_c4_stands", "{0}, {1} or more";
    C4_NEEDS: "drawn_c4_needs", "C4 {0} or more, {1} or more";
    C4: "drawn_c4", "C4 across the supply";
    C4_PLUS: "drawn_c4_plus", "C4 plus";
    C4_MINUS: "drawn_c4_minus", "C4 minus";
    SUPPLY_RESET: "drawn_supply_reset", "supply and reset pin of the timer U1";
    SUPPLY: "drawn_supply", "supply pin of the timer U1";
    GROUND: "drawn_ground", "ground pin of the timer U1";
    DISCHARGE: "drawn_discharge", "discharge pin of the timer U1";
    THRESHOLD: "drawn_threshold", "threshold pin and trigger pin of the timer U1";
    CONTROL_PIN_NAME: "drawn_control_pin", "control pin of the timer U1";
    ITS_GROUND: "drawn_its_ground", "{0}, then its ground pin";
    FIRST_END: "drawn_first_end", "P1, first end";
    LAST_END: "drawn_last_end", "P1, last end";
    WIPER: "drawn_wiper", "P1, wiper";
    RAMP: "drawn_ramp", "U1 ramp and comparator";
    RAMP_CAPACITOR: "drawn_ramp_capacitor", "ramp capacitor C1";
    INTEGRATOR: "drawn_integrator", "integrator of U1";
    COMPARATOR: "drawn_comparator", "comparator input of U1";
}
