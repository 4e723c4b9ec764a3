//! One course through the phases.

use super::{UsePhase, UseProfile, UseState};
use crate::part::cell::CellState;
use crate::part::load::LoadCircuit;
use crate::quantity::End;
use crate::run::discharge::doubt::is_flat;
use crate::run::discharge::{EndedBy, Left, Stops, TrustLimit, discharge_on};
use crate::run::pack_run::RunEnds;
use crate::run::self_discharge::MONTH_S;
use crate::run::stepper::{Member, PackCircuit, Stepper};
use alloc::vec::Vec;

/// Most points kept of a course.
const POINTS_MOST: usize = 240;

/// The pack at one moment of its use.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct UsePoint {
    /// Time since the start, in seconds.
    pub time_s: f64,
    /// Voltage at the loads, in volts.
    pub load_v: f64,
    /// Charge left in the emptiest cell, as a ratio.
    pub soc_ratio: f64,
}

/// How far one pack gets.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ProfileRun {
    /// Complete repeats.
    pub rounds: u32,
    /// Time until the end, pauses included, in seconds.
    pub time_s: f64,
    /// Time in use until then, in seconds.
    pub used_s: f64,
    /// What ended it; the time limit where every repeat was done.
    pub ended_by: EndedBy,
    /// The phase in which it ended, counted from 0; none where every repeat was done.
    pub ended_in_phase: Option<usize>,
    /// Whether it ended with the switch off, or by self-discharge, the weakest group drained until its cells are given up.
    pub drained_at_rest: bool,
    /// The group that is lowest at the end, counted from 0 at the negative end.
    pub weakest_group: usize,
    /// Time from which on the model's own error in voltage may end the pack, in seconds, where that is more of the use
    /// than the model's error in time.
    pub flat_from_s: Option<f64>,
    /// Time from which on the numbers are not to be relied on, in seconds, where there is one.
    pub trusted_until_s: Option<f64>,
    /// Why.
    pub trust_limit: Option<TrustLimit>,
    /// Charge delivered in use, in ampere-hours.
    pub delivered_ah: f64,
    /// Energy delivered in use, in watt-hours.
    pub delivered_wh: f64,
    /// Charge drawn from the pack while nothing ran, in ampere-hours.
    pub standing_ah: f64,
    /// Charge that a cell has lost by itself, as a ratio of its capacity.
    pub self_discharged_ratio: f64,
    /// Charge left in the emptiest cell, as a ratio.
    pub left_ratio: f64,
    /// The pack at the end of phases, evenly thinned.
    pub points: Vec<UsePoint>,
}

/// A moment at which the end was first no further than the model's error in voltage.
#[derive(Clone, Copy)]
struct Near {
    rounds: u32,
    used_s: f64,
    time_s: f64,
}

/// How far a corner goes, and what of that is promised.
pub(super) struct Told {
    pub(super) run: ProfileRun,
    /// Complete repeats and time in use that are promised.
    pub(super) rounds: u32,
    pub(super) used_s: f64,
}

/// The phases of one corner, ready to be run.
pub(super) struct Course<'a> {
    profile: &'a UseProfile,
    pub(super) ends: RunEnds,
    /// The pack in each phase.
    pub(super) circuits: Vec<PackCircuit>,
    damage_v: f64,
}

impl<'a> Course<'a> {
    pub(super) fn new(profile: &'a UseProfile, pack: &PackCircuit, ends: RunEnds, damage_v: Option<f64>) -> Self {
        let circuit = |phase: &UsePhase| pack.with_loads(loads(profile, phase, ends.loads), pack.lead_ohm);
        let circuits = profile.phases.iter().map(circuit).collect();
        Self { profile, ends, circuits, damage_v: damage_v.unwrap_or(0.0) }
    }

    /// Every cell full.
    pub(super) fn full(&self) -> Vec<CellState> {
        let full_v = self.profile.run.pack.full_v;
        let full = self.circuits.first().map(|circuit| Stepper::new(circuit, |cell| cell.soc_at_rest(full_v)).states);
        full.unwrap_or_default()
    }

    /// Runs through all repeats, or until the pack ends.
    pub(super) fn go(&self) -> Told {
        let mut near = None;
        let run = self.run(&mut near);
        let coldest_degc = self.circuits.iter().map(|circuit| circuit.ambient_degc).fold(f64::MAX, f64::min);
        let mut told = Told { rounds: run.rounds, used_s: run.used_s, run };
        if let Some(near) = near.filter(|near: &Near| is_flat(near.used_s, told.used_s, coldest_degc)) {
            (told.rounds, told.used_s) = (near.rounds, near.used_s);
            told.run.flat_from_s = Some(near.time_s);
            if told.run.trusted_until_s.is_none_or(|until_s| near.time_s < until_s) {
                (told.run.trusted_until_s, told.run.trust_limit) = (Some(near.time_s), Some(TrustLimit::FlatEnd));
            }
        }
        told
    }

    fn run(&self, near: &mut Option<Near>) -> ProfileRun {
        let mut run = started();
        let mut states = self.full();
        for _ in 0..self.profile.repeats {
            for (i, (phase, circuit)) in self.profile.phases.iter().zip(&self.circuits).enumerate() {
                let ended_by = self.phase(&mut run, phase, circuit, (&mut states, near));
                if ended_by != EndedBy::TimeLimit || run.drained_at_rest {
                    run.ended_by = ended_by;
                    run.ended_in_phase = Some(i);
                    run.drained_at_rest |= phase.state == UseState::Off;
                    run.points = thinned(&run.points);
                    return run;
                }
            }
            run.rounds += 1;
        }
        run.points = thinned(&run.points);
        run
    }

