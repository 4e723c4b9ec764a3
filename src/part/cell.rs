//! One cell: rest voltage, resistance, energy.
//!
//! A maker's measurements come with their conditions; they are converted to a [`CellCircuit`] at either end of their
//! uncertainty. Capacity: the test is run on the model, and the capacity that delivers what was measured is found.
//! Resistance: the pulse is run on the model, and the factor on the fresh cell's resistances that gives what was
//! measured is found. Equations and sources: [`curves`].

pub(crate) mod asinh;
pub mod chemistries;
pub mod circuit;
pub mod curves;
mod fitted;
pub mod lag;
mod pulse;
pub(crate) mod source;

pub use chemistries::{Chemistries, Chemistry, OwnChemistry, RestPoint};
pub use circuit::{CellCircuit, CellState, HeatPath};
pub use curves::{Curves, PulseTable};

use crate::error::{Check, Error};
use crate::quantity::solve::{root_around, root_near};
use crate::quantity::{End, Interval};
use alloc::string::String;
use alloc::sync::Arc;

/// Part of a 1 kHz value that may be missing in direct current: the direct value lies between 1 and 2.5 times it.
/// Common practice, no source; the built-in chemistries' first readings lie at about twice the ohmic part.
pub const AC_TO_DC: Interval = Interval { low: 1.0, likely: 1.6, high: 2.5 };

/// Share of a two-wire value that is surely the cell's. Common practice, no source: leads and clips of a cheap
/// meter add tens of milliohms.
pub const TWO_WIRE_LOW_RATIO: f64 = 0.25;

/// How a cell's capacity was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CapacityTest {
    /// Charge delivered in the test, in ampere-hours.
    pub capacity_ah: Interval,
    /// Rest voltage at the start, in volts.
    pub start_v: f64,
    /// Voltage under load at which the test ended, in volts.
    pub end_v: f64,
    /// Current of the test, in amperes.
    pub current_a: f64,
    /// Temperature of the cell, in degrees Celsius.
    pub cell_degc: f64,
}

/// How a resistance was taken.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum ResistanceMethod {
    /// A meter that uses 1 kHz alternating current.
    #[cfg_attr(feature = "serde", serde(rename = "ac_1khz"))]
    Ac1Khz,
    /// Voltage drop after a while of direct current.
    Dc {
        /// Seconds from the start of the current to the reading.
        after_s: f64,
        /// The current, in amperes.
        current_a: f64,
    },
}

/// How the meter was connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum MeterLeads {
    /// Separate leads for current and voltage.
    FourWire,
    /// The same leads for both: their resistance is in the reading, which is then an upper bound.
    TwoWire,
}

/// A measured resistance with its conditions.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ResistanceTest {
    /// The reading, in ohms.
    pub resistance_ohm: Interval,
    /// How it was taken.
    pub method: ResistanceMethod,
    /// How the meter was connected.
    pub leads: MeterLeads,
    /// Temperature of the cell, in degrees Celsius.
    pub cell_degc: f64,
    /// State of charge at the test.
    pub soc_ratio: f64,
}

/// One cell as the maker knows it.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Cell {
    /// What the maker wrote on it.
    pub name: String,
    /// What it is made of.
    pub chemistry: Chemistry,
    /// Measured capacity.
    pub capacity: CapacityTest,
    /// Measured resistance.
    pub resistance: ResistanceTest,
    /// Voltage measured after a rest, just before the cells are joined, in volts.
    pub rest_v: Option<f64>,
    /// Highest continuous discharge current by its data sheet, in amperes.
    pub discharge_limit_a: Option<f64>,
    /// Highest charge current by its data sheet, in amperes.
    pub charge_limit_a: Option<f64>,
    /// No: capacity or resistance are taken for a start, and a plan with them is not ready. Left out: measured.
    pub measured: Option<bool>,
}

