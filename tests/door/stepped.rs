//! Questions that are asked in steps, with invented cells and the counts of the steps; the last step ends each.

/// Question, input, counts.
pub(crate) const CASES: [(&str, &str, &[f64]); 5] = [
    (
        "match",
        r#"{"cells": [{"name": "c0", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 2.16519, "likely": 2.18519, "high": 2.20519}}, {"name": "c1", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 2.29597, "likely": 2.31597, "high": 2.33597}}, {"name": "c2", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 2.35471, "likely": 2.37471, "high": 2.39471}}, {"name": "c3", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 2.5167, "likely": 2.5367, "high": 2.5567}}, {"name": "c4", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 2.29389, "likely": 2.31389, "high": 2.33389}}, {"name": "c5", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 2.49456, "likely": 2.51456, "high": 2.53456}}, {"name": "c6", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 1.51191, "likely": 1.53191, "high": 1.55191}}, {"name": "c7", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 1.99218, "likely": 2.01218, "high": 2.03218}}, {"name": "c8", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 2.51769, "likely": 2.53769, "high": 2.55769}}, {"name": "c9", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 2.19387, "likely": 2.21387, "high": 2.23387}}, {"name": "c10", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 2.47099, "likely": 2.49099, "high": 2.51099}}, {"name": "c11", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 1.60453, "likely": 1.62453, "high": 1.64453}}, {"name": "c12", "chemistry": "nmc", "model": "blue wrap", "capacity_ah": {"low": 1.99598, "likely": 2.01598, "high": 2.03598}}], "series": 3, "parallel": 4, "effort_nodes": 1500000}"#,
        &[1.0, 500.0, 1_499_499.0],
    ),
    (
        "runtime_spread",
        r#"{"run": {"pack": {"groups": [{"cells": [{"name": "A1", "chemistry": "nmc", "capacity": {"capacity_ah": {"low": 1.94, "likely": 2.0, "high": 2.06}, "start_v": 4.2, "end_v": 2.8, "current_a": 0.5, "cell_degc": 25}, "resistance": {"resistance_ohm": {"low": 0.054, "likely": 0.06, "high": 0.066}, "method": {"dc": {"after_s": 10, "current_a": 1}}, "leads": "four_wire", "cell_degc": 25, "soc_ratio": 0.5}, "rest_v": null}, {"name": "A2", "chemistry": "nmc", "capacity": {"capacity_ah": {"low": 2.037, "likely": 2.1, "high": 2.163}, "start_v": 4.2, "end_v": 2.8, "current_a": 0.5, "cell_degc": 25}, "resistance": {"resistance_ohm": {"low": 0.0585, "likely": 0.065, "high": 0.0715}, "method": {"dc": {"after_s": 10, "current_a": 1}}, "leads": "four_wire", "cell_degc": 25, "soc_ratio": 0.5}, "rest_v": null}]}, {"cells": [{"name": "A4", "chemistry": "nmc", "capacity": {"capacity_ah": {"low": 2.134, "likely": 2.2, "high": 2.266}, "start_v": 4.2, "end_v": 2.8, "current_a": 0.5, "cell_degc": 25}, "resistance": {"resistance_ohm": {"low": 0.0585, "likely": 0.065, "high": 0.0715}, "method": {"dc": {"after_s": 10, "current_a": 1}}, "leads": "four_wire", "cell_degc": 25, "soc_ratio": 0.5}, "rest_v": null}, {"name": "A5", "chemistry": "nmc", "capacity": {"capacity_ah": {"low": 2.231, "likely": 2.3, "high": 2.369}, "start_v": 4.2, "end_v": 2.8, "current_a": 0.5, "cell_degc": 25}, "resistance": {"resistance_ohm": {"low": 0.063, "likely": 0.07, "high": 0.077}, "method": {"dc": {"after_s": 10, "current_a": 1}}, "leads": "four_wire", "cell_degc": 25, "soc_ratio": 0.5}, "rest_v": null}]}, {"cells": [{"name": "A7", "chemistry": "nmc", "capacity": {"capacity_ah": {"low": 1.94, "likely": 2.0, "high": 2.06}, "start_v": 4.2, "end_v": 2.8, "current_a": 0.5, "cell_degc": 25}, "resistance": {"resistance_ohm": {"low": 0.063, "likely": 0.07, "high": 0.077}, "method": {"dc": {"after_s": 10, "current_a": 1}}, "leads": "four_wire", "cell_degc": 25, "soc_ratio": 0.5}, "rest_v": null}, {"name": "A8", "chemistry": "nmc", "capacity": {"capacity_ah": {"low": 2.037, "likely": 2.1, "high": 2.163}, "start_v": 4.2, "end_v": 2.8, "current_a": 0.5, "cell_degc": 25}, "resistance": {"resistance_ohm": {"low": 0.054, "likely": 0.06, "high": 0.066}, "method": {"dc": {"after_s": 10, "current_a": 1}}, "leads": "four_wire", "cell_degc": 25, "soc_ratio": 0.5}, "rest_v": null}]}], "link_ohm": {"low": 0.002, "likely": 0.005, "high": 0.01}, "full_v": 4.15, "floor_v": 3.1}, "loads": [{"name": "watering pump", "draw": {"follows_voltage": {"power_w": {"low": 9, "likely": 10, "high": 11}, "at_v": 12, "exponent": 2}}, "duty": 1, "chopped": false, "drop_out_v": 7.5}], "lead_ohm": {"low": 0.03, "likely": 0.05, "high": 0.08}, "ambient_degc": {"low": 5, "likely": 18, "high": 28}, "cut_off_v": 2.5, "own_chemistries": []}, "seed": 1, "draws": 100}"#,
        &[1.0, 30.0, 1000.0],
    ),
    ("plan", include_str!("../plans/watering-pump.json"), &[1.0, 4.0, 1000.0]),
    (
        "compare_plans",
        concat!(
            r#"{"before": "#,
            include_str!("../plans/watering-pump.json"),
            r#", "after": "#,
            include_str!("../plans/market-stall-lamp.json"),
            "}"
        ),
        &[1.0, 4.0, 1000.0],
    ),
    ("parts_list", include_str!("../plans/watering-pump.json"), &[1.0, 4.0, 1000.0]),
];
