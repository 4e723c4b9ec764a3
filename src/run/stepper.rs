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
use crate::part::cell::circuit::{CellCircuit, Decay, Source};
use crate::part::load::LoadCircuit;
use alloc::vec::Vec;

/// Cells that are alike in a group are stepped once.
#[derive(Clone, Debug)]
pub(crate) struct Member {
    pub(crate) cell: CellCircuit,
    pub(crate) count: f64,
    /// Positions of the alike cells in the group as it was given.
    pub(crate) places: Vec<usize>,
}

impl Member {
    /// Charge of all alike cells together, in ampere-hours.
    pub(crate) fn charge_ah(&self) -> f64 {
        self.count * self.cell.capacity_ah
    }
}

/// A pack with everything in series with it, and its loads.
#[derive(Clone, Debug)]
pub struct PackCircuit {
    pub(crate) groups: Vec<Vec<Member>>,
    /// Resistance between the pack's cells and the loads: links, leads, fuse, switch; in ohms.
    pub lead_ohm: f64,
    /// Temperature of the surroundings, in degrees Celsius.
    pub ambient_degc: f64,
    pub(crate) loads: Vec<LoadCircuit>,
    /// Shares of a period, longest on-time last; in segment `k` the loads with a duty of at least `reach[k]` are on.
    pub(crate) share: Vec<f64>,
    pub(crate) reach: Vec<f64>,
}

impl PackCircuit {
    /// Puts groups of cells and loads together.
    #[must_use]
    pub fn new(groups: Vec<Vec<CellCircuit>>, loads: Vec<LoadCircuit>, lead_ohm: f64, ambient_degc: f64) -> Self {
        let (share, reach) = segments(&loads);
        Self { groups: groups.into_iter().map(alike).collect(), lead_ohm, ambient_degc, loads, share, reach }
    }

    /// The same cells with other loads and another resistance in series.
    #[must_use]
    pub fn with_loads(&self, loads: Vec<LoadCircuit>, lead_ohm: f64) -> Self {
        let (share, reach) = segments(&loads);
        Self { groups: self.groups.clone(), lead_ohm, ambient_degc: self.ambient_degc, loads, share, reach }
    }

    pub(crate) fn members(&self) -> impl Iterator<Item = &Member> {
        self.groups.iter().flatten()
    }
}

/// Gathers alike cells.
fn alike(cells: Vec<CellCircuit>) -> Vec<Member> {
    let mut members: Vec<Member> = Vec::new();
    for (place, cell) in cells.into_iter().enumerate() {
        match members.iter_mut().find(|member| member.cell == cell) {
            Some(member) => {
                member.count += 1.0;
                member.places.push(place);
            }
            None => members.push(Member { cell, count: 1.0, places: alloc::vec![place] }),
        }
    }
    members
}

/// Splits a period at every different duty, all loads switched on at its start.
fn segments(loads: &[LoadCircuit]) -> (Vec<f64>, Vec<f64>) {
    let mut reach: Vec<f64> = loads.iter().map(|load| load.duty).filter(|duty| *duty > 0.0).collect();
    reach.sort_by(f64::total_cmp);
    reach.dedup();
    if reach.last().is_none_or(|last| *last < 1.0) {
        reach.push(1.0);
    }
    let mut before = 0.0;
    let share = reach
        .iter()
        .map(|end| {
            let share = end - before;
            before = *end;
            share
        })
        .collect();
    (share, reach)
}

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
    fn settle(self, loads: &[LoadCircuit], reach: f64, open_v: f64, ohm: f64) -> Result<Point, NoOperatingPoint> {
        match self {
            Self::Loads => operating_point(loads, reach, open_v, ohm),
            Self::Current(charge_a) => Ok(Point { load_v: open_v + charge_a * ohm, current_a: -charge_a }),
            Self::Voltage(v) => Ok(Point { load_v: v, current_a: (open_v - v) / ohm.max(1e-9) }),
        }
    }
}

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
    /// Current of each member in each segment, in amperes.
    pub(crate) current_a: Vec<f64>,
    tangent_v: Vec<f64>,
    tangent_ohm: Vec<f64>,
    pub(crate) group_v: Vec<f64>,
    pub(crate) member_mean_a: Vec<f64>,
}

