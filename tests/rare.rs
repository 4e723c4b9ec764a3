//! The worse end of every input, in the questions that are asked least.
#![cfg(not(target_arch = "wasm32"))]

#[path = "oracles/asked.rs"]
mod asked;

use asked::{answer, codes, exact, refused};
use cellwright::quantity::draw::Draws;
use serde_json::{Value, json};

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// Three groups of two cells. Invented.
fn run(resistance_ohm: &Value, loads: &Value) -> Value {
    let cell = json!({"name": "A1", "chemistry": "nmc",
        "capacity": {"capacity_ah": {"low": 2.0, "likely": 2.1, "high": 2.2}, "start_v": 4.2, "end_v": 2.8,
            "current_a": 0.4, "cell_degc": 22},
        "resistance": {"resistance_ohm": resistance_ohm, "method": {"dc": {"after_s": 10, "current_a": 1}},
            "leads": "four_wire", "cell_degc": 22, "soc_ratio": 0.5}});
    let group = json!({"cells": [cell, cell]});
    json!({"own_chemistries": [], "pack": {"groups": [group, group, group], "link_ohm": exact(0.005), "full_v": 4.2,
        "floor_v": 3.0}, "loads": loads, "lead_ohm": {"low": 0.03, "likely": 0.05, "high": 0.08},
        "ambient_degc": {"low": 15, "likely": 20, "high": 30}, "cut_off_v": 2.8})
}

fn usual_ohm() -> Value {
    json!({"low": 0.05, "likely": 0.06, "high": 0.07})
}

fn drawing(current_a: &Value, drop_out_v: Option<f64>) -> Value {
    json!([{"name": "lamp", "draw": {"current": {"current_a": current_a}}, "duty": 1, "chopped": false,
        "drop_out_v": drop_out_v}])
}

fn profile(phases: &Value, self_discharge_ratio: f64, after: &Value) -> Value {
    json!({"run": run(&usual_ohm(), &json!([])), "phases": phases, "repeats": 3,
        "standing": {"switch_off_a": exact(0.0), "cut_off_a": exact(0.0),
            "self_discharge_ratio_per_month": exact(self_discharge_ratio)}, "after_cut_off": after})
}

/// A pack that lost all it had on the shelf has not come through its pause.
#[test]
fn a_pause_that_empties_the_cells_ends_the_use() {
    let phases = json!([{"name": "evening", "time_s": 3600, "state": {"running": {"loads": drawing(&exact(1.0), None)}}},
        {"name": "winter", "time_s": 2_592_000, "state": "off"}]);
    let likely = &answer("use_profile", &profile(&phases, 1.0, &json!({})))["likely"];
    assert_eq!(
        (&likely["rounds"], &likely["ended_in_phase"], &likely["drained_at_rest"]),
        (&json!(0), &json!(1), &json!(true))
    );
    assert_eq!(likely["ended_by"], "group_floor");
    let likely = &answer("use_profile", &profile(&phases, 0.02, &json!({})))["likely"];
    assert_eq!((&likely["rounds"], &likely["drained_at_rest"]), (&json!(3), &json!(false)));
}

/// A board that stays off says nothing of a load that drops out before it at another credible current.
#[test]
fn a_load_that_may_drop_out_first_may_start_again() {
    let phases = |current_a: &Value| {
        let loads = drawing(current_a, Some(8.25));
        json!([{"name": "evening", "time_s": 86400, "state": {"running": {"loads": loads}}}])
    };
    let after = json!({"stays_off": true, "load_restart_v": {"low": 8.5, "likely": 8.6, "high": 8.7}});
    let wide = json!({"low": 1, "likely": 1.2, "high": 6});
    let restart = &answer("use_profile", &profile(&phases(&wide), 0.0, &after))["restart"];
    assert_eq!((&restart["cut_by"], &restart["restarts"]), (&json!("protection_cut_off"), &json!("perhaps")));
    let restart = &answer("use_profile", &profile(&phases(&exact(1.2)), 0.0, &after))["restart"];
    assert_eq!(restart["restarts"], "no");
}

