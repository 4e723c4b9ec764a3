//! What every sheet rests on: the plan, its report, and the worst currents and limits of both.

use crate::data::charger::{LFP_UPPER_V, LI_ION_UPPER_V};
use crate::error::Error;
use crate::finding::charging::ChargeTerminals;
use crate::finding::{Finding, Judgement, Urgency};
use crate::part::cell::{Cell, Chemistries, Chemistry};
use crate::part::charger::{ChargerAnswer, ChargerKind};
use crate::plan::report::{LargestCurrents, Verdict};
use crate::plan::{ChargingSetup, Plan, Report};
pub(crate) use crate::quantity::said::shown;
use crate::quantity::said::{Filling, Phrase, Wording, wordings};
use crate::sheet::whole::whole;
use alloc::format;
use alloc::vec::Vec;

// Why a pack may not be charged by the plan's charger, and what its cells are.
wordings! {
    NO_CHARGER_NAMED: "no_charger_named", "the plan names no charger";
    FOUND_TOO_LOW: "charger_cell_too_low", "a cell was found too low: recycle it";
    NO_CHARGE_VOLTAGE: "charger_no_voltage_known", "no charge voltage is known for these cells";
    CHARGER_UNKNOWN: "charger_behaviour_unknown", "nobody knows how this charger behaves";
    PLAIN_SUPPLY: "charger_plain_supply", "a plain supply is not a charger for these cells";
    CHARGER_VOLTAGE: "charger_voltage_too_high", "the charger's voltage is too high for these cells";
    CHARGER_CURRENT: "charger_current_too_high", "the charger's current is too high for these cells";
    UNWATCHED: "charger_unwatched", "no board watches the groups";
    NOT_THROUGH_BOARD: "charger_not_through_board", "the plan does not charge through the board";
    DIARY_STOPS: "charger_diary_stops", "a stop rule about what the diary tells is broken or could not be judged";
    CHARGE_STOP: "charger_stop_rule", "a stop rule about charging is broken";
    UNEVEN: "shape_uneven", "{0}S, {1}P to {2}P";
    AND: "and", "{0} and {1}";
    NVPF: "cells_nvpf", "sodium-ion NVPF";
    LEAD_ACID: "cells_lead_acid", "lead-acid VRLA";
    UNIDENTIFIED: "cells_unidentified", "UNIDENTIFIED cells";
    CHARGE_OPEN: "charger_rule_open", "a stop rule about charging could not be judged";
}

/// Plan and report with what is worst of them.
#[derive(Clone, Debug)]
pub(crate) struct Basis<'a> {
    pub(crate) plan: &'a Plan,
    pub(crate) report: Report,
    /// Highest current in the on-time of any corner, in amperes.
    pub(crate) peak_a: f64,
    /// Current that flows without end at any place of the knob, in amperes: with a knob, the one of the on-time.
    pub(crate) lasting_a: f64,
    /// Sum of the currents at switching on, in amperes; none where a load does not state its own.
    pub(crate) surge_a: Option<f64>,
    /// Lowest of the cells' highest charge voltages, in volts.
    pub(crate) charge_v: f64,
    /// Lowest of the voltages that no cell may ever pass, in volts.
    pub(crate) upper_v: f64,
    /// Highest of the cells' lowest voltages, in volts.
    pub(crate) floor_v: f64,
    /// Temperatures between which every cell may be charged, in degrees Celsius.
    pub(crate) charge_degc: [f64; 2],
    /// Whether a cell is of a lithium chemistry.
    pub(crate) lithium: bool,
}

impl<'a> Basis<'a> {
    /// Works the plan out.
    pub(crate) fn new(plan: &'a Plan) -> Result<Self, Vec<Error>> {
        Self::on(plan, whole(plan)?)
    }

    /// On a plan that is worked out.
    pub(crate) fn on(plan: &'a Plan, report: Report) -> Result<Self, Vec<Error>> {
        let kinds = kinds(plan, &report);
        let chemistries = Chemistries::new(&plan.own_chemistries, kinds.iter())?;
        // The knob may stand anywhere.
        let LargestCurrents { peak_a, peak_rms_a } = report.largest;
        let needed_a = report.protection.as_ref().map_or(0.0, |answer| answer.need.continuous_a);
        let lasting_a = needed_a.max(if plan.control.is_some() { peak_a } else { peak_rms_a });
        let driven_a = report.settings.as_ref().and_then(|settings| settings.surge_a);
        let surge_a: Option<f64> = plan.loads.iter().map(|load| load.surge_a).sum();
        let mut basis = Self {
            plan,
            peak_a,
            lasting_a,
            surge_a: surge_a.map(|surge_a| surge_a.max(driven_a.unwrap_or(0.0))),
            charge_v: f64::MAX,
            upper_v: f64::MAX,
            floor_v: 0.0,
            charge_degc: [0.0, f64::MAX],
            lithium: kinds.iter().any(|kind| chemistries.is_lithium(kind)),
            report,
        };
        for kind in &kinds {
            let limits = chemistries.limits(kind).map_err(|error| alloc::vec![error])?;
            basis.charge_v = basis.charge_v.min(limits.charge_v);
            basis.upper_v = basis.upper_v.min(upper_v(kind, limits.charge_v));
            basis.floor_v = basis.floor_v.max(limits.floor_v);
            let [low, high] = basis.charge_degc;
            basis.charge_degc = [low.max(limits.charge_low_degc), high.min(limits.charge_high_degc)];
        }
        Ok(basis)
    }

    /// Highest current at switching on or after, in amperes, as far as it is known.
    pub(crate) fn highest_a(&self) -> f64 {
        self.surge_a.unwrap_or(0.0).max(self.peak_a)
    }

