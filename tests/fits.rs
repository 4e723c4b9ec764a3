//! A load's law found again from readings of a load that is known.

use cellwright::data::timer::TimerPart;
use cellwright::part::load::Draw;
use cellwright::part::timing::{Circuit, Outcome, Timer, TwoResistor};
use cellwright::quantity::Interval;
use cellwright::run::fit::{LoadBasis, LoadFit, LoadLabel, SettingReading};

/// A blower of 19 W at 12 V whose power grows with the given exponent, behind 80 mΩ.
fn read(duty: f64, exponent: f64, off: [f64; 2]) -> SettingReading {
    let load_v = 12.0 - duty;
    let power_w = 19.0 * libm::pow(duty * load_v / 12.0, exponent);
    let mean_a = power_w / load_v;
    let pack_v = Some(load_v + 0.08 * mean_a / duty);
    SettingReading {
        duty,
        load_v: load_v * off[0],
        pack_v,
        mean_a: mean_a * off[1],
        wiper_ratio: None,
        frequency_hz: None,
    }
}

fn fit(readings: Vec<SettingReading>) -> LoadFit {
    let label = LoadLabel { current_a: 2.0, at_v: 12.0, exponent: 3.0 };
    LoadFit { label, readings, error_ratio: 0.01, timer: None }
}

#[test]
fn law_and_lead_are_found_again() {
    for exponent in [1.0, 2.0, 2.7, 3.0] {
        let exact = [1.0, 1.0];
        let answer = fit([0.4, 0.7, 1.0].map(|duty| read(duty, exponent, exact)).to_vec()).answer().unwrap();
        // Rounding alone.
        assert!((answer.exponent.likely - exponent).abs() < 1e-9 && answer.left_over_ratio < 1e-9);
        assert!((answer.lead_ohm.unwrap().likely - 0.08).abs() < 1e-9);
        assert!((answer.label_power_w.likely - 19.0).abs() < 1e-6);
        assert_eq!(answer.basis, LoadBasis::Measured);
    }
}

#[test]
fn truth_lies_inside_whatever_the_meters_do_within_their_error() {
    for corner in 0..64 {
        let off = |bit: i32| if corner >> bit & 1 == 1 { 1.01 } else { 0.99 };
        let readings: Vec<_> =
            [0.4, 0.7, 1.0].iter().zip(0..).map(|(duty, i)| read(*duty, 2.5, [off(2 * i), off(2 * i + 1)])).collect();
        let answer = fit(readings).answer().unwrap();
        let holds = |interval: Interval, truth: f64| interval.low <= truth && truth <= interval.high;
        assert!(holds(answer.exponent, 2.5), "{answer:?}");
        assert!(holds(answer.label_power_w, 19.0), "{answer:?}");
    }
}

#[test]
fn label_counts_until_it_is_measured() {
    let label = fit(Vec::new()).answer().unwrap();
    assert_eq!(label.basis, LoadBasis::Label);
    assert!(!label.label_is_refuted && label.holds_from_v.is_none());
    let Draw::FollowsVoltage { power_w, .. } = label.draw else { panic!() };
    assert!(power_w.high > 24.0 && power_w.low < 24.0);
    let told = fit(vec![read(0.5, 3.0, [1.0, 1.0]), read(1.0, 3.0, [1.0, 1.0])]).answer().unwrap();
    assert!(told.label_is_refuted, "24 W on the label, 19 W measured: {told:?}");
}

#[test]
fn readings_that_tell_nothing_are_refused() {
    let alike = fit(vec![read(0.9, 3.0, [1.0, 1.0]), read(0.92, 3.0, [1.0, 1.0])]);
    assert_eq!(alike.answer().unwrap_err()[0].path(), "/readings");
    let mut falling = fit(vec![read(0.5, 3.0, [1.0, 1.0]), read(1.0, 3.0, [1.0, 1.0])]);
    falling.readings[0].mean_a = 5.0;
    assert_eq!(falling.answer().unwrap_err()[0].code(), "not_accepted");
    falling.readings[1].mean_a = f64::NAN;
    assert_eq!(falling.answer().unwrap_err()[0].path(), "/readings/1/mean_a");
}

#[test]
fn capacitor_is_found_by_the_frequency() {
    let timer =
        |c_f| Timer::new(TimerPart::Cmos, Circuit::TwoResistor(TwoResistor { ra_ohm: 10e3, rb_ohm: 47e3, c_f }));
    let Outcome::Runs(cycle) = timer(12e-9).outcome(11.6, 27.0).unwrap() else { panic!() };
    let mut reading = read(cycle.duty, 3.0, [1.0, 1.0]);
    (reading.pack_v, reading.wiper_ratio, reading.frequency_hz) = (Some(11.6), Some(0.5), Some(cycle.frequency_hz));
    let mut marked = fit(vec![reading]);
    marked.timer = Some(timer(10e-9));
    let answer = marked.answer().unwrap();
    // The period grows with the capacitor alone: rounding remains.
    assert!((answer.capacitor_ratio.unwrap().likely - 1.2).abs() < 1e-9);
    assert!(answer.duty_shift.unwrap().likely.abs() < 1e-9);
}
