//! The wiring diagram of a plan, and the same as a list of connections.
//!
//! From top to bottom: the groups with their balance leads, the fuse at the positive end before everything else, the
//! board, the charge jack at the board's charge terminals, then plus on the left and minus on the right down to the loads.
//! The fuse and the board's place are drawn as they must be, whatever the plan says; where the plan says otherwise, its
//! findings do. A plan names its leads in the order of the current, but not their ends: the first goes to the fuse, the
//! next to the switch, the next to the speed control, the last to the loads; where leads are fewer, the parts share ends.
//!
//! Drawn 360 units wide for a narrow screen, and laid out anew for A4. Lines that cross without a dot are not joined.

mod control;
mod ladder;
mod pack;
mod paper;
mod pen;
mod stage;

use super::basis::Basis;
use super::drawing::{Anchor, Drawing, Ink, fitted, lines};
use super::parts::PartsList;
use super::points::TestPoint;
use crate::data::{Seen, Source};
use crate::error::Error;
use crate::finding::charging::ChargeTerminals;
use crate::plan::Plan;
use crate::quantity::order::sort_by_key;
use crate::quantity::said::{Filling, Phrase, Said, Wording, wordings};
use crate::quantity::tongue::Tongue;
use alloc::string::String;
use alloc::vec::Vec;
use pen::{Pen, SMALL};

/// Width of the diagram, in units.
pub const WIDTH: f64 = 360.0;

/// Where the plus line runs down.
const PLUS_X: f64 = 24.0;
/// Where the minus line runs down.
const MINUS_X: f64 = 340.0;

/// Source of the symbols.
pub const SYMBOLS: Source = Source {
    title: "IEC 60617, Graphical symbols for diagrams; IEC 60417-5926 for the polarity of a round connector",
    edition: "",
    place: "drawn from memory",
    seen: Seen::Memory,
};

/// One wire: from where to where, and what it is.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Connection {
    /// One end, with the number of its test point where it has one.
    pub from: String,
    /// The other end.
    pub to: String,
    /// The wire.
    pub wire: String,
}

/// A test point of the diagram.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PointShown {
    /// Which.
    pub point: TestPoint,
    /// Its number, as on the bench list.
    pub number: usize,
    /// Where it is.
    pub words: String,
    /// The same by code.
    pub said: Said,
}

/// The wiring diagram.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Diagram {
    /// The drawing for a narrow screen.
    pub drawing: Drawing,
    /// The same for a sheet of A4, in two columns where it is long.
    pub paper: Drawing,
    /// The same in words: every wire with its ends.
    pub connections: Vec<Connection>,
    /// The numbered test points, by number.
    pub points: Vec<PointShown>,
    /// What must be known beside the drawing.
    pub notes: Vec<String>,
    /// The same by code.
    pub notes_said: Vec<Said>,
    /// Source of the symbols.
    pub symbols_source: Source,
}

impl Diagram {
    /// The wiring diagram of a plan.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the plan, each with its place.
    pub fn of(plan: &Plan) -> Result<Self, Vec<Error>> {
        Basis::new(plan).map(|basis| Self::on(&basis, &Tongue::ENGLISH))
    }

    pub(crate) fn on(basis: &Basis<'_>, tongue: &Tongue) -> Self {
        let parts = PartsList::on(basis);
        let mut sheet = Sheet::new(basis, &parts, tongue);
        sheet.head();
        sheet.pack();
        sheet.ladder();
        sheet.finish()
    }
}

/// A diagram in the making.
struct Sheet<'a> {
    basis: &'a Basis<'a>,
    parts: &'a PartsList,
    pen: Pen<'a>,
    /// Upper edge of what comes next.
    y: f64,
    /// How far down the plus line is drawn.
    plus_y: f64,
    /// How far down the minus line is drawn.
    minus_y: f64,
    /// Where the lines run down with nothing between them.
    cut_y: f64,
    /// What the plus line comes from, and the leads on the way that have not reached anything yet.
    behind_plus: Phrase,
    wires_plus: Vec<usize>,
    /// The same for the minus line.
    behind_minus: Phrase,
    wires_minus: Vec<usize>,
}

