//! How far the surface of the electrodes' grains runs ahead of their bulk, and how that is read from pulses.
//!
//! ```text
//! lag  = Σ lagₖ,   d lagₖ/dt = (gainₖ · lag_s · dsoc/dt − lagₖ) · λₖ² / lag_s,   tan λₖ = λₖ,   gainₖ = 10 / (15 λₖ²)
//! rest = rest_v(soc − (1 − share(soc)) · quick lag − share(soc) · slow lag)
//! ```
//!
//! For a sphere fed at a constant rate the lag is lag_s / 15 · rate in the steady state; `lag_s` is radius² over
//! diffusivity. [`MODES`] modes are kept, the rest is given to the last. A cell has two electrodes, a quick and a slow
//! one; which of them bends the rest voltage changes with the state of charge.
//!
//! From a pulse table the two times and the shares are found together: those that leave the smallest error between
//! the slow part of the pulses (the voltage lost since the first reading) and what the rest-voltage curve gives at the
//! lagging surface, after taking off what all states of charge have in common, which is the electrolyte. Errors are
//! weighed by 1 mV and 1 % of the reading, the weight of two very different times and of shares that jump is small. One
//! procedure with the same constants for every cell.
//!
//! Source: Crank, The Mathematics of Diffusion, 2nd edition 1975, equation 6.45 (sphere with constant flux; from
//! memory). The procedure and its constants are this crate's own.

use super::curves::{PulseTable, read};
use crate::data::chemistry::PULSE_POINTS;
use crate::quantity::order::sort_numbers;
use crate::quantity::root::sqrt;
use alloc::vec::Vec;

/// Diffusion modes kept of each electrode.
pub const MODES: usize = 5;

/// Squares of the first roots of tan λ = λ.
pub(crate) const MODE_RATES: [f64; MODES] =
    [20.190728556426628, 59.67951594410942, 118.89986916385714, 197.85781129972546, 296.55441197098855];

/// Share of `lag_s` that each mode carries per unit of rate in the steady state; together 1/15.
pub(crate) const MODE_GAINS: [f64; MODES] = {
    let [a, b, c, d, _] = MODE_RATES;
    let (a, b, c, d) = (10.0 / a, 10.0 / b, 10.0 / c, 10.0 / d);
    [a / 15.0, b / 15.0, c / 15.0, d / 15.0, (1.0 - a - b - c - d) / 15.0]
};

/// Shortest and longest time that is looked for. At the longest, 18 % of the charge lags behind at 1C.
const TIMES_S: [f64; 2] = [100.0, 1e4];
/// Times tried between them before the best two are refined.
const TRIED: u32 = 12;
/// Shares of the slow electrode that are tried.
const SHARES: usize = 11;
/// A reading counts with the inverse square of this error, in volts, and this share of itself.
const ERROR_V: f64 = 1e-3;
const ERROR_RATIO: f64 = 0.01;
/// Weight of the square of the logarithm of slow over quick.
const SPREAD_WEIGHT: f64 = 4.0;
/// Weight of the square of the change of the share from one state of charge to the next.
const JUMP_WEIGHT: f64 = 0.3;
/// Readings earlier than this still hold part of the fast part, in seconds.
const SETTLED_S: f64 = 5.0;

/// Most of the slow part of its pulses that may stay unexplained, for a cell to be of the kind that this model holds
/// for. Nine of ten published cells stay under 0.1; the tenth, at 0.29, has a diffusivity that changes strongly
/// with its charge, and its runs come out up to 14 % wrong.
pub(crate) const MISFIT_MOST: f64 = 0.15;

/// Quick and slow electrode, and which of them bends the rest voltage at each state of charge of the pulse table.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Lag {
    pub(crate) quick_s: f64,
    pub(crate) slow_s: f64,
    /// Share of the slow one, for each row of the table.
    pub(crate) share: Vec<f64>,
    /// Root of the mean square of what the pulses leave unexplained, as a share of the root of their mean square.
    pub(crate) misfit_ratio: f64,
}

/// A lag as it was found in the pulses of a built-in cell.
#[derive(Clone, Copy, Debug)]
pub(super) struct KeptLag {
    pub(super) quick_s: f64,
    pub(super) slow_s: f64,
    /// Share of the slow one, in steps of those that are tried.
    pub(super) steps: [u8; PULSE_POINTS],
    pub(super) misfit_ratio: f64,
}

impl KeptLag {
    pub(super) fn lag(&self) -> Lag {
        let share = self.steps.iter().map(|step| f64::from(*step) / (SHARES - 1) as f64).collect();
        Lag { quick_s: self.quick_s, slow_s: self.slow_s, share, misfit_ratio: self.misfit_ratio }
    }
}

/// Lag after `after_s` of a constant rate of 1 per second.
pub(crate) fn lag(after_s: f64, lag_s: f64) -> f64 {
    let (mut share, times) = (0.0, after_s / lag_s);
    for (gain, rate) in MODE_GAINS.iter().zip(&MODE_RATES) {
        share += gain * (1.0 - left(rate * times));
    }
    lag_s * share
}

