//! Thresholds of protection circuits.

use crate::data::{Seen, Source};

/// How far above the charge voltage a board may cut charging, in volts: the top of the DW01A circuit's band is 4.35 V.
pub const OVER_CHARGE_BAND_V: f64 = 0.15;

/// Thresholds of one protection circuit for one group, as its data sheet prints them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProtectorRow {
    /// Group voltage at which charging is cut: least, typical, most; in volts.
    pub over_charge_v: [f64; 3],
    /// Group voltage under which charging is allowed again, typical, in volts.
    pub over_charge_release_v: Option<f64>,
    /// Group voltage at which discharging is cut: least, typical, most; in volts.
    pub over_discharge_v: [f64; 3],
    /// Group voltage above which discharging is allowed again, typical, in volts.
    pub over_discharge_release_v: Option<f64>,
    /// Voltage over both transistors at which an overcurrent is cut: least, typical, most; in volts.
    pub over_current_v: Option<[f64; 3]>,
    /// Voltage over both transistors at which a short circuit is cut: least and most; in volts.
    pub short_circuit_v: Option<[f64; 2]>,
    /// Where it comes from.
    pub source: Source,
}

/// The DW01A circuit; short-circuit level 1.2 V or 1.35 V by maker. Overcharge and overdischarge detection from memory.
pub const DW01A: ProtectorRow = ProtectorRow {
    over_charge_v: [4.25, 4.3, 4.35],
    over_charge_release_v: Some(4.1),
    over_discharge_v: [2.3, 2.4, 2.5],
    over_discharge_release_v: Some(3.0),
    over_current_v: Some([0.12, 0.15, 0.18]),
    short_circuit_v: Some([1.2, 1.35]),
    source: Source {
        title: "DW01A data sheet, H&M Semiconductor; DW01-Plus data sheet, Fortune",
        edition: "",
        place: "release levels, overcurrent, short circuit; detection levels from memory",
        seen: Seen::Original,
    },
};

/// The BQ29700 circuit; overcharge detection and every tolerance from memory.
pub const BQ29700: ProtectorRow = ProtectorRow {
    over_charge_v: [4.265, 4.275, 4.285],
    over_charge_release_v: None,
    over_discharge_v: [2.75, 2.8, 2.85],
    over_discharge_release_v: None,
    over_current_v: Some([0.08, 0.1, 0.12]),
    short_circuit_v: None,
    source: Source {
        title: "BQ2970 family data sheet, Texas Instruments",
        edition: "",
        place: "overdischarge 2.8 V, overcurrent 100 mV",
        seen: Seen::Reproduced,
    },
};

/// The S-8261ABM circuit; overcharge detection and every tolerance from memory.
pub const S8261ABM: ProtectorRow = ProtectorRow {
    over_charge_v: [4.255, 4.28, 4.305],
    over_charge_release_v: None,
    over_discharge_v: [2.75, 2.8, 2.85],
    over_discharge_release_v: None,
    over_current_v: None,
    short_circuit_v: Some([1.2, 1.2]),
    source: Source {
        title: "S-8261 data sheet, Seiko",
        edition: "",
        place: "overdischarge 2.8 V, short circuit 1.2 V",
        seen: Seen::Reproduced,
    },
};

/// The R5405 circuit; overcharge detection and every tolerance from memory.
pub const R5405: ProtectorRow = ProtectorRow {
    over_charge_v: [4.25, 4.275, 4.3],
    over_charge_release_v: None,
    over_discharge_v: [2.25, 2.3, 2.35],
    over_discharge_release_v: None,
    over_current_v: None,
    short_circuit_v: None,
    source: Source {
        title: "R5405 data sheet, Nisshinbo",
        edition: "",
        place: "overdischarge 2.3 V",
        seen: Seen::Reproduced,
    },
};

/// Levels a maker offers for one circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SelectableRow {
    /// Highest overcharge detection, in volts.
    pub over_charge_to_v: f64,
    /// Highest overdischarge detection, in volts.
    pub over_discharge_to_v: f64,
    /// Where it comes from.
    pub source: Source,
}

/// The S-8261 circuit comes in many versions: its name alone tells no threshold.
pub const S8261_SELECTABLE: SelectableRow = SelectableRow {
    over_charge_to_v: 4.4,
    over_discharge_to_v: 3.0,
    source: Source { title: "S-8261 data sheet, Seiko", edition: "", place: "page 10", seen: Seen::Original },
};
