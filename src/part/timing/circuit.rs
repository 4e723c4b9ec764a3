//! The circuits around a timer, and the way of the current in each phase.

use super::decay::Decay;
use super::{Cycle, Ramp};
use crate::data::diode::Diode;
use crate::data::timer::TimerRow;
use crate::error::Check;
use crate::quantity::junction::Junction;

/// The parts around a timer.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Circuit {
    /// Charged through both resistors, discharged through one.
    TwoResistor(TwoResistor),
    /// Charged and discharged through the two halves of a potentiometer, each with a diode.
    DiodeSteered(DiodeSteered),
    /// A ramp held against a knob's voltage by a comparator.
    ThresholdRamp(ThresholdRamp),
}

/// The plain circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TwoResistor {
    /// From the supply to the discharge pin, in ohms.
    pub ra_ohm: f64,
    /// From the discharge pin to the capacitor, in ohms.
    pub rb_ohm: f64,
    /// The capacitor, in farads.
    pub c_f: f64,
}

/// The circuit with a knob: the capacitor hangs at the wiper, the ends of the potentiometer go through one diode each
/// to the discharge pin.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DiodeSteered {
    /// From the supply to the discharge pin, in ohms; it also carries the charging current.
    pub ra_ohm: f64,
    /// The whole potentiometer, in ohms.
    pub pot_ohm: f64,
    /// Share of the potentiometer that lies in the charging half, 0 to 1.
    pub wiper_ratio: f64,
    /// End stop of the charging half with the potentiometer's own end resistance, in ohms; none where left out.
    pub charge_ohm: Option<f64>,
    /// End stop of the discharging half with the potentiometer's own end resistance, in ohms; none where left out.
    pub discharge_ohm: Option<f64>,
    /// Resistor between wiper and capacitor that both currents pass, in ohms; none where left out.
    pub shared_ohm: Option<f64>,
    /// The capacitor, in farads.
    pub c_f: f64,
    /// The two diodes; small signal diodes where left out.
    pub diode: Option<Diode>,
}

/// A ramp and the knob it is held against.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ThresholdRamp {
    /// The ramp.
    pub ramp: Ramp,
    /// Voltage of the knob, as a share of the supply.
    pub control_ratio: f64,
}

/// Both phases of a timer circuit.
struct Ways {
    ra_ohm: f64,
    charge: Decay,
    /// Without what the discharge pin adds.
    discharge: Decay,
}

impl Circuit {
    pub(super) fn check(&self, check: &mut Check) {
        match self {
            Self::TwoResistor(two) => check.inside("two_resistor", |check| {
                check.within("ra_ohm", two.ra_ohm, 1.0, 1e9);
                check.within("rb_ohm", two.rb_ohm, 1.0, 1e9);
                check.within("c_f", two.c_f, 1e-12, 1.0);
            }),
            Self::DiodeSteered(steered) => check.inside("diode_steered", |check| steered.check(check)),
            Self::ThresholdRamp(ramp) => check.inside("threshold_ramp", |check| {
                check.inside("ramp", |check| ramp.ramp.check(check));
                check.within("control_ratio", ramp.control_ratio, 0.0, 1.0);
            }),
        }
    }

    pub(super) fn turned(&self, wiper_ratio: f64) -> Self {
        match *self {
            Self::TwoResistor(two) => Self::TwoResistor(two),
            Self::DiodeSteered(steered) => Self::DiodeSteered(DiodeSteered { wiper_ratio, ..steered }),
            Self::ThresholdRamp(ramp) => Self::ThresholdRamp(ThresholdRamp { control_ratio: wiper_ratio, ..ramp }),
        }
    }

