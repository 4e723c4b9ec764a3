//! Whole plans: the demo builds, the rules on them, and what must hold for any plan.

use cellwright::ask::{Node, ask};
use serde_json::{Value, json};

const PUMP: &str = include_str!("plans/watering-pump.json");
const BLOWER: &str = include_str!("plans/seed-drying-blower.json");
const LAMP: &str = include_str!("plans/market-stall-lamp.json");

fn report(plan: &Value) -> Value {
    let answer = ask("plan", &plan.to_string()).unwrap_or_else(|errors| panic!("{errors:?}"));
    serde_json::to_value(&answer).unwrap()
}

fn plan(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn refused(plan: &Value) -> Vec<String> {
    let errors = ask("plan", &plan.to_string()).expect_err("must be refused");
    errors.iter().map(|error| format!("{} {}", error.path(), error.code())).collect()
}

/// Codes of the findings with a judgement.
fn codes(report: &Value, judgement: &str) -> Vec<String> {
    let findings = report["findings"].as_array().unwrap().iter();
    let picked = findings.filter(|finding| finding["judgement"] == judgement);
    picked.map(|finding| finding["code"].as_str().unwrap().to_owned()).collect()
}

/// Sets every number at `pointer` of `plan`.
fn set(plan: &Value, pointer: &str, value: Value) -> Value {
    let mut changed = plan.clone();
    *changed.pointer_mut(pointer).unwrap_or_else(|| panic!("{pointer}")) = value;
    changed
}

#[test]
fn the_pump_breaks_no_stop_rule() {
    let report = report(&plan(PUMP));
    assert_eq!(report["verdict"], "ready");
    assert_eq!(codes(&report, "broken")[0], "salvaged_cells", "the warning stands first");
    let runtime = &report["runtime"]["runtime_s"];
    let (low, likely, high) = (&runtime["low"], &runtime["likely"], &runtime["high"]);
    assert!(low.as_f64() < likely.as_f64() && likely.as_f64() < high.as_f64(), "{runtime}");
    assert_eq!(report["runtime"]["likely"]["ended_by"], "group_floor");
}

#[test]
fn the_blower_feels_its_knob() {
    let report = report(&plan(BLOWER));
    let positions = report["settings"]["rows"].as_array().unwrap();
    let runtime = |i: usize| positions[i]["setting"]["runtime_s"]["likely"].as_f64().unwrap();
    assert!((1..positions.len()).all(|i| runtime(i) < runtime(i - 1)), "more duty runs shorter");
}

#[test]
fn a_plan_with_unjudged_stop_rules_is_not_ready() {
    let report = report(&plan(LAMP));
    assert_eq!(report["verdict"], "not_judged");
    let unjudged = codes(&report, "not_judged");
    for code in ["protection_missing", "no_fuse", "charge_supply_is_no_charger"] {
        assert!(unjudged.iter().any(|there| there == code), "{code} in {unjudged:?}");
    }
    let bare = set(&plan(PUMP), "/runs", json!([]));
    let bare = self::report(&bare);
    assert_eq!(bare["verdict"], "not_judged", "no lead was entered, so none was judged");
    let needs = report["findings"].as_array().unwrap().iter().find(|finding| finding["code"] == "no_fuse").unwrap();
    assert_eq!(needs["needs"], "fuse");
}

#[test]
fn each_stop_rule_can_be_broken() {
    let pump = plan(PUMP);
    let cases = [
        ("window_high", "/loads/0/works_to_v", json!(12.0)),
        ("protection_missing", "/protection", json!("none")),
        ("no_fuse", "/fuse", json!("none")),
        ("fuse_place", "/fuse/fitted/first_at_positive", json!(false)),
        ("fuse_breaking", "/fuse/fitted/breaking_a", json!(35.0)),
        ("fuse_blind", "/fuse/fitted/rating_a", json!(30.0)),
        ("fuse_over_wire", "/runs/1/conductor/mm2/area_mm2", json!(0.08)),
        ("join_current", "/pack/groups/0/cells/0/rest_v", json!(4.1)),
        ("found_too_low", "/pack/groups/0/cells/0/rest_v", json!(1.6)),
        ("mixed_chemistry", "/pack/groups/0/cells/0/chemistry", json!("nca")),
        ("full_too_high", "/pack/full_v", json!(4.3)),
        ("floor_too_low", "/pack/floor_v", json!(2.0)),
        ("charge_cold", "/charging/cell_degc/low", json!(-2.0)),
        ("charge_voltage_high", "/charging/supply_v", json!(19.0)),
        ("charge_current_far", "/charging/supply_a", json!(6.0)),
        ("charge_supply_is_no_charger", "/charging/kind", json!("voltage_supply")),
        ("protection_continuous", "/protection/board/continuous_a", json!(1.0)),
        ("cell_current", "/loads/0/draw/follows_voltage/power_w", json!({"low": 60.0, "likely": 66.0, "high": 70.0})),
    ];
    for (code, pointer, value) in cases {
        let report = report(&set(&pump, pointer, value));
        let broken = codes(&report, "broken");
        assert!(broken.iter().any(|there| there == code), "{pointer} should break {code}: {broken:?}");
        assert_eq!(report["verdict"], "stop", "{code}");
    }
}

#[test]
fn a_measurement_shows_which_promises_it_changes() {
    let label = plan(PUMP);
    let measured =
        set(&label, "/loads/0/draw/follows_voltage/power_w", json!({"low": 21.0, "likely": 22.0, "high": 23.0}));
    let answer = ask("compare_plans", &json!({"before": label, "after": measured}).to_string()).unwrap();
    let changes = serde_json::to_value(&answer).unwrap();
    let paths: Vec<&str> =
        changes["promises"].as_array().unwrap().iter().map(|row| row["path"].as_str().unwrap()).collect();
    assert!(paths.contains(&"/runtime/runtime_s") && paths.contains(&"/runs/0/lead/drop_v"), "{paths:?}");
    assert!(!paths.contains(&"/pack/capacity_ah"), "a heavier load leaves the cells as they are");
    let run = changes["promises"].as_array().unwrap().iter().find(|row| row["path"] == "/runtime/runtime_s").unwrap();
    assert!(run["after"]["likely"].as_f64() < run["before"]["likely"].as_f64(), "{run}");
    let same = ask("compare_plans", &json!({"before": label, "after": label}).to_string()).unwrap();
    let same = serde_json::to_value(&same).unwrap();
    assert!(["promises", "appeared", "vanished"].iter().all(|key| same[key].as_array().unwrap().is_empty()), "{same}");
}

#[test]
fn rules_of_the_speed_control_can_be_broken_and_kept() {
    let blower = set(&plan(BLOWER), "/loads/0/surge_s", json!(1.0));
    let machine = "/control/driven/machine";
    let pump = |kind: Value| {
        json!({"pump": {"power_w": {"low": 9.0, "likely": 9.5, "high": 10.0}, "at_v": 12.0, "kind": kind,
            "motor_ohm": {"low": 2.6, "likely": 3.0, "high": 3.4}, "motor_h": 0.0021}})
    };
    let impeller = |static_head_m: f64| {
        pump(json!({"centrifugal": {"closed_head_m": 4.0, "open_flow_m3_per_s": 2e-4, "closed_power_ratio": 0.5,
            "static_head_m": static_head_m, "friction_head_m": 0.5}}))
    };
    let led = |resistance_ohm: f64| {
        json!({"led": {"series": 3, "forward_v": {"low": 2.8, "likely": 3.0, "high": 3.2}, "strings": 10, "led_high_a": 0.02,
            "limit": {"resistor": {"resistance_ohm": resistance_ohm}}}})
    };
    let hot = json!({"mosfet": {"on": {"gate_v": 6.0, "on_ohm": 2.0}, "on_at_less": null, "threshold_low_v": 1.0,
        "threshold_high_v": 2.5, "gate_charge_coulomb": 1.5e-8, "hot_ratio": null, "drain_v": 40.0, "drain_a": 12.0,
        "gate_high_v": 20.0, "case_k_per_w": 2.5, "ambient_k_per_w": 200.0, "junction_high_degc": 150.0}});
    let cases = [
        (
            "load_does_not_start",
            "/control/driven/start_v",
            json!({"low": 3.0, "likely": 5.0, "high": 6.0}),
            json!({"low": 0.1, "likely": 0.2, "high": 0.3}),
        ),
        ("load_held_untripped", "/fuse/fitted/rating_a", json!(10.0), Value::Null),
        ("pump_dry", machine, impeller(0.0), blower.pointer(machine).unwrap().clone()),
        (
            "pump_dry_displacement",
            machine,
            pump(json!({"positive_displacement": {"flow_m3_per_s": 5e-5}})),
            impeller(0.0),
        ),
        ("pump_no_flow", machine, impeller(3.5), impeller(0.0)),
        ("led_current", machine, led(50.0), led(600.0)),
        (
            "switch_too_hot",
            "/control/switch/transistor",
            hot,
            blower.pointer("/control/switch/transistor").unwrap().clone(),
        ),
        ("switch_flyback_missing", "/control/switch/flyback", Value::Null, json!("schottky")),
        ("load_label_only", "/loads/0/measured", json!(true), Value::Null),
        ("main_switch_missing", "/main_switch", json!("none"), json!({"fitted": {"direct_a": 20.0, "direct_v": 16.0}})),
        ("main_switch_current", "/main_switch/fitted/direct_a", json!(0.5), json!(20.0)),
        ("main_switch_voltage", "/main_switch/fitted/direct_v", json!(6.0), json!(16.0)),
        ("fuse_voltage", "/fuse/fitted/family", Value::Null, json!("blade")),
        ("fuse_surge", "/loads/0/surge_a", json!(40.0), json!(1.0)),
        ("wire_limit", "/runs/1/conductor/mm2/area_mm2", json!(0.05), json!(1.5)),
    ];
    for (code, pointer, breaking, keeping) in cases {
        let has = |value: &Value| {
            codes(&report(&set(&blower, pointer, value.clone())), "broken").iter().any(|there| there == code)
        };
        match code {
            // What drives it is known: its label counts for nothing. A blade fuse is for more volts than this pack has.
            "load_label_only" | "fuse_voltage" => assert!(!has(&breaking) && !has(&keeping), "{code}"),
            _ => {
                assert!(has(&breaking), "{pointer} should break {code}");
                assert!(keeping.is_null() || !has(&keeping), "{pointer} should keep {code}");
            }
        }
    }
}

#[test]
fn the_worse_end_is_used_and_swapping_it_softens() {
    // The charger's coldest moment breaks the rule; with the ends drawn together to the warm side it does not.
    let pump = plan(PUMP);
    let cold = set(&pump, "/charging/cell_degc", json!({"low": -1.0, "likely": 10.0, "high": 20.0}));
    let warm = set(&pump, "/charging/cell_degc", json!({"low": 10.0, "likely": 10.0, "high": 20.0}));
    assert!(codes(&report(&cold), "broken").contains(&"charge_cold".to_owned()));
    assert!(!codes(&report(&warm), "broken").contains(&"charge_cold".to_owned()));
    // A short-circuit current comes from the lowest credible resistance.
    let ohms = "/pack/groups/0/cells/0/resistance/resistance_ohm";
    let low = report(&set(&pump, ohms, json!({"low": 0.03, "likely": 0.062, "high": 0.07})));
    let high = report(&set(&pump, ohms, json!({"low": 0.062, "likely": 0.062, "high": 0.07})));
    let short = |report: &Value| report["pack"]["short_circuit_a"].as_f64().unwrap();
    assert!(short(&low) > short(&high), "lower resistance, larger current");
    // The runtime promised at least comes from the low capacity.
    let ah = "/pack/groups/0/cells/0/capacity/capacity_ah";
    let wide = report(&set(&pump, ah, json!({"low": 1.8, "likely": 2.21, "high": 2.3})));
    let narrow = report(&set(&pump, ah, json!({"low": 2.21, "likely": 2.21, "high": 2.3})));
    let least = |report: &Value| report["runtime"]["runtime_s"]["low"].as_f64().unwrap();
    assert!(least(&wide) < least(&narrow), "less charge, shorter promise");
}

#[test]
fn rules_of_the_trade() {
    // Common practice, no source: four 0.6 A loads in parallel draw 2.4 A.
    let load = json!({"name": "pump", "draw": {"current": {"current_a": {"low": 0.6, "likely": 0.6, "high": 0.6}}}, "duty": 1.0,
        "chopped": false, "works_from_v": 8.0, "works_to_v": 14.0, "drop_out_v": null, "surge_a": null, "surge_s": null, "measured": true});
    let four = report(&set(&plan(PUMP), "/loads", json!([load, load, load, load])));
    assert!((four["runtime"]["likely"]["mean_a"].as_f64().unwrap() - 2.4).abs() < 1e-9);
    // Common practice, no source: three lithium-ion cells in series at about 4 V each give about 12 V.
    let at_4_v = report(&set(&plan(PUMP), "/pack/full_v", json!(4.0)));
    assert!((at_4_v["pack"]["full_v"].as_f64().unwrap() - 12.0).abs() < 1e-9);
    // Common practice, no source: two equal strings in parallel double the ampere-hours.
    let one = plan(LAMP);
    let mut two = one.clone();
    for g in 0..3 {
        let cell = one["pack"]["groups"][g]["cells"][0].clone();
        two["pack"]["groups"][g]["cells"].as_array_mut().unwrap().push(cell);
    }
    let charge = |plan: &Value| report(plan)["pack"]["capacity_ah"]["likely"].as_f64().unwrap();
    assert!((charge(&two) / charge(&one) - 2.0).abs() < 1e-9);
}

#[test]
fn heat_of_a_chopped_resistive_load() {
    // At 25 % duty a chopped resistive load heats its wire four times as much as its mean current would.
    let mut lamp = plan(LAMP);
    lamp["loads"].as_array_mut().unwrap().truncate(1);
    let chopped = report(&set(&lamp, "/loads/0/duty", json!(0.25)));
    let likely = &chopped["runtime"]["likely"];
    let (mean_a, rms_a) = (likely["mean_a"].as_f64().unwrap(), likely["rms_a"].as_f64().unwrap());
    // The current sinks a little over the run, so the ratio of the whole run lies a little above four.
    assert!((rms_a * rms_a / (mean_a * mean_a) - 4.0).abs() < 0.1, "{}", rms_a * rms_a / (mean_a * mean_a));
}

#[test]
fn a_later_format_is_refused_before_anything_else() {
    let mut later = plan(PUMP);
    later["format"] = json!(2);
    later["some_later_field"] = json!(1);
    assert_eq!(refused(&later), ["/format not_accepted"]);
    let errors = ask("plan", &later.to_string()).unwrap_err();
    assert!(errors[0].to_string().contains("later version"), "{}", errors[0]);
}

#[test]
fn all_mistakes_come_at_once_with_their_places() {
    let mut wrong = plan(PUMP);
    wrong["pack"]["groups"][1]["cells"][0]["capacity"]["capacity_ah"]["low"] = json!(-2.0);
    wrong["runs"][0]["length_m"] = json!(1e9);
    wrong["loads"][0]["duty"] = json!(1.5);
    let places = refused(&wrong);
    for place in ["/pack/groups/1/cells/0/capacity/capacity_ah", "/runs/0/length_m", "/loads/0/duty"] {
        assert!(places.iter().any(|there| there.starts_with(place)), "{place} in {places:?}");
    }
    let impossible = set(
        &plan(PUMP),
        "/pack/groups/2/cells/1/resistance/resistance_ohm",
        json!({"low": 0.0002, "likely": 0.0003, "high": 0.0004}),
    );
    assert!(refused(&impossible)[0].starts_with("/pack/groups/2/cells/1/resistance/resistance_ohm"));
}

/// Walks every number of an answer.
fn numbers(node: &Value, seen: &mut impl FnMut(f64)) {
    match node {
        Value::Number(number) => seen(number.as_f64().unwrap()),
        Value::Array(list) => list.iter().for_each(|value| numbers(value, seen)),
        Value::Object(map) => map.values().for_each(|value| numbers(value, seen)),
        _ => {}
    }
}

#[test]
fn extreme_values_give_finite_numbers_or_errors() {
    let mut base = plan(LAMP); // one cell a group: the quickest to run
    for part in ["control", "protection", "fuse", "charging"] {
        base[part] = plan(BLOWER)[part].clone();
    }
    base["control"]["positions"] = json!([]);
    base["loads"][0]["chopped"] = json!(true); // what the control drives
    let extremes = [0.0, 1e-300, -1.0, 1e-3, 1.0, 4.1, 60.0, 1000.0, 1e300];
    let mut pointers = Vec::new();
    leaves(&base, String::new(), &mut pointers);
    let mut answered = 0;
    for pointer in &pointers {
        for value in extremes {
            if let Ok(answer) = ask("plan", &set(&base, pointer, json!(value)).to_string()) {
                answered += 1;
                let answer = serde_json::to_value(Node::clone(&answer)).unwrap();
                numbers(&answer, &mut |number| assert!(number.is_finite(), "{pointer} = {value}"));
            }
        }
    }
    assert!(answered > pointers.len(), "most fields take some of these values: {answered}");
}

/// Pointers of every number.
fn leaves(node: &Value, path: String, found: &mut Vec<String>) {
    match node {
        Value::Number(_) => found.push(path),
        Value::Array(list) => {
            list.iter().enumerate().for_each(|(i, value)| leaves(value, format!("{path}/{i}"), found));
        }
        Value::Object(map) => map.iter().for_each(|(key, value)| leaves(value, format!("{path}/{key}"), found)),
        _ => {}
    }
}
