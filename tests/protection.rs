//! What a protection board must do, what a board does, and what stands against it.

use cellwright::finding::protection::{ProtectionReview, review, rules};
use cellwright::part::protection::{
    CutsFirst, FuseGates, Happens, LithiumKind, ProtectionBoard, ProtectionWish, Protector, Thresholds, Trip,
};
use cellwright::quantity::Interval;
use cellwright::{Judgement, Urgency};

const fn span(low: f64, high: f64) -> Interval {
    Interval { low, likely: 0.5 * (low + high), high }
}

/// The seed blower: 3S, a board on the DW01A circuit over 20 mΩ, a 10 A fuse.
fn sound() -> ProtectionWish {
    ProtectionWish {
        name: "seed blower pack".into(),
        kind: LithiumKind::LithiumIon,
        series: 3,
        capacity_ah: span(3.8, 4.2),
        load_a: span(1.5, 2.0),
        surge_a: Some(span(2.0, 3.0)),
        surge_s: None,
        short_circuit_a: Some(span(30.0, 90.0)),
        fuse: Some(FuseGates { holds_a: 10.0, opens_a: 13.5 }),
        drift_per_cycle_ratio: None,
        board: Some(ProtectionBoard {
            name: "3S board".into(),
            series: Some(3),
            thresholds: Thresholds::Own {
                over_charge_v: Some(span(4.25, 4.35)),
                over_discharge_v: Some(span(2.75, 2.9)),
            },
            continuous_a: Some(5.0),
            over_current: Some(Trip::Voltage { over_current_v: span(0.12, 0.18), path_ohm: span(0.02, 0.03) }),
            over_current_s: Some(span(0.005, 0.02)),
            short_circuit: Some(Trip::Current { trip_a: span(15.0, 25.0) }),
            balances: Some(true),
            balance_a: Some(0.05),
            temperature_sensor: Some(true),
        }),
    }
}

fn with(change: impl FnOnce(&mut ProtectionWish)) -> ProtectionWish {
    let mut wish = sound();
    change(&mut wish);
    wish
}

fn board(change: impl FnOnce(&mut ProtectionBoard)) -> ProtectionWish {
    with(|wish| change(wish.board.as_mut().unwrap()))
}

fn broken(review: &ProtectionReview) -> Vec<&'static str> {
    let all = review.findings.iter().filter(|finding| finding.judgement == Judgement::Broken);
    all.map(|finding| finding.code).collect()
}

#[test]
fn a_sound_board_has_nothing_against_it_and_its_numbers_are_one_sided() {
    let answer = review(&sound()).unwrap();
    assert!(answer.findings.is_empty(), "{:?}", answer.findings);
    let does = answer.board.unwrap();
    let trip_a = does.trip_a.unwrap();
    assert!((trip_a.low - 4.0).abs() < 1e-12 && (trip_a.likely - 6.0).abs() < 1e-12);
    assert!((trip_a.high - 9.0).abs() < 1e-12);
    assert_eq!((does.load_trips, does.surge_trips), (Some(Happens::Never), Some(Happens::Never)));
    assert_eq!((does.short_trips, does.cuts_first), (Some(Happens::Always), Some(CutsFirst::Board)));
    // 2 A through 30 mΩ, the worst of both.
    assert!((does.path_w.unwrap().high - 0.12).abs() < 1e-12);
    // 0.2 % of 4.2 Ah at 50 mA.
    assert!((does.balance_s.unwrap() - 604.8).abs() < 1e-9);
    assert!((answer.need.over_charge_to_v - 4.35).abs() < 1e-12 && answer.need.over_discharge_v == 2.75);
    assert_eq!(answer.need.short_below_a, Some(30.0));
}

#[test]
fn each_rule_is_broken_by_its_own_condition() {
    let cases: Vec<(&str, Urgency, ProtectionWish)> = vec![
        ("protection_missing", Urgency::Stop, with(|w| w.board = None)),
        ("protection_missing_one", Urgency::MendFirst, with(|w| (w.board, w.series) = (None, 1))),
        ("protection_wrong_count", Urgency::Stop, board(|b| b.series = Some(4))),
        (
            "protection_over_charge_high",
            Urgency::Stop,
            board(|b| {
                b.thresholds =
                    Thresholds::Own { over_charge_v: Some(span(4.3, 4.4)), over_discharge_v: Some(span(2.75, 2.9)) };
            }),
        ),
        (
            "protection_over_charge_low",
            Urgency::Know,
            board(|b| {
                b.thresholds =
                    Thresholds::Own { over_charge_v: Some(span(4.15, 4.3)), over_discharge_v: Some(span(2.75, 2.9)) };
            }),
        ),
        (
            "protection_over_discharge_deep",
            Urgency::Stop,
            board(|b| {
                b.thresholds =
                    Thresholds::Own { over_charge_v: Some(span(4.25, 4.3)), over_discharge_v: Some(span(1.9, 2.1)) };
            }),
        ),
        (
            "protection_over_discharge_low",
            Urgency::Know,
            board(|b| b.thresholds = Thresholds::Circuit(Protector::Dw01a)),
        ),
        ("protection_continuous", Urgency::Stop, board(|b| b.continuous_a = Some(1.9))),
        ("protection_trips_at_surge", Urgency::MendFirst, with(|w| w.surge_a = Some(span(2.0, 4.5)))),
        ("protection_misses_short", Urgency::MendFirst, with(|w| w.short_circuit_a = Some(span(8.0, 90.0)))),
        ("protection_fuse_first", Urgency::Know, with(|w| w.fuse = Some(FuseGates { holds_a: 3.0, opens_a: 3.9 }))),
        ("protection_either_first", Urgency::Know, with(|w| w.fuse = Some(FuseGates { holds_a: 5.0, opens_a: 6.75 }))),
        ("protection_no_temperature_sensor", Urgency::Know, board(|b| b.temperature_sensor = Some(false))),
        ("protection_no_balancing", Urgency::MendFirst, board(|b| b.balances = Some(false))),
        ("protection_balancing_slow", Urgency::Know, board(|b| b.balance_a = Some(0.001))),
    ];
    for (code, urgency, wish) in cases {
        let answer = review(&wish).unwrap();
        assert_eq!(broken(&answer), [code]);
        assert_eq!(answer.findings[0].urgency, urgency, "{code}");
        assert!(!answer.findings[0].words.contains('{'), "{}", answer.findings[0].words);
    }
    let in_use = review(&with(|w| w.load_a = span(2.0, 4.1))).unwrap();
    assert_eq!(broken(&in_use), ["protection_trips_in_use"]);
    let mut codes: Vec<_> = rules::ALL.iter().map(|rule| rule.code).collect();
    codes.sort_unstable();
    codes.dedup();
    assert_eq!(codes.len(), rules::ALL.len());
}

