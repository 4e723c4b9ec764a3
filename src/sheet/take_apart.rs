//! How a pack is emptied and taken apart, with its hazards.
//!
//! ```text
//! emptying resistor ≥ full_v · series / (0.1 · capacity_ah of the weakest group)
//! heat ≤ (full_v · series)² / resistor,   time ≤ largest capacity_ah · resistor / (floor_v · series)
//! ```
//!
//! The next larger preferred value is named, with twice the heat as its rating. A tenth of the capacity an hour is common
//! practice, no source, as are most steps; each says so.

use super::basis::{shown, shown_down, shown_up};
use super::build_steps::{BuildStep, List};
use crate::data::diary::EMPTYING_C;
use crate::data::series::Series;
use crate::data::transport::{DISPOSAL, HOT_CELL_OUTDOORS_S};
use crate::data::{CIRCUIT_LAW, COMMON_PRACTICE};
use crate::part::choice::preferred;
use crate::plan::{FuseChoice, Plan, Protection};
use crate::quantity::text::{Rounding, clock};
use alloc::format;
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
        list.step(
            "apart_hurt",
            "A group was found too low or too high: do not charge it, do not empty it over a resistor, do not cut at it. Tape \
             the pack's ends, put it into a metal box with dry sand, outdoors, and bring it whole to a collection point that \
             takes damaged lithium batteries; ask there first how they want it.",
            "A damaged cell may catch fire hours later.",
            DISPOSAL,
        );
    } else {
        unplug(plan, &mut list);
        empty(plan, &mut list);
        cut(plan, &mut list);
    }
    after(&mut list);
    list.0
}

fn look(list: &mut List) {
    let hours = clock(HOT_CELL_OUTDOORS_S, Rounding::Up);
    let words = format!(
        "Look and smell before you touch it. Swollen, hot, hissing, wet, or smelling of solvent: carry nothing through the \
         house. Outdoors, on stone, away from everything that burns, at least {hours}; then hand it in whole. The steps after \
         this one are for a pack that is sound from outside."
    );
    list.step("apart_look", words, "Gas and flame come without warning; the smoke is poisonous.", DISPOSAL);
    list.practice(
        "apart_place",
        "A bare table that neither burns nor conducts, outdoors or at an open door. Goggles, no rings, no watch, tools with \
         insulated handles, a bucket of dry sand. Somebody within call.",
        "A slipped tool shorts a group; it welds itself on and glows.",
    );
}

fn unplug(plan: &Plan, list: &mut List) {
    list.practice("apart_unplug", "Unplug charger and loads. Switch off and wait a minute for capacitors.", "");
    if plan.fuse.as_ref().and_then(FuseChoice::fitted).is_some() {
        list.practice(
            "apart_fuse",
            "Leave the fuse in for the emptying below; take it out before anything is cut.",
            "",
        );
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
    let floor = shown(plan.pack.floor_v, "v");
    let board = plan.protection.as_ref().and_then(Protection::board).is_some();
    let guard = if board {
        "through the board's load terminals"
    } else {
        "at the load plug; there is no board, so measure every group every quarter of an hour"
    };
    let Some(Emptying { resistor_ohm, rating_w, longest_s }) = emptying(plan) else {
        list.practice(
            "apart_empty_load",
            format!("Run its load until the first group reads {floor}, with you beside it."),
            "",
        );
        return;
    };
    let words = format!(
        "Empty it over {} or more, rated for {} or more, {guard}: stop as soon as the first group reads {floor}. It takes up to \
         {}; stay beside it, or stop and go on later.",
        shown_down(resistor_ohm, "ohm"),
        shown_up(rating_w, "w"),
        clock(longest_s, Rounding::Up)
    );
    let hazard = "The resistor gets too hot to touch: lay it on a tile. Never empty a pack in salt water: it gasses, and the cells \
                  stay charged inside.";
    list.step("apart_empty", words, hazard, CIRCUIT_LAW);
    list.practice(
        "apart_measure",
        format!("Measure every group and write it into the diary. What still reads above {floor} holds charge: treat it as live."),
        "An emptied cell recovers and still drives a large current into a short.",
    );
}

fn cut(plan: &Plan, list: &mut List) {
    if plan.fuse.as_ref().and_then(FuseChoice::fitted).is_some() {
        list.practice(
            "apart_fuse_out",
            "Fuse out. Cap the lead before it.",
            "What lies before the fuse is protected by nothing.",
        );
    }
    if plan.protection.as_ref().and_then(Protection::board).is_some() {
        list.practice(
            "apart_board",
            "Take the board off the other way round than it came on: B+ first, then the balance plug, B− last. Cover each end at \
             once.",
            "A loose balance lead is live and has only its own small fuse, if any.",
        );
    }
    if plan.pack.groups.len() > 1 {
        list.practice(
            "apart_series",
            "Cut the strips between the groups first, from the middle, so that each cut halves the voltage. One strip at a time, \
             with nippers whose jaws fit between the cells; cover both ends before the next cut.",
            "Jaws that reach a second strip close a circuit through the tool.",
        );
    }
    list.practice(
        "apart_cells",
        "Cut the strips between the cells of a group; leave a stub on each end. Do not twist or tear strips off the positive \
         end, and file nothing.",
        "Tearing opens the can or the seal under the tip.",
    );
}

fn after(list: &mut List) {
    list.step(
        "apart_tape",
        "Tape both ends of each cell the moment it is loose, and put each into a bag of its own.",
        "Two bare ends and one strip of foil are a fire in the bin.",
        DISPOSAL,
    );
    list.practice(
        "apart_keep",
        "What you want to use again starts from nothing: let it rest a week, look at it, measure it and screen it like any found \
         cell. Nothing of a group that was retired goes into another pack.",
        "",
    );
    list.step(
        "apart_hand_in",
        String::from(
            "Bring the rest to a collection point for batteries, ends taped: never household waste, never the metal bin, \
             never by post. Local rules say where, and what they want of damaged ones; they come before this list.",
        ),
        "",
        DISPOSAL,
    );
    list.step("apart_note", "Write on the tag and into the diary that this pack is no more.", "", COMMON_PRACTICE);
}
