//! The rules about the switch and what stands around it.

use crate::data::{COMMON_PRACTICE, Seen, Source};
use crate::finding::{Rule, Urgency};

/// Distance that a junction keeps from its highest temperature, in kelvin.
pub const HOT_MARGIN_K: f64 = 25.0;
/// A voltage rating over the highest supply.
pub const VOLTAGE_MARGIN_RATIO: f64 = 1.5;
/// Share of the period that both edges may take.
pub const EDGE_RATIO: f64 = 0.1;
/// Frequency above which a rectifier for the mains is too slow as a flyback diode, in hertz.
pub const SLOW_DIODE_HZ: f64 = 1e3;
/// Share of a fuse's melting value that each of 10,000 pulses may have.
pub const FUSE_PULSE_RATIO: f64 = 0.29;

const FUSE_PULSES: Source = Source {
    title: "Littelfuse fuse catalogue, pulse cycle withstand",
    edition: "",
    place: "chart 2: 29 % of the melting value for 10,000 pulses",
    seen: Seen::Original,
};

/// A gate that does not get enough voltage.
pub const GATE_LOW: Rule = Rule {
    code: "switch_gate_low",
    urgency: Urgency::Stop,
    unit: "v",
    words: "The gate of {name} gets {measured} at the empty pack where its data sheet needs {limit}: it may be half on \
            and overheat. Take a MOSFET for a lower gate voltage, or a timer whose output comes nearer to the supply.",
    source: COMMON_PRACTICE,
};

/// A base that does not get enough current.
pub const BASE_LOW: Rule = Rule {
    code: "switch_base_low",
    urgency: Urgency::Stop,
    unit: "a",
    words: "The base of {name} gets {measured} where {limit} keep it saturated: it overheats. Take a smaller base \
            resistor, a Darlington transistor or a MOSFET.",
    source: COMMON_PRACTICE,
};

/// A gate that gets too much voltage.
pub const GATE_HIGH: Rule = Rule {
    code: "switch_gate_high",
    urgency: Urgency::Stop,
    unit: "v",
    words: "The gate of {name} gets {measured} at the full pack, more than the {limit} it stands.",
    source: COMMON_PRACTICE,
};

/// A junction above its limit.
pub const TOO_HOT: Rule = Rule {
    code: "switch_too_hot",
    urgency: Urgency::Stop,
    unit: "degc",
    words: "{name} passes {limit} as cooled: it needs a heat sink, a larger one, or a transistor of less resistance.",
    source: COMMON_PRACTICE,
};

/// A junction near its limit.
pub const HOT: Rule = Rule {
    code: "switch_hot",
    urgency: Urgency::MendFirst,
    unit: "degc",
    words: "{name} reaches {measured}, within 25 K of its highest temperature (limit {limit}): cool it better.",
    source: COMMON_PRACTICE,
};

/// Edges that fill the period.
pub const EDGES: Rule = Rule {
    code: "switch_edges_long",
    urgency: Urgency::MendFirst,
    unit: "ratio",
    words: "Turning on and off takes {measured} of the period of {name} (limit {limit}): it heats, and the smallest \
            and largest duties are lost. Chop slower, use a smaller gate resistor or a stronger driver.",
    source: COMMON_PRACTICE,
};

/// A missing pull-down.
pub const PULL_DOWN: Rule = Rule {
    code: "switch_pull_down_missing",
    urgency: Urgency::MendFirst,
    unit: "",
    words: "{name} has no resistor from gate or base to the negative side: while the timer is off it may turn on by \
            itself. About 10 kΩ is usual.",
    source: COMMON_PRACTICE,
};

/// A missing gate resistor.
pub const GATE_RESISTOR: Rule = Rule {
    code: "switch_gate_resistor_missing",
    urgency: Urgency::Know,
    unit: "ohm",
    words: "{name} has {measured} in front of its gate: a few tens of ohms keep the leads from ringing and the timer's \
            output from being overloaded.",
    source: COMMON_PRACTICE,
};

/// A coil without flyback diode.
pub const FLYBACK_MISSING: Rule = Rule {
    code: "switch_flyback_missing",
    urgency: Urgency::Stop,
    unit: "",
    words: "The load of {name} is a coil without flyback diode: its voltage breaks through the switch, which then shorts \
            and leaves the load at full speed.",
    source: COMMON_PRACTICE,
};

/// A flyback diode that carries too much.
pub const FLYBACK_CURRENT: Rule = Rule {
    code: "switch_flyback_current",
    urgency: Urgency::MendFirst,
    unit: "a",
    words: "The flyback diode of {name} carries up to {measured}, more than the {limit} it may.",
    source: COMMON_PRACTICE,
};

