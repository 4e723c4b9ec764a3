//! The rules about cells, groups, the pack and what it runs.

use super::{above, under};
use crate::data::other_cells::NVPF_LIMITS;
use crate::finding::pack::far_resistances;
use crate::finding::{Finding, Subject, names, pack as rules};
use crate::pack::Group;
use crate::part::cell::{CellCircuit, Chemistry};
use crate::part::timing::Outcome;
use crate::plan::inputs::Origin;
use crate::plan::packed::ten_seconds_ohm;
use crate::plan::report::TimerReport;
use crate::plan::review::Facts;
use crate::quantity::said::Filling;
use crate::run::discharge::{CellExtremes, Extremes, TrustLimit};
use alloc::format;
use alloc::vec::Vec;

/// Rest voltages of cells in series may lie this far apart, in volts. Common practice, no source.
const UNEQUAL_V: f64 = 0.05;

/// No lithium chemistry is given up above this voltage.
const GIVEN_UP_MOST_V: f64 = 2.0;

pub(super) fn judge(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    load_rules(facts, found);
    cell_rules(facts, found);
    group_rules(facts, found);
    pack_rules(facts, found);
    if let Some(timer) = &facts.timer {
        timer_rules(facts, timer, found);
    }
}

fn load_rules(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let worst_end_v = facts.extremes.iter().map(|run| run.end_load_v).fold(f64::MAX, f64::min);
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
        if load.measured != Some(true) && !(load.chopped && facts.is_driven()) {
            found.push(rules::LABEL_ONLY.broken(&subject, None, None));
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

fn cell_runs<'a>(facts: &'a Facts<'_>, g: usize, c: usize) -> impl Iterator<Item = &'a CellExtremes> {
    facts.extremes.iter().filter_map(move |run| run.groups.get(g)?.get(c))
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
    in_runs.max(share * facts.most(|run| run.peak_a))
}

/// Highest current at the moment the cells of a group are tied, at the lowest credible resistances.
pub(in crate::plan) fn join_a(group: Option<&Group>, cells: &[CellCircuit]) -> Option<f64> {
    let group = group?;
    let rest_v: Vec<f64> = group.cells.iter().map(|cell| cell.rest_v).collect::<Option<_>>()?;
    let siemens: Vec<f64> = cells.iter().map(|cell| 1.0 / cell.pulse_ohm(0.5, cell.capacity_ah, 0.01)).collect();
    let total: f64 = siemens.iter().sum();
    let common_v = rest_v.iter().zip(&siemens).map(|(v, s)| v * s).sum::<f64>() / total;
    Some(rest_v.iter().zip(&siemens).map(|(v, s)| libm::fabs(v - common_v) * s).fold(0.0, f64::max))
}

fn group_rules(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let pack = &facts.plan.pack;
    for (g, group) in pack.groups.iter().enumerate().filter(|(_, group)| group.cells.len() > 1) {
        let subject = Subject::new(format!("/pack/groups/{g}"), names::GROUP.with([Filling::count(g + 1)]));
        let limit_a =
            group.cells.iter().map(|cell| super::charge_limit_a(&facts.chemistries, cell)).fold(f64::MAX, f64::min);
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

/// One finding for all cells of which nobody has measured what they hold.
fn unmeasured(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let cells = facts.plan.pack.groups.iter().flat_map(|group| &group.cells);
    let names: Vec<&str> = cells.filter(|cell| cell.measured == Some(false)).map(|cell| cell.name.as_str()).collect();
    if !names.is_empty() {
        let subject = Subject::new("/pack", names.join(", "));
        found.push(rules::CELLS_UNMEASURED.not_judged(&subject, "capacity and resistance of every cell, measured"));
    }
}

/// Cells whose resistance stands out of the pack.
fn resistances(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let [_, likely, _] = &facts.cells;
    let circuits = likely.iter().flatten().map(|circuit| (ten_seconds_ohm(circuit), circuit.capacity_ah));
    let (far, most_ohm) = far_resistances(&circuits.collect::<Vec<_>>());
    let groups = facts.plan.pack.groups.iter().enumerate();
    let cells: Vec<_> =
        groups.flat_map(|(g, group)| group.cells.iter().enumerate().map(move |cell| (g, cell))).collect();
    for (i, ohm) in far {
        let Some((g, (c, cell))) = cells.get(i) else { continue };
        let subject = Subject::new(format!("/pack/groups/{g}/cells/{c}"), cell.name.as_str());
        found.push(rules::RESISTANCE_FAR.broken(&subject, Some(ohm), Some(most_ohm)));
    }
}

fn pack_rules(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let plan = facts.plan;
    unmeasured(facts, found);
    resistances(facts, found);
    let subject = Subject::new("/pack", "the pack");
    let chemistries: Vec<&Chemistry> =
        plan.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry).collect();
    if chemistries.contains(&&Chemistry::Nvpf) {
        found.push(rules::SODIUM_KIND.broken(&subject, None, Some(NVPF_LIMITS.charge_v)));
    }
    if chemistries.windows(2).any(|pair| matches!(pair, [a, b] if a != b)) {
        found.push(rules::MIXED_CHEMISTRY.broken(&subject, None, None));
    }
    let limits = chemistries.iter().filter_map(|chemistry| facts.chemistries.limits(chemistry).ok());
    let (top_v, floor_v) =
        limits.fold((f64::MAX, 0.0), |(top, floor), l| (f64::min(top, l.charge_v), f64::max(floor, l.floor_v)));
    above(found, &rules::FULL_TOO_HIGH, &subject, plan.pack.full_v, top_v);
    under(found, &rules::FLOOR_TOO_LOW, &subject, plan.pack.floor_v, floor_v);
    let first_s = |of: fn(&Extremes) -> Option<f64>| facts.extremes.iter().filter_map(of).fold(f64::MAX, f64::min);
    let trusted_s = first_s(|run| run.trusted_until_s.filter(|_| run.trust_limit != Some(TrustLimit::FlatEnd)));
    if trusted_s < f64::MAX {
        found.push(rules::BEYOND_MODEL.broken(&Subject::whole(), Some(trusted_s), None));
    }
    let flat_s = first_s(|run| run.flat_from_s);
    if flat_s < f64::MAX {
        found.push(rules::FLAT_END.broken(&Subject::whole(), Some(flat_s), None));
    }
    if let Some(wanted_s) = plan.wanted_runtime_s {
        let subject = Subject::new("/wanted_runtime_s", "the pack");
        under(found, &rules::RUNTIME_SHORT, &subject, facts.runtime.runtime_s.low, wanted_s);
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

/// Lowest voltage at which a cell of a group was found, as far as the plan tells: new cells come as the factory sends
/// them, salvaged ones as they were measured.
pub(super) fn found_v(facts: &Facts<'_>, group: &Group) -> Option<f64> {
    let nominal_v = |cell: &crate::part::cell::Cell| {
        let is_new = facts.plan.origin == Origin::New;
        facts.chemistries.limits(&cell.chemistry).ok().filter(|_| is_new).map(|limits| limits.nominal_v)
    };
    let known: Vec<f64> = group.cells.iter().filter_map(|cell| cell.rest_v.or_else(|| nominal_v(cell))).collect();
    let least_v = known.iter().copied().reduce(f64::min)?;
    // One that is known to be low tells enough; one that is not known may be lower.
    (known.len() == group.cells.len() || least_v < GIVEN_UP_MOST_V).then_some(least_v)
}
