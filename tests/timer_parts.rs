//! The choice of timer parts against brute force over every set of parts.

#![allow(clippy::unwrap_used, clippy::panic)] // a test fails by panicking

use cellwright::data::dielectric::Dielectric;
use cellwright::data::diode::Diode;
use cellwright::data::series::Series;
use cellwright::data::timer::TimerPart;
use cellwright::part::choice::preferred;
use cellwright::part::timing::{Circuit, Cycle, DiodeSteered, Outcome, Timer, TwoResistor};
use cellwright::run::timer_parts::{Drawer, Form, Preferred, Stock, TimerWish};

const SUPPLY_V: f64 = 11.1;

fn wish(form: Form, frequency_hz: f64, duty_low: f64, duty_high: f64, stock: Stock) -> TimerWish {
    TimerWish {
        part: TimerPart::Bipolar,
        form,
        supply_v: SUPPLY_V,
        temperature_degc: None,
        frequency_low_hz: frequency_hz,
        frequency_high_hz: frequency_hz,
        duty_low,
        duty_high,
        stock,
        same_error_ratio: None,
        most: Some(5),
    }
}

/// Every set's error, from the answers of the timer itself, best first.
fn brute(wish: &TimerWish, resistors: &[f64], pots: &[f64], capacitors: &[f64]) -> Vec<f64> {
    let steered = wish.form != Form::TwoResistor;
    let mut errors = Vec::new();
    for ra_ohm in resistors {
        for rb_ohm in resistors {
            for c_f in capacitors {
                let (ra_ohm, rb_ohm, c_f) = (*ra_ohm, *rb_ohm, *c_f);
                if steered {
                    for pot_ohm in pots {
                        let circuit = Circuit::DiodeSteered(DiodeSteered {
                            ra_ohm,
                            pot_ohm: *pot_ohm,
                            wiper_ratio: 0.5,
                            charge_ohm: None,
                            discharge_ohm: Some(rb_ohm),
                            shared_ohm: None,
                            c_f,
                            diode: None,
                        });
                        errors.extend(error(wish, &Timer::new(wish.part, circuit)));
                    }
                } else {
                    let circuit = Circuit::TwoResistor(TwoResistor { ra_ohm, rb_ohm, c_f });
                    errors.extend(error(wish, &Timer::new(wish.part, circuit)));
                }
            }
        }
    }
    errors.sort_by(f64::total_cmp);
    errors
}

fn error(wish: &TimerWish, timer: &Timer) -> Option<f64> {
    // Without delay the period may lie beyond the law's end; the search does not go there either.
    let ends: Vec<Cycle> = [0.0, 1.0]
        .into_iter()
        .filter_map(|turn| match timer.turned(turn).outcome(wish.supply_v, 27.0).unwrap() {
            Outcome::Runs(cycle) => Some(cycle),
            Outcome::Outside(_) => None,
        })
        .collect();
    let [low, high] = ends.as_slice() else { return None };
    let away = |cycle: &Cycle| (cycle.frequency_hz / wish.frequency_low_hz - 1.0).abs();
    let duty = if wish.form == Form::TwoResistor {
        (wish.duty_low - low.duty).max(low.duty - wish.duty_high).max(0.0)
    } else {
        (low.duty - wish.duty_low).abs().max((high.duty - wish.duty_high).abs())
    };
    Some(away(low).max(away(high)).max(duty))
}

fn coarse() -> Preferred {
    Preferred {
        resistors: Series::E6,
        resistor_low_ohm: None,
        resistor_high_ohm: Some(220e3),
        dielectric: Dielectric::Film,
        capacitors: Some(Series::E6),
        capacitor_low_f: Some(1e-9),
        capacitor_high_f: Some(1e-6),
        pots_ohm: Some(vec![10e3, 47e3, 100e3]),
    }
}

fn agrees(wish: &TimerWish, brute: &[f64]) {
    let found: Vec<f64> = wish.answer().unwrap().choices.iter().map(|choice| choice.error_ratio).collect();
    assert_eq!(found.len(), 5);
    for (found, brute) in found.iter().zip(brute) {
        // The search multiplies the time per farad, the timer the capacitor itself: rounding alone differs.
        assert!((found - brute).abs() < 1e-12, "{wish:?}: {found} against {brute}");
    }
}

#[test]
fn nothing_better_exists_among_preferred_values() {
    let (resistors, capacitors) = (preferred(Series::E6, 1e3, 220e3), preferred(Series::E6, 1e-9, 1e-6));
    let pots = [10e3, 47e3, 100e3];
    for (frequency_hz, duty_low, duty_high) in
        [(200.0, 0.1, 0.95), (997.0, 0.03, 0.8), (25e3, 0.2, 0.9), (37.0, 0.45, 0.55), (3e3, 0.05, 0.97)]
    {
        let stock = Stock::Preferred(coarse());
        let steered = wish(Form::DiodeSteered(Diode::SmallSignal), frequency_hz, duty_low, duty_high, stock.clone());
        agrees(&steered, &brute(&steered, &resistors, &pots, &capacitors));
        let plain = wish(Form::TwoResistor, frequency_hz, duty_high - 0.04, duty_high, stock);
        agrees(&plain, &brute(&plain, &resistors, &pots, &capacitors));
    }
}

