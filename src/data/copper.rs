//! Copper: resistivity, temperature coefficient, density, and what it fuses and withstands at.

use crate::data::{Seen, Source};

/// Resistivity of annealed copper at 20 °C, in Ω·mm²/m: 1/58 by definition of the standard.
pub const RHO_20_OHM_MM2_PER_M: f64 = 1.0 / 58.0;

/// Temperature coefficient of the resistance of annealed copper at 20 °C, per kelvin.
pub const ALPHA_20_PER_K: f64 = 0.00393;

/// Density of annealed copper at 20 °C, in kilograms per cubic metre.
pub const DENSITY_KG_PER_M3: f64 = 8890.0;

/// Source of the three values above.
pub const COPPER_SOURCE: Source = Source {
    title: "IEC 60028, International standard of resistance for copper",
    edition: "1925",
    place: "values read in notes that quote NBS Handbook 100",
    seen: Seen::Reproduced,
};

/// Temperature at which the line through the resistances of IEC 60228's correction meets zero, below 0 °C, in kelvin.
///
/// The factor to 20 °C is 250/(230 + t), which rounds copper's own 254.5/(234.5 + t).
pub const IEC_60228_ZERO_K: f64 = 230.0;

/// Source of [`IEC_60228_ZERO_K`].
pub const IEC_60228_CORRECTION_SOURCE: Source = Source {
    title: "IEC 60228, Conductors of insulated cables",
    edition: "2004",
    place: "annex on measured resistances, in a cable maker's table",
    seen: Seen::Reproduced,
};

/// Current at which a bare round copper wire fuses in free air, in amperes for a diameter of one inch.
pub const PREECE_COPPER_A: f64 = 10244.0;

/// Source of [`PREECE_COPPER_A`].
pub const PREECE_SOURCE: Source = Source {
    title: "Preece, On the heating effects of electric currents, Proceedings of the Royal Society",
    edition: "1884 to 1888",
    place: "coefficient read in an engineering data page",
    seen: Seen::Reproduced,
};

/// Temperature at which copper melts in Onderdonk's equation, in degrees Celsius.
pub const ONDERDONK_MELTING_DEGC: f64 = 1083.0;

/// Temperature at which the line through copper's resistances meets zero, below 0 °C, in kelvin, in that equation.
pub const ONDERDONK_ZERO_K: f64 = 234.0;

/// Factor of Onderdonk's equation: 33·(I/A)²·t = log₁₀((Tm − Ta)/(234 + Ta) + 1) with A in circular mils.
pub const ONDERDONK_FACTOR: f64 = 33.0;

/// Source of Onderdonk's equation.
pub const ONDERDONK_SOURCE: Source = Source {
    title: "Stauffacher, Short-time current carrying capacity of copper wire, General Electric Review",
    edition: "1928",
    place: "equation read in a journal of circuit boards",
    seen: Seen::Reproduced,
};

/// k of k²·S² for copper in PVC up to 70 °C that may reach 160 °C, in A·√s/mm².
pub const ADIABATIC_PVC: f64 = 115.0;

/// Source of [`ADIABATIC_PVC`].
pub const ADIABATIC_SOURCE: Source =
    Source { title: "IEC 60364-5-54 and IEC 60949", edition: "", place: "factor k", seen: Seen::Memory };
