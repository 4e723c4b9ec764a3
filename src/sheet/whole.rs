//! A plan's report with what happens when one thing fails among its findings.

use super::fails::one_fails;
use crate::error::Error;
use crate::plan::compare::{PlanChanges, PlanPair};
use crate::plan::report::Verdict;
use crate::plan::{Plan, Report, in_order};
use alloc::vec::Vec;

/// Everything a plan says, failures that nothing stops included: a plan with one of them is not ready.
///
/// Where fuse or board are not entered, or nobody knows what the cells are, what happens then cannot be judged; their own
/// rules say so already.
///
/// # Errors
///
/// Everything that is wrong with the plan, each with its place.
///
/// # Examples
///
/// ```
/// # use cellwright::ask::{decode, read};
/// # use cellwright::{plan::Plan, sheet::whole::whole};
/// let pump: Plan = decode(&read(include_str!("../../tests/plans/watering-pump.json"))?)?;
/// let codes: Vec<&str> = whole(&pump)?.findings.iter().map(|finding| finding.code).collect();
/// assert!(codes.contains(&"one_fails_inside"));
/// # Ok::<(), Vec<cellwright::Error>>(())
/// ```
pub fn whole(plan: &Plan) -> Result<Report, Vec<Error>> {
    let mut report = plan.report()?;
    if plan.fuse.is_none() || plan.protection.is_none() || plan.pack.has_unidentified() {
        return Ok(report);
    }
    report.findings.extend(one_fails(plan)?.findings);
    in_order(&mut report.findings);
    report.verdict = Verdict::on(&report.findings);
    report.verdict_words = report.verdict.words();
    Ok(report)
}

/// What changes from one plan to the other, failures that nothing stops included.
///
/// # Errors
///
/// Everything that is wrong with either plan, each with its place.
///
/// # Examples
///
/// ```
/// # use cellwright::ask::{decode, read};
/// # use cellwright::plan::{Plan, compare::PlanPair};
/// # use cellwright::sheet::whole::changes;
/// let before: Plan = decode(&read(include_str!("../../tests/plans/watering-pump.json"))?)?;
/// let after = Plan { fuse: None, ..before.clone() };
/// let changes = changes(&PlanPair { before, after })?;
/// assert_ne!(changes.verdict_before, changes.verdict_after);
/// # Ok::<(), Vec<cellwright::Error>>(())
/// ```
pub fn changes(pair: &PlanPair) -> Result<PlanChanges, Vec<Error>> {
    let placed = |place: &'static str| {
        move |errors: Vec<Error>| errors.into_iter().map(|error| error.at(place)).collect::<Vec<_>>()
    };
    let before = whole(&pair.before).map_err(placed("before"))?;
    let after = whole(&pair.after).map_err(placed("after"))?;
    Ok(PlanChanges::between(&before, &after))
}
