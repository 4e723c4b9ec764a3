//! One thing fails: the same circuit solved with each part open, shorted or with 50 mΩ more.
//!
//! ```text
//! degc = ambient + P · R · (1 − exp(−t / (R · C)))       the part with the heat P, the resistance R to the air, the heat capacity C
//! ```
//!
//! Heat is judged at the full pack with every resistance at its low and every load at its high end; whether something
//! opens at the empty pack with the opposite ends. A fuse counts as opening from the first point with a longest time that
//! is published of its kind, of every kind where its own is not known; a board within a second at the high end of its trip
//! current or where a group falls under its cut-off. A cell that shorts inside is fed by its neighbours, and one without
//! neighbours by its own charge. Resistances to the air and heat capacities are from
//! memory and rounded to the hot side; a number beyond 400 °C only says that it burns.

mod heat;
mod table;

pub use heat::HotPart;
pub use table::{FAILINGS, FailingPart, FailingRow, FailingWay};

use super::list::strongest;
use super::measure::BenchMeter;
use super::model::{CHARGE, Case, HALF, Model};
use crate::data::chemistry::{LCO_LIMITS, LFP_LIMITS};
use crate::data::fuse::FuseFamily;
use crate::data::protection::OVER_CHARGE_BAND_V;
use crate::error::Error;
use crate::finding::charging::ChargeTerminals;
use crate::finding::{Finding, Subject, fails};
use crate::part::cell::Chemistry;
use crate::plan::{Board, Corners, Origin, Plan};
use crate::quantity::order::sort_by_key;
use crate::quantity::said::{Filling, Phrase, Said, Wording};
use crate::run::build::{BROKEN_OHM, BuildCircuit, Flowing, GroupSource, Opened, Piece};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Resistance that a part gains, in ohms.
const MORE_OHM: f64 = 0.05;

/// Resistance of a short, in ohms.
const SHORT_OHM: f64 = 0.003;

/// Longest time in which a board opens beyond its trip current, in seconds. Common practice, no source.
const BOARD_S: f64 = 1.0;

/// Without a meter in the way of the current.
const METER: BenchMeter = BenchMeter {
    current_by: super::measure::BenchCurrent::Shunt { shunt_ohm: crate::quantity::Interval::exact(1e-5) },
    ..BenchMeter::CHEAP
};

/// Asks what one failed part does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OneFails {
    /// The build as planned.
    pub plan: Plan,
}

/// What one failure does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct FailedPart {
    /// The part.
    pub part: FailingPart,
    /// How it fails.
    pub way: FailingWay,
    /// Number of the group it is in, from 1; 0 for parts that there is one of.
    pub place: usize,
    /// What it is, in plain words.
    pub words: String,
    /// The same by code; with `_notice` and `_prevention` behind it the code is that of the other two sentences.
    pub said: Said,
    /// Largest current that flows until something opens, in amperes.
    pub fault_high_a: f64,
    /// Current of the same failure at the empty pack, in amperes.
    pub fault_low_a: f64,
    /// What opens at the full pack.
    pub opens: Option<Opened>,
    /// What opens at the empty pack.
    pub opens_empty: Option<Opened>,
    /// Longest time until it opens, in seconds, where it surely does.
    pub opens_s: Option<f64>,
    /// Parts that get hot, the hottest against its limit first.
    pub hot: Vec<HotPart>,
    /// What one would notice.
    pub notice: &'static str,
    /// Which cheap part would have prevented it.
    pub prevention: &'static str,
    /// Whether nothing is left beyond its limit, or something opens in time at the full and the empty pack.
    pub is_stopped: bool,
}

/// What each failure does, and what is left unstopped.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OneFailsAnswer {
    /// Each failure, in the order of the parts.
    pub failures: Vec<FailedPart>,
    /// Failures that nobody stops or notices, or that could not be judged, the most urgent first.
    pub findings: Vec<Finding>,
}

