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

use super::curves::{self, Curves, MODE_GAINS, MODE_RATES, MODES};
use alloc::sync::Arc;
use alloc::vec::Vec;

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

/// A cell ready to be stepped. Made by [`super::Cell::circuit`] or from plain values by [`CellCircuit::plain`].
#[derive(Clone, Debug, PartialEq)]
pub struct CellCircuit {
    pub(crate) curves: Arc<Curves>,
    /// Capacity between the two ends of the rest curve, in ampere-hours.
    pub capacity_ah: f64,
    /// Temperature at the start, in degrees Celsius.
    pub cell_degc: f64,
    /// How the cell sheds heat; without it the temperature stays.
    pub heat_path: Option<HeatPath>,
    r_ohm: Vec<f64>,
    i0_a: Vec<f64>,
    kinetic_v: f64,
    lag_s: f64,
    r1_ohm: f64,
    tau1_s: f64,
}

/// Slow states of a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellState {
    /// State of charge.
    pub soc_ratio: f64,
    /// Temperature, in degrees Celsius.
    pub cell_degc: f64,
    /// How far the surface runs ahead of the bulk, by mode, as state of charge.
    pub(crate) lag: [f64; MODES],
    /// Voltage of the slow resistor-capacitor pair, in volts.
    pub(crate) rc_v: f64,
}

/// What a step of one length does to the slow states; kept while the length stays.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Decay {
    keep: [f64; MODES],
    mean: [f64; MODES],
    rc_keep: f64,
    rc_mean: f64,
}

/// A cell over one step: mean electromotive force as a function of the mean current, and the fast part.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Source {
    soc: f64,
    lag: f64,
    per_a: f64,
    rc_v: f64,
    rc_ohm: f64,
    pub(crate) r_ohm: f64,
    i0_a: f64,
    kinetic_v: f64,
}

/// A pulse from rest: what the slow states lost, and the fast part.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pulse {
    slow_v: f64,
    fast: Source,
    current_a: f64,
}

impl Pulse {
    /// Resistance of the pulse if every fast resistance were `scale` times as large, in ohms.
    pub(crate) fn ohm(&self, scale: f64) -> f64 {
        let scaled = Source { r_ohm: self.fast.r_ohm * scale, i0_a: self.fast.i0_a / scale, ..self.fast };
        (self.slow_v + scaled.fast(self.current_a).v) / self.current_a
    }
}

/// Value and slope at one current.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tangent {
    pub(crate) v: f64,
    pub(crate) ohm: f64,
}

impl CellCircuit {
    /// A cell from its curves at one temperature; `scale` multiplies every resistance of the fresh cell.
    #[must_use]
    pub fn new(curves: Arc<Curves>, capacity_ah: f64, scale: f64, cell_degc: f64) -> Self {
        let cold = curves::coldness(cell_degc);
        let [at_cold, at_warm] = &curves.r_ohm_ah;
        let r_ohm =
            at_cold.iter().zip(at_warm).map(|(low, high)| between([*low, *high], cold) * scale / capacity_ah).collect();
        let slower = libm::exp(-cold * curves::activation_log());
        let i0_a = curves.i0_per_h.iter().map(|per_h| per_h * capacity_ah * slower / scale).collect();
        let kinetic_v = if curves.has_kinetics { curves::kinetic_v(cell_degc) } else { 0.0 };
        let lag_s = between(curves.lag_s, cold);
        Self {
            capacity_ah,
            cell_degc,
            heat_path: None,
            r_ohm,
            i0_a,
            kinetic_v,
            lag_s,
            r1_ohm: 0.0,
            tau1_s: 1.0,
            curves,
        }
    }

    /// The same cell while it is charged.
    ///
    /// Discharging empties the grains of one electrode first, and the pulses that the lag comes from are discharges;
    /// charging ends at the positive electrode, whose own lag then counts. Every resistance stays.
    #[must_use]
    pub fn for_charging(mut self) -> Self {
        if self.lag_s > 0.0 {
            self.lag_s = between(self.curves.charge_lag_s, curves::coldness(self.cell_degc));
        }
        self
    }

    /// A plain circuit: rest voltage, one resistance, one resistor-capacitor pair.
    #[must_use]
    pub fn plain(curves: Arc<Curves>, capacity_ah: f64, r0_ohm: f64, r1_ohm: f64, tau1_s: f64) -> Self {
        Self {
            curves,
            capacity_ah,
            cell_degc: 25.0,
            heat_path: None,
            r_ohm: alloc::vec![r0_ohm; 2],
            i0_a: alloc::vec![1.0; 2],
            kinetic_v: 0.0,
            lag_s: 0.0,
            r1_ohm,
            tau1_s,
        }
    }

    /// At rest at a state of charge.
    #[must_use]
    pub fn at_rest(&self, soc_ratio: f64) -> CellState {
        CellState { soc_ratio, cell_degc: self.cell_degc, lag: [0.0; MODES], rc_v: 0.0 }
    }

    /// Rest voltage at a state of charge, in volts.
    #[must_use]
    pub fn rest_v(&self, soc_ratio: f64) -> f64 {
        self.curves.rest_v(soc_ratio)
    }

