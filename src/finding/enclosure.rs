//! Findings about a box: every limit tested again in the air that the parts themselves warm.

use super::charging::rules as charge;
use super::drive::switch_rules;
use super::gathered::Gathered;
use super::pack::USE_TEMPERATURE;
use super::wiring::{WIRE_HOT, WIRE_RUNAWAY};
use super::{Finding, Rule, Urgency};
use crate::data::chemistry::Limits;
use crate::data::switch::TransistorRow;
use crate::data::{DERIVED, Seen, Source};
use crate::error::Error;
use crate::part::cell::Chemistries;
use crate::part::fuse::hottest_ratio;
use crate::part::switch::Heat;
use crate::run::enclosure::{BoxHeat, BoxHeatAnswer};
use alloc::format;
use alloc::vec::Vec;

/// No temperature balances the heat in the box.
pub const BOX_RUNAWAY: Rule = Rule {
    code: "box_runaway",
    urgency: Urgency::Stop,
    unit: "degc",
    words: "At {measured} outside, no temperature of the air in the box balances the heat of what is in it. Give it air, or take \
            a part that heats less.",
    source: DERIVED,
};

/// The fuse carries less in the warm box than flows.
pub const BOX_FUSE: Rule = Rule {
    code: "box_fuse",
    urgency: Urgency::MendFirst,
    unit: "a",
    words: "Up to {measured} flow, and in the warm box the fuse carries {limit} of its rating for long: it will age and open.",
    source: Source { title: "data sheet of the fuse family", edition: "", place: "derating", seen: Seen::Original },
};

/// The cells leave the range of the model.
pub const BOX_BEYOND_MODEL: Rule = Rule {
    code: "box_beyond_model",
    urgency: Urgency::Know,
    unit: "degc",
    words: "The cells reach {measured} in the box, outside 0 °C to 45 °C: their heat is taken at that bound, and no runtime there \
            is promised.",
    source: DERIVED,
};

/// Every rule that stands in this table alone; the others are those of cells, switch and wiring.
pub const RULES: [Rule; 3] = [BOX_RUNAWAY, BOX_FUSE, BOX_BEYOND_MODEL];

/// Temperatures in the box and what stands against them.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BoxReview {
    /// The temperatures.
    pub heat: BoxHeatAnswer,
    /// Rules that are broken or could not be judged.
    pub findings: Vec<Finding>,
}

/// Temperatures of a box, and every limit tested there.
///
/// # Errors
///
/// Everything that is wrong with the inputs, each with its place.
pub fn review(case: &BoxHeat) -> Result<BoxReview, Vec<Error>> {
    let heat = case.answer()?;
    let findings = findings(case, &heat, &case.chemistries()?)?;
    Ok(BoxReview { heat, findings })
}

/// What stands against a box that was worked out.
///
/// # Errors
///
/// Names a chemistry that is not known.
pub fn findings(case: &BoxHeat, heat: &BoxHeatAnswer, chemistries: &Chemistries) -> Result<Vec<Finding>, Vec<Error>> {
    let mut gathered = Gathered::new("", "the box");
    if heat.hottest.air_degc.is_none() {
        gathered.broken(&BOX_RUNAWAY, "box_k_per_w", Some(heat.hottest.place_degc), None);
    }
    if heat.hottest.switch_w.is_none() && heat.hottest.air_degc.is_some() {
        gathered.not_judged(&BOX_RUNAWAY, "the heat of the switch, which is not known and not in these temperatures");
    }
    cells(case, heat, chemistries, &mut gathered)?;
    switch(case, heat, &mut gathered);
    leads(heat, &mut gathered);
    fuse(case, heat, &mut gathered);
    Ok(gathered.findings)
}

/// The strictest limits of the cells in the pack.
fn strictest(case: &BoxHeat, chemistries: &Chemistries) -> Result<Option<Limits>, Error> {
    let mut strictest: Option<Limits> = None;
    for cell in case.run.pack.groups.iter().flat_map(|group| &group.cells) {
        let own = chemistries.limits(&cell.chemistry)?;
        strictest = Some(strictest.map_or(own, |held| Limits {
            charge_low_degc: held.charge_low_degc.max(own.charge_low_degc),
            charge_high_degc: held.charge_high_degc.min(own.charge_high_degc),
            discharge_low_degc: held.discharge_low_degc.max(own.discharge_low_degc),
            discharge_high_degc: held.discharge_high_degc.min(own.discharge_high_degc),
            ..held
        }));
    }
    Ok(strictest)
}

