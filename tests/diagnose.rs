//! The search for a fault against builds with planted faults of random size, place and meter error.
//!
//! The readings are invented: the same circuit with every unknown, the size and the meter's errors drawn from a seed.

use cellwright::ask::{decode, read};
use cellwright::plan::Plan;
use cellwright::sheet::diagnose::{Diagnosis, DiagnosisAnswer, pretend};
use cellwright::sheet::fault::{FAULTS, Fault, FaultKind};
use cellwright::sheet::list::measures;
use cellwright::sheet::measure::{BenchMeter, BenchStage, Measure};

const PUMP: &str = include_str!("plans/watering-pump.json");
const BLOWER: &str = include_str!("plans/seed-drying-blower.json");
const LAMP: &str = include_str!("plans/market-stall-lamp.json");
/// Draws of each kind.
const DRAWS: u64 = 50;
/// The same where another build proves the kind already.
const FEW: u64 = 8;

fn plan(text: &str) -> Plan {
    decode(&read(text).unwrap()).unwrap()
}

/// What one takes without being asked twice.
fn usual(plan: &Plan) -> Vec<Measure> {
    measures(plan).into_iter().filter(|measure| measure.stage() != BenchStage::WhenNeeded).collect()
}

fn searched(plan: &Plan, fault: Option<Fault>, seed: u64) -> DiagnosisAnswer {
    let readings = pretend(plan, &BenchMeter::CHEAP, fault, &usual(plan), seed).unwrap();
    Diagnosis { plan: plan.clone(), meter: None, readings }.answer().unwrap()
}

#[derive(Default)]
struct Tally {
    first: usize,
    tied: usize,
    wrong: usize,
    called: Vec<String>,
}

fn tally(plan: &Plan, kind: FaultKind, draws: u64) -> Option<Tally> {
    let places: Vec<Fault> = Fault::all(plan).into_iter().filter(|fault| fault.kind == kind).collect();
    let mut tally = Tally::default();
    for draw in 0..draws {
        let fault = *places.get(draw as usize % places.len().max(1))?;
        let answer = searched(plan, Some(fault), 1000 * (kind as u64 + 1) + draw);
        let right = |at: usize| answer.explanations[at].fault == Some(fault);
        if right(0) {
            tally.first += 1;
        } else if (1..answer.tied).any(right) && answer.next.is_some() {
            tally.tied += 1;
        } else {
            tally.wrong += 1;
            tally.called.push(format!("{:?}", answer.explanations[0].fault.map(|fault| fault.kind)));
        }
    }
    Some(tally)
}

/// `all` of the kinds with all draws, or only those of unlike loads.
fn suite(text: &str, all: bool) {
    let plan = plan(text);
    let mut poor = Vec::new();
    println!("{}: right first, tied with a reading that splits, wrong", plan.name);
    for row in &FAULTS {
        let own = matches!(row.kind, FaultKind::LoadLarger | FaultKind::LoadSmaller | FaultKind::LoadOpen);
        let draws = if all || own { DRAWS } else { FEW };
        let Some(tally) = tally(&plan, row.kind, draws) else { continue };
        println!("  {:?}: {} {} {} {:?}", row.kind, tally.first, tally.tied, tally.wrong, tally.called);
        // One of eight is within what 95 % of fifty allow.
        if tally.wrong * 20 > draws as usize && tally.wrong > 1 {
            poor.push(row.kind);
        }
    }
    let healthy = if all { 4 * DRAWS } else { 2 * DRAWS };
    let alarms: Vec<_> = (0..healthy)
        .map(|draw| searched(&plan, None, draw))
        .filter(|answer| answer.explanations[0].fault.is_some())
        .map(|answer| format!("{:?}", answer.explanations[0].fault))
        .collect();
    println!("  healthy: {} of {healthy} called faulty {alarms:?}", alarms.len());
    assert!(poor.is_empty(), "{poor:?}");
    assert!(alarms.len() as u64 * 50 <= healthy, "{alarms:?}");
}

#[test]
fn planted_faults_of_the_blower_are_found() {
    suite(BLOWER, true);
}

#[test]
fn planted_faults_of_the_pump_are_found() {
    suite(PUMP, false);
}

#[test]
fn planted_faults_of_the_lamp_are_found() {
    suite(LAMP, false);
}
