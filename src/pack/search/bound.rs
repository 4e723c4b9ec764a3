//! What no arrangement can exceed.
//!
//! ```text
//! m groups without the j strongest cells:   weakest ≤ (sum of the next (m − j)·P cells) / (m − j)
//! m groups, k cells called strong, t = k/m: q groups with at most t strong cells hold at most
//!     b = min(q·t, k − (m − q)·(t + 1)) of them, so
//!     weakest ≤ max over q of (b strongest + q·P − b strongest of the others) / q
//! pairs, the i weakest of 2m cells:         weakest ≤ i-th strongest + i-th weakest
//! ```
//!
//! Both by the pigeonhole principle; whole numbers throughout.

use super::{at, whole};
use alloc::vec::Vec;

/// Effort above which the finer bound is left out.
const FINE_EFFORT: usize = 20_000_000;

/// Upper bounds of the weakest group for 1, 2, … groups of `parallel` out of `ah` (strongest first), falling.
pub(super) fn by_groups(ah: &[i64], parallel: usize, most_groups: usize) -> Vec<i64> {
    let mut running = Vec::with_capacity(ah.len() + 1);
    running.push(0);
    let mut total = 0;
    for value in ah {
        total += value;
        running.push(total);
    }
    let mut bounds = Vec::new();
    let mut least = i64::MAX;
    for groups in 1..=most_groups.min(ah.len() / parallel) {
        least = least.min(without_strongest(&running, groups, parallel));
        if parallel == 2 {
            least = least.min(pairs(ah, groups));
        }
        bounds.push(least);
    }
    let effort = bounds.len() * bounds.len() * ah.len();
    let fine_from = if effort > FINE_EFFORT { bounds.len() } else { 1 };
    let mut least = i64::MAX;
    for (i, bound) in bounds.iter_mut().enumerate() {
        if i + 1 >= fine_from && (i + 1) * ah.len() <= FINE_EFFORT {
            least = least.min(by_kind(&running, i + 1, parallel));
        }
        *bound = (*bound).min(least);
    }
    bounds
}

fn without_strongest(running: &[i64], groups: usize, parallel: usize) -> i64 {
    (0..groups)
        .map(|top| {
            let left = groups - top;
            (at(running, top + left * parallel) - at(running, top)).div_euclid(whole(left))
        })
        .min()
        .unwrap_or(i64::MAX)
}

/// Either two of the i weakest cells share a group, or one of them shares it with a cell beyond the i − 1 strongest.
fn pairs(ah: &[i64], groups: usize) -> i64 {
    (0..groups).map(|i| at(ah, i) + at(ah, 2 * groups - 1 - i)).min().unwrap_or(i64::MAX)
}

fn by_kind(running: &[i64], groups: usize, parallel: usize) -> i64 {
    let all = groups * parallel;
    let of_strong = |strong: usize| {
        let few = strong / groups;
        let with_few = |poor: usize| {
            let forced = (groups - poor) * (few + 1);
            let held = (poor * few).min(strong.checked_sub(forced)?);
            let others = poor * parallel - held;
            if strong + others > all {
                return None; // the other groups would hold more strong cells than they have places
            }
            let sum = at(running, held) + at(running, strong + others) - at(running, strong);
            Some(sum.div_euclid(whole(poor)))
        };
        (1..=groups).filter_map(with_few).max().unwrap_or(i64::MAX)
    };
    (1..all).map(of_strong).min().unwrap_or(i64::MAX)
}
