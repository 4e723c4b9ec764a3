//! Where a plateau ends a run, the lower end of what is told is no later than the moment from which on the model's own
//! error in voltage may end it, by the same pack stepped much more finely.
#![cfg(not(target_arch = "wasm32"))]

#[path = "oracles/course.rs"]
mod course;

use cellwright::data::chemistry::{self, PublishedCell};
use cellwright::part::cell::{CellCircuit, Curves};
use cellwright::part::load::LoadCircuit;
use cellwright::run::discharge::{MODEL_OFF_V, MODEL_RATIO, Stops, TIME_MAX_S, TrustLimit, discharge};
use cellwright::run::stepper::PackCircuit;
use course::{fine, reaches_s};
use std::sync::Arc;

/// How far the times may lie apart: the doubt of steps of up to 4 % of the charge, as in `fine_steps`.
const TIME_RATIO: f64 = 2e-3;

fn between([(cold_degc, cold), (warm_degc, warm)]: [(f64, f64); 2], degc: f64) -> f64 {
    cold + (warm - cold) * ((degc - cold_degc) / (warm_degc - cold_degc)).clamp(0.0, 1.0)
}

/// Four groups, slightly unequal.
fn pack(cell: &PublishedCell, cell_degc: f64, rate_c: f64) -> PackCircuit {
    let curves = Arc::new(Curves::published(cell));
    let group = |(ah, scale)| vec![CellCircuit::new(Arc::clone(&curves), ah, scale, cell_degc)];
    let groups = [(1.52, 1.0), (1.5, 1.1), (1.5, 1.0), (1.48, 1.2)].map(group).to_vec();
    let power_w = 4.0 * 1.5 * rate_c * curves.rest_v(0.5);
    let load = LoadCircuit { current_a: power_w, at_v: 1.0, exponent: 0.0, duty: 1.0, drop_out_v: 0.0 };
    PackCircuit::new(groups, vec![load], 0.05, cell_degc)
}

#[test]
fn the_lower_end_is_no_later_than_the_moved_voltage() {
    let (mut flat, mut steep) = (0, 0);
    for (cell, degc) in [&chemistry::LFP, &chemistry::NMC, &chemistry::LCO]
        .into_iter()
        .flat_map(|cell| [(cell, 5.0), (cell, 15.0), (cell, 25.0), (cell, 40.0)])
    {
        for rate_c in [0.1, 0.5] {
            let circuit = pack(cell, degc, rate_c);
            let course = fine(&circuit, 3600.0 / rate_c / 5000.0, 2.0);
            // Within one fine step the course is a line.
            let step_s = course[1].0;
            let (off_v, off) = (between(MODEL_OFF_V, degc), between(MODEL_RATIO, degc));
            for i in 0..58 {
                let floor_v = 2.5 + 0.02 * f64::from(i);
                let run = discharge(&circuit, &Stops { floor_v, cut_off_v: 0.0, time_s: TIME_MAX_S }, |_| 1.0).unwrap();
                if run.runtime_s <= 0.0 {
                    continue;
                }
                let moved_s = if course[0].1 <= floor_v + off_v { 0.0 } else { reaches_s(&course, floor_v + off_v) };
                let told = format!(
                    "{degc} °C, {rate_c}C, {floor_v} V: {} of {}, moved {moved_s}",
                    run.promised_s(),
                    run.runtime_s
                );
                // What lies behind the moved voltage is either not promised or less than the error in time.
                assert!(run.promised_s() * (1.0 - off) <= moved_s * (1.0 + TIME_RATIO) + step_s, "{told}");
                let behind = 1.0 - moved_s / run.runtime_s;
                if run.trust_limit == Some(TrustLimit::FlatEnd) {
                    assert!(run.promised_s() <= moved_s * (1.0 + TIME_RATIO) + step_s, "{told}");
                    assert!(behind > off - TIME_RATIO, "{told}");
                    assert_eq!(run.trusted_until_s, run.flat_from_s);
                    flat += 1;
                } else {
                    assert!(behind < off + TIME_RATIO || run.flat_from_s.is_some(), "{told}");
                    steep += 1;
                }
            }
        }
    }
    assert!(flat > 100 && steep > 400, "{flat} flat, {steep} steep");
}

const BLOWER: &str = include_str!("plans/seed-drying-blower.json");

/// The blower runs on iron phosphate cells and a knob: its lower ends, its findings and its words carry the plateau.
#[test]
fn a_plan_that_stops_on_a_plateau_says_so_everywhere() {
    let answer = |floor_v: f64| {
        let mut plan: serde_json::Value = serde_json::from_str(BLOWER).unwrap();
        plan["pack"]["floor_v"] = serde_json::json!(floor_v);
        let answer = cellwright::ask::ask("plan", &plan.to_string()).unwrap_or_else(|errors| panic!("{errors:?}"));
        serde_json::to_value(&answer).unwrap()
    };
    let told = |report: &serde_json::Value| {
        report["findings"].as_array().unwrap().iter().any(|finding| finding["code"] == "flat_end")
    };
    let number = |value: &serde_json::Value| value.as_f64().unwrap();
    let (steep, flat) = (answer(2.6), answer(3.25));
    assert!(!told(&steep) && told(&flat));
    for corner in ["least", "likely"] {
        let run = &flat["runtime"][corner];
        assert!(run["flat_from_s"].is_number(), "{corner}");
        assert!(number(&flat["runtime"]["runtime_s"]["low"]) <= number(&run["flat_from_s"]), "{corner}");
        assert!(steep["runtime"][corner]["flat_from_s"].is_null(), "{corner}");
    }
    assert!(number(&flat["chances"]["at_least_s"]) <= number(&flat["runtime"]["least"]["flat_from_s"]));
    // A position of the knob promises less of its likely time than where the end is steep.
    let shares = |report: &serde_json::Value| -> Vec<f64> {
        let rows = report["settings"]["rows"].as_array().unwrap().iter();
        let runs = rows.filter_map(|row| row["setting"]["runtime_s"].as_object());
        runs.map(|run| number(&run["low"]) / number(&run["likely"]).max(1e-9)).collect()
    };
    let (steep, flat) = (shares(&steep), shares(&flat));
    assert!(!flat.is_empty() && flat.len() == steep.len());
    for (steep, flat) in steep.iter().zip(&flat) {
        assert!(*flat < 0.95 * steep, "{flat} {steep}");
    }
}