impl<'a> Stepper<'a> {
    /// A pack at rest, each cell at the state of charge that `soc_ratio` gives for it.
    pub fn new(circuit: &'a PackCircuit, mut soc_ratio: impl FnMut(&CellCircuit) -> f64) -> Self {
        let states: Vec<CellState> =
            circuit.members().map(|member| member.cell.at_rest(soc_ratio(&member.cell))).collect();
        let decays: Vec<Decay> = circuit.members().map(|member| member.cell.decay(0.0)).collect();
        let sources = circuit.members().zip(&states).zip(&decays).map(|((m, s), d)| m.cell.source(s, d, 0.0)).collect();
        let (members, segments) = (states.len(), circuit.share.len());
        Self {
            circuit,
            drive: Drive::Loads,
            saved: states.clone(),
            states,
            decays,
            decay_s: 0.0,
            sources,
            current_a: alloc::vec![0.0; members * segments],
            tangent_v: alloc::vec![0.0; members * segments],
            tangent_ohm: alloc::vec![1.0; members * segments],
            group_v: alloc::vec![0.0; circuit.groups.len()],
            member_mean_a: alloc::vec![0.0; members],
        }
    }

    /// Time in which tied cells of unequal charge settle, the fastest of all, in seconds: resistance times 3600 times
    /// capacity over the slope of the rest curve.
    pub(crate) fn settling_s(&self) -> f64 {
        let settling = |(member, (state, source)): (&Member, (&CellState, &Source))| {
            let slope = member.cell.slope_v(state);
            if slope > 0.0 { source.r_ohm * 3600.0 * member.cell.capacity_ah / slope } else { f64::MAX }
        };
        let shared =
            self.circuit.groups.iter().flat_map(|group| group.iter().map(move |member| (member, group.len() > 1)));
        let all = shared.zip(self.states.iter().zip(&self.sources));
        all.filter(|((_, tied), _)| *tied).map(|((member, _), at)| settling((member, at))).fold(f64::MAX, f64::min)
    }

    /// Remembers the present states.
    pub(crate) fn save(&mut self) {
        self.saved.copy_from_slice(&self.states);
    }

    /// Goes back to the states last remembered.
    pub(crate) fn restore(&mut self) {
        self.states.copy_from_slice(&self.saved);
    }

    /// The present moment.
    ///
    /// # Errors
    ///
    /// Where the loads ask for more than the pack can give at any voltage.
    pub fn now(&mut self) -> Result<Moment, NoOperatingPoint> {
        self.solve(0.0)
    }

    /// Advances by `dt_s` and gives the means of the step.
    ///
    /// # Errors
    ///
    /// Where the loads ask for more than the pack can give at any voltage; the states stay.
    pub fn step(&mut self, dt_s: f64) -> Result<Moment, NoOperatingPoint> {
        let mean = self.solve(dt_s)?;
        for (i, member) in self.circuit.members().enumerate() {
            let (Some(state), Some(decay), Some(&mean_a)) =
                (self.states.get_mut(i), self.decays.get(i), self.member_mean_a.get(i))
            else {
                continue;
            };
            member.cell.advance(state, decay, mean_a, dt_s);
        }
        Ok(mean)
    }

    fn prepare(&mut self, dt_s: f64) {
        let fresh = self.decay_s.total_cmp(&dt_s).is_ne();
        self.decay_s = dt_s;
        for (((member, state), decay), source) in
            self.circuit.members().zip(&self.states).zip(&mut self.decays).zip(&mut self.sources)
        {
            if fresh {
                *decay = member.cell.decay(dt_s);
            }
            *source = member.cell.source(state, decay, dt_s);
        }
    }

