//! Every rule on one plan, each at the end of its inputs that makes it worse.

use super::inputs::{FuseChoice, Origin, Protection};
use super::report::TimerReport;
use super::review::Facts;
use crate::data::other_cells::NVPF_LIMITS;
use crate::finding::charging::rules::NICKEL_VOLTAGE;
use crate::finding::{Finding, Judgement, Rule, Subject, pack as rules, wiring};
use crate::pack::Group;
use crate::part::cell::{Cell, CellCircuit, Chemistry};
use crate::part::timing::Outcome;
use crate::part::wire::Cooling;
use crate::quantity::End;
use crate::run::discharge::Discharge;
use alloc::format;
use alloc::vec::Vec;

/// Rest voltages of cells in series may lie this far apart, in volts. Common practice, no source.
const UNEQUAL_V: f64 = 0.05;

/// A UL fuse opens within two minutes at this multiple of its rating.
const OPENING_GATE: f64 = 2.0;

/// Share of a fuse's rating that it carries without end.
const FUSE_CARRIES: f64 = 0.75;

/// Every finding, the warning on salvaged cells first, then the most urgent, broken before not judged.
pub(super) fn judge(facts: &Facts<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    load_rules(facts, &mut found);
    cell_rules(facts, &mut found);
    group_rules(facts, &mut found);
    pack_rules(facts, &mut found);
    fuse_rules(facts, &mut found);
    wire_rules(facts, &mut found);
    charge_rules(facts, &mut found);
    found.sort_by_key(|finding| (finding.urgency, finding.judgement == Judgement::NotJudged));
    if facts.plan.origin == Origin::Salvaged {
        found.insert(0, rules::SALVAGED_CELLS.broken(&Subject::whole(), None, None));
    }
    found
}

/// Notes a breach where `measured` lies above `limit`.
fn above(found: &mut Vec<Finding>, rule: &Rule, subject: &Subject, measured: f64, limit: f64) {
    if measured > limit {
        found.push(rule.broken(subject, Some(measured), Some(limit)));
    }
}

/// Notes a breach where `measured` lies under `limit`.
fn under(found: &mut Vec<Finding>, rule: &Rule, subject: &Subject, measured: f64, limit: f64) {
    if measured < limit {
        found.push(rule.broken(subject, Some(measured), Some(limit)));
    }
}

fn most(facts: &Facts<'_>, of: fn(&Discharge) -> f64) -> f64 {
    facts.runs.iter().map(of).fold(0.0, f64::max)
}

fn load_rules(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let worst_end_v = facts.runs.iter().map(|run| run.end_load_v).fold(f64::MAX, f64::min);
    for (i, load) in facts.plan.loads.iter().enumerate() {
        let subject = Subject::new(format!("/loads/{i}"), load.name.clone());
        match load.works_to_v {
            Some(limit_v) => above(found, &rules::WINDOW_HIGH, &subject, facts.pack.full_v, limit_v),
            None => found.push(rules::WINDOW_HIGH.not_judged(&subject, "works_to_v")),
        }
        match load.works_from_v {
            Some(limit_v) => under(found, &rules::WINDOW_LOW, &subject, worst_end_v, limit_v),
            None => found.push(rules::WINDOW_LOW.not_judged(&subject, "works_from_v")),
        }
    }
}

fn cell_rules(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let pack = &facts.plan.pack;
    for (g, group) in pack.groups.iter().enumerate() {
        for (c, cell) in group.cells.iter().enumerate() {
            let subject = Subject::new(format!("/pack/groups/{g}/cells/{c}"), cell.name.clone());
            let Ok(limits) = facts.chemistries.limits(&cell.chemistry) else { continue };
            let practice_a = limits.discharge_c * cell.capacity.capacity_ah.low;
            let limit_a = cell.discharge_limit_a.unwrap_or(practice_a);
            above(found, &rules::CELL_CURRENT, &subject, peak_a(facts, g, c), limit_a);
            if let (Some(rest_v), Origin::Salvaged) = (cell.rest_v, facts.plan.origin) {
                under(found, &rules::FOUND_TOO_LOW, &subject, rest_v, limits.give_up_v);
            }
            let hottest = cell_runs(facts, g, c).map(|run| run.peak_degc).fold(f64::MIN, f64::max);
            above(found, &rules::USE_TEMPERATURE, &subject, hottest, limits.discharge_high_degc);
            let coldest_degc = facts.plan.ambient_degc.low;
            under(found, &rules::USE_TEMPERATURE, &subject, coldest_degc, limits.discharge_low_degc);
        }
    }
}

