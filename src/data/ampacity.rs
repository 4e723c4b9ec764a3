//! Published current limits of conductors, each with its conditions; never mixed into one table.
//!
//! A gauge has no limit by itself: 18 AWG with 105 °C insulation is given 20 A alone on a boat and 6 A in a bundle of
//! an aircraft.

use crate::data::{Seen, Source};

/// How the conductors of a table lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
pub enum Laid {
    /// One conductor by itself in free air.
    Alone,
    /// A cable on or at a surface, two or three conductors loaded.
    Surface,
    /// A cable in a tube, three conductors loaded.
    Tube,
    /// A large bundle.
    LargeBundle,
}

/// Size of a row as its table names it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LimitSize {
    /// A gauge number; 0 is 1/0.
    Awg(i32),
    /// Nominal cross-section, in square millimetres.
    AreaMm2(f64),
}

/// One published limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LimitRow {
    /// The size.
    pub size: LimitSize,
    /// Largest continuous current of copper, in amperes.
    pub current_a: f64,
}

/// A published table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LimitTable {
    /// Stable code, the key of its wording in every language.
    pub code: &'static str,
    /// Its conditions in plain English.
    pub condition: &'static str,
    /// How the conductors lie.
    pub laid: Laid,
    /// Temperature around, in degrees Celsius.
    pub ambient_degc: f64,
    /// Temperature the conductor reaches at the limit, in degrees Celsius.
    pub conductor_degc: f64,
    /// Rows, thinnest first.
    pub rows: &'static [LimitRow],
    /// Where it comes from.
    pub source: Source,
}

const fn awg(awg: i32, current_a: f64) -> LimitRow {
    LimitRow { size: LimitSize::Awg(awg), current_a }
}

const fn mm2(area_mm2: f64, current_a: f64) -> LimitRow {
    LimitRow { size: LimitSize::AreaMm2(area_mm2), current_a }
}

const BOATS: Source = Source {
    title: "33 CFR 183.425, Conductors: general (boats)",
    edition: "",
    place: "table 5; the rows that are tested were read in the regulation, the others are from memory",
    seen: Seen::Memory,
};

const fn boats(code: &'static str, conductor_degc: f64, rows: &'static [LimitRow]) -> LimitTable {
    LimitTable {
        code,
        condition: "one insulated stranded conductor of a boat under 50 V, 30 °C around, by the rating of its insulation",
        laid: Laid::Alone,
        ambient_degc: 30.0,
        conductor_degc,
        rows,
        source: BOATS,
    }
}

const AIRCRAFT: Source = Source {
    title: "FAA AC 43.13-1B, Acceptable methods: aircraft inspection and repair",
    edition: "change 1",
    place: "table 11-9, page 11-23; the rows that are tested were read, the others are from memory",
    seen: Seen::Memory,
};

const fn aircraft(code: &'static str, conductor_degc: f64, rows: &'static [LimitRow]) -> LimitTable {
    LimitTable {
        code,
        condition: "in a bundle of 33 or more wires of which a fifth are loaded, 70 °C around, in thin air",
        laid: Laid::LargeBundle,
        ambient_degc: 70.0,
        conductor_degc,
        rows,
        source: AIRCRAFT,
    }
}

