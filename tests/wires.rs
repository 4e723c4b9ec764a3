//! Wires against a coupled heat balance solved by a general-purpose root finder.

use cellwright::part::wire::{Conductor, Cooling, Run};
use cellwright::{End, Interval};
use serde_json::Value;

fn number(case: &Value, key: &str) -> f64 {
    case[key].as_f64().unwrap_or_else(|| panic!("{key} in {case}"))
}

#[test]
fn temperature_resistance_and_drop_of_wires_in_still_air() {
    let oracle: Value = serde_json::from_str(include_str!("oracles/wires.json")).unwrap();
    let mut worst: f64 = 0.0;
    for case in oracle["cases"].as_array().unwrap() {
        let run = Run {
            name: String::new(),
            length_m: number(case, "one_way_length_m"),
            conductor: match case["awg"].as_f64() {
                Some(gauge) => Conductor::Awg { gauge },
                None => Conductor::Mm2 { area_mm2: number(case, "conductor_area_mm2") },
            },
            joints_ohm: Interval::exact(0.0),
            insulation_degc: 105.0,
            wanted_drop_ratio: None,
        };
        let cooling = Cooling {
            insulation_m: number(case, "insulation_thickness_mm") * 1e-3,
            insulation_w_per_m_k: number(case, "insulation_conductivity_W_per_m_K"),
            surface_w_per_m2_k: number(case, "surface_coefficient_W_per_m2_K"),
        };
        let current_a = number(case, "current_A");
        let answer = run.answer(current_a, current_a, number(case, "ambient_C"), End::Low, &cooling);
        if case["result"]["conductor_temperature_C"].is_null() {
            assert_eq!(answer.unwrap_err().field(), "rms_a", "no temperature balances the heat");
            continue;
        }
        let answer = answer.unwrap();
        let expected = &case["result"];
        let degc = answer.conductor_degc - number(expected, "conductor_temperature_C");
        let ohm = answer.resistance_ohm / number(expected, "loop_resistance_ohm") - 1.0;
        let drop = answer.drop_v / number(expected, "voltage_drop_V") - 1.0;
        println!("{} {degc:+.4} K {ohm:+.2e} {drop:+.2e}", case["id"]);
        worst = worst.max(degc.abs() / 100.0).max(ohm.abs()).max(drop.abs());
    }
    // The oracle rounds 1/58 to 1.7241e-8: 2e-5; the rest is its own rounding.
    assert!(worst < 1e-4, "{worst}");
}
