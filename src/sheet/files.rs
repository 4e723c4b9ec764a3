//! Every drawing of a plan as a complete SVG file.

use super::basis::Basis;
use super::charts::Charts;
use super::diagram::Diagram;
use super::svg::svg;
use super::tag::Tags;
use crate::error::Error;
use crate::plan::Plan;
use crate::quantity::tongue::Tongue;
use alloc::string::String;
use alloc::vec::Vec;

/// Complete SVG files of a plan, each 1:1 on paper.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SvgFiles {
    /// The wiring diagram for a narrow screen.
    pub diagram: String,
    /// The wiring diagram for a sheet of A4.
    pub diagram_a4: String,
    /// The tag for the pack.
    pub pack_tag: String,
    /// The tag for the charge jack.
    pub jack_tag: String,
    /// The likely run.
    pub run_chart: String,
    /// The groups.
    pub group_chart: String,
    /// The places of the knob, where there is one.
    pub settings_chart: Option<String>,
}

impl SvgFiles {
    /// The files of a plan.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the plan, each with its place.
    pub fn of(plan: &Plan) -> Result<Self, Vec<Error>> {
        Basis::new(plan).map(|basis| Self::on(&basis, &Tongue::ENGLISH))
    }

    pub(crate) fn on(basis: &Basis<'_>, tongue: &Tongue) -> Self {
        let (diagram, tags) = (Diagram::on(basis, tongue), Tags::on(basis, tongue));
        let charts = Charts::on(basis, tongue);
        Self {
            diagram: svg(&diagram.drawing),
            diagram_a4: svg(&diagram.paper),
            pack_tag: svg(&tags.pack),
            jack_tag: svg(&tags.jack),
            run_chart: svg(&charts.run.drawing),
            group_chart: svg(&charts.groups.drawing),
            settings_chart: charts.settings.map(|chart| svg(&chart.drawing)),
        }
    }
}
