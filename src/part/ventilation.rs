//! Fresh air that lead-acid cells need while they are charged.
//!
//! ```text
//! air = 0.05 m³/Ah · cells · gassing_c · capacity_ah       opening = 28 cm² a m³/h, inlet and outlet each
//! ```
//!
//! 0.05 is dilution to the explosion limit (24) times hydrogen an ampere-hour (0.42 l) times a safety factor of 5, as
//! printed. Holds for rooms and boxes with natural draught. Source: IEC 62485-2, kept in [`crate::data::transport`].

use crate::data::Source;
use crate::data::transport::HYDROGEN;
use crate::error::{Check, Error};
use alloc::vec::Vec;

/// How a lead-acid battery is built and charged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Gassing {
    /// Valve-regulated, kept full.
    SealedFloat,
    /// Valve-regulated, being charged.
    SealedBoost,
    /// With caps, kept full.
    VentedFloat,
    /// With caps, being charged.
    VentedBoost,
}

/// The question how much fresh air a lead-acid battery needs.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Ventilation {
    /// Cells of 2 V in series, six in a 12 V block.
    pub cells: u32,
    /// Capacity, in ampere-hours.
    pub capacity_ah: f64,
    /// How it is built and charged.
    pub gassing: Gassing,
}

/// Fresh air for a lead-acid battery.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct VentilationAnswer {
    /// Air, in cubic metres an hour.
    pub air_m3_per_h: f64,
    /// Free opening low down and another high up, in square metres each.
    pub opening_m2: f64,
    /// Where it comes from.
    pub source: Source,
}

impl Ventilation {
    /// How much fresh air the battery needs.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::ventilation::{Gassing, Ventilation};
    /// let block = Ventilation { cells: 6, capacity_ah: 7.0, gassing: Gassing::SealedBoost };
    /// assert!((block.answer()?.air_m3_per_h - 0.0168).abs() < 1e-9);
    /// assert_eq!(Ventilation { cells: 0, ..block }.answer().unwrap_err()[0].field(), "cells");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<VentilationAnswer, Vec<Error>> {
        let mut check = Check::new();
        check.within("cells", f64::from(self.cells), 1.0, 100.0);
        check.within("capacity_ah", self.capacity_ah, 0.1, 10000.0);
        check.finish()?;
        let gassing_c = match self.gassing {
            Gassing::SealedFloat => HYDROGEN.float_c,
            Gassing::SealedBoost => HYDROGEN.boost_c,
            Gassing::VentedFloat => HYDROGEN.vented_float_c,
            Gassing::VentedBoost => HYDROGEN.vented_boost_c,
        };
        let air_m3_per_h = HYDROGEN.air_m3_per_ah * f64::from(self.cells) * gassing_c * self.capacity_ah;
        let opening_m2 = HYDROGEN.opening_m2_per_m3_h * air_m3_per_h;
        Ok(VentilationAnswer { air_m3_per_h, opening_m2, source: HYDROGEN.source })
    }
}
