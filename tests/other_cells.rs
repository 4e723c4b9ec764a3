//! Cells that took no part in making the model: six published parameter sets, each entered as a table of one's own.
//!
//! `oracles/other_cells.json`: PyBaMM, full electrochemical model, made by `oracles/other_cells.py`.

use cellwright::part::cell::{CellCircuit, Curves, PulseTable};
use cellwright::part::load::LoadCircuit;
use cellwright::run::discharge::{Discharge, Stops, TIME_MAX_S, TrustLimit, discharge};
use cellwright::run::stepper::PackCircuit;
use serde_json::Value;
use std::sync::Arc;

fn cells() -> Vec<Value> {
    let oracle: Value = serde_json::from_str(include_str!("oracles/other_cells.json")).unwrap();
    oracle["cells"].as_array().unwrap().clone()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn curves(cell: &Value) -> Arc<Curves> {
    let rest: Vec<f64> = cell["ocv_25C_V"].as_array().unwrap().iter().map(number).collect();
    let table = |(key, cell_degc): (&str, f64)| {
        let rows = cell["pulse"][key].as_array().unwrap();
        PulseTable {
            capacity_ah: number(&cell["capacity_Ah"]),
            current_a: number(&cell["pulse_A"]),
            cell_degc,
            soc_ratio: rows.iter().map(|row| number(&row[0])).collect(),
            after_s: vec![0.1, 1.0, 10.0, 60.0],
            resistance_ohm: rows.iter().map(|row| (1..5).map(|i| number(&row[i]) / 1000.0).collect()).collect(),
        }
    };
    Arc::new(Curves::derive(&rest, &[("5C", 5.0), ("25C", 25.0)].map(table)))
}

fn run(cell: &Value, curves: &Arc<Curves>, case: &Value) -> Discharge {
    let (degc, value) = (number(&case[2]), number(&case[3]));
    let (current_a, exponent) = match case[0].as_str().unwrap() {
        "current" => (value, 1.0),
        "power" => (value, 0.0),
        _ => (1.0 / value, 2.0),
    };
    let load = LoadCircuit { current_a, at_v: 1.0, exponent, duty: 1.0, drop_out_v: 0.0 };
    let circuit = CellCircuit::new(Arc::clone(curves), number(&cell["capacity_Ah"]), 1.0, degc);
    let pack = PackCircuit::new(vec![vec![circuit]], vec![load], 0.0, degc);
    let stops = Stops { floor_v: number(&cell["v_min_V"]), cut_off_v: 0.0, time_s: TIME_MAX_S };
    discharge(&pack, &stops, |_| 1.0).unwrap()
}

/// The same reach as for the cells the model was made with: median 0.2 %, nine in ten 1 %, worst 2 % at 25 °C up to 1C;
/// at 5 °C up to 0.5C median 0.5 %, worst 4 %. One cell is not of the kind the model holds for, and is told so.
#[test]
fn cells_never_seen() {
    let (mut warm, mut cold) = (Vec::new(), Vec::new());
    for cell in cells() {
        let curves = curves(&cell);
        for case in cell["discharges"].as_array().unwrap() {
            let result = run(&cell, &curves, case);
            if cell["id"] == "ORegan2022" {
                assert_eq!(result.trust_limit, Some(TrustLimit::UnexplainedPulses), "{case}");
                assert_eq!(result.trusted_until_s, Some(0.0), "{case}");
                continue;
            }
            let error = 100.0 * (result.runtime_s / number(&case[4]) - 1.0).abs();
            match (number(&case[2]), number(&case[1])) {
                (25.0, rate) if rate <= 1.0 => warm.push(error),
                (5.0, rate) if rate <= 0.5 => cold.push(error),
                (_, rate) if rate >= 2.0 && cell["id"] != "Ramadass2004" => {
                    assert!(result.trusted_until_s.is_some(), "{} {case}", cell["id"]);
                }
                _ => {}
            }
        }
    }
    warm.sort_by(f64::total_cmp);
    cold.sort_by(f64::total_cmp);
    let at = |errors: &[f64], share: f64| errors[((errors.len() - 1) as f64 * share).round() as usize];
    let found = [at(&warm, 0.5), at(&warm, 0.9), at(&warm, 1.0), at(&cold, 0.5), at(&cold, 1.0)];
    println!("25 °C median, nine in ten, worst; 5 °C median, worst: {found:.3?} %");
    assert!(found[0] <= 0.2 && found[1] <= 1.0 && found[2] <= 2.0 && found[3] <= 0.5 && found[4] <= 4.0, "{found:?}");
}
