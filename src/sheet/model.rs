//! The planned build with everything in it that is not known exactly, and what a meter then shows.
//!
//! ```text
//! value = likely · exp(z · ln(high / low) / √12)      z: mean 0, spread 1, for each unknown of its own
//! ```
//!
//! The ends of an interval are taken as ends of an even spread. Charge, the gain of each range of the meter, every
//! group's rest voltage and resistance, strips, leads, contacts, loads and timing parts have an unknown each. What a
//! plan does not hold is common practice, no source: 20 % for the knob and the capacitor, 1 to 20 mΩ for a
//! main switch, 10 mV for a rest voltage read within the hour, 10 % for a resistance of cells that are no longer at rest.

use super::fault::{Fault, FaultKind as K};
use super::measure::{BenchMeter, Measure};
use crate::data::diode::Diode;
use crate::error::Error;
use crate::part::cell::{CellCircuit, Chemistries, Chemistry};
use crate::part::load::{Draw, LoadCircuit};
use crate::part::timing::{Circuit, Timer, TwoResistor};
use crate::part::wire::Way;
use crate::plan::Plan;
use crate::quantity::{End, Interval};
use crate::run::build::{BROKEN_OHM, BuildCircuit, BuildLoad, GroupSource, Piece, Settled};
use crate::run::driven::{Chopping, Driven};
use crate::run::pack_run::RunEnds;
use alloc::vec::Vec;
use core::cell::RefCell;

/// What an open path reads on ohms or diodes.
pub(super) const OPEN_READING: f64 = 1e9;

/// Places in the list of unknowns.
pub(super) const CHARGE: usize = 0;
const GAIN: usize = 1;
const LINKS: usize = 5;
const PIECES: usize = 6;
const PAUSE: usize = 13;
const CAPACITOR: usize = 14;
const KNOB: usize = 15;
const LIMITED: usize = 16;
pub(super) const CHOPPED: usize = 17;
const GROUPS: usize = 18;

/// Root of 12: an even spread of that width has the deviation 1.
const WIDTH: f64 = 3.4641016151377544;

/// Points of a group's tables over its charge.
const POINTS: usize = 41;

/// Resistance of a main switch's contacts, in ohms.
const SWITCH_OHM: Interval = Interval { low: 0.001, likely: 0.005, high: 0.02 };

/// Deviation of a rest voltage, in volts, and of an unequal charge of the groups.
const REST_V: f64 = 0.01;
const UNEQUAL_RATIO: f64 = 0.01;

/// Root of 3: the end of an even spread of deviation 1.
const HALF: f64 = 1.7320508075688772;

/// Duties at which a machine of the plan is worked out.
const GRID: usize = 20;

/// Results of the timer that are kept.
const HELD: usize = 512;

/// A group over its charge.
#[derive(Debug)]
struct GroupTable {
    rest_v: [f64; POINTS],
    ohm: [f64; POINTS],
    ohm_spread: f64,
}

/// A value and the deviation of its logarithm.
#[derive(Clone, Copy, Debug)]
struct Spread {
    likely: f64,
    spread: f64,
}

/// What one setting does.
#[derive(Clone, Copy, Debug)]
struct Timed {
    frequency_hz: f64,
    duty: f64,
}

/// The planned build.
#[derive(Debug)]
pub(super) struct Model<'a> {
    pub(super) plan: &'a Plan,
    pub(super) meter: BenchMeter,
    groups: Vec<GroupTable>,
    link: Spread,
    pieces: [Spread; 7],
    loads: Vec<(BuildLoad, f64)>,
    /// Current while on of the plan's machine against that at full duty: low, likely, high at each duty.
    driven: Option<Vec<[f64; 3]>>,
    /// Whether the machine draws current all the time, whatever the duty.
    steady: bool,
    /// The limiting resistor, in ohms.
    pub(super) limit_ohm: f64,
    timed: RefCell<Vec<Option<([u64; 6], Timed)>>>,
}

/// Unknowns and a fault of one size: everything that fixes the readings.
#[derive(Clone, Copy, Debug)]
pub(super) struct Case<'z> {
    pub(super) z: &'z [f64],
    pub(super) fault: Option<Fault>,
    pub(super) size: f64,
}

impl Case<'_> {
    pub(super) fn z(&self, place: usize) -> f64 {
        self.z.get(place).copied().unwrap_or(0.0)
    }

    pub(super) fn has(&self, kind: K) -> bool {
        self.fault.is_some_and(|fault| fault.kind == kind)
    }

    fn at(&self, kind: K, place: usize) -> bool {
        self.fault.is_some_and(|fault| fault.kind == kind && fault.place == place)
    }
}

fn spread(value: Interval, more: f64) -> Spread {
    let likely = value.likely.max(1e-7);
    let (low, high) = (value.low.max(0.2 * likely), value.high.max(likely));
    let own = libm::log(high / low) / WIDTH;
    Spread { likely, spread: libm::sqrt(own * own + more * more) }
}

