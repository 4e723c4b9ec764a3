//! Charges of single cells against a full electrochemical model of the same published cell, and of packs.

#[path = "oracles/case.rs"]
mod case;
#[path = "oracles/cell.rs"]
mod cell;

use case::number;
use cell::cell;
use cellwright::data::chemistry;
use cellwright::part::cell::{CellCircuit, Curves};
use cellwright::run::charge::{ChargeEnd, ChargeRun, ChargeStops, charge};
use cellwright::run::discharge::TIME_MAX_S;
use cellwright::run::stepper::PackCircuit;
use serde_json::Value;
use std::sync::Arc;

fn oracle() -> Value {
    serde_json::from_str(include_str!("oracles/charging.json")).unwrap()
}

fn run(case: &Value) -> ChargeRun {
    let degc = number(case, "temperature_C");
    let circuit = PackCircuit::new(vec![vec![cell(case["cell"].as_str().unwrap(), degc)]], vec![], 0.0, degc);
    let stops = ChargeStops {
        current_a: Some(number(case, "charge_A")),
        voltage_v: number(case, "charge_V"),
        end_a: number(case, "cut_A"),
        limit_v: number(case, "charge_V"),
        cut_off_v: None,
        time_s: TIME_MAX_S,
    };
    charge(&circuit, &stops, |_| number(case, "start_soc_percent") / 100.0).unwrap()
}

/// Errors in percent: whole time, time at constant current, charge.
fn errors(case: &Value) -> [f64; 3] {
    let result = run(case);
    assert_eq!(result.ended_by, ChargeEnd::EndCurrent, "{}", case["id"]);
    let off = |value: f64, key: &str| 100.0 * (value / number(case, key) - 1.0);
    let errors = [
        off(result.time_s, "total_time_s"),
        off(result.constant_current_s, "cc_time_s"),
        off(result.charged_ah, "charge_Ah"),
    ];
    let [time, first, charge] = errors;
    println!("{:58} time {time:+.3} % cc {first:+.3} % charge {charge:+.3} %", case["id"].as_str().unwrap());
    errors
}

/// Worst time and charge over the cases that `wanted` picks by temperature, rate and start.
fn worst(wanted: impl Fn(f64, f64, f64) -> bool) -> (f64, f64) {
    let oracle = oracle();
    let mut worst: (f64, f64) = (0.0, 0.0);
    let mut seen = 0;
    for case in oracle["cccv"].as_array().unwrap() {
        if wanted(number(case, "temperature_C"), number(case, "c_rate"), number(case, "start_soc_percent")) {
            let [time, _, charge] = errors(case);
            worst = (worst.0.max(time.abs()), worst.1.max(charge.abs()));
            seen += 1;
        }
    }
    assert!(seen >= 4, "{seen} cases");
    println!("worst time {:.3} % charge {:.3} % of {seen}", worst.0, worst.1);
    worst
}

#[test]
fn whole_charges_at_25_and_40_degc_up_to_half_c() {
    // 2 % is what a maker can notice on a charger's clock; the charge put in is held to a quarter of that.
    let (time, charge) = worst(|degc, rate, start| degc >= 25.0 && rate <= 0.5 && start == 0.0);
    assert!(time <= 2.0 && charge <= 0.5);
}

#[test]
fn part_charges_differ_by_the_same_seconds_over_a_shorter_time() {
    let (time, charge) = worst(|degc, rate, start| degc >= 25.0 && rate <= 0.5 && start > 0.0);
    assert!(time <= 3.5 && charge <= 0.5);
}

#[test]
fn slow_charges_at_5_degc() {
    let (time, charge) = worst(|degc, rate, _| degc == 5.0 && rate <= 0.2);
    assert!(time <= 2.0 && charge <= 0.5);
}

#[test]
fn fast_and_cold_charges_say_where_the_model_stops() {
    let oracle = oracle();
    for case in oracle["cccv"].as_array().unwrap() {
        let (degc, rate) = (number(case, "temperature_C"), number(case, "c_rate"));
        let trusted = run(case).trusted_until_s.is_none();
        let proven = if degc < 25.0 { rate <= 0.2 } else { rate <= 0.5 };
        assert_eq!(trusted, proven, "{}", case["id"]);
    }
}

fn stops(current_a: f64, groups: f64) -> ChargeStops {
    ChargeStops {
        current_a: Some(current_a),
        voltage_v: 4.2 * groups,
        end_a: 0.05 * current_a,
        limit_v: 4.2,
        cut_off_v: None,
        time_s: TIME_MAX_S,
    }
}

fn nmc(capacity_ah: f64) -> CellCircuit {
    CellCircuit::new(Arc::new(Curves::published(&chemistry::NMC)), capacity_ah, 1.0, 25.0)
}

