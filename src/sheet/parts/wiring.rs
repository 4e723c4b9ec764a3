//! Leads, fuse, holder and main switch.

use super::{
    CONTINUOUS, CURRENT_RATING, DC_CURRENT, DC_VOLTAGE, LENGTH, LENGTHS, PLACE, PartKind, PartNeed, PartRow, THEN,
    counted,
};
use crate::data::DERIVED;
use crate::data::fuse::{CONTINUOUS_UL, CONTINUOUS_UL_RATIO, FuseFamily};
use crate::part::wire::WireLimit;
use crate::part::wire::{Conductor, Lies, Run, SizeQuestion};
use crate::plan::{Fuse, FuseChoice, MainSwitchChoice};
use crate::quantity::Interval;
use crate::quantity::said::{Filling, Phrase, Wording, wordings};
use crate::sheet::basis::{Basis, shown};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

wordings! {
    SIZE: "drawn_size", "{0}";
    STRIP: "drawn_strip", "{0} × {1} mm strip";
    LAYERS: "drawn_layers", "{0} layers {1}";
    TIMES: "drawn_times", "{0} × {1}";
    SWITCH: "part_switch", "main switch";
    SWITCH_WHY: "part_switch_why", "Parts the pack from everything else. It opens the {0} of the loads at {1}: a switch without a \
        rating for direct current proves nothing.";
    LEAD: "part_lead", "{0} of {1}, for “{2}”";
    LEAD_WHY: "part_lead_why", "Loses up to {0} and its conductors reach {1} at {2} around it.";
    LEAD_TOO_THIN: "part_lead_too_thin", "No temperature balances its heat: too thin for this current.";
    LEAD_NO_LIMIT: "part_lead_no_limit", "No published limit is judged: the plan does not say how it lies.";
    LEAD_LIMIT: "part_lead_limit", "It may carry {0}: {1}.";
    INSULATION: "need_insulation", "insulation for";
    CHARGE_LEAD: "part_charge_lead", "two short lengths from the board to the jack, {0}";
    CHARGE_LEAD_SIZE: "part_charge_lead_size", "at least {0}";
    CHARGE_LEAD_OPEN: "part_charge_lead_open", "size not judged: no published limit reaches this current";
    CHARGE_LEAD_WHY: "part_charge_lead_why", "Stands {0} in a closed box: the larger of the fuse's rating and the charge current, \
        as a short at the jack is fed by the pack.";
    BREAKING: "need_breaking", "breaking capacity at DC";
    FUSE_WHY: "part_fuse_why", "{0} A full, warm pack gives up to {1} into a short.";
    FUSE_NONE: "part_fuse_none",
        "fuse: the plan has none; its rating lies between what the load draws and what the thinnest wire stands";
    HOLDER: "part_holder", "fuse holder in the lead, insulated";
    HOLDER_WHY: "part_holder_why",
        "Keeps the fuse so that it can be changed for the same rating, and its live end from touching anything.";
    FUSE: "part_fuse", "{0} {1}, {2}";
    BREAKS: "fuse_breaks", "breaks {0}";
    BREAKS_OPEN: "fuse_breaks_open", "breaking capacity not stated";
    BLADE: "fuse_blade", "blade fuse";
    LARGE_BLADE: "fuse_large_blade", "large blade fuse";
    TUBE_UL: "fuse_tube_ul", "tube fuse after UL";
    TUBE_IEC: "fuse_tube_iec", "tube fuse after IEC, quick";
    FUSE_KIND_OPEN: "fuse_kind_open", "fuse, its kind not stated,";
    RATING: "need_rating", "rating";
    RATING_BY_WIRE: "need_rating_by_wire", "rating, by the thinnest lead,";
}

/// Name of a kind of fuse.
const fn family_name(family: FuseFamily) -> Wording {
    match family {
        FuseFamily::Blade => BLADE,
        FuseFamily::LargeBlade => LARGE_BLADE,
        FuseFamily::TubeUl => TUBE_UL,
        FuseFamily::TubeIec => TUBE_IEC,
    }
}

pub(super) fn parts(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    for (i, run) in basis.plan.runs.iter().enumerate() {
        parts.push(lead(basis, i, run));
    }
    charge_leads(basis, parts);
    fuse(basis, parts);
    let why = SWITCH_WHY.with([Filling::up(basis.highest_a(), "a"), Filling::up(basis.full_v(), "v")]);
    let needs = [
        PartNeed::least("current_a", DC_CURRENT, basis.highest_a(), "a"),
        PartNeed::least("voltage_v", DC_VOLTAGE, basis.full_v(), "v"),
    ];
    let row = PartRow::new("S1", PartKind::MainSwitch, SWITCH, why).needing(needs);
    parts.push(match basis.plan.main_switch.as_ref().and_then(MainSwitchChoice::fitted) {
        Some(switch) => {
            let ratings = [(switch.direct_a, "a"), (switch.direct_v, "v")];
            let printed = |(value, unit): (Option<f64>, &str)| Some(format!("{} DC", shown(value?, unit)));
            PartRow { printed: ratings.into_iter().filter_map(printed).collect(), ..row }
        }
        None => row.asked(),
    });
}

