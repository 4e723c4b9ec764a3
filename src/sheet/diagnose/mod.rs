//! Which fault explains the readings best.
//!
//! ```text
//! odds of two explanations = evidence · prior over evidence · prior      evidence: see fit.rs
//! ```
//!
//! Every fault of the list is put into the planned build's circuit, its size and everything that is not known exactly are fitted to the
//! readings, and the odds follow from what is left unexplained. A healthy build has half of the prior; each kind of fault an
//! equal share of the rest, split over its places. Explanations within 20 to 1 are a tie, and the reading is named at which they
//! differ most. A fault that asks to disconnect at once comes first as long as its odds are above 1 to 100 and the
//! readings speak for it. Priors and odds are our own; the method is Bayes' theorem.

mod fit;
mod pretend;

pub use pretend::pretend;

use super::fault::{Fault, FaultKind};
use super::list::measures;
use super::measure::{BenchMeter, BenchStage, Measure};
use super::model::{Case, Model};
use super::parts::THEN;
use crate::error::{Check, Error};
use crate::finding::Urgency;
use crate::part::cell::Chemistries;
use crate::plan::Plan;
use crate::quantity::order::{sort_by, sort_numbers};
use crate::quantity::root::sqrt;
use crate::quantity::said::{Filling, Phrase, Said, Wording, wordings};
use alloc::string::String;
use alloc::vec::Vec;
use fit::{Fitted, Readings, Screen, Screened, fit, residual};

/// Odds within which explanations are a tie.
pub const TIE_ODDS: f64 = 20.0;

/// Odds down to which a fault that asks to disconnect at once is told first.
pub const STOP_ODDS: f64 = 100.0;

/// Share of the prior that a healthy build has.
const HEALTHY_PRIOR: f64 = 0.5;

/// How many faults, those that cost least at the healthy build's slopes, are fitted with everything free.
const SEARCHED: usize = 14;

/// How far behind the best an explanation is fitted once more, in the logarithm of its evidence.
const AGAIN_WITHIN: f64 = 15.0;

/// Stages in which the build has power.
const POWERED: [BenchStage; 2] = [BenchStage::Limited, BenchStage::Full];

/// Most explanations that are told.
const MOST_TOLD: usize = 8;

/// Most groups in series that the search takes.
const GROUPS_MOST: usize = 16;

/// One reading of the maker.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BenchReading {
    /// What was measured.
    pub measure: Measure,
    /// What the meter showed, in the base unit; nothing where it showed an open path.
    pub shown: Option<f64>,
}

/// Asks what is wrong with a build.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Diagnosis {
    /// The build as planned.
    pub plan: Plan,
    /// The meter; a cheap one where left out.
    pub meter: Option<BenchMeter>,
    /// The readings, all taken within one hour and without charging in between.
    pub readings: Vec<BenchReading>,
}

/// A reading that speaks for or against an explanation.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Evidence {
    /// What was measured.
    pub measure: Measure,
    /// The same in words.
    pub words: String,
    /// What the meter showed; nothing for an open path.
    pub shown: Option<f64>,
    /// What it would show on the healthy build; nothing for an open path.
    pub healthy: Option<f64>,
    /// What it would show with this fault; nothing for an open path.
    pub explained: Option<f64>,
    /// Unit of the three as a field-name ending.
    pub unit: &'static str,
    /// Change of the logarithm of the odds against the healthy build; above 0 it speaks for the fault.
    pub log_odds: f64,
}

/// One explanation.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Explanation {
    /// The fault; nothing for a build as planned.
    pub fault: Option<Fault>,
    /// Its size that fits best.
    pub size: Option<f64>,
    /// Unit of the size as a field-name ending; empty for a factor.
    pub size_unit: &'static str,
    /// What it is, in plain words.
    pub words: String,
    /// The same by code.
    pub said: Said,
    /// What to do.
    pub remedy: &'static str,
    /// Code of what to do.
    pub remedy_code: &'static str,
    /// Whether the remedy is to disconnect now.
    pub disconnect_now: bool,
    /// Probability among everything on the list.
    pub share_ratio: f64,
    /// Readings that speak for it, the strongest first.
    pub speaks_for: Vec<Evidence>,
    /// Readings that it does not explain, or explains worse than the healthy build.
    pub speaks_against: Vec<Evidence>,
}

