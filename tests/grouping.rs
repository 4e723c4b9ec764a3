//! Groupings against a constraint solver and against trying every one.

use cellwright::data::size::CellSize;
use cellwright::finding::matched::matched;
use cellwright::pack::group::{LeftOutFor, MatchCell, Matching};
use cellwright::pack::search::{Contender, Progress, Search};
use cellwright::part::cell::Chemistry;
use cellwright::{Interval, Urgency};
use serde_json::Value;

fn number(case: &Value, key: &str) -> i64 {
    case[key].as_i64().unwrap_or_else(|| panic!("{key} in {case}"))
}

fn search(case: &Value) -> Search {
    let cells: Vec<Contender> = case["capacities_mAh"]
        .as_array()
        .unwrap()
        .iter()
        .map(|capacity| Contender { capacity_ah: capacity.as_f64().unwrap() / 1000.0, class: 0 })
        .collect();
    Search::new(&cells, number(case, "series_S") as usize, number(case, "parallel_P") as usize).unwrap()
}

fn milli(ah: f64) -> i64 {
    (ah * 1000.0).round() as i64
}

#[test]
fn best_known_groupings_are_reached() {
    let oracle: Value = serde_json::from_str(include_str!("oracles/grouping.json")).unwrap();
    for case in oracle["instances"].as_array().unwrap() {
        let Progress { weakest_ah, spread_ah, bound_ah, weakest_proven, done, nodes, .. } =
            search(case).step(4_000_000);
        let (weakest, spread, bound) = (milli(weakest_ah), milli(spread_ah), milli(bound_ah));
        println!(
            "{:15} weakest {weakest} (known {}) spread {spread} (known {}) bound {bound} (known {}) done {done} {nodes}",
            case["id"].as_str().unwrap(),
            case["best_known_min_group_mAh"],
            case["best_known_max_minus_min_mAh"],
            case["proven_bound_min_group_mAh"],
        );
        let known = number(case, "best_known_min_group_mAh");
        assert!(weakest >= known, "{case}");
        assert!(weakest > known || spread <= number(case, "best_known_max_minus_min_mAh"), "{case}");
        assert!(bound <= number(case, "proven_bound_min_group_mAh"), "{case}");
        assert!(bound >= weakest);
        if case["optimum_proven"] == true {
            assert!(weakest_proven && weakest == known, "{case}");
        }
    }
}

/// Weakest group and spread of the best of all arrangements, by trying every one: the first free cell joins any group
/// of its class that has room, opens a new one, or stays out.
fn by_trying(cells: &[(i64, usize)], series: usize, parallel: usize) -> (i64, i64) {
    fn go(cells: &[(i64, usize)], groups: &mut Vec<(i64, usize, usize)>, shape: (usize, usize), best: &mut (i64, i64)) {
        let (series, parallel) = shape;
        let missing: usize =
            groups.iter().map(|group| parallel - group.2).sum::<usize>() + (series - groups.len()) * parallel;
        if missing > cells.len() {
            return;
        }
        let Some(((ah, class), rest)) = cells.split_first() else {
            let weakest = groups.iter().map(|group| group.0).min().unwrap();
            let spread = groups.iter().map(|group| group.0).max().unwrap() - weakest;
            *best = (*best).max((weakest, -spread));
            return;
        };
        for i in 0..groups.len() {
            if groups[i].1 == *class && groups[i].2 < parallel {
                groups[i].0 += ah;
                groups[i].2 += 1;
                go(rest, groups, shape, best);
                groups[i].0 -= ah;
                groups[i].2 -= 1;
            }
        }
        if groups.len() < series {
            groups.push((*ah, *class, 1));
            go(rest, groups, shape, best);
            groups.pop();
        }
        go(rest, groups, shape, best);
    }
    let mut best = (-1, 0);
    go(cells, &mut Vec::new(), (series, parallel), &mut best);
    (best.0, -best.1)
}