    /// Newton's method on all cell currents; the means of a step, or the present moment where `dt_s` is 0.
    fn solve(&mut self, dt_s: f64) -> Result<Moment, NoOperatingPoint> {
        self.prepare(dt_s);
        let mut moment = Moment::default();
        for round in 0..60 {
            self.linearise();
            let (next, change) = self.share_out()?;
            moment = next;
            if change < 1e-8 * (1.0 + libm::fabs(moment.on_a)) && round > 0 {
                break;
            }
        }
        Ok(moment)
    }

    /// Replaces each cell by a voltage and a resistance around its present current.
    fn linearise(&mut self) {
        let circuit = self.circuit;
        let segments = circuit.share.len();
        for (i, (member, source)) in circuit.members().zip(&self.sources).enumerate() {
            let row = i * segments..(i + 1) * segments;
            let (Some(currents), Some(volts), Some(ohms)) =
                (self.current_a.get(row.clone()), self.tangent_v.get_mut(row.clone()), self.tangent_ohm.get_mut(row))
            else {
                continue;
            };
            let mean_a: f64 = currents.iter().zip(&circuit.share).map(|(current, share)| current * share).sum();
            let emf = source.emf(&member.cell.curves, mean_a);
            for (((current, share), volt), ohm) in currents.iter().zip(&circuit.share).zip(volts).zip(ohms) {
                let fast = source.fast(*current);
                *ohm = (fast.ohm + emf.ohm * share).max(1e-9);
                *volt = emf.v - fast.v + *ohm * current;
            }
        }
    }

    /// Solves each segment with the linear cells; gives the moment and the largest change of a current.
    fn share_out(&mut self) -> Result<(Moment, f64), NoOperatingPoint> {
        let circuit = self.circuit;
        let segments = circuit.share.len();
        let mut moment = Moment { lowest_group_v: f64::MAX, ..Moment::default() };
        let mut change: f64 = 0.0;
        self.member_mean_a.fill(0.0);
        for (k, (share, reach)) in circuit.share.iter().zip(&circuit.reach).enumerate() {
            let (mut pack_v, mut pack_ohm, mut first) = (0.0, 0.0, 0);
            for group in &circuit.groups {
                let (v, ohm) = self.parallel(group, first, k);
                (pack_v, pack_ohm) = (pack_v + v, pack_ohm + ohm);
                first += group.len();
            }
            let point = self.drive.settle(&circuit.loads, *reach, pack_v, pack_ohm + circuit.lead_ohm)?;
            moment.mean_a += share * point.current_a;
            moment.square_a2 += share * point.current_a * point.current_a;
            moment.load_w += share * point.current_a * point.load_v;
            if k == 0 {
                moment.load_v = point.load_v;
                moment.pack_v = point.load_v + point.current_a * circuit.lead_ohm;
                moment.on_a = point.current_a;
            }
            first = 0;
            for (g, group) in circuit.groups.iter().enumerate() {
                let (v, ohm) = self.parallel(group, first, k);
                let group_v = v - ohm * point.current_a;
                if k == 0 {
                    if let Some(slot) = self.group_v.get_mut(g) {
                        *slot = group_v;
                    }
                    if group_v < moment.lowest_group_v {
                        (moment.lowest_group_v, moment.lowest_group) = (group_v, g);
                    }
                }
                for i in first..first + group.len() {
                    let at = i * segments + k;
                    let (Some(current), Some(volt), Some(ohm)) =
                        (self.current_a.get_mut(at), self.tangent_v.get(at), self.tangent_ohm.get(at))
                    else {
                        continue;
                    };
                    let next = (volt - group_v) / ohm;
                    change = change.max(libm::fabs(next - *current));
                    *current = next;
                    if let Some(mean) = self.member_mean_a.get_mut(i) {
                        *mean += share * next;
                    }
                }
                first += group.len();
            }
        }
        Ok((moment, change))
    }

