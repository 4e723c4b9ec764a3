//! Every part of a build: what is printed on it, how many, what it must stand, and which number that rests on.
//!
//! Values of the plan stand as the plan has them; what the plan leaves open is named with what it needs, never with a
//! guess at a make. Needs are written rounded to the safe side. Marks follow IEC 60062 ([`crate::part::marking`]).

mod control;
mod pack;
mod switch;
mod wiring;

pub(crate) use switch::is_bipolar;
pub(crate) use wiring::lead_words;

use super::basis::Basis;
use crate::data::marking::{Colour, MARKING_SOURCE};
use crate::data::{COMMON_PRACTICE, Source};
use crate::error::Error;
use crate::part::fuse::PLACE_WORDS;
use crate::part::marking::Marking;
use crate::plan::Plan;
use crate::quantity::said::{Filling, Phrase, Said, Wording, wordings};
use alloc::string::String;
use alloc::vec::Vec;

/// What a part is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
#[allow(missing_docs)] // the name says it
pub enum PartKind {
    Cells,
    InsulatingRing,
    Strip,
    SenseLead,
    Lead,
    ChargeLead,
    Fuse,
    FuseHolder,
    Board,
    MainSwitch,
    ChargeJack,
    Charger,
    Timer,
    Resistor,
    Potentiometer,
    TimingCapacitor,
    Capacitor,
    SteeringDiode,
    FlybackDiode,
    Transistor,
    HeatSink,
}

/// One thing that a part must stand or do.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PartNeed {
    /// Stable code, the key of its wording in every language.
    pub code: &'static str,
    /// Smallest value that will do, where there is one.
    pub at_least: Option<f64>,
    /// Largest value that will do, where there is one.
    pub at_most: Option<f64>,
    /// Unit of both as a field-name ending.
    pub unit: &'static str,
    /// The need in plain English, rounded to the safe side; says so where it could not be judged.
    pub words: String,
    /// The same by code.
    pub said: Said,
}

/// One row of the list.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PartRow {
    /// Mark in the wiring diagram, such as R1.
    pub mark: String,
    /// What it is.
    pub kind: PartKind,
    /// What it is, in plain English.
    pub words: String,
    /// The same by code.
    pub said: Said,
    /// How many.
    pub count: usize,
    /// Length to cut of each, in metres, for wire.
    pub length_m: Option<f64>,
    /// Its value, where it has one.
    pub value: Option<f64>,
    /// Unit of the value as a field-name ending; empty without one.
    pub unit: &'static str,
    /// What may be printed on it, each form by itself: "4K7", "472".
    pub printed: Vec<String>,
    /// Colour bands of a resistor, where the value has them.
    pub colours: Vec<Colour>,
    /// What it must stand or do.
    pub needs: Vec<PartNeed>,
    /// Whether the plan states it; otherwise it is only what the plan asks for.
    pub in_plan: bool,
    /// What it is for, and the number its needs rest on.
    pub why: String,
    /// The same by code.
    pub why_said: Said,
    /// Where the rule behind it comes from.
    pub source: Source,
}

/// Every part of a build.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PartsList {
    /// The maker's name for the build.
    pub name: String,
    /// The verdict on the plan, in plain English: a list for a plan that is not ready is no leave to build it.
    pub verdict_words: &'static str,
    /// The parts, from the cells to the load.
    pub parts: Vec<PartRow>,
    /// Source of the printed marks.
    pub marking_source: Source,
}

impl PartsList {
    /// Every part of a plan.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the plan, each with its place.
    pub fn of(plan: &Plan) -> Result<Self, Vec<Error>> {
        Basis::new(plan).map(|basis| Self::on(&basis))
    }

    pub(crate) fn on(basis: &Basis<'_>) -> Self {
        let mut parts = Vec::new();
        pack::parts(basis, &mut parts);
        wiring::parts(basis, &mut parts);
        control::parts(basis, &mut parts);
        Self {
            name: basis.plan.name.clone(),
            verdict_words: basis.report.verdict_words,
            parts,
            marking_source: MARKING_SOURCE,
        }
    }

    /// The part with a mark.
    #[must_use]
    pub fn marked(&self, mark: &str) -> Option<&PartRow> {
        self.parts.iter().find(|part| part.mark == mark)
    }
}

wordings! {
    SHORT: "drawn_marked", "{0} {1}";
    AT_LEAST: "need_at_least", "{0} at least {1}";
    AT_MOST: "need_at_most", "{0} at most {1}";
    NEED_OPEN: "need_not_judged", "{0} not judged: needs {1}";
    NOT_PREFERRED: "part_not_preferred", "{0}, not a preferred value: make it from two, or change the plan";
    POWER_RATING: "need_power", "power rating";
    VOLTAGE_RATING: "need_voltage", "voltage rating";
    DC_VOLTAGE: "need_dc_voltage", "DC voltage rating";
    DC_CURRENT: "need_dc_current", "DC current rating";
    CURRENT_RATING: "need_current_rating", "current rating";
    CONTINUOUS: "need_continuous_current", "continuous current";
    REVERSE: "need_reverse_voltage", "reverse voltage";
    LENGTH: "length_one", "one length";
    LENGTHS: "length_many", "{0} lengths";
}

