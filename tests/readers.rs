//! Short answers say what the whole questions say, and lose no entry.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)] // a test fails by panicking

use cellwright::ask::ask;
use serde_json::{Value, json};

fn told(question: &str, input: &Value) -> Result<Value, Vec<cellwright::Error>> {
    ask(question, &input.to_string()).map(|answer| serde_json::to_value(answer).unwrap())
}

fn line<'a>(answer: &'a Value, key: &str) -> &'a Value {
    answer["lines"].as_array().unwrap().iter().find(|line| line["key"] == key).unwrap()
}

fn value(answer: &Value, key: &str) -> f64 {
    line(answer, key)["value"]["likely"].as_f64().unwrap()
}

fn wire() -> Value {
    json!({"length_m": "2 m", "area_mm2": "0,75 mm²", "current_a": "3 ± 0.5 A", "supply_v": "10..12 V",
        "ambient_degc": "10..35 °C", "lies": "surface", "joints_ohm": "20 mΩ"})
}

#[test]
fn a_wire_says_what_the_law_says_at_the_worse_ends() {
    let short = told("reader_wire", &wire()).unwrap();
    let run = json!({"name": "x", "length_m": 2.0, "conductor": {"mm2": {"area_mm2": 0.75}}, "metal": null,
        "strands": null, "parallel": null, "way": null, "lies": "surface",
        "joints_ohm": {"low": 0.02, "likely": 0.02, "high": 0.02}, "insulation_degc": 70.0, "wanted_drop_ratio": 0.03});
    let question =
        json!({"run": run, "rms_a": 3.5, "on_a": null, "ambient_degc": 35.0, "supply_v": 10.0, "cooling": null});
    let whole = told("wire_run", &question).unwrap();
    assert_eq!(value(&short, "drop_v"), whole["drop_v"]["high"].as_f64().unwrap());
    assert_eq!(value(&short, "drop_ratio"), whole["drop_ratio"]["high"].as_f64().unwrap());
    assert_eq!(value(&short, "limit_a"), whole["limit"]["current_a"].as_f64().unwrap());
    assert_eq!(value(&short, "conductor_degc"), whole["conductor_degc"].as_f64().unwrap());
    // Without a fuse nothing is ready, and too much drop is told.
    assert_eq!(short["verdict"], "not_judged");
    let codes: Vec<_> = short["findings"].as_array().unwrap().iter().map(|finding| &finding["code"]).collect();
    assert_eq!(codes, ["no_fuse", "wire_drop"]);
}

#[test]
fn a_gauge_is_looked_up_as_a_gauge() {
    let with = |area: &str| {
        let mut input = wire();
        input["area_mm2"] = area.into();
        told("reader_wire", &input)
    };
    assert!(value(&with("AWG 14").unwrap(), "limit_a") > 10.0);
    for text in ["20 awg", "awg20"] {
        assert_eq!(with(text).unwrap()["lines"], with("AWG 20").unwrap()["lines"]);
    }
    assert!(with("AWG 99").is_err());
    // A cross-section that is uncertain counts as the thinner one.
    assert!(value(&with("0.5..1 mm²").unwrap(), "drop_v") > value(&with("0.75 mm²").unwrap(), "drop_v"));
}

#[test]
fn a_fuse_above_the_wire_stops_and_one_of_unknown_kind_is_not_judged() {
    let with = |fuse_a: &str, family: Option<&str>| {
        let mut input = wire();
        input["fuse_a"] = fuse_a.into();
        input["fuse_family"] = family.into();
        input["wanted_drop_ratio"] = "20 %".into();
        told("reader_wire", &input).unwrap()["verdict"].clone()
    };
    assert_eq!(with("7.5 A", Some("blade")), "ready");
    assert_eq!(with("7.5 A", None), "not_judged");
    assert_eq!(with("30 A", Some("blade")), "stop");
    assert_eq!(with("30 A", None), "stop");
}

fn runtime() -> Value {
    json!({"chemistry": "nmc", "series": "3", "parallel": "2", "capacity_ah": "2.05 Ah", "resistance_ohm": "70 mΩ",
        "power_w": "9 W"})
}

#[test]
fn a_runtime_promises_less_where_less_is_known() {
    let at_least = |field: &str, text: &str| {
        let mut input = runtime();
        input[field] = text.into();
        value(&told("reader_runtime", &input).unwrap(), "at_least")
    };
    let usual = value(&told("reader_runtime", &runtime()).unwrap(), "at_least");
    assert!(at_least("capacity_ah", "2.05 Ah ± 10 %") < usual);
    assert!(at_least("capacity_ah", "2.05 Ah ± 1 %") > usual);
    assert!(at_least("resistance_ohm", "140 mΩ") < usual);
    assert!(at_least("power_w", "9 ± 3 W") < usual);
    assert!(at_least("ambient_degc", "0..30 °C") < usual);
    assert!(at_least("lead_ohm", "0.5 Ω") < usual);
    let answer = told("reader_runtime", &runtime()).unwrap();
    assert!(usual < value(&answer, "likely") && value(&answer, "likely") < value(&answer, "at_most"));
}

