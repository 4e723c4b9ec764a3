//! How a cell of one chemistry behaves, per ampere-hour of capacity.
//!
//! ```text
//! cell_v = rest_v(soc − lag) − i · r(soc) − (2 R T / F) · asinh(i / i0(soc))
//! ```
//!
//! The lag of the grains' surface stands in [`super::lag`]. The three parts are told apart by pulses at one current
//! alone, by one procedure for every cell ([`Curves::derive`]): the slow part of the pulses gives the lag; the change of
//! the first resistance with temperature gives `i0`, with an activation energy of [`ACTIVATION_J_PER_MOL`]; what is left
//! in the slowest reading is `r`.
//!
//! Holds from 5 °C to 40 °C up to 1C, and up to 0.5C near 5 °C.
//! Source: Butler–Volmer kinetics with equal transfer coefficients (Newman, Electrochemical Systems; from memory).

use super::lag::{KeptLag, Lag};
use crate::data::chemistry::{PULSE_DEGC, PULSE_POINTS, PULSE_SOC_RATIO, PULSE_TIME_S, PublishedCell};
use crate::data::other_cells::{PlainCell, WarmCell};
use crate::quantity::KELVIN_AT_ZERO_DEGC;
use alloc::vec::Vec;

/// Activation energy of the charge transfer, in joules per mole: a middle value of published parameter sets
/// (17 to 60 kJ/mol), from memory.
pub const ACTIVATION_J_PER_MOL: f64 = 35000.0;

/// Gas constant, J/(mol K), and Faraday constant, C/mol: exact by definition, 9th SI brochure.
const GAS_J_PER_MOL_K: f64 = 8.31446261815324;
const FARADAY_C_PER_MOL: f64 = 96485.33212331001;

/// Smallest share of the first resistance that is taken as ohmic.
const OHMIC_SHARE: f64 = 0.15;

/// Points of every curve over the state of charge: one each percent.
pub(crate) const POINTS: usize = 101;

/// Behaviour of a cell over state of charge, per ampere-hour.
#[derive(Clone, Debug, PartialEq)]
pub struct Curves {
    pub(crate) rest_v: Vec<f64>,
    /// The same with the area under the curve from empty up to each point.
    rest: Vec<[f64; 2]>,
    pub(crate) r_ohm_ah: [Vec<f64>; 2],
    /// Mean logarithm of cold over warm resistance.
    cold_log: f64,
    pub(crate) i0_per_h: Vec<f64>,
    /// Times of the quick and the slow electrode at 5 °C, and at 25 °C.
    pub(crate) lag_s: [[f64; 2]; 2],
    /// Share of the slow electrode in the lag.
    pub(crate) slow_share: Vec<f64>,
    pub(crate) has_kinetics: bool,
    /// Root of the mean square of what the pulses leave unexplained, as a share of the root of their mean square.
    pub(crate) misfit_ratio: f64,
    /// What runs with these curves were held against.
    pub(crate) proven: Proven,
    /// Whether a voltage above the curve is charging, and counts as full.
    charges_above_rest: bool,
}

/// Temperatures of cells that are known at 25 °C alone at which their runs are relied on, in degrees Celsius. Own choice.
pub(crate) const WARM_DEGC: core::ops::RangeInclusive<f64> = 15.0..=35.0;

/// Temperature of their pulses.
const WARM_PULSE_DEGC: f64 = 25.0;

/// What runs with curves were held against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Proven {
    /// Runs warm and cold.
    Lithium,
    /// Runs or a data sheet near 25 °C, up to this current in multiples of the capacity.
    Warm { most_c: f64 },
    /// Nothing.
    Nothing,
}

/// Pulse resistances of one cell at one temperature.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PulseTable {
    /// Capacity of the cell between the ends of its rest curve, in ampere-hours.
    pub capacity_ah: f64,
    /// Current of the pulses, in amperes.
    pub current_a: f64,
    /// Temperature of the cell, in degrees Celsius.
    pub cell_degc: f64,
    /// States of charge before each pulse, rising.
    pub soc_ratio: Vec<f64>,
    /// Times after the start at which the resistance was read, in seconds, rising; the first within a second.
    pub after_s: Vec<f64>,
    /// Resistance in ohms, for each state of charge a row, for each time a column; 0 where there is no reading.
    pub resistance_ohm: Vec<Vec<f64>>,
}