/// The reading to take next.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SplittingReading {
    /// What to measure.
    pub measure: Measure,
    /// The same in words.
    pub words: String,
    /// What it shows if the first explanation is right; nothing for an open path.
    pub first: Option<f64>,
    /// What it shows if the second is right.
    pub second: Option<f64>,
    /// Unit of both as a field-name ending.
    pub unit: &'static str,
    /// By how many deviations the two lie apart.
    pub apart: f64,
}

/// What is wrong, as far as the readings tell.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct DiagnosisAnswer {
    /// The explanations, the first to act on first.
    pub explanations: Vec<Explanation>,
    /// How many of them, from the first, cannot be told apart by these readings; 1 without a tie.
    pub tied: usize,
    /// Whether the first asks to disconnect now.
    pub disconnect_now: bool,
    /// Whether not even the best explanation fits the readings: look for a mistake in reading, or a fault not listed.
    pub unexplained: bool,
    /// What to measure next, where that tells the first two apart.
    pub next: Option<SplittingReading>,
    /// What to do next, in plain words.
    pub words: String,
    /// The same by code.
    pub said: Option<Said>,
}

impl Diagnosis {
    fn check(&self, check: &mut Check, all: &[Measure]) {
        if let Some(meter) = &self.meter {
            check.inside("meter", |check| meter.check(check));
        }
        let groups = self.plan.pack.groups.len();
        if groups > GROUPS_MOST {
            let error = Error::range("groups", groups as f64, 1.0, GROUPS_MOST as f64);
            check.note(error.at("pack").at("plan"));
        }
        if self.readings.is_empty() || self.readings.len() > 400 {
            check.note(Error::range("readings", self.readings.len() as f64, 1.0, 400.0));
        }
        for (i, reading) in self.readings.iter().enumerate() {
            check.inside("readings", |check| {
                check.inside(i, |check| {
                    reading.measure.check(check, all);
                    if let Some(shown) = reading.shown {
                        check.within("shown", shown, -1e6, 1e7);
                    } else if !reading.measure.opens() {
                        check
                            .note(Error::missing("shown", "a number; only ohms and diode tests may show an open path"));
                    }
                    if self.readings.iter().take(i).any(|held| held.measure == reading.measure) {
                        check.note(Error::duplicate("measure"));
                    }
                });
            });
        }
    }

    /// Which explanation fits best, and what to measure next.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # #[cfg(feature = "ask")] {
    /// # use cellwright::ask::{Node, ask};
    /// let plan = include_str!("../../../tests/plans/watering-pump.json");
    /// let asked = |measure: &str, shown: f64| {
    ///     let reading = format!("{{\"measure\": {measure}, \"shown\": {shown}}}");
    ///     ask("diagnose", &format!("{{\"plan\": {plan}, \"readings\": [{reading}]}}"))
    /// };
    /// let answer = asked("\"jack_v\"", -12.6).unwrap();
    /// assert_eq!(answer.get("disconnect_now"), Some(&Node::Bool(true)), "the plug has the wrong polarity");
    /// let errors = asked("{\"tap_v\": {\"group\": 4}}", 12.0).unwrap_err();
    /// assert_eq!(errors[0].path(), "/readings/0/measure", "the pack has three groups");
    /// # }
    /// ```
    pub fn answer(&self) -> Result<DiagnosisAnswer, Vec<Error>> {
        let inside = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("plan")).collect::<Vec<Error>>();
        self.plan.checked().map_err(inside)?;
        let all = measures(&self.plan);
        let mut check = Check::new();
        self.check(&mut check, &all);
        check.finish()?;
        let model = Model::new(&self.plan, self.meter.unwrap_or(BenchMeter::CHEAP)).map_err(inside)?;
        Ok(answer(&model, &self.readings, &all))
    }
}

