//! Transistors that switch a load: resistance, charge, limits; and which way parts of a speed control fail.

use crate::data::{COMMON_PRACTICE, Seen, Source};
use crate::error::{Check, Error};
use crate::quantity::Interval;
use alloc::format;

/// Resistance that a data sheet states at one gate voltage, 25 °C.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OnPoint {
    /// Gate voltage, in volts.
    pub gate_v: f64,
    /// Largest resistance at it, in ohms; the typical one where the sheet gives no other.
    pub on_ohm: f64,
}

/// A MOSFET by the figures of its data sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Mosfet {
    /// Resistance at the highest stated gate voltage.
    pub on: OnPoint,
    /// Resistance at a lower gate voltage, where the sheet states one.
    pub on_at_less: Option<OnPoint>,
    /// Smallest gate voltage at which it begins to conduct, in volts.
    pub threshold_low_v: f64,
    /// Largest gate voltage at which it begins to conduct, in volts.
    pub threshold_high_v: f64,
    /// Total gate charge, in coulombs.
    pub gate_charge_coulomb: f64,
    /// Resistance at 125 °C over that at 25 °C; the largest of several sources where left out.
    pub hot_ratio: Option<f64>,
    /// Largest drain voltage, in volts.
    pub drain_v: f64,
    /// Largest steady drain current, in amperes.
    pub drain_a: f64,
    /// Largest gate voltage, in volts.
    pub gate_high_v: f64,
    /// Thermal resistance from junction to case, in kelvin per watt.
    pub case_k_per_w: f64,
    /// Thermal resistance from junction to air without heat sink, in kelvin per watt.
    pub ambient_k_per_w: f64,
    /// Highest junction temperature, in degrees Celsius.
    pub junction_high_degc: f64,
}

/// A bipolar transistor by the figures of its data sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Bipolar {
    /// Largest voltage between collector and emitter when saturated, in volts.
    pub saturation_v: f64,
    /// Collector current over base current at which that holds.
    pub forced_gain_ratio: f64,
    /// Largest voltage between base and emitter when saturated, in volts.
    pub base_v: f64,
    /// Time of turning on and off together, storage included, in seconds.
    pub edges_s: f64,
    /// Largest collector voltage, in volts.
    pub collector_v: f64,
    /// Largest collector current, in amperes.
    pub collector_a: f64,
    /// Thermal resistance from junction to case, in kelvin per watt.
    pub case_k_per_w: f64,
    /// Thermal resistance from junction to air without heat sink, in kelvin per watt.
    pub ambient_k_per_w: f64,
    /// Highest junction temperature, in degrees Celsius.
    pub junction_high_degc: f64,
}

/// The transistor that switches.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Transistor {
    /// N-channel MOSFET of 55 V for a 10 V gate: [`IRFZ44N`].
    Irfz44n,
    /// N-channel MOSFET of 100 V for a 10 V gate: [`IRF510`].
    Irf510,
    /// N-channel MOSFET of 40 V for a 4.5 V gate: [`CSD18510KTT`].
    Csd18510ktt,
    /// N-channel MOSFET of 100 V for a 6 V gate: [`CSD19535KTT`].
    Csd19535ktt,
    /// Darlington transistor of 60 V: [`TIP120`].
    Tip120,
    /// Transistor of 80 V: [`BD139`].
    Bd139,
    /// A MOSFET of one's own.
    Mosfet(Mosfet),
    /// A bipolar transistor of one's own.
    Bipolar(Bipolar),
}

/// Either kind, as figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TransistorRow {
    /// A MOSFET.
    Mosfet(Mosfet),
    /// A bipolar transistor.
    Bipolar(Bipolar),
}

/// IRFZ44N. Source: [`MOSFET_SOURCE`].
pub const IRFZ44N: Mosfet = Mosfet {
    on: OnPoint { gate_v: 10.0, on_ohm: 17.5e-3 },
    on_at_less: None,
    threshold_low_v: 2.0,
    threshold_high_v: 4.0,
    gate_charge_coulomb: 63e-9,
    hot_ratio: None,
    drain_v: 55.0,
    drain_a: 35.0,
    gate_high_v: 20.0,
    case_k_per_w: 1.5,
    ambient_k_per_w: 62.0,
    junction_high_degc: 175.0,
};