impl OneFails {
    /// What one failed part does, for each part and way.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the plan, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # #[cfg(feature = "ask")] {
    /// # use cellwright::ask::{Node, ask};
    /// let plan = include_str!("../../../tests/plans/watering-pump.json");
    /// let answer = ask("one_fails", &format!("{{\"plan\": {plan}}}")).unwrap();
    /// assert!(matches!(answer.get("failures"), Some(Node::List(failures)) if failures.len() > 20));
    /// let errors = ask("one_fails", &format!("{{\"plan\": {}}}", plan.replacen("4.2,", "9,", 1))).unwrap_err();
    /// assert!(errors[0].path().starts_with("/plan/"));
    /// # }
    /// ```
    pub fn answer(&self) -> Result<OneFailsAnswer, Vec<Error>> {
        let inside = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("plan")).collect::<Vec<Error>>();
        self.plan.checked().map_err(inside)?;
        one_fails(&self.plan).map_err(inside)
    }
}

/// What one failed part does, for each part and way, in a plan whose values are checked.
///
/// # Errors
///
/// Every measurement of the plan that no cell of its chemistry can have.
pub fn one_fails(plan: &Plan) -> Result<OneFailsAnswer, Vec<Error>> {
    Ok(all_failures(&Model::new(plan, METER)?))
}

/// As [`one_fails`], where the cells at the three corners are known before.
pub(super) fn one_fails_on(plan: &Plan, cells: &Corners) -> OneFailsAnswer {
    all_failures(&Model::on(plan, METER, cells))
}

fn all_failures(model: &Model<'_>) -> OneFailsAnswer {
    let bench = Bench::new(model);
    let mut answer = OneFailsAnswer { failures: Vec::new(), findings: Vec::new() };
    for row in &FAILINGS {
        // Of the same failure in several groups the worst one stands for all.
        let mut worst: Option<Finding> = None;
        for place in places(model.plan, row.part) {
            let failure = bench.failure(row, place);
            let found = bench.finding(&failure);
            worst = worst
                .into_iter()
                .chain(found)
                .max_by(|a, b| a.measured.unwrap_or(0.0).total_cmp(&b.measured.unwrap_or(0.0)));
            answer.failures.push(failure);
        }
        answer.findings.extend(worst);
    }
    sort_by_key(&mut answer.findings, |finding| finding.urgency);
    answer
}

/// Where a part is in a plan.
fn places(plan: &Plan, part: FailingPart) -> Vec<usize> {
    let once = |there: bool| if there { Vec::from([0]) } else { Vec::new() };
    let chopped = plan.control.is_some() && plan.loads.iter().any(|load| load.chopped);
    match part {
        FailingPart::Cell | FailingPart::Link | FailingPart::Strip => (1..=plan.pack.groups.len()).collect(),
        FailingPart::Fuse => once(plan.fuse.as_ref().is_some_and(|fuse| fuse.fitted().is_some())),
        FailingPart::Transistor | FailingPart::Diode | FailingPart::Knob => once(chopped),
        FailingPart::Board => once(plan.protection.as_ref().is_some_and(|held| held.board().is_some())),
        FailingPart::Charger => once(plan.charging.is_some()),
        FailingPart::Connector => once(!plan.loads.is_empty()),
    }
}

/// The build at both corners.
struct Bench<'m> {
    model: &'m Model<'m>,
    strong: BuildCircuit,
    weak: BuildCircuit,
    strong_z: Vec<f64>,
    weak_z: Vec<f64>,
}

/// What one failure does to the circuit.
struct Broken {
    circuit: BuildCircuit,
    /// Current that flows inside the pack only, in amperes.
    inside_a: f64,
}

impl<'m> Bench<'m> {
    fn new(model: &'m Model<'m>) -> Self {
        let plan = model.plan;
        let setting = strongest(plan);
        let corner = |soc: f64, end: f64| {
            let mut z = alloc::vec![0.0; model.unknowns()];
            model.set_corner(&mut z, end);
            z.iter_mut().skip(CHARGE).take(1).for_each(|charge| *charge = Model::charge_z(soc));
            z
        };
        let at = |z: &[f64]| model.circuit(&Case { z, fault: None, size: 0.0 }, setting);
        let strong_z = corner(model.soc_at(plan.pack.full_v), HALF);
        let weak_z = corner(0.05, -HALF);
        Self { model, strong: at(&strong_z), weak: at(&weak_z), strong_z, weak_z }
    }