    /// The full pack, in volts.
    pub(crate) fn full_v(&self) -> f64 {
        self.report.pack.full_v
    }

    /// Groups by cells, such as "3S2P"; "3S, 1P to 2P" where the groups differ.
    pub(crate) fn shape(&self) -> Phrase {
        let counts = || self.plan.pack.groups.iter().map(|group| group.cells.len());
        let (least, most) = (counts().min().unwrap_or(0), counts().max().unwrap_or(0));
        let series = self.plan.pack.groups.len();
        if least == most {
            format!("{series}S{most}P").into()
        } else {
            UNEVEN.with([series, least, most].map(Filling::count))
        }
    }

    /// The chemistry in words; several where the cells differ.
    pub(crate) fn chemistry(&self) -> Phrase {
        let mut names: Vec<Phrase> = Vec::new();
        for cell in cells(self.plan) {
            let name = chemistry_name(&cell.chemistry);
            if !names.contains(&name) {
                names.push(name);
            }
        }
        Phrase::joined(names, &AND).unwrap_or_else(|| "".into())
    }

    /// Whether a stop rule is broken or could not be judged.
    pub(crate) fn ready(&self) -> bool {
        self.report.verdict == Verdict::Ready
    }

    /// Number of stop rules that are broken or could not be judged.
    pub(crate) fn stops(&self) -> usize {
        self.report.findings.iter().filter(|finding| finding.urgency == Urgency::Stop).count()
    }

    /// Whether a board watches every group.
    pub(crate) fn has_board(&self) -> bool {
        self.plan.protection.as_ref().is_some_and(|protection| protection.board().is_some())
    }

    /// Whether groups in series of a lithium chemistry are watched by nothing.
    pub(crate) fn unwatched(&self) -> bool {
        self.lithium && self.plan.pack.groups.len() > 1 && !self.has_board()
    }

    /// The charger of the plan, where it is one that this pack may be charged with; otherwise why not.
    pub(crate) fn charger(&self) -> Result<&'a ChargingSetup, Wording> {
        let Some(charging) = &self.plan.charging else { return Err(NO_CHARGER_NAMED) };
        let charge = &self.report.charge;
        if matches!(charge.charger, Some(ChargerAnswer::Recycle { .. })) {
            return Err(FOUND_TOO_LOW);
        }
        let Some(limit_v) = charge.voltage_v else { return Err(NO_CHARGE_VOLTAGE) };
        match charging.kind {
            ChargerKind::CcCv => {}
            ChargerKind::CurrentOnly | ChargerKind::DropDetecting if !self.lithium => {}
            ChargerKind::Unknown => return Err(CHARGER_UNKNOWN),
            _ => return Err(PLAIN_SUPPLY),
        }
        // The same half hundredth of a volt as the plan's own rule.
        if charging.supply_v > limit_v + 0.005 {
            return Err(CHARGER_VOLTAGE);
        }
        if charge.current_a.is_none_or(|limit_a| charging.supply_a > limit_a) {
            return Err(CHARGER_CURRENT);
        }
        if self.unwatched() {
            return Err(UNWATCHED);
        }
        let watched = matches!(charging.terminals, Some(ChargeTerminals::Board | ChargeTerminals::EachGroup));
        if self.lithium && self.plan.pack.groups.len() > 1 && !watched {
            return Err(NOT_THROUGH_BOARD);
        }
        let in_diary = |finding: &Finding| finding.subject.starts_with("/diary") && finding.urgency == Urgency::Stop;
        if self.report.findings.iter().any(in_diary) {
            return Err(DIARY_STOPS);
        }
        let about = |finding: &&Finding| finding.subject.starts_with("/charging") && finding.urgency == Urgency::Stop;
        match self.report.findings.iter().find(about).map(|finding| finding.judgement) {
            Some(Judgement::Broken) => Err(CHARGE_STOP),
            Some(Judgement::NotJudged) => Err(CHARGE_OPEN),
            None => Ok(charging),
        }
    }
}

/// Every cell of a plan.
pub(crate) fn cells(plan: &Plan) -> impl Iterator<Item = &Cell> {
    plan.pack.groups.iter().flat_map(|group| &group.cells)
}

/// Every kind of cell in the pack; where cells are unidentified, every kind that they may be.
fn kinds(plan: &Plan, report: &Report) -> Vec<Chemistry> {
    let named = cells(plan).map(|cell| &cell.chemistry).filter(|kind| **kind != Chemistry::Unidentified);
    let mut kinds: Vec<Chemistry> = Vec::new();
    for kind in named.chain(&report.candidates) {
        if !kinds.contains(kind) {
            kinds.push(kind.clone());
        }
    }
    kinds
}

/// Voltage that a cell may never pass. Where no such voltage is published, 50 mV above its charge voltage: common
/// practice, no source.
fn upper_v(chemistry: &Chemistry, charge_v: f64) -> f64 {
    match chemistry {
        Chemistry::Lfp => LFP_UPPER_V,
        Chemistry::Lco | Chemistry::Nmc | Chemistry::Nca => LI_ION_UPPER_V,
        _ => charge_v + 0.05,
    }
}

fn chemistry_name(chemistry: &Chemistry) -> Phrase {
    match chemistry {
        Chemistry::Lco => "Li-ion LCO".into(),
        Chemistry::Nmc => "Li-ion NMC".into(),
        Chemistry::Nca => "Li-ion NCA".into(),
        Chemistry::Lfp => "LiFePO4".into(),
        Chemistry::Nvpf => NVPF.plain(),
        Chemistry::Nimh => "NiMH".into(),
        Chemistry::LeadAcid => LEAD_ACID.plain(),
        Chemistry::Unidentified => UNIDENTIFIED.plain(),
        Chemistry::Own(name) => name.as_str().into(),
    }
}
