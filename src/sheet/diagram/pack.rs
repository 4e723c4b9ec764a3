//! Groups, balance leads, fuse, board and charge jack.

use super::pen::{At, LARGE, SMALL, Symbol};
use super::{
    GROUP_MINUS, GROUP_PLUS, LEAD_LENGTH, LEAD_MINUS, LEAD_PLUS, LEAD_THEN, MINUS_WIRE, MINUS_X, OF_BOARD, PLUS_WIRE,
    PLUS_X, SHORT_AS_W1, Sheet, group_end, pointed,
};
use crate::pack::Group;
use crate::part::wire::Run;
use crate::plan::{FuseChoice, Protection};
use crate::quantity::said::{Filling, Phrase, Wording, wordings};
use crate::sheet::drawing::{Anchor, Ink, fitted, lines};
use crate::sheet::parts::lead_words;
use crate::sheet::points::TestPoint;
use crate::sheet::polarity::plus_inside;
use alloc::format;

/// Left end of the strips.
const LEFT: f64 = 40.0;
/// Right end of the strips.
const RIGHT: f64 = 206.0;
/// Left edge of the board.
const BOARD: f64 = 250.0;
/// Right edge of the board.
const BOARD_END: f64 = 350.0;
/// From one group's upper strip to the next one's.
const PITCH: f64 = 64.0;
/// From a group's upper strip to its lower one.
const CELL: f64 = 46.0;
/// Cells of a group that are drawn at most, the last place for the words "and more".
const DRAWN: usize = 4;
/// Terminals below the board.
const OUT_PLUS: f64 = 264.0;
const CHARGE_PLUS: f64 = 291.0;
const CHARGE_MINUS: f64 = 317.0;

