//! One dead cell in a group: against circuits worked out by hand, the tie of two cells, and the laws of melting wires.

use cellwright::Interval;
use cellwright::finding::dead_cell::{self, DeadCellReview};
use cellwright::part::cell::chemistries::{OwnChemistry, RestPoint};
use cellwright::part::cell::{CapacityTest, Cell, Chemistry, MeterLeads, ResistanceMethod, ResistanceTest};
use cellwright::part::wire::fusing::{onderdonk_a, preece_a};
use cellwright::run::dead_cell::{DeadCell, DeadFault, FusibleLink};
use cellwright::run::joining::{JoinSide, Joining};

const fn exact(value: f64) -> Interval {
    Interval::exact(value)
}

/// A plain resistance of 50 mΩ behind a rest voltage that hardly falls. Invented.
fn plain() -> OwnChemistry {
    OwnChemistry {
        name: "plain".into(),
        rest_points: vec![
            RestPoint { soc_ratio: 0.0, rest_v: 3.0 },
            RestPoint { soc_ratio: 0.02, rest_v: 3.6999 },
            RestPoint { soc_ratio: 1.0, rest_v: 3.7001 },
        ],
        pulses: vec![],
        nominal_v: 3.7,
        charge_v: 4.2,
        floor_v: 3.0,
        lithium: true,
    }
}

fn cell(chemistry: Chemistry, resistance_ohm: Interval) -> Cell {
    Cell {
        name: "A1".into(),
        chemistry,
        capacity: CapacityTest { capacity_ah: exact(2.0), start_v: 4.2, end_v: 3.0, current_a: 0.4, cell_degc: 25.0 },
        resistance: ResistanceTest {
            resistance_ohm,
            method: ResistanceMethod::Dc { after_s: 1.0, current_a: 1.0 },
            leads: MeterLeads::FourWire,
            cell_degc: 25.0,
            soc_ratio: 0.5,
        },
        rest_v: None,
        discharge_limit_a: None,
        charge_limit_a: None,
        measured: None,
    }
}

fn by_hand(short_ohm: Interval, parallel: u32) -> DeadCell {
    let mut cell = cell(Chemistry::Own("plain".into()), exact(0.05));
    cell.capacity = CapacityTest { start_v: 3.7001, end_v: 3.5, ..cell.capacity };
    DeadCell {
        name: "group 2".into(),
        own_chemistries: vec![plain()],
        cell,
        parallel,
        rest_v: exact(3.7),
        fault: DeadFault::Short { short_ohm },
        cell_degc: exact(25.0),
        strip_ohm: exact(0.001),
        link: None,
        load_a: Some(2.0),
        cell_kg: Some(0.045),
    }
}

fn nmc(fault: DeadFault, parallel: u32) -> DeadCell {
    DeadCell {
        own_chemistries: vec![],
        cell: cell(Chemistry::Nmc, Interval { low: 0.055, likely: 0.06, high: 0.066 }),
        rest_v: Interval { low: 4.1, likely: 4.15, high: 4.2 },
        fault,
        cell_degc: Interval { low: 15.0, likely: 20.0, high: 30.0 },
        strip_ohm: Interval { low: 0.0005, likely: 0.001, high: 0.002 },
        ..by_hand(exact(0.02), parallel)
    }
}

fn review(dead: &DeadCell) -> DeadCellReview {
    dead_cell::review(dead).unwrap_or_else(|errors| panic!("{errors:?}"))
}

fn codes(dead: &DeadCell) -> Vec<&'static str> {
    review(dead).findings.iter().map(|finding| finding.code).collect()
}

fn close(got: f64, wanted: f64, ratio: f64) {
    assert!((got / wanted - 1.0).abs() < ratio, "{got} for {wanted}");
}

