//! A plan's report with what happens when one thing fails among its findings.

use super::fails::one_fails_on;
use crate::error::Error;
use crate::plan::compare::{PlanChanges, PlanPair};
use crate::plan::report::Verdict;
use crate::plan::{Plan, Report, Reviewed, in_order};
use crate::quantity::turns::{Turns, at_once, turn};
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
    at_once(in_turns(plan))
}

async fn in_turns(plan: &Plan) -> Result<Report, Vec<Error>> {
    let Reviewed { mut report, cells } = plan.reviewed().await?;
    if plan.fuse.is_none() || plan.protection.is_none() {
        return Ok(report);
    }
    turn().await;
    if let Some(cells) = cells {
        report.findings.extend(one_fails_on(plan, &cells).findings);
        in_order(&mut report.findings);
        report.verdict = Verdict::on(&report.findings);
        report.verdict_words = report.verdict.words();
    }
    Ok(report)
}

/// A plan that is worked out in turns, none of which takes longer than a run or two of the pack.
///
/// It comes to the same as [`whole`], to the bit. Whoever has no use for it any more drops it.
#[derive(Debug)]
pub struct PlanWork {
    turns: Turns<Result<Report, Vec<Error>>>,
}

/// How far a plan is worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PlanProgress {
    /// Turns so far.
    pub turns: u32,
    /// Whether all of it is worked out.
    pub done: bool,
}

impl PlanWork {
    /// Looks at every value of a plan; nothing is worked out yet.
    ///
    /// # Errors
    ///
    /// Everything that is out of range, each with its place.
    pub fn new(plan: Plan) -> Result<Self, Vec<Error>> {
        plan.checked()?;
        Ok(Self { turns: Turns::new(async move { in_turns(&plan).await }) })
    }

    /// Works for `count` turns, or fewer where it is done before.
    pub fn step(&mut self, count: u32) -> PlanProgress {
        self.turns.go(count);
        self.progress()
    }

    /// How far it has come.
    #[must_use]
    pub fn progress(&self) -> PlanProgress {
        PlanProgress { turns: self.turns.taken(), done: self.turns.done().is_some() }
    }

    /// What the plan says.
    ///
    /// # Errors
    ///
    /// Every measurement that no cell can have, each with its place; that it is not done yet.
    pub fn report(&self) -> Result<&Report, Vec<Error>> {
        let unfinished =
            || alloc::vec![Error::other("answer", "asked too early", "after a step that says done").placed("")];
        self.turns.done().ok_or_else(unfinished)?.as_ref().map_err(Clone::clone)
    }
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
