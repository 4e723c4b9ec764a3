//! The circuit of a cell anywhere between the ends of its measurements, from a few that were worked out.
//!
//! ```text
//! capacity = likely · by_capacity(place) · by_resistance(place) · by_wear(level)
//! scale    = likely · by_capacity(place) · (by_resistance(place) + by_wear(level) − 1)
//! ```
//!
//! Each factor is straight between the ends and the likely value. A measured resistance is a slow part, which wear
//! changes, and a fast one, which the scale makes up for: the two add.

use crate::error::Error;
use crate::part::cell::{Cell, CellCircuit, CellEnds, Chemistries, Curves};
use crate::quantity::End;
use alloc::sync::Arc;
use alloc::vec::Vec;

/// How far along its ageing a rest curve is worked out, from the full end cut away to the empty end cut away.
pub(super) const WEAR_LEVELS: usize = 9;

/// Least that wear and a low reading leave of the likely scale.
const SCALE_LEAST: f64 = 0.01;

/// Where a level of wear lies, −1 to 1.
pub(super) fn wear_place(level: usize) -> f64 {
    2.0 * level as f64 / (WEAR_LEVELS - 1) as f64 - 1.0
}

/// Capacity and scale of the resistances, or factors on them.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Fit {
    capacity: f64,
    scale: f64,
}

/// One cell at the likely values, with the factors of everything that may differ.
#[derive(Clone, Debug)]
pub(super) struct CellFits {
    likely: Fit,
    by_capacity: [Fit; 2],
    by_resistance: [Fit; 2],
    by_wear: Vec<(Arc<Curves>, Fit)>,
}

impl Fit {
    fn over(self, base: Self) -> Self {
        Self { capacity: self.capacity / base.capacity, scale: self.scale / base.scale }
    }

    /// From no change at 0 to the factors at −1 or 1.
    fn toward(ends: [Self; 2], place: f64) -> Self {
        let [low, high] = ends;
        let (end, share) = if place < 0.0 { (low, -place) } else { (high, place) };
        Self { capacity: 1.0 + (end.capacity - 1.0) * share, scale: 1.0 + (end.scale - 1.0) * share }
    }
}

impl CellFits {
    /// Works the circuits of `cell` out; `worn` holds the chemistries at each level of wear.
    pub(super) fn new(cell: &Cell, chemistries: &Chemistries, worn: &[Chemistries]) -> Result<Self, Error> {
        let fit = |chemistries: &Chemistries, capacity: End, resistance: End| {
            let circuit = cell.circuit(chemistries, CellEnds { capacity, resistance }, cell.capacity.cell_degc)?;
            Ok::<Fit, Error>(Fit { capacity: circuit.capacity_ah, scale: circuit.scale() })
        };
        let likely = fit(chemistries, End::Likely, End::Likely)?;
        let at = |capacity, resistance| Ok::<Fit, Error>(fit(chemistries, capacity, resistance)?.over(likely));
        let mut by_wear = Vec::with_capacity(worn.len());
        for chemistries in worn {
            let factors = fit(chemistries, End::Likely, End::Likely)?.over(likely);
            by_wear.push((chemistries.curves(&cell.chemistry)?, factors));
        }
        Ok(Self {
            likely,
            by_capacity: [at(End::Low, End::Likely)?, at(End::High, End::Likely)?],
            by_resistance: [at(End::Likely, End::Low)?, at(End::Likely, End::High)?],
            by_wear,
        })
    }

    /// The cell with each measurement at a place from −1 to 1 and its rest curve at a level of wear.
    pub(super) fn circuit(&self, capacity: f64, resistance: f64, level: usize, degc: f64) -> Option<CellCircuit> {
        let (curves, wear) = self.by_wear.get(level)?;
        let size = Fit::toward(self.by_capacity, capacity);
        let fast = Fit::toward(self.by_resistance, resistance);
        let capacity_ah = self.likely.capacity * size.capacity * fast.capacity * wear.capacity;
        let scale = self.likely.scale * size.scale * (fast.scale + wear.scale - 1.0).max(SCALE_LEAST);
        Some(CellCircuit::new(Arc::clone(curves), capacity_ah, scale, degc))
    }
}
