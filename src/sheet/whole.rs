//! A plan's report with what happens when one thing fails among its findings.

use super::basis::Basis;
use super::fails::one_fails_on;
use super::parts::PartsList;
use crate::error::Error;
use crate::plan::compare::{PlanChanges, PlanPair};
use crate::plan::report::Verdict;
use crate::plan::{Plan, Report, Reviewed, in_order};
use crate::quantity::turns::{Turns, at_once, turn};
use alloc::boxed::Box;
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

/// What one or two plans say, worked out in turns, none of which takes longer than a run or two of a pack: a [`Report`], a
/// [`PartsList`], or [`PlanChanges`].
///
/// It comes to the same as [`whole`], [`PartsList::of`] and [`changes`], to the bit. Whoever has no use for it any more
/// drops it.
#[derive(Debug)]
pub struct PlanWork<T> {
    turns: Turns<Result<T, Vec<Error>>>,
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

impl PlanWork<Report> {
    /// Looks at every value of a plan; nothing is worked out yet.
    ///
    /// # Errors
    ///
    /// Everything that is out of range, each with its place.
    pub fn new(plan: Plan) -> Result<Self, Vec<Error>> {
        plan.checked()?;
        Ok(Self { turns: Turns::new(async move { in_turns(&plan).await }) })
    }
}

impl PlanWork<PartsList> {
    /// As [`PlanWork::new`], for the list of parts.
    ///
    /// # Errors
    ///
    /// Everything that is out of range, each with its place.
    pub fn parts(plan: Plan) -> Result<Self, Vec<Error>> {
        plan.checked()?;
        let parts = async move {
            let report = in_turns(&plan).await?;
            turn().await;
            Ok(PartsList::on(&Basis::on(&plan, report)?))
        };
        Ok(Self { turns: Turns::new(parts) })
    }
}

impl PlanWork<PlanChanges> {
    /// As [`PlanWork::new`], for what changes from one plan to the other.
    ///
    /// # Errors
    ///
    /// Everything that is out of range in either, each with its place.
    pub fn changes(pair: PlanPair) -> Result<Self, Vec<Error>> {
        pair.before.checked().map_err(placed("before"))?;
        pair.after.checked().map_err(placed("after"))?;
        Ok(Self { turns: Turns::new(async move { Box::pin(changes_in_turns(&pair)).await }) })
    }
}

impl<T> PlanWork<T> {
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

    /// What came of it.
    ///
    /// # Errors
    ///
    /// Every measurement that no cell can have, each with its place; that it is not done yet.
    pub fn answer(&self) -> Result<&T, Vec<Error>> {
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
    at_once(changes_in_turns(pair))
}

async fn changes_in_turns(pair: &PlanPair) -> Result<PlanChanges, Vec<Error>> {
    let before = in_turns(&pair.before).await.map_err(placed("before"))?;
    turn().await;
    let after = in_turns(&pair.after).await.map_err(placed("after"))?;
    turn().await;
    Ok(PlanChanges::between(&before, &after))
}

/// Mistakes with the name of the plan of a pair before their place.
fn placed(plan: &'static str) -> impl Fn(Vec<Error>) -> Vec<Error> {
    move |errors| errors.into_iter().map(|error| error.at(plan)).collect()
}