    /// One phase; gives what ended it.
    fn phase(
        &self,
        run: &mut ProfileRun,
        phase: &UsePhase,
        circuit: &PackCircuit,
        (states, near): (&mut Vec<CellState>, &mut Option<Near>),
    ) -> EndedBy {
        let stops = self.stops(phase);
        let (told, left) = discharge_on(Stepper::resume(circuit, states), &stops);
        let Left { states: after, near_from_s } = left;
        *states = after;
        if let (None, Some(from_s), true) = (&near, near_from_s, in_use(phase)) {
            *near = Some(Near { rounds: run.rounds, used_s: run.used_s + from_s, time_s: run.time_s + from_s });
        }
        // Whether the end is flat is a matter of the whole use.
        let limit = told.trust_limit.filter(|limit| *limit != TrustLimit::FlatEnd);
        if let (None, Some(until_s), Some(limit), true) =
            (run.trusted_until_s, told.trusted_until_s, limit, in_use(phase))
        {
            (run.trusted_until_s, run.trust_limit) = (Some(run.time_s + until_s), Some(limit));
        }
        run.time_s += told.runtime_s;
        if in_use(phase) {
            run.used_s += told.runtime_s;
            run.delivered_ah += told.delivered_ah;
            run.delivered_wh += told.delivered_wh;
        } else {
            run.standing_ah += told.delivered_ah;
        }
        let lost = self.profile.standing.self_discharge_ratio_per_month.at(self.ends.loads) * told.runtime_s / MONTH_S;
        run.self_discharged_ratio += lost;
        for state in states.iter_mut() {
            state.soc_ratio -= lost;
        }
        run.left_ratio = states.iter().map(|state| state.soc_ratio).fold(f64::MAX, f64::min);
        run.weakest_group = told.weakest_group;
        let soc_ratio = run.left_ratio;
        run.points.push(UsePoint { time_s: run.time_s, load_v: told.end_load_v, soc_ratio });
        if told.ended_by == EndedBy::TimeLimit && lost > 0.0 && self.given_up(circuit, states) {
            run.drained_at_rest = true;
            return EndedBy::GroupFloor;
        }
        told.ended_by
    }

    /// Whether self-discharge has brought a cell under the voltage at which it is given up; under empty where none is known.
    fn given_up(&self, circuit: &PackCircuit, states: &[CellState]) -> bool {
        let least = |member: &Member| if self.damage_v > 0.0 { member.cell.soc_at_rest(self.damage_v) } else { 0.0 };
        circuit.members().zip(states).any(|(member, state)| state.soc_ratio < least(member))
    }

    /// What ends a phase: with the switch off only the damage of the weakest group.
    fn stops(&self, phase: &UsePhase) -> Stops {
        let time_s = phase.time_s;
        match phase.state {
            UseState::Off => Stops { floor_v: self.damage_v, cut_off_v: 0.0, time_s },
            _ => Stops { time_s, ..self.profile.run.stops() },
        }
    }
}

/// Whether a phase is one of use.
fn in_use(phase: &UsePhase) -> bool {
    matches!(phase.state, UseState::Running { .. })
}

/// A constant current as a load that never drops out.
pub(super) fn steady(current_a: f64) -> LoadCircuit {
    LoadCircuit { current_a, at_v: 1.0, exponent: 1.0, duty: 1.0, drop_out_v: 0.0 }
}

/// Everything that draws in a phase.
fn loads(profile: &UseProfile, phase: &UsePhase, end: End) -> Vec<LoadCircuit> {
    let standing = &profile.standing;
    let mut loads = Vec::from([steady(standing.switch_off_a.at(end))]);
    if phase.state != UseState::Off {
        loads.extend(profile.run.loads.iter().map(|load| load.circuit(end)));
    }
    match &phase.state {
        UseState::Off => {}
        UseState::KnobMinimum => loads.extend(standing.knob_minimum_a.map(|current_a| steady(current_a.at(end)))),
        UseState::Running { loads: running } => loads.extend(running.iter().map(|load| load.circuit(end))),
    }
    loads
}

/// Evenly picked points, the last always among them.
fn thinned(points: &[UsePoint]) -> Vec<UsePoint> {
    let stride = points.len().div_ceil(POINTS_MOST).max(1);
    let mut kept: Vec<UsePoint> = points.iter().rev().step_by(stride).copied().collect();
    kept.reverse();
    kept
}

fn started() -> ProfileRun {
    ProfileRun {
        rounds: 0,
        time_s: 0.0,
        used_s: 0.0,
        ended_by: EndedBy::TimeLimit,
        ended_in_phase: None,
        drained_at_rest: false,
        weakest_group: 0,
        flat_from_s: None,
        trusted_until_s: None,
        trust_limit: None,
        delivered_ah: 0.0,
        delivered_wh: 0.0,
        standing_ah: 0.0,
        self_discharged_ratio: 0.0,
        left_ratio: 1.0,
        points: Vec::new(),
    }
}
