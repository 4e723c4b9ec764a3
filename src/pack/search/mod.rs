//! Which cells share a group: the weakest group made as strong as possible, then the spread as small as possible.
//!
//! A search is a value that is stepped by effort. It starts from a deal back and forth, evens the groups out by
//! exchanging one or two cells (`deal`), deals a few groups anew so that they fit between the extremes (`improve`),
//! and, where the cells are few, walks through every arrangement (`window`). What it cannot exceed is worked out
//! beforehand (`bound`) and lowered when the walk ends, so that an arrangement can be proven to be the best.
//! Capacities are whole numbers of [`STEP_AH`]: nothing is rounded on the way, and the same effort gives the same
//! arrangement on every target, in however many pieces it is asked for.
//!
//! Methods from the literature on multi-way number partitioning, own formulation.

mod bound;
mod deal;
mod improve;
mod pool;
mod window;

use crate::error::Error;
use crate::quantity::order::{sort_by, sort_places};
use alloc::format;
use alloc::vec;
use alloc::vec::Vec;
use deal::{Deal, Rank};
use improve::Dice;
use pool::{Entry, Pool};
use window::{Spares, Walk, Window};

/// Capacities are counted in steps of this size, in ampere-hours.
pub const STEP_AH: f64 = 1e-6;

/// Most cells that a search takes.
pub const CELLS_MAX: usize = 20_000;

/// Pools up to this size are also walked through completely.
const WALK_CELLS: usize = 64;

/// Effort of one piece of a walk, in nodes.
const PIECE: u64 = 5000;

/// A value of a list of whole numbers; 0 beyond its end.
fn at(list: &[i64], place: usize) -> i64 {
    list.get(place).copied().unwrap_or(0)
}

/// A count as a whole number with a sign.
fn whole(count: usize) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// A cell as the search sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contender {
    /// Capacity, in ampere-hours.
    pub capacity_ah: f64,
    /// Only cells of one class share a group; any number.
    pub class: usize,
}

/// Cells by group and left over, as places in the list that the search was given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Arrangement {
    /// The groups, strongest first; in each the strongest cell first.
    pub groups: Vec<Vec<usize>>,
    /// Cells in no group, strongest first.
    pub spares: Vec<usize>,
}

/// How far a search has come.
#[derive(Clone, Debug, PartialEq)]
pub struct Progress {
    /// The best arrangement so far.
    pub best: Arrangement,
    /// Capacity of its weakest group, in ampere-hours.
    pub weakest_ah: f64,
    /// Strongest group minus weakest, in ampere-hours.
    pub spread_ah: f64,
    /// No arrangement has a weakest group above this, in ampere-hours.
    pub bound_ah: f64,
    /// `bound_ah` minus `weakest_ah`, in ampere-hours.
    pub gap_ah: f64,
    /// No arrangement has a stronger weakest group.
    pub weakest_proven: bool,
    /// No arrangement with that weakest group has a smaller spread.
    pub spread_proven: bool,
    /// Both are proven: more effort changes nothing.
    pub done: bool,
    /// Effort spent, in nodes: looks at one exchange or one cell of a group.
    pub nodes: u64,
}

/// A search for groups.
///
/// # Examples
///
/// ```
/// # use cellwright::pack::search::{Contender, Search};
/// let cells = [2.4, 2.3, 2.1, 2.0, 1.9, 1.7].map(|capacity_ah| Contender { capacity_ah, class: 0 });
/// let mut search = Search::new(&cells, 3, 2)?;
/// let progress = search.step(10_000);
/// assert_eq!((progress.weakest_ah, progress.spread_ah, progress.done), (4.1, 0.1, true));
/// assert_eq!(progress.best.groups, [[1, 4], [0, 5], [2, 3]]);
/// assert_eq!(Search::new(&cells, 4, 2).unwrap_err().field(), "cells");
/// # Ok::<(), cellwright::Error>(())
/// ```
#[derive(Clone, Debug)]
pub struct Search {
    pool: Pool,
    bound: i64,
    spread_bound: i64,
    now: Deal,
    best: Deal,
    best_rank: Rank,
    settled: bool,
    weakest_proven: bool,
    spread_proven: bool,
    walk: Option<Walker>,
    dice: Dice,
    turn: u64,
    stale: u64,
    asked: u64,
    spent: u64,
}

