//! What one failed part does: fuses open when their own kind surely does, and no failure is called stopped by less.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use cellwright::ask::ask;
use serde_json::{Value, json};

const PUMP: &str = include_str!("plans/watering-pump.json");
const LAMP: &str = include_str!("plans/market-stall-lamp.json");

fn plan(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn failures(plan: &Value) -> Vec<Value> {
    let answer = ask("one_fails", &json!({ "plan": plan }).to_string()).unwrap_or_else(|errors| panic!("{errors:?}"));
    serde_json::to_value(&answer).unwrap()["failures"].as_array().unwrap().clone()
}

fn failure(plan: &Value, part: &str, way: &str) -> Value {
    failures(plan).into_iter().find(|row| row["part"] == part && row["way"] == way).unwrap()
}

/// The pump without a board and with a fuse of one kind.
fn fused(family: &str, rating_a: f64) -> Value {
    let mut pump = plan(PUMP);
    pump["protection"] = json!("none");
    pump["fuse"]["fitted"]["family"] = if family.is_empty() { Value::Null } else { json!(family) };
    pump["fuse"]["fitted"]["rating_a"] = json!(rating_a);
    pump
}

/// A cell without neighbours burns by its own charge: no fuse and no board is in that way.
#[test]
fn a_cell_that_shorts_inside_is_never_called_stopped() {
    for text in [PUMP, LAMP] {
        for row in failures(&plan(text)).iter().filter(|row| row["part"] == "cell" && row["way"] == "shorted") {
            assert_eq!(row["is_stopped"], false, "{row}");
            assert!(row["fault_high_a"].as_f64().unwrap() > 10.0, "{row}");
        }
    }
}

/// Twice its rating opens a fuse after UL within two minutes, and promises nothing of one after IEC.
#[test]
fn a_fuse_opens_by_the_points_of_its_own_kind() {
    let shorted = |family: &str, rating_a: f64| failure(&fused(family, rating_a), "connector", "shorted");
    let fault_a = shorted("blade", 5.0)["fault_low_a"].as_f64().unwrap();
    // A rating of which the fault at the empty pack is 2.05 times.
    let rating_a = fault_a / 2.05;
    for (family, opens) in [("tube_ul", true), ("blade", true), ("tube_iec", false), ("", false)] {
        let row = shorted(family, rating_a);
        assert_eq!(row["opens_empty"] == "fuse", opens, "{family}: {row}");
    }
    // What is not known of its kind opens no sooner than the slowest kind.
    let all = ["tube_ul", "blade", "large_blade", "tube_iec"].map(|family| shorted(family, 2.0)["opens_s"].as_f64());
    let slowest_s = all.into_iter().map(Option::unwrap).fold(0.0, f64::max);
    assert_eq!(shorted("", 2.0)["opens_s"].as_f64(), Some(slowest_s));
}

/// A board that ends the charge far above what the cells stand stops no failed charger.
#[test]
fn a_board_that_ends_the_charge_too_late_guards_nothing() {
    let stopped = |over_v: f64| {
        let mut pump = plan(PUMP);
        pump["protection"]["board"]["over_voltage_v"] = json!(over_v);
        failure(&pump, "charger", "shorted")["is_stopped"].clone()
    };
    assert_eq!((stopped(4.25), stopped(4.35), stopped(4.5)), (json!(true), json!(true), json!(false)));
}
