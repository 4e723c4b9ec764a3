//! Metals and builds of conductors, and the largest resistances that a standard allows.

use crate::data::copper::{ALPHA_20_PER_K, COPPER_SOURCE, DENSITY_KG_PER_M3, PREECE_COPPER_A, RHO_20_OHM_MM2_PER_M};
use crate::data::{Seen, Source};
use crate::quantity::Interval;

/// What a conductor is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Metal {
    /// Plain annealed copper.
    Copper,
    /// Copper strands with a tin coat.
    TinnedCopper,
    /// Aluminium for conductors.
    Aluminium,
    /// Aluminium with a skin of copper, as in cheap loudspeaker and jump-start cable.
    CopperCladAluminium,
    /// Nickel, as strip between cells.
    Nickel,
    /// Steel with a skin of nickel, often sold as nickel strip.
    NickelPlatedSteel,
}

/// Constants of a metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MetalRow {
    /// Its name.
    pub name: &'static str,
    /// Resistivity at 20 °C, in Ω·mm²/m.
    pub resistivity_ohm_mm2_per_m: Interval,
    /// Temperature coefficient of the resistance at 20 °C, per kelvin.
    pub alpha_20_per_k: f64,
    /// Density, in kilograms per cubic metre.
    pub density_kg_per_m3: f64,
    /// Preece's coefficient: current in amperes that fuses a bare round wire of one inch in free air, where he gave one.
    pub preece_a: Option<f64>,
    /// Where the values come from.
    pub source: Source,
}

const COPPER: MetalRow = MetalRow {
    name: "copper",
    resistivity_ohm_mm2_per_m: Interval::exact(RHO_20_OHM_MM2_PER_M),
    alpha_20_per_k: ALPHA_20_PER_K,
    density_kg_per_m3: DENSITY_KG_PER_M3,
    preece_a: Some(PREECE_COPPER_A),
    source: COPPER_SOURCE,
};

/// The tin adds resistance, which the tables of coated conductors hold; the copper itself is the same.
const TINNED_COPPER: MetalRow = MetalRow { name: "tinned copper", ..COPPER };

const ALUMINIUM: MetalRow = MetalRow {
    name: "aluminium",
    resistivity_ohm_mm2_per_m: Interval::exact(0.028264),
    alpha_20_per_k: 0.00403,
    density_kg_per_m3: 2703.0,
    // From memory; source as for copper.
    preece_a: Some(7585.0),
    source: Source {
        title: "IEC 60889, Hard-drawn aluminium wire",
        edition: "",
        place: "61 % of the conductivity of copper; resistivity and coefficient read in handbooks, density from memory",
        seen: Seen::Reproduced,
    },
};

/// From the best of a maker's own table (66.6 % of copper) to the standard's minimum (62.9 %).
const COPPER_CLAD_ALUMINIUM: MetalRow = MetalRow {
    name: "copper-clad aluminium",
    resistivity_ohm_mm2_per_m: Interval { low: 0.02586, likely: 0.02669, high: 0.02743 },
    alpha_20_per_k: 0.00405,
    density_kg_per_m3: 3320.0,
    preece_a: None,
    source: Source {
        title: "ASTM B566, Copper-clad aluminum wire, class 10A",
        edition: "",
        place: "minimum conductivity read at a wire maker; resistivity, coefficient and density from memory",
        seen: Seen::Memory,
    },
};

/// Largest resistivity of copper-clad aluminium with 15 % of copper by volume (class 15A), in Ω·mm²/m: 64.4 % of
/// copper's conductivity. The row of the metal reaches from better ones of this class to the worst of class 10A.
pub const COPPER_CLAD_15_OHM_MM2_PER_M: f64 = 0.02676;

/// Source of [`COPPER_CLAD_15_OHM_MM2_PER_M`].
pub const COPPER_CLAD_15_SOURCE: Source = Source {
    title: "ASTM B566, Copper-clad aluminum wire, class 15A",
    edition: "",
    place: "largest resistivity, from memory",
    seen: Seen::Memory,
};

