//! Where a found cell is given up, measured again or used, and how to find out what it is.

use super::{COMMON_PRACTICE, Seen, Source};
use crate::quantity::Interval;

/// Rest voltage above which a lithium cell usually still holds charge, in volts. It says nothing about its capacity.
/// Common practice, no source.
pub const HOLDS_CHARGE_V: f64 = 3.0;

/// Measured capacity over the printed one under which a cell is given up. Common practice, no source.
pub const CAPACITY_LEAST_RATIO: f64 = 0.6;

/// Measured capacity over the printed one under which a cell is fit for light loads only. Common practice, no source.
pub const CAPACITY_TIRED_RATIO: f64 = 0.8;

/// Measured capacity over the printed one above which the test or the print is wrong. Common practice, no source.
pub const CAPACITY_MOST_RATIO: f64 = 1.1;

/// Resistance over that of a new cell above which a cell is given up. Common practice, no source.
pub const RESISTANCE_MOST_RATIO: f64 = 2.0;

/// Resistance over that of a new cell above which a cell is fit for light loads only. Common practice, no source.
pub const RESISTANCE_TIRED_RATIO: f64 = 1.5;

/// Age from which a cell is told to be old, in seconds: ten years. Common practice, no source.
pub const OLD_S: f64 = 10.0 * 365.25 * 86400.0;

/// Self-discharge a month above which a nickel-metal hydride cell is given up, as a share of the capacity: sound ones of
/// the ordinary kind lose 20 to 30 percent. From memory.
pub const NICKEL_MONTH_MOST_RATIO: f64 = 0.35;

/// Self-discharge a month above which a lead-acid cell is given up, over that of its data sheet. Common practice, no
/// source.
pub const LEAD_MONTH_MOST_FACTOR: f64 = 2.0;

/// Rest voltage that no sound nickel-metal hydride cell exceeds, in volts. From memory.
pub const NICKEL_REST_MOST_V: f64 = 1.5;

/// Rest voltage under which a lead-acid cell has stood part empty, so that its sulphate hardens, in volts: the 12.4 V of
/// a 12 V block. Common practice, no source.
pub const LEAD_STOOD_LOW_V: f64 = 12.4 / 6.0;

/// Rest voltage of an empty lead-acid cell, in volts: the 11.7 V of a 12 V block. What rests lower was emptied further,
/// or has a shorted cell. From memory.
pub const LEAD_EMPTY_V: f64 = 11.7 / 6.0;

/// Rest voltage under which a lead-acid cell is given up, in volts: the 9 V of a 12 V block, a whole cell and more under
/// what an empty one rests at. Common practice, no source.
pub const LEAD_GIVE_UP_V: f64 = 1.5;

/// Rest voltage under which a nickel cell counts as flat, in volts.
pub const NICKEL_FLAT_V: f64 = 1.0;

/// Rest voltage under which a nickel cell was driven backwards in its pack, or conducts inside, in volts. Common
/// practice, no source.
pub const NICKEL_DEAD_V: f64 = 0.3;

/// Resistance of a cell that nobody has measured over that of the published new one of its kind and capacity. Common
/// practice, no source.
pub const UNMEASURED_RATIO: Interval = Interval { low: 0.5, likely: RESISTANCE_TIRED_RATIO, high: 3.0 };

/// Sorting and grading of used cells as an audited process.
pub const SORTING_STANDARD: Source = Source {
    title: "UL 1974, evaluation for repurposing batteries",
    edition: "2018; second edition 2023",
    place: "scope, as reported: parts past the maker's calendar date are excluded",
    seen: Seen::Reproduced,
};

/// End voltage of nickel-metal hydride cells.
pub const FLAT_SOURCE: Source =
    Source { title: "IEC 61951-2 (1.0 V a cell)", edition: "", place: "end of discharge", seen: Seen::Reproduced };

/// What lead-acid cells suffer that are kept discharged.
pub const SULPHATION: Source = Source {
    title: "IEEE 1188 and IEC 60896-21, valve-regulated lead-acid batteries; makers' handbooks",
    edition: "",
    place: "sulphation in storage, capacity under 80 % as the end of life; the limits in volts are common practice",
    seen: Seen::Memory,
};

/// From memory, nothing seen.
pub const FROM_MEMORY: Source =
    Source { title: "from memory, no document seen", edition: "", place: "", seen: Seen::Memory };

/// Letters of a lithium cell's designation.
pub const DESIGNATION: Source = Source {
    title: "IEC 61960-3, designation of secondary lithium cells",
    edition: "",
    place: "first letter I: lithium-ion; second letter C cobalt, N nickel, M manganese, F iron",
    seen: Seen::Memory,
};

/// One step towards knowing what a cell is.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct IdentifyStep {
    /// Stable code, the key of its wording in every language.
    pub code: &'static str,
    /// What to do and what it tells, in plain English words.
    pub words: &'static str,
    /// Where it comes from.
    pub source: Source,
}

const fn step(code: &'static str, source: Source, words: &'static str) -> IdentifyStep {
    IdentifyStep { code, words, source }
}

/// How to find out what a cell is, in this order. Nothing is charged on the way.
pub const IDENTIFY: [IdentifyStep; 6] = [
    step(
        "identify_no_charging",
        COMMON_PRACTICE,
        "Do not charge it to find out. A 3.2 V iron phosphate cell taken for a 4.2 V cell is overcharged by 0.55 V.",
    ),
    step(
        "identify_print",
        DESIGNATION,
        "Read the print on the cell, not on a new wrapper: the model, the nominal voltage (3.6 or 3.7 V, 3.2 V, 1.2 V, \
         2 V) and the letters before the size, such as ICR, INR, IMR (4.2 V kinds) or IFR (3.65 V).",
    ),
    step(
        "identify_sheet",
        COMMON_PRACTICE,
        "Find the maker's data sheet by the model and read the charge voltage there. This settles it; no other step does \
         alone.",
    ),
    step(
        "identify_pack",
        COMMON_PRACTICE,
        "Look at the pack it came from: nominal voltage and charger voltage on the labels, divided by the groups in \
         series. 3.6 to 3.7 V with 4.2 V on the charger is one kind, 3.2 V with 3.65 V the other.",
    ),
    step(
        "identify_rest_voltage",
        COMMON_PRACTICE,
        "Measure the voltage as found. A lithium cell resting above 3.65 V is no iron phosphate cell. Under 3.65 V it can \
         be any kind: that proves nothing.",
    ),
    step(
        "identify_discharge",
        COMMON_PRACTICE,
        "Discharge what is in it at a fifth of its size class or less and watch: a voltage flat near 3.2 V over most of the \
         charge points to iron phosphate, a steady fall from 4 V to 3.4 V to the others. Two signs must agree with the \
         print; if they do not, hand the cell in.",
    ),
];
