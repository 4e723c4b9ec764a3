//! The inputs that vary, and the timer with each somewhere between its ends.

use super::{Share, TimerTolerance};
use crate::data::diode::{Diode, SATURATION_SPREAD_RATIO};
use crate::data::timer::TimerRow;
use crate::part::timing::{Circuit, DiodeSteered, Ramp, Sawtooth, ThresholdRamp, Timer, Triangle, TwoResistor};
use alloc::vec::Vec;

/// Which inputs vary in this circuit.
pub(super) struct Variables {
    names: Vec<&'static str>,
}

/// Frequency and duty of one variant.
pub(super) struct Varied {
    pub(super) frequency_hz: f64,
    pub(super) duty: f64,
}

/// Factors on the parts of one variant.
struct Factors<'a> {
    of: &'a dyn Fn(&'static str) -> f64,
}

impl Variables {
    pub(super) fn of(tolerance: &TimerTolerance) -> Self {
        let mut names = Vec::from(["supply_v", "temperature_degc", "drift", "c_f"]);
        match &tolerance.timer.circuit {
            Circuit::TwoResistor(_) => names.extend(["threshold_ratio", "ra_ohm", "rb_ohm"]),
            Circuit::DiodeSteered(steered) => {
                names.extend(["threshold_ratio", "ra_ohm", "pot_ohm", "diode"]);
                let ends = [
                    ("charge_ohm", steered.charge_ohm),
                    ("discharge_ohm", steered.discharge_ohm),
                    ("shared_ohm", steered.shared_ohm),
                ];
                names.extend(ends.iter().filter(|end| end.1.is_some()).map(|end| end.0));
            }
            Circuit::ThresholdRamp(ramp) => match &ramp.ramp {
                Ramp::Triangle(_) => names.extend(["integrator_ohm", "hysteresis_ohm", "feedback_ohm"]),
                Ramp::Sawtooth(_) => names.extend(["charge_ohm", "reset_ohm"]),
            },
        }
        Self { names }
    }

    pub(super) fn count(&self) -> usize {
        self.names.len()
    }

    /// The variant with input `index` at the place `unit(index)` between its ends, 0 to 1; nothing outside the law.
    pub(super) fn varied(&self, tolerance: &TimerTolerance, unit: impl Fn(usize) -> f64) -> Option<Varied> {
        let place = |name: &'static str| self.names.iter().position(|held| *held == name).map(&unit);
        let between = |name: &'static str, low: f64, likely: f64, high: f64| {
            place(name).map_or(likely, |place| low + (high - low) * place)
        };
        let supply = &tolerance.supply_v;
        let supply_v = between("supply_v", supply.low, supply.likely, supply.high);
        let warm = &tolerance.temperature_degc;
        let degc = between("temperature_degc", warm.low, warm.likely, warm.high);
        let factor = |name: &'static str| tolerance.factor(name, place(name));
        let timer = Factors { of: &factor }.apply(&tolerance.timer);
        let row = tolerance.timer.row();
        let nominal = row.threshold_ratio;
        let half = threshold_half(&row);
        let threshold_ratio = between("threshold_ratio", nominal - half, nominal, nominal + half);
        let row = TimerRow { threshold_ratio, trigger_ratio: row.trigger_ratio * threshold_ratio / nominal, ..row };
        let cycle = timer.cycle_of(&row, supply_v, degc)?;
        let away_k = (warm.high - warm.likely).max(warm.likely - warm.low);
        let drift = row.drift_per_k * away_k;
        let frequency_hz = cycle.frequency_hz * (1.0 + between("drift", -drift, 0.0, drift));
        Some(Varied { frequency_hz, duty: cycle.duty })
    }

    /// Each input alone at both ends, the others in the middle.
    pub(super) fn shares(&self, tolerance: &TimerTolerance) -> Vec<Share> {
        let marked = Self { names: Vec::new() };
        let Some(nominal) = marked.varied(tolerance, |_| 0.5) else { return Vec::new() };
        let share = |name: &&'static str| {
            let alone = Self { names: Vec::from([*name]) };
            let at = |place: f64| Some(alone.varied(tolerance, |_| place)?.frequency_hz / nominal.frequency_hz);
            Some(Share { part: name, at_low_ratio: at(0.0)?, at_high_ratio: at(1.0)? })
        };
        self.names.iter().filter_map(share).collect()
    }
}

