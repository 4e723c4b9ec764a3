//! The bench list: every measurement of a finished build in the order one makes them.
//!
//! ```text
//! expected = likely ± (√ Σ (√3 · ∂reading/∂z)² + digits · step)      z: every unknown of the build, see model.rs
//! ```
//!
//! The ends of the plan's intervals combine as independent ones do; the meter's own accuracy stands on top. Unpowered
//! first, then the pack alone, group by group, then through a limiting resistor, then full power. Each step names where the
//! probes go, the jack, the range, the expected reading at the full and the empty pack, and what a reading outside means.
//! Source: the order is common practice, no source; the readings follow from the build's circuit.

use super::fault::Fault;
use super::limit::{Limiter, limiter};
use super::list::{measures, strongest};
use super::measure::{BenchCurrent, BenchMeter, BenchStage, Measure, Probes};
use super::model::{CHARGE, Case, HALF, Model, OPEN_READING};
use super::steps::{BENCH_CAUTIONS, action_before, beyond_jack, jack, note_after};
use crate::data::{COMMON_PRACTICE, Source};
use crate::error::{Check, Error};
use crate::finding::Urgency;
use crate::part::load::Draw;
use crate::plan::{Plan, Report};
use crate::quantity::Interval;
use crate::quantity::order::sort_by;
use crate::quantity::root::sqrt;
use crate::quantity::said::{Said, Wording, wordings};
use alloc::string::String;
use alloc::vec::Vec;

/// Most explanations told for a reading outside.
const MEANINGS: usize = 4;

/// Asks for the bench list of a plan.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BenchQuestion {
    /// The build as planned.
    pub plan: Plan,
    /// The meter; a cheap one where left out.
    pub meter: Option<BenchMeter>,
}

/// State of the pack at a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum PackState {
    /// Charged and rested.
    Full,
    /// As it is when the plan's run ends.
    Empty,
    /// It does not matter.
    Any,
}

/// What the meter shows on a build as planned.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ExpectedReading {
    /// State of the pack.
    pub state: PackState,
    /// What it shows, in the unit of the step.
    pub reading: Interval,
}

/// A fault that a reading outside points to.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Meaning {
    /// The fault.
    pub fault: Fault,
    /// What it is.
    pub words: String,
    /// The same by code.
    pub said: Said,
    /// What to do.
    pub remedy: &'static str,
    /// Code of what to do.
    pub remedy_code: &'static str,
    /// Whether that is to disconnect now.
    pub disconnect_now: bool,
}

/// One step of the list.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BenchStep {
    /// Its number, from 1.
    pub number: usize,
    /// Where it stands in the order of work.
    pub stage: BenchStage,
    /// What is measured; nothing for a step that only does something.
    pub measure: Option<Measure>,
    /// What to do, in plain words.
    pub words: String,
    /// The same by code.
    pub said: Said,
    /// Where the probes go.
    pub probes: Option<Probes>,
    /// The same in words, with the printed labels.
    pub probe_words: String,
    /// The same by code.
    pub probe_said: Option<Said>,
    /// Place of the knob, where it matters.
    pub wiper_ratio: Option<f64>,
    /// Jack of the red lead, and range.
    pub jack: &'static str,
    /// Code of the jack; empty without one.
    pub jack_code: &'static str,
    /// Resistance that the meter puts into the current's way, in ohms, where it does.
    pub burden_ohm: Option<Interval>,
    /// What the meter makes of a chopped quantity, where it is one.
    pub shows: &'static str,
    /// Code of that; empty without it.
    pub shows_code: &'static str,
    /// Expected readings.
    pub expected: Vec<ExpectedReading>,
    /// Unit of the readings as a field-name ending.
    pub unit: &'static str,
    /// What too low a reading points to.
    pub low_means: Vec<Meaning>,
    /// What too high a reading, or an open path, points to.
    pub high_means: Vec<Meaning>,
    /// What to do after the step.
    pub after: &'static str,
    /// Code of that; empty without it.
    pub after_code: &'static str,
    /// Where the step comes from.
    pub source: Source,
}