/// A flyback diode that blocks too little.
pub const FLYBACK_VOLTAGE: Rule = Rule {
    code: "switch_flyback_voltage",
    urgency: Urgency::MendFirst,
    unit: "v",
    words: "The flyback diode of {name} stands {measured}; one and a half times the supply is {limit}.",
    source: COMMON_PRACTICE,
};

/// A slow flyback diode.
pub const FLYBACK_SLOW: Rule = Rule {
    code: "switch_flyback_slow",
    urgency: Urgency::MendFirst,
    unit: "hz",
    words: "The flyback diode of {name} is a slow rectifier at {measured} (limit {limit}): the switch turns on into a \
            diode that still conducts. Take a Schottky or fast diode.",
    source: COMMON_PRACTICE,
};

/// A transistor for too little voltage.
pub const VOLTAGE: Rule = Rule {
    code: "switch_voltage",
    urgency: Urgency::MendFirst,
    unit: "v",
    words: "{name} stands {measured}; one and a half times the supply is {limit}.",
    source: COMMON_PRACTICE,
};

/// A transistor for too little current.
pub const CURRENT: Rule = Rule {
    code: "switch_current",
    urgency: Urgency::Stop,
    unit: "a",
    words: "{name} carries {measured}, more than the {limit} it may.",
    source: COMMON_PRACTICE,
};

/// A missing supply capacitor.
pub const CAPACITOR_MISSING: Rule = Rule {
    code: "switch_capacitor_missing",
    urgency: Urgency::MendFirst,
    unit: "",
    words: "{name} chops the leads' current without a capacitor at the switch: the leads' inductance adds to the supply \
            at each turning off, and the timer's supply shakes.",
    source: COMMON_PRACTICE,
};

/// A capacitor with too much ripple current.
pub const CAPACITOR_RIPPLE: Rule = Rule {
    code: "switch_capacitor_ripple",
    urgency: Urgency::MendFirst,
    unit: "a",
    words: "The supply capacitor of {name} carries {measured} of ripple, more than the {limit} it is rated for: it heats \
            and dries out.",
    source: COMMON_PRACTICE,
};

/// A rush that the protection board takes for a short circuit.
pub const RUSH_BOARD: Rule = Rule {
    code: "switch_rush_board",
    urgency: Urgency::MendFirst,
    unit: "a",
    words: "Connecting the pack to the capacitor of {name} draws up to {measured}, above the {limit} at which the board \
            sees a short circuit: it may switch off. A smaller capacitor or a resistor that is bridged later would work.",
    source: COMMON_PRACTICE,
};

/// A rush that wears the fuse.
pub const RUSH_FUSE: Rule = Rule {
    code: "switch_rush_fuse",
    urgency: Urgency::MendFirst,
    unit: "a2s",
    words: "Connecting the pack to the capacitor of {name} puts {measured} A²s through the fuse, above {limit} A²s (29 % \
            of its melting value): it wears out.",
    source: FUSE_PULSES,
};

/// A rush above what the main switch may make.
pub const RUSH_SWITCH: Rule = Rule {
    code: "switch_rush_contact",
    urgency: Urgency::MendFirst,
    unit: "a",
    words: "Connecting the pack to the capacitor of {name} draws up to {measured} through the main switch, above the \
            {limit} it may make: its contacts weld.",
    source: COMMON_PRACTICE,
};

/// No protection against reversed polarity.
pub const REVERSED: Rule = Rule {
    code: "switch_reversed",
    urgency: Urgency::MendFirst,
    unit: "",
    words: "A reversed pack is shorted through the flyback diode and the transistor of {name}: only a keyed plug, a fuse \
            or a protecting transistor stands between. None was entered.",
    source: COMMON_PRACTICE,
};

/// Which way it fails.
pub const FAILS_ON: Rule = Rule {
    code: "switch_fails_on",
    urgency: Urgency::Know,
    unit: "",
    words: "A worn-out transistor shorts as a rule: the load of {name} then runs at full speed and the knob does nothing. \
            Keep the main switch within reach.",
    source: COMMON_PRACTICE,
};

/// Every rule of this table.
pub const RULES: [Rule; 21] = [
    GATE_LOW,
    BASE_LOW,
    GATE_HIGH,
    TOO_HOT,
    HOT,
    EDGES,
    PULL_DOWN,
    GATE_RESISTOR,
    FLYBACK_MISSING,
    FLYBACK_CURRENT,
    FLYBACK_VOLTAGE,
    FLYBACK_SLOW,
    VOLTAGE,
    CURRENT,
    CAPACITOR_MISSING,
    CAPACITOR_RIPPLE,
    RUSH_BOARD,
    RUSH_FUSE,
    RUSH_SWITCH,
    REVERSED,
    FAILS_ON,
];
