//! The order of joining a pack, with its hazards.
//!
//! Made from the plan: its groups, strips, board and leads. Each step names its source; most are common practice without
//! one. The steps are for a plan that is ready; for another one the first step says what to do before anything else.

use super::basis::{Basis, cells};
use super::parts::{PLACE, THEN, WITH};
use crate::data::conductor::NICKEL_OR_STEEL;
use crate::data::transport::{DISPOSAL, LOOSE_CELLS};
use crate::data::{COMMON_PRACTICE, DERIVED, Source};
use crate::error::Error;
use crate::plan::{Origin, Plan};
use crate::quantity::said::{Filling, Phrase, Said, wordings};
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
    /// The same by code.
    pub said: Said,
    /// What can go wrong there; empty where nothing out of the common can.
    pub hazard: String,
    /// The same by code.
    pub hazard_said: Option<Said>,
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
pub const CAUTIONS: &str = "Local codes come first, and licensed people where they ask for them. A cell that is hot, hisses, smells or swells goes outdoors on stone at once, away from everything that burns; keep off, and call the fire brigade if it catches. Work alone only where somebody can hear you.";

wordings! {
    STEP_PLACE: "step_place", "Work on a bare table that does not burn or conduct. Have a metal bin with a lid or a bucket of dry sand within reach, and a clear way to carry a cell outdoors. Wear goggles.";
    STEP_PLACE_HAZARD: "step_place_hazard", "A shorted cell can vent flame within seconds.";
    STEP_RING: "step_ring", "Stick an insulating ring over every positive end before anything else touches it: the can's rim is negative and a millimetre away from the tip. Every tab to a positive end then runs over the ring.";
    STEP_RING_HAZARD: "step_ring_hazard", "A strip or tab across the shoulder cuts through the wrap and shorts the cell, often weeks later.";
    STEP_NO_SOLDER: "step_no_solder", "Do not solder on bare cells. Spot-weld strips, or use holders with springs, or cells with tabs welded on by their maker; try the weld on a scrap cell: the strip must tear before the weld does.";
    STEP_NO_SOLDER_HAZARD: "step_no_solder_hazard", "The seal and the separator under the ends melt at the heat of a soldering iron: a hidden short inside.";
    STEP_PLACE_CELLS: "step_place_cells", "Set the groups in their holder so that no can touches another one of another group: card or a spacer between them. Wraps alone do not count.";
    STEP_PLACE_CELLS_HAZARD: "step_place_cells_hazard", "Cans of neighbouring groups are at different voltages; a chafed wrap is a short.";
    STEP_STRAIN: "step_strain", "Tie every lead down within a hand's width of its joint, so that a pull ends at the tie. No lead over an edge of a strip; a grommet where leads leave the box.";
    STEP_STRAIN_HAZARD: "step_strain_hazard", "A lead that works loose inside lands on whatever is nearest.";
    STEP_BOARD_ORDER: "step_board_order", "Connect the board in the order its maker prints; where none is printed, B− first, then the balance leads, then B+ through the fuse. The jack goes to the board's charge terminals, never straight to the cells.";
    STEP_BOARD_ORDER_HAZARD: "step_board_order_hazard", "A jack at the cells charges past every cut-off.";
    STEP_COVER: "step_cover", "Cover the whole pack: hard sheet over both ends, wrap around, then a box that does not burn and lets a swollen cell swell. Nothing sharp inside; no screw that can reach a cell.";
    STEP_BENCH: "step_bench", "Now the bench list, in its order: unpowered, then through a lamp or resistor, then with the fuse in at full power.";
    STEP_BENCH_HAZARD: "step_bench_hazard", "The first minute of full power shows most faults: keep a hand on the switch.";
    STEP_PLAN_NOT_READY: "step_plan_not_ready", "Do not build yet: {0} stop rules are broken or could not be judged. Mend the plan first.";
    STEP_NO_METAL: "step_no_metal", "Take off watch, rings, bracelets and chains. Use tools with insulated handles; put every loose strip, screw and wire end away.";
    STEP_NO_METAL_HAZARD: "step_no_metal_hazard", "The whole pack gives up to {0} into a short: a ring or a watch is red-hot at once.";
    STEP_INSPECT: "step_inspect", "Look at every cell: no dent, no torn or missing wrap, no rust, no wetness. Renew a torn wrap and the ring at the positive end. What you give up: tape both ends, a bag of its own, to the collection point.";
    STEP_INSPECT_HAZARD: "step_inspect_hazard", "A bare can is the cell's negative end from top to bottom.";
    THIRD_UP_TO: "third_full_up_to", "about a third full, at most {0} at rest";
    THIRD: "third_full", "about a third full";
    HIGHEST_TOO_FULL: "highest_too_full", "Your highest rests at {0}: discharge it first.";
    HIGHEST: "highest_rests", "Your highest rests at {0}.";
    MEASURE_EACH: "measure_each", "Measure each one: the plan does not state them all.";
    STEP_LOW_CHARGE: "step_low_charge", "Bring all cells to a low charge before you join them: {0}. {1}";
    STEP_LOW_CHARGE_HAZARD: "step_low_charge_hazard", "What a cell holds is what it gives off when the work goes wrong.";
    STEP_STRIP_METAL: "step_strip_metal", "Know your strip. {0}";
    NICKEL_TEST: "nickel_or_steel", NICKEL_OR_STEEL;
    STEP_STRIP_METAL_HAZARD: "step_strip_metal_hazard", "Plated steel has more resistance than nickel: under the same current it gets hotter, and the cell with it.";
    TIE_CURRENT: "step_tie_groups_hazard", "At the rest voltages of the plan up to {0} would flow at that moment.";
    TIE_UNEQUAL: "step_tie_groups_unequal", "Cells of unequal voltage drive a large current into each other at that moment.";
    STEP_TIE_GROUPS: "step_tie_groups", "Bring the cells of each group within {0} of each other, then tie them side by side: all plus ends on one strip, all minus ends on another.";
    IN_THE_PLAN: "in_the_plan", "In the plan {0}.";
    GROUP_CELLS: "group_cells", "group {0}: {1}";
    APART: "apart", "{0}; {1}";
    STEP_SERIES: "step_series", "Join the {0} groups in series from minus upwards, one strip at a time: plus of group 1 to minus of group 2, and so on. Cover each strip before you start the next. Measure after each: the voltage must grow by one group.";
    STEP_SERIES_HAZARD: "step_series_hazard", "The last strip closes the pack: from now on its ends are always live.";
    STEP_ONE_BARE: "step_one_bare", "Solder leads to the strips' free ends away from the cells, or weld strips with leads already soldered on. One bare conductor at a time: bare, join and cover one before you bare the next. Plus first, tape over it, then minus.";
    STEP_ONE_BARE_HAZARD: "step_one_bare_hazard", "Two bare ends touch sooner or later.";
    STEP_FUSE_FIRST: "step_fuse_first", "Fit the fuse holder on the plus lead next, its fuse still out. {0}";
    STEP_FUSE_FIRST_HAZARD: "step_fuse_first_hazard", "What lies before the fuse is protected by nothing.";
    STEP_NO_BOARD: "step_no_board", "The plan has no protection board. Do not go on without one: put it into the plan first.";
    STEP_NO_BOARD_HAZARD: "step_no_board_hazard", "A charger sees only the sum; the fullest group is overcharged.";
    STEP_SENSE_LEADS: "step_sense_leads", "Fit the {0} balance leads with the board's plug out: each its own small fuse or fusible resistor right at the strip, or as short as can be; none across another group's cans. The one at the pack's plus needs its own fuse in any case: it goes round F1 and feeds the board when F1 is open.";
    STEP_SENSE_LEADS_HAZARD: "step_sense_leads_hazard", "A thin wire on up to {0}: chafed through, it glows and lights what lies around it; the main fuse does not see it.";
    TAP_ABOUT: "tap_about", "tap {0} about {1} to {2}";
    AND_SO_ON: "and_so_on", "{0}, and so on";
    STEP_TAP_ORDER: "step_tap_order", "Before the plug goes in, measure every tap against pack minus, in their order: it must step up one group at a time ({0}).";
    STEP_TAP_ORDER_HAZARD: "step_tap_order_hazard", "Two taps swapped destroy the board at the moment of plugging, sometimes with fire.";
    STEP_FIRST_CHARGE: "step_first_charge", "Charge it the first time outdoors or over stone, with you beside it from start to end; feel every group for warmth. Then write tag and date.";
    STEP_FIRST_CHARGE_HAZARD: "step_first_charge_hazard", "Salvaged cells fail most often in their first charges.";
    DO_NOT_CHARGE: "step_first_charge_not", "Do not charge yet: {0}.";
    CAUTIONS_SAID: "build_cautions", CAUTIONS;
}

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
        words: impl Into<Phrase>,
        hazard: impl Into<Phrase>,
        source: Source,
    ) {
        let number = self.0.len() + 1;
        let (words, hazard): (Phrase, Phrase) = (words.into(), hazard.into());
        let hazard_said = hazard.coded();
        let (said, words) = (words.said, words.words);
        self.0.push(BuildStep { number, code, words, said, hazard: hazard.words, hazard_said, source });
    }

    pub(super) fn practice(&mut self, code: &'static str, words: impl Into<Phrase>, hazard: impl Into<Phrase>) {
        self.step(code, words, hazard, COMMON_PRACTICE);
    }
}

