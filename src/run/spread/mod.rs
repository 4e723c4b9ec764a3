//! How long a pack runs its loads, said as chances: nine builds in ten run longer than …
//!
//! ```text
//! place    = shared_ratio · place of the pack + (1 − shared_ratio) · place of the cell        −1 low, 0 likely, 1 high
//! tenth    = 10th percentile of the runtimes of all draws
//! band     = likely − √(Σ (weight · (likely − shortest))²),   one run for each input at its worse end
//! ```
//!
//! Each draw is a whole discharge. A value lies below or above its likely one with the same chance, and evenly on
//! either side. What one meter does to every cell alike is drawn once a pack; so are the loads, the leads, the
//! temperature, the error of the model itself and how the cells' rest curve has aged
//! ([`crate::part::cell::Curves::worn`]). The worst corner stays
//! "at least". A draw that leaves the range in which the model is trusted counts with the time until it left it.
//! The weight of the band is 0.8, the place of the 10th percentile of one even input; several inputs together come to
//! less. What each cell has of its own counts whole, because the weakest of many groups lies near its worse end.
//! Source: JCGM 100:2008, 4.3.7 (even between two bounds) and 5.1.2 (squares add), from memory; even on either side of
//! the likely value: common practice, no source.

mod cells;
mod draws;
mod outline;

pub use draws::{DrawsProgress, RuntimeDraws};
pub use outline::{RuntimeBand, SpreadEffect, SpreadInput, SpreadOutline};

use crate::error::{Check, Error};
use crate::part::cell::Chemistries;
use crate::part::load::LoadCircuit;
use crate::quantity::Interval;
use crate::run::pack_run::PackRun;
use alloc::vec::Vec;

/// Draws where their number is left out.
pub const DRAWS_USUAL: u32 = 1000;

/// Most draws times cells of one question.
pub const EFFORT_MOST: f64 = 1e6;

/// Share of a cell's doubt that all cells have in common where it is left out: common practice, no source.
pub const SHARED_USUAL: f64 = 0.5;

/// Most charge that a salvaged cell is taken to have lost where it is left out: common practice, no source. Cells are
/// usually taken out of service at 70 % to 80 % of their first capacity.
pub const LOST_USUAL: f64 = 0.3;

/// A pack and its loads, with what is known of how the doubts hang together.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RuntimeSpread {
    /// The pack, its loads and what lies between them.
    pub run: PackRun,
    /// Duty of the chopped loads; each load's own where left out.
    pub duty: Option<Interval>,
    /// Share of the capacities' doubt that all cells have in common, such as one meter's gain; 0.5 where left out.
    pub shared_capacity_ratio: Option<f64>,
    /// Share of the resistances' doubt that all cells have in common; 0.5 where left out.
    pub shared_resistance_ratio: Option<f64>,
    /// Charge that the cells have lost since they were new, at the most, 0 to 0.6; 0.3 where left out. 0 for a rest
    /// curve measured on these cells.
    pub lost_ratio: Option<f64>,
    /// Seed of the draws: the same seed gives the same percentiles.
    pub seed: u32,
    /// Number of draws, 100 to 20000; 1000 where left out.
    pub draws: Option<u32>,
}

/// What the draws and the runs at the ends say.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct RuntimeSpreadAnswer {
    /// Corners, and what each input does alone.
    pub outline: SpreadOutline,
    /// The draws.
    pub drawn: DrawsProgress,
}

impl RuntimeSpread {
    /// A pack whose doubts hang together as usual.
    #[must_use]
    pub const fn new(run: PackRun, seed: u32) -> Self {
        Self {
            run,
            duty: None,
            shared_capacity_ratio: None,
            shared_resistance_ratio: None,
            lost_ratio: None,
            seed,
            draws: None,
        }
    }

    /// Corners, effects and draws in one go.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    pub fn answer(&self) -> Result<RuntimeSpreadAnswer, Vec<Error>> {
        let mut draws = RuntimeDraws::new(self)?;
        let drawn = draws.step(draws.draws());
        Ok(RuntimeSpreadAnswer { outline: self.outline()?, drawn })
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("run", |check| self.run.check(check));
        if let Some(duty) = self.duty {
            duty.note(check, "duty", 0.0, 1.0);
        }
        for (field, ratio, most) in [
            ("shared_capacity_ratio", self.shared_capacity_ratio, 1.0),
            ("shared_resistance_ratio", self.shared_resistance_ratio, 1.0),
            ("lost_ratio", self.lost_ratio, 0.6),
        ] {
            if let Some(ratio) = ratio {
                check.within(field, ratio, 0.0, most);
            }
        }
        let cells: usize = self.run.pack.groups.iter().map(|group| group.cells.len()).sum();
        let most = (EFFORT_MOST / cells.max(1) as f64).min(20_000.0);
        check.within("draws", f64::from(self.drawn()), 100.0, most);
    }

    /// The chemistries of the pack, where nothing is wrong with the inputs.
    fn chemistries(&self) -> Result<Chemistries, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let used = self.run.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
        Chemistries::new(&self.run.own_chemistries, used)
            .map_err(|errors| errors.into_iter().map(|error| error.at("run")).collect())
    }

    fn drawn(&self) -> u32 {
        self.draws.unwrap_or(DRAWS_USUAL)
    }

    fn shared_capacity(&self) -> f64 {
        self.shared_capacity_ratio.unwrap_or(SHARED_USUAL)
    }

    fn shared_resistance(&self) -> f64 {
        self.shared_resistance_ratio.unwrap_or(SHARED_USUAL)
    }

    fn lost(&self) -> f64 {
        self.lost_ratio.unwrap_or(LOST_USUAL)
    }

    /// A load with the duty that the speed control gives it at a place from −1 to 1.
    fn chopped(&self, at: usize, circuit: LoadCircuit, place: f64) -> LoadCircuit {
        match self.duty {
            Some(duty) if self.run.loads.get(at).is_some_and(|load| load.chopped) => {
                LoadCircuit { duty: duty.toward(place).clamp(0.0, 1.0), ..circuit }
            }
            _ => circuit,
        }
    }
}
