//! What is not known passes nothing, and what is told of it stays on the side that hurts nobody.

#[path = "oracles/asked.rs"]
mod asked;

use asked::{answer, codes, exact, refused};
use serde_json::{Value, json};

const PUMP: &str = include_str!("plans/watering-pump.json");
const BLOWER: &str = include_str!("plans/seed-drying-blower.json");

fn plan(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn close(value: &Value, wanted: f64, ratio: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - wanted).abs() <= ratio * wanted.abs(), "{value} for {wanted}");
}

#[test]
fn a_switch_of_which_nothing_is_known_is_not_ready() {
    let mut blower = plan(BLOWER);
    assert_eq!(answer("plan", &blower)["verdict"], "ready");
    blower["control"]["switch"] = Value::Null;
    let report = answer("plan", &blower);
    assert_eq!(report["verdict"], "not_judged");
    let open = codes(&report, "not_judged");
    for code in ["switch_gate_low", "switch_too_hot", "switch_current", "switch_flyback_missing", "switch_rush_board"] {
        assert!(open.contains(&code.to_owned()), "{code} in {open:?}");
    }
    // A load that is chopped, and nothing that chops it.
    blower["control"] = Value::Null;
    let report = answer("plan", &blower);
    assert_eq!(report["verdict"], "not_judged");
    assert!(codes(&report, "not_judged").contains(&"switch_flyback_missing".to_owned()));
}

/// A larger rating that may open at the surge says that a smaller one may, too.
#[test]
fn a_fuse_too_small_for_its_gates_is_not_taken_for_a_surge() {
    let wish = json!({"family": "blade", "load_a": 0.05, "surge_a": 6, "surge_s": 0.2, "wire_limit_a": 10, "ambient_degc": 25,
        "pack_v": 12.6});
    let fuse = answer("fuse", &wish);
    assert_eq!(fuse["ratings"][0]["holds_surge"], false);
    close(&fuse["rating_a"], 4.0, 0.0);
    // As short as the highest gate is known to hold, nothing is known above it.
    let short = json!({"family": "blade", "load_a": 0.05, "surge_a": 6, "surge_s": 0.03, "wire_limit_a": 10,
        "ambient_degc": 25, "pack_v": 12.6});
    assert_eq!(answer("fuse", &short)["ratings"][0]["holds_surge"], Value::Null);
}

#[test]
fn an_on_current_below_the_rms_current_is_refused() {
    let joint = json!({"name": "plug", "kind": "other", "pack_v": 12.6, "rms_a": 6, "on_a": 4});
    assert_eq!(refused("joint", &joint), ["/on_a"]);
}

#[test]
fn nobody_promises_more_than_the_rated_charge() {
    let slow = json!({"rated_ah": exact(7.0), "rated_s": 72000, "current_a": exact(0.1)});
    let given = &answer("hour_rate", &slow)["delivered_ah"];
    close(&given["low"], 7.0, 1e-9);
    assert!(given["likely"].as_f64() > given["low"].as_f64());
}

fn charging(family: &str, charger: &Value, load_a: &Value) -> Value {
    let group = json!({"capacity_ah": {"low": 1.9, "likely": 2, "high": 2.1}, "found_v": 3.6});
    json!({"name": "P", "family": family, "groups": [group, group, group], "charger": charger, "attended": true,
        "balancing": true, "cell_degc": {"low": 15, "likely": 20, "high": 30}, "connector_a": 5, "wire_a": 6,
        "group_cut_off": {"each_group": {"cut_off_v": exact(4.25)}}, "live_bare_pin": false, "load_a": load_a,
        "other_supplies": [], "polarity_checked": true, "terminals": "board"})
}