fn before(basis: &Basis<'_>, list: &mut List) {
    if !basis.ready() {
        let words = STEP_PLAN_NOT_READY.with([Filling::count(basis.stops())]);
        list.step("plan_not_ready", words, basis.report.verdict.wording(), DERIVED);
    }
    list.practice("place", STEP_PLACE, STEP_PLACE_HAZARD);
    let hazard = STEP_NO_METAL_HAZARD.with([Filling::up(basis.report.pack.short_circuit_a, "a")]);
    list.practice("no_metal", STEP_NO_METAL, hazard);
    let source = if basis.plan.origin == Origin::Salvaged { LOOSE_CELLS } else { DISPOSAL };
    list.step("inspect", STEP_INSPECT, STEP_INSPECT_HAZARD, source);
    list.practice("ring", STEP_RING, STEP_RING_HAZARD);
    low_charge(basis, list);
}

fn low_charge(basis: &Basis<'_>, list: &mut List) {
    let highest_v = cells(basis.plan).filter_map(|cell| cell.rest_v).fold(0.0, f64::max);
    let stated = cells(basis.plan).all(|cell| cell.rest_v.is_some());
    let ion = basis.lithium && basis.charge_v > 4.0;
    let state = if ion { THIRD_UP_TO.with([Filling::number(JOIN_V, "v")]) } else { THIRD.plain() };
    let highest = || [Filling::number(highest_v, "v")];
    let found = match (stated, ion && highest_v > JOIN_V) {
        (true, true) => HIGHEST_TOO_FULL.with(highest()),
        (true, false) => HIGHEST.with(highest()),
        (false, _) => MEASURE_EACH.plain(),
    };
    let words = STEP_LOW_CHARGE.with([state.into(), found.into()]);
    list.practice("low_charge", words, STEP_LOW_CHARGE_HAZARD);
}

