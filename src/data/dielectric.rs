//! Capacitors by dielectric: tolerance, temperature, and the values usual for them.

use crate::data::series::Series;
use crate::data::{COMMON_PRACTICE, Seen, Source};

/// What a capacitor is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Dielectric {
    /// Ceramic C0G, also called NP0.
    C0g,
    /// Plastic film.
    Film,
    /// Ceramic X7R.
    X7r,
    /// Ceramic X5R.
    X5r,
    /// Ceramic Y5V.
    Y5v,
    /// Ceramic Z5U.
    Z5u,
    /// Aluminium electrolytic.
    Electrolytic,
}

/// Facts about one dielectric.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DielectricRow {
    /// The dielectric.
    pub dielectric: Dielectric,
    /// Lowest temperature of its class, in degrees Celsius.
    pub low_degc: f64,
    /// Highest temperature of its class, in degrees Celsius.
    pub high_degc: f64,
    /// Largest fall of the capacitance over that range, a negative ratio.
    pub fall_ratio: f64,
    /// Largest rise of the capacitance over that range.
    pub rise_ratio: f64,
    /// Usual tolerance when bought, low side, a negative ratio.
    pub tolerance_low_ratio: f64,
    /// Usual tolerance when bought, high side.
    pub tolerance_high_ratio: f64,
    /// Series usual for it.
    pub series: Series,
    /// Smallest usual value, in farads.
    pub low_f: f64,
    /// Largest usual value, in farads.
    pub high_f: f64,
    /// Source of the temperature class.
    pub source: Source,
}

const EIA_198: Source = Source {
    title: "EIA-198, Ceramic dielectric capacitors",
    edition: "",
    place: "class codes, read in a capacitor maker's catalogue, page 55",
    seen: Seen::Reproduced,
};

const FROM_MEMORY: Source = Source {
    title: "Data sheets of capacitor makers",
    edition: "",
    place: "change over temperature, from memory",
    seen: Seen::Memory,
};

/// Source of the usual tolerances, series and ranges of values.
pub const USUAL_VALUES_SOURCE: Source = COMMON_PRACTICE;

/// Every dielectric. The change over temperature holds at no DC voltage; class-2 ceramics lose more under it.
pub const DIELECTRICS: [DielectricRow; 7] = [
    DielectricRow {
        dielectric: Dielectric::C0g,
        low_degc: -55.0,
        high_degc: 125.0,
        fall_ratio: -0.003,
        rise_ratio: 0.003,
        tolerance_low_ratio: -0.05,
        tolerance_high_ratio: 0.05,
        series: Series::E12,
        low_f: 10e-12,
        high_f: 10e-9,
        source: EIA_198,
    },
    DielectricRow {
        dielectric: Dielectric::Film,
        low_degc: -40.0,
        high_degc: 85.0,
        fall_ratio: -0.04,
        rise_ratio: 0.04,
        tolerance_low_ratio: -0.1,
        tolerance_high_ratio: 0.1,
        series: Series::E12,
        low_f: 1e-9,
        high_f: 1e-6,
        source: FROM_MEMORY,
    },
    DielectricRow {
        dielectric: Dielectric::X7r,
        low_degc: -55.0,
        high_degc: 125.0,
        fall_ratio: -0.15,
        rise_ratio: 0.15,
        tolerance_low_ratio: -0.1,
        tolerance_high_ratio: 0.1,
        series: Series::E6,
        low_f: 100e-12,
        high_f: 1e-6,
        source: EIA_198,
    },
    DielectricRow {
        dielectric: Dielectric::X5r,
        low_degc: -55.0,
        high_degc: 85.0,
        fall_ratio: -0.15,
        rise_ratio: 0.15,
        tolerance_low_ratio: -0.2,
        tolerance_high_ratio: 0.2,
        series: Series::E6,
        low_f: 10e-9,
        high_f: 22e-6,
        source: EIA_198,
    },
    DielectricRow {
        dielectric: Dielectric::Y5v,
        low_degc: -30.0,
        high_degc: 85.0,
        fall_ratio: -0.82,
        rise_ratio: 0.22,
        tolerance_low_ratio: -0.2,
        tolerance_high_ratio: 0.8,
        series: Series::E3,
        low_f: 10e-9,
        high_f: 10e-6,
        source: EIA_198,
    },
    DielectricRow {
        dielectric: Dielectric::Z5u,
        low_degc: 10.0,
        high_degc: 85.0,
        fall_ratio: -0.56,
        rise_ratio: 0.22,
        tolerance_low_ratio: -0.2,
        tolerance_high_ratio: 0.8,
        series: Series::E3,
        low_f: 10e-9,
        high_f: 4.7e-6,
        source: EIA_198,
    },
    DielectricRow {
        dielectric: Dielectric::Electrolytic,
        low_degc: -40.0,
        high_degc: 85.0,
        fall_ratio: -0.3,
        rise_ratio: 0.1,
        tolerance_low_ratio: -0.2,
        tolerance_high_ratio: 0.8,
        series: Series::E3,
        low_f: 0.47e-6,
        high_f: 10e-3,
        source: FROM_MEMORY,
    },
];

impl Dielectric {
    /// The row of this dielectric.
    #[must_use]
    pub const fn row(self) -> &'static DielectricRow {
        let [c0g, film, x7r, x5r, y5v, z5u, electrolytic] = &DIELECTRICS;
        match self {
            Self::C0g => c0g,
            Self::Film => film,
            Self::X7r => x7r,
            Self::X5r => x5r,
            Self::Y5v => y5v,
            Self::Z5u => z5u,
            Self::Electrolytic => electrolytic,
        }
    }
}