/// The complete walk and the cells it goes over.
#[derive(Clone, Debug)]
struct Walker {
    window: Window,
    cells: Vec<usize>,
}

impl Search {
    /// A search for `series` groups of `parallel` cells.
    ///
    /// # Errors
    ///
    /// Names a count of zero, a capacity that is not between 0 and 1000 Ah, or `cells` where they are too few, or
    /// where their classes cannot fill the groups.
    pub fn new(cells: &[Contender], series: usize, parallel: usize) -> Result<Self, Error> {
        for (field, count) in [("series", series), ("parallel", parallel)] {
            crate::error::within(field, count as f64, 1.0, super::COUNT_MAX as f64)?;
        }
        if cells.len() > CELLS_MAX {
            return Err(Error::range("cells", cells.len() as f64, 1.0, CELLS_MAX as f64));
        }
        let mut classes: Vec<usize> = cells.iter().map(|cell| cell.class).collect();
        sort_places(&mut classes);
        classes.dedup();
        let mut entries = Vec::with_capacity(cells.len());
        for (place, cell) in cells.iter().enumerate() {
            let capacity_ah = crate::error::within("capacity_ah", cell.capacity_ah, 0.0, 1000.0);
            let capacity_ah = capacity_ah.map_err(|error| error.at(place).at("cells"))?;
            let class = classes.partition_point(|class| *class < cell.class);
            entries.push(Entry { place, steps: libm::round(capacity_ah / STEP_AH) as i64, class });
        }
        let pool = Pool::new(entries, series, parallel);
        let most: usize = pool.by_class().iter().map(|cells| cells.len() / parallel).sum();
        if most < series {
            let given = format!("{} cells of {} kinds, enough for {most} groups", cells.len(), classes.len());
            let accepted = format!("cells for {series} groups of {parallel} cells of one kind");
            return Err(Error::other("cells", given, accepted));
        }
        Ok(Self::start(pool))
    }

