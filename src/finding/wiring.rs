//! Findings about wire, fuse and joints.

use super::{Rule, Urgency};
use crate::data::{CIRCUIT_LAW, COMMON_PRACTICE, Seen, Source};

const FUSE_75: Source = Source {
    title: "Littelfuse, Fuseology selection guide",
    edition: "",
    place: "continuous load at most 75 % of the rating at 25 °C",
    seen: Seen::Original,
};

/// No fuse.
pub const NO_FUSE: Rule = Rule {
    code: "no_fuse",
    urgency: Urgency::Stop,
    unit: "",
    words: "There is no fuse. A short anywhere behind the pack then burns until the cells are empty or on fire. Fit one at the \
            pack's positive end, before anything else.",
    source: COMMON_PRACTICE,
};

/// The fuse is not the first thing behind the pack.
pub const FUSE_PLACE: Rule = Rule {
    code: "fuse_place",
    urgency: Urgency::Stop,
    unit: "",
    words: "The fuse is not the first thing behind the pack's positive end: everything before it is unprotected.",
    source: COMMON_PRACTICE,
};

/// The fuse is too small for the load.
pub const FUSE_SMALL: Rule = Rule {
    code: "fuse_small",
    urgency: Urgency::MendFirst,
    unit: "a",
    words: "The load takes up to {measured} without end; this fuse carries {limit} of it for long. It will age and open.",
    source: FUSE_75,
};

/// The fuse cannot break a dead short.
pub const FUSE_BREAKING: Rule = Rule {
    code: "fuse_breaking",
    urgency: Urgency::Stop,
    unit: "a",
    words: "A dead short gives up to {measured}; this fuse breaks {limit} at most, and may burst or keep arcing.",
    source: CIRCUIT_LAW,
};

/// A tired pack cannot open the fuse.
pub const FUSE_BLIND: Rule = Rule {
    code: "fuse_blind",
    urgency: Urgency::Stop,
    unit: "a",
    words: "A short at the far end of {name} gives only {measured} from the empty pack: a fuse of {limit} is not known to open \
            before the wire passes its limit. Take a smaller fuse or thicker, shorter leads.",
    source: CIRCUIT_LAW,
};

/// A lead gets hotter than its insulation stands.
pub const WIRE_HOT: Rule = Rule {
    code: "wire_hot",
    urgency: Urgency::Stop,
    unit: "degc",
    words: "The lead {name} reaches {measured} at full load; its insulation stands {limit}. Take a thicker wire.",
    source: CIRCUIT_LAW,
};

/// A lead carries more than a published limit allows for how it lies.
pub const WIRE_LIMIT: Rule = Rule {
    code: "wire_limit",
    urgency: Urgency::Stop,
    unit: "a",
    words: "The lead {name} carries {measured}; as it lies, {limit} is its limit for good. Take a thicker wire.",
    source: CIRCUIT_LAW,
};

/// The fuse may open at switching on.
pub const FUSE_SURGE: Rule = Rule {
    code: "fuse_surge",
    urgency: Urgency::MendFirst,
    unit: "a",
    words: "Switching on draws up to {measured}: a fuse of {limit} may open or age. Take a slower kind or a softer start.",
    source: CIRCUIT_LAW,
};

/// The fuse is for less voltage than the pack has.
pub const FUSE_VOLTAGE: Rule = Rule {
    code: "fuse_voltage",
    urgency: Urgency::Stop,
    unit: "v",
    words: "The full pack has {measured}; this kind of fuse breaks direct current up to {limit}. It may keep arcing.",
    source: CIRCUIT_LAW,
};

/// No temperature balances the heat of a lead.
pub const WIRE_RUNAWAY: Rule = Rule {
    code: "wire_runaway",
    urgency: Urgency::Stop,
    unit: "",
    words: "The lead {name} cannot shed the heat of this current at any temperature its insulation stands. Take a thicker wire.",
    source: CIRCUIT_LAW,
};

/// A lead loses more than wanted.
pub const WIRE_DROP: Rule = Rule {
    code: "wire_drop",
    urgency: Urgency::MendFirst,
    unit: "ratio",
    words: "The lead {name} loses {measured} of the voltage in the on-time; you want {limit} at most.",
    source: CIRCUIT_LAW,
};

/// The fuse lets more through than the lead stands.
pub const FUSE_OVER_WIRE: Rule = Rule {
    code: "fuse_over_wire",
    urgency: Urgency::Stop,
    unit: "a",
    words: "A fuse of {measured} does not protect the lead {name}, which carries {limit} for good as it lies: the wire may burn \
            before the fuse opens. Take a thicker wire or a smaller fuse.",
    source: CIRCUIT_LAW,
};

/// No main switch.
pub const SWITCH_MISSING: Rule = Rule {
    code: "main_switch_missing",
    urgency: Urgency::MendFirst,
    unit: "",
    words: "Nothing parts the pack from the rest but pulling the fuse: what a timer or a board draws while idle empties the pack \
            over weeks, and there is nothing to reach for when something smells. Fit a switch rated for direct current.",
    source: COMMON_PRACTICE,
};

/// A main switch for less current.
pub const SWITCH_CURRENT: Rule = Rule {
    code: "main_switch_current",
    urgency: Urgency::MendFirst,
    unit: "a",
    words: "The main switch makes, carries and breaks up to {measured}, starting current included; it is rated for {limit} of \
            direct current: its contacts weld or burn.",
    source: COMMON_PRACTICE,
};

/// A main switch for less voltage.
pub const SWITCH_VOLTAGE: Rule = Rule {
    code: "main_switch_voltage",
    urgency: Urgency::MendFirst,
    unit: "v",
    words: "The full pack has {measured}; the main switch is rated to break direct current at {limit}: above that the arc may not \
            go out. A rating for alternating current proves nothing.",
    source: COMMON_PRACTICE,
};

/// What a rule about a lead needs where no table prints a limit for it.
pub(crate) const PRINTED_SIZE: &str = "a size and a way of lying that a table prints";

/// Every rule of this table.
pub const RULES: [Rule; 15] = [
    SWITCH_MISSING,
    SWITCH_CURRENT,
    SWITCH_VOLTAGE,
    NO_FUSE,
    FUSE_PLACE,
    FUSE_SMALL,
    FUSE_SURGE,
    FUSE_BREAKING,
    FUSE_VOLTAGE,
    FUSE_BLIND,
    WIRE_HOT,
    WIRE_LIMIT,
    WIRE_RUNAWAY,
    WIRE_DROP,
    FUSE_OVER_WIRE,
];
