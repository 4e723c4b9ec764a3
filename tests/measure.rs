//! Measuring a cell at home: the truth lies inside the stated doubt whatever the meter does within its accuracy.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use cellwright::Interval;
use cellwright::data::chemistry;
use cellwright::part::cell::{Chemistry, Curves};
use cellwright::part::measure::capacity::{DischargeLog, DischargedBy, LogReading};
use cellwright::part::measure::resistance::{LoadCurrent, LoadReading, PulseReading, TwoLoads};
use cellwright::part::measure::{Ammeter, Voltmeter};
use cellwright::quantity::draw::Draws;
use cellwright::run::self_discharge::RestTest;

const METER: Voltmeter = Voltmeter { reading_ratio: 0.005, digits: 2.0, step_v: 0.001 };
const AMMETER: Ammeter = Ammeter { reading_ratio: 0.012, digits: 3.0, step_a: 0.01 };
const DAY_S: f64 = 86400.0;

/// What a meter shows when its gain and its other error lie at `gain` and `rest` (−1 to 1) of their limits.
fn shown(true_value: f64, ratio: f64, error: f64, gain: f64, rest: f64) -> f64 {
    true_value * (1.0 + gain * ratio) + rest * error
}

fn shown_v(true_v: f64, gain: f64, rest: f64) -> f64 {
    shown(true_v, METER.reading_ratio, METER.error_v(), gain, rest)
}

#[test]
fn the_true_resistance_lies_inside_whatever_the_meters_do() {
    let draws = Draws::new(3, 9);
    let mut narrowest: f64 = 1.0;
    for n in 0..2000 {
        let sign = |dimension| draws.between(n, dimension, -1.0, 1.0);
        let ohm = draws.between(n, 0, 0.03, 0.2);
        let (light_ohm, heavy_ohm) = (draws.between(n, 1, 10.0, 50.0), draws.between(n, 2, 1.5, 4.0));
        let rest_v = 3.9;
        let load = |load_ohm: f64| rest_v * load_ohm / (load_ohm + ohm);
        let (light_v, heavy_v) = (load(light_ohm), load(heavy_ohm));
        let gain = sign(3);
        let reading = |true_v, rest, current| LoadReading { cell_v: shown_v(true_v, gain, rest), current };
        let resistor = |ohm: f64, off: f64| {
            let marked = ohm * (1.0 + 0.01 * off);
            LoadCurrent::Resistor { resistor_ohm: Interval::around(marked, 0.0102) }
        };
        let by_resistor = TwoLoads {
            voltmeter: METER,
            same_range: true,
            ammeter: None,
            light: reading(light_v, sign(4), resistor(light_ohm, sign(6))),
            heavy: reading(heavy_v, sign(5), resistor(heavy_ohm, sign(7))),
            after_s: 5.0,
        };
        let gain_a = sign(8);
        let ammeter = |true_a: f64, rest: f64| LoadCurrent::Shown {
            current_a: shown(true_a, AMMETER.reading_ratio, AMMETER.digits * AMMETER.step_a, gain_a, rest),
        };
        let by_ammeter = TwoLoads {
            ammeter: Some(AMMETER),
            light: reading(light_v, sign(4), ammeter(light_v / light_ohm, sign(6))),
            heavy: reading(heavy_v, sign(5), ammeter(heavy_v / heavy_ohm, sign(7))),
            ..by_resistor
        };
        for test in [by_resistor, by_ammeter] {
            if let Some(found) = test.answer().unwrap().resistance_ohm {
                assert!(
                    found.low <= ohm * (1.0 + 1e-9) && ohm <= found.high * (1.0 + 1e-9),
                    "{ohm} {found:?} {test:?}"
                );
                narrowest = narrowest.min((found.high - found.low) / ohm);
            }
        }
    }
    assert!(narrowest < 0.1, "some readings tell to a few percent: {narrowest}");
}

