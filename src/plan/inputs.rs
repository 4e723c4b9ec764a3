//! What a plan holds beside cells, loads and leads.

use crate::data::fuse::FuseFamily;
use crate::error::{Check, Error};
use crate::finding::charging::{ChargeTerminals, OtherSupply};
use crate::part::charger::ChargerKind;
use crate::part::timing::Timer;
use crate::part::wire::Run;
use crate::quantity::Interval;
use crate::run::driven::Driven;
use crate::run::knob::KnobSwitch;
use alloc::vec::Vec;

/// Where cells come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Origin {
    /// Taken out of other packs.
    Salvaged,
    /// Bought new, with a data sheet.
    New,
}

/// Whether something watches each group.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Protection {
    /// Nothing does.
    None,
    /// A board that is connected to every group.
    Board(Board),
}

/// A protection board.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Board {
    /// Groups it is made for.
    pub series: Option<u32>,
    /// Group voltage at which it ends charging, in volts.
    pub over_voltage_v: Option<f64>,
    /// Group voltage at which it ends discharging, in volts.
    pub cut_off_v: Option<f64>,
    /// Current it carries without end, in amperes.
    pub continuous_a: Option<f64>,
    /// Current at which it trips, in amperes.
    pub trip_a: Option<Interval>,
    /// Time a current must last to trip it, in seconds.
    pub over_current_s: Option<Interval>,
    /// Current at which it sees a short circuit, in amperes.
    pub short_circuit_a: Option<Interval>,
    /// Whether it balances the groups.
    pub balances: Option<bool>,
    /// Current it takes out of a full group for that, in amperes.
    pub balance_a: Option<f64>,
    /// Whether it has a temperature sensor that stops charging in the cold and in the heat.
    pub temperature_sensor: Option<bool>,
    /// Resistance in the current's way, in ohms.
    pub resistance_ohm: Interval,
}

/// The speed control.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Control {
    /// The timer that sets the pace.
    pub timer: Timer,
    /// Knob position the plan's runtime is worked out for, 0 to 1.
    pub wiper_ratio: f64,
    /// Knob positions to list, 0 to 1.
    pub positions: Vec<f64>,
    /// Resistance of the switch while it conducts, hot, in ohms.
    pub switch_ohm: Interval,
    /// What it drives, where more is known than the draw of the chopped load: it then takes the place of that draw.
    pub driven: Option<Driven>,
    /// The switch's parts.
    pub switch: Option<KnobSwitch>,
    /// The capacitor across the supply, next to the switch.
    pub capacitor: Option<SupplyBuffer>,
    /// Whether a keyed plug, a fuse with a diode or a transistor protects against a reversed pack.
    pub reverse_protected: Option<bool>,
}

/// The capacitor across the supply of the switch.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SupplyBuffer {
    /// Its capacitance, in farads.
    pub c_f: f64,
    /// Its equivalent series resistance, in ohms.
    pub esr_ohm: f64,
    /// Ripple current it is rated for, RMS, in amperes.
    pub rated_ripple_a: Option<f64>,
}

/// Whether there is a fuse.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum FuseChoice {
    /// There is none.
    None,
    /// There is one.
    Fitted(Fuse),
}

/// A fuse as it is printed on.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Fuse {
    /// Kind of fuse.
    pub family: Option<FuseFamily>,
    /// Rated current, in amperes.
    pub rating_a: f64,
    /// Largest direct current it can break, in amperes; what is published of its kind where left out.
    pub breaking_a: Option<f64>,
    /// Resistance in working order, holder included, in ohms.
    pub resistance_ohm: Interval,
    /// Whether it sits at the pack's positive end, before anything else.
    pub first_at_positive: Option<bool>,
}

/// Whether a main switch parts the pack from everything else.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum MainSwitchChoice {
    /// There is none.
    None,
    /// There is one.
    Fitted(MainSwitch),
}

/// A main switch as it is printed on. A rating for alternating current says nothing here.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MainSwitch {
    /// Direct current it may make, carry and break, in amperes.
    pub direct_a: Option<f64>,
    /// Direct voltage that rating is for, in volts.
    pub direct_v: Option<f64>,
}

/// How the pack is charged.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ChargingSetup {
    /// Highest voltage the charger or supply gives, in volts.
    pub supply_v: f64,
    /// Highest current it gives, in amperes.
    pub supply_a: f64,
    /// How it behaves.
    pub kind: ChargerKind,
    /// Current at which it ends, in amperes.
    pub end_a: Option<f64>,
    /// Where the charge jack's wires go.
    pub terminals: Option<ChargeTerminals>,
    /// Rated current of the jack, in amperes.
    pub connector_a: Option<f64>,
    /// The leads from the jack to the pack.
    pub runs: Option<Vec<Run>>,
    /// Voltage that a diode in the charge path takes, in volts; left out where there is none.
    pub diode_v: Option<Interval>,
    /// Whether plug and jack were checked with a meter: plus is plus.
    pub polarity_checked: Option<bool>,
    /// Whether a pin of the jack or plug that fingers or metal can touch is live without its partner.
    pub live_bare_pin: Option<bool>,
    /// Other supplies about the house that fit the jack; an empty list where none does.
    pub other_supplies: Option<Vec<OtherSupply>>,
    /// Current that loads draw while charging, in amperes; 0 where the switch cuts them off.
    pub load_a: Option<Interval>,
    /// Whether the battery is charged in a closed box; for lead-acid.
    pub closed_box: Option<bool>,
    /// Whether somebody is awake and near while it charges, on a hard surface and away from the way out.
    pub attended: Option<bool>,
    /// Charge voltage printed on the cells, in volts.
    pub printed_limit_v: Option<f64>,
    /// Temperature of the cells while charging, in degrees Celsius.
    pub cell_degc: Option<Interval>,
}