    /// How fast the rest voltage changes with the charge of the surface, in volts.
    pub(crate) fn slope_v(&self, state: &CellState) -> f64 {
        let lag: f64 = state.lag.iter().sum();
        curves::read(&self.curves.rest_v, state.soc_ratio - lag).slope
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

    /// A pulse from rest, of which only the fast part changes with the scale of the resistances.
    pub(crate) fn pulse(&self, soc_ratio: f64, current_a: f64, after_s: f64) -> Pulse {
        let mut state = self.at_rest(soc_ratio);
        self.advance(&mut state, &self.decay(after_s), current_a, after_s);
        let now = self.source(&state, &self.decay(0.0), 0.0);
        Pulse { slow_v: self.rest_v(soc_ratio) - now.emf(&self.curves, 0.0).v, fast: now, current_a }
    }

    pub(crate) fn decay(&self, dt_s: f64) -> Decay {
        let mut decay = Decay { keep: [1.0; MODES], mean: [1.0; MODES], rc_keep: 1.0, rc_mean: 1.0 };
        if dt_s <= 0.0 {
            return decay;
        }
        if self.lag_s > 0.0 {
            for ((keep, mean), rate) in decay.keep.iter_mut().zip(&mut decay.mean).zip(MODE_RATES) {
                (*keep, *mean) = kept(dt_s * rate / self.lag_s);
            }
        }
        (decay.rc_keep, decay.rc_mean) = kept(dt_s / self.tau1_s);
        decay
    }

    /// The cell over a step of `dt_s` from `state`; `dt_s` 0 gives the present moment.
    pub(crate) fn source(&self, state: &CellState, decay: &Decay, dt_s: f64) -> Source {
        let per_second = 1.0 / (3600.0 * self.capacity_ah);
        let (mut lag, mut lag_per_a) = (0.0, 0.0);
        for ((z, mean), gain) in state.lag.iter().zip(decay.mean).zip(MODE_GAINS) {
            lag += z * mean;
            lag_per_a += self.lag_s * gain * (1.0 - mean);
        }
        let warmth = self.warmth(state.cell_degc);
        Source {
            soc: state.soc_ratio,
            lag,
            per_a: per_second * (0.5 * dt_s + lag_per_a),
            rc_v: state.rc_v * decay.rc_mean,
            rc_ohm: self.r1_ohm * (1.0 - decay.rc_mean),
            r_ohm: curves::read(&self.r_ohm, state.soc_ratio.clamp(0.0, 1.0)).value * warmth.r,
            i0_a: curves::read(&self.i0_a, state.soc_ratio.clamp(0.0, 1.0)).value * warmth.i0,
            kinetic_v: self.kinetic_v * warmth.kinetic,
        }
    }

    /// Advances the slow states by `dt_s` at the mean current `mean_a`.
    pub(crate) fn advance(&self, state: &mut CellState, decay: &Decay, mean_a: f64, dt_s: f64) {
        let rate = mean_a / (3600.0 * self.capacity_ah);
        for ((z, keep), gain) in state.lag.iter_mut().zip(decay.keep).zip(MODE_GAINS) {
            let steady = self.lag_s * gain * rate;
            *z = steady + (*z - steady) * keep;
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
        if self.heat_path.is_none() || self.kinetic_v == 0.0 {
            return Warmth { r: 1.0, i0: 1.0, kinetic: 1.0 };
        }
        let moved = curves::coldness(cell_degc) - curves::coldness(self.cell_degc);
        let middle = |table: &[f64]| curves::read(table, 0.5).value;
        let [at_cold, at_warm] = &self.curves.r_ohm_ah;
        Warmth {
            r: libm::exp(moved * libm::log(middle(at_cold) / middle(at_warm))),
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

/// What is left after `x` time constants, and its mean on the way.
fn kept(x: f64) -> (f64, f64) {
    let left = libm::exp(-x);
    (left, if x > 1e-9 { -libm::expm1(-x) / x } else { 1.0 })
}

impl Source {
    /// Electromotive force at the mean current and how fast it falls with it.
    pub(crate) fn emf(&self, curves: &Curves, mean_a: f64) -> Tangent {
        let rest = curves::read(&curves.rest_v, self.soc - self.lag - self.per_a * mean_a);
        Tangent { v: rest.value - self.rc_v - self.rc_ohm * mean_a, ohm: rest.slope * self.per_a + self.rc_ohm }
    }

    /// Voltage lost in the fast part at `current_a`, and its slope.
    pub(crate) fn fast(&self, current_a: f64) -> Tangent {
        if self.kinetic_v == 0.0 {
            return Tangent { v: current_a * self.r_ohm, ohm: self.r_ohm };
        }
        let x = current_a / self.i0_a;
        let (size, root) = (libm::fabs(x), libm::sqrt(x * x + 1.0));
        // asinh by way of log1p: exact near zero, and the root serves the slope too.
        let kinetic_v = self.kinetic_v * libm::copysign(libm::log1p(size + size * size / (1.0 + root)), x);
        let kinetic_ohm = self.kinetic_v / (self.i0_a * root);
        Tangent { v: current_a * self.r_ohm + kinetic_v, ohm: self.r_ohm + kinetic_ohm }
    }

    /// Rest voltage of the bulk half way through the step.
    pub(crate) fn bulk_v(&self, curves: &Curves, cell: &CellCircuit, mean_a: f64, dt_s: f64) -> f64 {
        curves.rest_v(self.soc - mean_a * dt_s / (7200.0 * cell.capacity_ah))
    }
}
