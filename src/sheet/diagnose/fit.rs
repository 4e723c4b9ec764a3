//! How well one explanation fits the readings.
//!
//! ```text
//! ln evidence = −½ · (Σ r² + Σ z²) − ½ · ln det H + ln prior      r = (shown − told) / σ
//! H = JᵀJ + 1, one row more for the size, which is evenly spread over the logarithm of its range
//! ```
//!
//! The unknowns z of the build and the size are found by damped least squares; the determinant is what a free
//! size costs. Source: Laplace's method; Levenberg and Marquardt's damping, from memory.

use crate::part::load::Draw;
use crate::quantity::root::sqrt;
use crate::sheet::fault::Fault;
use crate::sheet::measure::Measure;
use crate::sheet::model::{CHARGE, CHOPPED, Case, HALF, Model, OPEN_READING};
use alloc::vec::Vec;

/// Residual of a reading that is open where it should not be, or the other way round.
const OPEN_RESIDUAL: f64 = 7.0;

/// Rounds of the search.
const ROUNDS: usize = 12;

/// Readings and what they are of.
pub(super) struct Readings<'r> {
    pub(super) measures: &'r [Measure],
    /// Nothing where the meter showed an open path.
    pub(super) shown: &'r [Option<f64>],
}

/// An explanation at its best.
#[derive(Clone, Debug)]
pub(super) struct Fitted {
    pub(super) fault: Option<Fault>,
    pub(super) size: f64,
    pub(super) z: Vec<f64>,
    pub(super) residuals: Vec<f64>,
    /// What is left unexplained, the unknowns' own cost included.
    pub(super) cost: f64,
    /// Without the prior.
    pub(super) log_evidence: f64,
}

impl Fitted {
    pub(super) fn case(&self) -> Case<'_> {
        Case { z: &self.z, fault: self.fault, size: self.size }
    }

    pub(super) fn misfit(&self) -> f64 {
        self.residuals.iter().map(|r| r * r).sum()
    }
}

/// Deviation of one reading beside the gain of its range, and whether it is judged by its logarithm.
struct Scale {
    sigma: f64,
    by_log: bool,
}

fn scale(model: &Model<'_>, measure: Measure, told: f64) -> Scale {
    let own = model.meter.accuracy(measure, told).rest / HALF;
    let plus = |more: f64| sqrt(own * own + more * more);
    let log = |more: f64| Scale {
        sigma: sqrt(more * more + (own / told.max(1e-12)) * (own / told.max(1e-12))),
        by_log: true,
    };
    let linear = |sigma: f64| Scale { sigma, by_log: false };
    match measure {
        Measure::LoadOhm { load } => {
            let turns = model.plan.loads.get(load - 1).is_some_and(|l| matches!(l.draw, Draw::FollowsVoltage { .. }));
            log(if turns { 0.4 } else { 0.06 })
        }
        Measure::FrequencyHz { .. } => log(0.02),
        Measure::KnobOhm | Measure::CapacitorF => log(0.03),
        Measure::FlybackDiodeV => linear(plus(0.12)),
        Measure::KnobDiodeV { .. } => linear(plus(0.06)),
        Measure::DutyRatio { .. } => linear(plus(0.004)),
        Measure::LoadV { .. } => linear(plus(0.01 * told)),
        Measure::LimitedV => linear(plus(0.02)),
        // A charger's voltage is good to 1 %, evenly.
        Measure::JackV => linear(plus(0.0058 * libm::fabs(told))),
        Measure::OffA => linear(plus(1e-4)),
        Measure::TurnsCount { .. } => linear(0.1),
        Measure::DropV { .. } | Measure::LinkV { .. } | Measure::HeldV => linear(plus(2e-4)),
        _ => linear(plus(0.002)),
    }
}

