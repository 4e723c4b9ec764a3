//! Cells as whole numbers, strongest first.

use super::{at, whole};
use crate::quantity::order::sort_by;
use alloc::vec;
use alloc::vec::Vec;

/// Cells that may be used, strongest first.
///
/// Capacities are counted from the weakest cell's in units of the largest step that all differences share, so that
/// bounds can be rounded down to sums that exist.
#[derive(Clone, Debug)]
pub(super) struct Pool {
    ah: Vec<i64>,
    class: Vec<usize>,
    /// Place of each cell in the caller's list.
    place: Vec<usize>,
    base: i64,
    unit: i64,
    pub(super) series: usize,
    pub(super) parallel: usize,
}

/// One cell for the search.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Entry {
    /// Place in the caller's list.
    pub(super) place: usize,
    /// Capacity in whole steps.
    pub(super) steps: i64,
    /// Only cells of one class share a group.
    pub(super) class: usize,
}

impl Pool {
    pub(super) fn new(mut entries: Vec<Entry>, series: usize, parallel: usize) -> Self {
        sort_by(&mut entries, |a, b| b.steps.cmp(&a.steps).then(a.place.cmp(&b.place)));
        let base = entries.last().map_or(0, |entry| entry.steps);
        let unit = entries.iter().map(|entry| entry.steps - base).fold(0, common).max(1);
        Self {
            ah: entries.iter().map(|entry| (entry.steps - base) / unit).collect(),
            class: entries.iter().map(|entry| entry.class).collect(),
            place: entries.iter().map(|entry| entry.place).collect(),
            base,
            unit,
            series,
            parallel,
        }
    }

    pub(super) fn len(&self) -> usize {
        self.ah.len()
    }

    pub(super) fn ah(&self, cell: usize) -> i64 {
        at(&self.ah, cell)
    }

    pub(super) fn class(&self, cell: usize) -> usize {
        self.class.get(cell).copied().unwrap_or(0)
    }

    pub(super) fn place(&self, cell: usize) -> usize {
        self.place.get(cell).copied().unwrap_or(0)
    }

    /// Steps of a group with the reduced sum `sum`.
    pub(super) fn steps(&self, sum: i64) -> i64 {
        self.base * whole(self.parallel) + self.unit * sum
    }

    /// Steps of a difference between two groups.
    pub(super) fn difference(&self, reduced: i64) -> i64 {
        self.unit * reduced
    }

    /// Cells of each class, strongest first.
    pub(super) fn by_class(&self) -> Vec<Vec<usize>> {
        let mut all = vec![Vec::new(); self.class.iter().max().map_or(0, |most| most + 1)];
        for (cell, class) in self.class.iter().enumerate() {
            if let Some(list) = all.get_mut(*class) {
                list.push(cell);
            }
        }
        all
    }
}

fn common(a: i64, b: i64) -> i64 {
    let (mut a, mut b) = (a.abs(), b.abs());
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}
