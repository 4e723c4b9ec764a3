//! Groupings against a constraint solver and against trying every one.

use cellwright::pack::search::{Contender, Progress, Search};
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
