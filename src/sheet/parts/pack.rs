//! Cells, strips, balance leads, protection board, jack and charger.

use super::{PartKind, PartNeed, PartRow, counted};
use crate::data::charger::LI_ION_UPPER_SOURCE;
use crate::data::chemistry::LI_ION_SHEET;
use crate::data::conductor::Metal;
use crate::data::{COMMON_PRACTICE, DERIVED};
use crate::part::wire::{Conductor, Cooling, Run, Way};
use crate::plan::{Board, Origin, Protection};
use crate::quantity::{End, Interval};
use crate::sheet::basis::{Basis, shown, shown_down, shown_up};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// A strip on a cell may be warmed this much by its own loss, in kelvin: it hands its heat to the cell. Common practice,
/// no source.
const STRIP_RISE_K: f64 = 15.0;

/// The usual strip between cells, width and thickness in metres. Common practice, no source.
const STRIP_M: [f64; 2] = [8e-3, 0.15e-3];

pub(super) fn parts(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    cells(basis, parts);
    let count = basis.plan.pack.groups.iter().map(|group| group.cells.len()).sum::<usize>();
    let ring = "The can is the negative end and comes up to the shoulder, a millimetre from the positive tip: the ring \
                keeps tab and solder off it.";
    parts.push(
        PartRow::new("Z1", PartKind::InsulatingRing, "insulating ring over the positive end", ring)
            .times(count)
            .asked(),
    );
    strips(basis, parts);
    match basis.plan.protection.as_ref() {
        Some(Protection::Board(board)) => {
            sense_leads(basis, parts);
            parts.push(board_row(basis, board));
        }
        _ if basis.lithium && basis.plan.pack.groups.len() > 1 => {
            sense_leads(basis, parts);
            let why =
                "Nothing in the plan watches each group: the fullest group is overcharged while the sum looks right.";
            let row = PartRow::new("PB1", PartKind::Board, "protection board with a lead to every group", why).asked();
            parts.push(row.needing(board_needs(basis)));
        }
        _ => {}
    }
    charging(basis, parts);
}

fn cells(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let runtime = &basis.report.runtime;
    let salvaged = if basis.plan.origin == Origin::Salvaged { "salvaged " } else { "" };
    let (one, many) = (format!("{salvaged}cell"), format!("{salvaged}cells"));
    for (g, group) in basis.plan.pack.groups.iter().enumerate() {
        let names: Vec<&str> = group.cells.iter().map(|cell| cell.name.as_str()).collect();
        let runs = [&runtime.least, &runtime.likely, &runtime.most];
        let in_group = runs.iter().filter_map(|run| run.groups.get(g)).flat_map(|group| &group.cells);
        let peak_a = in_group.map(|cell| cell.peak_a).fold(0.0, f64::max);
        let words = format!("{} of group {}: {}", counted(names.len(), &one, &many), g + 1, names.join(", "));
        let why = format!(
            "Group {} from the negative end. A cell of it gives up to {} in the worst corner of the run.",
            g + 1,
            shown_up(peak_a, "a")
        );
        let need = PartNeed::least("discharge_a", "discharge current of each cell", peak_a, "a");
        let row = PartRow::new(format!("G{}", g + 1), PartKind::Cells, words, why);
        parts.push(row.times(names.len()).needing([need]).citing(DERIVED));
    }
}

/// Layers of the usual strip that keep its rise, for a metal.
fn layers(basis: &Basis<'_>, metal: Metal) -> Option<u32> {
    let ambient_degc = basis.plan.ambient_degc.high;
    let cool = |layers: &u32| {
        let [width_m, thickness_m] = STRIP_M;
        let strip = Conductor::Strip { width_m, thickness_m, layers: *layers };
        let run = Run {
            metal: Some(metal),
            way: Some(Way::OneWay),
            ..Run::new(String::new(), 0.05, strip, Interval::exact(0.0), 105.0)
        };
        let answer = run.answer(basis.lasting_a, basis.peak_a, ambient_degc, End::High, &Cooling::CLOSE);
        answer.is_ok_and(|answer| answer.conductor_degc - ambient_degc <= STRIP_RISE_K)
    };
    (1..=6).find(cool)
}

fn strips(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let series = basis.plan.pack.groups.len();
    let laid = |metal: Metal| match layers(basis, metal) {
        Some(layers) => format!("{} of {}", counted(layers as usize, "layer", "layers"), metal.row().name),
        None => format!("more than 6 layers of {}: take copper", metal.row().name),
    };
    let words = format!(
        "strip between groups and at both ends; 8 mm × 0.15 mm strip needs {} or {}",
        laid(Metal::Nickel),
        laid(Metal::NickelPlatedSteel)
    );
    let why = format!(
        "Carries the whole {} of the pack; warmed by no more than 15 K over {}, as it heats the cells. Tell nickel from \
         plated steel before you weld.",
        shown_up(basis.lasting_a, "a"),
        shown(basis.plan.ambient_degc.high, "degc")
    );
    let need = PartNeed::least("current_a", "continuous current", basis.lasting_a, "a");
    let row = PartRow::new("L1", PartKind::Strip, words, why).times(series + 1).asked();
    parts.push(row.needing([need]).citing(COMMON_PRACTICE));
}

