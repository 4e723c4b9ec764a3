//! Leads, fuse, holder and main switch.

use super::{PartKind, PartNeed, PartRow, counted};
use crate::data::DERIVED;
use crate::data::fuse::{CONTINUOUS_UL, CONTINUOUS_UL_RATIO};
use crate::part::fuse::PLACE_WORDS;
use crate::part::wire::{Conductor, Lies, Run, SizeQuestion};
use crate::plan::{Fuse, FuseChoice, MainSwitchChoice};
use crate::quantity::Interval;
use crate::sheet::basis::{Basis, shown, shown_down, shown_up};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

pub(super) fn parts(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    for (i, run) in basis.plan.runs.iter().enumerate() {
        parts.push(lead(basis, i, run));
    }
    charge_leads(basis, parts);
    fuse(basis, parts);
    let why = format!(
        "Parts the pack from everything else. It opens the {} of the loads at {}: a switch without a rating for direct \
         current proves nothing.",
        shown_up(basis.highest_a(), "a"),
        shown_up(basis.full_v(), "v")
    );
    let needs = [
        PartNeed::least("current_a", "DC current rating", basis.highest_a(), "a"),
        PartNeed::least("voltage_v", "DC voltage rating", basis.full_v(), "v"),
    ];
    let fitted = basis.plan.main_switch.as_ref().and_then(MainSwitchChoice::fitted);
    let rated =
        |value: Option<f64>, unit: &str| value.map(|value| format!(", {} DC", shown(value, unit))).unwrap_or_default();
    let words = match fitted {
        Some(switch) => format!("main switch{}{}", rated(switch.direct_a, "a"), rated(switch.direct_v, "v")),
        None => "main switch".into(),
    };
    let row = PartRow::new("S1", PartKind::MainSwitch, words, why).needing(needs);
    parts.push(if fitted.is_some() { row } else { row.asked() });
}

/// Size of a lead in few words: "1.5 mm²", "2 × AWG 20", "8 × 0.15 mm strip".
#[must_use]
pub fn lead_words(run: &Run) -> String {
    let size = match run.conductor {
        Conductor::Awg { .. } => run.conductor.gauge().map_or_else(String::new, crate::quantity::gauge::Gauge::text),
        Conductor::Mm2 { area_mm2 } => shown(area_mm2, "mm2"),
        Conductor::Strip { width_m, thickness_m, layers } => {
            let layers = if layers > 1 { format!("{layers} layers ") } else { String::new() };
            format!("{layers}{:.1} × {:.2} mm strip", width_m * 1e3, thickness_m * 1e3)
        }
    };
    match run.parallel {
        Some(many) if many > 1 => format!("{many} × {size}"),
        _ => size,
    }
}

fn lead(basis: &Basis<'_>, i: usize, run: &Run) -> PartRow {
    let ways = (run.parallel() * run.ways()) as usize;
    let lead = basis.report.runs.get(i).and_then(|wire| wire.lead.as_ref());
    let built = run.built().words();
    let words = format!("{} of {built}, for “{}”", counted(ways, "length", "lengths"), run.name);
    let worst = lead.and_then(|lead| lead.drop_v.zip(lead.conductor_degc));
    let mut why = match worst {
        Some((drop_v, conductor_degc)) => format!(
            "Loses up to {} and its conductors reach {} at {} around it.",
            shown_up(drop_v.high, "v"),
            shown_up(conductor_degc, "degc"),
            shown(basis.plan.ambient_degc.high, "degc")
        ),
        None => "No temperature balances its heat: too thin for this current.".into(),
    };
    let limit = lead.and_then(|lead| lead.limit.as_ref());
    why.push_str(&limit.map_or_else(
        || String::from(" No published limit is judged: the plan does not say how it lies."),
        |limit| format!(" It may carry {}: {}.", shown_down(limit.current_a, "a"), limit.condition),
    ));
    let needs = [
        PartNeed::least("current_a", "continuous current", basis.lasting_a, "a"),
        PartNeed::least("insulation_degc", "insulation for", run.insulation_degc, "degc"),
    ];
    let mut row = PartRow::new(format!("W{}", i + 1), PartKind::Lead, words, why).times(ways);
    row.length_m = Some(run.length_m);
    let source = limit.map_or(DERIVED, |limit| limit.source);
    row.valued(run.conductor.area_mm2(), "mm2").needing(needs).citing(source)
}

/// The leads to the jack: on the fuse's side of the pack, so they must stand what the fuse lets through.
fn charge_leads(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let needed = charge_lead(basis);
    let planned = basis.plan.charging.as_ref().and_then(|charging| charging.runs.as_deref()).unwrap_or_default();
    if planned.is_empty() {
        return parts.push(needed);
    }
    for (i, run) in planned.iter().enumerate() {
        let ways = (run.parallel() * run.ways()) as usize;
        let words = format!("{} of {}, for “{}”", counted(ways, "length", "lengths"), run.built().words(), run.name);
        let mut row = PartRow::new(format!("WJ{}", i + 1), PartKind::ChargeLead, words, needed.why.clone()).times(ways);
        row.length_m = Some(run.length_m);
        parts.push(row.valued(run.conductor.area_mm2(), "mm2").needing(needed.needs.clone()));
    }
}

