//! Outer size and mass of a pack's cells in a layout.
//!
//! ```text
//! grid        columns · d + (columns − 1) · gap   by   rows · d + (rows − 1) · gap
//! staggered   (columns − 1) · p + d + p/2         by   (rows − 1) · p · √3/2 + d,   p = d + gap
//! ```
//!
//! Round cells stand upright, several layers end to end; pouches lie flat, layers on top of each other, and are given
//! room to swell. A wall goes all round. Source: geometry; swelling: common practice, no source.

use crate::data::Source;
use crate::data::format::{FormatRow, R18650, R21700, R26650};
use crate::error::{Check, Error};
use crate::quantity::Interval;
use crate::quantity::root::sqrt;
use alloc::vec::Vec;

/// How much thicker than printed a pouch may grow over its life, as a ratio. Common practice, no source.
pub const SWELL_RATIO: f64 = 0.1;

/// A usual round cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum RoundFormat {
    /// 18 mm by 65 mm.
    R18650,
    /// 21 mm by 70 mm.
    R21700,
    /// 26 mm by 65 mm.
    R26650,
}

/// Shape of one cell, its wrap included.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum CellShape {
    /// A usual round cell.
    Format(RoundFormat),
    /// Another round cell.
    Round {
        /// Largest diameter, in metres.
        diameter_m: f64,
        /// Largest length, in metres.
        length_m: f64,
        /// Mass, in kilograms.
        cell_kg: Interval,
    },
    /// A pouch.
    Pouch {
        /// Length without the tabs, in metres.
        length_m: f64,
        /// Width, in metres.
        width_m: f64,
        /// Thickness as printed, in metres.
        thickness_m: f64,
        /// Mass, in kilograms.
        cell_kg: Interval,
    },
}

/// The question how large and heavy a pack gets.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PackLayout {
    /// One cell.
    pub shape: CellShape,
    /// Cells in the pack.
    pub cells: u32,
    /// Rows side by side.
    pub rows: u32,
    /// Cells in a row.
    pub columns: u32,
    /// Layers: end to end for round cells, on top of each other for pouches.
    pub layers: u32,
    /// Whether every second row of round cells is moved by half a cell.
    pub staggered: bool,
    /// Room between neighbours, in metres.
    pub gap_m: f64,
    /// Room at each end of a cell for strip, insulating ring and tabs, in metres.
    pub end_m: f64,
    /// Wall or wrap all round, in metres.
    pub wall_m: f64,
    /// Mass of strip, board, leads and box together, in kilograms.
    pub extra_kg: Interval,
}

/// Size and mass of a pack.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PackLayoutAnswer {
    /// Along the rows, in metres.
    pub length_m: f64,
    /// Across the rows, in metres.
    pub width_m: f64,
    /// Along the axis of round cells, or through the stack of pouches, in metres.
    pub height_m: f64,
    /// Places that stay empty.
    pub free_places: u32,
    /// Mass of the cells, in kilograms.
    pub cells_kg: Interval,
    /// Mass of the whole pack, in kilograms.
    pub pack_kg: Interval,
    /// Source of size and mass, where the format gives them.
    pub source: Option<Source>,
}

impl RoundFormat {
    const fn row(self) -> &'static FormatRow {
        match self {
            Self::R18650 => &R18650,
            Self::R21700 => &R21700,
            Self::R26650 => &R26650,
        }
    }
}