impl PublishedCell {
    /// Its pulses, cold and warm.
    pub(super) fn pulse_tables(&self) -> [PulseTable; 2] {
        let [cold, warm] = &self.pulse_ohm;
        let [cold_degc, warm_degc] = PULSE_DEGC;
        let table = |ohm, cell_degc| PulseTable::of_rows(ohm, self.capacity_ah, self.pulse_a, cell_degc);
        [table(cold, cold_degc), table(warm, warm_degc)]
    }
}

impl WarmCell {
    /// Its pulses.
    pub(super) fn pulse_table(&self) -> PulseTable {
        PulseTable::of_rows(&self.pulse_ohm, self.capacity_ah, self.pulse_a, WARM_PULSE_DEGC)
    }
}

impl PulseTable {
    /// A table of built-in rows.
    fn of_rows(ohm: &[[f64; 3]; PULSE_POINTS], capacity_ah: f64, current_a: f64, cell_degc: f64) -> Self {
        Self {
            capacity_ah,
            current_a,
            cell_degc,
            soc_ratio: PULSE_SOC_RATIO.to_vec(),
            after_s: PULSE_TIME_S.to_vec(),
            resistance_ohm: ohm.iter().map(|row| row.to_vec()).collect(),
        }
    }

    /// A value of every row, carried to the uniform table over the state of charge.
    fn over_charge(&self, value: impl Fn(usize) -> f64) -> Vec<f64> {
        resample(&self.soc_ratio, &(0..self.soc_ratio.len()).map(value).collect::<Vec<f64>>())
    }
}

/// 2RT/F of one electrode reaction, in volts.
pub(crate) fn kinetic_v(cell_degc: f64) -> f64 {
    2.0 * GAS_J_PER_MOL_K * (cell_degc + KELVIN_AT_ZERO_DEGC) / FARADAY_C_PER_MOL
}

/// How far `cell_degc` lies from 25 °C (0) towards 5 °C (1) on the scale of 1/T.
pub(crate) fn coldness(cell_degc: f64) -> f64 {
    let inverse = |degc: f64| 1.0 / (degc + KELVIN_AT_ZERO_DEGC);
    (inverse(cell_degc) - inverse(25.0)) / (inverse(5.0) - inverse(25.0))
}

/// Exchange current at 25 °C over that at 5 °C, as a logarithm.
pub(crate) fn activation_log() -> f64 {
    let inverse = |degc: f64| 1.0 / (degc + KELVIN_AT_ZERO_DEGC);
    ACTIVATION_J_PER_MOL / GAS_J_PER_MOL_K * (inverse(5.0) - inverse(25.0))
}

/// Reads a uniform table over 0 to 1, going on straight beyond both ends.
#[expect(clippy::inline_always, reason = "read many times a step; left out of line where size counts")]
#[inline(always)]
pub(crate) fn read(table: &[f64], soc_ratio: f64) -> f64 {
    let (index, within) = place(table.len(), soc_ratio);
    between(table, index, within).unwrap_or_else(|| table.first().copied().unwrap_or(0.0))
}

/// Which step of a uniform table over 0 to 1 a state of charge lies in, and how far into it; beyond the ends the
/// outermost step.
#[expect(clippy::inline_always, reason = "read many times a step; left out of line where size counts")]
#[inline(always)]
fn place(points: usize, soc_ratio: f64) -> (usize, f64) {
    let place = soc_ratio * points.saturating_sub(1) as f64;
    let index = if place > 0.0 { (place as usize).min(points.saturating_sub(2)) } else { 0 };
    (index, place - index as f64)
}

#[expect(clippy::inline_always, reason = "read many times a step; left out of line where size counts")]
#[inline(always)]
fn between(table: &[f64], index: usize, within: f64) -> Option<f64> {
    match table.get(index..)? {
        [low, high, ..] => Some(low + within * (high - low)),
        _ => None,
    }
}

