//! The linear circuit that a round of the search for all currents solves.
//!
//! ```text
//! cell in segment k     i = i₀ + gₖ · (wₖ + e · Σⱼ shareⱼ · gⱼ · (wₖ − wⱼ)) / (1 + e · Σⱼ shareⱼ · gⱼ),   w = v₀ − v
//! group                 v = open_v − ohm · i, over all segments
//! ```
//!
//! `gₖ` is the conductance of the cell's fast part at its present current, `v₀` its voltage there, and `e` how fast its
//! mean electromotive force falls with the mean of its currents: what flows in one segment lowers the voltage of all.
//! Source: derived (Sherman and Morrison's formula for a matrix of rank one, from memory).

use crate::part::cell::asinh::Asinh;
use crate::run::segment::{Point, Segment};
use crate::run::stepper::{Drive, NoOperatingPoint};
use alloc::vec::Vec;

/// How often the segments of a round are settled against each other.
const SWEEPS: usize = 2;

/// A cell in one segment, around its present current.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub(super) current_a: f64,
    /// Where its kinetics were last worked out.
    pub(super) near: Asinh,
    /// Its voltage at that current, in volts.
    pub(super) v: f64,
    pub(super) siemens: f64,
    /// e · share · siemens.
    pub(super) tied: f64,
}

impl Default for Place {
    fn default() -> Self {
        Self { current_a: 0.0, near: Asinh::ZERO, v: 0.0, siemens: 1.0, tied: 0.0 }
    }
}

impl Place {
    /// Mean current of a cell over the period.
    #[expect(clippy::inline_always, reason = "read many times a step; left out of line where size counts")]
    #[inline(always)]
    pub(super) fn mean_a(places: &[Self], segments: &[Segment]) -> f64 {
        if let ([on, off], [first, last]) = (places, segments) {
            return first.share * on.current_a + last.share * off.current_a;
        }
        let mut mean_a = 0.0;
        for (place, segment) in places.iter().zip(segments) {
            mean_a += segment.share * place.current_a;
        }
        mean_a
    }

    /// Adds `cells` such cells to the conductances of a group and to its currents at no voltage.
    #[expect(clippy::inline_always, reason = "read many times a step; left out of line where size counts")]
    #[inline(always)]
    pub(super) fn add(places: &[Self], cells: f64, siemens: &mut [f64], amperes: &mut [f64]) {
        if let ([one], [siemens], [amperes]) = (places, &mut *siemens, &mut *amperes) {
            let own = cells * one.siemens / (1.0 + one.tied);
            *siemens += own;
            *amperes += cells * one.current_a + own * one.v;
            return;
        }
        if let ([a, b], [aa, ab, ba, bb], [a_amperes, b_amperes]) = (places, &mut *siemens, &mut *amperes) {
            let per_v = cells / (1.0 + a.tied + b.tied);
            let (a_own, b_own, apart_v) = (per_v * a.siemens, per_v * b.siemens, a.v - b.v);
            *aa += a_own * (1.0 + b.tied);
            *ab -= a_own * b.tied;
            *ba -= b_own * a.tied;
            *bb += b_own * (1.0 + a.tied);
            *a_amperes += cells * a.current_a + a_own * (a.v + b.tied * apart_v);
            *b_amperes += cells * b.current_a + b_own * (b.v - a.tied * apart_v);
            return;
        }
        let tied = 1.0 + places.iter().map(|place| place.tied).sum::<f64>();
        let rows = siemens.chunks_exact_mut(places.len().max(1)).zip(amperes).zip(places);
        for (k, ((row, amperes), own)) in rows.enumerate() {
            let ampere_per_v = cells * own.siemens / tied;
            let mut pull_v = own.v;
            for (siemens, other) in row.iter_mut().zip(places) {
                *siemens -= ampere_per_v * other.tied;
                pull_v += other.tied * (own.v - other.v);
            }
            row.iter_mut().skip(k).take(1).for_each(|siemens| *siemens += ampere_per_v * tied);
            *amperes += cells * own.current_a + ampere_per_v * pull_v;
        }
    }

