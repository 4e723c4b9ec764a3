//! The real circuit of a pack and its loads, stepped in time without allocating.
//!
//! Unequal cells of a group share the current by the circuit: at one group voltage each cell gives what its own state
//! allows. Chopped loads are taken as switched on at the same moment, the worst case for heat: a period then falls into
//! segments, in each of which the same loads are on, and every segment has its own operating point. The slow states
//! follow the mean current, heat follows the mean of the square, voltages are those of the on-time.
//!
//! Each step solves all cell currents at once by Newton's method on the group voltages, with the change of the slow
//! states over the step inside the equations, so that tied cells of unequal charge never make the steps unstable.

use crate::part::cell::CellState;
use crate::part::cell::circuit::{CellCircuit, Decay};
use crate::part::cell::source::Source;
pub(crate) use crate::run::pack_circuit::Member;
pub use crate::run::pack_circuit::PackCircuit;
use crate::run::segment::{Point, Segment};
use crate::run::ties::{Place, Ties};
use alloc::vec::Vec;

/// Voltages and currents of one moment or the mean of one step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moment {
    /// Voltage at the loads with the most of them on, in volts.
    pub load_v: f64,
    /// Voltage at the pack's ends then, in volts.
    pub pack_v: f64,
    /// Lowest group voltage then, in volts.
    pub lowest_group_v: f64,
    /// Which group that is.
    pub lowest_group: usize,
    /// Current then, in amperes.
    pub on_a: f64,
    /// Mean current of the period, in amperes.
    pub mean_a: f64,
    /// Mean of the current's square, in square amperes.
    pub square_a2: f64,
    /// Mean power at the loads, in watts.
    pub load_w: f64,
    /// By how much the source behind the loads could fall before they ask for more than it has, in volts; without end
    /// where they draw less the lower the voltage.
    pub(crate) room_v: f64,
}

/// Why no voltage can be found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoOperatingPoint;

/// What is at the far end of the leads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Drive {
    /// The circuit's loads.
    Loads,
    /// A source that holds this current, in amperes; above 0 it charges.
    Current(f64),
    /// A source that holds this voltage, in volts.
    Voltage(f64),
}

impl Drive {
    /// Where pack and far end settle; `open_v` and `ohm` are the pack with its leads.
    ///
    /// `near_v` is where they settled a moment ago.
    pub(super) fn settle(
        self,
        segment: &Segment,
        open_v: f64,
        ohm: f64,
        near_v: f64,
    ) -> Result<Point, NoOperatingPoint> {
        match self {
            Self::Loads => segment.settle_near(open_v, ohm, near_v).ok_or(NoOperatingPoint),
            Self::Current(charge_a) => Ok(Point { load_v: open_v + charge_a * ohm, current_a: -charge_a }),
            Self::Voltage(v) => Ok(Point { load_v: v, current_a: (open_v - v) / ohm.max(1e-9) }),
        }
    }
}

/// Currents that still change by more than this share of the largest are not taken as found.
const SETTLED: f64 = 1e-3;

/// How often a search that found no operating point is taken up at higher currents.
const RAISES: usize = 8;

/// Steps a [`PackCircuit`]. Nothing is allocated after [`Stepper::new`].
#[derive(Clone, Debug)]
pub struct Stepper<'a> {
    pub(crate) circuit: &'a PackCircuit,
    pub(crate) drive: Drive,
    pub(crate) states: Vec<CellState>,
    saved: Vec<CellState>,
    decays: Vec<Decay>,
    decay_s: f64,
    sources: Vec<Source>,
    /// Each member in each segment; member by member.
    places: Vec<Place>,
    ties: Ties,
    /// Change of a current, as a share of the pack's, under which the currents count as found.
    pub(crate) enough: f64,
    /// Voltage of each group with the most loads on, in volts.
    pub(crate) group_v: Vec<f64>,
    pub(crate) member_mean_a: Vec<f64>,
    /// Currents at the states last remembered, and the means over the step from there.
    saved_a: Vec<f64>,
    saved_mean_a: Vec<f64>,
    step_mean_a: Vec<f64>,
}

