//! The rules about charging: each broken once, not judged once, and softened by the other end of its interval.

use cellwright::finding::charging::{ChargeTerminals, ChargingFacts, GroupCutOff, OtherSupply, rules};
use cellwright::part::charger::{CellFamily, ChargeGroup, Charger, ChargerKind};
use cellwright::quantity::Interval;
use cellwright::{Finding, Judgement, Urgency};

const fn span(low: f64, high: f64) -> Interval {
    Interval { low, likely: 0.5 * (low + high), high }
}

/// The market-stall lamp: 3S2P, a board that cuts and evens out, a charger for it.
fn sound() -> ChargingFacts {
    let group = ChargeGroup { capacity_ah: span(3.8, 4.2), charge_limit_a: None, found_v: Some(3.4) };
    ChargingFacts {
        name: "stall lamp pack".into(),
        family: CellFamily::LithiumIon,
        groups: vec![group; 3],
        printed_limit_v: Some(4.2),
        charger: Some(Charger {
            name: "12.6 V charger".into(),
            kind: ChargerKind::CcCv,
            voltage_v: span(12.5, 12.7),
            current_a: Some(span(0.9, 1.1)),
            end_a: Some(0.1),
        }),
        cell_degc: Some(span(15.0, 30.0)),
        terminals: Some(ChargeTerminals::Board),
        group_cut_off: Some(GroupCutOff::EachGroup { cut_off_v: span(4.25, 4.35) }),
        balancing: Some(true),
        drift_per_cycle_ratio: None,
        cycles: None,
        connector_a: Some(5.0),
        wire_a: Some(5.0),
        polarity_checked: Some(true),
        live_bare_pin: Some(false),
        other_supplies: Some(vec![]),
        diode_v: None,
        load_a: Some(Interval::exact(0.0)),
        closed_box: None,
        attended: Some(true),
    }
}

fn findings(facts: &ChargingFacts) -> Vec<Finding> {
    facts.review().unwrap().findings
}

fn broken(facts: &ChargingFacts) -> Vec<&'static str> {
    findings(facts)
        .iter()
        .filter(|finding| finding.judgement == Judgement::Broken)
        .map(|finding| finding.code)
        .collect()
}

fn with(change: impl FnOnce(&mut ChargingFacts)) -> ChargingFacts {
    let mut facts = sound();
    change(&mut facts);
    facts
}

fn charger(change: impl FnOnce(&mut Charger)) -> ChargingFacts {
    with(|facts| change(facts.charger.as_mut().unwrap()))
}

#[test]
fn a_sound_pack_only_tells_what_to_know() {
    let found = findings(&sound());
    assert_eq!(found.iter().map(|finding| finding.code).collect::<Vec<_>>(), ["charge_two_wires_watched"]);
    assert_eq!(found[0].urgency, Urgency::Know);
}

#[test]
fn each_rule_is_broken_by_its_own_condition() {
    let cases: Vec<(&str, Urgency, ChargingFacts)> = vec![
        ("charge_unidentified", Urgency::Stop, with(|f| f.family = CellFamily::Unidentified)),
        ("charge_given_up", Urgency::Stop, with(|f| f.groups[1].found_v = Some(1.9))),
        ("charge_found_low", Urgency::Know, with(|f| f.groups[1].found_v = Some(2.9))),
        ("charge_cold", Urgency::Stop, with(|f| f.cell_degc = Some(span(-1.0, 20.0)))),
        ("charge_hot", Urgency::Stop, with(|f| f.cell_degc = Some(span(20.0, 46.0)))),
        ("charge_print_asks_more", Urgency::Know, with(|f| f.printed_limit_v = Some(4.35))),
        ("charge_current_high", Urgency::MendFirst, charger(|c| c.current_a = Some(span(1.5, 2.0)))),
        ("charge_current_far", Urgency::Stop, charger(|c| c.current_a = Some(span(1.5, 4.0)))),
        ("charge_jack", Urgency::MendFirst, with(|f| f.connector_a = Some(1.0))),
        ("charge_wire", Urgency::MendFirst, with(|f| f.wire_a = Some(1.0))),
        ("charge_no_group_cut_off", Urgency::Stop, with(|f| f.group_cut_off = Some(GroupCutOff::None))),
        ("charge_no_balancing", Urgency::MendFirst, with(|f| f.balancing = Some(false))),
        (
            "charge_cut_off_high",
            Urgency::Stop,
            with(|f| f.group_cut_off = Some(GroupCutOff::EachGroup { cut_off_v: span(4.3, 4.4) })),
        ),
        (
            "charge_cut_off_low",
            Urgency::Know,
            with(|f| f.group_cut_off = Some(GroupCutOff::EachGroup { cut_off_v: span(4.1, 4.25) })),
        ),
        ("charge_straight_to_cells", Urgency::Stop, with(|f| f.terminals = Some(ChargeTerminals::Cells))),
        ("charge_supply_is_no_charger", Urgency::Stop, charger(|c| c.kind = ChargerKind::VoltageSupply)),
        ("charge_charger_unknown", Urgency::Stop, charger(|c| c.kind = ChargerKind::Unknown)),
        ("charge_no_voltage_limit", Urgency::Stop, charger(|c| c.kind = ChargerKind::CurrentOnly)),
        ("charge_voltage_high", Urgency::Stop, charger(|c| c.voltage_v = span(12.6, 12.8))),
        ("charge_voltage_low", Urgency::Know, charger(|c| c.voltage_v = span(12.0, 12.7))),
        (
            "charge_other_supply_fits",
            Urgency::Stop,
            with(|f| f.other_supplies = Some(vec![OtherSupply { name: "laptop supply".into(), voltage_v: 19.0 }])),
        ),
        ("charge_polarity_unchecked", Urgency::Stop, with(|f| f.polarity_checked = Some(false))),
        ("charge_live_bare_pin", Urgency::Stop, with(|f| f.live_bare_pin = Some(true))),
        ("charge_diode", Urgency::Know, with(|f| f.diode_v = Some(span(0.2, 0.5)))),
        ("charge_end_low", Urgency::MendFirst, charger(|c| c.end_a = Some(0.02))),
        ("charge_load_running", Urgency::MendFirst, with(|f| f.load_a = Some(span(0.05, 0.3)))),
        ("charge_unattended", Urgency::MendFirst, with(|f| f.attended = Some(false))),
    ];
    for (code, urgency, facts) in cases {
        let all = findings(&facts);
        let found = all.iter().find(|finding| finding.code == code).unwrap_or_else(|| panic!("{code} is missing"));
        assert_eq!((found.urgency, found.judgement), (urgency, Judgement::Broken), "{code}");
        assert!(!found.words.contains('{'), "{}", found.words);
        // Nothing else is broken by the same change but the note about two wires, and what an unknown cell hides.
        let others: Vec<_> = broken(&facts).into_iter().filter(|other| *other != code).collect();
        assert!(others.iter().all(|other| *other == "charge_two_wires_watched"), "{code}: {others:?}");
    }
}

