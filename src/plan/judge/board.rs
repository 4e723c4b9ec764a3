//! The rules about what watches each group.

use crate::finding::protection::{self, rules};
use crate::finding::{Finding, Subject};
use crate::part::fuse::opens_a;
use crate::part::protection::{FuseGates, LithiumKind, ProtectionBoard, ProtectionWish, Thresholds, Trip};
use crate::plan::inputs::{Board, Fuse, FuseChoice, Protection};
use crate::plan::review::Facts;
use crate::quantity::Interval;
use alloc::vec::Vec;

pub(super) fn judge(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let Some((wish, answer)) = &facts.protection else { return };
    if facts.plan.protection.is_none() {
        found.push(rules::MISSING.not_judged(&Subject::new("/protection", "the pack"), "protection"));
        return;
    }
    found.extend(protection::judge(wish, &answer.need, answer.board.as_ref(), "/protection"));
}

/// What the pack asks of its board; none for packs that are not of one lithium kind.
pub(in crate::plan) fn wish(facts: &Facts<'_>) -> Option<ProtectionWish> {
    let plan = facts.plan;
    let kind = match facts.family()? {
        crate::part::charger::CellFamily::LithiumIon => LithiumKind::LithiumIon,
        crate::part::charger::CellFamily::LithiumIronPhosphate => LithiumKind::LithiumIronPhosphate,
        _ => return None,
    };
    let series = u32::try_from(facts.pack.series).ok()?;
    let likely_a = facts.runtime.likely.mean_a;
    let high = facts.most(|run| run.peak_rms_a).max(likely_a);
    let surge_a = facts.surge_a().map(Interval::exact);
    let surge_s = facts.surge_s().map(Interval::exact);
    let (low, most_a) = (facts.pack.weakest_fault_a, facts.pack.short_circuit_a);
    let fault_a = (low < most_a).then_some(Interval { low, likely: low, high: most_a });
    Some(ProtectionWish {
        name: "the pack".into(),
        kind,
        series,
        capacity_ah: facts.pack.capacity_ah,
        load_a: Interval { low: facts.runtime.most.mean_a.min(likely_a), likely: likely_a, high },
        surge_a,
        surge_s,
        short_circuit_a: fault_a,
        fuse: plan.fuse.as_ref().and_then(FuseChoice::fitted).and_then(gates),
        drift_per_cycle_ratio: None,
        board: plan.protection.as_ref().and_then(Protection::board).map(board),
    })
}

/// What a fuse of a known kind carries for hours, and where it opens before long.
fn gates(fuse: &Fuse) -> Option<FuseGates> {
    Some(FuseGates { holds_a: fuse.rating_a, opens_a: opens_a(fuse.family?, fuse.rating_a)? })
}

fn board(board: &Board) -> ProtectionBoard {
    let current = |trip_a: Option<Interval>| trip_a.map(|trip_a| Trip::Current { trip_a });
    ProtectionBoard {
        name: "the board".into(),
        series: board.series,
        thresholds: Thresholds::Own {
            over_charge_v: board.over_voltage_v.map(Interval::exact),
            over_discharge_v: board.cut_off_v.map(Interval::exact),
        },
        continuous_a: board.continuous_a,
        over_current: current(board.trip_a),
        over_current_s: board.over_current_s,
        short_circuit: current(board.short_circuit_a),
        balances: board.balances,
        balance_a: board.balance_a,
        temperature_sensor: board.temperature_sensor,
    }
}