/// The whole list.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BenchList {
    /// What stands before the first step.
    pub cautions: Vec<&'static str>,
    /// Codes of the same.
    pub caution_codes: Vec<&'static str>,
    /// The meter that the tolerances hold for.
    pub meter: BenchMeter,
    /// The resistor for the first power.
    pub limiter: Limiter,
    /// The steps, in order.
    pub steps: Vec<BenchStep>,
}

impl BenchQuestion {
    /// The bench list of the plan.
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
    /// let plan = include_str!("../../tests/plans/watering-pump.json");
    /// let list = ask("bench", &format!("{{\"plan\": {plan}}}")).unwrap();
    /// assert!(matches!(list.get("steps"), Some(Node::List(steps)) if steps.len() > 20));
    /// let errors = ask("bench", &format!("{{\"plan\": {}}}", plan.replacen("4.2,", "9,", 1))).unwrap_err();
    /// assert!(errors[0].path().starts_with("/plan/"));
    /// # }
    /// ```
    pub fn answer(&self) -> Result<BenchList, Vec<Error>> {
        let mut check = Check::new();
        if let Some(meter) = &self.meter {
            check.inside("meter", |check| meter.check(check));
        }
        check.finish()?;
        let inside = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("plan")).collect::<Vec<Error>>();
        let report = self.plan.report().map_err(inside)?;
        bench(&self.plan, &report, &self.meter.unwrap_or(BenchMeter::CHEAP)).map_err(inside)
    }
}

/// The bench list of a plan with its report.
///
/// # Errors
///
/// Every measurement of the plan that no cell of its chemistry can have.
pub fn bench(plan: &Plan, report: &Report, meter: &BenchMeter) -> Result<BenchList, Vec<Error>> {
    let model = Model::new(plan, *meter)?;
    let list = measures(plan);
    let ends = report.runtime.likely.groups.get(report.runtime.likely.weakest_group);
    let empty = ends.and_then(|group| group.cells.first()).map_or(0.05, |cell| cell.end_soc_ratio.clamp(0.0, 1.0));
    let full = model.soc_at(plan.pack.full_v);
    let states = [(PackState::Full, full), (PackState::Empty, empty)];
    let expected: Vec<_> = states.iter().map(|(state, soc)| (*state, expected(&model, &list, *soc))).collect();
    let meanings = meanings(&model, &list, &expected, full);
    let mut steps: Vec<BenchStep> = Vec::new();
    let mut stage = None;
    for (place, (measure, (low_means, high_means))) in list.iter().zip(meanings).enumerate() {
        if stage != Some(measure.stage()) {
            stage = Some(measure.stage());
            steps.extend(action_before(plan, measure.stage()));
        }
        let mut step = reading_step(&model, *measure);
        let at = |(state, readings): &(PackState, Vec<Interval>)| {
            let reading = readings.get(place).copied().unwrap_or(Interval::exact(0.0));
            ExpectedReading { state: *state, reading }
        };
        step.expected = expected.iter().map(at).collect();
        let highest = step.expected.iter().map(|one| one.reading.high).fold(0.0, f64::max);
        if let Some(jack) = beyond_jack(step.jack_code, highest) {
            (step.jack, step.jack_code, step.burden_ohm) = (jack.words, jack.code, None);
        }
        if measure.setting().is_some_and(|setting| states.iter().any(|(_, soc)| opens(&model, setting, *soc))) {
            step.expected.clear();
            (step.shows, step.shows_code) = (OPENS.words, OPENS.code);
        }
        if measure.stage() == BenchStage::Unpowered || !moves(&step.expected) {
            step.expected.truncate(1);
            step.expected.iter_mut().for_each(|one| one.state = PackState::Any);
        }
        (step.low_means, step.high_means) = (low_means, high_means);
        steps.push(step);
    }
    for (number, step) in (1..).zip(&mut steps) {
        step.number = number;
    }
    Ok(BenchList {
        cautions: BENCH_CAUTIONS.iter().map(|caution| caution.words).collect(),
        caution_codes: BENCH_CAUTIONS.iter().map(|caution| caution.code).collect(),
        meter: *meter,
        limiter: limiter(plan),
        steps,
    })
}

