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
use crate::pack::Group;
use crate::part::choice::preferred;
use crate::plan::{FuseChoice, Plan, Protection};
use crate::quantity::Interval;
use crate::quantity::said::{Filling, wordings};
use crate::quantity::text::{Rounding, clock};
use alloc::vec::Vec;

wordings! {
    LOOK: "apart_look", "Look and smell before you touch it. Swollen, hot, hissing, wet, or smelling of solvent: carry nothing through the house. Outdoors, on stone, away from everything that burns, at least {0}; then hand it in whole. The steps after this one are for a pack that is sound from outside.";
    LOOK_HAZARD: "apart_look_hazard", "Gas and flame come without warning; the smoke is poisonous.";
    PLACE: "apart_place", "A bare table that neither burns nor conducts, outdoors or at an open door. Goggles, no rings, no watch, tools with insulated handles, a bucket of dry sand. Somebody within call.";
    PLACE_HAZARD: "apart_place_hazard", "A slipped tool shorts a group; it welds itself on and glows.";
    HURT: "apart_hurt", "A group was found too low or too high: do not charge it, do not empty it over a resistor, do not cut at it. Tape the pack's ends, put it into a metal box with dry sand, outdoors, and bring it whole to a collection point that takes damaged lithium batteries; ask there first how they want it.";
    HURT_HAZARD: "apart_hurt_hazard", "A damaged cell may catch fire hours later.";
    UNPLUG: "apart_unplug", "Unplug charger and loads. Switch off and wait a minute for capacitors.";
    FUSE: "apart_fuse", "Leave the fuse in for the emptying; take it out before anything is cut.";
    EMPTY: "apart_empty", "Empty it over {0} or more, rated for {1} or more, {2}: stop as soon as the first group reads {3}. It takes up to {4}; stay beside it, or stop and go on later.";
    EMPTY_LOAD: "apart_empty_load", "Run its load until the first group reads {0}, with you beside it.";
    EMPTY_HAZARD: "apart_empty_hazard", "The resistor gets too hot to touch: lay it on a tile. Never empty a pack in salt water: it gasses, and the cells stay charged inside.";
    AT_BOARD: "apart_at_board", "at the board's load terminals";
    AT_PLUG: "apart_at_plug", "at the load plug (no board: measure every group every quarter of an hour)";
    MEASURE: "apart_measure", "Measure every group and write it into the diary. What still reads above {0} holds charge: treat it as live.";
    MEASURE_HAZARD: "apart_measure_hazard", "An emptied cell recovers and still drives a large current into a short.";
    FUSE_OUT: "apart_fuse_out", "Fuse out. Cap the lead before it.";
    FUSE_OUT_HAZARD: "apart_fuse_out_hazard", "What lies before the fuse is protected by nothing.";
    BOARD: "apart_board", "Take the board off the other way round than it came on: B+ first, then the balance plug, B− last. Cover each end at once.";
    BOARD_HAZARD: "apart_board_hazard", "A loose balance lead is live and has only its own small fuse, if any.";
    SERIES: "apart_series", "Cut the strips between the groups first, from the middle, so that each cut halves the voltage. One strip at a time, with nippers whose jaws fit between the cells; cover both ends before the next cut.";
    SERIES_HAZARD: "apart_series_hazard", "Jaws that reach a second strip close a circuit through the tool.";
    CELLS: "apart_cells", "Cut the strips between the cells of a group; leave a stub on each end. Do not twist or tear strips off the positive end, and file nothing.";
    CELLS_HAZARD: "apart_cells_hazard", "Tearing opens the can or the seal under the tip.";
    TAPE: "apart_tape", "Tape both ends of each cell the moment it is loose, and put each into a bag of its own.";
    TAPE_HAZARD: "apart_tape_hazard", "Two bare ends and one strip of foil are a fire in the bin.";
    KEEP: "apart_keep", "What you want to use again starts from nothing: let it rest a week, look at it, measure it and screen it like any found cell. Nothing of a group that was retired goes into another pack.";
    HAND_IN: "apart_hand_in", "Bring the rest to a collection point for batteries, ends taped: never household waste, never the metal bin, never by post. Local rules say where, and what they want of damaged ones; they come before this list.";
    NOTE: "apart_note", "Write on the tag and into the diary that this pack is no more.";
}