/// A heater draws most from the stiffest pack; its leads and fuse are held against that.
#[test]
fn leads_and_fuse_in_a_box_carry_what_the_stiffest_pack_gives() {
    let heater = json!([{"name": "heater", "draw": {"follows_voltage": {"power_w": exact(60.0), "at_v": 12, "exponent": 2}},
        "duty": 1, "chopped": false}]);
    let run = run(&json!({"low": 0.03, "likely": 0.08, "high": 0.2}), &heater);
    let most_a = number(&answer("discharge", &run)["most"]["peak_rms_a"]);
    let review = answer(
        "box_heat",
        &json!({"run": run, "place_degc": {"low": 0, "likely": 20, "high": 35},
        "box_k_per_w": exact(0.5), "cell_k_per_w": exact(1.0), "leads": [], "other_w": exact(0.0),
        "fuse": {"family": "blade", "rating_a": 7.5}}),
    );
    let hottest = &review["heat"]["hottest"];
    // The box is warmer than the discharge, and warm cells are stiffer still.
    assert!(number(&hottest["rms_a"]) >= most_a, "{hottest} for {most_a}");
    // Shorter leads let more of it flow.
    let mut short = run.clone();
    short["lead_ohm"] = exact(0.03);
    let box_of = |run: &Value| {
        let case = json!({"run": run, "place_degc": exact(20.0), "box_k_per_w": exact(0.5), "cell_k_per_w": exact(1.0),
            "leads": [], "other_w": exact(0.0)});
        number(&answer("box_heat", &case)["heat"]["hottest"]["cell_degc"])
    };
    // The temperature is found to 0.01 K twice.
    assert!(box_of(&run) >= box_of(&short) - 0.02);
    assert!(codes(&review, "broken").contains(&"box_fuse".to_owned()));
}

/// Ohm's law over everything in the way: motor 0.6 Ω, leads 0.08 Ω, links 5 mΩ, and three groups of two cells of at
/// least 70 mΩ.
#[test]
fn a_held_shaft_counts_the_pack_as_well() {
    let table = json!({"run": run(&usual_ohm(), &json!([])), "positions": [0.5],
        "timer": {"part": "bipolar", "circuit": {"diode_steered": {"ra_ohm": 1000, "pot_ohm": 100_000, "wiper_ratio": 0.5,
            "c_f": 1e-7}}},
        "driven": {"machine": {"motor": {"motor": {"motor_ohm": {"low": 0.4, "likely": 0.5, "high": 0.6},
            "volt_second": exact(0.01), "no_load_a": exact(0.2)}, "shaft": {"constant": {"torque_nm": exact(0.01)}}}},
            "count": 1, "joined": "parallel"},
        "trips": [{"name": "fuse", "trip_a": exact(3.0)}]});
    let setting = &answer("settings", &table)["rows"][0]["setting"];
    let duty = number(&setting["duty"]["low"]);
    let most_a = duty * duty * 9.0 / (0.6 + 0.08 + 0.005 + 3.0 * 0.07 / 2.0);
    let held = &setting["held_shaft"];
    assert!(number(&held["mean_a"]["low"]) <= most_a, "{held} for {most_a}");
    assert_eq!((&held["trips_first"], &held["trips_surely"]), (&json!("fuse"), &json!(false)));
}

/// Sixty strings of three LEDs at 3.05 V and 100 Ω draw more than 1.4 A at the full pack and are dark at the empty one:
/// the pack of 4.2 Ah never lasts as long as its charge would at the current of the half-empty pack.
#[test]
fn a_string_that_goes_dark_promises_no_endless_light() {
    let led = json!({"led": {"series": 3, "forward_v": exact(3.05), "limit": {"resistor": {"resistance_ohm": 100}},
        "strings": 60}});
    let timer = json!({"part": "bipolar", "circuit": {"diode_steered": {"ra_ohm": 1000, "pot_ohm": 100_000,
        "wiper_ratio": 0.5, "c_f": 1e-7}}});
    let table = json!({"run": run(&usual_ohm(), &json!([])), "positions": [0.9], "timer": timer, "trips": [],
        "driven": {"machine": led, "count": 1, "joined": "parallel"}});
    let setting = &answer("settings", &table)["rows"][0]["setting"];
    let (duty, at_v) = (number(&setting["duty"]["likely"]), 10.8);
    let middle_a = duty * 60.0 * (at_v - 3.0 * 3.05) / 100.0;
    let least_s = number(&setting["runtime_s"]["low"]);
    assert!(least_s < 3600.0 * 2.0 * 2.0 / middle_a, "{least_s} at {middle_a}");
    // From full to the middle of the voltages the current is twice that; most of the charge lies there.
    assert!(number(&setting["mean_a"]) > 0.7 * middle_a, "{setting}");
}