/// Whether fuse or board opens at a setting of the build as planned, at its likely values or at the ends that draw most.
fn opens(model: &Model<'_>, setting: usize, soc_ratio: f64) -> bool {
    [0.0, HALF].into_iter().any(|end| {
        let mut z = alloc::vec![0.0; model.unknowns()];
        model.set_corner(&mut z, end);
        z.iter_mut().skip(CHARGE).take(1).for_each(|charge| *charge = Model::charge_z(soc_ratio));
        model.circuit(&Case { z: &z, fault: None, size: 0.0 }, setting).settled().opened.is_some()
    })
}

/// Whether the state of the pack changes the reading.
fn moves(expected: &[ExpectedReading]) -> bool {
    let [first, second] = expected else { return false };
    let (a, b) = (first.reading.likely, second.reading.likely);
    libm::fabs(a - b) > 1e-3 * libm::fabs(a).max(libm::fabs(b))
}

fn reading_step(model: &Model<'_>, measure: Measure) -> BenchStep {
    let plan = model.plan;
    let probes = measure.probes(plan);
    let current = matches!(measure, Measure::CurrentA { .. } | Measure::LoadAloneA { .. });
    let by_meter = matches!(model.meter.current_by, BenchCurrent::Meter { .. });
    let probe_phrase = probes.map(|probes| {
        let end = |point: super::TestPoint| POINT.with([point.label().into(), point.phrase().into()]).into();
        PROBES.with([end(probes.red), end(probes.black)])
    });
    let chopped = plan.control.is_some() && (current || matches!(measure, Measure::LoadV { .. }));
    let shows = chopped.then_some(MEAN);
    let (name, jack, after) = (measure.phrase(), jack(measure, &model.meter), note_after(measure, &model.meter));
    let words_of = |wording: Option<Wording>| wording.map_or("", |wording| wording.words);
    let code_of = |wording: Option<Wording>| wording.map_or("", |wording| wording.code);
    BenchStep {
        number: 0,
        stage: measure.stage(),
        measure: Some(measure),
        words: name.words,
        said: name.said,
        probes,
        probe_said: probe_phrase.as_ref().map(|phrase| phrase.said.clone()),
        probe_words: probe_phrase.map_or_else(String::new, |phrase| phrase.words),
        wiper_ratio: measure.setting().and_then(|setting| model.wiper_ratio(setting)),
        jack: jack.words,
        jack_code: jack.code,
        burden_ohm: (current && by_meter).then(|| model.meter.burden_ohm()),
        shows: words_of(shows),
        shows_code: code_of(shows),
        expected: Vec::new(),
        unit: measure.unit(),
        low_means: Vec::new(),
        high_means: Vec::new(),
        after: words_of(after),
        after_code: code_of(after),
        source: COMMON_PRACTICE,
    }
}

wordings! {
    PROBES: "probes", "red on {0}, black on {1}";
    POINT: "point_labelled", "{0} ({1})";
    MEAN: "shows_mean", "On its DC range the meter shows the mean, whether or not it reads true RMS on AC. The AC range shows \
        nothing of use here.";
    OPENS: "shows_opens", "Nothing is expected here: as planned, the build's own fuse or board opens at this setting, or may. Do \
        not switch on before the plan is mended.";
}

/// What the meter shows at a charge, with every unknown between its ends.
fn expected(model: &Model<'_>, list: &[Measure], soc_ratio: f64) -> Vec<Interval> {
    let mut z = alloc::vec![0.0; model.unknowns()];
    if let Some(charge) = z.get_mut(CHARGE) {
        *charge = Model::charge_z(soc_ratio);
    }
    let read = |z: &[f64]| model.readings(&Case { z, fault: None, size: 0.0 }, list);
    let likely = read(&z);
    let mut squares: Vec<[f64; 2]> = alloc::vec![[0.0; 2]; list.len()];
    for place in (0..z.len()).filter(|place| *place != CHARGE) {
        for end in [-HALF, HALF] {
            let mut moved = z.clone();
            moved.iter_mut().skip(place).take(1).for_each(|value| *value = end);
            for (held, (there, here)) in squares.iter_mut().zip(read(&moved).iter().zip(&likely)) {
                let by = there - here;
                if let Some(sum) = held.get_mut(usize::from(by > 0.0)) {
                    *sum += by * by;
                }
            }
        }
    }
    let each = list.iter().zip(likely).zip(squares);
    each.map(|((measure, likely), [below, above])| {
        let rest = model.meter.accuracy(*measure, likely).rest;
        let (low, high) = parts(model, *measure, likely);
        Interval {
            low: likely - sqrt(below + low * low) - rest,
            likely,
            high: likely + sqrt(above + high * high) + rest,
        }
    })
    .zip(list)
    .map(|(reading, measure)| match measure {
        Measure::TurnsCount { .. } => Interval::exact(reading.likely),
        measure if measure.is_resistance() || *measure == Measure::OffA => {
            Interval { low: reading.low.max(0.0), high: reading.high.min(OPEN_READING), ..reading }
        }
        _ => reading,
    })
    .collect()
}