    /// Resistor to the discharge pin and the largest resistance that charges, in ohms; none for a ramp.
    pub(super) fn resistances(&self) -> Option<Resistances> {
        let (ra_ohm, charge_ohm) = match self {
            Self::TwoResistor(two) => (two.ra_ohm, two.ra_ohm + two.rb_ohm),
            Self::DiodeSteered(steered) => (steered.ra_ohm, steered.charge_total_ohm()),
            Self::ThresholdRamp(_) => return None,
        };
        Some(Resistances { ra_ohm, charge_ohm })
    }

    /// One period, or nothing where a level is never reached.
    pub(super) fn cycle(&self, row: &TimerRow, supply_v: f64, delay_s: f64, degc: f64) -> Option<Cycle> {
        let ways = match self {
            Self::TwoResistor(two) => two.ways(),
            Self::DiodeSteered(steered) => steered.ways(degc),
            Self::ThresholdRamp(ramp) => return Some(ramp.ramp.cycle(supply_v, ramp.control_ratio)),
        };
        ways.cycle(row, supply_v, delay_s)
    }
}

/// What limits the resistors.
pub(crate) struct Resistances {
    pub(crate) ra_ohm: f64,
    pub(crate) charge_ohm: f64,
}

impl TwoResistor {
    fn ways(&self) -> Ways {
        let charge = Decay { ohm: self.ra_ohm + self.rb_ohm, junction: None, c_f: self.c_f };
        Ways { ra_ohm: self.ra_ohm, charge, discharge: Decay { ohm: self.rb_ohm, ..charge } }
    }
}

impl DiodeSteered {
    fn check(&self, check: &mut Check) {
        check.within("ra_ohm", self.ra_ohm, 1.0, 1e9);
        check.within("pot_ohm", self.pot_ohm, 1.0, 1e9);
        check.within("wiper_ratio", self.wiper_ratio, 0.0, 1.0);
        check.within("charge_ohm", self.charge_ohm.unwrap_or(0.0), 0.0, 1e9);
        check.within("discharge_ohm", self.discharge_ohm.unwrap_or(0.0), 0.0, 1e9);
        check.within("shared_ohm", self.shared_ohm.unwrap_or(0.0), 0.0, 1e9);
        check.within("c_f", self.c_f, 1e-12, 1.0);
        if let Some(diode) = &self.diode {
            check.inside("diode", |check| diode.check(check));
        }
    }

    fn charge_total_ohm(&self) -> f64 {
        self.ra_ohm + self.charge_ohm.unwrap_or(0.0) + self.wiper_ratio * self.pot_ohm + self.shared_ohm.unwrap_or(0.0)
    }

    fn ways(&self, degc: f64) -> Ways {
        let junction = Some(self.diode.unwrap_or(Diode::SmallSignal).junction(degc));
        let charge = Decay { ohm: self.charge_total_ohm(), junction, c_f: self.c_f };
        let half_ohm = (1.0 - self.wiper_ratio) * self.pot_ohm;
        let ohm = self.discharge_ohm.unwrap_or(0.0) + half_ohm + self.shared_ohm.unwrap_or(0.0);
        Ways { ra_ohm: self.ra_ohm, charge, discharge: Decay { ohm, ..charge } }
    }
}

/// Both phases at one supply and temperature, without delay, for searches over many parts.
pub(crate) struct Phases {
    row: TimerRow,
    supply_v: f64,
    junction: Option<Junction>,
}

impl Phases {
    pub(crate) fn new(row: &TimerRow, supply_v: f64, junction: Option<Junction>) -> Self {
        Self { row: *row, supply_v, junction }
    }

    /// Time of charging through `ohm`, for one farad, in seconds.
    pub(crate) fn charge_s(&self, ohm: f64) -> f64 {
        let to_v = (1.0 - self.row.threshold_ratio) * self.supply_v;
        let from_v = (1.0 - self.row.trigger_ratio) * self.supply_v;
        Decay { ohm, junction: self.junction, c_f: 1.0 }.time_s(from_v, to_v)
    }

