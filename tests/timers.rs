//! Timer circuits against simulation, and properties that hold for every one.

#![allow(clippy::unwrap_used, clippy::panic)] // a test fails by panicking

#[path = "oracles/case.rs"]
mod case;

use case::number;
use cellwright::data::dielectric::Dielectric;
use cellwright::data::timer::TimerPart;
use cellwright::part::timing::{Circuit, Cycle, DiodeSteered, Limit, OneShot, Outcome, Timer, TwoResistor};
use cellwright::quantity::Interval;
use cellwright::run::timer_span::TimerSpan;
use cellwright::run::timer_spread::{Share, Spread, TimerTolerance};
use serde_json::Value;

const ORACLES: &str = include_str!("oracles/timers.json");

fn timer_of(case: &Value) -> Timer {
    let (ra_ohm, c_f) = (number(case, "ra_ohm"), number(case, "c_F"));
    let circuit = if case["circuit"] == "standard" {
        Circuit::TwoResistor(TwoResistor { ra_ohm, rb_ohm: number(case, "rb_ohm"), c_f })
    } else {
        Circuit::DiodeSteered(DiodeSteered {
            ra_ohm,
            pot_ohm: number(case, "pot_ohm"),
            wiper_ratio: number(case, "wiper_fraction_to_charge_side"),
            charge_ohm: None,
            discharge_ohm: None,
            shared_ohm: None,
            c_f,
            diode: None,
        })
    };
    Timer {
        latch_delay_s: Some(number(case, "latch_delay_s")),
        discharge_on_ohm: Some(number(case, "r_discharge_on_ohm")),
        ..Timer::new(TimerPart::Cmos, circuit)
    }
}

fn cycle(timer: &Timer, supply_v: f64) -> Cycle {
    match timer.outcome(supply_v, 27.0).unwrap() {
        Outcome::Runs(cycle) => cycle,
        Outcome::Outside(outside) => panic!("{outside:?}"),
    }
}

/// Largest relative error of the frequency over the cases that `wanted` picks, against a column of the file.
fn worst(wanted: impl Fn(&Value) -> bool, column: &str, key: &str, get: impl Fn(&Cycle) -> f64) -> f64 {
    let file: Value = serde_json::from_str(ORACLES).unwrap();
    let cases = file["cases"].as_array().unwrap();
    let errors = cases.iter().filter(|case| wanted(case)).map(|case| {
        let expected = number(&case[column], key);
        (get(&cycle(&timer_of(case), number(case, "vcc_V"))) / expected - 1.0).abs()
    });
    errors.fold(0.0, f64::max)
}

fn plain(case: &Value) -> bool {
    case["circuit"] == "standard"
}

fn steered(case: &Value) -> bool {
    !plain(case)
}

#[test]
fn two_resistor_agrees_with_simulation() {
    // Asked: 0.05 %. The simulator's own step leaves 0.02 % against the exact solution.
    let error = worst(plain, "result", "frequency_Hz", |cycle| cycle.frequency_hz);
    println!("two resistors, frequency, simulator: {:.4} %", error * 100.0);
    assert!(error < 0.0005, "{error}");
}

#[test]
fn diode_steered_agrees_with_simulation_to_20_khz() {
    // Asked: 0.5 % to 20 kHz. Above, the simulated junction's capacitance counts, which the law leaves out.
    let slow = |case: &Value| steered(case) && number(&case["result"], "frequency_Hz") <= 20e3;
    let error = worst(slow, "result", "frequency_Hz", |cycle| cycle.frequency_hz);
    println!("diode-steered to 20 kHz, frequency, simulator: {:.4} %", error * 100.0);
    assert!(error < 0.005, "{error}");
    let error = worst(steered, "result", "frequency_Hz", |cycle| cycle.frequency_hz);
    println!("diode-steered to 200 kHz, frequency, simulator: {:.4} %", error * 100.0);
    // 4 pF of junction on 1 nF of timing capacitor is 0.4 %.
    assert!(error < 0.006, "{error}");
}

#[test]
fn both_phases_agree_with_the_independent_solution() {
    // The file gives six digits: half a unit of the sixth is 5e-6 of the value at most.
    for (key, get) in [
        ("t_high_s", (|cycle: &Cycle| cycle.high_s) as fn(&Cycle) -> f64),
        ("t_low_s", |cycle| cycle.low_s),
        ("frequency_Hz", |cycle| cycle.frequency_hz),
    ] {
        let error = worst(|_| true, "independent_ode_check", key, get);
        println!("all circuits, {key}, independent solution: {:.5} %", error * 100.0);
        assert!(error < 6e-6, "{key} {error}");
    }
}

