//! A pack of plain circuits, every value given: rest table, one resistance, one resistor-capacitor pair, own start.
//!
//! ```text
//! cell_v = rest_v(soc) − i · r0_ohm − rc_v,   d rc_v/dt = (i · r1_ohm − rc_v) / tau1_s,   dsoc/dt = −i / (3600 · capacity_ah)
//! ```
//!
//! The same stepping as any other discharge ([`crate::run::discharge`]); nothing is uncertain and nothing is taken from
//! a chemistry. Source: definition of the circuit.

use crate::error::{Check, Error};
use crate::part::cell::chemistries::check_rest_points;
use crate::part::cell::{CellCircuit, Curves, HeatPath, RestPoint};
use crate::part::load::Load;
use crate::quantity::End;
use crate::run::discharge::{Discharge, Stops, TIME_MAX_S, discharge};
use crate::run::stepper::PackCircuit;
use alloc::format;
use alloc::string::String;
use alloc::sync::Arc;
use alloc::vec::Vec;

/// Most cells of one pack.
pub const CELLS_MOST: usize = 2000;

/// A rest-voltage table by its name.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RestTable {
    /// The name that cells refer to.
    pub name: String,
    /// Rest voltage from empty (0) to full (1), rising in both.
    pub rest_points: Vec<RestPoint>,
}

/// One cell as a plain circuit.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PlainCell {
    /// Name of its rest table.
    pub rest_table: String,
    /// Capacity between both ends of the table, in ampere-hours.
    pub capacity_ah: f64,
    /// Resistance that acts at once, in ohms.
    pub r0_ohm: f64,
    /// Resistance of the slow pair, in ohms; 0 without one.
    pub r1_ohm: f64,
    /// Time constant of the slow pair, in seconds.
    pub tau1_s: f64,
    /// State of charge at the start.
    pub soc_ratio: f64,
    /// How it sheds heat; it keeps its temperature where left out.
    pub heat_path: Option<HeatPath>,
}

/// Plain cells that are tied in parallel.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PlainGroup {
    /// The cells.
    pub cells: Vec<PlainCell>,
}

/// A pack of plain circuits and its loads, each at its likely value.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CircuitRun {
    /// Rest tables.
    pub rest_tables: Vec<RestTable>,
    /// Groups in series, the most negative first.
    pub groups: Vec<PlainGroup>,
    /// The loads, in parallel.
    pub loads: Vec<Load>,
    /// Resistance of everything between the cells and the loads, in ohms.
    pub lead_ohm: f64,
    /// Temperature of the surroundings and of the cells at the start, in degrees Celsius.
    pub ambient_degc: f64,
    /// Lowest group voltage under load, in volts.
    pub floor_v: f64,
    /// Group voltage at which the protection cuts off, in volts.
    pub cut_off_v: Option<f64>,
    /// Current in the on-time at which the protection cuts off, in amperes.
    pub trip_a: Option<f64>,
    /// Longest time, in seconds; thirty days where left out.
    pub time_s: Option<f64>,
}

