//! How a pack is emptied and taken apart, with its hazards.
//!
//! ```text
//! emptying resistor ≥ full_v · series / (0.1 · capacity_ah of the weakest group)
//! heat ≤ (full_v · series)² / resistor,   time ≤ largest capacity_ah · resistor / (floor_v · series)
//! ```
//!
//! The next larger preferred value is named, with twice the heat as its rating. A tenth of the capacity an hour is common
//! practice, no source, as are most steps; each says so.

use super::build_steps::{BuildStep, List};
use crate::data::diary::EMPTYING_C;
use crate::data::series::Series;
use crate::data::transport::{DISPOSAL, HOT_CELL_OUTDOORS_S};
use crate::data::{CIRCUIT_LAW, COMMON_PRACTICE};
use crate::part::choice::preferred;
use crate::plan::{FuseChoice, Plan, Protection};
use crate::quantity::said::{Filling, wordings};
use alloc::string::String;
use alloc::vec::Vec;

/// The resistor that empties a pack.
struct Emptying {
    resistor_ohm: f64,
    rating_w: f64,
    longest_s: f64,
}

/// The steps for a plan; `hurt` where a group was found too low or too high and is not to be emptied over a resistor.
pub(super) fn steps(plan: &Plan, hurt: bool) -> Vec<BuildStep> {
    let mut list = List::default();
    look(&mut list);
    if hurt {
        list.step("apart_hurt", APART_HURT, APART_HURT_HAZARD, DISPOSAL);
    } else {
        unplug(plan, &mut list);
        empty(plan, &mut list);
        cut(plan, &mut list);
    }
    after(&mut list);
    list.0
}

fn look(list: &mut List) {
    let words = APART_LOOK.with([Filling::clock_up(HOT_CELL_OUTDOORS_S)]);
    list.step("apart_look", words, APART_LOOK_HAZARD, DISPOSAL);
    list.practice("apart_place", APART_PLACE, APART_PLACE_HAZARD);
}

fn unplug(plan: &Plan, list: &mut List) {
    list.practice("apart_unplug", APART_UNPLUG, String::new());
    if plan.fuse.as_ref().and_then(FuseChoice::fitted).is_some() {
        list.practice("apart_fuse", APART_FUSE, String::new());
    }
}

fn emptying(plan: &Plan) -> Option<Emptying> {
    let series = plan.pack.groups.len() as f64;
    let total = |ends: fn(&crate::Interval) -> f64| {
        let of = move |group: &crate::pack::Group| -> f64 {
            group.cells.iter().map(|cell| ends(&cell.capacity.capacity_ah)).sum()
        };
        plan.pack.groups.iter().map(of)
    };
    let weakest_ah = total(|ah| ah.low).fold(f64::MAX, f64::min);
    let largest_ah = total(|ah| ah.high).fold(0.0, f64::max);
    let full_v = plan.pack.full_v * series;
    let least_ohm = full_v / (EMPTYING_C * weakest_ah);
    let resistor_ohm = preferred(Series::E12, least_ohm, 10.0 * least_ohm).first().copied()?;
    let longest_s = 3600.0 * largest_ah * resistor_ohm / (plan.pack.floor_v * series);
    Some(Emptying { resistor_ohm, rating_w: 2.0 * full_v * full_v / resistor_ohm, longest_s })
}

fn empty(plan: &Plan, list: &mut List) {
    let floor = || Filling::number(plan.pack.floor_v, "v");
    let board = plan.protection.as_ref().and_then(Protection::board).is_some();
    let guard = if board { APART_AT_BOARD } else { APART_AT_PLUG };
    let Some(Emptying { resistor_ohm, rating_w, longest_s }) = emptying(plan) else {
        list.practice("apart_empty_load", APART_EMPTY_LOAD.with([floor()]), String::new());
        return;
    };
    let words = APART_EMPTY.with([
        Filling::down(resistor_ohm, "ohm"),
        Filling::up(rating_w, "w"),
        guard.into(),
        floor(),
        Filling::clock_up(longest_s),
    ]);
    list.step("apart_empty", words, APART_EMPTY_HAZARD, CIRCUIT_LAW);
    list.practice("apart_measure", APART_MEASURE.with([floor()]), APART_MEASURE_HAZARD);
}

fn cut(plan: &Plan, list: &mut List) {
    if plan.fuse.as_ref().and_then(FuseChoice::fitted).is_some() {
        list.practice("apart_fuse_out", APART_FUSE_OUT, APART_FUSE_OUT_HAZARD);
    }
    if plan.protection.as_ref().and_then(Protection::board).is_some() {
        list.practice("apart_board", APART_BOARD, APART_BOARD_HAZARD);
    }
    if plan.pack.groups.len() > 1 {
        list.practice("apart_series", APART_SERIES, APART_SERIES_HAZARD);
    }
    list.practice("apart_cells", APART_CELLS, APART_CELLS_HAZARD);
}

