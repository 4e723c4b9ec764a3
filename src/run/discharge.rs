//! A pack feeding its loads until something ends it.
//!
//! Steps take at most a few percent of the smallest group's charge, and less where a current bends: a step is halved
//! where the middle of a cell's currents at both ends is not its mean, and doubled where there is room. Near an end, or
//! near the power that the pack can give at most, they grow shorter with what is left, and none goes further than where
//! the line through the last two moments comes to the end: a dip that reaches it is not stepped over. The end is found
//! within the last step to a ten-millionth of a volt.
//! Equations: [`crate::run::stepper`] and [`crate::part::cell::circuit`].
//!
//! The result is trusted while no cell gives more than 1.25C (0.6C at 5 °C, in between above and below) and the cells
//! stay between 0 °C and 45 °C, and the model explains the pulses of their chemistry; beyond that one number would
//! promise more than the model knows, and the result says until when it holds. Source of these bounds: comparison with
//! simulated discharges of ten published cells (`tests/other_cells.rs`). Where a run ends on a plateau, it is trusted
//! until the model's own error in voltage could end it ([`MODEL_OFF_V`]).

pub(crate) mod doubt;
mod extremes;
mod outcome;

pub use doubt::{MODEL_OFF_V, MODEL_RATIO};
pub(crate) use extremes::{CellExtremes, Extremes};
pub(crate) use outcome::promised_s;
pub use outcome::{CellRun, Discharge, EndedBy, GroupRun, OverTime, TrustLimit};

use crate::error::{Error, within};
use crate::part::cell::curves::{Proven, WARM_DEGC};
use crate::part::cell::{CellCircuit, CellState};
use crate::quantity::order::sort_by_key;
use crate::quantity::root::sqrt;
use crate::run::stepper::{CellEnergy, Member, Moment, PackCircuit, Stepper};
use alloc::vec::Vec;
use doubt::Nearing;
use outcome::{at_half, empty};

/// Most points kept of a run.
pub const SERIES_POINTS: usize = 240;

/// Longest run that is stepped, in seconds: thirty days.
pub const TIME_MAX_S: f64 = 30.0 * 86400.0;

/// Most steps of a run; none that ends by itself comes near.
const STEPS_MAX: usize = 20_000;

/// While every cell holds more than this share of its charge and no end is nearer than this voltage, a draw looks at
/// the mean of a step alone: the moment after it is not worked out.
const FAR: (f64, f64) = (0.15, 0.25);

/// A step takes no larger share of the charge than what is left to the nearest end over this many volts, down to
/// `move_near`: curves of one point each percent dip no deeper between the two moments of a step.
const DIP_V: f64 = 1.5;

/// Below this current, in multiples of the smallest group's charge, a bend counts as if this much flowed: what cells of
/// one group still exchange at rest needs no finer steps.
const REST_C: f64 = 1e-3;

/// No step is made shorter than this for accuracy's sake, in seconds.
const SHORTEST_S: f64 = 1e-3;

/// How finely a run is stepped, and what is kept of it.
#[derive(Clone, Copy, Debug)]
struct Care {
    /// Largest share of the smallest group's charge that a step may take, as a part of what the emptiest cell holds …
    part_most: f64,
    /// … and at least and at most, whatever it holds.
    move_least: f64,
    move_most: f64,
    /// The same close to an end, and at least where the line through the last two moments comes to one.
    move_near: f64,
    move_last: f64,
    /// Largest accepted difference between the mean current of a cell over a step and the middle of its currents at
    /// both ends, as a share of the pack's mean current. The method's own error is about half of it, with changing
    /// sign.
    bend_most: f64,
    /// The end of a run is found to this voltage.
    margin_v: f64,
    /// Length of the first step, in seconds, and as a part of the longest there, whichever is longer.
    first_s: f64,
    first_part: f64,
    /// The longest step, in seconds.
    longest_s: f64,
    /// The end is near enough where the line through both sides of it moves less than this share of the runtime.
    end_ratio: f64,
    /// Change of a current, as a share of the pack's, under which the currents count as found.
    enough: f64,
    /// Whether energies, currents and points are kept, or the time alone.
    keeps: bool,
}

