//! Fuses: published time-current gates, ratings, derating, resistance; resettable fuses; inrush of lamps.

use crate::data::{Seen, Source};
use crate::quantity::Interval;

/// Kind of fuse.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum FuseFamily {
    /// Blade fuse as in cars, 1 to 40 A.
    Blade,
    /// Large blade fuse, 20 to 80 A.
    LargeBlade,
    /// Glass or ceramic tube rated after UL 248-14, quick.
    TubeUl,
    /// Tube 5 × 20 mm rated after IEC 60127-2, quick-acting F.
    TubeIec,
}

/// One published point: at a multiple of the rating the fuse opens no sooner and no later than this.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Gate {
    /// Current as a multiple of the rating.
    pub multiple_ratio: f64,
    /// Shortest time, in seconds, where one is published.
    pub shortest_s: Option<f64>,
    /// Longest time, in seconds, where one is published.
    pub longest_s: Option<f64>,
}

/// What is published of one kind of fuse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FuseRow {
    /// Its name.
    pub name: &'static str,
    /// Ratings it is made in, in amperes, the smallest first.
    pub ratings_a: &'static [f64],
    /// Share of the rating that it carries for good at 25 °C.
    pub continuous_ratio: f64,
    /// Source of that share.
    pub continuous_source: Source,
    /// Largest direct voltage, in volts, where one is published.
    pub dc_v: Option<f64>,
    /// Largest direct current it breaks at that voltage, in amperes, where one is published.
    pub dc_breaking_a: Option<f64>,
    /// Time-current points, the smallest multiple first.
    pub gates: &'static [Gate],
    /// Share of the rating that is left by temperature around, in degrees Celsius; between rows the hotter one holds.
    pub derating: &'static [[f64; 2]],
    /// Source of gates and ratings.
    pub source: Source,
}

const fn gate(multiple_ratio: f64, shortest_s: Option<f64>, longest_s: Option<f64>) -> Gate {
    Gate { multiple_ratio, shortest_s, longest_s }
}

/// Largest share of its rating that a fuse after UL carries for good at 25 °C.
pub const CONTINUOUS_UL_RATIO: f64 = 0.75;

/// Source of [`CONTINUOUS_UL_RATIO`].
pub const CONTINUOUS_UL: Source = Source {
    title: "Littelfuse, Fuseology",
    edition: "",
    place: "rerating of 25 % for continuous load",
    seen: Seen::Original,
};

const CONTINUOUS_IEC: Source = Source {
    title: "IEC 60127-2, Cartridge fuse-links",
    edition: "",
    place: "carries its rating for good; 150 % for an hour",
    seen: Seen::Reproduced,
};

/// 100 hours, in seconds.
const HUNDRED_HOURS_S: f64 = 360000.0;

/// Gates of a blade fuse up to 30 A.
pub const BLADE_GATES: [Gate; 5] = [
    gate(1.10, Some(HUNDRED_HOURS_S), None),
    gate(1.35, Some(0.75), Some(600.0)),
    gate(1.60, Some(0.25), Some(50.0)),
    gate(2.00, Some(0.15), Some(5.0)),
    gate(3.50, Some(0.04), Some(0.5)),
];

/// Gates of a blade fuse of 35 and 40 A.
pub const BLADE_35_GATES: [Gate; 5] = [
    gate(1.00, Some(HUNDRED_HOURS_S), None),
    gate(1.35, Some(0.75), Some(600.0)),
    gate(1.60, Some(0.25), Some(50.0)),
    gate(2.00, Some(0.15), Some(5.0)),
    gate(3.50, Some(0.08), Some(0.5)),
];

const BLADE: FuseRow = FuseRow {
    name: "blade fuse",
    ratings_a: &[1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0],
    continuous_ratio: CONTINUOUS_UL_RATIO,
    continuous_source: CONTINUOUS_UL,
    dc_v: Some(32.0),
    dc_breaking_a: Some(1000.0),
    gates: &BLADE_GATES,
    derating: &[[25.0, 1.0], [65.0, 0.85], [125.0, 0.55]],
    source: Source {
        title: "Littelfuse, ATOF blade fuse 287 data sheet; ISO 8820-3",
        edition: "",
        place: "page 3; derating as of the large blade; some points from memory",
        seen: Seen::Memory,
    },
};