#[test]
fn a_group_that_is_ahead_passes_its_limit_while_the_charger_sees_nothing() {
    let ahead = PackCircuit::new(vec![vec![nmc(2.0)], vec![nmc(2.1)], vec![nmc(2.2)]], vec![], 0.02, 25.0);
    let result = charge(&ahead, &stops(1.0, 3.0), |_| 0.0).unwrap();
    assert_eq!(result.highest_group, 0);
    assert!(result.highest_group_v > 4.25, "{}", result.highest_group_v);
    let over = result.groups[0].over_limit_after_s.unwrap();
    assert!(over < result.time_s && result.trusted_until_s == Some(over));
    assert!(result.groups[2].peak_v < 4.2 && result.groups[2].over_limit_after_s.is_none());
    let guarded = ChargeStops { cut_off_v: Some(4.25), ..stops(1.0, 3.0) };
    let result = charge(&ahead, &guarded, |_| 0.0).unwrap();
    assert_eq!(result.ended_by, ChargeEnd::GroupCutOff);
    assert!((result.highest_group_v - 4.25).abs() < 1e-4, "{}", result.highest_group_v);
}

#[test]
fn equal_groups_charge_as_one_cell_and_the_lead_adds_its_drop() {
    let three = PackCircuit::new(vec![vec![nmc(2.0)], vec![nmc(2.0)], vec![nmc(2.0)]], vec![], 0.0, 25.0);
    let one = PackCircuit::new(vec![vec![nmc(2.0)]], vec![], 0.0, 25.0);
    let three = charge(&three, &stops(1.0, 3.0), |_| 0.1).unwrap();
    let one = charge(&one, &stops(1.0, 1.0), |_| 0.1).unwrap();
    assert!((three.time_s / one.time_s - 1.0).abs() < 1e-6 && (three.charged_ah - one.charged_ah).abs() < 1e-7);
    let leads = PackCircuit::new(vec![vec![nmc(2.0)]], vec![], 0.2, 25.0);
    let leads = charge(&leads, &stops(1.0, 1.0), |_| 0.1).unwrap();
    assert!(leads.constant_current_s < one.constant_current_s && leads.time_s > one.time_s);
    // What is left after the heat is the rest voltage over the charge moved; steps of 1/2000 of it are read here.
    let cell = nmc(2.0);
    for result in [&one, &leads] {
        let end = result.groups[0].cells[0].end_soc_ratio;
        let part = (end - 0.1) / 2000.0;
        let volts: f64 = (0..2000).map(|i| cell.rest_v(0.1 + part * (f64::from(i) + 0.5))).sum();
        let stored_wh = volts * part * 2.0;
        let given_wh = result.charger_wh - result.cell_heat_wh - result.lead_heat_wh;
        assert!((given_wh / stored_wh - 1.0).abs() < 1e-4, "{given_wh} {stored_wh}");
    }
}

#[test]
fn a_voltage_supply_without_a_limit_drives_a_multiple_of_the_charge_current() {
    let empty = PackCircuit::new(vec![vec![nmc(2.0)]], vec![], 0.05, 25.0);
    let supply = ChargeStops { current_a: None, ..stops(1.0, 1.0) };
    let result = charge(&empty, &supply, |_| 0.05).unwrap();
    assert!(result.peak_a > 4.0 && result.constant_current_s == 0.0, "{}", result.peak_a);
    assert_eq!(result.trusted_until_s, Some(0.0));
}

#[test]
fn nothing_flows_into_a_full_pack_and_wrong_stops_are_named() {
    let full = PackCircuit::new(vec![vec![nmc(2.0)]], vec![], 0.0, 25.0);
    for voltage_v in [4.0, 4.2] {
        let result = charge(&full, &ChargeStops { voltage_v, ..stops(1.0, 1.0) }, |_| 1.0).unwrap();
        assert_eq!((result.ended_by, result.time_s), (ChargeEnd::NothingFlows, 0.0));
    }
    let error = charge(&full, &ChargeStops { end_a: f64::NAN, ..stops(1.0, 1.0) }, |_| 1.0).unwrap_err();
    assert_eq!(error.field(), "end_a");
    let result = charge(&full, &ChargeStops { time_s: 60.0, ..stops(1.0, 1.0) }, |_| 0.3).unwrap();
    assert_eq!((result.ended_by, result.time_s.round()), (ChargeEnd::TimeLimit, 60.0));
}

/// A group that is given up gets no charging time.
#[test]
fn a_group_that_is_given_up_is_not_charged() {
    let plan: serde_json::Value = serde_json::from_str(include_str!("plans/watering-pump.json")).unwrap();
    let asked = |v: f64| {
        let question = serde_json::json!({
            "own_chemistries": [], "pack": plan["pack"], "start": {"rest_v": {"group_v": [3.4, v, 3.4]}},
            "charger": {"name": "12.6 V", "kind": "cc_cv", "voltage_v": {"low": 12.5, "likely": 12.6, "high": 12.7},
                "current_a": {"low": 0.7, "likely": 0.8, "high": 0.9}},
            "lead_ohm": {"low": 0.02, "likely": 0.03, "high": 0.04},
            "ambient_degc": {"low": 15.0, "likely": 20.0, "high": 25.0},
        });
        cellwright::ask::ask("charge", &question.to_string()).map_err(|errors| errors[0].path())
    };
    assert_eq!(asked(1.9).unwrap_err(), "/start/rest_v/group_v/1");
    assert!(asked(2.1).is_ok());
}