fn groups(basis: &Basis<'_>, list: &mut List) {
    let groups = &basis.plan.pack.groups;
    list.practice("no_solder", STEP_NO_SOLDER, STEP_NO_SOLDER_HAZARD);
    let words = STEP_STRIP_METAL.with([NICKEL_TEST.into()]);
    list.practice("strip_metal", words, STEP_STRIP_METAL_HAZARD);
    let most = groups.iter().map(|group| group.cells.len()).max().unwrap_or(0);
    if most > 1 {
        let join = basis.report.pack.groups.iter().filter_map(|group| group.join_a).fold(0.0, f64::max);
        let hazard = if join > 0.01 { TIE_CURRENT.with([Filling::up(join, "a")]) } else { TIE_UNEQUAL.plain() };
        let mut words = STEP_TIE_GROUPS.with([Filling::number(TIE_V, "v")]);
        if let Some(groups) = listed(basis) {
            words = THEN.with([words.into(), IN_THE_PLAN.with([groups.into()]).into()]);
        }
        list.practice("tie_groups", words, hazard);
    }
    list.practice("place_cells", STEP_PLACE_CELLS, STEP_PLACE_CELLS_HAZARD);
}

/// "group 1: A1, A2; group 2: B1, B2".
fn listed(basis: &Basis<'_>) -> Option<Phrase> {
    let groups = basis.plan.pack.groups.iter().enumerate();
    let one = |(g, group): (usize, &crate::pack::Group)| {
        let names: Vec<&str> = group.cells.iter().map(|cell| cell.name.as_str()).collect();
        GROUP_CELLS.with([Filling::count(g + 1), names.join(", ").into()])
    };
    Phrase::joined(groups.map(one), &APART)
}