/// For a run that is told whole.
const WHOLE: Care = Care {
    part_most: 1.0,
    move_least: 0.04,
    move_most: 0.04,
    move_near: 0.0025,
    move_last: 1e-4,
    bend_most: 0.01,
    margin_v: 1e-7,
    first_s: 8.0,
    first_part: 0.0,
    longest_s: 86400.0,
    end_ratio: 0.0,
    enough: 1e-5,
    keeps: true,
};

/// For one draw of many: the time alone.
const BRIEF: Care = Care {
    part_most: 0.25,
    move_least: 0.02,
    move_most: 0.15,
    move_near: 0.01,
    move_last: 2e-3,
    bend_most: 0.04,
    margin_v: 1e-4,
    first_s: 60.0,
    first_part: 0.25,
    longest_s: 1e7,
    end_ratio: 2e-4,
    enough: 1e-2,
    keeps: false,
};

/// For one run beside another one in the same steps: only the ratio of their times counts.
const BESIDE: Care = Care { part_most: 0.3, move_least: 0.04, move_most: 0.2, bend_most: 0.08, ..BRIEF };

/// What a run stops at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stops {
    /// Lowest group voltage under load, in volts.
    pub floor_v: f64,
    /// Group voltage at which the protection cuts off, in volts; 0 without one.
    pub cut_off_v: f64,
    /// Longest time, in seconds.
    pub time_s: f64,
}

/// Runs a pack from the state of charge that `soc_ratio` gives each cell.
///
/// # Errors
///
/// Names a stop that is out of range.
pub fn discharge(
    circuit: &PackCircuit,
    stops: &Stops,
    soc_ratio: impl FnMut(&CellCircuit) -> f64,
) -> Result<Discharge, Error> {
    within("floor_v", stops.floor_v, 0.0, 5.0)?;
    within("cut_off_v", stops.cut_off_v, 0.0, 5.0)?;
    within("time_s", stops.time_s, 0.0, TIME_MAX_S)?;
    let stepper = Stepper::new(circuit, soc_ratio);
    Ok(Run::new(stepper, *stops, WHOLE).finish())
}

/// How far [`brief`] may lie from the whole run, as a ratio: held against it in tests.
pub(crate) const BRIEF_RATIO: f64 = 0.003;

/// As [`discharge`], but the time alone, in coarser steps: within 0.3 % of the whole run's. Stops are checked before.
pub(crate) fn brief(circuit: &PackCircuit, stops: &Stops, soc_ratio: impl FnMut(&CellCircuit) -> f64) -> Brief {
    let mut run = Run::new(Stepper::new(circuit, soc_ratio), *stops, BRIEF);
    let (ended_by, _) = run.go();
    let Discharge { runtime_s, flat_from_s, trusted_until_s, trust_limit, .. } = run.result;
    Brief { runtime_s, ended_by, flat_from_s, trusted_until_s, trust_limit }
}

/// Time of a run in still coarser steps, in seconds: worth something only against another one of the same kind, whose
/// error is nearly the same.
pub(crate) fn beside_s(circuit: &PackCircuit, stops: &Stops, soc_ratio: impl FnMut(&CellCircuit) -> f64) -> f64 {
    let mut run = Run::new(Stepper::new(circuit, soc_ratio), *stops, BESIDE);
    run.go();
    run.result.runtime_s
}

/// A run on the states that `stepper` is in, and how it leaves them. Stops are checked before.
pub(crate) fn discharge_on(stepper: Stepper, stops: &Stops) -> (Discharge, Left) {
    let mut run = Run::new(stepper, *stops, WHOLE);
    let end = run.go();
    let left = Left { states: run.stepper.states.clone(), near_from_s: run.nearing.near_from_s() };
    (run.told(end), left)
}

/// How a run leaves the cells.
pub(crate) struct Left {
    pub(crate) states: Vec<CellState>,
    /// First time at which the end was no further than the model's error, in seconds.
    pub(crate) near_from_s: Option<f64>,
}

