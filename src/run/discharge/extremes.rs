//! The extremes of a run: what is judged of one that is not told.

use super::{CellRun, Discharge, Run, Stops, TrustLimit, WHOLE};
use crate::part::cell::CellCircuit;
use crate::run::stepper::{PackCircuit, Stepper};
use alloc::vec::Vec;

/// What one cell reaches at the most.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CellExtremes {
    /// Highest current in the on-time, in amperes.
    pub(crate) peak_a: f64,
    /// Highest temperature, in degrees Celsius.
    pub(crate) peak_degc: f64,
}

/// What a run reaches at the most and at the least.
///
/// The pack's currents are highest at the start or at the end, where every run looks.
#[derive(Clone, Debug)]
pub(crate) struct Extremes {
    /// Highest current in the on-time, in amperes.
    pub(crate) peak_a: f64,
    /// Highest root of the mean square over one period, in amperes.
    pub(crate) peak_rms_a: f64,
    /// Voltage at the loads at the end, in the on-time, in volts.
    pub(crate) end_load_v: f64,
    /// Time until which the run is surely to be relied on, in seconds, where there is an end to it.
    pub(crate) trusted_until_s: Option<f64>,
    /// What ends it.
    pub(crate) trust_limit: Option<TrustLimit>,
    /// Time from which on the model's own error in voltage may end the run, in seconds.
    pub(crate) flat_from_s: Option<f64>,
    /// Each group's cells.
    pub(crate) groups: Vec<Vec<CellExtremes>>,
}

impl CellExtremes {
    fn of(run: &CellRun) -> Self {
        Self { peak_a: run.peak_a, peak_degc: run.peak_degc }
    }
}

impl Extremes {
    /// Those of a run that is told.
    pub(crate) fn of(run: &Discharge) -> Self {
        Self {
            peak_a: run.peak_a,
            peak_rms_a: run.peak_rms_a,
            end_load_v: run.end_load_v,
            trusted_until_s: run.trusted_until_s,
            trust_limit: run.trust_limit,
            flat_from_s: run.flat_from_s,
            groups: run.groups.iter().map(|group| group.cells.iter().map(CellExtremes::of).collect()).collect(),
        }
    }

    /// Those of a run of which nothing else is kept. Stops are checked before.
    pub(crate) fn of_run(circuit: &PackCircuit, stops: &Stops, soc_ratio: impl FnMut(&CellCircuit) -> f64) -> Self {
        let mut run = Run::new(Stepper::new(circuit, soc_ratio), *stops, WHOLE);
        let end = run.go();
        let sure_until_s = run.sure_until_s;
        let told = run.told(end);
        // A step may end after the limit was passed: its beginning is what is sure.
        Self { trusted_until_s: told.trusted_until_s.map(|_| sure_until_s), ..Self::of(&told) }
    }
}