/// By how many deviations a reading lies off what an explanation tells.
pub(super) fn residual(model: &Model<'_>, measure: Measure, shown: Option<f64>, told: f64) -> f64 {
    let told_open = measure.opens() && told >= OPEN_READING;
    let Some(shown) = shown.filter(|shown| !(measure.opens() && *shown >= OPEN_READING)) else {
        return if told_open { 0.0 } else { OPEN_RESIDUAL };
    };
    if told_open {
        return OPEN_RESIDUAL;
    }
    let by_size = if measure.is_resistance() { told.max(shown) } else { told };
    let Scale { sigma, by_log } = scale(model, measure, by_size);
    if !by_log {
        return (shown - told) / sigma;
    }
    if measure.is_resistance() {
        let least = model.meter.ohms.step_ohm;
        return libm::log(shown.max(least) / told.max(least)) / sigma.min(2.0);
    }
    if (shown > 0.0) != (told > 0.0) {
        return OPEN_RESIDUAL;
    }
    if shown > 0.0 { libm::log(shown / told) / sigma } else { 0.0 }
}

fn residuals(model: &Model<'_>, readings: &Readings<'_>, case: &Case<'_>) -> Vec<f64> {
    let told = model.readings(case, readings.measures);
    let each = readings.measures.iter().zip(readings.shown).zip(told);
    each.map(|((measure, shown), told)| residual(model, *measure, *shown, told)).collect()
}

/// What an unknown costs, as a residual, and its slope: even between the ends of its interval, steep beyond them.
fn prior(z: f64) -> (f64, f64) {
    let beyond = libm::fabs(z) - HALF;
    if beyond <= 0.0 { (z, 1.0) } else { (z * (1.0 + 2.0 * beyond), 1.0 + 2.0 * beyond + 2.0 * libm::fabs(z)) }
}

fn prior_cost(z: &[f64]) -> f64 {
    z.iter().map(|z| prior(*z).0).map(|p| p * p).sum()
}

fn squares(values: &[f64]) -> f64 {
    values.iter().map(|value| value * value).sum()
}

/// Fits one explanation, unknowns and size starting where they are told to.
pub(super) fn fit(model: &Model<'_>, readings: &Readings<'_>, screened: Option<&Screened>, start_z: &[f64]) -> Fitted {
    let fault = screened.map(|screened| screened.fault);
    let count = model.unknowns();
    let mut x = start_z.to_vec();
    x.resize(count, 0.0);
    let sized = screened.filter(|screened| screened.fault.kind.row().size.is_some());
    x.extend(sized.map(|screened| screened.unit));
    let search = Search { model, readings, fault, count };
    let log_determinant = search.improve(&mut x);
    let residuals = search.residuals(&x);
    let (z, unit) = search.parts(&x);
    let cost = squares(&residuals) + prior_cost(z);
    let free = if sized.is_some() { 0.5 * libm::log(2.0 * core::f64::consts::PI) } else { 0.0 };
    Fitted {
        fault,
        size: fault.map_or(0.0, |fault| fault.size(unit)),
        z: z.to_vec(),
        cost,
        log_evidence: -0.5 * cost - 0.5 * log_determinant + free,
        residuals,
    }
}

struct Search<'s, 'm> {
    model: &'s Model<'m>,
    readings: &'s Readings<'s>,
    fault: Option<Fault>,
    /// Unknowns without the size.
    count: usize,
}

