//! A pack's cells, everything in series with it and its loads, ready to be stepped.

use crate::part::cell::circuit::CellCircuit;
use crate::part::load::LoadCircuit;
use crate::quantity::order::sort_by;
use crate::run::segment::{Segment, segments};
use alloc::sync::Arc;
use alloc::vec::Vec;
use core::cmp::Ordering;

/// Cells that are alike in a group are stepped once.
#[derive(Clone, Debug)]
pub(crate) struct Member {
    pub(crate) cell: CellCircuit,
    pub(crate) count: f64,
    /// Positions of the alike cells in the group as it was given.
    pub(crate) places: Vec<usize>,
}

impl Member {
    /// Charge of all alike cells together, in ampere-hours.
    pub(crate) fn charge_ah(&self) -> f64 {
        self.count * self.cell.capacity_ah
    }
}

/// A pack with everything in series with it, and its loads.
#[derive(Clone, Debug)]
pub struct PackCircuit {
    /// Every group's members, one group after the other; shared by all circuits of the same cells.
    pub(super) members: Arc<[Member]>,
    /// How many members each group has.
    pub(super) sizes: Vec<usize>,
    /// Resistance between the pack's cells and the loads: links, leads, fuse, switch; in ohms.
    pub lead_ohm: f64,
    /// Temperature of the surroundings, in degrees Celsius.
    pub ambient_degc: f64,
    /// Current in the on-time at which the protection cuts off, in amperes.
    pub trip_a: Option<f64>,
    pub(crate) loads: Vec<LoadCircuit>,
    pub(super) segments: Vec<Segment>,
}

impl PackCircuit {
    /// Puts groups of cells and loads together.
    #[must_use]
    pub fn new(groups: Vec<Vec<CellCircuit>>, loads: Vec<LoadCircuit>, lead_ohm: f64, ambient_degc: f64) -> Self {
        let (mut members, mut sizes) = (Vec::new(), Vec::with_capacity(groups.len()));
        for group in groups.into_iter().map(alike) {
            sizes.push(group.len());
            members.extend(group);
        }
        let segments = stepped(&loads, &sizes);
        Self { members: members.into(), sizes, lead_ohm, ambient_degc, trip_a: None, loads, segments }
    }

    /// The same cells with other loads and another resistance in series.
    #[must_use]
    pub fn with_loads(&self, loads: Vec<LoadCircuit>, lead_ohm: f64) -> Self {
        let (members, sizes) = (Arc::clone(&self.members), self.sizes.clone());
        let segments = stepped(&loads, &sizes);
        Self { members, sizes, lead_ohm, ambient_degc: self.ambient_degc, trip_a: self.trip_a, loads, segments }
    }

    pub(crate) fn members(&self) -> core::slice::Iter<'_, Member> {
        self.members.iter()
    }

    /// The members of each group.
    pub(crate) fn groups(&self) -> impl Iterator<Item = &[Member]> {
        let mut first = 0;
        self.sizes.iter().map(move |size| {
            let group = self.members.get(first..first + size).unwrap_or(&[]);
            first += size;
            group
        })
    }
}

/// The segments in which a current flows: in a pause none does where no group has cells to exchange one.
fn stepped(loads: &[LoadCircuit], sizes: &[usize]) -> Vec<Segment> {
    let mut parts = segments(loads);
    if parts.len() > 1 && parts.last().is_some_and(Segment::is_off) && sizes.iter().all(|size| *size <= 1) {
        parts.pop();
    }
    parts
}

/// Gathers alike cells, in an order of their own, so that the order in which they were given changes nothing.
fn alike(cells: Vec<CellCircuit>) -> Vec<Member> {
    let mut members: Vec<Member> = Vec::new();
    for (place, cell) in cells.into_iter().enumerate() {
        match members.iter_mut().find(|member| member.cell == cell) {
            Some(member) => {
                member.count += 1.0;
                member.places.push(place);
            }
            None => members.push(Member { cell, count: 1.0, places: alloc::vec![place] }),
        }
    }
    sort_by(&mut members, |left, right| {
        let pairs = left.cell.key().into_iter().zip(right.cell.key());
        pairs.fold(Ordering::Equal, |order, (left, right)| order.then(left.total_cmp(&right)))
    });
    members
}
