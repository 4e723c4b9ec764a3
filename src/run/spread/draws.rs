//! The draws: a value that is stepped by a count, so that whoever waits can look on and stop.

use super::RuntimeSpread;
use super::cells::{CellFits, WEAR_LEVELS, wear_place};
use crate::error::Error;
use crate::part::cell::{Cell, CellCircuit};
use crate::quantity::draw::{Draws, MOST_DIMENSIONS, percentile};
use crate::quantity::order::sort_numbers;
use crate::run::discharge::doubt::model_ratio;
use crate::run::discharge::{Stops, TrustLimit, brief};
use crate::run::stepper::PackCircuit;
use alloc::vec::Vec;

/// How far the draws have come.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct DrawsProgress {
    /// Draws so far.
    pub drawn: u32,
    /// Draws asked for.
    pub draws: u32,
    /// Whether all are drawn.
    pub done: bool,
    /// Nine builds in ten run longer than this, in seconds; none before the first draw.
    pub tenth_s: Option<f64>,
    /// Half of the builds run longer than this, in seconds.
    pub median_s: Option<f64>,
    /// One build in ten runs longer than this, in seconds.
    pub ninetieth_s: Option<f64>,
    /// Shortest time of all draws, in seconds.
    pub shortest_s: Option<f64>,
    /// Draws that left the range in which the model is trusted before they ended; each counts until it left it.
    pub beyond_trust: u32,
    /// Why the first of them left it.
    pub trust_limit: Option<TrustLimit>,
}

/// Whole discharges of packs like the one that was told.
///
/// The same seed gives the same times on every target, in however many pieces they are asked for.
#[derive(Clone, Debug)]
pub struct RuntimeDraws {
    spread: RuntimeSpread,
    stops: Stops,
    /// Each different cell once.
    fits: Vec<CellFits>,
    /// For each group the place of its cells' fits.
    groups: Vec<Vec<usize>>,
    sequence: Draws,
    /// Rising.
    times_s: Vec<f64>,
    drawn: u32,
    beyond_trust: u32,
    trust_limit: Option<TrustLimit>,
}

/// What is drawn once a pack, in the order of the dimensions; the loads follow, then the cells.
const SHARED_CAPACITY: usize = 0;
const SHARED_RESISTANCE: usize = 1;
const WEAR: usize = 2;
const AMBIENT: usize = 3;
const LEADS: usize = 4;
const LINKS: usize = 5;
const DUTY: usize = 6;
const MODEL: usize = 7;
const TRIP: usize = 8;
const LOADS: usize = 9;

