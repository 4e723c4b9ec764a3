//! What a load does at each setting, judged.

use super::load_rules as rules;
use crate::finding::gathered::Gathered;
use crate::finding::{Finding, Subject};
use crate::part::pump::{Flow, Pump, PumpKind};
use crate::run::brushless_pump::BrushlessPump;
use crate::run::driven::{Driven, Machine};
use crate::run::knob::{KnobAnswer, KnobSetting, Starts};
use alloc::vec::Vec;

/// What stands against the settings; `supply_v` is the full pack's voltage.
pub(crate) fn judge(driven: &Driven, settings: &KnobAnswer, supply_v: f64, subject: &Subject) -> Vec<Finding> {
    let mut gathered = Gathered::about(subject);
    if driven.machine.turns() {
        starts(settings, &mut gathered);
        held(settings, &mut gathered);
    }
    match &driven.machine {
        Machine::Pump(Pump { kind, .. }) | Machine::BrushlessPump(BrushlessPump { kind, .. }) => {
            let displacement = matches!(kind, PumpKind::PositiveDisplacement(_));
            gathered.broken(if displacement { &rules::DRY_DISPLACEMENT } else { &rules::DRY }, "", None, None);
            flow(settings, &mut gathered);
        }
        Machine::Led(led) => match led.led_high_a {
            Some(limit_a) => gathered.above(&rules::LED_CURRENT, "", driven.led_high_a(led, supply_v), limit_a),
            None => gathered.not_judged(&rules::LED_CURRENT, "led_high_a"),
        },
        _ => {}
    }
    gathered.broken(&rules::WIPER_OPENS, "", None, None);
    gathered.findings
}

fn told(settings: &KnobAnswer) -> impl Iterator<Item = (f64, &KnobSetting)> {
    settings.rows.iter().filter_map(|row| Some((row.wiper_ratio, row.setting.as_ref()?)))
}

/// The position of largest duty at which it may not start, so that the words name all below it.
fn starts(settings: &KnobAnswer, gathered: &mut Gathered) {
    let over = |setting: &KnobSetting| [setting.starts.full, setting.starts.half, setting.starts.empty];
    if told(settings).any(|(_, setting)| over(setting).contains(&Starts::NotKnown)) {
        return gathered.not_judged(&rules::STARTS_NOT, "start_v");
    }
    let standing = told(settings)
        .filter(|(_, setting)| over(setting).iter().any(|starts| matches!(starts, Starts::No | Starts::Perhaps)));
    let most = standing.max_by(|(_, a), (_, b)| a.duty.likely.total_cmp(&b.duty.likely));
    if let Some((wiper_ratio, _)) = most {
        gathered.broken(&rules::STARTS_NOT, "", Some(wiper_ratio), None);
    }
}

fn held(settings: &KnobAnswer, gathered: &mut Gathered) {
    let held = || told(settings).map(|(_, setting)| setting.held_shaft.as_ref());
    if held().any(|held| held.is_none()) {
        return gathered.not_judged(&rules::HELD_UNTRIPPED, "motor_ohm");
    }
    let untripped = held().flatten().filter(|held| !held.trips_surely).map(|held| held.heat_w);
    if let Some(heat_w) = untripped.reduce(f64::max) {
        gathered.broken(&rules::HELD_UNTRIPPED, "", Some(heat_w), None);
    }
}

fn flow(settings: &KnobAnswer, gathered: &mut Gathered) {
    let flows = |setting: &KnobSetting| setting.flow.is_some_and(|flow| flow == Flow::NoFlow);
    let standing = told(settings).filter(|(_, setting)| flows(setting));
    let most = standing.max_by(|(_, a), (_, b)| a.duty.likely.total_cmp(&b.duty.likely));
    match most {
        Some((wiper_ratio, _)) => gathered.broken(&rules::NO_FLOW, "", Some(wiper_ratio), None),
        None if told(settings).any(|(_, setting)| setting.flow.is_none()) => {
            gathered.not_judged(&rules::NO_FLOW, "motor_h, to tell the speed");
        }
        None => {}
    }
}
