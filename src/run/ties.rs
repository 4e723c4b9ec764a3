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

use crate::run::segment::Point;
use crate::run::stepper::{Drive, NoOperatingPoint, PackCircuit};
use alloc::vec::Vec;

/// How often the segments of a round are settled against each other.
const SWEEPS: usize = 2;

/// The fast part of a cell around one current.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Fast {
    /// Voltage of the cell at that current, in volts.
    pub(super) v: f64,
    pub(super) siemens: f64,
    /// e · share · siemens: by how much of itself a voltage here moves the cell's others.
    pub(super) tied: f64,
}

/// Every cell and every group as a linear circuit over all segments.
#[derive(Clone, Debug)]
pub(super) struct Ties {
    /// Member by member, for each segment.
    pub(super) fast: Vec<Fast>,
    /// 1 / (1 + Σ tied), for each member.
    pub(super) slow: Vec<f64>,
    /// For each group a square over the segments: conductances, then their inverse, in ohms.
    pub(super) group_ohm: Vec<f64>,
    /// For each group and segment: current at no voltage, then voltage without current.
    pub(super) open_v: Vec<f64>,
    /// For each group and segment, voltage at the currents found.
    pub(super) closed_v: Vec<f64>,
    pack_ohm: Vec<f64>,
    pack_v: Vec<f64>,
    /// Where the loads settle in each segment, and the open voltage they were settled at.
    pub(super) points: Vec<Point>,
    seen_v: Vec<f64>,
}

impl Ties {
    pub(super) fn new(members: usize, groups: usize, segments: usize) -> Self {
        Self {
            fast: alloc::vec![Fast::default(); members * segments],
            slow: alloc::vec![1.0; members],
            group_ohm: alloc::vec![0.0; groups * segments * segments],
            open_v: alloc::vec![0.0; groups * segments],
            closed_v: alloc::vec![0.0; groups * segments],
            pack_ohm: alloc::vec![0.0; segments * segments],
            pack_v: alloc::vec![0.0; segments],
            points: alloc::vec![Point::default(); segments],
            seen_v: alloc::vec![0.0; segments],
        }
    }

    /// Turns the currents of each group at no voltage into its open voltages, and sums the groups up.
    pub(super) fn open_groups(&mut self, count: usize) {
        self.pack_ohm.fill(0.0);
        self.pack_v.fill(0.0);
        let groups = self.group_ohm.chunks_exact(count * count).zip(self.open_v.chunks_exact_mut(count));
        for (ohm, (open_v, closed_v)) in groups.map(|(ohm, open)| (ohm, open)).zip(self.closed_v.chunks_exact_mut(count)).map(|((ohm, open), closed)| (ohm, (open, closed))) {
            closed_v.copy_from_slice(open_v);
            for ((open_v, row), pack_v) in open_v.iter_mut().zip(ohm.chunks_exact(count)).zip(&mut self.pack_v) {
                *open_v = row.iter().zip(closed_v.iter()).map(|(ohm, current_a)| ohm * current_a).sum();
                *pack_v += *open_v;
            }
            self.pack_ohm.iter_mut().zip(ohm).for_each(|(sum, ohm)| *sum += ohm);
        }
    }

    /// Finds where the loads of every segment settle; the others are taken at what they last settled at.
    pub(super) fn settle(&mut self, drive: Drive, circuit: &PackCircuit) -> Result<(), NoOperatingPoint> {
        self.seen_v.fill(f64::NAN);
        let count = self.points.len();
        for _ in 0..SWEEPS {
            // Backwards: the pauses, whose current is known, come last.
            for k in (0..count).rev() {
                let Some(row) = self.pack_ohm.get(k * count..(k + 1) * count) else { continue };
                let others = row.iter().zip(&self.points).enumerate().filter(|(j, _)| *j != k);
                let drop_v: f64 = others.map(|(_, (ohm, point))| ohm * point.current_a).sum();
                let places = self.pack_v.get(k).zip(row.get(k)).zip(circuit.segment(k));
                let places = places.zip(self.points.get_mut(k).zip(self.seen_v.get_mut(k)));
                let Some((((pack_v, ohm), segment), (point, seen_v))) = places else { continue };
                let open_v = pack_v - drop_v;
                if open_v != *seen_v {
                    *point = drive.settle(segment, open_v, ohm + circuit.lead_ohm)?;
                    *seen_v = open_v;
                }
            }
        }
        Ok(())
    }

    /// Voltages of every group at the currents found.
    pub(super) fn close_groups(&mut self, count: usize) {
        let rows = self.group_ohm.chunks_exact(count);
        for ((closed_v, open_v), row) in self.closed_v.iter_mut().zip(&self.open_v).zip(rows) {
            let drop_v: f64 = row.iter().zip(&self.points).map(|(ohm, point)| ohm * point.current_a).sum();
            *closed_v = open_v - drop_v;
        }
    }
}

/// Inverts a square of `count` rows whose diagonal outweighs the rest of each row, by Gauss and Jordan.
pub(super) fn invert(square: &mut [f64], count: usize) {
    for pivot in 0..count {
        let (before, rest) = square.split_at_mut(pivot * count);
        let (row, after) = rest.split_at_mut(count);
        let Some(own) = row.get_mut(pivot) else { return };
        let inverse = if *own > 0.0 { 1.0 / *own } else { 0.0 };
        *own = 1.0;
        row.iter_mut().for_each(|value| *value *= inverse);
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
        let square = [4.0, -1.0, -2.0, -0.5, 3.0, -1.0, -1.0, -2.0, 5.0];
        let mut inverse = square;
        invert(&mut inverse, 3);
        for (r, c) in (0..9).map(|i| (i / 3, i % 3)) {
            let sum: f64 = (0..3).map(|k| square[3 * r + k] * inverse[3 * k + c]).sum();
            assert!((sum - f64::from(u8::from(r == c))).abs() < 1e-15, "{r} {c}: {sum}");
        }
    }
}
