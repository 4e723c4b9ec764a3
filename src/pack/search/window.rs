//! Every way to form groups whose sums all lie in a window, one after the other.
//!
//! The strongest free cell leads the next group; its mates are tried from strong to weak. A branch is cut where the
//! strongest cells left cannot lift every group to the window's low end, or the weakest ones exceed its high end.
//! Cells of equal capacity stand for each other. The walk is complete: when it is exhausted, no way is left.
//! It can be paused anywhere and narrowed on the way.

use super::{at, whole};
use alloc::vec;
use alloc::vec::Vec;

/// High end of a window that is open above.
pub(super) const NO_END: i64 = i64::MAX / 4;

/// Which cells may be left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Spares {
    /// Only the weakest of each class: enough for the weakest group.
    Weakest,
    /// Any.
    Any,
}

/// How a piece of the walk ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Walk {
    /// Groups stand in the window.
    Found,
    /// Every way was seen.
    Exhausted,
    /// The effort is spent.
    Paused,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place {
    Free,
    Used,
    Spare,
}

/// A walk over all ways to form groups.
#[derive(Clone, Debug)]
pub(super) struct Window {
    ah: Vec<i64>,
    class: Vec<usize>,
    classes: usize,
    parallel: usize,
    spares: Spares,
    low: i64,
    high: i64,
    place: Vec<Place>,
    spares_left: usize,
    frames: Vec<Frame>,
    depth: usize,
    started: bool,
}

/// One group being formed.
#[derive(Clone, Debug, Default)]
struct Frame {
    leader: usize,
    /// Cells that may join, strongest first, and the running sum of their capacities.
    mates: Vec<usize>,
    running: Vec<i64>,
    /// Places in `mates` that have joined.
    picks: Vec<usize>,
    next: usize,
    sum: i64,
    low: i64,
    high: i64,
    /// The group is complete and its cells are marked.
    taken: bool,
    /// Cells put aside before this group.
    aside: Vec<usize>,
}

impl Window {
    /// Cells strongest first with their classes; `low` to `high` for the sum of each of `series` groups.
    pub(super) fn new(ah: Vec<i64>, class: Vec<usize>, series: usize, parallel: usize, spares: Spares) -> Self {
        let classes = class.iter().max().map_or(0, |most| most + 1);
        let spares_left = ah.len().saturating_sub(series * parallel);
        Self {
            place: vec![Place::Free; ah.len()],
            ah,
            class,
            classes,
            parallel,
            spares,
            low: 0,
            high: NO_END,
            spares_left,
            frames: vec![Frame::default(); series],
            depth: 0,
            started: false,
        }
    }

    /// Narrows the window; groups that stand outside are undone.
    pub(super) fn narrow(&mut self, low: i64, high: i64) {
        self.low = self.low.max(low);
        self.high = self.high.min(high);
        for frame in self.frames.iter_mut().take(self.depth) {
            frame.low = frame.low.max(self.low);
            frame.high = frame.high.min(self.high);
        }
        let standing = self.frames.iter().take(self.depth);
        let outside = |frame: &Frame| frame.taken && !(frame.low..=frame.high).contains(&frame.sum);
        let keep = standing.clone().position(outside).map_or(self.depth, |at| at + 1);
        while self.depth > keep {
            self.close();
        }
    }

    /// The groups that stand, each cell by its entry in `cells`.
    pub(super) fn groups(&self, cells: &[usize]) -> Vec<Vec<usize>> {
        let members = |frame: &Frame| {
            let mates = frame.picks.iter().filter_map(|pick| frame.mates.get(*pick).copied());
            core::iter::once(frame.leader).chain(mates).filter_map(|place| cells.get(place).copied()).collect()
        };
        self.frames.iter().take(self.depth).map(members).collect()
    }