fn after(list: &mut List) {
    list.step("apart_tape", APART_TAPE, APART_TAPE_HAZARD, DISPOSAL);
    list.practice("apart_keep", APART_KEEP, String::new());
    list.step("apart_hand_in", APART_HAND_IN, String::new(), DISPOSAL);
    list.step("apart_note", APART_NOTE, String::new(), COMMON_PRACTICE);
}

wordings! {
    APART_HURT: "step_apart_hurt", "A group was found too low or too high: do not charge it, do not empty it over a resistor, do not cut at it. Tape the pack's ends, put it into a metal box with dry sand, outdoors, and bring it whole to a collection point that takes damaged lithium batteries; ask there first how they want it.";
    APART_HURT_HAZARD: "step_apart_hurt_hazard", "A damaged cell may catch fire hours later.";
    APART_PLACE: "step_apart_place", "A bare table that neither burns nor conducts, outdoors or at an open door. Goggles, no rings, no watch, tools with insulated handles, a bucket of dry sand. Somebody within call.";
    APART_PLACE_HAZARD: "step_apart_place_hazard", "A slipped tool shorts a group; it welds itself on and glows.";
    APART_UNPLUG: "step_apart_unplug", "Unplug charger and loads. Switch off and wait a minute for capacitors.";
    APART_FUSE: "step_apart_fuse", "Leave the fuse in for the emptying below; take it out before anything is cut.";
    APART_FUSE_OUT: "step_apart_fuse_out", "Fuse out. Cap the lead before it.";
    APART_FUSE_OUT_HAZARD: "step_apart_fuse_out_hazard", "What lies before the fuse is protected by nothing.";
    APART_BOARD: "step_apart_board", "Take the board off the other way round than it came on: B+ first, then the balance plug, B− last. Cover each end at once.";
    APART_BOARD_HAZARD: "step_apart_board_hazard", "A loose balance lead is live and has only its own small fuse, if any.";
    APART_SERIES: "step_apart_series", "Cut the strips between the groups first, from the middle, so that each cut halves the voltage. One strip at a time, with nippers whose jaws fit between the cells; cover both ends before the next cut.";
    APART_SERIES_HAZARD: "step_apart_series_hazard", "Jaws that reach a second strip close a circuit through the tool.";
    APART_CELLS: "step_apart_cells", "Cut the strips between the cells of a group; leave a stub on each end. Do not twist or tear strips off the positive end, and file nothing.";
    APART_CELLS_HAZARD: "step_apart_cells_hazard", "Tearing opens the can or the seal under the tip.";
    APART_TAPE: "step_apart_tape", "Tape both ends of each cell the moment it is loose, and put each into a bag of its own.";
    APART_TAPE_HAZARD: "step_apart_tape_hazard", "Two bare ends and one strip of foil are a fire in the bin.";
    APART_KEEP: "step_apart_keep", "What you want to use again starts from nothing: let it rest a week, look at it, measure it and screen it like any found cell. Nothing of a group that was retired goes into another pack.";
    APART_HAND_IN: "step_apart_hand_in", "Bring the rest to a collection point for batteries, ends taped: never household waste, never the metal bin, never by post. Local rules say where, and what they want of damaged ones; they come before this list.";
    APART_NOTE: "step_apart_note", "Write on the tag and into the diary that this pack is no more.";
    APART_LOOK: "step_apart_look", "Look and smell before you touch it. Swollen, hot, hissing, wet, or smelling of solvent: carry nothing through the house. Outdoors, on stone, away from everything that burns, at least {0}; then hand it in whole. The steps after this one are for a pack that is sound from outside.";
    APART_LOOK_HAZARD: "step_apart_look_hazard", "Gas and flame come without warning; the smoke is poisonous.";
    APART_AT_BOARD: "apart_at_board", "through the board's load terminals";
    APART_AT_PLUG: "apart_at_plug", "at the load plug; there is no board, so measure every group every quarter of an hour";
    APART_EMPTY_LOAD: "step_apart_empty_load", "Run its load until the first group reads {0}, with you beside it.";
    APART_EMPTY: "step_apart_empty", "Empty it over {0} or more, rated for {1} or more, {2}: stop as soon as the first group reads {3}. It takes up to {4}; stay beside it, or stop and go on later.";
    APART_EMPTY_HAZARD: "step_apart_empty_hazard", "The resistor gets too hot to touch: lay it on a tile. Never empty a pack in salt water: it gasses, and the cells stay charged inside.";
    APART_MEASURE: "step_apart_measure", "Measure every group and write it into the diary. What still reads above {0} holds charge: treat it as live.";
    APART_MEASURE_HAZARD: "step_apart_measure_hazard", "An emptied cell recovers and still drives a large current into a short.";
}
