//! Packs of unequal cells against a general-purpose solver of the same circuit.

#[path = "oracles/case.rs"]
mod case;

use case::number;
use cellwright::ask::{Node, ask};
use cellwright::data::chemistry;
use cellwright::part::cell::{CellCircuit, Curves};
use cellwright::part::load::LoadCircuit;
use cellwright::run::discharge::{EndedBy, Stops, TIME_MAX_S, discharge};
use cellwright::run::stepper::PackCircuit;
use serde_json::{Value, json};
use std::sync::Arc;

fn rest_v(table: &str) -> [f64; 101] {
    match table {
        "NMC_Chen2020" => chemistry::NMC.rest_v,
        "LCO_Marquis2019" => chemistry::LCO.rest_v,
        "LFP_Prada2013" => chemistry::LFP.rest_v,
        "NCA_Kim2011" => chemistry::NCA.rest_v,
        other => panic!("{other}"),
    }
}

fn cell(row: &Value) -> CellCircuit {
    let curves = Arc::new(Curves::derive(&rest_v(row["ocv_table"].as_str().unwrap()), &[]));
    let get = |key| number(row, key);
    CellCircuit::plain(curves, get("capacity_Ah"), get("r0_ohm"), get("r1_ohm"), get("tau1_s"))
}

fn load(case: &Value) -> LoadCircuit {
    let value = number(case, "load_value");
    let (current_a, exponent) = match case["load"].as_str().unwrap() {
        "constant_current_A" => (value, 1.0),
        "constant_power_W" => (value, 0.0),
        "fan_cubic_W_per_V3" => (value, 3.0),
        other => panic!("{other}"),
    };
    LoadCircuit { current_a, at_v: 1.0, exponent, duty: 1.0, drop_out_v: 0.0 }
}

#[test]
fn packs_of_unequal_cells() {
    let oracle: Value = serde_json::from_str(include_str!("oracles/packs.json")).unwrap();
    let mut worst: [f64; 5] = [0.0; 5];
    for case in oracle["packs"].as_array().unwrap() {
        let mut groups = vec![Vec::new(); number(case, "series_S") as usize];
        for row in case["cells"].as_array().unwrap() {
            groups[number(row, "group") as usize].push(cell(row));
        }
        let circuit = PackCircuit::new(groups, vec![load(case)], number(case, "lead_resistance_ohm"), 25.0);
        let stops = Stops { floor_v: number(case, "group_cutoff_V"), cut_off_v: 0.0, time_s: TIME_MAX_S };
        let result = discharge(&circuit, &stops, |_| 1.0).unwrap();
        let expected = &case["result"];
        assert_eq!(result.ended_by, EndedBy::GroupFloor);
        assert_eq!(result.weakest_group as u64, expected["limiting_group"].as_u64().unwrap(), "{}", case["id"]);
        let ratio = |mine: f64, key: &str| (mine / number(expected, key) - 1.0).abs();
        let cells: Vec<_> = result.groups.iter().flat_map(|group| &group.cells).collect();
        let list = |key: &str, i: usize| expected[key][i].as_f64().unwrap();
        let soc = (0..cells.len())
            .map(|i| (cells[i].end_soc_ratio - list("cell_end_soc_percent", i) / 100.0).abs())
            .fold(0.0, f64::max);
        let peak = (0..cells.len())
            .map(|i| (cells[i].peak_a / list("cell_max_discharge_A", i) - 1.0).abs())
            .fold(0.0, f64::max);
        let errors = [
            ratio(result.runtime_s, "runtime_s"),
            ratio(result.delivered_wh, "delivered_Wh"),
            soc,
            peak,
            ratio(result.half_load_v, "load_half_time_V"),
        ];
        println!("{:35} {errors:.6?}", case["id"].as_str().unwrap());
        for (most, error) in worst.iter_mut().zip(errors) {
            *most = most.max(error);
        }
    }
    println!("worst: runtime, energy, end charge, peak current, half-time voltage {worst:.6?}");
    assert!(
        worst[0] <= 0.003 && worst[1] <= 0.003 && worst[2] <= 0.005 && worst[3] <= 0.03 && worst[4] <= 0.003,
        "{worst:?}"
    );
}