impl Search<'_, '_> {
    /// The unknowns and the place of the size in its range.
    fn parts<'x>(&self, x: &'x [f64]) -> (&'x [f64], f64) {
        let (z, rest) = x.split_at(self.count.min(x.len()));
        (z, rest.first().copied().unwrap_or(0.0))
    }

    fn residuals(&self, x: &[f64]) -> Vec<f64> {
        let (z, unit) = self.parts(x);
        let size = self.fault.map_or(0.0, |fault| fault.size(unit));
        residuals(self.model, self.readings, &Case { z, fault: self.fault, size })
    }

    fn cost(&self, x: &[f64], residuals: &[f64]) -> f64 {
        squares(residuals) + prior_cost(self.parts(x).0)
    }

    /// Moves `x` to its best; gives the logarithm of the determinant there.
    fn improve(&self, x: &mut Vec<f64>) -> f64 {
        let mut now = self.residuals(x);
        let mut cost = self.cost(x, &now);
        let (mut damping, mut stale) = (1e-3, false);
        let mut columns = self.columns(x, &now);
        for _ in 0..ROUNDS {
            let Some(next) = self.step(x, &now, &columns, damping) else { break };
            let tried = self.residuals(&next);
            let tried_cost = self.cost(&next, &tried);
            if tried_cost < cost {
                let gain = cost - tried_cost;
                let far = gain > 0.3 * cost;
                (*x, now, cost) = (next, tried, tried_cost);
                (damping, stale) = ((damping * 0.2).max(1e-7), true);
                if gain < 0.02 {
                    break;
                }
                if far {
                    (columns, stale) = (self.columns(x, &now), false);
                }
            } else if stale {
                (columns, stale) = (self.columns(x, &now), false);
            } else {
                damping *= 10.0;
                if damping > 1e4 {
                    break;
                }
            }
        }
        if x.len() > self.count
            && let Some(last) = columns.last_mut()
        {
            *last = self.column(x, &now, self.count);
        }
        self.log_determinant(x, &columns)
    }

    /// Change of every residual with each unknown.
    fn columns(&self, x: &[f64], now: &[f64]) -> Vec<Vec<f64>> {
        (0..x.len()).map(|place| self.column(x, now, place)).collect()
    }

    fn column(&self, x: &[f64], now: &[f64], place: usize) -> Vec<f64> {
        let mut moved = x.to_vec();
        let mut h = 1e-3;
        if let Some(value) = moved.get_mut(place) {
            // Inward at the upper end of the size.
            if place >= self.count && *value > 0.99 {
                h = -h;
            }
            *value += h;
        }
        self.residuals(&moved).iter().zip(now).map(|(there, now)| (there - now) / h).collect()
    }

    /// JᵀJ with the prior of the unknowns on its diagonal.
    fn matrix(&self, x: &[f64], columns: &[Vec<f64>], of_size: f64) -> Vec<Vec<f64>> {
        let row = |(i, left): (usize, &Vec<f64>)| {
            let cell = |(j, right): (usize, &Vec<f64>)| {
                let dot: f64 = left.iter().zip(right).map(|(a, b)| a * b).sum();
                let own = if i < self.count { square(prior(x.get(i).copied().unwrap_or(0.0)).1) } else { of_size };
                if i == j { dot + own } else { dot }
            };
            columns.iter().enumerate().take(i + 1).map(cell).collect()
        };
        columns.iter().enumerate().map(row).collect()
    }

    /// The next place to try.
    fn step(&self, x: &[f64], now: &[f64], columns: &[Vec<f64>], damping: f64) -> Option<Vec<f64>> {
        let mut matrix = self.matrix(x, columns, 1e-9);
        for (i, row) in matrix.iter_mut().enumerate() {
            if let Some(value) = row.get_mut(i) {
                *value *= 1.0 + damping;
            }
        }
        let pull = |(place, column): (usize, &Vec<f64>)| {
            let dot: f64 = column.iter().zip(now).map(|(a, b)| a * b).sum();
            let (cost, slope) = prior(x.get(place).copied().unwrap_or(0.0));
            -(dot + if place < self.count { cost * slope } else { 0.0 })
        };
        let right: Vec<f64> = columns.iter().enumerate().map(pull).collect();
        let step = Triangle::of(&matrix)?.solve(&right);
        let moved = |(place, (at, step)): (usize, (&f64, &f64))| {
            if place < self.count { (at + step).clamp(-6.0, 6.0) } else { (at + step).clamp(0.0, 1.0) }
        };
        Some(x.iter().zip(&step).enumerate().map(moved).collect())
    }

    fn log_determinant(&self, x: &[f64], columns: &[Vec<f64>]) -> f64 {
        let matrix = self.matrix(x, columns, 2.0 * core::f64::consts::PI);
        Triangle::of(&matrix).map_or(0.0, |triangle| triangle.log_determinant(x.len()))
    }
}

fn square(value: f64) -> f64 {
    value * value
}

/// The healthy build's slopes: what an explanation costs at the best unknowns near by, without a search of its own.
pub(super) struct Screen {
    pub(super) z: Vec<f64>,
    columns: Vec<Vec<f64>>,
    triangle: Option<Triangle>,
}

