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

mod reading;
mod table;
mod timing;

use crate::error::Error;
use crate::part::cell::{Chemistries, Chemistry};
use crate::part::load::{Draw, LoadCircuit};
use crate::plan::{Corners, Plan};
use crate::quantity::Interval;
use crate::quantity::root::sqrt;
use crate::run::build::{BROKEN_OHM, BuildCircuit, BuildLoad, GroupSource, Piece};
use crate::sheet::fault::{Fault, FaultKind as K};
use crate::sheet::measure::BenchMeter;
use alloc::vec::Vec;
use core::cell::RefCell;
use table::{GroupTable, Spread, Worked, loads, pieces, read, spread};
use timing::Timed;

/// What an open path reads on ohms or diodes.
pub(in crate::sheet) const OPEN_READING: f64 = 1e9;

/// Places in the list of unknowns.
pub(in crate::sheet) const CHARGE: usize = 0;
/// Lowest and highest charge that a build is taken to have: a hair beyond empty and full.
const CHARGE_LOW: f64 = -0.02;
const CHARGE_HIGH: f64 = 1.02;
const GAIN: usize = 1;
const LINKS: usize = 5;
const PIECES: usize = 6;
const PAUSE: usize = 13;
const CAPACITOR: usize = 14;
const KNOB: usize = 15;
const LIMITED: usize = 16;
pub(in crate::sheet) const CHOPPED: usize = 17;
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
pub(super) const HALF: f64 = 1.7320508075688772;

/// Duties at which a machine of the plan is worked out.
const GRID: usize = 20;

/// Results of the timer that are kept.
const HELD: usize = 512;

/// A result of the timer with what it was worked out from.
type Held = ([u64; 6], Timed);

/// The planned build.
#[derive(Debug)]
pub(in crate::sheet) struct Model<'a> {
    pub(in crate::sheet) plan: &'a Plan,
    pub(in crate::sheet) meter: BenchMeter,
    groups: Vec<GroupTable>,
    link: Spread,
    pieces: [Spread; 7],
    loads: Vec<(BuildLoad, f64)>,
    /// Current while on of the plan's machine against that at full duty: low, likely, high at each duty.
    driven: Option<Vec<[f64; 3]>>,
    /// Whether the machine draws current all the time, whatever the duty.
    steady: bool,
    /// The limiting resistor, in ohms.
    pub(in crate::sheet) limit_ohm: f64,
    timed: RefCell<Vec<Option<Held>>>,
}

/// Unknowns and a fault of one size: everything that fixes the readings.
#[derive(Clone, Copy, Debug)]
pub(in crate::sheet) struct Case<'z> {
    pub(in crate::sheet) z: &'z [f64],
    pub(in crate::sheet) fault: Option<Fault>,
    pub(in crate::sheet) size: f64,
}

impl Case<'_> {
    pub(in crate::sheet) fn z(&self, place: usize) -> f64 {
        self.z.get(place).copied().unwrap_or(0.0)
    }

    pub(in crate::sheet) fn has(&self, kind: K) -> bool {
        self.fault.is_some_and(|fault| fault.kind == kind)
    }

    fn at(&self, kind: K, place: usize) -> bool {
        self.fault.is_some_and(|fault| fault.kind == kind && fault.place == place)
    }
}

impl<'a> Model<'a> {
    /// The build of a plan whose values are checked.
    pub(in crate::sheet) fn new(plan: &'a Plan, meter: BenchMeter) -> Result<Self, Vec<Error>> {
        identified(plan)?;
        let used = plan.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
        let chemistries = Chemistries::new(&plan.own_chemistries, used)?;
        Ok(Self::on(plan, meter, &plan.corners(&chemistries)?))
    }

