//! The order of joining a pack, with its hazards.
//!
//! Made from the plan: its groups, strips, board and leads. Each step names its source; most are common practice without
//! one. The steps are for a plan that is ready; for another one the first step says what to do before anything else.

use super::basis::{Basis, cells, shown, shown_up};
use crate::data::conductor::NICKEL_OR_STEEL;
use crate::data::transport::{DISPOSAL, LOOSE_CELLS};
use crate::data::{COMMON_PRACTICE, DERIVED, Source};
use crate::error::Error;
use crate::part::fuse::PLACE_WORDS;
use crate::plan::{Origin, Plan};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Rest voltage of a lithium-ion cell at which it is joined, at most, in volts: about a third full. Common practice, no
/// source.
const JOIN_V: f64 = 3.7;

/// Rest voltages of the cells of one group may lie this far apart when they are tied, in volts. Common practice, no source.
const TIE_V: f64 = 0.02;

/// One step.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BuildStep {
    /// Its place, from 1.
    pub number: usize,
    /// Stable code, the key of its wording in every language.
    pub code: &'static str,
    /// What to do, in plain English.
    pub words: String,
    /// What can go wrong there; empty where nothing out of the common can.
    pub hazard: String,
    /// Where it comes from.
    pub source: Source,
}

/// The steps of a build.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BuildSteps {
    /// The verdict on the plan, in plain English.
    pub verdict_words: &'static str,
    /// The steps in the order of work.
    pub steps: Vec<BuildStep>,
    /// The usual cautions.
    pub cautions: &'static str,
}

/// The usual cautions.
pub const CAUTIONS: &str = "Local codes come first, and licensed people where they ask for them. A cell that is hot, hisses, \
    smells or swells goes outdoors on stone at once, away from everything that burns; keep off, and call the fire brigade if \
    it catches. Work alone only where somebody can hear you.";

impl BuildSteps {
    /// The steps of a plan.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the plan, each with its place.
    pub fn of(plan: &Plan) -> Result<Self, Vec<Error>> {
        Basis::new(plan).map(|basis| Self::on(&basis))
    }

    pub(crate) fn on(basis: &Basis<'_>) -> Self {
        let mut list = List(Vec::new());
        before(basis, &mut list);
        groups(basis, &mut list);
        series(basis, &mut list);
        board(basis, &mut list);
        after(basis, &mut list);
        Self { verdict_words: basis.report.verdict_words, steps: list.0, cautions: CAUTIONS }
    }
}

/// Steps in the making.
#[derive(Default)]
pub(super) struct List(pub(super) Vec<BuildStep>);

impl List {
    pub(super) fn step(
        &mut self,
        code: &'static str,
        words: impl Into<String>,
        hazard: impl Into<String>,
        source: Source,
    ) {
        let number = self.0.len() + 1;
        self.0.push(BuildStep { number, code, words: words.into(), hazard: hazard.into(), source });
    }

    pub(super) fn practice(&mut self, code: &'static str, words: impl Into<String>, hazard: impl Into<String>) {
        self.step(code, words, hazard, COMMON_PRACTICE);
    }
}

fn before(basis: &Basis<'_>, list: &mut List) {
    if !basis.ready() {
        let words = format!(
            "Do not build yet: {} stop rules are broken or could not be judged. Mend the plan first.",
            basis.stops()
        );
        list.step("plan_not_ready", words, basis.report.verdict_words, DERIVED);
    }
    list.practice(
        "place",
        "Work on a bare table that does not burn or conduct. Have a metal bin with a lid or a bucket of dry sand within reach, \
         and a clear way to carry a cell outdoors. Wear goggles.",
        "A shorted cell can vent flame within seconds.",
    );
    list.practice(
        "no_metal",
        "Take off watch, rings, bracelets and chains. Use tools with insulated handles; put every loose strip, screw and wire \
         end away.",
        format!(
            "The whole pack gives up to {} into a short: a ring or a watch is red-hot at once.",
            shown_up(basis.report.pack.short_circuit_a, "a")
        ),
    );
    let words = "Look at every cell: no dent, no torn or missing wrap, no rust, no wetness. Renew a torn wrap and the ring at \
                 the positive end. What you give up: tape both ends, a bag of its own, to the collection point.";
    let source = if basis.plan.origin == Origin::Salvaged { LOOSE_CELLS } else { DISPOSAL };
    list.step("inspect", words, "A bare can is the cell's negative end from top to bottom.", source);
    list.practice(
        "ring",
        "Stick an insulating ring over every positive end before anything else touches it: the can's rim is negative and a \
         millimetre away from the tip. Every tab to a positive end then runs over the ring.",
        "A strip or tab across the shoulder cuts through the wrap and shorts the cell, often weeks later.",
    );
    low_charge(basis, list);
}