fn cells(
    case: &BoxHeat,
    heat: &BoxHeatAnswer,
    chemistries: &Chemistries,
    gathered: &mut Gathered,
) -> Result<(), Vec<Error>> {
    let Some(limits) = strictest(case, chemistries)? else { return Ok(()) };
    let coldest_degc = heat.coldest.place_degc;
    match heat.hottest.cell_degc {
        Some(degc) => gathered.above(&USE_TEMPERATURE, "run/pack", degc, limits.discharge_high_degc),
        None => gathered.not_judged(&USE_TEMPERATURE, "a box whose air settles"),
    }
    gathered.below(&USE_TEMPERATURE, "run/pack", coldest_degc, limits.discharge_low_degc);
    for place in [&heat.hottest, &heat.coldest] {
        if let (true, Some(degc)) = (place.beyond_model, place.cell_degc) {
            gathered.broken(&BOX_BEYOND_MODEL, "run/pack", Some(degc), None);
        }
    }
    let mut made_of = case.run.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
    let lithium = made_of.any(|chemistry| chemistries.is_lithium(chemistry));
    let (cold, hot) = (if lithium { &charge::COLD } else { &charge::COLD_OTHER }, &charge::HOT);
    if let Some(degc) = heat.charging_degc {
        gathered.above(hot, "charging_w", degc.high, limits.charge_high_degc);
        gathered.below(cold, "charging_w", degc.low, limits.charge_low_degc);
    } else {
        gathered.not_judged(cold, "charging_w");
        gathered.not_judged(hot, "charging_w");
    }
    Ok(())
}

fn switch(case: &BoxHeat, heat: &BoxHeatAnswer, gathered: &mut Gathered) {
    let (Some(switch), Some(junction)) = (&case.switch, heat.hottest.switch) else { return };
    let high_degc = match switch.transistor.row() {
        TransistorRow::Mosfet(mosfet) => mosfet.junction_high_degc,
        TransistorRow::Bipolar(bipolar) => bipolar.junction_high_degc,
    };
    match junction {
        Heat::Settles(settled) => {
            let limit_degc = high_degc - switch_rules::HOT_MARGIN_K;
            gathered.above(&switch_rules::HOT, "switch", settled.junction_degc, limit_degc);
        }
        Heat::TooHot | Heat::RunsAway => {
            gathered.broken(&switch_rules::TOO_HOT, "switch", None, Some(high_degc));
        }
        Heat::NotKnown => gathered.not_judged(&switch_rules::TOO_HOT, "a transistor that is known to be fully on"),
    }
}

fn leads(heat: &BoxHeatAnswer, gathered: &mut Gathered) {
    for (i, lead) in heat.hottest.leads.iter().enumerate() {
        let field = format!("leads/{i}");
        match lead.conductor_degc {
            Some(degc) if degc > lead.insulation_degc => {
                gathered.named(&WIRE_HOT, &field, &lead.name, degc, lead.insulation_degc);
            }
            Some(_) => {}
            None => gathered.named(&WIRE_RUNAWAY, &field, &lead.name, heat.hottest.rms_a, lead.insulation_degc),
        }
    }
}

fn fuse(case: &BoxHeat, heat: &BoxHeatAnswer, gathered: &mut Gathered) {
    let Some(fuse) = case.fuse else { return };
    // Hotter than what is published it carries less than there.
    let most_a = hottest_ratio(fuse.family) * fuse.rating_a;
    match heat.hottest.fuse_a.or((heat.hottest.rms_a > most_a).then_some(most_a)) {
        Some(fuse_a) => gathered.above(&BOX_FUSE, "fuse", heat.hottest.rms_a, fuse_a),
        None => gathered.not_judged(&BOX_FUSE, "a published derating at this temperature"),
    }
}