#[test]
fn a_pulse_is_two_loads_of_which_one_is_none() {
    let pulse = LoadReading { cell_v: 3.70, current: LoadCurrent::Shown { current_a: 1.0 } };
    let rest = LoadReading { cell_v: 3.80, current: LoadCurrent::Open };
    let by_pulse =
        PulseReading { voltmeter: METER, same_range: true, ammeter: Some(AMMETER), rest_v: 3.80, pulse, after_s: 10.0 };
    let by_loads = TwoLoads {
        voltmeter: METER,
        same_range: true,
        ammeter: Some(AMMETER),
        light: rest,
        heavy: pulse,
        after_s: 10.0,
    };
    assert_eq!(by_pulse.answer().unwrap(), by_loads.answer().unwrap());
    let found = by_pulse.answer().unwrap();
    assert_eq!((found.after_s, found.coarse), (10.0, None));
    let two_meters = PulseReading { same_range: false, ..by_pulse }.answer().unwrap_err();
    assert_eq!(two_meters[0].path(), "/same_range");
    let wrong = PulseReading {
        rest_v: 0.0,
        pulse: LoadReading { cell_v: f64::NAN, current: LoadCurrent::Open },
        ammeter: None,
        ..by_pulse
    };
    let paths: Vec<_> = wrong.answer().unwrap_err().iter().map(cellwright::Error::path).collect();
    assert_eq!(paths, ["/rest_v", "/pulse/cell_v"]);
    let idle = PulseReading { pulse: LoadReading { cell_v: 3.7, current: LoadCurrent::Open }, ..by_pulse };
    assert_eq!(idle.answer().unwrap_err()[0].path(), "/pulse");
}

#[test]
fn a_coarse_step_is_told_with_what_is_needed() {
    let test = |step_v, heavy_v| TwoLoads {
        voltmeter: Voltmeter { step_v, ..METER },
        same_range: true,
        ammeter: Some(AMMETER),
        light: LoadReading { cell_v: 3.80, current: LoadCurrent::Open },
        heavy: LoadReading { cell_v: heavy_v, current: LoadCurrent::Shown { current_a: 2.0 } },
        after_s: 5.0,
    };
    let coarse = test(0.01, 3.70).answer().unwrap().coarse.unwrap();
    assert!(test(0.01, 3.80 - coarse.drop_v).answer().unwrap().coarse.is_none(), "a larger drop tells");
    assert!(test(coarse.step_v.unwrap(), 3.70).answer().unwrap().coarse.is_none(), "a finer step tells");
}

/// A cell of constant resistance and straight rest voltage on a resistor, read every so often.
fn log(every_s: f64, gain: f64, load: DischargedBy, load_ohm: f64) -> (DischargeLog, f64) {
    let (mut time_s, mut charge, mut next_s) = (0.0, 0.0, 0.0);
    let (full, dt_s) = (2.0 * 3600.0, 1.0);
    let mut readings = Vec::new();
    let end_v = 3.0;
    let mut index = 0;
    loop {
        let soc: f64 = 1.0 - charge / full;
        let cell_v = (2.9 + 1.2 * soc.max(0.0)) * load_ohm / (load_ohm + 0.08);
        if time_s >= next_s || cell_v <= end_v {
            let rest = if index % 2 == 0 { 0.9 } else { -0.9 };
            readings.push(LogReading { time_s, cell_v: shown_v(cell_v, gain, rest) });
            next_s += every_s;
            index += 1;
        }
        if cell_v <= end_v {
            break;
        }
        charge += cell_v / load_ohm * dt_s;
        time_s += dt_s;
    }
    (DischargeLog { voltmeter: METER, discharged_by: load, readings, end_v: None }, charge / 3600.0)
}

#[test]
fn the_true_capacity_lies_inside_and_gaps_widen_it() {
    let resistor = DischargedBy::Resistor { resistor_ohm: Interval::around(4.04, 0.01) };
    let mut before = 0.0;
    for every_s in [60.0, 600.0, 1800.0] {
        for gain in [-0.95, 0.0, 0.95] {
            let (log, true_ah) = log(every_s, gain, resistor, 4.0);
            let found = log.answer().unwrap();
            assert!(found.capacity_ah.low < true_ah && true_ah < found.capacity_ah.high, "{true_ah} {found:?}");
            assert!(found.energy_wh.low < found.energy_wh.likely && found.energy_wh.likely < found.energy_wh.high);
            assert!(!found.ended_early);
            if gain == 0.0 {
                assert!(found.gaps_ah > before, "{found:?}");
                before = found.gaps_ah;
                // By trapezoids the gaps themselves hardly count: the resistor's 1 % is what is off.
                assert!((found.capacity_ah.likely / true_ah - 1.0).abs() < 0.0105, "{found:?} {true_ah}");
            }
        }
    }
}

