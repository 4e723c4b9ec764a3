//! What comes after: how long a pack may stand, and whether a load starts again by itself once its voltage recovers.

use super::course::{Course, steady};
use super::{UseProfile, UseState};
use crate::part::cell::CellState;
use crate::quantity::{End, Interval};
use crate::run::discharge::{EndedBy, Left, Stops, TIME_MAX_S, discharge_on};
use crate::run::pack_run::RunEnds;
use crate::run::self_discharge::MONTH_S;
use crate::run::stepper::{PackCircuit, Stepper};
use alloc::vec::Vec;

/// How long the recovery after a cut-off is looked at, in seconds: a day.
const RECOVERY_S: f64 = 86400.0;

/// Most pulses that are counted.
const PULSES_MOST: u32 = 50;

/// Longest time that is told of a standing pack, in seconds: ten years, beyond which cells age more than they drain.
const STANDS_MOST_S: f64 = 10.0 * 365.0 * 86400.0;

/// Growth of the steps while the voltage recovers, and the first, in seconds.
const GROWTH: f64 = 1.1;
const FIRST_S: f64 = 0.1;

/// How long a pack may stand, in seconds: least, likely, most; none where nothing draws, or where it is not known.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StandingTimes {
    /// From full to the floor with the knob at its minimum and everything on that draws beside it.
    pub knob_minimum_to_floor_s: Option<Interval>,
    /// From full to the floor with the switch off.
    pub switch_off_to_floor_s: Option<Interval>,
    /// From the floor, at rest, until a cell of the weakest group is given up, with the switch off.
    pub floor_to_damage_s: Option<Interval>,
    /// The same from the protection's cut-off, with what draws after it.
    pub cut_off_to_damage_s: Option<Interval>,
}

/// Whether a load starts again by itself after a cut-off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Restarts {
    /// It does not.
    No,
    /// At some credible values.
    Perhaps,
    /// At every credible value: it runs in pulses.
    Yes,
    /// The voltage at which it would is not known, too much current cut it off, or nothing did within thirty days.
    NotKnown,
    /// Nothing cuts off: the load drains the pack until it gives nothing more, past the damage of its cells.
    NothingCutsOff,
}

/// What a cut-off is followed by.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Restart {
    /// Whether the load starts again.
    pub restarts: Restarts,
    /// What cuts off, at the likely values; none where nothing runs in any phase.
    pub cut_by: Option<EndedBy>,
    /// Voltage to which the weakest group recovers within a day, in volts.
    pub recovers_to_v: Option<Interval>,
    /// Voltage to which the pack recovers within a day, in volts.
    pub pack_recovers_to_v: Option<Interval>,
    /// Pause before the first restart, at the likely pack and the earliest restart, in seconds.
    pub pause_s: Option<f64>,
    /// How long it then runs, in seconds.
    pub pulse_s: Option<f64>,
    /// Pulses within a day, at most 50 counted.
    pub pulses: u32,
}

/// A pack after its cut-off.
struct Cut {
    by: EndedBy,
    states: Vec<CellState>,
    /// Voltage of the weakest group and of the pack after a day of recovery.
    group_v: f64,
    pack_v: f64,
}

/// Where a rest ended.
struct Rested {
    time_s: f64,
    group_v: f64,
    pack_v: f64,
    states: Vec<CellState>,
}

impl UseProfile {
    /// How long the pack may stand, from the packs of the three corners.
    pub(super) fn standing_times(&self, packs: &[PackCircuit; 3], damage_v: Option<f64>) -> StandingTimes {
        let (full_v, floor_v) = (self.run.pack.full_v, self.run.pack.floor_v);
        let between = |current_a: Interval, from_v: f64, to_v: f64| self.stands(packs, current_a, from_v, to_v);
        let standing = &self.standing;
        let to_damage = |current_a: Interval, from_v: Option<f64>| between(current_a, from_v?, damage_v?);
        let beside = self.beside_a();
        let both = |knob: Interval| Interval {
            low: knob.low + standing.switch_off_a.low + beside.low,
            likely: knob.likely + standing.switch_off_a.likely + beside.likely,
            high: knob.high + standing.switch_off_a.high + beside.high,
        };
        StandingTimes {
            knob_minimum_to_floor_s: standing.knob_minimum_a.and_then(|knob| between(both(knob), full_v, floor_v)),
            switch_off_to_floor_s: between(standing.switch_off_a, full_v, floor_v),
            floor_to_damage_s: to_damage(standing.switch_off_a, Some(floor_v)),
            cut_off_to_damage_s: to_damage(standing.cut_off_a, self.run.cut_off_v),
        }
    }

