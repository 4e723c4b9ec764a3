//! The rules about frequency and load.

use crate::data::blower::{FOUR_WIRE_SOURCE, TWO_WIRE_SOURCE};
use crate::data::{COMMON_PRACTICE, Seen, Source};
use crate::finding::{Rule, Urgency};

/// Lowest frequency that people hear, in hertz.
pub const AUDIBLE_LOW_HZ: f64 = 20.0;
/// Highest frequency that people hear, in hertz.
pub const AUDIBLE_HIGH_HZ: f64 = 20e3;
/// Frequencies at which flicker may cause seizures, in hertz.
pub const SEIZURE_HZ: (f64, f64) = (3.0, 70.0);
/// Frequency from which full on-off flicker counts as low risk, in hertz.
pub const LOW_RISK_FLICKER_HZ: f64 = 1250.0;
/// Frequency above which chopping a heater only costs switching loss, in hertz.
pub const HEATER_HIGH_HZ: f64 = 1e3;

const FLICKER: Source = Source {
    title: "IEEE 1789, Modulating current in high-brightness LEDs",
    edition: "2015",
    place: "recommended practice: modulation in percent below 0.08 times the frequency; from memory",
    seen: Seen::Memory,
};

/// A load with electronics of its own on a chopped supply.
pub const OWN_ELECTRONICS: Rule = Rule {
    code: "drive_own_electronics",
    urgency: Urgency::MendFirst,
    unit: "",
    words: "{name} has electronics and an input capacitor of its own: on a chopped supply it does not see duty times \
            voltage, and the capacitor turns chopping into current spikes. Measured curve needed, or a type with a \
            control input such as a four-wire blower.",
    source: COMMON_PRACTICE,
};

/// A two-wire blower chopped too slowly.
pub const TWO_WIRE_SLOW: Rule = Rule {
    code: "drive_two_wire_slow",
    urgency: Urgency::MendFirst,
    unit: "hz",
    words: "The supply of {name} is chopped at {measured}, below the usual {limit}: it stutters and its electronics \
            restart with each pulse.",
    source: TWO_WIRE_SOURCE,
};

/// A two-wire blower chopped too fast.
pub const TWO_WIRE_FAST: Rule = Rule {
    code: "drive_two_wire_fast",
    urgency: Urgency::MendFirst,
    unit: "hz",
    words: "The supply of {name} is chopped at {measured}, above the usual {limit}: its electronics may not start \
            within a pulse, and its input capacitor takes a spike with each.",
    source: TWO_WIRE_SOURCE,
};

/// A four-wire blower with too slow a control signal.
pub const FOUR_WIRE_SLOW: Rule = Rule {
    code: "drive_four_wire_slow",
    urgency: Urgency::MendFirst,
    unit: "hz",
    words: "The control wire of {name} gets {measured}; its specification begins at {limit}.",
    source: FOUR_WIRE_SOURCE,
};

/// A four-wire blower with too fast a control signal.
pub const FOUR_WIRE_FAST: Rule = Rule {
    code: "drive_four_wire_fast",
    urgency: Urgency::MendFirst,
    unit: "hz",
    words: "The control wire of {name} gets {measured}; its specification ends at {limit}.",
    source: FOUR_WIRE_SOURCE,
};

/// A four-wire blower whose supply is chopped.
pub const FOUR_WIRE_SUPPLY: Rule = Rule {
    code: "drive_four_wire_supply",
    urgency: Urgency::MendFirst,
    unit: "",
    words: "The supply of {name} is chopped; a four-wire blower keeps its supply on and is told its speed on the control \
            wire.",
    source: FOUR_WIRE_SOURCE,
};

/// A control wire pulled too high.
pub const FOUR_WIRE_VOLTAGE: Rule = Rule {
    code: "drive_four_wire_voltage",
    urgency: Urgency::MendFirst,
    unit: "v",
    words: "The control wire of {name} is driven to {measured}, above {limit}: drive it through an open collector or \
            drain, which only pulls it down.",
    source: FOUR_WIRE_SOURCE,
};

/// A tachometer on a chopped supply.
pub const TACHOMETER: Rule = Rule {
    code: "drive_tachometer",
    urgency: Urgency::Know,
    unit: "",
    words: "The tachometer wire of {name} reads wrong while its supply is chopped: its sensor is off between pulses.",
    source: COMMON_PRACTICE,
};

/// A motor that whines.
pub const AUDIBLE: Rule = Rule {
    code: "drive_audible",
    urgency: Urgency::Know,
    unit: "hz",
    words: "{name} is chopped at {measured}, within hearing (up to {limit}): it whines. Faster costs switching loss; \
            much slower is felt as shaking.",
    source: COMMON_PRACTICE,
};

/// A motor whose current falls to nothing in each period.
pub const RIPPLE: Rule = Rule {
    code: "drive_ripple",
    urgency: Urgency::Know,
    unit: "a",
    words: "The ripple of {name} reaches {measured} at half duty, more than its mean current of {limit}: the current \
            breaks off in each period, torque pulses, and winding and brushes heat more than the mean tells.",
    source: Source {
        title: "Ripple V/(4·L·f) of a chopped coil",
        edition: "",
        place: "first principles, resistance neglected",
        seen: Seen::Derived,
    },
};

/// Flicker that may cause seizures.
pub const SEIZURE: Rule = Rule {
    code: "drive_flicker_seizure",
    urgency: Urgency::Stop,
    unit: "hz",
    words: "{name} flickers at {measured}: below {limit} flicker may cause seizures in some people.",
    source: FLICKER,
};

/// Flicker above the seizure range.
pub const FLICKERS: Rule = Rule {
    code: "drive_flicker",
    urgency: Urgency::MendFirst,
    unit: "hz",
    words: "{name} is switched fully on and off at {measured}: below {limit} such flicker is seen in motion and tires.",
    source: FLICKER,
};

/// A heater chopped needlessly fast.
pub const HEATER_FAST: Rule = Rule {
    code: "drive_heater_fast",
    urgency: Urgency::Know,
    unit: "hz",
    words: "{name} is chopped at {measured}; a heater is content with seconds, and above {limit} only the switch gets \
            warmer.",
    source: COMMON_PRACTICE,
};

/// A chopped heater: its wires carry the RMS current.
pub const HEATER_RMS: Rule = Rule {
    code: "drive_heater_rms",
    urgency: Urgency::Know,
    unit: "",
    words: "{name} heats with the duty, and its wires with the RMS current: at a quarter of the duty they warm four \
            times as much as the mean current tells.",
    source: Source {
        title: "Definition of the RMS value",
        edition: "",
        place: "first principles",
        seen: Seen::Derived,
    },
};

/// Every rule of this table.
pub const RULES: [Rule; 14] = [
    OWN_ELECTRONICS,
    TWO_WIRE_SLOW,
    TWO_WIRE_FAST,
    FOUR_WIRE_SLOW,
    FOUR_WIRE_FAST,
    FOUR_WIRE_SUPPLY,
    FOUR_WIRE_VOLTAGE,
    TACHOMETER,
    AUDIBLE,
    RIPPLE,
    SEIZURE,
    FLICKERS,
    HEATER_FAST,
    HEATER_RMS,
];
