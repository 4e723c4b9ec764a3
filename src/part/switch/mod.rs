//! Conduction, switching and gate loss of the switch; its temperature.
//!
//! ```text
//! gate voltage   (supply_empty − drop of the timer's high output) · R_pull_down / (R_pull_down + R_gate)
//! edges          gate charge / min(what the timer gives, what the gate resistor lets through)
//! temperature    T = ambient + R_th · P(T),  P(T) = P₂₅ · (1 + (hot_ratio − 1)·(T − 25)/100) + the rest
//! ```
//!
//! Drive is taken at the empty pack and at the largest drop, switching at the full pack, the whole gate charge as the
//! charge that switches, so that each figure errs to the hot side. The temperature is the root of a straight line:
//! where the line never meets it, the transistor runs away. Source: formulas of [`Chopped`], data sheets in
//! [`crate::data::switch`] and [`crate::data::timer`].

mod drive;
mod loss;

use drive::on_state;
pub use drive::{Drive, FullyOn, GateDrive, NotOn, OnState};
pub use loss::{Chopped, edge_s};

use crate::data::diode::Diode;
use crate::data::switch::{FAILURES, HOT_RATIO, PartFailure, Transistor, TransistorRow};
use crate::error::{Check, Error};
use alloc::vec::Vec;

/// A transistor that switches a load, with what drives it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Switch {
    /// The transistor, between the load and the negative side of the supply.
    pub transistor: Transistor,
    /// What drives it.
    pub drive: Drive,
    /// Supply with the full pack, in volts.
    pub supply_full_v: f64,
    /// Supply with the empty pack, in volts.
    pub supply_empty_v: f64,
    /// Largest current while on, in amperes.
    pub on_a: f64,
    /// Largest share of the period with the switch on, 0 to 1.
    pub duty: f64,
    /// Highest frequency of chopping, in hertz.
    pub frequency_hz: f64,
    /// Temperature of the air around it, in degrees Celsius.
    pub ambient_degc: f64,
    /// Thermal resistance from the case through pad and heat sink to the air, in kelvin per watt; none without one.
    pub sink_k_per_w: Option<f64>,
    /// The diode across the load; none where there is none.
    pub flyback: Option<Diode>,
    /// Smallest share of the period with the switch on, for the diode; the largest where left out.
    pub duty_low: Option<f64>,
}

/// How warm the junction gets.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Heat {
    /// It settles.
    Settles(Settled),
    /// It passes the highest temperature of its sheet, where the law ends.
    TooHot,
    /// Its resistance grows faster than the heat leaves: no temperature exists.
    RunsAway,
    /// Its loss is not known because it is not known to be fully on.
    NotKnown,
}

/// A junction that settles.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Settled {
    /// Temperature of the junction, in degrees Celsius.
    pub junction_degc: f64,
    /// Loss in the conducting transistor at that temperature, in watts.
    pub conduction_w: f64,
    /// All loss in the transistor, in watts.
    pub total_w: f64,
}

/// What the flyback diode carries.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Flyback {
    /// Mean current at the smallest duty, if the load's current stays as high, in amperes.
    pub average_a: f64,
    /// Highest current, in amperes.
    pub high_a: f64,
    /// Forward voltage at that current and 27 °C, in volts.
    pub forward_v: f64,
    /// Loss at the smallest duty, in watts.
    pub loss_w: f64,
    /// Voltage it blocks, in volts.
    pub reverse_v: f64,
    /// Largest voltage it may block, in volts.
    pub reverse_high_v: f64,
    /// Largest steady current it may carry, in amperes.
    pub average_high_a: f64,
}

/// What the switch does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SwitchAnswer {
    /// What reaches the gate or base.
    pub gate: GateDrive,
    /// Whether it is fully on.
    pub on: OnState,
    /// Loss at both edges, in watts; none where they do not fit into the period or the drive is unknown.
    pub switching_w: Option<f64>,
    /// Loss in the timer and the gate resistor, in watts.
    pub gate_w: f64,
    /// Without heat sink.
    pub without_sink: Heat,
    /// With the heat sink.
    pub with_sink: Option<Heat>,
    /// Loss at which the junction reaches its highest temperature without heat sink, in watts.
    pub highest_w_without_sink: f64,
    /// The flyback diode, where there is one.
    pub flyback: Option<Flyback>,
    /// Which way the parts fail.
    pub failures: Vec<PartFailure>,
}

/// Ways out for the heat and the highest temperature.
struct Thermal {
    case_k_per_w: f64,
    ambient_k_per_w: f64,
    junction_high_degc: f64,
}

