//! A charger filling a pack: constant current, then constant voltage, until the current has faded.
//!
//! ```text
//! first   charger_v = pack_v + current_a · lead_ohm < voltage_v   at current_a
//! then    current_a = (voltage_v − pack_v) / lead_ohm             at voltage_v, until current_a ≤ end_a
//! ```
//!
//! The pack is the same circuit as in the discharge ([`crate::run::stepper`]) with the current reversed. A plain
//! voltage supply is the same with no current limit.
//! The result is trusted while no cell takes more than 0.6C (0.25C at 5 °C, in between above and below), the cells stay
//! between 0 °C and 45 °C and no group rises above its limit, where the cell model ends. Source of these bounds:
//! comparison with simulated charges of four published cells.

use crate::error::{Error, within};
use crate::part::cell::CellCircuit;
use crate::part::cell::curves::Proven;
use crate::quantity::order::sort_by_key;
use crate::run::discharge::{TIME_MAX_S, TrustLimit};
use crate::run::stepper::{CellEnergy, Drive, Moment, PackCircuit, Stepper};
use alloc::vec::Vec;

/// Most points kept of a charge.
pub const CHARGE_POINTS: usize = 240;

/// Most steps of a charge; none that ends by itself comes near.
const STEPS_MAX: usize = 50_000;

/// Highest charge current from 25 °C on that the model was proven for, in multiples of the capacity.
const TRUSTED_C: f64 = 0.6;

/// What the charger does and when charging stops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChargeStops {
    /// Current of the first phase, in amperes; without it the supply holds its voltage from the start.
    pub current_a: Option<f64>,
    /// Voltage of the second phase at the charger, less what a diode in the path takes, in volts.
    pub voltage_v: f64,
    /// Current at which charging ends, in amperes.
    pub end_a: f64,
    /// Voltage that no group may pass, in volts.
    pub limit_v: f64,
    /// Group voltage at which the protection cuts off, in volts.
    pub cut_off_v: Option<f64>,
    /// Longest time, in seconds.
    pub time_s: f64,
}

/// What ended a charge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum ChargeEnd {
    /// The current faded to the charger's end current.
    EndCurrent,
    /// The protection cut off at the highest group.
    GroupCutOff,
    /// The charger's voltage lies no higher than the pack's: nothing flows into it.
    NothingFlows,
    /// The longest time that was asked for.
    TimeLimit,
}

/// What one cell took.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CellCharge {
    /// Highest charge current, in amperes.
    pub peak_a: f64,
    /// Charge at the end, as a ratio.
    pub end_soc_ratio: f64,
    /// Heat made in the cell, in watt-hours.
    pub heat_wh: f64,
}

/// What one group took.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct GroupCharge {
    /// Highest voltage while charging, in volts.
    pub peak_v: f64,
    /// Voltage at the end, in volts.
    pub end_v: f64,
    /// Time after which the group lay above its limit, in seconds, where it did.
    pub over_limit_after_s: Option<f64>,
    /// The cells in the order they were given.
    pub cells: Vec<CellCharge>,
}

/// Values over time, for a chart.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ChargeSeries {
    /// Time since the start, in seconds.
    pub time_s: Vec<f64>,
    /// Voltage at the charger, less a diode, in volts.
    pub charger_v: Vec<f64>,
    /// Voltage of the highest group, in volts.
    pub highest_group_v: Vec<f64>,
    /// Charge current, in amperes.
    pub current_a: Vec<f64>,
}

/// A whole charge.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ChargeRun {
    /// Time until the charge ended, in seconds.
    pub time_s: f64,
    /// Time at constant current, in seconds.
    pub constant_current_s: f64,
    /// What ended it.
    pub ended_by: ChargeEnd,
    /// The group with the highest voltage on the way, counted from 0 at the negative end.
    pub highest_group: usize,
    /// Its highest voltage, in volts.
    pub highest_group_v: f64,
    /// Time from which on the numbers are not to be relied on, in seconds, where there is one.
    pub trusted_until_s: Option<f64>,
    /// Why, where the reason is a rate or a temperature; otherwise a group passed its limit.
    pub trust_limit: Option<TrustLimit>,
    /// Charge put in, in ampere-hours.
    pub charged_ah: f64,
    /// Charge put in at constant current, in ampere-hours.
    pub constant_current_ah: f64,
    /// Energy given by the charger, in watt-hours.
    pub charger_wh: f64,
    /// Heat in the cells, in watt-hours.
    pub cell_heat_wh: f64,
    /// Heat in links and leads, in watt-hours.
    pub lead_heat_wh: f64,
    /// Highest current, in amperes.
    pub peak_a: f64,
    /// Current at the end, in amperes.
    pub end_a: f64,
    /// Each group.
    pub groups: Vec<GroupCharge>,
    /// Values over time.
    pub series: ChargeSeries,
}

