//! Plan to report: the only place that fixes the order of calls.
//!
//! Cells become circuits at three corners; the timer gives the duty at the full, half-empty and empty pack; leads are
//! solved with the current they carry and fed back into the run once: their warmth changes the current too little to
//! matter again; then the rules judge.

use super::report::{
    ChargeReport, GroupReport, PackReport, PositionReport, Report, RuntimeReport, TimerReport, Verdict, WireReport,
};
use super::{Control, FuseChoice, Plan, Protection, judge};
use crate::error::Error;
use crate::part::cell::{CellCircuit, Chemistries};
use crate::part::load::LoadCircuit;
use crate::part::timing::Outcome;
use crate::part::wire::Cooling;
use crate::quantity::{End, Interval};
use crate::run::discharge::{Discharge, Stops, TIME_MAX_S, discharge};
use crate::run::knob::{Settings, runtimes};
use crate::run::pack_run::RunEnds;
use crate::run::stepper::PackCircuit;
use alloc::vec::Vec;

/// Everything that is worked out before the rules judge.
pub(super) struct Facts<'a> {
    pub(super) plan: &'a Plan,
    pub(super) chemistries: Chemistries,
    /// Cells in their groups at the worst, likely and best corner.
    pub(super) cells: [Vec<Vec<CellCircuit>>; 3],
    pub(super) pack: PackReport,
    pub(super) runs: [Discharge; 3],
    pub(super) timer: Option<TimerReport>,
    pub(super) wires: Vec<WireReport>,
    pub(super) charge: Option<ChargeReport>,
}

/// The corners in the order they are kept.
pub(super) const CORNERS: [RunEnds; 3] = [RunEnds::LEAST, RunEnds::LIKELY, RunEnds::MOST];

/// Works a plan out whose values have been checked.
pub(super) fn review(plan: &Plan) -> Result<Report, Vec<Error>> {
    let used = plan.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
    let chemistries = Chemistries::new(&plan.own_chemistries, used)?;
    let cells = [
        circuits(plan, &chemistries, RunEnds::LEAST)?,
        circuits(plan, &chemistries, RunEnds::LIKELY)?,
        circuits(plan, &chemistries, RunEnds::MOST)?,
    ];
    let pack = pack_report(plan, &chemistries, &cells)?;
    let timer = plan.control.as_ref().map(|control| timer_report(plan, control, &pack, &cells, control.wiper_ratio));
    let duty = timer.as_ref().map(duties);
    let packs = [0, 1, 2].map(|corner| base(plan, &cells, corner));
    let mut wires = wires_cold(plan);
    let mut runs = run_all(plan, &packs, &wires, duty)?;
    if !plan.runs.is_empty() {
        wires = wires_warm(plan, &runs);
        runs = run_all(plan, &packs, &wires, duty)?;
    }
    let positions = positions(plan, &pack, &cells, &packs, &wires)?;
    let charge = Some(charge_report(plan, &chemistries)?);
    let facts = Facts { plan, chemistries, cells, pack, runs, timer, wires, charge };
    Ok(report(facts, positions))
}

fn report(facts: Facts<'_>, positions: Vec<PositionReport>) -> Report {
    let findings = judge::judge(&facts);
    let verdict = Verdict::on(&findings);
    let [least, likely, most] = facts.runs;
    let runtime_s = runtime(&least, &likely, &most);
    Report {
        crate_version: env!("CARGO_PKG_VERSION"),
        data_version: crate::data::VERSION,
        name: facts.plan.name.clone(),
        verdict,
        verdict_words: verdict.words(),
        findings,
        pack: facts.pack,
        runtime: RuntimeReport { runtime_s, least, likely, most },
        positions,
        timer: facts.timer,
        runs: facts.wires,
        charge: facts.charge,
        candidates: Vec::new(),
    }
}

fn circuits(plan: &Plan, chemistries: &Chemistries, ends: RunEnds) -> Result<Vec<Vec<CellCircuit>>, Vec<Error>> {
    let ambient_degc = plan.ambient_degc.at(ends.ambient);
    let in_pack = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("pack")).collect::<Vec<Error>>();
    plan.pack.circuits(chemistries, ends.cells, ambient_degc).map_err(in_pack)
}

fn base(plan: &Plan, cells: &[Vec<Vec<CellCircuit>>; 3], corner: usize) -> PackCircuit {
    let ends = CORNERS.get(corner).copied().unwrap_or(RunEnds::LIKELY);
    let groups = cells.get(corner).cloned().unwrap_or_default();
    PackCircuit::new(groups, Vec::new(), 0.0, plan.ambient_degc.at(ends.ambient))
}

