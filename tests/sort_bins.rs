//! Sorting a bin: the order against every other order, the time by hand, the stop against every outcome.

use cellwright::finding::sort_bin::{self, SortBinReview};
use cellwright::pack::search::{Contender, Search};
use cellwright::part::cell::Chemistry;
use cellwright::quantity::draw::Draws;
use cellwright::run::sort_bin::{BinCell, BinTest, SortBin, SortBinAnswer, StopReason};
use cellwright::{Interval, Urgency};

/// A cell out of the allotment's box, invented.
fn cell(name: &str, rated_ah: f64) -> BinCell {
    BinCell {
        name: name.into(),
        model: Some("green wrap".into()),
        chemistry: Chemistry::Nmc,
        size: None,
        rated_ah: Some(rated_ah),
        passed: vec![],
        sorted_out_by: None,
        capacity_ah: None,
    }
}

fn tested(name: &str, capacity_ah: f64) -> BinCell {
    let passed = BinTest::ALL.to_vec();
    BinCell { passed, capacity_ah: Some(Interval::exact(capacity_ah)), ..cell(name, 2.6) }
}

fn bin(cells: Vec<BinCell>, series: u32, parallel: u32) -> SortBin {
    SortBin {
        cells,
        series,
        parallel,
        charger_places: 4,
        tester_places: 2,
        charge_s: 3.0 * 3600.0,
        capacity_test_s: 2.0 * 3600.0,
        evenings: 10,
        evening_s: 4.0 * 3600.0,
        wanted_ah: None,
        worth_ah: None,
    }
}

fn answer(bin: &SortBin) -> SortBinAnswer {
    bin.answer().unwrap_or_else(|errors| panic!("{errors:?}"))
}

fn allowed(order: &[BinTest]) -> bool {
    let place = |test: BinTest| order.iter().position(|other| *other == test).unwrap();
    BinTest::ALL.iter().all(|test| test.after().is_none_or(|before| place(before) < place(*test)))
}

fn permutations(left: &[BinTest], now: &mut Vec<BinTest>, all: &mut Vec<Vec<BinTest>>) {
    if left.is_empty() {
        all.push(now.clone());
    }
    for (i, test) in left.iter().enumerate() {
        let others: Vec<BinTest> = left.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, test)| *test).collect();
        now.push(*test);
        permutations(&others, now, all);
        now.pop();
    }
}

#[test]
fn no_allowed_order_takes_less_time() {
    let mut all = Vec::new();
    permutations(&BinTest::ALL, &mut Vec::new(), &mut all);
    assert_eq!(all.len(), 720);
    let draws = Draws::new(3, 8);
    for index in 0..60 {
        let unit = |place: usize| draws.unit(index, place);
        let mut cells: Vec<BinCell> = (0..20).map(|i| cell(&format!("K{i}"), 2.2)).collect();
        // Some cells are sorted out already, so that the shares differ from bin to bin.
        for (i, cell) in cells.iter_mut().enumerate() {
            let to = (unit(i % 5) * 7.0) as usize;
            let order = [BinTest::Look, BinTest::RestVoltage, BinTest::Resistance, BinTest::Charge, BinTest::Month];
            if let Some(test) = order.get((to + i) % 8) {
                cell.passed = order.iter().copied().take_while(|other| other != test).collect();
                cell.sorted_out_by = Some(*test);
            }
        }
        let mut bin = bin(cells, 2, 2);
        bin.charge_s = 600.0 + 40_000.0 * unit(5) * unit(6);
        bin.capacity_test_s = 600.0 + 40_000.0 * unit(7) * unit(0);
        bin.charger_places = 1 + (unit(1) * 20.0) as u32;
        let answer = answer(&bin);
        let cost = |test: BinTest| {
            let step = answer.order.iter().find(|step| step.test == test).unwrap();
            let places = if test == BinTest::Charge { bin.charger_places } else { bin.tester_places };
            (step.hands_s + step.machine_s / f64::from(places), step.reject_ratio)
        };
        let time = |order: &[BinTest]| {
            let (mut time_s, mut left) = (0.0, 1.0);
            for test in order {
                let (cost_s, reject_ratio) = cost(*test);
                time_s += left * cost_s;
                left *= 1.0 - reject_ratio;
            }
            time_s
        };
        let order: Vec<BinTest> = answer.order.iter().map(|step| step.test).collect();
        assert!(allowed(&order), "{order:?}");
        let best = all.iter().filter(|order| allowed(order)).map(|order| time(order)).fold(f64::MAX, f64::min);
        // Sums in another order differ in the last places.
        assert!(time(&order) <= best * (1.0 + 1e-12), "{order:?}: {} against {best}", time(&order));
    }
}