/// From pure nickel to nickel of 99 %, which strip is mostly made of.
const NICKEL: MetalRow = MetalRow {
    name: "nickel",
    resistivity_ohm_mm2_per_m: Interval { low: 0.0693, likely: 0.085, high: 0.096 },
    alpha_20_per_k: 0.006,
    density_kg_per_m3: 8890.0,
    preece_a: None,
    source: Source {
        title: "data sheets of nickel 200 and nickel 201, tables of the elements",
        edition: "",
        place: "electrical resistivity",
        seen: Seen::Memory,
    },
};

/// From pure iron to mild steel; the skin of a few micrometres is counted as steel.
const NICKEL_PLATED_STEEL: MetalRow = MetalRow {
    name: "nickel-plated steel",
    resistivity_ohm_mm2_per_m: Interval { low: 0.0971, likely: 0.142, high: 0.17 },
    alpha_20_per_k: 0.006,
    density_kg_per_m3: 7850.0,
    // Iron, from memory; source as for copper.
    preece_a: Some(3148.0),
    source: Source {
        title: "handbooks of mild steel and tables of the elements",
        edition: "",
        place: "electrical resistivity",
        seen: Seen::Memory,
    },
};

/// How nickel strip is told from nickel-plated steel strip. Common practice, no source.
pub const NICKEL_OR_STEEL: &str = "Scratch or file a piece to below its surface, lay it in salt water and wait a \
    day: steel rusts, nickel does not. A grinder throws long bright sparks from steel and hardly any from nickel. A \
    magnet tells nothing: it holds both. Measured with four wires, a metre of steel strip has about 1.7 times the \
    resistance of a metre of nickel strip of the same size.";

impl Metal {
    /// Every metal.
    pub const ALL: [Self; 6] = [
        Self::Copper,
        Self::TinnedCopper,
        Self::Aluminium,
        Self::CopperCladAluminium,
        Self::Nickel,
        Self::NickelPlatedSteel,
    ];

    /// Its constants.
    #[must_use]
    pub const fn row(self) -> &'static MetalRow {
        match self {
            Self::Copper => &COPPER,
            Self::TinnedCopper => &TINNED_COPPER,
            Self::Aluminium => &ALUMINIUM,
            Self::CopperCladAluminium => &COPPER_CLAD_ALUMINIUM,
            Self::Nickel => &NICKEL,
            Self::NickelPlatedSteel => &NICKEL_PLATED_STEEL,
        }
    }
}

/// Largest resistances of one nominal cross-section at 20 °C, in ohms per kilometre as the standard prints them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AreaRow {
    /// Nominal cross-section, in square millimetres.
    pub area_mm2: f64,
    /// Stiff conductor, solid or stranded, plain copper: classes 1 and 2.
    pub stiff_ohm_per_km: f64,
    /// Stiff conductor of coated copper.
    pub stiff_coated_ohm_per_km: f64,
    /// Stiff stranded conductor of aluminium, where the standard has one.
    pub aluminium_ohm_per_km: Option<f64>,
    /// Flexible conductor of plain copper: class 5.
    pub flexible_ohm_per_km: f64,
    /// Flexible conductor of coated copper.
    pub flexible_coated_ohm_per_km: f64,
}

const fn area(area_mm2: f64, stiff: [f64; 2], aluminium_ohm_per_km: Option<f64>, flexible: [f64; 2]) -> AreaRow {
    AreaRow {
        area_mm2,
        stiff_ohm_per_km: stiff[0],
        stiff_coated_ohm_per_km: stiff[1],
        aluminium_ohm_per_km,
        flexible_ohm_per_km: flexible[0],
        flexible_coated_ohm_per_km: flexible[1],
    }
}

