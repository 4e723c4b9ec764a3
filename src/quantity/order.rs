//! Putting lists in order.
//!
//! One merge sort of places serves every list: core's own sorts stand in the program once for each type that is
//! sorted, and made a tenth of it. Equal entries keep their order.

use alloc::vec::Vec;
use core::cmp::Ordering;

/// Places that are put in order by exchange before runs are merged.
const RUN: usize = 8;

/// Puts `list` in the order of `compare`.
pub(crate) fn sort_by<T>(list: &mut [T], compare: impl Fn(&T, &T) -> Ordering) {
    let order = ordered(list.len(), &|one, other| match (list.get(one), list.get(other)) {
        (Some(one), Some(other)) => compare(one, other) == Ordering::Greater,
        _ => false,
    });
    arrange(order, &mut |one, other| list.swap(one, other));
}

/// Puts `list` in rising order of `key`.
pub(crate) fn sort_by_key<T, K: Ord>(list: &mut [T], key: impl Fn(&T) -> K) {
    sort_by(list, |one, other| key(one).cmp(&key(other)));
}

/// Puts numbers in rising order.
pub(crate) fn sort_numbers(list: &mut [f64]) {
    sort_values(list, |one, other| one.total_cmp(other) == Ordering::Greater);
}

/// Puts places in rising order.
pub(crate) fn sort_places(list: &mut [usize]) {
    sort_values(list, |one, other| one > other);
}

/// Puts small values in order, where `after` tells that the first of two stands behind the second.
///
/// Quicker than [`sort_by`], and in the program once for each use: for searches that sort again and again.
pub(crate) fn sort_values<T: Copy>(list: &mut [T], after: impl Fn(&T, &T) -> bool) {
    for run in list.chunks_mut(RUN) {
        for end in 1..run.len() {
            insert(run.get_mut(..=end).unwrap_or_default(), &after);
        }
    }
    let mut merged = Vec::new();
    let mut width = RUN;
    while width < list.len() {
        merged.clear();
        for pair in list.chunks(2 * width) {
            let (left, right) = pair.split_at(width.min(pair.len()));
            merge(left, right, &mut merged, &after);
        }
        list.copy_from_slice(&merged);
        width *= 2;
    }
}

/// The places from 0 to `count` in order.
fn ordered(count: usize, after: &dyn Fn(usize, usize) -> bool) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    sort_values(&mut order, |one, other| after(*one, *other));
    order
}

/// Moves the last value forward to where it belongs; the others are in order.
fn insert<T: Copy>(run: &mut [T], after: &impl Fn(&T, &T) -> bool) {
    let mut rest = run;
    while let [.., before, last] = rest
        && after(before, last)
    {
        core::mem::swap(before, last);
        let shorter = rest.len() - 1;
        rest = rest.get_mut(..shorter).unwrap_or_default();
    }
}

/// Adds the values of two lists that are in order.
fn merge<T: Copy>(mut left: &[T], mut right: &[T], merged: &mut Vec<T>, after: &impl Fn(&T, &T) -> bool) {
    while let ([first, others @ ..], [other, rest @ ..]) = (left, right) {
        if after(first, other) {
            merged.push(*other);
            right = rest;
        } else {
            merged.push(*first);
            left = others;
        }
    }
    merged.extend_from_slice(left);
    merged.extend_from_slice(right);
}

/// Moves what stands at each place of `order` to the place's own turn, by exchanges along each ring.
fn arrange(mut order: Vec<usize>, exchange: &mut dyn FnMut(usize, usize)) {
    for start in 0..order.len() {
        let mut at = start;
        while let Some(turn) = order.get_mut(at) {
            let from = core::mem::replace(turn, at);
            if from == start {
                break;
            }
            exchange(at, from);
            at = from;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers that repeat, from a linear congruence, with their places.
    fn entries(count: usize) -> Vec<(u32, usize)> {
        let mut state = 7_u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 16) % 97
        };
        (0..count).map(|place| (next(), place)).collect()
    }

    #[test]
    fn as_core_sorts() {
        for count in (0..70).chain([255, 256, 257, 1000, 4099]) {
            let given = entries(count);
            let (mut own, mut core) = (given.clone(), given);
            sort_by_key(&mut own, |entry| entry.0);
            core.sort_by_key(|entry| entry.0);
            assert_eq!(own, core, "{count} entries, equal ones in the order given");
            sort_by(&mut own, |one, other| other.cmp(one));
            core.reverse();
            core.sort_by(|one, other| other.cmp(one));
            assert_eq!(own, core, "{count} entries falling");
        }
    }

    #[test]
    fn numbers_and_places() {
        let mut numbers = [3.0, f64::INFINITY, -0.0, 0.0, -2.5, f64::NEG_INFINITY];
        sort_numbers(&mut numbers);
        assert_eq!(
            numbers.map(f64::to_bits),
            [f64::NEG_INFINITY, -2.5, -0.0, 0.0, 3.0, f64::INFINITY].map(f64::to_bits)
        );
        let mut places = [5, 0, 3, 3, 1];
        sort_places(&mut places);
        assert_eq!(places, [0, 1, 3, 3, 5]);
    }
}