impl ChargeStops {
    fn check(&self) -> Result<(), Error> {
        within("voltage_v", self.voltage_v, 0.1, 500.0)?;
        within("end_a", self.end_a, 1e-4, 1000.0)?;
        within("limit_v", self.limit_v, 0.5, 5.0)?;
        within("time_s", self.time_s, 0.0, TIME_MAX_S)?;
        if let Some(current_a) = self.current_a {
            within("current_a", current_a, self.end_a, 1000.0)?;
        }
        if let Some(cut_off_v) = self.cut_off_v {
            within("cut_off_v", cut_off_v, 0.5, 5.0)?;
        }
        Ok(())
    }
}

/// Charges a pack from the state of charge that `soc_ratio` gives each cell; the circuit's loads take no part.
///
/// # Errors
///
/// Names a stop that is out of range.
pub fn charge(
    circuit: &PackCircuit,
    stops: &ChargeStops,
    soc_ratio: impl FnMut(&CellCircuit) -> f64,
) -> Result<ChargeRun, Error> {
    stops.check()?;
    if !circuit.loads.is_empty() {
        return charge(&circuit.with_loads(Vec::new(), circuit.lead_ohm), stops, soc_ratio);
    }
    let mut run = Run::new(circuit, *stops, soc_ratio, WHOLE);
    let ended_by = run.go();
    Ok(run.finish(ended_by))
}

/// How far [`charge_time_s`] may lie from the whole run, as a ratio: held against it in tests.
pub(crate) const BRIEF_RATIO: f64 = 0.01;

/// As [`charge`], but the time alone, in coarser steps: within 1 % of the whole run's where the charger limits its current.
pub(crate) fn charge_time_s(
    circuit: &PackCircuit,
    stops: &ChargeStops,
    soc_ratio: impl FnMut(&CellCircuit) -> f64,
) -> Result<f64, Error> {
    stops.check()?;
    let mut run = Run::new(circuit, *stops, soc_ratio, BRIEF);
    run.go();
    Ok(run.result.time_s)
}

/// How finely a charge is stepped.
#[derive(Clone, Copy)]
struct Care {
    /// Share of the smallest group's charge that a step takes, near both ends and between.
    near: f64,
    far: f64,
    /// How often the last step before a stop is halved.
    halvings: u32,
    /// Change of a current, as a share of the pack's, under which the currents count as found.
    enough: f64,
    /// Whether heat, currents and points are kept, or the time alone.
    keeps: bool,
}

/// For a charge that is told whole.
const WHOLE: Care = Care { near: 0.0025, far: 0.01, halvings: 20, enough: 1e-5, keeps: true };

/// For the time alone.
const BRIEF: Care = Care { near: 0.015, far: 0.08, halvings: 6, enough: 1e-3, keeps: false };

/// A charge under way.
struct Run<'a> {
    stepper: Stepper<'a>,
    stops: ChargeStops,
    care: Care,
    /// Whether any cell's temperature moves.
    warms: bool,
    result: ChargeRun,
    /// Losses of each member over the step last tried.
    pending: Vec<CellEnergy>,
    cells: Vec<CellCharge>,
    /// Charge of the smallest group, in ampere-hours.
    capacity_ah: f64,
}

/// What became of a tried step.
enum Tried {
    On(Moment, Moment),
    Past(Stop),
}

/// Why a step went too far.
#[derive(Clone, Copy)]
enum Stop {
    /// The voltage of the second phase is reached.
    Full,
    End(ChargeEnd),
}

impl<'a> Run<'a> {
    fn new(
        circuit: &'a PackCircuit,
        stops: ChargeStops,
        soc_ratio: impl FnMut(&CellCircuit) -> f64,
        care: Care,
    ) -> Self {
        let mut stepper = Stepper::new(circuit, soc_ratio);
        stepper.enough = care.enough;
        stepper.drive = stops.current_a.map_or(Drive::Voltage(stops.voltage_v), Drive::Current);
        let members = circuit.members().count();
        let mut result = empty();
        result.groups = circuit.groups().map(|_| no_group()).collect();
        let group_ah = |group: &[_]| group.iter().map(crate::run::stepper::Member::charge_ah).sum::<f64>();
        Self {
            stepper,
            stops,
            care,
            warms: circuit.members().any(|member| member.cell.heat_path.is_some()),
            result,
            pending: alloc::vec![CellEnergy::default(); members],
            cells: alloc::vec![CellCharge::default(); members],
            capacity_ah: circuit.groups().map(group_ah).fold(f64::MAX, f64::min),
        }
    }

