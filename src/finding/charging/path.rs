//! The charger itself and the way from it to the pack.

use super::facts::ChargingFacts;
use super::rules;
use crate::data::charger::{LITHIUM_END_LEAST_C, NICKEL};
use crate::finding::gathered::Gathered;
use crate::part::charger::{CellFamily, Charger, ChargerKind, ChargerNeed};
use alloc::format;

pub(super) fn judge(facts: &ChargingFacts, need: Option<&ChargerNeed>, list: &mut Gathered) {
    match &facts.charger {
        None => {
            list.not_judged(&rules::NO_CHARGER, "charger");
            list.not_judged(&rules::VOLTAGE_HIGH, "charger");
        }
        Some(charger) => {
            kind(facts, charger, list);
            voltage(charger, need, list);
            end(facts, charger, list);
        }
    }
    other_supplies(facts, need, list);
    list.unless(&rules::POLARITY, "polarity_checked", facts.polarity_checked, true);
    list.unless(&rules::LIVE_PIN, "live_bare_pin", facts.live_bare_pin, false);
    list.unless(&rules::UNATTENDED, "attended", facts.attended, true);
    if let (Some(diode_v), Some(Some(full_v))) = (facts.diode_v, need.map(|need| need.voltage_v))
        && diode_v.high > 0.0
    {
        list.broken(&rules::DIODE, "diode_v", Some(diode_v.high), Some(full_v));
    }
    load(facts, need, list);
}

fn kind(facts: &ChargingFacts, charger: &Charger, list: &mut Gathered) {
    match charger.kind {
        ChargerKind::VoltageSupply => list.broken(&rules::NO_CHARGER, "charger/kind", None, None),
        ChargerKind::Unknown => list.broken(&rules::CHARGER_UNKNOWN, "charger/kind", None, None),
        ChargerKind::CcCv if facts.family == CellFamily::NickelMetalHydride => {
            list.broken(&rules::NICKEL_VOLTAGE, "charger/kind", None, None);
        }
        ChargerKind::CurrentOnly | ChargerKind::DropDetecting if facts.family != CellFamily::NickelMetalHydride => {
            list.broken(&rules::NO_VOLTAGE_LIMIT, "charger/kind", None, None);
        }
        ChargerKind::DropDetecting => {
            let most_ah = facts.groups.iter().map(|group| group.capacity_ah.high).fold(0.0, f64::max);
            match charger.current_a {
                Some(current_a) => {
                    list.below(
                        &rules::NICKEL_DROP_UNSEEN,
                        "charger/current_a",
                        current_a.low,
                        NICKEL.drop_from_c * most_ah,
                    );
                }
                None => list.not_judged(&rules::NICKEL_DROP_UNSEEN, "charger/current_a"),
            }
        }
        ChargerKind::CcCv | ChargerKind::CurrentOnly => {}
    }
}

fn voltage(charger: &Charger, need: Option<&ChargerNeed>, list: &mut Gathered) {
    let Some(need) = need else {
        list.not_judged(&rules::VOLTAGE_HIGH, "what charger the pack needs");
        return;
    };
    if let (Some(most_v), Some(right_v)) = (need.voltage_most_v, need.voltage_v) {
        list.above(&rules::VOLTAGE_HIGH, "charger/voltage_v", charger.voltage_v.high, most_v);
        // Two percent: 4.12 V instead of 4.20 V leaves about a tenth of the charge out.
        if charger.voltage_v.low < 0.98 * right_v {
            list.broken(&rules::VOLTAGE_LOW, "charger/voltage_v", Some(charger.voltage_v.low), Some(right_v));
        }
    }
}

/// Whether a lithium charge ends by itself, even of worn cells.
fn end(facts: &ChargingFacts, charger: &Charger, list: &mut Gathered) {
    let most_ah = facts.groups.iter().map(|group| group.capacity_ah.high).fold(0.0, f64::max);
    if let (Some(_), Some(end_a)) = (facts.family.lithium(), charger.end_a) {
        list.below(&rules::END_LOW, "charger/end_a", end_a, LITHIUM_END_LEAST_C * most_ah);
    }
}

fn other_supplies(facts: &ChargingFacts, need: Option<&ChargerNeed>, list: &mut Gathered) {
    let (Some(others), Some(Some(most_v))) = (&facts.other_supplies, need.map(|need| need.voltage_most_v)) else {
        let needs = if facts.other_supplies.is_none() { "other_supplies" } else { "what charger the pack needs" };
        if facts.other_supplies.as_ref().is_none_or(|others| !others.is_empty()) {
            list.not_judged(&rules::OTHER_SUPPLY, needs);
        }
        return;
    };
    for (i, other) in others.iter().enumerate() {
        if other.voltage_v > most_v {
            list.named(&rules::OTHER_SUPPLY, &format!("other_supplies/{i}"), &other.name, other.voltage_v, most_v);
        }
    }
}

fn load(facts: &ChargingFacts, need: Option<&ChargerNeed>, list: &mut Gathered) {
    let own_a = facts.charger.as_ref().and_then(|charger| charger.end_a);
    let end_a = own_a.or_else(|| need.and_then(|need| need.end_a));
    match (facts.load_a, end_a) {
        (None, _) => list.not_judged(&rules::LOAD_RUNNING, "load_a"),
        (Some(load_a), _) if load_a.high == 0.0 => {}
        (Some(_), None) => list.not_judged(&rules::LOAD_RUNNING, "charger/end_a"),
        (Some(load_a), Some(end_a)) if load_a.high >= end_a => {
            list.broken(&rules::LOAD_RUNNING, "load_a", Some(load_a.high), Some(end_a));
        }
        // A charger that is not known may end at less than what the cells need.
        (Some(_), Some(_)) if own_a.is_none() => list.not_judged(&rules::LOAD_RUNNING, "charger/end_a"),
        (Some(_), Some(_)) => {}
    }
}
