//! Sizes of round cells and the most that any known cell of the size holds.
//!
//! The number is the size: two digits diameter, two or three digits length, in millimetres and tenths of one.

use crate::data::{Seen, Source};

/// Size of a round cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum CellSize {
    /// 14 mm by 50 mm.
    #[cfg_attr(feature = "serde", serde(rename = "14500"))]
    Mm14500,
    /// 18 mm by 50 mm.
    #[cfg_attr(feature = "serde", serde(rename = "18500"))]
    Mm18500,
    /// 18 mm by 65 mm.
    #[cfg_attr(feature = "serde", serde(rename = "18650"))]
    Mm18650,
    /// 21 mm by 70 mm.
    #[cfg_attr(feature = "serde", serde(rename = "21700"))]
    Mm21700,
    /// 26 mm by 65 mm.
    #[cfg_attr(feature = "serde", serde(rename = "26650"))]
    Mm26650,
    /// 32 mm by 70 mm.
    #[cfg_attr(feature = "serde", serde(rename = "32700"))]
    Mm32700,
}

/// Most that a cell of a size holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeRow {
    /// Capacity above which a reading is not believed, in ampere-hours.
    pub most_ah: f64,
    /// Where the figure comes from.
    pub source: Source,
}

/// Highest capacities on makers' data sheets, rounded up by about a tenth.
pub const SHEETS: Source = Source {
    title: "highest capacities on makers' data sheets, and a tenth more",
    edition: "",
    place: "",
    seen: Seen::Memory,
};

impl CellSize {
    /// The row of a size.
    #[must_use]
    pub const fn row(self) -> SizeRow {
        let most_ah = match self {
            Self::Mm14500 => 1.2,
            Self::Mm18500 => 2.3,
            Self::Mm18650 => 4.4,
            Self::Mm21700 | Self::Mm26650 => 6.6,
            Self::Mm32700 => 8.0,
        };
        SizeRow { most_ah, source: SHEETS }
    }
}
