//! A plan of unidentified cells: worked out for every kind they may be, and the worst of each said.
//!
//! Runtime spans all kinds. A rule that is broken for one kind is broken. There is no charging figure.

use super::report::{ChargeReport, LargestCurrents, PackReport, Report, Verdict, WireReport};
use super::{Plan, review};
use crate::error::Error;
use crate::finding::charging::rules::UNIDENTIFIED;
use crate::finding::{Finding, Judgement, Subject, pack as rules};
use crate::pack::{Candidate, Pack};
use crate::part::cell::Chemistry;
use crate::part::charger::{ChargerAnswer, NoFigure};
use crate::quantity::Interval;
use crate::quantity::order::sort_by_key;
use crate::run::knob::{KnobAnswer, KnobRow};
use alloc::vec::Vec;

/// Works out a plan whose values have been checked and that has unidentified cells.
pub(super) async fn report(plan: &Plan) -> Result<Report, Vec<Error>> {
    let mut all = Vec::new();
    for Candidate { chemistry, pack } in plan.pack.candidates() {
        let of_kind = Plan { pack, ..plan.clone() };
        all.push((chemistry, review::review(&of_kind).await.map(|reviewed| reviewed.report)));
    }
    let reports = Pack::not_ruled_out(all)?;
    let kinds: Vec<Chemistry> = reports.iter().map(|(chemistry, _)| chemistry.clone()).collect();
    let mut reports = reports.into_iter().map(|(_, report)| report);
    let Some(first) = reports.next() else { return Err(Vec::new()) };
    let mut whole = reports.fold(first, together);
    let charger = Some(ChargerAnswer::NoFigure { why: NoFigure::Unidentified, limit_degc: None });
    whole.charge = ChargeReport { charger, voltage_v: None, current_a: None, time_s: None };
    let cells = plan.pack.groups.iter().flat_map(|group| &group.cells);
    let unidentified = cells.filter(|cell| cell.chemistry == Chemistry::Unidentified);
    let names: Vec<&str> = unidentified.map(|cell| cell.name.as_str()).collect();
    let subject = Subject::new("/pack", names.join(", "));
    whole.findings.retain(|finding| finding.code != UNIDENTIFIED.code);
    whole.findings.push(UNIDENTIFIED.broken(&subject, None, None));
    let runtime_s = &whole.runtime.runtime_s;
    whole.findings.push(rules::UNIDENTIFIED_RUNTIME.broken(&subject, Some(runtime_s.low), Some(runtime_s.high)));
    sort(&mut whole.findings);
    whole.candidates = kinds;
    whole.verdict = Verdict::on(&whole.findings);
    whole.verdict_words = whole.verdict.words();
    Ok(whole)
}

/// The worse of two reports: findings, runtimes, leads and short circuits of both; fuse, board, switch and the like as
/// they are with the kind that gives the higher short circuit.
fn together(a: Report, b: Report) -> Report {
    let (strong, weak) = if b.pack.short_circuit_a > a.pack.short_circuit_a { (b, a) } else { (a, b) };
    Report {
        findings: findings(strong.findings, weak.findings),
        pack: pack(strong.pack, weak.pack),
        runtime: strong.runtime.spanning(weak.runtime),
        settings: strong.settings.zip(weak.settings).map(|(a, b)| settings(a, &b)),
        lead_ohm: span(strong.lead_ohm, weak.lead_ohm),
        largest: LargestCurrents {
            peak_a: strong.largest.peak_a.max(weak.largest.peak_a),
            peak_rms_a: strong.largest.peak_rms_a.max(weak.largest.peak_rms_a),
        },
        runs: strong.runs.into_iter().zip(weak.runs).map(|(a, b)| hotter(a, b)).collect(),
        transport: if weak.transport.energy_wh.high > strong.transport.energy_wh.high {
            weak.transport
        } else {
            strong.transport
        },
        ..strong
    }
}

/// Both lists; of a rule on one subject the breach that goes further.
fn findings(mut all: Vec<Finding>, others: Vec<Finding>) -> Vec<Finding> {
    for other in others {
        let same = |there: &&mut Finding| there.code == other.code && there.subject == other.subject;
        match all.iter_mut().find(same) {
            None => all.push(other),
            Some(there) if further(&other) > further(there) => *there = other,
            Some(_) => {}
        }
    }
    all
}

/// How far a breach goes: that a rule is broken at all first, then how far the measured value is from the limit.
fn further(finding: &Finding) -> (bool, f64) {
    let apart = match (finding.measured, finding.limit) {
        (Some(measured), Some(limit)) => libm::fabs(measured - limit),
        (Some(measured), None) => -measured,
        _ => 0.0,
    };
    (finding.judgement == Judgement::Broken, apart)
}

/// The warning on salvaged cells first, then the most urgent, broken before not judged.
fn sort(findings: &mut [Finding]) {
    sort_by_key(findings, |finding| {
        let warning = finding.code == rules::SALVAGED_CELLS.code;
        (!warning, finding.urgency, finding.judgement == Judgement::NotJudged)
    });
}

/// From the lowest to the highest of both.
fn span(a: Interval, b: Interval) -> Interval {
    Interval { low: a.low.min(b.low), likely: a.likely.min(b.likely), high: a.high.max(b.high) }
}

fn pack(a: PackReport, b: PackReport) -> PackReport {
    let weaker = if b.capacity_ah.low < a.capacity_ah.low { b.groups } else { a.groups };
    PackReport {
        nominal_v: a.nominal_v.min(b.nominal_v),
        capacity_ah: span(a.capacity_ah, b.capacity_ah),
        energy_wh: span(a.energy_wh, b.energy_wh),
        resistance_ohm: span(a.resistance_ohm, b.resistance_ohm),
        short_circuit_a: a.short_circuit_a.max(b.short_circuit_a),
        weakest_fault_a: a.weakest_fault_a.min(b.weakest_fault_a),
        fault_low_a: a.fault_low_a.iter().zip(&b.fault_low_a).map(|(a, b)| a.min(*b)).collect(),
        groups: weaker,
        ..a
    }
}

/// The first table with the runtimes of both.
fn settings(mut a: KnobAnswer, b: &KnobAnswer) -> KnobAnswer {
    let runtime = |row: &KnobRow| row.setting.as_ref().and_then(|setting| setting.runtime_s);
    for (row, other) in a.rows.iter_mut().zip(&b.rows) {
        let both = runtime(row).zip(runtime(other)).map(|(a, b)| span(a, b));
        if let Some(setting) = &mut row.setting {
            setting.runtime_s = both;
        }
    }
    a
}

/// The lead that gets hotter; one that finds no balance is hotter than any.
fn hotter(a: WireReport, b: WireReport) -> WireReport {
    let degc = |wire: &WireReport| wire.lead.as_ref().and_then(|lead| lead.conductor_degc).unwrap_or(f64::MAX);
    if degc(&b) > degc(&a) { b } else { a }
}
