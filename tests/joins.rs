//! Packs tied at unequal voltage, against a general-purpose solver of the same circuit.

#![allow(clippy::unwrap_used, clippy::panic)] // a test fails by panicking

#[path = "oracles/case.rs"]
mod case;

use case::number;
use cellwright::data::chemistry;
use cellwright::pack::join::{Tie, TiedPack};
use cellwright::part::cell::{
    CapacityTest, Cell, CellCircuit, Chemistry, Curves, MeterLeads, ResistanceMethod, ResistanceTest,
};
use cellwright::quantity::Interval;
use cellwright::quantity::draw::Draws;
use cellwright::run::joining::{JoinAnswer, JoinSide, JoinVerdict, Joining, LimitedBy};
use serde_json::Value;
use std::sync::Arc;

fn pack(case: &Value, which: &str) -> TiedPack {
    let rest_v = match case["ocv_table"].as_str().unwrap() {
        "NMC_Chen2020" => chemistry::NMC.rest_v,
        "NCA_Kim2011" => chemistry::NCA.rest_v,
        other => panic!("{other}"),
    };
    let series = number(case, "series_S");
    let get = |key| number(&case[which], key);
    let curves = Arc::new(Curves::derive(&rest_v, &[]));
    let (r0_ohm, r1_ohm) = (get("r0_ohm") / series, get("r1_ohm") / series);
    let group = CellCircuit::plain(curves, get("capacity_Ah"), r0_ohm, r1_ohm, get("tau1_s"));
    TiedPack { group, series: series as u32, soc_ratio: get("soc") }
}

fn ties() -> Vec<(Tie, Value)> {
    let oracle: Value = serde_json::from_str(include_str!("oracles/joins.json")).unwrap();
    let cases = oracle["equalisations"].as_array().unwrap();
    let tie = |case: &Value| {
        let join_ohm = number(case, "join_resistance_ohm");
        (Tie { a: pack(case, "pack_a"), b: pack(case, "pack_b"), join_ohm }, case.clone())
    };
    cases.iter().map(tie).collect()
}

#[test]
fn packs_equalise_as_simulated() {
    let mut worst: [f64; 5] = [0.0; 5];
    for (tie, case) in ties() {
        let answer = tie.equalise(None).unwrap();
        let ratio = |mine: f64, key: &str| (mine / number(&case["result"], key) - 1.0).abs();
        let errors = [
            ratio(answer.peak_a, "peak_current_A"),
            ratio(answer.charge_ah, "charge_moved_total_Ah"),
            ratio(answer.final_v, "final_voltage_V"),
            ratio(answer.settle_s.unwrap(), "time_to_90pct_charge_s"),
            ratio(answer.died_s.unwrap(), "time_to_current_below_10pct_of_peak_s"),
        ];
        println!("{} {errors:.6?}", case["id"]);
        for (most, error) in worst.iter_mut().zip(errors) {
            *most = most.max(error);
        }
    }
    println!("worst: peak, charge, final voltage, settled, died away {worst:.6?}");
    // Peak and charge follow from the same table and resistances: what is left is the digits printed. Times carry the
    // error of steps that grow by 2 %.
    assert!(worst[0] < 0.005 && worst[1] < 0.01 && worst[2] < 0.001 && worst[3] < 0.01 && worst[4] < 0.01, "{worst:?}");
}

fn side(name: &str, rest_v: f64) -> JoinSide {
    let cell = Cell {
        name: format!("{name}1"),
        chemistry: Chemistry::Nmc,
        capacity: CapacityTest {
            capacity_ah: Interval::around(2.2, 0.03),
            start_v: 4.18,
            end_v: 2.8,
            current_a: 0.5,
            cell_degc: 22.0,
        },
        resistance: ResistanceTest {
            resistance_ohm: Interval::around(0.06, 0.1),
            method: ResistanceMethod::Dc { after_s: 1.0, current_a: 1.0 },
            leads: MeterLeads::FourWire,
            cell_degc: 22.0,
            soc_ratio: 0.6,
        },
        rest_v: None,
        discharge_limit_a: None,
        charge_limit_a: None,
        measured: None,
    };
    JoinSide { name: name.into(), cell, series: 3, parallel: 2, rest_v: Interval::around(rest_v, 0.002) }
}

fn joining(first_v: f64, second_v: f64) -> Joining {
    Joining {
        own_chemistries: vec![],
        first: side("A", first_v),
        second: side("B", second_v),
        join_ohm: Interval { low: 0.02, likely: 0.03, high: 0.05 },
        cell_degc: Interval { low: 15.0, likely: 20.0, high: 25.0 },
        path_limit_a: None,
    }
}

