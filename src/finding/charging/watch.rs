//! What watches each group while it is charged.

use super::facts::{ChargeTerminals, ChargingFacts, GroupCutOff};
use super::rules;
use crate::data::charger::DRIFT_PER_CYCLE_RATIO;
use crate::data::protection::OVER_CHARGE_BAND_V;
use crate::finding::gathered::Gathered;
use crate::quantity::Interval;

/// Cycles until the groups are measured again, where the maker does not say.
const USUAL_CYCLES: f64 = 50.0;

pub(super) fn judge(facts: &ChargingFacts, list: &mut Gathered) {
    if facts.family.lithium().is_none() {
        return;
    }
    match facts.terminals {
        None => list.not_judged(&rules::STRAIGHT_TO_CELLS, "terminals"),
        Some(ChargeTerminals::Cells) => list.broken(&rules::STRAIGHT_TO_CELLS, "terminals", None, None),
        Some(ChargeTerminals::Board) => {}
        // A charger that watches every group is itself the cut-off and evens them out.
        Some(ChargeTerminals::EachGroup) => return,
    }
    match facts.group_cut_off {
        None => list.not_judged(&rules::NO_GROUP_CUT_OFF, "group_cut_off"),
        Some(GroupCutOff::None) if facts.groups.len() > 1 => no_cut_off(facts, list),
        Some(GroupCutOff::None) => list.broken(&rules::ONLY_CHARGER_ENDS, "group_cut_off", None, None),
        Some(GroupCutOff::EachGroup { cut_off_v }) => {
            cut_off(facts, &cut_off_v, list);
            if facts.groups.len() > 1 {
                balancing(facts, list);
            }
        }
    }
}

/// The highest that one group can be driven to while the others rest at their nominal voltage.
fn no_cut_off(facts: &ChargingFacts, list: &mut Gathered) {
    let (Some(limits), Some(upper_v)) = (facts.family.lithium(), facts.family.upper_v()) else { return };
    let others = facts.groups.len() as f64 - 1.0;
    let full_v = (others + 1.0) * limits.charge_v;
    let pack_v = facts.charger.as_ref().map_or(full_v, |charger| charger.voltage_v.high.max(full_v));
    let driven_v = pack_v - others * limits.nominal_v;
    list.broken(&rules::NO_GROUP_CUT_OFF, "group_cut_off", Some(driven_v), Some(upper_v));
}

fn cut_off(facts: &ChargingFacts, cut_off_v: &Interval, list: &mut Gathered) {
    let Some(limits) = facts.family.lithium() else { return };
    let most_v = limits.charge_v + OVER_CHARGE_BAND_V;
    // A printed 4.35 V is one too, though it is not one in binary.
    list.above(&rules::CUT_OFF_HIGH, "group_cut_off", cut_off_v.high - 1e-9, most_v);
    if cut_off_v.low < limits.charge_v {
        list.broken(&rules::CUT_OFF_LOW, "group_cut_off", Some(cut_off_v.low), Some(limits.charge_v));
    }
}

fn balancing(facts: &ChargingFacts, list: &mut Gathered) {
    let [low, likely, high] = DRIFT_PER_CYCLE_RATIO;
    let drift = facts.drift_per_cycle_ratio.unwrap_or(Interval { low, likely, high });
    let apart = drift.high * facts.cycles.unwrap_or(USUAL_CYCLES);
    match facts.balancing {
        None => list.not_judged(&rules::NO_BALANCING, "balancing"),
        Some(false) => list.broken(&rules::NO_BALANCING, "balancing", Some(apart.min(1.0)), None),
        Some(true) => list.broken(&rules::TWO_WIRES_WATCHED, "balancing", None, None),
    }
}