    /// Changes a cell's currents to those at the voltages of its group; gives the largest change.
    #[expect(clippy::inline_always, reason = "read many times a step; left out of line where size counts")]
    #[inline(always)]
    pub(super) fn settle(places: &mut [Self], group_v: &[f64]) -> f64 {
        if let ([one], [v]) = (&mut *places, group_v) {
            let moved_a = one.siemens * (one.v - v) / (1.0 + one.tied);
            one.current_a += moved_a;
            return moved_a.abs();
        }
        if let ([a, b], [a_v, b_v]) = (&mut *places, group_v) {
            let whole = 1.0 / (1.0 + a.tied + b.tied);
            let (a_v, b_v) = (a.v - a_v, b.v - b_v);
            let pulled_v = (a.tied * a_v + b.tied * b_v) * whole;
            let moved_a = [a.siemens * (a_v - pulled_v), b.siemens * (b_v - pulled_v)];
            a.current_a += moved_a[0];
            b.current_a += moved_a[1];
            let (a_most, b_most) = (moved_a[0].abs(), moved_a[1].abs());
            return if a_most > b_most { a_most } else { b_most };
        }
        let (mut tied, mut pulled_v) = (1.0, 0.0);
        for (place, v) in places.iter_mut().zip(group_v) {
            place.v -= v;
            tied += place.tied;
            pulled_v += place.tied * place.v;
        }
        let mut most_a: f64 = 0.0;
        for place in places {
            let moved_a = place.siemens * (place.v * tied - pulled_v) / tied;
            place.current_a += moved_a;
            most_a = most_a.max(moved_a.abs());
        }
        most_a
    }
}

/// Every group as a linear circuit over all segments.
#[derive(Clone, Debug)]
pub(super) struct Ties {
    /// How many segments there are.
    count: usize,
    /// For each group a square over the segments: conductances, then their inverse, in ohms.
    ohm: Vec<f64>,
    /// For each group and segment: current at no voltage, then voltage without current.
    open_v: Vec<f64>,
    /// For each group and segment, voltage at the currents found.
    pub(super) closed_v: Vec<f64>,
    pack_ohm: Vec<f64>,
    pack_v: Vec<f64>,
    /// Where the loads settle in each segment.
    pub(super) points: Vec<Point>,
    /// Open voltage of each segment at which they were settled.
    seen_v: Vec<f64>,
}

impl Ties {
    pub(super) fn new(groups: usize, count: usize) -> Self {
        let count = count.max(1);
        Self {
            count,
            ohm: alloc::vec![0.0; groups * count * count],
            open_v: alloc::vec![0.0; groups * count],
            closed_v: alloc::vec![0.0; groups * count],
            pack_ohm: alloc::vec![0.0; count * count],
            pack_v: alloc::vec![0.0; count],
            points: alloc::vec![Point::default(); count],
            seen_v: alloc::vec![0.0; count],
        }
    }

    /// Forgets every cell.
    pub(super) fn clear(&mut self) {
        self.ohm.fill(0.0);
        self.open_v.fill(0.0);
    }

    /// Conductances of each group, and its currents at no voltage.
    pub(super) fn groups(&mut self) -> impl Iterator<Item = (&mut [f64], &mut [f64])> {
        self.ohm.chunks_exact_mut(self.count * self.count).zip(self.open_v.chunks_exact_mut(self.count))
    }

    /// Turns conductances into resistances and currents at no voltage into open voltages, and sums the groups up.
    pub(super) fn open(&mut self) {
        let count = self.count;
        self.pack_ohm.fill(0.0);
        self.pack_v.fill(0.0);
        let groups = self.ohm.chunks_exact_mut(count * count).zip(self.open_v.chunks_exact_mut(count));
        for ((ohm, open_v), amperes) in groups.zip(self.closed_v.chunks_exact_mut(count)) {
            invert(ohm, count);
            amperes.copy_from_slice(open_v);
            for ((open_v, row), pack_v) in open_v.iter_mut().zip(ohm.chunks_exact(count)).zip(&mut self.pack_v) {
                *open_v = dot(row, amperes);
                *pack_v += *open_v;
            }
            self.pack_ohm.iter_mut().zip(ohm).for_each(|(sum, ohm)| *sum += *ohm);
        }
    }

    /// Finds where the loads of every segment settle; the others are taken at what they last settled at.
    pub(super) fn settle(&mut self, drive: Drive, segments: &[Segment], lead_ohm: f64) -> Result<(), NoOperatingPoint> {
        self.seen_v.fill(f64::NAN);
        for _ in 0..SWEEPS {
            // Backwards: the pauses, whose current is known, come last.
            for (k, segment) in segments.iter().enumerate().rev() {
                let row = self.pack_ohm.chunks_exact(self.count).nth(k).unwrap_or_default();
                let (Some(pack_v), Some(ohm)) = (self.pack_v.get(k), row.get(k)) else { continue };
                let mut open_v = *pack_v;
                for (j, (ohm, point)) in row.iter().zip(&self.points).enumerate() {
                    if j != k {
                        open_v -= ohm * point.current_a;
                    }
                }
                let (Some(point), Some(seen_v)) = (self.points.get_mut(k), self.seen_v.get_mut(k)) else { continue };
                if open_v != *seen_v {
                    *point = drive.settle(segment, open_v, ohm + lead_ohm, point.load_v)?;
                    *seen_v = open_v;
                }
            }
        }
        Ok(())
    }