#[test]
fn a_drop_that_is_too_small_to_see_ends_no_charge() {
    let drop = |current_a: f64| {
        let charger =
            json!({"name": "c", "kind": "drop_detecting", "voltage_v": exact(6.0), "current_a": exact(current_a)});
        codes(&answer("charging_review", &charging("nickel_metal_hydride", &charger, &exact(0.0))), "broken")
    };
    assert!(drop(0.6).contains(&"charge_nickel_drop_unseen".to_owned()));
    assert!(!drop(1.5).contains(&"charge_nickel_drop_unseen".to_owned()));
}

#[test]
fn a_load_beside_a_charger_of_unknown_end_is_not_passed() {
    let review = |end_a: Value, load_a: f64| {
        let charger =
            json!({"name": "c", "kind": "cc_cv", "voltage_v": exact(12.6), "current_a": exact(0.5), "end_a": end_a});
        answer("charging_review", &charging("lithium_ion", &charger, &exact(load_a)))
    };
    let code = "charge_load_running".to_owned();
    assert!(codes(&review(Value::Null, 0.01), "not_judged").contains(&code));
    assert!(codes(&review(Value::Null, 0.5), "broken").contains(&code));
    assert!(codes(&review(json!(0.1), 0.5), "broken").contains(&code));
    assert!(!codes(&review(Value::Null, 0.0), "not_judged").contains(&code));
}

/// Among others a lead is no cooler than alone, whatever its insulation stands.
#[test]
fn a_lead_among_others_is_no_cooler_than_alone() {
    let lead = |lies: Value| {
        let run = json!({"name": "l", "length_m": 1, "conductor": {"mm2": {"area_mm2": 0.25}}, "joints_ohm": exact(0.0),
            "insulation_degc": 70, "lies": lies});
        answer("wire_run", &json!({"run": run, "rms_a": 5, "ambient_degc": 25}))["conductor_degc"].as_f64().unwrap()
    };
    let alone_degc = lead(json!("free_air"));
    assert!(alone_degc > 75.0, "{alone_degc}");
    assert!(lead(json!({"bundle": {"loaded": 6}})) >= alone_degc);
}

/// At the resonance of leads and capacitor, by hand: the fundamental of 4 A at half duty is 4·2/π/√2 = 1.801 A, and
/// |0.01 + 0.1j| / 0.02 = 5.025 of it flow; the third harmonic, 0.600 A, comes 1.125-fold, and the higher ones add 0.35 A.
#[test]
fn leads_and_a_capacitor_of_little_resistance_swing_more_than_the_load_takes() {
    let capacitor = |frequency_hz: f64| {
        let input = json!({"supply_v": 12, "on_a": 4, "duty_low": 0.5, "duty_high": 0.5, "frequency_hz": frequency_hz,
            "c_f": 100e-6, "esr_ohm": 0.01, "lead_ohm": 0.01, "lead_h": 1e-6});
        answer("supply_capacitor", &input)["ripple_a"].clone()
    };
    // Three figures by hand. Never under the sum, and little over it: each harmonic counts with the largest gain within a quarter of its frequency.
    let swung_a = f64::sqrt(9.05 * 9.05 + 0.675 * 0.675 + 0.35 * 0.35);
    let told_a = capacitor(15915.494).as_f64().unwrap();
    assert!((0.997..1.01).contains(&(told_a / swung_a)), "{told_a} for {swung_a}");
    close(&capacitor(500e3), 2.0, 1e-2);
    // Far below it few harmonics meet the resonance: never under the load's own share.
    assert!((2.0..2.1).contains(&capacitor(100.0).as_f64().unwrap()));
}

#[test]
fn a_cell_whose_resistance_stands_out_is_named() {
    let mut pump = plan(PUMP);
    assert!(!codes(&answer("plan", &pump), "broken").contains(&"cell_resistance_far".to_owned()));
    for end in ["low", "likely", "high"] {
        let ohm = &mut pump["pack"]["groups"][1]["cells"][0]["resistance"]["resistance_ohm"][end];
        *ohm = json!(4.0 * ohm.as_f64().unwrap());
    }
    let report = answer("plan", &pump);
    let found = report["findings"].as_array().unwrap().iter().find(|finding| finding["code"] == "cell_resistance_far");
    let found = found.expect("the cell of a quarter ohm is named");
    assert_eq!((&found["name"], &found["urgency"]), (&json!("B1"), &json!("mend_first")));
    assert!(found["measured"].as_f64() > found["limit"].as_f64());
}

