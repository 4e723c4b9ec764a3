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

/// How much an aluminium electrolytic capacitor may leak: the larger of a floor and a rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeakRow {
    /// Leak over capacitance times voltage, per second: 0.01 µA for each µF and volt.
    pub per_s: f64,
    /// The least that is promised, in amperes.
    pub least_a: f64,
    /// Where it comes from.
    pub source: Source,
}

/// Leak of a general-purpose aluminium electrolytic capacitor two minutes after switching on.
pub const ELECTROLYTIC_LEAK: LeakRow = LeakRow {
    per_s: 0.01,
    least_a: 3e-6,
    source: Source {
        title: "Data sheets of aluminium electrolytic capacitors",
        edition: "",
        place: "0.01 CV or 3 µA, from memory",
        seen: Seen::Memory,
    },
};

/// Lowest temperature of a ceramic class, by its first letter, in degrees Celsius.
pub const CLASS_LOW: [(char, f64); 3] = [('X', -55.0), ('Y', -30.0), ('Z', 10.0)];

/// Highest temperature of a ceramic class, by its digit, in degrees Celsius.
pub const CLASS_HIGH: [(char, f64); 7] =
    [('2', 45.0), ('4', 65.0), ('5', 85.0), ('6', 105.0), ('7', 125.0), ('8', 150.0), ('9', 200.0)];

/// Largest fall and rise of the capacitance between them, by the last letter.
pub const CLASS_CHANGE: [(char, [f64; 2]); 13] = [
    ('A', [-0.01, 0.01]),
    ('B', [-0.015, 0.015]),
    ('C', [-0.022, 0.022]),
    ('D', [-0.033, 0.033]),
    ('E', [-0.047, 0.047]),
    ('F', [-0.075, 0.075]),
    ('P', [-0.10, 0.10]),
    ('R', [-0.15, 0.15]),
    ('S', [-0.22, 0.22]),
    ('L', [-0.40, 0.15]),
    ('T', [-0.33, 0.22]),
    ('U', [-0.56, 0.22]),
    ('V', [-0.82, 0.22]),
];

/// Source of the three tables of class codes.
pub const CLASS_SOURCE: Source = Source {
    title: "EIA-198, Ceramic dielectric capacitors",
    edition: "",
    place: "class codes; X7R, X5R, Y5V and Z5U read in a capacitor maker's catalogue, the other letters from memory",
    seen: Seen::Memory,
};

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
