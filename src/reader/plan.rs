//! A whole plan in short, to be read and not to be changed.
//!
//! Verdict and findings are worked out here from the plan itself; a verdict that came with it counts for nothing.

use super::{ReaderAnswer, ReaderLine};
use crate::error::Error;
use crate::plan::Plan;
use crate::plan::report::{Report, WireReport};
use crate::quantity::Unit;
use crate::sheet::whole::whole;
use alloc::format;
use alloc::vec;
use alloc::vec::Vec;

/// What a plan comes to.
///
/// # Errors
///
/// Everything that is wrong with the plan, each with its place.
///
/// # Examples
///
/// ```
/// # use cellwright::ask::{decode, read};
/// # use cellwright::{plan::{Plan, report::Verdict}, reader::plan::in_short};
/// let pump: Plan = decode(&read(include_str!("../../tests/plans/watering-pump.json"))?)?;
/// let answer = in_short(&pump)?;
/// assert_eq!((answer.verdict, answer.lines[0].key), (Some(Verdict::Ready), "name"));
/// # Ok::<(), Vec<cellwright::Error>>(())
/// ```
pub fn in_short(plan: &Plan) -> Result<ReaderAnswer, Vec<Error>> {
    let report = whole(plan)?;
    let lines = lines(&report);
    Ok(ReaderAnswer::new(lines, Vec::new()).judged(report.findings))
}

fn lines(report: &Report) -> Vec<ReaderLine> {
    let Report { pack, runtime, charge, .. } = report;
    let mut lines = vec![
        ReaderLine::new("name", report.name.chars().take(80).collect(), None),
        ReaderLine::new("pack", format!("{}S{}P", pack.series, pack.parallel), None),
        ReaderLine::at_least("at_least", runtime.runtime_s.low),
        ReaderLine::at_least("likely", runtime.runtime_s.likely),
        ReaderLine::at_most("at_most", runtime.runtime_s.high),
        ReaderLine::number("full_v", pack.full_v, Unit::Volt),
        ReaderLine::number("floor_v", pack.floor_v, Unit::Volt),
        ReaderLine::span("capacity_ah", pack.capacity_ah, Unit::AmpereHour),
        ReaderLine::span("energy_wh", pack.energy_wh, Unit::WattHour),
        ReaderLine::number("short_circuit_a", pack.short_circuit_a, Unit::Ampere),
    ];
    lines.extend(
        report
            .fuse
            .as_ref()
            .and_then(|fuse| fuse.rating_a)
            .map(|rating_a| ReaderLine::number("fuse_a", rating_a, Unit::Ampere)),
    );
    lines.extend(report.runs.iter().filter_map(lead));
    lines.extend(charge.voltage_v.map(|voltage_v| ReaderLine::number("charge_v", voltage_v, Unit::Volt)));
    lines.extend(charge.current_a.map(|current_a| ReaderLine::number("charge_a", current_a, Unit::Ampere)));
    lines
}

fn lead(run: &WireReport) -> Option<ReaderLine> {
    let drop_v = run.lead.as_ref()?.drop_v?;
    Some(
        ReaderLine::number("lead_drop_v", drop_v.high, Unit::Volt).of(run
            .name
            .chars()
            .take(80)
            .collect::<alloc::string::String>()),
    )
}