/// Single values and every pair, written here once more.
fn with_pairs(values: &[f64]) -> Vec<f64> {
    let mut all = values.to_vec();
    for (index, a) in values.iter().enumerate() {
        for b in &values[index..] {
            all.extend([a + b, a * b / (a + b)]);
        }
    }
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}

#[test]
fn nothing_better_exists_in_the_drawer() {
    let resistors_ohm = vec![1e3, 2.2e3, 4.7e3, 47e3];
    let capacitors_f = vec![10e-9, 100e-9, 470e-9];
    let pots = vec![22e3, 50e3];
    let drawer = Drawer { resistors_ohm, capacitors_f, pots_ohm: Some(pots.clone()) };
    let (resistors, capacitors) = (with_pairs(&drawer.resistors_ohm), with_pairs(&drawer.capacitors_f));
    for (frequency_hz, duty_low, duty_high) in [(200.0, 0.1, 0.95), (997.0, 0.03, 0.8), (5e3, 0.2, 0.9)] {
        let stock = Stock::Drawer(drawer.clone());
        let steered = wish(Form::DiodeSteered(Diode::SmallSignal), frequency_hz, duty_low, duty_high, stock.clone());
        agrees(&steered, &brute(&steered, &resistors, &pots, &capacitors));
        let plain = wish(Form::TwoResistor, frequency_hz, duty_high - 0.04, duty_high, stock);
        agrees(&plain, &brute(&plain, &resistors, &pots, &capacitors));
    }
}

#[test]
fn parts_that_overload_the_pin_or_run_too_fast_are_left_out() {
    // Small resistors overload the discharge pin; at the end of the law some sets would run beyond it.
    let preferred = || Preferred { resistor_low_ohm: Some(10.0), resistor_high_ohm: Some(4.7e3), ..coarse() };
    let (resistors, capacitors) = (preferred_ohm(10.0, 4.7e3), preferred_ohm(1e-9, 1e-6));
    let pots = [10e3, 47e3, 100e3];
    for (frequency_hz, duty_low, duty_high) in [(99e3, 0.03, 0.9985), (400.0, 0.02, 0.998)] {
        let stock = Stock::Preferred(preferred());
        let steered = wish(Form::DiodeSteered(Diode::SmallSignal), frequency_hz, duty_low, duty_high, stock.clone());
        agrees(&steered, &brute(&steered, &resistors, &pots, &capacitors));
        let plain = wish(Form::TwoResistor, frequency_hz, duty_high - 0.04, duty_high, stock);
        agrees(&plain, &brute(&plain, &resistors, &pots, &capacitors));
    }
}

fn preferred_ohm(low: f64, high: f64) -> Vec<f64> {
    preferred(Series::E6, low, high)
}

#[test]
fn equal_errors_are_ranked_by_parts() {
    let drawer = Drawer {
        resistors_ohm: vec![1e3, 2e3, 10e3, 20e3],
        capacitors_f: vec![10e-9, 20e-9, 100e-9],
        pots_ohm: Some(vec![50e3]),
    };
    let exact = wish(Form::DiodeSteered(Diode::SmallSignal), 200.0, 0.1, 0.9, Stock::Drawer(drawer));
    let coarse = TimerWish { same_error_ratio: Some(0.5), ..exact.clone() };
    let (exact, coarse) = (exact.answer().unwrap(), coarse.answer().unwrap());
    assert_eq!(coarse.choices[0].parts, 4, "single parts come first where errors count as equal");
    assert!(coarse.choices[0].error_ratio > exact.choices[0].error_ratio);
    assert!(exact.choices.windows(2).all(|pair| pair[0].error_ratio <= pair[1].error_ratio));
}

#[test]
fn what_cannot_be_met_is_named() {
    let stock = Stock::Drawer(Drawer { resistors_ohm: vec![1e3], capacitors_f: vec![1e-9], pots_ohm: Some(vec![1e3]) });
    let answer = wish(Form::DiodeSteered(Diode::SmallSignal), 100.0, 0.1, 0.9, stock.clone()).answer().unwrap();
    let fields: Vec<&str> = answer.unmet.iter().map(|unmet| unmet.field).collect();
    assert!(answer.choices.is_empty() || fields == ["frequency_hz", "duty_low", "duty_high"], "{answer:?}");
    let errors = wish(Form::TwoResistor, 100.0, 0.1, 0.5, stock).answer().unwrap_err();
    assert_eq!(errors[0].path(), "/duty_high");
    let errors = wish(
        Form::TwoResistor,
        100.0,
        0.1,
        0.7,
        Stock::Drawer(Drawer { resistors_ohm: vec![], capacitors_f: vec![1e-9, -1.0], pots_ohm: None }),
    );
    let paths: Vec<String> = errors.answer().unwrap_err().iter().map(cellwright::Error::path).collect();
    assert_eq!(paths, ["/stock/drawer/resistors_ohm", "/stock/drawer/capacitors_f/1"]);
}
