//! The speed control: timer, its resistors, knob, capacitors and diodes, and the transistor with what stands around it.

use super::{PartKind, PartNeed, PartRow};
use crate::data::diode::{Diode, SCHOTTKY, SILICON, SMALL_SIGNAL};
use crate::data::timer::TimerPart;
use crate::data::{COMMON_PRACTICE, Source};
use crate::finding::drive::switch_rules::VOLTAGE_MARGIN_RATIO;
use crate::part::timing::{Circuit, DiodeSteered, Ramp, ThresholdRamp, TwoResistor};
use crate::plan::Control;
use crate::sheet::basis::{Basis, shown_down};
use alloc::format;
use alloc::vec::Vec;

/// Capacitor close to the timer's supply, in farads. Common practice, no source.
const DECOUPLING_F: f64 = 100e-9;
/// Knob that sets a voltage, in ohms. Common practice, no source.
const DIVIDER_OHM: f64 = 10e3;
pub(super) fn parts(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let Some(control) = &basis.plan.control else { return };
    timer(basis, control, parts);
    let full_v = basis.full_v();
    match &control.timer.circuit {
        Circuit::TwoResistor(two) => two_resistor(two, full_v, parts),
        Circuit::DiodeSteered(steered) => diode_steered(steered, full_v, parts),
        Circuit::ThresholdRamp(ramp) => threshold_ramp(ramp, full_v, parts),
    }
    let close = "Close to the timer, from its supply to its ground: it gives the current of the switching edges.";
    let row = PartRow::new("C2", PartKind::Capacitor, "ceramic capacitor at the timer's supply", close);
    parts.push(row.capacitor(DECOUPLING_F, VOLTAGE_MARGIN_RATIO * full_v).asked());
    if let Some(f) = control.timer.control_capacitor_f.filter(|f| *f > 0.0) {
        let why = "Keeps noise off the thresholds.";
        let row = PartRow::new("C3", PartKind::Capacitor, "capacitor at the timer's control pin", why);
        parts.push(row.capacitor(f, full_v));
    }
    super::switch::parts(basis, control, parts);
}

fn timer(basis: &Basis<'_>, control: &Control, parts: &mut Vec<PartRow>) {
    let words = match control.timer.part {
        TimerPart::Bipolar => "555 timer, bipolar",
        TimerPart::Cmos => "555 timer, CMOS",
        TimerPart::LowDriveCmos => "555 timer, CMOS, weak output",
        TimerPart::Own(_) => "timer by your own data",
    };
    let row = control.timer.part.row();
    let why =
        format!("Its supply may be {} at most; the full pack is the most it gets.", shown_down(row.supply_high_v, "v"));
    let needs = [
        PartNeed::least("supply_high_v", "stands a supply of", basis.full_v(), "v"),
        PartNeed::most("supply_low_v", "still works at a supply of", basis.report.pack.floor_v, "v"),
    ];
    parts.push(PartRow::new("U1", PartKind::Timer, words, why).needing(needs).citing(row.source));
}

fn resistor(mark: &str, words: &str, why: &str, ohm: f64, full_v: f64) -> PartRow {
    PartRow::new(mark, PartKind::Resistor, words, why).resistor(ohm, full_v)
}

fn timing_capacitor(f: f64, full_v: f64) -> PartRow {
    let why = "Sets the frequency with the resistors. Film or C0G ceramic: others drift.";
    PartRow::new("C1", PartKind::TimingCapacitor, "timing capacitor", why).capacitor(f, full_v)
}

fn two_resistor(two: &TwoResistor, full_v: f64, parts: &mut Vec<PartRow>) {
    parts.push(resistor("R1", "resistor from supply to discharge pin", "Charges the capacitor.", two.ra_ohm, full_v));
    parts.push(resistor(
        "R2",
        "resistor from discharge pin to capacitor",
        "Charges and discharges it.",
        two.rb_ohm,
        full_v,
    ));
    parts.push(timing_capacitor(two.c_f, full_v));
}

fn diode_steered(steered: &DiodeSteered, full_v: f64, parts: &mut Vec<PartRow>) {
    let why = "Charges the capacitor, and keeps the discharge pin from shorting the supply.";
    parts.push(resistor("R1", "resistor from supply to discharge pin", why, steered.ra_ohm, full_v));
    let why = "Keeps the knob from reaching the very end; its value counts the potentiometer's own end resistance.";
    for (mark, words, ohm) in [
        ("R3", "end stop of the charging half", steered.charge_ohm),
        ("R4", "end stop of the discharging half", steered.discharge_ohm),
        ("R5", "resistor between wiper and capacitor", steered.shared_ohm),
    ] {
        if let Some(ohm) = ohm.filter(|ohm| *ohm > 0.0) {
            parts.push(resistor(mark, words, why, ohm, full_v));
        }
    }
    let row = PartRow::new(
        "P1",
        PartKind::Potentiometer,
        "potentiometer, linear: the knob",
        "Sets the duty, hardly the frequency.",
    );
    parts.push(row.potentiometer(steered.pot_ohm, full_v));
    let (words, source) = diode_words(steered.diode.unwrap_or(Diode::SmallSignal));
    for (mark, why) in [
        ("D1", "Steers the charging current; its ring points to the potentiometer."),
        ("D2", "Steers the discharging current; its ring points to the discharge pin."),
    ] {
        let need = PartNeed::least("reverse_v", "reverse voltage", full_v, "v");
        parts.push(PartRow::new(mark, PartKind::SteeringDiode, words, why).needing([need]).citing(source));
    }
    parts.push(timing_capacitor(steered.c_f, full_v));
}

fn threshold_ramp(ramp: &ThresholdRamp, full_v: f64, parts: &mut Vec<PartRow>) {
    let c_f = match &ramp.ramp {
        Ramp::Triangle(triangle) => {
            for (mark, words, ohm) in [
                ("R1", "resistor of the integrator", triangle.integrator_ohm),
                ("R2", "resistor into the comparator", triangle.hysteresis_ohm),
                ("R3", "feedback resistor of the comparator", triangle.feedback_ohm),
            ] {
                parts.push(resistor(mark, words, "Shapes the ramp.", ohm, full_v));
            }
            triangle.c_f
        }
        Ramp::Sawtooth(sawtooth) => {
            for (mark, words, ohm) in
                [("R1", "charging resistor", sawtooth.charge_ohm), ("R2", "reset resistor", sawtooth.reset_ohm)]
            {
                if ohm > 0.0 {
                    parts.push(resistor(mark, words, "Shapes the ramp.", ohm, full_v));
                }
            }
            sawtooth.c_f
        }
    };
    let row = PartRow::new(
        "P1",
        PartKind::Potentiometer,
        "potentiometer, linear: the knob",
        "Sets the voltage that the ramp is held against.",
    );
    parts.push(row.potentiometer(DIVIDER_OHM, full_v).asked());
    parts.push(timing_capacitor(c_f, full_v));
}

/// What a diode is.
pub(super) fn diode_words(diode: Diode) -> (&'static str, Source) {
    match diode {
        Diode::SmallSignal => ("small signal diode, 1N4148 kind", SMALL_SIGNAL.source),
        Diode::Silicon => ("silicon rectifier diode", SILICON.source),
        Diode::Schottky => ("Schottky diode", SCHOTTKY.source),
        Diode::Own(_) => ("diode by your own data", COMMON_PRACTICE),
    }
}