#[test]
fn small_bins_are_solved_to_the_optimum() {
    let mut state = 7_u64;
    let mut roll = |sides: u64| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state % sides
    };
    let shapes = [(1, 1, 3), (3, 1, 2), (2, 2, 0), (3, 2, 0), (3, 2, 3), (2, 3, 2), (3, 3, 1), (4, 2, 1), (2, 4, 1)];
    for round in 0..400 {
        let (series, parallel, extra) = shapes[round % shapes.len()];
        let classes = 1 + roll(3);
        let step = [1, 7, 250][roll(3) as usize];
        let cells: Vec<(i64, usize)> = (0..series * parallel + extra)
            .map(|_| (1500 + (step * roll(1000 / step)).cast_signed(), roll(classes) as usize))
            .collect();
        let contenders: Vec<Contender> =
            cells.iter().map(|&(ah, class)| Contender { capacity_ah: ah as f64 / 1000.0, class }).collect();
        let expected = by_trying(&cells, series, parallel);
        match Search::new(&contenders, series, parallel) {
            Err(error) => assert!(expected.0 < 0, "{error}: {cells:?}"),
            Ok(mut search) => {
                let progress = search.step(1_000_000);
                let found = (milli(progress.weakest_ah), milli(progress.spread_ah));
                assert!(progress.done, "{series}S{parallel}P {cells:?}");
                assert_eq!(found, expected, "{series}S{parallel}P {cells:?}");
                assert_eq!(milli(progress.bound_ah), expected.0);
            }
        }
    }
}

#[test]
fn pieces_of_effort_give_what_the_whole_gives() {
    let oracle: Value = serde_json::from_str(include_str!("oracles/grouping.json")).unwrap();
    let case = oracle["instances"].as_array().unwrap().iter().find(|case| case["id"] == "10S4P_2").unwrap();
    let whole = search(case).step(60_000);
    let mut pieces = search(case);
    for _ in 0..600 {
        pieces.step(100);
    }
    assert_eq!(pieces.progress(), whole);
    let mut before = search(case);
    let mut last = before.step(1);
    for _ in 0..50 {
        let next = before.step(1000);
        assert!(next.weakest_ah >= last.weakest_ah && next.bound_ah <= last.bound_ah, "{next:?} after {last:?}");
        last = next;
    }
}

#[test]
fn every_cell_stands_once() {
    let cells: Vec<Contender> = (0..97)
        .map(|i| Contender { capacity_ah: 1.5 + f64::from(i * i % 83) * 0.0101, class: i as usize % 2 })
        .collect();
    let best = Search::new(&cells, 11, 8).unwrap().step(20_000).best;
    let mut seen: Vec<usize> = best.groups.iter().flatten().chain(&best.spares).copied().collect();
    seen.sort_unstable();
    assert_eq!(seen, (0..97).collect::<Vec<_>>());
    for group in &best.groups {
        assert_eq!(group.len(), 8);
        assert!(group.iter().all(|cell| cell % 2 == group[0] % 2), "one class a group: {group:?}");
    }
}

fn cell(name: &str, capacity_ah: f64) -> MatchCell {
    MatchCell {
        name: name.into(),
        model: Some("green wrap".into()),
        chemistry: Chemistry::Nmc,
        size: None,
        capacity_ah: Some(Interval::around(capacity_ah, 0.01)),
        resistance_ohm: None,
        self_discharge_ratio: None,
    }
}

fn bin(capacities: &[f64]) -> Matching {
    let cells = capacities.iter().enumerate().map(|(i, ah)| cell(&format!("C{}", i + 1), *ah)).collect();
    Matching { cells, series: 2, parallel: 2, effort_nodes: None }
}

#[test]
fn a_cell_that_leaks_stays_out() {
    let mut bin = bin(&[2.4, 2.3, 2.2, 2.1, 2.0]);
    for (cell, ratio) in bin.cells.iter_mut().zip([0.06, 0.012, 0.01, 0.011, 0.013]) {
        cell.self_discharge_ratio = Some(Interval::exact(ratio));
    }
    let answer = bin.answer().unwrap();
    assert_eq!(answer.left_out.len(), 1);
    assert_eq!(answer.left_out[0].name, "C1");
    // Median 0.012 plus the least step 0.01.
    let expected = LeftOutFor::SelfDischarge { self_discharge_ratio: 0.06, limit_ratio: 0.022 };
    assert_eq!(answer.left_out[0].reason, expected);
    assert!((answer.weakest_ah - 4.3).abs() < 1e-9);
    bin.cells.pop();
    let errors = bin.answer().unwrap_err();
    assert_eq!(errors[0].path(), "/cells");
    assert!(errors[0].given().contains("C1"), "{}", errors[0]);
}

