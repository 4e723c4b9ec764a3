//! Facts only: constants and rows, each with its source; no arithmetic.

pub mod ampacity;
pub mod blower;
pub mod cell_sheet;
pub mod charger;
pub mod chemistry;
pub mod conductor;
pub mod copper;
pub mod diary;
pub mod dielectric;
pub mod diode;
pub mod format;
pub mod fuse;
pub mod joint;
pub mod marking;
pub mod motor;
pub mod other_cells;
pub mod protection;
pub mod screening;
pub mod series;
pub mod size;
pub mod sorting;
pub mod switch;
pub mod timer;
pub mod transport;

/// Date of the newest change to any row, shown in every report.
pub const VERSION: &str = "2026-11-26";

/// Where a fact comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Source {
    /// Title of the document, with its number.
    pub title: &'static str,
    /// Edition, revision or date; empty where the document has none.
    pub edition: &'static str,
    /// Table, clause or page.
    pub place: &'static str,
    /// How well the fact is known.
    pub seen: Seen,
}

/// How well a fact is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Seen {
    /// Read in the document itself.
    Original,
    /// Read in a document that reproduces it.
    Reproduced,
    /// From memory: check before relying on it.
    Memory,
    /// A rule of the trade: common practice, no source.
    Practice,
    /// Follows from physics; the derivation stands in the documentation.
    Derived,
}

/// A rule of the trade without a published source.
pub const COMMON_PRACTICE: Source =
    Source { title: "common practice, no source", edition: "", place: "", seen: Seen::Practice };

/// What follows from the laws of circuits, in a finding.
pub const CIRCUIT_LAW: Source = Source { title: "circuit law", edition: "", place: "", seen: Seen::Derived };

/// What follows from physics; the derivation stands where it is used.
pub const DERIVED: Source = Source { title: "follows from physics", edition: "", place: "", seen: Seen::Derived };
