//! Computes each row of `drive.csv` with the crate.

use cellwright::data::blower::{FOUR_WIRE, FOUR_WIRE_USUAL_HZ, TWO_WIRE_LOW_HZ};
use cellwright::data::diode::{Diode, OwnDiode};
use cellwright::data::motor::{GRAM_FORCE_CM_NM, RC_260RA};
use cellwright::data::switch::{
    CSD18510KTT, CSD18510KTT_TYPICAL, CSD19535KTT_TYPICAL, HOT_RATIO_ARTICLE, IRF510, IRFZ44N, IRFZ44N_TYPICAL, Mosfet,
    OnPoint, Transistor, TypicalMosfet,
};
use cellwright::data::timer::TimerPart;
use cellwright::part::blower::affinity;
use cellwright::part::decoupling::SupplyCapacitor;
use cellwright::part::led::{LedLimit, LedStrings};
use cellwright::part::motor::{MotorConstants, shaft_w};
use cellwright::part::stage::MotorStage;
use cellwright::part::switch::{Chopped, Drive, Switch, edge_s};
use cellwright::quantity::Interval;
use std::collections::BTreeMap;

/// Inputs of a row by name.
pub(crate) type Inputs<'a> = BTreeMap<&'a str, &'a str>;

/// What the crate gives for `key`, or nothing for a key it does not know.
pub(crate) fn value(key: &str, inputs: &Inputs) -> Option<f64> {
    let (topic, what) = key.split_once('.')?;
    match topic {
        "blower" => blower(what, inputs),
        "fet" if inputs.contains_key("typical") => typical(what, inputs),
        "fet" if what == "article_hot_ratio" => Some(HOT_RATIO_ARTICLE[0]),
        "fet" => mosfet(what, inputs),
        "loss" => loss(what, inputs),
        "stage" => stage(what, inputs),
        "capacitor" => rush(inputs),
        "affinity" => affine(what, inputs),
        "motor" => motor(what, inputs),
        "led" => led(what, inputs),
        _ => None,
    }
}

fn number(inputs: &Inputs, name: &str, or: f64) -> f64 {
    inputs.get(name).and_then(|text| text.parse().ok()).unwrap_or(or)
}

fn blower(what: &str, inputs: &Inputs) -> Option<f64> {
    match what {
        "target_hz" => Some(FOUR_WIRE.target_hz),
        "low_hz" => Some(FOUR_WIRE.low_hz),
        "high_hz" => Some(FOUR_WIRE.high_hz),
        "logic_low_v" => Some(FOUR_WIRE.logic_low_v),
        "steady_a" => Some(FOUR_WIRE.steady_a),
        "start_a" => Some(FOUR_WIRE.start_a),
        "supply_ratio" => Some(FOUR_WIRE.supply_ratio),
        "sink_a" => Some(FOUR_WIRE.sink_a),
        "start_s" => Some(FOUR_WIRE.start_s),
        "usual_high_hz" => Some(FOUR_WIRE_USUAL_HZ[1]),
        "tachometer_hz" => Some(number(inputs, "turns_per_minute", 0.0) / 60.0 * FOUR_WIRE.tachometer_pulses),
        "turns_per_minute" => Some(number(inputs, "tachometer_hz", 0.0) * 60.0 / FOUR_WIRE.tachometer_pulses),
        "two_wire_low_hz" => Some(TWO_WIRE_LOW_HZ),
        _ => None,
    }
}

fn mosfet(what: &str, inputs: &Inputs) -> Option<f64> {
    let mosfet = match *inputs.get("transistor")? {
        "irfz44n" => IRFZ44N,
        "irf510" => IRF510,
        "csd18510ktt" => CSD18510KTT,
        _ => return None,
    };
    match what {
        "on_ohm" => Some(mosfet.on.on_ohm),
        "threshold_high_v" => Some(mosfet.threshold_high_v),
        "gate_charge_coulomb" => Some(mosfet.gate_charge_coulomb),
        "case_k_per_w" => Some(mosfet.case_k_per_w),
        _ => None,
    }
}

fn typical(what: &str, inputs: &Inputs) -> Option<f64> {
    let row: TypicalMosfet = match *inputs.get("transistor")? {
        "irfz44n" => IRFZ44N_TYPICAL,
        "csd18510ktt" => CSD18510KTT_TYPICAL,
        "csd19535ktt" => CSD19535KTT_TYPICAL,
        _ => return None,
    };
    match what {
        "on_ohm" => {
            let gate_v = number(inputs, "gate_v", 0.0);
            row.on.iter().find(|point| point.gate_v == gate_v).map(|point| point.on_ohm)
        }
        "threshold_v" => row.threshold_v,
        "gate_charge_coulomb" => row.gate_charge_coulomb,
        "body_v" => row.body_v,
        "recovery_s" => row.recovery_s,
        _ => None,
    }
}

fn loss(what: &str, inputs: &Inputs) -> Option<f64> {
    let of = |name, or| number(inputs, name, or);
    let chopped = Chopped {
        supply_v: of("supply_v", 12.0),
        on_a: of("on_a", 1.0),
        duty: of("duty", 0.5),
        frequency_hz: of("frequency_hz", 100.0),
    };
    match what {
        "conduction_w" => chopped.conduction_w(of("on_ohm", 0.0), of("hot_ratio", 1.0)).ok(),
        "switching_w" => chopped.switching_w(of("edges_s", 0.0)).ok(),
        "diode_w" => chopped.diode_w(of("forward_v", 0.0)).ok(),
        "edge_s" => edge_s(of("charge_coulomb", 0.0), of("gate_a", 1.0)).ok(),
        "highest_w" => {
            let mosfet = Mosfet {
                on: OnPoint { gate_v: 4.5, on_ohm: 1e-3 },
                ambient_k_per_w: of("ambient_k_per_w", 62.0),
                junction_high_degc: of("junction_high_degc", 125.0),
                ..IRFZ44N
            };
            let switch = Switch {
                transistor: Transistor::Mosfet(mosfet),
                drive: Drive { timer: TimerPart::Bipolar, gate_ohm: 47.0, pull_down_ohm: None },
                supply_full_v: 12.6,
                supply_empty_v: 9.0,
                on_a: 1.0,
                duty: 1.0,
                frequency_hz: 100.0,
                ambient_degc: of("ambient_degc", 25.0),
                sink_k_per_w: None,
                flyback: None,
                duty_low: None,
            };
            Some(switch.answer().ok()?.highest_w_without_sink)
        }
        _ => None,
    }
}