impl Screen {
    /// Around the healthy build at a charge.
    pub(super) fn new(model: &Model<'_>, readings: &Readings<'_>, charge_z: f64) -> Self {
        let mut z = alloc::vec![0.0; model.unknowns()];
        if let Some(charge) = z.get_mut(CHARGE) {
            *charge = charge_z;
        }
        // Off the bend between a motor's two laws.
        if let Some(chopped) = z.get_mut(CHOPPED) {
            *chopped = -0.3;
        }
        let search = Search { model, readings, fault: None, count: z.len() };
        let now = search.residuals(&z);
        let columns = search.columns(&z, &now);
        let triangle = Triangle::of(&search.matrix(&z, &columns, 0.0));
        Self { z, columns, triangle }
    }

    /// Least cost over the sizes of a fault, and the place of that size in its range.
    pub(super) fn screened(&self, model: &Model<'_>, readings: &Readings<'_>, fault: Fault) -> Screened {
        let steps: i32 = if fault.kind.row().size.is_some() { 8 } else { 0 };
        let mut best = Screened { fault, unit: 0.5, cost: f64::INFINITY };
        for step in 0..=steps {
            let unit = f64::from(step) / f64::from(steps.max(1));
            let residuals =
                residuals(model, readings, &Case { z: &self.z, fault: Some(fault), size: fault.size(unit) });
            let cost = self.cost(&residuals);
            if cost < best.cost {
                (best.unit, best.cost) = (unit, cost);
            }
        }
        best
    }

    fn cost(&self, residuals: &[f64]) -> f64 {
        let whole = squares(residuals);
        let Some(triangle) = &self.triangle else { return whole };
        let pull = |column: &Vec<f64>| column.iter().zip(residuals).map(|(a, b)| a * b).sum::<f64>();
        let right: Vec<f64> = self.columns.iter().map(pull).collect();
        let gained: f64 = triangle.solve(&right).iter().zip(&right).map(|(a, b)| a * b).sum();
        whole - gained
    }
}

/// A fault as it is before its own search.
#[derive(Clone, Copy, Debug)]
pub(super) struct Screened {
    pub(super) fault: Fault,
    /// Place of its size in its range.
    pub(super) unit: f64,
    pub(super) cost: f64,
}

/// Lower triangle whose square is a matrix (Cholesky).
struct Triangle {
    rows: Vec<Vec<f64>>,
}

fn entry(rows: &[Vec<f64>], i: usize, j: usize) -> f64 {
    rows.get(i).and_then(|row| row.get(j)).copied().unwrap_or(0.0)
}

impl Triangle {
    fn of(matrix: &[Vec<f64>]) -> Option<Self> {
        let mut rows: Vec<Vec<f64>> = Vec::with_capacity(matrix.len());
        for (i, given) in matrix.iter().enumerate() {
            let mut row: Vec<f64> = Vec::with_capacity(i + 1);
            for (j, value) in given.iter().take(i + 1).enumerate() {
                let other: &[f64] = if j == i { &row } else { rows.get(j)? };
                let dot: f64 = row.iter().zip(other).take(j).map(|(a, b)| a * b).sum();
                let left = value - dot;
                if i == j {
                    if !(left > 0.0 && left.is_finite()) {
                        return None;
                    }
                    row.push(sqrt(left));
                } else {
                    row.push(left / entry(&rows, j, j));
                }
            }
            rows.push(row);
        }
        Some(Self { rows })
    }

    fn solve(&self, right: &[f64]) -> Vec<f64> {
        let mut y: Vec<f64> = Vec::with_capacity(right.len());
        for (row, value) in self.rows.iter().zip(right) {
            let dot: f64 = row.iter().zip(&y).map(|(a, b)| a * b).sum();
            y.push((value - dot) / row.last().copied().unwrap_or(1.0));
        }
        for i in (0..y.len()).rev() {
            let below: f64 = (i + 1..y.len()).map(|k| entry(&self.rows, k, i) * y.get(k).copied().unwrap_or(0.0)).sum();
            if let Some(value) = y.get_mut(i) {
                *value = (*value - below) / entry(&self.rows, i, i);
            }
        }
        y
    }

    fn log_determinant(&self, size: usize) -> f64 {
        (0..size).map(|i| 2.0 * libm::log(entry(&self.rows, i, i).max(1e-300))).sum()
    }
}
