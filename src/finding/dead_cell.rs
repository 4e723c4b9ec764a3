//! Findings about one dead cell in a parallel group and the links that should take it off.

use super::gathered::Gathered;
use super::{Finding, Rule, Urgency, charging, rule};
use crate::data::transport::DISPOSAL;
use crate::data::{COMMON_PRACTICE, DERIVED};
use crate::error::Error;
use crate::part::cell::Chemistries;
use crate::quantity::order::sort_by_key;
use crate::run::dead_cell::{DeadCell, DeadCellAnswer, DeadFault, LinkAnswer};
use alloc::vec::Vec;

use Urgency::{Know, MendFirst, Stop};

/// What a dead cell in a group is.
pub const NOTHING_SEES: Rule = rule(
    "dead_nothing_sees",
    Know,
    "a",
    DERIVED,
    "{name}: up to {measured} flows inside the group into a dead cell. The fuse and the board sit in the way to the load \
     and do not see it.",
);

/// It gets hot.
pub const HEAT: Rule = rule(
    "dead_heat",
    Know,
    "w",
    DISPOSAL,
    "{name}: a dead cell makes up to {measured} of heat and may catch fire and light the others. A pack that gets warm with \
     nothing connected goes outdoors, onto something that does not burn, away from everything; call the fire service if it \
     hisses, smokes or bulges.",
);

/// The neighbours give more than they may.
pub const NEIGHBOURS: Rule = rule(
    "dead_neighbours_overloaded",
    MendFirst,
    "a",
    COMMON_PRACTICE,
    "{name}: each neighbour gives up to {measured} into the dead cell, its limit is {limit}. Give every cell a link that \
     melts, or build with fewer cells side by side.",
);

/// The low cell is charged faster than it may be.
pub const CHARGED_FAST: Rule = rule(
    "dead_charged_fast",
    Stop,
    "a",
    COMMON_PRACTICE,
    "{name}: the low cell is charged with up to {measured}, at most {limit} is allowed. Do not tie it to the others like \
     this.",
);

/// The low cell is given up.
pub const GIVEN_UP: Rule = rule(
    "dead_given_up",
    Stop,
    "v",
    COMMON_PRACTICE,
    "{name}: the low cell rests at {measured}, under {limit}. Take it out and hand it in; its neighbours must not bring it \
     back up.",
);

/// The low cell is charged in the cold.
pub const CHARGED_COLD: Rule = rule(
    "dead_charged_cold",
    Stop,
    "degc",
    crate::data::chemistry::LI_ION_SHEET,
    "{name}: the low cell is charged at {measured}, at least {limit} is needed.",
);

/// No link.
pub const NO_LINK: Rule = rule(
    "dead_no_link",
    MendFirst,
    "",
    COMMON_PRACTICE,
    "{name}: nothing takes a shorted cell off the others. A thin link for each cell that melts in a short makes sense here, \
     see which.",
);

/// No link does both.
pub const NO_LINK_FITS: Rule = rule(
    "dead_no_link_fits",
    MendFirst,
    "",
    DERIVED,
    "{name}: no link both carries the load and surely melts in a short: too few neighbours push too little. Links make no \
     sense here; rely on good cells, on measuring each group, and on a place where it may burn.",
);

/// The link does not melt.
pub const LINK_STRONG: Rule = rule(
    "dead_link_does_not_open",
    MendFirst,
    "a",
    COMMON_PRACTICE,
    "{name}: as little as {measured} flows into a shorted cell, the link needs {limit} to open for sure. It may only glow \
     against the cells. Take a thinner one.",
);

/// The link melts in use.
pub const LINK_WEAK: Rule = rule(
    "dead_link_opens_in_use",
    MendFirst,
    "a",
    COMMON_PRACTICE,
    "{name}: once one cell is off each of the others carries up to {measured}, the link carries {limit} for good. The links \
     would go one after the other. Take a thicker one.",
);

/// The neighbours' links may melt too.
pub const LINKS_TOGETHER: Rule = rule(
    "dead_links_together",
    Know,
    "a",
    DERIVED,
    "{name}: the neighbours' own links carry up to {measured} in the fault, more than the {limit} they carry for good: they \
     may melt as well, and the group drops out altogether.",
);

