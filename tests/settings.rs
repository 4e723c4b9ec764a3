//! The table of knob positions: what it promises, what it refuses, and what holds at every position.

use cellwright::data::switch::Transistor;
use cellwright::data::timer::TimerPart;
use cellwright::pack::{Group, Pack};
use cellwright::part::blower::{Blower, BlowerDrive, CurvePoint, MeasuredCurve, Winding};
use cellwright::part::cell::{CapacityTest, Cell, Chemistry, MeterLeads, ResistanceMethod, ResistanceTest};
use cellwright::part::led::{LedLimit, LedStrings};
use cellwright::part::load::{Draw, Load};
use cellwright::part::motor::MotorConstants;
use cellwright::part::pump::{Centrifugal, Displacement, Flow, Pump, PumpKind};
use cellwright::part::switch::Heat;
use cellwright::part::timing::{Circuit, DiodeSteered, Timer};
use cellwright::quantity::Interval;
use cellwright::run::brushless_pump::BrushlessPump;
use cellwright::run::driven::{Driven, LoadArrangement, LoadedMotor, Machine, ShaftLoad};
use cellwright::run::knob::{Interrupter, KnobSetting, KnobSwitch, KnobTable, Starts, Tolerance};
use cellwright::run::pack_run::PackRun;

fn cell(name: &str, capacity_ah: f64, ohm: f64) -> Cell {
    Cell {
        name: name.into(),
        chemistry: Chemistry::Nmc,
        capacity: CapacityTest {
            capacity_ah: Interval::around(capacity_ah, 0.04),
            start_v: 4.2,
            end_v: 3.0,
            current_a: 0.5,
            cell_degc: 22.0,
        },
        resistance: ResistanceTest {
            resistance_ohm: Interval::around(ohm, 0.1),
            method: ResistanceMethod::Dc { after_s: 10.0, current_a: 1.0 },
            leads: MeterLeads::FourWire,
            cell_degc: 22.0,
            soc_ratio: 0.5,
        },
        rest_v: None,
        discharge_limit_a: None,
        charge_limit_a: None,
        measured: None,
    }
}

/// A watering trolley: three groups of two unequal cells, a diode-steered timer, eleven positions.
fn table(machine: Machine) -> KnobTable {
    let group = |i: f64| Group { cells: vec![cell("a", 2.1 - 0.05 * i, 0.07), cell("b", 1.9 + 0.03 * i, 0.08)] };
    let steered = DiodeSteered {
        ra_ohm: 1e3,
        pot_ohm: 100e3,
        wiper_ratio: 0.5,
        charge_ohm: Some(1e3),
        discharge_ohm: Some(1e3),
        shared_ohm: None,
        c_f: 10e-9,
        diode: None,
    };
    KnobTable {
        run: PackRun {
            own_chemistries: Vec::new(),
            pack: Pack {
                groups: vec![group(0.0), group(1.0), group(2.0)],
                link_ohm: Interval::around(0.01, 0.2),
                full_v: 4.15,
                floor_v: 3.1,
            },
            loads: Vec::new(),
            lead_ohm: Interval::around(0.06, 0.2),
            ambient_degc: Interval { low: 10.0, likely: 18.0, high: 26.0 },
            cut_off_v: None,
            trip_a: None,
            heat_path: None,
            time_s: None,
        },
        timer: Timer::new(TimerPart::Bipolar, Circuit::DiodeSteered(steered)),
        positions: (0..=10).map(|i| 0.05 + 0.09 * f64::from(i)).collect(),
        driven: Driven {
            machine,
            count: 1,
            joined: LoadArrangement::Parallel,
            start_v: None,
            hold_v: None,
            surge_a: None,
            drop_out_v: None,
        },
        switch: Some(KnobSwitch {
            transistor: Transistor::Csd18510ktt,
            gate_ohm: 47.0,
            pull_down_ohm: Some(10e3),
            sink_k_per_w: None,
            flyback: None,
        }),
        trips: vec![Interrupter { name: "fuse".into(), trip_a: Interval { low: 5.0, likely: 7.0, high: 9.0 } }],
        tell_tolerances: None,
    }
}

