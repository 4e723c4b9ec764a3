//! Gauge and square-millimetre sizes, classes, and published current limits with their conditions.

use crate::data::{Seen, Source};

/// Diameter of AWG 36, in millimetres: 0.005 inch.
pub const AWG_36_MM: f64 = 0.127;

/// Ratio of the diameters of AWG 0000 and AWG 36, over 39 steps.
pub const AWG_RATIO: f64 = 92.0;

/// Source of the gauge sizes.
pub const AWG_SOURCE: Source = Source {
    title: "ASTM B258, nominal diameters of solid round wires",
    edition: "",
    place: "d = 0.005 in x 92^((36 - n)/39)",
    seen: Seen::Reproduced,
};

/// Nominal cross-sections, in square millimetres.
pub const NOMINAL_MM2: [f64; 12] = [0.14, 0.22, 0.34, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0];

/// Resistance of a usual stranded conductor over that of solid copper of its nominal section.
///
/// NEC chapter 9 table 8 prints about 2 % more for stranded conductors.
pub const STRANDING_LIKELY: f64 = 1.02;

/// Largest permitted resistance of a flexible conductor over that of solid copper of its nominal section: 13.1 % at
/// 0.75 mm², 14.8 % at 6 mm² (IEC 60228 class 5); the largest of the table is taken for all.
pub const STRANDING_HIGH: f64 = 1.15;

/// Source of the nominal sections and their permitted resistance.
pub const IEC_60228_SOURCE: Source = Source {
    title: "IEC 60228, Conductors of insulated cables",
    edition: "",
    place: "tables 2 and 3, as printed by cable makers",
    seen: Seen::Reproduced,
};