impl Spread {
    fn at(&self, z: f64) -> f64 {
        self.likely * libm::exp(self.spread * z)
    }
}

impl<'a> Model<'a> {
    /// The build of a plan whose values are checked.
    pub(super) fn new(plan: &'a Plan, meter: BenchMeter) -> Result<Self, Vec<Error>> {
        identified(plan)?;
        let used = plan.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
        let chemistries = Chemistries::new(&plan.own_chemistries, used)?;
        let at = |ends: RunEnds| {
            let inside = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("pack")).collect::<Vec<Error>>();
            plan.pack.circuits(&chemistries, ends.cells, plan.ambient_degc.at(ends.ambient)).map_err(inside)
        };
        let (worst, likely, best) = (at(RunEnds::LEAST)?, at(RunEnds::LIKELY)?, at(RunEnds::MOST)?);
        let nominal_v: f64 = likely.iter().filter_map(|group| group.first()).map(|cell| cell.rest_v(0.5)).sum();
        let mut loads = loads(plan);
        let machine = plan.control.as_ref().and_then(|control| control.driven.as_ref());
        let worked = machine.and_then(|machine| Worked::of(plan, machine, nominal_v.max(0.5)));
        if let (Some(worked), Some((load, _))) = (&worked, loads.iter_mut().find(|(load, _)| load.chopped)) {
            load.circuit = worked.law;
        }
        let load_a: f64 = loads.iter().map(|(load, _)| load.circuit.current(nominal_v.max(0.5)).0).sum();
        let groups = likely
            .iter()
            .zip(&worst)
            .zip(&best)
            .map(|((likely, worst), best)| GroupTable::new([likely, worst, best], load_a));
        let groups: Vec<GroupTable> = groups.collect();
        let series = plan.pack.groups.len().max(1) as f64;
        let links = plan.pack.link_ohm;
        let each = Interval { low: links.low / series, likely: links.likely / series, high: links.high / series };
        Ok(Self {
            plan,
            meter,
            groups,
            link: spread(each, 0.1),
            pieces: pieces(plan, &meter),
            loads,
            steady: worked.as_ref().is_some_and(|worked| worked.steady),
            driven: worked.map(|worked| worked.grid),
            limit_ohm: super::limit::resistor_ohm(plan),
            timed: RefCell::new(alloc::vec![None; HELD]),
        })
    }

    /// How many unknowns there are.
    pub(super) fn unknowns(&self) -> usize {
        GROUPS + 2 * self.groups.len() + self.loads.len()
    }

    /// Every unknown at the end that draws most current (above 0) or least, the meter's own left out.
    pub(super) fn set_corner(&self, z: &mut [f64], end: f64) {
        let loads = GROUPS + 2 * self.groups.len();
        for (place, value) in z.iter_mut().enumerate() {
            *value = match place {
                LINKS..PAUSE => -end,
                CHOPPED => end,
                GROUPS.. if place >= loads => end,
                GROUPS.. if (place - GROUPS) % 2 == 1 => -end,
                _ => 0.0,
            };
        }
    }

    /// Charge that an unknown stands for, and back.
    pub(super) fn charge(z: f64) -> f64 {
        0.5 + 0.35 * z
    }

    pub(super) fn charge_z(soc_ratio: f64) -> f64 {
        (soc_ratio - 0.5) / 0.35
    }

    /// Charge at which the first group rests at a voltage.
    pub(super) fn soc_at(&self, rest_v: f64) -> f64 {
        let Some(first) = self.groups.first() else { return 0.5 };
        let above = first.rest_v.iter().position(|v| *v >= rest_v).unwrap_or(POINTS - 1).max(1);
        let at = |place: usize| first.rest_v.get(place).copied().unwrap_or(rest_v);
        let (low, high) = (at(above - 1), at(above));
        let share = if high > low { ((rest_v - low) / (high - low)).clamp(0.0, 1.0) } else { 0.0 };
        (above as f64 - 1.0 + share) / (POINTS as f64 - 1.0)
    }

    /// The circuit at a setting.
    pub(super) fn circuit(&self, case: &Case<'_>, setting: usize) -> BuildCircuit {
        let mut circuit = self.still(case);
        self.set(case, setting, &mut circuit);
        circuit
    }

    /// Turns the knob of a circuit.
    fn set(&self, case: &Case<'_>, setting: usize, circuit: &mut BuildCircuit) {
        if self.plan.control.is_some() {
            let duty = self.conducts(case, setting, circuit.open_v());
            self.conduct(case, duty, circuit);
        }
    }

    /// Lets the transistor conduct for a share of the time.
    pub(super) fn conduct(&self, case: &Case<'_>, duty: f64, circuit: &mut BuildCircuit) {
        circuit.duty = duty;
        for ((place, load), held) in (1..).zip(&self.loads).zip(&mut circuit.loads) {
            *held = self.load(case, place, load);
            if held.chopped && !case.at(K::LoadStalled, place) && !case.at(K::LoadShorted, place) {
                held.circuit.current_a *= self.chopped_ratio(place, duty, case.z(CHOPPED));
            }
            if self.steady && held.chopped && duty > 0.0 {
                (held.chopped, held.circuit.duty) = (false, 1.0);
            }
        }
        let motor = self.loads.iter().any(|(load, _)| load.chopped && load.circuit.exponent != 2.0);
        let pause = if motor { 0.1 + 0.15 * case.z(PAUSE) } else { 0.0 };
        circuit.pause_v = pause * circuit.open_v().max(0.0);
    }

    /// Current while on against that of the unchopped load: a motor whose current does not stop turns slower and takes
    /// less, as the square of the duty for a fan; one whose current stops takes what its label says.
    fn chopped_ratio(&self, place: usize, duty: f64, z: f64) -> f64 {
        let (low, likely, high) = if let Some(grid) = &self.driven {
            let at = |side: usize| {
                let step = libm::ceil(duty * GRID as f64).clamp(1.0, GRID as f64) as usize - 1;
                grid.get(step).and_then(|row| row.get(side)).copied().unwrap_or(1.0)
            };
            (at(0), at(1), at(2))
        } else {
            let draw = self.plan.loads.get(place - 1).map(|load| load.draw);
            let Some(Draw::FollowsVoltage { exponent, .. }) = draw else { return 1.0 };
            (libm::pow(duty.clamp(0.02, 1.0), (exponent - 1.0).max(0.0)), 1.0, 1.0)
        };
        let side = libm::fabs(z) / HALF;
        let end = if z < 0.0 { low } else { high };
        likely * libm::pow((end / likely).clamp(1e-3, 1e3), side)
    }

    /// The circuit with the transistor conducting.
    fn still(&self, case: &Case<'_>) -> BuildCircuit {
        let groups = (1..=self.groups.len()).map(|group| self.group(case, group)).collect();
        let link = |group: usize| self.link_ohm(case, group);
        let mut piece_ohm = [0.0; 7];
        for (place, (ohm, held)) in piece_ohm.iter_mut().zip(&self.pieces).enumerate() {
            *ohm = if held.likely > 1e-7 { held.at(case.z(PIECES + place)) } else { 0.0 };
        }
        let mut circuit = BuildCircuit {
            groups,
            link_ohm: (1..=self.groups.len()).map(link).collect(),
            piece_ohm,
            loads: (1..).zip(&self.loads).map(|(place, load)| self.load(case, place, load)).collect(),
            duty: 1.0,
            flyback_reversed: case.has(K::FlybackReversed),
            pause_v: 0.0,
            fuse_a: self.plan.fuse.as_ref().and_then(|fuse| fuse.fitted()).map(|fuse| fuse.rating_a),
            trip_a: self.trip_a(),
        };
        self.spoil(case, &mut circuit);
        circuit
    }

    fn trip_a(&self) -> Option<f64> {
        let board = self.plan.protection.as_ref().and_then(|protection| protection.board());
        board.and_then(|board| board.trip_a).map(|trip_a| trip_a.likely)
    }

    fn group(&self, case: &Case<'_>, group: usize) -> GroupSource {
        let Some(table) = self.groups.get(group - 1) else { return GroupSource { open_v: 0.0, ohm: 0.0 } };
        let soc = Self::charge(case.z(CHARGE));
        let (rest_v, slope_v) = read(&table.rest_v, soc);
        let off_v = libm::sqrt(REST_V * REST_V + UNEQUAL_RATIO * UNEQUAL_RATIO * slope_v * slope_v);
        let mut open_v = rest_v + off_v * case.z(GROUPS + 2 * (group - 1));
        let mut ohm = read(&table.ohm, soc).0.max(1e-5) * libm::exp(table.ohm_spread * case.z(GROUPS + 2 * group - 1));
        match case.fault {
            Some(Fault { kind, place }) if place == group => match kind {
                K::GroupLow => open_v -= case.size,
                K::GroupHigh => open_v = self.plan.pack.full_v + case.size,
                K::GroupReversed => open_v = -open_v,
                K::GroupShorted => open_v = case.size,
                K::GroupTired => ohm *= case.size,
                _ => {}
            },
            _ => {}
        }
        GroupSource { open_v, ohm }
    }

    fn link_ohm(&self, case: &Case<'_>, group: usize) -> f64 {
        let more = if case.at(K::LinkJoint, group) {
            case.size
        } else if case.at(K::LinkBroken, group) {
            BROKEN_OHM
        } else {
            0.0
        };
        self.link.at(case.z(LINKS)) + more
    }

    fn load(&self, case: &Case<'_>, place: usize, (load, held): &(BuildLoad, f64)) -> BuildLoad {
        let mut law = load.circuit;
        law.current_a *= libm::exp(held * case.z(GROUPS + 2 * self.groups.len() + place - 1));
        let shorted = |ohm: f64| LoadCircuit { current_a: 1.0 / ohm, at_v: 1.0, exponent: 2.0, ..law };
        let circuit = match case.fault {
            Some(Fault { kind, place: at }) if at == place => match kind {
                // A held motor is the resistance of its winding.
                K::LoadStalled => {
                    let current_a = law.current(self.nominal_v()).0 * case.size;
                    LoadCircuit { current_a, at_v: self.nominal_v(), exponent: 2.0, ..law }
                }
                K::LoadLarger => scaled(law, case.size),
                K::LoadSmaller | K::LoadLight => scaled(law, 1.0 / case.size),
                K::LoadOpen => scaled(law, 1e-9),
                K::LoadShorted => shorted(case.size),
                _ => law,
            },
            _ => law,
        };
        BuildLoad { circuit, ..*load }
    }

    /// Voltage of the half-full pack, in volts.
    pub(super) fn nominal_v(&self) -> f64 {
        self.groups.iter().map(|table| read(&table.rest_v, 0.5).0).sum::<f64>().max(0.5)
    }

    /// Puts a fault of the current's way into the circuit.
    fn spoil(&self, case: &Case<'_>, circuit: &mut BuildCircuit) {
        let Some(Fault { kind, .. }) = case.fault else { return };
        let (piece, ohm) = match kind {
            K::FuseJoint => (Piece::FuseWay, case.size),
            K::FuseOpen => (Piece::FuseWay, BROKEN_OHM),
            K::SwitchContact => (Piece::MainSwitch, case.size),
            K::SwitchOpen => (Piece::MainSwitch, BROKEN_OHM),
            K::PlusJoint => (Piece::PlusLead, case.size),
            K::PlusBroken => (Piece::PlusLead, BROKEN_OHM),
            K::MinusJoint => (Piece::MinusLead, case.size),
            K::MinusBroken => (Piece::MinusLead, BROKEN_OHM),
            K::BoardPath => (Piece::Board, case.size),
            K::BoardOff => (Piece::Board, BROKEN_OHM),
            K::TransistorWeak => (Piece::Transistor, case.size),
            K::ThinLeads => {
                let both = [Piece::PlusLead, Piece::MinusLead].map(|piece| (piece, circuit.ohm(piece)));
                both.into_iter().for_each(|(piece, ohm)| circuit.add_ohm(piece, (case.size - 1.0) * ohm));
                return;
            }
            _ => return,
        };
        circuit.add_ohm(piece, ohm);
    }

    /// Share of the time that the transistor conducts.
    fn conducts(&self, case: &Case<'_>, setting: usize, supply_v: f64) -> f64 {
        match case.fault.map(|fault| fault.kind) {
            Some(K::TransistorOpen) => 0.0,
            Some(K::TransistorShorted) => 1.0,
            _ => self.timed(case, setting, supply_v).duty,
        }
    }

    /// Place of the knob at a setting.
    pub(super) fn wiper_ratio(&self, setting: usize) -> Option<f64> {
        let control = self.plan.control.as_ref()?;
        match setting.checked_sub(1) {
            None => Some(control.wiper_ratio),
            Some(listed) => control.positions.get(listed).copied(),
        }
    }

    fn timed(&self, case: &Case<'_>, setting: usize, supply_v: f64) -> Timed {
        let still = |duty: f64| Timed { frequency_hz: 0.0, duty };
        match case.fault.map(|fault| fault.kind) {
            Some(K::TimerLow | K::DischargeDiodeReversed) => return still(0.0),
            Some(K::TimerHigh | K::ChargeDiodeReversed) => return still(1.0),
            _ => {}
        }
        let (Some(control), Some(wiper)) = (&self.plan.control, self.wiper_ratio(setting)) else { return still(1.0) };
        if supply_v < 2.0 {
            return still(0.0);
        }
        let supply_v = libm::round(supply_v * 20.0) / 20.0;
        let spoils = case.fault.filter(|fault| fault.kind.spoils_timing());
        let kind = spoils.map_or(u64::MAX, |fault| fault.kind as u64);
        let size = spoils.map_or(0, |_| case.size.to_bits());
        let (c, knob) = (case.z(CAPACITOR).to_bits(), case.z(KNOB).to_bits());
        let key = [setting as u64, kind, size, c, knob, supply_v.to_bits()];
        let mixed = key.iter().fold(0_u64, |all, one| (all ^ one).wrapping_mul(0x9e37_79b9_7f4a_7c15).rotate_left(29));
        let slot = mixed as usize % HELD;
        if let Some(Some((held, timed))) = self.timed.borrow().get(slot)
            && *held == key
        {
            return *timed;
        }
        let timer = self.spoilt_timer(case, &control.timer).turned(wiper);
        let cycle = timer.cycle_of(&timer.row(), supply_v, self.plan.ambient_degc.likely);
        let found = cycle.map_or(still(0.0), |cycle| Timed { frequency_hz: cycle.frequency_hz, duty: cycle.duty });
        if let Some(held) = self.timed.borrow_mut().get_mut(slot) {
            *held = Some((key, found));
        }
        found
    }

    fn spoilt_timer(&self, case: &Case<'_>, timer: &Timer) -> Timer {
        let tolerance = |place: usize| libm::exp(libm::log(1.2) * 2.0 / WIDTH * case.z(place));
        let (mut c, mut knob) = (tolerance(CAPACITOR), tolerance(KNOB));
        let (mut charge, mut discharge, mut shared) = (0.0, 0.0, 0.0);
        match case.fault.map(|fault| fault.kind) {
            Some(K::CapacitorLarge) => c *= case.size,
            Some(K::CapacitorSmall) => c /= case.size,
            Some(K::KnobLarge) => knob *= case.size,
            Some(K::KnobSmall) => knob /= case.size,
            Some(K::ChargeStopLarge) => charge = case.size,
            Some(K::DischargeStopLarge) => discharge = case.size,
            Some(K::WiperWorn) => shared = case.size,
            _ => {}
        }
        let circuit = match timer.circuit {
            Circuit::TwoResistor(two) => {
                Circuit::TwoResistor(TwoResistor { rb_ohm: two.rb_ohm * knob, c_f: two.c_f * c, ..two })
            }
            Circuit::DiodeSteered(mut steered) => {
                let plus = |held: Option<f64>, share: f64| Some(held.unwrap_or(0.0) + share * steered.pot_ohm);
                steered.charge_ohm = plus(steered.charge_ohm, charge);
                steered.discharge_ohm = plus(steered.discharge_ohm, discharge);
                steered.shared_ohm = plus(steered.shared_ohm, shared);
                steered.pot_ohm *= knob;
                steered.c_f *= c;
                Circuit::DiodeSteered(steered)
            }
            Circuit::ThresholdRamp(ramp) => Circuit::ThresholdRamp(ramp),
        };
        Timer { circuit, ..*timer }
    }

    /// What the meter shows for each measure, its own small rest aside.
    pub(super) fn readings(&self, case: &Case<'_>, measures: &[Measure]) -> Vec<f64> {
        let mut settled: Vec<(usize, Settled)> = Vec::new();
        let mut circuit = self.still(case);
        let mut readings = Vec::with_capacity(measures.len());
        for measure in measures {
            let setting = measure.setting().unwrap_or(0);
            let flows = match settled.iter().find(|(held, _)| *held == setting) {
                Some((_, flows)) => *flows,
                None => {
                    self.set(case, setting, &mut circuit);
                    let flows = circuit.settled();
                    settled.push((setting, flows));
                    flows
                }
            };
            let value = self.reading(case, *measure, &circuit, &flows);
            readings.push(self.shown(case, *measure, value));
        }
        readings
    }

    /// A value with the gain of the range it is read on.
    fn shown(&self, case: &Case<'_>, measure: Measure, value: f64) -> f64 {
        if value >= OPEN_READING && measure.opens() {
            return value;
        }
        let accuracy = self.meter.accuracy(measure, value);
        let gain = if accuracy.range < 4 { case.z(GAIN + accuracy.range) * 2.0 / WIDTH } else { 0.0 };
        value * (1.0 + gain * accuracy.gain_ratio)
    }

    fn reading(&self, case: &Case<'_>, measure: Measure, circuit: &BuildCircuit, settled: &Settled) -> f64 {
        let flows = &settled.after;
        let broken = |ohm: f64| if ohm >= BROKEN_OHM { OPEN_READING } else { ohm };
        match measure {
            Measure::FuseOhm => broken(circuit.ohm(Piece::FuseWay)),
            Measure::SwitchOhm => broken(circuit.ohm(Piece::MainSwitch)),
            Measure::LoadOhm { load } => self.load_ohm(case, load),
            Measure::FlybackDiodeV if circuit.flyback_reversed => OPEN_READING,
            Measure::FlybackDiodeV => 0.5,
            Measure::TapV { group } => self.tap_v(case, circuit, group),
            Measure::PackV => {
                if circuit.link_ohm.iter().any(|ohm| *ohm >= BROKEN_OHM) {
                    0.0
                } else {
                    circuit.open_v()
                }
            }
            Measure::JackV => self.jack_v(case),
            Measure::LimitedV => self.limited_v(case, circuit),
            Measure::OffA => 20e-6 + if case.has(K::StandingDrain) { case.size } else { 0.0 },
            Measure::SupplyV { .. } if self.plan.control.is_some() => flows.supply_v,
            Measure::SupplyV { .. } => {
                let inside = circuit.way_ohm() - circuit.ohm(Piece::PlusLead) - circuit.ohm(Piece::MinusLead);
                (circuit.open_v() - flows.mean_a * (inside - circuit.ohm(Piece::Transistor))).max(0.0)
            }
            Measure::LoadV { .. } => flows.load_v,
            Measure::CurrentA { .. } => flows.mean_a,
            Measure::LoadAloneA { load } => {
                let mut alone = circuit.clone();
                let others = (1..).zip(&mut alone.loads).filter(|(place, _)| *place != load);
                others.for_each(|(_, other)| other.circuit.current_a = 0.0);
                alone.settled().after.mean_a
            }
            Measure::FrequencyHz { setting } if flows.supply_v >= 2.0 => {
                self.timed(case, setting, circuit.open_v()).frequency_hz
            }
            Measure::DutyRatio { setting } if flows.supply_v >= 2.0 => self.timed(case, setting, circuit.open_v()).duty,
            Measure::FrequencyHz { .. } | Measure::DutyRatio { .. } => 0.0,
            Measure::GroupV { group, .. } => self.group_v(case, circuit, group, flows.mean_a),
            Measure::LinkV { group, .. } => flows.mean_a * circuit.link_ohm.get(group - 1).copied().unwrap_or(0.0),
            Measure::DropV { piece, .. } => self.drop_v(circuit, piece, settled),
            Measure::HeldV => self.held_v(case, circuit),
            Measure::TurnsCount { load } => self.turns(case, load, flows.load_v),
            Measure::KnobOhm => self.knob_ohm(case),
            Measure::KnobDiodeV { charging } => {
                let kind = if charging { K::ChargeDiodeReversed } else { K::DischargeDiodeReversed };
                if case.has(kind) { OPEN_READING } else { self.knob_diode_v() }
            }
            Measure::CapacitorF => self.capacitor_f(case),
        }
    }

    /// Drop on a piece; one that opened by itself has it all.
    fn drop_v(&self, circuit: &BuildCircuit, piece: Piece, settled: &Settled) -> f64 {
        use crate::run::build::Opened;
        let opened = match settled.opened {
            Some(Opened::Board) => Some(Piece::Board),
            Some(Opened::Fuse) => Some(Piece::FuseWay),
            None => None,
        };
        let ohm = if opened == Some(piece) { BROKEN_OHM } else { circuit.ohm(piece) };
        (settled.after.mean_a * ohm).min(circuit.open_v().max(0.0))
    }

    /// Voltage over the transistor that is held on.
    fn held_v(&self, case: &Case<'_>, circuit: &BuildCircuit) -> f64 {
        let duty = if case.has(K::TransistorOpen) { 0.0 } else { 1.0 };
        let mut held = circuit.clone();
        self.conduct(case, duty, &mut held);
        let held = held.settled();
        if held.opened.is_some() {
            return 0.0;
        }
        if duty > 0.0 { held.after.mean_a * circuit.ohm(Piece::Transistor) } else { held.after.supply_v }
    }

    fn tap_v(&self, case: &Case<'_>, circuit: &BuildCircuit, group: usize) -> f64 {
        if case.at(K::TapOpen, group) {
            return 0.0;
        }
        let from = match case.fault {
            Some(Fault { kind: K::TapsSwapped, place }) if place == group => group + 1,
            Some(Fault { kind: K::TapsSwapped, place }) if place + 1 == group => group - 1,
            _ => group,
        };
        if circuit.link_ohm.iter().take(from).any(|ohm| *ohm >= BROKEN_OHM) {
            return 0.0;
        }
        circuit.groups.iter().take(from).map(|group| group.open_v).sum()
    }

    fn group_v(&self, case: &Case<'_>, circuit: &BuildCircuit, group: usize, mean_a: f64) -> f64 {
        if case.at(K::TapOpen, group) || case.at(K::TapOpen, group - 1) {
            return 0.0;
        }
        let one = |at: usize| {
            let source = circuit.groups.get(at - 1).copied().unwrap_or(GroupSource { open_v: 0.0, ohm: 0.0 });
            let link_ohm = circuit.link_ohm.get(at - 1).copied().unwrap_or(0.0);
            if link_ohm >= BROKEN_OHM { 0.0 } else { source.open_v - mean_a * (source.ohm + link_ohm) }
        };
        match case.fault {
            Some(Fault { kind: K::TapsSwapped, place }) if place == group => one(group) + one(group + 1),
            Some(Fault { kind: K::TapsSwapped, place }) if place + 1 == group => -one(group),
            Some(Fault { kind: K::TapsSwapped, place }) if place + 2 == group => one(group) + one(group - 1),
            _ => one(group),
        }
    }

    fn jack_v(&self, case: &Case<'_>) -> f64 {
        let supply_v = self.plan.charging.as_ref().map_or(0.0, |charging| charging.supply_v);
        match case.fault.map(|fault| fault.kind) {
            Some(K::ChargerHigh) => supply_v + case.size,
            Some(K::ChargerReversed) => -supply_v,
            _ => supply_v,
        }
    }

    fn limited_v(&self, case: &Case<'_>, circuit: &BuildCircuit) -> f64 {
        let broken = |piece: Piece| circuit.ohm(piece) >= BROKEN_OHM;
        let links = circuit.link_ohm.iter().any(|ohm| *ohm >= BROKEN_OHM);
        if links || broken(Piece::Board) || circuit.open_v() <= 0.0 {
            return 0.0;
        }
        if circuit.flyback_reversed {
            return 0.15 * circuit.open_v();
        }
        // The controller's own few milliamperes; the drain of whatever hangs before the switch.
        let drain_a = if case.has(K::StandingDrain) { case.size } else { 0.0 };
        let own_a = if self.plan.control.is_some() { 0.004 * libm::exp(0.7 * case.z(LIMITED)) } else { 0.0 };
        (circuit.open_v() - (own_a + drain_a) * self.limit_ohm).max(0.0)
    }

    fn load_ohm(&self, case: &Case<'_>, load: usize) -> f64 {
        if case.at(K::LoadOpen, load) {
            return OPEN_READING;
        }
        if case.at(K::LoadShorted, load) {
            return case.size;
        }
        let Some((held, _)) = self.loads.get(load - 1) else { return OPEN_READING };
        let v = self.nominal_v();
        let runs_ohm = v / self.load(case, load, &(*held, 0.0)).circuit.current(v).0.max(1e-9);
        let turns = self.plan.loads.get(load - 1).is_some_and(|load| matches!(load.draw, Draw::FollowsVoltage { .. }));
        // The winding of a motor has a share of the resistance that the running motor seems to have.
        if turns { 0.25 * v / held.circuit.current(v).0.max(1e-9) } else { runs_ohm }
    }

    fn turns(&self, case: &Case<'_>, load: usize, load_v: f64) -> f64 {
        let still = load_v < 0.1 * self.nominal_v() || case.at(K::LoadStalled, load) || case.at(K::LoadOpen, load);
        if still || case.at(K::LoadShorted, load) {
            0.0
        } else if case.at(K::LoadReversed, load) {
            -1.0
        } else {
            1.0
        }
    }

    fn knob_ohm(&self, case: &Case<'_>) -> f64 {
        let Some(control) = &self.plan.control else { return OPEN_READING };
        match self.spoilt_timer(case, &control.timer).circuit {
            Circuit::DiodeSteered(steered) => steered.pot_ohm,
            Circuit::TwoResistor(two) => two.rb_ohm,
            Circuit::ThresholdRamp(_) => OPEN_READING,
        }
    }

    fn knob_diode_v(&self) -> f64 {
        let Some(Circuit::DiodeSteered(steered)) = self.plan.control.as_ref().map(|control| control.timer.circuit)
        else {
            return OPEN_READING;
        };
        match steered.diode {
            Some(Diode::Schottky) => 0.25,
            _ => 0.6,
        }
    }

    fn capacitor_f(&self, case: &Case<'_>) -> f64 {
        let Some(control) = &self.plan.control else { return 0.0 };
        match self.spoilt_timer(case, &control.timer).circuit {
            Circuit::DiodeSteered(steered) => steered.c_f,
            Circuit::TwoResistor(two) => two.c_f,
            Circuit::ThresholdRamp(_) => 0.0,
        }
    }
}

