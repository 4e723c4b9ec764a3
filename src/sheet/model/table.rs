//! What a plan's groups, leads, loads and machine are worth, with their spreads.

use super::{GRID, POINTS, SWITCH_OHM, WIDTH};
use crate::part::cell::CellCircuit;
use crate::part::load::LoadCircuit;
use crate::part::wire::Way;
use crate::plan::Plan;
use crate::quantity::root::sqrt;
use crate::quantity::{End, Interval};
use crate::run::build::BuildLoad;
use crate::run::driven::{Chopping, Driven};
use crate::sheet::measure::BenchMeter;
use alloc::vec::Vec;

/// A group over its charge.
#[derive(Debug)]
pub(super) struct GroupTable {
    pub(super) rest_v: [f64; POINTS],
    pub(super) ohm: [f64; POINTS],
    pub(super) ohm_spread: f64,
}

/// A value and the deviation of its logarithm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spread {
    pub(super) likely: f64,
    pub(super) spread: f64,
}

pub(super) fn spread(value: Interval, more: f64) -> Spread {
    let likely = value.likely.max(1e-7);
    let (low, high) = (value.low.max(0.2 * likely), value.high.max(likely));
    let own = libm::log(high / low) / WIDTH;
    Spread { likely, spread: sqrt(own * own + more * more) }
}

impl Spread {
    pub(super) fn at(&self, z: f64) -> f64 {
        self.likely * libm::exp(self.spread * z)
    }
}

/// A machine of the plan at full duty, and what it takes at others.
pub(super) struct Worked {
    pub(super) law: LoadCircuit,
    pub(super) grid: Vec<[f64; 3]>,
    pub(super) steady: bool,
}

impl Worked {
    /// Nothing where it is not known what the machine takes.
    pub(super) fn of(plan: &Plan, machine: &Driven, supply_v: f64) -> Option<Self> {
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

pub(super) fn loads(plan: &Plan) -> Vec<(BuildLoad, f64)> {
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
pub(super) fn pieces(plan: &Plan, meter: &BenchMeter) -> [Spread; 7] {
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

pub(super) fn sum(to: Interval, of: Interval, share: f64) -> Interval {
    Interval { low: to.low + share * of.low, likely: to.likely + share * of.likely, high: to.high + share * of.high }
}

impl GroupTable {
    /// From the likely, the worst and the best cells of a group, with the pack's current.
    pub(super) fn new(corners: [&Vec<CellCircuit>; 3], load_a: f64) -> Self {
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
pub(super) fn read(table: &[f64; POINTS], at: f64) -> (f64, f64) {
    let steps = POINTS as f64 - 1.0;
    let place = libm::floor(at * steps).clamp(0.0, steps - 1.0);
    let (low, high) = (table.get(place as usize).copied(), table.get(place as usize + 1).copied());
    let (low, high) = (low.unwrap_or(0.0), high.unwrap_or(0.0));
    let slope = (high - low) * steps;
    (low + slope * (at.clamp(-0.1, 1.1) - place / steps), slope)
}
