//! Packs of unequal cells against a general-purpose solver of the same circuit.

use cellwright::data::chemistry;
use cellwright::part::cell::{CellCircuit, Curves};
use cellwright::part::load::LoadCircuit;
use cellwright::run::discharge::{EndedBy, Stops, TIME_MAX_S, discharge};
use cellwright::run::stepper::PackCircuit;
use serde_json::Value;
use std::sync::Arc;

fn number(case: &Value, key: &str) -> f64 {
    case[key].as_f64().unwrap_or_else(|| panic!("{key} in {case}"))
}

fn cell(row: &Value) -> CellCircuit {
    let rest_v = match row["ocv_table"].as_str().unwrap() {
        "NMC_Chen2020" => chemistry::NMC.rest_v,
        "LCO_Marquis2019" => chemistry::LCO.rest_v,
        "LFP_Prada2013" => chemistry::LFP.rest_v,
        "NCA_Kim2011" => chemistry::NCA.rest_v,
        other => panic!("{other}"),
    };
    let curves = Arc::new(Curves::derive(&rest_v, &[]));
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