fn scaled(law: LoadCircuit, by: f64) -> LoadCircuit {
    LoadCircuit { current_a: law.current_a * by, ..law }
}

/// A machine of the plan at full duty, and what it takes at others.
struct Worked {
    law: LoadCircuit,
    grid: Vec<[f64; 3]>,
    steady: bool,
}

impl Worked {
    /// Nothing where it is not known what the machine takes.
    fn of(plan: &Plan, machine: &Driven, supply_v: f64) -> Option<Self> {
        let control = plan.control.as_ref()?;
        let timer = control.timer.turned(control.wiper_ratio);
        let cycle = timer.cycle_of(&timer.row(), supply_v, plan.ambient_degc.likely);
        let frequency_hz = cycle.map_or(1000.0, |cycle| cycle.frequency_hz);
        let law =
            |duty: f64, end: End| machine.circuit(Chopping { supply_v, duty, frequency_hz }, 0.75 * supply_v, end);
        let whole = law(1.0, End::Likely).filter(|law| law.current_a > 0.0)?;
        let row = |step: usize| {
            let duty = step as f64 / GRID as f64;
            [End::Low, End::Likely, End::High]
                .map(|end| law(duty, end).map_or(1.0, |law| (law.current_a / whole.current_a).clamp(1e-3, 1e3)))
        };
        let steady = law(0.5, End::Likely).is_some_and(|law| law.duty > 0.5);
        Some(Self { law: LoadCircuit { duty: 1.0, ..whole }, grid: (1..=GRID).map(row).collect(), steady })
    }
}

