//! A run lasts no longer than the same pack stepped a hundred times as finely, wherever it stops.
//!
//! Cold cells near the power they can give at most sag and recover on the way down: a stop at the bottom of such a dip
//! must not be stepped over.
#![cfg(not(target_arch = "wasm32"))]

#[path = "oracles/course.rs"]
mod course;

use cellwright::data::chemistry::{self, PublishedCell};
use cellwright::part::cell::{CellCircuit, Curves};
use cellwright::part::load::LoadCircuit;
use cellwright::run::discharge::{Stops, TIME_MAX_S, discharge};
use cellwright::run::stepper::PackCircuit;
use course::{fine, reaches_s};
use std::sync::Arc;

/// How far apart the times may lie beyond what the voltages below allow for: the doubt of a step of 4 % of the charge
/// whose mean current lies up to a percent off its middle.
const TIME_RATIO: f64 = 2e-3;

/// The same for runs of a few seconds, which end within the first step.
const TIME_S: f64 = 0.2;

/// A stop may be met this much of a volt away: a dip that is no deeper is none.
const DIP_V: f64 = 1e-3;

/// Four groups of one cell, 1.4 Ah to 1.5 Ah, more and less worn.
fn pack(cell: &PublishedCell, cell_degc: f64, rate_c: f64, duty: f64) -> PackCircuit {
    let curves = Arc::new(Curves::published(cell));
    let group = |(ah, scale)| vec![CellCircuit::new(Arc::clone(&curves), ah, scale, cell_degc)];
    let groups = [(1.52, 1.3), (1.49, 1.4), (1.46, 1.5), (1.43, 1.6)].map(group).to_vec();
    let power_w = 4.0 * 1.5 * rate_c * curves.rest_v(0.5);
    let load = LoadCircuit { current_a: power_w, at_v: 1.0, exponent: 0.0, duty, drop_out_v: 0.0 };
    PackCircuit::new(groups, vec![load], 0.05, cell_degc)
}

#[test]
fn a_run_lasts_as_long_as_in_much_finer_steps() {
    let mut met = 0;
    for (cell, cell_degc, rate_c, duty) in [
        (&chemistry::NCA, 8.0, 1.4, 0.3),
        (&chemistry::NCA, 8.0, 1.8, 0.3),
        (&chemistry::NMC, 8.0, 1.4, 0.6),
        (&chemistry::LFP, 8.0, 1.4, 1.0),
        (&chemistry::LCO, 15.0, 1.8, 0.6),
    ] {
        let circuit = pack(cell, cell_degc, rate_c, duty);
        let course = fine(&circuit, 3600.0 / (rate_c * duty) / 2500.0, 1.5);
        for i in 0..80 {
            let floor_v = 2.4 + 0.0125 * f64::from(i);
            let run = discharge(&circuit, &Stops { floor_v, cut_off_v: 0.0, time_s: TIME_MAX_S }, |_| 1.0).unwrap();
            let (soonest_s, latest_s) = (reaches_s(&course, floor_v + DIP_V), reaches_s(&course, floor_v - DIP_V));
            let told = format!("{cell_degc} °C, {rate_c}C, {duty}, down to {floor_v} V: {}", run.runtime_s);
            assert!(run.runtime_s <= latest_s * (1.0 + TIME_RATIO) + TIME_S, "{told}, at most {latest_s}");
            assert!(run.runtime_s >= soonest_s * (1.0 - TIME_RATIO) - TIME_S, "{told}, at least {soonest_s}");
            met += u32::from(soonest_s > 0.0);
        }
    }
    assert!(met > 200, "{met} stops lie on the way");
}
