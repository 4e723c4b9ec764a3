//! Tags for pack and jack, 1:1 on paper: what may charge it, what it holds, and that nobody type-tested it.
//!
//! A tag names a charger only where the plan keeps every rule about charging; otherwise it says that there is none yet. The
//! energy is the most the cells may hold, rounded up. Dates are left to be written by hand.

use super::basis::Basis;
use super::drawing::{Anchor, Drawing, Ink, Shape, lines, text_width};
use super::polarity::{WIDTH as MARK, plus_inside};
use crate::data::Source;
use crate::data::transport::TYPE_TEST_SOURCE;
use crate::error::Error;
use crate::plan::{FuseChoice, Plan};
use crate::quantity::said::{Filling, Phrase, wordings};
use crate::quantity::tongue::Tongue;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Width of the pack's tag, in millimetres, which are its units.
const PACK_MM: f64 = 64.0;
/// Width of the jack's tag.
const JACK_MM: f64 = 56.0;
/// Where a date is written by hand.
const DATE: &str = "........................";
/// Free edge inside the frame.
const EDGE_MM: f64 = 2.5;

/// Tags of a build.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Tags {
    /// For the pack.
    pub pack: Drawing,
    /// The same in words, line by line.
    pub pack_words: Vec<String>,
    /// For the charge jack.
    pub jack: Drawing,
    /// The same in words, line by line.
    pub jack_words: Vec<String>,
    /// Whether the plan is ready; the tags say so where it is not.
    pub ready: bool,
    /// Source of the words about the type test.
    pub type_test_source: Source,
}

/// Width of the mark of polarity.
const POLARITY_MM: f64 = 20.0;

/// Smallest type of a line that is set smaller instead of broken.
const LEAST_MM: f64 = 2.2;

/// A line of a tag.
struct Line {
    words: Phrase,
    /// The mark of polarity instead of words.
    polarity: bool,
    size: f64,
    ink: Ink,
}

impl Tags {
    /// The tags of a plan.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the plan, each with its place.
    pub fn of(plan: &Plan) -> Result<Self, Vec<Error>> {
        Basis::new(plan).map(|basis| Self::on(&basis, &Tongue::ENGLISH))
    }

    pub(crate) fn on(basis: &Basis<'_>, tongue: &Tongue) -> Self {
        let (pack, jack) = (pack_lines(basis), jack_lines(basis));
        let words = |lines: &[Line]| {
            let said = lines.iter().filter(|line| !line.polarity);
            said.map(|line| tongue.say(&line.words).replace('\u{a0}', " ")).collect()
        };
        let name = || Filling::from(basis.plan.name.as_str());
        Self {
            pack_words: words(&pack),
            jack_words: words(&jack),
            pack: drawn(&tongue.say(&PACK_TAG.with([name()])), &pack, PACK_MM, tongue),
            jack: drawn(&tongue.say(&JACK_TAG.with([name()])), &jack, JACK_MM, tongue),
            ready: basis.ready(),
            type_test_source: TYPE_TEST_SOURCE,
        }
    }
}

fn line(words: impl Into<Phrase>, size: f64, ink: Ink) -> Line {
    Line { words: words.into(), polarity: false, size, ink }
}

/// A line for a plan that is not ready.
fn not_ready(basis: &Basis<'_>) -> Option<Line> {
    (!basis.ready()).then(|| line(NOT_READY, 2.4, Ink::Alarm))
}

fn pack_lines(basis: &Basis<'_>) -> Vec<Line> {
    let pack = &basis.report.pack;
    let most_wh = format!("{}", libm::ceil(pack.energy_wh.high));
    let fuse = match basis.plan.fuse.as_ref().and_then(FuseChoice::fitted) {
        Some(fuse) => line(FUSE.with([Filling::number(fuse.rating_a, "a")]), 2.4, Ink::Text),
        None => line(NO_FUSE, 2.6, Ink::Alarm),
    };
    let volts = VOLTS.with([Filling::number(pack.nominal_v, "v"), Filling::number(pack.full_v, "v"), most_wh.into()]);
    let cold = CHARGE_BETWEEN.with([degrees(basis.charge_degc, 0), degrees(basis.charge_degc, 1)]);
    let mut all: Vec<Line> = not_ready(basis).into_iter().collect();
    all.extend([
        line(basis.plan.name.as_str(), 2.6, Ink::Text),
        line(CELLS.with([basis.chemistry().into(), basis.shape().into()]), 3.8, Ink::Solid),
        line(volts, 2.4, Ink::Text),
    ]);
    all.extend(charger_lines(basis, 2.7));
    all.extend([
        fuse,
        line(cold, 2.4, Ink::Solid),
        line(HARMED, 2.2, Ink::Text),
        line(HOME_BUILT, 2.2, Ink::Solid),
        line(BUILT_ON.with([DATE.into()]), 2.6, Ink::Text),
        line(NEXT_CHECK.with([DATE.into()]), 2.6, Ink::Text),
    ]);
    all
}

