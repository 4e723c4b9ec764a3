//! Everything a plan says.

use crate::finding::{Finding, Judgement, Urgency};
use crate::part::cell::Chemistry;
use crate::part::charger::ChargerAnswer;
use crate::part::decoupling::SupplyCapacitorAnswer;
use crate::part::fuse::FuseAnswer;
use crate::part::protection::ProtectionAnswer;
use crate::part::switch::{Switch, SwitchAnswer};
use crate::part::timing::Outcome;
use crate::part::transport::TransportAnswer;
use crate::part::wire::LeadAnswer;
use crate::quantity::Interval;
use crate::quantity::said::{Wording, wordings};
use crate::run::knob::KnobAnswer;
use crate::run::pack_run::PackRunAnswer;
use crate::run::spread::SpreadOutline;
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
    /// How long it runs, with the knob at the plan's position. The low and the high end of `runtime_s` hold ageing and
    /// the model's own error as well, except where the driven load is not known at its corners.
    pub runtime: PackRunAnswer,
    /// The same as chances: nine builds in ten, and which measurement would narrow it most; none where the driven load
    /// follows no law that they know.
    pub chances: Option<SpreadOutline>,
    /// What each knob position does.
    pub settings: Option<KnobAnswer>,
    /// The timer at the full, the half-empty and the empty pack, at the plan's knob position.
    pub timer: Option<TimerReport>,
    /// That switch with what it meets at the largest duty, current and frequency of all positions: the input of
    /// `switch_review`, and of `box_heat` where it sits in the box.
    pub switch_case: Option<Switch>,
    /// The switch at the largest duty, current and frequency of all positions.
    pub switch: Option<SwitchAnswer>,
    /// The capacitor across the switch's supply.
    pub capacitor: Option<SupplyCapacitorAnswer>,
    /// The largest currents with the knob anywhere.
    pub largest: LargestCurrents,
    /// Each lead.
    pub runs: Vec<WireReport>,
    /// Resistance of leads, fuse, switch and board between pack and loads, in ohms: the leads cold at the low end, at
    /// their working temperature at the others. The pack's own links come on top.
    pub lead_ohm: Interval,
    /// Which fuse lies between the load and the thinnest lead.
    pub fuse: Option<FuseAnswer>,
    /// What the protection board must do, and what it does.
    pub protection: Option<ProtectionAnswer>,
    /// Charging.
    pub charge: ChargeReport,
    /// Energy, and what it means for carrying the pack.
    pub transport: TransportAnswer,
    /// What the unidentified cells may be, as far as their voltages tell; empty where there are none.
    pub candidates: Vec<Chemistry>,
}

/// The largest currents of any corner, with the knob at the plan's position and at both of its ends.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LargestCurrents {
    /// In the on-time, in amperes.
    pub peak_a: f64,
    /// Root of the mean square over one period, in amperes.
    pub peak_rms_a: f64,
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
    /// The same at the far end of each lead, in amperes.
    pub fault_low_a: Vec<f64>,
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
    /// What it does at the largest current of any setting, and what it may carry; none where that current is beyond
    /// every wire.
    pub lead: Option<LeadAnswer>,
    /// Share of the voltage at the loads that is lost on it, at the end that makes it worse.
    pub drop_ratio: Option<f64>,
    /// Smallest nominal cross-section that keeps the wanted drop, in square millimetres.
    pub smallest_mm2: Option<f64>,
    /// What it loses with the knob at each position, at the likely values.
    pub drops: Vec<WireDrop>,
}

/// What a lead loses at one knob position.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct WireDrop {
    /// Place of the knob, 0 to 1.
    pub wiper_ratio: f64,
    /// Voltage lost in the on-time, in volts.
    pub drop_v: f64,
    /// The same as a share of the voltage at the load in the on-time.
    pub drop_ratio: f64,
}

/// Charging.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ChargeReport {
    /// The charger it needs, or why it must not be charged; none where the chemistries are mixed.
    pub charger: Option<ChargerAnswer>,
    /// Highest charge voltage of the pack, in volts; none where nobody knows what the cells are.
    pub voltage_v: Option<f64>,
    /// Highest charge current, in amperes: what the weakest group's cells take; none where nobody knows what they are.
    pub current_a: Option<f64>,
    /// Time from empty to full with the plan's charger, in seconds, where that can be told.
    pub time_s: Option<Interval>,
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
        self.wording().words
    }

    /// The verdict as a sentence by code.
    pub(crate) const fn wording(self) -> Wording {
        match self {
            Self::Stop => STOP,
            Self::NotJudged => NOT_JUDGED,
            Self::Ready => READY,
        }
    }
}

wordings! {
    STOP: "verdict_stop", "Stop: do not build or power it like this.";
    NOT_JUDGED: "verdict_not_judged", "Not ready: some stop rules could not be judged.";
    READY: "verdict_ready", "Ready: no stop rule is broken by what you entered. That does not mean safe.";
}