/// IRF510. Source: [`MOSFET_SOURCE`].
pub const IRF510: Mosfet = Mosfet {
    on: OnPoint { gate_v: 10.0, on_ohm: 0.54 },
    on_at_less: None,
    threshold_low_v: 2.0,
    threshold_high_v: 4.0,
    gate_charge_coulomb: 8.3e-9,
    hot_ratio: None,
    drain_v: 100.0,
    drain_a: 4.0,
    gate_high_v: 20.0,
    case_k_per_w: 3.5,
    ambient_k_per_w: 62.0,
    junction_high_degc: 175.0,
};

/// CSD18510KTT. Source: [`MOSFET_SOURCE`].
pub const CSD18510KTT: Mosfet = Mosfet {
    on: OnPoint { gate_v: 10.0, on_ohm: 1.7e-3 },
    on_at_less: Some(OnPoint { gate_v: 4.5, on_ohm: 2.6e-3 }),
    threshold_low_v: 1.4,
    threshold_high_v: 2.3,
    gate_charge_coulomb: 153e-9,
    hot_ratio: None,
    drain_v: 40.0,
    drain_a: 200.0,
    gate_high_v: 20.0,
    case_k_per_w: 0.6,
    ambient_k_per_w: 62.0,
    junction_high_degc: 175.0,
};

/// CSD19535KTT. Source: [`MOSFET_SOURCE`].
pub const CSD19535KTT: Mosfet = Mosfet {
    on: OnPoint { gate_v: 10.0, on_ohm: 3.4e-3 },
    on_at_less: Some(OnPoint { gate_v: 6.0, on_ohm: 4.4e-3 }),
    threshold_low_v: 2.2,
    threshold_high_v: 3.4,
    gate_charge_coulomb: 98e-9,
    hot_ratio: None,
    drain_v: 100.0,
    drain_a: 197.0,
    gate_high_v: 20.0,
    case_k_per_w: 0.5,
    ambient_k_per_w: 62.0,
    junction_high_degc: 175.0,
};

/// TIP120, a Darlington pair. Source: [`BIPOLAR_SOURCE`].
pub const TIP120: Bipolar = Bipolar {
    saturation_v: 2.0,
    forced_gain_ratio: 250.0,
    base_v: 2.5,
    edges_s: 5e-6,
    collector_v: 60.0,
    collector_a: 5.0,
    case_k_per_w: 1.92,
    ambient_k_per_w: 62.5,
    junction_high_degc: 150.0,
};

/// BD139. Source: [`BIPOLAR_SOURCE`].
pub const BD139: Bipolar = Bipolar {
    saturation_v: 0.5,
    forced_gain_ratio: 10.0,
    base_v: 1.0,
    edges_s: 2e-6,
    collector_v: 80.0,
    collector_a: 1.5,
    case_k_per_w: 10.0,
    ambient_k_per_w: 100.0,
    junction_high_degc: 150.0,
};

/// Source of the MOSFET rows.
pub const MOSFET_SOURCE: Source = Source {
    title: "Data sheets IRFZ44N, IRF510 (91015), CSD18510KTT (SLPS638), CSD19535KTT",
    edition: "",
    place: "resistance, thresholds and charge; largest values at the lower gate voltage, charge of the last two and \
            ratings from memory",
    seen: Seen::Original,
};

/// Source of the bipolar rows.
pub const BIPOLAR_SOURCE: Source =
    Source { title: "Data sheets TIP120, BD139", edition: "", place: "from memory", seen: Seen::Memory };

