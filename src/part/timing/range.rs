//! Where the part and the law end, and what else to know about a timer.

use super::circuit::Phases;
use super::{Circuit, Cycle, Outcome, Timer};
use crate::data::timer::{CONTROL_CAPACITOR_SOURCE, NO_DELAY_HZ};
use crate::data::{COMMON_PRACTICE, Source};
use crate::quantity::Interval;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Which limit is left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Limit {
    /// Supply of the timer.
    SupplyV,
    /// Resistance that charges the capacitor, against the current into the threshold pin.
    ChargeOhm,
    /// Resistor from the supply to the discharge pin, against what that pin can take.
    RaOhm,
    /// Largest current into the discharge pin, from the capacitor and through the resistor: an end stop is missing.
    DischargeA,
    /// Frequency of the part.
    FrequencyHz,
    /// Frequency up to which the law holds without the delay.
    LatchDelayS,
    /// The discharge pin does not pull the capacitor below the trigger level.
    Levels,
}

/// A limit that is left, and what would work.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Outside {
    /// Which limit.
    pub limit: Limit,
    /// The value that leaves it, in the unit of the limit's name.
    pub given: f64,
    /// Lowest value that works.
    pub low: f64,
    /// Highest value that works.
    pub high: f64,
    /// The same in words.
    pub words: String,
    /// Where the limit comes from.
    pub source: Source,
}

/// Something to know beside the numbers.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Note {
    /// Stable code, the key of its wording in every language.
    pub code: &'static str,
    /// In plain words.
    pub words: String,
    /// Where it comes from.
    pub source: Source,
}

/// Every limit the timer leaves. `cycle` is the period by the law, where the law gives one.
pub(super) fn outside(timer: &Timer, supply_v: f64, cycle: Option<&Cycle>) -> Vec<Outside> {
    let row = timer.row();
    let mut list = Vec::new();
    let mut judge = |limit, given: f64, low: f64, high: f64, words: &str| {
        list.extend(judged(limit, given, low, high, words, row.source));
    };
    judge(Limit::SupplyV, supply_v, row.supply_low_v, row.supply_high_v, "supply of the timer in volts");
    if let Some(ohms) = timer.circuit.resistances() {
        let ends = Phases::new(&row, supply_v, None).limits();
        judge(Limit::ChargeOhm, ohms.charge_ohm, 0.0, ends.charge_ohm, "charging resistance in ohms");
        judge(Limit::RaOhm, ohms.ra_ohm, ends.ra_ohm, 1e9, "resistor to the discharge pin in ohms");
        if let Some(cycle) = cycle {
            let words = "peak current into the discharge pin in amperes, which an end stop toward it would limit";
            judge(Limit::DischargeA, cycle.discharge_a, 0.0, row.discharge_a, words);
            judge(Limit::FrequencyHz, cycle.frequency_hz, 0.0, row.frequency_hz, "frequency of the timer in hertz");
            if timer.latch_delay_s.is_none() {
                let words = "frequency in hertz where latch_delay_s is left out";
                judge(Limit::LatchDelayS, cycle.frequency_hz, 0.0, NO_DELAY_HZ, words);
            }
        }
    }
    if cycle.is_none() {
        let words = "supply in volts, at which the discharge pin pulls below the trigger level".into();
        let (low, high) = (row.supply_low_v, row.supply_high_v);
        list.push(Outside { limit: Limit::Levels, given: supply_v, low, high, words, source: row.source });
    }
    list
}

/// The limit, where it is left.
pub(super) fn judged(limit: Limit, given: f64, low: f64, high: f64, words: &str, source: Source) -> Option<Outside> {
    let left = given < low || given > high;
    left.then(|| {
        let words = format!("{words}: {} is not between {} and {}", brief(given), brief(low), brief(high));
        Outside { limit, given, low, high, words, source }
    })
}

/// The band of the part and the notes.
pub(super) fn told(timer: &Timer, outcome: &Outcome) -> (Option<Interval>, Vec<Note>) {
    let mut notes = Vec::new();
    if let Circuit::ThresholdRamp(_) = timer.circuit {
        let words = "The limits and delays of the comparator itself are not judged.".into();
        notes.push(Note { code: "comparator_not_judged", words, source: COMMON_PRACTICE });
    }
    let Outcome::Runs(cycle) = outcome else { return (None, notes) };
    if let Circuit::ThresholdRamp(_) = timer.circuit {
        return (None, notes);
    }
    let row = timer.row();
    let likely = cycle.frequency_hz;
    let mut band = Interval::around(likely, row.timing_ratio);
    if let Some(printed_hz) = timer.printed_hz() {
        band.low = band.low.min(printed_hz);
        band.high = band.high.max(printed_hz);
    }
    let fitted = timer.control_capacitor_f.is_some_and(|capacitor_f| capacitor_f > 0.0);
    if fitted && row.control_capacitor_ratio > 0.0 {
        band.high /= 1.0 - row.control_capacitor_ratio;
        let words = format!(
            "A capacitor on the control pin shortens the period of this timer: at 0.1 µF by about {:.0} %, which \
             would make {} Hz.",
            row.control_capacitor_ratio * 100.0,
            brief(likely / (1.0 - row.control_capacitor_ratio))
        );
        notes.push(Note { code: "control_capacitor", words, source: CONTROL_CAPACITOR_SOURCE });
    }
    (Some(band), notes)
}

fn brief(value: f64) -> String {
    match libm::fabs(value) {
        size if size >= 1e6 => format!("{value:.3e}"),
        size if size >= 100.0 || size == 0.0 => format!("{value:.0}"),
        size if size >= 10.0 => format!("{value:.1}"),
        _ => format!("{value:.3}"),
    }
}
