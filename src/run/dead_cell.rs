//! One dead cell in a parallel group: what its neighbours push into it, for how long, and what a link does.
//!
//! ```text
//! dead_a      = (rest_v − dead_v) / (dead_ohm + way + (cell_ohm + way) / neighbours),   way = link and strip of a cell
//! neighbour_a = dead_a / neighbours
//! lasts_s     = 3600 · charge of the neighbours / dead_a
//! hot_after_s = cell_kg · heat capacity · (limit − cell_degc) / heat, no heat lost
//! ```
//!
//! A short has dead_v 0 and its own resistance; a cell that only rests low keeps its voltage and its resistance. At
//! most: the group full and warm, lowest resistances, ohmic part alone, the shorted cell empty. At least: highest
//! resistances after ten seconds, the shorted cell charged like its neighbours, so that it feeds its own short. Its heat
//! counts its own charge. The current falls while the neighbours empty; `lasts_s` counts that at its long end. Source:
//! Ohm's and Kirchhoff's laws.

mod case;
mod link;

pub use link::{FusibleLink, HOLDS_RATIO, LinkAnswer, LinkWindow, OPENS_FACTOR};

use crate::error::{Check, Error};
use crate::pack::COUNT_MAX;
use crate::part::cell::{Cell, CellEnds, Chemistries, OwnChemistry};
use crate::quantity::{End, Interval};
use crate::run::discharge::TIME_MAX_S;
use crate::run::equalise::Equalisation;
use alloc::string::String;
use alloc::vec::Vec;
use case::{Case, Dead, Reading};

/// How much more than its even share one cell of a group may carry. Common practice, no source.
pub const UNEVEN_FACTOR: f64 = 1.3;

/// Heat capacity of a round lithium cell, in joules per kilogram and kelvin: 800 to 1100, from memory.
pub const CELL_J_PER_KG_K: Interval = Interval { low: 800.0, likely: 950.0, high: 1100.0 };

/// Time after which the slower part of a cell's resistance is counted for the least current, in seconds.
const SETTLED_S: f64 = 10.0;

/// What is wrong with the dead cell.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum DeadFault {
    /// It is shorted inside.
    Short {
        /// Resistance of the short between its ends, in ohms.
        short_ohm: Interval,
    },
    /// It rests lower than the others.
    Low {
        /// Its rest voltage, in volts.
        dead_v: Interval,
    },
}

/// A group with one dead cell.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DeadCell {
    /// What the maker calls the group.
    pub name: String,
    /// Chemistries of the maker's own.
    pub own_chemistries: Vec<OwnChemistry>,
    /// One of the sound cells; the others are like it.
    pub cell: Cell,
    /// Cells in the group, the dead one included.
    pub parallel: u32,
    /// Voltage of the group when it happens, rested, in volts; full is worst.
    pub rest_v: Interval,
    /// What is wrong with the dead cell.
    pub fault: DeadFault,
    /// Temperature of the cells, in degrees Celsius.
    pub cell_degc: Interval,
    /// Resistance of strip and joints of one cell, without the link, in ohms.
    pub strip_ohm: Interval,
    /// The link of each cell; left out where there is none.
    pub link: Option<FusibleLink>,
    /// Highest current of the load, in amperes.
    pub load_a: Option<f64>,
    /// Mass of a cell, in kilograms.
    pub cell_kg: Option<f64>,
}

/// What a dead cell comes to.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct DeadCellAnswer {
    /// Current into the dead cell, in amperes.
    pub dead_a: Interval,
    /// Current out of each neighbour, in amperes.
    pub neighbour_a: Interval,
    /// Highest continuous discharge current of a neighbour, in amperes.
    pub neighbour_limit_a: f64,
    /// Heat in the dead cell at first, in watts.
    pub dead_heat_w: Interval,
    /// Heat in each neighbour at first, in watts.
    pub neighbour_heat_w: Interval,
    /// How long it goes on until the neighbours are empty, or, for a cell that rests low, until nine tenths of the charge
    /// have moved, in seconds; none where that takes more than thirty days.
    pub lasts_s: Option<Interval>,
    /// Energy in the group that can become heat, in joules, at most.
    pub heat_j: f64,
    /// Earliest time at which the dead cell passes its highest temperature, in seconds, no heat lost; none without a
    /// mass, or where it takes more than thirty days.
    pub hot_after_s: Option<f64>,
    /// That temperature, in degrees Celsius.
    pub limit_degc: f64,
    /// For a cell that rests low: how the voltages even out, at the likely values; none for a cell under empty.
    pub evening_out: Option<Equalisation>,
    /// Current that each sound cell carries once the dead one is off, in amperes.
    pub left_share_a: Option<f64>,
    /// What the given link does.
    pub link: Option<LinkAnswer>,
    /// Links that melt in a dead short and carry the load; none where no link does both, without a load, or for a cell
    /// that rests low.
    pub window: Option<LinkWindow>,
}

