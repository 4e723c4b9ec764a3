//! The transistor and what stands around it.

use super::control::diode_words;
use super::{CURRENT_RATING, PartKind, PartNeed, PartRow, REVERSE, VOLTAGE_RATING};
use crate::data::switch::{Transistor, TransistorRow};
use crate::data::{COMMON_PRACTICE, Source};
use crate::finding::drive::switch_rules::VOLTAGE_MARGIN_RATIO;
use crate::part::decoupling::SupplyCapacitor;
use crate::part::load::Draw;
use crate::part::timing::Outcome;
use crate::plan::report::TimerReport;
use crate::plan::{Control, SupplyBuffer};
use crate::quantity::said::{Filling, Phrase, Wording, wordings};
use crate::sheet::basis::Basis;
use alloc::vec::Vec;

/// Resistor in the gate's lead where the plan has none, in ohms. Common practice, no source.
const GATE_OHM: f64 = 100.0;
/// Resistor from gate to source where the plan has none, in ohms. Common practice, no source.
const PULL_DOWN_OHM: f64 = 10e3;
/// Ripple of the supply, as a share of the empty pack, half of it by the capacitor and half by its resistance. Common
/// practice, no source.
const RIPPLE_RATIO: f64 = 0.05;

wordings! {
    TRANSISTOR_WHY: "part_transistor_why", "Switches the minus of the chopped loads. At the empty pack the timer's output gives the least drive: a threshold voltage is no proof that it is fully on.";
    BLOCKS: "need_blocks", "blocks";
    GATE_AT: "need_on_gate", "its resistance is stated at a gate voltage of";
    ON_HOT: "need_on_ohm", "resistance, hot,";
    GATE_STANDS: "need_gate_high", "gate stands";
    PLAIN_MOSFET: "transistor_any", "N-channel MOSFET";
    SINK_WHY: "part_sink_why", "Keeps Q1 cool; its tab is live at the drain.";
    BASE: "part_base", "base resistor";
    BASE_WHY: "part_base_why", "Sets the base current; too large, and the transistor overheats.";
    GATE: "part_gate", "gate resistor";
    GATE_WHY: "part_gate_why", "Keeps the gate from ringing and the timer's output within its current.";
    PULL_WHY: "part_pull_down_why", "Keeps the transistor off while the timer has no supply.";
    PULL_BASE: "part_pull_down_base", "resistor from base to emitter";
    PULL_GATE: "part_pull_down_gate", "resistor from gate to source";
    FORWARD: "need_forward", "mean forward current";
    FLYBACK_WHY: "part_flyback_why", "Carries the load's current on while the transistor is off; at small duty nearly all of it. Its ring goes to plus: turned round it shorts the pack.";
    FAST_DIODE: "diode_fast", "fast or Schottky diode";
    BUFFER_WORDS: "part_buffer", "electrolytic capacitor at the speed control";
    BUFFER_WHY: "part_buffer_why", "Across plus and minus at the speed control: gives the pulses that the leads' inductance keeps back. Low ESR; watch its polarity.";
    ESR: "need_esr", "ESR";
    RIPPLE: "need_ripple", "ripple current";
    RUNNING_TIMER: "needs_running_timer", "a timer that runs";
    CAPACITANCE: "need_capacitance", "capacitance";
    MOSFET: "transistor_mosfet", "N-channel MOSFET, {0}: {1}, {2}";
    NPN: "transistor_npn", "NPN transistor, {0}: {1}, {2}";
    KIND: "transistor_kind", "{0} kind";
    OWN: "transistor_own", "by your own data";
    SINK: "part_sink", "heat sink of {0} K/W or less, insulated from everything";
    FLYBACK: "part_flyback", "{0} across the chopped loads";
}

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

fn transistor_words(transistor: &Transistor) -> Phrase {
    let kind = |name: &str| KIND.with([name.into()]);
    let known = match transistor {
        Transistor::Irfz44n => kind("IRFZ44N"),
        Transistor::Irf510 => kind("IRF510"),
        Transistor::Csd18510ktt => kind("CSD18510KTT"),
        Transistor::Csd19535ktt => kind("CSD19535KTT"),
        Transistor::Tip120 => kind("TIP120"),
        Transistor::Bd139 => kind("BD139"),
        Transistor::Mosfet(_) | Transistor::Bipolar(_) => OWN.plain(),
    };
    let (wording, v, a) = match transistor.row() {
        TransistorRow::Mosfet(row) => (MOSFET, row.drain_v, row.drain_a),
        TransistorRow::Bipolar(row) => (NPN, row.collector_v, row.collector_a),
    };
    wording.with([known.into(), Filling::down(v, "v"), Filling::down(a, "a")])
}

