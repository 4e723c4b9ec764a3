//! Which promises of a plan change with its inputs: after a measurement, a calibration, or between two plans.

use super::Plan;
use super::report::{Report, Verdict};
use crate::finding::Finding;
use crate::quantity::Interval;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Two plans, or one before and after a change.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PlanPair {
    /// The plan before, or the first of two.
    pub before: Plan,
    /// The plan after, or the second of two.
    pub after: Plan,
}

/// A promise that is not the same in both.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PromiseChange {
    /// Where it stands in the report, as a JSON Pointer.
    pub path: String,
    /// Its unit as a field-name ending.
    pub unit: &'static str,
    /// Before; none where it was not promised.
    pub before: Option<Interval>,
    /// After; none where it is not promised any more.
    pub after: Option<Interval>,
}

/// What changes from one plan to the other.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PlanChanges {
    /// Verdict on the first.
    pub verdict_before: Verdict,
    /// Verdict on the second.
    pub verdict_after: Verdict,
    /// Runtime of the first.
    pub runtime_before_s: Interval,
    /// Runtime of the second.
    pub runtime_after_s: Interval,
    /// The promises that are not the same, in the order of the report.
    pub promises: Vec<PromiseChange>,
    /// Findings that only the second has.
    pub appeared: Vec<Finding>,
    /// Findings that only the first has.
    pub vanished: Vec<Finding>,
}

impl PlanChanges {
    /// What changes from one report to the other.
    #[must_use]
    pub fn between(before: &Report, after: &Report) -> Self {
        Self {
            verdict_before: before.verdict,
            verdict_after: after.verdict,
            runtime_before_s: before.runtime.runtime_s,
            runtime_after_s: after.runtime.runtime_s,
            promises: changes(&promises(before), &promises(after)),
            appeared: only(&after.findings, &before.findings),
            vanished: only(&before.findings, &after.findings),
        }
    }
}

/// A promise by its place, with its unit.
struct Promise {
    path: String,
    unit: &'static str,
    value: Interval,
}

fn promises(report: &Report) -> Vec<Promise> {
    let mut all = Vec::new();
    let mut tell = |path: String, unit, value: Option<Interval>| {
        all.extend(value.map(|value| Promise { path, unit, value }));
    };
    let pack = &report.pack;
    tell("/pack/capacity_ah".into(), "ah", Some(pack.capacity_ah));
    tell("/pack/energy_wh".into(), "wh", Some(pack.energy_wh));
    tell("/pack/resistance_ohm".into(), "ohm", Some(pack.resistance_ohm));
    tell("/pack/short_circuit_a".into(), "a", Some(Interval::exact(pack.short_circuit_a)));
    tell("/pack/weakest_fault_a".into(), "a", Some(Interval::exact(pack.weakest_fault_a)));
    tell("/runtime/runtime_s".into(), "s", Some(report.runtime.runtime_s));
    tell("/runtime/likely/mean_a".into(), "a", Some(Interval::exact(report.runtime.likely.mean_a)));
    for (i, row) in report.settings.iter().flat_map(|table| &table.rows).enumerate() {
        let Some(setting) = &row.setting else { continue };
        tell(format!("/settings/rows/{i}/setting/runtime_s"), "s", setting.runtime_s);
        tell(format!("/settings/rows/{i}/setting/duty"), "ratio", Some(setting.duty));
        tell(format!("/settings/rows/{i}/setting/mean_a"), "a", setting.mean_a.map(Interval::exact));
    }
    for (i, wire) in report.runs.iter().enumerate() {
        let lead = wire.lead.as_ref();
        tell(format!("/runs/{i}/lead/drop_v"), "v", lead.and_then(|lead| lead.drop_v));
    }
    tell("/charge/voltage_v".into(), "v", report.charge.voltage_v.map(Interval::exact));
    tell("/charge/current_a".into(), "a", report.charge.current_a.map(Interval::exact));
    tell("/charge/time_s".into(), "s", report.charge.time_s);
    all
}

fn changes(before: &[Promise], after: &[Promise]) -> Vec<PromiseChange> {
    let find = |list: &[Promise], path: &str| list.iter().find(|promise| promise.path == path).map(|found| found.value);
    let mut all = Vec::new();
    for promise in before {
        let now = find(after, &promise.path);
        if now != Some(promise.value) {
            let (path, unit) = (promise.path.clone(), promise.unit);
            all.push(PromiseChange { path, unit, before: Some(promise.value), after: now });
        }
    }
    for promise in after.iter().filter(|promise| find(before, &promise.path).is_none()) {
        let (path, unit) = (promise.path.clone(), promise.unit);
        all.push(PromiseChange { path, unit, before: None, after: Some(promise.value) });
    }
    all
}

/// Findings of `list` that `other` has not, whatever their numbers.
fn only(list: &[Finding], other: &[Finding]) -> Vec<Finding> {
    let same = |a: &Finding, b: &Finding| a.code == b.code && a.subject == b.subject && a.judgement == b.judgement;
    list.iter().filter(|finding| !other.iter().any(|there| same(finding, there))).cloned().collect()
}