/// Where an impeller lifts water, what is promised holds for the current at every supply between full and empty.
#[test]
fn a_pump_that_stops_lifting_draws_no_less_before() {
    let lift = json!({"centrifugal": {"closed_head_m": 4, "open_flow_m3_per_s": 3e-4, "closed_power_ratio": 0.5,
        "static_head_m": 2.2, "friction_head_m": 1}});
    let pump = json!({"pump": {"kind": lift, "power_w": exact(20.0), "at_v": 12, "motor_h": 0.01}});
    let timer = json!({"part": "bipolar", "circuit": {"diode_steered": {"ra_ohm": 1000, "pot_ohm": 100_000,
        "wiper_ratio": 0.5, "c_f": 1e-8}}});
    let table = json!({"run": run(&usual_ohm(), &json!([])), "positions": [0.9], "timer": timer, "trips": [],
        "driven": {"machine": pump, "count": 1, "joined": "parallel"}});
    let least_s = number(&answer("settings", &table)["rows"][0]["setting"]["runtime_s"]["low"]);
    // Power at a supply, with the knob at a duty of 0.896.
    let power_w = |v: f64| {
        let r = 0.896 * v / 12.0;
        let left_m = r * r * 4.0 - 2.2;
        20.0 * r * r * r * (0.5 + 0.5 * (left_m.max(0.0) / 5.0).sqrt() / r)
    };
    // A current that falls with the supply as it does at the full pack is no less than the pump's at any supply; the run
    // under it, asked of the same pack, is the longest that may be promised.
    let slope = (libm::log(power_w(12.6) / power_w(12.5)) / libm::log(12.6 / 12.5)).min(3.6);
    let bound = json!([{"name": "bound", "draw": {"follows_voltage": {"power_w": exact(power_w(11.1)), "at_v": 11.1,
        "exponent": slope}}, "duty": 1, "chopped": false}]);
    let bound_s = number(&answer("discharge", &run(&usual_ohm(), &bound))["least"]["runtime_s"]);
    assert!(least_s < 1.03 * bound_s, "{least_s} for {bound_s}");
}

fn wire(changes: &[(&str, &str)]) -> Value {
    let mut wire = json!({"length_m": "2 m", "area_mm2": "1.5 mm²", "current_a": "1.2 A", "supply_v": "12 V"});
    for (name, text) in changes {
        wire[*name] = json!(text);
    }
    answer("reader_wire", &wire)
}

#[test]
fn a_reader_s_fuse_is_held_against_the_highest_voltage() {
    let fuse = [("fuse_a", "5 A"), ("fuse_family", "blade")];
    assert_eq!(wire(&fuse)["verdict"], "ready");
    let above = wire(&[&fuse[..], &[("supply_v", "30..40 V")]].concat());
    assert!(codes(&above, "broken").contains(&"fuse_voltage".to_owned()), "{above}");
    // Nothing is published of a tube fuse at direct current.
    let tube = wire(&[("fuse_a", "3.15 A"), ("fuse_family", "tube_iec"), ("ambient_degc", "25")]);
    assert_eq!(tube["verdict"], "not_judged");
    assert!(codes(&tube, "not_judged").contains(&"fuse_voltage".to_owned()), "{tube}");
    // The smaller end carries the load, the larger end protects the wire.
    let wide = wire(&[("fuse_a", "1..20 A"), ("fuse_family", "blade")]);
    for code in ["fuse_small", "fuse_over_wire"] {
        assert!(codes(&wide, "broken").contains(&code.to_owned()), "{wide}");
    }
}