/// How long a run lasts, and how far that is to be relied on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Brief {
    pub(crate) runtime_s: f64,
    pub(crate) ended_by: EndedBy,
    pub(crate) flat_from_s: Option<f64>,
    pub(crate) trusted_until_s: Option<f64>,
    pub(crate) trust_limit: Option<TrustLimit>,
}

/// A run under way.
struct Run<'a> {
    stepper: Stepper<'a>,
    stops: Stops,
    care: Care,
    /// Whether any cell's temperature moves.
    warms: bool,
    result: Discharge,
    /// Losses of each member over the step last tried.
    pending: Vec<CellEnergy>,
    cells: Vec<CellRun>,
    cell_square_a2s: Vec<f64>,
    square_a2s: f64,
    peak_square_a2: f64,
    /// Charge of the smallest group, in ampere-hours.
    capacity_ah: f64,
    drop_out_v: f64,
    nearing: Nearing,
    /// Time of the last moment that was looked at, in seconds.
    noted_s: f64,
    /// The same before the first moment that is not to be relied on.
    sure_until_s: f64,
    /// How many groups share a voltage at the loads.
    groups: f64,
    /// When the line through the last two moments comes to an end, in seconds from the later.
    straight_s: f64,
    /// Every how many steps a point is kept.
    stride: usize,
    steps: usize,
}

/// A tried step.
struct Tried {
    /// How far the nearest end is, in volts; 0 or less beyond it.
    margin_v: f64,
    ended_by: EndedBy,
    /// Mean of the step and the moment after it, where the loads have an operating point.
    moments: Option<(Moment, Moment)>,
    /// Whether the mean stands for the moment after it.
    leapt: bool,
}

impl<'a> Run<'a> {
    fn new(mut stepper: Stepper<'a>, stops: Stops, care: Care) -> Self {
        stepper.enough = care.enough;
        let circuit = stepper.circuit;
        let fresh =
            |member: &Member| CellRun { lowest_a: f64::MAX, peak_degc: member.cell.cell_degc, ..CellRun::default() };
        let cells: Vec<CellRun> = circuit.members().map(fresh).collect();
        let group_ah = |group: &[Member]| group.iter().map(|m| m.count * m.cell.capacity_ah).sum::<f64>();
        Self {
            stepper,
            stops,
            care,
            warms: circuit.members().any(|member| member.cell.heat_path.is_some()),
            result: empty(),
            pending: alloc::vec![CellEnergy::default(); cells.len()],
            cell_square_a2s: alloc::vec![0.0; cells.len()],
            cells,
            square_a2s: 0.0,
            peak_square_a2: 0.0,
            capacity_ah: circuit.groups().map(group_ah).fold(f64::MAX, f64::min),
            drop_out_v: circuit.loads.iter().map(|load| load.drop_out_v).fold(0.0, f64::max),
            nearing: Nearing::START,
            noted_s: 0.0,
            sure_until_s: 0.0,
            groups: circuit.groups().count().max(1) as f64,
            straight_s: f64::INFINITY,
            stride: 1,
            steps: 0,
        }
    }

    /// Steps to the end; gives what ended the run and the last moment.
    fn go(&mut self) -> (EndedBy, Moment) {
        let end = self.stepped();
        self.result.peak_rms_a = sqrt(self.peak_square_a2);
        self.trust_the_end();
        end
    }

    /// No later moment is trusted than the one from which on the model's error in voltage may end the run.
    fn trust_the_end(&mut self) {
        let result = &mut self.result;
        result.flat_from_s = self.nearing.flat_from_s(result.runtime_s);
        if let Some(flat_s) = result.flat_from_s
            && result.trusted_until_s.is_none_or(|until_s| flat_s < until_s)
        {
            (result.trusted_until_s, result.trust_limit) = (Some(flat_s), Some(TrustLimit::FlatEnd));
            self.sure_until_s = flat_s;
        }
    }