#[test]
fn one_model_a_group_and_one_chemistry_a_pack_where_that_is_possible() {
    let mut bin = bin(&[2.4, 2.3, 2.2, 2.1, 2.0, 1.9]);
    bin.cells[1].model = Some("red wrap".into());
    bin.cells[4].model = Some("red wrap".into());
    for group in bin.answer().unwrap().groups {
        let models: Vec<_> = group.cells.iter().map(|cell| &bin.cells[*cell].model).collect();
        assert!(models.iter().all(|model| *model == models[0]), "{models:?}");
    }
    bin.cells[0].chemistry = Chemistry::Lfp;
    bin.cells[0].model = None;
    let report = matched(&bin).unwrap();
    assert!(report.findings.iter().all(|finding| finding.code != "match_mixed_chemistry"));
    let lfp = report.matching.left_out.iter().find(|cell| cell.cell == 0).unwrap();
    assert_eq!(lfp.reason, LeftOutFor::Chemistry);
    for cell in [2, 3] {
        bin.cells[cell].chemistry = Chemistry::Lfp;
        bin.cells[cell].model = None;
    }
    bin.cells.pop();
    let report = matched(&bin).unwrap();
    let first = &report.findings[0];
    assert_eq!((first.code, first.urgency), ("match_mixed_chemistry", Urgency::Stop));
    assert_eq!(report.matching.groups.len(), 2);
}

#[test]
fn wrong_cells_are_named() {
    let mut wrong = bin(&[2.4, 2.3, 2.2, 2.1]);
    wrong.cells[1].capacity_ah = None;
    wrong.cells[2].resistance_ohm = Some(Interval::exact(0.0));
    wrong.cells[3].name = "C1".into();
    let errors = wrong.answer().unwrap_err();
    let told: Vec<String> = errors.iter().map(|error| format!("{}: {error}", error.path())).collect();
    assert_eq!(told.len(), 3, "{told:?}");
    assert!(told[0].contains("/cells/3/name") && told[0].contains("C1"), "{told:?}");
    assert!(told[1].contains("/cells/1/capacity_ah") && told[1].contains("C2"), "{told:?}");
    assert!(told[2].contains("/cells/2/resistance_ohm") && told[2].contains("C3"), "{told:?}");
    let mut few = bin(&[2.4, 2.3, 2.2]);
    assert_eq!(few.answer().unwrap_err()[0].field(), "cells");
    few.series = 0;
    assert_eq!(few.answer().unwrap_err()[0].field(), "series");
    let mut large = bin(&[2.4, 2.3, 2.2, 5.0]);
    large.cells[3].size = Some(CellSize::Mm18650);
    let findings = matched(&large).unwrap().findings;
    assert_eq!((findings[0].code, findings[0].name.as_str()), ("match_capacity_above_known", "C4"));
}

#[test]
fn what_the_measurement_cannot_tell_is_a_tie() {
    let mut bin = bin(&[2.40, 2.20, 2.00, 1.80, 1.795]);
    let answer = bin.answer().unwrap();
    let pairs: Vec<(&str, &str)> = answer.ties.iter().map(|tie| (tie.name.as_str(), tie.other_name.as_str())).collect();
    // Half widths of 1 %: 0.018 Ah each, together 0.0254 Ah.
    assert_eq!((pairs, answer.ties_in_all), (vec![("C4", "C5")], 1));
    for cell in &mut bin.cells {
        cell.capacity_ah = cell.capacity_ah.map(|ah| Interval::exact(ah.likely));
    }
    assert_eq!(bin.answer().unwrap().ties_in_all, 0);
}

#[test]
fn shares_are_evened_out_among_cells_that_tie() {
    let mut bin = bin(&[2.0, 2.0, 2.0, 2.0]);
    for (cell, ohm) in bin.cells.iter_mut().zip([0.03, 0.06, 0.03, 0.06]) {
        cell.resistance_ohm = Some(Interval::exact(ohm));
    }
    let answer = bin.answer().unwrap();
    let groups = answer.fairest.as_ref().unwrap_or(&answer.groups);
    for group in groups {
        assert!((group.sharing_ratio.unwrap() - 1.0).abs() < 1e-12, "{group:?}");
        assert!((group.capacity_ah.likely - 4.0).abs() < 1e-12);
    }
}
