//! What a pack of unidentified cells may be made of.
//!
//! All unidentified cells of a pack are taken for one kind at a time. A cell that was ever above [`LITHIUM_LEAST_V`] is
//! a lithium or sodium-ion one; a kind is ruled out where a cell was seen resting above its charge voltage by more than
//! [`ABOVE_FULL_V`]. What is left is worked out kind by kind, and the answer spans all of them.

use super::Pack;
use crate::data::chemistry as rows;
use crate::data::other_cells as others;
use crate::error::Error;
use crate::part::cell::{Cell, Chemistry};
use alloc::vec::Vec;

/// Rest voltage above which no cell is a lead-acid or nickel-metal hydride one, in volts.
const LITHIUM_LEAST_V: f64 = 2.5;

/// How far above its charge voltage a sound cell may be read, in volts.
const ABOVE_FULL_V: f64 = 0.05;

/// Every kind that is tried, with its charge voltage.
const KINDS: [(Chemistry, f64); 7] = [
    (Chemistry::Lfp, rows::LFP_LIMITS.charge_v),
    (Chemistry::Lco, rows::LCO_LIMITS.charge_v),
    (Chemistry::Nmc, rows::NMC_LIMITS.charge_v),
    (Chemistry::Nca, rows::NCA_LIMITS.charge_v),
    (Chemistry::Nvpf, others::NVPF_LIMITS.charge_v),
    (Chemistry::Nimh, others::NICKEL_LIMITS.charge_v),
    (Chemistry::LeadAcid, others::LEAD_ACID_LIMITS.charge_v),
];

/// A pack whose unidentified cells are taken for one kind.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Candidate {
    /// The kind.
    pub(crate) chemistry: Chemistry,
    /// The pack.
    pub(crate) pack: Pack,
}

impl Pack {
    fn unidentified(&self) -> impl Iterator<Item = &Cell> {
        let cells = self.groups.iter().flat_map(|group| &group.cells);
        cells.filter(|cell| cell.chemistry == Chemistry::Unidentified)
    }

    /// Whether a cell is unidentified.
    #[must_use]
    pub fn has_unidentified(&self) -> bool {
        self.unidentified().next().is_some()
    }

    /// The pack once for each kind that its unidentified cells may be; empty where there are none.
    pub(crate) fn candidates(&self) -> Vec<Candidate> {
        if !self.has_unidentified() {
            return Vec::new();
        }
        let start_v = self.unidentified().map(|cell| cell.capacity.start_v).fold(0.0, f64::max);
        let rest_v = self.unidentified().filter_map(|cell| cell.rest_v).fold(0.0, f64::max);
        let lithium = start_v.max(rest_v) > LITHIUM_LEAST_V;
        // The start of a test says what somebody charged the cell to, not what it stands.
        let may_be = |(chemistry, charge_v): &(Chemistry, f64)| {
            let aqueous = matches!(chemistry, Chemistry::Nimh | Chemistry::LeadAcid);
            aqueous != lithium && rest_v <= charge_v + ABOVE_FULL_V
        };
        KINDS.into_iter().filter(may_be).map(|(chemistry, _)| self.taken_for(chemistry)).collect()
    }

    fn taken_for(&self, chemistry: Chemistry) -> Candidate {
        let mut pack = self.clone();
        for cell in pack.groups.iter_mut().flat_map(|group| &mut group.cells) {
            if cell.chemistry == Chemistry::Unidentified {
                cell.chemistry = chemistry.clone();
            }
        }
        Candidate { chemistry, pack }
    }

    /// The answers of all candidates; one whose measurements no cell of its kind can have is ruled out.
    ///
    /// # Errors
    ///
    /// Where every kind is ruled out: the errors of the first, or that no kind rests so high.
    pub(crate) fn over_candidates<T>(
        &self,
        mut answer: impl FnMut(Pack) -> Result<T, Vec<Error>>,
    ) -> Result<Vec<(Chemistry, T)>, Vec<Error>> {
        Self::not_ruled_out(
            self.candidates().into_iter().map(|candidate| (candidate.chemistry, answer(candidate.pack))),
        )
    }

    /// As [`Pack::over_candidates`], where the answers are there already.
    ///
    /// # Errors
    ///
    /// Where every kind is ruled out: the errors of the first, or that no kind rests so high.
    pub(crate) fn not_ruled_out<T>(
        all: impl IntoIterator<Item = (Chemistry, Result<T, Vec<Error>>)>,
    ) -> Result<Vec<(Chemistry, T)>, Vec<Error>> {
        let (mut answers, mut errors) = (Vec::new(), Vec::new());
        for (chemistry, answer) in all {
            match answer {
                Ok(answer) => answers.push((chemistry, answer)),
                Err(wrong) => errors.push(wrong),
            }
        }
        if !answers.is_empty() {
            return Ok(answers);
        }
        let accepted = "voltages that a cell of some known kind can rest at";
        let none = alloc::vec![Error::other("chemistry", "unidentified", accepted).at("pack")];
        Err(errors.into_iter().next().unwrap_or(none))
    }
}
