//! Computes each row of `protection.csv` with the crate.

use cellwright::data::fuse::{
    ELEMENTS, ElementRow, FuseFamily, LAMP_RUSH_RATIO, RESETTABLE_1A2, UL_ABOVE_30_A_LONGEST_S, UL_AC_BREAKING_A,
    UL_RISE_K, UL_SLOW_ABOVE_3_A_SHORTEST_S, UL_SLOW_SHORTEST_S,
};
use cellwright::data::joint::{BARREL_3_5, BLADE_HOLDER, COMMON_BARREL_M, XT60};
use cellwright::part::fuse::{FuseWish, PulseShape, longest_s, pulse_a2s, pulse_share_ratio, shortest_s, tripped_a};
use cellwright::part::joint::{Joint, JointKind};
use std::collections::BTreeMap;

/// Inputs of a row by name.
pub(crate) type Inputs<'a> = BTreeMap<&'a str, &'a str>;

/// What the crate gives for `key`, or nothing for a key it does not know.
pub(crate) fn value(key: &str, inputs: &Inputs) -> Option<f64> {
    let (topic, what) = key.split_once('.')?;
    match topic {
        "gate" => gate(what, inputs),
        "row" => match what {
            "rise_k" => Some(UL_RISE_K),
            "ac_breaking_a" => Some(UL_AC_BREAKING_A),
            "above_30_a_longest_s" => Some(UL_ABOVE_30_A_LONGEST_S),
            "slow_above_3_a_shortest_s" => Some(UL_SLOW_ABOVE_3_A_SHORTEST_S),
            "dc_v" => family(inputs)?.row().dc_v,
            _ => None,
        },
        "element" => element(what, inputs),
        "derating" => {
            // The data sheet derates from the rating itself, the crate from the share for continuous load.
            let wish = FuseWish { ambient_degc: number(inputs, "ambient_degc")?, ..wish(inputs)? };
            let rating_a = number(inputs, "rating_a")?;
            let ratings = wish.answer().ok()?.ratings;
            let continuous_a = ratings.iter().find(|rating| rating.rating_a == rating_a)?.continuous_a?;
            Some(continuous_a / family(inputs)?.row().continuous_ratio)
        }
        "wish" if what == "continuous_ratio" => Some(family(inputs)?.row().continuous_ratio),
        "wish" => Some(wish(inputs)?.answer().ok()?.lowest_a),
        "pulse" if what == "share_ratio" => pulse_share_ratio(number(inputs, "pulses")?),
        "pulse" => {
            let shape = match *inputs.get("shape")? {
                "half_sine" => PulseShape::HalfSine,
                "triangle" => PulseShape::Triangle,
                "decay" => PulseShape::Decay,
                _ => PulseShape::Rectangle,
            };
            Some(pulse_a2s(number(inputs, "peak_a")?, number(inputs, "time_s")?, shape))
        }
        "resettable" => resettable(what, inputs),
        "joint" => joint(what, inputs),
        "rush" => rush(what, inputs),
        _ => None,
    }
}

fn number(inputs: &Inputs, name: &str) -> Option<f64> {
    inputs.get(name)?.parse().ok()
}

fn family(inputs: &Inputs) -> Option<FuseFamily> {
    serde_json::from_value(serde_json::Value::String((*inputs.get("family")?).into())).ok()
}

fn gate(what: &str, inputs: &Inputs) -> Option<f64> {
    if what == "slow_shortest_s" {
        return Some(UL_SLOW_SHORTEST_S);
    }
    let gates = family(inputs)?.gates(number(inputs, "rating_a")?);
    let multiple_ratio = number(inputs, "multiple_ratio")?;
    if what == "shortest_s" { shortest_s(gates, multiple_ratio) } else { longest_s(gates, multiple_ratio) }
}

fn element(what: &str, inputs: &Inputs) -> Option<f64> {
    let (family, rating_a) = (family(inputs)?, number(inputs, "rating_a")?);
    let row: &ElementRow = ELEMENTS.iter().find(|row| row.family == family && row.rating_a == rating_a)?;
    match what {
        "cold_ohm" => Some(row.cold_ohm),
        "drop_v" => row.drop_v,
        "hot_ratio" => Some(row.drop_v? / (row.rating_a * row.cold_ohm)),
        "melting_a2s" => row.melting_a2s,
        _ => None,
    }
}

fn wish(inputs: &Inputs) -> Option<FuseWish> {
    Some(FuseWish {
        family: family(inputs)?,
        load_a: number(inputs, "load_a").unwrap_or(1.0),
        surge_a: None,
        surge_s: None,
        wire_limit_a: 100.0,
        wire_withstand_a2s: None,
        ambient_degc: 25.0,
        pack_v: 12.6,
        fault_high_a: None,
        fault_low_a: None,
    })
}

fn resettable(what: &str, inputs: &Inputs) -> Option<f64> {
    match what {
        "hold_a" => Some(RESETTABLE_1A2.hold_a),
        "new_ohm" => Some(RESETTABLE_1A2.new_ohm),
        "tripped_once_ohm" => Some(RESETTABLE_1A2.tripped_once_ohm),
        "tripped_w" => Some(RESETTABLE_1A2.tripped_w),
        "high_v" => Some(RESETTABLE_1A2.high_v),
        "trip_ratio" => Some(RESETTABLE_1A2.trip_ratio),
        "tripped_a" => tripped_a(&RESETTABLE_1A2, number(inputs, "supply_v")?),
        _ => None,
    }
}

fn joint(what: &str, inputs: &Inputs) -> Option<f64> {
    if what == "common_barrel_m" {
        return Some(COMMON_BARREL_M);
    }
    let (kind, row) = match *inputs.get("kind")? {
        "barrel3" => (JointKind::Barrel3, BARREL_3_5),
        "xt60" => (JointKind::Xt60, XT60),
        "blade_holder" => (JointKind::BladeHolder, BLADE_HOLDER),
        _ => return None,
    };
    let joint = Joint {
        name: String::new(),
        kind,
        resistance_ohm: None,
        dc_rated_a: None,
        dc_rated_v: None,
        rms_a: number(inputs, "rms_a").unwrap_or(1.0),
        on_a: None,
        pack_v: 12.6,
    };
    let answer = joint.answer().ok()?;
    match what {
        "rated_a" => answer.rated_a,
        "rated_v" => row.rated_v,
        "contact_ohm" => Some(answer.resistance_ohm?.high),
        "cycles" => row.cycles,
        "rise_k" => row.rise_k,
        "heat_w" => answer.heat_w,
        _ => None,
    }
}

fn rush(what: &str, inputs: &Inputs) -> Option<f64> {
    match what {
        "low_ratio" => Some(LAMP_RUSH_RATIO.low),
        "high_ratio" => Some(LAMP_RUSH_RATIO.high),
        "lamp_a" => Some(LAMP_RUSH_RATIO.low * number(inputs, "power_w")? / number(inputs, "supply_v")?),
        _ => None,
    }
}