/// What is left after so many time constants; nothing where one less it is one.
pub(crate) fn left(times: f64) -> f64 {
    if times > 40.0 { 0.0 } else { libm::exp(-times) }
}

/// One reading of a pulse table.
#[derive(Clone, Copy, Debug)]
struct Pulse {
    row: usize,
    soc_ratio: f64,
    rest_v: f64,
    after_s: f64,
    slow_v: f64,
}

/// A pulse table ready to be compared.
#[derive(Debug)]
struct Slow<'a> {
    rest_v: &'a [f64],
    rate: f64,
    first_s: f64,
    times_s: Vec<f64>,
    rows: usize,
    /// Row by row.
    pulses: Vec<Pulse>,
}

/// How well two times explain the pulses.
struct Trial {
    cost: f64,
    share: Vec<f64>,
    square_v2: f64,
}

impl Lag {
    /// The lag that explains the slow part of a pulse table best.
    pub(crate) fn fit(rest_v: &[f64], table: &PulseTable) -> Self {
        let slow = Slow::of(rest_v, table);
        let (first, last) = (libm::log(TIMES_S[0]), libm::log(TIMES_S[1]));
        let step = (last - first) / f64::from(TRIED - 1);
        let time = |i: u32| first + step * f64::from(i);
        let cost = |quick: f64, long: f64| slow.trial(libm::exp(quick), libm::exp(long)).cost;
        let (mut best, mut quick, mut long) = (f64::INFINITY, first, first);
        for i in 0..TRIED {
            for j in i..TRIED {
                let here = cost(time(i), time(j));
                if here < best {
                    (best, quick, long) = (here, time(i), time(j));
                }
            }
        }
        for width in [step, 0.5 * step] {
            long = lowest((long - width).max(quick), (long + width).min(last), |long| cost(quick, long));
            quick = lowest((quick - width).max(first), (quick + width).min(long), |quick| cost(quick, long));
        }
        let (quick_s, slow_s) = (libm::exp(quick), libm::exp(long));
        let Trial { share, square_v2, .. } = slow.trial(quick_s, slow_s);
        let whole_v2: f64 = slow.pulses.iter().map(|pulse| pulse.slow_v * pulse.slow_v).sum();
        let misfit_ratio = if whole_v2 > 0.0 { sqrt(square_v2 / whole_v2) } else { 0.0 };
        Self { quick_s, slow_s, share, misfit_ratio }
    }

    /// Lag after `after_s` of a constant rate of 1 per second, where the slow electrode has a share.
    pub(crate) fn after(&self, after_s: f64, share: f64) -> f64 {
        (1.0 - share) * lag(after_s, self.quick_s) + share * lag(after_s, self.slow_s)
    }
}

/// Where a function of one hump is lowest, by golden section.
fn lowest(mut low: f64, mut high: f64, cost: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..12 {
        let (a, b) = (low + 0.382 * (high - low), low + 0.618 * (high - low));
        if cost(a) < cost(b) { high = b } else { low = a }
    }
    0.5 * (low + high)
}

impl<'a> Slow<'a> {
    fn of(rest_v: &'a [f64], table: &PulseTable) -> Self {
        let first_s = table.after_s.first().copied().unwrap_or(0.0);
        let later: Vec<f64> = table.after_s.iter().skip(1).copied().collect();
        let settled: Vec<f64> = later.iter().filter(|after_s| **after_s >= SETTLED_S).copied().collect();
        let times_s = if settled.is_empty() { later } else { settled };
        let mut pulses = Vec::new();
        for (row, (&soc_ratio, ohms)) in table.soc_ratio.iter().zip(&table.resistance_ohm).enumerate() {
            let first_ohm = ohms.first().copied().unwrap_or(0.0);
            let readings =
                table.after_s.iter().zip(ohms).filter(|(after_s, ohm)| times_s.contains(after_s) && **ohm > 0.0);
            pulses.extend(readings.map(|(&after_s, ohm)| Pulse {
                row,
                soc_ratio,
                rest_v: read(rest_v, soc_ratio),
                after_s,
                slow_v: table.current_a * (ohm - first_ohm),
            }));
        }
        let rate = table.current_a / (3600.0 * table.capacity_ah);
        Self { rest_v, rate, first_s, times_s, rows: table.soc_ratio.len(), pulses }
    }