/// How near the delivered share is found in each round, whose share the next round changes.
const SHARES_NEAR: [f64; 4] = [1e-4, 1e-6, 1e-8, 1e-11];
/// How far about an earlier share the next one is looked for first, as a ratio of it.
const SHARE_AROUND: f64 = 0.01;

/// Which end of a cell's measurements a circuit is made from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CellEnds {
    /// End of the capacity.
    pub capacity: End,
    /// End of the resistance.
    pub resistance: End,
}

impl CapacityTest {
    pub(crate) fn check(&self, check: &mut Check) {
        self.capacity_ah.note(check, "capacity_ah", 0.01, 1000.0);
        check.within("start_v", self.start_v, 0.5, 5.0);
        check.within("end_v", self.end_v, 0.3, self.start_v.clamp(0.3, 5.0));
        check.within("current_a", self.current_a, 0.001, 1000.0);
        check.within("cell_degc", self.cell_degc, -20.0, 60.0);
    }
}

impl ResistanceTest {
    pub(crate) fn check(&self, check: &mut Check) {
        self.resistance_ohm.note(check, "resistance_ohm", 1e-4, 10.0);
        check.within("cell_degc", self.cell_degc, -20.0, 60.0);
        check.within("soc_ratio", self.soc_ratio, 0.0, 1.0);
        if let ResistanceMethod::Dc { after_s, current_a } = self.method {
            check.inside("method", |check| {
                check.inside("dc", |check| {
                    check.within("after_s", after_s, 0.01, 600.0);
                    check.within("current_a", current_a, 0.001, 1000.0);
                });
            });
        }
    }

    /// The reading as direct-current resistance after `after_s`, at one end, with every widening its kind asks for.
    fn dc_ohm(&self, end: End) -> f64 {
        let factor = match self.method {
            ResistanceMethod::Ac1Khz => AC_TO_DC.at(end),
            ResistanceMethod::Dc { .. } => 1.0,
        };
        let leads = if self.leads == MeterLeads::TwoWire && end == End::Low { TWO_WIRE_LOW_RATIO } else { 1.0 };
        self.resistance_ohm.at(end) * factor * leads
    }

    /// Time and current that the reading stands for, on a cell of `capacity_ah`.
    fn pulse(&self, capacity_ah: f64) -> (f64, f64) {
        match self.method {
            ResistanceMethod::Ac1Khz => (0.1, 0.5 * capacity_ah),
            ResistanceMethod::Dc { after_s, current_a } => (after_s, current_a),
        }
    }
}

impl Cell {
    /// A measured cell of which nothing is known but its measurements.
    #[must_use]
    pub fn new(
        name: impl Into<String>,
        chemistry: Chemistry,
        capacity: CapacityTest,
        resistance: ResistanceTest,
    ) -> Self {
        Self {
            name: name.into(),
            chemistry,
            capacity,
            resistance,
            rest_v: None,
            discharge_limit_a: None,
            charge_limit_a: None,
            measured: None,
        }
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("capacity", |check| self.capacity.check(check));
        check.inside("resistance", |check| self.resistance.check(check));
        for (field, value) in [("discharge_limit_a", self.discharge_limit_a), ("charge_limit_a", self.charge_limit_a)] {
            if let Some(value) = value {
                check.within(field, value, 0.001, 1000.0);
            }
        }
        if let Some(rest_v) = self.rest_v {
            check.within("rest_v", rest_v, 0.0, 5.0);
        }
    }

    /// Whether chemistry and measurements are those of the other: then the circuits are the same.
    pub(crate) fn measures_like(&self, other: &Self) -> bool {
        self.chemistry == other.chemistry && self.capacity == other.capacity && self.resistance == other.resistance
    }

    /// The cell as a circuit at `cell_degc`, from one end of each measurement.
    ///
    /// # Errors
    ///
    /// Names the measurement that no cell of this chemistry can have.
    pub fn circuit(&self, chemistries: &Chemistries, ends: CellEnds, cell_degc: f64) -> Result<CellCircuit, Error> {
        self.circuit_near(chemistries, ends, cell_degc, None)
    }