    fn go(&mut self) -> ChargeEnd {
        let Ok(mut moment) = self.stepper.now() else { return ChargeEnd::NothingFlows };
        match self.ended(&moment) {
            Some(Stop::Full) => match self.hold_voltage() {
                Some(next) => moment = next,
                None => return ChargeEnd::NothingFlows,
            },
            Some(Stop::End(ChargeEnd::EndCurrent)) if moment.mean_a >= 0.0 => return ChargeEnd::NothingFlows,
            Some(Stop::End(end)) => {
                self.note(&moment);
                return end;
            }
            None => {}
        }
        self.note(&moment);
        for _ in 0..STEPS_MAX {
            let left_s = self.stops.time_s - self.result.time_s;
            if left_s <= 0.0 {
                break;
            }
            let dt_s = self.length_s(&moment).min(left_s);
            self.stepper.save();
            match self.try_step(dt_s) {
                Tried::On(mean, next) => {
                    self.account(&mean, dt_s);
                    self.note(&next);
                    moment = next;
                }
                Tried::Past(_) => match self.find_stop(dt_s) {
                    Stop::End(end) => return end,
                    Stop::Full => match self.hold_voltage() {
                        Some(next) => moment = next,
                        None => return ChargeEnd::EndCurrent,
                    },
                },
            }
        }
        ChargeEnd::TimeLimit
    }

    /// Goes over to constant voltage; nothing where no more than the end current flows at once.
    fn hold_voltage(&mut self) -> Option<Moment> {
        self.result.constant_current_s = self.result.time_s;
        self.result.constant_current_ah = self.result.charged_ah;
        self.stepper.drive = Drive::Voltage(self.stops.voltage_v);
        let moment = self.stepper.now().ok()?;
        (-moment.mean_a > self.stops.end_a).then_some(moment)
    }

    /// Length of the next step: a part of a percent of the smallest group's charge, finer at both ends.
    fn length_s(&self, moment: &Moment) -> f64 {
        let lowest = self.stepper.states.iter().map(|state| state.soc_ratio).fold(f64::MAX, f64::min);
        let near = self.stops.voltage_v - moment.load_v < 0.05 * self.stops.voltage_v;
        let fine = if lowest < 0.15 || near { self.care.near } else { self.care.far };
        (fine * 3600.0 * self.capacity_ah / libm::fabs(moment.mean_a).max(1e-6)).clamp(1e-3, 240_000.0 * self.care.near)
    }

    /// Tries a step from the saved states.
    fn try_step(&mut self, dt_s: f64) -> Tried {
        let Ok(mean) = self.stepper.step(dt_s) else { return Tried::Past(Stop::End(ChargeEnd::NothingFlows)) };
        self.look_at_losses();
        match self.stepper.now() {
            Ok(next) => self.ended(&next).map_or(Tried::On(mean, next), Tried::Past),
            Err(_) => Tried::Past(Stop::End(ChargeEnd::NothingFlows)),
        }
    }

    fn look_at_losses(&mut self) {
        if self.care.keeps || self.warms {
            self.stepper.losses(&mut self.pending);
        }
    }

    /// Which stop a moment has reached.
    fn ended(&self, moment: &Moment) -> Option<Stop> {
        let highest_v = self.highest().1;
        if self.stops.cut_off_v.is_some_and(|cut_off_v| highest_v >= cut_off_v) {
            return Some(Stop::End(ChargeEnd::GroupCutOff));
        }
        match self.stepper.drive {
            Drive::Voltage(_) => (-moment.mean_a <= self.stops.end_a).then_some(Stop::End(ChargeEnd::EndCurrent)),
            _ => (moment.load_v >= self.stops.voltage_v).then_some(Stop::Full),
        }
    }

    fn highest(&self) -> (usize, f64) {
        let mut highest = (0, f64::MIN);
        for (g, &v) in self.stepper.group_v.iter().enumerate() {
            if v > highest.1 {
                highest = (g, v);
            }
        }
        highest
    }