    /// As [`Model::new`], where the cells at the three corners are known before.
    pub(in crate::sheet) fn on(plan: &'a Plan, meter: BenchMeter, [worst, likely, best]: &Corners) -> Self {
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
            .zip(worst)
            .zip(best)
            .map(|((likely, worst), best)| GroupTable::new([likely, worst, best], load_a));
        let groups: Vec<GroupTable> = groups.collect();
        let series = plan.pack.groups.len().max(1) as f64;
        let links = plan.pack.link_ohm;
        let each = Interval { low: links.low / series, likely: links.likely / series, high: links.high / series };
        Self {
            plan,
            meter,
            groups,
            link: spread(each, 0.1),
            pieces: pieces(plan, &meter),
            loads,
            steady: worked.as_ref().is_some_and(|worked| worked.steady),
            driven: worked.map(|worked| worked.grid),
            limit_ohm: crate::sheet::limit::resistor_ohm(plan),
            timed: RefCell::new(alloc::vec![None; HELD]),
        }
    }

    /// How many unknowns there are.
    pub(in crate::sheet) fn unknowns(&self) -> usize {
        GROUPS + 2 * self.groups.len() + self.loads.len()
    }

    /// Every unknown at the end that draws most current (above 0) or least, the meter's own left out.
    pub(in crate::sheet) fn set_corner(&self, z: &mut [f64], end: f64) {
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

    /// Charge that an unknown stands for, and back: no charge explains a voltage that no sound cell rests at.
    pub(in crate::sheet) fn charge(z: f64) -> f64 {
        (0.5 + 0.35 * z).clamp(CHARGE_LOW, CHARGE_HIGH)
    }

    pub(in crate::sheet) fn charge_z(soc_ratio: f64) -> f64 {
        (soc_ratio - 0.5) / 0.35
    }

    /// Charge at which the first group rests at a voltage.
    pub(in crate::sheet) fn soc_at(&self, rest_v: f64) -> f64 {
        let Some(first) = self.groups.first() else { return 0.5 };
        let above = first.rest_v.iter().position(|v| *v >= rest_v).unwrap_or(POINTS - 1).max(1);
        let at = |place: usize| first.rest_v.get(place).copied().unwrap_or(rest_v);
        let (low, high) = (at(above - 1), at(above));
        let share = if high > low { ((rest_v - low) / (high - low)).clamp(0.0, 1.0) } else { 0.0 };
        (above as f64 - 1.0 + share) / (POINTS as f64 - 1.0)
    }

    /// The circuit at a setting.
    pub(in crate::sheet) fn circuit(&self, case: &Case<'_>, setting: usize) -> BuildCircuit {
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
    pub(in crate::sheet) fn conduct(&self, case: &Case<'_>, duty: f64, circuit: &mut BuildCircuit) {
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
        Self::spoil(case, &mut circuit);
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
        let off_v = sqrt(REST_V * REST_V + UNEQUAL_RATIO * UNEQUAL_RATIO * slope_v * slope_v);
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
    pub(in crate::sheet) fn nominal_v(&self) -> f64 {
        self.groups.iter().map(|table| read(&table.rest_v, 0.5).0).sum::<f64>().max(0.5)
    }

    /// Puts a fault of the current's way into the circuit.
    fn spoil(case: &Case<'_>, circuit: &mut BuildCircuit) {
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
                for (piece, ohm) in both {
                    circuit.add_ohm(piece, (case.size - 1.0) * ohm);
                }
                return;
            }
            _ => return,
        };
        circuit.add_ohm(piece, ohm);
    }
}

/// A reading is only expected of cells whose kind is known.
pub(in crate::sheet) fn identified(plan: &Plan) -> Result<(), Vec<Error>> {
    for (g, group) in plan.pack.groups.iter().enumerate() {
        if let Some(c) = group.cells.iter().position(|cell| cell.chemistry == Chemistry::Unidentified) {
            let error =
                Error::other("chemistry", "unidentified", "a known chemistry: no reading is expected of other cells");
            return Err(error.at(c).at("cells").at(g).at("groups").at("pack").into());
        }
    }
    Ok(())
}

fn scaled(law: LoadCircuit, by: f64) -> LoadCircuit {
    LoadCircuit { current_a: law.current_a * by, ..law }
}
