//! Findings: a build that works out but is risky.
//!
//! A finding judges; it never changes a number. Each rule stands in one table a topic, with the condition, the
//! measured value, the limit, plain words, an urgency and a source. A rule whose inputs are missing is
//! [`Judgement::NotJudged`] and never counts as passed.

pub mod cell;
pub mod charging;
pub mod drive;
pub mod pack;
pub mod wiring;

use crate::data::Source;
use alloc::string::String;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Urgency {
    /// Do not build or power it like this.
    Stop,
    /// Put right before use.
    MendFirst,
    /// Good to know.
    Know,
}

/// What a rule says about a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Judgement {
    /// The rule's condition is met: the finding stands.
    Broken,
    /// The inputs that the rule needs are missing.
    NotJudged,
}

/// One rule that a plan breaks, or that could not be judged.
///
/// Rules that a plan keeps are not listed.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Finding {
    /// Stable code of the rule, the key of its wording in every language.
    pub code: &'static str,
    /// How much it matters.
    pub urgency: Urgency,
    /// Whether the rule is broken or could not be judged.
    pub judgement: Judgement,
    /// What it is about, as a JSON Pointer into the plan such as `/pack/groups/1`; empty for the whole plan.
    pub subject: String,
    /// Name of that thing as the maker calls it, such as "A3" or "pack to fuse".
    pub name: String,
    /// The value that was judged, at the end that makes it worse, where there is one.
    pub measured: Option<f64>,
    /// The limit it was held against, where there is one.
    pub limit: Option<f64>,
    /// Unit of `measured` and `limit` as a field-name ending such as `a`, `v`, `ohm`, `degc`; empty without one.
    pub unit: &'static str,
    /// What is missing, for a rule that could not be judged: the input's JSON Pointer or name.
    pub needs: String,
    /// The finding in plain English words, numbers included.
    pub words: String,
    /// Where the limit comes from.
    pub source: Source,
}