    fn stepped(&mut self) -> (EndedBy, Moment) {
        let Ok(mut moment) = self.stepper.now() else { return (EndedBy::NoOperatingPoint, Moment::default()) };
        self.result.start_load_v = moment.load_v;
        self.note(&moment);
        let (margin_v, ended_by) = self.margin(&moment);
        if margin_v <= 0.0 {
            return (ended_by, moment);
        }
        let mut wanted_s = self.care.first_s.max(self.care.first_part * self.longest_s(&moment));
        let mut leapt = false;
        for _ in 0..STEPS_MAX {
            let left_s = self.stops.time_s - self.result.runtime_s;
            if left_s <= 0.0 {
                return (EndedBy::TimeLimit, moment);
            }
            let dt_s = wanted_s.min(left_s).min(self.longest_s(&moment));
            self.stepper.save();
            let tried = self.try_step(dt_s);
            // After a leap the currents at the start are a mean: from there no bend is to be seen.
            let bend = if leapt || tried.leapt {
                0.0
            } else {
                self.stepper.bend_a() / moment.mean_a.max(REST_C * self.capacity_ah)
            };
            if (bend > self.care.bend_most || tried.moments.is_none()) && dt_s > SHORTEST_S {
                wanted_s = 0.5 * dt_s;
                self.stepper.restore();
                continue;
            }
            let Some((mean, next)) = tried.moments.filter(|_| tried.margin_v > 0.0) else {
                return self.find_end(dt_s, &tried, moment);
            };
            wanted_s = if bend < 0.2 * self.care.bend_most { 2.0 * dt_s } else { dt_s };
            leapt = tried.leapt;
            self.account(&mean, dt_s);
            let (before_v, after_v) = (self.near_v(&moment), self.near_v(&next));
            self.straight_s = if after_v < before_v { after_v / (before_v - after_v) * dt_s } else { f64::INFINITY };
            moment = next;
            self.note(&moment);
        }
        (EndedBy::NotFollowed, moment)
    }

    /// The longest step: a share of the smallest group's charge at the present current, shorter towards the end, where
    /// every curve bends, and near any end.
    fn longest_s(&self, moment: &Moment) -> f64 {
        let Care { part_most, move_least, move_most, move_near, move_last, longest_s, .. } = self.care;
        let lowest = self.stepper.states.iter().map(|state| state.soc_ratio).fold(f64::MAX, f64::min);
        let near = self.near_v(moment) / DIP_V;
        let moved = (part_most * lowest).clamp(move_least, move_most).min(near.max(move_near));
        let whole_s = 3600.0 * self.capacity_ah / libm::fabs(moment.mean_a).max(1e-6);
        (moved * whole_s).min(self.straight_s.max(move_last * whole_s)).clamp(1e-3, longest_s)
    }

    /// How far the nearest end is, even where the loads find no voltage, in volts of one group.
    fn near_v(&self, moment: &Moment) -> f64 {
        self.margin(moment).0.min(moment.room_v / self.groups)
    }

    /// Tries a step from the saved states.
    fn try_step(&mut self, dt_s: f64) -> Tried {
        let ended_by = EndedBy::NoOperatingPoint;
        let nowhere = Tried { margin_v: f64::NEG_INFINITY, ended_by, moments: None, leapt: false };
        let Ok(mean) = self.stepper.step(dt_s) else { return nowhere };
        if self.care.keeps || self.warms {
            self.stepper.losses(&mut self.pending);
        }
        if !self.care.keeps {
            let (margin_v, ended_by) = self.margin(&mean);
            if margin_v > FAR.1 && self.stepper.states.iter().all(|state| state.soc_ratio > FAR.0) {
                return Tried { margin_v, ended_by, moments: Some((mean, mean)), leapt: true };
            }
        }
        let Ok(next) = self.stepper.now() else { return nowhere };
        let (margin_v, ended_by) = self.margin(&next);
        Tried { margin_v, ended_by, moments: Some((mean, next)), leapt: false }
    }

