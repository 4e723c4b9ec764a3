//! Cells, strips, balance leads, protection board, jack and charger.

use super::{CONTINUOUS, CURRENT_RATING, DC_VOLTAGE, PartKind, PartNeed, PartRow, WITH, counted};
use crate::data::charger::LI_ION_UPPER_SOURCE;
use crate::data::chemistry::LI_ION_SHEET;
use crate::data::conductor::Metal;
use crate::data::{COMMON_PRACTICE, DERIVED};
use crate::part::wire::{Conductor, Cooling, Run, Way};
use crate::plan::{Board, Origin, Protection};
use crate::quantity::said::{Filling, Phrase, Wording, wordings};
use crate::quantity::{End, Interval};
use crate::sheet::basis::Basis;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// A strip on a cell may be warmed this much by its own loss, in kelvin: it hands its heat to the cell. Common practice,
/// no source.
const STRIP_RISE_K: f64 = 15.0;

/// The usual strip between cells, width and thickness in metres. Common practice, no source.
const STRIP_M: [f64; 2] = [8e-3, 0.15e-3];

wordings! {
    RING: "part_ring", "insulating ring over the positive end";
    RING_WHY: "part_ring_why", "The can is the negative end and comes up to the shoulder, a millimetre from the positive tip: the \
        ring keeps tab and solder off it.";
    BOARD_WANTED: "part_board_wanted", "protection board with a lead to every group";
    BOARD_WANTED_WHY: "part_board_wanted_why",
        "Nothing in the plan watches each group: the fullest group is overcharged while the sum looks right.";
    CELL: "cell_one", "one cell";
    CELLS: "cell_many", "{0} cells";
    SALVAGED_CELL: "salvaged_one", "one salvaged cell";
    SALVAGED_CELLS: "salvaged_many", "{0} salvaged cells";
    GROUP: "part_group", "{0} of group {1}: {2}";
    GROUP_WHY: "part_group_why",
        "Group {0} from the negative end. A cell of it gives up to {1} in the worst corner of the run.";
    CELL_CURRENT: "need_cell_current", "discharge current of each cell";
    LAYER: "layer_one", "one layer";
    LAYERS: "layer_many", "{0} layers";
    LAYERS_OF: "layers_of", "{0} of {1}";
    LAYERS_TOO_MANY: "layers_too_many", "more than 6 layers of {0}: take copper";
    NICKEL: "nickel", "nickel";
    STEEL: "nickel_plated_steel", "nickel-plated steel";
    STRIP: "part_strip", "strip between groups and at both ends; 8 mm × 0.15 mm strip needs {0} or {1}";
    STRIP_WHY: "part_strip_why", "Carries the whole {0} of the pack; warmed by no more than 15 K over {1}, as it heats the cells. \
        Tell nickel from plated steel before you weld.";
    SENSE: "part_sense", "balance lead from a group's positive end to the board, thin, each with a small fuse or fusible \
        resistor at the cell, or as short as can be";
    SENSE_WHY: "part_sense_why", "A thin wire on the full fault current of the pack, up to {0}: the main fuse does not protect it, \
        and the one at the pack's plus feeds the board round an open main fuse.";
    TRIPS: "need_trips_above", "trips above the load's surge of";
    TRIP: "need_trip", "trip current";
    SURGES: "needs_surges", "surge_a of every load";
    ENDS_CHARGING: "need_ends_charging", "ends charging at a group voltage of";
    ENDS_DISCHARGING: "need_ends_discharging", "ends discharging at a group voltage of";
    SEES_SHORT: "need_sees_short", "sees a short circuit from";
    BOARD: "part_board", "protection board for {0} in series, {1}, {2}, {3}, {4}";
    BOARD_WHY: "part_board_why", "Watches every group and parts the pack from charger and load. The jack goes to its charge \
        terminals, never straight to the cells.";
    BALANCES: "board_balances", "balances";
    BALANCES_NOT: "board_balances_not", "does not balance";
    BALANCES_OPEN: "board_balances_open", "balancing not stated";
    SAID_OF: "board_states", "{0} {1}";
    NOT_STATED: "board_states_not", "{0} not stated";
    ENDS_CHARGE: "board_ends_charging", "ends charging at";
    ENDS_DISCHARGE: "board_ends_discharging", "ends discharging at";
    CARRIES: "board_carries", "carries";
    CHARGER: "part_charger", "charger for {0} in series: {1}, {2}, ends by itself";
    CHARGER_NOT: "part_charger_not", "charger: {0}";
    CHARGER_WHY: "part_charger_why", "{0} groups × the least of the plan's and the cells' highest voltage; current of the weakest \
        group. A supply of constant voltage is not a charger.";
    VOLTAGE: "need_plain_voltage", "voltage";
    CURRENT: "need_plain_current", "current";
    WHAT_CELLS: "needs_what_cells", "what the cells are";
    JACK: "part_jack", "charge jack with its plug";
    JACK_WHY: "part_jack_why", "Takes the charger's {0}. Its plus is the inner contact; no bare contact may be live. Take one that \
        no other supply in the house fits: a 19 V laptop supply would.";
}