/// The fast part of a cell at a state of charge.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fast {
    pub(crate) r_ohm_ah: f64,
    pub(crate) i0_per_h: f64,
}

/// Rest voltage with its slope and the area under the curve.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rest {
    pub(crate) v: f64,
    pub(crate) slope_v: f64,
    pub(crate) area_v: f64,
}

impl Curves {
    /// Curves of a published cell.
    #[must_use]
    pub fn published(cell: &PublishedCell) -> Self {
        Self::derive(&cell.rest_v, &cell.pulse_tables())
    }

    /// The same, with the lags that were found in its pulses before.
    pub(super) fn kept(cell: &PublishedCell, lags: &[KeptLag; 2]) -> Self {
        Self::derived(&cell.rest_v, &cell.pulse_tables(), Some(lags.each_ref().map(KeptLag::lag)))
    }

    /// Curves of a cell that is known at 25 °C alone, and whose runs come out several percent wrong.
    #[must_use]
    pub fn warm(cell: &WarmCell) -> Self {
        Self { proven: Proven::Nothing, ..Self::derive(&cell.rest_v, &[cell.pulse_table()]) }
    }

    /// The same, with the lag that was found in its pulses before.
    pub(super) fn kept_warm(cell: &WarmCell, lag: &KeptLag) -> Self {
        let lags = Some([lag.lag(), lag.lag()]);
        Self { proven: Proven::Nothing, ..Self::derived(&cell.rest_v, &[cell.pulse_table()], lags) }
    }

    /// Curves of a cell as a rest curve, a resistance and one lag; `most_c` is the highest current its runs were held
    /// against, where they were. It is full at the end of its rest curve, however high it is charged.
    #[must_use]
    pub fn plain(cell: &PlainCell, most_c: Option<f64>) -> Self {
        let soc_ratio: Vec<f64> = cell.points.iter().map(|point| point.soc_ratio).collect();
        let rest_v: Vec<f64> = cell.points.iter().map(|point| point.rest_v).collect();
        let ohm_ah: Vec<f64> = cell.points.iter().map(|point| point.ohm_ah).collect();
        let ohm_ah = resample(&soc_ratio, &ohm_ah);
        Self {
            r_ohm_ah: [ohm_ah.clone(), ohm_ah],
            lag_s: [[cell.lag_s; 2]; 2],
            proven: most_c.map_or(Proven::Nothing, |most_c| Proven::Warm { most_c }),
            charges_above_rest: true,
            ..Self::derive(&resample(&soc_ratio, &rest_v), &[])
        }
    }

    /// The same, full at the end of the rest curve however high it is charged.
    #[must_use]
    pub fn charged_above_rest(self, above: bool) -> Self {
        Self { charges_above_rest: above, ..self }
    }

    /// Curves from a rest-voltage table (uniform over charge, empty first) and the pulses of none, one or two
    /// temperatures.
    ///
    /// Without pulses the cell is a plain resistance, to be scaled by the maker's own measurement, with the surface
    /// lag of a middling lithium-ion cell; with one temperature, half of the first resistance is taken as kinetic.
    #[must_use]
    pub fn derive(rest_v: &[f64], pulses: &[PulseTable]) -> Self {
        Self::derived(rest_v, pulses, None)
    }

    /// The same; the lags of the cold and the warm pulses are looked for where they are not given.
    fn derived(rest_v: &[f64], pulses: &[PulseTable], lags: Option<[Lag; 2]>) -> Self {
        let rest_v: Vec<f64> = (0..POINTS).map(|i| read(rest_v, i as f64 / 100.0)).collect();
        let flat = |value: f64| (0..POINTS).map(|_| value).collect::<Vec<f64>>();
        let mut curves = Self {
            rest: with_area(&rest_v),
            rest_v,
            r_ohm_ah: [flat(0.15), flat(0.1)],
            cold_log: 0.0,
            i0_per_h: flat(1.0),
            lag_s: [[1700.0; 2]; 2],
            slow_share: flat(0.0),
            has_kinetics: false,
            misfit_ratio: 0.0,
            proven: Proven::Lithium,
            charges_above_rest: false,
        };
        if let (Some(first), Some(last)) = (pulses.first(), pulses.last()) {
            let (cold, warm) = if first.cell_degc <= last.cell_degc { (first, last) } else { (last, first) };
            curves.read_pulses(cold, warm, lags);
            curves.carry_to_standard(cold.cell_degc, warm.cell_degc);
        }
        let [cold, warm] = &curves.r_ohm_ah;
        let logs = cold.iter().zip(warm).map(|(cold, warm)| if *warm > 0.0 { libm::log(cold / warm) } else { 0.0 });
        curves.cold_log = logs.sum::<f64>() / POINTS as f64;
        curves
    }