/// Size of a lead in few words: "1.5 mm²", "2 × AWG 20", "8 × 0.15 mm strip".
pub(crate) fn lead_words(run: &Run) -> Phrase {
    let size = match run.conductor {
        Conductor::Awg { .. } => {
            run.conductor.gauge().map_or_else(String::new, crate::quantity::gauge::Gauge::text).into()
        }
        Conductor::Mm2 { area_mm2 } => SIZE.with([Filling::number(area_mm2, "mm2")]),
        Conductor::Strip { width_m, thickness_m, layers } => {
            let [width, thickness] = [width_m, thickness_m].map(|side_m| Filling::number(side_m * 1e3, "count"));
            let strip = STRIP.with([width, thickness]);
            if layers > 1 { LAYERS.with([Filling::count(layers as usize), strip.into()]) } else { strip }
        }
    };
    match run.parallel {
        Some(many) if many > 1 => TIMES.with([Filling::count(many as usize), size.into()]),
        _ => size,
    }
}

/// How many lengths of which conductor, and for what.
fn lead_phrase(run: &Run, ways: usize) -> Phrase {
    let lengths = counted(ways, &LENGTH, &LENGTHS).into();
    LEAD.with([lengths, run.built().phrase().into(), run.name.clone().into()])
}

/// Under which conditions a limit holds.
fn condition(limit: &WireLimit) -> Wording {
    Wording::new(limit.code, limit.condition)
}

fn lead(basis: &Basis<'_>, i: usize, run: &Run) -> PartRow {
    let ways = (run.parallel() * run.ways()) as usize;
    let lead = basis.report.runs.get(i).and_then(|wire| wire.lead.as_ref());
    let words = lead_phrase(run, ways);
    let worst = lead.and_then(|lead| lead.drop_v.zip(lead.conductor_degc));
    let heat = match worst {
        Some((drop_v, conductor_degc)) => LEAD_WHY.with([
            Filling::up(drop_v.high, "v"),
            Filling::up(conductor_degc, "degc"),
            Filling::number(basis.plan.ambient_degc.high, "degc"),
        ]),
        None => LEAD_TOO_THIN.plain(),
    };
    let limit = lead.and_then(|lead| lead.limit.as_ref());
    let may = limit.map_or_else(
        || LEAD_NO_LIMIT.plain(),
        |limit| LEAD_LIMIT.with([Filling::down(limit.current_a, "a"), condition(limit).into()]),
    );
    let why = THEN.with([heat.into(), may.into()]);
    let needs = [
        PartNeed::least("current_a", CONTINUOUS, basis.lasting_a, "a"),
        PartNeed::least("insulation_degc", INSULATION, run.insulation_degc, "degc"),
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
        let why = Phrase { words: needed.why.clone(), said: needed.why_said.clone() };
        let mark = format!("WJ{}", i + 1);
        let mut row = PartRow::new(mark, PartKind::ChargeLead, lead_phrase(run, ways), why).times(ways);
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
        || CHARGE_LEAD_OPEN.plain(),
        |conductor| CHARGE_LEAD_SIZE.with([Filling::number(conductor.area_mm2(), "mm2")]),
    );
    let why = CHARGE_LEAD_WHY.with([Filling::up(current_a, "a")]);
    let words = CHARGE_LEAD.with([size.into()]);
    let row = PartRow::new("WJ", PartKind::ChargeLead, words, why).times(2).asked();
    let row = row.needing([PartNeed::least("current_a", CONTINUOUS, current_a, "a")]);
    match found {
        Some(conductor) => row.valued(conductor.area_mm2(), "mm2"),
        None => row,
    }
}

fn fuse_needs(basis: &Basis<'_>) -> Vec<PartNeed> {
    alloc::vec![
        PartNeed::least("breaking_a", BREAKING, basis.report.pack.short_circuit_a, "a"),
        PartNeed::least("voltage_v", DC_VOLTAGE, basis.full_v(), "v"),
    ]
}

fn fuse(basis: &Basis<'_>, parts: &mut Vec<PartRow>) {
    let why = FUSE_WHY.with([PLACE.into(), Filling::up(basis.report.pack.short_circuit_a, "a")]);
    let row = basis.plan.fuse.as_ref().and_then(FuseChoice::fitted).map_or_else(
        || PartRow::new("F1", PartKind::Fuse, FUSE_NONE, why.clone()).asked(),
        |fuse| fitted(basis, fuse, why.clone()),
    );
    let holder_a = row.value.unwrap_or(basis.lasting_a);
    parts.push(row.needing(fuse_needs(basis)));
    let needs = [
        PartNeed::least("current_a", CURRENT_RATING, holder_a, "a"),
        PartNeed::least("voltage_v", DC_VOLTAGE, basis.full_v(), "v"),
    ];
    parts.push(PartRow::new("XF", PartKind::FuseHolder, HOLDER, HOLDER_WHY).needing(needs).asked());
}

fn fitted(basis: &Basis<'_>, fuse: &Fuse, why: Phrase) -> PartRow {
    let breaks = match fuse.breaking_a {
        Some(breaking_a) => BREAKS.with([Filling::number(breaking_a, "a")]),
        None => BREAKS_OPEN.plain(),
    };
    let kind = fuse.family.map_or(FUSE_KIND_OPEN, family_name);
    let words = FUSE.with([kind.into(), Filling::number(fuse.rating_a, "a"), breaks.into()]);
    let mut row = PartRow::new("F1", PartKind::Fuse, words, why).valued(fuse.rating_a, "a");
    row.printed = alloc::vec![shown(fuse.rating_a, "a")];
    let Some(answer) = &basis.report.fuse else {
        let least_a = basis.lasting_a / CONTINUOUS_UL_RATIO;
        return row.needing([PartNeed::least("rating_a", RATING, least_a, "a")]).citing(CONTINUOUS_UL);
    };
    let needs = [
        PartNeed::least("rating_a", RATING, answer.lowest_a.max(basis.lasting_a), "a"),
        PartNeed::most("rating_a", RATING_BY_WIRE, answer.highest_a, "a"),
    ];
    row.needing(needs).citing(answer.continuous_source)
}
