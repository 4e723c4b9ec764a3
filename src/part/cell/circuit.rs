//! One cell as a circuit with slow states, stepped at a constant mean current.
//!
//! ```text
//! cell_v = E(state) − i · r_ohm(soc) − kinetic_v · asinh(i / i0_a(soc))
//! E      = rest_v(soc − lag) − rc_v,   d rc_v/dt = (i · r1_ohm − rc_v) / tau1_s,   dsoc/dt = −i / (3600 · capacity_ah)
//! ```
//!
//! All slow states are linear in the current: over a step they are advanced by exact exponentials, and the mean of E
//! over the step is used, so that the energy of a step adds up.
//! Source of the equations: [`crate::part::cell::curves`].

use super::curves::{self, Curves, Proven};
use super::lag::{MISFIT_MOST, MODE_GAINS, MODE_RATES, MODES, lag, left};
use super::pulse::Pulse;
use super::source::Source;
use crate::error::Check;
use alloc::sync::Arc;

/// How a cell sheds its heat: one lump against the surroundings.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HeatPath {
    /// Heat capacity of the cell, in joules per kelvin.
    pub heat_capacity_j_per_k: f64,
    /// Thermal resistance from the cell to the surroundings, in kelvin per watt.
    pub resistance_k_per_w: f64,
}

impl HeatPath {
    pub(crate) fn check(&self, check: &mut Check) {
        check.within("heat_capacity_j_per_k", self.heat_capacity_j_per_k, 0.01, 1e6);
        check.within("resistance_k_per_w", self.resistance_k_per_w, 1e-3, 1e3);
    }
}

/// A cell ready to be stepped. Made by [`super::Cell::circuit`] or from plain values by [`CellCircuit::plain`].
#[derive(Clone, Debug)]
pub struct CellCircuit {
    pub(crate) curves: Arc<Curves>,
    /// Capacity between the two ends of the rest curve, in ampere-hours.
    pub capacity_ah: f64,
    /// Temperature at the start, in degrees Celsius.
    pub cell_degc: f64,
    /// How the cell sheds heat; without it the temperature stays.
    pub heat_path: Option<HeatPath>,
    /// State of charge at the start, where it is this cell's own and not the pack's.
    pub start_ratio: Option<f64>,
    /// Resistance beside that of the curves, in ohms.
    r0_ohm: f64,
    /// Factors on the curves' resistance and exchange current.
    r_scale: f64,
    i0_scale: f64,
    cold_share: f64,
    kinetic_v: f64,
    /// Times of the quick and the slow electrode; 0 without a lag.
    lag_s: [f64; 2],
    r1_ohm: f64,
    tau1_s: f64,
}

impl PartialEq for CellCircuit {
    fn eq(&self, other: &Self) -> bool {
        self.key() == other.key()
            && self.heat_path == other.heat_path
            && self.start_ratio == other.start_ratio
            && (Arc::ptr_eq(&self.curves, &other.curves) || self.curves == other.curves)
    }
}

/// Slow states of a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellState {
    /// State of charge.
    pub soc_ratio: f64,
    /// Temperature, in degrees Celsius.
    pub cell_degc: f64,
    /// How far the surface of the quick and the slow electrode runs ahead of the bulk, by mode, as state of charge.
    pub(crate) lag: [[f64; MODES]; 2],
    /// Voltage of the slow resistor-capacitor pair, in volts.
    pub(crate) rc_v: f64,
}

/// What a step of one length does to the slow states; kept while the length stays.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Decay {
    keep: [[f64; MODES]; 2],
    /// Lag of each electrode that a rate of 1 per second adds, in seconds.
    lag_s: [f64; 2],
    rc_keep: f64,
    rc_mean: f64,
}

impl Decay {
    /// Of no step at all.
    pub(crate) const NONE: Self = Self { keep: [[0.0; MODES]; 2], lag_s: [0.0; 2], rc_keep: 0.0, rc_mean: 0.0 };
}

