//! Current drawn by a load at a voltage and a duty.
//!
//! ```text
//! current_a = power_w / at_v · (v / at_v)^(exponent − 1)
//! ```
//!
//! Every draw is a power law of the voltage: exponent 0 is constant power, 1 constant current, 2 a resistance, 3 a fan
//! whose speed follows its voltage. Source: definition; for the fan the affinity laws (power with the cube of speed).
//! Holds between the voltages the maker has seen the load work at.

use crate::error::Check;
use crate::quantity::{End, Interval};
use alloc::string::String;

/// How a load's current follows its voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum Draw {
    /// The same current at every voltage.
    Current {
        /// Current while on, in amperes.
        current_a: Interval,
    },
    /// The same power at every voltage, as electronics with a converter draw it.
    Power {
        /// Power while on, in watts.
        power_w: Interval,
    },
    /// A resistance, as a heater is.
    Resistance {
        /// Resistance, in ohms.
        resistance_ohm: Interval,
    },
    /// A motor, blower or pump whose power follows the voltage.
    FollowsVoltage {
        /// Power at `at_v`, in watts.
        power_w: Interval,
        /// Voltage of that power, in volts.
        at_v: f64,
        /// Power grows with this power of the voltage: about 3 for a fan or blower, 2 to 3 for a pump, 1 for a motor
        /// against a constant torque.
        exponent: f64,
    },
}

/// One load on the pack.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Load {
    /// The maker's name for it.
    pub name: String,
    /// How it draws current.
    pub draw: Draw,
    /// Share of the time it is switched on; 1 where it is not chopped.
    pub duty: f64,
    /// Whether the speed control chops it: its duty then comes from the timer, where the plan has one.
    pub chopped: bool,
    /// Lowest voltage at which it does its work, in volts.
    pub works_from_v: Option<f64>,
    /// Highest voltage it stands, in volts.
    pub works_to_v: Option<f64>,
    /// Voltage under which it switches itself off, in volts.
    pub drop_out_v: Option<f64>,
    /// Highest current at switching on, in amperes.
    pub surge_a: Option<f64>,
    /// How long that current lasts, in seconds.
    pub surge_s: Option<f64>,
    /// Whether the draw was measured; left out or no: it is what the label says.
    pub measured: Option<bool>,
}

/// A load as a power law at one end of its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadCircuit {
    /// Current at `at_v`, in amperes.
    pub current_a: f64,
    /// Voltage of that current, in volts.
    pub at_v: f64,
    /// Exponent of the power over the voltage, 0 to 4.
    pub exponent: f64,
    /// Share of the time it is on.
    pub duty: f64,
    /// Voltage under which it switches itself off, in volts; 0 without one.
    pub drop_out_v: f64,
}

impl Load {
    /// A load that is on all the time, of which nothing is known but its draw.
    #[must_use]
    pub fn new(name: impl Into<String>, draw: Draw) -> Self {
        Self {
            name: name.into(),
            draw,
            duty: 1.0,
            chopped: false,
            works_from_v: None,
            works_to_v: None,
            drop_out_v: None,
            surge_a: None,
            surge_s: None,
            measured: None,
        }
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.within("duty", self.duty, 0.0, 1.0);
        check.inside("draw", |check| self.draw.check(check));
        for (field, value) in
            [("works_from_v", self.works_from_v), ("works_to_v", self.works_to_v), ("drop_out_v", self.drop_out_v)]
        {
            if let Some(value) = value {
                check.within(field, value, 0.1, 100.0);
            }
        }
        if let Some(surge_a) = self.surge_a {
            check.within("surge_a", surge_a, 0.0, 10000.0);
        }
        if let Some(surge_s) = self.surge_s {
            check.within("surge_s", surge_s, 0.0, 60.0);
        }
    }

    /// The load at one end: [`End::High`] is the end that draws most.
    #[must_use]
    pub fn circuit(&self, end: End) -> LoadCircuit {
        self.placed(self.draw.circuit(end))
    }

    /// The load at a place from −1 (draws least) over 0 (likely) to 1 (draws most).
    #[must_use]
    pub fn circuit_toward(&self, place: f64) -> LoadCircuit {
        self.placed(self.draw.law(|value| value.toward(place), |value| value.toward(-place)))
    }

    fn placed(&self, law: LoadCircuit) -> LoadCircuit {
        LoadCircuit { duty: self.duty, drop_out_v: self.drop_out_v.unwrap_or(0.0), ..law }
    }
}

impl Draw {
    /// The power law at one end, on all the time: [`End::High`] is the end that draws most.
    #[must_use]
    pub fn circuit(&self, end: End) -> LoadCircuit {
        self.law(|value| value.at(end), |value| value.at(end.opposite()))
    }

    /// The draw, or where it falls with the value its resistance, picked from the interval.
    fn law(&self, pick: impl Fn(&Interval) -> f64, opposite: impl Fn(&Interval) -> f64) -> LoadCircuit {
        let law = |current_a, at_v, exponent| LoadCircuit { current_a, at_v, exponent, duty: 1.0, drop_out_v: 0.0 };
        match self {
            Self::Current { current_a } => law(pick(current_a), 1.0, 1.0),
            Self::Power { power_w } => law(pick(power_w), 1.0, 0.0),
            Self::Resistance { resistance_ohm } => law(1.0 / opposite(resistance_ohm), 1.0, 2.0),
            Self::FollowsVoltage { power_w, at_v, exponent } => law(pick(power_w) / at_v, *at_v, *exponent),
        }
    }

    pub(crate) fn check(&self, check: &mut Check) {
        match self {
            Self::Current { current_a } => {
                check.inside("current", |check| current_a.note(check, "current_a", 0.0, 1000.0));
            }
            Self::Power { power_w } => check.inside("power", |check| power_w.note(check, "power_w", 0.0, 10000.0)),
            Self::Resistance { resistance_ohm } => {
                check.inside("resistance", |check| resistance_ohm.note(check, "resistance_ohm", 1e-3, 1e6));
            }
            Self::FollowsVoltage { power_w, at_v, exponent } => check.inside("follows_voltage", |check| {
                power_w.note(check, "power_w", 0.0, 10000.0);
                check.within("at_v", *at_v, 0.1, 100.0);
                check.within("exponent", *exponent, 0.0, 4.0);
            }),
        }
    }
}

impl LoadCircuit {
    /// Current at `load_v` above 0 while on, in amperes, and its slope in amperes per volt.
    pub(crate) fn current(&self, load_v: f64) -> (f64, f64) {
        let x = load_v / self.at_v;
        let growth = if self.exponent == 3.0 {
            x * x
        } else if self.exponent == 2.0 {
            x
        } else if self.exponent == 1.0 {
            1.0
        } else if self.exponent == 0.0 {
            1.0 / x
        } else {
            libm::pow(x, self.exponent - 1.0)
        };
        let current_a = self.current_a * growth;
        (current_a, (self.exponent - 1.0) * current_a / load_v)
    }
}