impl RuntimeDraws {
    /// Prepares the draws.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    pub fn new(spread: &RuntimeSpread) -> Result<Self, Vec<Error>> {
        let chemistries = spread.chemistries()?;
        let worn: Vec<_> = (0..WEAR_LEVELS).map(|level| chemistries.worn(spread.lost(), wear_place(level))).collect();
        let mut known: Vec<&Cell> = Vec::new();
        let (mut fits, mut groups) = (Vec::new(), Vec::new());
        for (g, group) in spread.run.pack.groups.iter().enumerate() {
            let mut places = Vec::with_capacity(group.cells.len());
            for (c, cell) in group.cells.iter().enumerate() {
                let place = known.iter().position(|other| alike(other, cell));
                places.push(place.unwrap_or(known.len()));
                if place.is_none() {
                    let at = |error: Error| error.at(c).at("cells").at(g).at("groups").at("pack").at("run");
                    fits.push(CellFits::new(cell, &chemistries, &worn).map_err(at)?);
                    known.push(cell);
                }
            }
            groups.push(places);
        }
        let cells: usize = groups.iter().map(Vec::len).sum();
        let dimensions = (LOADS + spread.run.loads.len() + 2 * cells).min(MOST_DIMENSIONS);
        Ok(Self {
            stops: spread.run.stops(),
            fits,
            groups,
            sequence: Draws::new(u64::from(spread.seed), dimensions),
            times_s: Vec::new(),
            drawn: 0,
            beyond_trust: 0,
            trust_limit: None,
            spread: spread.clone(),
        })
    }

    /// What is drawn from.
    #[must_use]
    pub fn spread(&self) -> &RuntimeSpread {
        &self.spread
    }

    /// Draws asked for.
    #[must_use]
    pub fn draws(&self) -> u32 {
        self.spread.drawn()
    }

    /// Draws `count` more, or fewer where all are drawn before.
    pub fn step(&mut self, count: u32) -> DrawsProgress {
        let last = self.drawn.saturating_add(count).min(self.draws());
        for index in self.drawn..last {
            let time_s = self.draw(index);
            self.times_s.push(time_s);
        }
        self.drawn = last;
        sort_numbers(&mut self.times_s);
        self.progress()
    }

    /// How far the draws have come.
    #[must_use]
    pub fn progress(&self) -> DrawsProgress {
        let at = |share| percentile(&self.times_s, share);
        DrawsProgress {
            drawn: self.drawn,
            draws: self.draws(),
            done: self.drawn >= self.draws(),
            tenth_s: at(0.1),
            median_s: at(0.5),
            ninetieth_s: at(0.9),
            shortest_s: self.times_s.first().copied(),
            beyond_trust: self.beyond_trust,
            trust_limit: self.trust_limit,
        }
    }

    /// Time of one draw, in seconds.
    fn draw(&mut self, index: u32) -> f64 {
        let Some(circuit) = self.circuit(index) else { return 0.0 };
        let full_v = self.spread.run.pack.full_v;
        let run = brief(&circuit, &self.stops, |cell| cell.soc_at_rest(full_v));
        let off = 2.0 * self.sequence.unit(index, MODEL) - 1.0;
        let off = 1.0 + off * model_ratio(circuit.ambient_degc);
        off * match run.trusted_until_s {
            Some(until_s) => {
                self.beyond_trust += 1;
                self.trust_limit = self.trust_limit.or(run.trust_limit);
                until_s.min(run.runtime_s)
            }
            None => run.runtime_s,
        }
    }

    /// The pack of one draw.
    fn circuit(&self, index: u32) -> Option<PackCircuit> {
        let RuntimeSpread { run, .. } = &self.spread;
        let place = |dimension: usize| 2.0 * self.sequence.unit_of_any(index, dimension) - 1.0;
        let ambient_degc = run.ambient_degc.toward(place(AMBIENT));
        let level = libm::round((place(WEAR) + 1.0) * 0.5 * (WEAR_LEVELS - 1) as f64) as usize;
        let capacities = (self.spread.shared_capacity(), place(SHARED_CAPACITY));
        let resistances = (self.spread.shared_resistance(), place(SHARED_RESISTANCE));
        let mixed = |(share, common): (f64, f64), own: f64| share * common + (1.0 - share) * own;
        let mut dimension = LOADS + run.loads.len();
        let mut groups = Vec::with_capacity(self.groups.len());
        for group in &self.groups {
            let mut cells: Vec<CellCircuit> = Vec::with_capacity(group.len());
            for fit in group {
                let capacity = mixed(capacities, place(dimension));
                let resistance = mixed(resistances, place(dimension + 1));
                let mut cell = self.fits.get(*fit)?.circuit(capacity, resistance, level, ambient_degc)?;
                cell.heat_path = run.heat_path;
                cells.push(cell);
                dimension += 2;
            }
            groups.push(cells);
        }
        let loads = run.loads.iter().enumerate().map(|(i, load)| {
            let circuit = load.circuit_toward(place(LOADS + i));
            self.spread.chopped(i, circuit, place(DUTY))
        });
        let lead_ohm = run.lead_ohm.toward(place(LEADS)) + run.pack.link_ohm.toward(place(LINKS));
        let mut circuit = PackCircuit::new(groups, loads.collect(), lead_ohm, ambient_degc);
        circuit.trip_a = run.trip_a.map(|trip_a| trip_a.toward(place(TRIP)));
        Some(circuit)
    }
}

