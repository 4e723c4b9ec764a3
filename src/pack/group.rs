//! Which cells belong together: the weakest group made as strong as possible.
//!
//! Aims, in this order: the highest capacity of the weakest group; the smallest spread between groups; shares that
//! empty the cells of a group together. One model and chemistry a group. Cells whose self-discharge stands out stay
//! out: with an upper limit of the median plus three robust standard deviations (1.4826 times the median deviation),
//! or plus [`SELF_DISCHARGE_STEP_RATIO`] where that is more, and never above [`SELF_DISCHARGE_MOST_RATIO`].
//!
//! Where cells of one chemistry suffice, the pack is of one: of that with the strongest possible weakest group.
//! Capacities are taken at their likely values; what the measurement cannot tell apart is listed as a tie.
//! Source: common practice, no source, for the aims and limits; the bound is proven ([`super::search`]).

use super::COUNT_MAX;
use super::contest::{Contestants, Eligible};
use super::search::CELLS_MAX;
use super::ties::{Tie, ties};
use crate::data::size::CellSize;
use crate::error::{Check, Error};
use crate::part::cell::Chemistry;
use crate::quantity::Interval;
use crate::quantity::order::{sort_by, sort_by_key};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Self-discharge a month above which a cell stays out in any case. Common practice, no source.
pub const SELF_DISCHARGE_MOST_RATIO: f64 = 0.05;

/// Self-discharge a month that a cell may lie above the median in any case. Common practice, no source.
pub const SELF_DISCHARGE_STEP_RATIO: f64 = 0.01;

/// Effort where none is stated, in nodes: some hundredths of a second on a desktop computer.
pub const EFFORT_NODES: u32 = 1_500_000;

/// Most effort that is accepted at once, in nodes.
pub const EFFORT_NODES_MAX: u32 = 100_000_000;

/// A cell that may join a group.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MatchCell {
    /// What the maker wrote on it.
    pub name: String,
    /// Model by its wrapper; cells without a known model are taken for one of their own.
    pub model: Option<String>,
    /// What it is made of.
    pub chemistry: Chemistry,
    /// Its size.
    pub size: Option<CellSize>,
    /// Measured capacity, in ampere-hours, all cells by the same test. A cell without it is refused.
    pub capacity_ah: Option<Interval>,
    /// Measured resistance, in ohms, all cells by the same test.
    pub resistance_ohm: Option<Interval>,
    /// Charge lost by itself in a month of 30 days, as a share of the capacity.
    pub self_discharge_ratio: Option<Interval>,
}

/// Asks for groups.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Matching {
    /// The cells at hand; more than are needed are welcome.
    pub cells: Vec<MatchCell>,
    /// Groups in series.
    pub series: u32,
    /// Cells in each group.
    pub parallel: u32,
    /// Effort to spend, in nodes; [`EFFORT_NODES`] where it is left out. The same effort gives the same groups.
    pub effort_nodes: Option<u32>,
}

/// One group.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct MatchedGroup {
    /// Its cells as places in the list of cells, from 0.
    pub cells: Vec<usize>,
    /// Their names.
    pub names: Vec<String>,
    /// Their model, where it is known.
    pub model: Option<String>,
    /// What they are made of.
    pub chemistry: Chemistry,
    /// Capacity of the group, in ampere-hours.
    pub capacity_ah: Interval,
    /// Resistance of the group at the likely values, in ohms.
    pub resistance_ohm: Option<f64>,
    /// Highest current of a cell over its fair share by capacity, at the likely values; 1 is even.
    pub sharing_ratio: Option<f64>,
}

/// Why a cell is in no group.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum LeftOutFor {
    /// Its self-discharge stands out.
    SelfDischarge {
        /// The cell's, as a share of the capacity a month.
        self_discharge_ratio: f64,
        /// The limit among these cells.
        limit_ratio: f64,
    },
    /// Its chemistry is not the pack's.
    Chemistry,
    /// A spare.
    Spare,
}

/// A cell in no group.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LeftOut {
    /// Place in the list of cells, from 0.
    pub cell: usize,
    /// Its name.
    pub name: String,
    /// Why.
    pub reason: LeftOutFor,
}