    /// The curves of a cell that has lost `lost_ratio` of its charge, with that part cut out of the rest curve: at the
    /// full end (−1), nothing at all (0), at the empty end (1), or in between.
    ///
    /// Ageing shifts the electrodes against each other and shrinks them. Each electrode then runs through a window of
    /// what it did when new, so that the rest voltage at a state of charge lies between those that the new cell had at
    /// (1 − lost) · soc and at lost + (1 − lost) · soc; full and empty voltage stay, as charging ends at the one and
    /// the capacity is counted to the other.
    /// Source: derived; for the windows Dubarry and others, J. Power Sources 219 (2012) 204 (from memory).
    #[must_use]
    pub fn worn(&self, lost_ratio: f64, toward: f64) -> Self {
        let lost = lost_ratio * libm::fabs(toward);
        let old = |soc: f64| if toward < 0.0 { (1.0 - lost) * soc } else { lost + (1.0 - lost) * soc };
        let inner = (1..POINTS - 1).map(|i| read(&self.rest_v, old(i as f64 / (POINTS - 1) as f64)));
        let end = |soc: f64| core::iter::once(read(&self.rest_v, soc));
        let rest_v: Vec<f64> = end(0.0).chain(inner).chain(end(1.0)).collect();
        Self { rest: with_area(&rest_v), rest_v, ..self.clone() }
    }

    /// Everything that pulses tell.
    fn read_pulses(&mut self, cold: &PulseTable, warm: &PulseTable, lags: Option<[Lag; 2]>) {
        let cold_first = cold.over_charge(|row| first_v(cold, row) / cold.current_a);
        let i0 = |row: usize| {
            let soc = warm.soc_ratio.get(row).copied().unwrap_or(0.0);
            exchange_current(warm, cold.cell_degc, read(&cold_first, soc), row)
        };
        let i0_a = warm.over_charge(i0);
        let lags = lags.unwrap_or_else(|| [cold, warm].map(|table| Lag::fit(&self.rest_v, table)));
        self.lag_s = lags.each_ref().map(|lag| [lag.quick_s, lag.slow_s]);
        let [cold_lag, warm_lag] = &lags;
        self.slow_share = warm.over_charge(|row| warm_lag.share.get(row).copied().unwrap_or(0.0));
        let ohmic = |table: &PulseTable, lag: &Lag| {
            table.over_charge(|row| {
                let soc = table.soc_ratio.get(row).copied().unwrap_or(0.0);
                let i0_here = read(&i0_a, soc) * warm_to(table.cell_degc);
                let share = read(&self.slow_share, soc);
                ohmic(&self.rest_v, table, |after_s| lag.after(after_s, share), row, i0_here) * table.capacity_ah
            })
        };
        self.r_ohm_ah = [ohmic(cold, cold_lag), ohmic(warm, warm_lag)];
        self.i0_per_h = i0_a.iter().map(|i0_a| i0_a / warm.capacity_ah).collect();
        self.has_kinetics = true;
        self.misfit_ratio = cold_lag.misfit_ratio.max(warm_lag.misfit_ratio);
    }

