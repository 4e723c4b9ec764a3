//! The speed control: timer, its resistors, knob, capacitors and diodes, and the transistor with what stands around it.

use super::{PartKind, PartNeed, PartRow, REVERSE};
use crate::data::diode::{Diode, SCHOTTKY, SILICON, SMALL_SIGNAL};
use crate::data::timer::TimerPart;
use crate::data::{COMMON_PRACTICE, Source};
use crate::finding::drive::switch_rules::VOLTAGE_MARGIN_RATIO;
use crate::part::timing::{Circuit, DiodeSteered, Ramp, ThresholdRamp, TwoResistor};
use crate::plan::Control;
use crate::quantity::said::{Filling, Wording, wordings};
use crate::sheet::basis::Basis;
use alloc::vec::Vec;

/// Capacitor close to the timer's supply, in farads. Common practice, no source.
const DECOUPLING_F: f64 = 100e-9;
/// Knob that sets a voltage, in ohms. Common practice, no source.
const DIVIDER_OHM: f64 = 10e3;

wordings! {
    DECOUPLING: "part_decoupling", "ceramic capacitor at the timer's supply";
    DECOUPLING_WHY: "part_decoupling_why", "Close to the timer, from its supply to its ground: it gives the current of the switching edges.";
    QUIET: "part_control_capacitor", "capacitor at the timer's control pin";
    QUIET_WHY: "part_control_capacitor_why", "Keeps noise off the thresholds.";
    TIMER_BIPOLAR: "timer_bipolar", "555 timer, bipolar";
    TIMER_CMOS: "timer_cmos", "555 timer, CMOS";
    TIMER_WEAK: "timer_low_drive", "555 timer, CMOS, weak output";
    TIMER_OWN: "timer_own", "timer by your own data";
    TIMER_WHY: "part_timer_why", "Its supply may be {0} at most; the full pack is the most it gets.";
    STANDS: "need_supply_high", "stands a supply of";
    WORKS: "need_supply_low", "still works at a supply of";
    TIMING: "part_timing_capacitor", "timing capacitor";
    TIMING_WHY: "part_timing_capacitor_why", "Sets the frequency with the resistors. Film or C0G ceramic: others drift.";
    TO_DISCHARGE: "part_ra", "resistor from supply to discharge pin";
    CHARGES: "part_ra_why", "Charges the capacitor.";
    TO_CAPACITOR: "part_rb", "resistor from discharge pin to capacitor";
    BOTH: "part_rb_why", "Charges and discharges it.";
    STEERED_WHY: "part_ra_steered_why", "Charges the capacitor, and keeps the discharge pin from shorting the supply.";
    END_WHY: "part_end_stop_why", "Keeps the knob from reaching the very end; its value counts the potentiometer's own end resistance.";
    CHARGE_STOP: "part_charge_stop", "end stop of the charging half";
    DISCHARGE_STOP: "part_discharge_stop", "end stop of the discharging half";
    SHARED: "part_shared", "resistor between wiper and capacitor";
    KNOB: "part_knob", "potentiometer, linear: the knob";
    KNOB_DUTY: "part_knob_duty", "Sets the duty, hardly the frequency.";
    KNOB_VOLTAGE: "part_knob_voltage", "Sets the voltage that the ramp is held against.";
    STEERS_CHARGE: "part_charge_diode_why", "Steers the charging current; its ring points to the potentiometer.";
    STEERS_DISCHARGE: "part_discharge_diode_why", "Steers the discharging current; its ring points to the discharge pin.";
    INTEGRATOR: "part_integrator", "resistor of the integrator";
    HYSTERESIS: "part_hysteresis", "resistor into the comparator";
    FEEDBACK: "part_feedback", "feedback resistor of the comparator";
    RAMP_WHY: "part_ramp_why", "Shapes the ramp.";
    CHARGING: "part_ramp_charge", "charging resistor";
    RESET: "part_ramp_reset", "reset resistor";
    SMALL_DIODE: "diode_small_signal", "small signal diode, 1N4148 kind";
    SILICON_DIODE: "diode_silicon", "silicon rectifier diode";
    SCHOTTKY_DIODE: "diode_schottky", "Schottky diode";
    OWN_DIODE: "diode_own", "diode by your own data";
}

pub(super) fn parts(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let Some(control) = &basis.plan.control else { return };
    timer(basis, control, parts);
    let full_v = basis.full_v();
    match &control.timer.circuit {
        Circuit::TwoResistor(two) => two_resistor(two, full_v, parts),
        Circuit::DiodeSteered(steered) => diode_steered(steered, full_v, parts),
        Circuit::ThresholdRamp(ramp) => threshold_ramp(ramp, full_v, parts),
    }
    let close = DECOUPLING_WHY;
    let row = PartRow::new("C2", PartKind::Capacitor, DECOUPLING, close);
    parts.push(row.capacitor(DECOUPLING_F, VOLTAGE_MARGIN_RATIO * full_v).asked());
    if let Some(f) = control.timer.control_capacitor_f.filter(|f| *f > 0.0) {
        let why = QUIET_WHY;
        let row = PartRow::new("C3", PartKind::Capacitor, QUIET, why);
        parts.push(row.capacitor(f, full_v));
    }
    super::switch::parts(basis, control, parts);
}