fn cell_runs<'a>(facts: &'a Facts<'_>, g: usize, c: usize) -> impl Iterator<Item = &'a crate::run::discharge::CellRun> {
    facts.runs.iter().filter_map(move |run| run.groups.get(g)?.cells.get(c))
}

/// Highest current of one cell: in any corner's run, or with itself at low and its neighbours at high resistance.
fn peak_a(facts: &Facts<'_>, g: usize, c: usize) -> f64 {
    let in_runs = cell_runs(facts, g, c).map(|run| run.peak_a).fold(0.0, f64::max);
    let [worst, _, best] = &facts.cells;
    let siemens = |cell: &CellCircuit| 1.0 / cell.pulse_ohm(0.5, cell.capacity_ah, 0.1);
    let own = best.get(g).and_then(|group| group.get(c)).map_or(0.0, siemens);
    let neighbours: f64 = worst
        .get(g)
        .map_or(0.0, |group| group.iter().enumerate().filter(|(i, _)| *i != c).map(|(_, cell)| siemens(cell)).sum());
    let share = if own + neighbours > 0.0 { own / (own + neighbours) } else { 1.0 };
    in_runs.max(share * most(facts, |run| run.peak_a))
}

/// Highest current at the moment the cells of a group are tied, at the lowest credible resistances.
pub(super) fn join_a(group: Option<&Group>, cells: &[CellCircuit]) -> Option<f64> {
    let group = group?;
    let rest_v: Vec<f64> = group.cells.iter().map(|cell| cell.rest_v).collect::<Option<_>>()?;
    let siemens: Vec<f64> = cells.iter().map(|cell| 1.0 / cell.pulse_ohm(0.5, cell.capacity_ah, 0.01)).collect();
    let total: f64 = siemens.iter().sum();
    let common_v = rest_v.iter().zip(&siemens).map(|(v, s)| v * s).sum::<f64>() / total;
    Some(rest_v.iter().zip(&siemens).map(|(v, s)| libm::fabs(v - common_v) * s).fold(0.0, f64::max))
}

fn charge_limit_a(facts: &Facts<'_>, cell: &Cell) -> f64 {
    let practice_c = facts.chemistries.limits(&cell.chemistry).map_or(0.5, |limits| limits.charge_c);
    cell.charge_limit_a.unwrap_or(practice_c * cell.capacity.capacity_ah.low)
}

fn group_rules(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let pack = &facts.plan.pack;
    for (g, group) in pack.groups.iter().enumerate().filter(|(_, group)| group.cells.len() > 1) {
        let subject = Subject::new(format!("/pack/groups/{g}"), format!("group {}", g + 1));
        let limit_a = group.cells.iter().map(|cell| charge_limit_a(facts, cell)).fold(f64::MAX, f64::min);
        match facts.pack.groups.get(g).and_then(|report| report.join_a) {
            Some(join_a) => above(found, &rules::JOIN_CURRENT, &subject, join_a, limit_a),
            None => found.push(rules::JOIN_CURRENT.not_judged(&subject, "rest_v of every cell")),
        }
    }
    let cells = || pack.groups.iter().flat_map(|group| &group.cells);
    let rest_v: Option<Vec<f64>> = cells().map(|cell| cell.rest_v).collect();
    if pack.groups.len() > 1 {
        let whole = Subject::new("/pack", "the pack");
        match rest_v {
            Some(rest_v) => {
                let (low, high) =
                    rest_v.iter().fold((f64::MAX, f64::MIN), |(low, high), v| (low.min(*v), high.max(*v)));
                above(found, &rules::GROUPS_UNEQUAL, &whole, high - low, UNEQUAL_V);
            }
            None => found.push(rules::GROUPS_UNEQUAL.not_judged(&whole, "rest_v of every cell")),
        }
    }
}

