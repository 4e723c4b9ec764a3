//! The diary of a pack: what its entries tell, when to look next, when to retire it, how to take it apart.
//!
//! Takes a plan that holds a diary and the day it is; no clock is read. The laws stand in [`crate::run::diary`], the
//! rules in [`crate::finding::diary`].

use super::build_steps::{BuildStep, CAUTIONS};
use super::charts::diary_drawing;
use super::drawing::Drawing;
use super::take_apart;
use crate::data::diary::{CHECK_DAYS, FIRST_DAYS, FIRST_ENTRIES, RETIRE, RetireRule, SOONEST_DAYS};
use crate::error::{Check, Error};
use crate::finding::diary::{
    GIVEN_UP, LOSES_CHARGE, OUT_AGAIN, OUT_OF_BAND, OVER_FULL, RESISTANCE, UNDER_FLOOR, judge,
};
use crate::finding::{Finding, Judgement};
use crate::part::cell::{Chemistries, Chemistry};
use crate::plan::{Plan, Protection};
use crate::quantity::date::Day;
use crate::quantity::said::{Filling, Phrase, Said, Wording, wordings};
use crate::quantity::tongue::Tongue;
use crate::run::diary::{BandAnswer, Diary, DiaryFacts, DiaryState, EntryFacts, GroupTrend};
use alloc::string::String;
use alloc::vec::Vec;

/// Asks what the diary of a plan tells.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DiaryQuestion {
    /// The plan with its diary.
    pub plan: Plan,
    /// The day it is, as year-month-day.
    pub today: String,
}

/// Whether a group or the pack is to be retired.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Retire {
    /// Now: a rule for it is broken.
    Now,
    /// When a group leaves its band once more: it is out of it for the first time.
    IfItHappensAgain,
    /// Some rule could not be judged.
    NotJudged,
    /// Nothing that was entered speaks for it.
    NotYet,
}

/// When to look next.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct NextCheck {
    /// The day; none where the pack is to be retired now.
    pub date: Option<String>,
    /// Whether that day has come.
    pub is_due: bool,
    /// Why then, in plain English.
    pub words: String,
    /// The same by code.
    pub said: Said,
}

/// What a diary tells.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct DiaryAnswer {
    /// The day it is.
    pub today: String,
    /// The entries in the order of time.
    pub entries: Vec<EntryFacts>,
    /// Which entries the drift rests on; none where there are none at rest.
    pub drift_state: Option<DiaryState>,
    /// Largest difference of a group against the middle of the others, in volts.
    pub band_v: f64,
    /// Each group.
    pub groups: Vec<GroupTrend>,
    /// What is risky or could not be judged, the most urgent first.
    pub findings: Vec<Finding>,
    /// When to look next.
    pub next_check: NextCheck,
    /// Whether a group or the pack is to be retired.
    pub retire: Retire,
    /// The same in plain English.
    pub retire_words: &'static str,
    /// The same by code.
    pub retire_said: Said,
    /// When a group or a pack has served its time, whatever the diary says.
    pub retire_rules: Vec<RetireRule>,
    /// Voltages and differences over the days, the same numbers as in `entries`; none without an entry.
    pub drawing: Option<Drawing>,
    /// How to empty the pack and take it apart.
    pub take_apart: Vec<BuildStep>,
    /// The usual cautions.
    pub cautions: &'static str,
}

impl DiaryQuestion {
    /// What the diary tells.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the plan, each with its place; a day that is none; an entry after today.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::ask::{decode, read};
    /// # use cellwright::{plan::Plan, sheet::diary::{DiaryQuestion, Retire}};
    /// let plan: Plan = decode(&read(include_str!("../../tests/plans/watering-pump.json"))?)?;
    /// let answer = DiaryQuestion { plan: plan.clone(), today: "2026-11-26".into() }.answer()?;
    /// assert_eq!(answer.findings[0].code, "diary_no_entry");
    /// assert_eq!(answer.next_check.date.as_deref(), Some("2026-11-26"));
    /// let errors = DiaryQuestion { plan, today: "today".into() }.answer().unwrap_err();
    /// assert_eq!(errors[0].path(), "/today");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<DiaryAnswer, Vec<Error>> {
        let plan = &self.plan;
        let today = Day::read("today", &self.today)?;
        let in_plan = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("plan")).collect::<Vec<Error>>();
        plan.checked().map_err(in_plan)?;
        let empty = Diary { entries: Vec::new(), band_v: None };
        let diary = plan.diary.as_ref().unwrap_or(&empty);
        let mut check = Check::new();
        check.inside("plan", |check| check.inside("diary", |check| diary.check_past(check, today)));
        check.finish()?;
        let cells = plan.pack.groups.iter().flat_map(|group| &group.cells);
        let known = cells.map(|cell| &cell.chemistry).filter(|kind| **kind != Chemistry::Unidentified);
        let chemistries = Chemistries::new(&plan.own_chemistries, known).map_err(in_plan)?;
        let facts = DiaryFacts::of(&plan.pack, &chemistries, diary, Some(today));
        let balances = plan.protection.as_ref().and_then(Protection::board).and_then(|board| board.balances);
        let findings = judge(&facts, &plan.pack, balances == Some(true));
        Ok(told(plan, facts, findings, today))
    }
}

