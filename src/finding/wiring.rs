//! Findings about wire, fuse and joints.

use super::{Rule, Urgency};
use crate::data::{COMMON_PRACTICE, Seen, Source};

const DERIVED: Source = Source { title: "circuit law", edition: "", place: "", seen: Seen::Derived };

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
    source: DERIVED,
};

/// A tired pack cannot open the fuse.
pub const FUSE_BLIND: Rule = Rule {
    code: "fuse_blind",
    urgency: Urgency::Stop,
    unit: "a",
    words: "A short at the far end of the leads gives only {measured} from the empty pack; {limit} is needed to open this fuse \
            within two minutes. Take a smaller fuse or thicker, shorter leads.",
    source: Source {
        title: "Littelfuse, Fuseology (UL 248-14: opens within two minutes at 200 %)",
        edition: "",
        place: "",
        seen: Seen::Original,
    },
};

/// A lead gets hotter than its insulation stands.
pub const WIRE_HOT: Rule = Rule {
    code: "wire_hot",
    urgency: Urgency::Stop,
    unit: "degc",
    words: "The lead {name} reaches {measured} at full load; its insulation stands {limit}. Take a thicker wire.",
    source: DERIVED,
};

/// No temperature balances the heat of a lead.
pub const WIRE_RUNAWAY: Rule = Rule {
    code: "wire_runaway",
    urgency: Urgency::Stop,
    unit: "",
    words: "The lead {name} cannot shed the heat of this current at any temperature its insulation stands. Take a thicker wire.",
    source: DERIVED,
};

/// A lead loses more than wanted.
pub const WIRE_DROP: Rule = Rule {
    code: "wire_drop",
    urgency: Urgency::MendFirst,
    unit: "ratio",
    words: "The lead {name} loses {measured} of the voltage in the on-time; you want {limit} at most.",
    source: DERIVED,
};

/// The fuse lets more through than the lead stands.
pub const FUSE_OVER_WIRE: Rule = Rule {
    code: "fuse_over_wire",
    urgency: Urgency::Stop,
    unit: "degc",
    words: "At the fuse's own rating the lead {name} would reach {measured}; its insulation stands {limit}: the wire would burn \
            before the fuse opens. Take a thicker wire or a smaller fuse.",
    source: DERIVED,
};

/// Every rule of this table.
pub const RULES: [Rule; 9] =
    [NO_FUSE, FUSE_PLACE, FUSE_SMALL, FUSE_BREAKING, FUSE_BLIND, WIRE_HOT, WIRE_RUNAWAY, WIRE_DROP, FUSE_OVER_WIRE];