#[test]
fn other_families_have_rules_of_their_own() {
    let one = with(|f| {
        f.groups.truncate(1);
        f.group_cut_off = Some(GroupCutOff::None);
        f.charger.as_mut().unwrap().voltage_v = span(4.15, 4.23);
    });
    assert_eq!(broken(&one), ["charge_only_charger_ends"]);
    let nickel = |kind| {
        with(|f| {
            f.family = CellFamily::NickelMetalHydride;
            let charger = f.charger.as_mut().unwrap();
            (charger.kind, charger.current_a) = (kind, Some(span(0.3, 0.38)));
        })
    };
    assert_eq!(broken(&nickel(ChargerKind::CcCv)), ["charge_nickel_by_voltage"]);
    assert!(broken(&nickel(ChargerKind::CurrentOnly)).is_empty());
    let mut rapid = nickel(ChargerKind::DropDetecting);
    rapid.charger.as_mut().unwrap().current_a = Some(span(2.4, 3.0));
    assert!(broken(&rapid).is_empty());
    rapid.charger.as_mut().unwrap().kind = ChargerKind::CurrentOnly;
    assert_eq!(broken(&rapid), ["charge_current_far"]);
    rapid.cell_degc = Some(span(-2.0, 20.0));
    assert!(broken(&rapid).contains(&"charge_cold_other"));
    let lead = with(|f| {
        f.family = CellFamily::LeadAcid;
        f.groups = vec![f.groups[0]; 6];
        f.charger.as_mut().unwrap().voltage_v = span(14.4, 14.6);
        f.charger.as_mut().unwrap().current_a = Some(span(0.5, 0.9));
        f.closed_box = Some(true);
        f.cell_degc = Some(span(5.0, 35.0));
    });
    assert_eq!(broken(&lead), ["charge_closed_box", "charge_not_compensated"]);
}

#[test]
fn a_missing_answer_is_named_and_never_passes() {
    type Change = fn(&mut ChargingFacts);
    let cases: [(&str, &str, Change); 13] = [
        ("charge_given_up", "groups/0/found_v", |f| f.groups[0].found_v = None),
        ("charge_cold", "cell_degc", |f| f.cell_degc = None),
        ("charge_hot", "cell_degc", |f| f.cell_degc = None),
        ("charge_supply_is_no_charger", "charger", |f| f.charger = None),
        ("charge_voltage_high", "charger", |f| f.charger = None),
        ("charge_straight_to_cells", "terminals", |f| f.terminals = None),
        ("charge_no_group_cut_off", "group_cut_off", |f| f.group_cut_off = None),
        ("charge_no_balancing", "balancing", |f| f.balancing = None),
        ("charge_other_supply_fits", "other_supplies", |f| f.other_supplies = None),
        ("charge_polarity_unchecked", "polarity_checked", |f| f.polarity_checked = None),
        ("charge_live_bare_pin", "live_bare_pin", |f| f.live_bare_pin = None),
        ("charge_load_running", "load_a", |f| f.load_a = None),
        ("charge_wire", "wire_a", |f| f.wire_a = None),
    ];
    for (code, needs, change) in cases {
        let all = findings(&with(change));
        let found = all.iter().find(|finding| finding.code == code).unwrap_or_else(|| panic!("{code} is missing"));
        assert_eq!((found.judgement, found.needs.as_str()), (Judgement::NotJudged, needs), "{code}");
    }
}