fn winding(motor_h: Option<f64>) -> BlowerDrive {
    BlowerDrive::Brushed(Winding { motor_ohm: Some(Interval::around(1.2, 0.1)), motor_h })
}

fn blower(drive: BlowerDrive) -> Machine {
    Machine::Blower(Blower {
        power_w: Interval::around(20.0, 0.1),
        at_v: 12.0,
        flow_m3_per_s: Some(0.02),
        turns_per_minute: Some(3000.0),
        drive,
    })
}

fn pump(kind: PumpKind) -> Machine {
    let motor_ohm = Some(Interval::around(1.0, 0.1));
    Machine::Pump(Pump { power_w: Interval::around(22.0, 0.1), at_v: 12.0, kind, motor_ohm, motor_h: Some(0.02) })
}

fn machines() -> Vec<Machine> {
    let bed = |static_head_m| {
        PumpKind::Centrifugal(Centrifugal {
            closed_head_m: 4.0,
            open_flow_m3_per_s: 3e-4,
            closed_power_ratio: 0.5,
            static_head_m,
            friction_head_m: 1.0,
        })
    };
    let motor = MotorConstants {
        motor_ohm: Interval::around(0.9, 0.1),
        volt_second: Interval::around(0.01, 0.03),
        no_load_a: Interval::around(0.2, 0.1),
    };
    let shaft = ShaftLoad::Constant { torque_nm: Interval::around(0.01, 0.1) };
    let forward_v = Interval { low: 2.9, likely: 3.1, high: 3.3 };
    let limit = LedLimit::Resistor { resistance_ohm: 22.0 };
    vec![
        blower(winding(Some(0.02))),
        blower(winding(None)),
        blower(BlowerDrive::FourWire),
        pump(bed(1.5)),
        pump(bed(0.0)),
        pump(PumpKind::PositiveDisplacement(Displacement { flow_m3_per_s: 5e-5 })),
        Machine::Motor(LoadedMotor { motor, motor_h: Some(0.01), shaft }),
        Machine::Led(LedStrings { series: 3, forward_v, limit, strings: 20, led_high_a: None }),
        Machine::Electronics { power_w: Interval::around(18.0, 0.1) },
        Machine::Heater { resistance_ohm: Interval::around(8.0, 0.05) },
    ]
}

fn settings(table: &KnobTable) -> Vec<KnobSetting> {
    table.answer().unwrap().rows.into_iter().map(|row| row.setting.unwrap()).collect()
}

#[test]
fn low_end_never_promises_more_than_a_worst_corner_run() {
    let (mut least, mut most, mut near) = (f64::MAX, f64::MIN, 0.0_f64);
    let lamp = Load {
        name: "lamp".into(),
        draw: Draw::Power { power_w: Interval::around(4.0, 0.1) },
        chopped: false,
        duty: 1.0,
        works_from_v: None,
        works_to_v: None,
        drop_out_v: Some(9.5),
        surge_a: None,
        surge_s: None,
        measured: None,
    };
    for (machine, with_lamp) in machines().into_iter().flat_map(|machine| [(machine.clone(), false), (machine, true)]) {
        let mut all = table(machine);
        if with_lamp {
            all.run.loads.push(lamp.clone());
            all.run.ambient_degc = Interval { low: -5.0, likely: 5.0, high: 12.0 };
        }
        for (position, read) in all.positions.iter().zip(settings(&all)) {
            // A table of one position runs every corner of it.
            let exact = settings(&KnobTable { positions: vec![*position], ..all.clone() })[0].runtime_s.unwrap();
            let read = read.runtime_s.unwrap();
            let seen = format!("{position} {:?}: {read:?} {exact:?}", all.driven);
            assert!(read.low <= exact.low * (1.0 + 1e-12) && read.high >= exact.high * (1.0 - 1e-12), "{seen}");
            (least, most) = (least.min(read.low / exact.low), most.max(read.high / exact.high));
            near = near.max((read.likely / exact.likely - 1.0).abs());
        }
    }
    println!("read against run: low end from {least:.4}, high end to {most:.4}, likely within {near:.5}");
    // Charges at most 2 % apart, one percent kept.
    assert!(least > 0.97 && most < 1.03 && near < 0.02);
}