/// A reading is only expected of cells whose kind is known.
pub(super) fn identified(plan: &Plan) -> Result<(), Vec<Error>> {
    for (g, group) in plan.pack.groups.iter().enumerate() {
        if let Some(c) = group.cells.iter().position(|cell| cell.chemistry == Chemistry::Unidentified) {
            let error =
                Error::other("chemistry", "unidentified", "a known chemistry: no reading is expected of other cells");
            return Err(error.at(c).at("cells").at(g).at("groups").at("pack").into());
        }
    }
    Ok(())
}

fn loads(plan: &Plan) -> Vec<(BuildLoad, f64)> {
    let one = |load: &crate::part::load::Load| {
        let v = 12.0;
        let at = |end: End| load.circuit(end).current(v).0.max(1e-9);
        let held = spread(Interval { low: at(End::Low), likely: at(End::Likely), high: at(End::High) }, 0.02);
        let chopped = load.chopped && plan.control.is_some();
        (BuildLoad { circuit: load.circuit(End::Likely), chopped }, held.spread)
    };
    plan.loads.iter().map(one).collect()
}

/// Resistances of the pieces, cold; the first lead is the one before the fuse where there is a fuse and another lead.
fn pieces(plan: &Plan, meter: &BenchMeter) -> [Spread; 7] {
    let nothing = Interval::exact(0.0);
    let (mut fuse, mut plus, mut minus) = (nothing, nothing, nothing);
    let fitted = plan.fuse.as_ref().and_then(|fuse| fuse.fitted());
    if let Some(fitted) = fitted {
        fuse = sum(fuse, fitted.resistance_ohm, 1.0);
    }
    for (place, run) in plan.runs.iter().enumerate() {
        let whole = Interval {
            low: run.resistance_20_ohm(End::Low),
            likely: run.resistance_20_ohm(End::Likely),
            high: run.resistance_20_ohm(End::High),
        };
        let both = run.way != Some(Way::OneWay);
        let half = if both { 0.5 } else { 1.0 };
        if place == 0 && fitted.is_some() && plan.runs.len() > 1 {
            fuse = sum(fuse, whole, half);
        } else {
            plus = sum(plus, whole, half);
        }
        if both {
            minus = sum(minus, whole, 0.5);
        }
    }
    let board = plan.protection.as_ref().and_then(|held| held.board()).map_or(nothing, |board| board.resistance_ohm);
    let transistor = plan.control.as_ref().map_or(nothing, |control| control.switch_ohm);
    // Copper warmer than 20 °C.
    let warm = 0.05;
    [
        spread(fuse, warm),
        spread(SWITCH_OHM, 0.0),
        spread(plus, warm),
        spread(transistor, warm),
        spread(minus, warm),
        spread(meter.burden_ohm(), 0.0),
        spread(board, warm),
    ]
}

