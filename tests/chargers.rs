//! What charger a pack needs, and a pack on its charger.

use cellwright::ask::{Node, ask};
use cellwright::part::charger::{
    CellFamily, ChargeGroup, ChargeMethod, ChargerAnswer, ChargerNeed, ChargerWish, CurrentLimit, NoFigure,
};
use cellwright::quantity::Interval;

fn group(capacity_ah: f64) -> ChargeGroup {
    ChargeGroup { capacity_ah: Interval::around(capacity_ah, 0.05), charge_limit_a: None, found_v: Some(3.5) }
}

fn wish(family: CellFamily, groups: Vec<ChargeGroup>) -> ChargerWish {
    let cell_degc = Interval { low: 15.0, likely: 20.0, high: 30.0 };
    ChargerWish { family, groups, printed_limit_v: None, cell_degc, connector_a: None, wire_a: None, supply_a: None }
}

fn need(wish: &ChargerWish) -> ChargerNeed {
    match wish.answer().unwrap() {
        ChargerAnswer::Charge(need) => *need,
        other => panic!("{other:?}"),
    }
}

fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() < 1e-9 * (1.0 + expected.abs()), "{value} instead of {expected}");
}

#[test]
fn lithium_gets_series_times_cell_limit_and_the_weakest_groups_current() {
    let mut three = wish(CellFamily::LithiumIon, vec![group(4.4), group(4.0), group(4.8)]);
    let charger = need(&three);
    near(charger.voltage_v.unwrap(), 12.6);
    near(charger.voltage_most_v.unwrap(), 12.75);
    // Half of the low end of 4.0 Ah.
    near(charger.current_a, 1.9);
    near(charger.end_a.unwrap(), 0.19);
    assert_eq!((charger.weakest_group, charger.limited_by), (1, CurrentLimit::CellCapacity));
    assert!(!charger.pre_charge.unwrap().applies && charger.rapid.is_none());
    three.wire_a = Some(1.5);
    three.supply_a = Some(1.0);
    assert_eq!((need(&three).limited_by, need(&three).current_a), (CurrentLimit::Supply, 1.0));
    three.groups[2].charge_limit_a = Some(0.5);
    assert_eq!((need(&three).limited_by, need(&three).weakest_group), (CurrentLimit::CellSheet, 2));
    let iron = need(&wish(CellFamily::LithiumIronPhosphate, vec![group(3.0); 4]));
    near(iron.voltage_v.unwrap(), 14.6);
}

#[test]
fn cold_cells_take_less_and_below_freezing_there_is_no_figure() {
    let mut cold = wish(CellFamily::LithiumIon, vec![group(4.0)]);
    cold.cell_degc.low = 7.0;
    near(need(&cold).current_a, 0.2 * 3.8);
    cold.cell_degc.low = 2.0;
    near(need(&cold).current_a, 0.1 * 3.8);
    // A data sheet speaks of warm cells and does not lift the cold limit.
    cold.groups[0].charge_limit_a = Some(3.0);
    near(need(&cold).current_a, 0.1 * 3.8);
    for (low, high, why) in [(-0.1, 20.0, NoFigure::TooCold), (15.0, 45.1, NoFigure::TooHot)] {
        cold.cell_degc = Interval { low, likely: 17.0, high };
        assert!(matches!(cold.answer(), Ok(ChargerAnswer::NoFigure { why: given, .. }) if given == why));
    }
}

#[test]
fn a_cell_found_under_two_volts_is_recycled_in_both_lithium_families() {
    for family in [CellFamily::LithiumIon, CellFamily::LithiumIronPhosphate] {
        let mut low = wish(family, vec![group(4.0); 3]);
        low.groups[2].found_v = Some(1.999);
        let answer = low.answer().unwrap();
        assert!(matches!(answer, ChargerAnswer::Recycle { group: 2, under_v: 2.0, .. }), "{answer:?}");
        low.groups[2].found_v = Some(2.6);
        let applies = need(&low).pre_charge.unwrap().applies;
        assert_eq!(applies, family == CellFamily::LithiumIon);
    }
    let mut nickel = wish(CellFamily::NickelMetalHydride, vec![group(2.0); 10]);
    nickel.groups[0].found_v = Some(0.9);
    assert!(matches!(nickel.answer(), Ok(ChargerAnswer::Charge(_))));
}