/// Nothing is printed of 0.5 mm² on a surface, but at 8 A it is hotter than its insulation even in still air.
#[test]
fn a_lead_without_a_printed_limit_may_still_be_too_hot() {
    let hot = wire(&[("area_mm2", "0.5 mm²"), ("lies", "surface"), ("current_a", "8 A")]);
    assert!(codes(&hot, "broken").contains(&"wire_hot".to_owned()), "{hot}");
    let cool = wire(&[("area_mm2", "0.5 mm²"), ("lies", "surface"), ("current_a", "2 A")]);
    assert!(codes(&cool, "not_judged").contains(&"wire_limit".to_owned()), "{cool}");
    // A fuse is held against load and voltage although nothing is known of the wire.
    let fuse = [("area_mm2", "0.2 mm²"), ("current_a", "0.9 A"), ("fuse_a", "1 A"), ("fuse_family", "blade")];
    let thin = wire(&[&fuse[..], &[("supply_v", "40 V")]].concat());
    for code in ["fuse_small", "fuse_voltage"] {
        assert!(codes(&thin, "broken").contains(&code.to_owned()), "{thin}");
    }
}

fn dead_cell(resistance_ohm: &Value, cell_degc: &Value, fault: &Value) -> Value {
    let cell = run(resistance_ohm, &json!([]))["pack"]["groups"][0]["cells"][0].clone();
    answer(
        "dead_cell",
        &json!({"name": "group 1", "own_chemistries": [], "cell": cell, "parallel": 4,
        "rest_v": {"low": 4.0, "likely": 4.1, "high": 4.2}, "fault": fault, "cell_degc": cell_degc,
        "strip_ohm": exact(0.002), "load_a": 5}),
    )
}

/// A wider doubt of the cells' resistance leaves no less heat in a neighbour.
#[test]
fn neighbours_of_a_dead_cell_heat_at_their_highest_resistance() {
    let room = json!({"low": 15, "likely": 20, "high": 30});
    let short = json!({"short": {"short_ohm": {"low": 0.5, "likely": 1, "high": 2}}});
    let heat = |ohm: Value, degc: &Value| dead_cell(&ohm, degc, &short)["answer"]["neighbour_heat_w"].clone();
    let narrow = heat(usual_ohm(), &room);
    let wider = [
        heat(json!({"low": 0.04, "likely": 0.06, "high": 0.12}), &room),
        heat(usual_ohm(), &json!({"low": 5, "likely": 20, "high": 40})),
    ];
    for wide in wider {
        assert!(number(&wide["high"]) >= number(&narrow["high"]), "{wide} for {narrow}");
        assert!(number(&wide["low"]) <= number(&narrow["low"]), "{wide} for {narrow}");
    }
}

#[test]
fn a_low_cell_that_is_charged_in_the_heat_is_found() {
    let low = json!({"low": {"dead_v": {"low": 3.2, "likely": 3.3, "high": 3.4}}});
    let found = |high: f64| {
        let degc = json!({"low": 20, "likely": 30, "high": high});
        codes(&dead_cell(&usual_ohm(), &degc, &low), "broken").contains(&"charge_hot".to_owned())
    };
    assert!(found(58.0) && !found(40.0));
}

/// A meter of less accuracy never promises less self-discharge at the most; gains between two steps may miss a
/// thousandth of it.
#[test]
fn a_poorer_meter_promises_no_less_self_discharge() {
    let draws = Draws::new(5, 4);
    for index in 0..200 {
        let first_v = 3.2 + 0.8 * draws.unit(index, 0);
        let second_v = first_v - 0.08 * draws.unit(index, 1);
        let most = |reading_ratio: f64| {
            let test = json!({"own_chemistries": [], "chemistry": (["nmc", "lco", "nca"][(index % 3) as usize]),
                "voltmeter": {"reading_ratio": reading_ratio, "digits": 2, "step_v": 0.001}, "same_range": true,
                "rested_s": 2e5, "first_v": first_v, "second_v": second_v, "between_s": 2.592e6});
            number(&answer("measure_self_discharge", &test)["at_most_ratio"])
        };
        assert!(most(0.01) >= 0.999 * most(0.005), "{first_v} {second_v}");
    }
}

fn runtime(changes: &[(&str, &str)]) -> Value {
    let mut pack = json!({"chemistry": "nmc", "series": "3", "parallel": "2", "capacity_ah": "2.05 Ah",
        "resistance_ohm": "70 mΩ", "power_w": "9 W"});
    for (name, text) in changes {
        pack[*name] = json!(text);
    }
    pack
}

