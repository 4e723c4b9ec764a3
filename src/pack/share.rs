//! How evenly the cells of a group share its current.
//!
//! ```text
//! cell_a / group_a = (1 / ohm) / Σ (1 / ohm),   fair by capacity: capacity_ah / Σ capacity_ah
//! sharing_ratio    = highest (cell_a / fair) = Σ capacity_ah / (Σ (1 / ohm) · least (ohm · capacity_ah))
//! ```
//!
//! 1 where ohm · capacity_ah is the same in every cell: then all run empty together. Groups with equal sums of
//! ohm · capacity_ah sag alike. Holds for the steady part of a run, before one cell falls behind.
//! Follows from Ohm's law.

use super::search::Arrangement;
use alloc::vec::Vec;

/// Weight of an uneven sag between groups against an uneven share within one: shares come first, because the sums of
/// one pack's cells cannot be equal across groups and equal within them at the same time. Own choice.
const SAG_WEIGHT: f64 = 0.1;

/// Most sweeps over all pairs of cells.
const SWEEPS: usize = 20;

/// Most exchanges that are looked at.
const LOOKS: usize = 2_000_000;

/// A cell with what sharing depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sharer {
    pub(super) capacity_ah: f64,
    pub(super) resistance_ohm: f64,
    pub(super) class: usize,
}

/// Sums over one group.
#[derive(Clone, Copy, Debug)]
struct Sums {
    ah: f64,
    siemens: f64,
    products: f64,
    /// Smallest and second smallest ohm · capacity_ah, and whose the smallest is.
    least: f64,
    second: f64,
    least_cell: usize,
}

/// Groups that are made fairer by exchanges.
struct Fairer<'a> {
    cells: &'a [Sharer],
    groups: Vec<Vec<usize>>,
    sums: Vec<Sums>,
    spares: Vec<usize>,
    low_ah: f64,
    high_ah: f64,
    target: f64,
}

/// Largest current of a cell of the group over its fair share; nothing for an empty group.
pub(super) fn sharing_ratio(cells: &[Sharer], group: &[usize]) -> Option<f64> {
    let sums = Sums::of(cells, group);
    (sums.siemens > 0.0).then(|| sums.ratio())
}

/// The arrangement with its shares evened out by exchanges that keep every group between `low_ah` and `high_ah`.
pub(super) fn fairest(start: &Arrangement, cells: &[Sharer], low_ah: f64, high_ah: f64) -> Arrangement {
    let sums: Vec<Sums> = start.groups.iter().map(|group| Sums::of(cells, group)).collect();
    let target = sums.iter().map(|sums| sums.products).sum::<f64>() / sums.len().max(1) as f64;
    let (groups, spares) = (start.groups.clone(), start.spares.clone());
    let mut fairer = Fairer { cells, groups, sums, spares, low_ah, high_ah, target };
    let mut looks = LOOKS;
    for _ in 0..SWEEPS {
        if !fairer.sweep(&mut looks) {
            break;
        }
    }
    Arrangement { groups: fairer.groups, spares: fairer.spares }
}

impl Sums {
    fn of(cells: &[Sharer], group: &[usize]) -> Self {
        let mut sums = Self {
            ah: 0.0,
            siemens: 0.0,
            products: 0.0,
            least: f64::INFINITY,
            second: f64::INFINITY,
            least_cell: usize::MAX,
        };
        for &cell in group {
            let Some(sharer) = cells.get(cell) else { continue };
            let product = sharer.product();
            sums.ah += sharer.capacity_ah;
            sums.siemens += sharer.siemens();
            sums.products += product;
            if product < sums.least {
                (sums.second, sums.least, sums.least_cell) = (sums.least, product, cell);
            } else if product < sums.second {
                sums.second = product;
            }
        }
        sums
    }

    fn ratio(&self) -> f64 {
        self.ah / (self.siemens * self.least)
    }