#[test]
fn a_plain_circuit_gives_what_ohms_law_says() {
    for (short, parallel) in [(0.0001, 2), (0.01, 4), (0.2, 7), (5.0, 3)] {
        let answer = by_hand(exact(short), parallel).answer().unwrap();
        let n = f64::from(parallel - 1);
        // The resistance is found to a ten-thousandth; the rest voltage falls by 0.2 mV.
        let path = 0.001 + (0.05 + 0.001) / n;
        close(answer.dead_a.high, 3.7 / (short + path), 1e-3);
        close(answer.neighbour_a.high, 3.7 / (short + path) / n, 1e-3);
        // At the least the dead cell feeds its own short: three conductances meet at its ends.
        let end_v = 3.7 * (1.0 / 0.05 + 1.0 / path) / (1.0 / short + 1.0 / 0.05 + 1.0 / path);
        close(answer.dead_a.low, (3.7 - end_v) / path, 1e-2);
        // Heat: in the short, and in the dead cell's own resistance.
        let own_a = (3.7 - end_v) / 0.05;
        close(answer.dead_heat_w.high, end_v * end_v / short + own_a * own_a * 0.05, 1e-2);
        // Half charged, a few percent more for the knee at empty and what the test leaves in.
        close(answer.lasts_s.unwrap().low, n * 2.0 * 3600.0 * 0.5 / answer.dead_a.high, 0.05);
        close(answer.heat_j, f64::from(parallel) * 2.0 * 0.5 * 3.7 * 3600.0, 0.05);
    }
}

#[test]
fn the_worst_short_between_two_is_found() {
    let span = by_hand(Interval { low: 0.0001, likely: 0.01, high: 10.0 }, 5).answer().unwrap();
    let mut most: f64 = 0.0;
    for step in 0..=200 {
        let short = 0.0001 * libm::pow(1e5, f64::from(step) / 200.0);
        most = most.max(by_hand(exact(short), 5).answer().unwrap().dead_heat_w.high);
    }
    // The grid misses the top by less than its step of 6 % squared.
    assert!(span.dead_heat_w.high >= most * 0.999_999, "{} {most}", span.dead_heat_w.high);
    close(span.dead_heat_w.high, most, 2e-3);
}

#[test]
fn more_neighbours_push_more_and_the_interval_holds_every_corner() {
    let short = Interval { low: 0.005, likely: 0.02, high: 0.05 };
    let mut before = 0.0;
    for parallel in 2..12 {
        let answer = nmc(DeadFault::Short { short_ohm: short }, parallel).answer().unwrap();
        let Interval { low, likely, high } = answer.dead_a;
        assert!(low > before * 0.99 && low < likely && likely < high, "{:?}", answer.dead_a);
        before = low;
        assert!(answer.dead_heat_w.high >= likely * likely * 0.02, "{:?}", answer.dead_heat_w);
        let lasts = answer.lasts_s.unwrap();
        assert!(lasts.low < lasts.likely && lasts.likely < lasts.high, "{lasts:?}");
        // All that can become heat over the longest time is not more than is stored.
        assert!(answer.dead_a.low * 0.5 * 3.0 * lasts.low < answer.heat_j);
    }
}

#[test]
fn a_low_cell_is_the_tie_of_two() {
    let dead = DeadCell {
        rest_v: exact(4.1),
        cell_degc: exact(25.0),
        strip_ohm: exact(0.0),
        ..nmc(DeadFault::Low { dead_v: exact(3.4) }, 2)
    };
    let answer = dead.answer().unwrap();
    let side =
        |v: f64| JoinSide { name: "x".into(), cell: dead.cell.clone(), series: 1, parallel: 1, rest_v: exact(v) };
    let tie = Joining {
        own_chemistries: vec![],
        first: side(4.1),
        second: side(3.4),
        join_ohm: exact(0.0),
        cell_degc: exact(25.0),
        path_limit_a: None,
    };
    let tied = tie.answer().unwrap();
    close(answer.dead_a.high, tied.worst.unwrap().peak_a, 1e-6);
    close(answer.evening_out.unwrap().charge_ah, tied.likely.unwrap().charge_ah, 1e-9);
    assert_eq!(answer.evening_out.unwrap().settle_s, Some(answer.lasts_s.unwrap().likely));
    assert!(answer.window.is_none());
}

