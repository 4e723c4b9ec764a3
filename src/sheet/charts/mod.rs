//! Charts in print colours, each with the same numbers as a table.

mod axes;
mod curves;
mod diary;
mod groups;
mod run;
mod settings;

pub use curves::{CurveBand, CurvesQuestion, SettingCurves};

use super::basis::Basis;
use super::drawing::Drawing;
use crate::error::Error;
use crate::plan::{Plan, Report};
use crate::quantity::said::{Said, Wording};
use crate::quantity::tongue::Tongue;
use crate::run::diary::DiaryFacts;
use alloc::string::String;
use alloc::vec::Vec;

/// A column of a chart's table.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ChartColumn {
    /// The quantity, as named everywhere; with `column_` before it the code of its words.
    pub code: &'static str,
    /// The same in plain English with its unit.
    pub words: &'static str,
    /// Its values, one a row; nothing where there is none.
    pub values: Vec<Option<f64>>,
}

/// A chart with its table.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Chart {
    /// The drawing.
    pub drawing: Drawing,
    /// What it says, in plain English.
    pub words: String,
    /// The same by code.
    pub said: Option<Said>,
    /// The same numbers, column by column.
    pub table: Vec<ChartColumn>,
}

/// The charts of a plan.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Charts {
    /// Voltage, current and charge over the likely run.
    pub run: Chart,
    /// The groups as stacked cells on one axis.
    pub groups: Chart,
    /// Runtime over the places of the knob, where there is one.
    pub settings: Option<Chart>,
}

impl Charts {
    /// The charts of a plan.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the plan, each with its place.
    pub fn of(plan: &Plan) -> Result<Self, Vec<Error>> {
        Basis::new(plan).map(|basis| Self::on(&basis, &Tongue::ENGLISH))
    }

    pub(crate) fn on(basis: &Basis<'_>, tongue: &Tongue) -> Self {
        Self {
            run: run::chart(&basis.report, tongue),
            groups: groups::chart(basis.plan, &basis.report, tongue),
            settings: settings::chart(&basis.report, tongue),
        }
    }
}

/// Voltage, current and charge over the likely run.
#[must_use]
pub fn run_chart(report: &Report) -> Chart {
    run::chart(report, &Tongue::ENGLISH)
}

/// Voltages of a diary over the days; nothing without an entry.
#[must_use]
pub fn diary_drawing(name: &str, facts: &DiaryFacts, tongue: &Tongue) -> Option<Drawing> {
    diary::drawing(name, facts, tongue)
}

/// Runtime over the places of the knob; nothing where there are none.
#[must_use]
pub fn settings_chart(report: &Report) -> Option<Chart> {
    settings::chart(report, &Tongue::ENGLISH)
}

/// Every sentence of the charts.
pub(crate) fn sentences() -> [&'static [Wording]; 5] {
    [curves::WORDINGS, diary::WORDINGS, run::WORDINGS, groups::WORDINGS, settings::WORDINGS]
}