    /// Deals the cells back and forth, to each class as many groups as its bounds promise best.
    fn start(pool: Pool) -> Self {
        let by_class = pool.by_class();
        let mut promises = Vec::new();
        for (class, cells) in by_class.iter().enumerate() {
            let ah: Vec<i64> = cells.iter().map(|cell| pool.ah(*cell)).collect();
            promises.extend(bound::by_groups(&ah, pool.parallel, pool.series).into_iter().map(|most| (most, class)));
        }
        sort_by(&mut promises, |a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
        promises.truncate(pool.series);
        let bound = promises.last().map_or(0, |promise| promise.0);
        let mut groups = Vec::new();
        for (class, cells) in by_class.iter().enumerate() {
            let count = promises.iter().filter(|promise| promise.1 == class).count();
            groups.extend(back_and_forth(cells, count, pool.parallel));
        }
        let now = Deal::new(groups, &pool);
        let total: i64 = now.hands.iter().map(|hand| hand.sum).sum();
        let uneven = now.spares.is_empty() && total % whole(pool.series) != 0;
        Self {
            bound,
            spread_bound: i64::from(uneven),
            best_rank: now.rank(),
            best: now.clone(),
            now,
            settled: false,
            weakest_proven: false,
            spread_proven: false,
            walk: None,
            dice: Dice::new(),
            turn: 0,
            stale: 0,
            asked: 0,
            spent: 0,
            pool,
        }
    }

    /// Spends `nodes` more, or less where it is done before.
    ///
    /// What was reached depends only on the sum of all that was asked for.
    pub fn step(&mut self, nodes: u64) -> Progress {
        self.asked = self.asked.saturating_add(nodes);
        while self.spent < self.asked && !self.done() {
            self.spent += 1;
            self.piece();
        }
        self.progress()
    }

    fn done(&self) -> bool {
        self.weakest_proven && self.spread_proven
    }

    /// How far the search has come.
    #[must_use]
    pub fn progress(&self) -> Progress {
        let ah = |steps: i64| steps as f64 / (1.0 / STEP_AH);
        Progress {
            best: self.best.arrangement(&self.pool),
            weakest_ah: ah(self.pool.steps(self.best_rank.weakest)),
            spread_ah: ah(self.pool.difference(-self.best_rank.minus_spread)),
            bound_ah: ah(self.pool.steps(self.bound)),
            gap_ah: ah(self.pool.difference(self.bound - self.best_rank.weakest)),
            weakest_proven: self.weakest_proven,
            spread_proven: self.spread_proven,
            done: self.done(),
            nodes: self.spent,
        }
    }

    fn piece(&mut self) {
        if !self.settled {
            self.settled = !self.now.better(&self.pool, &mut self.spent);
            self.note();
            return;
        }
        self.turn += 1;
        if self.turn.is_multiple_of(2) && self.pool.len() <= WALK_CELLS {
            self.walk_on();
        } else {
            self.improve();
        }
    }

    /// Takes on new groups.
    fn take(&mut self, groups: Vec<Vec<usize>>) {
        self.now = Deal::new(groups, &self.pool);
        self.settled = false;
        self.note();
    }

    /// Keeps the present deal where it is the best so far, and judges whether anything is left to do.
    fn note(&mut self) {
        let rank = self.now.rank();
        if rank > self.best_rank {
            self.best_rank = rank;
            self.best = self.now.clone();
            self.stale = 0;
            self.narrow();
        }
        if self.best_rank.weakest >= self.bound && !self.weakest_proven {
            self.weakest_proven = true;
            self.walk = None;
        }
        if self.weakest_proven && -self.best_rank.minus_spread <= self.spread_bound {
            self.spread_proven = true;
        }
    }

    /// Lets the walk look for better arrangements than the best only.
    fn narrow(&mut self) {
        let rank = self.best_rank;
        let (low, high) =
            if self.weakest_proven { (rank.weakest, rank.strongest() - 1) } else { (rank.weakest + 1, window::NO_END) };
        if let Some(walk) = &mut self.walk {
            walk.window.narrow(low, high);
        }
    }

    fn walk_on(&mut self) {
        if self.walk.is_none() {
            self.walk = Some(self.walker());
            self.narrow();
        }
        let Some(Walker { window, cells }) = &mut self.walk else { return };
        let mut left = PIECE;
        let end = window.walk(&mut left);
        self.spent += PIECE - left;
        match end {
            Walk::Paused => {}
            Walk::Found => {
                let groups = window.groups(cells);
                self.take(groups);
            }
            Walk::Exhausted => {
                self.walk = None;
                if self.weakest_proven {
                    self.spread_proven = true;
                } else {
                    self.bound = self.best_rank.weakest;
                }
                self.note();
            }
        }
    }

    /// A walk over every arrangement; for the weakest group the strongest cells of each class are enough.
    fn walker(&self) -> Walker {
        if self.weakest_proven {
            let cells: Vec<usize> = (0..self.pool.len()).collect();
            return Walker { window: self.window(&cells, self.pool.series, Spares::Any), cells };
        }
        let mut cells = Vec::new();
        for class in self.pool.by_class() {
            let groups = (class.len() / self.pool.parallel).min(self.pool.series);
            cells.extend(class.into_iter().take(groups * self.pool.parallel));
        }
        sort_places(&mut cells);
        Walker { window: self.window(&cells, self.pool.series, Spares::Weakest), cells }
    }

    fn window(&self, cells: &[usize], series: usize, spares: Spares) -> Window {
        let ah = cells.iter().map(|cell| self.pool.ah(*cell)).collect();
        let class = cells.iter().map(|cell| self.pool.class(*cell)).collect();
        Window::new(ah, class, series, self.pool.parallel, spares)
    }
}

/// The strongest cells of one class dealt to `count` groups, every other round backwards.
fn back_and_forth(cells: &[usize], count: usize, parallel: usize) -> Vec<Vec<usize>> {
    let mut dealt = vec![Vec::with_capacity(parallel); count];
    for (round, chunk) in cells.chunks(count.max(1)).take(if count > 0 { parallel } else { 0 }).enumerate() {
        for (seat, &cell) in chunk.iter().enumerate() {
            let seat = if round % 2 == 0 { seat } else { count - 1 - seat };
            if let Some(hand) = dealt.get_mut(seat) {
                hand.push(cell);
            }
        }
    }
    dealt
}