fn two(ra_ohm: f64, rb_ohm: f64, c_f: f64) -> Timer {
    Timer::new(TimerPart::Bipolar, Circuit::TwoResistor(TwoResistor { ra_ohm, rb_ohm, c_f }))
}

fn limits(timer: &Timer, supply_v: f64) -> Vec<Limit> {
    match timer.outcome(supply_v, 27.0).unwrap() {
        Outcome::Runs(_) => Vec::new(),
        Outcome::Outside(outside) => outside.iter().map(|outside| outside.limit).collect(),
    }
}

#[test]
fn outside_the_part_says_so() {
    assert_eq!(limits(&two(10e3, 47e3, 10e-9), 12.0), []);
    assert_eq!(limits(&two(10e3, 47e3, 10e-9), 3.7), [Limit::SupplyV]);
    assert_eq!(limits(&two(10e3, 47e6, 10e-9), 12.0), [Limit::ChargeOhm]);
    assert_eq!(limits(&two(40.0, 47e3, 10e-9), 12.0), [Limit::RaOhm, Limit::DischargeA]);
    assert_eq!(limits(&two(10e3, 10.0, 10e-6), 12.0), [Limit::DischargeA], "the capacitor empties through 10 Ω");
    assert_eq!(limits(&two(1e3, 1e3, 100e-12), 12.0), [Limit::FrequencyHz, Limit::LatchDelayS]);
    assert_eq!(limits(&two(1e3, 1e3, 2e-9), 12.0), [Limit::LatchDelayS]);
    let delayed = Timer { latch_delay_s: Some(1e-7), ..two(1e3, 1e3, 2e-9) };
    assert_eq!(limits(&delayed, 12.0), []);
    // A pin that stays above a third of the supply never ends the discharge.
    assert_eq!(limits(&Timer { discharge_on_ohm: Some(1e3), ..two(1e3, 1e3, 2e-9) }, 12.0), [Limit::Levels]);
}

#[test]
fn delay_lengthens_both_phases() {
    let ideal = cycle(&Timer { latch_delay_s: Some(0.0), ..two(1e3, 1e3, 2e-9) }, 12.0);
    let real = cycle(&Timer { latch_delay_s: Some(1e-7), ..two(1e3, 1e3, 2e-9) }, 12.0);
    assert!(real.high_s > ideal.high_s + 1e-7 && real.low_s > ideal.low_s + 1e-7);
    assert!(real.capacitor_high_v > ideal.capacitor_high_v && real.capacitor_low_v < ideal.capacitor_low_v);
}

fn toleranced(timer: &Timer, seed: u32) -> TimerTolerance {
    TimerTolerance {
        timer: *timer,
        supply_v: Interval { low: 9.0, likely: 11.1, high: 12.6 },
        temperature_degc: Interval { low: 0.0, likely: 20.0, high: 40.0 },
        resistor_ratio: 0.05,
        pot_ratio: None,
        dielectric: Dielectric::X7r,
        capacitor_low_ratio: None,
        capacitor_high_ratio: None,
        over_temperature: None,
        seed,
        draws: Some(500),
    }
}

#[test]
fn more_draws_and_other_seeds_move_percentiles_little() {
    let one = toleranced(&two(10e3, 47e3, 10e-9), 1);
    let few = one.answer().unwrap().frequency_hz.unwrap();
    let many = TimerTolerance { draws: Some(20000), ..one }.answer().unwrap().frequency_hz.unwrap();
    let other = TimerTolerance { seed: 99, ..one }.answer().unwrap().frequency_hz.unwrap();
    for (a, b) in [(few.tenth, many.tenth), (few.ninetieth, many.ninetieth), (few.median, other.median)] {
        // 500 draws place a percentile to within a few of 500 places; the density there makes that 1 %.
        assert!((a / b - 1.0).abs() < 0.01, "{a} {b}");
    }
    assert_eq!(one.answer().unwrap(), one.answer().unwrap());
}

