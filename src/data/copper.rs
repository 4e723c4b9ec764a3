//! Resistivity and temperature coefficient of conductor metals.

use crate::data::{Seen, Source};

/// Resistivity of annealed copper at 20 °C, in Ω·mm²/m: 1/58 by definition of the standard.
pub const RHO_20_OHM_MM2_PER_M: f64 = 1.0 / 58.0;

/// Temperature coefficient of the resistance of annealed copper at 20 °C, per kelvin.
pub const ALPHA_20_PER_K: f64 = 0.00393;

/// Source of both copper values.
pub const COPPER_SOURCE: Source = Source {
    title: "IEC 60028, International standard of resistance for copper",
    edition: "1925",
    place: "value read in NBS Handbook 100",
    seen: Seen::Reproduced,
};
