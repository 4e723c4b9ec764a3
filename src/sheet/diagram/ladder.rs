//! From the board down to the loads: leads, switch, shunt, speed control and loads between the plus and the minus line.

use super::pen::{At, LARGE, Symbol};
use super::{
    AT, GROUP_MINUS, LEAD_LENGTH, LEAD_MINUS, LEAD_PLUS, LEAD_THEN, MINUS, MINUS_WIRE, MINUS_X, OF_BOARD, PLUS,
    PLUS_WIRE, PLUS_X, SHORT_AS_LEADS, Sheet, group_end, pointed,
};
use crate::part::load::{Draw, Load};
use crate::part::wire::Way;
use crate::quantity::said::{Filling, Phrase, wordings};
use crate::sheet::drawing::{Anchor, Ink, fitted};
use crate::sheet::parts::lead_words;
use crate::sheet::points::TestPoint;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Place of the fuse among the parts between leads; the switch and the speed control follow.
const AFTER_FUSE: usize = 1;

impl Sheet<'_> {
    /// Everything below the board.
    pub(super) fn ladder(&mut self) {
        let leads = self.basis.plan.runs.len();
        // A part sits before the lead of its place, the last parts together before the last lead.
        let place = |wanted: usize| wanted.min(leads.saturating_sub(1));
        let (switch, control) = (place(AFTER_FUSE + 1), place(AFTER_FUSE + 2));
        let first_drawn = usize::from(leads > 1);
        let board = self.basis.plan.protection.as_ref().is_some_and(|protection| protection.board().is_some());
        (self.behind_plus, self.behind_minus) = if board {
            let of_board =
                |end: &str, point: TestPoint| AT.with([OF_BOARD.with([end.into()]).into(), point.label().into()]);
            (of_board("P+", TestPoint::BoardPlus), of_board("P−", TestPoint::BoardMinus))
        } else {
            ("F1 (T3)".into(), group_end(GROUP_MINUS, 1, TestPoint::PackMinus))
        };
        for lead in first_drawn..leads.max(first_drawn + 1) {
            if lead == switch.max(first_drawn) {
                self.switch();
            }
            if lead == control.max(first_drawn) {
                self.controlled();
            }
            if lead < leads {
                self.lead(lead);
            }
        }
        let end: Vec<&Load> = self.basis.plan.loads.iter().filter(|load| self.is_last(load)).collect();
        self.loads(&end);
    }

    /// Whether a load hangs at the far end, behind the speed control where there is one.
    fn is_last(&self, load: &Load) -> bool {
        self.basis.plan.control.is_none() || load.chopped
    }

    /// The loads that run unchopped, then the speed control.
    fn controlled(&mut self) {
        if self.basis.plan.control.is_none() {
            return;
        }
        let plain: Vec<&Load> = self.basis.plan.loads.iter().filter(|load| !load.chopped).collect();
        if !plain.is_empty() {
            self.loads(&plain);
        }
        self.control();
    }

    /// Draws both lines down to `y`.
    pub(super) fn down_to(&mut self, y: f64) {
        self.plus_to(y);
        self.minus_to(y);
    }

    pub(super) fn plus_to(&mut self, y: f64) {
        if y > self.plus_y {
            self.pen.wire(Ink::Plus, &[[PLUS_X, self.plus_y], [PLUS_X, y]]);
            self.plus_y = y;
        }
    }

    pub(super) fn minus_to(&mut self, y: f64) {
        if y > self.minus_y {
            self.pen.wire(Ink::Minus, &[[MINUS_X, self.minus_y], [MINUS_X, y]]);
            self.minus_y = y;
        }
    }

    fn switch(&mut self) {
        let y = self.y;
        self.plus_to(y);
        self.pen.part(Ink::Plus, [PLUS_X, y], [PLUS_X, y + 34.0], Symbol::Switch);
        self.plus_y = y + 34.0;
        self.pen.fit([44.0, y + 14.0], Anchor::Left, (Ink::Text, LARGE), 200.0, &MAIN_SWITCH.plain());
        let rating =
            SWITCH_RATING.with([Filling::up(self.basis.full_v(), "v"), Filling::up(self.basis.highest_a(), "a")]);
        self.pen.label([44.0, y + 28.0], Anchor::Left, 200.0, rating);
        self.plus_to(y + 66.0);
        self.pen.point(TestPoint::AfterSwitch, [PLUS_X, y + 50.0]);
        self.arrive_plus(&"S1".into());
        self.behind_plus = "S1 (T4)".into();
        self.shunt(y);
        self.y = y + 76.0;
    }

    /// Only there while one measures.
    fn shunt(&mut self, y: f64) {
        self.minus_to(y + 8.0);
        self.pen.point(TestPoint::ShuntPackSide, [MINUS_X, y + 12.0]);
        self.pen.part(Ink::Minus, [MINUS_X, y + 8.0], [MINUS_X, y + 62.0], Symbol::Resistor);
        self.minus_y = y + 62.0;
        self.pen.point(TestPoint::ShuntLoadSide, [MINUS_X, y + 58.0]);
        self.minus_to(y + 66.0);
        self.pen.label([330.0, y + 38.0], Anchor::Right, 90.0, SHUNT);
        self.pen.label([330.0, y + 51.0], Anchor::Right, 200.0, WHILE_MEASURING);
    }

    /// Whether a lead has a conductor back.
    pub(super) fn goes_back(&self, lead: usize) -> bool {
        self.basis.plan.runs.get(lead).is_some_and(|run| run.way != Some(Way::OneWay))
    }

    /// Size and length of a lead.
    pub(super) fn lead_short(&self, lead: usize) -> Option<Phrase> {
        let run = self.basis.plan.runs.get(lead)?;
        Some(LEAD_LENGTH.with([lead_words(run).into(), Filling::number(run.length_m, "m")]))
    }

    /// Mark, size, length and name of a lead.
    pub(super) fn lead_long(&self, lead: usize) -> Phrase {
        let name = self.basis.plan.runs.get(lead).map_or("", |run| run.name.as_str());
        let short = self.lead_short(lead).unwrap_or_else(|| "".into());
        LEAD_LONG.with([Filling::count(lead + 1), short.into(), name.into()])
    }

    fn lead(&mut self, lead: usize) {
        let Some(short) = self.lead_short(lead) else { return };
        let number = Filling::count(lead + 1);
        let y = self.y;
        self.pen.label([38.0, y + 12.0], Anchor::Left, 280.0, LEAD_PLUS.with([number.clone(), short.clone().into()]));
        if self.goes_back(lead) {
            self.pen.label([328.0, y + 26.0], Anchor::Right, 280.0, LEAD_MINUS.with([number, short.into()]));
        }
        self.wires_plus.push(lead);
        if self.goes_back(lead) {
            self.wires_minus.push(lead);
        }
        self.y = y + 36.0;
        self.down_to(self.y);
    }

    /// The leads that wait for their far end, in words.
    fn taken(&self, leads: &[usize]) -> Phrase {
        let all = leads.iter().map(|lead| self.lead_long(*lead));
        Phrase::joined(all, &LEAD_THEN).unwrap_or_else(|| SHORT_AS_LEADS.plain())
    }

    /// The plus line reaches something.
    pub(super) fn arrive_plus(&mut self, at: &Phrase) {
        let leads = core::mem::take(&mut self.wires_plus);
        let wire = PLUS_WIRE.with([self.taken(&leads).into()]);
        let from = core::mem::replace(&mut self.behind_plus, at.clone());
        self.pen.link(from, at.clone(), wire);
    }

    /// The minus line reaches something.
    pub(super) fn arrive_minus(&mut self, at: &Phrase) {
        let leads = core::mem::take(&mut self.wires_minus);
        let wire = MINUS_WIRE.with([self.taken(&leads).into()]);
        let to = core::mem::replace(&mut self.behind_minus, at.clone());
        self.pen.link(at.clone(), to, wire);
    }

    fn loads(&mut self, loads: &[&Load]) {
        let Some(first) = loads.first() else { return };
        let last = self.is_last(first);
        let switched = self.basis.plan.control.is_some();
        let (plus, minus) = match (last, switched) {
            (true, true) => (pointed(LOADS_PLUS, TestPoint::LoadPlus), LOADS_MINUS.plain()),
            (true, false) => (pointed(LOADS_PLUS, TestPoint::LoadPlus), pointed(LOADS_MINUS, TestPoint::LoadMinus)),
            (false, _) => (UNCHOPPED_PLUS.plain(), UNCHOPPED_MINUS.plain()),
        };
        self.arrive_plus(&plus);
        self.arrive_minus(&minus);
        for (row, load) in loads.iter().enumerate() {
            let y = self.y + 34.0;
            self.down_to(y);
            let (left, right): (At, At) = ([PLUS_X, y], [MINUS_X, y]);
            self.pen.across([Ink::Plus, Ink::Minus], left, right, symbol(load));
            let words = fitted(&format!("{}{}", self.load_mark(load), load.name), LARGE, 284.0);
            self.pen.text([182.0, y - 19.0], Anchor::Middle, Ink::Text, LARGE, &words);
            self.pen.dot(left);
            self.pen.dot(right);
            let name = || Filling::from(load.name.as_str());
            self.pen.link(plus.clone(), LOAD_PLUS.with([name()]), PLUS);
            self.pen.link(LOAD_MINUS.with([name()]), minus.clone(), MINUS);
            if last && row == 0 {
                self.pen.point(TestPoint::LoadPlus, left);
                if !switched {
                    self.pen.point(TestPoint::LoadMinus, right);
                }
            }
            self.y = y + 24.0;
        }
    }

    /// "X2 " where there are several loads.
    fn load_mark(&self, load: &Load) -> String {
        let all = &self.basis.plan.loads;
        let place = all.iter().position(|other| core::ptr::eq(other, load)).unwrap_or(0);
        if all.len() > 1 { format!("X{} ", place + 1) } else { String::new() }
    }
}

fn symbol(load: &Load) -> Symbol {
    match load.draw {
        Draw::FollowsVoltage { .. } => Symbol::Motor,
        Draw::Resistance { .. } => Symbol::Lamp,
        _ => Symbol::Load,
    }
}

wordings! {
    MAIN_SWITCH: "drawn_main_switch", "S1 main switch";
    SWITCH_RATING: "drawn_switch_rating", "DC {0}, {1} or more";
    SHUNT: "drawn_shunt", "shunt, only";
    WHILE_MEASURING: "drawn_shunt_while", "while measuring current";
    LEAD_LONG: "drawn_lead_long", "W{0} {1} (“{2}”)";
    LOADS_PLUS: "drawn_loads_plus", "plus line of the loads";
    LOADS_MINUS: "drawn_loads_minus", "minus line of the loads";
    UNCHOPPED_PLUS: "drawn_unchopped_plus", "plus line of the unchopped loads";
    UNCHOPPED_MINUS: "drawn_unchopped_minus", "minus line of the unchopped loads";
    LOAD_PLUS: "drawn_load_plus", "load “{0}”, plus";
    LOAD_MINUS: "drawn_load_minus", "load “{0}”, minus";
}