/// Resistance between cells and loads at one corner, the leads as last solved.
fn lead_ohm(plan: &Plan, wires: &[WireReport], end: End) -> f64 {
    let warm: f64 = plan
        .runs
        .iter()
        .zip(wires)
        .map(|(run, wire)| {
            let cold = run.resistance_20_ohm(end);
            wire.worst.map_or(cold, |worst| cold * worst.resistance_ohm / run.resistance_20_ohm(End::High).max(1e-12))
        })
        .sum();
    let fuse = plan.fuse.as_ref().and_then(FuseChoice::fitted).map_or(0.0, |fuse| fuse.resistance_ohm.at(end));
    let board = plan.protection.as_ref().and_then(Protection::board).map_or(0.0, |board| board.resistance_ohm.at(end));
    let switch = plan.control.as_ref().map_or(0.0, |control| control.switch_ohm.at(end));
    warm + fuse + board + switch + plan.pack.link_ohm.at(end)
}

/// Leads before any current is known.
fn wires_cold(plan: &Plan) -> Vec<WireReport> {
    let cold = |name: &alloc::string::String| WireReport {
        name: name.clone(),
        worst: None,
        drop_ratio: None,
        smallest_mm2: None,
    };
    plan.runs.iter().map(|run| cold(&run.name)).collect()
}

/// Leads at the largest currents of any corner, in the hottest surroundings.
fn wires_warm(plan: &Plan, runs: &[Discharge; 3]) -> Vec<WireReport> {
    let most = |of: fn(&Discharge) -> f64| runs.iter().map(of).fold(0.0, f64::max);
    let (rms_a, on_a) = (most(|run| run.peak_rms_a), most(|run| run.peak_a));
    let load_v = runs.iter().map(|run| run.end_load_v).filter(|v| *v > 0.0).fold(f64::MAX, f64::min);
    let wire = |run: &crate::part::wire::Run| {
        let worst = run.answer(rms_a, on_a, plan.ambient_degc.high, End::High, &Cooling::CLOSE).ok();
        let wanted_v = run.wanted_drop_ratio.map(|ratio| ratio * load_v);
        WireReport {
            name: run.name.clone(),
            worst,
            drop_ratio: worst.filter(|_| load_v < f64::MAX).map(|worst| worst.drop_v / (load_v + worst.drop_v)),
            smallest_mm2: wanted_v
                .filter(|wanted_v| (1e-6..=100.0).contains(wanted_v))
                .and_then(|wanted_v| run.smallest_mm2(on_a, wanted_v, 60.0).ok().flatten()),
        }
    };
    plan.runs.iter().map(wire).collect()
}

/// The loads at one end, the chopped ones at `duty`.
fn loads(plan: &Plan, end: End, duty: Option<Interval>) -> Vec<LoadCircuit> {
    let chopped = |load: &crate::part::load::Load| {
        let circuit = load.circuit(end);
        match duty {
            Some(duty) if load.chopped => LoadCircuit { duty: duty.at(end), ..circuit },
            _ => circuit,
        }
    };
    plan.loads.iter().map(chopped).collect()
}

fn run_all(
    plan: &Plan,
    packs: &[PackCircuit; 3],
    wires: &[WireReport],
    duty: Option<Interval>,
) -> Result<[Discharge; 3], Vec<Error>> {
    let [least, likely, most] = packs;
    Ok([
        run_one(plan, least, wires, duty, RunEnds::LEAST)?,
        run_one(plan, likely, wires, duty, RunEnds::LIKELY)?,
        run_one(plan, most, wires, duty, RunEnds::MOST)?,
    ])
}

fn run_one(
    plan: &Plan,
    pack: &PackCircuit,
    wires: &[WireReport],
    duty: Option<Interval>,
    ends: RunEnds,
) -> Result<Discharge, Vec<Error>> {
    let circuit = pack.with_loads(loads(plan, ends.loads, duty), lead_ohm(plan, wires, ends.leads));
    let stops = stops(plan);
    let full_v = plan.pack.full_v;
    discharge(&circuit, &stops, |cell| cell.soc_at_rest(full_v)).map_err(|error| alloc::vec![error])
}

fn stops(plan: &Plan) -> Stops {
    let cut_off_v = plan.protection.as_ref().and_then(Protection::board).and_then(|board| board.cut_off_v);
    Stops { floor_v: plan.pack.floor_v, cut_off_v: cut_off_v.unwrap_or(0.0), time_s: TIME_MAX_S }
}

fn runtime(least: &Discharge, likely: &Discharge, most: &Discharge) -> Interval {
    let (low, high) = (least.runtime_s.min(likely.runtime_s), most.runtime_s.max(likely.runtime_s));
    Interval { low, likely: likely.runtime_s, high }
}