    /// How far the source may fall before the loads ask for more than it has, in volts.
    pub(super) fn room_v(&self, drive: Drive, segments: &[Segment], lead_ohm: f64) -> f64 {
        match (drive, segments.first(), self.points.first(), self.pack_ohm.first()) {
            (Drive::Loads, Some(segment), Some(point), Some(ohm)) => segment.room_v(point.load_v, ohm + lead_ohm),
            _ => f64::INFINITY,
        }
    }

    /// Voltages of every group at the currents found.
    pub(super) fn close(&mut self) {
        let rows = self.ohm.chunks_exact(self.count);
        for ((closed_v, open_v), row) in self.closed_v.iter_mut().zip(&self.open_v).zip(rows) {
            *closed_v = *open_v;
            for (ohm, point) in row.iter().zip(&self.points) {
                *closed_v -= ohm * point.current_a;
            }
        }
    }
}

fn dot(left: &[f64], right: &[f64]) -> f64 {
    let mut sum = 0.0;
    for (left, right) in left.iter().zip(right) {
        sum += left * right;
    }
    sum
}

fn inverse(value: f64) -> f64 {
    if value > 0.0 { 1.0 / value } else { 0.0 }
}

/// Inverts a square of `count` rows whose diagonal outweighs the rest of each row, by Gauss and Jordan.
fn invert(square: &mut [f64], count: usize) {
    match square {
        [one] => *one = inverse(*one),
        [a, b, c, d] => {
            let whole = inverse(*a * *d - *b * *c);
            (*a, *b, *c, *d) = (*d * whole, -*b * whole, -*c * whole, *a * whole);
        }
        _ => invert_many(square, count),
    }
}

fn invert_many(square: &mut [f64], count: usize) {
    for pivot in 0..count {
        let (before, rest) = square.split_at_mut(pivot * count);
        let (row, after) = rest.split_at_mut(count);
        let Some(own) = row.get_mut(pivot) else { return };
        let whole = inverse(*own);
        *own = 1.0;
        for value in row.iter_mut() {
            *value *= whole;
        }
        for other in before.chunks_exact_mut(count).chain(after.chunks_exact_mut(count)) {
            let Some(place) = other.get_mut(pivot) else { return };
            let factor = core::mem::replace(place, 0.0);
            other.iter_mut().zip(row.iter()).for_each(|(value, own)| *value -= factor * own);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_times_its_inverse_is_one() {
        let squares: [(usize, &[f64]); 3] =
            [(1, &[4.0]), (2, &[4.0, -1.0, -0.5, 3.0]), (3, &[4.0, -1.0, -2.0, -0.5, 3.0, -1.0, -1.0, -2.0, 5.0])];
        for (n, square) in squares {
            let mut inverse = square.to_vec();
            invert(&mut inverse, n);
            for (r, c) in (0..n * n).map(|i| (i / n, i % n)) {
                let sum: f64 = (0..n).map(|k| square[n * r + k] * inverse[n * k + c]).sum();
                // A few roundings of numbers near 1.
                assert!(libm::fabs(sum - f64::from(u8::from(r == c))) < 1e-15, "{n} {r} {c}: {sum}");
            }
        }
    }

    /// What a group of one cell says of its currents is what the cell's own law says.
    #[test]
    fn a_cell_settles_at_the_voltage_that_its_group_finds() {
        let place =
            |current_a: f64, v: f64, siemens: f64, tied: f64| Place { current_a, v, siemens, tied, ..Place::default() };
        for mut places in [
            [place(1.0, 3.6, 20.0, 0.5)].to_vec(),
            [place(1.0, 3.6, 20.0, 0.5), place(0.1, 3.8, 10.0, 2.0)].to_vec(),
            [place(1.0, 3.6, 20.0, 0.5), place(0.5, 3.7, 15.0, 1.0), place(0.1, 3.8, 10.0, 2.0)].to_vec(),
        ] {
            let n = places.len();
            let (mut siemens, mut amperes) = (alloc::vec![0.0; n * n], alloc::vec![0.0; n]);
            Place::add(&places, 1.0, &mut siemens, &mut amperes);
            let wanted: Vec<f64> = (0..n).map(|k| 0.9 - 0.2 * k as f64).collect();
            invert(&mut siemens, n);
            let left: Vec<f64> = amperes.iter().zip(&wanted).map(|(all, wanted)| all - wanted).collect();
            let group_v: Vec<f64> = siemens.chunks_exact(n).map(|row| dot(row, &left)).collect();
            Place::settle(&mut places, &group_v);
            for (place, wanted) in places.iter().zip(&wanted) {
                assert!(libm::fabs(place.current_a - wanted) < 1e-12, "{n}: {} {wanted}", place.current_a);
            }
        }
    }
}
