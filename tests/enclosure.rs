//! The box: heats and temperatures must fit each other, and every limit is tested in the warm air.

#[path = "door/invented.rs"]
mod invented;

use cellwright::data::diode::Diode;
use cellwright::data::fuse::FuseFamily;
use cellwright::data::switch::Transistor;
use cellwright::data::timer::TimerPart;
use cellwright::finding::Judgement;
use cellwright::finding::enclosure::review;
use cellwright::pack::{Group, Pack};
use cellwright::part::cell::Chemistry;
use cellwright::part::load::{Draw, Load};
use cellwright::part::switch::{Drive, Heat, Switch};
use cellwright::part::wire::{Conductor, Cooling, Run, RunQuestion};
use cellwright::quantity::Interval;
use cellwright::run::enclosure::{BoxFuse, BoxHeat, BoxLead};
use cellwright::run::pack_run::PackRun;
use invented::{cell, measured};

/// An invented seed-drying blower on a 3S2P pack of one kind of cell.
fn blower(current_a: f64, box_k_per_w: f64) -> BoxHeat {
    let cell = cell(Chemistry::Nmc, measured(Interval::around(2.2, 0.03)), Interval::around(0.07, 0.1), 1.0);
    let load = Load::new("seed-drying blower", Draw::Current { current_a: Interval::around(current_a, 0.05) });
    let groups = (0..3).map(|_| Group { cells: vec![cell.clone(), cell.clone()] }).collect();
    let conductor = Conductor::Mm2 { area_mm2: 0.75 };
    BoxHeat {
        run: PackRun {
            own_chemistries: Vec::new(),
            pack: Pack { groups, link_ohm: Interval::exact(0.006), full_v: 4.2, floor_v: 3.0 },
            loads: vec![load],
            lead_ohm: Interval::exact(0.05),
            ambient_degc: Interval::exact(20.0),
            cut_off_v: None,
            trip_a: None,
            heat_path: None,
            time_s: None,
        },
        place_degc: Interval { low: -8.0, likely: 18.0, high: 50.0 },
        box_k_per_w: Interval::around(box_k_per_w, 0.2),
        cell_k_per_w: Interval::around(8.0, 0.2),
        switch: Some(Switch {
            transistor: Transistor::Csd18510ktt,
            drive: Drive { timer: TimerPart::Bipolar, gate_ohm: 47.0, pull_down_ohm: Some(10e3) },
            supply_full_v: 12.6,
            supply_empty_v: 9.0,
            on_a: 1.05 * current_a,
            duty: 0.9,
            frequency_hz: 500.0,
            ambient_degc: 20.0,
            sink_k_per_w: None,
            flyback: Some(Diode::Schottky),
            duty_low: None,
        }),
        leads: vec![BoxLead {
            run: Run::new("pack to switch".into(), 0.3, conductor, Interval::exact(0.0), 70.0),
            cooling: None,
        }],
        fuse: Some(BoxFuse { family: FuseFamily::Blade, rating_a: 5.0 }),
        other_w: Interval::around(0.3, 0.5),
        charging_w: Some(Interval::around(1.0, 0.5)),
    }
}

fn broken(case: &BoxHeat) -> Vec<&'static str> {
    let review = review(case).unwrap();
    review
        .findings
        .iter()
        .filter(|finding| finding.judgement == Judgement::Broken)
        .map(|finding| finding.code)
        .collect()
}

/// At the temperatures told, the parts asked one by one make the heats told, and these make those temperatures.
#[test]
fn heats_and_temperatures_fit_each_other() {
    let case = blower(2.0, 3.0);
    let answer = case.answer().unwrap();
    let (place, air_degc) = (&answer.likely, answer.likely.air_degc.unwrap());
    let all_w = place.pack_w + place.switch_w.unwrap() + place.leads_w + 0.3;
    // The air is found to 0.01 K, and so is everything in it.
    assert!((air_degc - 18.0 - 3.0 * all_w).abs() < 0.02, "{air_degc} {all_w}");
    let switch = Switch { ambient_degc: air_degc, ..case.switch.unwrap() }.answer().unwrap();
    let (Heat::Settles(alone), Some(Heat::Settles(told))) = (switch.without_sink, place.switch) else { panic!() };
    assert!((alone.junction_degc - told.junction_degc).abs() < 0.02);
    assert!((place.switch_w.unwrap() - told.total_w - switch.flyback.unwrap().loss_w).abs() < 1e-9);
    let lead = RunQuestion {
        run: case.leads[0].run.clone(),
        rms_a: place.rms_a,
        on_a: None,
        ambient_degc: air_degc,
        supply_v: None,
        cooling: Some(Cooling::CLOSE),
    };
    let lead = lead.answer().unwrap();
    assert!((lead.conductor_degc.unwrap() - place.leads[0].conductor_degc.unwrap()).abs() < 0.02);
    let cell_degc = place.cell_degc.unwrap();
    let run = PackRun { ambient_degc: Interval::exact(cell_degc), ..case.run.clone() }.answer().unwrap().likely;
    let cells: Vec<f64> = run.groups.iter().flat_map(|group| &group.cells).map(|cell| cell.peak_heat_w).collect();
    let hottest_w = cells.iter().copied().fold(0.0, f64::max);
    // Heat of the cells moves by less than 2 % a kelvin here.
    assert!((cells.iter().sum::<f64>() + 0.006 * place.rms_a * place.rms_a - place.pack_w).abs() < 1e-3 * place.pack_w);
    assert!((cell_degc - air_degc - 8.0 * hottest_w).abs() < 0.02);
    assert!(hottest_w > 0.02 && hottest_w > 3600.0 * run.cell_heat_wh / run.runtime_s / 6.0, "peak above mean");
}

