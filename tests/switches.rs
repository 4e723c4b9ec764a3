//! The switch, its capacitor, and the findings about speed control.

use cellwright::data::diode::Diode;
use cellwright::data::switch::{IRFZ44N, Mosfet, Transistor};
use cellwright::data::timer::TimerPart;
use cellwright::finding::drive::{
    CapacitorCase, DriveCase, LoadKind, SwitchCase, frequency_rules::RULES as FREQUENCY_RULES,
    switch_rules::RULES as SWITCH_RULES,
};
use cellwright::part::decoupling::SupplyCapacitor;
use cellwright::part::switch::{Drive, Heat, OnState, Settled, Switch};
use cellwright::quantity::Interval;
use cellwright::{Finding, Judgement, Urgency};
use std::collections::BTreeSet;

fn switch(transistor: Transistor) -> Switch {
    Switch {
        transistor,
        drive: Drive { timer: TimerPart::Bipolar, gate_ohm: 47.0, pull_down_ohm: Some(10e3) },
        supply_full_v: 12.6,
        supply_empty_v: 9.0,
        on_a: 4.0,
        duty: 1.0,
        frequency_hz: 200.0,
        ambient_degc: 40.0,
        sink_k_per_w: None,
        flyback: Some(Diode::Schottky),
        duty_low: Some(0.5),
    }
}

fn settled(heat: Heat) -> Settled {
    match heat {
        Heat::Settles(settled) => settled,
        other => panic!("{other:?}"),
    }
}

#[test]
fn temperature_solves_its_own_equation() {
    let on_ohm = 0.05;
    let mosfet =
        Mosfet { on: cellwright::data::switch::OnPoint { gate_v: 5.0, on_ohm }, hot_ratio: Some(1.8), ..IRFZ44N };
    let switch = switch(Transistor::Mosfet(mosfet));
    let answer = switch.answer().unwrap();
    let settled = settled(answer.without_sink);
    let loss_w = 16.0 * on_ohm * (1.0 + 0.8 * (settled.junction_degc - 25.0) / 100.0) + answer.switching_w.unwrap();
    let junction_degc = 40.0 + 62.0 * loss_w;
    // Rounding of a dozen operations.
    assert!((junction_degc - settled.junction_degc).abs() < 1e-9, "{junction_degc} {settled:?}");
}

#[test]
fn resistance_that_grows_with_heat_runs_away() {
    let hot = |on_ohm: f64| {
        let mosfet = Mosfet { on: cellwright::data::switch::OnPoint { gate_v: 5.0, on_ohm }, ..IRFZ44N };
        Switch { ambient_degc: 25.0, ..switch(Transistor::Mosfet(mosfet)) }.answer().unwrap().without_sink
    };
    assert!(matches!(hot(0.01), Heat::Settles(_)));
    assert_eq!(hot(0.06), Heat::TooHot);
    // 62 K/W · 16 A² · 0.08 Ω · 1.5 %/K is more than one: each kelvin makes more than a kelvin.
    assert_eq!(hot(0.08), Heat::RunsAway);
}

#[test]
fn an_empty_pack_leaves_less_gate_voltage() {
    let answer = switch(Transistor::Irfz44n).answer().unwrap();
    // 9 V less 2.25 V, shared by 47 Ω and 10 kΩ.
    assert!((answer.gate.gate_v - 6.75 * 10e3 / 10047.0).abs() < 1e-12);
    let OnState::NotGuaranteed(not) = answer.on else { panic!() };
    assert_eq!((not.needed, not.unit), (10.0, "v"));
    assert_eq!(answer.without_sink, Heat::NotKnown);
    let cmos = Drive { timer: TimerPart::Cmos, gate_ohm: 47.0, pull_down_ohm: Some(10e3) };
    let full = Switch { drive: cmos, supply_empty_v: 11.5, ..switch(Transistor::Irfz44n) };
    assert!(matches!(full.answer().unwrap().on, OnState::Guaranteed(_)));
}

#[test]
fn a_weak_timer_switches_slowly() {
    let with = |timer| {
        let drive = Drive { timer, gate_ohm: 47.0, pull_down_ohm: Some(10e3) };
        let fast = Switch { drive, frequency_hz: 20e3, ..switch(Transistor::Csd18510ktt) };
        fast.answer().unwrap().gate.rise_s.unwrap()
    };
    let (strong, weak) = (with(TimerPart::Bipolar), with(TimerPart::LowDriveCmos));
    assert!(weak > 50.0 * strong, "{strong} {weak}");
}