#[test]
fn more_duty_never_lasts_longer() {
    for machine in machines() {
        let all = table(machine);
        let settings = settings(&all);
        for pair in settings.windows(2) {
            let (slow, fast) = (&pair[0], &pair[1]);
            assert!(slow.duty.likely < fast.duty.likely);
            let (slow_s, fast_s) = (slow.runtime_s.unwrap(), fast.runtime_s.unwrap());
            // Between run positions the charge is read: up to its 2.5 % may stand against the rise of a small step.
            assert!(slow_s.likely * 1.005 >= fast_s.likely, "{:?} {slow_s:?} {fast_s:?}", all.driven);
            assert!(slow_s.low <= slow_s.likely && slow_s.likely <= slow_s.high);
            assert!(slow.mean_a.unwrap() <= fast.mean_a.unwrap() * (1.0 + 1e-9));
        }
    }
}

#[test]
fn speed_is_told_only_where_a_law_holds() {
    let smooth = settings(&table(blower(winding(Some(0.02)))));
    let fastest = smooth.last().unwrap();
    assert_eq!(fastest.current_never_stops, Some(true));
    let (speed_ratio, sound_db) = (fastest.speed_ratio.unwrap(), fastest.sound_db.unwrap());
    assert!((sound_db - 50.0 * libm::log10(speed_ratio)).abs() < 1e-9);
    assert_eq!(fastest.flow, Some(Flow::Flows { flow_m3_per_s: 0.02 * speed_ratio }));
    assert!(smooth[0].speed_ratio.is_none() && smooth[0].flow.is_none() && smooth[0].sound_db.is_none());
    let unknown = settings(&table(blower(winding(None))));
    assert!(unknown.iter().all(|setting| setting.speed_ratio.is_none()));
    let stops = settings(&table(blower(winding(Some(1e-5)))));
    assert!(stops.iter().all(|setting| setting.current_never_stops == Some(false)));
    // What is not known may only shorten the least runtime.
    for (known, unknown) in smooth.iter().zip(&unknown) {
        assert!(unknown.runtime_s.unwrap().low <= known.runtime_s.unwrap().low);
    }
}

#[test]
fn electronics_of_its_own_need_a_measured_curve() {
    let curve = |points| blower(BlowerDrive::OwnElectronics(MeasuredCurve { points }));
    let errors = table(curve(Vec::new())).answer().unwrap_err();
    assert_eq!(errors[0].path(), "/driven/machine/blower/drive/own_electronics/points");
    let point = |duty, speed_ratio, mean_a| CurvePoint { duty, speed_ratio, mean_a };
    let told = settings(&table(curve(vec![point(0.4, 0.5, 0.4), point(0.96, 0.97, 1.6)])));
    assert!(told[0].runtime_s.is_none() && told[0].mean_a.is_none());
    assert!(told[8].runtime_s.is_some() && told[8].speed_ratio.is_some());
}

fn brushless(points: Vec<CurvePoint>) -> Machine {
    let kind = PumpKind::PositiveDisplacement(Displacement { flow_m3_per_s: 5e-5 });
    let curve = MeasuredCurve { points };
    Machine::BrushlessPump(BrushlessPump { power_w: Interval::around(22.0, 0.1), at_v: 12.0, kind, curve })
}

