//! Discharges of single cells against a full electrochemical model of the same published cell.

#[path = "oracles/case.rs"]
mod case;
#[path = "oracles/cell.rs"]
mod cell;

use case::number;
use cell::cell;
use cellwright::part::load::LoadCircuit;
use cellwright::run::discharge::{Discharge, EndedBy, MODEL_RATIO, Stops, TIME_MAX_S, TrustLimit, discharge};
use cellwright::run::stepper::PackCircuit;
use serde_json::Value;

fn oracle() -> Value {
    serde_json::from_str(include_str!("oracles/discharges.json")).unwrap()
}

fn load(case: &Value) -> LoadCircuit {
    let (current_a, exponent) = match case["load"].as_str().unwrap() {
        "constant_current" => (number(case, "load_A"), 1.0),
        "constant_power" => (number(case, "load_W"), 0.0),
        "constant_resistance" => (1.0 / number(case, "load_ohm"), 2.0),
        other => panic!("{other}"),
    };
    LoadCircuit { current_a, at_v: 1.0, exponent, duty: 1.0, drop_out_v: 0.0 }
}

fn run(case: &Value) -> Discharge {
    let degc = number(case, "temperature_C");
    let cell = cell(case["cell"].as_str().unwrap(), degc);
    let circuit = PackCircuit::new(vec![vec![cell]], vec![load(case)], 0.0, degc);
    let stops = Stops { floor_v: number(case, "cutoff_V"), cut_off_v: 0.0, time_s: TIME_MAX_S };
    discharge(&circuit, &stops, |_| 1.0).unwrap()
}

/// Median, 90th percentile and largest of the errors in percent.
fn spread(mut errors: Vec<f64>) -> (f64, f64, f64) {
    errors.sort_by(f64::total_cmp);
    let at = |share: f64| errors[((errors.len() - 1) as f64 * share).round() as usize];
    (at(0.5), at(0.9), at(1.0))
}

/// Errors of the time to cut-off, in percent, of the cases that `wanted` picks by temperature and C-rate.
fn errors(wanted: impl Fn(f64, f64) -> bool) -> Vec<f64> {
    let oracle = oracle();
    let cases = oracle["discharges"].as_array().unwrap().iter();
    let picked = cases.filter(|case| wanted(number(case, "temperature_C"), number(case, "c_rate")));
    picked
        .map(|case| {
            let result = run(case);
            assert_eq!(result.ended_by, EndedBy::GroupFloor, "{}", case["id"]);
            let error = 100.0 * (result.runtime_s / number(case, "time_to_cutoff_s") - 1.0);
            println!("{:45} {error:+.3} %", case["id"].as_str().unwrap());
            error.abs()
        })
        .collect()
}

#[test]
fn time_to_cut_off_at_25_degc_up_to_1c() {
    let (median, p90, worst) = spread(errors(|degc, rate| degc == 25.0 && rate <= 1.0));
    println!("median {median:.3} p90 {p90:.3} worst {worst:.3}");
    assert!(median <= 0.2 && p90 <= 1.0 && worst <= 2.0, "median {median} p90 {p90} worst {worst}");
}

#[test]
fn time_to_cut_off_at_5_degc_up_to_half_c() {
    let (median, p90, worst) = spread(errors(|degc, rate| degc == 5.0 && rate <= 0.5));
    println!("median {median:.3} p90 {p90:.3} worst {worst:.3}");
    assert!(median <= 0.5 && worst <= 4.0, "median {median} p90 {p90} worst {worst}");
}

#[test]
fn time_to_cut_off_at_40_degc_up_to_1c() {
    let (median, p90, worst) = spread(errors(|degc, rate| degc == 40.0 && rate <= 1.0));
    println!("median {median:.3} p90 {p90:.3} worst {worst:.3}");
    assert!(median <= 0.2 && p90 <= 1.0 && worst <= 2.0, "median {median} p90 {p90} worst {worst}");
}

#[test]
fn fast_discharges_say_where_the_model_stops() {
    let oracle = oracle();
    for case in oracle["discharges"].as_array().unwrap().iter().filter(|case| number(case, "c_rate") >= 2.0) {
        let result = run(case);
        assert!(result.trusted_until_s.is_some(), "{} is trusted to the end", case["id"]);
    }
}

/// The reference tells three voltages on its way; a run that stops at one of them is not promised for longer than the
/// reference takes to it, but for the error in time that is told with every run.
#[test]
fn no_more_is_promised_where_a_plateau_ends_the_run() {
    let oracle = oracle();
    let (mut flat, mut longer) = (0, 0);
    for case in oracle["discharges"].as_array().unwrap().iter().filter(|case| case["load"] == "constant_current") {
        for (key, share) in [("v_at_10pct_V", 0.1), ("v_at_50pct_V", 0.5), ("v_at_90pct_V", 0.9)] {
            let mut stopped = case.clone();
            stopped["cutoff_V"] = case[key].clone();
            let result = run(&stopped);
            if result.trust_limit.is_some_and(|limit| limit != TrustLimit::FlatEnd) {
                continue;
            }
            let degc = number(case, "temperature_C");
            let [(cold_degc, cold), (warm_degc, warm)] = MODEL_RATIO;
            let off = cold + (warm - cold) * ((degc - cold_degc) / (warm_degc - cold_degc)).clamp(0.0, 1.0);
            let reference_s = share * number(case, "time_to_cutoff_s");
            let told = format!("{} {key}: {} {}", case["id"], result.promised_s(), reference_s);
            println!("{told} {}", result.runtime_s / reference_s - 1.0);
            assert!(result.promised_s() <= reference_s * (1.0 + off), "{told}");
            flat += usize::from(result.trust_limit == Some(TrustLimit::FlatEnd));
            longer += usize::from(result.runtime_s > reference_s * (1.0 + off));
        }
    }
    // Without the plateau's own limit some of them would have been promised too long.
    println!("{flat} flat, {longer} longer");
    assert!(flat > 10 && longer > 3, "{flat} flat, {longer} longer");
}