impl CellShape {
    fn check(&self, check: &mut Check) {
        let lengths = |check: &mut Check, all: &[(&'static str, f64)]| {
            for (field, value) in all {
                check.within(field, *value, 0.001, 1.0);
            }
        };
        match self {
            Self::Format(_) => {}
            Self::Round { diameter_m, length_m, cell_kg } => check.inside("round", |check| {
                lengths(check, &[("diameter_m", *diameter_m), ("length_m", *length_m)]);
                cell_kg.note(check, "cell_kg", 0.0001, 10.0);
            }),
            Self::Pouch { length_m, width_m, thickness_m, cell_kg } => check.inside("pouch", |check| {
                lengths(check, &[("length_m", *length_m), ("width_m", *width_m), ("thickness_m", *thickness_m)]);
                cell_kg.note(check, "cell_kg", 0.0001, 10.0);
            }),
        }
    }

    fn cell_kg(&self) -> Interval {
        match self {
            Self::Format(format) => {
                let [low, likely, high] = format.row().cell_kg;
                Interval { low, likely, high }
            }
            Self::Round { cell_kg, .. } | Self::Pouch { cell_kg, .. } => *cell_kg,
        }
    }
}

impl PackLayout {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("shape", |check| self.shape.check(check));
        let counts = [("rows", self.rows), ("columns", self.columns), ("layers", self.layers)];
        for (field, count) in counts {
            check.within(field, f64::from(count), 1.0, 100.0);
        }
        check.within("cells", f64::from(self.cells), 1.0, 10000.0);
        for (field, value) in [("gap_m", self.gap_m), ("end_m", self.end_m), ("wall_m", self.wall_m)] {
            check.within(field, value, 0.0, 0.1);
        }
        self.extra_kg.note(check, "extra_kg", 0.0, 100.0);
        if check.is_clean() && self.places() < self.cells {
            let given = alloc::format!("{} cells for {} places", self.cells, self.places());
            check.note(Error::other("cells", given, "no more cells than rows · columns · layers"));
        }
    }

    /// Places of a layout; its counts are at most 100 each.
    fn places(&self) -> u32 {
        self.rows.saturating_mul(self.columns).saturating_mul(self.layers)
    }

    /// How large and heavy the pack gets.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::Interval;
    /// # use cellwright::part::layout::{CellShape, PackLayout, RoundFormat};
    /// let pack = PackLayout {
    ///     shape: CellShape::Format(RoundFormat::R18650),
    ///     cells: 6,
    ///     rows: 2,
    ///     columns: 3,
    ///     layers: 1,
    ///     staggered: false,
    ///     gap_m: 0.001,
    ///     end_m: 0.002,
    ///     wall_m: 0.003,
    ///     extra_kg: Interval::exact(0.05),
    /// };
    /// let answer = pack.answer()?;
    /// assert!((answer.length_m - 0.06365).abs() < 1e-12);
    /// assert!((answer.cells_kg.likely - 0.282).abs() < 1e-12);
    /// assert_eq!(PackLayout { cells: 7, ..pack }.answer().unwrap_err()[0].field(), "cells");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<PackLayoutAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let row = |count: u32, size_m: f64| f64::from(count) * size_m + f64::from(count - 1) * self.gap_m;
        let [length_m, width_m, height_m] = match self.shape {
            CellShape::Format(format) => self.round(format.row().diameter_m, format.row().length_m),
            CellShape::Round { diameter_m, length_m, .. } => self.round(diameter_m, length_m),
            CellShape::Pouch { length_m, width_m, thickness_m, .. } => [
                row(self.columns, length_m + 2.0 * self.end_m),
                row(self.rows, width_m),
                row(self.layers, thickness_m * (1.0 + SWELL_RATIO)),
            ],
        };
        let cell_kg = self.shape.cell_kg();
        let times = |kg: f64| kg * f64::from(self.cells);
        let cells_kg = Interval { low: times(cell_kg.low), likely: times(cell_kg.likely), high: times(cell_kg.high) };
        let extra_kg = self.extra_kg;
        Ok(PackLayoutAnswer {
            length_m: length_m + 2.0 * self.wall_m,
            width_m: width_m + 2.0 * self.wall_m,
            height_m: height_m + 2.0 * self.wall_m,
            free_places: self.places() - self.cells,
            cells_kg,
            pack_kg: Interval {
                low: cells_kg.low + extra_kg.low,
                likely: cells_kg.likely + extra_kg.likely,
                high: cells_kg.high + extra_kg.high,
            },
            source: if let CellShape::Format(format) = self.shape { Some(format.row().source) } else { None },
        })
    }

    fn round(&self, diameter_m: f64, length_m: f64) -> [f64; 3] {
        let pitch_m = diameter_m + self.gap_m;
        let (more_rows, more_columns) = (f64::from(self.rows - 1), f64::from(self.columns - 1));
        let stagger = self.staggered && self.rows > 1;
        let (shift_m, rise) = if stagger { (0.5 * pitch_m, 0.5 * sqrt(3.0)) } else { (0.0, 1.0) };
        [
            more_columns * pitch_m + diameter_m + shift_m,
            more_rows * pitch_m * rise + diameter_m,
            f64::from(self.layers) * (length_m + 2.0 * self.end_m),
        ]
    }
}