    /// How unfair the group is: squares of the largest excess share and of the sag's deviation.
    fn cost(&self, target: f64) -> f64 {
        let (excess, sag) = (self.ratio() - 1.0, self.products / target - 1.0);
        excess * excess + SAG_WEIGHT * sag * sag
    }

    /// The sums with cell `out` in place of which `into` stands; only `least` of the two smallest is kept.
    fn swapped(&self, out: usize, gone: &Sharer, come: &Sharer) -> Self {
        let product = come.product();
        let rest = if self.least_cell == out { self.second } else { self.least };
        Self {
            ah: self.ah - gone.capacity_ah + come.capacity_ah,
            siemens: self.siemens - gone.siemens() + come.siemens(),
            products: self.products - gone.product() + product,
            least: if product < rest { product } else { rest },
            ..*self
        }
    }
}

impl Sharer {
    pub(super) fn siemens(&self) -> f64 {
        1.0 / self.resistance_ohm
    }

    fn product(&self) -> f64 {
        self.resistance_ohm * self.capacity_ah
    }
}

impl Fairer<'_> {
    /// Looks at every pair of cells once and exchanges those that make the shares fairer; false where none does.
    fn sweep(&mut self, looks: &mut usize) -> bool {
        let mut changed = false;
        let seats = self.groups.first().map_or(0, Vec::len);
        for one in 0..self.groups.len() {
            for seat in 0..seats {
                for other in one + 1..self.groups.len() {
                    for place in 0..seats {
                        if *looks == 0 {
                            return false;
                        }
                        *looks -= 1;
                        changed |= self.exchange((one, seat), (other, place)).is_some();
                    }
                }
                for spare in 0..self.spares.len() {
                    if *looks == 0 {
                        return false;
                    }
                    *looks -= 1;
                    changed |= self.replace((one, seat), spare).is_some();
                }
            }
        }
        changed
    }

    fn fits(&self, sums: &Sums) -> bool {
        sums.ah >= self.low_ah && sums.ah <= self.high_ah
    }

    /// Exchanges two cells of different groups if that is fairer.
    fn exchange(&mut self, one: (usize, usize), other: (usize, usize)) -> Option<()> {
        let a = *self.groups.get(one.0)?.get(one.1)?;
        let b = *self.groups.get(other.0)?.get(other.1)?;
        let (cell_a, cell_b) = (self.cells.get(a)?, self.cells.get(b)?);
        let (sums_a, sums_b) = (self.sums.get(one.0)?, self.sums.get(other.0)?);
        if cell_a.class != cell_b.class {
            return None;
        }
        let (new_a, new_b) = (sums_a.swapped(a, cell_a, cell_b), sums_b.swapped(b, cell_b, cell_a));
        let before = sums_a.cost(self.target) + sums_b.cost(self.target);
        let after = new_a.cost(self.target) + new_b.cost(self.target);
        if !(self.fits(&new_a) && self.fits(&new_b) && after < before - 1e-12) {
            return None;
        }
        self.seat(one, b)?;
        self.seat(other, a)
    }

    /// Puts a spare in a cell's place if that is fairer.
    fn replace(&mut self, one: (usize, usize), spare: usize) -> Option<()> {
        let a = *self.groups.get(one.0)?.get(one.1)?;
        let b = *self.spares.get(spare)?;
        let (cell_a, cell_b) = (self.cells.get(a)?, self.cells.get(b)?);
        let sums = self.sums.get(one.0)?;
        if cell_a.class != cell_b.class {
            return None;
        }
        let new = sums.swapped(a, cell_a, cell_b);
        if !(self.fits(&new) && new.cost(self.target) < sums.cost(self.target) - 1e-12) {
            return None;
        }
        *self.spares.get_mut(spare)? = a;
        self.seat(one, b)
    }

    fn seat(&mut self, place: (usize, usize), cell: usize) -> Option<()> {
        let group = self.groups.get_mut(place.0)?;
        *group.get_mut(place.1)? = cell;
        *self.sums.get_mut(place.0)? = Sums::of(self.cells, group);
        Some(())
    }
}
