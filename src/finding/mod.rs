//! Findings: a build that works out but is risky.
//!
//! A finding judges; it never changes a number. Each rule stands in one table a topic, with the condition, the
//! measured value, the limit, plain words, an urgency and a source. A rule whose inputs are missing is
//! [`Judgement::NotJudged`] and never counts as passed.

pub mod charging;
pub mod dead_cell;
pub mod diary;
pub mod drive;
pub mod enclosure;
pub mod fails;
pub(crate) mod gathered;
pub mod matched;
pub(crate) mod names;
pub mod pack;
pub mod protection;
pub mod screening;
pub mod sort_bin;
pub mod wiring;

use crate::data::Source;
use crate::quantity::Unit;
use crate::quantity::said::{Phrase, Said};
use crate::quantity::text::{Decimal, Rounding, clock, written};
use alloc::borrow::ToOwned;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

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
    /// The same by code; nothing where it is the maker's own name.
    pub name_said: Option<Said>,
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

/// One row of a rule table.
///
/// `words` is the English wording; `{name}`, `{measured}` and `{limit}` stand for the values of the case. Other
/// languages keep their wording under the same `code`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// Stable code, unique over all tables.
    pub code: &'static str,
    /// How much a breach matters.
    pub urgency: Urgency,
    /// Unit of the measured value and the limit, as a field-name ending; empty without one.
    pub unit: &'static str,
    /// What a breach means and what to do, in plain words.
    pub words: &'static str,
    /// Where the limit comes from.
    pub source: Source,
}

/// A row of a rule table.
const fn rule(code: &'static str, urgency: Urgency, unit: &'static str, source: Source, words: &'static str) -> Rule {
    Rule { code, urgency, unit, words, source }
}

/// What a finding is about: a place in the plan and the maker's name for it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Subject {
    /// JSON Pointer into the plan; empty for the whole plan.
    pub path: String,
    /// The maker's name for it.
    pub name: String,
    /// The same by code; nothing where it is the maker's own.
    pub said: Option<Said>,
}

impl Subject {
    /// A place and its name.
    #[must_use]
    pub fn new(path: impl Into<String>, name: impl Into<Phrase>) -> Self {
        let name: Phrase = name.into();
        Self { path: path.into(), said: names::coded(&name), name: name.words }
    }

    /// The whole plan.
    #[must_use]
    pub fn whole() -> Self {
        Self::new("", "this build")
    }
}

/// Every rule there is.
pub fn rules() -> impl Iterator<Item = &'static Rule> {
    let tables: [&[Rule]; 14] = [
        charging::rules::RULES,
        dead_cell::RULES,
        diary::RULES,
        &drive::frequency_rules::RULES,
        &drive::load_rules::RULES,
        &drive::switch_rules::RULES,
        &enclosure::RULES,
        &fails::RULES,
        matched::RULES,
        &pack::RULES,
        protection::rules::RULES,
        screening::rules::RULES,
        sort_bin::RULES,
        &wiring::RULES,
    ];
    tables.into_iter().flatten()
}

/// Notes a breach where `measured` lies above `limit`.
pub(crate) fn above(found: &mut Vec<Finding>, rule: &Rule, subject: &Subject, measured: f64, limit: f64) {
    if measured > limit {
        found.push(rule.broken(subject, Some(measured), Some(limit)));
    }
}

/// Notes a breach where `measured` lies under `limit`.
pub(crate) fn under(found: &mut Vec<Finding>, rule: &Rule, subject: &Subject, measured: f64, limit: f64) {
    if measured < limit {
        found.push(rule.broken(subject, Some(measured), Some(limit)));
    }
}

impl Rule {
    /// The rule is broken: `measured` stands against `limit`, where there are such numbers.
    #[must_use]
    pub fn broken(&self, subject: &Subject, measured: Option<f64>, limit: Option<f64>) -> Finding {
        let number = |value: Option<f64>| value.map(|value| shown(value, self.unit)).unwrap_or_default();
        let words = self
            .words
            .replace("{name}", &subject.name)
            .replace("{measured}", &number(measured))
            .replace("{limit}", &number(limit));
        self.finding(subject, Judgement::Broken, measured, limit, String::new(), words)
    }

    /// The rule could not be judged: `needs` names the missing input.
    #[must_use]
    pub fn not_judged(&self, subject: &Subject, needs: &str) -> Finding {
        let words = format!("{}: not judged, needs {needs}.", subject.name);
        self.finding(subject, Judgement::NotJudged, None, None, needs.to_owned(), words)
    }

    fn finding(
        &self,
        subject: &Subject,
        judgement: Judgement,
        measured: Option<f64>,
        limit: Option<f64>,
        needs: String,
        words: String,
    ) -> Finding {
        Finding {
            code: self.code,
            urgency: self.urgency,
            judgement,
            subject: subject.path.clone(),
            name: subject.name.clone(),
            name_said: subject.said.clone(),
            measured,
            limit,
            unit: self.unit,
            needs,
            words,
            source: self.source,
        }
    }
}

/// A number with its unit for the English wording.
fn shown(value: f64, unit: &str) -> String {
    match Unit::of_field(&format!("value_{unit}")) {
        Some(Unit::Second) => clock(value, Rounding::Down),
        Some(unit) => written(value, unit, 3, Decimal::Point),
        None => written(value, Unit::Count, 3, Decimal::Point),
    }
}
