//! Cells in parallel groups, groups in series.

mod candidates;
mod contest;
pub mod group;
pub mod join;
pub mod search;
mod share;
pub mod size;
pub mod ties;

pub(crate) use candidates::Candidate;

use crate::error::{Check, Error};
use crate::part::cell::{Cell, CellCircuit, CellEnds, Chemistries};
use crate::quantity::Interval;
use alloc::vec::Vec;

/// Most groups in series and most cells in a group that are accepted.
pub const COUNT_MAX: usize = 100;

/// Cells that are tied in parallel.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Group {
    /// The cells, each with its own measurements.
    pub cells: Vec<Cell>,
}

/// Groups in series, the most negative first.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Pack {
    /// The groups.
    pub groups: Vec<Group>,
    /// Resistance of every strip and joint between the cells together, in ohms.
    pub link_ohm: Interval,
    /// Voltage of a group at the end of charging, in volts.
    pub full_v: f64,
    /// Voltage of the weakest group under load at which the plan stops, in volts.
    pub floor_v: f64,
}

impl Pack {
    pub(crate) fn check(&self, check: &mut Check) {
        self.link_ohm.note(check, "link_ohm", 0.0, 10.0);
        check.within("full_v", self.full_v, 0.5, 5.0);
        check.within("floor_v", self.floor_v, 0.3, 5.0);
        if self.full_v <= self.floor_v {
            check.note(Error::other("floor_v", alloc::format!("{} V", self.floor_v), "a voltage under full_v"));
        }
        if !(1..=COUNT_MAX).contains(&self.groups.len()) {
            check.note(Error::range("groups", self.groups.len() as f64, 1.0, COUNT_MAX as f64));
        }
        for (i, group) in self.groups.iter().enumerate() {
            check.inside("groups", |check| check.inside(i, |check| group.check(check)));
        }
    }

    /// Every group as circuits at one temperature and from one end of each measurement.
    ///
    /// # Errors
    ///
    /// Every value out of range, or every measurement that no cell of its chemistry can have, with its place.
    pub fn circuits(
        &self,
        chemistries: &Chemistries,
        ends: CellEnds,
        cell_degc: f64,
    ) -> Result<Vec<Vec<CellCircuit>>, Vec<Error>> {
        self.circuits_near(chemistries, ends, cell_degc, &[])
    }

    /// As [`Pack::circuits`], each cell looked for first near the one at the likely values, where these are known.
    pub(crate) fn circuits_near(
        &self,
        chemistries: &Chemistries,
        ends: CellEnds,
        cell_degc: f64,
        likely: &[Vec<CellCircuit>],
    ) -> Result<Vec<Vec<CellCircuit>>, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let mut check = Check::new();
        let mut groups = Vec::with_capacity(self.groups.len());
        for (g, group) in self.groups.iter().enumerate() {
            let mut cells = Vec::with_capacity(group.cells.len());
            for (c, cell) in group.cells.iter().enumerate() {
                // Equal cells are worked out once; after a mistake the places no longer match, and nothing is kept.
                let before = group.cells.iter().take(c).position(|other| other.measures_like(cell));
                let known = before.filter(|_| cells.len() == c).and_then(|place| cells.get(place)).cloned();
                let near = likely.get(g).and_then(|group| group.get(c));
                match known.map_or_else(|| cell.circuit_near(chemistries, ends, cell_degc, near), Ok) {
                    Ok(circuit) => cells.push(circuit),
                    Err(error) => check.note(error.at(c).at("cells").at(g).at("groups")),
                }
            }
            groups.push(cells);
        }
        check.finish().map(|()| groups)
    }
}

impl Group {
    fn check(&self, check: &mut Check) {
        if !(1..=COUNT_MAX).contains(&self.cells.len()) {
            check.note(Error::range("cells", self.cells.len() as f64, 1.0, COUNT_MAX as f64));
        }
        for (i, cell) in self.cells.iter().enumerate() {
            check.inside("cells", |check| check.inside(i, |check| cell.check(check)));
        }
    }
}