#[test]
fn pump_with_electronics_of_its_own_has_no_number_before_its_curve() {
    let errors = table(brushless(Vec::new())).answer().unwrap_err();
    assert_eq!(errors[0].path(), "/driven/machine/brushless_pump/curve/points");
    let point = |duty, speed_ratio, mean_a| CurvePoint { duty, speed_ratio, mean_a };
    let told = settings(&table(brushless(vec![point(0.4, 0.5, 0.8), point(0.96, 0.97, 1.8)])));
    // The knob's lowest positions lie under the measured duties.
    assert!(told[0].runtime_s.is_none() && told[0].mean_a.is_none() && told[0].flow.is_none());
    let measured = told[8].clone();
    assert!(matches!(measured.flow, Some(Flow::Flows { .. })) && measured.held_shaft.is_none());
    // A brushed pump of the same power, whose speed follows the mean voltage, runs another time.
    let law = PumpKind::PositiveDisplacement(Displacement { flow_m3_per_s: 5e-5 });
    assert_ne!(settings(&table(pump(law)))[8].runtime_s, measured.runtime_s);
}

#[test]
fn electronics_that_hold_their_speed_lie_inside_the_interval() {
    let point = |duty| CurvePoint { duty, speed_ratio: 0.9, mean_a: 1.5 };
    let measured = settings(&table(brushless(vec![point(0.3), point(1.0)])))[8].clone();
    let told = measured.runtime_s.unwrap();
    // The same 1.5 A at 12 V, taken as a constant power and as a resistance.
    let duty = measured.duty.likely;
    let power = Machine::Electronics { power_w: Interval::exact(1.5 * 12.0 / duty) };
    let resistance = Machine::Heater { resistance_ohm: Interval::exact(12.0 * duty / 1.5) };
    for machine in [power, resistance] {
        let runtime_s = settings(&table(machine))[8].runtime_s.unwrap();
        assert!(told.low <= runtime_s.likely && runtime_s.likely <= told.high, "{told:?} {runtime_s:?}");
    }
}

#[test]
fn pump_under_static_head_stands_still_at_low_speed() {
    let told = settings(&table(machines().swap_remove(3)));
    assert!(told.iter().any(|setting| setting.flow == Some(Flow::NoFlow)));
    assert!(matches!(told.last().unwrap().flow, Some(Flow::Flows { .. })));
}

#[test]
fn starting_falls_with_the_battery() {
    let mut all = table(blower(winding(Some(0.02))));
    all.driven.start_v = Some(Interval { low: 4.5, likely: 5.0, high: 5.5 });
    all.driven.hold_v = Some(Interval { low: 3.0, likely: 3.2, high: 3.5 });
    let answer = all.answer().unwrap();
    let starts: Vec<_> = answer.rows.iter().map(|row| row.setting.as_ref().unwrap().starts).collect();
    assert_eq!(starts[0].full, Starts::No);
    assert_eq!(starts[10].empty, Starts::Yes);
    assert!(starts.iter().any(|over| over.full == Starts::Yes && over.empty != Starts::Yes));
    for lowest in &answer.lowest {
        assert!((lowest.start_duty.unwrap() - 5.5 / lowest.supply_v).abs() < 1e-12);
        assert!(lowest.hold_duty.unwrap() < lowest.start_duty.unwrap());
    }
    assert!(answer.lowest[2].start_duty > answer.lowest[0].start_duty);
    all.driven.start_v = Some(Interval::exact(20.0));
    assert!(all.answer().unwrap().lowest.iter().all(|lowest| lowest.start_duty.is_none()));
}

#[test]
fn held_shaft_tells_who_interrupts() {
    let mut all = table(blower(winding(Some(0.02))));
    let told = settings(&all);
    let (slow, fast) = (told[0].held_shaft.clone().unwrap(), told[10].held_shaft.clone().unwrap());
    assert!(slow.trips_first.is_none() && !slow.trips_surely);
    assert_eq!(fast.trips_first.as_deref(), Some("fuse"));
    assert!(slow.heat_w < fast.heat_w && fast.heat_w > 12.0 * 12.0 / 1.5);
    all.trips[0].trip_a = Interval::exact(4.0);
    assert!(settings(&all)[10].held_shaft.clone().unwrap().trips_surely);
}