fn low_charge(basis: &Basis<'_>, list: &mut List) {
    let highest_v = cells(basis.plan).filter_map(|cell| cell.rest_v).fold(0.0, f64::max);
    let stated = cells(basis.plan).all(|cell| cell.rest_v.is_some());
    let ion = basis.lithium && basis.charge_v > 4.0;
    let state = if ion {
        format!("about a third full, at most {} at rest", shown(JOIN_V, "v"))
    } else {
        String::from("about a third full")
    };
    let found = match (stated, ion && highest_v > JOIN_V) {
        (true, true) => format!(" Your highest rests at {}: discharge it first.", shown(highest_v, "v")),
        (true, false) => format!(" Your highest rests at {}.", shown(highest_v, "v")),
        (false, _) => " Measure each one: the plan does not state them all.".into(),
    };
    list.practice(
        "low_charge",
        format!("Bring all cells to a low charge before you join them: {state}.{found}"),
        "What a cell holds is what it gives off when the work goes wrong.",
    );
}

fn groups(basis: &Basis<'_>, list: &mut List) {
    let groups = &basis.plan.pack.groups;
    list.practice(
        "no_solder",
        "Do not solder on bare cells. Spot-weld strips, or use holders with springs, or cells with tabs welded on by their \
         maker; try the weld on a scrap cell: the strip must tear before the weld does.",
        "The seal and the separator under the ends melt at the heat of a soldering iron: a hidden short inside.",
    );
    list.practice(
        "strip_metal",
        format!("Know your strip. {NICKEL_OR_STEEL}"),
        "Plated steel has more resistance than nickel: under the same current it gets hotter, and the cell with it.",
    );
    let most = groups.iter().map(|group| group.cells.len()).max().unwrap_or(0);
    if most > 1 {
        let join = basis.report.pack.groups.iter().filter_map(|group| group.join_a).fold(0.0, f64::max);
        let hazard = if join > 0.01 {
            format!("At the rest voltages of the plan up to {} would flow at that moment.", shown_up(join, "a"))
        } else {
            "Cells of unequal voltage drive a large current into each other at that moment.".into()
        };
        let words = format!(
            "Bring the cells of each group within {} of each other, then tie them side by side: all plus ends on one strip, \
             all minus ends on another. {}",
            shown(TIE_V, "v"),
            listed(basis)
        );
        list.practice("tie_groups", words, hazard);
    }
    list.practice(
        "place_cells",
        "Set the groups in their holder so that no can touches another one of another group: card or a spacer between them. \
         Wraps alone do not count.",
        "Cans of neighbouring groups are at different voltages; a chafed wrap is a short.",
    );
}

/// "Group 1: A1, A2; group 2: B1, B2."
fn listed(basis: &Basis<'_>) -> String {
    let groups = basis.plan.pack.groups.iter().enumerate();
    let one = |(g, group): (usize, &crate::pack::Group)| {
        let names: Vec<&str> = group.cells.iter().map(|cell| cell.name.as_str()).collect();
        format!("group {}: {}", g + 1, names.join(", "))
    };
    format!("In the plan {}.", groups.map(one).collect::<Vec<_>>().join("; "))
}