#[test]
fn the_other_end_of_each_interval_softens_its_finding() {
    let hard = with(|w| {
        w.load_a = span(2.0, 6.0);
        w.surge_a = Some(span(2.0, 6.0));
        w.short_circuit_a = Some(span(5.0, 90.0));
    });
    let found = broken(&review(&hard).unwrap());
    for code in
        ["protection_continuous", "protection_trips_in_use", "protection_trips_at_surge", "protection_misses_short"]
    {
        assert!(found.contains(&code), "{code}");
    }
    let soft = with(|w| {
        w.load_a = Interval::exact(2.0);
        w.surge_a = Some(Interval::exact(2.0));
        w.short_circuit_a = Some(Interval::exact(90.0));
    });
    assert!(broken(&review(&soft).unwrap()).is_empty());
    // A trip resistance known to its low end trips later.
    let tight = board(|b| {
        b.over_current = Some(Trip::Voltage { over_current_v: Interval::exact(0.18), path_ohm: Interval::exact(0.02) });
    });
    assert!(review(&tight).unwrap().board.unwrap().trip_a.unwrap().low > 8.9);
}

#[test]
fn a_short_surge_does_not_trip_a_slow_board() {
    let surge = |surge_s: Option<Interval>| {
        let wish = with(|w| (w.surge_a, w.surge_s) = (Some(span(12.0, 14.0)), surge_s));
        review(&wish).unwrap().board.unwrap().surge_trips
    };
    assert_eq!(surge(None), Some(Happens::Perhaps));
    assert_eq!(surge(Some(span(0.0005, 0.002))), Some(Happens::Never));
    assert_eq!(surge(Some(span(0.002, 0.01))), Some(Happens::Perhaps));
    assert_eq!(surge(Some(span(0.1, 0.2))), Some(Happens::Always));
}

#[test]
fn missing_answers_are_named() {
    let bare = board(|b| {
        (b.continuous_a, b.over_current, b.short_circuit, b.temperature_sensor) = (None, None, None, None);
    });
    let answer = review(&bare).unwrap();
    let mut codes: Vec<_> = answer.findings.iter().map(|finding| (finding.code, finding.judgement)).collect();
    codes.sort_unstable_by_key(|(code, _)| *code);
    let expected = [
        "protection_continuous",
        "protection_fuse_first",
        "protection_misses_short",
        "protection_no_temperature_sensor",
        "protection_trips_at_surge",
        "protection_trips_in_use",
    ];
    assert_eq!(codes, expected.map(|code| (code, Judgement::NotJudged)));
}

#[test]
fn a_board_for_lithium_ion_is_stopped_on_iron_phosphate_and_the_other_way_round() {
    let iron = with(|w| w.kind = LithiumKind::LithiumIronPhosphate);
    assert!(broken(&review(&iron).unwrap()).contains(&"protection_over_charge_high"));
    let ion = board(|b| {
        b.thresholds = Thresholds::Own { over_charge_v: Some(span(3.7, 3.8)), over_discharge_v: Some(span(1.95, 2.1)) };
    });
    let found = broken(&review(&ion).unwrap());
    assert_eq!(found, ["protection_over_charge_low", "protection_over_discharge_deep"]);
}

#[test]
fn every_wrong_value_is_named_with_its_place() {
    let wrong = with(|w| {
        w.fuse = Some(FuseGates { holds_a: f64::NAN, opens_a: 1.0 });
        let board = w.board.as_mut().unwrap();
        board.series = Some(0);
        board.over_current = Some(Trip::Voltage { over_current_v: span(0.1, 0.2), path_ohm: span(0.0, 0.1) });
        board.balance_a = Some(-1.0);
    });
    let paths: Vec<String> = review(&wrong).unwrap_err().iter().map(cellwright::Error::path).collect();
    let expected = ["/fuse/holds_a", "/board/series", "/board/over_current/voltage/path_ohm", "/board/balance_a"];
    assert_eq!(paths, expected);
}