const LARGE_BLADE: FuseRow = FuseRow {
    name: "large blade fuse",
    ratings_a: &[20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0],
    gates: &[
        gate(1.10, Some(HUNDRED_HOURS_S), None),
        gate(1.35, Some(60.0), Some(1800.0)),
        gate(2.00, Some(2.0), Some(50.0)),
        gate(3.50, Some(0.2), Some(7.0)),
        gate(6.00, Some(0.04), Some(1.0)),
    ],
    source: Source {
        title: "Littelfuse, MAXI blade fuse 299 data sheet",
        edition: "",
        place: "page 3; some points from memory",
        seen: Seen::Memory,
    },
    ..BLADE
};

const TUBE_UL: FuseRow = FuseRow {
    name: "tube fuse after UL",
    ratings_a: &[0.1, 0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 15.0, 20.0, 25.0, 30.0],
    continuous_ratio: CONTINUOUS_UL_RATIO,
    continuous_source: CONTINUOUS_UL,
    // 10000 A at 125 V of alternating current, which proves nothing at direct current.
    dc_v: None,
    dc_breaking_a: None,
    gates: &[gate(1.35, None, Some(3600.0)), gate(2.00, None, Some(120.0))],
    derating: &[[25.0, 1.0]],
    source: Source {
        title: "UL/CSA 248-14, Supplemental fuses",
        edition: "",
        place: "in the standards page of Littelfuse's Fuseology selection guide",
        seen: Seen::Original,
    },
};

const TUBE_IEC: FuseRow = FuseRow {
    name: "tube fuse after IEC, quick",
    ratings_a: &[
        0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0,
    ],
    continuous_ratio: 1.0,
    continuous_source: CONTINUOUS_IEC,
    dc_v: None,
    dc_breaking_a: None,
    gates: &[
        gate(1.50, Some(3600.0), None),
        gate(2.10, None, Some(1800.0)),
        gate(2.75, Some(0.05), Some(2.0)),
        gate(4.00, Some(0.01), Some(0.3)),
        gate(10.0, None, Some(0.02)),
    ],
    derating: &[[25.0, 1.0]],
    source: Source {
        title: "IEC 60127-2, Cartridge fuse-links, sheets 1 and 2",
        edition: "",
        place: "in makers' tables; some points from memory",
        seen: Seen::Memory,
    },
};

impl FuseFamily {
    /// Every kind.
    pub const ALL: [Self; 4] = [Self::Blade, Self::LargeBlade, Self::TubeUl, Self::TubeIec];

    /// What is published of it.
    #[must_use]
    pub const fn row(self) -> &'static FuseRow {
        match self {
            Self::Blade => &BLADE,
            Self::LargeBlade => &LARGE_BLADE,
            Self::TubeUl => &TUBE_UL,
            Self::TubeIec => &TUBE_IEC,
        }
    }

    /// Gates of one rating.
    #[must_use]
    pub fn gates(self, rating_a: f64) -> &'static [Gate] {
        if self == Self::Blade && rating_a > 30.0 { &BLADE_35_GATES } else { self.row().gates }
    }
}

/// What a fuse after UL breaks at 125 V of alternating current, in amperes. It proves nothing at direct current.
pub const UL_AC_BREAKING_A: f64 = 10000.0;
/// Largest rise of temperature of a fuse after UL at its rating, in kelvin.
pub const UL_RISE_K: f64 = 75.0;
/// Shortest time of a slow fuse after UL of up to 3 A at twice its rating, in seconds.
pub const UL_SLOW_SHORTEST_S: f64 = 5.0;
/// Shortest time of a slow fuse after UL of more than 3 A at twice its rating, in seconds; from memory.
pub const UL_SLOW_ABOVE_3_A_SHORTEST_S: f64 = 12.0;
/// Longest time of a fuse after UL of 31 to 60 A at twice its rating, in seconds; from memory.
pub const UL_ABOVE_30_A_LONGEST_S: f64 = 240.0;

/// Printed resistance and drop of one fuse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ElementRow {
    /// Kind.
    pub family: FuseFamily,
    /// Rating, in amperes.
    pub rating_a: f64,
    /// Resistance cold, in ohms.
    pub cold_ohm: f64,
    /// Drop at the rating, in volts, where printed.
    pub drop_v: Option<f64>,
    /// I²t that melts it, in A²·s, where printed.
    pub melting_a2s: Option<f64>,
}

const fn element(
    family: FuseFamily,
    rating_a: f64,
    cold_ohm: f64,
    drop_v: Option<f64>,
    melting_a2s: Option<f64>,
) -> ElementRow {
    ElementRow { family, rating_a, cold_ohm, drop_v, melting_a2s }
}

