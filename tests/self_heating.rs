//! Cells that warm themselves, against a full electrochemical model of the same published cell with one temperature.
//!
//! `oracles/self_heating.json`, made by `oracles/self_heating.py`, and `self_heating` of `oracles/discharges.json`, the
//! same model without the heat of diffusion in the grains. Heat capacity and heat path are those of the published
//! sets: heat capacities of the layers over the cell's volume, and 10 W/(m² K) over its cooled surface.

#[path = "oracles/case.rs"]
mod case;

use case::number;
use cellwright::data::chemistry;
use cellwright::part::cell::{CellCircuit, Curves, HeatPath};
use cellwright::part::load::LoadCircuit;
use cellwright::run::discharge::{Discharge, EndedBy, Stops, TIME_MAX_S, discharge};
use cellwright::run::stepper::PackCircuit;
use serde_json::Value;
use std::sync::Arc;

fn run(name: &str, degc: f64, current_a: f64, floor_v: f64) -> Discharge {
    let (published, path) = match name {
        "NMC_Chen2020" | "Chen2020" => {
            (&chemistry::NMC, HeatPath { heat_capacity_j_per_k: 42.775, resistance_k_per_w: 18.832 })
        }
        "LCO_Marquis2019" | "Marquis2019" => {
            (&chemistry::LCO, HeatPath { heat_capacity_j_per_k: 14.130, resistance_k_per_w: 1.7575 })
        }
        other => panic!("{other}"),
    };
    let mut cell = CellCircuit::new(Arc::new(Curves::published(published)), published.capacity_ah, 1.0, degc);
    cell.heat_path = Some(path);
    let load = LoadCircuit { current_a, at_v: 1.0, exponent: 1.0, duty: 1.0, drop_out_v: 0.0 };
    let circuit = PackCircuit::new(vec![vec![cell]], vec![load], 0.0, degc);
    discharge(&circuit, &Stops { floor_v, cut_off_v: 0.0, time_s: TIME_MAX_S }, |_| 1.0).unwrap()
}

fn rise_k(run: &Discharge, degc: f64) -> f64 {
    run.groups[0].cells[0].peak_degc - degc
}

/// Time within 0.3 %, the reach for held temperatures at this rate; rise within 3 % and 0.3 K, which is what the
/// entropy of the reaction makes in one of the two cells and this model leaves out.
#[test]
fn a_cell_that_warms_itself() {
    let oracle: Value = serde_json::from_str(include_str!("oracles/self_heating.json")).unwrap();
    let cases: Vec<&Value> = oracle["cases"].as_array().unwrap().iter().filter(|case| case["mixing"] == true).collect();
    assert_eq!(cases.len(), 6);
    for case in cases {
        let (current_a, floor_v) = if case["cell"] == "Chen2020" { (5.0, 2.5) } else { (0.680616, 3.105) };
        let degc = number(case, "degc");
        let run = run(case["cell"].as_str().unwrap(), degc, current_a, floor_v);
        assert_eq!(run.ended_by, EndedBy::GroupFloor);
        let (off, more_k) = (run.runtime_s / number(case, "time_s") - 1.0, rise_k(&run, degc) - number(case, "rise_k"));
        println!("{case}: time {:+.2} %, rise {more_k:+.2} K", 100.0 * off);
        assert!(off.abs() < 3e-3 && more_k.abs() < 0.3 + 0.03 * number(case, "rise_k"), "{case}");
    }
}

/// The same simulation without the heat of diffusion ends within 0.3 % of the same time and stays cooler: the model
/// errs on the warm side of it.
#[test]
fn the_heat_of_diffusion_is_counted() {
    let oracle: Value = serde_json::from_str(include_str!("oracles/discharges.json")).unwrap();
    let cases = oracle["self_heating"].as_array().unwrap();
    assert!(cases.len() >= 6);
    for case in cases {
        let degc = number(case, "temperature_C");
        let run = run(case["cell"].as_str().unwrap(), degc, number(case, "load_A"), number(case, "cutoff_V"));
        assert!((run.runtime_s / number(case, "time_to_cutoff_s") - 1.0).abs() < 3e-3, "{case}");
        assert!(rise_k(&run, degc) > number(case, "end_cell_temperature_C") - degc - 0.2, "{case}");
    }
}