fn timer(basis: &Basis<'_>, control: &Control, parts: &mut Vec<PartRow>) {
    let words = match control.timer.part {
        TimerPart::Bipolar => TIMER_BIPOLAR,
        TimerPart::Cmos => TIMER_CMOS,
        TimerPart::LowDriveCmos => TIMER_WEAK,
        TimerPart::Own(_) => TIMER_OWN,
    };
    let row = control.timer.part.row();
    let why = TIMER_WHY.with([Filling::down(row.supply_high_v, "v")]);
    let needs = [
        PartNeed::least("supply_high_v", STANDS, basis.full_v(), "v"),
        PartNeed::most("supply_low_v", WORKS, basis.report.pack.floor_v, "v"),
    ];
    parts.push(PartRow::new("U1", PartKind::Timer, words, why).needing(needs).citing(row.source));
}

fn resistor(mark: &str, words: Wording, why: Wording, ohm: f64, full_v: f64) -> PartRow {
    PartRow::new(mark, PartKind::Resistor, words, why).resistor(ohm, full_v)
}

fn timing_capacitor(f: f64, full_v: f64) -> PartRow {
    let why = TIMING_WHY;
    PartRow::new("C1", PartKind::TimingCapacitor, TIMING, why).capacitor(f, full_v)
}

fn two_resistor(two: &TwoResistor, full_v: f64, parts: &mut Vec<PartRow>) {
    parts.push(resistor("R1", TO_DISCHARGE, CHARGES, two.ra_ohm, full_v));
    parts.push(resistor("R2", TO_CAPACITOR, BOTH, two.rb_ohm, full_v));
    parts.push(timing_capacitor(two.c_f, full_v));
}

fn diode_steered(steered: &DiodeSteered, full_v: f64, parts: &mut Vec<PartRow>) {
    let why = STEERED_WHY;
    parts.push(resistor("R1", TO_DISCHARGE, why, steered.ra_ohm, full_v));
    let why = END_WHY;
    for (mark, words, ohm) in [
        ("R3", CHARGE_STOP, steered.charge_ohm),
        ("R4", DISCHARGE_STOP, steered.discharge_ohm),
        ("R5", SHARED, steered.shared_ohm),
    ] {
        if let Some(ohm) = ohm.filter(|ohm| *ohm > 0.0) {
            parts.push(resistor(mark, words, why, ohm, full_v));
        }
    }
    let row = PartRow::new("P1", PartKind::Potentiometer, KNOB, KNOB_DUTY);
    parts.push(row.potentiometer(steered.pot_ohm, full_v));
    let (words, source) = diode_words(steered.diode.unwrap_or(Diode::SmallSignal));
    for (mark, why) in [("D1", STEERS_CHARGE), ("D2", STEERS_DISCHARGE)] {
        let need = PartNeed::least("reverse_v", REVERSE, full_v, "v");
        parts.push(PartRow::new(mark, PartKind::SteeringDiode, words, why).needing([need]).citing(source));
    }
    parts.push(timing_capacitor(steered.c_f, full_v));
}

fn threshold_ramp(ramp: &ThresholdRamp, full_v: f64, parts: &mut Vec<PartRow>) {
    let c_f = match &ramp.ramp {
        Ramp::Triangle(triangle) => {
            for (mark, words, ohm) in [
                ("R1", INTEGRATOR, triangle.integrator_ohm),
                ("R2", HYSTERESIS, triangle.hysteresis_ohm),
                ("R3", FEEDBACK, triangle.feedback_ohm),
            ] {
                parts.push(resistor(mark, words, RAMP_WHY, ohm, full_v));
            }
            triangle.c_f
        }
        Ramp::Sawtooth(sawtooth) => {
            for (mark, words, ohm) in [("R1", CHARGING, sawtooth.charge_ohm), ("R2", RESET, sawtooth.reset_ohm)] {
                if ohm > 0.0 {
                    parts.push(resistor(mark, words, RAMP_WHY, ohm, full_v));
                }
            }
            sawtooth.c_f
        }
    };
    let row = PartRow::new("P1", PartKind::Potentiometer, KNOB, KNOB_VOLTAGE);
    parts.push(row.potentiometer(DIVIDER_OHM, full_v).asked());
    parts.push(timing_capacitor(c_f, full_v));
}

/// What a diode is.
pub(super) fn diode_words(diode: Diode) -> (Wording, Source) {
    match diode {
        Diode::SmallSignal => (SMALL_DIODE, SMALL_SIGNAL.source),
        Diode::Silicon => (SILICON_DIODE, SILICON.source),
        Diode::Schottky => (SCHOTTKY_DIODE, SCHOTTKY.source),
        Diode::Own(_) => (OWN_DIODE, COMMON_PRACTICE),
    }
}
