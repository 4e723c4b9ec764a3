//! Everything a plan says.

use crate::finding::{Finding, Judgement, Urgency};
use crate::part::cell::Chemistry;
use crate::part::timing::Outcome;
use crate::part::wire::RunAnswer;
use crate::quantity::Interval;
use crate::run::discharge::{Discharge, EndedBy};
use alloc::string::String;
use alloc::vec::Vec;

/// Whether the plan may go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Verdict {
    /// A stop rule is broken.
    Stop,
    /// No stop rule is broken, but some could not be judged.
    NotJudged,
    /// No stop rule is broken by what was entered. It does not mean safe.
    Ready,
}

/// Everything a plan says.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Report {
    /// Version of this crate.
    pub crate_version: &'static str,
    /// Date of the newest fact in its tables.
    pub data_version: &'static str,
    /// The maker's name for the build.
    pub name: String,
    /// Whether the plan may go on.
    pub verdict: Verdict,
    /// The verdict in plain English words.
    pub verdict_words: &'static str,
    /// Rules that are broken or could not be judged, the most urgent first.
    pub findings: Vec<Finding>,
    /// The pack.
    pub pack: PackReport,
    /// How long it runs.
    pub runtime: RuntimeReport,
    /// What each knob position does.
    pub positions: Vec<PositionReport>,
    /// The timer at the full, the half-empty and the empty pack, at the plan's knob position.
    pub timer: Option<TimerReport>,
    /// Each lead.
    pub runs: Vec<WireReport>,
    /// What a charger may give; nothing where a cell is unidentified.
    pub charge: Option<ChargeReport>,
    /// What the unidentified cells may be, as far as their voltages tell; empty where there are none.
    pub candidates: Vec<Chemistry>,
}

/// The pack as a whole.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PackReport {
    /// Groups in series.
    pub series: usize,
    /// Cells in the largest group.
    pub parallel: usize,
    /// Voltage when full and at rest, in volts.
    pub full_v: f64,
    /// Nominal voltage, in volts.
    pub nominal_v: f64,
    /// Voltage with every group at its floor, in volts.
    pub floor_v: f64,
    /// Charge of the weakest group between full and floor at rest, in ampere-hours.
    pub capacity_ah: Interval,
    /// Nominal energy: charge of the weakest group times nominal voltage, in watt-hours.
    pub energy_wh: Interval,
    /// Resistance of cells and links after ten seconds at half charge, in ohms.
    pub resistance_ohm: Interval,
    /// Largest current of a dead short at the pack's ends, in amperes: full, warm, lowest credible resistance.
    pub short_circuit_a: f64,
    /// Current of a short at the far end of the leads that a tired pack still gives, in amperes.
    pub weakest_fault_a: f64,
    /// Each group.
    pub groups: Vec<GroupReport>,
}

/// One group.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct GroupReport {
    /// Charge between full and floor at rest, in ampere-hours.
    pub capacity_ah: Interval,
    /// Charge of each cell, in ampere-hours.
    pub cell_capacity_ah: Vec<f64>,
    /// Resistance after ten seconds at half charge, in ohms.
    pub resistance_ohm: Interval,
    /// Highest current at the moment its cells are tied, in amperes, where their rest voltages are known.
    pub join_a: Option<f64>,
}

/// How long it runs.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct RuntimeReport {
    /// Time until the run ends, in seconds: in the worst corner, likely, in the best corner.
    pub runtime_s: Interval,
    /// Worst corner: low capacity, high resistance, heavy load, cold.
    pub least: Discharge,
    /// Likely values.
    pub likely: Discharge,
    /// Best corner.
    pub most: Discharge,
}

/// One knob position.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PositionReport {
    /// Place of the knob, 0 to 1.
    pub wiper_ratio: f64,
    /// Duty at the empty, half-empty and full pack in rising order; none where the timer does not run.
    pub duty: Option<Interval>,
    /// Frequency over the same, in hertz.
    pub frequency_hz: Option<Interval>,
    /// Time until the run ends, in seconds.
    pub runtime_s: Option<Interval>,
    /// Likely mean current, in amperes.
    pub mean_a: Option<f64>,
    /// Likely mean voltage over a load of the chopped kind: duty times the voltage in the on-time, in volts.
    pub mean_load_v: Option<f64>,
    /// What ended the likely run.
    pub ended_by: Option<EndedBy>,
}

/// The timer over the pack's voltage.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct TimerReport {
    /// At the full pack.
    pub full: Outcome,
    /// At the half-empty pack.
    pub half: Outcome,
    /// At the empty pack.
    pub empty: Outcome,
}

/// One lead.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct WireReport {
    /// The maker's name for it.
    pub name: String,
    /// What it does at the end that makes it worse; none where no temperature balances its heat.
    pub worst: Option<RunAnswer>,
    /// Share of the voltage at the loads that is lost on it, at that end.
    pub drop_ratio: Option<f64>,
    /// Smallest nominal cross-section that keeps the wanted drop, in square millimetres.
    pub smallest_mm2: Option<f64>,
}

/// ChargingSetup.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ChargeReport {
    /// Highest charge voltage of the pack, in volts.
    pub voltage_v: f64,
    /// Highest charge current, in amperes: what the weakest group's cells take.
    pub current_a: f64,
}

impl Verdict {
    /// The verdict on a list of findings.
    #[must_use]
    pub fn on(findings: &[Finding]) -> Self {
        let stops = |judgement| {
            findings.iter().any(|finding| finding.urgency == Urgency::Stop && finding.judgement == judgement)
        };
        if stops(Judgement::Broken) {
            Self::Stop
        } else if stops(Judgement::NotJudged) {
            Self::NotJudged
        } else {
            Self::Ready
        }
    }

    /// The verdict in plain English words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Stop => "Stop: do not build or power it like this.",
            Self::NotJudged => "Not ready: some stop rules could not be judged.",
            Self::Ready => "Ready: no stop rule is broken by what you entered. That does not mean safe.",
        }
    }
}