    /// Carries values of two measured temperatures to 5 °C and 25 °C on the scale of 1/T.
    fn carry_to_standard(&mut self, cold_degc: f64, warm_degc: f64) {
        let (cold, warm) = (coldness(cold_degc), coldness(warm_degc));
        if cold - warm < 0.05 {
            return; // one temperature: nothing known of the change
        }
        let carry = |low: f64, high: f64, to: f64| {
            let share = (to - warm) / (cold - warm);
            libm::exp(libm::log(high) + share * (libm::log(low) - libm::log(high)))
        };
        let [cold_r, warm_r] = &mut self.r_ohm_ah;
        for (low, high) in cold_r.iter_mut().zip(warm_r) {
            (*low, *high) = (carry(*low, *high, 1.0), carry(*low, *high, 0.0));
        }
        let [[cold_quick, cold_slow], [warm_quick, warm_slow]] = self.lag_s;
        self.lag_s = [1.0, 0.0].map(|to| [carry(cold_quick, warm_quick, to), carry(cold_slow, warm_slow, to)]);
    }

    /// State of charge at which the cell rests at `rest_v`, going on straight beyond both ends; a chemistry that is
    /// charged well above its rest voltage is full at the end of its curve.
    #[must_use]
    pub fn soc_ratio(&self, rest_v: f64) -> f64 {
        let last = self.rest_v.len().saturating_sub(1);
        let above = self.rest_v.partition_point(|v| *v < rest_v).clamp(1, last.max(1));
        match self.rest_v.get(above - 1..) {
            Some([low, high, ..]) if high > low => {
                let within = (rest_v - low) / (high - low);
                let highest = if self.charges_above_rest { 1.0 } else { 2.0 };
                (((above - 1) as f64 + within) / last as f64).clamp(-1.0, highest)
            }
            _ => 0.0,
        }
    }

    /// Rest voltage at a state of charge, and the area under the curve up to there, both going on straight beyond the
    /// ends.
    pub(crate) fn rest(&self, soc_ratio: f64) -> Rest {
        let (index, within) = place(self.rest.len(), soc_ratio);
        let Some([[low, area], [high, _], ..]) = self.rest.get(index..) else {
            return Rest { v: 0.0, slope_v: 0.0, area_v: 0.0 };
        };
        let (rise, steps) = (high - low, (POINTS - 1) as f64);
        Rest {
            v: low + rise * within,
            slope_v: rise * steps,
            area_v: area + within * (low + 0.5 * within * rise) / steps,
        }
    }

    /// How far the resistances at a temperature lie from the warm towards the cold table.
    ///
    /// Their mean ratio follows exp(b/T), and so does the share: 0 at 25 °C, 1 at 5 °C.
    pub(crate) fn cold_share(&self, cell_degc: f64) -> f64 {
        let log = self.cold_log;
        let share = coldness(cell_degc);
        if libm::fabs(log) < 1e-6 { share } else { libm::expm1(log * share) / libm::expm1(log) }
    }

    /// Resistance times capacity, at a share of the way from the warm to the cold table; level beyond the ends.
    pub(crate) fn r_ohm_ah(&self, soc_ratio: f64, cold_share: f64) -> f64 {
        self.fast(soc_ratio, cold_share).r_ohm_ah
    }

    /// The same with the exchange current at 25 °C.
    pub(crate) fn fast(&self, soc_ratio: f64, cold_share: f64) -> Fast {
        let [cold, warm] = &self.r_ohm_ah;
        let (index, within) = place(warm.len(), soc_ratio.clamp(0.0, 1.0));
        let at = |table| between(table, index, within).unwrap_or(0.0);
        let warm = at(warm);
        Fast { r_ohm_ah: warm + cold_share * (at(cold) - warm), i0_per_h: at(&self.i0_per_h) }
    }

    /// Rest voltage at a state of charge, in volts.
    #[must_use]
    pub fn rest_v(&self, soc_ratio: f64) -> f64 {
        read(&self.rest_v, soc_ratio)
    }
}

/// A uniform table over 0 to 1, each point with the area under the curve up to there.
fn with_area(table: &[f64]) -> Vec<[f64; 2]> {
    let steps = table.len().saturating_sub(1) as f64;
    let mut sum = 0.0;
    let mut below = table.first().copied().unwrap_or(0.0);
    let point = |(index, value): (usize, &f64)| {
        if index > 0 {
            sum += (below + value) / (2.0 * steps);
        }
        below = *value;
        [*value, sum]
    };
    table.iter().enumerate().map(point).collect()
}