impl<'a> Stepper<'a> {
    /// A pack at rest, each cell at its own state of charge, or at the one that `soc_ratio` gives for it.
    pub fn new(circuit: &'a PackCircuit, mut soc_ratio: impl FnMut(&CellCircuit) -> f64) -> Self {
        let mut start = |cell: &CellCircuit| cell.start_ratio.unwrap_or_else(|| soc_ratio(cell));
        let states: Vec<CellState> = circuit.members().map(|member| member.cell.at_rest(start(&member.cell))).collect();
        let (members, segments) = (states.len(), circuit.segments.len());
        let mut stepper = Self {
            circuit,
            drive: Drive::Loads,
            saved: states.clone(),
            states,
            decays: alloc::vec![Decay::NONE; members],
            decay_s: f64::NAN,
            sources: alloc::vec![Source::NONE; members],
            places: alloc::vec![Place::default(); members * segments],
            ties: Ties::new(circuit.sizes.len(), segments),
            // The error after a round goes with the square of its change.
            enough: 1e-5,
            group_v: alloc::vec![0.0; circuit.sizes.len()],
            member_mean_a: alloc::vec![0.0; members],
            saved_a: alloc::vec![0.0; members * segments],
            saved_mean_a: alloc::vec![0.0; members],
            step_mean_a: alloc::vec![0.0; members],
        };
        stepper.guess();
        stepper
    }

    /// A pack whose cells are in `states`, one for each member as another stepper of the same cells left them.
    pub(crate) fn resume(circuit: &'a PackCircuit, states: &[CellState]) -> Self {
        let mut stepper = Self::new(circuit, |_| 0.5);
        for (state, left) in stepper.states.iter_mut().zip(states) {
            *state = *left;
        }
        stepper.guess();
        stepper
    }

    /// Puts every cell at rest at the state of charge that `soc_ratio` gives for it; the currents stay as a guess.
    pub(crate) fn rest_at(&mut self, mut soc_ratio: impl FnMut(&CellCircuit) -> f64) {
        for (member, state) in self.circuit.members().zip(&mut self.states) {
            *state = member.cell.at_rest(member.cell.start_ratio.unwrap_or_else(|| soc_ratio(&member.cell)));
        }
    }

    /// Remembers the present states, of which [`Stepper::now`] was just asked.
    pub(crate) fn save(&mut self) {
        self.saved.copy_from_slice(&self.states);
        self.saved_mean_a.copy_from_slice(&self.member_mean_a);
        self.saved_a.iter_mut().zip(&self.places).for_each(|(saved, place)| *saved = place.current_a);
    }

    /// Goes back to the states last remembered.
    pub(crate) fn restore(&mut self) {
        self.states.copy_from_slice(&self.saved);
        self.member_mean_a.copy_from_slice(&self.saved_mean_a);
        self.places.iter_mut().zip(&self.saved_a).for_each(|(place, saved)| place.current_a = *saved);
    }

    /// By how much the currents at both ends of a step tell another mean than the step found, in amperes.
    ///
    /// Between [`Stepper::save`], one step and [`Stepper::now`].
    pub(crate) fn bend_a(&self) -> f64 {
        let ends = self.saved_mean_a.iter().zip(&self.member_mean_a);
        ends.zip(&self.step_mean_a)
            .fold(0.0, |most: f64, ((from, to), mean)| most.max(libm::fabs(0.5 * (from + to) - mean)))
    }

    /// The present moment.
    ///
    /// # Errors
    ///
    /// Where the loads ask for more than the pack can give at any voltage.
    pub fn now(&mut self) -> Result<Moment, NoOperatingPoint> {
        for ((member, state), source) in self.circuit.members().zip(&self.states).zip(&mut self.sources) {
            *source = member.cell.moment(state);
        }
        self.solve()
    }

