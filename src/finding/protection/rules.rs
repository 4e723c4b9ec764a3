//! The rules about the protection board.

use crate::data::COMMON_PRACTICE;
use crate::data::chemistry::LI_ION_SHEET;
use crate::data::protection::DW01A;
use crate::finding::Urgency::{Know, MendFirst, Stop};
use crate::finding::{Rule, rule};

/// Groups in series without a board.
pub const MISSING: Rule = rule(
    "protection_missing",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name} has lithium groups in series and no board that watches each. The first to be empty is driven backwards by the \
     others, the first to be full is driven too high, and a short ends in fire. Build in a board for this many groups.",
);

/// One group without a board.
pub const MISSING_ONE: Rule = rule(
    "protection_missing_one",
    MendFirst,
    "",
    COMMON_PRACTICE,
    "{name} has no protection board: nothing cuts it off when it is empty, or when its charger fails.",
);

/// A board for another number of groups.
pub const WRONG_COUNT: Rule = rule(
    "protection_wrong_count",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name}: the board is made for {measured} groups, the pack has {limit}. A board for fewer leaves groups unwatched, \
     one for more does not switch on or takes voltages that are not there.",
);

/// The board lets a group go too high.
pub const OVER_CHARGE_HIGH: Rule = rule(
    "protection_over_charge_high",
    Stop,
    "v",
    DW01A.source,
    "{name}: the board may let a group rise to {measured} before it cuts charging, these cells stand {limit} at the very \
     most. It is a board for another kind of cell.",
);

/// The board cuts charging before the cells are full.
pub const OVER_CHARGE_LOW: Rule = rule(
    "protection_over_charge_low",
    Know,
    "v",
    COMMON_PRACTICE,
    "{name}: the board may cut charging at {measured}, before a group is full at {limit}.",
);

/// The board lets a group go dangerously low.
pub const OVER_DISCHARGE_DEEP: Rule = rule(
    "protection_over_discharge_deep",
    Stop,
    "v",
    COMMON_PRACTICE,
    "{name}: the board may let a group fall to {measured}; under {limit} a cell is given up. It is a board for another \
     kind of cell.",
);

/// The board cuts lower than the cells' data sheets.
pub const OVER_DISCHARGE_LOW: Rule = rule(
    "protection_over_discharge_low",
    Know,
    "v",
    LI_ION_SHEET,
    "{name}: the board may cut as late as {measured}, the cells' data sheets end at {limit}. It is the last line, not the \
     switch: stop earlier, by a voltmeter, a cut-off of the load or the clock.",
);

/// The load is more than the board carries.
pub const CONTINUOUS: Rule = rule(
    "protection_continuous",
    Stop,
    "a",
    COMMON_PRACTICE,
    "{name}: the loads draw {measured}, the board carries {limit} for good. Its transistors overheat, and one that fails \
     is a closed switch.",
);

/// The load trips the board.
pub const TRIPS_IN_USE: Rule = rule(
    "protection_trips_in_use",
    MendFirst,
    "a",
    DW01A.source,
    "{name}: the loads draw {measured}, and the board may cut at {limit}, least of all its tolerances when it is hot.",
);

/// Switching on trips the board.
pub const TRIPS_AT_SURGE: Rule = rule(
    "protection_trips_at_surge",
    MendFirst,
    "a",
    DW01A.source,
    "{name}: switching on draws {measured}, and the board may cut at {limit}. The build does not start, or starts only \
     sometimes. Start softly, or use a board that trips higher.",
);

/// A short may not trip the board.
pub const MISSES_SHORT: Rule = rule(
    "protection_misses_short",
    MendFirst,
    "a",
    DW01A.source,
    "{name}: an empty, cold, tired pack gives {measured} into a short, and the board may need {limit} to see it. Do not \
     count on it: the fuse must open at that current.",
);

/// The fuse opens first.
pub const FUSE_FIRST: Rule = rule(
    "protection_fuse_first",
    Know,
    "a",
    COMMON_PRACTICE,
    "{name}: the fuse opens (from {limit}) before the board cuts (from {measured}). Each overload costs a fuse.",
);

/// Either cuts first.
pub const EITHER_FIRST: Rule = rule(
    "protection_either_first",
    Know,
    "a",
    COMMON_PRACTICE,
    "{name}: at an overload either the board (from {measured}) or the fuse (which holds {limit}) cuts first.",
);

/// No temperature sensor.
pub const NO_SENSOR: Rule = rule(
    "protection_no_temperature_sensor",
    Know,
    "",
    LI_ION_SHEET,
    "{name}: the board does not feel the cells. Nothing but you keeps the pack from being charged below 0 °C or hot.",
);

/// No balancing.
pub const NO_BALANCING: Rule = rule(
    "protection_no_balancing",
    MendFirst,
    "",
    COMMON_PRACTICE,
    "{name}: the board does not even the groups out. Measure every group from time to time and even them out by hand, or \
     use a board that balances.",
);

/// Balancing falls behind.
pub const BALANCING_SLOW: Rule = rule(
    "protection_balancing_slow",
    Know,
    "s",
    COMMON_PRACTICE,
    "{name}: the board needs {measured} at the end of each charge to take back one cycle's drift, longer than {limit}. \
     Groups that differ drift apart all the same.",
);

/// Every rule about the protection board.
pub const ALL: [&Rule; 16] = [
    &MISSING,
    &MISSING_ONE,
    &WRONG_COUNT,
    &OVER_CHARGE_HIGH,
    &OVER_CHARGE_LOW,
    &OVER_DISCHARGE_DEEP,
    &OVER_DISCHARGE_LOW,
    &CONTINUOUS,
    &TRIPS_IN_USE,
    &TRIPS_AT_SURGE,
    &MISSES_SHORT,
    &FUSE_FIRST,
    &EITHER_FIRST,
    &NO_SENSOR,
    &NO_BALANCING,
    &BALANCING_SLOW,
];

/// Every rule of this table.
pub const RULES: &[Rule] = &[
    MISSING,
    MISSING_ONE,
    WRONG_COUNT,
    OVER_CHARGE_HIGH,
    OVER_CHARGE_LOW,
    OVER_DISCHARGE_DEEP,
    OVER_DISCHARGE_LOW,
    CONTINUOUS,
    TRIPS_IN_USE,
    TRIPS_AT_SURGE,
    MISSES_SHORT,
    FUSE_FIRST,
    EITHER_FIRST,
    NO_SENSOR,
    NO_BALANCING,
    BALANCING_SLOW,
];