#[test]
fn cheap_tests_come_before_machines_and_shares_learn() {
    let mut cells: Vec<BinCell> = (0..12).map(|i| cell(&format!("K{i}"), 2.2)).collect();
    let fresh = answer(&bin(cells.clone(), 2, 2));
    let order: Vec<BinTest> = fresh.order.iter().map(|step| step.test).collect();
    assert_eq!(order[..3], [BinTest::Look, BinTest::RestVoltage, BinTest::Resistance]);
    assert_eq!(fresh.order[1].reject_ratio, 0.2);
    for cell in &mut cells[..5] {
        (cell.passed, cell.sorted_out_by) = (vec![BinTest::Look], Some(BinTest::RestVoltage));
    }
    let learned = answer(&bin(cells, 2, 2));
    assert_eq!(learned.order[1].reject_ratio, (2.0 + 5.0) / 15.0);
    assert_eq!(learned.order[0].reject_ratio, 1.0 / 15.0);
    assert_eq!(learned.cells[0].sorted_out_by, Some(BinTest::RestVoltage));
    assert!(learned.cells[0].next.is_none() && learned.take_next.len() == 7);
}

#[test]
fn time_is_what_one_counts_on_fingers() {
    // Eight cells, all but charge and capacity behind them: one charge an evening, four at once; two rounds of two.
    let early = vec![BinTest::Look, BinTest::RestVoltage, BinTest::Resistance];
    let cells: Vec<BinCell> =
        (0..8).map(|i| BinCell { passed: early.clone(), ..cell(&format!("K{i}"), 2.2) }).collect();
    let answer = answer(&bin(cells, 2, 2));
    let charge = answer.order.iter().find(|step| step.test == BinTest::Charge).unwrap();
    assert_eq!((charge.comes_to, charge.evenings), (8.0, Some(2.0)));
    assert_eq!(charge.sorts_out, 8.0 * 0.5 / 10.0);
    let evenings = answer.evenings.unwrap();
    // Capacity: all eight in four rounds of two, two rounds an evening; with those sorted out before no less.
    assert_eq!((evenings.low, evenings.likely), (2.0, 4.0));
    assert!(evenings.high >= 4.0 && answer.fits);
    assert_eq!(answer.waiting_s, 30.0 * 86400.0);
    assert!((answer.usable - 8.0 * 0.95 * 0.8 * 0.9).abs() < 1e-12);
}

#[test]
fn stopping_is_never_wrong() {
    let draws = Draws::new(11, 24);
    let mut seen = std::collections::BTreeMap::new();
    for index in 0..400 {
        let unit = |place: usize| draws.unit(index, place);
        let (series, parallel) = (1 + (unit(0) * 3.0) as u32, 1 + (unit(1) * 3.0) as u32);
        let known = (series * parallel) as usize + (unit(2) * 4.0) as usize;
        let mut cells: Vec<BinCell> =
            (0..known).map(|i| tested(&format!("T{i}"), 2.0 + 0.6 * unit(3 + i % 12))).collect();
        let others = 1 + (unit(15) * 3.0) as usize;
        cells.extend((0..others).map(|i| cell(&format!("K{i}"), 1.6 + unit(16 + i))));
        let mut bin = bin(cells, series, parallel);
        bin.worth_ah = (unit(20) < 0.5).then_some(0.2 * unit(21));
        let answer = answer(&bin);
        *seen.entry(format!("{:?}", answer.stop)).or_insert(0) += 1;
        let weakest_ah = answer.grouping.weakest_ah.unwrap();
        let at_most = |ah: &dyn Fn(f64) -> f64| {
            let contender = |cell: &BinCell| {
                let most_ah = 1.1 * cell.rated_ah.unwrap();
                Contender { capacity_ah: cell.capacity_ah.map_or_else(|| ah(most_ah), |ah| ah.likely), class: 0 }
            };
            let all: Vec<Contender> = bin.cells.iter().map(contender).collect();
            Search::new(&all, series as usize, parallel as usize).unwrap().step(2_000_000)
        };
        let best = at_most(&|most_ah| most_ah);
        let could_gain_ah = best.weakest_ah - weakest_ah;
        match answer.stop {
            Some(StopReason::NoBetter) => assert!(could_gain_ah < 1e-6, "{could_gain_ah}"),
            Some(StopReason::NotWorth) => assert!(could_gain_ah <= bin.worth_ah.unwrap() + 1e-6, "{could_gain_ah}"),
            None => {}
            other => panic!("{other:?}"),
        }
        if let Some(needed_ah) = answer.grouping.needed_ah {
            let below = at_most(&|most_ah: f64| most_ah.min(needed_ah * 0.999));
            assert!(below.weakest_ah <= weakest_ah + bin.worth_ah.unwrap_or(0.0) + 1e-6, "{needed_ah}");
        }
    }
    assert!(seen.len() == 3 && seen.values().all(|count| *count > 10), "{seen:?}");
}