/// The resistor that empties a pack.
struct Emptying {
    resistor_ohm: f64,
    rating_w: f64,
    longest_s: f64,
}

/// The steps for a plan; `hurt` where a group was found too low or too high and is not to be emptied over a resistor.
pub(super) fn steps(plan: &Plan, hurt: bool) -> Vec<BuildStep> {
    let mut list = List::default();
    let hours = clock(HOT_CELL_OUTDOORS_S, Rounding::Up);
    list.step("apart_look", LOOK.with([hours.into()]), LOOK_HAZARD, DISPOSAL);
    if hurt {
        list.step("apart_hurt", HURT, HURT_HAZARD, DISPOSAL);
    } else {
        list.practice("apart_place", PLACE, PLACE_HAZARD);
        list.practice("apart_unplug", UNPLUG, "");
        empty(plan, &mut list);
        cut(plan, &mut list);
        list.step("apart_tape", TAPE, TAPE_HAZARD, DISPOSAL);
        list.practice("apart_keep", KEEP, "");
    }
    list.step("apart_hand_in", HAND_IN, "", DISPOSAL);
    list.step("apart_note", NOTE, "", COMMON_PRACTICE);
    list.0
}

fn has_fuse(plan: &Plan) -> bool {
    plan.fuse.as_ref().and_then(FuseChoice::fitted).is_some()
}

fn has_board(plan: &Plan) -> bool {
    plan.protection.as_ref().and_then(Protection::board).is_some()
}

/// The sum over the cells of each group.
fn charges(plan: &Plan, end: fn(&Interval) -> f64) -> impl Iterator<Item = f64> {
    let sum = move |group: &Group| group.cells.iter().map(|cell| end(&cell.capacity.capacity_ah)).sum();
    plan.pack.groups.iter().map(sum)
}

fn emptying(plan: &Plan) -> Option<Emptying> {
    let series = plan.pack.groups.len() as f64;
    let weakest_ah = charges(plan, |ah| ah.low).fold(f64::MAX, f64::min);
    let largest_ah = charges(plan, |ah| ah.high).fold(0.0, f64::max);
    let full_v = plan.pack.full_v * series;
    let least_ohm = full_v / (EMPTYING_C * weakest_ah);
    let resistor_ohm = preferred(Series::E12, least_ohm, 10.0 * least_ohm).first().copied()?;
    let longest_s = 3600.0 * largest_ah * resistor_ohm / (plan.pack.floor_v * series);
    Some(Emptying { resistor_ohm, rating_w: 2.0 * full_v * full_v / resistor_ohm, longest_s })
}

fn empty(plan: &Plan, list: &mut List) {
    let floor = || Filling::number(plan.pack.floor_v, "v");
    if has_fuse(plan) {
        list.practice("apart_fuse", FUSE, "");
    }
    if let Some(Emptying { resistor_ohm, rating_w, longest_s }) = emptying(plan) {
        let words = EMPTY.with([
            Filling::number(resistor_ohm, "ohm"),
            Filling::up(rating_w, "w"),
            if has_board(plan) { AT_BOARD.into() } else { AT_PLUG.into() },
            floor(),
            clock(longest_s, Rounding::Up).into(),
        ]);
        list.step("apart_empty", words, EMPTY_HAZARD, CIRCUIT_LAW);
    } else {
        list.practice("apart_empty_load", EMPTY_LOAD.with([floor()]), "");
    }
    list.practice("apart_measure", MEASURE.with([floor()]), MEASURE_HAZARD);
}

fn cut(plan: &Plan, list: &mut List) {
    if has_fuse(plan) {
        list.practice("apart_fuse_out", FUSE_OUT, FUSE_OUT_HAZARD);
    }
    if has_board(plan) {
        list.practice("apart_board", BOARD, BOARD_HAZARD);
    }
    if plan.pack.groups.len() > 1 {
        list.practice("apart_series", SERIES, SERIES_HAZARD);
    }
    list.practice("apart_cells", CELLS, CELLS_HAZARD);
}