/// Groups, and what is known about how good they are.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct MatchAnswer {
    /// The groups, the strongest first.
    pub groups: Vec<MatchedGroup>,
    /// Cells in no group.
    pub left_out: Vec<LeftOut>,
    /// Likely capacity of the weakest group, in ampere-hours.
    pub weakest_ah: f64,
    /// Strongest group minus weakest, in ampere-hours.
    pub spread_ah: f64,
    /// No arrangement of the cells that were not left out beforehand has a weakest group above this, in ampere-hours.
    pub bound_ah: f64,
    /// `bound_ah` minus `weakest_ah`: how much an arrangement may still be better, in ampere-hours.
    pub gap_ah: f64,
    /// How far the measurement can be off for a whole group, in ampere-hours: root of the sum of squares of its
    /// cells' half widths, the largest of all groups.
    pub error_ah: f64,
    /// It is proven that no arrangement has a stronger weakest group.
    pub weakest_proven: bool,
    /// It is proven that none with that weakest group has a smaller spread.
    pub spread_proven: bool,
    /// More effort changes nothing.
    pub done: bool,
    /// Effort spent, in nodes.
    pub nodes: u64,
    /// Cells that may change places without the measurement telling the difference, the closest first, at most
    /// [`super::ties::MOST`].
    pub ties: Vec<Tie>,
    /// Number of such pairs in all.
    pub ties_in_all: usize,
    /// Groups that the measurement cannot tell from the best and whose cells share their current more evenly.
    pub fairest: Option<Vec<MatchedGroup>>,
}

impl Matching {
    /// The best groups that the effort finds.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place and the cell's name; too few cells.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::pack::group::{MatchCell, Matching};
    /// # use cellwright::{Interval, part::cell::Chemistry};
    /// let cell = |name: &str, capacity_ah: f64| MatchCell {
    ///     name: name.into(),
    ///     model: Some("blue wrap".into()),
    ///     chemistry: Chemistry::Nmc,
    ///     size: None,
    ///     capacity_ah: Some(Interval::around(capacity_ah, 0.01)),
    ///     resistance_ohm: None,
    ///     self_discharge_ratio: None,
    /// };
    /// let cells = [("A1", 2.4), ("A2", 2.3), ("A3", 2.1), ("A4", 1.8)].map(|(name, ah)| cell(name, ah)).to_vec();
    /// let answer = Matching { cells, series: 2, parallel: 2, effort_nodes: None }.answer()?;
    /// assert_eq!(answer.groups[1].names, ["A1", "A4"]);
    /// assert_eq!((answer.weakest_ah, answer.gap_ah, answer.done), (4.2, 0.0, true));
    /// let none = Matching { cells: vec![], series: 2, parallel: 2, effort_nodes: None }.answer().unwrap_err();
    /// assert_eq!(none[0].field(), "cells");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<MatchAnswer, Vec<Error>> {
        let mut search = MatchSearch::new(self.clone())?;
        search.step(self.effort_nodes.unwrap_or(EFFORT_NODES));
        Ok(search.answer())
    }

    pub(super) fn left_out(&self, cell: usize, reason: LeftOutFor) -> LeftOut {
        let name = self.cells.get(cell).map(|cell| cell.name.clone()).unwrap_or_default();
        LeftOut { cell, name, reason }
    }

    pub(crate) fn check(&self, check: &mut Check) {
        for (field, count) in [("series", self.series), ("parallel", self.parallel)] {
            check.within(field, f64::from(count), 1.0, COUNT_MAX as f64);
        }
        if let Some(nodes) = self.effort_nodes {
            check.within("effort_nodes", f64::from(nodes), 1.0, f64::from(EFFORT_NODES_MAX));
        }
        let wanted = u64::from(self.series) * u64::from(self.parallel);
        if (self.cells.len() as u64) < wanted || self.cells.len() > CELLS_MAX {
            let accepted = format!("{wanted} to {CELLS_MAX} for {} groups of {}", self.series, self.parallel);
            check.note(Error::other("cells", format!("{} cells", self.cells.len()), accepted));
        }
        named_once(check, self.cells.iter().map(|cell| cell.name.as_str()));
        for (place, cell) in self.cells.iter().enumerate() {
            check.inside("cells", |check| check.inside(place, |check| cell.check(check)));
        }
    }
}

/// Notes every cell of a list `cells` that has the name of another.
pub(crate) fn named_once<'a>(check: &mut Check, names: impl Iterator<Item = &'a str>) {
    let mut names: Vec<(&str, usize)> = names.zip(0..).collect();
    sort_by(&mut names, Ord::cmp);
    for pair in names.windows(2) {
        if let [(one, _), (other, place)] = pair
            && one == other
        {
            let error = Error::other("name", format!("\"{one}\" a second time"), "a name of its own for each cell");
            check.note(error.at(place).at("cells"));
        }
    }
}