impl Switch {
    /// Drive, losses and temperature.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::{diode::Diode, switch::Transistor, timer::TimerPart};
    /// # use cellwright::part::switch::{Drive, Heat, OnState, Switch};
    /// let drive = Drive { timer: TimerPart::Bipolar, gate_ohm: 47.0, pull_down_ohm: Some(10e3) };
    /// let switch = Switch {
    ///     transistor: Transistor::Csd18510ktt, drive, supply_full_v: 12.6, supply_empty_v: 9.0, on_a: 3.0, duty: 1.0,
    ///     frequency_hz: 200.0, ambient_degc: 40.0, sink_k_per_w: None, flyback: Some(Diode::Schottky), duty_low: None,
    /// };
    /// let Heat::Settles(settled) = switch.answer()?.without_sink else { panic!() };
    /// assert!(settled.junction_degc < 45.0);
    /// // A MOSFET for a 10 V gate is not known to be on with the 6.7 V that an empty pack leaves.
    /// let weak = Switch { transistor: Transistor::Irfz44n, ..switch };
    /// assert!(matches!(weak.answer()?.on, OnState::NotGuaranteed(_)));
    /// assert!(Switch { on_a: -1.0, ..switch }.answer().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<SwitchAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        Ok(self.worked())
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("transistor", |check| self.transistor.check(check));
        check.inside("drive", |check| self.drive.check(check));
        check.within("supply_full_v", self.supply_full_v, 1.0, 60.0);
        check.within("supply_empty_v", self.supply_empty_v, 1.0, self.supply_full_v.min(60.0));
        check.within("on_a", self.on_a, 0.0, 1000.0);
        check.within("duty", self.duty, 0.0, 1.0);
        check.within("frequency_hz", self.frequency_hz, 0.1, 1e6);
        check.within("ambient_degc", self.ambient_degc, -40.0, 85.0);
        if let Some(sink_k_per_w) = self.sink_k_per_w {
            check.within("sink_k_per_w", sink_k_per_w, 0.05, 500.0);
        }
        if let Some(diode) = &self.flyback {
            check.inside("flyback", |check| diode.check(check));
        }
        check.within("duty_low", self.duty_low.unwrap_or(self.duty), 0.0, self.duty.min(1.0));
    }

    /// As [`Switch::answer`], for inputs that are already checked.
    pub(crate) fn worked(&self) -> SwitchAnswer {
        let row = self.transistor.row();
        let gate = self.drive.gate(&row, self.supply_empty_v, self.supply_full_v, self.frequency_hz);
        let on = on_state(&row, &gate, self.on_a);
        let thermal = Thermal::of(&row);
        let edges_s = gate.rise_s.zip(gate.fall_s).map(|(rise_s, fall_s)| rise_s + fall_s);
        let switching_w = edges_s
            .filter(|edges_s| edges_s * self.frequency_hz <= 1.0)
            .map(|edges_s| 0.5 * self.supply_full_v * self.on_a * edges_s * self.frequency_hz);
        let heat = |k_per_w: f64| self.heat(&row, &on, switching_w, k_per_w, thermal.junction_high_degc);
        let without_sink = heat(thermal.ambient_k_per_w);
        let with_sink = self.sink_k_per_w.map(|sink_k_per_w| heat(thermal.case_k_per_w + sink_k_per_w));
        SwitchAnswer {
            on,
            switching_w,
            gate_w: gate.average_a * self.supply_full_v,
            without_sink,
            with_sink,
            highest_w_without_sink: (thermal.junction_high_degc - self.ambient_degc) / thermal.ambient_k_per_w,
            flyback: self.flyback.as_ref().map(|diode| self.flyback(diode)),
            failures: FAILURES.to_vec(),
            gate,
        }
    }

    fn heat(&self, row: &TransistorRow, on: &OnState, switching_w: Option<f64>, k_per_w: f64, high_degc: f64) -> Heat {
        let (Some(switching_w), OnState::Guaranteed(state)) = (switching_w, on) else { return Heat::NotKnown };
        let (cool_w, steady_w, growth_per_k) = match row {
            TransistorRow::Mosfet(mosfet) => {
                let growth = (mosfet.hot_ratio.unwrap_or(HOT_RATIO.high) - 1.0) / 100.0;
                (self.duty * self.on_a * self.on_a * state.on_ohm, 0.0, growth)
            }
            TransistorRow::Bipolar(bipolar) => {
                let through_w = bipolar.saturation_v * self.on_a;
                (0.0, self.duty * (through_w + bipolar.base_v * state.base_a), 0.0)
            }
        };
        let slope = k_per_w * cool_w * growth_per_k;
        if slope >= 1.0 {
            return Heat::RunsAway;
        }
        let at_zero_w = cool_w * (1.0 - 25.0 * growth_per_k) + steady_w + switching_w;
        let junction_degc = (self.ambient_degc + k_per_w * at_zero_w) / (1.0 - slope);
        if junction_degc > high_degc {
            return Heat::TooHot;
        }
        let conduction_w = cool_w * (1.0 + growth_per_k * (junction_degc - 25.0)) + steady_w;
        Heat::Settles(Settled { junction_degc, conduction_w, total_w: conduction_w + switching_w })
    }

    fn flyback(&self, diode: &Diode) -> Flyback {
        let row = diode.row();
        let off = 1.0 - self.duty_low.unwrap_or(self.duty);
        let forward_v = diode.junction(27.0).drop_v(self.on_a);
        Flyback {
            average_a: off * self.on_a,
            high_a: self.on_a,
            forward_v,
            loss_w: off * self.on_a * forward_v,
            reverse_v: self.supply_full_v,
            reverse_high_v: row.reverse_v,
            average_high_a: row.forward_a,
        }
    }
}

impl Thermal {
    fn of(row: &TransistorRow) -> Self {
        match row {
            TransistorRow::Mosfet(mosfet) => Self {
                case_k_per_w: mosfet.case_k_per_w,
                ambient_k_per_w: mosfet.ambient_k_per_w,
                junction_high_degc: mosfet.junction_high_degc,
            },
            TransistorRow::Bipolar(bipolar) => Self {
                case_k_per_w: bipolar.case_k_per_w,
                ambient_k_per_w: bipolar.ambient_k_per_w,
                junction_high_degc: bipolar.junction_high_degc,
            },
        }
    }
}