/// Exchange current at `cell_degc` over that at 25 °C.
fn warm_to(cell_degc: f64) -> f64 {
    libm::exp(-coldness(cell_degc) * activation_log())
}

/// Kinetic voltage of a pulse at `current_a`.
fn kinetic(cell_degc: f64, current_a: f64, i0_25: f64) -> f64 {
    kinetic_v(cell_degc) * libm::asinh(current_a / (i0_25 * warm_to(cell_degc)))
}

fn first_v(table: &PulseTable, row: usize) -> f64 {
    table.resistance_ohm.get(row).and_then(|times| times.first()).copied().unwrap_or(0.0) * table.current_a
}

/// Exchange current at 25 °C that explains the change of the first resistance between two temperatures.
fn exchange_current(warm: &PulseTable, cold_degc: f64, cold_first_ohm: f64, row: usize) -> f64 {
    let current_a = warm.current_a;
    let (cold_v, warm_v) = (cold_first_ohm * current_a, first_v(warm, row));
    let kinetic_gap = |log: f64| {
        let i0 = libm::exp(log);
        kinetic(cold_degc, current_a, i0) - kinetic(warm.cell_degc, current_a, i0)
    };
    let one_temperature = coldness(cold_degc) - coldness(warm.cell_degc) < 0.05;
    let share = if one_temperature { 0.5 } else { 1.0 - OHMIC_SHARE };
    let most_v = share * warm_v;
    let centre = libm::log(current_a);
    // Kinetic voltage falls as i0 grows: the smallest i0 that still leaves the ohmic share.
    let smallest =
        bisect(centre - 30.0, centre + 10.0, |log| kinetic(warm.cell_degc, current_a, libm::exp(log)) > most_v);
    if one_temperature || kinetic_gap(smallest) < cold_v - warm_v {
        return libm::exp(smallest);
    }
    libm::exp(bisect(smallest, centre + 10.0, |log| kinetic_gap(log) > cold_v - warm_v))
}

/// Where `holds` stops holding between `low` and `high`.
fn bisect(mut low: f64, mut high: f64, holds: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if holds(middle) { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Ohmic resistance left in the slowest reading of a pulse.
fn ohmic(rest_v: &[f64], table: &PulseTable, lag: impl Fn(f64) -> f64, row: usize, i0_here: f64) -> f64 {
    let (Some(&soc), Some(times)) = (table.soc_ratio.get(row), table.resistance_ohm.get(row)) else { return 0.0 };
    let slowest = table.after_s.iter().zip(times).rfind(|(_, ohm)| **ohm > 0.0);
    let Some((&after_s, &ohm)) = slowest else { return 0.0 };
    let rate = table.current_a / (3600.0 * table.capacity_ah);
    let lost_v = read(rest_v, soc) - read(rest_v, soc - rate * (after_s + lag(after_s)));
    let kinetic = kinetic_v(table.cell_degc) * libm::asinh(table.current_a / i0_here);
    let left = (table.current_a * ohm - lost_v - kinetic) / table.current_a;
    left.max(0.05 * first_v(table, row) / table.current_a)
}

/// Carries values at rising states of charge to the uniform grid, held beyond both ends.
fn resample(soc_ratio: &[f64], values: &[f64]) -> Vec<f64> {
    let at = |soc: f64| {
        let above = soc_ratio.iter().position(|&there| there >= soc);
        match above {
            None => values.last().copied().unwrap_or(0.0),
            Some(0) => values.first().copied().unwrap_or(0.0),
            Some(i) => match (soc_ratio.get(i - 1), soc_ratio.get(i), values.get(i - 1), values.get(i)) {
                (Some(a), Some(b), Some(u), Some(v)) => u + (v - u) * (soc - a) / (b - a),
                _ => 0.0,
            },
        }
    };
    (0..POINTS).map(|i| at(i as f64 / 100.0)).collect()
}
