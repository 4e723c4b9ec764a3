//! Findings about groups made from measured cells.

use crate::data::{COMMON_PRACTICE, Seen, Source};
use crate::error::Error;
use crate::finding::pack::{RESISTANCE_FAR, far_resistances};
use crate::finding::{Finding, Rule, Subject, Urgency};
use crate::pack::group::{MatchAnswer, MatchCell, Matching, SELF_DISCHARGE_MOST_RATIO};
use crate::part::cell::Chemistry;
use crate::quantity::order::sort_by_key;
use alloc::format;
use alloc::vec::Vec;

/// Share of its fair current above which a cell of a group is told. Common practice, no source.
pub const SHARING_MOST_RATIO: f64 = 1.3;

/// Groups of different chemistry in series.
pub const MIXED_CHEMISTRY: Rule = Rule {
    code: "match_mixed_chemistry",
    urgency: Urgency::Stop,
    unit: "",
    words: "The groups are of different chemistries: no charge voltage and no lowest voltage suits them all. Each group \
            is worked out, but do not build a pack of them.",
    source: Source {
        title: "follows from the voltage limits of the chemistries",
        edition: "",
        place: "",
        seen: Seen::Derived,
    },
};

/// More capacity than any known cell of the size has.
pub const ABOVE_KNOWN: Rule = Rule {
    code: "match_capacity_above_known",
    urgency: Urgency::Stop,
    unit: "ah",
    words: "{name} was measured at {measured}, but no known cell of its size holds more than {limit}: measure it again, \
            the groups rest on this number.",
    source: crate::data::size::SHEETS,
};

/// A model that is not known.
pub const MODEL_UNKNOWN: Rule = Rule {
    code: "match_model_unknown",
    urgency: Urgency::MendFirst,
    unit: "",
    words: "{name} are of an unknown model.",
    source: COMMON_PRACTICE,
};

/// Self-discharge that was not measured, or not well enough.
pub const SELF_DISCHARGE: Rule = Rule {
    code: "match_self_discharge",
    urgency: Urgency::MendFirst,
    unit: "ratio",
    words: "{name} may lose {measured} a month by itself, more than {limit}: measure longer before it goes into a group.",
    source: COMMON_PRACTICE,
};

/// A cell that carries much more than its share.
pub const SHARING: Rule = Rule {
    code: "match_sharing",
    urgency: Urgency::Know,
    unit: "ratio",
    words: "In {name} one cell carries {measured} of its fair share of the current, more than {limit}: it empties first \
            and ages faster.",
    source: COMMON_PRACTICE,
};

/// Cells that nobody knows.
pub const UNIDENTIFIED: Rule = Rule {
    code: "match_unidentified",
    urgency: Urgency::Stop,
    unit: "",
    words: "Nobody knows what {name} is: it goes into no pack until it is identified.",
    source: COMMON_PRACTICE,
};

/// Every rule of this table.
pub const RULES: &[Rule] = &[UNIDENTIFIED, MIXED_CHEMISTRY, ABOVE_KNOWN, MODEL_UNKNOWN, SELF_DISCHARGE, SHARING];

/// Groups with what is risky about them.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct MatchReport {
    /// The groups.
    pub matching: MatchAnswer,
    /// What is risky, the most urgent first.
    pub findings: Vec<Finding>,
}

/// The groups, judged.
///
/// # Errors
///
/// Everything that is wrong with the inputs.
pub fn matched(matching: &Matching) -> Result<MatchReport, Vec<Error>> {
    Ok(judged(matching, matching.answer()?))
}

/// Groups that were found already, judged.
#[must_use]
pub fn judged(matching: &Matching, answer: MatchAnswer) -> MatchReport {
    let mut findings = Vec::new();
    if let Some(first) = answer.groups.first()
        && answer.groups.iter().any(|group| group.chemistry != first.chemistry)
    {
        findings.push(MIXED_CHEMISTRY.broken(&Subject::whole(), None, None));
    }
    for (place, cell) in matching.cells.iter().enumerate() {
        judge_cell(&mut findings, &Subject::new(format!("/cells/{place}"), cell.name.as_str()), cell);
    }
    unknown(&mut findings, matching, &MODEL_UNKNOWN, "model", |cell| cell.model.is_none());
    unknown(&mut findings, matching, &SELF_DISCHARGE, "self_discharge_ratio", |cell| {
        cell.self_discharge_ratio.is_none()
    });
    unknown(&mut findings, matching, &SHARING, "resistance_ohm", |cell| cell.resistance_ohm.is_none());
    for group in &answer.groups {
        if let Some(sharing_ratio) = group.sharing_ratio.filter(|ratio| *ratio > SHARING_MOST_RATIO) {
            let subject = Subject::new("", format!("the group {}", group.names.join(", ")));
            findings.push(SHARING.broken(&subject, Some(sharing_ratio), Some(SHARING_MOST_RATIO)));
        }
    }
    resistances(&mut findings, matching, &answer);
    sort_by_key(&mut findings, |finding| finding.urgency);
    MatchReport { matching: answer, findings }
}

/// Cells in the groups whose resistance stands out of the others'.
fn resistances(findings: &mut Vec<Finding>, matching: &Matching, answer: &MatchAnswer) {
    let taken = answer.groups.iter().flat_map(|group| &group.cells);
    let measured = taken.filter_map(|place| {
        let cell = matching.cells.get(*place)?;
        Some((*place, cell, (cell.resistance_ohm?.likely, cell.capacity_ah?.likely)))
    });
    let measured: Vec<_> = measured.collect();
    let (far, most_ohm) = far_resistances(&measured.iter().map(|(_, _, values)| *values).collect::<Vec<_>>());
    for (i, ohm) in far {
        let Some((place, cell, _)) = measured.get(i) else { continue };
        let subject = Subject::new(format!("/cells/{place}"), cell.name.as_str());
        findings.push(RESISTANCE_FAR.broken(&subject, Some(ohm), Some(most_ohm)));
    }
}

fn judge_cell(findings: &mut Vec<Finding>, subject: &Subject, cell: &MatchCell) {
    if cell.chemistry == Chemistry::Unidentified {
        findings.push(UNIDENTIFIED.broken(subject, None, None));
    }
    if let (Some(size), Some(capacity_ah)) = (cell.size, cell.capacity_ah)
        && capacity_ah.high > size.row().most_ah
    {
        findings.push(ABOVE_KNOWN.broken(subject, Some(capacity_ah.high), Some(size.row().most_ah)));
    }
    if let Some(ratio) = cell.self_discharge_ratio
        && ratio.high > SELF_DISCHARGE_MOST_RATIO
    {
        findings.push(SELF_DISCHARGE.broken(subject, Some(ratio.high), Some(SELF_DISCHARGE_MOST_RATIO)));
    }
}

/// One finding for all cells of which something is not known.
fn unknown(
    findings: &mut Vec<Finding>,
    matching: &Matching,
    rule: &Rule,
    needs: &str,
    lacks: impl Fn(&MatchCell) -> bool,
) {
    let names: Vec<&str> = matching.cells.iter().filter(|cell| lacks(cell)).map(|cell| cell.name.as_str()).collect();
    let shown = names.iter().take(10).copied().collect::<Vec<_>>().join(", ");
    match names.len() {
        0 => {}
        1..=10 => findings.push(rule.not_judged(&Subject::new("/cells", shown), needs)),
        more => {
            let name = format!("{shown} and {} more", more - 10);
            findings.push(rule.not_judged(&Subject::new("/cells", name), needs));
        }
    }
}