fn told(plan: &Plan, facts: DiaryFacts, findings: Vec<Finding>, today: Day) -> DiaryAnswer {
    let retire = retire(&findings);
    let hurt = is_broken(&findings, &[GIVEN_UP.code, OVER_FULL.code]) || found_hurt(plan, &facts);
    DiaryAnswer {
        today: today.text(),
        drift_state: facts.drift_state,
        band_v: facts.band_v,
        next_check: next_check(&facts, retire, is_broken(&findings, &[UNDER_FLOOR.code]), today),
        retire,
        retire_words: retire.wording().words,
        retire_said: retire.wording().plain().said,
        retire_rules: RETIRE.to_vec(),
        drawing: diary_drawing(&plan.name, &facts, &Tongue::ENGLISH),
        take_apart: take_apart::steps(plan, hurt),
        cautions: CAUTIONS,
        entries: facts.entries,
        groups: facts.groups,
        findings,
    }
}

/// Whether a cell of the plan was found under what it is given up at.
fn found_hurt(plan: &Plan, facts: &DiaryFacts) -> bool {
    plan.pack.groups.iter().zip(&facts.limits).any(|(group, limits)| {
        let found_v = group.cells.iter().filter_map(|cell| cell.rest_v);
        limits.give_up_v.is_some_and(|least_v| found_v.into_iter().any(|found_v| found_v < least_v))
    })
}

fn is_broken(findings: &[Finding], codes: &[&str]) -> bool {
    findings.iter().any(|finding| finding.judgement == Judgement::Broken && codes.contains(&finding.code))
}

fn retire(findings: &[Finding]) -> Retire {
    let ends = [GIVEN_UP.code, OVER_FULL.code, OUT_AGAIN.code, LOSES_CHARGE.code, RESISTANCE.code];
    if is_broken(findings, &ends) {
        Retire::Now
    } else if is_broken(findings, &[OUT_OF_BAND.code]) {
        Retire::IfItHappensAgain
    } else if findings.is_empty() || findings.iter().any(|finding| finding.judgement == Judgement::NotJudged) {
        Retire::NotJudged
    } else {
        Retire::NotYet
    }
}

impl Retire {
    const fn wording(self) -> Wording {
        match self {
            Self::Now => RETIRE_NOW,
            Self::IfItHappensAgain => RETIRE_IF_AGAIN,
            Self::NotJudged => RETIRE_NOT_JUDGED,
            Self::NotYet => RETIRE_NOT_YET,
        }
    }
}

wordings! {
    RETIRE_NOW: "diary_retire_now", "Retire now what the findings name. Do not charge the pack again before that group is out of it.";
    RETIRE_IF_AGAIN: "diary_retire_if_again", "Bring the groups level once. If a group leaves the band again, retire it.";
    RETIRE_NOT_JUDGED: "diary_retire_not_judged", "Not told: some rules could not be judged by what is in the diary.";
    RETIRE_NOT_YET: "diary_retire_not_yet", "Nothing in the diary speaks for retiring it. That does not mean safe.";
    CHECK_FIRST: "diary_check_first", "Nothing was read yet: read every group today.";
    CHECK_NONE: "diary_check_none", "The pack goes out of use: there is nothing to wait for.";
    CHECK_IN: "diary_check_in", "{0} days after the latest entry: {1} (common practice, no source).";
    CHECK_OUTSIDE: "diary_check_outside", "a group is or may be out of its band";
    CHECK_LOW: "diary_check_low", "a group lies under the floor";
    CHECK_HALF_WAY: "diary_check_half_way", "half way to the earliest day at which a group may leave its band";
    CHECK_NEW: "diary_check_new", "a weak cell shows in the first weeks";
    CHECK_MONTH: "diary_check_month", "once a month";
}

impl NextCheck {
    fn new(date: Option<Day>, is_due: bool, phrase: Phrase) -> Self {
        Self { date: date.map(Day::text), is_due, words: phrase.words, said: phrase.said }
    }
}

/// A month after the latest entry; sooner while the pack is new, and half way to the earliest day at which a group may
/// leave its band; at once where a group lies under the floor.
fn next_check(facts: &DiaryFacts, retire: Retire, low: bool, today: Day) -> NextCheck {
    let latest = facts.entries.last().and_then(|entry| Day::read("date", &entry.date).ok());
    let Some(latest) = latest else { return NextCheck::new(Some(today), true, CHECK_FIRST.plain()) };
    if retire == Retire::Now {
        return NextCheck::new(None, false, CHECK_NONE.plain());
    }
    let usual = if facts.entries.len() < FIRST_ENTRIES { FIRST_DAYS } else { CHECK_DAYS };
    let outside =
        |trend: &GroupTrend| matches!(trend.leaves_band.answer, BandAnswer::HasLeft | BandAnswer::MayHaveLeft);
    let soonest = facts.groups.iter().filter_map(|trend| trend.leaves_band.earliest_days).min();
    let (days, why) = if low {
        (SOONEST_DAYS, CHECK_LOW)
    } else if facts.groups.iter().any(outside) {
        (SOONEST_DAYS, CHECK_OUTSIDE)
    } else {
        match soonest.map(|days| (days / 2).max(SOONEST_DAYS)) {
            Some(half) if half < usual => (half, CHECK_HALF_WAY),
            _ if usual == FIRST_DAYS => (usual, CHECK_NEW),
            _ => (usual, CHECK_MONTH),
        }
    };
    let date = latest.later(days);
    let phrase = CHECK_IN.with([Filling::count(days as usize), why.into()]);
    NextCheck::new(date, date.is_none_or(|date| date <= today), phrase)
}
