//! Groups and spares as they stand, and exchanges that even them out.

use super::Arrangement;
use super::pool::Pool;
use crate::quantity::order::{sort_by, sort_places, sort_values};
use alloc::vec;
use alloc::vec::Vec;

/// Groups with which an exchange of two cells is tried, nearest to the other extreme first.
const PAIR_TRIES: usize = 6;

/// One group.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Hand {
    /// Places in the pool, strongest first.
    pub(super) cells: Vec<usize>,
    pub(super) sum: i64,
}

/// Groups and spares.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Deal {
    pub(super) hands: Vec<Hand>,
    /// Places in the pool, strongest first.
    pub(super) spares: Vec<usize>,
}

/// How good a deal is: the weakest group first, then the spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Rank {
    pub(super) weakest: i64,
    pub(super) minus_spread: i64,
}

/// Which extreme group an exchange is to move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Extreme {
    Weakest,
    Strongest,
}

/// One or two cells of a group with their sum.
#[derive(Clone, Copy, Debug)]
struct Lot {
    sum: i64,
    cells: [usize; 2],
    count: usize,
}

/// Cells that two groups exchange, and how far the extreme one moves towards the other.
#[derive(Clone, Debug)]
struct Trade {
    give: Lot,
    take: Lot,
    moved: i64,
}

impl Rank {
    pub(super) const fn strongest(&self) -> i64 {
        self.weakest - self.minus_spread
    }
}

impl Hand {
    fn new(mut cells: Vec<usize>, pool: &Pool) -> Self {
        sort_places(&mut cells);
        let sum = cells.iter().map(|cell| pool.ah(*cell)).sum();
        Self { cells, sum }
    }

    fn exchange(&mut self, out: &[usize], into: &[usize], pool: &Pool) {
        self.cells.retain(|cell| !out.contains(cell));
        self.cells.extend_from_slice(into);
        *self = Self::new(core::mem::take(&mut self.cells), pool);
    }

    pub(super) fn class(&self, pool: &Pool) -> usize {
        self.cells.first().map_or(0, |cell| pool.class(*cell))
    }
}

impl Deal {
    /// Groups by places in the pool; the other cells are spares.
    pub(super) fn new(groups: Vec<Vec<usize>>, pool: &Pool) -> Self {
        let mut spare = vec![true; pool.len()];
        for cell in groups.iter().flatten() {
            if let Some(flag) = spare.get_mut(*cell) {
                *flag = false;
            }
        }
        let spares = (0..pool.len()).filter(|cell| spare.get(*cell) == Some(&true)).collect();
        Self { hands: groups.into_iter().map(|cells| Hand::new(cells, pool)).collect(), spares }
    }

    /// The deal by places in the caller's list.
    pub(super) fn arrangement(&self, pool: &Pool) -> Arrangement {
        let mut hands: Vec<&Hand> = self.hands.iter().collect();
        sort_by(&mut hands, |a, b| b.sum.cmp(&a.sum).then(a.cells.cmp(&b.cells)));
        let places = |cells: &[usize]| cells.iter().map(|cell| pool.place(*cell)).collect();
        Arrangement { groups: hands.iter().map(|hand| places(&hand.cells)).collect(), spares: places(&self.spares) }
    }

    pub(super) fn rank(&self) -> Rank {
        let weakest = self.sum(self.weakest());
        Rank { weakest, minus_spread: weakest - self.sum(self.strongest()) }
    }

    /// Place of the weakest group.
    pub(super) fn weakest(&self) -> usize {
        (0..self.hands.len()).min_by_key(|place| self.sum(*place)).unwrap_or(0)
    }

    /// Place of the strongest group.
    pub(super) fn strongest(&self) -> usize {
        (0..self.hands.len()).max_by_key(|place| self.sum(*place)).unwrap_or(0)
    }

    fn sum(&self, hand: usize) -> i64 {
        self.hands.get(hand).map_or(0, |hand| hand.sum)
    }

    /// One change for the better, of the weakest group or else of the strongest; false where none is found.
    pub(super) fn better(&mut self, pool: &Pool, nodes: &mut u64) -> bool {
        *nodes += (self.hands.len() + self.spares.len()) as u64;
        self.strengthen(pool)
            || self.trade(Extreme::Weakest, 1, pool, nodes)
            || (pool.parallel > 2 && self.trade(Extreme::Weakest, 2, pool, nodes))
            || self.weaken(pool)
            || self.trade(Extreme::Strongest, 1, pool, nodes)
            || (pool.parallel > 2 && self.trade(Extreme::Strongest, 2, pool, nodes))
    }

    /// Swaps the weakest group's weakest cell for the strongest spare; where other groups are as weak, for the
    /// strongest that leaves it under the strongest group, so that [`Deal::weaken`] is never undone.
    fn strengthen(&mut self, pool: &Pool) -> bool {
        let poor = self.weakest();
        let Some(hand) = self.hands.get(poor) else { return false };
        let Some(&out) = hand.cells.last() else { return false };
        let alone = self.hands.iter().filter(|other| other.sum == hand.sum).count() == 1;
        let (class, top) = (hand.class(pool), self.rank().strongest());
        let helps = |spare: &usize| {
            let gain = pool.ah(*spare) - pool.ah(out);
            pool.class(*spare) == class && gain > 0 && (alone || hand.sum + gain < top)
        };
        let spare = self.spares.iter().copied().find(helps);
        spare.is_some_and(|spare| self.replace(poor, out, spare, pool))
    }