#[test]
fn a_reader_is_told_where_the_model_ends() {
    let code = "beyond_model".to_owned();
    assert!(codes(&answer("reader_runtime", &runtime(&[("ambient_degc", "-15 °C")])), "broken").contains(&code));
    assert!(!codes(&answer("reader_runtime", &runtime(&[])), "broken").contains(&code));
}

#[test]
fn a_count_of_cells_is_one_number() {
    for name in ["series", "parallel"] {
        for text in ["3..5", "3 ± 1", "2.5"] {
            assert_eq!(refused("reader_runtime", &runtime(&[(name, text)])), [format!("/{name}")], "{text}");
        }
    }
}

/// A knob is worked out for one supply; which one it was comes back.
#[test]
fn a_range_of_which_one_value_is_taken_says_so() {
    let taken = |supply_v: &str| {
        let answer = answer("reader_knob", &json!({"supply_v": supply_v, "frequency_hz": "200 Hz"}));
        answer["entries"].as_array().unwrap().iter().find(|entry| entry["field"] == "supply_v").unwrap()["taken"]
            .clone()
    };
    assert_eq!((taken("9..12.6 V"), taken("11.1 V")), (json!("10.8 V"), json!("")));
}

/// Readings that were swapped are not leads without resistance.
#[test]
fn a_load_above_its_pack_tells_nothing_of_the_leads() {
    let fit = |pack_v: f64| {
        json!({"label": {"current_a": 2, "at_v": 12, "exponent": 1}, "error_ratio": 0.01,
            "readings": [{"duty": 1, "load_v": 12.0, "pack_v": pack_v, "mean_a": 1.9}]})
    };
    assert_eq!(answer("fit_load", &fit(11.5))["lead_ohm"], Value::Null);
    // What the meters' error explains is told.
    assert_eq!(answer("fit_load", &fit(11.95))["lead_ohm"]["low"], 0.0);
}

fn worth(judged: &Value) -> u8 {
    match judged {
        Value::Bool(false) => 0,
        Value::Null => 1,
        _ => 2,
    }
}

/// Whatever is made worse turns nothing that was broken into something that is not, in any rating.
#[test]
fn a_fuse_in_a_worse_place_keeps_no_more() {
    const WORSE: [(&str, f64); 9] = [
        ("load_a", 1.2),
        ("surge_a", 1.3),
        ("surge_s", 2.0),
        ("wire_limit_a", 0.8),
        ("wire_withstand_a2s", 0.5),
        ("ambient_degc", 1.3),
        ("pack_v", 1.2),
        ("fault_high_a", 1.5),
        ("fault_low_a", 0.7),
    ];
    let draws = Draws::new(5, 16);
    for index in 0..400 {
        let between = |place: usize, low: f64, high: f64| low + (high - low) * draws.unit(index, place);
        let power = |place: usize, low: f64, high: f64| libm::exp10(between(place, low, high));
        let low_a = between(0, 5.0, 100.0);
        let families = ["blade", "large_blade", "tube_ul", "tube_iec"];
        let wish = json!({"family": families[(between(1, 0.0, 4.0) as usize).min(3)], "load_a": between(2, 0.1, 20.0),
            "surge_a": between(3, 1.0, 60.0), "surge_s": power(4, -3.0, 1.0), "wire_limit_a": between(5, 2.0, 40.0),
            "wire_withstand_a2s": power(6, 2.0, 6.0), "ambient_degc": between(7, 0.1, 60.0), "pack_v": between(8, 5.0, 40.0),
            "fault_low_a": low_a, "fault_high_a": low_a + power(9, 0.0, 3.2)});
        let before = answer("fuse", &wish);
        for (field, times) in WORSE {
            let mut worse = wish.clone();
            worse[field] = json!(number(&wish[field]) * times);
            let after = answer("fuse", &worse);
            let pairs = before["ratings"].as_array().unwrap().iter().zip(after["ratings"].as_array().unwrap());
            for (before, after) in pairs {
                for kept in ["carries", "holds_surge", "protects_wire", "breaks", "opens"] {
                    assert!(
                        worth(&after[kept]) <= worth(&before[kept]),
                        "{field}, {kept}: {before} to {after} in {wish}"
                    );
                }
            }
        }
    }
}