fn transistor(basis: &Basis<'_>, control: &Control, parts: &mut Vec<PartRow>) {
    let full_v = basis.full_v();
    let gate_v = (basis.report.pack.floor_v - control.timer.part.row().output_high_drop_v.high).max(0.0);
    let mut needs = alloc::vec![
        PartNeed::least("blocks_v", BLOCKS, VOLTAGE_MARGIN_RATIO * full_v, "v"),
        PartNeed::least("carries_a", CURRENT_RATING, basis.highest_a(), "a"),
    ];
    if !is_bipolar(control) {
        needs.push(PartNeed::most("on_gate_v", GATE_AT, gate_v, "v"));
        needs.push(PartNeed::most("on_ohm", ON_HOT, control.switch_ohm.high, "ohm"));
        needs.push(PartNeed::least("gate_high_v", GATE_STANDS, full_v, "v"));
    }
    let why = TRANSISTOR_WHY;
    let words = control.switch.map_or_else(|| PLAIN_MOSFET.plain(), |switch| transistor_words(&switch.transistor));
    let row = PartRow::new("Q1", PartKind::Transistor, words, why).needing(needs);
    parts.push(PartRow { in_plan: control.switch.is_some(), ..row });
    if let Some(k_per_w) = control.switch.and_then(|switch| switch.sink_k_per_w) {
        let words = SINK.with([Filling::number(k_per_w, "count")]);
        parts.push(PartRow::new("HS1", PartKind::HeatSink, words, SINK_WHY));
    }
}

fn resistors(basis: &Basis<'_>, control: &Control, parts: &mut Vec<PartRow>) {
    let full_v = basis.full_v();
    let bipolar = is_bipolar(control);
    let (words, why) = if bipolar { (BASE, BASE_WHY) } else { (GATE, GATE_WHY) };
    let planned = control.switch.map(|switch| switch.gate_ohm).filter(|ohm| *ohm > 0.0);
    if control.switch.is_none() || planned.is_some() {
        let gate = PartRow::new("R6", PartKind::Resistor, words, why).resistor(planned.unwrap_or(GATE_OHM), full_v);
        // A gate takes charge alone: any common size will do. A base takes the current all the time.
        let needs = if bipolar { gate.needs } else { Vec::new() };
        parts.push(PartRow { in_plan: planned.is_some(), needs, ..gate });
    }
    let planned = control.switch.and_then(|switch| switch.pull_down_ohm);
    let why = PULL_WHY;
    let words = if bipolar { PULL_BASE } else { PULL_GATE };
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
        PartNeed::least("reverse_v", REVERSE, VOLTAGE_MARGIN_RATIO * basis.full_v(), "v"),
        PartNeed::least("forward_a", FORWARD, basis.peak_a, "a"),
    ];
    let why = FLYBACK_WHY;
    let wanted: (Wording, Source) = (FAST_DIODE, COMMON_PRACTICE);
    let (words, source) = planned.map_or(wanted, diode_words);
    let words = FLYBACK.with([words.into()]);
    let row = PartRow::new("D3", PartKind::FlybackDiode, words, why).needing(needs).citing(source);
    parts.push(PartRow { in_plan: planned.is_some(), ..row });
}

fn planned_capacitor(basis: &Basis<'_>, buffer: SupplyBuffer) -> PartRow {
    let rated_v = VOLTAGE_MARGIN_RATIO * basis.full_v();
    let row = PartRow::new("C4", PartKind::Capacitor, BUFFER_WORDS, BUFFER_WHY).capacitor(buffer.c_f, rated_v);
    let esr = PartNeed::most("esr_ohm", ESR, buffer.esr_ohm, "ohm");
    match &basis.report.capacitor {
        Some(answer) => row.needing([PartNeed::least("ripple_a", RIPPLE, answer.ripple_a, "a"), esr]),
        None => row.needing([PartNeed::open("ripple_a", RIPPLE, RUNNING_TIMER), esr]),
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
            frequency_high_hz: None,
            c_f: 1e-3,
            esr_ohm,
            lead_ohm: 0.1,
            lead_h: 1e-6,
            wanted_ripple_v: Some(ripple_v),
        };
        case.answer().ok()
    });
    let Some((answer, needed_f)) = answer.and_then(|answer| Some((answer, answer.needed_f?))) else {
        return row.needing([PartNeed::open("c_f", CAPACITANCE, RUNNING_TIMER)]);
    };
    row.needing([
        PartNeed::least("c_f", CAPACITANCE, needed_f, "f"),
        PartNeed::least("rated_v", VOLTAGE_RATING, VOLTAGE_MARGIN_RATIO * full_v, "v"),
        PartNeed::least("ripple_a", RIPPLE, answer.ripple_a, "a"),
        PartNeed::most("esr_ohm", ESR, esr_ohm, "ohm"),
    ])
}