    /// Current of what draws whenever the switch is on, between the full and the empty pack, in amperes.
    fn beside_a(&self) -> Interval {
        let pack = &self.run.pack;
        let series = pack.groups.len() as f64;
        let at = |end: End, group_v: f64| {
            let loads = self.run.loads.iter().map(|load| load.circuit(end));
            loads.map(|load| load.duty * load.current(series * group_v).0).sum::<f64>()
        };
        let [low, likely, high] =
            [End::Low, End::Likely, End::High].map(|end| (at(end, pack.full_v), at(end, pack.floor_v)));
        // One that switches itself off under a voltage may draw nothing there.
        let sheds = self.run.loads.iter().any(|load| load.drop_out_v.is_some());
        Interval {
            low: if sheds { 0.0 } else { low.0.min(low.1) },
            likely: 0.5 * (likely.0 + likely.1),
            high: high.0.max(high.1),
        }
    }

    /// Time in which the weakest group falls from one rest voltage to another; none where nothing draws for sure.
    fn stands(&self, packs: &[PackCircuit; 3], current_a: Interval, from_v: f64, to_v: f64) -> Option<Interval> {
        let [least, likely, most] = packs;
        let own = self.standing.self_discharge_ratio_per_month;
        // Below the end of the rest curve a cell falls steeply: what it still holds there counts at the most alone.
        let floor_of = |end: End| if end == End::Low { f64::NEG_INFINITY } else { 0.0 };
        let at = |pack: &PackCircuit, end: End| {
            let weakest = pack.groups().map(|group| {
                let (mut charge_ah, mut capacity_ah) = (0.0, 0.0);
                for member in group {
                    let taken = member.cell.soc_at_rest(from_v) - member.cell.soc_at_rest(to_v).max(floor_of(end));
                    charge_ah += member.charge_ah() * taken.max(0.0);
                    capacity_ah += member.charge_ah();
                }
                3600.0 * charge_ah / (current_a.at(end) + own.at(end) * capacity_ah * 3600.0 / MONTH_S)
            });
            weakest.fold(f64::INFINITY, f64::min)
        };
        let (low, likely, high) = (at(least, End::High), at(likely, End::Likely), at(most, End::Low));
        let never = |s: f64| if s.is_finite() { s.min(STANDS_MOST_S) } else { STANDS_MOST_S };
        let low = low.min(likely);
        low.is_finite().then(|| Interval { low: never(low), likely: never(likely), high: never(high.max(likely)) })
    }

    /// What a cut-off in the heaviest phase is followed by.
    pub(super) fn restart(&self, courses: &[Course; 3]) -> Restart {
        let [least, likely, most] = courses;
        let (Some(low), Some(cut), Some(high)) = (self.cut(least), self.cut(likely), self.cut(most)) else {
            return Restart::none(Restarts::No, None);
        };
        if [&low, &cut, &high].into_iter().any(|cut| self.cuts_nothing(cut.by)) {
            return Restart::none(Restarts::NothingCutsOff, Some(cut.by));
        }
        if matches!(cut.by, EndedBy::TimeLimit | EndedBy::OverCurrent | EndedBy::NotFollowed) {
            return Restart::none(Restarts::NotKnown, Some(cut.by));
        }
        let span = |of: fn(&Cut) -> f64| {
            let (a, b, c) = (of(&low), of(&cut), of(&high));
            Interval { low: a.min(b).min(c), likely: b, high: a.max(b).max(c) }
        };
        let (group_v, pack_v) = (span(|cut| cut.group_v), span(|cut| cut.pack_v));
        let after_each = [&low, &cut, &high].map(|cut| self.after(cut.by, group_v, pack_v));
        let restarts = after_each.into_iter().reduce(Restarts::or).unwrap_or(Restarts::NotKnown);
        let told = Restart {
            recovers_to_v: Some(group_v),
            pack_recovers_to_v: Some(pack_v),
            ..Restart::none(restarts, Some(cut.by))
        };
        match self.wanted_v(cut.by) {
            Some(wanted) if !self.held(cut.by) => self.pulses(likely, &cut, wanted.low, told),
            _ => told,
        }
    }

    /// Whether the load starts again after what cut it off.
    fn after(&self, by: EndedBy, group_v: Interval, pack_v: Interval) -> Restarts {
        let reached_v = if by == EndedBy::ProtectionCutOff { group_v } else { pack_v };
        match self.wanted_v(by) {
            _ if self.held(by) => Restarts::No,
            _ if matches!(by, EndedBy::TimeLimit | EndedBy::OverCurrent | EndedBy::NotFollowed) => Restarts::NotKnown,
            None => Restarts::NotKnown,
            Some(wanted) if reached_v.high < wanted.low => Restarts::No,
            Some(wanted) if reached_v.low >= wanted.high => Restarts::Yes,
            Some(_) => Restarts::Perhaps,
        }
    }

    /// Voltage at which it starts again: of a group after the protection, of the pack after a load that dropped out.
    fn wanted_v(&self, by: EndedBy) -> Option<Interval> {
        let after = &self.after_cut_off;
        if by == EndedBy::ProtectionCutOff { after.release_v } else { after.load_restart_v }
    }

