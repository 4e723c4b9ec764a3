//! The rules about charging.

use super::pack::found_v;
use crate::finding::charging::{self, ChargingFacts, GroupCutOff, rules};
use crate::finding::{Finding, Subject};
use crate::part::cell::{Cell, Chemistries};
use crate::part::charger::{CellFamily, ChargeGroup, Charger};
use crate::part::wire::Run;
use crate::plan::inputs::{ChargingSetup, Protection};
use crate::plan::review::Facts;
use crate::quantity::Interval;
use alloc::vec::Vec;

pub(super) fn judge(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    if facts.plan.charging.is_none() {
        found.push(rules::NO_CHARGER.not_judged(&Subject::new("/charging", "charging"), "charging"));
        if facts.family() == Some(CellFamily::Unidentified) {
            found.push(rules::UNIDENTIFIED.broken(&Subject::new("/pack", "the pack"), None, None));
        }
        return;
    }
    if let Some(case) = &facts.charging {
        found.extend(charging::judge(case, "/charging"));
    }
}

/// Current that a cell may be charged with, in amperes: its sheet's, or the usual share of its low measured capacity.
pub(in crate::plan) fn limit_a(chemistries: &Chemistries, cell: &Cell) -> f64 {
    let practice_c = chemistries.limits(&cell.chemistry).map_or(0.5, |limits| limits.charge_c);
    cell.charge_limit_a.unwrap_or(practice_c * cell.capacity.capacity_ah.low)
}

/// The charger of the plan.
pub(in crate::plan) fn charger(setup: &ChargingSetup) -> Charger {
    Charger {
        name: "the charger".into(),
        kind: setup.kind,
        voltage_v: Interval::exact(setup.supply_v),
        current_a: Some(Interval::exact(setup.supply_a)),
        end_a: setup.end_a,
    }
}

/// The plan's charging as the rules look at it; none where the chemistries are mixed, which is a stop of its own.
pub(in crate::plan) fn facts(facts: &Facts<'_>, setup: &ChargingSetup) -> Option<ChargingFacts> {
    let (plan, family) = (facts.plan, facts.family()?);
    let groups = plan.pack.groups.iter().map(|group| {
        let sum = |of: fn(&Cell) -> f64| group.cells.iter().map(of).sum::<f64>();
        ChargeGroup {
            capacity_ah: Interval {
                low: sum(|cell| cell.capacity.capacity_ah.low),
                likely: sum(|cell| cell.capacity.capacity_ah.likely),
                high: sum(|cell| cell.capacity.capacity_ah.high),
            },
            charge_limit_a: Some(group.cells.iter().map(|cell| limit_a(&facts.chemistries, cell)).sum()),
            found_v: found_v(facts, group),
        }
    });
    let board = plan.protection.as_ref().map(Protection::board);
    let group_cut_off = match board {
        None => None,
        Some(None) => Some(GroupCutOff::None),
        Some(Some(board)) => board.over_voltage_v.map(|v| GroupCutOff::EachGroup { cut_off_v: Interval::exact(v) }),
    };
    // What the maker charges to may lie under what the chemistry stands; above it stands under another rule.
    let most_v = family.lithium().map_or(plan.pack.full_v, |limits| limits.charge_v);
    let asked_v = setup.printed_limit_v.unwrap_or_else(|| plan.pack.full_v.min(most_v));
    Some(ChargingFacts {
        name: plan.name.clone(),
        family,
        groups: groups.collect(),
        printed_limit_v: Some(asked_v.max(1.0)),
        charger: Some(charger(setup)),
        cell_degc: setup.cell_degc,
        terminals: setup.terminals,
        group_cut_off,
        balancing: board.and_then(|board| board.map_or(Some(false), |board| board.balances)),
        drift_per_cycle_ratio: None,
        cycles: None,
        connector_a: setup.connector_a,
        wire_a: wire_a(facts, setup),
        polarity_checked: setup.polarity_checked,
        live_bare_pin: setup.live_bare_pin,
        other_supplies: setup.other_supplies.clone(),
        diode_v: setup.diode_v,
        load_a: setup.load_a,
        closed_box: setup.closed_box,
        attended: setup.attended,
    })
}

/// Current that the thinnest of the charge leads stands, in amperes; none where none is entered or has a limit.
fn wire_a(facts: &Facts<'_>, setup: &ChargingSetup) -> Option<f64> {
    let limit_a = |run: &Run| facts.plan.lead(run, setup.supply_a, None, None).limit.map(|limit| limit.current_a);
    let limits: Option<Vec<f64>> = setup.runs.as_deref()?.iter().map(limit_a).collect();
    limits?.into_iter().reduce(f64::min)
}