/// An explanation with its weight.
struct Weighed {
    fitted: Fitted,
    log_odds: f64,
    stop: bool,
}

fn answer(model: &Model<'_>, readings: &[BenchReading], all: &[Measure]) -> DiagnosisAnswer {
    let taken: Vec<Measure> = readings.iter().map(|reading| reading.measure).collect();
    let shown: Vec<Option<f64>> = readings.iter().map(|reading| reading.shown).collect();
    let data = Readings { measures: &taken, shown: &shown };
    let charge_z = Model::charge_z(charge(model, readings));
    let (mut list, healthy) = weighed(model, &data, charge_z);
    let best = list.iter().map(|one| one.log_odds).fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = list.iter().map(|one| libm::exp(one.log_odds - best)).sum();
    let first_stop = |one: &Weighed| one.stop && best - one.log_odds < libm::log(STOP_ODDS);
    sort_by(&mut list, |a, b| first_stop(b).cmp(&first_stop(a)).then(b.log_odds.total_cmp(&a.log_odds)));
    let near = |one: &Weighed| best - one.log_odds < libm::log(TIE_ODDS) || first_stop(one);
    let tied = list.iter().take_while(|one| near(one)).count().max(1);
    let given_up = given_up(model.plan, readings);
    let sags = sags(model.plan, readings).filter(|_| given_up.is_none());
    let low = given_up.or(sags).is_some();
    // A pack that is to be disconnected is not run for the sake of a reading.
    let next = splitting(model, &list, &taken, all).filter(|next| !low || next.measure.stage() <= BenchStage::Pack);
    let misfit = list.iter().map(|one| one.fitted.misfit()).fold(f64::INFINITY, f64::min);
    let count = taken.len() as f64;
    let unexplained = misfit > count + 6.0 * sqrt(2.0 * count) + 6.0;
    let told = |one: &Weighed| explanation(model, &data, one, &healthy, libm::exp(one.log_odds - best) / total);
    let mut explanations: Vec<Explanation> = list.iter().take(MOST_TOLD.max(tied)).map(told).collect();
    for one in &mut explanations {
        let low = |place| Some(Fault { kind: FaultKind::GroupLow, place });
        if given_up.is_some_and(|group| one.fault == low(group)) {
            (one.remedy, one.remedy_code, one.disconnect_now) = (GIVEN_UP_REMEDY.words, GIVEN_UP_REMEDY.code, true);
        }
    }
    let disconnect_now = low || explanations.first().is_some_and(|first| first.disconnect_now);
    let mut phrase = said(&explanations, tied, unexplained, next.as_ref());
    if let Some(group) = given_up.filter(|_| explanations.first().is_some_and(|first| !first.disconnect_now)) {
        let flat = GIVEN_UP.with([Filling::count(group), GIVEN_UP_REMEDY.into()]);
        phrase = Phrase::joined([Some(flat), phrase].into_iter().flatten(), &THEN);
    }
    if let Some(group) = sags {
        let sagging = SAGS.with([Filling::count(group)]);
        phrase = Phrase::joined([Some(sagging), phrase].into_iter().flatten(), &THEN);
    }
    let (words, said) = phrase.map(|phrase| (phrase.words, phrase.said)).unzip();
    let words = words.unwrap_or_default();
    DiagnosisAnswer { explanations, tied, disconnect_now, unexplained, next, words, said }
}