fn stage(what: &str, inputs: &Inputs) -> Option<f64> {
    let of = |name, or| number(inputs, name, or);
    let supply_v = of("supply_v", 12.0);
    if what == "ripple_a" {
        // Half duty, hardly any resistance: the back-EMF settles at half the supply less half the diode's drop.
        let stage = MotorStage {
            supply_v,
            duty: 0.5,
            frequency_hz: of("frequency_hz", 1e3),
            motor_ohm: 1e-3,
            motor_h: of("motor_h", 1e-3),
            back_emf_v: 0.5 * supply_v - 0.05,
            switch_ohm: 0.0,
            // A large saturation current leaves a drop of a tenth of a volt.
            flyback: Diode::Own(OwnDiode {
                saturation_a: 1e-2,
                emission_ratio: 0.8,
                series_ohm: 0.0,
                reverse_v: 40.0,
                forward_a: 3.0,
                band_gap_v: None,
                temperature_exponent: None,
            }),
            diode_degc: None,
        };
        return Some(stage.answer().ok()?.ripple_a);
    }
    // One ohm without inductance to speak of: amperes are volts.
    let resistor = MotorStage {
        supply_v,
        duty: of("duty", 0.5),
        frequency_hz: 100.0,
        motor_ohm: 1.0,
        motor_h: 1e-8,
        back_emf_v: 0.0,
        switch_ohm: 0.0,
        flyback: Diode::Schottky,
        diode_degc: None,
    };
    let answer = resistor.answer().ok()?;
    match what {
        "average_v" => Some(answer.motor_average_a),
        "rms_v" => Some(answer.motor_rms_a),
        _ => None,
    }
}

/// Leads of hardly any inductance: the resistance alone limits the rush.
fn rush(inputs: &Inputs) -> Option<f64> {
    let capacitor = SupplyCapacitor {
        supply_v: number(inputs, "supply_v", 12.0),
        on_a: 1.0,
        duty_low: 0.5,
        duty_high: 0.5,
        frequency_hz: 100.0,
        frequency_high_hz: None,
        c_f: 1e-2,
        esr_ohm: 0.0,
        lead_ohm: number(inputs, "lead_ohm", 0.1),
        lead_h: 1e-9,
        wanted_ripple_v: None,
    };
    Some(capacitor.answer().ok()?.rush_a)
}

fn affine(what: &str, inputs: &Inputs) -> Option<f64> {
    let laws = affinity(number(inputs, "speed_ratio", 0.0)).ok()?;
    match what {
        "flow_ratio" => Some(laws.flow_ratio),
        "pressure_ratio" => Some(laws.pressure_ratio),
        "power_ratio" => Some(laws.power_ratio),
        "pressure_change_ratio" => Some(laws.pressure_ratio - 1.0),
        "power_change_ratio" => Some(laws.power_ratio - 1.0),
        "life_ratio" => Some(1.0 / laws.power_ratio),
        _ => None,
    }
}

fn motor(what: &str, inputs: &Inputs) -> Option<f64> {
    let of = |name, or| number(inputs, name, or);
    let torque_nm = of("torque_gram_force_cm", 0.0) * GRAM_FORCE_CM_NM;
    match what {
        "no_load_turns_per_minute" => RC_260RA.turns_per_minute(0.0).ok(),
        "stall_nm" => Some(RC_260RA.stall_nm),
        "stall_a" => Some(RC_260RA.stall_a),
        "torque_nm_per_a" => Some(RC_260RA.torque_nm_per_a()),
        "volt_second" => Some(RC_260RA.volt_second()),
        "turns_per_minute" => RC_260RA.turns_per_minute(of("torque_nm", 0.0)).ok(),
        "torque_nm" => Some(torque_nm),
        "shaft_w" => shaft_w(torque_nm, of("turns_per_minute", 0.0)).ok(),
        "stall_current_a" => {
            let motor = MotorConstants {
                motor_ohm: Interval::exact(of("motor_ohm", 1.0)),
                volt_second: Interval::exact(RC_260RA.volt_second()),
                no_load_a: Interval::exact(0.0),
            };
            Some(motor.stall_a(of("motor_v", 0.0)).ok()?.likely)
        }
        _ => None,
    }
}

fn led(what: &str, inputs: &Inputs) -> Option<f64> {
    let of = |name, or| number(inputs, name, or);
    let lamp = LedStrings {
        series: 1,
        forward_v: Interval::exact(of("forward_v", 2.0)),
        limit: LedLimit::Resistor { resistance_ohm: of("resistance_ohm", 350.0) },
        strings: 1,
        led_high_a: None,
    };
    match what {
        "current_a" => Some(lamp.current_a(of("supply_v", 0.0)).ok()?.likely),
        "resistor_ohm" => lamp.resistor_ohm(of("supply_v", 0.0), of("wanted_a", 0.0)).ok(),
        _ => None,
    }
}
