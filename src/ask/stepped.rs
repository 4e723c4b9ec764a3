//! Questions whose answer takes long, asked in steps of a stated effort.
//!
//! A page stays alive between two steps, shows how far the work has come, and stops it by not asking for more. The
//! effort is counted, not timed: the same steps give the same answers everywhere.

use super::upgrade::current;
use super::{Node, decode_own, encode};
use crate::error::{Error, within};
use crate::finding::matched::judged;
use crate::pack::group::{EFFORT_NODES_MAX, MatchSearch};
use crate::plan::Report;
use crate::plan::compare::PlanChanges;
use crate::run::spread::{RuntimeDraws, RuntimeSpreadAnswer};
use crate::sheet::parts::PartsList;
use crate::sheet::whole::PlanWork;
use alloc::boxed::Box;
use alloc::format;
use alloc::vec::Vec;

/// Questions that can be stepped.
pub const STEPPED: &[&str] = &["match", "runtime_spread", "plan", "compare_plans", "parts_list"];

/// A question under way.
///
/// # Examples
///
/// ```
/// # use cellwright::ask::{Node, Stepped};
/// let cell = |name: &str, ah: f64| format!(
///     r#"{{"name": "{name}", "chemistry": "nmc", "capacity_ah": {{"low": {ah}, "likely": {ah}, "high": {ah}}}}}"#);
/// let cells = [("A", 2.4), ("B", 2.3), ("C", 2.1), ("D", 1.8)].map(|(name, ah)| cell(name, ah)).join(",");
/// let mut search = Stepped::start("match", &format!(r#"{{"cells": [{cells}], "series": 4, "parallel": 1}}"#))?;
/// assert_eq!(search.step(1000.0)?.get("done"), Some(&Node::Bool(true)));
/// assert!(search.answer()?.get("findings").is_some());
/// assert_eq!(search.step(0.5).unwrap_err()[0].field(), "count");
/// assert_eq!(Stepped::start("timer", "{}").unwrap_err()[0].field(), "question");
/// # Ok::<(), Vec<cellwright::Error>>(())
/// ```
#[derive(Debug)]
pub struct Stepped {
    work: Work,
}

#[derive(Debug)]
enum Work {
    Match(Box<MatchSearch>),
    Spread(Box<RuntimeDraws>),
    Plan(Box<PlanWork<Report>>),
    Changes(Box<PlanWork<PlanChanges>>),
    Parts(Box<PlanWork<PartsList>>),
}

impl Stepped {
    /// Starts a question asked in JSON text; no effort is spent yet.
    ///
    /// # Errors
    ///
    /// Every mistake: a question that cannot be stepped, text that is not JSON, or an input that is not accepted.
    pub fn start(question: &str, text: &str) -> Result<Self, Vec<Error>> {
        known(question)?;
        Self::begin(question, &super::read(text)?)
    }

    /// As [`Stepped::start`], for an input that is already read.
    ///
    /// # Errors
    ///
    /// A question that cannot be stepped, or an input that is not accepted.
    pub fn begin(question: &str, input: &Node) -> Result<Self, Vec<Error>> {
        known(question)?;
        let work = match question {
            "runtime_spread" => Work::Spread(Box::new(RuntimeDraws::new(&decode_own(input)?)?)),
            "plan" => Work::Plan(Box::new(PlanWork::new(decode_own(&*current(input)?)?)?)),
            "compare_plans" => Work::Changes(Box::new(PlanWork::changes(decode_own(input)?)?)),
            "parts_list" => Work::Parts(Box::new(PlanWork::parts(decode_own(&*current(input)?)?)?)),
            _ => Work::Match(Box::new(MatchSearch::new(decode_own(input)?)?)),
        };
        Ok(Self { work })
    }

    /// Spends `count` nodes, draws or turns, or fewer where it is done before, and tells how far it has come: the best so
    /// far and its bound, or the percentiles so far, and whether it is done. A turn of a plan is a run or two of its pack.
    ///
    /// # Errors
    ///
    /// A count that is not between 1 and 100 million.
    pub fn step(&mut self, count: f64) -> Result<Node, Vec<Error>> {
        within("count", count, 1.0, f64::from(EFFORT_NODES_MAX))?;
        // A share of a node counts as none of it.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // within 1 to 1e8
        let count = count as u32;
        Ok(match &mut self.work {
            Work::Match(search) => encode(&search.step(count))?,
            Work::Spread(draws) => encode(&draws.step(count))?,
            Work::Plan(plan) => encode(&plan.step(count))?,
            Work::Changes(pair) => encode(&pair.step(count))?,
            Work::Parts(parts) => encode(&parts.step(count))?,
        })
    }

    /// The question's answer with the effort spent so far; that of a plan once it is done.
    ///
    /// # Errors
    ///
    /// A measurement that no cell of its chemistry can have, met only in a corner; a plan that is not done yet.
    pub fn answer(&self) -> Result<Node, Vec<Error>> {
        Ok(match &self.work {
            Work::Match(search) => encode(&judged(search.matching(), search.answer()))?,
            Work::Spread(draws) => {
                let outline = draws.spread().outline()?;
                encode(&RuntimeSpreadAnswer { outline, drawn: draws.progress() })?
            }
            Work::Plan(plan) => encode(plan.answer()?)?,
            Work::Changes(pair) => encode(pair.answer()?)?,
            Work::Parts(parts) => encode(parts.answer()?)?,
        })
    }
}

fn known(question: &str) -> Result<(), Error> {
    if STEPPED.contains(&question) {
        return Ok(());
    }
    let given = format!("\"{}\"", super::node::cut(question));
    Err(Error::other("question", given, format!("one of {}", STEPPED.join(", "))).placed(""))
}