/// Every table.
pub const TABLES: [LimitTable; 14] = [
    LimitTable {
        code: "vde_0298_4_free_air",
        condition: "one flexible conductor by itself in free air, 30 °C around",
        laid: Laid::Alone,
        ambient_degc: 30.0,
        conductor_degc: 70.0,
        rows: &[
            mm2(0.75, 15.0),
            mm2(1.0, 19.0),
            mm2(1.5, 24.0),
            mm2(2.5, 32.0),
            mm2(4.0, 42.0),
            mm2(6.0, 54.0),
            mm2(10.0, 73.0),
            mm2(16.0, 98.0),
            mm2(25.0, 129.0),
            mm2(35.0, 158.0),
        ],
        source: VDE,
    },
    LimitTable {
        code: "vde_0298_4_surface",
        condition: "flexible cable on or at a surface, two or three conductors loaded, 30 °C around",
        laid: Laid::Surface,
        ambient_degc: 30.0,
        conductor_degc: 70.0,
        rows: &[
            mm2(0.75, 12.0),
            mm2(1.0, 15.0),
            mm2(1.5, 18.0),
            mm2(2.5, 26.0),
            mm2(4.0, 34.0),
            mm2(6.0, 44.0),
            mm2(10.0, 61.0),
            mm2(16.0, 82.0),
            mm2(25.0, 108.0),
            mm2(35.0, 135.0),
        ],
        source: VDE,
    },
    LimitTable {
        code: "iec_60364_5_52_tube",
        condition: "PVC cable in a tube on a wall, three conductors loaded, 30 °C around",
        laid: Laid::Tube,
        ambient_degc: 30.0,
        conductor_degc: 70.0,
        rows: &[mm2(1.5, 15.0), mm2(2.5, 20.0), mm2(4.0, 27.0), mm2(6.0, 34.0), mm2(10.0, 46.0), mm2(16.0, 62.0)],
        source: Source {
            title: "IEC 60364-5-52, Electrical installations: wiring systems",
            edition: "",
            place: "method B2; 4 and 10 mm² read in the instruction book of a compressor, the others are from memory",
            seen: Seen::Memory,
        },
    },
    LimitTable {
        code: "mil_w_5088_free_air",
        condition: "one wire by itself in free air, 50 °C around",
        laid: Laid::Alone,
        ambient_degc: 50.0,
        conductor_degc: 105.0,
        rows: &[
            awg(22, 5.0),
            awg(20, 8.33),
            awg(18, 15.4),
            awg(16, 19.4),
            awg(14, 31.2),
            awg(12, 40.0),
            awg(10, 55.0),
            awg(8, 75.0),
            awg(6, 100.0),
        ],
        source: Source {
            title: "MIL-W-5088B, Wiring, aircraft",
            edition: "B",
            place: "as reprinted in the manual of an electronic load, table 7-1; some rows from memory",
            seen: Seen::Memory,
        },
    },
    boats(
        "cfr_183_425_60",
        60.0,
        &[awg(18, 10.0), awg(16, 15.0), awg(14, 20.0), awg(12, 25.0), awg(10, 40.0), awg(8, 55.0), awg(6, 80.0)],
    ),
    boats(
        "cfr_183_425_75",
        75.0,
        &[awg(18, 10.0), awg(16, 15.0), awg(14, 20.0), awg(12, 25.0), awg(10, 40.0), awg(8, 65.0), awg(6, 95.0)],
    ),
    boats(
        "cfr_183_425_80",
        80.0,
        &[awg(18, 15.0), awg(16, 20.0), awg(14, 25.0), awg(12, 35.0), awg(10, 50.0), awg(8, 70.0), awg(6, 100.0)],
    ),
    boats(
        "cfr_183_425_90",
        90.0,
        &[awg(18, 20.0), awg(16, 25.0), awg(14, 30.0), awg(12, 40.0), awg(10, 55.0), awg(8, 70.0), awg(6, 100.0)],
    ),
    boats(
        "cfr_183_425_105",
        105.0,
        &[awg(18, 20.0), awg(16, 25.0), awg(14, 35.0), awg(12, 45.0), awg(10, 60.0), awg(8, 80.0), awg(6, 120.0)],
    ),
    boats(
        "cfr_183_425_125",
        125.0,
        &[awg(18, 25.0), awg(16, 30.0), awg(14, 40.0), awg(12, 50.0), awg(10, 70.0), awg(8, 90.0), awg(6, 125.0)],
    ),
    boats(
        "cfr_183_425_200",
        200.0,
        &[awg(18, 25.0), awg(16, 35.0), awg(14, 45.0), awg(12, 55.0), awg(10, 70.0), awg(8, 100.0), awg(6, 135.0)],
    ),
    aircraft(
        "faa_43_13_105",
        105.0,
        &[
            awg(24, 2.5),
            awg(22, 3.0),
            awg(20, 4.0),
            awg(18, 6.0),
            awg(16, 7.0),
            awg(14, 10.0),
            awg(12, 13.0),
            awg(10, 17.0),
            awg(8, 38.0),
            awg(6, 50.0),
        ],
    ),
    aircraft(
        "faa_43_13_150",
        150.0,
        &[
            awg(24, 4.0),
            awg(22, 5.0),
            awg(20, 7.0),
            awg(18, 9.0),
            awg(16, 11.0),
            awg(14, 14.0),
            awg(12, 19.0),
            awg(10, 26.0),
            awg(8, 57.0),
            awg(6, 76.0),
        ],
    ),
    aircraft(
        "faa_43_13_200",
        200.0,
        &[
            awg(24, 5.0),
            awg(22, 6.0),
            awg(20, 9.0),
            awg(18, 12.0),
            awg(16, 14.0),
            awg(14, 18.0),
            awg(12, 25.0),
            awg(10, 32.0),
            awg(8, 71.0),
            awg(6, 97.0),
        ],
    ),
];

const VDE: Source = Source {
    title: "DIN VDE 0298-4, Recommended current ratings for cables",
    edition: "2023-06",
    place: "table 11 in a cable maker's copy; the rows that are tested were read, the others are from memory",
    seen: Seen::Memory,
};

/// Share of the limit that remains in a bundle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BundleRow {
    /// Loaded conductors in the bundle, from here on.
    pub loaded: u32,
    /// Share of the limit of one conductor alone.
    pub ratio: f64,
}