    /// Shares, and what they leave unexplained, for two times.
    fn trial(&self, quick_s: f64, slow_s: f64) -> Trial {
        let rise = |after_s: f64, lag_s: f64| lag(after_s, lag_s) - lag(self.first_s, lag_s);
        let lags: Vec<[f64; 2]> = self.times_s.iter().map(|t| [rise(*t, quick_s), rise(*t, slow_s)]).collect();
        let lag_at = |after_s: f64| {
            self.times_s.iter().zip(&lags).find(|(t, _)| **t == after_s).map_or([0.0; 2], |(_, lag)| *lag)
        };
        let unexplained: Vec<[f64; SHARES]> = self
            .pulses
            .iter()
            .map(|pulse| {
                let [quick, slow] = lag_at(pulse.after_s);
                let mut left = [0.0; SHARES];
                for (left, share) in left.iter_mut().zip(shares()) {
                    let moved = self.rate * (pulse.after_s + (1.0 - share) * quick + share * slow);
                    *left = pulse.slow_v - (pulse.rest_v - read(self.rest_v, pulse.soc_ratio - moved));
                }
                left
            })
            .collect();
        let mut common: Vec<f64> = self.times_s.iter().map(|_| 0.0).collect();
        let mut path = self.path(&unexplained, &common);
        for _ in 0..2 {
            common = self.common(&unexplained, &path.steps);
            path = self.path(&unexplained, &common);
        }
        let spread = libm::log(slow_s / quick_s);
        let square_v2 = self.pulses.iter().zip(&unexplained).map(|(pulse, left)| {
            let gap = self.gap(pulse, left, &common, path.steps.get(pulse.row).copied().unwrap_or(0));
            gap * gap
        });
        Trial {
            cost: path.cost + SPREAD_WEIGHT * spread * spread,
            share: path.steps.iter().map(|step| *step as f64 / (SHARES - 1) as f64).collect(),
            square_v2: square_v2.sum(),
        }
    }

    /// What a reading leaves unexplained at one share, after what all have in common.
    fn gap(&self, pulse: &Pulse, left: &[f64; SHARES], common: &[f64], step: usize) -> f64 {
        let shift =
            self.times_s.iter().zip(common).find(|(t, _)| **t == pulse.after_s).map_or(0.0, |(_, shift)| *shift);
        left.get(step).copied().unwrap_or(0.0) - shift
    }

    /// What all states of charge have in common at each time: the median of what they leave, and not below 0.
    fn common(&self, unexplained: &[[f64; SHARES]], steps: &[usize]) -> Vec<f64> {
        let at = |after_s: &f64| {
            let here = self.pulses.iter().zip(unexplained).filter(|(pulse, _)| pulse.after_s == *after_s);
            let mut left: Vec<f64> =
                here.filter_map(|(pulse, left)| left.get(*steps.get(pulse.row)?).copied()).collect();
            sort_numbers(&mut left);
            let middle = left.len() / 2;
            let median = match (left.get(middle.wrapping_sub(1)), left.get(middle)) {
                (Some(low), Some(high)) if left.len().is_multiple_of(2) => 0.5 * (low + high),
                (_, Some(one)) => *one,
                _ => 0.0,
            };
            median.max(0.0)
        };
        self.times_s.iter().map(at).collect()
    }

    /// The shares of the least cost, one for each row: the cheapest way through a row of choices.
    fn path(&self, unexplained: &[[f64; SHARES]], common: &[f64]) -> Path {
        let mut pulses = self.pulses.iter().zip(unexplained).peekable();
        let mut costs = [0.0; SHARES];
        let mut from: Vec<[usize; SHARES]> = Vec::with_capacity(self.rows);
        for row in 0..self.rows {
            let mut own = [0.0; SHARES];
            while let Some((pulse, left)) = pulses.next_if(|(pulse, _)| pulse.row == row) {
                let weight = 1.0 / (ERROR_V + ERROR_RATIO * libm::fabs(pulse.slow_v));
                for (step, own) in own.iter_mut().enumerate() {
                    let gap = weight * self.gap(pulse, left, common, step);
                    *own += gap * gap;
                }
            }
            let (next, back) = if row == 0 { (own, [0; SHARES]) } else { onward(&costs, &own) };
            costs = next;
            from.push(back);
        }
        let (mut step, cost) = cheapest(costs.iter().copied());
        let mut steps: Vec<usize> = Vec::with_capacity(self.rows);
        for back in from.iter().rev() {
            steps.push(step);
            step = back.get(step).copied().unwrap_or(0);
        }
        steps.reverse();
        Path { cost, steps }
    }
}

/// One share for each row, and what they cost together.
struct Path {
    cost: f64,
    steps: Vec<usize>,
}

/// Costs after one more row, and where each came from.
fn onward(costs: &[f64; SHARES], own: &[f64; SHARES]) -> ([f64; SHARES], [usize; SHARES]) {
    let (mut next, mut back) = ([0.0; SHARES], [0; SHARES]);
    for (to, ((next, back), own)) in next.iter_mut().zip(&mut back).zip(own).enumerate() {
        let reach = costs.iter().enumerate().map(|(from, cost)| {
            let jump = (from as f64 - to as f64) / (SHARES - 1) as f64;
            cost + JUMP_WEIGHT * jump * jump
        });
        let (from, cost) = cheapest(reach);
        (*next, *back) = (cost + own, from);
    }
    (next, back)
}

fn cheapest(costs: impl Iterator<Item = f64>) -> (usize, f64) {
    costs.enumerate().fold((0, f64::INFINITY), |best, (step, cost)| if cost < best.1 { (step, cost) } else { best })
}

fn shares() -> impl Iterator<Item = f64> {
    (0..SHARES).map(|step| step as f64 / (SHARES - 1) as f64)
}