    /// How far the nearest end is at a moment, in volts of one group, and which it is.
    fn margin(&self, moment: &Moment) -> (f64, EndedBy) {
        let Stops { floor_v, cut_off_v, .. } = self.stops;
        let mut nearest = if cut_off_v >= floor_v {
            (moment.lowest_group_v - cut_off_v, EndedBy::ProtectionCutOff)
        } else {
            (moment.lowest_group_v - floor_v, EndedBy::GroupFloor)
        };
        let drop_out_v = (moment.load_v - self.drop_out_v) / self.groups;
        if self.drop_out_v > 0.0 && drop_out_v < nearest.0 {
            nearest = (drop_out_v, EndedBy::LoadDropOut);
        }
        // As many volts of a group as the current is away: a constant power grows as its voltage falls.
        if let Some(trip_a) = self.stepper.circuit.trip_a {
            let trip_v = (trip_a - moment.on_a) / trip_a * moment.lowest_group_v;
            if trip_v < nearest.0 {
                nearest = (trip_v, EndedBy::OverCurrent);
            }
        }
        nearest
    }

    /// Finds the end within the last step, by the line through two margins or by halves.
    fn find_end(&mut self, dt_s: f64, beyond: &Tried, mut moment: Moment) -> (EndedBy, Moment) {
        let (mut low_s, mut high_s) = (0.0, dt_s);
        let mut low_v = self.margin(&moment).0;
        let (mut high_v, mut ended_by) = (beyond.margin_v, beyond.ended_by);
        for round in 0..60 {
            let share = low_v / (low_v - high_v);
            // Two guesses by the line, one by halves: neither end can stay for long.
            let share = if share.is_finite() && round % 3 < 2 { share.clamp(1e-3, 0.999) } else { 0.5 };
            let middle_s = low_s + share * (high_s - low_s);
            self.stepper.restore();
            let tried = self.try_step(middle_s);
            if tried.margin_v > 0.0 {
                (low_s, low_v) = (middle_s, tried.margin_v);
            } else {
                (high_s, high_v, ended_by) = (middle_s, tried.margin_v, tried.ended_by);
            }
            let (apart_s, whole_s) = (high_s - low_s, self.result.runtime_s + dt_s);
            let fall_v = if high_v.is_finite() { low_v - high_v } else { 0.0 };
            let off_s = libm::fabs(tried.margin_v) * apart_s / fall_v;
            let close = libm::fabs(tried.margin_v) < self.care.margin_v
                || off_s < self.care.end_ratio * whole_s
                || apart_s < self.care.end_ratio.max(1e-10) * whole_s;
            if close && let Some((mean, next)) = tried.moments {
                self.account(&mean, middle_s);
                self.note(&next);
                moment = next;
                break;
            }
            if high_s - low_s < 1e-12 * (self.result.runtime_s + dt_s) {
                break;
            }
        }
        (ended_by, moment)
    }

    /// Adds a step that counts.
    fn account(&mut self, mean: &Moment, dt_s: f64) {
        let circuit = self.stepper.circuit;
        let result = &mut self.result;
        result.runtime_s += dt_s;
        if !self.care.keeps && !self.warms {
            return;
        }
        result.delivered_ah += mean.mean_a * dt_s / 3600.0;
        result.delivered_wh += mean.load_w * dt_s / 3600.0;
        result.lead_heat_wh += mean.square_a2 * circuit.lead_ohm * dt_s / 3600.0;
        self.square_a2s += mean.square_a2 * dt_s;
        for (i, (member, energy)) in circuit.members().zip(&self.pending).enumerate() {
            let heat_j = energy.lost_w * dt_s;
            result.drawn_wh += member.count * energy.drawn_w * dt_s / 3600.0;
            result.cell_heat_wh += member.count * heat_j / 3600.0;
            if let (Some(cell), Some(square), Some(state)) =
                (self.cells.get_mut(i), self.cell_square_a2s.get_mut(i), self.stepper.states.get_mut(i))
            {
                cell.heat_wh += heat_j / 3600.0;
                cell.peak_heat_w = cell.peak_heat_w.max(energy.lost_w);
                *square += energy.square_a2 * dt_s;
                member.cell.warm(state, heat_j, dt_s, circuit.ambient_degc);
                cell.peak_degc = cell.peak_degc.max(state.cell_degc);
            }
        }
    }

