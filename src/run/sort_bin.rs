//! Sorting a bin of found cells: which test comes next, how long it all takes, and when to stop.
//!
//! ```text
//! reject share  = (10 · usual share + sorted out so far) / (10 + tested so far)
//! order         the one with the least expected time a cell: Σ time of a test · Π pass shares of the tests before it
//! time          = own hands + machine time / machines of the kind
//! ```
//!
//! Every order that keeps the rules of safety is tried: look and measure the voltage before anything is done to a cell,
//! charge before capacity and before the month of rest. Untested cells can no longer better the grouping where no
//! arrangement of the tested ones together with the untested ones, each at the most it can hold, has a weakest group
//! above the present one ([`crate::pack::search`]): at most [`CAPACITY_MOST_RATIO`] of its print, or what any known cell
//! of its size holds. Times and shares are common practice, no source; the shares learn from the bin.

mod check;
mod order;
mod stop;

pub use stop::{BinGrouping, StopReason};

use crate::data::Source;
use crate::data::screening::CAPACITY_MOST_RATIO;
use crate::data::size::CellSize;
use crate::data::sorting::{self as rows, TestRow};
use crate::error::{Check, Error};
use crate::part::cell::Chemistry;
use crate::quantity::Interval;
use crate::quantity::order::sort_by;
use crate::run::self_discharge::MONTH_S;
use alloc::string::String;
use alloc::vec::Vec;

/// Most cells in a bin.
const CELLS_MAX: usize = 1000;

/// A test of a found cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum BinTest {
    /// Looking, feeling, smelling: damage, leak, rust, wrapper.
    Look,
    /// The voltage as found.
    RestVoltage,
    /// The resistance.
    Resistance,
    /// A gentle charge, felt for warmth.
    Charge,
    /// The capacity.
    Capacity,
    /// Two rest voltages a month apart.
    Month,
}

/// A cell of the bin.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BinCell {
    /// What the maker wrote on it.
    pub name: String,
    /// Model by its wrapper; cells without a known model are taken for one of their own.
    pub model: Option<String>,
    /// What it is made of.
    pub chemistry: Chemistry,
    /// Its size.
    pub size: Option<CellSize>,
    /// Printed capacity, in ampere-hours.
    pub rated_ah: Option<f64>,
    /// Tests it has passed.
    pub passed: Vec<BinTest>,
    /// The test that sorted it out.
    pub sorted_out_by: Option<BinTest>,
    /// Measured capacity, in ampere-hours, once it has passed that test.
    pub capacity_ah: Option<Interval>,
}

/// A bin of found cells, and what there is to test them with.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SortBin {
    /// The cells.
    pub cells: Vec<BinCell>,
    /// Groups in series that are wanted.
    pub series: u32,
    /// Cells in each group.
    pub parallel: u32,
    /// Cells that can be charged at once.
    pub charger_places: u32,
    /// Cells whose capacity can be measured at once.
    pub tester_places: u32,
    /// Time of one charge, in seconds.
    pub charge_s: f64,
    /// Time of one capacity test, in seconds.
    pub capacity_test_s: f64,
    /// Evenings at hand.
    pub evenings: u32,
    /// Length of an evening, in seconds: machines run only while somebody is there.
    pub evening_s: f64,
    /// Capacity of the weakest group that is enough, in ampere-hours.
    pub wanted_ah: Option<f64>,
    /// Gain of the weakest group that is worth going on, in ampere-hours; none is too small where it is left out.
    pub worth_ah: Option<f64>,
}

/// One test in the order.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BinStep {
    /// The test.
    pub test: BinTest,
    /// Share of the cells that it sorts out, as far as is known.
    pub reject_ratio: f64,
    /// Cells of this bin that have passed it.
    pub passed: usize,
    /// Cells of this bin that it has sorted out.
    pub sorted_out: usize,
    /// Cells that are expected to come to it.
    pub comes_to: f64,
    /// Cells that it is expected to sort out.
    pub sorts_out: f64,
    /// Time of one's own hands for one cell, in seconds.
    pub hands_s: f64,
    /// Time of a machine for one cell, in seconds.
    pub machine_s: f64,
    /// Evenings that its machines take for those cells; none where there is no machine.
    pub evenings: Option<f64>,
    /// Where times and usual share come from.
    pub source: Source,
}

/// What is next for one cell.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BinNext {
    /// Its name.
    pub name: String,
    /// The next test; none where it is through or sorted out, or must be identified first.
    pub next: Option<BinTest>,
    /// The test that sorted it out.
    pub sorted_out_by: Option<BinTest>,
    /// The most it can hold, in ampere-hours; none where neither print nor size is known.
    pub most_ah: Option<f64>,
}

/// How to go on with a bin.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct SortBinAnswer {
    /// The tests in the order that sorts out earliest for the least time.
    pub order: Vec<BinStep>,
    /// Every cell in the order given.
    pub cells: Vec<BinNext>,
    /// Names of the cells to take next, those that can hold most first.
    pub take_next: Vec<String>,
    /// Time of one's own hands that is expected, in seconds.
    pub hands_s: f64,
    /// Evenings: with everything running beside each other, as expected, one after the other with no cell sorted out;
    /// none where a machine is missing.
    pub evenings: Option<Interval>,
    /// Whether the expected evenings are at hand.
    pub fits: bool,
    /// Time of rest that has to pass besides, in seconds.
    pub waiting_s: f64,
    /// Cells that are expected to come through.
    pub usable: f64,
    /// What the tested cells make, and what the untested ones could.
    pub grouping: BinGrouping,
    /// Why to stop; none where going on can help.
    pub stop: Option<StopReason>,
    /// What to do, in plain English words.
    pub words: String,
}