    /// Halves the last step until the stop is found to a millionth of it.
    fn find_stop(&mut self, dt_s: f64) -> Stop {
        let (mut low, mut high, mut stop) = (0.0, dt_s, Stop::End(ChargeEnd::TimeLimit));
        for _ in 0..self.care.halvings {
            let middle = 0.5 * (low + high);
            self.stepper.restore();
            match self.try_step(middle) {
                Tried::On(..) => low = middle,
                Tried::Past(by) => (high, stop) = (middle, by),
            }
        }
        self.stepper.restore();
        let found = self.try_step(high);
        if let Tried::Past(by) = found {
            stop = by;
        }
        self.stepper.restore();
        if let Ok(mean) = self.stepper.step(high) {
            self.look_at_losses();
            self.account(&mean, high);
        }
        if let Ok(next) = self.stepper.now() {
            self.note(&next);
        }
        stop
    }

    /// Adds a step that counts.
    fn account(&mut self, mean: &Moment, dt_s: f64) {
        let circuit = self.stepper.circuit;
        let result = &mut self.result;
        result.time_s += dt_s;
        if !self.care.keeps && !self.warms {
            return;
        }
        result.charged_ah -= mean.mean_a * dt_s / 3600.0;
        result.charger_wh -= mean.load_w * dt_s / 3600.0;
        result.lead_heat_wh += mean.square_a2 * circuit.lead_ohm * dt_s / 3600.0;
        let states = self.stepper.states.iter_mut();
        for (((member, energy), cell), state) in circuit.members().zip(&self.pending).zip(&mut self.cells).zip(states) {
            let heat_j = energy.lost_w * dt_s;
            cell.heat_wh += heat_j / 3600.0;
            result.cell_heat_wh += member.count * heat_j / 3600.0;
            member.cell.warm(state, heat_j, dt_s, circuit.ambient_degc);
        }
    }

    /// Looks at a moment that counts: peaks, limits, trust, a point for the chart.
    fn note(&mut self, moment: &Moment) {
        if !self.care.keeps {
            return;
        }
        let (highest_group, highest_v) = self.highest();
        let stops = self.stops;
        let result = &mut self.result;
        result.end_a = -moment.mean_a;
        result.peak_a = result.peak_a.max(-moment.mean_a);
        if result.series.time_s.is_empty() || highest_v > result.highest_group_v {
            (result.highest_group, result.highest_group_v) = (highest_group, highest_v);
        }
        for (group, &v) in result.groups.iter_mut().zip(&self.stepper.group_v) {
            (group.peak_v, group.end_v) = (group.peak_v.max(v), v);
            if v > stops.limit_v + OVER_V && group.over_limit_after_s.is_none() {
                group.over_limit_after_s = Some(result.time_s);
            }
        }
        let mut beyond = None;
        for (((member, cell), mean_a), state) in self
            .stepper
            .circuit
            .members()
            .zip(&mut self.cells)
            .zip(&self.stepper.member_mean_a)
            .zip(&self.stepper.states)
        {
            cell.peak_a = cell.peak_a.max(-mean_a);
            beyond = beyond.or(beyond_trust(&member.cell, -mean_a / member.cell.capacity_ah, state.cell_degc));
        }
        if result.trusted_until_s.is_none() && (beyond.is_some() || highest_v > stops.limit_v + OVER_V) {
            (result.trusted_until_s, result.trust_limit) = (Some(result.time_s), beyond);
        }
        result.series.time_s.push(result.time_s);
        result.series.charger_v.push(moment.load_v);
        result.series.highest_group_v.push(highest_v);
        result.series.current_a.push(-moment.mean_a);
    }

    fn finish(mut self, ended_by: ChargeEnd) -> ChargeRun {
        let circuit = self.stepper.circuit;
        self.result.ended_by = ended_by;
        self.result.series.thin();
        if self.stepper.drive == Drive::Current(self.stops.current_a.unwrap_or(0.0)) {
            self.result.constant_current_s = self.result.time_s;
            self.result.constant_current_ah = self.result.charged_ah;
        }
        let stored_j: f64 =
            circuit.members().zip(&self.stepper.states).map(|(m, state)| m.count * m.cell.stored_j(state)).sum();
        self.result.cell_heat_wh -= stored_j / 3600.0;
        let mut all = self.cells.iter().zip(&self.stepper.states);
        for (group, members) in self.result.groups.iter_mut().zip(circuit.groups()) {
            let mut cells: Vec<(usize, CellCharge)> = Vec::new();
            for (member, (cell, state)) in members.iter().zip(&mut all) {
                let run = CellCharge { end_soc_ratio: state.soc_ratio, ..*cell };
                cells.extend(member.places.iter().map(|place| (*place, run)));
            }
            sort_by_key(&mut cells, |(place, _)| *place);
            group.cells = cells.into_iter().map(|(_, run)| run).collect();
        }
        self.result
    }
}