    /// Looks at a moment that counts: peaks, trust, a point for the chart.
    fn note(&mut self, moment: &Moment) {
        self.result.peak_a = self.result.peak_a.max(moment.on_a);
        self.peak_square_a2 = self.peak_square_a2.max(moment.square_a2);
        let (mut limit, mut coldest_degc) = (None, f64::MAX);
        for (i, (member, cell)) in self.stepper.circuit.members().zip(&mut self.cells).enumerate() {
            let on_a = self.stepper.on_a(i);
            let mean_a = self.stepper.member_mean_a.get(i).copied().unwrap_or(0.0);
            let degc = self.stepper.states.get(i).map_or(25.0, |state| state.cell_degc);
            coldest_degc = coldest_degc.min(degc);
            cell.peak_a = cell.peak_a.max(on_a);
            cell.lowest_a = cell.lowest_a.min(mean_a);
            limit = limit.or(beyond_trust(&member.cell, mean_a / member.cell.capacity_ah, degc));
        }
        if let (None, Some(limit)) = (self.result.trust_limit, limit) {
            self.result.trust_limit = Some(limit);
            self.result.trusted_until_s = Some(self.result.runtime_s);
            self.sure_until_s = self.noted_s;
        }
        self.nearing.look(self.result.runtime_s, self.near_v(moment), coldest_degc);
        self.noted_s = self.result.runtime_s;
        if self.care.keeps && self.steps.is_multiple_of(self.stride) {
            self.keep_point(moment);
        }
        self.steps += 1;
    }

    fn keep_point(&mut self, moment: &Moment) {
        let soc = self.stepper.states.iter().map(|state| state.soc_ratio).fold(f64::MAX, f64::min);
        let series = &mut self.result.series;
        if series.time_s.len() >= SERIES_POINTS {
            self.stride *= 2;
            for list in series.lists() {
                let mut i = 0;
                list.retain(|_| {
                    i += 1;
                    i % 2 == 1
                });
            }
        }
        series.time_s.push(self.result.runtime_s);
        series.pack_v.push(moment.pack_v);
        series.load_v.push(moment.load_v);
        series.mean_a.push(moment.mean_a);
        series.soc_ratio.push(soc);
    }

    fn finish(mut self) -> Discharge {
        let end = self.go();
        self.told(end)
    }

    /// The run as it is told, after it ended.
    fn told(mut self, (ended_by, last): (EndedBy, Moment)) -> Discharge {
        if self.result.series.time_s.last().is_none_or(|time_s| *time_s < self.result.runtime_s) {
            self.keep_point(&last);
        }
        let circuit = self.stepper.circuit;
        let stored_j: f64 =
            circuit.members().zip(&self.stepper.states).map(|(m, state)| m.count * m.cell.stored_j(state)).sum();
        let mut result = self.result;
        result.ended_by = ended_by;
        result.weakest_group = last.lowest_group;
        result.slow_wh = stored_j / 3600.0;
        result.cell_heat_wh -= result.slow_wh;
        result.end_load_v = last.load_v;
        result.half_load_v = at_half(&result.series, result.runtime_s);
        if result.runtime_s > 0.0 {
            result.mean_a = result.delivered_ah * 3600.0 / result.runtime_s;
            result.rms_a = sqrt(self.square_a2s / result.runtime_s);
        }
        let mut i = 0;
        for (g, group) in circuit.groups().enumerate() {
            let mut cells: Vec<(usize, CellRun)> = Vec::new();
            for member in group {
                if let (Some(cell), Some(square), Some(state)) =
                    (self.cells.get(i), self.cell_square_a2s.get(i), self.stepper.states.get(i))
                {
                    let rms_a = if result.runtime_s > 0.0 { sqrt(square / result.runtime_s) } else { 0.0 };
                    let lowest_a = if cell.lowest_a < f64::MAX { cell.lowest_a } else { 0.0 };
                    let run = CellRun { rms_a, lowest_a, end_soc_ratio: state.soc_ratio, ..*cell };
                    cells.extend(member.places.iter().map(|place| (*place, run)));
                }
                i += 1;
            }
            sort_by_key(&mut cells, |(place, _)| *place);
            let end_v = self.stepper.group_v.get(g).copied().unwrap_or(0.0);
            result.groups.push(GroupRun { end_v, cells: cells.into_iter().map(|(_, run)| run).collect() });
        }
        result
    }
}

