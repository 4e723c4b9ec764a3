//! What charger a plan's pack needs, and how long its own takes.

use super::inputs::Protection;
use super::judge;
use super::report::ChargeReport;
use super::review::Facts;
use crate::error::Error;
use crate::part::charger::{CellFamily, ChargerKind};
use crate::part::wire::Run;
use crate::quantity::{End, Interval};
use crate::run::pack_charge::{ChargeStart, PackCharge};
use alloc::vec::Vec;

/// What charger the pack needs, and how long the plan's own takes.
pub(super) fn charge_report(facts: &Facts<'_>, time_s: Option<Interval>) -> Result<ChargeReport, Vec<Error>> {
    let plan = facts.plan;
    let groups = plan.pack.groups.iter();
    let least_a = |group: &crate::pack::Group| -> f64 {
        group.cells.iter().map(|cell| judge::charge_limit_a(&facts.chemistries, cell)).sum()
    };
    let current_a = groups.clone().map(least_a).fold(f64::MAX, f64::min);
    let mut voltage_v = Some(0.0);
    for group in groups {
        let limits = group.cells.iter().map(|cell| facts.chemistries.limits(&cell.chemistry));
        let mut limit_v = plan.pack.full_v;
        for limits in limits {
            limit_v = limit_v.min(limits.map_err(|error| alloc::vec![error])?.charge_v);
        }
        voltage_v = voltage_v.map(|v: f64| v + limit_v);
    }
    let charger = facts.charging.as_ref().and_then(|case| case.wish_at(case.cell_degc?).answer().ok());
    if facts.family() == Some(CellFamily::Unidentified) {
        voltage_v = None;
    }
    let current_a = voltage_v.map(|_| current_a);
    Ok(ChargeReport { charger, voltage_v, current_a, time_s })
}

/// From the floor to full with the plan's charger; none where its end cannot be told.
pub(super) async fn charge_time_s(facts: &Facts<'_>) -> Option<Interval> {
    let (plan, setup) = (facts.plan, facts.plan.charging.as_ref()?);
    facts.family()?.lithium()?;
    let charge = PackCharge {
        own_chemistries: plan.own_chemistries.clone(),
        pack: plan.pack.clone(),
        start: ChargeStart::Empty,
        charger: judge::charger(setup),
        lead_ohm: charge_lead_ohm(setup.runs.as_deref().unwrap_or_default()),
        diode_v: setup.diode_v,
        ambient_degc: setup.cell_degc?,
        cut_off_v: plan.protection.as_ref().and_then(Protection::board).and_then(|board| board.over_voltage_v),
        time_s: None,
    };
    if setup.kind != ChargerKind::CcCv {
        return None;
    }
    let [_, likely, _] = &facts.cells;
    charge.time_s(likely).await.ok()
}

fn charge_lead_ohm(runs: &[Run]) -> Interval {
    let sum = |end: End| runs.iter().map(|run| run.resistance_20_ohm(end)).sum();
    Interval { low: sum(End::Low), likely: sum(End::Likely), high: sum(End::High) }
}