#[test]
fn cells_sold_for_4_35_v_are_charged_to_4_20_v_and_a_lower_print_counts() {
    let mut printed = wish(CellFamily::LithiumIon, vec![group(4.0); 3]);
    printed.printed_limit_v = Some(4.35);
    let charger = need(&printed);
    near(charger.voltage_v.unwrap(), 12.6);
    near(charger.voltage_most_v.unwrap(), 12.75);
    assert!(charger.print_asks_more);
    printed.printed_limit_v = Some(4.1);
    let charger = need(&printed);
    near(charger.voltage_v.unwrap(), 12.3);
    near(charger.voltage_most_v.unwrap(), 12.45);
    assert!(!charger.print_asks_more);
}

#[test]
fn lead_acid_follows_the_temperature_and_nickel_the_clock() {
    let mut block = wish(CellFamily::LeadAcid, vec![group(7.0); 6]);
    block.cell_degc = Interval { low: 20.0, likely: 25.0, high: 25.0 };
    let at_25 = need(&block);
    near(at_25.voltage_v.unwrap(), 14.5);
    near(at_25.float_v.unwrap(), 13.6);
    block.cell_degc = Interval { low: 20.0, likely: 35.0, high: 35.0 };
    let at_35 = need(&block);
    near(at_35.voltage_v.unwrap(), 14.2);
    near(at_35.float_v.unwrap(), 13.4);
    assert!(at_35.voltage_most_v < at_25.voltage_most_v);
    let mut nickel = wish(CellFamily::NickelMetalHydride, vec![group(2.0); 10]);
    nickel.groups[3].charge_limit_a = Some(2.0);
    let charger = need(&nickel);
    assert_eq!(charger.method, ChargeMethod::CurrentByClock);
    assert!(charger.voltage_v.is_none());
    near(charger.current_a, 0.19);
    near(charger.end_s.unwrap(), 57600.0);
    near(charger.rapid.unwrap().drop_v, 0.05);
    nickel.supply_a = Some(0.095);
    near(need(&nickel).end_s.unwrap(), 115200.0);
}

#[test]
fn nobody_knows_the_cell_so_there_is_no_figure() {
    let answer = wish(CellFamily::Unidentified, vec![group(2.0)]).answer().unwrap();
    assert_eq!(answer, ChargerAnswer::NoFigure { why: NoFigure::Unidentified, limit_degc: None });
}

#[test]
fn every_wrong_value_is_named_with_its_place() {
    let mut wrong = wish(CellFamily::LithiumIon, vec![group(2.0), group(-1.0)]);
    wrong.groups[1].found_v = Some(f64::INFINITY);
    wrong.supply_a = Some(f64::NAN);
    let paths: Vec<String> = wrong.answer().unwrap_err().iter().map(cellwright::Error::path).collect();
    assert_eq!(paths, ["/groups/1/capacity_ah", "/groups/1/found_v", "/supply_a"]);
    wrong.groups.clear();
    assert_eq!(wrong.answer().unwrap_err()[0].field(), "groups");
}

/// A 3S1P pack of 2 Ah cells on a charger; the second group has `second_ah`.
fn charge_text(second_ah: f64, kind: &str, start: &str, diode: &str) -> String {
    let cell = |ah: f64| {
        format!(
            r#"{{"cells": [{{"name": "c", "chemistry": "nmc",
            "capacity": {{"capacity_ah": {{"low": {}, "likely": {ah}, "high": {}}}, "start_v": 4.2, "end_v": 2.75,
                "current_a": 0.5, "cell_degc": 23}},
            "resistance": {{"resistance_ohm": {{"low": 0.06, "likely": 0.07, "high": 0.08}}, "leads": "four_wire",
                "method": {{"dc": {{"after_s": 1, "current_a": 1}}}}, "cell_degc": 23, "soc_ratio": 0.5}}}}]}}"#,
            ah * 0.97,
            ah * 1.03
        )
    };
    format!(
        r#"{{"own_chemistries": [], "pack": {{"groups": [{}, {}, {}],
        "link_ohm": {{"low": 0.005, "likely": 0.01, "high": 0.02}}, "full_v": 4.2, "floor_v": 3.0}},
        "start": {start}, "charger": {{"name": "bench", "kind": "{kind}",
            "voltage_v": {{"low": 12.55, "likely": 12.6, "high": 12.65}},
            "current_a": {{"low": 0.95, "likely": 1.0, "high": 1.05}}}},
        "lead_ohm": {{"low": 0.05, "likely": 0.1, "high": 0.2}}, {diode}
        "ambient_degc": {{"low": 18, "likely": 22, "high": 28}}}}"#,
        cell(2.0),
        cell(second_ah),
        cell(2.0)
    )
}

