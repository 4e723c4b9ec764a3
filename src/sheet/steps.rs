//! Steps of the bench list that are done, not read; jacks and ranges; what to do after a reading.

use super::bench::BenchStep;
use super::limit::limiter_phrase;
use super::measure::{BenchCurrent, BenchMeter, BenchStage, Measure};
use super::parts::THEN;
use crate::data::COMMON_PRACTICE;
use crate::plan::Plan;
use crate::quantity::said::{Filling, Phrase, Wording, wordings};
use alloc::string::String;
use alloc::vec::Vec;

/// What stands before the first step. Common practice, no source.
pub(super) const BENCH_CAUTIONS: [Wording; 5] =
    [CAUTION_RINGS, CAUTION_SAND, CAUTION_RED_LEAD, CAUTION_STOP, CAUTION_LOCAL];

/// What is done before the first reading of a stage.
pub(super) fn action_before(plan: &Plan, stage: BenchStage) -> Vec<BenchStep> {
    let has_board = plan.protection.as_ref().is_some_and(|held| held.board().is_some());
    let mut phrases: Vec<Phrase> = Vec::new();
    match stage {
        BenchStage::Unpowered => phrases.extend([FUSE_OUT, LOOK, CONTINUITY, FUSE_IN].map(Phrase::from)),
        BenchStage::Pack => phrases.push(PACK_ALONE.plain()),
        BenchStage::Charger => phrases.push(CHARGER_ALONE.plain()),
        BenchStage::Limited => {
            if has_board {
                phrases.push(BOARD_IN.plain());
            }
            phrases.push(LIMITER.with([limiter_phrase(plan).into()]));
        }
        BenchStage::Full => {
            let at = super::bench::drops_at(plan).map(|ratio| DROPS_AT.with([Filling::number(ratio, "ratio")]));
            let power = FULL_POWER.plain();
            phrases.extend(Phrase::joined([Some(power), at].into_iter().flatten(), &THEN));
        }
        BenchStage::WhenNeeded => phrases.push(WHEN_NEEDED.plain()),
    }
    phrases.into_iter().map(|phrase| action(stage, phrase)).collect()
}

fn action(stage: BenchStage, phrase: Phrase) -> BenchStep {
    BenchStep {
        number: 0,
        stage,
        measure: None,
        words: phrase.words,
        said: phrase.said,
        probes: None,
        probe_words: String::new(),
        probe_said: None,
        wiper_ratio: None,
        jack: "",
        jack_code: "",
        burden_ohm: None,
        shows: "",
        shows_code: "",
        expected: Vec::new(),
        unit: "",
        low_means: Vec::new(),
        high_means: Vec::new(),
        after: "",
        after_code: "",
        source: COMMON_PRACTICE,
    }
}

/// Largest current that the ampere jack of a hand-held meter stands, in amperes. Common practice, no source.
const JACK_MOST_A: f64 = 10.0;

/// In place of the ampere jack where more may flow than it stands.
pub(super) fn beyond_jack(jack_code: &str, highest_a: f64) -> Option<Wording> {
    (jack_code == JACK_AMPERE.code && highest_a > JACK_MOST_A).then_some(JACK_BEYOND)
}

/// Jack of the red lead, and range.
pub(super) fn jack(measure: Measure, meter: &BenchMeter) -> Wording {
    match measure {
        Measure::FuseOhm | Measure::SwitchOhm | Measure::LoadOhm { .. } => JACK_OHM_LOW,
        Measure::KnobOhm => JACK_OHM,
        Measure::FlybackDiodeV | Measure::KnobDiodeV { .. } => JACK_DIODE,
        Measure::CapacitorF => JACK_FARAD,
        Measure::FrequencyHz { .. } => JACK_HERTZ,
        Measure::DutyRatio { .. } => JACK_DUTY,
        Measure::OffA => JACK_MILLIAMPERE,
        Measure::CurrentA { .. } | Measure::LoadAloneA { .. } => match meter.current_by {
            BenchCurrent::Shunt { .. } => JACK_SHUNT,
            BenchCurrent::Meter { .. } => JACK_AMPERE,
        },
        Measure::DropV { .. } | Measure::LinkV { .. } | Measure::HeldV => JACK_MILLIVOLT,
        Measure::TurnsCount { .. } => JACK_NONE,
        _ => JACK_VOLT,
    }
}