/// Few cells are left for the load.
pub const LEFT_OVERLOADED: Rule = rule(
    "dead_left_overloaded",
    MendFirst,
    "a",
    COMMON_PRACTICE,
    "{name}: once one cell is off, each of the others carries up to {measured} of the load; its limit is {limit}. Nobody \
     sees from outside that a link has melted: measure the groups now and then.",
);

/// Every rule of this table.
pub const RULES: &[Rule] = &[
    NOTHING_SEES,
    HEAT,
    NEIGHBOURS,
    CHARGED_FAST,
    GIVEN_UP,
    CHARGED_COLD,
    NO_LINK,
    NO_LINK_FITS,
    LINK_STRONG,
    LINK_WEAK,
    LINKS_TOGETHER,
    LEFT_OVERLOADED,
];

/// A dead cell in a group, judged.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct DeadCellReview {
    /// What it comes to.
    pub answer: DeadCellAnswer,
    /// Rules that are broken or could not be judged, the most urgent first.
    pub findings: Vec<Finding>,
}

/// What a dead cell comes to, judged.
///
/// # Errors
///
/// Everything that is wrong with the inputs, each with its place.
pub fn review(dead: &DeadCell) -> Result<DeadCellReview, Vec<Error>> {
    let answer = dead.answer()?;
    let mut list = Gathered::new("", &dead.name);
    list.broken(&NOTHING_SEES, "parallel", Some(answer.dead_a.high), None);
    list.broken(&HEAT, "fault", Some(answer.dead_heat_w.high), None);
    list.above(&NEIGHBOURS, "cell", answer.neighbour_a.high, answer.neighbour_limit_a);
    match answer.left_share_a {
        None => list.not_judged(&LEFT_OVERLOADED, "load_a"),
        Some(share_a) => list.above(&LEFT_OVERLOADED, "load_a", share_a, answer.neighbour_limit_a),
    }
    match dead.fault {
        DeadFault::Low { .. } => low(dead, &answer, &mut list),
        DeadFault::Short { .. } => short(&answer, &mut list),
    }
    if let Some(link) = &answer.link {
        links(&answer, link, &mut list);
    }
    sort_by_key(&mut list.findings, |finding| finding.urgency);
    Ok(DeadCellReview { answer, findings: list.findings })
}

fn low(dead: &DeadCell, answer: &DeadCellAnswer, list: &mut Gathered) {
    let DeadFault::Low { dead_v } = dead.fault else { return };
    let Ok(chemistries) = Chemistries::new(&dead.own_chemistries, core::iter::once(&dead.cell.chemistry)) else {
        return;
    };
    let Ok(limits) = chemistries.limits(&dead.cell.chemistry) else { return };
    let practice_a = limits.charge_c * dead.cell.capacity.capacity_ah.low;
    list.above(&CHARGED_FAST, "fault", answer.dead_a.high, dead.cell.charge_limit_a.unwrap_or(practice_a));
    if dead_v.low < limits.give_up_v {
        list.broken(&GIVEN_UP, "fault", Some(dead_v.low), Some(limits.give_up_v));
    }
    list.above(&charging::rules::HOT, "cell_degc", dead.cell_degc.high, limits.charge_high_degc);
    if dead.cell_degc.low < limits.charge_low_degc {
        list.broken(&CHARGED_COLD, "cell_degc", Some(dead.cell_degc.low), Some(limits.charge_low_degc));
    }
}

fn short(answer: &DeadCellAnswer, list: &mut Gathered) {
    match (answer.left_share_a, &answer.window) {
        (None, _) => list.not_judged(&NO_LINK_FITS, "load_a"),
        (Some(_), None) => list.broken(&NO_LINK_FITS, "link", None, None),
        (Some(_), Some(_)) if answer.link.is_none() => list.broken(&NO_LINK, "link", None, None),
        (Some(_), Some(_)) => {}
    }
}

fn links(answer: &DeadCellAnswer, link: &LinkAnswer, list: &mut Gathered) {
    if link.opens == Some(false) {
        list.broken(&LINK_STRONG, "link", Some(answer.dead_a.low), Some(link.opens_a));
    }
    match answer.left_share_a {
        None => list.not_judged(&LINK_WEAK, "load_a"),
        Some(share_a) => list.above(&LINK_WEAK, "link", share_a, link.holds_a),
    }
    let together_a = answer.neighbour_a.high + answer.left_share_a.unwrap_or(0.0);
    if !link.neighbours_hold {
        list.broken(&LINKS_TOGETHER, "link", Some(together_a), Some(link.holds_a));
    }
}