    /// As [`Cell::circuit`], looked for first near the circuit at the likely values, where that is known.
    pub(crate) fn circuit_near(
        &self,
        chemistries: &Chemistries,
        ends: CellEnds,
        cell_degc: f64,
        likely: Option<&CellCircuit>,
    ) -> Result<CellCircuit, Error> {
        let curves = chemistries.curves(&self.chemistry)?;
        let measured_ah = self.capacity.capacity_ah.at(ends.capacity);
        let mut scale = likely.map_or(1.0, CellCircuit::scale);
        let mut share = likely.map(|likely| self.capacity.capacity_ah.likely / likely.capacity_ah);
        let mut capacity_ah = measured_ah / share.unwrap_or(1.0);
        let fresh = |cell_degc: f64| CellCircuit::new(Arc::clone(&curves), 1.0, 1.0, cell_degc);
        let (pulsed, tested) = (fresh(self.resistance.cell_degc), fresh(self.capacity.cell_degc));
        // From near by, the first round is done already.
        for near in SHARES_NEAR.into_iter().skip(usize::from(likely.is_some())) {
            scale = self.scale(&pulsed.scaled(capacity_ah, 1.0), ends.resistance, scale)?;
            let delivered = self.capacity.delivered_ratio(&tested.scaled(capacity_ah, scale), near, share)?;
            capacity_ah = measured_ah / delivered;
            share = Some(delivered);
        }
        Ok(fresh(cell_degc).scaled(capacity_ah, scale))
    }

    /// Factor on the resistances of a fresh cell that gives the measured one, looked for from a guess.
    fn scale(&self, fresh: &CellCircuit, end: End, guess: f64) -> Result<f64, Error> {
        let wanted_ohm = self.resistance.dc_ohm(end);
        let (after_s, current_a) = self.resistance.pulse(fresh.capacity_ah);
        let test = &self.resistance;
        let pulse = fresh.pulse(test.soc_ratio, current_a, after_s);
        let (low, high) = (0.01, 100.0);
        let (least, most) = (pulse.ohm(low), pulse.ohm(high));
        // The meter's leads may be most of a two-wire reading, but not more than leaves what such a cell has at least.
        let is_widened = end == End::Low && test.leads == MeterLeads::TwoWire && test.resistance_ohm.low >= least;
        let wanted_ohm = if is_widened { wanted_ohm.max(least) } else { wanted_ohm };
        if !(least..=most).contains(&wanted_ohm) {
            return Err(Error::other(
                "resistance_ohm",
                alloc::format!("{wanted_ohm:.4} Ω for {}", self.name),
                alloc::format!("between {least:.4} Ω and {most:.1} Ω for this chemistry, capacity and test"),
            )
            .at("resistance"));
        }
        Ok(pulse.scale_for(wanted_ohm, [low, high], guess))
    }
}

impl CapacityTest {
    /// Share of the capacity that the test takes out of `cell`, to `apart`, looked for near a guess first.
    fn delivered_ratio(&self, cell: &CellCircuit, apart: f64, guess: Option<f64>) -> Result<f64, Error> {
        let start = cell.curves.soc_ratio(self.start_v);
        let whole_s = 3600.0 * cell.capacity_ah / self.current_a;
        let left_v = |share: f64| cell.pulse(start, self.current_a, share * whole_s).cell_v() - self.end_v;
        let near = guess.and_then(|guess| root_around(guess, SHARE_AROUND * guess, apart, left_v));
        let most = (start + 0.2).max(0.0);
        let share = near.unwrap_or_else(|| root_near(0.0, most, apart, left_v));
        if share > 0.02 && share < start + 0.1 { Ok(share) } else { Err(self.too_little()) }
    }

    fn too_little(&self) -> Error {
        Error::other(
            "end_v",
            alloc::format!("{} V, from {} V at {} A", self.end_v, self.start_v, self.current_a),
            "a test that takes at least 2 % and at most all of this chemistry's charge out of the cell",
        )
        .at("capacity")
    }
}
