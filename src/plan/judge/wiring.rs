//! The rules about leads and the fuse.

use super::{above, under};
use crate::data::fuse::FuseFamily;
use crate::finding::{Finding, Rule, Subject, wiring};
use crate::part::fuse::{FuseRating, FuseWish, hottest_ratio};
use crate::part::wire::{LeadAnswer, Run, TemperatureFrom};
use crate::plan::inputs::{Fuse, FuseChoice, MainSwitchChoice};
use crate::plan::report::WireReport;
use crate::plan::review::Facts;
use alloc::format;
use alloc::vec::Vec;

/// Share of its rating that a fuse of an unknown kind carries for good: the least of all kinds.
const CARRIES_RATIO: f64 = crate::data::fuse::CONTINUOUS_UL_RATIO;

/// Temperature up to which that share is left whole.
const RATED_DEGC: f64 = 25.0;

pub(super) fn judge(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    wires(facts, found);
    main_switch(facts, found);
    let subject = Subject::new("/fuse", "the fuse");
    match &facts.plan.fuse {
        None => found.push(wiring::NO_FUSE.not_judged(&subject, "fuse")),
        Some(FuseChoice::None) => found.push(wiring::NO_FUSE.broken(&subject, None, None)),
        Some(FuseChoice::Fitted(fuse)) => {
            match fuse.first_at_positive {
                None => found.push(wiring::FUSE_PLACE.not_judged(&subject, "first_at_positive")),
                Some(false) => found.push(wiring::FUSE_PLACE.broken(&subject, None, None)),
                Some(true) => {}
            }
            match fuse.family {
                Some(family) => known_fuse(facts, fuse, family, &subject, found),
                None => unknown_fuse(facts, fuse, &subject, found),
            }
        }
    }
}

fn leads<'a>(facts: &'a Facts<'_>) -> impl Iterator<Item = (Subject, &'a Run, &'a WireReport)> {
    let named = |i: usize, run: &Run| Subject::new(format!("/runs/{i}"), run.name.clone());
    facts.plan.runs.iter().zip(&facts.wires).enumerate().map(move |(i, (run, wire))| (named(i, run), run, wire))
}

fn wires(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    if facts.plan.runs.is_empty() {
        found.push(wiring::WIRE_LIMIT.not_judged(&Subject::new("/runs", "the leads"), "runs"));
    }
    for (subject, run, wire) in leads(facts) {
        match wire.lead.as_ref().filter(|lead| lead.conductor_degc.is_some()) {
            Some(lead) => lead_in_use(found, &subject, run, lead, facts.most(|run| run.peak_rms_a), wire.drop_ratio),
            None => found.push(wiring::WIRE_RUNAWAY.broken(&subject, None, None)),
        }
    }
}

/// What a lead does while it carries its current: temperature, published limit, drop.
pub(crate) fn lead_in_use(
    found: &mut Vec<Finding>,
    subject: &Subject,
    run: &Run,
    lead: &LeadAnswer,
    rms_a: f64,
    drop_ratio: Option<f64>,
) {
    match lead.conductor_degc {
        None => found.push(wiring::WIRE_RUNAWAY.broken(subject, None, None)),
        // What is hotter than its insulation even by itself in still air is hot for certain.
        Some(degc) if lead.temperature_from == TemperatureFrom::InsulationRating && degc <= run.insulation_degc => {
            found.push(wiring::WIRE_LIMIT.not_judged(subject, wiring::PRINTED_SIZE));
        }
        Some(conductor_degc) => above(found, &wiring::WIRE_HOT, subject, conductor_degc, run.insulation_degc),
    }
    if let Some(limit) = &lead.limit {
        let rule = Rule { source: limit.source, ..wiring::WIRE_LIMIT };
        above(found, &rule, subject, rms_a, limit.current_a);
    }
    if let (Some(drop_ratio), Some(wanted_ratio)) = (drop_ratio, run.wanted_drop_ratio) {
        above(found, &wiring::WIRE_DROP, subject, drop_ratio, wanted_ratio);
    }
}