fn series(basis: &Basis<'_>, list: &mut List) {
    let series = basis.plan.pack.groups.len();
    if series > 1 {
        let words = STEP_SERIES.with([Filling::count(series)]);
        list.practice("series", words, STEP_SERIES_HAZARD);
    }
    list.practice("one_bare", STEP_ONE_BARE, STEP_ONE_BARE_HAZARD);
    let words = STEP_FUSE_FIRST.with([PLACE.into()]);
    list.practice("fuse_first", words, STEP_FUSE_FIRST_HAZARD);
    list.practice("strain", STEP_STRAIN, STEP_STRAIN_HAZARD);
}

fn board(basis: &Basis<'_>, list: &mut List) {
    let series = basis.plan.pack.groups.len();
    if !basis.has_board() {
        if basis.unwatched() {
            list.practice("no_board", STEP_NO_BOARD, STEP_NO_BOARD_HAZARD);
        }
        return;
    }
    let words = STEP_SENSE_LEADS.with([Filling::count(series)]);
    let hazard = STEP_SENSE_LEADS_HAZARD.with([Filling::up(basis.report.pack.short_circuit_a, "a")]);
    list.practice("sense_leads", words, hazard);
    let tap = |g: usize| TAP_ABOUT.with([Filling::count(g), rests(basis, g, false), rests(basis, g, true)]);
    if let Some(volts) = Phrase::joined((1..=series.min(4)).map(tap), &WITH) {
        let volts = if series > 4 { AND_SO_ON.with([volts.into()]) } else { volts };
        list.practice("tap_order", STEP_TAP_ORDER.with([volts.into()]), STEP_TAP_ORDER_HAZARD);
    }
    list.practice("board_order", STEP_BOARD_ORDER, STEP_BOARD_ORDER_HAZARD);
}

/// Voltage of a tap with its groups at the cells' floor or full.
fn rests(basis: &Basis<'_>, groups: usize, full: bool) -> Filling {
    let each = if full { basis.plan.pack.full_v } else { basis.plan.pack.floor_v };
    Filling::number(groups as f64 * each, "v")
}

fn after(basis: &Basis<'_>, list: &mut List) {
    list.practice("cover", STEP_COVER, String::new());
    list.practice("bench", STEP_BENCH, STEP_BENCH_HAZARD);
    let hazard = match basis.charger() {
        Ok(_) => STEP_FIRST_CHARGE_HAZARD.plain(),
        Err(reason) => DO_NOT_CHARGE.with([reason.into()]),
    };
    list.practice("first_charge", STEP_FIRST_CHARGE, hazard);
}