#[test]
fn a_darlington_needs_a_hundredth_of_the_current() {
    let drive = Drive { timer: TimerPart::Bipolar, gate_ohm: 1e3, pull_down_ohm: Some(10e3) };
    let darlington = Switch { drive, on_a: 1.0, ..switch(Transistor::Tip120) };
    assert!(matches!(darlington.answer().unwrap().on, OnState::Guaranteed(_)));
    let plain = Switch { transistor: Transistor::Bd139, ..darlington };
    assert!(matches!(plain.answer().unwrap().on, OnState::NotGuaranteed(_)));
}

fn capacitor() -> SupplyCapacitor {
    SupplyCapacitor {
        supply_v: 12.6,
        on_a: 4.0,
        duty_low: 0.1,
        duty_high: 0.9,
        frequency_hz: 200.0,
        frequency_high_hz: None,
        c_f: 1e-3,
        esr_ohm: 0.05,
        lead_ohm: 0.1,
        lead_h: 1e-6,
        wanted_ripple_v: None,
    }
}

/// The same circuit by small steps: R-L-C from rest.
fn stepped(case: &SupplyCapacitor) -> (f64, f64, f64) {
    let ohm = case.lead_ohm + case.esr_ohm;
    let step_s = 1e-3 * (case.lead_h / ohm).min((case.lead_h * case.c_f).sqrt());
    let (mut current_a, mut c_v, mut high_a, mut high_v, mut a2s) = (0.0f64, 0.0f64, 0.0f64, 0.0f64, 0.0f64);
    for _ in 0..4_000_000 {
        let slope = |a: f64, v: f64| ((case.supply_v - ohm * a - v) / case.lead_h, a / case.c_f);
        let (da, dv) = slope(current_a, c_v);
        let (ma, mv) = (current_a + 0.5 * step_s * da, c_v + 0.5 * step_s * dv);
        let (da, dv) = slope(ma, mv);
        a2s += step_s * ma * ma;
        (current_a, c_v) = (current_a + step_s * da, c_v + step_s * dv);
        (high_a, high_v) = (high_a.max(current_a), high_v.max(c_v));
    }
    (high_a, high_v, a2s)
}

#[test]
fn rush_agrees_with_small_steps() {
    for case in [
        capacitor(),
        SupplyCapacitor { c_f: 10e-6, lead_h: 5e-6, ..capacitor() },
        SupplyCapacitor { lead_ohm: 0.95, c_f: 100e-6, lead_h: 1e-6, ..capacitor() },
    ] {
        let answer = case.answer().unwrap();
        let (high_a, high_v, a2s) = stepped(&case);
        // Steps of a thousandth of the fastest time, second order.
        for (law, step) in [(answer.rush_a, high_a), (answer.rush_v, high_v), (answer.rush_a2s, a2s)] {
            assert!((law / step - 1.0).abs() < 1e-4, "{case:?}: {law} {step}");
        }
    }
}

/// RMS current of the capacitor and voltage from peak to peak, by small steps until every period is like the one before.
fn chopped(case: &SupplyCapacitor, duty: f64) -> (f64, f64) {
    let steps = 4000;
    let step_s = 1.0 / (case.frequency_hz * f64::from(steps));
    let (mut lead_a, mut c_v) = (case.on_a * duty, case.supply_v);
    // The swing between leads and capacitor has died away after sixty of its own periods.
    let periods = 200 + (60.0 * case.frequency_hz * 6.3 * (case.lead_h * case.c_f).sqrt()) as i32;
    let (mut squared, mut low_v, mut high_v) = (0.0, f64::INFINITY, f64::NEG_INFINITY);
    for period in 0..periods {
        for step in 0..steps {
            let load_a = if f64::from(step) < duty * f64::from(steps) { case.on_a } else { 0.0 };
            let node_v = |lead_a: f64, c_v: f64| c_v + case.esr_ohm * (lead_a - load_a);
            let slope = |a: f64, v: f64| {
                ((case.supply_v - case.lead_ohm * a - node_v(a, v)) / case.lead_h, (a - load_a) / case.c_f)
            };
            let (da, dv) = slope(lead_a, c_v);
            let (da, dv) = slope(lead_a + 0.5 * step_s * da, c_v + 0.5 * step_s * dv);
            (lead_a, c_v) = (lead_a + step_s * da, c_v + step_s * dv);
            if period + 1 == periods {
                squared += (lead_a - load_a) * (lead_a - load_a) / f64::from(steps);
                low_v = f64::min(low_v, node_v(lead_a, c_v));
                high_v = f64::max(high_v, node_v(lead_a, c_v));
            }
        }
    }
    (squared.sqrt(), high_v - low_v)
}