    fn failure(&self, row: &FailingRow, place: usize) -> FailedPart {
        let strong = self.broken(&self.strong, &self.strong_z, row, place);
        let weak = self.broken(&self.weak, &self.weak_z, row, place);
        let (flows, weak_flows) = (strong.circuit.flowing(), weak.circuit.flowing());
        let (opens, opens_empty) =
            (self.opens(row, &strong.circuit, &flows), self.opens(row, &weak.circuit, &weak_flows));
        let opens_s = self.opens_s(opens, &flows);
        let mut hot = self.hot(row, place, &self.strong, &strong, &flows);
        let hot_empty = self.hot(row, place, &self.weak, &weak, &weak_flows);
        let beyond = |part: &HotPart, opens_s: Option<f64>| {
            part.limit_s.is_some_and(|limit_s| opens_s.is_none_or(|open_s| open_s > limit_s))
        };
        for part in &mut hot {
            part.at_empty = hot_empty.iter().any(|other| other.name == part.name && other.limit_s.is_some());
        }
        let unstopped = hot.iter().any(|part| beyond(part, opens_s))
            || hot_empty.iter().any(|part| beyond(part, self.opens_s(opens_empty, &weak_flows)));
        if !hot.iter().any(|part| beyond(part, opens_s)) && unstopped {
            hot = hot_empty;
        }
        let fault_high_a = flows.on_a.max(strong.inside_a);
        let phrase = Wording::new(row.code, row.words).with([Filling::count(place)]);
        FailedPart {
            part: row.part,
            way: row.way,
            place,
            words: phrase.words,
            said: phrase.said,
            fault_high_a,
            fault_low_a: weak_flows.on_a.max(weak.inside_a),
            opens,
            opens_empty,
            opens_s,
            hot,
            notice: row.notice,
            prevention: row.prevention,
            is_stopped: !unstopped && strong.inside_a <= 0.0 && !self.charges_on(row),
        }
    }

    /// Longest time until it opens, in seconds.
    fn opens_s(&self, opened: Option<Opened>, flows: &Flowing) -> Option<f64> {
        match opened? {
            Opened::Board => Some(BOARD_S),
            Opened::Fuse => self.fuse_s(flows.rms_a),
        }
    }

    /// Longest time until the fuse opens at a current, in seconds; nothing where none is published for its kind, or for
    /// one of the kinds it may be.
    fn fuse_s(&self, rms_a: f64) -> Option<f64> {
        let fuse = self.model.plan.fuse.as_ref().and_then(|fuse| fuse.fitted())?;
        let at = |family: FuseFamily| family.opens_within_s(fuse.rating_a, rms_a);
        match fuse.family {
            Some(family) => at(family),
            None => FuseFamily::ALL.into_iter().map(at).try_fold(0.0, |most: f64, time_s| Some(most.max(time_s?))),
        }
    }

    /// What surely opens: the board beyond the high end of its trip current or where a group falls under its cut-off,
    /// the fuse from where a longest time is known.
    fn opens(&self, row: &FailingRow, circuit: &BuildCircuit, flows: &Flowing) -> Option<Opened> {
        let plan = self.model.plan;
        let shorted = row.way == FailingWay::Shorted;
        let board = plan.protection.as_ref().and_then(|held| held.board());
        let board = board.filter(|_| !(shorted && row.part == FailingPart::Board));
        let bridged = shorted && row.part == FailingPart::Fuse;
        let group_v = |group: &GroupSource| group.open_v - flows.on_a * group.ohm.min(BROKEN_OHM);
        let lowest_v = circuit.groups.iter().map(group_v).fold(f64::MAX, f64::min);
        let trips = |board: &Board| {
            board.trip_a.is_some_and(|trip_a| flows.on_a > trip_a.high)
                || board.cut_off_v.is_some_and(|cut_off_v| lowest_v < cut_off_v)
        };
        if board.is_some_and(trips) {
            Some(Opened::Board)
        } else if !bridged && self.fuse_s(flows.rms_a).is_some() {
            Some(Opened::Fuse)
        } else {
            None
        }
    }