/// Largest resistances by nominal cross-section.
pub const AREAS: [AreaRow; 11] = [
    area(0.5, [36.0, 36.7], None, [39.0, 40.1]),
    area(0.75, [24.5, 24.8], None, [26.0, 26.7]),
    area(1.0, [18.1, 18.2], None, [19.5, 20.0]),
    area(1.5, [12.1, 12.2], None, [13.3, 13.7]),
    area(2.5, [7.41, 7.56], None, [7.98, 8.21]),
    area(4.0, [4.61, 4.70], None, [4.95, 5.09]),
    area(6.0, [3.08, 3.11], None, [3.30, 3.39]),
    area(10.0, [1.83, 1.84], Some(3.08), [1.91, 1.95]),
    area(16.0, [1.15, 1.16], Some(1.91), [1.21, 1.24]),
    area(25.0, [0.727, 0.734], Some(1.20), [0.780, 0.795]),
    area(35.0, [0.524, 0.529], Some(0.868), [0.554, 0.565]),
];

/// Source of [`AREAS`].
pub const AREAS_SOURCE: Source = Source {
    title: "IEC 60228, Conductors of insulated cables",
    edition: "2004",
    place: "tables 1 to 3; the rows that are tested were read at cable makers, the others are from memory",
    seen: Seen::Memory,
};

/// Thin flexible cross-sections below the standard's, as they are sold, in square millimetres. Common practice.
pub const THIN_AREAS_MM2: [f64; 4] = [0.14, 0.22, 0.25, 0.34];

/// Resistance of a usual stranded conductor over that of pure copper of its nominal cross-section: 2 % from the twist.
pub const TWIST_RATIO: f64 = 1.02;

/// Largest ratio of an allowed resistance to that of pure copper of the nominal cross-section, over [`AREAS`]: 13.3 Ω/km
/// at 1.5 mm². For metric conductors of unknown build and for cross-sections that the standard leaves out.
pub const PLAIN_HIGH_RATIO: f64 = 1.158;

/// The same of coated copper: 13.7 Ω/km at 1.5 mm².
pub const COATED_HIGH_RATIO: f64 = 1.192;

/// A wire of a stranded gauge as aircraft use it, tin-plated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrandedRow {
    /// Gauge number.
    pub awg: i32,
    /// Largest resistance at 20 °C, in ohms per 1000 feet as printed.
    pub ohm_per_1000_ft: f64,
    /// Nominal cross-section, in circular mils as printed.
    pub area_cmil: f64,
}

const fn stranded(awg: i32, ohm_per_1000_ft: f64, area_cmil: f64) -> StrandedRow {
    StrandedRow { awg, ohm_per_1000_ft, area_cmil }
}

/// Stranded gauges, thinnest first: their cross-sections are not those of the solid gauges.
pub const STRANDED: [StrandedRow; 10] = [
    stranded(24, 28.40, 475.0),
    stranded(22, 16.20, 755.0),
    stranded(20, 9.88, 1216.0),
    stranded(18, 6.23, 1900.0),
    stranded(16, 4.81, 2426.0),
    stranded(14, 3.06, 3831.0),
    stranded(12, 2.02, 5874.0),
    stranded(10, 1.26, 9354.0),
    stranded(8, 0.70, 16983.0),
    stranded(6, 0.44, 26818.0),
];

/// Source of [`STRANDED`].
pub const STRANDED_SOURCE: Source = Source {
    title: "FAA AC 43.13-1B, Acceptable methods: aircraft inspection and repair",
    edition: "change 1",
    place: "table 11-9, page 11-23; the rows that are tested were read, the others are from memory",
    seen: Seen::Memory,
};

/// Ratio of the resistance of a stranded gauge to that of the solid gauge.
///
/// Low: 22 AWG of 755 circular mils instead of 642. Likely: 2 % from the twist of the strands. High: 14 AWG of tinned
/// aircraft wire, 3.06 Ω instead of 2.53 Ω per 1000 feet.
pub const STRANDED_RATIO: Interval = Interval { low: 0.85, likely: 1.02, high: 1.22 };

/// A foot, in metres, exact by definition.
pub const FOOT_M: f64 = 0.3048;

/// A circular mil (a circle of one thousandth of an inch), in square millimetres, exact by definition.
pub const CIRCULAR_MIL_MM2: f64 = 0.0254 * 0.0254 * core::f64::consts::FRAC_PI_4;
