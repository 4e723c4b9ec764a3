//! Every reading that a build has, in the order of work.

use super::measure::Measure;
use crate::part::load::Draw;
use crate::part::timing::Circuit;
use crate::plan::Plan;
use crate::run::build::Piece;
use alloc::vec::Vec;

/// Every reading of a plan's build, those that are only taken when needed last.
#[must_use]
pub fn measures(plan: &Plan) -> Vec<Measure> {
    let mut list = Vec::new();
    unpowered(plan, &mut list);
    list.extend((1..=plan.pack.groups.len()).map(|group| Measure::TapV { group }));
    list.push(Measure::PackV);
    if plan.charging.is_some() {
        list.push(Measure::JackV);
    }
    list.push(Measure::LimitedV);
    list.push(Measure::OffA);
    if !plan.loads.is_empty() {
        full(plan, &mut list);
    }
    let circuit = plan.control.as_ref().map(|control| &control.timer.circuit);
    if matches!(circuit, Some(Circuit::DiodeSteered(_) | Circuit::TwoResistor(_))) {
        list.push(Measure::CapacitorF);
    }
    if matches!(circuit, Some(Circuit::DiodeSteered(_))) {
        list.extend([true, false].map(|charging| Measure::KnobDiodeV { charging }));
    }
    list
}

/// The setting at which most current flows: the knob furthest up. Drops are read there.
#[must_use]
pub fn strongest(plan: &Plan) -> usize {
    let Some(control) = &plan.control else { return 0 };
    let mut best = (0, control.wiper_ratio);
    for (setting, ratio) in (1..).zip(&control.positions) {
        if *ratio > best.1 {
            best = (setting, *ratio);
        }
    }
    best.0
}

fn unpowered(plan: &Plan, list: &mut Vec<Measure>) {
    if plan.fuse.as_ref().is_some_and(|fuse| fuse.fitted().is_some()) {
        list.push(Measure::FuseOhm);
    }
    list.push(Measure::SwitchOhm);
    for (place, load) in (1..).zip(&plan.loads) {
        if matches!(load.draw, Draw::FollowsVoltage { .. } | Draw::Resistance { .. }) {
            list.push(Measure::LoadOhm { load: place });
        }
    }
    if plan.control.is_some() && plan.loads.iter().any(|load| load.chopped) {
        list.push(Measure::FlybackDiodeV);
    }
    let circuit = plan.control.as_ref().map(|control| &control.timer.circuit);
    if matches!(circuit, Some(Circuit::DiodeSteered(_) | Circuit::TwoResistor(_))) {
        list.push(Measure::KnobOhm);
    }
}

fn full(plan: &Plan, list: &mut Vec<Measure>) {
    let setting = 0;
    list.extend([Measure::SupplyV { setting }, Measure::LoadV { setting }, Measure::CurrentA { setting }]);
    if plan.control.is_some() {
        list.extend([Measure::FrequencyHz { setting }, Measure::DutyRatio { setting }]);
    }
    if plan.loads.len() > 1 {
        list.extend((1..=plan.loads.len()).map(|load| Measure::LoadAloneA { load }));
    }
    for (place, load) in (1..).zip(&plan.loads) {
        if matches!(load.draw, Draw::FollowsVoltage { .. }) {
            list.push(Measure::TurnsCount { load: place });
        }
    }
    let setting = strongest(plan);
    for group in 1..=plan.pack.groups.len() {
        list.extend([Measure::GroupV { setting, group }, Measure::LinkV { setting, group }]);
    }
    let fuse = plan.fuse.as_ref().is_some_and(|fuse| fuse.fitted().is_some());
    let board = plan.protection.as_ref().is_some_and(|held| held.board().is_some());
    for piece in [Piece::FuseWay, Piece::MainSwitch, Piece::PlusLead, Piece::MinusLead, Piece::Board] {
        let there = match piece {
            Piece::FuseWay => fuse,
            Piece::PlusLead | Piece::MinusLead => !plan.runs.is_empty(),
            Piece::Board => board,
            _ => true,
        };
        if there {
            list.push(Measure::DropV { setting, piece });
        }
    }
    let positions = plan.control.as_ref().map_or(0, |control| control.positions.len());
    for setting in 1..=positions {
        list.extend([Measure::FrequencyHz { setting }, Measure::DutyRatio { setting }]);
        list.extend([Measure::LoadV { setting }, Measure::CurrentA { setting }]);
    }
    if plan.control.is_some() && plan.loads.iter().any(|load| load.chopped) {
        list.push(Measure::HeldV);
    }
}