fn sense_leads(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let words = "balance lead from a group's positive end to the board, thin, each with a small fuse or fusible resistor at \
                 the cell, or as short as can be";
    let why = format!(
        "A thin wire on the full fault current of the pack, up to {}: the main fuse does not protect it, and the \
         one at the pack's plus feeds the board round an open main fuse.",
        shown_up(basis.report.pack.short_circuit_a, "a")
    );
    parts.push(PartRow::new("WT", PartKind::SenseLead, words, why).times(basis.plan.pack.groups.len()).asked());
}

fn board_needs(basis: &Basis<'_>) -> Vec<PartNeed> {
    let trip = match basis.surge_a {
        Some(_) => PartNeed::least("trip_a", "trips above the load's surge of", basis.highest_a(), "a"),
        None => PartNeed::open("trip_a", "trip current", "surge_a of every load"),
    };
    let need = basis.report.protection.as_ref().map(|answer| &answer.need);
    let over_v = need.map_or(basis.upper_v, |need| need.over_charge_to_v.min(basis.upper_v));
    let under_v = need.map_or(basis.floor_v, |need| need.over_discharge_from_v);
    let mut needs = alloc::vec![
        PartNeed::most("over_voltage_v", "ends charging at a group voltage of", over_v, "v"),
        PartNeed::least("cut_off_v", "ends discharging at a group voltage of", under_v, "v"),
        PartNeed::least("continuous_a", "continuous current", basis.lasting_a, "a"),
        trip,
    ];
    if let Some(short_a) = need.and_then(|need| need.short_below_a) {
        needs.push(PartNeed::most("short_circuit_a", "sees a short circuit from", short_a, "a"));
    }
    needs
}

fn board_row(basis: &Basis<'_>, board: &Board) -> PartRow {
    let series = basis.plan.pack.groups.len();
    let balances = match board.balances {
        Some(true) => "balances",
        Some(false) => "does not balance",
        None => "balancing not stated",
    };
    let said = |name: &str, value: Option<f64>, unit: &str| match value {
        Some(value) => format!(", {name} {}", shown(value, unit)),
        None => format!(", {name} not stated"),
    };
    let words = format!(
        "protection board for {series} in series{}{}{}, {balances}",
        said("ends charging at", board.over_voltage_v, "v"),
        said("ends discharging at", board.cut_off_v, "v"),
        said("carries", board.continuous_a, "a")
    );
    let why = "Watches every group and parts the pack from charger and load. The jack goes to its charge terminals, never \
               straight to the cells.";
    PartRow::new("PB1", PartKind::Board, words, why).needing(board_needs(basis)).citing(LI_ION_UPPER_SOURCE)
}

fn charging(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let limit = &basis.report.charge;
    let series = basis.plan.pack.groups.len();
    let why = format!(
        "{series} groups × the least of the plan's and the cells' highest voltage; current of the weakest group. A supply of \
         constant voltage is not a charger.",
    );
    let needs = [
        limit.voltage_v.map_or_else(
            || PartNeed::open("voltage_v", "voltage", "what the cells are"),
            |voltage_v| PartNeed::most("voltage_v", "voltage", voltage_v, "v"),
        ),
        limit.current_a.map_or_else(
            || PartNeed::open("current_a", "current", "what the cells are"),
            |current_a| PartNeed::most("current_a", "current", current_a, "a"),
        ),
    ];
    let (words, in_plan) = match basis.charger() {
        Ok(charger) => {
            let words = format!(
                "charger for {} in series: {}, {}, ends by itself",
                series,
                shown_down(charger.supply_v, "v"),
                shown_down(charger.supply_a, "a")
            );
            (words, true)
        }
        Err(reason) => (format!("charger: {reason}"), false),
    };
    let mut row = PartRow::new("XC", PartKind::Charger, words, why).needing(needs).citing(LI_ION_SHEET);
    row.in_plan = in_plan;
    parts.push(row);
    let given_a = basis.plan.charging.as_ref().map_or(0.0, |charging| charging.supply_a);
    let charge_a = given_a.max(limit.current_a.unwrap_or(0.0));
    jack(basis, charge_a, parts);
}

fn jack(basis: &Basis<'_>, charge_a: f64, parts: &mut Vec<PartRow>) {
    let why = format!(
        "Takes the charger's {}. Its plus is the inner contact; no bare contact may be live. Take one that no other supply \
         in the house fits: a 19 V laptop supply would.",
        shown_up(charge_a, "a")
    );
    let needs = [
        PartNeed::least("current_a", "current rating", charge_a, "a"),
        PartNeed::least("voltage_v", "DC voltage rating", basis.full_v(), "v"),
    ];
    let rated_a = basis.plan.charging.as_ref().and_then(|charging| charging.connector_a);
    let words = rated_a.map_or_else(String::new, |rated_a| format!(", {}", shown(rated_a, "a")));
    let row = PartRow::new("J1", PartKind::ChargeJack, format!("charge jack with its plug{words}"), why).needing(needs);
    parts.push(PartRow { in_plan: rated_a.is_some(), ..row });
}
