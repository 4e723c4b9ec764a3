//! Findings about sorting a bin of found cells.

use super::gathered::Gathered;
use super::pack::SALVAGED_CELLS;
use super::{Finding, Rule, Urgency};
use crate::data::transport::CHARGING_PLACE;
use crate::data::{COMMON_PRACTICE, DERIVED};
use crate::error::Error;
use crate::part::cell::Chemistry;
use crate::quantity::order::sort_by_key;
use crate::run::sort_bin::{BinTest, SortBin, SortBinAnswer};
use alloc::vec::Vec;

/// Machines run only while somebody is there.
pub const ATTEND: Rule = Rule {
    code: "bin_attend",
    urgency: Urgency::Know,
    unit: "",
    words: "Charge and discharge unknown cells only while you are awake and in the room, on a hard surface that does not \
            burn, away from the way out. Look at every cell and measure its voltage before anything is done to it.",
    source: CHARGING_PLACE,
};

/// No machine for a test.
pub const NO_MACHINE: Rule = Rule {
    code: "bin_no_machine",
    urgency: Urgency::MendFirst,
    unit: "",
    words: "There is nothing here to charge cells with, or to measure their capacity with, but cells that need it: no cell \
            can come through.",
    source: DERIVED,
};

/// A charge or capacity test is longer than an evening.
pub const LONGER_THAN_EVENING: Rule = Rule {
    code: "bin_longer_than_evening",
    urgency: Urgency::MendFirst,
    unit: "s",
    words: "One charge or test takes {measured}, an evening is {limit}: it would have to go on while nobody is there. Break \
            it off and go on the next day; never leave it running.",
    source: CHARGING_PLACE,
};

/// Cells that nobody knows.
pub const UNIDENTIFIED: Rule = Rule {
    code: "bin_unidentified",
    urgency: Urgency::Stop,
    unit: "",
    words: "Nobody knows what {name} is: find out before it is charged. It stays out of the groups until then.",
    source: COMMON_PRACTICE,
};

/// Every rule of this table.
pub const RULES: &[Rule] = &[ATTEND, NO_MACHINE, LONGER_THAN_EVENING, UNIDENTIFIED];

/// How to go on with a bin, judged.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct SortBinReview {
    /// How to go on.
    pub sorting: SortBinAnswer,
    /// The warning on loose cells first, then what is risky, the most urgent first.
    pub findings: Vec<Finding>,
}

/// How to go on with a bin, judged.
///
/// # Errors
///
/// Everything that is wrong with the inputs, each with its place.
pub fn review(bin: &SortBin) -> Result<SortBinReview, Vec<Error>> {
    let sorting = bin.answer()?;
    let mut list = Gathered::new("", "the bin");
    list.broken(&ATTEND, "", None, None);
    if sorting.evenings.is_none() {
        list.broken(&NO_MACHINE, "", None, None);
    }
    for (test, field, time_s) in
        [(BinTest::Charge, "charge_s", bin.charge_s), (BinTest::Capacity, "capacity_test_s", bin.capacity_test_s)]
    {
        if sorting.order.iter().any(|step| step.test == test && step.comes_to > 0.0) {
            list.above(&LONGER_THAN_EVENING, field, time_s, bin.evening_s);
        }
    }
    for (place, cell) in bin.cells.iter().enumerate() {
        if cell.chemistry == Chemistry::Unidentified && cell.sorted_out_by.is_none() {
            let subject = super::Subject::new(alloc::format!("/cells/{place}"), cell.name.as_str());
            list.findings.push(UNIDENTIFIED.broken(&subject, None, None));
        }
    }
    sort_by_key(&mut list.findings, |finding| finding.urgency);
    list.findings.insert(0, SALVAGED_CELLS.broken(&super::Subject::whole(), None, None));
    Ok(SortBinReview { sorting, findings: list.findings })
}