/// How far the threshold moves for the largest timing error of a single shot, ln(1/(1 − k)).
fn threshold_half(row: &TimerRow) -> f64 {
    let left = 1.0 - row.threshold_ratio;
    -left * libm::log(left) * row.timing_ratio
}

impl TimerTolerance {
    /// Factor on a part at a place between its ends; 1 where it does not vary.
    fn factor(&self, name: &'static str, place: Option<f64>) -> f64 {
        let Some(place) = place else { return 1.0 };
        let between = |low: f64, high: f64| 1.0 + low + (high - low) * place;
        match name {
            "pot_ohm" => {
                let ratio = self.pot_ratio.unwrap_or(0.2);
                between(-ratio, ratio)
            }
            "c_f" => {
                let row = self.dielectric.row();
                let low = 1.0 + self.capacitor_low_ratio.unwrap_or(row.tolerance_low_ratio);
                let high = 1.0 + self.capacitor_high_ratio.unwrap_or(row.tolerance_high_ratio);
                let warm = self.over_temperature.unwrap_or(true);
                let (fall, rise) = if warm { (row.fall_ratio, row.rise_ratio) } else { (0.0, 0.0) };
                between(low * (1.0 + fall) - 1.0, high * (1.0 + rise) - 1.0)
            }
            "diode" => libm::exp((2.0 * place - 1.0) * libm::log(SATURATION_SPREAD_RATIO)),
            _ => between(-self.resistor_ratio, self.resistor_ratio),
        }
    }
}

impl Factors<'_> {
    fn apply(&self, timer: &Timer) -> Timer {
        let of = self.of;
        let circuit = match timer.circuit {
            Circuit::TwoResistor(two) => Circuit::TwoResistor(TwoResistor {
                ra_ohm: two.ra_ohm * of("ra_ohm"),
                rb_ohm: two.rb_ohm * of("rb_ohm"),
                c_f: two.c_f * of("c_f"),
            }),
            Circuit::DiodeSteered(steered) => Circuit::DiodeSteered(DiodeSteered {
                ra_ohm: steered.ra_ohm * of("ra_ohm"),
                pot_ohm: steered.pot_ohm * of("pot_ohm"),
                charge_ohm: steered.charge_ohm.map(|ohm| ohm * of("charge_ohm")),
                discharge_ohm: steered.discharge_ohm.map(|ohm| ohm * of("discharge_ohm")),
                shared_ohm: steered.shared_ohm.map(|ohm| ohm * of("shared_ohm")),
                c_f: steered.c_f * of("c_f"),
                diode: Some(steered.diode.unwrap_or(Diode::SmallSignal).scaled(of("diode"))),
                ..steered
            }),
            Circuit::ThresholdRamp(ramp) => {
                Circuit::ThresholdRamp(ThresholdRamp { ramp: self.ramp(&ramp.ramp), ..ramp })
            }
        };
        Timer { circuit, ..*timer }
    }

    fn ramp(&self, ramp: &Ramp) -> Ramp {
        let of = self.of;
        match ramp {
            Ramp::Triangle(triangle) => Ramp::Triangle(Triangle {
                integrator_ohm: triangle.integrator_ohm * of("integrator_ohm"),
                // The ramp turns only while this one is the smaller.
                hysteresis_ohm: (triangle.hysteresis_ohm * of("hysteresis_ohm"))
                    .min(triangle.feedback_ohm * of("feedback_ohm")),
                feedback_ohm: triangle.feedback_ohm * of("feedback_ohm"),
                c_f: triangle.c_f * of("c_f"),
            }),
            Ramp::Sawtooth(sawtooth) => Ramp::Sawtooth(Sawtooth {
                charge_ohm: sawtooth.charge_ohm * of("charge_ohm"),
                reset_ohm: sawtooth.reset_ohm * of("reset_ohm"),
                c_f: sawtooth.c_f * of("c_f"),
                ..*sawtooth
            }),
        }
    }
}
