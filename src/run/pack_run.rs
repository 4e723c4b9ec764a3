//! The question of how long a pack runs its loads.

use crate::error::{Check, Error};
use crate::pack::Pack;
use crate::part::cell::{CellCircuit, CellEnds, Chemistries, HeatPath, OwnChemistry};
use crate::part::load::Load;
use crate::quantity::{End, Interval};
use crate::run::discharge::{Discharge, Stops, TIME_MAX_S, discharge};
use crate::run::stepper::PackCircuit;
use alloc::vec::Vec;

/// A pack, its loads and what lies between them.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PackRun {
    /// Chemistries of the maker's own.
    pub own_chemistries: Vec<OwnChemistry>,
    /// The pack, full at the start.
    pub pack: Pack,
    /// The loads, in parallel.
    pub loads: Vec<Load>,
    /// Resistance of leads, fuse, switch and board between pack and loads, in ohms; the pack's own links come on top.
    pub lead_ohm: Interval,
    /// Temperature of the surroundings and of the cells at the start, in degrees Celsius.
    pub ambient_degc: Interval,
    /// Voltage of a group at which the protection cuts off, in volts.
    pub cut_off_v: Option<f64>,
    /// Current in the on-time at which the protection cuts off, in amperes.
    pub trip_a: Option<Interval>,
    /// How each cell sheds the heat it makes; the cells keep their temperature where left out.
    pub heat_path: Option<HeatPath>,
    /// Longest time asked for, in seconds; thirty days where it is left out.
    pub time_s: Option<f64>,
}

/// The end of each uncertain input that a run uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RunEnds {
    /// Ends of every cell's measurements.
    pub cells: CellEnds,
    /// End of the loads: high draws most.
    pub loads: End,
    /// End of leads and links.
    pub leads: End,
    /// End of the temperature.
    pub ambient: End,
}

/// Runs at the likely values and at both worst corners.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PackRunAnswer {
    /// Time until the run ends, in seconds: least, likely, most. The least is no later than where a flat end begins.
    pub runtime_s: Interval,
    /// Low capacity, high resistance, heavy load, cold.
    pub least: Discharge,
    /// Likely values.
    pub likely: Discharge,
    /// High capacity, low resistance, light load, warm.
    pub most: Discharge,
}

/// Cells in their groups at the three corners.
pub(crate) type Corners = [Vec<Vec<CellCircuit>>; 3];

/// The cells of a pack at the corners that run shortest, likely and longest; the outer ones are looked for near the likely.
///
/// # Errors
///
/// Every measurement that no cell of its chemistry can have.
pub(crate) fn corners(pack: &Pack, chemistries: &Chemistries, ambient_degc: Interval) -> Result<Corners, Vec<Error>> {
    let cells = |ends: RunEnds, likely: &[Vec<CellCircuit>]| {
        let cells = pack.circuits_near(chemistries, ends.cells, ambient_degc.at(ends.ambient), likely);
        cells.map_err(|errors| errors.into_iter().map(|error| error.at("pack")).collect::<Vec<Error>>())
    };
    let likely = cells(RunEnds::LIKELY, &[])?;
    let (least, most) = (cells(RunEnds::LEAST, &likely)?, cells(RunEnds::MOST, &likely)?);
    Ok([least, likely, most])
}

impl RunEnds {
    /// Every input at its likely value.
    pub const LIKELY: Self = Self::all(End::Likely, End::Likely, End::Likely);
    /// The corner that runs shortest and heats most.
    pub const LEAST: Self = Self::all(End::Low, End::High, End::Low);
    /// The corner that runs longest.
    pub const MOST: Self = Self::all(End::High, End::Low, End::High);

    /// The capacities alone at one end.
    pub(crate) const fn capacity(capacity: End) -> Self {
        Self { cells: CellEnds { capacity, resistance: End::Likely }, ..Self::LIKELY }
    }

    /// The cells' resistances alone at one end.
    pub(crate) const fn resistance(resistance: End) -> Self {
        Self { cells: CellEnds { capacity: End::Likely, resistance }, ..Self::LIKELY }
    }

    /// Leads and links alone at one end.
    pub(crate) const fn leads(leads: End) -> Self {
        Self { leads, ..Self::LIKELY }
    }

    /// The temperature alone at one end.
    pub(crate) const fn ambient(ambient: End) -> Self {
        Self { ambient, ..Self::LIKELY }
    }

    const fn all(capacity: End, resistance: End, ambient: End) -> Self {
        Self { cells: CellEnds { capacity, resistance }, loads: resistance, leads: resistance, ambient }
    }
}

impl PackRunAnswer {
    /// The runs at the three corners; the likely one may last shorter or longer than both.
    pub(crate) fn of([least, likely, most]: [Discharge; 3]) -> Self {
        let low = least.promised_s().min(likely.promised_s());
        let high = most.runtime_s.max(likely.runtime_s);
        Self { runtime_s: Interval { low, likely: likely.runtime_s, high }, least, likely, most }
    }
}

impl PackRunAnswer {
    /// The shortest, the shorter likely and the longest run of two answers.
    pub(crate) fn spanning(self, other: Self) -> Self {
        let (a, b) = (self, other);
        Self {
            runtime_s: Interval {
                low: a.runtime_s.low.min(b.runtime_s.low),
                likely: a.runtime_s.likely.min(b.runtime_s.likely),
                high: a.runtime_s.high.max(b.runtime_s.high),
            },
            least: if b.least.runtime_s < a.least.runtime_s { b.least } else { a.least },
            likely: if b.likely.runtime_s < a.likely.runtime_s { b.likely } else { a.likely },
            most: if b.most.runtime_s > a.most.runtime_s { b.most } else { a.most },
        }
    }
}