/// What a data sheet prints as typical, and of the body diode: what a meter should find in a good part. Not what a build
/// is judged by; that takes the largest values above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TypicalMosfet {
    /// Typical resistances, each at its gate voltage.
    pub on: &'static [OnPoint],
    /// Typical gate voltage at which it begins to conduct, in volts.
    pub threshold_v: Option<f64>,
    /// Typical gate charge at 10 V, in coulombs.
    pub gate_charge_coulomb: Option<f64>,
    /// Largest forward voltage of the body diode, in volts.
    pub body_v: Option<f64>,
    /// Typical recovery time of the body diode, in seconds.
    pub recovery_s: Option<f64>,
}

const NOTHING_TYPICAL: TypicalMosfet =
    TypicalMosfet { on: &[], threshold_v: None, gate_charge_coulomb: None, body_v: None, recovery_s: None };

/// IRFZ44N. Source: [`MOSFET_SOURCE`].
pub const IRFZ44N_TYPICAL: TypicalMosfet =
    TypicalMosfet { body_v: Some(1.3), recovery_s: Some(63e-9), ..NOTHING_TYPICAL };

/// CSD18510KTT. Source: [`MOSFET_SOURCE`]; the resistance at 10 V from memory.
pub const CSD18510KTT_TYPICAL: TypicalMosfet = TypicalMosfet {
    on: &[OnPoint { gate_v: 4.5, on_ohm: 2.0e-3 }, OnPoint { gate_v: 10.0, on_ohm: 1.4e-3 }],
    threshold_v: Some(1.7),
    gate_charge_coulomb: Some(119e-9),
    ..NOTHING_TYPICAL
};

/// CSD19535KTT. Source: [`MOSFET_SOURCE`]; threshold, charge and the resistance at 10 V from memory.
pub const CSD19535KTT_TYPICAL: TypicalMosfet = TypicalMosfet {
    on: &[OnPoint { gate_v: 6.0, on_ohm: 3.2e-3 }, OnPoint { gate_v: 10.0, on_ohm: 2.8e-3 }],
    threshold_v: Some(2.7),
    gate_charge_coulomb: Some(75e-9),
    ..NOTHING_TYPICAL
};

/// Resistance of a MOSFET at 125 °C over that at 25 °C: curves of parts say 1.5 to 1.7, a design article 2 to 2.5.
pub const HOT_RATIO: Interval = Interval { low: 1.5, likely: 1.7, high: 2.5 };

/// The article's two figures; its larger one is the upper end above.
pub const HOT_RATIO_ARTICLE: [f64; 2] = [2.0, HOT_RATIO.high];

/// Source of the article's figures.
pub const HOT_RATIO_SOURCE: Source = Source {
    title: "MOSFET as a switch, engineering article",
    edition: "",
    place: "10 mΩ becomes 20 to 25 mΩ at 125 °C",
    seen: Seen::Original,
};

/// Which way a part of a speed control fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PartFailure {
    /// The part.
    pub part: &'static str,
    /// How it fails as a rule.
    pub fails: &'static str,
    /// What the load does then.
    pub load: LoadThen,
    /// Where that comes from.
    pub source: Source,
}

/// What a load does after a failure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum LoadThen {
    /// It runs at full speed and cannot be turned down.
    FullSpeed,
    /// It stops.
    Stopped,
    /// Either, and it may change by itself.
    Either,
    /// The supply is shorted at the next turning on.
    ShortsSupply,
}

const fn fails(part: &'static str, fails: &'static str, load: LoadThen) -> PartFailure {
    PartFailure { part, fails, load, source: COMMON_PRACTICE }
}

/// How the parts of a speed control fail.
pub const FAILURES: [PartFailure; 8] = [
    fails("mosfet", "shorts from drain to source", LoadThen::FullSpeed),
    fails("bipolar transistor", "shorts from collector to emitter", LoadThen::FullSpeed),
    fails("gate pull-down left out or broken", "leaves the gate floating when the timer is off", LoadThen::Either),
    fails("gate or base resistor", "opens; the pull-down keeps the switch off", LoadThen::Stopped),
    fails("flyback diode shorted", "puts the supply across the switch", LoadThen::ShortsSupply),
    fails(
        "flyback diode open",
        "lets the coil's voltage break through the switch, which then shorts",
        LoadThen::FullSpeed,
    ),
    fails("worn knob wiper", "lifts off, so that the capacitor hangs in the air", LoadThen::Either),
    fails("timer", "sticks with its output high or low", LoadThen::Either),
];

