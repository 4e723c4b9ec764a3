//! The transistor and what stands around it.

use super::control::diode_words;
use super::{PartKind, PartNeed, PartRow};
use crate::data::switch::{Transistor, TransistorRow};
use crate::data::{COMMON_PRACTICE, Source};
use crate::finding::drive::switch_rules::VOLTAGE_MARGIN_RATIO;
use crate::part::decoupling::SupplyCapacitor;
use crate::part::load::Draw;
use crate::part::timing::Outcome;
use crate::plan::report::TimerReport;
use crate::plan::{Control, SupplyBuffer};
use crate::sheet::basis::{Basis, shown, shown_down};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Resistor in the gate's lead where the plan has none, in ohms. Common practice, no source.
const GATE_OHM: f64 = 100.0;
/// Resistor from gate to source where the plan has none, in ohms. Common practice, no source.
const PULL_DOWN_OHM: f64 = 10e3;
/// Ripple of the supply, as a share of the empty pack, half of it by the capacitor and half by its resistance. Common
/// practice, no source.
const RIPPLE_RATIO: f64 = 0.05;

pub(super) fn parts(basis: &Basis<'_>, control: &Control, parts: &mut Vec<PartRow>) {
    transistor(basis, control, parts);
    resistors(basis, control, parts);
    flyback(basis, control, parts);
    parts.push(match control.capacitor {
        Some(buffer) => planned_capacitor(basis, buffer),
        None => wanted_capacitor(basis),
    });
}

/// Whether the plan's transistor is a bipolar one.
pub(crate) fn is_bipolar(control: &Control) -> bool {
    matches!(control.switch.map(|switch| switch.transistor.row()), Some(TransistorRow::Bipolar(_)))
}

fn transistor_words(transistor: &Transistor) -> String {
    let known = match transistor {
        Transistor::Irfz44n => "IRFZ44N kind",
        Transistor::Irf510 => "IRF510 kind",
        Transistor::Csd18510ktt => "CSD18510KTT kind",
        Transistor::Csd19535ktt => "CSD19535KTT kind",
        Transistor::Tip120 => "TIP120 kind",
        Transistor::Bd139 => "BD139 kind",
        Transistor::Mosfet(_) | Transistor::Bipolar(_) => "by your own data",
    };
    match transistor.row() {
        TransistorRow::Mosfet(row) => {
            format!("N-channel MOSFET, {known}: {}, {}", shown_down(row.drain_v, "v"), shown_down(row.drain_a, "a"))
        }
        TransistorRow::Bipolar(row) => {
            format!(
                "NPN transistor, {known}: {}, {}",
                shown_down(row.collector_v, "v"),
                shown_down(row.collector_a, "a")
            )
        }
    }
}

fn transistor(basis: &Basis<'_>, control: &Control, parts: &mut Vec<PartRow>) {
    let full_v = basis.full_v();
    let gate_v = (basis.report.pack.floor_v - control.timer.part.row().output_high_drop_v.high).max(0.0);
    let mut needs = alloc::vec![
        PartNeed::least("blocks_v", "blocks", VOLTAGE_MARGIN_RATIO * full_v, "v"),
        PartNeed::least("carries_a", "current rating", basis.highest_a(), "a"),
    ];
    if !is_bipolar(control) {
        needs.push(PartNeed::most("on_gate_v", "its resistance is stated at a gate voltage of", gate_v, "v"));
        needs.push(PartNeed::most("on_ohm", "resistance, hot,", control.switch_ohm.high, "ohm"));
        needs.push(PartNeed::least("gate_high_v", "gate stands", full_v, "v"));
    }
    let why = "Switches the minus of the chopped loads. At the empty pack the timer's output gives the least drive: a \
               threshold voltage is no proof that it is fully on.";
    let words =
        control.switch.map_or_else(|| String::from("N-channel MOSFET"), |switch| transistor_words(&switch.transistor));
    let row = PartRow::new("Q1", PartKind::Transistor, words, why).needing(needs);
    parts.push(PartRow { in_plan: control.switch.is_some(), ..row });
    if let Some(k_per_w) = control.switch.and_then(|switch| switch.sink_k_per_w) {
        let words = format!("heat sink of {} K/W or less, insulated from everything", shown(k_per_w, "count"));
        parts.push(PartRow::new("HS1", PartKind::HeatSink, words, "Keeps Q1 cool; its tab is live at the drain."));
    }
}

