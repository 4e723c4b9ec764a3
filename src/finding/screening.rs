//! Which found cells may be used, which are measured again, which are handed in.
//!
//! There is no score. A cell is handed in where one stop rule is broken, whatever else is good about it; it is measured
//! again where something stays open; it is used only where every rule was judged and kept. Every reason is listed with
//! its source, the disqualifiers first. Most limits are common practice: no standard with pass and fail figures for
//! single used cells was seen.

mod found;
mod judge;
pub mod rules;

pub use found::{CalendarLife, ChargeWarmth, FoundCell, FoundIn, FoundOhm, OhmKind, Rust, Screening, Wrapper};

use super::{Finding, Judgement, Subject, Urgency, pack::SALVAGED_CELLS};
use crate::data::Source;
use crate::data::screening::{IDENTIFY, IdentifyStep};
use crate::data::transport::DISPOSAL;
use crate::error::{Check, Error};
use crate::part::charger::CellFamily;
use crate::quantity::order::sort_by_key;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;
use judge::Judge;

/// What becomes of a found cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Fate {
    /// Nothing observed stands against it. It does not mean safe.
    Use,
    /// Something has to be measured, looked at or put right first.
    MeasureAgain,
    /// Hand it in.
    Recycle,
}

/// One found cell, judged.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ScreenedCell {
    /// Its name.
    pub name: String,
    /// What becomes of it.
    pub fate: Fate,
    /// The same in plain English words.
    pub fate_words: &'static str,
    /// Every reason: what stands against it or could not be judged, the disqualifiers first.
    pub findings: Vec<Finding>,
    /// Codes of the rules that were judged and kept.
    pub kept: Vec<&'static str>,
}

/// Every found cell, judged.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ScreeningAnswer {
    /// The warning on loose cells of a public safety agency: read it first.
    pub warning: Finding,
    /// The cells in the order they were given.
    pub cells: Vec<ScreenedCell>,
    /// How to find out what a cell is, where one is unidentified. Nothing is charged on the way.
    pub identify: Vec<IdentifyStep>,
    /// How to hand cells in, where one is to be.
    pub hand_in: Option<HandIn>,
}

/// How cells are handed in.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HandIn {
    /// In plain English words.
    pub words: &'static str,
    /// Where it comes from.
    pub source: Source,
}

/// How cells are handed in.
pub const HAND_IN: HandIn = HandIn {
    words: "Cover both ends with tape that does not conduct, bag each cell singly, keep them in a metal box with dry sand \
            away from anything that burns, and take them to a collection point. Never into household waste. Local rules \
            come first.",
    source: DISPOSAL,
};

impl Fate {
    /// What findings make of a cell.
    #[must_use]
    pub fn on(findings: &[Finding]) -> Self {
        let broken = |urgency| {
            findings.iter().any(|finding| finding.urgency == urgency && finding.judgement == Judgement::Broken)
        };
        if broken(Urgency::Stop) {
            Self::Recycle
        } else if broken(Urgency::MendFirst) || findings.iter().any(|f| f.judgement == Judgement::NotJudged) {
            Self::MeasureAgain
        } else {
            Self::Use
        }
    }

    /// In plain English words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Use => {
                "Use: nothing you observed stands against it. That does not mean safe: match it, protect every group, fit \
                 the fuse first."
            }
            Self::MeasureAgain => "Measure again: see what is open. Until then it goes into no pack.",
            Self::Recycle => "Recycle: hand it in, whatever else is good about it.",
        }
    }
}

impl Screening {
    /// One answer for each cell, in the order given.
    ///
    /// # Errors
    ///
    /// No cell, more than 2000, two of one name; every value out of range, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::finding::screening::{Fate, FoundCell, Screening};
    /// # use cellwright::part::charger::CellFamily;
    /// let low = FoundCell { family: CellFamily::LithiumIon, found_v: Some(1.7), ..FoundCell::unknown("K3") };
    /// let open = FoundCell { family: CellFamily::LithiumIon, found_v: Some(3.5), ..FoundCell::unknown("K4") };
    /// let answer = Screening { cells: vec![low.clone(), open] }.answer()?;
    /// assert_eq!(answer.cells[0].fate, Fate::Recycle);
    /// assert_eq!(answer.cells[0].findings[0].code, "screen_given_up");
    /// assert_eq!(answer.cells[1].fate, Fate::MeasureAgain);
    /// let twice = Screening { cells: vec![low.clone(), low] }.answer().unwrap_err();
    /// assert_eq!(twice[0].path(), "/cells/1/name");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<ScreeningAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let cells: Vec<ScreenedCell> = self.cells.iter().enumerate().map(|(i, cell)| screened(i, cell)).collect();
        let unidentified = self.cells.iter().any(|cell| cell.family == CellFamily::Unidentified);
        let recycle = cells.iter().any(|cell| cell.fate == Fate::Recycle);
        Ok(ScreeningAnswer {
            warning: SALVAGED_CELLS.broken(&Subject::whole(), None, None),
            cells,
            identify: if unidentified { IDENTIFY.to_vec() } else { Vec::new() },
            hand_in: recycle.then_some(HAND_IN),
        })
    }
}

fn screened(place: usize, cell: &FoundCell) -> ScreenedCell {
    let (mut findings, kept) = Judge::new(cell, &format!("/cells/{place}")).verdict();
    sort_by_key(&mut findings, |finding| (finding.judgement == Judgement::NotJudged, finding.urgency));
    let fate = Fate::on(&findings);
    ScreenedCell { name: cell.name.clone(), fate, fate_words: fate.words(), findings, kept }
}