fn pack_rules(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let plan = facts.plan;
    let subject = Subject::new("/pack", "the pack");
    let chemistries: Vec<&Chemistry> =
        plan.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry).collect();
    if chemistries.contains(&&Chemistry::Nvpf) {
        let limit_v = NVPF_LIMITS.charge_v;
        found.push(rules::SODIUM_KIND.broken(&subject, None, Some(limit_v)));
    }
    if chemistries.windows(2).any(|pair| matches!(pair, [a, b] if a != b)) {
        found.push(rules::MIXED_CHEMISTRY.broken(&subject, None, None));
    }
    let lithium = chemistries.iter().any(|chemistry| facts.chemistries.is_lithium(chemistry));
    if lithium && plan.pack.groups.len() > 1 {
        match plan.protection {
            None => found.push(rules::SERIES_UNPROTECTED.not_judged(&subject, "protection")),
            Some(Protection::None) => found.push(rules::SERIES_UNPROTECTED.broken(&subject, None, None)),
            Some(Protection::Board(_)) => {}
        }
    }
    let limits = chemistries.iter().filter_map(|chemistry| facts.chemistries.limits(chemistry).ok());
    let (top_v, floor_v) =
        limits.fold((f64::MAX, 0.0), |(top, floor), l| (f64::min(top, l.charge_v), f64::max(floor, l.floor_v)));
    above(found, &rules::FULL_TOO_HIGH, &subject, plan.pack.full_v, top_v);
    under(found, &rules::FLOOR_TOO_LOW, &subject, plan.pack.floor_v, floor_v);
    if let Some(board) = plan.protection.as_ref().and_then(Protection::board) {
        let subject = Subject::new("/protection/board", "the board");
        match board.cut_off_v {
            Some(cut_off_v) => under(found, &rules::CUT_OFF_TOO_LOW, &subject, cut_off_v, floor_v),
            None => found.push(rules::CUT_OFF_TOO_LOW.not_judged(&subject, "cut_off_v")),
        }
        match board.continuous_a {
            Some(continuous_a) => {
                above(found, &rules::BOARD_TOO_SMALL, &subject, most(facts, |run| run.peak_rms_a), continuous_a);
            }
            None => found.push(rules::BOARD_TOO_SMALL.not_judged(&subject, "continuous_a")),
        }
    }
    let trusted_s = facts.runs.iter().filter_map(|run| run.trusted_until_s).fold(f64::MAX, f64::min);
    if trusted_s < f64::MAX {
        found.push(rules::BEYOND_MODEL.broken(&Subject::whole(), Some(trusted_s), None));
    }
    if let Some(wanted_s) = plan.wanted_runtime_s {
        let [least, _, _] = &facts.runs;
        under(found, &rules::RUNTIME_SHORT, &Subject::new("/wanted_runtime_s", "the pack"), least.runtime_s, wanted_s);
    }
    if let Some(timer) = &facts.timer {
        timer_rules(facts, timer, found);
    }
}

fn timer_rules(facts: &Facts<'_>, timer: &TimerReport, found: &mut Vec<Finding>) {
    let subject = Subject::new("/control/timer", "the timer");
    let states = [(&timer.full, facts.pack.full_v), (&timer.empty, facts.pack.floor_v)];
    for (outcome, supply_v) in states {
        if !matches!(outcome, Outcome::Runs(_)) {
            found.push(rules::TIMER_RANGE.broken(&subject, Some(supply_v), None));
        }
    }
}