#[test]
fn the_other_end_of_each_interval_softens_its_finding() {
    let softer: Vec<(&str, ChargingFacts, ChargingFacts)> = vec![
        (
            "charge_cold",
            with(|f| f.cell_degc = Some(span(-3.0, 20.0))),
            with(|f| f.cell_degc = Some(Interval::exact(20.0))),
        ),
        (
            "charge_hot",
            with(|f| f.cell_degc = Some(span(20.0, 50.0))),
            with(|f| f.cell_degc = Some(Interval::exact(20.0))),
        ),
        (
            "charge_voltage_high",
            charger(|c| c.voltage_v = span(12.6, 12.9)),
            charger(|c| c.voltage_v = Interval::exact(12.6)),
        ),
        (
            "charge_voltage_low",
            charger(|c| c.voltage_v = span(12.2, 12.6)),
            charger(|c| c.voltage_v = Interval::exact(12.6)),
        ),
        (
            "charge_current_high",
            charger(|c| c.current_a = Some(span(1.0, 2.5))),
            charger(|c| c.current_a = Some(Interval::exact(1.0))),
        ),
        (
            "charge_current_high",
            charger(|c| c.current_a = Some(Interval::exact(2.0))),
            with(|f| {
                f.charger.as_mut().unwrap().current_a = Some(Interval::exact(2.0));
                f.groups.iter_mut().for_each(|group| group.capacity_ah = Interval::exact(4.2));
            }),
        ),
        (
            "charge_cut_off_high",
            with(|f| f.group_cut_off = Some(GroupCutOff::EachGroup { cut_off_v: span(4.3, 4.5) })),
            with(|f| f.group_cut_off = Some(GroupCutOff::EachGroup { cut_off_v: Interval::exact(4.3) })),
        ),
        (
            "charge_load_running",
            with(|f| f.load_a = Some(span(0.0, 0.2))),
            with(|f| f.load_a = Some(Interval::exact(0.0))),
        ),
    ];
    for (code, hard, soft) in softer {
        assert!(broken(&hard).contains(&code), "{code} is missing");
        assert!(!broken(&soft).contains(&code), "{code} stays");
    }
    let drift = |ratio: Interval| {
        let facts = with(|f| (f.balancing, f.drift_per_cycle_ratio) = (Some(false), Some(ratio)));
        findings(&facts).iter().find(|finding| finding.code == "charge_no_balancing").unwrap().measured.unwrap()
    };
    assert!((drift(span(0.0001, 0.002)) - 0.1).abs() < 1e-12);
    assert!(drift(Interval::exact(0.0001)) < 0.01);
}

#[test]
fn a_stop_does_not_hide_another() {
    let facts = with(|f| {
        f.groups[0].found_v = Some(1.0);
        f.cell_degc = Some(span(-5.0, 60.0));
        f.charger.as_mut().unwrap().voltage_v = span(18.5, 19.5);
        f.terminals = Some(ChargeTerminals::Cells);
        f.group_cut_off = Some(GroupCutOff::None);
    });
    let found = broken(&facts);
    for code in ["charge_given_up", "charge_cold", "charge_hot", "charge_voltage_high", "charge_straight_to_cells"] {
        assert!(found.contains(&code), "{code}: {found:?}");
    }
    let driven = findings(&facts).into_iter().find(|finding| finding.code == "charge_no_group_cut_off").unwrap();
    // 19.5 V less two groups at 3.7 V.
    assert!((driven.measured.unwrap() - 12.1).abs() < 1e-9 && driven.limit == Some(4.25));
}

#[test]
fn codes_are_unique_and_words_are_whole() {
    let mut codes: Vec<_> = rules::ALL.iter().map(|rule| rule.code).collect();
    codes.sort_unstable();
    let count = codes.len();
    codes.dedup();
    assert_eq!(codes.len(), count);
    for rule in rules::ALL {
        assert!(rule.code.starts_with("charge_") && rule.words.ends_with('.') && rule.words.contains("{name}"));
    }
}

#[test]
fn wrong_facts_are_told_with_their_place() {
    let facts = with(|f| {
        f.charger.as_mut().unwrap().voltage_v.high = f64::NAN;
        f.cycles = Some(0.0);
        f.other_supplies = Some(vec![OtherSupply { name: String::new(), voltage_v: f64::INFINITY }]);
    });
    let paths: Vec<String> = facts.review().unwrap_err().iter().map(cellwright::Error::path).collect();
    assert_eq!(paths, ["/charger/voltage_v", "/cycles", "/other_supplies/0/voltage_v"]);
}