    /// Open voltage and resistance of a group's linear cells in segment `k`.
    fn parallel(&self, group: &[Member], first: usize, k: usize) -> (f64, f64) {
        let segments = self.circuit.share.len();
        let (mut siemens, mut amperes) = (0.0, 0.0);
        for (i, member) in group.iter().enumerate() {
            let at = (first + i) * segments + k;
            if let (Some(volt), Some(ohm)) = (self.tangent_v.get(at), self.tangent_ohm.get(at)) {
                siemens += member.count / ohm;
                amperes += member.count * volt / ohm;
            }
        }
        if siemens > 0.0 { (amperes / siemens, 1.0 / siemens) } else { (0.0, 0.0) }
    }

    /// Losses of every member over the step of `dt_s` last solved.
    pub(crate) fn losses(&self, dt_s: f64, into: &mut [CellEnergy]) {
        let circuit = self.circuit;
        let segments = circuit.share.len();
        for (i, ((member, source), energy)) in circuit.members().zip(&self.sources).zip(into).enumerate() {
            let currents = self.current_a.get(i * segments..(i + 1) * segments).unwrap_or(&[]);
            let mean_a = self.member_mean_a.get(i).copied().unwrap_or(0.0);
            let curves = &member.cell.curves;
            let bulk_v = source.bulk_v(curves, &member.cell, mean_a, dt_s);
            *energy = CellEnergy { drawn_w: bulk_v * mean_a, fast_w: 0.0, slow_w: 0.0, square_a2: 0.0 };
            energy.slow_w = (bulk_v - source.emf(curves, mean_a).v) * mean_a;
            for (current, share) in currents.iter().zip(&circuit.share) {
                energy.fast_w += share * current * source.fast(*current).v;
                energy.square_a2 += share * current * current;
            }
        }
    }
}

/// Powers of one cell over a step.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct CellEnergy {
    /// Rest voltage of the bulk times current.
    pub(crate) drawn_w: f64,
    /// Lost in the fast part.
    pub(crate) fast_w: f64,
    /// Lost or stored in the slow part.
    pub(crate) slow_w: f64,
    pub(crate) square_a2: f64,
}

#[derive(Clone, Copy, Debug)]
struct Point {
    load_v: f64,
    current_a: f64,
}

/// Highest voltage at which the loads that are on take what a source of `open_v` and `ohm` gives.
fn operating_point(loads: &[LoadCircuit], reach: f64, open_v: f64, ohm: f64) -> Result<Point, NoOperatingPoint> {
    let on = || loads.iter().filter(|load| load.duty >= reach);
    let taken =
        |v: f64| on().map(|load| load.current(v)).fold((0.0, 0.0), |sum, (a, slope)| (sum.0 + a, sum.1 + slope));
    if on().next().is_none() {
        return Ok(Point { load_v: open_v, current_a: 0.0 });
    }
    if open_v <= 0.0 {
        return Err(NoOperatingPoint);
    }
    if ohm <= 0.0 {
        return Ok(Point { load_v: open_v, current_a: taken(open_v).0 });
    }
    // From the open voltage downwards; the first root is the one a real load settles at.
    let mut v = open_v;
    for _ in 0..80 {
        let (current_a, slope) = taken(v);
        let gap = open_v - v - current_a * ohm;
        let steepness = 1.0 + slope * ohm;
        if steepness <= 0.0 {
            return Err(NoOperatingPoint);
        }
        let next = v + gap / steepness;
        if next <= 1e-6 {
            return Err(NoOperatingPoint);
        }
        let done = libm::fabs(next - v) <= 1e-13 * open_v;
        v = next;
        if done {
            break;
        }
    }
    let (current_a, _) = taken(v);
    let settled = libm::fabs(open_v - v - current_a * ohm) < 1e-6 * open_v;
    if settled { Ok(Point { load_v: v, current_a }) } else { Err(NoOperatingPoint) }
}