    /// Walks on for `nodes` at most, and takes what was spent off them.
    pub(super) fn walk(&mut self, nodes: &mut u64) -> Walk {
        if !self.started {
            self.started = true;
            if !self.open() {
                return Walk::Exhausted;
            }
        }
        while *nodes > 0 {
            *nodes -= 1;
            let Some(frame) = self.depth.checked_sub(1).and_then(|top| self.frames.get_mut(top)) else {
                return Walk::Exhausted;
            };
            if frame.taken {
                self.undo();
            } else if frame.grow(&self.ah, self.parallel) {
                if frame.picks.len() + 1 == self.parallel {
                    self.take();
                    if self.depth == self.frames.len() {
                        return Walk::Found;
                    }
                    *nodes = nodes.saturating_sub(self.ah.len() as u64 / 8);
                    self.open();
                }
            } else if !frame.picks.is_empty() {
                frame.drop_last(&self.ah);
            } else if !self.pass_over() {
                self.close();
            }
        }
        Walk::Paused
    }

    /// Opens the next group; false, with nothing changed, where it cannot succeed.
    fn open(&mut self) -> bool {
        let left = self.frames.len() - self.depth;
        let free: Vec<usize> = (0..self.ah.len()).filter(|i| self.place.get(*i) == Some(&Place::Free)).collect();
        let mut running = Vec::with_capacity(free.len() + 1);
        running.push(0);
        let mut total = 0;
        for &cell in &free {
            total += at(&self.ah, cell);
            running.push(total);
        }
        let Some(&leader) = free.first() else { return false };
        if !self.can_fill(&free, &running, left) {
            return false;
        }
        let strong = at(&running, left * self.parallel);
        let weak = total - at(&running, free.len() - left * self.parallel);
        let others = whole(left) - 1;
        let low = self.low.max(weak.saturating_sub(others.saturating_mul(self.high)));
        let high = self.high.min(strong - others * self.low);
        let class = self.class.get(leader);
        let Some(frame) = self.frames.get_mut(self.depth) else { return false };
        frame.leader = leader;
        frame.mates.clear();
        frame.mates.extend(free.iter().skip(1).filter(|cell| self.class.get(**cell) == class));
        frame.running.clear();
        frame.running.push(0);
        let mut total = 0;
        for &cell in &frame.mates {
            total += at(&self.ah, cell);
            frame.running.push(total);
        }
        frame.picks.clear();
        frame.next = 0;
        frame.sum = at(&self.ah, leader);
        (frame.low, frame.high) = (low, high);
        frame.taken = false;
        frame.aside.clear();
        self.depth += 1;
        true
    }

    /// Whether the free cells may still fill `left` groups within the window.
    fn can_fill(&self, free: &[usize], running: &[i64], left: usize) -> bool {
        let size = self.parallel;
        if free.len() < left * size {
            return false;
        }
        let mut of_class = vec![0; self.classes];
        for cell in free {
            if let Some(count) = self.class.get(*cell).and_then(|class| of_class.get_mut(*class)) {
                *count += 1;
            }
        }
        if of_class.iter().map(|count| count / size).sum::<usize>() < left {
            return false;
        }
        let lifted = (0..left).all(|top| {
            // Groups without any of the `top` strongest cells.
            let groups = left - top;
            at(running, top + groups * size) - at(running, top) >= whole(groups) * self.low
        });
        let weak = at(running, free.len()) - at(running, free.len() - left * size);
        lifted && weak <= self.high.saturating_mul(whole(left))
    }

    fn mark(&mut self, place: Place) {
        let Some(frame) = self.depth.checked_sub(1).and_then(|top| self.frames.get(top)) else { return };
        let mates = frame.picks.iter().filter_map(|pick| frame.mates.get(*pick));
        for &cell in core::iter::once(&frame.leader).chain(mates) {
            if let Some(slot) = self.place.get_mut(cell) {
                *slot = place;
            }
        }
    }