#[test]
fn every_reason_to_stop_can_be_met() {
    let stop = |bin: &SortBin| (answer(bin).stop, answer(bin).words);
    let good = || vec![tested("T1", 2.3), tested("T2", 2.2), tested("T3", 2.1), tested("T4", 2.0)];
    assert_eq!(stop(&bin(good(), 2, 2)).0, Some(StopReason::NothingLeft));
    assert_eq!(stop(&bin(good(), 3, 2)).0, Some(StopReason::TooFewCells));
    let mut more = good();
    more.push(cell("K1", 1.5));
    assert_eq!(stop(&bin(more, 2, 2)).0, Some(StopReason::NoBetter));
    let mut more = good();
    more.push(cell("K1", 2.6));
    let going = bin(more, 2, 2);
    let (none, words) = stop(&going);
    assert!(none.is_none() && words.starts_with("Go on: cells that hold more than 2.1"), "{words}");
    let enough = SortBin { wanted_ah: Some(4.2), ..going.clone() };
    assert_eq!(stop(&enough).0, Some(StopReason::Enough));
    let small = SortBin { worth_ah: Some(1.0), ..going.clone() };
    assert_eq!(stop(&small).0, Some(StopReason::NotWorth));
    let mut unknown = going;
    unknown.cells[4].rated_ah = None;
    let unknown = answer(&unknown);
    assert_eq!((unknown.stop, unknown.grouping.unknown_most), (None, vec!["K1".to_owned()]));
}

fn codes(review: &SortBinReview) -> Vec<&'static str> {
    review.findings.iter().map(|finding| finding.code).collect()
}

#[test]
fn findings_say_what_stands_against_it() {
    let cells = || vec![cell("K1", 2.2), cell("K2", 2.2)];
    let sound = sort_bin::review(&bin(cells(), 2, 1)).unwrap();
    assert_eq!(codes(&sound), ["salvaged_cells", "bin_attend"]);
    let none = sort_bin::review(&SortBin { tester_places: 0, ..bin(cells(), 2, 1) }).unwrap();
    assert!(codes(&none).contains(&"bin_no_machine") && none.sorting.evenings.is_none() && !none.sorting.fits);
    let long = sort_bin::review(&SortBin { charge_s: 5.0 * 3600.0, ..bin(cells(), 2, 1) }).unwrap();
    assert!(codes(&long).contains(&"bin_longer_than_evening"));
    let mut unidentified = bin(cells(), 2, 1);
    unidentified.cells[1].chemistry = Chemistry::Unidentified;
    unidentified.cells[1].passed = vec![BinTest::Look, BinTest::RestVoltage, BinTest::Resistance];
    let review = sort_bin::review(&unidentified).unwrap();
    assert_eq!((review.findings[1].code, review.findings[1].urgency), ("bin_unidentified", Urgency::Stop));
    assert_eq!(review.sorting.cells[1].next, None, "it is not charged");
}

#[test]
fn bad_input_names_its_place() {
    let mut bad = bin(vec![cell("K1", 2.2), cell("K1", 2.2), cell("K3", -1.0), cell("K4", 2.2)], 0, 2);
    bad.cells[3].passed = vec![BinTest::Charge];
    bad.cells[2].capacity_ah = Some(Interval::exact(2.0));
    let paths: Vec<String> = bad.answer().unwrap_err().iter().map(cellwright::Error::path).collect();
    assert_eq!(paths, ["/series", "/cells/1/name", "/cells/2/rated_ah", "/cells/2/capacity_ah", "/cells/3/passed"]);
}