    /// Time of discharging through `ohm` into the pin that hangs at `ra_ohm`, for one farad, in seconds.
    pub(crate) fn discharge_s(&self, ra_ohm: f64, ohm: f64) -> f64 {
        let pin = Pin::of(&self.row, self.supply_v, ra_ohm);
        let from_v = self.row.threshold_ratio * self.supply_v - pin.v;
        let to_v = self.row.trigger_ratio * self.supply_v - pin.v;
        if to_v <= 0.0 {
            return f64::MAX;
        }
        Decay { ohm: ohm + pin.ohm, junction: self.junction, c_f: 1.0 }.time_s(from_v, to_v)
    }

    /// Largest current into the discharge pin that hangs at `ra_ohm`, the capacitor behind `ohm`, in amperes.
    pub(crate) fn peak_a(&self, ra_ohm: f64, ohm: f64) -> f64 {
        let pin = Pin::of(&self.row, self.supply_v, ra_ohm);
        let discharge = Decay { ohm: ohm + pin.ohm, junction: self.junction, c_f: 1.0 };
        let through_ra_a = (self.supply_v - self.row.discharge_v) / (ra_ohm + self.row.discharge_ohm);
        through_ra_a + discharge.start_a(self.row.threshold_ratio * self.supply_v - pin.v)
    }

    /// Largest current that the discharge pin takes, in amperes.
    pub(crate) fn highest_a(&self) -> f64 {
        self.row.discharge_a
    }

    /// Smallest resistor to the discharge pin and largest charging resistance that the part allows.
    pub(crate) fn limits(&self) -> Resistances {
        let ra_ohm = (self.supply_v - self.row.discharge_v) / self.row.discharge_a - self.row.discharge_ohm;
        let charge_ohm = (1.0 - self.row.threshold_ratio) * self.supply_v / self.row.threshold_a.max(1e-15);
        Resistances { ra_ohm: ra_ohm.max(0.0), charge_ohm }
    }
}

/// The conducting discharge pin, seen by the capacitor.
struct Pin {
    v: f64,
    ohm: f64,
}

impl Pin {
    fn of(row: &TimerRow, supply_v: f64, ra_ohm: f64) -> Self {
        let on_ohm = row.discharge_ohm;
        let v = (ra_ohm * row.discharge_v + on_ohm * supply_v) / (ra_ohm + on_ohm);
        Self { v, ohm: ra_ohm * on_ohm / (ra_ohm + on_ohm) }
    }
}

impl Ways {
    fn cycle(&self, row: &TimerRow, supply_v: f64, delay_s: f64) -> Option<Cycle> {
        let pin = Pin::of(row, supply_v, self.ra_ohm);
        let discharge = Decay { ohm: self.discharge.ohm + pin.ohm, ..self.discharge };
        let at_threshold_v = (1.0 - row.threshold_ratio) * supply_v;
        let at_trigger_v = row.trigger_ratio * supply_v - pin.v;
        if at_trigger_v <= 0.0 || at_threshold_v <= 0.0 || discharge.ohm <= 0.0 {
            return None;
        }
        let capacitor_high_v = supply_v - self.charge.left_v(at_threshold_v, delay_s);
        let capacitor_low_v = pin.v + discharge.left_v(at_trigger_v, delay_s);
        let high_s = self.charge.time_s(supply_v - capacitor_low_v, at_threshold_v) + delay_s;
        let low_s = discharge.time_s(capacitor_high_v - pin.v, at_trigger_v) + delay_s;
        let from_capacitor_a = discharge.start_a(capacitor_high_v - pin.v);
        let through_ra_a = (supply_v - row.discharge_v) / (self.ra_ohm + row.discharge_ohm);
        let discharge_a = through_ra_a + from_capacitor_a;
        let cycle = Cycle { capacitor_low_v, capacitor_high_v, discharge_a, ..Cycle::of(high_s, low_s) };
        let usable = cycle.period_s > 0.0 && cycle.period_s < 1e9 && cycle.frequency_hz.is_finite();
        usable.then_some(cycle)
    }
}