impl BinTest {
    /// Every test, in the order in which they are usually thought of.
    pub const ALL: [Self; 6] =
        [Self::Look, Self::RestVoltage, Self::Resistance, Self::Charge, Self::Capacity, Self::Month];

    const fn row(self) -> TestRow {
        match self {
            Self::Look => rows::LOOK,
            Self::RestVoltage => rows::REST_VOLTAGE,
            Self::Resistance => rows::RESISTANCE,
            Self::Charge => rows::CHARGE,
            Self::Capacity => rows::CAPACITY,
            Self::Month => rows::MONTH,
        }
    }

    /// The test that must be passed before.
    #[must_use]
    pub const fn after(self) -> Option<Self> {
        match self {
            Self::Look => None,
            Self::RestVoltage => Some(Self::Look),
            Self::Resistance | Self::Charge => Some(Self::RestVoltage),
            Self::Capacity | Self::Month => Some(Self::Charge),
        }
    }
}

impl BinCell {
    /// The next test; none where it is sorted out or through, or unidentified and not to be charged.
    fn next(&self, order: &[BinTest]) -> Option<BinTest> {
        let barred = |test: &BinTest| *test == BinTest::Charge || test.after() == Some(BinTest::Charge);
        let unidentified = self.chemistry == Chemistry::Unidentified;
        let mut open =
            order.iter().copied().filter(|test| !self.passed.contains(test) && (!unidentified || !barred(test)));
        if self.sorted_out_by.is_some() { None } else { open.next() }
    }

    /// The most it can hold, in ampere-hours.
    fn most_ah(&self) -> Option<f64> {
        let of_print = self.rated_ah.map(|rated_ah| CAPACITY_MOST_RATIO * rated_ah);
        let of_size = self.size.map(|size| size.row().most_ah);
        match (of_print, of_size) {
            (Some(print_ah), Some(size_ah)) => Some(print_ah.min(size_ah)),
            (print_ah, size_ah) => print_ah.or(size_ah),
        }
    }
}

impl SortBin {
    /// How to go on with the bin.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::cell::Chemistry;
    /// # use cellwright::run::sort_bin::{BinCell, BinTest, SortBin};
    /// let cell = |name: &str| BinCell {
    ///     name: name.into(),
    ///     model: Some("green wrap".into()),
    ///     chemistry: Chemistry::Nmc,
    ///     size: None,
    ///     rated_ah: Some(2.2),
    ///     passed: vec![BinTest::Look],
    ///     sorted_out_by: None,
    ///     capacity_ah: None,
    /// };
    /// let mut bin = SortBin {
    ///     cells: vec![cell("G1"), cell("G2"), cell("G3"), cell("G4")],
    ///     series: 3,
    ///     parallel: 1,
    ///     charger_places: 2,
    ///     tester_places: 1,
    ///     charge_s: 10_800.0,
    ///     capacity_test_s: 14_400.0,
    ///     evenings: 6,
    ///     evening_s: 14_400.0,
    ///     wanted_ah: None,
    ///     worth_ah: None,
    /// };
    /// let answer = bin.answer()?;
    /// assert_eq!(answer.cells[0].next, Some(BinTest::RestVoltage));
    /// assert!(answer.stop.is_none() && answer.evenings.is_some());
    /// bin.cells[1].passed = vec![BinTest::Capacity];
    /// assert_eq!(bin.answer().unwrap_err()[0].path(), "/cells/1/capacity_ah");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<SortBinAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let order = self.best_order();
        let steps = self.steps(&order);
        let evenings = self.evenings_needed(&steps);
        let grouping = self.grouping();
        let cells: Vec<BinNext> = self
            .cells
            .iter()
            .map(|cell| BinNext {
                name: cell.name.clone(),
                next: cell.next(&order),
                sorted_out_by: cell.sorted_out_by,
                most_ah: cell.most_ah(),
            })
            .collect();
        let rests = self.open().any(|cell| !cell.passed.contains(&BinTest::Month));
        let stop = self.stop(&grouping, cells.iter().any(|cell| cell.next.is_some()));
        Ok(SortBinAnswer {
            take_next: take_next(&order, &cells),
            hands_s: steps.iter().map(|step| step.hands_s * step.comes_to).sum(),
            fits: evenings.is_some_and(|evenings| evenings.likely <= f64::from(self.evenings)),
            evenings,
            waiting_s: if rests { MONTH_S } else { 0.0 },
            usable: self.usable(&order, &steps),
            words: stop::words(stop, &grouping),
            order: steps,
            cells,
            grouping,
            stop,
        })
    }

    /// Cells that are not sorted out.
    fn open(&self) -> impl Iterator<Item = &BinCell> {
        self.cells.iter().filter(|cell| cell.sorted_out_by.is_none())
    }
}

/// Cells whose next test comes first in the order, those that can hold most first.
fn take_next(order: &[BinTest], cells: &[BinNext]) -> Vec<String> {
    let Some(first) = order.iter().find(|test| cells.iter().any(|cell| cell.next == Some(**test))) else {
        return Vec::new();
    };
    let mut next: Vec<&BinNext> = cells.iter().filter(|cell| cell.next == Some(*first)).collect();
    let most_ah = |cell: &BinNext| cell.most_ah.unwrap_or(f64::MAX);
    sort_by(&mut next, |a, b| most_ah(b).total_cmp(&most_ah(a)));
    next.into_iter().map(|cell| cell.name.clone()).collect()
}