    /// Advances by `dt_s` and gives the means of the step.
    ///
    /// # Errors
    ///
    /// Where the loads ask for more than the pack can give at any voltage; the states stay.
    pub fn step(&mut self, dt_s: f64) -> Result<Moment, NoOperatingPoint> {
        let fresh = self.decay_s.total_cmp(&dt_s).is_ne();
        self.decay_s = dt_s;
        let parts = self.decays.iter_mut().zip(&mut self.sources).zip(&self.member_mean_a);
        let mut last: Option<(&CellCircuit, Decay)> = None;
        for ((member, state), ((decay, source), guess_a)) in self.circuit.members().zip(&self.states).zip(parts) {
            if fresh {
                *decay = match last {
                    Some((cell, decay)) if cell.decays_like(&member.cell) => decay,
                    _ => member.cell.decay(dt_s),
                };
                last = Some((&member.cell, *decay));
            }
            *source = member.cell.source(state, decay, dt_s, *guess_a);
        }
        let mean = self.solve()?;
        let parts = self.decays.iter().zip(&self.member_mean_a);
        for ((member, state), (decay, mean_a)) in self.circuit.members().zip(&mut self.states).zip(parts) {
            member.cell.advance(state, decay, *mean_a, dt_s);
        }
        self.step_mean_a.copy_from_slice(&self.member_mean_a);
        Ok(mean)
    }

    /// Newton's method on all cell currents of all segments at once.
    fn solve(&mut self) -> Result<Moment, NoOperatingPoint> {
        let mut moment = Moment::default();
        let mut raised = 0;
        let mut left = f64::INFINITY;
        for _ in 0..60 {
            self.linearise();
            match self.share_out() {
                Ok((next, change)) => {
                    (moment, left) = (next, change);
                    if change <= self.enough * moment.on_a.abs() + 1e-12 {
                        break;
                    }
                }
                // The kinetic part is steepest at small currents: a tangent there finds nothing where there is
                // something further up.
                Err(nothing) if raised == RAISES => return Err(nothing),
                Err(_) => {
                    raised += 1;
                    self.set_currents(|current| 1.5 * current);
                }
            }
        }
        // Resistances that lie many powers of ten apart can keep the rounds from settling: a shorter step ties the
        // segments less.
        let largest = || self.places.iter().fold(0.0, |most: f64, place| most.max(libm::fabs(place.current_a)));
        if left <= self.enough * moment.on_a.abs() + 1e-9 || left <= SETTLED * largest() + 1e-9 {
            moment.room_v = self.ties.room_v(self.drive, &self.circuit.segments, self.circuit.lead_ohm);
            return Ok(moment);
        }
        Err(NoOperatingPoint)
    }

    /// Changes every current, and the means with them.
    fn set_currents(&mut self, to: impl Fn(f64) -> f64) {
        let segments = &self.circuit.segments;
        for (places, mean) in self.places.chunks_exact_mut(segments.len().max(1)).zip(&mut self.member_mean_a) {
            for place in places.iter_mut() {
                place.current_a = to(place.current_a);
            }
            *mean = Place::mean_a(places, segments);
        }
    }

    /// Starts every current at what the loads take at the pack's rest voltage, shared by the number of cells.
    fn guess(&mut self) {
        let mut open_v = 0.0;
        let mut states = self.states.iter();
        for group in self.circuit.groups() {
            let rest_v = |(member, state): (&Member, &CellState)| member.cell.rest_v(state.soc_ratio);
            open_v += group.iter().zip(states.by_ref()).map(rest_v).sum::<f64>() / group.len().max(1) as f64;
        }
        let segments = &self.circuit.segments;
        for (point, segment) in self.ties.points.iter_mut().zip(segments) {
            *point = segment.settle(open_v, 0.0).unwrap_or_default();
        }
        let mut rows = self.places.chunks_exact_mut(segments.len().max(1));
        for group in self.circuit.groups() {
            let cells: f64 = group.iter().map(|member| member.count).sum();
            for (_, places) in group.iter().zip(rows.by_ref()) {
                let points = places.iter_mut().zip(&self.ties.points);
                points.for_each(|(place, point)| place.current_a = point.current_a / cells);
            }
        }
        self.set_currents(|current| current);
    }

    /// Replaces each cell by voltages and conductances around its present currents, and each group by what its cells
    /// come to.
    fn linearise(&mut self) {
        let segments = &self.circuit.segments;
        let count = segments.len().max(1);
        let cells = self.circuit.members.iter().zip(&self.sources).zip(&self.member_mean_a);
        let mut rows = cells.zip(self.places.chunks_exact_mut(count));
        self.ties.clear();
        for (size, (ohm, open_v)) in self.circuit.sizes.iter().zip(self.ties.groups()) {
            for (((member, source), mean_a), places) in rows.by_ref().take(*size) {
                let emf = source.emf(&member.cell.curves, *mean_a);
                for (place, segment) in places.iter_mut().zip(segments) {
                    let lost = source.fast_near(place.current_a, &mut place.near);
                    place.v = emf.v - lost.v;
                    place.siemens = lost.siemens;
                    place.tied = emf.ohm * segment.share * place.siemens;
                }
                Place::add(places, member.count, ohm, open_v);
            }
        }
        self.ties.open();
    }