/// Where the fuse sits, and why.
pub(super) const PLACE: Wording = Wording::new("fuse_place_words", PLACE_WORDS);
/// One sentence after the other.
pub(super) const THEN: Wording = Wording::new("sentences", "{0} {1}");
/// One thing beside the other.
pub(super) const WITH: Wording = Wording::new("listed", "{0}, {1}");

/// Every sentence of the list of parts.
pub(crate) fn sentences() -> Vec<&'static [Wording]> {
    alloc::vec![WORDINGS, &[PLACE, THEN, WITH], control::WORDINGS, pack::WORDINGS, switch::WORDINGS, wiring::WORDINGS]
}

impl PartNeed {
    /// A rating of at least `value`.
    fn least(code: &'static str, name: Wording, value: f64, unit: &'static str) -> Self {
        let phrase = AT_LEAST.with([name.into(), Filling::up(value, unit)]);
        Self { code, at_least: Some(value), at_most: None, unit, words: phrase.words, said: phrase.said }
    }

    /// A value of at most `value`.
    fn most(code: &'static str, name: Wording, value: f64, unit: &'static str) -> Self {
        let phrase = AT_MOST.with([name.into(), Filling::down(value, unit)]);
        Self { code, at_least: None, at_most: Some(value), unit, words: phrase.words, said: phrase.said }
    }

    /// A need that the plan leaves open.
    fn open(code: &'static str, name: Wording, needs: Wording) -> Self {
        let phrase = NEED_OPEN.with([name.into(), needs.into()]);
        Self { code, at_least: None, at_most: None, unit: "", words: phrase.words, said: phrase.said }
    }
}

impl PartRow {
    fn new(mark: impl Into<String>, kind: PartKind, words: impl Into<Phrase>, why: impl Into<Phrase>) -> Self {
        let (words, why): (Phrase, Phrase) = (words.into(), why.into());
        Self {
            mark: mark.into(),
            kind,
            words: words.words,
            said: words.said,
            count: 1,
            length_m: None,
            value: None,
            unit: "",
            printed: Vec::new(),
            colours: Vec::new(),
            needs: Vec::new(),
            in_plan: true,
            why: why.words,
            why_said: why.said,
            source: COMMON_PRACTICE,
        }
    }

    fn times(mut self, count: usize) -> Self {
        self.count = count;
        self
    }

    fn needing(mut self, needs: impl IntoIterator<Item = PartNeed>) -> Self {
        self.needs.extend(needs);
        self
    }

    fn citing(mut self, source: Source) -> Self {
        self.source = source;
        self
    }

    /// The plan asks for it, but does not state it.
    fn asked(mut self) -> Self {
        self.in_plan = false;
        self
    }

    fn valued(mut self, value: f64, unit: &'static str) -> Self {
        (self.value, self.unit) = (Some(value), unit);
        self
    }

    /// A resistor with everything that may be printed on it.
    fn resistor(self, ohm: f64, full_v: f64) -> Self {
        let heat = PartNeed::least("power_w", POWER_RATING, full_v * full_v / ohm.max(1e-3), "w");
        self.valued(ohm, "ohm").marked(&Marking::ResistorOhm(ohm)).needing([heat])
    }

    /// As [`Self::resistor`], for a part without bands.
    fn potentiometer(self, ohm: f64, full_v: f64) -> Self {
        Self { colours: Vec::new(), ..self.resistor(ohm, full_v) }
    }

    /// A capacitor with everything that may be printed on it.
    fn capacitor(self, f: f64, rated_v: f64) -> Self {
        let rated = PartNeed::least("rated_v", VOLTAGE_RATING, rated_v, "v");
        self.valued(f, "f").marked(&Marking::CapacitorF(f)).needing([rated])
    }

    fn marked(mut self, marking: &Marking) -> Self {
        let Ok(answer) = marking.answer() else { return self };
        self.printed = [answer.letters, answer.digits].into_iter().flatten().collect();
        self.printed.dedup();
        self.colours = answer.colours.unwrap_or_default();
        if answer.series.is_none() {
            let phrase = NOT_PREFERRED.with([Phrase { words: self.words, said: self.said }.into()]);
            (self.words, self.said) = (phrase.words, phrase.said);
        }
        self
    }

    /// Its mark with what stands on the part, or its value: short enough for a diagram.
    pub(crate) fn short(&self) -> Phrase {
        let what = match (self.printed.first(), self.value) {
            (Some(printed), _) => printed.as_str().into(),
            (None, Some(value)) => Filling::number(value, self.unit),
            (None, None) => return self.mark.as_str().into(),
        };
        SHORT.with([self.mark.as_str().into(), what])
    }
}

/// One or many of the same.
fn counted(count: usize, one: &Wording, many: &Wording) -> Phrase {
    if count == 1 { one.plain() } else { many.with([Filling::count(count)]) }
}