    /// Whether the failure is a charge that nothing ends.
    fn charges_on(&self, row: &FailingRow) -> bool {
        let plan = self.model.plan;
        let guarded = plan.protection.as_ref().and_then(|held| held.board());
        let guarded =
            guarded.and_then(|board| board.over_voltage_v).is_some_and(|v| v <= ends_charge_by_v(plan) + 1e-9);
        let terminals = plan.charging.as_ref().and_then(|charging| charging.terminals);
        let through = matches!(terminals, Some(ChargeTerminals::Board | ChargeTerminals::EachGroup));
        row.part == FailingPart::Charger && row.way == FailingWay::Shorted && !(guarded && through)
    }

    fn broken(&self, build: &BuildCircuit, z: &[f64], row: &FailingRow, place: usize) -> Broken {
        let mut circuit = build.clone();
        let mut inside_a = 0.0;
        let case = Case { z, fault: None, size: 0.0 };
        match row.part {
            FailingPart::Cell => inside_a = self.break_cell(&mut circuit, row.way, place),
            FailingPart::Link | FailingPart::Strip => inside_a = break_link(&mut circuit, row.way, place),
            FailingPart::Fuse => break_piece(&mut circuit, row.way, Piece::FuseWay),
            FailingPart::Board => break_piece(&mut circuit, row.way, Piece::Board),
            FailingPart::Transistor => match row.way {
                FailingWay::Open => self.model.conduct(&case, 0.0, &mut circuit),
                FailingWay::Shorted => self.model.conduct(&case, 1.0, &mut circuit),
                FailingWay::MoreOhm => circuit.add_ohm(Piece::Transistor, MORE_OHM),
            },
            FailingPart::Diode => circuit.flyback_reversed = row.way == FailingWay::Shorted,
            // A wiper without contact leaves the timer anywhere: full on is the worse end.
            FailingPart::Knob if row.way != FailingWay::MoreOhm => self.model.conduct(&case, 1.0, &mut circuit),
            FailingPart::Knob | FailingPart::Charger => {}
            FailingPart::Connector => match row.way {
                FailingWay::Open => break_piece(&mut circuit, row.way, Piece::PlusLead),
                FailingWay::MoreOhm => circuit.add_ohm(Piece::PlusLead, MORE_OHM),
                FailingWay::Shorted => short_loads(&mut circuit),
            },
        }
        Broken { circuit, inside_a }
    }

    /// One cell of a group; gives the current that its neighbours drive through it, or its own charge where it has none.
    fn break_cell(&self, circuit: &mut BuildCircuit, way: FailingWay, place: usize) -> f64 {
        let count = self.model.plan.pack.groups.get(place - 1).map_or(1, |group| group.cells.len()) as f64;
        let Some(group) = circuit.groups.get_mut(place - 1) else { return 0.0 };
        let one_ohm = group.ohm * count;
        match way {
            FailingWay::Open if count < 2.0 => {
                group.ohm = BROKEN_OHM;
                0.0
            }
            FailingWay::Open => {
                group.ohm = one_ohm / (count - 1.0);
                0.0
            }
            FailingWay::MoreOhm => {
                let siemens = (count - 1.0) / one_ohm + 1.0 / (one_ohm + MORE_OHM);
                group.ohm = 1.0 / siemens;
                0.0
            }
            FailingWay::Shorted => {
                let open_v = group.open_v;
                *group = GroupSource { open_v: 0.0, ohm: SHORT_OHM };
                let feeding = if count < 2.0 { 1.0 } else { count - 1.0 };
                open_v / (one_ohm / feeding + SHORT_OHM)
            }
        }
    }