impl DeadCell {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("cell", |check| self.cell.check(check));
        check.within("parallel", f64::from(self.parallel), 2.0, COUNT_MAX as f64);
        self.rest_v.note(check, "rest_v", 0.3, 5.0);
        check.inside("fault", |check| match &self.fault {
            DeadFault::Short { short_ohm } => {
                check.inside("short", |check| short_ohm.note(check, "short_ohm", 1e-4, 1000.0));
            }
            DeadFault::Low { dead_v } => check.inside("low", |check| {
                dead_v.note(check, "dead_v", 0.0, 5.0);
                if dead_v.high > self.rest_v.low {
                    let accepted = alloc::format!("at most the group's {} V", self.rest_v.low);
                    check.note(Error::other("dead_v", alloc::format!("up to {} V", dead_v.high), accepted));
                }
            }),
        });
        self.cell_degc.note(check, "cell_degc", -20.0, 60.0);
        self.strip_ohm.note(check, "strip_ohm", 0.0, 1.0);
        if let Some(link) = &self.link {
            check.inside("link", |check| link.check(check));
        }
        if let Some(load_a) = self.load_a {
            check.within("load_a", load_a, 0.0, 1000.0);
        }
        if let Some(cell_kg) = self.cell_kg {
            check.within("cell_kg", cell_kg, 0.001, 50.0);
        }
    }

    /// What the neighbours do to the dead cell.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    pub fn answer(&self) -> Result<DeadCellAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let chemistries = Chemistries::new(&self.own_chemistries, core::iter::once(&self.cell.chemistry))?;
        let limits = chemistries.limits(&self.cell.chemistry).map_err(|error| alloc::vec![error.at("cell")])?;
        let case = |end: End| self.case(&chemistries, end).map_err(|error| alloc::vec![error.at("cell")]);
        let cases = [case(End::Low)?, case(End::Likely)?, case(End::High)?];
        let [least, likely, most] = &cases;
        let dead_a = self.dead_a(&cases);
        let each = 1.0 / most.neighbours;
        let neighbour_a = Interval { low: each * dead_a.low, likely: each * dead_a.likely, high: each * dead_a.high };
        let practice_a = limits.discharge_c * self.cell.capacity.capacity_ah.low;
        let (lasts_s, evening_out) = self.lasts(&cases, &dead_a)?;
        let dead_heat_w = self.dead_heat_w(&cases, &dead_a);
        let left_share_a = self.load_a.map(|load_a| UNEVEN_FACTOR * load_a * each);
        let heats = |case: &Case, current_a: f64| current_a * current_a * case.cell_ohm(Reading::After(0.1), current_a);
        Ok(DeadCellAnswer {
            dead_a,
            neighbour_a,
            neighbour_limit_a: self.cell.discharge_limit_a.unwrap_or(practice_a),
            dead_heat_w,
            // At the most the largest current meets a cell of the highest resistance, which one of them may have.
            neighbour_heat_w: rising(
                heats(most, neighbour_a.low),
                heats(likely, neighbour_a.likely),
                heats(least, neighbour_a.high),
            ),
            lasts_s,
            heat_j: f64::from(self.parallel) * most.cell_j(),
            hot_after_s: self.hot_after_s(dead_heat_w.high, limits.discharge_high_degc),
            limit_degc: limits.discharge_high_degc,
            evening_out,
            left_share_a,
            link: self.link_answer(&dead_a, &neighbour_a, left_share_a).map_err(|error| alloc::vec![error])?,
            window: self.window(&dead_a, left_share_a),
        })
    }

    /// The group at the ends that give the least, the likely and the most current.
    fn case(&self, chemistries: &Chemistries, most: End) -> Result<Case, Error> {
        let least = most.opposite();
        let ends = CellEnds { capacity: most, resistance: least };
        let cell = self.cell.circuit(chemistries, ends, self.cell_degc.at(most))?;
        let rest_v = self.rest_v.at(most);
        Ok(Case {
            neighbours: f64::from(self.parallel - 1),
            rest_v,
            soc_ratio: cell.soc_at_rest(rest_v).clamp(0.0, 1.0),
            cell,
            way_ohm: self.strip_ohm.at(least) + self.link.map_or(0.0, |link| link.resistance_ohm().at(least)),
        })
    }

    /// The dead cell as it takes the least current (charged, its own resistance lowest), or more.
    fn dead(&self, case: &Case, end: End, own_ohm: f64) -> Dead {
        match self.fault {
            DeadFault::Low { dead_v } => case.low(dead_v.at(end.opposite())),
            DeadFault::Short { short_ohm } if end == End::Low => Dead::Charged { short_ohm: short_ohm.high, own_ohm },
            DeadFault::Short { short_ohm } => Dead::Empty { short_ohm: short_ohm.at(end.opposite()) },
        }
    }

    fn dead_a(&self, [least, likely, most]: &[Case; 3]) -> Interval {
        let own_ohm = most.cell_ohm(Reading::First, 0.0);
        rising(
            least.dead_a(Reading::After(SETTLED_S), self.dead(least, End::Low, own_ohm)),
            likely.dead_a(Reading::After(0.1), self.dead(likely, End::Likely, own_ohm)),
            most.dead_a(Reading::First, self.dead(most, End::High, own_ohm)),
        )
    }

    fn dead_heat_w(&self, [least, likely, most]: &[Case; 3], dead_a: &Interval) -> Interval {
        let heat_w = |case: &Case, current_a: f64, ohm: Option<f64>| {
            current_a * current_a * ohm.unwrap_or_else(|| case.cell_ohm(Reading::After(0.1), current_a))
        };
        let short_ohm = match self.fault {
            DeadFault::Short { short_ohm } => Some(short_ohm),
            DeadFault::Low { .. } => None,
        };
        let high = match short_ohm {
            Some(short_ohm) => most.short_heat_w(short_ohm),
            // What is not stored in a cell that is charged turns to heat in its resistance, at the most in the highest.
            None => heat_w(least, dead_a.high, None),
        };
        let low = heat_w(most, dead_a.low, short_ohm.map(|ohm| ohm.low));
        rising(low, heat_w(likely, dead_a.likely, short_ohm.map(|ohm| ohm.likely)), high)
    }

    /// How long it goes on, and how a low cell evens out.
    fn lasts(
        &self,
        cases: &[Case; 3],
        dead_a: &Interval,
    ) -> Result<(Option<Interval>, Option<Equalisation>), Vec<Error>> {
        let [least, likely, most] = cases;
        let DeadFault::Low { dead_v } = self.fault else { return Ok((self.short_lasts(cases, dead_a), None)) };
        let even = |case: &Case, end: End| -> Result<Option<Equalisation>, Vec<Error>> {
            match case.tie(dead_v.at(end)) {
                Some(tie) => tie.equalise(None).map(Some).map_err(|error| alloc::vec![error]),
                None => Ok(None),
            }
        };
        let evens = [even(most, End::Low)?, even(likely, End::Likely)?, even(least, End::High)?];
        let [fast_s, likely_s, slow_s] = evens.map(|even| even.and_then(|even| even.settle_s));
        let lasts_s = fast_s.zip(likely_s).zip(slow_s).map(|((fast_s, likely_s), slow_s)| {
            let (low, high) = (fast_s.min(slow_s), fast_s.max(slow_s));
            Interval { low: low.min(likely_s), likely: likely_s, high: high.max(likely_s) }
        });
        Ok((lasts_s, evens[1]))
    }

    /// Time until the neighbours are empty; at the long end at the current that they give with a twentieth left.
    fn short_lasts(&self, [least, likely, most]: &[Case; 3], dead_a: &Interval) -> Option<Interval> {
        let charge_as = |case: &Case| case.neighbours * case.cell.capacity_ah * case.soc_ratio * 3600.0;
        let own_ohm = most.cell_ohm(Reading::First, 0.0);
        let cell = least.cell.clone();
        let tired = Case { cell, ..*least }.emptied(0.05_f64.min(least.soc_ratio));
        let last_a = tired.dead_a(Reading::After(SETTLED_S), self.dead(&tired, End::Low, own_ohm)).min(dead_a.low);
        let lasts_s =
            rising(charge_as(least) / dead_a.high, charge_as(likely) / dead_a.likely, charge_as(most) / last_a);
        (lasts_s.high <= TIME_MAX_S).then_some(lasts_s)
    }

    /// Earliest time at which a cell that makes `heat_w` passes `limit_degc`.
    fn hot_after_s(&self, heat_w: f64, limit_degc: f64) -> Option<f64> {
        let room_k = (limit_degc - self.cell_degc.high).max(0.0);
        let time_s = self.cell_kg? * CELL_J_PER_KG_K.low * room_k / heat_w;
        (time_s <= TIME_MAX_S).then_some(time_s)
    }
}

/// The three in rising order around the likely one.
fn rising(low: f64, likely: f64, high: f64) -> Interval {
    Interval { low: low.min(likely), likely, high: high.max(likely) }
}