fn charge_lead(basis: &Basis<'_>) -> PartRow {
    let fuse_a = basis.plan.fuse.as_ref().and_then(FuseChoice::fitted).map_or(0.0, |fuse| fuse.rating_a);
    let charge_a = basis.report.charge.current_a.unwrap_or(0.0);
    let given_a = basis.plan.charging.as_ref().map_or(0.0, |charging| charging.supply_a);
    let current_a = fuse_a.max(charge_a).max(given_a).max(1e-3);
    let run = Run {
        lies: Some(Lies::Box),
        ..Run::new(String::new(), 0.3, Conductor::Mm2 { area_mm2: 1.0 }, Interval::exact(0.0), 70.0)
    };
    let supply_v = basis.full_v();
    let question = SizeQuestion {
        run,
        rms_a: current_a,
        on_a: None,
        ambient_degc: basis.plan.ambient_degc.high,
        supply_v,
        drop_ratio: 0.03,
    };
    let found = question.answer().ok().and_then(|answer| answer.conductor);
    let size = found.map_or_else(
        || String::from("size not judged: no published limit reaches this current"),
        |conductor| format!("at least {}", shown(conductor.area_mm2(), "mm2")),
    );
    let why = format!(
        "Stands {} in a closed box: the larger of the fuse's rating and the charge current, as a short at the jack is fed by \
         the pack.",
        shown_up(current_a, "a")
    );
    let words = format!("two short lengths from the board to the jack, {size}");
    let row = PartRow::new("WJ", PartKind::ChargeLead, words, why).times(2).asked();
    let row = row.needing([PartNeed::least("current_a", "continuous current", current_a, "a")]);
    match found {
        Some(conductor) => row.valued(conductor.area_mm2(), "mm2"),
        None => row,
    }
}

fn fuse_needs(basis: &Basis<'_>) -> Vec<PartNeed> {
    alloc::vec![
        PartNeed::least("breaking_a", "breaking capacity at DC", basis.report.pack.short_circuit_a, "a"),
        PartNeed::least("voltage_v", "DC voltage rating", basis.full_v(), "v"),
    ]
}

fn fuse(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let why = format!(
        "{PLACE_WORDS} A full, warm pack gives up to {} into a short.",
        shown_up(basis.report.pack.short_circuit_a, "a")
    );
    let words =
        "fuse: the plan has none; its rating lies between what the load draws and what the thinnest wire stands";
    let row = basis.plan.fuse.as_ref().and_then(FuseChoice::fitted).map_or_else(
        || PartRow::new("F1", PartKind::Fuse, words, why.clone()).asked(),
        |fuse| fitted(basis, fuse, why.clone()),
    );
    let holder_a = row.value.unwrap_or(basis.lasting_a);
    parts.push(row.needing(fuse_needs(basis)));
    let needs = [
        PartNeed::least("current_a", "current rating", holder_a, "a"),
        PartNeed::least("voltage_v", "DC voltage rating", basis.full_v(), "v"),
    ];
    let why = "Keeps the fuse so that it can be changed for the same rating, and its live end from touching anything.";
    parts.push(
        PartRow::new("XF", PartKind::FuseHolder, "fuse holder in the lead, insulated", why).needing(needs).asked(),
    );
}

fn fitted(basis: &Basis<'_>, fuse: &Fuse, why: String) -> PartRow {
    let breaks = match fuse.breaking_a {
        Some(breaking_a) => format!(", breaks {}", shown(breaking_a, "a")),
        None => ", breaking capacity not stated".into(),
    };
    let kind = fuse.family.map_or("fuse, its kind not stated,", |family| family.row().name);
    let words = format!("{kind} {}{breaks}", shown(fuse.rating_a, "a"));
    let mut row = PartRow::new("F1", PartKind::Fuse, words, why).valued(fuse.rating_a, "a");
    row.printed = alloc::vec![shown(fuse.rating_a, "a")];
    let Some(answer) = &basis.report.fuse else {
        let least_a = basis.lasting_a / CONTINUOUS_UL_RATIO;
        return row.needing([PartNeed::least("rating_a", "rating", least_a, "a")]).citing(CONTINUOUS_UL);
    };
    let needs = [
        PartNeed::least("rating_a", "rating", answer.lowest_a.max(basis.lasting_a), "a"),
        PartNeed::most("rating_a", "rating, by the thinnest lead,", answer.highest_a, "a"),
    ];
    row.needing(needs).citing(answer.continuous_source)
}