#[test]
fn several_loads_in_parallel_and_in_series() {
    let one = table(blower(winding(Some(0.02))));
    let mut two = one.clone();
    two.driven.count = 2;
    let (one, two) = (settings(&one), settings(&two));
    let (single, pair) = (one.last().unwrap(), two.last().unwrap());
    // Twice the current, less what the resistances take: between 1.7 and 2 times.
    let ratio = pair.mean_a.unwrap() / single.mean_a.unwrap();
    assert!((1.7..2.0).contains(&ratio), "{ratio}");
    let dropped_db = 50.0 * libm::log10(pair.speed_ratio.unwrap() / single.speed_ratio.unwrap());
    assert!((pair.sound_db.unwrap() - single.sound_db.unwrap() - 10.0 * libm::log10(2.0) - dropped_db).abs() < 1e-9);
    let mut series = table(Machine::Heater { resistance_ohm: Interval::exact(4.0) });
    series.driven.count = 2;
    series.driven.joined = LoadArrangement::Series;
    let alone = table(Machine::Heater { resistance_ohm: Interval::exact(8.0) });
    let (series, alone) = (settings(&series), settings(&alone));
    assert!((series[5].mean_a.unwrap() - alone[5].mean_a.unwrap()).abs() < 1e-9);
    assert!((2.0 * series[5].mean_v - alone[5].mean_v).abs() < 1e-9);
}

#[test]
fn tolerances_are_told_one_by_one() {
    let mut all = table(blower(winding(Some(0.02))));
    all.tell_tolerances = Some(true);
    let told = all.answer().unwrap();
    assert_eq!(told.tolerances.len(), 5);
    let of = |wanted: Tolerance| told.tolerances.iter().find(|effect| effect.tolerance == wanted).unwrap().change_ratio;
    // Four percent of capacity and ten of load; a blower behind more resistance takes less, so that it runs longer.
    assert!((-0.05..-0.03).contains(&of(Tolerance::Capacity)) && (-0.11..-0.08).contains(&of(Tolerance::Load)));
    assert!(of(Tolerance::Resistance).abs() < 0.01 && of(Tolerance::Leads).abs() < 0.01);
    let Some(Heat::Settles(settled)) = told.rows[10].setting.as_ref().unwrap().switch else { panic!() };
    assert!(settled.junction_degc > 26.0);
}

#[test]
fn wrong_inputs_name_their_place() {
    let good = table(blower(winding(None)));
    let path = |table: KnobTable| table.answer().unwrap_err()[0].path();
    assert_eq!(path(KnobTable { positions: Vec::new(), ..good.clone() }), "/positions");
    assert_eq!(path(KnobTable { positions: vec![0.5, f64::NAN], ..good.clone() }), "/positions/1");
    let mut wrong = good.clone();
    wrong.driven.count = 0;
    assert_eq!(path(wrong), "/driven/count");
    let mut wrong = good.clone();
    wrong.run.pack.groups = vec![wrong.run.pack.groups[0].clone(); 20];
    assert_eq!(path(wrong), "/run/pack/groups");
    let mut wrong = good;
    wrong.switch.as_mut().unwrap().gate_ohm = -1.0;
    assert_eq!(path(wrong), "/switch/drive/gate_ohm");
}

#[test]
fn a_timer_outside_its_range_is_told_instead_of_numbers() {
    let mut all = table(blower(winding(None)));
    all.run.pack.groups.pop();
    all.run.pack.groups.pop();
    // One group: 3.1 V are under the supply range of the part.
    let rows = all.answer();
    let rows = rows.unwrap().rows;
    assert!(rows.iter().all(|row| row.setting.is_none() && !row.outside.is_empty()));
}