    /// Whether the board stays off until a charger is connected.
    fn held(&self, by: EndedBy) -> bool {
        by == EndedBy::ProtectionCutOff && self.after_cut_off.stays_off == Some(true)
    }

    /// Whether a run went on to where the pack gives nothing more.
    fn cuts_nothing(&self, by: EndedBy) -> bool {
        match by {
            EndedBy::NoOperatingPoint | EndedBy::GroupFloor => true,
            EndedBy::ProtectionCutOff => self.run.cut_off_v.is_none(),
            _ => false,
        }
    }

    /// Which phase draws most from the half-full pack.
    fn heaviest(&self, course: &Course) -> Option<usize> {
        let draws = self.phases.iter().zip(&course.circuits).enumerate();
        let running = draws.filter(|(_, (phase, _))| matches!(phase.state, UseState::Running { .. }));
        let mean_a = |circuit: &PackCircuit| Stepper::new(circuit, |_| 0.5).now().map_or(f64::MAX, |now| now.mean_a);
        let heaviest = running.map(|(i, (_, circuit))| (i, mean_a(circuit)));
        heaviest.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, mean_a)| *mean_a > 0.0).map(|(i, _)| i)
    }

    /// A full pack run down in the heaviest phase until something cuts off.
    fn cut(&self, course: &Course) -> Option<Cut> {
        let circuit = course.circuits.get(self.heaviest(course)?)?;
        let (told, Left { states, .. }) = discharge_on(Stepper::resume(circuit, &course.full()), &self.cutting());
        let rested = self.rested(circuit, &states, course.ends, told.ended_by, f64::INFINITY);
        Some(Cut { by: told.ended_by, states, group_v: rested.group_v, pack_v: rested.pack_v })
    }

    /// What cuts off by itself; the floor is only the plan's.
    fn cutting(&self) -> Stops {
        Stops { floor_v: 0.0, cut_off_v: self.run.cut_off_v.unwrap_or(0.0), time_s: TIME_MAX_S }
    }

    /// The voltage recovers until it reaches `wanted_v`, or for a day.
    fn rested(&self, circuit: &PackCircuit, states: &[CellState], ends: RunEnds, by: EndedBy, wanted_v: f64) -> Rested {
        let standing =
            if by == EndedBy::ProtectionCutOff { self.standing.cut_off_a } else { self.standing.switch_off_a };
        let resting = circuit.with_loads(Vec::from([steady(standing.at(ends.loads))]), circuit.lead_ohm);
        let mut stepper = Stepper::resume(&resting, states);
        let (mut time_s, mut dt_s) = (0.0, FIRST_S);
        let (mut group_v, mut pack_v) = (0.0, 0.0);
        while time_s < RECOVERY_S {
            dt_s = (dt_s * GROWTH).min(RECOVERY_S - time_s);
            let Ok(now) = stepper.step(dt_s).and_then(|_| stepper.now()) else { break };
            time_s += dt_s;
            (group_v, pack_v) = (now.lowest_group_v, now.pack_v);
            if (if by == EndedBy::ProtectionCutOff { group_v } else { pack_v }) >= wanted_v {
                break;
            }
            if RECOVERY_S - time_s < FIRST_S {
                break;
            }
        }
        Rested { time_s, group_v, pack_v, states: stepper.states }
    }

    /// Counts the pulses of the likely pack within a day.
    fn pulses(&self, course: &Course, cut: &Cut, wanted_v: f64, mut told: Restart) -> Restart {
        let Some(circuit) = self.heaviest(course).and_then(|i| course.circuits.get(i)) else { return told };
        let (mut states, mut time_s) = (cut.states.clone(), 0.0);
        while told.pulses < PULSES_MOST {
            let rested = self.rested(circuit, &states, course.ends, cut.by, wanted_v);
            time_s += rested.time_s;
            let reached_v = if cut.by == EndedBy::ProtectionCutOff { rested.group_v } else { rested.pack_v };
            if reached_v < wanted_v || time_s > RECOVERY_S {
                break;
            }
            let (run, left) = discharge_on(Stepper::resume(circuit, &rested.states), &self.cutting());
            states = left.states;
            time_s += run.runtime_s;
            told.pulses += 1;
            told.pause_s = told.pause_s.or(Some(rested.time_s));
            told.pulse_s = told.pulse_s.or(Some(run.runtime_s));
        }
        told
    }
}

impl Restarts {
    /// What is known where it may be the one or the other.
    fn or(self, other: Self) -> Self {
        match (self, other) {
            (same, other) if same == other => same,
            (Self::NotKnown, _) | (_, Self::NotKnown) => Self::NotKnown,
            _ => Self::Perhaps,
        }
    }
}

impl Restart {
    fn none(restarts: Restarts, cut_by: Option<EndedBy>) -> Self {
        Self {
            restarts,
            cut_by,
            recovers_to_v: None,
            pack_recovers_to_v: None,
            pause_s: None,
            pulse_s: None,
            pulses: 0,
        }
    }
}