fn number(answer: &Node, path: &[&str]) -> f64 {
    let end = path.iter().fold(answer, |node, key| node.get(key).unwrap_or_else(|| panic!("{key}")));
    match end {
        Node::Number(value) => *value,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_charge_takes_an_interval_of_time_and_ends_by_itself() {
    let answer = ask("charge", &charge_text(2.0, "cc_cv", "\"empty\"", "")).unwrap();
    let time = |end| number(&answer, &["time_s", end]);
    assert!(time("low") < time("likely") && time("likely") < time("high"));
    // 2 Ah at 1 A takes two hours and the tail on top.
    assert!(time("likely") > 7200.0 && time("likely") < 11000.0, "{}", time("likely"));
    assert_eq!(answer.get("likely").unwrap().get("ended_by"), Some(&Node::Text("end_current".into())));
    assert!(number(&answer, &["highest_group_v"]) < number(&answer, &["limit_v"]));
}

#[test]
fn groups_that_were_full_together_stay_together_and_those_empty_together_do_not() {
    let together = ask("charge", &charge_text(1.6, "cc_cv", r#"{"drawn": {"charge_ah": 1.3}}"#, "")).unwrap();
    assert!(number(&together, &["highest_group_v"]) < 4.25);
    let apart = ask("charge", &charge_text(1.6, "cc_cv", "\"empty\"", "")).unwrap();
    assert!(number(&apart, &["highest_group_v"]) > 4.3);
    assert_eq!(number(&apart, &["likely", "highest_group"]), 1.0);
    let measured = charge_text(2.0, "cc_cv", r#"{"rest_v": {"group_v": [3.6, 3.9, 3.6]}}"#, "");
    assert!(number(&ask("charge", &measured).unwrap(), &["highest_group_v"]) > 4.3);
}

#[test]
fn a_diode_in_the_path_leaves_the_pack_short_of_full() {
    let start = r#"{"drawn": {"charge_ah": 1.0}}"#;
    let plain = ask("charge", &charge_text(2.0, "cc_cv", start, "")).unwrap();
    let diode = r#""diode_v": {"low": 0.2, "likely": 0.3, "high": 0.4},"#;
    let diode = ask("charge", &charge_text(2.0, "cc_cv", start, diode)).unwrap();
    let charged = |answer: &Node| number(answer, &["likely", "charged_ah"]);
    assert!(charged(&diode) < charged(&plain) - 0.05, "{} {}", charged(&diode), charged(&plain));
}

#[test]
fn a_voltage_supply_starts_with_many_times_the_current() {
    let answer = ask("charge", &charge_text(2.0, "voltage_supply", "\"empty\"", "")).unwrap();
    assert!(number(&answer, &["fastest", "peak_a"]) > 5.0);
}

#[test]
fn wrong_charges_are_told_with_their_place() {
    let path = |text: &str| ask("charge", text).unwrap_err()[0].path();
    let drawn = charge_text(2.0, "cc_cv", r#"{"drawn": {"charge_ah": 5}}"#, "");
    assert_eq!(path(&drawn), "/start/drawn/charge_ah");
    let short = charge_text(2.0, "cc_cv", r#"{"rest_v": {"group_v": [3.6, 9]}}"#, "");
    let paths: Vec<String> = ask("charge", &short).unwrap_err().iter().map(cellwright::Error::path).collect();
    assert_eq!(paths, ["/start/rest_v/group_v", "/start/rest_v/group_v/1"]);
    let without =
        charge_text(2.0, "cc_cv", "\"empty\"", "").replace(r#""current_a": {"low": 0.95"#, r#""x": {"low": 0.95"#);
    assert!(ask("charge", &without).is_err());
}