/// Whether a fuse of a known kind carries the load for good.
pub(crate) fn fuse_carries(found: &mut Vec<Finding>, subject: &Subject, wish: &FuseWish, rated: &FuseRating) {
    let most_a = rated.continuous_a.unwrap_or_else(|| hottest_ratio(wish.family) * rated.rating_a);
    match rated.carries {
        Some(_) => above(found, &wiring::FUSE_SMALL, subject, wish.load_a, most_a),
        None => found.push(wiring::FUSE_SMALL.not_judged(subject, "a temperature that its kind is rated for")),
    }
}

fn main_switch(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let subject = Subject::new("/main_switch", "the main switch");
    let switch = match &facts.plan.main_switch {
        None => return found.push(wiring::SWITCH_MISSING.not_judged(&subject, "main_switch")),
        Some(MainSwitchChoice::None) => return found.push(wiring::SWITCH_MISSING.broken(&subject, None, None)),
        Some(MainSwitchChoice::Fitted(switch)) => switch,
    };
    let highest_a = facts.most(|run| run.peak_a).max(facts.surge_a().unwrap_or(0.0));
    match switch.direct_a {
        Some(direct_a) if highest_a > direct_a => above(found, &wiring::SWITCH_CURRENT, &subject, highest_a, direct_a),
        Some(_) if facts.surge_a().is_none() => {
            found.push(wiring::SWITCH_CURRENT.not_judged(&subject, "surge_a of every load"));
        }
        Some(_) => {}
        None => found.push(wiring::SWITCH_CURRENT.not_judged(&subject, "direct_a")),
    }
    match switch.direct_v {
        Some(direct_v) => above(found, &wiring::SWITCH_VOLTAGE, &subject, facts.pack.full_v, direct_v),
        None => found.push(wiring::SWITCH_VOLTAGE.not_judged(&subject, "direct_v")),
    }
}

/// What a fuse of this kind has to keep in front of a lead.
pub(in crate::plan) fn fuse_wish(
    facts: &Facts<'_>,
    family: FuseFamily,
    lead: Option<&LeadAnswer>,
    fault_low_a: f64,
) -> FuseWish {
    FuseWish {
        family,
        load_a: facts.most(|run| run.peak_rms_a).clamp(0.001, 1000.0),
        surge_a: facts.surge_a(),
        surge_s: facts.surge_s(),
        wire_limit_a: lead.and_then(|lead| lead.limit.as_ref()).map_or(1000.0, |limit| limit.current_a),
        wire_withstand_a2s: lead.and_then(|lead| lead.withstand_a2s),
        ambient_degc: facts.plan.ambient_degc.high,
        pack_v: facts.pack.full_v,
        fault_high_a: Some(facts.pack.short_circuit_a),
        fault_low_a: Some(fault_low_a.min(facts.pack.short_circuit_a)),
    }
}

fn known_fuse(facts: &Facts<'_>, fuse: &Fuse, family: FuseFamily, subject: &Subject, found: &mut Vec<Finding>) {
    let wish = fuse_wish(facts, family, None, facts.pack.weakest_fault_a);
    let rated = wish.rated(fuse.rating_a);
    fuse_carries(found, subject, &wish, &rated);
    match rated.holds_surge {
        Some(true) => {}
        Some(false) => found.push(wiring::FUSE_SURGE.broken(subject, wish.surge_a, Some(fuse.rating_a))),
        None => found.push(wiring::FUSE_SURGE.not_judged(subject, "surge_a and surge_s of every load")),
    }
    breaking(facts, fuse, family.row().dc_v, family.row().dc_breaking_a, subject, found);
    for (i, (lead_subject, _, wire)) in leads(facts).enumerate() {
        let Some(lead) = &wire.lead else { continue };
        let fault_a = facts.pack.fault_low_a.get(i).copied().unwrap_or(facts.pack.weakest_fault_a);
        let wish = fuse_wish(facts, family, Some(lead), fault_a);
        before_wire(&wish, &wish.rated(fuse.rating_a), lead, &lead_subject, found);
    }
}