impl CellCircuit {
    /// A cell from its curves at one temperature; `scale` multiplies every resistance of the fresh cell.
    #[must_use]
    pub fn new(curves: Arc<Curves>, capacity_ah: f64, scale: f64, cell_degc: f64) -> Self {
        let cold = curves::coldness(cell_degc);
        let [[cold_quick, cold_slow], [warm_quick, warm_slow]] = curves.lag_s;
        Self {
            capacity_ah,
            cell_degc,
            heat_path: None,
            start_ratio: None,
            r0_ohm: 0.0,
            r_scale: scale / capacity_ah,
            i0_scale: capacity_ah * libm::exp(-cold * curves::activation_log()) / scale,
            cold_share: curves.cold_share(cell_degc),
            kinetic_v: if curves.has_kinetics { curves::kinetic_v(cell_degc) } else { 0.0 },
            lag_s: [between([cold_quick, warm_quick], cold), between([cold_slow, warm_slow], cold)],
            r1_ohm: 0.0,
            tau1_s: 1.0,
            curves,
        }
    }

    /// A cell of the same curves and temperature with another capacity and scale.
    pub(crate) fn scaled(&self, capacity_ah: f64, scale: f64) -> Self {
        let i0_scale = self.i0_scale * self.scale() / self.capacity_ah * capacity_ah / scale;
        Self { capacity_ah, r_scale: scale / capacity_ah, i0_scale, ..self.clone() }
    }

    /// The same cell at another temperature.
    pub(crate) fn at_degc(&self, cell_degc: f64) -> Self {
        let (heat_path, start_ratio) = (self.heat_path, self.start_ratio);
        let same = Self::new(Arc::clone(&self.curves), self.capacity_ah, self.scale(), cell_degc);
        Self { heat_path, start_ratio, ..same }
    }

    /// Factor on the fresh cell's resistances.
    pub(crate) fn scale(&self) -> f64 {
        self.r_scale * self.capacity_ah
    }

    /// A plain circuit: rest voltage, one resistance, one resistor-capacitor pair.
    #[must_use]
    pub fn plain(curves: Arc<Curves>, capacity_ah: f64, r0_ohm: f64, r1_ohm: f64, tau1_s: f64) -> Self {
        Self {
            curves,
            capacity_ah,
            cell_degc: 25.0,
            heat_path: None,
            start_ratio: None,
            r0_ohm,
            r_scale: 0.0,
            i0_scale: 1.0,
            cold_share: 0.0,
            kinetic_v: 0.0,
            lag_s: [0.0; 2],
            r1_ohm,
            tau1_s,
        }
    }

    /// What runs of the cell's chemistry were held against.
    pub(crate) fn proven(&self) -> Proven {
        self.curves.proven
    }

    /// Whether the model explains the pulses of the cell's chemistry.
    pub(crate) fn explains_pulses(&self) -> bool {
        self.curves.misfit_ratio <= MISFIT_MOST
    }

    /// So many such cells side by side as one; it keeps its temperature.
    #[must_use]
    pub fn side_by_side(mut self, count: u32) -> Self {
        let count = f64::from(count.max(1));
        self.capacity_ah *= count;
        self.i0_scale *= count;
        self.r0_ohm /= count;
        self.r_scale /= count;
        self.r1_ohm /= count;
        self.heat_path = None;
        self
    }

    /// Every number that tells two cells apart.
    pub(crate) fn key(&self) -> [f64; 12] {
        let Self { capacity_ah, cell_degc, r0_ohm, r_scale, i0_scale, .. } = *self;
        let Self { cold_share, kinetic_v, lag_s: [quick_s, slow_s], r1_ohm, tau1_s, .. } = *self;
        let start = self.start_ratio.unwrap_or(-1.0);
        [
            capacity_ah,
            cell_degc,
            r0_ohm,
            r_scale,
            i0_scale,
            cold_share,
            kinetic_v,
            quick_s,
            slow_s,
            r1_ohm,
            tau1_s,
            start,
        ]
    }

    /// At rest at a state of charge.
    #[must_use]
    pub fn at_rest(&self, soc_ratio: f64) -> CellState {
        CellState { soc_ratio, cell_degc: self.cell_degc, lag: [[0.0; MODES]; 2], rc_v: 0.0 }
    }

    /// Rest voltage at a state of charge, in volts.
    #[must_use]
    pub fn rest_v(&self, soc_ratio: f64) -> f64 {
        self.curves.rest_v(soc_ratio)
    }

    /// Area under the rest curve from empty up to a state of charge, in volts: energy over the charge of a full cell.
    pub(crate) fn rest_area_v(&self, soc_ratio: f64) -> f64 {
        self.curves.rest(soc_ratio).area_v
    }

    /// State of charge at which the cell rests at `rest_v`.
    #[must_use]
    pub fn soc_at_rest(&self, rest_v: f64) -> f64 {
        self.curves.soc_ratio(rest_v)
    }