/// Shares by loaded conductors: two to five after the wiring specification, more after the boat regulation.
pub const BUNDLE: [BundleRow; 8] = [
    BundleRow { loaded: 1, ratio: 1.0 },
    BundleRow { loaded: 2, ratio: 0.94 },
    BundleRow { loaded: 3, ratio: 0.89 },
    BundleRow { loaded: 4, ratio: 0.83 },
    BundleRow { loaded: 5, ratio: 0.76 },
    BundleRow { loaded: 6, ratio: 0.60 },
    BundleRow { loaded: 7, ratio: 0.50 },
    BundleRow { loaded: 25, ratio: 0.40 },
];

/// Source of [`BUNDLE`].
pub const BUNDLE_SOURCE: Source = Source {
    title: "MIL-W-5088B for up to five conductors; 33 CFR 183.425, note 2, for more",
    edition: "",
    place: "three and four conductors read in a reprint, the others are from memory",
    seen: Seen::Memory,
};

/// Share of copper's limit that aluminium of the same size has; copper-clad aluminium is counted the same.
pub const ALUMINIUM_RATIO: f64 = 0.8;

/// Source of [`ALUMINIUM_RATIO`].
pub const ALUMINIUM_RATIO_SOURCE: Source = Source {
    title: "MIL-W-5088B, Wiring, aircraft",
    edition: "B",
    place: "as reprinted in the manual of an electronic load, table 7-1",
    seen: Seen::Reproduced,
};

/// Temperature around in an engine space, in degrees Celsius, for which [`ENGINE_SPACE`] holds.
pub const ENGINE_SPACE_DEGC: f64 = 50.0;

/// Share of its limit that a conductor of a boat keeps in an engine space, by the rating of its insulation in degrees
/// Celsius. All but the last are the roots of the ratios of temperature rise, rounded to two places.
pub const ENGINE_SPACE: [[f64; 2]; 7] =
    [[60.0, 0.58], [75.0, 0.75], [80.0, 0.78], [90.0, 0.82], [105.0, 0.85], [125.0, 0.89], [200.0, 1.0]];

/// Source of [`ENGINE_SPACE`].
pub const ENGINE_SPACE_SOURCE: Source = Source {
    title: "33 CFR 183.425, Conductors: general (boats)",
    edition: "",
    place: "table 5, note 1; 105 °C read in the regulation, the others are from memory",
    seen: Seen::Memory,
};

/// Why a limit goes with the root of the temperature rise that is left for it.
pub const AMBIENT_SOURCE: Source = Source {
    title: "IEC 60364-5-52, Electrical installations: wiring systems",
    edition: "",
    place: "table B.52.14: its factors are the roots of the ratios of temperature rise",
    seen: Seen::Memory,
};

/// Largest fuse in front of small conductors of buildings, in amperes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SmallRow {
    /// Gauge number.
    pub awg: i32,
    /// For copper.
    pub copper_a: f64,
    /// For aluminium and copper-clad aluminium, where the code allows it.
    pub aluminium_a: Option<f64>,
}

/// Largest fuse in front of small conductors, thinnest first.
pub const SMALL: [SmallRow; 5] = [
    SmallRow { awg: 18, copper_a: 7.0, aluminium_a: None },
    SmallRow { awg: 16, copper_a: 10.0, aluminium_a: None },
    SmallRow { awg: 14, copper_a: 15.0, aluminium_a: None },
    SmallRow { awg: 12, copper_a: 20.0, aluminium_a: Some(15.0) },
    SmallRow { awg: 10, copper_a: 30.0, aluminium_a: Some(25.0) },
];

/// Source of [`SMALL`].
pub const SMALL_SOURCE: Source = Source {
    title: "NFPA 70, National Electrical Code",
    edition: "",
    place: "240.4(D); 12 and 10 AWG read in a course page, the others are from memory",
    seen: Seen::Memory,
};

/// Thinnest conductor that a boat may have by itself, as a gauge number.
pub const BOAT_ALONE_AWG: i32 = 16;
/// Thinnest conductor that a boat may have within a sheath, as a gauge number.
pub const BOAT_SHEATH_AWG: i32 = 18;

/// Source of [`BOAT_ALONE_AWG`] and [`BOAT_SHEATH_AWG`].
pub const BOAT_SIZE_SOURCE: Source = Source {
    title: "33 CFR 183.425, Conductors: general (boats)",
    edition: "",
    place: "paragraphs (d) and (e)",
    seen: Seen::Original,
};

/// Share of the supply that may be lost on the way to a load that matters.
pub const DROP_CRITICAL_RATIO: f64 = 0.03;
/// Share of the supply that may be lost on the way to other loads.
pub const DROP_OTHER_RATIO: f64 = 0.10;

/// Source of both drops.
pub const DROP_SOURCE: Source = Source {
    title: "ABYC E-11, AC and DC electrical systems on boats",
    edition: "",
    place: "voltage drop, quoted by a cable maker; 3 % from memory",
    seen: Seen::Memory,
};