/// The lowest or highest temperature for charging; the lowest is never below 0 °C.
fn degrees(charge_degc: [f64; 2], end: usize) -> Filling {
    let degc = charge_degc.get(end).copied().unwrap_or(0.0);
    // Adding nothing leaves no minus before a zero.
    Filling::number(if end == 0 { libm::ceil(degc).max(0.0) } else { libm::floor(degc) } + 0.0, "degc").glued()
}

fn charger_lines(basis: &Basis<'_>, size: f64) -> Vec<Line> {
    match basis.charger() {
        Ok(charger) => {
            let (v, a) = (Filling::down(charger.supply_v, "v").glued(), Filling::down(charger.supply_a, "a").glued());
            alloc::vec![
                line(ONLY_CHARGER.with([v, a]), size + 0.4, Ink::Solid),
                line(MADE_FOR.with([basis.chemistry().into()]), size - 0.4, Ink::Text),
                line(PLUS_INSIDE, size - 0.4, Ink::Text),
                Line { polarity: true, ..line("", 3.2, Ink::Text) },
            ]
        }
        Err(reason) => alloc::vec![line(NO_CHARGING.with([reason.into()]), size, Ink::Alarm)],
    }
}

fn jack_lines(basis: &Basis<'_>) -> Vec<Line> {
    let mut all: Vec<Line> = not_ready(basis).into_iter().collect();
    all.extend(charger_lines(basis, 2.6));
    all.push(line(NO_OTHER, 2.4, Ink::Solid));
    all.push(line(STAY_NEAR.with([degrees(basis.charge_degc, 0)]), 2.2, Ink::Text));
    all
}

wordings! {
    PACK_TAG: "tag_pack_title", "Tag for the pack of {0}";
    JACK_TAG: "tag_jack_title", "Tag for the charge jack of {0}";
    NOT_READY: "tag_not_ready", "NOT READY: the plan breaks stop rules or leaves them open. Do not use.";
    CELLS: "tag_cells", "{0} {1}";
    VOLTS: "tag_volts", "{0} nominal, {1} full, up to {2} Wh";
    FUSE: "tag_fuse", "Fuse F1: {0}, the same again only";
    NO_FUSE: "tag_no_fuse", "Fuse: NONE in the plan";
    CHARGE_BETWEEN: "tag_charge_between", "Charge only from {0} to {1}.";
    HARMED: "tag_harmed", "Hot, swollen or dented: outdoors, never charge.";
    HOME_BUILT: "tag_home_built", "Home-built, not type-tested: no aircraft, no post.";
    BUILT_ON: "tag_built_on", "Built on: {0}";
    NEXT_CHECK: "tag_next_check", "Next check: {0}";
    ONLY_CHARGER: "tag_only_charger", "ONLY charger: {0} DC, {1}";
    MADE_FOR: "tag_made_for", "made for {0}, ends by itself";
    PLUS_INSIDE: "tag_plus_inside", "plus inside, minus outside: measure first";
    NO_CHARGING: "tag_no_charging", "NO CHARGING: {0}.";
    NO_OTHER: "tag_no_other", "No other supply, even if its plug fits.";
    STAY_NEAR: "tag_stay_near", "Not below {0}. Stay near; not on cloth.";
}

/// The lines one below the other in a frame.
fn drawn(title: &str, all: &[Line], width: f64, tongue: &Tongue) -> Drawing {
    let room = width - 2.0 * EDGE_MM;
    let mut shapes = Vec::new();
    let mut y = EDGE_MM;
    for line in all {
        if line.polarity {
            // Its circles are 12 of its units high, its arc 16.
            let scale = POLARITY_MM / MARK;
            shapes.extend(plus_inside([EDGE_MM, y + 9.0 * scale], scale));
            y += 17.0 * scale;
        }
        let words = tongue.say(&line.words);
        // Bold type is wider than plain.
        let bold = if matches!(line.ink, Ink::Solid | Ink::Alarm) { 1.1 } else { 1.0 };
        // A line that is a little too long is set smaller instead of broken.
        let fits = room / text_width(&words, bold).max(1e-9);
        let size = if fits >= LEAST_MM { line.size.min(fits) } else { line.size };
        for text in lines(&words, size * bold, room + 1e-6) {
            y += size * 1.25;
            shapes.push(Shape::Text { x: EDGE_MM, y, text, size, anchor: Anchor::Left, ink: line.ink });
        }
        y += 0.8;
    }
    let height = y + EDGE_MM;
    shapes.insert(0, Shape::Box { x: 0.5, y: 0.5, width: width - 1.0, height: height - 1.0, ink: Ink::Frame });
    Drawing { title: super::drawing::plain(title), width, height, unit_m: 1e-3, line: 0.25, shapes }
}