/// Ripple is never less than small steps find, at the resonance of leads and capacitor least of all; far above it, where
/// the leads keep all of it away from the pack, no more than a tenth larger.
#[test]
fn ripple_counts_the_resonance_of_leads_and_capacitor() {
    let ring = SupplyCapacitor { c_f: 100e-6, lead_h: 2e-6, lead_ohm: 0.06, ..capacitor() };
    let film = SupplyCapacitor { c_f: 10e-6, esr_ohm: 0.01, lead_h: 1e-6, lead_ohm: 0.05, ..capacitor() };
    for (base, times) in [
        (ring, [0.5, 1.0, 1.2, 3.0, 30.0].as_slice()),
        (film, &[0.33, 0.5, 0.95, 1.05, 2.0, 15.0]),
        (capacitor(), &[0.3, 1.0, 8.0]),
    ] {
        for factor in times {
            for duty in [0.25, 0.5, 0.8] {
                let frequency_hz = factor * base.answer().unwrap().resonance_hz;
                let case = SupplyCapacitor { frequency_hz, duty_low: duty, duty_high: duty, ..base };
                let (law, (step_a, step_v)) = (case.answer().unwrap(), chopped(&case, duty));
                // Two thousandths for the steps at the edges.
                assert!(law.ripple_a > step_a * 0.998, "{case:?}: {} {step_a}", law.ripple_a);
                assert!(law.ripple_v > step_v * 0.998, "{case:?}: {} {step_v}", law.ripple_v);
                if *factor >= 15.0 {
                    assert!(law.ripple_a < 1.1 * step_a, "{case:?}: {} {step_a}", law.ripple_a);
                }
            }
        }
    }
    // At the resonance the old balance of charge alone gave half the load's current.
    let at =
        SupplyCapacitor { frequency_hz: film.answer().unwrap().resonance_hz, duty_low: 0.5, duty_high: 0.5, ..film };
    assert!(at.answer().unwrap().ripple_a > 3.0 * 0.5 * at.on_a);
}

#[test]
fn the_capacitor_that_is_said_to_be_needed_keeps_the_ripple() {
    for frequency_hz in [200.0, 5e3, 20e3, 50e3] {
        let case = SupplyCapacitor { frequency_hz, esr_ohm: 0.01, wanted_ripple_v: Some(0.3), ..capacitor() };
        let needed_f = case.answer().unwrap().needed_f.unwrap();
        let ripple_v = SupplyCapacitor { c_f: needed_f, ..case }.answer().unwrap().ripple_v;
        assert!(ripple_v <= 0.3 * (1.0 + 1e-6), "{frequency_hz}: {needed_f} {ripple_v}");
    }
    let esr = SupplyCapacitor { esr_ohm: 0.1, wanted_ripple_v: Some(0.3), ..capacitor() };
    assert_eq!(esr.answer().unwrap().needed_f, None, "its resistance alone makes 0.4 V");
}

fn case() -> SwitchCase {
    let capacitor = CapacitorCase {
        capacitor: capacitor(),
        rated_ripple_a: Some(2.5),
        board_a: Some(200.0),
        fuse_a2s: Some(50.0),
        contact_a: Some(200.0),
    };
    SwitchCase {
        name: "pump switch".into(),
        switch: switch(Transistor::Csd18510ktt),
        coil: Some(true),
        capacitor: Some(capacitor),
        reverse_protected: Some(true),
    }
}

fn codes(findings: &[Finding]) -> Vec<&'static str> {
    findings.iter().map(|finding| finding.code).collect()
}

#[test]
fn a_sound_switch_leaves_only_what_is_always_known() {
    let mut sound = case();
    sound.switch.flyback = Some(Diode::Schottky);
    assert_eq!(codes(&sound.review().unwrap().findings), ["switch_fails_on"]);
}