/// Whether two cells have the same measurements.
fn alike(one: &Cell, other: &Cell) -> bool {
    one.chemistry == other.chemistry && one.capacity == other.capacity && one.resistance == other.resistance
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pack::{Group, Pack};
    use crate::part::cell::{CapacityTest, CellEnds, Chemistry, MeterLeads, ResistanceMethod, ResistanceTest};
    use crate::part::load::{Draw, Load};
    use crate::quantity::{End, Interval};
    use crate::run::discharge::discharge;
    use crate::run::pack_run::PackRun;
    use alloc::vec;

    fn made(capacity_ah: Interval, resistance_ohm: Interval) -> Cell {
        let capacity = CapacityTest { capacity_ah, start_v: 4.2, end_v: 2.8, current_a: 0.5, cell_degc: 22.0 };
        let resistance = ResistanceTest {
            resistance_ohm,
            method: ResistanceMethod::Dc { after_s: 10.0, current_a: 1.0 },
            leads: MeterLeads::FourWire,
            cell_degc: 22.0,
            soc_ratio: 0.5,
        };
        Cell::new("invented", Chemistry::Nmc, capacity, resistance)
    }

    fn spread(power_w: f64, duty: f64) -> RuntimeSpread {
        let cell = |i: u32| {
            let step = f64::from(i);
            made(
                Interval::around(1.8 + 0.1 * step, 0.06),
                Interval { low: 0.05, likely: 0.07 + 0.003 * step, high: 0.12 },
            )
        };
        let groups = (0..3).map(|g| Group { cells: vec![cell(2 * g), cell(2 * g + 1)] }).collect();
        let draw = Draw::FollowsVoltage { power_w: Interval::around(power_w, 0.1), at_v: 12.0, exponent: 1.3 };
        let mut load = Load { duty, drop_out_v: Some(8.4), ..Load::new("seed-drying blower", draw) };
        let first = load.clone();
        load.draw = Draw::Power { power_w: Interval::around(1.0, 0.2) };
        load.duty = 1.0;
        RuntimeSpread::new(
            PackRun {
                own_chemistries: Vec::new(),
                pack: Pack { groups, link_ohm: Interval::around(0.01, 0.5), full_v: 4.15, floor_v: 3.0 },
                loads: vec![first, load],
                lead_ohm: Interval::around(0.08, 0.4),
                ambient_degc: Interval { low: 8.0, likely: 18.0, high: 30.0 },
                cut_off_v: Some(2.5),
                trip_a: None,
                heat_path: None,
                time_s: None,
            },
            9,
        )
    }

    /// What [`brief`] promises: 0.2 % of the runtime.
    #[test]
    fn a_draw_runs_as_long_as_a_whole_discharge() {
        let mut differ = 0;
        for (power_w, duty) in [(8.0, 1.0), (40.0, 1.0), (60.0, 0.4)] {
            let draws = RuntimeDraws::new(&spread(power_w, duty)).unwrap();
            for index in 0..60 {
                let circuit = draws.circuit(index).unwrap();
                let full = |cell: &CellCircuit| cell.soc_at_rest(4.15);
                let (short, whole) =
                    (brief(&circuit, &draws.stops, full), discharge(&circuit, &draws.stops, full).unwrap());
                let apart = short.runtime_s / whole.runtime_s - 1.0;
                assert!(libm::fabs(apart) < 2e-3, "{power_w} W, draw {index}: {apart}");
                differ += usize::from(short.trust_limit != whole.trust_limit);
            }
        }
        // Where a current just touches the limit, one of the two sees it.
        assert!(differ <= 6, "{differ} of 180");
    }

    /// What two inputs do together is left out: half a percent of the charge with all at their ends, a twelfth of its
    /// doubt, and three percent of the resistance, a tenth of its doubt.
    #[test]
    fn a_cell_between_its_ends_is_the_cell_measured_there() {
        let (capacity_ah, resistance_ohm) =
            (Interval::around(2.1, 0.06), Interval { low: 0.05, likely: 0.07, high: 0.12 });
        let cell = made(capacity_ah, resistance_ohm);
        let chemistries = crate::part::cell::Chemistries::new(&[], [&cell.chemistry].into_iter()).unwrap();
        let worn: Vec<_> = (0..WEAR_LEVELS).map(|level| chemistries.worn(0.3, wear_place(level))).collect();
        let fits = CellFits::new(&cell, &chemistries, &worn).unwrap();
        for (capacity, resistance, level) in
            [(0.0, 0.0, 4), (-0.5, 0.5, 0), (0.9, -0.7, 2), (-1.0, 1.0, 8), (0.3, 0.9, 6)]
        {
            let exact =
                made(Interval::exact(capacity_ah.toward(capacity)), Interval::exact(resistance_ohm.toward(resistance)));
            let ends = CellEnds { capacity: End::Likely, resistance: End::Likely };
            let whole = exact.circuit(&worn[level], ends, 15.0).unwrap();
            let near = fits.circuit(capacity, resistance, level, 15.0).unwrap();
            let (ah, scale) = (near.capacity_ah / whole.capacity_ah - 1.0, near.scale() / whole.scale() - 1.0);
            assert!(libm::fabs(ah) < 5e-3 && libm::fabs(scale) < 3e-2, "{capacity} {resistance} {level}: {ah} {scale}");
        }
    }
}