/// A search for groups under way, stepped by a stated effort.
///
/// The same sum of effort gives the same groups, in however many steps it is spent.
#[derive(Clone, Debug)]
pub struct MatchSearch {
    matching: Matching,
    eligible: Eligible,
}

/// How far a search for groups has come.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct MatchProgress {
    /// The best groups so far, the strongest first.
    pub groups: Vec<MatchedGroup>,
    /// Likely capacity of the weakest group, in ampere-hours.
    pub weakest_ah: f64,
    /// Strongest group minus weakest, in ampere-hours.
    pub spread_ah: f64,
    /// No arrangement has a weakest group above this, in ampere-hours.
    pub bound_ah: f64,
    /// `bound_ah` minus `weakest_ah`, in ampere-hours.
    pub gap_ah: f64,
    /// More effort changes nothing.
    pub done: bool,
    /// Effort spent, in nodes.
    pub nodes: u64,
}

impl MatchSearch {
    /// Checks the cells and prepares the search; no effort is spent yet.
    ///
    /// # Errors
    ///
    /// As [`Matching::answer`].
    pub fn new(matching: Matching) -> Result<Self, Vec<Error>> {
        let mut check = Check::new();
        matching.check(&mut check);
        check.finish()?;
        let eligible = matching.eligible()?;
        Ok(Self { matching, eligible })
    }

    /// What is searched for.
    #[must_use]
    pub fn matching(&self) -> &Matching {
        &self.matching
    }

    /// Spends `nodes` more, or fewer where it is done before.
    pub fn step(&mut self, nodes: u32) -> MatchProgress {
        let progress = self.eligible.search.step(u64::from(nodes));
        MatchProgress {
            groups: Contestants::of(&self.matching, &self.eligible.cells).groups(&self.matching, &progress.best),
            weakest_ah: progress.weakest_ah,
            spread_ah: progress.spread_ah,
            bound_ah: progress.bound_ah,
            gap_ah: progress.gap_ah,
            done: progress.done,
            nodes: progress.nodes,
        }
    }

    /// The whole answer with the effort spent so far.
    #[must_use]
    pub fn answer(&self) -> MatchAnswer {
        let (matching, Eligible { cells: places, left_out, search }) = (&self.matching, &self.eligible);
        let (progress, mut left_out) = (search.progress(), left_out.clone());
        let contestants = Contestants::of(matching, places);
        for spare in &progress.best.spares {
            left_out.push(matching.left_out(places.get(*spare).copied().unwrap_or(0), LeftOutFor::Spare));
        }
        sort_by_key(&mut left_out, |cell| cell.cell);
        let (ties, ties_in_all) = ties(matching, &contestants, &progress.best);
        let error_ah = contestants.error_ah(&progress.best);
        MatchAnswer {
            groups: contestants.groups(matching, &progress.best),
            left_out,
            weakest_ah: progress.weakest_ah,
            spread_ah: progress.spread_ah,
            bound_ah: progress.bound_ah,
            gap_ah: progress.gap_ah,
            error_ah,
            weakest_proven: progress.weakest_proven,
            spread_proven: progress.spread_proven,
            done: progress.done,
            nodes: progress.nodes,
            ties,
            ties_in_all,
            fairest: contestants.fairest(matching, &progress, error_ah),
        }
    }
}

impl MatchCell {
    fn check(&self, check: &mut Check) {
        let name = &self.name;
        match &self.capacity_ah {
            None => check.note(Error::missing("capacity_ah", format!("the measured capacity of {name}"))),
            Some(capacity_ah) => self.named(check, "capacity_ah", capacity_ah, 0.01, 1000.0),
        }
        if let Some(resistance_ohm) = &self.resistance_ohm {
            self.named(check, "resistance_ohm", resistance_ohm, 1e-4, 10.0);
        }
        if let Some(ratio) = &self.self_discharge_ratio {
            self.named(check, "self_discharge_ratio", ratio, 0.0, 1.0);
        }
    }

    /// Notes an interval out of range, with the cell's name.
    fn named(&self, check: &mut Check, field: &'static str, value: &Interval, low: f64, high: f64) {
        if let Err(error) = value.check(field, low, high) {
            let given = format!("{} for {}", error.given(), self.name);
            check.note(Error::other(field, given, format!("{}, low to high", error.accepted())));
        }
    }
}