#[test]
fn a_wide_capacitor_dominates() {
    let answer = toleranced(&two(10e3, 47e3, 10e-9), 1).answer().unwrap();
    let width = |share: &Share| libm::log(share.at_high_ratio / share.at_low_ratio).abs();
    let widest = answer.shares.iter().max_by(|a, b| width(a).total_cmp(&width(b))).unwrap();
    assert_eq!(widest.part, "c_f");
    assert!(answer.class_covers_temperature);
    let cold = TimerTolerance { dielectric: Dielectric::Z5u, ..toleranced(&two(10e3, 47e3, 10e-9), 1) };
    assert!(!cold.answer().unwrap().class_covers_temperature, "its class begins at 10 °C");
}

#[test]
fn the_span_lists_every_combination() {
    let span = TimerSpan {
        timer: two(10e3, 47e3, 10e-9),
        supply_v: vec![12.6, 11.1, 4.0],
        temperature_degc: vec![0.0, 40.0],
        wiper_ratio: vec![0.5],
    };
    let answer = span.answer().unwrap();
    let outside = answer.rows.iter().filter(|row| matches!(row.outcome, Outcome::Outside(_))).count();
    assert_eq!((answer.rows.len(), outside), (6, 2), "4 V is too little for a bipolar timer");
}

fn shot(dielectric: Dielectric, charge_ohm: f64, c_f: f64) -> OneShot {
    OneShot {
        part: TimerPart::Bipolar,
        supply_v: 12.0,
        charge_ohm,
        c_f,
        resistor_ratio: 0.05,
        dielectric,
        capacitor_low_ratio: None,
        capacitor_high_ratio: None,
        leak_a: None,
    }
}

/// The same circuit in small steps: the capacitor behind the resistor, with a leak beside it.
fn stepped_s(charge_ohm: f64, c_f: f64, supply_v: f64, start_v: f64, leak_a: f64) -> f64 {
    let step_s = charge_ohm * c_f * 1e-5;
    let (mut v, mut time_s) = (start_v, 0.0);
    while v < supply_v * 2.0 / 3.0 {
        let slope = |v: f64| ((supply_v - v) / charge_ohm - leak_a) / c_f;
        v += step_s * slope(v + 0.5 * step_s * slope(v));
        time_s += step_s;
    }
    time_s
}

#[test]
fn a_single_shot_agrees_with_small_steps() {
    for leak_a in [0.0, 2e-6, 10e-6] {
        let exact = OneShot { leak_a: Some(leak_a), resistor_ratio: 0.0, ..shot(Dielectric::Film, 1e5, 1e-5) };
        let answer = exact.answer().unwrap();
        let row = TimerPart::Bipolar.row();
        let start_v = row.discharge_v + row.discharge_ohm * 12.0 / (1e5 + row.discharge_ohm);
        let stepped = stepped_s(1e5, 1e-5, 12.0, start_v, leak_a + row.threshold_a);
        // What is left over the steps is the part's spread, the capacitor's tolerance and its change over temperature.
        let film = Dielectric::Film.row();
        let scale = (1.0 + row.timing_ratio) * (1.0 + film.tolerance_high_ratio) * (1.0 + film.rise_ratio);
        // One step in a hundred thousand of a time constant.
        assert!((answer.high_s.unwrap() / scale / stepped - 1.0).abs() < 3e-5, "{leak_a}: {answer:?} {stepped}");
        assert!(answer.low_s.unwrap() < answer.likely_s.unwrap() && answer.likely_s.unwrap() < answer.high_s.unwrap());
    }
}

#[test]
fn a_single_shot_says_where_it_may_never_end() {
    // 100 µF may leak 12 µA at 12 V: 4 V over 220 kΩ are 18 µA and pass it, over 470 kΩ they do not.
    assert!(shot(Dielectric::Electrolytic, 220e3, 100e-6).answer().unwrap().high_s.is_some());
    let long = shot(Dielectric::Electrolytic, 470e3, 100e-6).answer().unwrap();
    assert!(long.high_s.is_none() && long.likely_s.is_some(), "{long:?}");
    let limits = |shot: OneShot| {
        let answer = shot.answer().unwrap();
        assert!(answer.outside.is_empty() || (answer.likely_s, answer.low_s, answer.high_s) == (None, None, None));
        answer.outside.iter().map(|outside| outside.limit).collect::<Vec<_>>()
    };
    assert_eq!(limits(shot(Dielectric::Film, 20e6, 1e-6)), [Limit::ChargeOhm]);
    assert_eq!(limits(shot(Dielectric::Film, 10.0, 1e-6)), [Limit::RaOhm]);
    assert_eq!(limits(OneShot { supply_v: 3.7, ..shot(Dielectric::Film, 1e5, 1e-6) }), [Limit::SupplyV]);
}