    fn finding(&self, failure: &FailedPart) -> Option<Finding> {
        let path = if failure.place > 0 { format!("/pack/groups/{}", failure.place - 1) } else { String::new() };
        let mut name = failure.words.clone();
        if let Some(first) = name.get(..1).map(str::to_ascii_uppercase) {
            name.replace_range(..1, &first);
        }
        let subject = Subject::new(path, Phrase { words: name, said: failure.said.clone() });
        let row = FAILINGS.iter().find(|row| row.part == failure.part && row.way == failure.way)?;
        if self.charges_on(row) {
            return Some(fails::FAILS_CHARGE.broken(&subject, None, None));
        }
        let inside = self.broken(&self.strong, &self.strong_z, row, failure.place).inside_a;
        if inside > 0.0 {
            let cells = failure.part == FailingPart::Cell && self.model.plan.origin == Origin::Salvaged;
            let rule = if cells { fails::FAILS_INSIDE } else { fails::FAILS_STRIP };
            return Some(rule.broken(&subject, Some(inside), None));
        }
        if failure.part == FailingPart::Diode && failure.way == FailingWay::Open {
            return Some(fails::FAILS_UNKNOWN.not_judged(&subject, "inductance of the load"));
        }
        if matches!(failure.part, FailingPart::Fuse | FailingPart::Board) && failure.way == FailingWay::Shorted {
            return Some(fails::FAILS_SILENT.broken(&subject, None, None));
        }
        if failure.is_stopped {
            return None;
        }
        let worst = failure.hot.iter().find(|part| part.limit_s.is_some())?;
        let rule = if worst.is_own { fails::FAILS_SELF } else { fails::FAILS_HOT };
        Some(rule.broken(&subject, Some(worst.end_degc), Some(worst.limit_degc)))
    }
}

/// Group voltage up to which a board that ends the charge does so in time, in volts; without end for cells of which no
/// such voltage is published.
fn ends_charge_by_v(plan: &Plan) -> f64 {
    let cells = plan.pack.groups.iter().flat_map(|group| &group.cells);
    let limits = cells.filter_map(|cell| match cell.chemistry {
        Chemistry::Lfp => Some(LFP_LIMITS.charge_v),
        Chemistry::Lco | Chemistry::Nmc | Chemistry::Nca => Some(LCO_LIMITS.charge_v),
        _ => None,
    });
    limits.fold(f64::MAX, f64::min) + OVER_CHARGE_BAND_V
}

/// The joint before a group or the strip over it; gives the current of a group that is shorted by it.
fn break_link(circuit: &mut BuildCircuit, way: FailingWay, place: usize) -> f64 {
    match way {
        FailingWay::Open => {
            circuit.link_ohm.iter_mut().skip(place - 1).take(1).for_each(|ohm| *ohm += BROKEN_OHM);
            0.0
        }
        FailingWay::MoreOhm => {
            circuit.link_ohm.iter_mut().skip(place - 1).take(1).for_each(|ohm| *ohm += MORE_OHM);
            0.0
        }
        FailingWay::Shorted => {
            let Some(group) = circuit.groups.get_mut(place - 1) else { return 0.0 };
            let inside_a = group.open_v / (group.ohm + SHORT_OHM);
            *group = GroupSource { open_v: 0.0, ohm: SHORT_OHM };
            inside_a
        }
    }
}

/// A short over a piece leaves the rest of the way as it is.
fn break_piece(circuit: &mut BuildCircuit, way: FailingWay, piece: Piece) {
    match way {
        FailingWay::Open => circuit.add_ohm(piece, BROKEN_OHM),
        FailingWay::MoreOhm => circuit.add_ohm(piece, MORE_OHM),
        FailingWay::Shorted => circuit.add_ohm(piece, -circuit.ohm(piece)),
    }
}

/// A short in place of the loads, at the far end of the leads and past the transistor.
fn short_loads(circuit: &mut BuildCircuit) {
    let ohm = circuit.ohm(Piece::Transistor);
    circuit.add_ohm(Piece::Transistor, SHORT_OHM - ohm);
    for load in &mut circuit.loads {
        load.chopped = false;
        load.circuit.duty = 1.0;
        load.circuit.current_a = 1.0 / SHORT_OHM;
        load.circuit.at_v = 1.0;
        load.circuit.exponent = 2.0;
    }
}
