//! The speed control: timer, its resistors, knob, capacitors and diodes, and the transistor with what stands around it.

use super::{PartKind, PartNeed, PartRow};
use crate::data::COMMON_PRACTICE;
use crate::data::diode::Diode;
use crate::data::timer::TimerPart;
use crate::finding::drive::switch_rules::VOLTAGE_MARGIN_RATIO;
use crate::part::decoupling::SupplyCapacitor;
use crate::part::load::Draw;
use crate::part::timing::{Circuit, DiodeSteered, Outcome, Ramp, ThresholdRamp, TwoResistor};
use crate::plan::Control;
use crate::plan::report::TimerReport;
use crate::sheet::basis::{Basis, shown_down};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Resistor in the gate's lead, in ohms. Common practice, no source.
pub(super) const GATE_OHM: f64 = 100.0;
/// Resistor from gate to source, in ohms: a hundred times the one in the lead. Common practice, no source.
pub(super) const PULL_DOWN_OHM: f64 = 10e3;
/// Capacitor close to the timer's supply, in farads. Common practice, no source.
const DECOUPLING_F: f64 = 100e-9;
/// Knob that sets a voltage, in ohms. Common practice, no source.
const DIVIDER_OHM: f64 = 10e3;
/// Ripple of the supply, as a share of the empty pack, half of it by the capacitor and half by its resistance. Common
/// practice, no source.
const RIPPLE_RATIO: f64 = 0.05;

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
    transistor(basis, control, parts);
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
    parts.push(PartRow::new("U1", PartKind::Timer, words, why).needing(needs).from_source(row.source));
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
    let (words, source) = match steered.diode.unwrap_or(Diode::SmallSignal) {
        Diode::SmallSignal => ("small signal diode, 1N4148 kind", crate::data::diode::SMALL_SIGNAL.source),
        Diode::Silicon => ("silicon rectifier diode", crate::data::diode::SILICON.source),
        Diode::Schottky => ("Schottky diode", crate::data::diode::SCHOTTKY.source),
        Diode::Own(_) => ("diode by your own data", COMMON_PRACTICE),
    };
    for (mark, why) in [
        ("D1", "Steers the charging current; its ring points to the potentiometer."),
        ("D2", "Steers the discharging current; its ring points to the discharge pin."),
    ] {
        let need = PartNeed::least("reverse_v", "reverse voltage", full_v, "v");
        parts.push(PartRow::new(mark, PartKind::SteeringDiode, words, why).needing([need]).from_source(source));
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

fn transistor(basis: &Basis<'_>, control: &Control, parts: &mut Vec<PartRow>) {
    let (full_v, floor_v) = (basis.full_v(), basis.report.pack.floor_v);
    let gate_v = (floor_v - control.timer.part.row().output_high_drop_v.high).max(0.0);
    let ampere = |code, name| PartNeed::least(code, name, basis.highest_a(), "a");
    let needs = [
        PartNeed::least("drain_v", "drain voltage", VOLTAGE_MARGIN_RATIO * full_v, "v"),
        ampere("drain_a", "drain current"),
        PartNeed::most("on_gate_v", "its resistance is stated at a gate voltage of", gate_v, "v"),
        PartNeed::most("on_ohm", "resistance, hot,", control.switch_ohm.high, "ohm"),
        PartNeed::least("gate_high_v", "gate stands", full_v, "v"),
    ];
    let why = "Switches the minus of the chopped loads. At the empty pack the timer's output gives the least gate voltage: \
               a threshold voltage is no proof that it is fully on.";
    parts.push(PartRow::new("Q1", PartKind::Transistor, "N-channel MOSFET", why).needing(needs).asked());
    let why = "Keeps the gate from ringing and the timer's output within its current.";
    let gate = resistor("R6", "gate resistor", why, GATE_OHM, full_v);
    // It carries the gate's charge alone: any common size will do.
    parts.push(PartRow { needs: Vec::new(), ..gate.asked() });
    let why = "Keeps the transistor off while the timer has no supply.";
    parts.push(resistor("R7", "resistor from gate to source", why, PULL_DOWN_OHM, full_v).asked());
    let chopped = || basis.plan.loads.iter().filter(|load| load.chopped);
    if chopped().any(|load| !matches!(load.draw, Draw::Resistance { .. })) {
        let needs = [
            PartNeed::least("reverse_v", "reverse voltage", VOLTAGE_MARGIN_RATIO * full_v, "v"),
            PartNeed::least("forward_a", "mean forward current", basis.peak_a, "a"),
        ];
        let why = "Carries the load's current on while the transistor is off; at small duty nearly all of it. Its ring goes \
                   to plus: turned round it shorts the pack.";
        let words = "fast or Schottky diode across the chopped loads";
        parts.push(PartRow::new("D3", PartKind::FlybackDiode, words, why).needing(needs).asked());
    }
    parts.push(supply_capacitor(basis));
}

/// Lowest frequency of the timer over the pack's voltage and the listed places of the knob.
fn lowest_hz(basis: &Basis<'_>) -> Option<f64> {
    let outcomes = |timer: &TimerReport| [timer.full.clone(), timer.half.clone(), timer.empty.clone()];
    let cycle = |outcome: Outcome| if let Outcome::Runs(cycle) = outcome { Some(cycle.frequency_hz) } else { None };
    let own = basis.report.timer.as_ref().map(outcomes)?.into_iter().filter_map(cycle);
    let listed = basis.report.positions.iter().filter_map(|place| place.frequency_hz).map(|hertz| hertz.low);
    own.chain(listed).reduce(f64::min)
}

fn supply_capacitor(basis: &Basis<'_>) -> PartRow {
    let full_v = basis.full_v();
    let ripple_v = RIPPLE_RATIO * basis.report.pack.floor_v;
    let why = "Across plus and minus at the speed control: gives the pulses that the leads' inductance keeps back. Low ESR; \
               watch its polarity.";
    let row = PartRow::new("C4", PartKind::Capacitor, "electrolytic capacitor at the speed control", why).asked();
    let esr_ohm = 0.5 * ripple_v / basis.peak_a.max(1e-3);
    let answer = lowest_hz(basis).and_then(|frequency_hz| {
        let case = SupplyCapacitor {
            supply_v: full_v,
            on_a: basis.peak_a,
            duty_low: 0.0,
            duty_high: 1.0,
            frequency_hz,
            c_f: 1e-3,
            esr_ohm,
            lead_ohm: 0.1,
            lead_h: 1e-6,
            wanted_ripple_v: Some(ripple_v),
        };
        case.answer().ok()
    });
    let Some((answer, needed_f)) = answer.and_then(|answer| Some((answer, answer.needed_f?))) else {
        let open = PartNeed::open("c_f", "capacitance", "a timer that runs");
        return row.needing([open]);
    };
    let ripple = String::from("ripple current");
    row.needing([
        PartNeed::least("c_f", "capacitance", needed_f, "f"),
        PartNeed::least("rated_v", "voltage rating", VOLTAGE_MARGIN_RATIO * full_v, "v"),
        PartNeed::least("ripple_a", &ripple, answer.ripple_a, "a"),
        PartNeed::most("esr_ohm", "ESR", esr_ohm, "ohm"),
    ])
}