#[test]
fn links_follow_the_melting_laws() {
    let short = DeadFault::Short { short_ohm: Interval { low: 0.005, likely: 0.02, high: 0.03 } };
    let heavy = DeadCell { load_a: Some(20.0), ..nmc(short, 8) };
    let open = heavy.answer().unwrap();
    let window = open.window.unwrap();
    close(window.melts_least_a, 1.3 * 20.0 / 7.0 / 0.5, 1e-12);
    assert_eq!(window.melts_most_a, open.dead_a.low / 2.0);
    let (thin, thick) = (window.thinnest_m.unwrap(), window.thickest_m.unwrap());
    close(preece_a(thin).unwrap(), window.melts_least_a, 1e-9);
    close(preece_a(thick).unwrap(), window.melts_most_a, 1e-9);
    let with = |diameter_m: f64| {
        let link = Some(FusibleLink::CopperWire { diameter_m, length_m: 0.02 });
        DeadCell { link, ..heavy.clone() }
    };
    let fits = with(0.5 * (thin + thick)).answer().unwrap();
    let link = fits.link.unwrap();
    assert_eq!((link.opens, link.holds), (Some(true), Some(true)));
    let diameter_mm = 0.5e3 * (thin + thick);
    let area = core::f64::consts::FRAC_PI_4 * diameter_mm * diameter_mm;
    let earliest_s = link.earliest_s.unwrap();
    close(onderdonk_a(area, earliest_s.max(1e-3), 30.0).unwrap(), fits.dead_a.high, 1e-6);
    // Thicker by a fifth than the thickest: the link's own resistance is smaller than assumed, but not by that much.
    assert!(codes(&with(1.2 * thick)).contains(&"dead_link_does_not_open"));
    assert!(codes(&with(0.9 * thin)).contains(&"dead_link_opens_in_use"));
}

#[test]
fn each_rule_can_be_broken() {
    let hard = DeadFault::Short { short_ohm: exact(0.01) };
    let soft = DeadFault::Short { short_ohm: exact(3.0) };
    let low = |v: f64| DeadFault::Low { dead_v: exact(v) };
    let rated =
        |holds_a: f64, opens_a: f64| Some(FusibleLink::Rated { holds_a, opens_a, resistance_ohm: exact(0.002) });
    let cases = [
        ("dead_nothing_sees", nmc(hard, 3)),
        ("dead_heat", nmc(hard, 3)),
        ("dead_neighbours_overloaded", nmc(hard, 3)),
        ("dead_charged_fast", nmc(low(3.3), 4)),
        ("dead_given_up", nmc(low(1.9), 4)),
        ("dead_charged_cold", DeadCell { cell_degc: exact(-5.0), ..nmc(low(4.0), 4) }),
        ("dead_no_link", nmc(hard, 6)),
        ("dead_no_link_fits", nmc(soft, 3)),
        ("dead_link_does_not_open", DeadCell { link: rated(50.0, 300.0), ..nmc(hard, 6) }),
        ("dead_link_opens_in_use", DeadCell { link: rated(0.1, 0.3), ..nmc(hard, 6) }),
        ("dead_links_together", DeadCell { link: rated(5.0, 15.0), ..nmc(hard, 2) }),
        ("dead_left_overloaded", DeadCell { load_a: Some(8.0), ..nmc(hard, 3) }),
    ];
    for (code, dead) in &cases {
        assert!(codes(dead).contains(code), "{code}: {:?}", codes(dead));
    }
    let all: Vec<&str> = dead_cell::RULES.iter().map(|rule| rule.code).collect();
    assert!(all.iter().all(|code| cases.iter().any(|case| case.0 == *code)) && all.len() == cases.len());
    let no_load = review(&DeadCell { load_a: None, link: rated(5.0, 15.0), ..nmc(hard, 6) });
    let open: Vec<_> = no_load.findings.iter().filter(|finding| finding.needs == "load_a").map(|f| f.code).collect();
    assert_eq!(open, ["dead_left_overloaded", "dead_no_link_fits", "dead_link_opens_in_use"]);
}

#[test]
fn bad_input_names_its_place() {
    let mut dead = nmc(DeadFault::Low { dead_v: exact(4.15) }, 1);
    dead.link = Some(FusibleLink::CopperWire { diameter_m: 0.0, length_m: 0.02 });
    let paths: Vec<String> = dead.answer().unwrap_err().iter().map(cellwright::Error::path).collect();
    assert_eq!(paths, ["/parallel", "/fault/low/dead_v", "/link/copper_wire/diameter_m"]);
}