/// The matching that takes it for its capacity says so as well; a smaller cell of the same make is none of these.
#[test]
fn a_cell_whose_resistance_stands_out_is_named_among_groups() {
    let cell = |name: &str, ah: f64, ohm: f64| {
        json!({"name": name, "chemistry": "nmc", "model": "m", "size": "18650", "capacity_ah": exact(ah),
            "resistance_ohm": exact(ohm), "self_discharge_ratio": exact(0.01)})
    };
    let found = |last: Value| {
        let cells: Vec<Value> = (0..5).map(|i| cell(&format!("c{i}"), 2.2, 0.06)).chain([last]).collect();
        let report = answer("match", &json!({"cells": cells, "series": 3, "parallel": 2}));
        codes(&report, "broken").contains(&"cell_resistance_far".to_owned())
    };
    assert!(found(cell("worn", 2.6, 0.25)));
    assert!(!found(cell("small", 0.8, 0.15)) && !found(cell("sound", 2.2, 0.11)));
}

/// A load of constant power behind a knob has the same margin for ageing and model as one of any other law.
#[test]
fn a_load_behind_a_knob_keeps_its_margin() {
    let mut blower = plan(BLOWER);
    blower["control"]["driven"] = Value::Null;
    for tenths in 40..80 {
        let power_w = f64::from(tenths) / 10.0;
        blower["loads"][0]["draw"] = json!({"power": {"power_w": exact(power_w)}});
        let report = answer("plan", &blower);
        let (low, least) = (&report["runtime"]["runtime_s"]["low"], &report["runtime"]["least"]["runtime_s"]);
        assert!(low.as_f64().unwrap() < 0.99 * least.as_f64().unwrap(), "{power_w} W: {low} of {least}");
    }
}

#[test]
fn a_plan_of_unidentified_cells_is_still_told() {
    let mut pump = plan(PUMP);
    for group in pump["pack"]["groups"].as_array_mut().unwrap() {
        for cell in group["cells"].as_array_mut().unwrap() {
            cell["chemistry"] = json!("unidentified");
        }
    }
    assert_eq!(answer("plan", &pump)["verdict"], "stop");
}

/// What draws whenever the switch is on draws with the knob at its minimum as well.
#[test]
fn a_lamp_beside_the_knob_shortens_how_long_the_pack_stands() {
    let mut pump = plan(PUMP);
    let lamp = json!({"name": "lamp", "draw": {"current": {"current_a": exact(0.2)}}, "duty": 1, "chopped": false});
    let loads = std::mem::replace(&mut pump["loads"], json!([]));
    let stands = |beside: Value| {
        let run = json!({"own_chemistries": [], "pack": pump["pack"], "loads": beside, "lead_ohm": exact(0.05),
            "ambient_degc": exact(20.0)});
        let input = json!({"run": run, "phases": [{"name": "on", "time_s": 600, "state": {"running": {"loads": loads}}}],
            "repeats": 1, "after_cut_off": {}, "standing": {"knob_minimum_a": exact(0.05), "switch_off_a": exact(0.0),
            "cut_off_a": exact(0.0), "self_discharge_ratio_per_month": exact(0.0)}});
        answer("use_profile", &input)["standing"]["knob_minimum_to_floor_s"]["low"].as_f64().unwrap()
    };
    // 0.25 A instead of 0.05 A.
    let ratio = stands(json!([])) / stands(json!([lamp]));
    assert!((ratio - 5.0).abs() < 1e-6, "{ratio}");
}