pub(super) fn parts(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    cells(basis, parts);
    let count = basis.plan.pack.groups.iter().map(|group| group.cells.len()).sum::<usize>();
    parts.push(PartRow::new("Z1", PartKind::InsulatingRing, RING, RING_WHY).times(count).asked());
    strips(basis, parts);
    match basis.plan.protection.as_ref() {
        Some(Protection::Board(board)) => {
            sense_leads(basis, parts);
            parts.push(board_row(basis, board));
        }
        _ if basis.lithium && basis.plan.pack.groups.len() > 1 => {
            sense_leads(basis, parts);
            let row = PartRow::new("PB1", PartKind::Board, BOARD_WANTED, BOARD_WANTED_WHY).asked();
            parts.push(row.needing(board_needs(basis)));
        }
        _ => {}
    }
    charging(basis, parts);
}

fn cells(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let runtime = &basis.report.runtime;
    let salvaged = basis.plan.origin == Origin::Salvaged;
    let (one, many) = if salvaged { (SALVAGED_CELL, SALVAGED_CELLS) } else { (CELL, CELLS) };
    for (g, group) in basis.plan.pack.groups.iter().enumerate() {
        let names: Vec<&str> = group.cells.iter().map(|cell| cell.name.as_str()).collect();
        let runs = [&runtime.least, &runtime.likely, &runtime.most];
        let in_group = runs.iter().filter_map(|run| run.groups.get(g)).flat_map(|group| &group.cells);
        let peak_a = in_group.map(|cell| cell.peak_a).fold(0.0, f64::max);
        let held = counted(names.len(), &one, &many).into();
        let words = GROUP.with([held, Filling::count(g + 1), names.join(", ").into()]);
        let why = GROUP_WHY.with([Filling::count(g + 1), Filling::up(peak_a, "a")]);
        let need = PartNeed::least("discharge_a", CELL_CURRENT, peak_a, "a");
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
    let laid = |metal: Metal, name: Wording| match layers(basis, metal) {
        Some(layers) => LAYERS_OF.with([counted(layers as usize, &LAYER, &LAYERS).into(), name.into()]),
        None => LAYERS_TOO_MANY.with([name.into()]),
    };
    let (nickel, steel) = (laid(Metal::Nickel, NICKEL), laid(Metal::NickelPlatedSteel, STEEL));
    let words = STRIP.with([nickel.into(), steel.into()]);
    let ambient_degc = basis.plan.ambient_degc.high;
    let why = STRIP_WHY.with([Filling::up(basis.lasting_a, "a"), Filling::number(ambient_degc, "degc")]);
    let need = PartNeed::least("current_a", CONTINUOUS, basis.lasting_a, "a");
    let row = PartRow::new("L1", PartKind::Strip, words, why).times(series + 1).asked();
    parts.push(row.needing([need]).citing(COMMON_PRACTICE));
}

fn sense_leads(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let why = SENSE_WHY.with([Filling::up(basis.report.pack.short_circuit_a, "a")]);
    parts.push(PartRow::new("WT", PartKind::SenseLead, SENSE, why).times(basis.plan.pack.groups.len()).asked());
}

fn board_needs(basis: &Basis<'_>) -> Vec<PartNeed> {
    let trip = match basis.surge_a {
        Some(_) => PartNeed::least("trip_a", TRIPS, basis.highest_a(), "a"),
        None => PartNeed::open("trip_a", TRIP, SURGES),
    };
    let need = basis.report.protection.as_ref().map(|answer| &answer.need);
    let over_v = need.map_or(basis.upper_v, |need| need.over_charge_to_v.min(basis.upper_v));
    let under_v = need.map_or(basis.floor_v, |need| need.over_discharge_from_v);
    let mut needs = alloc::vec![
        PartNeed::most("over_voltage_v", ENDS_CHARGING, over_v, "v"),
        PartNeed::least("cut_off_v", ENDS_DISCHARGING, under_v, "v"),
        PartNeed::least("continuous_a", CONTINUOUS, basis.lasting_a, "a"),
        trip,
    ];
    if let Some(short_a) = need.and_then(|need| need.short_below_a) {
        needs.push(PartNeed::most("short_circuit_a", SEES_SHORT, short_a, "a"));
    }
    needs
}

fn board_row(basis: &Basis<'_>, board: &Board) -> PartRow {
    let series = basis.plan.pack.groups.len();
    let balances = match board.balances {
        Some(true) => BALANCES,
        Some(false) => BALANCES_NOT,
        None => BALANCES_OPEN,
    };
    let said = |name: Wording, value: Option<f64>, unit: &'static str| match value {
        Some(value) => SAID_OF.with([name.into(), Filling::number(value, unit)]).into(),
        None => NOT_STATED.with([name.into()]).into(),
    };
    let words = BOARD.with([
        Filling::count(series),
        said(ENDS_CHARGE, board.over_voltage_v, "v"),
        said(ENDS_DISCHARGE, board.cut_off_v, "v"),
        said(CARRIES, board.continuous_a, "a"),
        balances.into(),
    ]);
    PartRow::new("PB1", PartKind::Board, words, BOARD_WHY).needing(board_needs(basis)).citing(LI_ION_UPPER_SOURCE)
}