/// Printed resistances; those of blade fuses up to 30 A are from memory. Cold resistance understates the drop: by two
/// thirds at 40 A.
pub const ELEMENTS: [ElementRow; 15] = [
    element(FuseFamily::Blade, 1.0, 123e-3, Some(0.176), None),
    element(FuseFamily::Blade, 2.0, 53.5e-3, Some(0.141), None),
    element(FuseFamily::Blade, 3.0, 31.1e-3, Some(0.137), None),
    element(FuseFamily::Blade, 5.0, 17.85e-3, Some(0.128), None),
    element(FuseFamily::Blade, 7.5, 10.91e-3, Some(0.116), None),
    element(FuseFamily::Blade, 10.0, 7.70e-3, Some(0.109), None),
    element(FuseFamily::Blade, 15.0, 4.80e-3, Some(0.102), None),
    element(FuseFamily::Blade, 20.0, 3.38e-3, Some(0.098), None),
    element(FuseFamily::Blade, 25.0, 2.52e-3, Some(0.092), None),
    element(FuseFamily::Blade, 30.0, 1.97e-3, Some(0.084), None),
    element(FuseFamily::Blade, 40.0, 1.44e-3, Some(0.096), Some(3300.0)),
    element(FuseFamily::LargeBlade, 30.0, 1.9e-3, None, None),
    element(FuseFamily::LargeBlade, 40.0, 1.4e-3, Some(0.075), Some(8500.0)),
    element(FuseFamily::TubeUl, 0.063, 15.75, None, None),
    element(FuseFamily::TubeUl, 0.1, 7.84, None, None),
];

/// Source of [`ELEMENTS`].
pub const ELEMENTS_SOURCE: Source = Source {
    title: "Littelfuse 287 and 299, Bussmann GMA data sheets",
    edition: "",
    place: "typical resistance, drop and melting I²t, the blades from 30 A of the large kind and 40 A read in public \
            repositories that quote the sheets; smaller blades from memory",
    seen: Seen::Memory,
};

/// Share of the melting I²t that each of so many pulses may have.
pub const PULSES: [[f64; 2]; 4] = [[100.0, 0.48], [1000.0, 0.38], [10000.0, 0.29], [100000.0, 0.22]];

/// Source of [`PULSES`].
pub const PULSES_SOURCE: Source = Source {
    title: "Littelfuse, fuse catalogue",
    edition: "",
    place: "pulse cycle withstand; 1000 pulses from memory",
    seen: Seen::Original,
};

/// Current at which an overcurrent device must open, over the limit of the conductor.
pub const OVERLOAD_RATIO: f64 = 1.45;

/// Source of [`OVERLOAD_RATIO`].
pub const OVERLOAD_SOURCE: Source = Source {
    title: "IEC 60364-4-43, Protection against overcurrent",
    edition: "",
    place: "433.1: rating no larger than the limit, opening current no larger than 1.45 times the limit",
    seen: Seen::Memory,
};

/// A resettable fuse: a polymer that turns into a high resistance when hot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResettableRow {
    /// Its name.
    pub name: &'static str,
    /// Current it carries for good at 20 °C, in amperes.
    pub hold_a: f64,
    /// Current over hold current at which it trips for sure.
    pub trip_ratio: f64,
    /// Largest resistance as supplied, in ohms.
    pub new_ohm: f64,
    /// Largest resistance an hour after it has tripped, in ohms.
    pub tripped_once_ohm: f64,
    /// Power it takes while tripped, in watts.
    pub tripped_w: f64,
    /// Largest voltage, in volts.
    pub high_v: f64,
}

/// Resettable fuse of 1.2 A, RTEF120; the trip ratio is that of the RXEF series.
pub const RESETTABLE_1A2: ResettableRow = ResettableRow {
    name: "resettable fuse of 1.2 A",
    hold_a: 1.2,
    trip_ratio: 2.0,
    new_ohm: 0.12,
    tripped_once_ohm: 0.18,
    tripped_w: 0.78,
    high_v: 33.0,
};

/// Source of [`RESETTABLE_1A2`].
pub const RESETTABLE_SOURCE: Source = Source {
    title: "RTEF120 and RXEF PolySwitch data sheets",
    edition: "",
    place: "electrical characteristics",
    seen: Seen::Original,
};

/// Current of a filament lamp at switching on, over its hot current.
pub const LAMP_RUSH_RATIO: Interval = Interval { low: 10.0, likely: 12.0, high: 15.0 };

/// Source of [`LAMP_RUSH_RATIO`].
pub const LAMP_RUSH_SOURCE: Source = Source {
    title: "application note of a lamp driver; lamp engineering references",
    edition: "",
    place: "10 to 12 times, others 14 and 15 times",
    seen: Seen::Reproduced,
};