#[test]
fn the_ends_lie_around_the_likely_box() {
    let answer = blower(2.0, 3.0).answer().unwrap();
    assert_eq!((answer.coldest.air_degc, answer.coldest.cell_degc), (Some(-8.0), Some(-8.0)));
    let rise = |place: &cellwright::run::enclosure::BoxPlace| place.air_degc.unwrap() - place.place_degc;
    assert!(rise(&answer.hottest) > rise(&answer.likely) && rise(&answer.likely) > 0.0);
    let open = blower(2.0, 0.0).answer().unwrap();
    assert!((open.hottest.air_degc.unwrap() - 50.0).abs() < 0.02);
    assert!(open.hottest.cell_degc < answer.hottest.cell_degc);
    let charging_degc = answer.charging_degc.unwrap();
    // Six equal cells: each has a sixth of the heat and is warmer than the air by it.
    let (likely_degc, high_degc) = (18.0 + (3.0 + 8.0 / 6.0) * 1.0, 50.0 + (3.6 + 9.6 / 6.0) * 1.5);
    assert_eq!(charging_degc.low, -8.0);
    assert!((charging_degc.likely - likely_degc).abs() < 1e-9 && (charging_degc.high - high_degc).abs() < 1e-9);
}

/// In a shed at 50 °C and in frost other limits break than at a bench.
#[test]
fn every_limit_is_tested_in_the_box() {
    let bench = BoxHeat { place_degc: Interval { low: 15.0, likely: 20.0, high: 25.0 }, ..blower(1.5, 1.0) };
    assert_eq!(broken(&bench), Vec::<&str>::new());
    let shed = broken(&blower(1.5, 1.0));
    assert!(shed.contains(&"charge_cold") && shed.contains(&"charge_hot"), "{shed:?}");
    assert!(shed.contains(&"box_beyond_model") && !shed.contains(&"use_temperature"));
    let closed = broken(&blower(3.0, 6.0));
    assert!(closed.contains(&"use_temperature") && closed.contains(&"wire_hot"), "{closed:?}");
    let fuse = BoxHeat { fuse: Some(BoxFuse { family: FuseFamily::Blade, rating_a: 2.0 }), ..blower(1.5, 1.0) };
    assert!(broken(&fuse).contains(&"box_fuse"));
}

/// A switch that is said to carry less than the pack gives carries what the pack gives.
#[test]
fn the_switch_carries_what_the_pack_gives() {
    let mut case = blower(2.0, 3.0);
    case.run.loads[0].chopped = true;
    let right = case.answer().unwrap().hottest.switch_w.unwrap();
    case.switch = case.switch.map(|switch| Switch { on_a: 0.1, ..switch });
    let short = case.answer().unwrap().hottest.switch_w.unwrap();
    assert!((short - right).abs() < 0.02 * right, "{short} {right}");
}

#[test]
fn what_finds_no_balance_says_so() {
    let mut case = blower(3.0, 3.0);
    case.leads[0].run.conductor = Conductor::Mm2 { area_mm2: 0.03 };
    let answer = case.answer().unwrap();
    assert_eq!((answer.hottest.air_degc, answer.hottest.cell_degc), (None, None));
    let codes = broken(&case);
    assert!(codes.contains(&"box_runaway") && codes.contains(&"wire_runaway"), "{codes:?}");
    // A MOSFET for 10 V at the gate is not known to be fully on: its heat is not known either.
    let mut weak = blower(1.5, 1.0);
    weak.switch = weak.switch.map(|switch| Switch { transistor: Transistor::Irfz44n, ..switch });
    let review = review(&weak).unwrap();
    assert_eq!(review.heat.hottest.switch_w, None);
    let open = |code: &str| review.findings.iter().any(|f| f.code == code && f.judgement == Judgement::NotJudged);
    assert!(open("box_runaway") && open("switch_too_hot"));
    let silent = BoxHeat { charging_w: None, ..blower(1.5, 1.0) };
    let findings = cellwright::finding::enclosure::review(&silent).unwrap().findings;
    assert!(findings.iter().any(|f| f.code == "charge_cold" && f.judgement == Judgement::NotJudged));
}

#[test]
fn wrong_inputs_are_named() {
    let refused = |change: &dyn Fn(&mut BoxHeat)| {
        let mut case = blower(1.5, 1.0);
        change(&mut case);
        review(&case).unwrap_err()[0].path().clone()
    };
    assert_eq!(refused(&|case| case.place_degc.high = 86.0), "/place_degc");
    assert_eq!(refused(&|case| case.box_k_per_w.low = -1.0), "/box_k_per_w");
    assert_eq!(refused(&|case| case.leads[0].run.length_m = f64::NAN), "/leads/0/run/length_m");
    assert_eq!(
        refused(&|case| case.fuse = Some(BoxFuse { family: FuseFamily::Blade, rating_a: 0.0 })),
        "/fuse/rating_a"
    );
    assert_eq!(refused(&|case| case.run.loads[0].duty = 2.0), "/run/loads/0/duty");
    assert_eq!(refused(&|case| case.charging_w = Some(Interval::exact(-1.0))), "/charging_w");
}
