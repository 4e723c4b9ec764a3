//! What a meter shows on the build.

use super::{Case, GAIN, LIMITED, Model, OPEN_READING, WIDTH};
use crate::part::load::Draw;
use crate::run::build::{BROKEN_OHM, BuildCircuit, GroupSource, Opened, Piece, Settled};
use crate::sheet::fault::{Fault, FaultKind as K};
use crate::sheet::measure::Measure;
use alloc::vec::Vec;

impl Model<'_> {
    /// What the meter shows for each measure, its own small rest aside.
    pub(in crate::sheet) fn readings(&self, case: &Case<'_>, measures: &[Measure]) -> Vec<f64> {
        let mut settled: Vec<(usize, Settled)> = Vec::new();
        let mut circuit = self.still(case);
        let mut readings = Vec::with_capacity(measures.len());
        for measure in measures {
            let setting = measure.setting().unwrap_or(0);
            let held = settled.iter().find(|(held, _)| *held == setting).map(|(_, flows)| *flows);
            let flows = held.unwrap_or_else(|| {
                self.set(case, setting, &mut circuit);
                let flows = circuit.settled();
                settled.push((setting, flows));
                flows
            });
            let value = self.reading(case, *measure, &circuit, &flows);
            readings.push(self.shown(case, *measure, value));
        }
        readings
    }

    /// A value with the gain of the range it is read on.
    fn shown(&self, case: &Case<'_>, measure: Measure, value: f64) -> f64 {
        if value >= OPEN_READING && measure.opens() {
            return value;
        }
        let accuracy = self.meter.accuracy(measure, value);
        let gain = if accuracy.range < 4 { case.z(GAIN + accuracy.range) * 2.0 / WIDTH } else { 0.0 };
        value * (1.0 + gain * accuracy.gain_ratio)
    }

    fn reading(&self, case: &Case<'_>, measure: Measure, circuit: &BuildCircuit, settled: &Settled) -> f64 {
        let flows = &settled.after;
        let broken = |ohm: f64| if ohm >= BROKEN_OHM { OPEN_READING } else { ohm };
        match measure {
            Measure::FuseOhm => broken(circuit.ohm(Piece::FuseWay)),
            Measure::SwitchOhm => broken(circuit.ohm(Piece::MainSwitch)),
            Measure::LoadOhm { load } => self.load_ohm(case, load),
            Measure::FlybackDiodeV if circuit.flyback_reversed => OPEN_READING,
            Measure::FlybackDiodeV => 0.5,
            Measure::TapV { group } => Self::tap_v(case, circuit, group),
            Measure::PackV => {
                if circuit.link_ohm.iter().any(|ohm| *ohm >= BROKEN_OHM) {
                    0.0
                } else {
                    circuit.open_v()
                }
            }
            Measure::JackV => self.jack_v(case),
            Measure::LimitedV => self.limited_v(case, circuit),
            Measure::OffA => 20e-6 + if case.has(K::StandingDrain) { case.size } else { 0.0 },
            Measure::SupplyV { .. } if self.plan.control.is_some() => flows.supply_v,
            Measure::SupplyV { .. } => {
                let inside = circuit.way_ohm() - circuit.ohm(Piece::PlusLead) - circuit.ohm(Piece::MinusLead);
                (circuit.open_v() - flows.mean_a * (inside - circuit.ohm(Piece::Transistor))).max(0.0)
            }
            Measure::LoadV { .. } => flows.load_v,
            Measure::CurrentA { .. } => flows.mean_a,
            Measure::LoadAloneA { load } => {
                let mut alone = circuit.clone();
                self.set(case, 0, &mut alone);
                let others = (1..).zip(&mut alone.loads).filter(|(place, _)| *place != load);
                others.for_each(|(_, other)| other.circuit.current_a = 0.0);
                alone.settled().after.mean_a
            }
            Measure::FrequencyHz { setting } if flows.supply_v >= 2.0 => {
                self.timed(case, setting, circuit.open_v()).frequency_hz
            }
            Measure::DutyRatio { setting } if flows.supply_v >= 2.0 => self.timed(case, setting, circuit.open_v()).duty,
            Measure::FrequencyHz { .. } | Measure::DutyRatio { .. } => 0.0,
            Measure::GroupV { group, .. } => Self::group_v(case, circuit, group, flows.mean_a),
            Measure::LinkV { group, .. } => flows.mean_a * circuit.link_ohm.get(group - 1).copied().unwrap_or(0.0),
            Measure::DropV { piece, .. } => Self::drop_v(circuit, piece, settled),
            Measure::HeldV => self.held_v(case, circuit),
            Measure::TurnsCount { load } => self.turns(case, load, flows.load_v),
            Measure::KnobOhm => self.knob_ohm(case),
            Measure::KnobDiodeV { charging } => {
                let kind = if charging { K::ChargeDiodeReversed } else { K::DischargeDiodeReversed };
                if case.has(kind) { OPEN_READING } else { self.knob_diode_v() }
            }
            Measure::CapacitorF => self.capacitor_f(case),
        }
    }

    /// Drop on a piece; one that opened by itself has it all.
    fn drop_v(circuit: &BuildCircuit, piece: Piece, settled: &Settled) -> f64 {
        let opened = match settled.opened {
            Some(Opened::Board) => Some(Piece::Board),
            Some(Opened::Fuse) => Some(Piece::FuseWay),
            None => None,
        };
        let ohm = if opened == Some(piece) { BROKEN_OHM } else { circuit.ohm(piece) };
        (settled.after.mean_a * ohm).min(circuit.open_v().max(0.0))
    }

    /// Voltage over the transistor that is held on.
    fn held_v(&self, case: &Case<'_>, circuit: &BuildCircuit) -> f64 {
        let duty = if case.has(K::TransistorOpen) { 0.0 } else { 1.0 };
        let mut held = circuit.clone();
        self.conduct(case, duty, &mut held);
        let held = held.settled();
        if held.opened.is_some() {
            return 0.0;
        }
        if duty > 0.0 { held.after.mean_a * circuit.ohm(Piece::Transistor) } else { held.after.supply_v }
    }

    fn tap_v(case: &Case<'_>, circuit: &BuildCircuit, group: usize) -> f64 {
        if case.at(K::TapOpen, group) {
            return 0.0;
        }
        let from = match case.fault {
            Some(Fault { kind: K::TapsSwapped, place }) if place == group => group + 1,
            Some(Fault { kind: K::TapsSwapped, place }) if place + 1 == group => group - 1,
            _ => group,
        };
        if circuit.link_ohm.iter().take(from).any(|ohm| *ohm >= BROKEN_OHM) {
            return 0.0;
        }
        circuit.groups.iter().take(from).map(|group| group.open_v).sum()
    }

    fn group_v(case: &Case<'_>, circuit: &BuildCircuit, group: usize, mean_a: f64) -> f64 {
        if case.at(K::TapOpen, group) || case.at(K::TapOpen, group - 1) {
            return 0.0;
        }
        let one = |at: usize| {
            let source = circuit.groups.get(at - 1).copied().unwrap_or(GroupSource { open_v: 0.0, ohm: 0.0 });
            let link_ohm = circuit.link_ohm.get(at - 1).copied().unwrap_or(0.0);
            if link_ohm >= BROKEN_OHM { 0.0 } else { source.open_v - mean_a * (source.ohm + link_ohm) }
        };
        match case.fault {
            Some(Fault { kind: K::TapsSwapped, place }) if place == group => one(group) + one(group + 1),
            Some(Fault { kind: K::TapsSwapped, place }) if place + 1 == group => -one(group),
            Some(Fault { kind: K::TapsSwapped, place }) if place + 2 == group => one(group) + one(group - 1),
            _ => one(group),
        }
    }

    fn jack_v(&self, case: &Case<'_>) -> f64 {
        let supply_v = self.plan.charging.as_ref().map_or(0.0, |charging| charging.supply_v);
        match case.fault.map(|fault| fault.kind) {
            Some(K::ChargerHigh) => supply_v + case.size,
            Some(K::ChargerReversed) => -supply_v,
            _ => supply_v,
        }
    }

    fn limited_v(&self, case: &Case<'_>, circuit: &BuildCircuit) -> f64 {
        let broken = |piece: Piece| circuit.ohm(piece) >= BROKEN_OHM;
        let links = circuit.link_ohm.iter().any(|ohm| *ohm >= BROKEN_OHM);
        if links || broken(Piece::Board) || circuit.open_v() <= 0.0 {
            return 0.0;
        }
        if circuit.flyback_reversed {
            return 0.15 * circuit.open_v();
        }
        // The controller's own few milliamperes; the drain of whatever hangs before the switch.
        let drain_a = if case.has(K::StandingDrain) { case.size } else { 0.0 };
        let own_a = if self.plan.control.is_some() { 0.004 * libm::exp(0.7 * case.z(LIMITED)) } else { 0.0 };
        (circuit.open_v() - (own_a + drain_a) * self.limit_ohm).max(0.0)
    }

    fn load_ohm(&self, case: &Case<'_>, load: usize) -> f64 {
        if case.at(K::LoadOpen, load) {
            return OPEN_READING;
        }
        if case.at(K::LoadShorted, load) {
            return case.size;
        }
        let Some((held, _)) = self.loads.get(load - 1) else { return OPEN_READING };
        let v = self.nominal_v();
        let runs_ohm = v / self.load(case, load, &(*held, 0.0)).circuit.current(v).0.max(1e-9);
        let turns = self.plan.loads.get(load - 1).is_some_and(|load| matches!(load.draw, Draw::FollowsVoltage { .. }));
        // The winding of a motor has a share of the resistance that the running motor seems to have.
        if turns { 0.25 * v / held.circuit.current(v).0.max(1e-9) } else { runs_ohm }
    }

    fn turns(&self, case: &Case<'_>, load: usize, load_v: f64) -> f64 {
        let still = load_v < 0.1 * self.nominal_v() || case.at(K::LoadStalled, load) || case.at(K::LoadOpen, load);
        if still || case.at(K::LoadShorted, load) {
            0.0
        } else if case.at(K::LoadReversed, load) {
            -1.0
        } else {
            1.0
        }
    }
}
