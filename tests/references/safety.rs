//! Computes each row of `safety.csv` with the crate.

use cellwright::Urgency;
use cellwright::data::transport::{HOT_CELL_OUTDOORS_S, HYDROGEN};
use cellwright::finding::charging::rules;
use cellwright::part::charger::{CellFamily, ChargeGroup, ChargerAnswer, ChargerWish};
use cellwright::part::transport::Transport;
use cellwright::part::ventilation::{Gassing, Ventilation};
use cellwright::quantity::Interval;
use std::collections::BTreeMap;

/// Inputs of a row by name.
pub(crate) type Inputs<'a> = BTreeMap<&'a str, &'a str>;

/// What the crate gives for `key`, or nothing for a key it does not know. What it refuses is 0.
pub(crate) fn value(key: &str, inputs: &Inputs) -> Option<f64> {
    match key {
        "hydrogen.explosion_ratio" => Some(HYDROGEN.explosion_ratio),
        "hydrogen.dilution" => Some((1.0 - HYDROGEN.explosion_ratio) / HYDROGEN.explosion_ratio),
        "hydrogen.safety_factor" => Some(HYDROGEN.safety_factor),
        "hydrogen.product" => {
            let dilution = (1.0 - HYDROGEN.explosion_ratio) / HYDROGEN.explosion_ratio;
            Some(dilution * HYDROGEN.hydrogen_m3_per_ah * HYDROGEN.safety_factor)
        }
        "hydrogen.vented_float_c" => Some(HYDROGEN.vented_float_c),
        "hydrogen.float_c" => Some(HYDROGEN.float_c),
        "hydrogen.air_m3_per_h" => air(inputs),
        "hydrogen.opening_m2" => Some(HYDROGEN.opening_m2_per_m3_h * number(inputs, "air_m3_per_h")?),
        "advice.hot_cell_outdoors_s" => Some(HOT_CELL_OUTDOORS_S),
        "advice.charge_at_minus_1_degc" => charge_at(-1.0),
        "advice.closed_box_charging" => Some(if rules::CLOSED_BOX.urgency == Urgency::Stop { 0.0 } else { 1.0 }),
        "advice.checked_baggage" => checked_baggage(),
        _ => None,
    }
}

fn number(inputs: &Inputs, name: &str) -> Option<f64> {
    inputs.get(name)?.parse().ok()
}

fn air(inputs: &Inputs) -> Option<f64> {
    let gassing = match *inputs.get("gassing")? {
        "float" => Gassing::SealedFloat,
        "boost" => Gassing::SealedBoost,
        "vented_boost" => Gassing::VentedBoost,
        _ => return None,
    };
    let question =
        Ventilation { cells: number(inputs, "cells")? as u32, capacity_ah: number(inputs, "capacity_ah")?, gassing };
    Some(question.answer().ok()?.air_m3_per_h)
}

/// 1 where a charging figure is given at a temperature.
fn charge_at(cell_degc: f64) -> Option<f64> {
    let group = ChargeGroup { capacity_ah: Interval::exact(2.0), charge_limit_a: None, found_v: None };
    let wish = ChargerWish {
        family: CellFamily::LithiumIon,
        groups: vec![group],
        printed_limit_v: None,
        cell_degc: Interval::exact(cell_degc),
        connector_a: None,
        wire_a: None,
        supply_a: None,
    };
    Some(if matches!(wish.answer().ok()?, ChargerAnswer::Charge(_)) { 1.0 } else { 0.0 })
}

/// 1 where an answer about carrying allows checked baggage.
fn checked_baggage() -> Option<f64> {
    let question = |capacity_ah: f64| Transport {
        series: 1,
        parallel: 1,
        nominal_v: 5.0,
        cell_capacity_ah: Interval::exact(capacity_ah),
        type_tested: true,
    };
    let mut never = true;
    for capacity_ah in [10.0, 25.0] {
        never &= question(capacity_ah).answer().ok()?.words.contains("never in checked baggage");
    }
    Some(if never { 0.0 } else { 1.0 })
}