impl Sheet<'_> {
    pub(super) fn pack(&mut self) {
        let plus_y = self.y + 26.0;
        let top_y = plus_y + 36.0;
        let series = self.basis.plan.pack.groups.len();
        self.plus_line(plus_y, top_y);
        let groups = self.basis.plan.pack.groups.iter().enumerate().rev();
        for (row, (g, group)) in groups.enumerate() {
            self.group(g, group, top_y + PITCH * row as f64, row == 0);
        }
        let bottom_y = top_y + PITCH * (series.max(1) - 1) as f64 + CELL;
        let minus_y = bottom_y + 32.0;
        self.minus_line(bottom_y, minus_y);
        let end_y = minus_y + 36.0;
        self.board(plus_y, minus_y, end_y);
        self.jack(end_y);
    }

    fn board_there(&self) -> bool {
        self.basis.has_board()
    }

    /// Whether the first lead lies between pack and fuse.
    fn first_lead(&self) -> Option<Phrase> {
        (self.basis.plan.runs.len() > 1).then(|| self.lead_short(0)).flatten()
    }

    fn plus_line(&mut self, y: f64, top_y: f64) {
        let pen = &mut self.pen;
        pen.wire(Ink::Plus, &[[LEFT, top_y], [LEFT, y], [110.0, y]]);
        pen.point(TestPoint::PackPlus, [LEFT, y]);
        pen.part(Ink::Plus, [110.0, y], [190.0, y], Symbol::Fuse);
        pen.wire(Ink::Plus, &[[190.0, y], [BOARD, y]]);
        let fitted_fuse = self.basis.plan.fuse.as_ref().and_then(FuseChoice::fitted);
        let (ink, words) = match fitted_fuse {
            Some(fuse) => (Ink::Text, FUSE.with([Filling::number(fuse.rating_a, "a")])),
            None => (Ink::Alarm, NO_FUSE.plain()),
        };
        pen.fit([150.0, y + 20.0], Anchor::Middle, (ink, SMALL), 150.0, &words);
        if fitted_fuse.is_none() {
            pen.frame(Ink::Alarm, [132.0, y - 8.0], 36.0, 16.0);
        } else {
            pen.point(TestPoint::AfterFuse, [214.0, y]);
        }
        let wire = self.first_lead();
        if let Some(short) = &wire {
            self.pen.label([58.0, y - 12.0], Anchor::Left, 290.0, LEAD_PLUS.with(["1".into(), short.clone().into()]));
        }
        let long = if wire.is_some() { self.lead_long(0) } else { SHORT_AS_W1.plain() };
        let last = self.basis.plan.pack.groups.len();
        let from = group_end(GROUP_PLUS, last, TestPoint::PackPlus);
        self.pen.link(from, "F1", PLUS_WIRE.with([long.into()]));
        if self.board_there() {
            self.pen.link("F1 (T3)", OF_BOARD.with(["B+".into()]), PLUS_WIRE.with([SHORT_AS_W1.into()]));
        }
    }

    fn minus_line(&mut self, bottom_y: f64, y: f64) {
        self.pen.wire(Ink::Minus, &[[LEFT, bottom_y], [LEFT, y], [BOARD, y]]);
        self.pen.point(TestPoint::PackMinus, [LEFT, y]);
        let wire = self.first_lead().filter(|_| self.goes_back(0));
        if let Some(short) = &wire {
            self.pen.label([58.0, y - 8.0], Anchor::Left, 186.0, LEAD_MINUS.with(["1".into(), short.clone().into()]));
        }
        let long = if wire.is_some() { self.lead_long(0) } else { SHORT_AS_W1.plain() };
        if self.board_there() {
            let from = group_end(GROUP_MINUS, 1, TestPoint::PackMinus);
            self.pen.link(from, OF_BOARD.with(["B−".into()]), MINUS_WIRE.with([long.into()]));
        } else if wire.is_some() {
            self.wires_minus.push(0);
        }
    }

    fn group(&mut self, g: usize, group: &Group, y: f64, top: bool) {
        let low = y + CELL;
        let ink = if top { Ink::Plus } else { Ink::Minus };
        self.pen.wire(ink, &[[LEFT, y], [RIGHT, y]]);
        self.pen.wire(Ink::Minus, &[[LEFT, low], [RIGHT, low]]);
        if !top {
            // The strip to the group above.
            self.pen.wire(Ink::Minus, &[[120.0, y + CELL - PITCH], [120.0, y]]);
            let end = |end: Wording, group: usize| end.with([Filling::count(group)]);
            self.pen.link(end(GROUP_PLUS, g + 1), end(GROUP_MINUS, g + 2), STRIP);
        }
        self.pen.text([10.0, y + 0.5 * CELL + 4.0], Anchor::Left, Ink::Solid, SMALL, &format!("G{}", g + 1));
        self.cells(group, y);
        self.pen.point(TestPoint::CellMinus { group: g + 1 }, [RIGHT - 1.0, low]);
        let tap = TestPoint::Tap { group: g + 1 };
        let end = if self.board_there() { BOARD } else { 226.0 };
        self.pen.wire(Ink::Sense, &[[RIGHT, y], [end, y]]);
        self.pen.point(tap, [226.0, y]);
        if self.board_there() {
            self.pen.link(group_end(GROUP_PLUS, g + 1, tap), TAP.with([Filling::count(g + 1)]), BALANCE_LEAD);
        }
    }

    fn cells(&mut self, group: &Group, y: f64) {
        let count = group.cells.len();
        let places = count.min(DRAWN);
        let pitch = (140.0 / places.max(1) as f64).min(70.0);
        let more = count > DRAWN;
        let drawn = if more { DRAWN - 1 } else { count };
        for (i, cell) in group.cells.iter().take(drawn).enumerate() {
            let x = 56.0 + pitch * i as f64;
            self.pen.part(Ink::Minus, [x, y], [x, y + CELL], Symbol::Cell);
            self.pen.text([x - 4.0, y + 15.0], Anchor::Right, Ink::Quiet, 9.0, "+");
            self.pen.label([x + 4.0, y + CELL - 7.0], Anchor::Left, pitch - 8.0, cell.name.as_str());
        }
        if more {
            let words = MORE.with([Filling::count(count - drawn)]);
            self.pen.label(
                [56.0 + pitch * drawn as f64 - 8.0, y + 0.5 * CELL + 4.0],
                Anchor::Left,
                pitch + 10.0,
                words,
            );
        }
    }

    fn board(&mut self, plus_y: f64, minus_y: f64, end_y: f64) {
        let upper = plus_y - 14.0;
        let there = self.board_there();
        let ink = if there { Ink::Frame } else { Ink::Missing };
        self.pen.frame(ink, [BOARD, upper], BOARD_END - BOARD, end_y - upper);
        if there {
            self.board_terminals(plus_y, minus_y, end_y);
        } else {
            self.pen.wire(Ink::Plus, &[[BOARD, plus_y], [OUT_PLUS, plus_y], [OUT_PLUS, end_y]]);
            self.pen.wire(Ink::Minus, &[[BOARD, minus_y], [MINUS_X, minus_y], [MINUS_X, end_y]]);
        }
        let (ink, words) = self.board_words();
        let mut y = plus_y + 20.0;
        for line in lines(&self.pen.say(words), SMALL * 1.1, if there { 62.0 } else { 74.0 }) {
            if y > minus_y - 8.0 {
                break;
            }
            self.pen.text([BOARD_END - 5.0, y], Anchor::Right, ink, SMALL, &line);
            y += 12.5;
        }
        self.pen.wire(Ink::Plus, &[[OUT_PLUS, end_y], [OUT_PLUS, end_y + 16.0], [PLUS_X, end_y + 16.0]]);
        (self.plus_y, self.minus_y) = (end_y + 16.0, end_y);
        if there {
            self.pen.point(TestPoint::BoardPlus, [170.0, end_y + 16.0]);
            self.pen.point(TestPoint::BoardMinus, [MINUS_X, end_y + 22.0]);
        }
    }

    fn board_terminals(&mut self, plus_y: f64, minus_y: f64, end_y: f64) {
        let inner = BOARD + 5.0;
        let series = self.basis.plan.pack.groups.len();
        let mut name = |at: At, anchor: Anchor, text: &str| self.pen.text(at, anchor, Ink::Text, SMALL, text);
        name([inner, plus_y + 4.0], Anchor::Left, "B+");
        for row in 0..series {
            name([inner, plus_y + 40.0 + PITCH * row as f64], Anchor::Left, &format!("{}", series - row));
        }
        name([inner, minus_y + 4.0], Anchor::Left, "B−");
        for (x, text) in [(OUT_PLUS, "P+"), (CHARGE_PLUS, "C+"), (CHARGE_MINUS, "C−"), (MINUS_X - 1.0, "P−")] {
            name([x, end_y - 6.0], Anchor::Middle, text);
        }
    }

    fn board_words(&self) -> (Ink, Phrase) {
        let series = self.basis.plan.pack.groups.len();
        match &self.basis.plan.protection {
            Some(Protection::Board(board)) => {
                let series = Filling::count(series);
                let words = match board.continuous_a {
                    Some(a) => BOARD_CARRIES.with([series, Filling::down(a, "a").glued()]),
                    None => BOARD_ALONE.with([series]),
                };
                (Ink::Text, words)
            }
            _ if self.basis.lithium && series > 1 => (Ink::Alarm, BOARD_MISSING.plain()),
            _ => (Ink::Quiet, NO_BOARD.plain()),
        }
    }

    /// The jack at the charge terminals; without a board that watches the groups there is none.
    fn jack(&mut self, end_y: f64) {
        let y = end_y + 48.0;
        let planned = self.basis.plan.charging.is_some() && !self.basis.unwatched();
        self.pen.frame(if planned { Ink::Symbol } else { Ink::Missing }, [279.0, y], 50.0, 26.0);
        self.pen.text([304.0, y + 17.0], Anchor::Middle, Ink::Text, LARGE, "J1");
        if planned {
            self.jack_wires(end_y, y);
            self.pen.add(plus_inside([190.0, y + 13.0], 1.0));
        }
        let allowed = self.basis.charger();
        let (ink, words) = match allowed {
            Ok(charger) => {
                let (v, a) =
                    (Filling::down(charger.supply_v, "v").glued(), Filling::down(charger.supply_a, "a").glued());
                (Ink::Text, ONLY_CHARGER.with([self.basis.chemistry().into(), v, a]))
            }
            Err(reason) => (Ink::Alarm, NO_CHARGING.with([reason.into()])),
        };
        let mut text_y = y + 42.0;
        for line in lines(&self.pen.say(words), SMALL * 1.1, 284.0) {
            self.pen.text([328.0, text_y], Anchor::Right, ink, SMALL, &fitted(&line, SMALL * 1.1, 284.0));
            text_y += 13.0;
        }
        self.y = text_y + 4.0;
        self.down_to(self.y);
        self.cut_y = self.y;
    }

    fn jack_wires(&mut self, end_y: f64, y: f64) {
        let there = self.board_there();
        if there {
            self.pen.wire(Ink::Plus, &[[CHARGE_PLUS, end_y], [CHARGE_PLUS, y]]);
            self.pen.wire(Ink::Minus, &[[CHARGE_MINUS, end_y], [CHARGE_MINUS, y]]);
        } else {
            self.pen.wire(Ink::Plus, &[[OUT_PLUS, end_y + 16.0], [CHARGE_PLUS, end_y + 16.0], [CHARGE_PLUS, y]]);
            self.pen.dot([OUT_PLUS, end_y + 16.0]);
            self.pen.wire(Ink::Minus, &[[MINUS_X, end_y + 8.0], [CHARGE_MINUS, end_y + 8.0], [CHARGE_MINUS, y]]);
            self.pen.dot([MINUS_X, end_y + 8.0]);
        }
        self.pen.point(TestPoint::JackPlus, [CHARGE_PLUS, end_y + 30.0]);
        self.pen.point(TestPoint::JackMinus, [CHARGE_MINUS, end_y + 30.0]);
        let lead = self.charge_lead();
        let of_board = |end: &str| OF_BOARD.with([end.into()]);
        let (plus, minus) =
            if there { (of_board("C+"), of_board("C−")) } else { (PLUS_LINE.plain(), MINUS_LINE.plain()) };
        self.pen.link(plus, pointed(JACK_INNER, TestPoint::JackPlus), PLUS_WIRE.with([lead.clone().into()]));
        self.pen.link(minus, pointed(JACK_OUTER, TestPoint::JackMinus), MINUS_WIRE.with([lead.into()]));
    }

    /// The charge leads of the plan in words.
    fn charge_lead(&self) -> Phrase {
        let runs = self.basis.plan.charging.as_ref().and_then(|charging| charging.runs.as_deref()).unwrap_or_default();
        let words = |(i, run): (usize, &Run)| {
            let length = LEAD_LENGTH.with([lead_words(run).into(), Filling::number(run.length_m, "m")]);
            CHARGE_LEAD_LONG.with([Filling::count(i + 1), length.into(), run.name.as_str().into()])
        };
        Phrase::joined(runs.iter().enumerate().map(words), &LEAD_THEN).unwrap_or_else(|| CHARGE_LEAD.plain())
    }
}