    /// Settles the loads of every segment at the linear cells and shares their currents out; gives the moment and the
    /// largest change of a current.
    fn share_out(&mut self) -> Result<(Moment, f64), NoOperatingPoint> {
        let circuit = self.circuit;
        self.ties.settle(self.drive, &circuit.segments, circuit.lead_ohm)?;
        let mut moment = Moment { lowest_group_v: f64::MAX, ..Moment::default() };
        for (segment, point) in circuit.segments.iter().zip(&self.ties.points) {
            moment.mean_a += segment.share * point.current_a;
            moment.square_a2 += segment.share * point.current_a * point.current_a;
            moment.load_w += segment.share * point.current_a * point.load_v;
        }
        if let Some(point) = self.ties.points.first() {
            moment.load_v = point.load_v;
            moment.pack_v = point.load_v + point.current_a * circuit.lead_ohm;
            moment.on_a = point.current_a;
        }
        let change = self.close();
        for (g, &group_v) in self.group_v.iter().enumerate() {
            if group_v < moment.lowest_group_v {
                (moment.lowest_group_v, moment.lowest_group) = (group_v, g);
            }
        }
        Ok((moment, change))
    }

    /// Shares the pack's currents among the cells; gives the largest change.
    fn close(&mut self) -> f64 {
        let segments = &self.circuit.segments;
        let count = segments.len().max(1);
        self.ties.close();
        let mut rows = self.member_mean_a.iter_mut().zip(self.places.chunks_exact_mut(count));
        let groups = self.circuit.sizes.iter().zip(self.group_v.iter_mut().zip(self.ties.closed_v.chunks_exact(count)));
        let mut change: f64 = 0.0;
        for (size, (group_v, closed_v)) in groups {
            *group_v = closed_v.first().copied().unwrap_or(0.0);
            for (mean, places) in rows.by_ref().take(*size) {
                let moved_a = Place::settle(places, closed_v);
                if moved_a > change || moved_a.is_nan() {
                    change = moved_a;
                }
                *mean = Place::mean_a(places, segments);
            }
        }
        change
    }

    /// Current of a member with the most loads on, in amperes.
    pub(crate) fn on_a(&self, member: usize) -> f64 {
        self.places.get(member * self.circuit.segments.len()).map_or(0.0, |place| place.current_a)
    }

    /// Powers of every member over the step last solved.
    pub(crate) fn losses(&self, into: &mut [CellEnergy]) {
        let members = self.circuit.members().zip(&self.sources).zip(&self.member_mean_a);
        for (energy, ((member, source), mean_a)) in into.iter_mut().zip(members) {
            let drawn_w = source.bulk_v(&member.cell.curves, *mean_a) * mean_a;
            *energy = CellEnergy { drawn_w, lost_w: drawn_w, square_a2: 0.0 };
        }
        let count = self.circuit.segments.len().max(1);
        let mut rows = into.iter_mut().zip(self.places.chunks_exact(count));
        for (size, closed_v) in self.circuit.sizes.iter().zip(self.ties.closed_v.chunks_exact(count)) {
            for (energy, places) in rows.by_ref().take(*size) {
                for ((place, v), Segment { share, .. }) in places.iter().zip(closed_v).zip(&self.circuit.segments) {
                    energy.lost_w -= share * place.current_a * v;
                    energy.square_a2 += share * place.current_a * place.current_a;
                }
            }
        }
    }
}

/// Powers of one cell over a step.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct CellEnergy {
    /// Rest voltage of the bulk times current.
    pub(crate) drawn_w: f64,
    /// What of it does not reach the terminals: heat, and what goes into the slow states.
    pub(crate) lost_w: f64,
    pub(crate) square_a2: f64,
}
