//! How far groups may drift, how often they are looked at, and when a pack is retired. Common practice, no source, but
//! for what names one.

use super::transport::DISPOSAL;
use super::{COMMON_PRACTICE, Source};

/// Largest difference of a group against the middle of the others, in volts. Common practice, no source: in a sound
/// lithium pack groups stay within some tens of millivolts of each other.
pub const BAND_V: f64 = 0.05;

/// Rest voltages of all groups together may differ by this much between two entries that are held against each other,
/// in volts. Own choice: beyond it the same charge is another voltage.
pub const LEVEL_V: f64 = 0.05;

/// Difference of temperature between the groups of one pack at rest, in kelvins. Own choice.
pub const GROUPS_APART_K: f64 = 1.0;

/// Doubt of a difference in charge up to which it counts as seen, as a share of the capacity. Own choice.
pub const SEEN_RATIO: f64 = 0.05;

/// From one entry to the next, in days. Common practice, no source.
pub const CHECK_DAYS: u32 = 30;

/// From one entry to the next while there are fewer than [`FIRST_ENTRIES`], in days. Common practice, no source: a weak
/// cell shows in the first weeks.
pub const FIRST_DAYS: u32 = 14;

/// Entries after which the longer interval holds.
pub const FIRST_ENTRIES: usize = 3;

/// Shortest time to the next entry, in days. Common practice, no source.
pub const SOONEST_DAYS: u32 = 7;

/// Time without an entry after which a pack is measured before it is charged or used, in days. Common practice, no
/// source.
pub const OVERDUE_DAYS: u32 = 90;

/// How far ahead a group is followed, in days. Own choice: further than a year nobody can tell.
pub const HORIZON_DAYS: u32 = 365;

/// Time for which a full pack may stand, in days. Common practice, no source.
pub const FULL_DAYS: u32 = 7;

/// Charge above which a pack counts as stored full, as a share of the capacity. Common practice, no source.
pub const FULL_RATIO: f64 = 0.8;

/// Charge under which a pack counts as stored empty, as a share of the capacity. Common practice, no source.
pub const EMPTY_RATIO: f64 = 0.1;

/// Time for which an empty pack may stand, in days. Common practice, no source.
pub const EMPTY_DAYS: u32 = 1;

/// Current with which a pack is emptied before it is taken apart, in multiples of the capacity. Common practice, no
/// source.
pub const EMPTYING_C: f64 = 0.1;

/// One reason to retire a group or a pack.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RetireRule {
    /// Stable code, the key of its wording in every language.
    pub code: &'static str,
    /// When, in plain English words.
    pub words: &'static str,
    /// Where it comes from.
    pub source: Source,
}

const fn retire(code: &'static str, source: Source, words: &'static str) -> RetireRule {
    RetireRule { code, words, source }
}

/// When a group or the whole pack has served its time.
pub const RETIRE: [RetireRule; 7] = [
    retire(
        "retire_hurt",
        DISPOSAL,
        "At once: a cell that is swollen, dented, leaking, smells, was dropped hard or got wet, or that warms up while nothing \
         flows.",
    ),
    retire(
        "retire_too_low",
        COMMON_PRACTICE,
        "At once: a lithium group that was ever found under 2 V, or any group that was driven the wrong way round.",
    ),
    retire(
        "retire_too_high",
        COMMON_PRACTICE,
        "At once: a lithium group that was ever found above what its charger may reach at the most.",
    ),
    retire(
        "retire_falls",
        COMMON_PRACTICE,
        "A group that loses more than a twentieth of its charge a month against the others: one of its cells shorts itself \
         inside.",
    ),
    retire(
        "retire_drifts_again",
        COMMON_PRACTICE,
        "A group that leaves the band again after all groups were brought level once.",
    ),
    retire(
        "retire_resistance",
        COMMON_PRACTICE,
        "A group whose resistance has doubled, taken the same way as at first.",
    ),
    retire(
        "retire_capacity",
        COMMON_PRACTICE,
        "A pack that holds less than six tenths of what it held when it was new to you.",
    ),
];
