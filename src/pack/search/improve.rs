//! Deals a few groups anew, or shakes them, where exchanges alone no longer help.

use super::deal::Deal;
use super::window::{NO_END, Spares, Walk};
use super::{PIECE, Search};
use crate::quantity::order::sort_places;
use alloc::vec::Vec;

/// Tries without success after which the search goes back to the best arrangement.
const GO_BACK: u64 = 200;

/// Every so many tries the groups are shaken.
const SHAKE: u64 = 40;

/// Most cells in a group for which dealing anew pays.
const DEAL_PARALLEL: usize = 10;

/// Most cells that are dealt anew at once, spares not counted.
const DEAL_CELLS: usize = 24;

/// A sequence of numbers without a pattern, the same in every search.
#[derive(Clone, Copy, Debug)]
pub(super) struct Dice(u64);

impl Dice {
    pub(super) const fn new() -> Self {
        Self(1)
    }

    /// A number from 0 to below `sides`, by a 64-bit mixing step (Steele, Lea and Flood, 2014; from memory).
    pub(super) fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let once = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let twice = (once ^ (once >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((twice ^ (twice >> 31)) % sides.max(1) as u64) as usize
    }
}

impl Search {
    pub(super) fn improve(&mut self) {
        self.stale += 1;
        if self.stale.is_multiple_of(GO_BACK) {
            self.now = self.best.clone();
        }
        if self.pool.parallel > DEAL_PARALLEL || self.stale.is_multiple_of(SHAKE) {
            self.shake();
        } else {
            self.deal_anew();
        }
    }

    /// Two exchanges without aim.
    fn shake(&mut self) {
        let (series, parallel) = (self.pool.series, self.pool.parallel);
        for _ in 0..2 {
            let (from, to) = (self.dice.roll(series), self.dice.roll(series));
            let (give, take) = (self.dice.roll(parallel), self.dice.roll(parallel));
            let (Some(a), Some(b)) = (self.now.hands.get(from), self.now.hands.get(to)) else { continue };
            let (Some(&give), Some(&take)) = (a.cells.get(give), b.cells.get(take)) else { continue };
            if from != to && a.class(&self.pool) == b.class(&self.pool) {
                self.now.exchange(from, to, &[give], &[take], &self.pool);
            }
        }
        self.settled = false;
    }

    /// Deals some groups anew: mostly the extremes, to lie strictly between them; now and then others, to lie anywhere
    /// between.
    fn deal_anew(&mut self) {
        let sideways = self.dice.roll(4) == 0;
        let chosen = self.choose(sideways);
        let rank = self.now.rank();
        let settled = self.best_rank.weakest >= self.bound;
        let (low, high) = if sideways {
            (rank.weakest, rank.strongest())
        } else if chosen.contains(&self.now.strongest()) {
            (rank.weakest + i64::from(!settled), rank.strongest() - 1)
        } else {
            (rank.weakest + 1, NO_END)
        };
        let cells = self.cells_of(&chosen);
        let mut window = self.window(&cells, chosen.len(), Spares::Any);
        window.narrow(low, high);
        let mut left = 4 * PIECE;
        let mut found = None;
        for _ in 0..=if sideways { self.dice.roll(4) } else { 0 } {
            if window.walk(&mut left) != Walk::Found {
                break;
            }
            found = Some(window.groups(&cells));
        }
        self.spent += 4 * PIECE - left;
        if let Some(mut groups) = found {
            let others = self.now.hands.iter().enumerate().filter(|(place, _)| !chosen.contains(place));
            groups.extend(others.map(|(_, hand)| hand.cells.clone()));
            self.take(groups);
        }
    }

    /// Places of the groups to deal anew.
    fn choose(&mut self, sideways: bool) -> Vec<usize> {
        let series = self.pool.series;
        let most = (DEAL_CELLS / self.pool.parallel).clamp(2, 24).min(series);
        let count = if most > 2 { 2 + self.dice.roll(most - 1) } else { most };
        let mut chosen = Vec::with_capacity(count);
        if !sideways {
            chosen.push(self.now.weakest());
            if self.dice.roll(4) > 0 && count > 1 {
                chosen.push(self.now.strongest());
                chosen.dedup();
            }
        }
        while chosen.len() < count {
            let hand = self.dice.roll(series);
            if !chosen.contains(&hand) {
                chosen.push(hand);
            }
        }
        chosen
    }

    /// Cells of some groups, with up to three spares.
    fn cells_of(&mut self, chosen: &[usize]) -> Vec<usize> {
        let Deal { hands, spares } = &self.now;
        let mut cells: Vec<usize> =
            chosen.iter().filter_map(|hand| hands.get(*hand)).flat_map(|hand| hand.cells.iter().copied()).collect();
        for _ in 0..spares.len().min(3) {
            if let Some(&spare) = spares.get(self.dice.roll(spares.len()))
                && !cells.contains(&spare)
            {
                cells.push(spare);
            }
        }
        sort_places(&mut cells);
        cells
    }
}