impl Transistor {
    /// Its figures.
    #[must_use]
    pub fn row(&self) -> TransistorRow {
        match self {
            Self::Irfz44n => TransistorRow::Mosfet(IRFZ44N),
            Self::Irf510 => TransistorRow::Mosfet(IRF510),
            Self::Csd18510ktt => TransistorRow::Mosfet(CSD18510KTT),
            Self::Csd19535ktt => TransistorRow::Mosfet(CSD19535KTT),
            Self::Tip120 => TransistorRow::Bipolar(TIP120),
            Self::Bd139 => TransistorRow::Bipolar(BD139),
            Self::Mosfet(mosfet) => TransistorRow::Mosfet(*mosfet),
            Self::Bipolar(bipolar) => TransistorRow::Bipolar(*bipolar),
        }
    }

    pub(crate) fn check(&self, check: &mut Check) {
        match self {
            Self::Mosfet(mosfet) => check.inside("mosfet", |check| mosfet.check(check)),
            Self::Bipolar(bipolar) => check.inside("bipolar", |check| bipolar.check(check)),
            _ => {}
        }
    }
}

impl OnPoint {
    fn check(&self, check: &mut Check, field: &'static str) {
        check.inside(field, |check| {
            check.within("gate_v", self.gate_v, 0.5, 30.0);
            check.within("on_ohm", self.on_ohm, 1e-5, 100.0);
        });
    }
}

impl Mosfet {
    fn check(&self, check: &mut Check) {
        self.on.check(check, "on");
        if let Some(less) = &self.on_at_less {
            less.check(check, "on_at_less");
            if less.gate_v >= self.on.gate_v {
                let error = Error::other("gate_v", format!("{}", less.gate_v), "less than the gate_v of `on`");
                check.inside("on_at_less", |check| check.note(error));
            }
        }
        check.within("threshold_low_v", self.threshold_low_v, 0.1, 20.0);
        check.within("threshold_high_v", self.threshold_high_v, self.threshold_low_v.max(0.1), 20.0);
        check.within("gate_charge_coulomb", self.gate_charge_coulomb, 1e-11, 1e-5);
        check.within("hot_ratio", self.hot_ratio.unwrap_or(HOT_RATIO.high), 1.0, 5.0);
        check.within("drain_v", self.drain_v, 1.0, 2000.0);
        check.within("drain_a", self.drain_a, 0.01, 1000.0);
        check.within("gate_high_v", self.gate_high_v, 1.0, 60.0);
        heat(check, self.case_k_per_w, self.ambient_k_per_w, self.junction_high_degc);
    }
}

impl Bipolar {
    fn check(&self, check: &mut Check) {
        check.within("saturation_v", self.saturation_v, 0.01, 10.0);
        check.within("forced_gain_ratio", self.forced_gain_ratio, 1.0, 1e5);
        check.within("base_v", self.base_v, 0.1, 10.0);
        check.within("edges_s", self.edges_s, 1e-9, 1e-3);
        check.within("collector_v", self.collector_v, 1.0, 2000.0);
        check.within("collector_a", self.collector_a, 0.001, 1000.0);
        heat(check, self.case_k_per_w, self.ambient_k_per_w, self.junction_high_degc);
    }
}

fn heat(check: &mut Check, case_k_per_w: f64, ambient_k_per_w: f64, junction_high_degc: f64) {
    check.within("case_k_per_w", case_k_per_w, 0.01, 500.0);
    check.within("ambient_k_per_w", ambient_k_per_w, 0.1, 1000.0);
    check.within("junction_high_degc", junction_high_degc, 50.0, 300.0);
}