impl Protection {
    pub(crate) fn check(&self, check: &mut Check) {
        if let Self::Board(board) = self {
            check.inside("board", |check| board.check(check));
        }
    }

    /// The board, where there is one.
    #[must_use]
    pub fn board(&self) -> Option<&Board> {
        match self {
            Self::None => None,
            Self::Board(board) => Some(board),
        }
    }
}

impl Board {
    fn check(&self, check: &mut Check) {
        for (field, value, low, high) in [
            ("over_voltage_v", self.over_voltage_v, 0.5, 5.0),
            ("cut_off_v", self.cut_off_v, 0.3, 5.0),
            ("continuous_a", self.continuous_a, 0.01, 1000.0),
            ("balance_a", self.balance_a, 1e-4, 100.0),
            ("series", self.series.map(f64::from), 1.0, 100.0),
        ] {
            if let Some(value) = value {
                check.within(field, value, low, high);
            }
        }
        for (field, value, low, high) in [
            ("trip_a", self.trip_a, 0.01, 10000.0),
            ("over_current_s", self.over_current_s, 0.0, 60.0),
            ("short_circuit_a", self.short_circuit_a, 0.01, 10000.0),
        ] {
            if let Some(value) = value {
                value.note(check, field, low, high);
            }
        }
        self.resistance_ohm.note(check, "resistance_ohm", 0.0, 10.0);
    }
}

impl Control {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("timer", |check| self.timer.check(check));
        check.within("wiper_ratio", self.wiper_ratio, 0.0, 1.0);
        if self.positions.len() > 25 {
            check.note(Error::range("positions", self.positions.len() as f64, 0.0, 25.0));
        }
        if self.positions.iter().any(|position| !(0.0..=1.0).contains(position)) {
            check.note(Error::other("positions", "this list", "knob positions between 0 and 1"));
        }
        self.switch_ohm.note(check, "switch_ohm", 0.0, 10.0);
        if let Some(driven) = &self.driven {
            check.inside("driven", |check| driven.check(check));
        }
        if let Some(buffer) = &self.capacitor {
            check.inside("capacitor", |check| {
                check.within("c_f", buffer.c_f, 1e-9, 1.0);
                check.within("esr_ohm", buffer.esr_ohm, 0.0, 100.0);
                if let Some(rated_ripple_a) = buffer.rated_ripple_a {
                    check.within("rated_ripple_a", rated_ripple_a, 1e-3, 1000.0);
                }
            });
        }
    }
}

impl FuseChoice {
    pub(crate) fn check(&self, check: &mut Check) {
        if let Self::Fitted(fuse) = self {
            check.inside("fitted", |check| {
                check.within("rating_a", fuse.rating_a, 0.01, 1000.0);
                if let Some(breaking_a) = fuse.breaking_a {
                    check.within("breaking_a", breaking_a, 1.0, 1e6);
                }
                fuse.resistance_ohm.note(check, "resistance_ohm", 0.0, 100.0);
            });
        }
    }

    /// The fuse, where there is one.
    #[must_use]
    pub fn fitted(&self) -> Option<&Fuse> {
        match self {
            Self::None => None,
            Self::Fitted(fuse) => Some(fuse),
        }
    }
}

impl MainSwitchChoice {
    pub(crate) fn check(&self, check: &mut Check) {
        let Self::Fitted(switch) = self else { return };
        check.inside("fitted", |check| {
            for (field, value) in [("direct_a", switch.direct_a), ("direct_v", switch.direct_v)] {
                if let Some(value) = value {
                    check.within(field, value, 0.01, 1000.0);
                }
            }
        });
    }

    /// The switch, where there is one.
    #[must_use]
    pub fn fitted(&self) -> Option<&MainSwitch> {
        match self {
            Self::None => None,
            Self::Fitted(switch) => Some(switch),
        }
    }
}

impl ChargingSetup {
    pub(crate) fn check(&self, check: &mut Check) {
        check.within("supply_v", self.supply_v, 0.5, 100.0);
        check.within("supply_a", self.supply_a, 0.001, 1000.0);
        for (field, value, low, high) in [
            ("end_a", self.end_a, 1e-4, 1000.0),
            ("connector_a", self.connector_a, 0.01, 1000.0),
            ("printed_limit_v", self.printed_limit_v, 1.0, 5.0),
        ] {
            if let Some(value) = value {
                check.within(field, value, low, high);
            }
        }
        for (field, value, low, high) in [
            ("cell_degc", self.cell_degc, -40.0, 80.0),
            ("diode_v", self.diode_v, 0.0, 5.0),
            ("load_a", self.load_a, 0.0, 1000.0),
        ] {
            if let Some(value) = value {
                value.note(check, field, low, high);
            }
        }
        let runs = self.runs.as_deref().unwrap_or_default();
        let others = self.other_supplies.as_deref().unwrap_or_default();
        for (field, count) in [("runs", runs.len()), ("other_supplies", others.len())] {
            if count > 20 {
                check.note(Error::range(field, count as f64, 0.0, 20.0));
            }
        }
        for (i, run) in runs.iter().enumerate() {
            check.inside("runs", |check| check.inside(i, |check| run.check(check)));
        }
        for (i, other) in others.iter().enumerate() {
            check.inside("other_supplies", |check| {
                check.inside(i, |check| check.within("voltage_v", other.voltage_v, 0.0, 500.0));
            });
        }
    }
}