/// What to do after a reading.
pub(super) fn note_after(measure: Measure, meter: &BenchMeter) -> Option<Wording> {
    let current = matches!(measure, Measure::CurrentA { .. } | Measure::LoadAloneA { .. })
        && matches!(meter.current_by, BenchCurrent::Meter { .. });
    if current || measure == Measure::OffA { Some(LEAD_BACK) } else { None }
}

wordings! {
    CAUTION_RINGS: "bench_caution_rings", "A pack of lithium cells gives hundreds of watts into a slipped probe. Rings and watch off, one bare thing at a time, eye protection on.";
    CAUTION_SAND: "bench_caution_sand", "Sand or a metal bin at hand, nothing that burns near. If a cell gets hot, hisses or smells, leave it and get out; call the fire brigade.";
    CAUTION_RED_LEAD: "bench_caution_red_lead", "Look where the red lead is before each step: on the A jack the meter is a short circuit.";
    CAUTION_STOP: "bench_caution_stop", "A reading outside what is expected stops the list there: find out why before the next step.";
    CAUTION_LOCAL: "bench_caution_local", "Local rules and a licensed person's word come before this list.";
    FUSE_OUT: "action_fuse_out", "Take the fuse out and leave it out. Unplug board, charger and loads.";
    LOOK: "action_look", "Look: polarity of every plug, ring of each diode toward plus, no strand across two pads, insulating rings under the positive ends of the cells, no bare strip that can move.";
    CONTINUITY: "action_continuity", "Continuity, main switch on, loads unplugged: from T4 (after the main switch) to T6 or T1 (minus) more than 1 kΩ both ways round, once capacitors have charged. A beep is a short: find it now.";
    FUSE_IN: "action_fuse_in", "Put the fuse into its holder for the next readings only, the pack still apart.";
    PACK_ALONE: "action_pack_alone", "Fuse out again. The pack alone, the board's balance plug not plugged in. Step up one group at a time: each tap must lie one group above the one before.";
    CHARGER_ALONE: "action_charger_alone", "The charger alone, its plug in nothing. Some chargers show less or nothing without a pack: then read its plate and check the polarity with the charge terminals only.";
    BOARD_IN: "action_board_in", "Plug the board in, its minus first where it has single wires.";
    LIMITER: "action_limiter", "Loads unplugged. In place of the fuse: {0} Main switch on.";
    DROPS_AT: "action_drops_at", "Drops are read with the knob at {0}, after ten seconds.";
    FULL_POWER: "action_full_power", "Main switch off, limiting resistor out, fuse in, loads plugged in, knob at its lowest. Main switch on, a hand on it: off at once at smoke, smell or a hot part.";
    WHEN_NEEDED: "action_when_needed", "Only where the readings before leave a doubt; fuse out, nothing powered.";
    JACK_OHM_LOW: "jack_ohm_low", "V/Ω jack, lowest Ω range; take off what the touching probes show";
    JACK_OHM: "jack_ohm", "V/Ω jack, Ω range that just holds it";
    JACK_DIODE: "jack_diode", "V/Ω jack, diode test";
    JACK_FARAD: "jack_farad", "capacitance jack or V/Ω jack, F range";
    JACK_HERTZ: "jack_hertz", "V/Ω jack, Hz";
    JACK_DUTY: "jack_duty", "V/Ω jack, duty %";
    JACK_MILLIAMPERE: "jack_milliampere", "mA jack, 200 mA range, fuse out, the meter in its place; main switch off";
    JACK_BEYOND: "jack_beyond", "not through the meter: more than its 10 A jack stands may flow here. Read a shunt in mV on the V/Ω jack, or use a clamp";
    JACK_SHUNT: "jack_shunt", "V/Ω jack, 200 mV DC over the shunt; the lead never leaves the V jack";
    JACK_AMPERE: "jack_ampere", "10 A jack, A DC, the meter in the lead back between T16 and T17; a shunt read in mV is better";
    JACK_MILLIVOLT: "jack_millivolt", "V/Ω jack, 200 mV DC";
    JACK_NONE: "jack_none", "no meter: look which way the shaft turns";
    JACK_VOLT: "jack_volt", "V/Ω jack, 20 V DC (200 V where the pack has more than 19 V)";
    LEAD_BACK: "after_lead_back", "Red lead back to the V jack now: left on the A jack it is a short circuit at the next voltage.";
}