/// Every explanation fitted, with its prior; and the healthy build.
fn weighed(model: &Model<'_>, data: &Readings<'_>, charge_z: f64) -> (Vec<Weighed>, Fitted) {
    let faults = Fault::all(model.plan);
    let screen = Screen::new(model, data, charge_z);
    let mut screened: Vec<Screened> = faults.iter().map(|fault| screen.screened(model, data, *fault)).collect();
    sort_by(&mut screened, |a, b| a.cost.total_cmp(&b.cost));
    let mut fitted = Vec::from([fit(model, data, None, &screen.z)]);
    fitted.extend(screened.iter().take(SEARCHED).map(|one| fit(model, data, Some(one), &screen.z)));
    again(model, data, &screened, &mut fitted);
    let healthy = fitted.iter().find(|one| one.fault.is_none()).cloned();
    let healthy = healthy.unwrap_or_else(|| fit(model, data, None, &screen.z));
    let list = fitted.into_iter().map(|one| weigh(one, &faults, healthy.log_evidence)).collect();
    (list, healthy)
}

/// Starts the near ones once more from the unknowns of the best: one that stuck on the way must not lose by it.
fn again(model: &Model<'_>, data: &Readings<'_>, screened: &[Screened], fitted: &mut [Fitted]) {
    let best = fitted.iter().max_by(|a, b| a.log_evidence.total_cmp(&b.log_evidence)).cloned();
    let Some(best) = best else { return };
    for one in fitted.iter_mut() {
        let start = screened.iter().find(|screened| Some(screened.fault) == one.fault);
        let near = best.log_evidence - one.log_evidence < AGAIN_WITHIN;
        let stuck = start.is_none_or(|start| one.cost > start.cost + AGAIN_WITHIN);
        if !(near || stuck) || one.fault == best.fault {
            continue;
        }
        let better = fit(model, data, start, &best.z);
        if better.log_evidence > one.log_evidence {
            *one = better;
        }
    }
}

fn weigh(fitted: Fitted, faults: &[Fault], healthy_evidence: f64) -> Weighed {
    let Some(fault) = fitted.fault else {
        let log_odds = fitted.log_evidence + libm::log(HEALTHY_PRIOR);
        return Weighed { fitted, log_odds, stop: false };
    };
    let mut kinds: Vec<FaultKind> = faults.iter().map(|fault| fault.kind).collect();
    kinds.dedup();
    let places = kinds.len() * faults.iter().filter(|other| other.kind == fault.kind).count();
    let supported = fitted.log_evidence > healthy_evidence + 2.0;
    let stop = supported && fault.kind.row().urgency == Urgency::Stop;
    let log_odds = fitted.log_evidence + libm::log((1.0 - HEALTHY_PRIOR) / places.max(1) as f64);
    Weighed { fitted, log_odds, stop }
}

/// What to do with a group under the voltage at which its cells are given up. Common practice, no source.
const GIVEN_UP_REMEDY: Wording = Wording::new(
    "remedy_given_up",
    "Disconnect now: fuse out, charger off. Do not charge it: take its cells out and hand them in.",
);

/// The first lithium group whose taps lie closer together than its cells may be and still be used.
fn given_up(plan: &Plan, readings: &[BenchReading]) -> Option<usize> {
    first_low(plan, |group| Some(tap_v(readings, group)? - tap_v(readings, group - 1)?))
}

/// The first lithium group that falls as low while the load runs.
fn sags(plan: &Plan, readings: &[BenchReading]) -> Option<usize> {
    let loaded = |reading: &BenchReading, wanted: usize| match reading.measure {
        Measure::GroupV { group, .. } if group == wanted => reading.shown,
        _ => None,
    };
    first_low(plan, |group| readings.iter().filter_map(|reading| loaded(reading, group)).reduce(f64::min))
}

