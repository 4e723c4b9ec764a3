//! What the leads have to carry, how warm they get, and what they leave of the voltage.

use super::Plan;
use super::inputs::{FuseChoice, Protection};
use super::report::{PackReport, WireDrop, WireReport};
use crate::part::wire::Run;
use crate::quantity::End;
use crate::quantity::root::sqrt;
use crate::run::discharge::Extremes;
use crate::run::knob::{KnobAnswer, KnobRow};
use crate::run::pack_run::PackRun;
use crate::run::stepper::{Moment, PackCircuit, Stepper};
use alloc::vec::Vec;

/// Resistance between cells and loads at one end, the leads as last solved.
pub(super) fn lead_ohm(plan: &Plan, wires: &[WireReport], end: End) -> f64 {
    let warm: f64 = plan
        .runs
        .iter()
        .zip(wires)
        .map(|(run, wire)| {
            let warm = wire.lead.as_ref().and_then(|lead| lead.resistance_ohm);
            warm.map_or_else(|| run.resistance_20_ohm(end), |warm| warm.at(end))
        })
        .sum();
    warm + parts_ohm(plan, end)
}

/// Resistance between cells and the far end of the first leads, cold.
pub(super) fn lead_ohm_until(plan: &Plan, leads: usize, end: End) -> f64 {
    let cold: f64 = plan.runs.iter().take(leads).map(|run| run.resistance_20_ohm(end)).sum();
    cold + parts_ohm(plan, end)
}

/// Resistance of fuse, board, switch and the pack's own links.
fn parts_ohm(plan: &Plan, end: End) -> f64 {
    let fuse = plan.fuse.as_ref().and_then(FuseChoice::fitted).map_or(0.0, |fuse| fuse.resistance_ohm.at(end));
    let board = plan.protection.as_ref().and_then(Protection::board).map_or(0.0, |board| board.resistance_ohm.at(end));
    let switch = plan.control.as_ref().map_or(0.0, |control| control.switch_ohm.at(end));
    fuse + board + switch + plan.pack.link_ohm.at(end)
}

/// Leads before any current is known.
pub(super) fn wires_cold(plan: &Plan) -> Vec<WireReport> {
    plan.runs.iter().map(|run| WireReport::unknown(&run.name)).collect()
}

/// What leads have to carry, and what they leave of the voltage where that is known.
pub(super) struct Peaks {
    rms_a: f64,
    on_a: f64,
    load_v: Option<f64>,
}

impl Peaks {
    pub(super) fn of(run: &Extremes) -> Self {
        Self { rms_a: run.peak_rms_a, on_a: run.peak_a, load_v: Some(run.end_load_v) }
    }

    fn of_moment(moment: &Moment) -> Self {
        Self { rms_a: sqrt(moment.square_a2), on_a: moment.on_a, load_v: None }
    }

    /// From the full pack and from one that rests at its floor, which is emptier than it can get under load.
    pub(super) fn of_moments(base: &PackRun, circuit: &PackCircuit) -> Self {
        let (full_v, floor_v) = (base.pack.full_v, base.pack.floor_v);
        let mut stepper = Stepper::new(circuit, |cell| cell.soc_at_rest(full_v));
        let full = stepper.now();
        stepper.rest_at(|cell| cell.soc_at_rest(floor_v));
        match (full, stepper.now()) {
            (Ok(full), Ok(empty)) => {
                let (full, empty) = (Self::of_moment(&full), Self::of_moment(&empty));
                Self { rms_a: full.rms_a.max(empty.rms_a), on_a: full.on_a.max(empty.on_a), load_v: None }
            }
            // The load gives up before the pack is empty: the run tells when.
            _ => Self::of(&Extremes::of_run(circuit, &base.stops(), |cell| cell.soc_at_rest(full_v))),
        }
    }
}

/// Leads at the largest currents of any corner and setting, in the hottest surroundings.
pub(super) fn wires_warm(plan: &Plan, pack: &PackReport, peaks: &[Peaks]) -> Vec<WireReport> {
    let most = |of: fn(&Peaks) -> f64| peaks.iter().map(of).fold(0.0, f64::max);
    let (rms_a, on_a) = (most(|run| run.rms_a), most(|run| run.on_a));
    let load_v = peaks.iter().filter_map(|run| run.load_v).filter(|v| *v > 0.0).reduce(f64::min);
    plan.runs.iter().map(|run| wire_warm(plan, pack, run, [rms_a, on_a], load_v)).collect()
}

fn wire_warm(plan: &Plan, pack: &PackReport, run: &Run, [rms_a, on_a]: [f64; 2], load_v: Option<f64>) -> WireReport {
    // Beyond a thousand amperes no wire of this table is meant.
    if on_a.max(rms_a) > 1000.0 {
        return WireReport::unknown(&run.name);
    }
    let lead = plan.lead(run, rms_a, Some(on_a.max(rms_a)), Some(pack.full_v));
    let drop_v = lead.drop_v.map(|drop_v| drop_v.high);
    let wanted_v = run.wanted_drop_ratio.zip(load_v).map(|(ratio, load_v)| ratio * load_v);
    WireReport {
        name: run.name.clone(),
        drop_ratio: drop_v.zip(load_v).map(|(drop_v, load_v)| drop_v / (load_v + drop_v)),
        smallest_mm2: wanted_v
            .filter(|wanted_v| (1e-6..=100.0).contains(wanted_v))
            .and_then(|wanted_v| run.smallest_mm2(on_a, wanted_v, 60.0).ok().flatten()),
        lead: Some(lead),
        drops: Vec::new(),
    }
}

impl WireReport {
    fn unknown(name: &str) -> Self {
        Self { name: name.into(), lead: None, drop_ratio: None, smallest_mm2: None, drops: Vec::new() }
    }
}

/// What a lead loses at each knob position.
pub(super) fn drops(wire: &WireReport, settings: Option<&KnobAnswer>) -> Vec<WireDrop> {
    let Some(ohm) = wire.lead.as_ref().and_then(|lead| lead.resistance_ohm) else { return Vec::new() };
    let rows = settings.map_or(&[][..], |settings| settings.rows.as_slice());
    let drop = |row: &KnobRow| {
        let setting = row.setting.as_ref()?;
        let duty = setting.duty.likely;
        let (mean_a, mean_v) = (setting.mean_a?, setting.mean_v);
        if duty <= 0.0 || mean_v <= 0.0 {
            return None;
        }
        let drop_v = ohm.likely * mean_a / duty;
        Some(WireDrop { wiper_ratio: row.wiper_ratio, drop_v, drop_ratio: drop_v / (mean_v / duty + drop_v) })
    };
    rows.iter().filter_map(drop).collect()
}