    /// Swaps a cell of the strongest group for a weaker spare, as far down as the weakest group allows.
    fn weaken(&mut self, pool: &Pool) -> bool {
        let rich = self.strongest();
        let room = -self.rank().minus_spread;
        let Some(hand) = self.hands.get(rich) else { return false };
        let class = hand.class(pool);
        let mut best: Option<(i64, usize, usize)> = None;
        for &out in &hand.cells {
            // Spares are sorted: the first with a loss within the room is the weakest spare to consider from there.
            let from = self.spares.partition_point(|spare| pool.ah(*spare) >= pool.ah(out));
            let to = self.spares.partition_point(|spare| pool.ah(*spare) >= pool.ah(out) - room);
            let spares = self.spares.get(from..to).unwrap_or(&[]);
            let Some(&spare) = spares.iter().rev().find(|spare| pool.class(**spare) == class) else { continue };
            let loss = pool.ah(out) - pool.ah(spare);
            if best.is_none_or(|(most, ..)| loss > most) {
                best = Some((loss, out, spare));
            }
        }
        best.is_some_and(|(_, out, spare)| self.replace(rich, out, spare, pool))
    }

    fn replace(&mut self, hand: usize, out: usize, spare: usize, pool: &Pool) -> bool {
        let Some(hand) = self.hands.get_mut(hand) else { return false };
        hand.exchange(&[out], &[spare], pool);
        self.spares.retain(|cell| *cell != spare);
        let place = self.spares.partition_point(|cell| *cell < out);
        self.spares.insert(place, out);
        true
    }

    /// Exchanges `count` cells between an extreme group and the one with which that evens out best.
    fn trade(&mut self, extreme: Extreme, count: usize, pool: &Pool, nodes: &mut u64) -> bool {
        let hand = if extreme == Extreme::Weakest { self.weakest() } else { self.strongest() };
        let Some(mine) = self.hands.get(hand) else { return false };
        let my_lots = lots(mine, count, pool, nodes);
        let mut best: Option<(usize, Trade)> = None;
        let others = self.partners(hand, extreme, pool);
        for &other in others.iter().take(if count == 1 { others.len() } else { PAIR_TRIES }) {
            let Some(theirs) = self.hands.get(other) else { continue };
            let gap = (theirs.sum - mine.sum).abs();
            let their_lots = lots(theirs, count, pool, nodes);
            let (poor, rich) =
                if extreme == Extreme::Weakest { (&my_lots, &their_lots) } else { (&their_lots, &my_lots) };
            let Some(trade) = evenest(poor, rich, gap) else { continue };
            if best.as_ref().is_none_or(|(_, most)| trade.moved > most.moved) {
                best = Some((other, trade));
            }
            if count > 1 {
                break;
            }
        }
        let Some((other, trade)) = best else { return false };
        let (poor, rich) = if extreme == Extreme::Weakest { (hand, other) } else { (other, hand) };
        self.exchange(poor, rich, trade.give.cells(), trade.take.cells(), pool);
        true
    }

    /// Groups that an extreme one may trade with, those farthest from it first.
    fn partners(&self, hand: usize, extreme: Extreme, pool: &Pool) -> Vec<usize> {
        let Some(mine) = self.hands.get(hand) else { return Vec::new() };
        let class = mine.class(pool);
        let fits = |other: &Hand| other.class(pool) == class && (other.sum - mine.sum).abs() > 1;
        let mut others: Vec<usize> =
            self.hands.iter().enumerate().filter(|(_, other)| fits(other)).map(|(place, _)| place).collect();
        let late = |place: usize| if extreme == Extreme::Weakest { -self.sum(place) } else { self.sum(place) };
        sort_values(&mut others, |one, other| late(*one) > late(*other));
        others
    }

    /// Moves `give` from group `from` to group `to`, and `take` back.
    pub(super) fn exchange(&mut self, from: usize, to: usize, give: &[usize], take: &[usize], pool: &Pool) {
        if let Some(hand) = self.hands.get_mut(from) {
            hand.exchange(give, take, pool);
        }
        if let Some(hand) = self.hands.get_mut(to) {
            hand.exchange(take, give, pool);
        }
    }
}

impl Lot {
    fn cells(&self) -> &[usize] {
        self.cells.get(..self.count).unwrap_or(&[])
    }
}

/// Every lot of one or two cells, strongest first.
fn lots(hand: &Hand, count: usize, pool: &Pool, nodes: &mut u64) -> Vec<Lot> {
    let mut lots = Vec::new();
    for (place, &first) in hand.cells.iter().enumerate() {
        if count == 1 {
            lots.push(Lot { sum: pool.ah(first), cells: [first, first], count });
            continue;
        }
        for &second in hand.cells.iter().skip(place + 1) {
            lots.push(Lot { sum: pool.ah(first) + pool.ah(second), cells: [first, second], count });
        }
    }
    sort_values(&mut lots, |a, b| a.sum < b.sum || (a.sum == b.sum && a.cells > b.cells));
    *nodes += 3 * lots.len() as u64;
    lots
}

/// The exchange whose gain for the poorer group lies nearest to half the gap, strictly inside it.
fn evenest(poor: &[Lot], rich: &[Lot], gap: i64) -> Option<Trade> {
    let mut best: Option<(i64, &Lot, &Lot)> = None;
    let mut start = 0;
    for give in poor {
        // From here on the gain is at most half the gap; as `give` falls, so does this place.
        let half = give.sum + gap / 2;
        while rich.get(start).is_some_and(|take| take.sum > half) {
            start += 1;
        }
        for take in [start.checked_sub(1).and_then(|before| rich.get(before)), rich.get(start)].into_iter().flatten() {
            let gain = take.sum - give.sum;
            let moved = gain.min(gap - gain);
            if moved > 0 && best.is_none_or(|(most, ..)| moved > most) {
                best = Some((moved, give, take));
            }
        }
    }
    best.map(|(moved, give, take)| Trade { give: *give, take: *take, moved })
}