/// Why the model is not to be relied on at this rate and temperature.
fn beyond_trust(cell: &CellCircuit, rate_per_h: f64, cell_degc: f64) -> Option<TrustLimit> {
    if !cell.explains_pulses() {
        return Some(TrustLimit::UnexplainedPulses);
    }
    match cell.proven() {
        Proven::Nothing => return Some(TrustLimit::Chemistry),
        Proven::Warm { .. } if !WARM_DEGC.contains(&cell_degc) => return Some(TrustLimit::Temperature),
        Proven::Warm { most_c } if rate_per_h > most_c => return Some(TrustLimit::HighRate),
        Proven::Lithium | Proven::Warm { .. } => {}
    }
    if !(0.0..=45.0).contains(&cell_degc) {
        return Some(TrustLimit::Temperature);
    }
    let limit = (0.6 + (cell_degc - 5.0) / 20.0 * 0.65).min(1.25);
    (rate_per_h > limit).then_some(TrustLimit::HighRate)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pack::{Group, Pack};
    use crate::part::cell::{CapacityTest, Cell, Chemistries, Chemistry, MeterLeads, ResistanceMethod, ResistanceTest};
    use crate::part::load::{Draw, Load};
    use crate::quantity::Interval;
    use crate::run::pack_run::{PackRun, RunEnds};

    /// Invented cells, up to `apart` off their middle.
    fn cell(chemistry: &Chemistry, place: f64, apart: f64) -> Cell {
        let iron = *chemistry == Chemistry::Lfp;
        let (start_v, end_v) = if iron { (3.6, 2.5) } else { (4.2, 2.8) };
        let off = |phase: f64| apart * (2.0 * (phase * place - libm::floor(phase * place)) - 1.0);
        let capacity = CapacityTest {
            capacity_ah: Interval::around(1.8 * (1.0 + off(0.618)), 0.03),
            start_v,
            end_v,
            current_a: 0.5,
            cell_degc: 22.0,
        };
        let resistance = ResistanceTest {
            resistance_ohm: Interval::around(0.055 * (1.0 + 2.0 * off(0.414)), 0.12),
            method: ResistanceMethod::Dc { after_s: 10.0, current_a: 1.0 },
            leads: MeterLeads::FourWire,
            cell_degc: 22.0,
            soc_ratio: 0.5,
        };
        Cell::new("invented", chemistry.clone(), capacity, resistance)
    }

    fn run(chemistry: &Chemistry, parallel: u32, apart: f64, [exponent, duty, watts, degc]: [f64; 4]) -> PackRun {
        let place = |g: u32, c: u32| f64::from(g * parallel + c + 1);
        let group = |g| Group { cells: (0..parallel).map(|c| cell(chemistry, place(g, c), apart)).collect() };
        let (full_v, floor_v) = if *chemistry == Chemistry::Lfp { (3.6, 2.6) } else { (4.15, 3.0) };
        let power_w = Interval::around(watts * f64::from(parallel), 0.1);
        PackRun {
            own_chemistries: Vec::new(),
            pack: Pack { groups: (0..4).map(group).collect(), link_ohm: Interval::around(0.01, 0.5), full_v, floor_v },
            loads: alloc::vec![Load {
                duty,
                ..Load::new("invented", Draw::FollowsVoltage { power_w, at_v: 12.0, exponent })
            }],
            lead_ohm: Interval::around(0.08, 0.4),
            ambient_degc: Interval::exact(degc),
            cut_off_v: Some(2.5),
            trip_a: None,
            heat_path: None,
            time_s: None,
        }
    }

    /// Every case of the tests: told, its runs at the corner that runs shortest and at the likely values.
    fn each(mut look: impl FnMut(&str, [(PackCircuit, Discharge); 2], &Stops, f64)) {
        for chemistry in [Chemistry::Lfp, Chemistry::Nmc, Chemistry::Nca] {
            for (parallel, apart) in [(1, 0.05), (2, 0.03), (2, 0.15), (4, 0.1)] {
                for case in [[2.0, 1.0, 4.0, 22.0], [3.0, 0.1, 5.0, 8.0], [3.0, 0.6, 15.0, 35.0], [0.0, 1.0, 8.0, 22.0]]
                {
                    let run = run(&chemistry, parallel, apart, case);
                    let chemistries = Chemistries::new(&[], core::iter::once(&chemistry)).unwrap();
                    let told = alloc::format!("{chemistry:?} {parallel}P {apart} {case:?}");
                    let runs = [RunEnds::LEAST, RunEnds::LIKELY].map(|ends| {
                        let circuit = run.circuit(&chemistries, ends).unwrap();
                        let whole = run.discharged(&circuit).unwrap();
                        (circuit, whole)
                    });
                    look(&told, runs, &run.stops(), run.pack.full_v);
                }
            }
        }
    }

    /// What [`brief`] promises.
    #[test]
    fn a_coarse_run_lasts_as_long_as_a_whole_one() {
        each(|told, runs, stops, full_v| {
            for (circuit, whole) in runs {
                let off = brief(&circuit, stops, |cell| cell.soc_at_rest(full_v)).runtime_s / whole.runtime_s - 1.0;
                assert!(libm::fabs(off) < BRIEF_RATIO, "{told}: time {off}");
            }
        });
    }

    /// What [`beside_s`] promises: the ratio of two runs as whole runs tell it, to half a percent.
    #[test]
    fn two_runs_in_the_same_coarse_steps_lie_apart_as_whole_ones_do() {
        each(|told, [least, likely], stops, full_v| {
            let coarse_s = |circuit: &PackCircuit| beside_s(circuit, stops, |cell| cell.soc_at_rest(full_v));
            let ratio = coarse_s(&least.0) / coarse_s(&likely.0);
            let off = ratio * likely.1.runtime_s / least.1.runtime_s - 1.0;
            assert!(libm::fabs(off) < 5e-3, "{told}: ratio {off}");
        });
    }

    /// The pack's own ends as a whole run tells them; no cell gives less.
    #[test]
    fn a_run_that_is_only_judged_reaches_what_a_whole_one_reaches() {
        each(|told, runs, stops, full_v| {
            for (circuit, whole) in runs {
                let coarse = Extremes::of_run(&circuit, stops, |cell| cell.soc_at_rest(full_v));
                let whole = Extremes::of(&whole);
                for (coarse, whole, near) in [
                    (coarse.peak_a, whole.peak_a, 2e-4),
                    (coarse.peak_rms_a, whole.peak_rms_a, 2e-4),
                    (coarse.end_load_v, whole.end_load_v, 2e-4),
                ] {
                    assert!(libm::fabs(coarse / whole - 1.0) < near, "{told}: {coarse} instead of {whole}");
                }
                let sure_s = |run: &Extremes| run.trusted_until_s.unwrap_or(f64::MAX);
                assert!(sure_s(&coarse) <= sure_s(&whole), "{told}: trusted for longer");
                for (coarse, whole) in coarse.groups.iter().flatten().zip(whole.groups.iter().flatten()) {
                    let ratio = coarse.peak_a / whole.peak_a;
                    // More is on the safe side: the margin, and a share met at the moment it swings.
                    assert!((0.9998..1.15).contains(&ratio), "{told}: a cell's current {ratio}");
                    assert!(coarse.peak_degc == whole.peak_degc, "{told}: a cell's temperature");
                }
            }
        });
    }
}
