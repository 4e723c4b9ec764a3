//! The rules about speed control: frequency, switch, and what the load does at each setting.

use super::Finding;
use crate::data::fuse::ELEMENTS;
use crate::finding::drive::{CapacitorCase, DriveCase, LoadKind, SwitchCase, judge_load, switch_rules as rules};
use crate::finding::{Rule, Subject};
use crate::part::blower::BlowerDrive;
use crate::part::decoupling::{LEAD_H_PER_M, SupplyCapacitor};
use crate::plan::inputs::{Control, FuseChoice, MainSwitchChoice, Protection};
use crate::plan::review::Facts;
use crate::quantity::{End, Interval};
use crate::run::driven::{Driven, Machine};
use crate::run::knob::{KnobRow, KnobSetting};
use alloc::vec::Vec;

pub(super) fn judge(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let (Some(control), Some(table), Some(settings)) = (&facts.plan.control, &facts.table, &facts.settings) else {
        if facts.plan.loads.iter().any(|load| load.chopped) {
            found.extend(unknown_switch("control", true, false));
        }
        return;
    };
    let name = facts.plan.loads.iter().find(|load| load.chopped).map_or("the load", |load| load.name.as_str());
    let load = Subject::new("/control/driven", name);
    found.extend(case(&table.driven, &settings.rows, facts.pack.full_v, name).findings(&load));
    found.extend(judge_load(&table.driven, settings, facts.pack.full_v, &load));
    let unknown = matches!(table.driven.machine, Machine::Labels { .. });
    let coil = table.driven.machine.turns() || unknown;
    if control.switch.is_none() {
        found.extend(unknown_switch("control/switch", coil, control.capacitor.is_some()));
    }
    if let (Some(answer), Some(switch)) = (&facts.switch, &facts.worst_switch) {
        let case = SwitchCase {
            name: "the switch".into(),
            switch: *switch,
            coil: Some(coil),
            capacitor: facts.capacitor.map(|capacitor| capacitor_case(facts, control, capacitor)),
            reverse_protected: control.reverse_protected,
        };
        let capacitor = case.capacitor.as_ref().map(|case| case.capacitor.worked());
        found.extend(case.findings(&Subject::new("/control/switch", "the switch"), answer, capacitor.as_ref()));
    }
}

/// A switch of which nothing is known passes nothing: what would stop the build, and what its capacitor would break.
fn unknown_switch(needs: &str, coil: bool, capacitor: bool) -> Vec<Finding> {
    let subject = Subject::new("/control/switch", "the switch");
    let coil: &[Rule] = if coil { &[rules::FLYBACK_MISSING] } else { &[] };
    let capacitor: &[Rule] = if capacitor {
        &[rules::CAPACITOR_RIPPLE, rules::RUSH_BOARD, rules::RUSH_FUSE, rules::RUSH_SWITCH]
    } else {
        &[]
    };
    let always = [rules::GATE_LOW, rules::TOO_HOT, rules::CURRENT];
    always.iter().chain(coil).chain(capacitor).map(|rule| rule.not_judged(&subject, needs)).collect()
}

fn told(rows: &[KnobRow]) -> impl Iterator<Item = &KnobSetting> {
    rows.iter().filter_map(|row| row.setting.as_ref())
}

/// What is chopped, over all positions.
fn case(driven: &Driven, rows: &[KnobRow], supply_v: f64, name: &str) -> DriveCase {
    let hull =
        |a: Interval, b: Interval| Interval { low: a.low.min(b.low), likely: a.likely, high: a.high.max(b.high) };
    let (load, motor_h) = kind(&driven.machine);
    let four_wire = load == LoadKind::FourWireBlower;
    let is_measured = matches!(load, LoadKind::TwoWireBlower | LoadKind::BrushlessPump);
    DriveCase {
        name: name.into(),
        load,
        frequency_hz: told(rows).map(|setting| setting.frequency_hz).reduce(hull),
        supply_chopped: Some(!four_wire),
        measured_curve: Some(is_measured),
        tachometer: None,
        control_v: None,
        supply_v: Some(supply_v),
        average_a: told(rows).filter_map(|setting| setting.mean_a).reduce(f64::min),
        motor_h,
    }
}