    /// Resistance between rest and `after_s` of `current_a` from rest, in ohms.
    #[must_use]
    pub fn pulse_ohm(&self, soc_ratio: f64, current_a: f64, after_s: f64) -> f64 {
        self.pulse(soc_ratio, current_a, after_s).ohm(1.0)
    }

    /// The cell after `after_s` of `current_a` from rest.
    pub(crate) fn pulse(&self, soc_ratio: f64, current_a: f64, after_s: f64) -> Pulse {
        let rate = current_a / (3600.0 * self.capacity_ah);
        let left = if self.r1_ohm > 0.0 { libm::exp(-after_s / self.tau1_s) } else { 0.0 };
        let mut state = self.at_rest(soc_ratio - rate * after_s);
        if self.has_lag() {
            for (modes, lag_s) in state.lag.iter_mut().zip(self.lag_s) {
                if let Some(first) = modes.first_mut() {
                    *first = rate * lag(after_s, lag_s);
                }
            }
        }
        state.rc_v = current_a * self.r1_ohm * (1.0 - left);
        Pulse { rest_v: self.rest_v(soc_ratio), now: self.moment(&state), current_a }
    }

    /// Whether a step of one length does the same to the slow states of both.
    pub(crate) fn decays_like(&self, other: &Self) -> bool {
        self.lag_s == other.lag_s && self.r1_ohm == other.r1_ohm && self.tau1_s == other.tau1_s
    }

    pub(crate) fn decay(&self, dt_s: f64) -> Decay {
        let mut decay = Decay::NONE;
        if self.has_lag() {
            for ((keep, added_s), lag_s) in decay.keep.iter_mut().zip(&mut decay.lag_s).zip(&self.lag_s) {
                for ((keep, rate), gain) in keep.iter_mut().zip(&MODE_RATES).zip(&MODE_GAINS) {
                    *keep = left(dt_s * rate / lag_s);
                    *added_s += lag_s * gain * (1.0 - *keep);
                }
            }
        }
        if self.r1_ohm > 0.0 {
            let x = dt_s / self.tau1_s;
            decay.rc_keep = libm::exp(-x);
            decay.rc_mean = if x > 1e-5 { (1.0 - decay.rc_keep) / x } else { 1.0 - 0.5 * x };
        }
        decay
    }

    /// The cell over a step of `dt_s` from `state`, of which `guess_a` is about the mean current.
    pub(crate) fn source(&self, state: &CellState, decay: &Decay, dt_s: f64, guess_a: f64) -> Source {
        let per_second = 1.0 / (3600.0 * self.capacity_ah);
        let bulk_per_a = per_second * dt_s;
        let moved = guess_a * bulk_per_a;
        let mut source = Source {
            end_ratio: state.soc_ratio,
            surface_per_a: bulk_per_a,
            bulk_per_a,
            rc_v: state.rc_v * decay.rc_mean,
            rc_ohm: self.r1_ohm * (1.0 - decay.rc_mean),
            ..self.at(state, state.soc_ratio - 0.5 * moved)
        };
        if self.has_lag() {
            let share = self.shares(state.soc_ratio - moved);
            for (((modes, keep), added_s), share) in state.lag.iter().zip(&decay.keep).zip(&decay.lag_s).zip(&share) {
                let mut left = 0.0;
                for (lag, keep) in modes.iter().zip(keep) {
                    left += lag * keep;
                }
                source.end_ratio -= share * left;
                source.surface_per_a += share * added_s * per_second;
            }
        }
        source
    }

    /// The cell at one moment.
    pub(crate) fn moment(&self, state: &CellState) -> Source {
        self.at(state, state.soc_ratio)
    }

    #[expect(clippy::inline_always, reason = "read many times a step; left out of line where size counts")]
    #[inline(always)]
    fn has_lag(&self) -> bool {
        self.lag_s[0] > 0.0
    }

    /// Shares of the quick and the slow electrode in the lag.
    #[expect(clippy::inline_always, reason = "read many times a step; left out of line where size counts")]
    #[inline(always)]
    fn shares(&self, soc_ratio: f64) -> [f64; 2] {
        let slow = curves::read(&self.curves.slow_share, soc_ratio.clamp(0.0, 1.0));
        [1.0 - slow, slow]
    }

