//! Steps of the bench list that are done, not read; jacks and ranges; what to do after a reading.

use super::bench::BenchStep;
use super::limit::limiter;
use super::measure::{BenchCurrent, BenchMeter, BenchStage, Measure};
use crate::data::COMMON_PRACTICE;
use crate::plan::Plan;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// What stands before the first step. Common practice, no source.
pub(super) const BENCH_CAUTIONS: [&str; 5] = [
    "A pack of lithium cells gives hundreds of watts into a slipped probe. Rings and watch off, one bare thing at a time, \
     eye protection on.",
    "Sand or a metal bin at hand, nothing that burns near. If a cell gets hot, hisses or smells, leave it and get out; \
     call the fire brigade.",
    "Look where the red lead is before each step: on the A jack the meter is a short circuit.",
    "A reading outside what is expected stops the list there: find out why before the next step.",
    "Local rules and a licensed person's word come before this list.",
];

/// What is done before the first reading of a stage.
pub(super) fn action_before(plan: &Plan, stage: BenchStage) -> Vec<BenchStep> {
    let has_board = plan.protection.as_ref().is_some_and(|held| held.board().is_some());
    let mut words: Vec<String> = Vec::new();
    match stage {
        BenchStage::Unpowered => {
            words.push("Take the fuse out and leave it out. Unplug board, charger and loads.".into());
            words.push(
                "Look: polarity of every plug, ring of each diode toward plus, no strand across two pads, insulating \
                 rings under the positive ends of the cells, no bare strip that can move."
                    .into(),
            );
            words.push(
                "Continuity, main switch on, loads unplugged: from T4 (after the main switch) to T6 or T1 (minus) more than \
                 1 kΩ both ways round, once capacitors have charged. A beep is a short: find it now."
                    .into(),
            );
            words.push("Put the fuse into its holder for the next readings only, the pack still apart.".into());
        }
        BenchStage::Pack => words.push(
            "Fuse out again. The pack alone, the board's balance plug not plugged in. Step up one group at a time: each tap \
             must lie one group above the one before."
                .into(),
        ),
        BenchStage::Charger => words.push(
            "The charger alone, its plug in nothing. Some chargers show less or nothing without a pack: then read its plate \
             and check the polarity with the charge terminals only."
                .into(),
        ),
        BenchStage::Limited => {
            if has_board {
                words.push("Plug the board in, its minus first where it has single wires.".into());
            }
            words.push(format!(
                "Loads unplugged. In place of the fuse: {} Main switch on.",
                limiter(plan).words
            ));
        }
        BenchStage::Full => {
            let at = super::bench::drops_at(plan).map_or_else(String::new, |ratio| {
                format!(" Drops are read with the knob at {:.0} %, after ten seconds.", 100.0 * ratio)
            });
            words.push(format!(
                "Main switch off, limiting resistor out, fuse in, loads plugged in, knob at its lowest. Main switch on, a \
                 hand on it: off at once at smoke, smell or a hot part.{at}"
            ));
        }
        BenchStage::WhenNeeded => {
            words.push("Only where the readings before leave a doubt; fuse out, nothing powered.".into());
        }
    }
    words.into_iter().map(|words| action(stage, words)).collect()
}

fn action(stage: BenchStage, words: String) -> BenchStep {
    BenchStep {
        number: 0,
        stage,
        measure: None,
        words,
        probes: None,
        probe_words: String::new(),
        wiper_ratio: None,
        jack: "",
        burden_ohm: None,
        shows: "",
        expected: Vec::new(),
        unit: "",
        low_means: Vec::new(),
        high_means: Vec::new(),
        after: "",
        source: COMMON_PRACTICE,
    }
}

/// Jack of the red lead, and range.
pub(super) fn jack(measure: Measure, meter: &BenchMeter) -> &'static str {
    match measure {
        Measure::FuseOhm | Measure::SwitchOhm | Measure::LoadOhm { .. } => {
            "V/Ω jack, lowest Ω range; take off what the touching probes show"
        }
        Measure::KnobOhm => "V/Ω jack, Ω range that just holds it",
        Measure::FlybackDiodeV | Measure::KnobDiodeV { .. } => "V/Ω jack, diode test",
        Measure::CapacitorF => "capacitance jack or V/Ω jack, F range",
        Measure::FrequencyHz { .. } => "V/Ω jack, Hz",
        Measure::DutyRatio { .. } => "V/Ω jack, duty %",
        Measure::OffA => "mA jack, 200 mA range, fuse out, the meter in its place; main switch off",
        Measure::CurrentA { .. } | Measure::LoadAloneA { .. } => match meter.current_by {
            BenchCurrent::Shunt { .. } => "V/Ω jack, 200 mV DC over the shunt; the lead never leaves the V jack",
            BenchCurrent::Meter { .. } => {
                "10 A jack, A DC, the meter in the lead back between T16 and T17; a shunt read in mV is better"
            }
        },
        Measure::DropV { .. } | Measure::LinkV { .. } | Measure::HeldV => "V/Ω jack, 200 mV DC",
        Measure::TurnsCount { .. } => "no meter: look which way the shaft turns",
        _ => "V/Ω jack, 20 V DC (200 V where the pack has more than 19 V)",
    }
}

/// What to do after a reading.
pub(super) fn note_after(measure: Measure, meter: &BenchMeter) -> &'static str {
    let current = matches!(measure, Measure::CurrentA { .. } | Measure::LoadAloneA { .. })
        && matches!(meter.current_by, BenchCurrent::Meter { .. });
    if current || measure == Measure::OffA {
        "Red lead back to the V jack now: left on the A jack it is a short circuit at the next voltage."
    } else {
        ""
    }
}
