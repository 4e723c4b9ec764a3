//! The rules about what a load does at each setting.

use crate::data::{CIRCUIT_LAW, COMMON_PRACTICE};
use crate::finding::{Rule, Urgency};

/// A setting at which the load may not start.
pub const STARTS_NOT: Rule = Rule {
    code: "load_does_not_start",
    urgency: Urgency::MendFirst,
    unit: "ratio",
    words: "{name} may not start with the knob at {measured} and the pack empty: it then stands with current through it and \
            heats. Take a larger smallest duty, or start at full and turn down.",
    source: CIRCUIT_LAW,
};

/// A held shaft that nothing interrupts.
pub const HELD_UNTRIPPED: Rule = Rule {
    code: "load_held_untripped",
    urgency: Urgency::MendFirst,
    unit: "w",
    words: "With its shaft held, {name} turns up to {measured} into heat, and neither fuse nor board interrupts that for sure: \
            its winding burns. Fit a thermal fuse to it, a smaller fuse, or stay beside it.",
    source: CIRCUIT_LAW,
};

/// A pump that may run dry.
pub const DRY: Rule = Rule {
    code: "pump_dry",
    urgency: Urgency::MendFirst,
    unit: "",
    words: "{name} lives on the water it moves: an impeller that runs dry ruins its seal and bearings within minutes, and lighter \
            running draws less current, so that no fuse notices. Let a float switch cut it, or stay beside it.",
    source: COMMON_PRACTICE,
};

/// A pump that takes running dry for a while.
pub const DRY_DISPLACEMENT: Rule = Rule {
    code: "pump_dry_displacement",
    urgency: Urgency::Know,
    unit: "",
    words: "{name} may run dry for a short while, as its sheet says; a blocked outlet is worse: the pressure and the current rise \
            until something gives. A pressure switch or the fuse has to end that.",
    source: COMMON_PRACTICE,
};

/// A pump that lifts nothing at a setting.
pub const NO_FLOW: Rule = Rule {
    code: "pump_no_flow",
    urgency: Urgency::MendFirst,
    unit: "ratio",
    words: "With the knob at {measured}, {name} does not lift the water at all: it stirs and heats what is in it. Turn no lower \
            than where it flows.",
    source: CIRCUIT_LAW,
};

/// LEDs with too much current.
pub const LED_CURRENT: Rule = Rule {
    code: "led_current",
    urgency: Urgency::MendFirst,
    unit: "a",
    words: "Each LED of {name} gets up to {measured} from the full pack, more than the {limit} it stands; chopping does not lower \
            that. Take a larger resistor or a driver.",
    source: CIRCUIT_LAW,
};

/// A knob whose wiper loses contact.
pub const WIPER_OPENS: Rule = Rule {
    code: "knob_wiper_opens",
    urgency: Urgency::Know,
    unit: "",
    words: "A worn knob loses contact: the timer then stops, and {name} stands or runs at full speed, whichever its output was at. \
            Keep the main switch within reach.",
    source: COMMON_PRACTICE,
};

/// Every rule of this table.
pub const RULES: [Rule; 7] = [STARTS_NOT, HELD_UNTRIPPED, DRY, DRY_DISPLACEMENT, NO_FLOW, LED_CURRENT, WIPER_OPENS];