fn kind(machine: &Machine) -> (LoadKind, Option<f64>) {
    match machine {
        Machine::Blower(blower) => match &blower.drive {
            BlowerDrive::Brushed(winding) => (LoadKind::BrushedMotor, winding.motor_h),
            BlowerDrive::FourWire => (LoadKind::FourWireBlower, None),
            BlowerDrive::OwnElectronics(_) => (LoadKind::TwoWireBlower, None),
        },
        Machine::Pump(pump) => (LoadKind::BrushedPump, pump.motor_h),
        Machine::BrushlessPump(_) => (LoadKind::BrushlessPump, None),
        Machine::Motor(motor) => (LoadKind::BrushedMotor, motor.motor_h),
        Machine::Led(led) => match led.limit {
            crate::part::led::LedLimit::Resistor { .. } => (LoadKind::LedString, None),
            crate::part::led::LedLimit::Driver { .. } => (LoadKind::LedDriver, None),
        },
        Machine::Heater { .. } => (LoadKind::Heater, None),
        Machine::Labels { .. } | Machine::Converter(_) | Machine::Electronics { .. } => (LoadKind::Electronics, None),
    }
}

/// The capacitor across the switch's supply, at its largest ripple and its largest rush.
pub(in crate::plan) fn capacitor(facts: &Facts<'_>, control: &Control, lead_ohm: f64) -> Option<SupplyCapacitor> {
    let (buffer, switch) = (control.capacitor?, facts.worst_switch.as_ref()?);
    let metres: f64 = facts.plan.runs.iter().map(|run| run.length_m).sum();
    let settings = &facts.settings.as_ref()?.rows;
    let slowest_hz = told(settings).map(|setting| setting.frequency_hz.low).reduce(f64::min)?.max(0.1);
    let fastest_hz = told(settings).map(|setting| setting.frequency_hz.high).fold(slowest_hz, f64::max);
    Some(SupplyCapacitor {
        supply_v: facts.pack.full_v,
        on_a: switch.on_a,
        duty_low: switch.duty_low.unwrap_or(0.0).min(switch.duty),
        duty_high: switch.duty,
        frequency_hz: slowest_hz,
        frequency_high_hz: Some(fastest_hz),
        c_f: buffer.c_f,
        esr_ohm: buffer.esr_ohm,
        lead_ohm: (lead_ohm + facts.pack.resistance_ohm.low).max(1e-4),
        lead_h: (LEAD_H_PER_M * metres).max(1e-9),
        wanted_ripple_v: None,
    })
}

fn capacitor_case(facts: &Facts<'_>, control: &Control, capacitor: SupplyCapacitor) -> CapacitorCase {
    let board = facts.plan.protection.as_ref().and_then(Protection::board);
    let fuse = facts.plan.fuse.as_ref().and_then(FuseChoice::fitted);
    let melting = |fuse: &crate::plan::inputs::Fuse| {
        let row = ELEMENTS.iter().find(|row| Some(row.family) == fuse.family && row.rating_a == fuse.rating_a)?;
        row.melting_a2s
    };
    CapacitorCase {
        capacitor,
        rated_ripple_a: control.capacitor.and_then(|buffer| buffer.rated_ripple_a),
        board_a: board.and_then(|board| board.short_circuit_a.or(board.trip_a)).map(|trip_a| trip_a.at(End::Low)),
        fuse_a2s: fuse.and_then(melting),
        contact_a: facts
            .plan
            .main_switch
            .as_ref()
            .and_then(MainSwitchChoice::fitted)
            .and_then(|switch| switch.direct_a),
    }
}