impl CircuitRun {
    /// Runs the pack.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    pub fn answer(&self) -> Result<Discharge, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let stops = Stops {
            floor_v: self.floor_v,
            cut_off_v: self.cut_off_v.unwrap_or(0.0),
            time_s: self.time_s.unwrap_or(TIME_MAX_S),
        };
        discharge(&self.circuit()?, &stops, |_| 1.0).map_err(Vec::from)
    }

    /// The circuit, for a crate user's own stepping.
    ///
    /// # Errors
    ///
    /// Names a table that is not there.
    pub fn circuit(&self) -> Result<PackCircuit, Error> {
        let curves: Vec<Arc<Curves>> = self.rest_tables.iter().map(|table| Arc::new(table.curves())).collect();
        let mut groups = Vec::with_capacity(self.groups.len());
        for (g, group) in self.groups.iter().enumerate() {
            let mut cells = Vec::with_capacity(group.cells.len());
            for (c, cell) in group.cells.iter().enumerate() {
                let place = self.rest_tables.iter().position(|table| table.name == cell.rest_table);
                let curves = place.and_then(|place| curves.get(place));
                let curves = curves.ok_or_else(|| cell.unknown_table().at(c).at("cells").at(g).at("groups"))?;
                cells.push(cell.circuit(curves, self.ambient_degc));
            }
            groups.push(cells);
        }
        let loads = self.loads.iter().map(|load| load.circuit(End::Likely)).collect();
        let mut circuit = PackCircuit::new(groups, loads, self.lead_ohm, self.ambient_degc);
        circuit.trip_a = self.trip_a;
        Ok(circuit)
    }

    pub(crate) fn check(&self, check: &mut Check) {
        for (i, table) in self.rest_tables.iter().enumerate() {
            check.inside("rest_tables", |check| check.inside(i, |check| check_rest_points(&table.rest_points, check)));
        }
        let cells: usize = self.groups.iter().map(|group| group.cells.len()).sum();
        if cells > CELLS_MOST || self.groups.is_empty() {
            check.note(Error::other("groups", format!("{cells} cells"), format!("1 to {CELLS_MOST} cells in groups")));
        }
        for (g, group) in self.groups.iter().enumerate() {
            check.inside("groups", |check| check.inside(g, |check| self.check_group(group, check)));
        }
        if self.loads.len() > 20 {
            check.note(Error::range("loads", self.loads.len() as f64, 0.0, 20.0));
        }
        for (i, load) in self.loads.iter().enumerate() {
            check.inside("loads", |check| check.inside(i, |check| load.check(check)));
        }
        check.within("lead_ohm", self.lead_ohm, 0.0, 100.0);
        check.within("ambient_degc", self.ambient_degc, -20.0, 60.0);
        check.within("floor_v", self.floor_v, 0.0, 5.0);
        check.within("cut_off_v", self.cut_off_v.unwrap_or(0.0), 0.0, 5.0);
        check.within("trip_a", self.trip_a.unwrap_or(1.0), 1e-3, 10_000.0);
        check.within("time_s", self.time_s.unwrap_or(0.0), 0.0, TIME_MAX_S);
    }

    fn check_group(&self, group: &PlainGroup, check: &mut Check) {
        if group.cells.is_empty() {
            check.note(Error::range("cells", 0.0, 1.0, CELLS_MOST as f64));
        }
        for (c, cell) in group.cells.iter().enumerate() {
            check.inside("cells", |check| {
                check.inside(c, |check| {
                    cell.check(check);
                    if !self.rest_tables.iter().any(|table| table.name == cell.rest_table) {
                        check.note(cell.unknown_table());
                    }
                });
            });
        }
    }
}

impl RestTable {
    /// The curves, read at each percent of charge.
    fn curves(&self) -> Curves {
        let rest_v: Vec<f64> = (0..=100).map(|i| RestPoint::read(&self.rest_points, f64::from(i) / 100.0)).collect();
        Curves::derive(&rest_v, &[])
    }
}

impl PlainCell {
    fn check(&self, check: &mut Check) {
        check.within("capacity_ah", self.capacity_ah, 0.001, 10_000.0);
        check.within("r0_ohm", self.r0_ohm, 1e-5, 100.0);
        check.within("r1_ohm", self.r1_ohm, 0.0, 100.0);
        check.within("tau1_s", self.tau1_s, 1e-3, 1e6);
        check.within("soc_ratio", self.soc_ratio, 0.0, 1.0);
        if let Some(heat_path) = &self.heat_path {
            check.inside("heat_path", |check| heat_path.check(check));
        }
    }

    fn unknown_table(&self) -> Error {
        Error::other("rest_table", format!("\"{}\"", self.rest_table), "the name of one of rest_tables")
    }

    fn circuit(&self, curves: &Arc<Curves>, cell_degc: f64) -> CellCircuit {
        let mut plain = CellCircuit::plain(Arc::clone(curves), self.capacity_ah, self.r0_ohm, self.r1_ohm, self.tau1_s);
        plain.cell_degc = cell_degc;
        plain.heat_path = self.heat_path;
        plain.start_ratio = Some(self.soc_ratio);
        plain
    }
}