#[test]
fn a_cell_beyond_its_current_stops_by_its_sheet_or_by_practice() {
    let verdict = |limit: Option<&str>, power: &str| {
        let mut input = runtime();
        input["discharge_limit_a"] = limit.into();
        input["power_w"] = power.into();
        told("reader_runtime", &input).unwrap()["verdict"].clone()
    };
    assert_eq!(verdict(None, "9 W"), "ready");
    assert_eq!(verdict(Some("0.3 A"), "9 W"), "stop");
    assert_eq!(verdict(None, "150 W"), "stop");
}

#[test]
fn what_was_taken_instead_of_an_entry_comes_back() {
    let answer = told("reader_runtime", &runtime()).unwrap();
    let entry =
        |field: &str| answer["entries"].as_array().unwrap().iter().find(|entry| entry["field"] == field).unwrap();
    assert_eq!(entry("capacity_ah")["taken"], "1.95 Ah – 2.15 Ah");
    assert_eq!(entry("lead_ohm")["taken"], "20.0 mΩ – 100 mΩ");
    assert_eq!(entry("series")["taken"], "");
}

#[test]
fn a_plan_in_short_has_the_verdict_of_the_whole() {
    for plan in [
        include_str!("plans/watering-pump.json"),
        include_str!("plans/seed-drying-blower.json"),
        include_str!("plans/market-stall-lamp.json"),
    ] {
        let short = serde_json::to_value(ask("reader_plan", plan).unwrap()).unwrap();
        let whole = serde_json::to_value(ask("plan", plan).unwrap()).unwrap();
        assert_eq!(short["verdict"], whole["verdict"]);
        assert_eq!(short["findings"], whole["findings"]);
        assert_eq!(line(&short, "at_least")["value"]["low"], whole["runtime"]["runtime_s"]["low"]);
    }
}

#[test]
fn every_cell_is_in_a_group_or_left_out_and_every_mistake_has_its_line() {
    let bin = |cells: &str| {
        told("reader_cells", &json!({"cells": cells, "chemistry": "lfp", "series": "2", "parallel": "2"}))
    };
    let answer = bin("A | 1.5 Ah | 40 mΩ\n\nB | 1,4 Ah\nC\t1.3 Ah\r\nD | 1200 mAh; E | 1.1 Ah").unwrap();
    let lines = answer["lines"].as_array().unwrap();
    let grouped: Vec<&str> =
        lines.iter().filter(|line| line["key"] == "group_cells").map(|line| line["words"].as_str().unwrap()).collect();
    let left: Vec<&str> =
        lines.iter().filter(|line| line["key"] == "left_out").map(|line| line["of"].as_str().unwrap()).collect();
    let mut names: Vec<&str> = grouped.iter().flat_map(|group| group.split(", ")).chain(left).collect();
    names.sort_unstable();
    assert_eq!(names, ["A", "B", "C", "D", "E"]);
    let errors = bin("A | 1.5 Ah; B | ; C | 1.3 Ah | heavy; D | 1 | 2 | 3 % | m | more").unwrap_err();
    let places: Vec<_> = errors.iter().map(cellwright::Error::path).collect();
    assert_eq!(places, ["/cells/1/capacity_ah", "/cells/2/resistance_ohm", "/cells/3"]);
    assert!(bin(&"A | 1 Ah;".repeat(201)).is_err());
    assert_eq!(bin(" \n;").unwrap_err()[0].path(), "/cells");
}

#[test]
fn a_knob_says_what_is_not_met() {
    let knob = |frequency: &str, duty: &str| {
        told("reader_knob", &json!({"supply_v": "11.1 V", "frequency_hz": frequency, "duty": duty})).unwrap()
    };
    let met = knob("200 Hz", "10 % .. 90 %");
    assert_eq!(met["verdict"], Value::Null);
    assert!(met["lines"].as_array().unwrap().iter().all(|line| line["key"] != "unmet"));
    let errors = told("reader_knob", &json!({"supply_v": "11.1 V", "frequency_hz": "900 kHz"})).unwrap_err();
    assert!(!errors.is_empty() && errors.iter().all(|error| error.path() == "/frequency_hz"));
    let unmet = knob("50 kHz", "0.1 % .. 99.9 %");
    assert!(unmet["lines"].as_array().unwrap().iter().any(|line| line["key"] == "unmet"));
}