/// The same packs asked in JSON run exactly as long: nothing is lost on the way.
#[test]
fn plain_circuits_are_asked_by_name() {
    let oracle: Value = serde_json::from_str(include_str!("oracles/packs.json")).unwrap();
    for case in oracle["packs"].as_array().unwrap().iter().take(6) {
        let mut groups = vec![Vec::new(); number(case, "series_S") as usize];
        let mut asked = vec![json!({"cells": []}); groups.len()];
        for row in case["cells"].as_array().unwrap() {
            let g = number(row, "group") as usize;
            groups[g].push(cell(row));
            asked[g]["cells"].as_array_mut().unwrap().push(json!({
                "rest_table": row["ocv_table"], "capacity_ah": row["capacity_Ah"], "r0_ohm": row["r0_ohm"],
                "r1_ohm": row["r1_ohm"], "tau1_s": row["tau1_s"], "soc_ratio": 1,
            }));
        }
        let tables = ["NMC_Chen2020", "LCO_Marquis2019", "LFP_Prada2013", "NCA_Kim2011"].map(|name| {
            let point = |(i, v): (usize, f64)| json!({"soc_ratio": i as f64 / 100.0, "rest_v": v});
            json!({"name": name, "rest_points": rest_v(name).into_iter().enumerate().map(point).collect::<Vec<Value>>()})
        });
        let value = number(case, "load_value");
        let exact = |value: f64| json!({"low": value, "likely": value, "high": value});
        let draw = match case["load"].as_str().unwrap() {
            "constant_current_A" => json!({"current": {"current_a": exact(value)}}),
            "constant_power_W" => json!({"power": {"power_w": exact(value)}}),
            _ => json!({"follows_voltage": {"power_w": exact(value), "at_v": 1, "exponent": 3}}),
        };
        let input = json!({
            "rest_tables": tables, "groups": asked,
            "loads": [{"name": "load", "draw": draw, "duty": 1, "chopped": false}],
            "lead_ohm": case["lead_resistance_ohm"], "ambient_degc": 25, "floor_v": case["group_cutoff_V"],
        });
        let answer = ask("discharge_circuit", &input.to_string()).unwrap();
        let circuit = PackCircuit::new(groups, vec![load(case)], number(case, "lead_resistance_ohm"), 25.0);
        let stops = Stops { floor_v: number(case, "group_cutoff_V"), cut_off_v: 0.0, time_s: TIME_MAX_S };
        let whole = discharge(&circuit, &stops, |_| 1.0).unwrap();
        assert_eq!(answer.get("runtime_s"), Some(&Node::Number(whole.runtime_s)), "{}", case["id"]);
    }
}

fn pair(first: f64, second: f64) -> PackCircuit {
    let curves = Arc::new(Curves::derive(&chemistry::NMC.rest_v, &[]));
    let cell = |soc_ratio: f64| {
        let mut cell = CellCircuit::plain(Arc::clone(&curves), 2.0, 0.05, 0.02, 40.0);
        cell.start_ratio = Some(soc_ratio);
        cell
    };
    let load = LoadCircuit { current_a: 6.0, at_v: 1.0, exponent: 0.0, duty: 1.0, drop_out_v: 0.0 };
    PackCircuit::new(vec![vec![cell(first), cell(second)]], vec![load], 0.05, 25.0)
}

/// Cells that are alike but for their charge stay two cells: the fuller one charges the other at first.
#[test]
fn alike_cells_may_start_at_unequal_charge() {
    let stops = Stops { floor_v: 3.0, cut_off_v: 0.0, time_s: TIME_MAX_S };
    let run = |first, second| discharge(&pair(first, second), &stops, |_| 0.1).unwrap();
    let uneven = run(0.9, 0.3);
    let [full, low] = uneven.groups[0].cells[..] else { panic!() };
    assert!(full.peak_a > 2.5 && low.lowest_a < 0.0, "{full:?} {low:?}");
    // The same charge in sum, and the same left at the end but for what still flows between the two: half a percent.
    let even = run(0.6, 0.6);
    assert!(
        (uneven.delivered_ah / even.delivered_ah - 1.0).abs() < 5e-3,
        "{} {}",
        uneven.delivered_ah,
        even.delivered_ah
    );
}

/// A load of constant power draws more as the pack empties, until the board takes it for a fault.
#[test]
fn too_much_current_ends_a_run() {
    let stops = Stops { floor_v: 2.6, cut_off_v: 0.0, time_s: TIME_MAX_S };
    let run = |trip_a: Option<f64>| {
        let mut circuit = pair(1.0, 1.0);
        circuit.trip_a = trip_a;
        discharge(&circuit, &stops, |_| 1.0).unwrap()
    };
    let free = run(None);
    assert_eq!(free.ended_by, EndedBy::GroupFloor);
    let tripped = run(Some(1.8));
    assert_eq!(tripped.ended_by, EndedBy::OverCurrent);
    assert!(tripped.runtime_s > 0.5 * free.runtime_s && tripped.runtime_s < free.runtime_s);
    // The end is found to a ten-millionth.
    assert!((tripped.peak_a - 1.8).abs() < 1e-6, "{}", tripped.peak_a);
    let at_once = run(Some(1.0));
    assert_eq!((at_once.ended_by, at_once.runtime_s), (EndedBy::OverCurrent, 0.0));
    assert_eq!(run(Some(100.0)).runtime_s.to_bits(), free.runtime_s.to_bits());
}