#[test]
fn each_weakness_of_a_switch_is_found() {
    let found = |change: &dyn Fn(&mut SwitchCase)| {
        let mut changed = case();
        change(&mut changed);
        codes(&changed.review().unwrap().findings)
    };
    let expect = |code: &str, change: &dyn Fn(&mut SwitchCase)| {
        let codes = found(change);
        assert!(codes.contains(&code), "{code} in {codes:?}");
    };
    expect("switch_gate_low", &|case| case.switch.transistor = Transistor::Irfz44n);
    expect("switch_base_low", &|case| case.switch.transistor = Transistor::Bd139);
    expect("switch_gate_high", &|case| case.switch.supply_full_v = 24.0);
    expect("switch_too_hot", &|case| case.switch.on_a = 60.0);
    expect("switch_edges_long", &|case| {
        case.switch.drive.timer = TimerPart::LowDriveCmos;
        case.switch.frequency_hz = 2e3;
    });
    expect("switch_pull_down_missing", &|case| case.switch.drive.pull_down_ohm = None);
    expect("switch_gate_resistor_missing", &|case| case.switch.drive.gate_ohm = 0.0);
    expect("switch_flyback_missing", &|case| case.switch.flyback = None);
    expect("switch_flyback_current", &|case| case.switch.duty_low = Some(0.1));
    expect("switch_flyback_voltage", &|case| case.switch.supply_full_v = 28.0);
    expect("switch_flyback_slow", &|case| {
        case.switch.flyback = Some(Diode::Silicon);
        case.switch.frequency_hz = 20e3;
    });
    expect("switch_voltage", &|case| case.switch.supply_full_v = 28.0);
    expect("switch_current", &|case| case.switch.on_a = 250.0);
    expect("switch_capacitor_missing", &|case| case.capacitor = None);
    expect("switch_capacitor_ripple", &|case| case.capacitor.as_mut().unwrap().rated_ripple_a = Some(1.0));
    expect("switch_rush_board", &|case| case.capacitor.as_mut().unwrap().board_a = Some(20.0));
    expect("switch_rush_fuse", &|case| case.capacitor.as_mut().unwrap().fuse_a2s = Some(1.0));
    expect("switch_rush_contact", &|case| case.capacitor.as_mut().unwrap().contact_a = Some(10.0));
    expect("switch_reversed", &|case| case.reverse_protected = Some(false));
    let unknown = |case: &mut SwitchCase| case.reverse_protected = None;
    let mut not_told = case();
    unknown(&mut not_told);
    let findings = not_told.review().unwrap().findings;
    assert!(findings.iter().any(|finding| finding.judgement == Judgement::NotJudged));
}

fn drive(load: LoadKind, frequency_hz: f64) -> DriveCase {
    DriveCase {
        name: "lamp".into(),
        load,
        frequency_hz: Some(Interval::exact(frequency_hz)),
        supply_chopped: Some(true),
        measured_curve: None,
        tachometer: None,
        control_v: None,
        supply_v: Some(12.6),
        average_a: Some(1.0),
        motor_h: Some(1e-3),
    }
}

#[test]
fn frequency_and_load_are_judged_together() {
    let found = |case: DriveCase| codes(&case.review().unwrap().findings);
    assert_eq!(found(drive(LoadKind::TwoWireBlower, 30.0)), ["drive_own_electronics"]);
    let known = DriveCase { measured_curve: Some(true), ..drive(LoadKind::TwoWireBlower, 30.0) };
    assert!(found(known).is_empty());
    let tachometer = DriveCase { tachometer: Some(true), ..drive(LoadKind::TwoWireBlower, 5.0) };
    assert_eq!(found(tachometer), ["drive_own_electronics", "drive_tachometer", "drive_two_wire_slow"]);
    assert_eq!(
        found(DriveCase { control_v: Some(12.0), ..drive(LoadKind::FourWireBlower, 30e3) }),
        ["drive_four_wire_supply", "drive_four_wire_fast", "drive_four_wire_voltage"]
    );
    assert_eq!(found(drive(LoadKind::BrushedMotor, 200.0)), ["drive_audible", "drive_ripple"]);
    assert!(found(drive(LoadKind::BrushedPump, 25e3)).is_empty());
    assert_eq!(found(drive(LoadKind::LedString, 50.0)), ["drive_flicker_seizure"]);
    assert_eq!(found(drive(LoadKind::LedString, 200.0)), ["drive_flicker"]);
    assert!(found(drive(LoadKind::LedString, 2000.0)).is_empty());
    assert_eq!(found(drive(LoadKind::Heater, 1.0)), ["drive_heater_rms"]);
    let blind = DriveCase { frequency_hz: None, motor_h: None, ..drive(LoadKind::BrushedMotor, 1.0) };
    let findings = blind.review().unwrap().findings;
    assert!(findings.iter().all(|finding| finding.judgement == Judgement::NotJudged) && findings.len() == 2);
}

#[test]
fn rules_have_codes_of_their_own_and_sources() {
    let rules: Vec<_> = FREQUENCY_RULES.iter().chain(&SWITCH_RULES).collect();
    let codes: BTreeSet<&str> = rules.iter().map(|rule| rule.code).collect();
    assert_eq!(codes.len(), rules.len());
    assert!(rules.iter().all(|rule| !rule.source.title.is_empty()));
    let stops = rules.iter().filter(|rule| rule.urgency == Urgency::Stop).count();
    assert_eq!(stops, 7, "a rule that stops a build changed: say so in the notes by version");
}