/// How far a part of the kind may lie below and above, beside what the plan holds.
fn parts(model: &Model<'_>, measure: Measure, likely: f64) -> (f64, f64) {
    match measure {
        Measure::LoadOhm { load } => {
            let turns = model.plan.loads.get(load - 1).is_some_and(|l| matches!(l.draw, Draw::FollowsVoltage { .. }));
            if turns { (0.55 * likely, 1.2 * likely) } else { (0.1 * likely, 0.1 * likely) }
        }
        Measure::FlybackDiodeV => (0.3, 0.25),
        Measure::KnobDiodeV { .. } => (0.1, 0.1),
        Measure::FrequencyHz { .. } => (0.02 * likely, 0.02 * likely),
        Measure::JackV => (0.01 * likely, 0.01 * likely),
        _ => (0.0, 0.0),
    }
}

/// For each measure the faults that a reading below and above points to: those no earlier step shows first.
fn meanings(
    model: &Model<'_>,
    list: &[Measure],
    expected: &[(PackState, Vec<Interval>)],
    soc_ratio: f64,
) -> Vec<(Vec<Meaning>, Vec<Meaning>)> {
    let mut z = alloc::vec![0.0; model.unknowns()];
    if let Some(charge) = z.get_mut(CHARGE) {
        *charge = Model::charge_z(soc_ratio);
    }
    let Some((_, healthy)) = expected.first() else { return Vec::new() };
    let mut low: Vec<Vec<(bool, f64, Fault)>> = alloc::vec![Vec::new(); list.len()];
    let mut high = low.clone();
    for fault in Fault::all(model.plan) {
        let readings = model.readings(&Case { z: &z, fault: Some(fault), size: fault.size(0.5) }, list);
        let mut shown = false;
        let sides = low.iter_mut().zip(&mut high);
        for ((reading, healthy), (low, high)) in readings.iter().zip(healthy).zip(sides) {
            let width = (healthy.high - healthy.low).max(1e-9);
            if *reading < healthy.low {
                low.push((shown, (healthy.low - reading) / width, fault));
                shown = true;
            } else if *reading > healthy.high {
                high.push((shown, (reading - healthy.high) / width, fault));
                shown = true;
            }
        }
    }
    let ranked = |mut side: Vec<(bool, f64, Fault)>| -> Vec<Meaning> {
        sort_by(&mut side, |a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
        let fresh = side.iter().filter(|(shown, _, _)| !shown).count();
        side.into_iter().take(MEANINGS.min(fresh.max(2))).map(|(_, _, fault)| meaning(model.plan, fault)).collect()
    };
    low.into_iter().zip(high).map(|(low, high)| (ranked(low), ranked(high))).collect()
}

fn meaning(plan: &Plan, fault: Fault) -> Meaning {
    let row = fault.kind.row();
    let phrase = fault.phrase(plan);
    Meaning {
        fault,
        words: phrase.words,
        said: phrase.said,
        remedy: row.remedy.words,
        remedy_code: row.remedy.code,
        disconnect_now: row.urgency == Urgency::Stop,
    }
}

/// The setting at which drops are read, for the words of the step before them.
pub(super) fn drops_at(plan: &Plan) -> Option<f64> {
    let control = plan.control.as_ref()?;
    match strongest(plan).checked_sub(1) {
        None => Some(control.wiper_ratio),
        Some(listed) => control.positions.get(listed).copied(),
    }
}