fn series(basis: &Basis<'_>, list: &mut List) {
    let series = basis.plan.pack.groups.len();
    if series > 1 {
        let words = format!(
            "Join the {series} groups in series from minus upwards, one strip at a time: plus of group 1 to minus of group 2, \
             and so on. Cover each strip before you start the next. Measure after each: the voltage must grow by one group."
        );
        list.practice("series", words, "The last strip closes the pack: from now on its ends are always live.");
    }
    let words = "Solder leads to the strips' free ends away from the cells, or weld strips with leads already soldered on. One \
                 bare conductor at a time: bare, join and cover one before you bare the next. Plus first, tape over it, then \
                 minus.";
    list.practice("one_bare", words, "Two bare ends touch sooner or later.");
    list.practice(
        "fuse_first",
        format!("Fit the fuse holder on the plus lead next, its fuse still out. {PLACE_WORDS}"),
        "What lies before the fuse is protected by nothing.",
    );
    list.practice(
        "strain",
        "Tie every lead down within a hand's width of its joint, so that a pull ends at the tie. No lead over an edge of a \
         strip; a grommet where leads leave the box.",
        "A lead that works loose inside lands on whatever is nearest.",
    );
}

fn board(basis: &Basis<'_>, list: &mut List) {
    let series = basis.plan.pack.groups.len();
    if !basis.has_board() {
        if basis.unwatched() {
            let words = "The plan has no protection board. Do not go on without one: put it into the plan first.";
            list.practice("no_board", words, "A charger sees only the sum; the fullest group is overcharged.");
        }
        return;
    }
    let words = format!(
        "Fit the {series} balance leads with the board's plug out: each its own small fuse or fusible resistor right at the \
         strip, or as short as can be; none across another group's cans. The one at the pack's plus needs its own fuse in \
         any case: it goes round F1 and feeds the board when F1 is open."
    );
    let hazard = format!(
        "A thin wire on up to {}: chafed through, it glows and lights what lies around it; the main fuse does not see it.",
        shown_up(basis.report.pack.short_circuit_a, "a")
    );
    list.practice("sense_leads", words, hazard);
    let volts =
        (1..=series.min(4)).map(|g| format!("tap {g} about {} to {}", rests(basis, g, false), rests(basis, g, true)));
    let more = if series > 4 { ", and so on" } else { "" };
    let words = format!(
        "Before the plug goes in, measure every tap against pack minus, in their order: it must step up one group at a time \
         ({}{more}).",
        volts.collect::<Vec<_>>().join(", ")
    );
    list.practice(
        "tap_order",
        words,
        "Two taps swapped destroy the board at the moment of plugging, sometimes with fire.",
    );
    list.practice(
        "board_order",
        "Connect the board in the order its maker prints; where none is printed, B− first, then the balance leads, then B+ \
         through the fuse. The jack goes to the board's charge terminals, never straight to the cells.",
        "A jack at the cells charges past every cut-off.",
    );
}

/// Voltage of a tap with its groups at the cells' floor or full.
fn rests(basis: &Basis<'_>, groups: usize, full: bool) -> String {
    let each = if full { basis.plan.pack.full_v } else { basis.plan.pack.floor_v };
    shown(groups as f64 * each, "v")
}

fn after(basis: &Basis<'_>, list: &mut List) {
    list.practice(
        "cover",
        "Cover the whole pack: hard sheet over both ends, wrap around, then a box that does not burn and lets a swollen cell \
         swell. Nothing sharp inside; no screw that can reach a cell.",
        "",
    );
    list.practice(
        "bench",
        "Now the bench list, in its order: unpowered, then through a lamp or resistor, then with the fuse in at full power.",
        "The first minute of full power shows most faults: keep a hand on the switch.",
    );
    let first = "Charge it the first time outdoors or over stone, with you beside it from start to end; feel every group for \
                 warmth. Then write tag and date.";
    let hazard = match basis.charger() {
        Ok(_) => String::from("Salvaged cells fail most often in their first charges."),
        Err(reason) => format!("Do not charge yet: {reason}."),
    };
    list.practice("first_charge", first, hazard);
}