fn fuse_rules(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let subject = Subject::new("/fuse", "the fuse");
    let fuse = match &facts.plan.fuse {
        None => return found.push(wiring::NO_FUSE.not_judged(&subject, "fuse")),
        Some(FuseChoice::None) => return found.push(wiring::NO_FUSE.broken(&subject, None, None)),
        Some(FuseChoice::Fitted(fuse)) => fuse,
    };
    match fuse.first_at_positive {
        None => found.push(wiring::FUSE_PLACE.not_judged(&subject, "first_at_positive")),
        Some(false) => found.push(wiring::FUSE_PLACE.broken(&subject, None, None)),
        Some(true) => {}
    }
    let carries_a = FUSE_CARRIES * fuse.rating_a;
    above(found, &wiring::FUSE_SMALL, &subject, most(facts, |run| run.peak_rms_a), carries_a);
    match fuse.breaking_a {
        Some(breaking_a) => above(found, &wiring::FUSE_BREAKING, &subject, facts.pack.short_circuit_a, breaking_a),
        None => found.push(wiring::FUSE_BREAKING.not_judged(&subject, "breaking_a")),
    }
    under(found, &wiring::FUSE_BLIND, &subject, facts.pack.weakest_fault_a, OPENING_GATE * fuse.rating_a);
    for (i, run) in facts.plan.runs.iter().enumerate() {
        let lead = Subject::new(format!("/runs/{i}"), run.name.clone());
        let hot = run.answer(fuse.rating_a, fuse.rating_a, facts.plan.ambient_degc.high, End::High, &Cooling::CLOSE);
        match hot {
            Ok(hot) => above(found, &wiring::FUSE_OVER_WIRE, &lead, hot.conductor_degc, run.insulation_degc),
            Err(_) => found.push(wiring::FUSE_OVER_WIRE.broken(&lead, None, Some(run.insulation_degc))),
        }
    }
}

fn wire_rules(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    for (i, (run, wire)) in facts.plan.runs.iter().zip(&facts.wires).enumerate() {
        let subject = Subject::new(format!("/runs/{i}"), run.name.clone());
        let Some(worst) = wire.worst else {
            found.push(wiring::WIRE_RUNAWAY.broken(&subject, None, None));
            continue;
        };
        above(found, &wiring::WIRE_HOT, &subject, worst.conductor_degc, run.insulation_degc);
        if let (Some(drop_ratio), Some(wanted_ratio)) = (wire.drop_ratio, run.wanted_drop_ratio) {
            above(found, &wiring::WIRE_DROP, &subject, drop_ratio, wanted_ratio);
        }
    }
}

fn charge_rules(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let subject = Subject::new("/charging", "charging");
    let Some(charging) = &facts.plan.charging else {
        for rule in [rules::CHARGE_TEMPERATURE, rules::CHARGE_VOLTAGE, rules::CHARGE_CURRENT, rules::SUPPLY_NOT_CHARGER]
        {
            found.push(rule.not_judged(&subject, "charging"));
        }
        return;
    };
    let nickel = facts.plan.pack.groups.iter().flat_map(|group| &group.cells).any(|c| c.chemistry == Chemistry::Nimh);
    if nickel && charging.is_charger {
        found.push(NICKEL_VOLTAGE.broken(&subject, None, None));
    }
    if let Some(limit) = &facts.charge {
        // The charge of nickel-metal hydride is not ended by a voltage: its charger may go above.
        if !nickel {
            above(found, &rules::CHARGE_VOLTAGE, &subject, charging.supply_v, limit.voltage_v + 0.005);
        }
        above(found, &rules::CHARGE_CURRENT, &subject, charging.supply_a, limit.current_a);
    }
    if !charging.is_charger {
        found.push(rules::SUPPLY_NOT_CHARGER.broken(&subject, None, None));
    }
    let cells = facts.plan.pack.groups.iter().flat_map(|group| &group.cells);
    let limits = cells.filter_map(|cell| facts.chemistries.limits(&cell.chemistry).ok());
    let (low_degc, high_degc) = limits.fold((f64::MIN, f64::MAX), |(low, high), l| {
        (f64::max(low, l.charge_low_degc), f64::min(high, l.charge_high_degc))
    });
    match charging.cell_degc {
        Some(cell_degc) => {
            under(found, &rules::CHARGE_TEMPERATURE, &subject, cell_degc.low, low_degc);
            above(found, &rules::CHARGE_TEMPERATURE, &subject, cell_degc.high, high_degc);
        }
        None => found.push(rules::CHARGE_TEMPERATURE.not_judged(&subject, "cell_degc")),
    }
}