/// The first lithium group with less voltage than its cells may have and still be used.
fn first_low(plan: &Plan, group_v: impl Fn(usize) -> Option<f64>) -> Option<usize> {
    let cells = || plan.pack.groups.iter().flat_map(|group| &group.cells);
    let chemistries = Chemistries::new(&plan.own_chemistries, cells().map(|cell| &cell.chemistry)).ok()?;
    let limit_v = |group: &crate::pack::Group| {
        let lithium = group.cells.iter().filter(|cell| chemistries.is_lithium(&cell.chemistry));
        lithium
            .filter_map(|cell| chemistries.limits(&cell.chemistry).ok())
            .map(|limits| limits.give_up_v)
            .reduce(f64::max)
    };
    let low = |(place, group): &(usize, &crate::pack::Group)| {
        limit_v(group).zip(group_v(place + 1)).is_some_and(|(limit_v, v)| v < limit_v)
    };
    plan.pack.groups.iter().enumerate().find(low).map(|(place, _)| place + 1)
}

/// Voltage of a balance tap as it was read; tap 0 is the pack's minus.
fn tap_v(readings: &[BenchReading], group: usize) -> Option<f64> {
    if group == 0 {
        return Some(0.0);
    }
    readings.iter().find(|reading| reading.measure == Measure::TapV { group }).and_then(|reading| reading.shown)
}

/// Charge that the rest voltages tell: that of the middle group.
fn charge(model: &Model<'_>, readings: &[BenchReading]) -> f64 {
    let series = model.plan.pack.groups.len();
    let tap = |group: usize| tap_v(readings, group);
    let loaded = |group: usize| {
        let found = readings.iter().find(|held| held.measure == Measure::GroupV { setting: 0, group });
        found.and_then(|held| held.shown)
    };
    let mut groups_v: Vec<f64> = (1..=series).filter_map(|group| Some(tap(group)? - tap(group - 1)?)).collect();
    groups_v.extend((1..=series).filter_map(loaded));
    let whole = |measure: Measure| readings.iter().find(|held| held.measure == measure).and_then(|held| held.shown);
    let supply = whole(Measure::PackV).or(whole(Measure::LimitedV)).or(whole(Measure::SupplyV { setting: 0 }));
    groups_v.extend(supply.map(|v| v / series as f64));
    groups_v.retain(|v| *v > 0.3 * model.plan.pack.floor_v);
    sort_numbers(&mut groups_v);
    groups_v.get(groups_v.len() / 2).map_or(0.6, |v| model.soc_at(*v).clamp(0.0, 1.0))
}

fn told(model: &Model<'_>, fitted: &Fitted, measure: Measure) -> f64 {
    model.readings(&fitted.case(), &[measure]).first().copied().unwrap_or(0.0)
}

fn closed(measure: Measure, value: f64) -> Option<f64> {
    Some(value).filter(|value| !(measure.opens() && *value >= super::model::OPEN_READING))
}

fn explanation(
    model: &Model<'_>,
    data: &Readings<'_>,
    one: &Weighed,
    healthy: &Fitted,
    share_ratio: f64,
) -> Explanation {
    let fitted = &one.fitted;
    let row = fitted.fault.map(|fault| fault.kind.row());
    let each = data.measures.iter().zip(data.shown).zip(fitted.residuals.iter().zip(&healthy.residuals));
    let mut evidence: Vec<Evidence> = each
        .map(|((measure, shown), (own, theirs))| Evidence {
            measure: *measure,
            words: measure.words(),
            shown: *shown,
            healthy: closed(*measure, told(model, healthy, *measure)),
            explained: closed(*measure, told(model, fitted, *measure)),
            unit: measure.unit(),
            log_odds: 0.5 * (theirs * theirs - own * own),
        })
        .collect();
    sort_by(&mut evidence, |a, b| b.log_odds.total_cmp(&a.log_odds));
    let speaks_against = evidence.iter().rev().filter(|one| one.log_odds < -0.5).take(4).cloned().collect();
    evidence.retain(|one| one.log_odds > 0.5);
    evidence.truncate(4);
    let phrase = fitted.fault.map_or_else(|| HEALTHY.plain(), |fault| fault.phrase(model.plan));
    let remedy = row.map_or(GO_ON, |row| row.remedy);
    Explanation {
        fault: fitted.fault,
        size: row.and_then(|row| row.size).map(|_| fitted.size),
        size_unit: row.and_then(|row| row.size).map_or("", |size| size.unit),
        words: phrase.words,
        said: phrase.said,
        remedy: remedy.words,
        remedy_code: remedy.code,
        disconnect_now: one.stop,
        share_ratio,
        speaks_for: evidence,
        speaks_against,
    }
}