    #[expect(clippy::inline_always, reason = "read many times a step; left out of line where size counts")]
    #[inline(always)]
    fn at(&self, state: &CellState, fast_ratio: f64) -> Source {
        let mut surface_ratio = state.soc_ratio;
        if self.has_lag() {
            for (modes, share) in state.lag.iter().zip(&self.shares(state.soc_ratio)) {
                let mut lag = 0.0;
                for mode in modes {
                    lag += mode;
                }
                surface_ratio -= share * lag;
            }
        }
        let curves = &self.curves;
        let mut source = Source {
            soc_ratio: state.soc_ratio,
            start: curves.rest(surface_ratio),
            surface_ratio,
            end_ratio: surface_ratio,
            surface_per_a: 0.0,
            bulk_per_a: 0.0,
            rc_v: state.rc_v,
            rc_ohm: 0.0,
            r_ohm: self.r0_ohm,
            i0_a: 1.0,
            per_i0_a: 1.0,
            kinetic_v: self.kinetic_v,
        };
        if self.r_scale > 0.0 {
            let fast = curves.fast(fast_ratio, self.cold_share);
            source.r_ohm += fast.r_ohm_ah * self.r_scale;
            if self.kinetic_v > 0.0 {
                source.i0_a = fast.i0_per_h * self.i0_scale;
            }
        }
        if self.heat_path.is_some() {
            let warmth = self.warmth(state.cell_degc);
            source.r_ohm *= warmth.r;
            source.i0_a *= warmth.i0;
            source.kinetic_v *= warmth.kinetic;
        }
        source.per_i0_a = 1.0 / source.i0_a;
        source
    }

    /// Advances the slow states by `dt_s` at the mean current `mean_a`.
    pub(crate) fn advance(&self, state: &mut CellState, decay: &Decay, mean_a: f64, dt_s: f64) {
        let rate = mean_a / (3600.0 * self.capacity_ah);
        if self.has_lag() {
            for ((modes, keep), lag_s) in state.lag.iter_mut().zip(&decay.keep).zip(&self.lag_s) {
                let run = lag_s * rate;
                for ((lag, keep), gain) in modes.iter_mut().zip(keep).zip(&MODE_GAINS) {
                    let steady = run * gain;
                    *lag = steady + (*lag - steady) * keep;
                }
            }
        }
        let steady_v = mean_a * self.r1_ohm;
        state.rc_v = steady_v + (state.rc_v - steady_v) * decay.rc_keep;
        state.soc_ratio -= rate * dt_s;
    }

    /// Warms or cools the cell by `heat_j` made over `dt_s`.
    pub(crate) fn warm(&self, state: &mut CellState, heat_j: f64, dt_s: f64, ambient_degc: f64) {
        if let Some(path) = self.heat_path {
            let steady_degc = ambient_degc + heat_j / dt_s * path.resistance_k_per_w;
            let keep = libm::exp(-dt_s / (path.resistance_k_per_w * path.heat_capacity_j_per_k));
            state.cell_degc = steady_degc + (state.cell_degc - steady_degc) * keep;
        }
    }

    /// Energy in the slow resistor-capacitor pair, in joules.
    pub(crate) fn stored_j(&self, state: &CellState) -> f64 {
        if self.r1_ohm > 0.0 { 0.5 * self.tau1_s / self.r1_ohm * state.rc_v * state.rc_v } else { 0.0 }
    }

    /// How the fast part changes while the cell warms itself.
    fn warmth(&self, cell_degc: f64) -> Warmth {
        if self.kinetic_v == 0.0 {
            return Warmth { r: 1.0, i0: 1.0, kinetic: 1.0 };
        }
        let moved = curves::coldness(cell_degc) - curves::coldness(self.cell_degc);
        let middle = |cold_share: f64| self.curves.r_ohm_ah(0.5, cold_share);
        Warmth {
            r: middle(self.curves.cold_share(cell_degc)) / middle(self.cold_share),
            i0: libm::exp(-moved * curves::activation_log()),
            kinetic: curves::kinetic_v(cell_degc) / curves::kinetic_v(self.cell_degc),
        }
    }
}

/// Factors on the fast part at another temperature than the start's.
#[derive(Clone, Copy, Debug)]
struct Warmth {
    r: f64,
    i0: f64,
    kinetic: f64,
}

/// Reads values of 5 °C and 25 °C on the scale of 1/T.
fn between([low, high]: [f64; 2], cold: f64) -> f64 {
    if low > 0.0 && high > 0.0 { libm::exp(libm::log(high) + cold * libm::log(low / high)) } else { 0.0 }
}
