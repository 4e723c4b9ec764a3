//! The timer of the build: frequency and duty at a setting, with its parts spoilt by a fault.

use super::{CAPACITOR, Case, HELD, KNOB, Model, OPEN_READING, WIDTH};
use crate::data::diode::Diode;
use crate::part::timing::{Circuit, Timer, TwoResistor};
use crate::sheet::fault::FaultKind as K;

/// What one setting does.
#[derive(Clone, Copy, Debug)]
pub(super) struct Timed {
    /// Frequency; 0 where it stands still.
    pub(super) frequency_hz: f64,
    /// Share of the time with its output high.
    pub(super) duty: f64,
}

impl Model<'_> {
    /// Share of the time that the transistor conducts.
    pub(super) fn conducts(&self, case: &Case<'_>, setting: usize, supply_v: f64) -> f64 {
        match case.fault.map(|fault| fault.kind) {
            Some(K::TransistorOpen) => 0.0,
            Some(K::TransistorShorted) => 1.0,
            _ => self.timed(case, setting, supply_v).duty,
        }
    }

    /// Place of the knob at a setting.
    pub(in crate::sheet) fn wiper_ratio(&self, setting: usize) -> Option<f64> {
        let control = self.plan.control.as_ref()?;
        match setting.checked_sub(1) {
            None => Some(control.wiper_ratio),
            Some(listed) => control.positions.get(listed).copied(),
        }
    }

    pub(super) fn timed(&self, case: &Case<'_>, setting: usize, supply_v: f64) -> Timed {
        let still = |duty: f64| Timed { frequency_hz: 0.0, duty };
        match case.fault.map(|fault| fault.kind) {
            Some(K::TimerLow | K::DischargeDiodeReversed) => return still(0.0),
            Some(K::TimerHigh | K::ChargeDiodeReversed) => return still(1.0),
            _ => {}
        }
        let (Some(control), Some(wiper)) = (&self.plan.control, self.wiper_ratio(setting)) else { return still(1.0) };
        if supply_v < 2.0 {
            return still(0.0);
        }
        let supply_v = libm::round(supply_v * 20.0) / 20.0;
        let spoils = case.fault.filter(|fault| fault.kind.spoils_timing());
        let kind = spoils.map_or(u64::MAX, |fault| fault.kind as u64);
        let size = spoils.map_or(0, |_| case.size.to_bits());
        let (c, knob) = (case.z(CAPACITOR).to_bits(), case.z(KNOB).to_bits());
        let key = [setting as u64, kind, size, c, knob, supply_v.to_bits()];
        let mixed = key.iter().fold(0_u64, |all, one| (all ^ one).wrapping_mul(0x9e37_79b9_7f4a_7c15).rotate_left(29));
        let slot = mixed as usize % HELD;
        if let Some(Some((held, timed))) = self.timed.borrow().get(slot)
            && *held == key
        {
            return *timed;
        }
        let timer = Self::spoilt_timer(case, &control.timer).turned(wiper);
        let cycle = timer.cycle_of(&timer.row(), supply_v, self.plan.ambient_degc.likely);
        let found = cycle.map_or(still(0.0), |cycle| Timed { frequency_hz: cycle.frequency_hz, duty: cycle.duty });
        if let Some(held) = self.timed.borrow_mut().get_mut(slot) {
            *held = Some((key, found));
        }
        found
    }

    pub(super) fn spoilt_timer(case: &Case<'_>, timer: &Timer) -> Timer {
        let tolerance = |place: usize| libm::exp(libm::log(1.2) * 2.0 / WIDTH * case.z(place));
        let (mut c, mut knob) = (tolerance(CAPACITOR), tolerance(KNOB));
        let (mut charge, mut discharge, mut shared) = (0.0, 0.0, 0.0);
        match case.fault.map(|fault| fault.kind) {
            Some(K::CapacitorLarge) => c *= case.size,
            Some(K::CapacitorSmall) => c /= case.size,
            Some(K::KnobLarge) => knob *= case.size,
            Some(K::KnobSmall) => knob /= case.size,
            Some(K::ChargeStopLarge) => charge = case.size,
            Some(K::DischargeStopLarge) => discharge = case.size,
            Some(K::WiperWorn) => shared = case.size,
            _ => {}
        }
        let circuit = match timer.circuit {
            Circuit::TwoResistor(two) => {
                Circuit::TwoResistor(TwoResistor { rb_ohm: two.rb_ohm * knob, c_f: two.c_f * c, ..two })
            }
            Circuit::DiodeSteered(mut steered) => {
                let plus = |held: Option<f64>, share: f64| Some(held.unwrap_or(0.0) + share * steered.pot_ohm);
                steered.charge_ohm = plus(steered.charge_ohm, charge);
                steered.discharge_ohm = plus(steered.discharge_ohm, discharge);
                steered.shared_ohm = plus(steered.shared_ohm, shared);
                steered.pot_ohm *= knob;
                steered.c_f *= c;
                Circuit::DiodeSteered(steered)
            }
            Circuit::ThresholdRamp(ramp) => Circuit::ThresholdRamp(ramp),
        };
        Timer { circuit, ..*timer }
    }

    pub(super) fn knob_ohm(&self, case: &Case<'_>) -> f64 {
        let Some(control) = &self.plan.control else { return OPEN_READING };
        match Self::spoilt_timer(case, &control.timer).circuit {
            Circuit::DiodeSteered(steered) => steered.pot_ohm,
            Circuit::TwoResistor(two) => two.rb_ohm,
            Circuit::ThresholdRamp(_) => OPEN_READING,
        }
    }

    pub(super) fn knob_diode_v(&self) -> f64 {
        let Some(Circuit::DiodeSteered(steered)) = self.plan.control.as_ref().map(|control| control.timer.circuit)
        else {
            return OPEN_READING;
        };
        match steered.diode {
            Some(Diode::Schottky) => 0.25,
            _ => 0.6,
        }
    }

    pub(super) fn capacitor_f(&self, case: &Case<'_>) -> f64 {
        let Some(control) = &self.plan.control else { return 0.0 };
        match Self::spoilt_timer(case, &control.timer).circuit {
            Circuit::DiodeSteered(steered) => steered.c_f,
            Circuit::TwoResistor(two) => two.c_f,
            Circuit::ThresholdRamp(_) => 0.0,
        }
    }
}
