//! When to stop testing.

use super::{BinCell, BinTest, SortBin};
use crate::pack::search::{Contender, Progress, STEP_AH, Search};
use crate::part::cell::Chemistry;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Effort of the grouping of the tested cells, in nodes.
const EFFORT_NODES: u64 = 200_000;

/// Effort of each halving, in nodes.
const HALVING_NODES: u64 = 10_000;

/// Halvings in the search for the capacity that an untested cell needs.
const HALVINGS: u32 = 20;

/// Why to stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum StopReason {
    /// Nothing is left to test.
    NothingLeft,
    /// Even if every cell comes through, the groups cannot be filled.
    TooFewCells,
    /// The untested cells cannot better the grouping, whatever they hold.
    NoBetter,
    /// They could by less than is worth it.
    NotWorth,
    /// The weakest group holds what is wanted.
    Enough,
}

/// What the tested cells make, and what the untested ones could.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BinGrouping {
    /// Cells with a measured capacity that were not sorted out.
    pub tested: usize,
    /// Cells without one that were not sorted out.
    pub untested: usize,
    /// Of the tested ones, those that have passed every test.
    pub through: usize,
    /// Weakest group that the tested cells make, in ampere-hours; none where they are too few.
    pub weakest_ah: Option<f64>,
    /// No arrangement with the untested cells has a weakest group above this, in ampere-hours; none where the groups
    /// cannot be filled, or where it is not known what an untested cell can hold.
    pub bound_ah: Option<f64>,
    /// How much the untested cells could better the weakest group at most, in ampere-hours.
    pub gain_ah: Option<f64>,
    /// Capacity that untested cells must exceed to better the weakest group by what is worth it, in ampere-hours, if
    /// all of them held as much; none where they cannot.
    pub needed_ah: Option<f64>,
    /// Untested cells of which neither print nor size says what they can hold, or that are unidentified: nothing can be
    /// proven about them.
    pub unknown_most: Vec<String>,
}

impl SortBin {
    /// Cells as contenders, each with the capacity that `ah` gives it; left out where that is none.
    fn search(&self, ah: impl Fn(&BinCell) -> Option<f64>) -> Option<Search> {
        let mut kinds: Vec<(&Chemistry, Option<&String>)> = Vec::new();
        let mut cells = Vec::new();
        for cell in self.open() {
            let Some(capacity_ah) = ah(cell) else { continue };
            let kind = (&cell.chemistry, cell.model.as_ref());
            let class = kinds.iter().position(|known| *known == kind).unwrap_or_else(|| {
                kinds.push(kind);
                kinds.len() - 1
            });
            cells.push(Contender { capacity_ah, class });
        }
        Search::new(&cells, self.series as usize, self.parallel as usize).ok()
    }

    /// What no arrangement exceeds where each untested cell holds what `untested_ah` gives it.
    fn bound_ah(&self, nodes: u64, untested_ah: impl Fn(&BinCell) -> Option<f64>) -> Option<f64> {
        let ah = |cell: &BinCell| cell.capacity_ah.map_or_else(|| untested_ah(cell), |ah| Some(ah.likely));
        self.search(ah).map(|mut search| search.step(nodes).bound_ah)
    }

    /// What the tested cells make, and what the untested ones could.
    pub(super) fn grouping(&self) -> BinGrouping {
        let untested = || self.open().filter(|cell| cell.capacity_ah.is_none());
        let unknown = untested()
            .filter(|cell| cell.most_ah().is_none() || cell.chemistry == Chemistry::Unidentified)
            .map(|cell| cell.name.clone());
        let unknown_most: Vec<String> = unknown.collect();
        let tested = self.search(|cell| cell.capacity_ah.map(|ah| ah.likely));
        let weakest_ah = tested.map(|mut search| {
            let Progress { weakest_ah, .. } = search.step(EFFORT_NODES);
            weakest_ah
        });
        let known = unknown_most.is_empty();
        let bound_ah = if known { self.bound_ah(EFFORT_NODES, BinCell::most_ah) } else { None };
        let gain_ah = bound_ah.zip(weakest_ah).map(|(bound_ah, weakest_ah)| (bound_ah - weakest_ah).max(0.0));
        let through = |cell: &&BinCell| BinTest::ALL.iter().all(|test| cell.passed.contains(test));
        BinGrouping {
            tested: self.open().filter(|cell| cell.capacity_ah.is_some()).count(),
            untested: untested().count(),
            through: self.open().filter(through).count(),
            weakest_ah,
            bound_ah,
            gain_ah,
            needed_ah: weakest_ah.zip(bound_ah).and_then(|(weakest_ah, bound_ah)| self.needed_ah(weakest_ah, bound_ah)),
            unknown_most,
        }
    }

