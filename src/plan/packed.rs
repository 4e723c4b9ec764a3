//! The pack as a whole, out of its cells.

use super::Plan;
use super::judge;
use super::leads::lead_ohm_until;
use super::report::{GroupReport, PackReport};
use crate::error::Error;
use crate::part::cell::{CellCircuit, Chemistries};
use crate::quantity::{End, Interval};
use alloc::vec::Vec;

/// Charge of a cell between two rest voltages, in ampere-hours.
fn charge_ah(cell: &CellCircuit, full_v: f64, floor_v: f64) -> f64 {
    cell.capacity_ah * (cell.soc_at_rest(full_v) - cell.soc_at_rest(floor_v)).max(0.0)
}

/// Resistance of a cell after ten seconds at half a C and half charge, in ohms.
pub(super) fn ten_seconds_ohm(cell: &CellCircuit) -> f64 {
    cell.pulse_ohm(0.5, 0.5 * cell.capacity_ah, 10.0)
}

fn parallel_ohm(cells: &[CellCircuit], ohm: impl Fn(&CellCircuit) -> f64) -> f64 {
    1.0 / cells.iter().map(|cell| 1.0 / ohm(cell)).sum::<f64>()
}

fn interval([low, likely, high]: [f64; 3]) -> Interval {
    Interval { low: low.min(likely), likely, high: high.max(likely) }
}

fn group_report(plan: &Plan, g: usize, cells: &[Vec<Vec<CellCircuit>>; 3]) -> GroupReport {
    let Plan { pack, .. } = plan;
    let group = |corner: &Vec<Vec<CellCircuit>>| corner.get(g).cloned().unwrap_or_default();
    let groups = [0, 1, 2].map(|corner| cells.get(corner).map(group).unwrap_or_default());
    let charges = |cells: &[CellCircuit]| -> Vec<f64> {
        cells.iter().map(|cell| charge_ah(cell, pack.full_v, pack.floor_v)).collect()
    };
    let [least, likely, most] = &groups;
    GroupReport {
        capacity_ah: interval([least, likely, most].map(|cells| charges(cells).iter().sum::<f64>())),
        cell_capacity_ah: charges(likely),
        resistance_ohm: interval([most, likely, least].map(|cells| parallel_ohm(cells, ten_seconds_ohm))),
        join_a: judge::join_a(pack.groups.get(g), most),
    }
}

pub(super) fn pack_report(
    plan: &Plan,
    chemistries: &Chemistries,
    cells: &[Vec<Vec<CellCircuit>>; 3],
) -> Result<PackReport, Vec<Error>> {
    let pack = &plan.pack;
    let series = pack.groups.len();
    let groups: Vec<GroupReport> = (0..series).map(|g| group_report(plan, g, cells)).collect();
    let least = |of: fn(&Interval) -> f64| groups.iter().map(|g| of(&g.capacity_ah)).fold(f64::MAX, f64::min);
    let capacity_ah = Interval { low: least(|i| i.low), likely: least(|i| i.likely), high: least(|i| i.high) };
    let mut nominal_v = 0.0;
    for cell in pack.groups.iter().filter_map(|group| group.cells.first()) {
        nominal_v += chemistries.limits(&cell.chemistry).map_err(|error| alloc::vec![error])?.nominal_v;
    }
    let sum = |of: fn(&Interval) -> f64| groups.iter().map(|g| of(&g.resistance_ohm)).sum::<f64>();
    let link = pack.link_ohm;
    let resistance_ohm = Interval {
        low: sum(|i| i.low) + link.low,
        likely: sum(|i| i.likely) + link.likely,
        high: sum(|i| i.high) + link.high,
    };
    let (full_v, floor_v) = (series as f64 * pack.full_v, series as f64 * pack.floor_v);
    let [worst, _, best] = cells;
    let dead_short = |cell: &CellCircuit| cell.pulse_ohm(1.0, 30.0 * cell.capacity_ah, 0.05);
    let tired = |cell: &CellCircuit| cell.pulse_ohm(0.1, 2.0 * cell.capacity_ah, 10.0);
    let total = |groups: &[Vec<CellCircuit>], ohm: &dyn Fn(&CellCircuit) -> f64| -> f64 {
        groups.iter().map(|group| parallel_ohm(group, ohm)).sum()
    };
    let tired_ohm = total(worst, &tired);
    let fault_a = |leads: usize| floor_v / (tired_ohm + lead_ohm_until(plan, leads, End::High));
    Ok(PackReport {
        series,
        parallel: pack.groups.iter().map(|group| group.cells.len()).max().unwrap_or(0),
        full_v,
        nominal_v,
        floor_v,
        capacity_ah,
        energy_wh: Interval {
            low: capacity_ah.low * nominal_v,
            likely: capacity_ah.likely * nominal_v,
            high: capacity_ah.high * nominal_v,
        },
        resistance_ohm,
        short_circuit_a: full_v / (total(best, &dead_short) + link.low),
        weakest_fault_a: fault_a(plan.runs.len()),
        fault_low_a: (1..=plan.runs.len()).map(fault_a).collect(),
        groups,
    })
}