fn sum(to: Interval, of: Interval, share: f64) -> Interval {
    Interval { low: to.low + share * of.low, likely: to.likely + share * of.likely, high: to.high + share * of.high }
}

impl GroupTable {
    /// From the likely, the worst and the best cells of a group, with the pack's current.
    fn new(corners: [&Vec<CellCircuit>; 3], load_a: f64) -> Self {
        let [likely, worst, best] = corners;
        let cells = likely.len().max(1) as f64;
        let ohm = |cells_of: &[CellCircuit], soc: f64| {
            let siemens: f64 = cells_of
                .iter()
                .map(|cell| {
                    let current_a = (load_a / cells).clamp(0.05 * cell.capacity_ah, cell.capacity_ah);
                    1.0 / cell.pulse_ohm(soc.max(0.02), current_a, 10.0).max(1e-6)
                })
                .sum();
            if siemens > 0.0 { 1.0 / siemens } else { 0.0 }
        };
        let mut table = Self { rest_v: [0.0; POINTS], ohm: [0.0; POINTS], ohm_spread: 0.0 };
        for (place, (rest_v, held)) in table.rest_v.iter_mut().zip(&mut table.ohm).enumerate() {
            let soc = place as f64 / (POINTS as f64 - 1.0);
            *rest_v = likely.iter().map(|cell| cell.rest_v(soc)).sum::<f64>() / cells;
            *held = ohm(likely, soc);
        }
        let ends = Interval { low: ohm(best, 0.5), likely: ohm(likely, 0.5), high: ohm(worst, 0.5) };
        table.ohm_spread = spread(ends, 0.1).spread;
        table
    }
}

/// Value and slope of a table over 0 to 1, prolonged at its ends.
fn read(table: &[f64; POINTS], at: f64) -> (f64, f64) {
    let steps = POINTS as f64 - 1.0;
    let place = libm::floor(at * steps).clamp(0.0, steps - 1.0);
    let (low, high) = (table.get(place as usize).copied(), table.get(place as usize + 1).copied());
    let (low, high) = (low.unwrap_or(0.0), high.unwrap_or(0.0));
    let slope = (high - low) * steps;
    (low + slope * (at.clamp(-0.1, 1.1) - place / steps), slope)
}