    /// Gain that is worth going on, in ampere-hours; a step of the search where none is too small.
    fn worth_ah(&self) -> f64 {
        self.worth_ah.unwrap_or(0.0).max(0.5 * STEP_AH)
    }

    /// Smallest capacity of all untested cells that could better the weakest group by what is worth it.
    fn needed_ah(&self, weakest_ah: f64, bound_ah: f64) -> Option<f64> {
        let wanted_ah = weakest_ah + self.worth_ah();
        if bound_ah <= wanted_ah {
            return None;
        }
        let most_ah = self.open().filter_map(BinCell::most_ah).fold(0.0, f64::max);
        let betters = |untested_ah: f64| {
            let each = |cell: &BinCell| cell.most_ah().map(|most_ah| most_ah.min(untested_ah));
            self.bound_ah(HALVING_NODES, each).is_some_and(|bound_ah| bound_ah > wanted_ah)
        };
        let (mut low, mut high) = (0.0, most_ah);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if betters(middle) { high = middle } else { low = middle }
        }
        Some(low)
    }

    /// Why to stop.
    pub(super) fn stop(&self, grouping: &BinGrouping, anything_next: bool) -> Option<StopReason> {
        // What a cell holds does not matter for whether the groups can be filled.
        if self.search(|cell| Some(cell.capacity_ah.map_or(1.0, |ah| ah.likely))).is_none() {
            return Some(StopReason::TooFewCells);
        }
        if !anything_next {
            return Some(StopReason::NothingLeft);
        }
        if let (Some(wanted_ah), Some(weakest_ah)) = (self.wanted_ah, grouping.weakest_ah)
            && weakest_ah >= wanted_ah
        {
            return Some(StopReason::Enough);
        }
        let gain_ah = grouping.gain_ah?;
        if gain_ah < 0.5 * STEP_AH {
            return Some(StopReason::NoBetter);
        }
        (gain_ah <= self.worth_ah()).then_some(StopReason::NotWorth)
    }
}

/// What to do, in plain English words.
pub(super) fn words(stop: Option<StopReason>, grouping: &BinGrouping) -> String {
    let last = if grouping.through < grouping.tested {
        " Cells of the groups that have tests before them still go through those first."
    } else {
        ""
    };
    let advice = match stop {
        None => match grouping.needed_ah {
            Some(needed_ah) if needed_ah >= 0.01 => {
                return format!(
                    "Go on: cells that hold more than {needed_ah:.2} Ah could still better the weakest group."
                );
            }
            _ => return "Go on with the next test.".into(),
        },
        Some(StopReason::NothingLeft) => "Nothing is left to test.",
        Some(StopReason::TooFewCells) => {
            return "Stop: even if every cell comes through, the groups cannot be filled. Plan a smaller pack or find \
                    more cells."
                .into();
        }
        Some(StopReason::NoBetter) => {
            "Stop measuring more cells: whatever the untested ones hold, no arrangement beats the present one."
        }
        Some(StopReason::NotWorth) => {
            "Stop measuring more cells: the untested ones could better the weakest group by less than is worth it."
        }
        Some(StopReason::Enough) => "Stop measuring more cells: the weakest group holds what is wanted.",
    };
    format!("{advice}{last}")
}