#[test]
fn near_packs_are_tied_and_far_ones_wait_behind_a_resistor() {
    let near = joining(11.52, 11.50).answer().unwrap();
    assert_eq!(near.verdict, JoinVerdict::TieNow, "{near:?}");
    // 0.5C of the low capacity of two cells.
    assert!((near.limit.limit_a - 0.5 * 2.2 * 0.97 * 2.0).abs() < 1e-12);
    assert_eq!(near.limit.by, LimitedBy::Charging);
    assert_eq!(near.resistor, None);
    let far = joining(12.3, 10.8).answer().unwrap();
    assert_eq!(far.verdict, JoinVerdict::ResistorFirst);
    let (worst, resistor) = (far.worst.unwrap(), far.resistor.unwrap());
    assert!(worst.peak_a > far.limit.limit_a);
    // Through the resistor at its smallest the first current is allowed, and its power is what flows through it.
    let first_a = (resistor.peak_w / (0.95 * resistor.resistor_ohm)).sqrt();
    assert!(first_a <= far.limit.limit_a && first_a > 0.75 * far.limit.limit_a, "{first_a} {:?}", far.limit);
    assert!(resistor.wait_s.unwrap() > 60.0, "{resistor:?}");
    let gentle = Joining { path_limit_a: Some(0.5), ..joining(12.3, 10.8) }.answer().unwrap();
    assert_eq!(gentle.limit.by, LimitedBy::Path);
    assert!(gentle.resistor.unwrap().wait_s > resistor.wait_s);
}

#[test]
fn the_order_of_the_packs_only_turns_the_sign() {
    let one = joining(12.3, 10.8).answer().unwrap();
    let mut swapped = joining(12.3, 10.8);
    std::mem::swap(&mut swapped.first, &mut swapped.second);
    let other = swapped.answer().unwrap();
    assert_eq!(one.verdict, other.verdict);
    assert_eq!(one.limit, other.limit);
    let (one_w, other_w) = (one.worst.unwrap(), other.worst.unwrap());
    assert!((one_w.peak_a + other_w.peak_a).abs() < 1e-9);
    assert!((one_w.charge_ah + other_w.charge_ah).abs() < 1e-9);
    assert!((one_w.heat_j - other_w.heat_j).abs() < 1e-6);
    let waits = (one.resistor.unwrap().wait_s.unwrap(), other.resistor.unwrap().wait_s.unwrap());
    assert!((waits.0 / waits.1 - 1.0).abs() < 1e-6, "{waits:?}");
}

#[test]
fn the_other_ends_soften_the_answer() {
    let worst = joining(12.3, 10.8).answer().unwrap();
    let mut mild = joining(12.3, 10.8);
    (mild.first.rest_v.high, mild.second.rest_v.low) = (12.3, 10.8);
    mild.first.cell.resistance.resistance_ohm.low = 0.06;
    mild.join_ohm.low = 0.03;
    let mild = mild.answer().unwrap();
    assert!(mild.worst.unwrap().peak_a < worst.worst.unwrap().peak_a);
    assert!(mild.resistor.unwrap().wait_s < worst.resistor.unwrap().wait_s);
}

#[test]
fn packs_that_must_not_be_tied() {
    let code = |joining: &Joining| {
        let answer = joining.answer().unwrap();
        assert_eq!(answer.verdict, JoinVerdict::Never);
        answer.reasons[0].code
    };
    let mut other = joining(11.5, 11.5);
    other.second.cell.chemistry = Chemistry::Nca;
    assert_eq!(code(&other), "join_chemistry");
    let mut longer = joining(11.5, 15.0);
    longer.second.series = 4;
    assert_eq!(code(&longer), "join_series");
    assert_eq!(code(&joining(11.5, 5.7)), "join_given_up");
    assert_eq!(code(&joining(11.5, 7.2)), "join_empty");
    assert_eq!(code(&joining(12.9, 11.5)), "join_overfull");
    let mut frost = joining(11.52, 11.5);
    frost.cell_degc.low = -3.0;
    assert_eq!(code(&frost), "join_too_cold");
}

#[test]
fn charge_and_heat_do_not_hang_on_the_resistances() {
    for (tie, _) in ties() {
        let slow = Tie { join_ohm: tie.join_ohm + 10.0, ..tie.clone() };
        let (quick, slow) = (tie.equalise(None).unwrap(), slow.equalise(None).unwrap());
        assert_eq!((quick.charge_ah, quick.heat_j), (slow.charge_ah, slow.heat_j));
        assert!(slow.settle_s.unwrap() > quick.settle_s.unwrap());
        // Half the charge times the difference is what two straight rest curves would give; bent ones stay near it.
        let straight_j = 0.5 * 3600.0 * quick.charge_ah * tie.difference_v(0.0);
        assert!(quick.heat_j > 0.2 * straight_j && quick.heat_j < 2.0 * straight_j, "{} {straight_j}", quick.heat_j);
    }
}

#[test]
fn wrong_ties_are_refused() {
    let (tie, _) = ties().remove(0);
    let field = |tie: &Tie| tie.equalise(None).unwrap_err().field().to_string();
    assert_eq!(field(&Tie { join_ohm: f64::NAN, ..tie.clone() }), "join_ohm");
    let mut bare = tie.clone();
    bare.a.soc_ratio = 1.5;
    assert_eq!(field(&bare), "soc_ratio");
    let mut wrong = joining(11.5, 11.5);
    wrong.first.parallel = 0;
    wrong.second.rest_v.high = f64::INFINITY;
    let errors = wrong.answer().unwrap_err();
    let paths: Vec<_> = errors.iter().map(cellwright::Error::path).collect();
    assert_eq!(paths, ["/first/parallel", "/second/rest_v"]);
}