impl<'a> Sheet<'a> {
    fn new(basis: &'a Basis<'a>, parts: &'a PartsList, tongue: &'a Tongue) -> Self {
        Self {
            basis,
            parts,
            pen: Pen::new(tongue),
            y: 0.0,
            plus_y: 0.0,
            minus_y: 0.0,
            cut_y: 0.0,
            behind_plus: "".into(),
            wires_plus: Vec::new(),
            behind_minus: "".into(),
            wires_minus: Vec::new(),
        }
    }

    fn head(&mut self) {
        let basis = self.basis;
        let room = WIDTH - 20.0;
        self.pen.text([10.0, 20.0], Anchor::Left, Ink::Solid, 15.0, &fitted(&basis.plan.name, 15.0 * 1.1, room));
        let full = Filling::number(basis.full_v(), "v");
        self.pen.label(
            [10.0, 36.0],
            Anchor::Left,
            room,
            ABOUT.with([basis.shape().into(), basis.chemistry().into(), full]),
        );
        self.y = 54.0;
        let ink = if basis.ready() { Ink::Quiet } else { Ink::Alarm };
        for line in lines(&self.pen.say(basis.report.verdict.wording()), SMALL * 1.1, room) {
            self.pen.text([10.0, self.y], Anchor::Left, ink, SMALL, &line);
            self.y += 13.0;
        }
    }

    /// Mark and value of a part, such as "R1 4K7".
    fn marked(&self, mark: &str) -> Phrase {
        self.parts.marked(mark).map_or_else(|| mark.into(), super::parts::PartRow::short)
    }

    fn has(&self, mark: &str) -> bool {
        self.parts.marked(mark).is_some()
    }

    fn notes(&self) -> Vec<Phrase> {
        let basis = self.basis;
        let mut notes: Vec<Phrase> = Vec::new();
        if !basis.ready() {
            notes.push(NOT_READY.with([basis.report.verdict.wording().into(), Filling::count(basis.stops())]));
        }
        let says = |place: Option<bool>| place == Some(false);
        if says(
            basis.plan.fuse.as_ref().and_then(crate::plan::FuseChoice::fitted).and_then(|fuse| fuse.first_at_positive),
        ) {
            notes.push(FUSE_ELSEWHERE.plain());
        }
        if basis.plan.charging.as_ref().is_some_and(|charging| charging.terminals == Some(ChargeTerminals::Cells)) {
            notes.push(JACK_ELSEWHERE.plain());
        }
        notes.extend([CROSSING, NO_TERMINALS, BALANCE_LEADS, LOCAL].map(Phrase::from));
        notes
    }

    fn finish(mut self) -> Diagram {
        let (notes, notes_said) = self.notes().into_iter().map(|note| (note.words, note.said)).unzip();
        self.y += 6.0;
        for line in lines(&self.pen.say(FOOT), SMALL, WIDTH - 20.0) {
            self.pen.text([10.0, self.y], Anchor::Left, Ink::Quiet, SMALL, &line);
            self.y += 13.0;
        }
        let height = self.y + 2.0;
        let mut shown = core::mem::take(&mut self.pen.shown);
        sort_by_key(&mut shown, |point| point.number());
        let points = shown.into_iter().map(|point| {
            let phrase = point.phrase();
            PointShown { point, number: point.number(), words: phrase.words, said: phrase.said }
        });
        let points = points.collect();
        let connections = core::mem::take(&mut self.pen.links);
        // As wide as on a narrow screen: 360 pixels of 1/96 inch.
        let unit_m = 0.0254 / 96.0;
        let drawing = Drawing {
            title: super::drawing::plain(&self.pen.say(TITLE.with([self.basis.plan.name.as_str().into()]))),
            width: WIDTH,
            height,
            unit_m,
            line: 1.0,
            shapes: self.pen.shapes(),
        };
        let paper = paper::laid_out(&drawing, self.cut_y);
        Diagram { drawing, paper, connections, points, notes, notes_said, symbols_source: SYMBOLS }
    }
}