#[cfg(not(target_arch = "wasm32"))]
mod properties {
    use super::*;
    use proptest::prelude::*;

    fn any_steered() -> impl Strategy<Value = Timer> {
        let ohms = || 0.0..1e5;
        (10.0..1e5, 1e2..1e6, 0.0..=1.0, ohms(), ohms(), ohms(), 1e-11..1e-4).prop_map(
            |(ra_ohm, pot_ohm, wiper_ratio, charge, discharge, shared, c_f)| {
                let steered = DiodeSteered {
                    ra_ohm,
                    pot_ohm,
                    wiper_ratio,
                    charge_ohm: Some(charge),
                    discharge_ohm: Some(discharge),
                    shared_ohm: Some(shared),
                    c_f,
                    diode: None,
                };
                Timer { latch_delay_s: Some(0.0), ..Timer::new(TimerPart::Bipolar, Circuit::DiodeSteered(steered)) }
            },
        )
    }

    fn with_c(timer: &Timer, factor: f64) -> Timer {
        let circuit = match timer.circuit {
            Circuit::DiodeSteered(steered) => {
                Circuit::DiodeSteered(DiodeSteered { c_f: steered.c_f * factor, ..steered })
            }
            other => other,
        };
        Timer { circuit, ..*timer }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn duty_and_times_stay_in_range(timer in any_steered(), supply_v in 4.5..16.0) {
            if let Outcome::Runs(cycle) = timer.outcome(supply_v, 27.0).unwrap() {
                prop_assert!(cycle.duty > 0.0 && cycle.duty < 1.0);
                prop_assert!(cycle.high_s > 0.0 && cycle.low_s > 0.0);
                let sum = cycle.high_s + cycle.low_s;
                prop_assert!((cycle.period_s - sum).abs() <= f64::EPSILON * sum);
            }
        }

        #[test]
        fn frequency_falls_as_c_grows(timer in any_steered(), supply_v in 4.5..16.0, factor in 1.001..10.0) {
            let (small, large) = (timer.outcome(supply_v, 27.0).unwrap(), with_c(&timer, factor).outcome(supply_v, 27.0).unwrap());
            if let (Outcome::Runs(small), Outcome::Runs(large)) = (small, large) {
                prop_assert!(large.frequency_hz < small.frequency_hz);
                // Without delay the duty does not depend on the capacitor; rounding alone remains.
                prop_assert!((large.duty - small.duty).abs() < 1e-12);
            }
        }

        #[test]
        fn duty_rises_with_the_knob(timer in any_steered(), supply_v in 4.5..16.0, from in 0.0..0.99) {
            let (low, high) = (timer.turned(from).outcome(supply_v, 27.0).unwrap(), timer.turned(from + 0.01).outcome(supply_v, 27.0).unwrap());
            if let (Outcome::Runs(low), Outcome::Runs(high)) = (low, high) {
                prop_assert!(high.duty > low.duty);
            }
        }

    #[test]
        fn percentiles_lie_inside_corners(timer in any_steered(), seed in any::<u32>()) {
            let tolerance = TimerTolerance { draws: Some(100), ..toleranced(&timer, seed) };
            let answer = tolerance.answer().unwrap();
            for spread in [answer.frequency_hz, answer.duty].into_iter().flatten() {
                let Spread { low, tenth, median, ninetieth, high } = spread;
                prop_assert!(low <= tenth && tenth <= median && median <= ninetieth && ninetieth <= high);
            }
        }

            #[test]
        fn any_bits_give_numbers_or_errors(bits in any::<[u64; 8]>()) {
            let [ra_ohm, pot_ohm, wiper_ratio, charge, c_f, supply_v, delay, degc] = bits.map(f64::from_bits);
            let steered = DiodeSteered {
                ra_ohm, pot_ohm, wiper_ratio, charge_ohm: Some(charge), discharge_ohm: None, shared_ohm: None, c_f, diode: None,
            };
            let timer = Timer { latch_delay_s: Some(delay), ..Timer::new(TimerPart::Bipolar, Circuit::DiodeSteered(steered)) };
            if let Ok(Outcome::Runs(cycle)) = timer.outcome(supply_v, degc) {
                prop_assert!(cycle.period_s.is_finite() && cycle.duty.is_finite());
            }
        }
    }
}