wordings! {
    FUSE: "drawn_fuse", "F1 fuse {0}";
    NO_FUSE: "drawn_no_fuse", "F1 fuse: not in the plan";
    STRIP: "drawn_group_strip", "strip L1";
    TAP: "drawn_tap", "tap {0} of the board PB1";
    BALANCE_LEAD: "drawn_balance_lead", "balance lead WT, thin, with its own small fuse";
    MORE: "drawn_more", "+{0} more";
    BOARD_ALONE: "drawn_board", "PB1 board {0}S";
    BOARD_CARRIES: "drawn_board_carries", "PB1 board {0}S carries {1}";
    BOARD_MISSING: "drawn_board_missing", "PB1 board: not in the plan";
    NO_BOARD: "drawn_no_board", "no board in the plan";
    ONLY_CHARGER: "drawn_only_charger", "J1: only a {0} charger, {1}, {2}";
    NO_CHARGING: "drawn_no_charging", "J1: no charging: {0}";
    PLUS_LINE: "drawn_plus_line", "plus line";
    MINUS_LINE: "drawn_minus_line", "minus line";
    JACK_INNER: "drawn_jack_inner", "J1 inner contact";
    JACK_OUTER: "drawn_jack_outer", "J1 outer contact";
    CHARGE_LEAD_LONG: "drawn_charge_lead_long", "WJ{0} {1} (“{2}”)";
    CHARGE_LEAD: "drawn_charge_lead", "charge lead WJ";
}
