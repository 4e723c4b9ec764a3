//! Voltage, current and charge over time at one place of the knob, each with its least and its most.
//!
//! ```text
//! least(t) = smallest of the corner runs at t,   most(t) = largest of them
//! ```
//!
//! The corner runs are those of the report. Once the shortest may have ended there is no least any more: the load may
//! stand still. Between two times of a run a value is read straight. Source: arithmetic of the runs; their laws stand in
//! [`crate::run::discharge`].

use crate::error::{Error, within};
use crate::plan::Plan;
use crate::quantity::Interval;
use crate::quantity::order::sort_numbers;
use crate::quantity::said::{Filling, Phrase, Said, wordings};
use crate::run::discharge::{Discharge, EndedBy, OverTime};
use crate::run::pack_run::PackRunAnswer;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Steps of the common time axis.
const STEPS: u32 = 60;

/// Asks for the curves at one place of the knob.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CurvesQuestion {
    /// The plan.
    pub plan: Plan,
    /// Place of the knob, 0 to 1; the plan's own where left out. A plan without a knob has none.
    pub wiper_ratio: Option<f64>,
}

/// One quantity over time; nothing where a run has ended.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CurveBand {
    /// At least; nothing once the run may have ended.
    pub low: Vec<Option<f64>>,
    /// At the likely values.
    pub likely: Vec<Option<f64>>,
    /// At most.
    pub high: Vec<Option<f64>>,
}

/// Voltage, current and charge over time at one place of the knob.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SettingCurves {
    /// Place of the knob; none without one.
    pub wiper_ratio: Option<f64>,
    /// Time until the run ends, in seconds.
    pub runtime_s: Interval,
    /// What ends it at the likely values.
    pub ended_by: EndedBy,
    /// Time since the start, in seconds; every list below is as long.
    pub time_s: Vec<f64>,
    /// Voltage at the pack's ends in the on-time, in volts.
    pub pack_v: CurveBand,
    /// Voltage at the loads in the on-time, in volts.
    pub load_v: CurveBand,
    /// Mean current, in amperes.
    pub mean_a: CurveBand,
    /// Charge left in the emptiest cell, as a ratio.
    pub soc_ratio: CurveBand,
    /// What it shows, in plain English.
    pub words: String,
    /// The same by code.
    pub said: Said,
}

impl CurvesQuestion {
    /// The curves at one place of the knob.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the plan, each with its place; a place of the knob where there is none.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::ask::{decode, read};
    /// # use cellwright::{plan::Plan, sheet::charts::CurvesQuestion};
    /// let plan: Plan = decode(&read(include_str!("../../../tests/plans/watering-pump.json"))?)?;
    /// let curves = CurvesQuestion { plan: plan.clone(), wiper_ratio: None }.answer()?;
    /// assert_eq!(curves.time_s.len(), curves.load_v.high.len());
    /// assert!(curves.soc_ratio.low[0].unwrap() <= curves.soc_ratio.high[0].unwrap());
    /// let errors = CurvesQuestion { plan, wiper_ratio: Some(0.5) }.answer().unwrap_err();
    /// assert_eq!(errors[0].path(), "/wiper_ratio");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<SettingCurves, Vec<Error>> {
        let mut plan = self.plan.clone();
        match (&mut plan.control, self.wiper_ratio) {
            (Some(control), Some(wiper_ratio)) => {
                control.wiper_ratio = within("wiper_ratio", wiper_ratio, 0.0, 1.0)?;
                control.positions = Vec::new();
            }
            (None, Some(given)) => {
                let accepted = "nothing: this plan has no knob";
                return Err(Error::other("wiper_ratio", format!("{given}"), accepted).into());
            }
            (_, None) => {}
        }
        let at = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("plan")).collect::<Vec<_>>();
        let report = plan.report().map_err(at)?;
        Ok(SettingCurves::of(&report.runtime, plan.control.as_ref().map(|control| control.wiper_ratio)))
    }
}

impl SettingCurves {
    /// The curves of three corner runs.
    pub(super) fn of(runtime: &PackRunAnswer, wiper_ratio: Option<f64>) -> Self {
        let PackRunAnswer { runtime_s, least, likely, most, .. } = runtime;
        let runs = [least, likely, most];
        let time_s = times(runtime_s, &runs);
        let phrase = phrase(runtime_s, likely);
        let band = |of: fn(&OverTime) -> &Vec<f64>| band(&time_s, runtime_s.low, &runs, of);
        Self {
            wiper_ratio,
            runtime_s: *runtime_s,
            ended_by: likely.ended_by,
            pack_v: band(|series| &series.pack_v),
            load_v: band(|series| &series.load_v),
            mean_a: band(|series| &series.mean_a),
            soc_ratio: band(|series| &series.soc_ratio),
            words: phrase.words,
            said: phrase.said,
            time_s,
        }
    }
}

/// Even steps over the longest run, with the ends of all three.
fn times(runtime_s: &Interval, runs: &[&Discharge; 3]) -> Vec<f64> {
    let ends = runs.map(end_s);
    let longest_s = ends.iter().copied().fold(0.0, f64::max);
    let steps = (0..=STEPS).map(|i| longest_s * f64::from(i) / f64::from(STEPS));
    let inside = |time_s: &f64| (0.0..=longest_s).contains(time_s);
    let mut times: Vec<f64> = steps.chain(ends).chain([runtime_s.low]).filter(inside).collect();
    sort_numbers(&mut times);
    times.dedup();
    times
}

fn end_s(run: &Discharge) -> f64 {
    run.series.time_s.last().copied().unwrap_or(0.0)
}

fn band(times: &[f64], low_s: f64, runs: &[&Discharge; 3], of: fn(&OverTime) -> &Vec<f64>) -> CurveBand {
    let mut band = CurveBand::default();
    for time_s in times {
        let values = runs.map(|run| read(&run.series.time_s, of(&run.series), *time_s));
        let [least, likely, _] = values;
        let going = || values.iter().flatten().copied();
        let surely = least.is_some() && likely.is_some() && *time_s <= low_s;
        band.low.push(if surely { going().reduce(f64::min) } else { None });
        band.likely.push(likely);
        band.high.push(going().reduce(f64::max));
    }
    band
}

/// The value of a row at a time; none after its end.
fn read(times: &[f64], values: &[f64], time_s: f64) -> Option<f64> {
    let after = times.iter().position(|at| *at >= time_s)?;
    let point = |i: usize| Some((*times.get(i)?, *values.get(i)?));
    let (t1, v1) = point(after)?;
    match after.checked_sub(1).and_then(point) {
        Some((t0, v0)) if t1 > t0 => Some(v0 + (v1 - v0) * (time_s - t0) / (t1 - t0)),
        _ => Some(v1),
    }
}

fn phrase(runtime_s: &Interval, likely: &Discharge) -> Phrase {
    CURVES.with([
        Filling::clock(runtime_s.low),
        Filling::clock(runtime_s.likely),
        Filling::clock(runtime_s.high),
        Filling::number(likely.start_load_v, "v"),
        Filling::number(likely.end_load_v, "v"),
    ])
}

wordings! {
    CURVES: "chart_curves", "It runs at least {0}, likely {1}, at most {2}. At the likely values the loads get {3} at the start and {4} at the end.";
}