/// The reading not yet taken at which the first two explanations lie furthest apart.
fn splitting(model: &Model<'_>, list: &[Weighed], taken: &[Measure], all: &[Measure]) -> Option<SplittingReading> {
    let (first, second) = (list.first()?, list.get(1)?);
    // Nothing is measured under power while something asks to disconnect.
    let safe = |measure: &&Measure| !first.stop || !POWERED.contains(&measure.stage());
    let open: Vec<Measure> = all.iter().filter(|measure| !taken.contains(measure)).filter(safe).copied().collect();
    let at = |fitted: &Fitted| model.readings(&Case { ..fitted.case() }, &open);
    let (left, right) = (at(&first.fitted), at(&second.fitted));
    let mut best: Option<SplittingReading> = None;
    for ((measure, first), second) in open.iter().zip(left).zip(right) {
        let one_way = residual(model, *measure, closed(*measure, first), second);
        let other_way = residual(model, *measure, closed(*measure, second), first);
        let apart = libm::fabs(one_way).min(libm::fabs(other_way));
        if apart > 2.0 && best.as_ref().is_none_or(|best| apart > best.apart) {
            best = Some(SplittingReading {
                measure: *measure,
                words: measure.words(),
                first: closed(*measure, first),
                second: closed(*measure, second),
                unit: measure.unit(),
                apart,
            });
        }
    }
    best
}

/// What to do next.
fn said(
    explanations: &[Explanation],
    tied: usize,
    unexplained: bool,
    next: Option<&SplittingReading>,
) -> Option<Phrase> {
    let first = explanations.first()?;
    let fault = |one: &Explanation| Phrase { words: one.words.clone(), said: one.said.clone() };
    let remedy = Wording::new(first.remedy_code, first.remedy);
    let best = THEN.with([fault(first).into(), remedy.into()]);
    let best = if unexplained { UNEXPLAINED.with([best.into()]) } else { best };
    if tied < 2 {
        return Some(best);
    }
    let others = Phrase::joined(explanations.iter().take(tied).skip(1).map(fault), &THEN);
    let others = others.map(|others| NOT_APART.with([others.into()]));
    let next = next.map(|next| {
        let wording = if first.disconnect_now { FUSE_OUT_NEXT } else { NEXT };
        wording.with([next.measure.phrase().into()])
    });
    Phrase::joined([Some(best), others, next].into_iter().flatten(), &THEN)
}

wordings! {
    HEALTHY: "diagnosis_healthy", "The readings agree with the build as planned.";
    GO_ON: "remedy_go_on", "Go on with the next step of the list.";
    UNEXPLAINED: "diagnosis_unexplained", "No fault of the list explains all readings. Take the worst ones again; if they stay, disconnect and look. The best of the list: {0}";
    NOT_APART: "diagnosis_not_apart", "Not told apart by these readings: {0}";
    FUSE_OUT_NEXT: "diagnosis_next_fuse_out", "With the fuse out, measure next: {0}.";
    NEXT: "diagnosis_next", "Measure next: {0}.";
    SAGS: "diagnosis_sags", "While the load runs, group {0} falls under the voltage at which its cells are given up. Switch off and take the fuse out now; read its taps at rest before anything runs again.";
    GIVEN_UP: "diagnosis_given_up", "Group {0} is under the voltage at which its cells are given up. {1}";
}

/// Every sentence of the search.
pub(crate) fn sentences() -> [&'static [Wording]; 2] {
    [WORDINGS, &[GIVEN_UP_REMEDY]]
}