impl PackRun {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("pack", |check| self.pack.check(check));
        for (i, load) in self.loads.iter().enumerate() {
            check.inside("loads", |check| check.inside(i, |check| load.check(check)));
        }
        if self.loads.len() > 20 {
            check.note(Error::range("loads", self.loads.len() as f64, 0.0, 20.0));
        }
        self.lead_ohm.note(check, "lead_ohm", 0.0, 100.0);
        self.ambient_degc.note(check, "ambient_degc", -20.0, 60.0);
        if let Some(cut_off_v) = self.cut_off_v {
            check.within("cut_off_v", cut_off_v, 0.0, 5.0);
        }
        if let Some(trip_a) = self.trip_a {
            trip_a.note(check, "trip_a", 1e-3, 10_000.0);
        }
        if let Some(heat_path) = &self.heat_path {
            check.inside("heat_path", |check| heat_path.check(check));
        }
        if let Some(time_s) = self.time_s {
            check.within("time_s", time_s, 0.0, TIME_MAX_S);
        }
    }

    /// Runs the pack at the likely values and at both worst corners; unidentified cells as every kind they may be.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    pub fn answer(&self) -> Result<PackRunAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        if self.pack.has_unidentified() {
            return self.over_kinds();
        }
        let used = self.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
        let chemistries = Chemistries::new(&self.own_chemistries, used)?;
        let least = self.run(&chemistries, RunEnds::LEAST)?;
        let likely = self.run(&chemistries, RunEnds::LIKELY)?;
        let most = self.run(&chemistries, RunEnds::MOST)?;
        Ok(PackRunAnswer::of([least, likely, most]))
    }

    /// The shortest, the shorter likely and the longest run over every kind that unidentified cells may be.
    fn over_kinds(&self) -> Result<PackRunAnswer, Vec<Error>> {
        let answers = self.pack.over_candidates(|pack| Self { pack, ..self.clone() }.answer())?;
        answers.into_iter().map(|(_, answer)| answer).reduce(PackRunAnswer::spanning).ok_or_else(Vec::new)
    }

    /// Runs the pack at one end of each input.
    ///
    /// # Errors
    ///
    /// Every measurement that no cell of its chemistry can have.
    pub fn run(&self, chemistries: &Chemistries, ends: RunEnds) -> Result<Discharge, Vec<Error>> {
        self.discharged(&self.circuit(chemistries, ends)?)
    }

    /// What ends the run.
    pub(crate) fn stops(&self) -> Stops {
        Stops {
            floor_v: self.pack.floor_v,
            cut_off_v: self.cut_off_v.unwrap_or(0.0),
            time_s: self.time_s.unwrap_or(TIME_MAX_S),
        }
    }

    /// Runs a circuit of this pack from full.
    pub(crate) fn discharged(&self, circuit: &PackCircuit) -> Result<Discharge, Vec<Error>> {
        let full_v = self.pack.full_v;
        let soc_ratio = |cell: &CellCircuit| cell.soc_at_rest(full_v);
        discharge(circuit, &self.stops(), soc_ratio).map_err(|error| alloc::vec![error])
    }

    /// The circuit at one end of each input.
    ///
    /// # Errors
    ///
    /// Every measurement that no cell of its chemistry can have.
    pub fn circuit(&self, chemistries: &Chemistries, ends: RunEnds) -> Result<PackCircuit, Vec<Error>> {
        let ambient_degc = self.ambient_degc.at(ends.ambient);
        let in_pack = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("pack")).collect::<Vec<Error>>();
        self.pack.circuits(chemistries, ends.cells, ambient_degc).map_err(in_pack).map(|cells| self.tied(cells, ends))
    }

    /// The circuits at the three corners: least, likely and most.
    ///
    /// # Errors
    ///
    /// Every measurement that no cell of its chemistry can have.
    pub(crate) fn corners(&self, chemistries: &Chemistries) -> Result<[PackCircuit; 3], Vec<Error>> {
        let [least, likely, most] = corners(&self.pack, chemistries, self.ambient_degc)?;
        let corners = [(least, RunEnds::LEAST), (likely, RunEnds::LIKELY), (most, RunEnds::MOST)];
        Ok(corners.map(|(cells, ends)| self.tied(cells, ends)))
    }

    /// Cells of this pack in their groups with the rest of the circuit at one end of each input.
    pub(crate) fn tied(&self, mut groups: Vec<Vec<CellCircuit>>, ends: RunEnds) -> PackCircuit {
        let ambient_degc = self.ambient_degc.at(ends.ambient);
        groups.iter_mut().flatten().for_each(|cell| cell.heat_path = self.heat_path);
        let loads = self.loads.iter().map(|load| load.circuit(ends.loads)).collect();
        let lead_ohm = self.lead_ohm.at(ends.leads) + self.pack.link_ohm.at(ends.leads);
        let mut circuit = PackCircuit::new(groups, loads, lead_ohm, ambient_degc);
        // The lowest trip current is the one that ends a run first, at the end that draws most.
        circuit.trip_a = self.trip_a.map(|trip_a| trip_a.at(ends.loads.opposite()));
        circuit
    }
}