/// Either pack may be the higher one here: the one that stands less charge current decides, however the two are named.
#[test]
fn the_pack_that_stands_less_decides_where_either_may_give() {
    let mut near = joining(11.5, 11.505);
    (near.first.parallel, near.first.rest_v) = (1, Interval { low: 11.4, likely: 11.5, high: 11.6 });
    (near.second.parallel, near.second.rest_v) = (8, Interval { low: 11.39, likely: 11.505, high: 11.6 });
    near.join_ohm = Interval { low: 0.0, likely: 0.005, high: 0.01 };
    let mut swapped = near.clone();
    std::mem::swap(&mut swapped.first, &mut swapped.second);
    let (one, other) = (near.answer().unwrap(), swapped.answer().unwrap());
    assert_eq!((one.verdict, one.limit), (other.verdict, other.limit));
    // Half a C of the low capacity of one cell, not of eight.
    assert!((one.limit.limit_a - 0.5 * 2.2 * 0.97).abs() < 1e-12, "{:?}", one.limit);
    assert_eq!(one.verdict, JoinVerdict::ResistorFirst);
    // A resistor that can be bought, and held to.
    assert!(one.resistor.unwrap().resistor_ohm >= 0.1);
}

/// What a doubtful reading may lie above full drives a current like any other volt.
#[test]
fn a_voltage_that_may_lie_above_full_counts_whole() {
    let mut full = joining(12.55, 12.5);
    full.join_ohm = Interval { low: 0.02, likely: 0.03, high: 0.05 };
    let before = full.answer().unwrap().worst.unwrap().peak_a;
    full.first.rest_v.high = 12.9;
    let after = full.answer().unwrap().worst.unwrap().peak_a;
    full.first.rest_v.high = 13.2;
    let more = full.answer().unwrap().worst.unwrap().peak_a;
    assert!(before < after && after < more, "{before} {after} {more}");
    // The same resistances: the current goes with the difference.
    let low_v = full.second.rest_v.low;
    assert!((more / after - (13.2 - low_v) / (12.9 - low_v)).abs() < 0.02, "{after} {more}");
}

#[test]
fn a_pack_that_may_be_given_up_or_too_hot_is_not_tied() {
    let mut low = joining(11.5, 6.2);
    low.second.rest_v.low = 5.8;
    assert_eq!(low.answer().unwrap().reasons[0].code, "join_given_up");
    let mut hot = joining(11.52, 11.5);
    hot.cell_degc.high = 50.0;
    let answer = hot.answer().unwrap();
    assert_eq!((answer.verdict, answer.reasons[0].code), (JoinVerdict::Never, "join_too_hot"));
}

/// Whatever is made worse never allows more, whichever pack is named first.
#[test]
fn what_is_worse_is_never_allowed_sooner() {
    let draws = Draws::new(32, 7);
    let worth = |verdict| match verdict {
        JoinVerdict::TieNow => 2,
        JoinVerdict::ResistorFirst => 1,
        JoinVerdict::Never => 0,
    };
    let mut met = [0; 3];
    for index in 0..300 {
        let at = |place: usize, low: f64, high: f64| low + (high - low) * draws.unit(index, place);
        let first_v = at(0, 10.2, 12.5);
        let mut asked = joining(first_v, (first_v + at(1, -0.25, 0.25)).clamp(10.0, 12.54));
        for (side, place) in [(&mut asked.first, 2), (&mut asked.second, 5)] {
            side.parallel = 1 + at(place, 0.0, 6.0) as u32;
            side.cell.resistance.resistance_ohm = Interval::around(at(place + 1, 0.02, 0.12), 0.1);
            side.rest_v = Interval::around(side.rest_v.likely, at(place + 2, 0.0, 0.01));
        }
        asked.join_ohm = Interval::around(at(8, 0.01, 0.2), 0.3);
        let before = asked.answer().unwrap();
        met[worth(before.verdict)] += 1;
        let mut worse = asked.clone();
        match index % 4 {
            0 => worse.join_ohm.low *= 0.5,
            1 => {
                worse.first.rest_v.high += 0.03;
                worse.second.rest_v.low -= 0.03;
            }
            2 => worse.path_limit_a = Some(0.5 * before.limit.limit_a),
            _ => worse.second.cell.capacity.capacity_ah.low *= 0.8,
        }
        std::mem::swap(&mut worse.first, &mut worse.second);
        let after = worse.answer().unwrap();
        assert!(worth(after.verdict) <= worth(before.verdict), "{index}: {asked:?}");
        // What flows grows against what is allowed; the direction in which it flows may turn.
        let share = |answer: &JoinAnswer| answer.worst.map(|worst| worst.peak_a.abs() / answer.limit.limit_a);
        if let (Some(before), Some(after)) = (share(&before), share(&after)) {
            assert!(after >= before * (1.0 - 1e-9), "{index}: {before} {after}");
        }
    }
    assert!(met[1] > 20 && met[2] > 20, "{met:?}");
}