    fn set_taken(&mut self, taken: bool) {
        if let Some(frame) = self.depth.checked_sub(1).and_then(|top| self.frames.get_mut(top)) {
            frame.taken = taken;
        }
    }

    fn take(&mut self) {
        self.mark(Place::Used);
        self.set_taken(true);
    }

    fn undo(&mut self) {
        self.mark(Place::Free);
        self.set_taken(false);
        if let Some(frame) = self.depth.checked_sub(1).and_then(|top| self.frames.get_mut(top)) {
            if frame.picks.is_empty() {
                frame.next = 1; // a group of one cell has no second way
            } else {
                frame.drop_last(&self.ah);
            }
        }
    }

    /// Puts the leader aside as a spare and opens the group again with the next; false where that is not possible.
    fn pass_over(&mut self) -> bool {
        let Some(frame) = self.depth.checked_sub(1).and_then(|top| self.frames.get(top)) else { return false };
        let leader = frame.leader;
        let mut aside = vec![leader];
        if self.spares == Spares::Weakest {
            aside.extend_from_slice(&frame.mates);
        }
        if aside.len() > self.spares_left {
            return false;
        }
        let before = frame.aside.clone();
        self.depth -= 1;
        self.spares_left -= aside.len();
        self.put(&aside, Place::Spare);
        if !self.open() {
            self.depth += 1; // the frame stands as it was; its leader is exhausted
            self.spares_left += aside.len();
            self.put(&aside, Place::Free);
            return false;
        }
        if let Some(frame) = self.frames.get_mut(self.depth - 1) {
            frame.aside = before;
            frame.aside.append(&mut aside);
        }
        true
    }

    fn put(&mut self, cells: &[usize], place: Place) {
        for cell in cells {
            if let Some(slot) = self.place.get_mut(*cell) {
                *slot = place;
            }
        }
    }

    /// Gives the top group up.
    fn close(&mut self) {
        let Some(top) = self.depth.checked_sub(1) else { return };
        if self.frames.get(top).is_some_and(|frame| frame.taken) {
            self.mark(Place::Free);
            self.set_taken(false);
        }
        let aside = self.frames.get_mut(top).map(|frame| core::mem::take(&mut frame.aside)).unwrap_or_default();
        self.spares_left += aside.len();
        self.put(&aside, Place::Free);
        self.depth = top;
    }
}

impl Frame {
    fn mate_ah(&self, ah: &[i64], place: usize) -> i64 {
        self.mates.get(place).map_or(0, |cell| at(ah, *cell))
    }

    /// Lets the next mate join that can still lead into the window; false where there is none.
    fn grow(&mut self, ah: &[i64], parallel: usize) -> bool {
        let open = parallel - 1 - self.picks.len();
        if open == 0 {
            return parallel == 1 && self.next == 0 && (self.low..=self.high).contains(&self.sum);
        }
        let (low, high) = (self.low - self.sum, self.high - self.sum);
        let count = self.mates.len();
        if self.next + open > count {
            return false;
        }
        // The strongest mate that leaves room under the high end with the weakest others.
        let tail = at(&self.running, count) - at(&self.running, count - (open - 1));
        let rest = self.mates.get(self.next..=count - open).unwrap_or(&[]);
        let place = self.next + rest.partition_point(|cell| at(ah, *cell) > high - tail);
        if place + open > count || at(&self.running, place + open) - at(&self.running, place) < low {
            return false;
        }
        self.sum += self.mate_ah(ah, place);
        self.picks.push(place);
        self.next = place + 1;
        true
    }

    /// Takes the last mate out and moves on to the next that differs from it.
    fn drop_last(&mut self, ah: &[i64]) {
        if let Some(place) = self.picks.pop() {
            let value = self.mate_ah(ah, place);
            self.sum -= value;
            self.next = place + 1;
            while self.next < self.mates.len() && self.mate_ah(ah, self.next) == value {
                self.next += 1;
            }
        }
    }
}