/// The timer at three states of the pack, the knob at one place.
fn timer_report(
    plan: &Plan,
    control: &Control,
    pack: &PackReport,
    cells: &[Vec<Vec<CellCircuit>>; 3],
    wiper_ratio: f64,
) -> TimerReport {
    let timer = control.timer.turned(wiper_ratio);
    let at = |supply_v: f64| timer.judged(supply_v, plan.ambient_degc.likely);
    TimerReport { full: at(pack.full_v), half: at(half_v(cells)), empty: at(pack.floor_v) }
}

/// Voltage of the half-empty pack at rest.
fn half_v(cells: &[Vec<Vec<CellCircuit>>; 3]) -> f64 {
    let [_, likely, _] = cells;
    likely.iter().filter_map(|group| group.first()).map(|cell| cell.rest_v(0.5)).sum()
}

/// Duty over the pack's voltage; where the timer does not run, everything is possible.
fn duties(timer: &TimerReport) -> Interval {
    over_battery(timer, |cycle| cycle.duty).unwrap_or(Interval { low: 0.0, likely: 1.0, high: 1.0 })
}

fn over_battery(timer: &TimerReport, of: fn(&crate::part::timing::Cycle) -> f64) -> Option<Interval> {
    let value = |outcome: &Outcome| if let Outcome::Runs(cycle) = outcome { Some(of(cycle)) } else { None };
    let (full, half, empty) = (value(&timer.full)?, value(&timer.half)?, value(&timer.empty)?);
    Some(Interval { low: full.min(half).min(empty), likely: half, high: full.max(half).max(empty) })
}

fn positions(
    plan: &Plan,
    pack: &PackReport,
    cells: &[Vec<Vec<CellCircuit>>; 3],
    packs: &[PackCircuit; 3],
    wires: &[WireReport],
) -> Result<Vec<PositionReport>, Vec<Error>> {
    let Some(control) = &plan.control else { return Ok(Vec::new()) };
    let timers: Vec<TimerReport> =
        control.positions.iter().map(|ratio| timer_report(plan, control, pack, cells, *ratio)).collect();
    let duties = || timers.iter().map(|timer| over_battery(timer, |cycle| cycle.duty));
    let corner_loads = |duty: Interval| CORNERS.map(|ends| loads(plan, ends.loads, Some(duty)));
    let chopped: Vec<[Vec<LoadCircuit>; 3]> = duties().flatten().map(corner_loads).collect();
    let settings = Settings {
        packs: packs.each_ref(),
        lead_ohm: CORNERS.map(|ends| lead_ohm(plan, wires, ends.leads)),
        full_v: plan.pack.full_v,
        stops: stops(plan),
    };
    let told: Vec<_> = chopped.iter().collect();
    let mut runs = runtimes(&settings, &told)?.into_iter();
    let row = |((wiper_ratio, timer), duty): ((&f64, &TimerReport), Option<Interval>)| {
        let run = duty.and_then(|_| runs.next());
        PositionReport {
            wiper_ratio: *wiper_ratio,
            duty,
            frequency_hz: over_battery(timer, |cycle| cycle.frequency_hz),
            runtime_s: run.map(|run| run.runtime_s),
            mean_a: run.map(|run| run.mean_a),
            mean_load_v: run.zip(duty).map(|(run, duty)| run.half_load_v * duty.likely),
            ended_by: run.map(|run| run.ended_by),
        }
    };
    Ok(control.positions.iter().zip(&timers).zip(duties()).map(row).collect())
}

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

fn pack_report(
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
    let leads_ohm = lead_ohm(plan, &wires_cold(plan), End::High);
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
        weakest_fault_a: floor_v / (total(worst, &tired) + leads_ohm),
        groups,
    })
}

/// What the weakest group's cells take, and the pack's highest charge voltage.
fn charge_report(plan: &Plan, chemistries: &Chemistries) -> Result<ChargeReport, Vec<Error>> {
    let (mut voltage_v, mut current_a) = (0.0, f64::MAX);
    for group in &plan.pack.groups {
        let (mut limit_v, mut group_a) = (f64::MAX, 0.0);
        for cell in &group.cells {
            let limits = chemistries.limits(&cell.chemistry).map_err(|error| alloc::vec![error])?;
            let measured_a = limits.charge_c * cell.capacity.capacity_ah.low;
            limit_v = f64::min(limit_v, limits.charge_v);
            group_a += cell.charge_limit_a.unwrap_or(measured_a);
        }
        voltage_v += limit_v.min(plan.pack.full_v);
        current_a = f64::min(current_a, group_a);
    }
    Ok(ChargeReport { voltage_v, current_a })
}