/// A place with the number of its test point.
fn pointed(place: Wording, point: TestPoint) -> Phrase {
    AT.with([place.into(), point.label().into()])
}

/// An end of a group with the number of its test point.
fn group_end(end: Wording, group: usize, point: TestPoint) -> Phrase {
    AT.with([end.with([Filling::count(group)]).into(), point.label().into()])
}

/// Every sentence of the diagram.
pub(crate) fn sentences() -> [&'static [Wording]; 5] {
    [WORDINGS, control::WORDINGS, ladder::WORDINGS, pack::WORDINGS, stage::WORDINGS]
}

wordings! {
    TITLE: "drawn_diagram_title", "Wiring diagram: {0}";
    ABOUT: "drawn_diagram_about", "Wiring diagram, {0} {1}, {2} when full";
    FOOT: "drawn_diagram_foot", "Crossing lines without a dot are not joined. Circles: test points of the bench list.";
    AT: "drawn_at", "{0} ({1})";
    THROUGH: "drawn_through", "{0} through {1}";
    PLUS: "drawn_plus", "plus";
    MINUS: "drawn_minus", "minus";
    PLUS_WIRE: "drawn_plus_wire", "plus, {0}";
    MINUS_WIRE: "drawn_minus_wire", "minus, {0}";
    THIN: "drawn_thin", "thin";
    SHORT: "drawn_short", "as short as can be";
    SHORT_AS_W1: "drawn_short_as_w1", "as short as can be, thick as W1";
    SHORT_AS_LEADS: "drawn_short_as_leads", "as short as can be, thick as the leads";
    AS_PROTECTED: "drawn_as_protected", "no thinner than F1 protects";
    LEAD_PLUS: "drawn_lead_plus", "W{0} + {1}";
    LEAD_MINUS: "drawn_lead_minus", "W{0} − {1}";
    LEAD_LENGTH: "drawn_lead_length", "{0}, {1}";
    LEAD_THEN: "drawn_lead_then", "{0}, then {1}";
    GROUP_PLUS: "drawn_group_plus", "plus of group {0}";
    GROUP_MINUS: "drawn_group_minus", "minus of group {0}";
    OF_BOARD: "drawn_of_board", "{0} of the board PB1";
    CONTROL_PLUS: "drawn_control_plus", "plus line of the speed control";
    SOURCE: "drawn_source", "source of Q1";
    DRAIN: "drawn_drain", "drain of Q1";
    GATE: "drawn_gate", "gate of Q1";
    RING: "drawn_ring", "{0}, ring";
    NO_RING: "drawn_no_ring", "{0}, end without ring";
    NOT_READY: "diagram_not_ready", "{0} {1} stop rules are broken or not judged: see the findings.";
    FUSE_ELSEWHERE: "diagram_fuse_elsewhere", "The plan has the fuse elsewhere; it is drawn where it must be: at the pack's plus, before everything.";
    JACK_ELSEWHERE: "diagram_jack_elsewhere", "The plan has the jack at the cells; it is drawn where it must be: at the board's charge terminals.";
    CROSSING: "diagram_crossing", "Lines that cross without a dot are not joined. Numbers in circles are the test points of the bench list.";
    NO_TERMINALS: "diagram_no_terminals", "A board without charge terminals of its own takes the charger at P+ and P−.";
    BALANCE_LEADS: "diagram_balance_leads", "Balance leads: thin, each with its own small fuse or fusible resistor at the cell, or as short as can be. The one at the pack's plus goes round F1 and feeds the board when F1 is open: it needs its own fuse in any case.";
    LOCAL: "diagram_local_codes", "Local codes come first, and licensed people where they ask for them.";
}