#[test]
fn a_log_that_cannot_be_is_refused_and_one_that_stops_early_is_told() {
    let steady = DischargedBy::Steady { current_a: Interval::around(0.5, 0.01) };
    let readings = |list: &[(f64, f64)]| {
        let readings = list.iter().map(|&(time_s, cell_v)| LogReading { time_s, cell_v }).collect();
        DischargeLog { voltmeter: METER, discharged_by: steady, readings, end_v: Some(3.0) }
    };
    let early = readings(&[(0.0, 4.1), (3600.0, 3.7)]).answer().unwrap();
    assert!(early.ended_early && (early.capacity_ah.likely - 0.5).abs() < 1e-12);
    let crossed = readings(&[(0.0, 4.1), (3600.0, 3.2), (7200.0, 2.8)]).answer().unwrap();
    assert!((crossed.capacity_ah.likely - 0.75).abs() < 1e-12);
    assert!(crossed.capacity_ah.low < 0.5 && crossed.capacity_ah.high > 1.0);
    let path = |list: &[(f64, f64)]| readings(list).answer().unwrap_err()[0].path();
    assert_eq!(path(&[(0.0, 4.1), (3600.0, 3.6), (7200.0, 3.7)]), "/readings/2/cell_v");
    assert_eq!(path(&[(0.0, 4.1), (3600.0, 3.6), (3600.0, 3.5)]), "/readings/2/time_s");
    assert_eq!(path(&[(0.0, 4.1)]), "/readings");
    assert_eq!(path(&[(0.0, 2.9), (10.0, 2.8)]), "/end_v");
}

fn rest_test(chemistry: Chemistry, first_v: f64, second_v: f64, days: f64) -> RestTest {
    RestTest {
        own_chemistries: vec![],
        chemistry,
        voltmeter: METER,
        same_range: true,
        rested_s: 2.0 * DAY_S,
        first_v,
        second_v,
        between_s: days * DAY_S,
        temperature_change_k: Some(0.0),
    }
}

#[test]
fn the_true_self_discharge_lies_inside() {
    let curves = Curves::derive(&chemistry::NMC.rest_v, &[]);
    let draws = Draws::new(5, 5);
    for n in 0..200 {
        let sign = |dimension| draws.between(n, dimension, -1.0, 1.0);
        let (soc, lost) = (draws.between(n, 0, 0.3, 0.98), draws.between(n, 1, 0.0, 0.15));
        let first_v = shown_v(curves.rest_v(soc), sign(2), sign(3));
        let second_v = shown_v(curves.rest_v(soc - lost), sign(2), sign(4));
        let answer = rest_test(Chemistry::Nmc, first_v, second_v, 30.0).answer().unwrap();
        assert!(answer.at_most_ratio >= lost - 1e-9, "{lost} {answer:?}");
        if let Some(found) = answer.self_discharge_ratio {
            assert!(found.low <= lost + 1e-9 && found.low <= found.likely && found.likely <= found.high, "{answer:?}");
        }
    }
}

#[test]
fn what_cannot_be_seen_is_told_with_days_and_step() {
    let lfp = rest_test(Chemistry::Lfp, 3.300, 3.298, 30.0).answer().unwrap();
    assert_eq!((lfp.self_discharge_ratio, lfp.tells), (None, false));
    // One millivolt of the flat part is 2 to 3 % of the charge.
    assert!((0.02..0.03).contains(&lfp.ratio_per_millivolt) || lfp.ratio_per_millivolt < 0.003, "{lfp:?}");
    assert!(lfp.needed_s > 30.0 * DAY_S);
    let longer = rest_test(Chemistry::Lfp, 3.300, 3.298, lfp.needed_s / DAY_S * 1.0001).answer().unwrap();
    assert!(longer.tells, "{longer:?}");
    let exact = Voltmeter { reading_ratio: 0.0, ..METER };
    let few_days = RestTest { voltmeter: exact, ..rest_test(Chemistry::Nmc, 3.800, 3.799, 3.0) };
    let answer = few_days.answer().unwrap();
    assert!(!answer.tells);
    let step_v = answer.needed_step_v.unwrap();
    let finer = RestTest { voltmeter: Voltmeter { step_v, ..exact }, ..few_days.clone() };
    assert!(finer.answer().unwrap().tells, "{step_v}");
    let warmer = RestTest { temperature_change_k: Some(10.0), ..finer }.answer().unwrap();
    assert!(!warmer.tells, "{warmer:?}");
    let rose = rest_test(Chemistry::Nmc, 3.80, 3.82, 10.0).answer().unwrap();
    assert!(rose.rose && rose.self_discharge_ratio.is_none());
}

#[test]
fn a_day_of_rest_and_one_meter_are_asked_for() {
    let early = RestTest { rested_s: 3600.0, ..rest_test(Chemistry::Nmc, 4.0, 3.99, 20.0) };
    assert_eq!(early.answer().unwrap_err()[0].field(), "rested_s");
    let two = RestTest { same_range: false, ..rest_test(Chemistry::Nmc, 4.0, 3.99, 20.0) };
    assert_eq!(two.answer().unwrap_err()[0].field(), "same_range");
    let outside = rest_test(Chemistry::Lfp, 4.0, 3.99, 20.0).answer().unwrap_err();
    assert_eq!(outside.len(), 2);
}