fn resistors(basis: &Basis<'_>, control: &Control, parts: &mut Vec<PartRow>) {
    let full_v = basis.full_v();
    let bipolar = is_bipolar(control);
    let (words, why) = if bipolar {
        ("base resistor", "Sets the base current; too large, and the transistor overheats.")
    } else {
        ("gate resistor", "Keeps the gate from ringing and the timer's output within its current.")
    };
    let planned = control.switch.map(|switch| switch.gate_ohm).filter(|ohm| *ohm > 0.0);
    if control.switch.is_none() || planned.is_some() {
        let gate = PartRow::new("R6", PartKind::Resistor, words, why).resistor(planned.unwrap_or(GATE_OHM), full_v);
        // A gate takes charge alone: any common size will do. A base takes the current all the time.
        let needs = if bipolar { gate.needs } else { Vec::new() };
        parts.push(PartRow { in_plan: planned.is_some(), needs, ..gate });
    }
    let planned = control.switch.and_then(|switch| switch.pull_down_ohm);
    let why = "Keeps the transistor off while the timer has no supply.";
    let words = if bipolar { "resistor from base to emitter" } else { "resistor from gate to source" };
    let row = PartRow::new("R7", PartKind::Resistor, words, why).resistor(planned.unwrap_or(PULL_DOWN_OHM), full_v);
    parts.push(PartRow { in_plan: planned.is_some(), ..row });
}

fn flyback(basis: &Basis<'_>, control: &Control, parts: &mut Vec<PartRow>) {
    let mut chopped = basis.plan.loads.iter().filter(|load| load.chopped);
    let planned = control.switch.and_then(|switch| switch.flyback);
    let coil = chopped.any(|load| !matches!(load.draw, Draw::Resistance { .. }));
    if planned.is_none() && !coil {
        return;
    }
    let needs = [
        PartNeed::least("reverse_v", "reverse voltage", VOLTAGE_MARGIN_RATIO * basis.full_v(), "v"),
        PartNeed::least("forward_a", "mean forward current", basis.peak_a, "a"),
    ];
    let why = "Carries the load's current on while the transistor is off; at small duty nearly all of it. Its ring goes to \
               plus: turned round it shorts the pack.";
    let wanted: (&str, Source) = ("fast or Schottky diode", COMMON_PRACTICE);
    let (words, source) = planned.map_or(wanted, diode_words);
    let words = format!("{words} across the chopped loads");
    let row = PartRow::new("D3", PartKind::FlybackDiode, words, why).needing(needs).citing(source);
    parts.push(PartRow { in_plan: planned.is_some(), ..row });
}

const BUFFER_WORDS: &str = "electrolytic capacitor at the speed control";
const BUFFER_WHY: &str = "Across plus and minus at the speed control: gives the pulses that the leads' inductance keeps \
    back. Low ESR; watch its polarity.";

fn planned_capacitor(basis: &Basis<'_>, buffer: SupplyBuffer) -> PartRow {
    let rated_v = VOLTAGE_MARGIN_RATIO * basis.full_v();
    let row = PartRow::new("C4", PartKind::Capacitor, BUFFER_WORDS, BUFFER_WHY).capacitor(buffer.c_f, rated_v);
    let esr = PartNeed::most("esr_ohm", "ESR", buffer.esr_ohm, "ohm");
    match &basis.report.capacitor {
        Some(answer) => row.needing([PartNeed::least("ripple_a", "ripple current", answer.ripple_a, "a"), esr]),
        None => row.needing([PartNeed::open("ripple_a", "ripple current", "a timer that runs"), esr]),
    }
}

/// Lowest frequency of the timer over the pack's voltage and the listed places of the knob.
fn lowest_hz(basis: &Basis<'_>) -> Option<f64> {
    let outcomes = |timer: &TimerReport| [timer.full.clone(), timer.half.clone(), timer.empty.clone()];
    let cycle = |outcome: Outcome| if let Outcome::Runs(cycle) = outcome { Some(cycle.frequency_hz) } else { None };
    let own = basis.report.timer.as_ref().map(outcomes)?.into_iter().filter_map(cycle);
    let rows = basis.report.settings.iter().flat_map(|settings| &settings.rows);
    own.chain(rows.filter_map(|row| Some(row.setting.as_ref()?.frequency_hz.low))).reduce(f64::min)
}

/// What the plan asks of a capacitor that it does not state.
fn wanted_capacitor(basis: &Basis<'_>) -> PartRow {
    let full_v = basis.full_v();
    let ripple_v = RIPPLE_RATIO * basis.report.pack.floor_v;
    let row = PartRow::new("C4", PartKind::Capacitor, BUFFER_WORDS, BUFFER_WHY).asked();
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
        return row.needing([PartNeed::open("c_f", "capacitance", "a timer that runs")]);
    };
    row.needing([
        PartNeed::least("c_f", "capacitance", needed_f, "f"),
        PartNeed::least("rated_v", "voltage rating", VOLTAGE_MARGIN_RATIO * full_v, "v"),
        PartNeed::least("ripple_a", "ripple current", answer.ripple_a, "a"),
        PartNeed::most("esr_ohm", "ESR", esr_ohm, "ohm"),
    ])
}
