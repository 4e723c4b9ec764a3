//! What a data sheet's cycle life says of a number of cycles in between.
//!
//! ```text
//! lost_per_cycle = 1 − left^(1 / rated_cycles)          left_after = left^(cycles / rated_cycles)
//! ```
//!
//! The same share is lost with each cycle. That is arithmetic between two points of one data sheet, for a fresh cell at
//! the currents and temperature of that sheet and up to its rated cycles; no law is known by which used cells age, so a
//! salvaged cell is measured again instead. Source: definition of a constant ratio.

use crate::error::{Check, Error};
use alloc::vec::Vec;

/// A data sheet's cycle life and a number of cycles.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CycleFade {
    /// Cycles that the data sheet rates.
    pub rated_cycles: f64,
    /// Share of the capacity that it says is left after them.
    pub rated_left_ratio: f64,
    /// Cycles that are asked about.
    pub cycles: f64,
}

/// What is left after a number of cycles.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CycleFadeAnswer {
    /// Share of the capacity lost with each cycle.
    pub lost_per_cycle_ratio: f64,
    /// Share of the capacity left after the cycles asked about; nothing beyond the rated ones.
    pub left_ratio: Option<f64>,
}

impl CycleFade {
    /// What is left.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::fade::CycleFade;
    /// let fade = CycleFade { rated_cycles: 2000.0, rated_left_ratio: 0.8, cycles: 1000.0 };
    /// assert!((fade.answer()?.left_ratio.unwrap() - 0.8f64.sqrt()).abs() < 1e-12);
    /// assert_eq!(CycleFade { cycles: 2001.0, ..fade }.answer()?.left_ratio, None);
    /// assert_eq!(CycleFade { rated_cycles: 0.0, ..fade }.answer().unwrap_err()[0].field(), "rated_cycles");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<CycleFadeAnswer, Vec<Error>> {
        let mut check = Check::new();
        check.within("rated_cycles", self.rated_cycles, 1.0, 1e6);
        check.within("rated_left_ratio", self.rated_left_ratio, 0.01, 1.0);
        check.within("cycles", self.cycles, 0.0, 1e6);
        check.finish()?;
        let after = |cycles: f64| libm::pow(self.rated_left_ratio, cycles / self.rated_cycles);
        let left_ratio = (self.cycles <= self.rated_cycles).then(|| after(self.cycles));
        Ok(CycleFadeAnswer { lost_per_cycle_ratio: 1.0 - after(1.0), left_ratio })
    }
}