/// Whether the fuse protects one lead, against overload and in its smallest fault.
fn before_wire(wish: &FuseWish, rated: &FuseRating, lead: &LeadAnswer, subject: &Subject, found: &mut Vec<Finding>) {
    if lead.limit.is_none() {
        found.push(wiring::FUSE_OVER_WIRE.not_judged(subject, wiring::PRINTED_SIZE));
    } else if !rated.protects_wire {
        found.push(wiring::FUSE_OVER_WIRE.broken(subject, Some(rated.rating_a), Some(wish.wire_limit_a)));
    }
    match rated.opens {
        Some(true) => {}
        Some(false) => found.push(wiring::FUSE_BLIND.broken(subject, wish.fault_low_a, Some(rated.rating_a))),
        None => found.push(wiring::FUSE_BLIND.not_judged(subject, "what the insulation of this lead stands")),
    }
}

fn breaking(
    facts: &Facts<'_>,
    fuse: &Fuse,
    dc_v: Option<f64>,
    published_a: Option<f64>,
    subject: &Subject,
    found: &mut Vec<Finding>,
) {
    match fuse.breaking_a.or(published_a) {
        Some(breaking_a) => above(found, &wiring::FUSE_BREAKING, subject, facts.pack.short_circuit_a, breaking_a),
        None => found.push(wiring::FUSE_BREAKING.not_judged(subject, "breaking_a")),
    }
    match dc_v {
        Some(dc_v) => above(found, &wiring::FUSE_VOLTAGE, subject, facts.pack.full_v, dc_v),
        None if fuse.breaking_a.is_none() => found.push(wiring::FUSE_VOLTAGE.not_judged(subject, "breaking_a")),
        None => {}
    }
}

/// A fuse whose kind is not known: what is broken for every kind is broken, the rest is not judged.
fn unknown_fuse(facts: &Facts<'_>, fuse: &Fuse, subject: &Subject, found: &mut Vec<Finding>) {
    let load_a = facts.most(|run| run.peak_rms_a);
    above(found, &wiring::FUSE_SMALL, subject, load_a, CARRIES_RATIO * fuse.rating_a);
    if load_a <= CARRIES_RATIO * fuse.rating_a && facts.plan.ambient_degc.high > RATED_DEGC {
        found.push(wiring::FUSE_SMALL.not_judged(subject, "family"));
    }
    match fuse.breaking_a {
        Some(breaking_a) => above(found, &wiring::FUSE_BREAKING, subject, facts.pack.short_circuit_a, breaking_a),
        None => found.push(wiring::FUSE_BREAKING.not_judged(subject, "breaking_a")),
    }
    if facts.pack.weakest_fault_a < fuse.rating_a {
        under(found, &wiring::FUSE_BLIND, subject, facts.pack.weakest_fault_a, fuse.rating_a);
    } else {
        found.push(wiring::FUSE_BLIND.not_judged(subject, "family"));
    }
    for (i, (subject, _, wire)) in leads(facts).enumerate() {
        let fault_a = facts.pack.fault_low_a.get(i).copied().unwrap_or(facts.pack.weakest_fault_a);
        let lead = wire.lead.as_ref();
        let kinds = FuseFamily::ALL.map(|family| fuse_wish(facts, family, lead, fault_a).rated(fuse.rating_a));
        match lead.and_then(|lead| lead.limit.as_ref()) {
            Some(limit) if kinds.iter().all(|rated| !rated.protects_wire) => {
                found.push(wiring::FUSE_OVER_WIRE.broken(&subject, Some(fuse.rating_a), Some(limit.current_a)));
            }
            _ => found.push(wiring::FUSE_OVER_WIRE.not_judged(&subject, "family")),
        }
        if kinds.iter().all(|rated| rated.opens == Some(false)) {
            found.push(wiring::FUSE_BLIND.broken(&subject, Some(fault_a), Some(fuse.rating_a)));
        }
    }
}