fn charging(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let limit = &basis.report.charge;
    let series = basis.plan.pack.groups.len();
    let why = CHARGER_WHY.with([Filling::count(series)]);
    let needs = [
        limit.voltage_v.map_or_else(
            || PartNeed::open("voltage_v", VOLTAGE, WHAT_CELLS),
            |voltage_v| PartNeed::most("voltage_v", VOLTAGE, voltage_v, "v"),
        ),
        limit.current_a.map_or_else(
            || PartNeed::open("current_a", CURRENT, WHAT_CELLS),
            |current_a| PartNeed::most("current_a", CURRENT, current_a, "a"),
        ),
    ];
    let (words, in_plan) = match basis.charger() {
        Ok(charger) => {
            let (v, a) = (Filling::down(charger.supply_v, "v"), Filling::down(charger.supply_a, "a"));
            let words = CHARGER.with([Filling::count(series), v, a]);
            (words, true)
        }
        Err(reason) => (CHARGER_NOT.with([reason.into()]), false),
    };
    let mut row = PartRow::new("XC", PartKind::Charger, words, why).needing(needs).citing(LI_ION_SHEET);
    row.in_plan = in_plan;
    parts.push(row);
    let given_a = basis.plan.charging.as_ref().map_or(0.0, |charging| charging.supply_a);
    let charge_a = given_a.max(limit.current_a.unwrap_or(0.0));
    jack(basis, charge_a, parts);
}

fn jack(basis: &Basis<'_>, charge_a: f64, parts: &mut Vec<PartRow>) {
    let why = JACK_WHY.with([Filling::up(charge_a, "a")]);
    let needs = [
        PartNeed::least("current_a", CURRENT_RATING, charge_a, "a"),
        PartNeed::least("voltage_v", DC_VOLTAGE, basis.full_v(), "v"),
    ];
    let rated_a = basis.plan.charging.as_ref().and_then(|charging| charging.connector_a);
    let with = |rated_a: f64| WITH.with([JACK.into(), Filling::number(rated_a, "a")]);
    let words: Phrase = rated_a.map_or_else(|| JACK.plain(), with);
    let row = PartRow::new("J1", PartKind::ChargeJack, words, why).needing(needs);
    parts.push(PartRow { in_plan: rated_a.is_some(), ..row });
}
