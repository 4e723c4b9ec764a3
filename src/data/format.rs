//! Sizes and masses of round cells by format.

use crate::data::{Seen, Source};

/// Largest size and mass of a round cell format, wrap included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FormatRow {
    /// Largest diameter, in metres.
    pub diameter_m: f64,
    /// Largest length, in metres.
    pub length_m: f64,
    /// Least, usual and largest mass, in kilograms.
    pub cell_kg: [f64; 3],
    /// Where it comes from.
    pub source: Source,
}

/// 18650: 18.4 × 65.0 mm and 47 g for one maker's cell, 18.55 × 65.25 mm for another's, 44 g for an old one.
pub const R18650: FormatRow = FormatRow {
    diameter_m: 0.01855,
    length_m: 0.06525,
    cell_kg: [0.044, 0.047, 0.050],
    source: Source {
        title: "Samsung SDI specifications ICR18650-26F, INR18650-35E, ICR18650-20",
        edition: "",
        place: "largest diameter and length; typical masses; 50 g from memory",
        seen: Seen::Original,
    },
};

/// 21700, from memory.
pub const R21700: FormatRow = FormatRow {
    diameter_m: 0.0217,
    length_m: 0.0709,
    cell_kg: [0.066, 0.069, 0.072],
    source: Source { title: "usual 21700 cells", edition: "", place: "", seen: Seen::Memory },
};

/// 26650: 70 g for one maker's iron phosphate cell; the size and the range of masses from memory.
pub const R26650: FormatRow = FormatRow {
    diameter_m: 0.0265,
    length_m: 0.0659,
    cell_kg: [0.070, 0.085, 0.095],
    source: Source {
        title: "A123 Systems ANR26650-M1 specification",
        edition: "",
        place: "nominal mass; size from memory",
        seen: Seen::Original,
    },
};