/// A group counts as above its limit from this much on, so that rounding at the limit itself does not, in volts.
const OVER_V: f64 = 1e-4;

impl ChargeSeries {
    /// Keeps at most [`CHARGE_POINTS`] points, evenly picked, both ends included.
    fn thin(&mut self) {
        let have = self.time_s.len();
        if have <= CHARGE_POINTS {
            return;
        }
        for list in [&mut self.time_s, &mut self.charger_v, &mut self.highest_group_v, &mut self.current_a] {
            let pick = |i: usize| list.get(i * (have - 1) / (CHARGE_POINTS - 1)).copied();
            *list = (0..CHARGE_POINTS).filter_map(pick).collect();
        }
    }
}

/// Why the model is not to be relied on at this charge rate and temperature.
fn beyond_trust(cell: &CellCircuit, rate_per_h: f64, cell_degc: f64) -> Option<TrustLimit> {
    if !cell.explains_pulses() {
        return Some(TrustLimit::UnexplainedPulses);
    }
    if cell.proven() != Proven::Lithium {
        return Some(TrustLimit::Chemistry);
    }
    if !(0.0..=45.0).contains(&cell_degc) {
        return Some(TrustLimit::Temperature);
    }
    let limit = (0.25 + (cell_degc - 5.0) / 20.0 * (TRUSTED_C - 0.25)).min(TRUSTED_C);
    (rate_per_h > limit).then_some(TrustLimit::HighRate)
}

fn no_group() -> GroupCharge {
    GroupCharge { peak_v: 0.0, end_v: 0.0, over_limit_after_s: None, cells: Vec::new() }
}

fn empty() -> ChargeRun {
    ChargeRun {
        time_s: 0.0,
        constant_current_s: 0.0,
        ended_by: ChargeEnd::TimeLimit,
        highest_group: 0,
        highest_group_v: 0.0,
        trusted_until_s: None,
        trust_limit: None,
        charged_ah: 0.0,
        constant_current_ah: 0.0,
        charger_wh: 0.0,
        cell_heat_wh: 0.0,
        lead_heat_wh: 0.0,
        peak_a: 0.0,
        end_a: 0.0,
        groups: Vec::new(),
        series: ChargeSeries::default(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::part::cell::{Chemistries, Chemistry};
    use alloc::sync::Arc;

    /// What [`charge_time_s`] promises.
    #[test]
    fn a_coarse_charge_lasts_as_long_as_a_whole_one() {
        for (chemistry, voltage_v) in [(Chemistry::Lfp, 3.6), (Chemistry::Nmc, 4.2), (Chemistry::Lco, 4.1)] {
            let chemistries = Chemistries::new(&[], core::iter::once(&chemistry)).unwrap();
            let curves = chemistries.curves(&chemistry).unwrap();
            let cell = |capacity_ah: f64| CellCircuit::new(Arc::clone(&curves), capacity_ah, 1.3, 20.0);
            let groups = [[2.0, 1.9], [2.1, 1.7], [1.8, 1.8]].map(|group| group.map(cell).to_vec()).to_vec();
            let circuit = PackCircuit::new(groups, Vec::new(), 0.05, 20.0);
            for (current_a, start) in [(Some(0.6), 0.02), (Some(2.0), 0.1), (Some(4.0), 0.3)] {
                let stops = ChargeStops {
                    current_a,
                    voltage_v: 3.0 * voltage_v,
                    end_a: 0.2,
                    limit_v: voltage_v + 0.05,
                    cut_off_v: Some(voltage_v + 0.08),
                    time_s: TIME_MAX_S,
                };
                let whole_s = charge(&circuit, &stops, |_| start).unwrap().time_s;
                let off = charge_time_s(&circuit, &stops, |_| start).unwrap() / whole_s - 1.0;
                assert!(libm::fabs(off) < BRIEF_RATIO, "{chemistry:?} {current_a:?}: {off}");
            }
        }
    }
}
