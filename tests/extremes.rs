//! Inputs from all over the accepted ranges, ends included: the answer is numbers or a typed refusal, never a defect.

use cellwright::ask::ask;
use cellwright::quantity::draw::Draws;
use std::fmt::Write;

/// `<low,high>` stands for a number between the two: the ends, or one drawn evenly over its logarithm.
const TEMPLATES: [(&str, &str); 13] = [
    (
        "timer",
        r#"{"timer":{"part":{"own":{"supply_low_v":0.5,"supply_high_v":60,"discharge_v":<0,2>,"discharge_ohm":<0,1e4>,
        "frequency_hz":<1,1e8>,"threshold_ratio":<0.4,0.95>,"trigger_ratio":<0.05,0.39>,"threshold_a":<0,1e-3>}},
        "circuit":{"two_resistor":{"ra_ohm":<1,1e9>,"rb_ohm":<1,1e9>,"c_f":<1e-12,1>}},"latch_delay_s":<0,1e-3>,
        "control_capacitor_f":<0,1e-3>},"supply_v":<0.5,60>,"temperature_degc":<-40,125>}"#,
    ),
    (
        "timer",
        r#"{"timer":{"part":"bipolar","circuit":{"diode_steered":{"ra_ohm":<1,1e9>,"pot_ohm":<1,1e9>,
        "wiper_ratio":<0,1>,"charge_ohm":<0,1e9>,"discharge_ohm":<0,1e9>,"shared_ohm":<0,1e9>,"c_f":<1e-12,1>,
        "diode":{"own":{"saturation_a":<1e-18,1e-2>,"emission_ratio":<0.8,3>,"series_ohm":<0,1e3>,"reverse_v":50,
        "forward_a":1,"band_gap_v":<0.2,3.5>,"temperature_exponent":<0,10>}}}},"latch_delay_s":<0,1e-3>,
        "discharge_on_ohm":<0,1e4>},"supply_v":<0.5,60>,"temperature_degc":<-40,125>}"#,
    ),
    (
        "timer",
        r#"{"timer":{"part":"cmos","circuit":{"threshold_ramp":{"ramp":{"triangle":{"integrator_ohm":<1,1e9>,
        "hysteresis_ohm":<1,1e9>,"feedback_ohm":<1,1e9>,"c_f":<1e-12,1>}},"control_ratio":<0,1>}}},
        "supply_v":<0.5,60>}"#,
    ),
    (
        "timer",
        r#"{"timer":{"part":"cmos","circuit":{"threshold_ramp":{"ramp":{"sawtooth":{"charge_ohm":<1,1e9>,
        "reset_ohm":<0,1e9>,"c_f":<1e-12,1>,"low_ratio":<0.001,0.5>,"high_ratio":<0.51,0.999>}},
        "control_ratio":<0,1>}}},"supply_v":<0.5,60>}"#,
    ),
    (
        "timer_span",
        r#"{"timer":{"part":"low_drive_cmos","circuit":{"diode_steered":{"ra_ohm":<1,1e9>,"pot_ohm":<1,1e9>,
        "wiper_ratio":0.5,"c_f":<1e-12,1>}}},"supply_v":[<0.5,60>,<0.5,60>],"temperature_degc":[<-40,125>],
        "wiper_ratio":[0,<0,1>,1]}"#,
    ),
    (
        "timer_parts",
        r#"{"part":"bipolar","form":{"diode_steered":"schottky"},"supply_v":<4.5,16>,"temperature_degc":<-40,125>,
        "frequency_low_hz":<1e-3,100>,"frequency_high_hz":<100,1e5>,"duty_low":<0.001,0.5>,"duty_high":<0.5,0.999>,
        "stock":{"preferred":{"resistors":"e6","resistor_low_ohm":<1,1e4>,"resistor_high_ohm":<1e4,1e8>,
        "dielectric":"electrolytic","pots_ohm":[<1,1e8>]}},"same_error_ratio":<0,1>,"most":3}"#,
    ),
    (
        "timer_parts",
        r#"{"part":"cmos","form":"two_resistor","supply_v":<2,15>,"frequency_low_hz":<1e-3,100>,
        "frequency_high_hz":<100,1e5>,"duty_low":<0.001,0.5>,"duty_high":<0.51,0.999>,"stock":{"drawer":{
        "resistors_ohm":[<1,1e8>,<1,1e8>,<1,1e8>],"capacitors_f":[<1e-12,0.1>,<1e-12,0.1>]}}}"#,
    ),
    (
        "timer_tolerance",
        r#"{"timer":{"part":"bipolar","circuit":{"diode_steered":{"ra_ohm":<1,1e9>,"pot_ohm":<1,1e9>,
        "wiper_ratio":<0,1>,"c_f":<1e-12,1>}}},"supply_v":{"low":4,"likely":9,"high":<9,60>},
        "temperature_degc":{"low":-40,"likely":20,"high":<20,125>},"resistor_ratio":<0,0.5>,"pot_ratio":<0,0.5>,
        "dielectric":"y5v","capacitor_low_ratio":<-0.9,0>,"capacitor_high_ratio":<0,5>,"seed":4294967295,"draws":100}"#,
    ),
    (
        "motor_stage",
        r#"{"supply_v":<0.1,60>,"duty":<0,1>,"frequency_hz":<0.1,1e6>,"motor_ohm":<1e-3,1e5>,"motor_h":<1e-8,100>,
        "back_emf_v":<0,60>,"switch_ohm":<0,1e3>,"flyback":"silicon","diode_degc":<-40,150>}"#,
    ),
    (
        "switch_review",
        r#"{"name":"x","switch":{"transistor":{"mosfet":{"on":{"gate_v":<2,30>,"on_ohm":<1e-5,100>},
        "threshold_low_v":<0.1,1>,"threshold_high_v":<1,20>,"gate_charge_coulomb":<1e-11,1e-5>,"hot_ratio":<1,5>,
        "drain_v":<1,2000>,"drain_a":<0.01,1000>,"gate_high_v":<1,60>,"case_k_per_w":<0.01,500>,
        "ambient_k_per_w":<0.1,1000>,"junction_high_degc":<50,300>}},"drive":{"timer":"cmos","gate_ohm":<0,1e6>,
        "pull_down_ohm":<10,1e7>},"supply_full_v":<12,60>,"supply_empty_v":<1,12>,"on_a":<0,1000>,"duty":<0,1>,
        "frequency_hz":<0.1,1e6>,"ambient_degc":<-40,85>,"sink_k_per_w":<0.05,500>,"flyback":"small_signal"}}"#,
    ),
    (
        "switch_review",
        r#"{"name":"x","switch":{"transistor":{"bipolar":{"saturation_v":<0.01,10>,"forced_gain_ratio":<1,1e5>,
        "base_v":<0.1,10>,"edges_s":<1e-9,1e-3>,"collector_v":<1,2000>,"collector_a":<0.001,1000>,
        "case_k_per_w":<0.01,500>,"ambient_k_per_w":<0.1,1000>,"junction_high_degc":<50,300>}},
        "drive":{"timer":"bipolar","gate_ohm":<0,1e6>},"supply_full_v":<12,60>,"supply_empty_v":<1,12>,
        "on_a":<0,1000>,"duty":<0,1>,"frequency_hz":<0.1,1e6>,"ambient_degc":<-40,85>}}"#,
    ),
    (
        "supply_capacitor",
        r#"{"supply_v":<0.1,60>,"on_a":<0,1000>,"duty_low":<0,0.5>,"duty_high":<0.5,1>,"frequency_hz":<0.1,1e6>,
        "c_f":<1e-9,1>,"esr_ohm":<0,100>,"lead_ohm":<1e-4,100>,"lead_h":<1e-9,1e-2>,"wanted_ripple_v":<1e-3,60>}"#,
    ),
    ("marking", r#"{"resistor_ohm":<0,1e13>}"#),
];

/// The same for questions that take long: each asked fewer times.
const LONG: [(&str, &str); 4] = [
    (
        "runtime_spread",
        r#"{"run":{"own_chemistries":[],"pack":{"groups":[{"cells":[{"name":"A","chemistry":"nmc"
        ,"capacity":{"capacity_ah":{"low":<0.01,1.5>,"likely":1.5,"high":<1.5,900>},"start_v":4.2,"end_v":2.8
        ,"current_a":<0.001,3>,"cell_degc":<-20,60>},"resistance":{"resistance_ohm":{"low":<1e-3,0.08>,"likely":0.08
        ,"high":<0.08,10>},"method":{"dc":{"after_s":<0.01,600>,"current_a":1}},"leads":"two_wire","cell_degc":20
        ,"soc_ratio":<0,1>}},{"name":"B","chemistry":"nmc","capacity":{"capacity_ah":{"low":1,"likely":1.2
        ,"high":1.3},"start_v":4.2,"end_v":2.8,"current_a":0.3,"cell_degc":20}
        ,"resistance":{"resistance_ohm":{"low":0.05,"likely":0.09,"high":0.2},"method":"ac_1khz","leads":"four_wire"
        ,"cell_degc":20,"soc_ratio":0.5}}]},{"cells":[{"name":"B","chemistry":"nmc"
        ,"capacity":{"capacity_ah":{"low":1,"likely":1.2,"high":1.3},"start_v":4.2,"end_v":2.8,"current_a":0.3
        ,"cell_degc":20},"resistance":{"resistance_ohm":{"low":0.05,"likely":0.09,"high":0.2},"method":"ac_1khz"
        ,"leads":"four_wire","cell_degc":20,"soc_ratio":0.5}}]}],"link_ohm":{"low":0,"likely":0.01,"high":<0.01,10>}
        ,"full_v":4.2,"floor_v":<0.3,4.2>},"loads":[{"name":"x","draw":{"follows_voltage":{"power_w":{"low":0
        ,"likely":5,"high":<5,1e4>},"at_v":<0.1,100>,"exponent":<0,4>}},"duty":<0,1>,"chopped":true
        ,"drop_out_v":<0.1,100>}],"lead_ohm":{"low":0,"likely":0.1,"high":<0.1,100>},"ambient_degc":{"low":<-20,15>
        ,"likely":15,"high":<15,60>},"cut_off_v":<0,5>,"trip_a":{"low":<0.001,10>,"likely":10,"high":<10,1e4>}
        ,"heat_path":{"heat_capacity_j_per_k":<0.01,1e6>,"resistance_k_per_w":<0.001,1e3>},"time_s":<0,2.592e6>}
        ,"duty":{"low":0,"likely":0.5,"high":1},"shared_capacity_ratio":<0,1>,"lost_ratio":<0,0.6>,"seed":7
        ,"draws":100}"#,
    ),
    (
        "use_profile",
        r#"{"run":{"own_chemistries":[],"pack":{"groups":[{"cells":[{"name":"A","chemistry":"lfp"
        ,"capacity":{"capacity_ah":{"low":<0.01,1.5>,"likely":1.5,"high":<1.5,900>},"start_v":3.6,"end_v":2.2
        ,"current_a":<0.001,3>,"cell_degc":<-20,60>},"resistance":{"resistance_ohm":{"low":<1e-3,0.08>,"likely":0.08
        ,"high":<0.08,10>},"method":{"dc":{"after_s":<0.01,600>,"current_a":1}},"leads":"two_wire","cell_degc":20
        ,"soc_ratio":<0,1>}},{"name":"B","chemistry":"lfp","capacity":{"capacity_ah":{"low":1,"likely":1.2
        ,"high":1.3},"start_v":3.6,"end_v":2.2,"current_a":0.3,"cell_degc":20}
        ,"resistance":{"resistance_ohm":{"low":0.05,"likely":0.09,"high":0.2},"method":"ac_1khz","leads":"four_wire"
        ,"cell_degc":20,"soc_ratio":0.5}}]},{"cells":[{"name":"B","chemistry":"lfp"
        ,"capacity":{"capacity_ah":{"low":1,"likely":1.2,"high":1.3},"start_v":3.6,"end_v":2.2,"current_a":0.3
        ,"cell_degc":20},"resistance":{"resistance_ohm":{"low":0.05,"likely":0.09,"high":0.2},"method":"ac_1khz"
        ,"leads":"four_wire","cell_degc":20,"soc_ratio":0.5}}]}],"link_ohm":{"low":0,"likely":0.01,"high":<0.01,10>}
        ,"full_v":3.6,"floor_v":<0.3,3.6>},"loads":[{"name":"x","draw":{"current":{"current_a":{"low":0,"likely":1
        ,"high":<1,1e3>}}},"duty":<0,1>,"chopped":true,"drop_out_v":<0.1,100>}],"lead_ohm":{"low":0,"likely":0.1
        ,"high":<0.1,100>},"ambient_degc":{"low":<-20,15>,"likely":15,"high":<15,60>},"cut_off_v":<0,5>
        ,"trip_a":{"low":<0.001,10>,"likely":10,"high":<10,1e4>},"heat_path":{"heat_capacity_j_per_k":<0.01,1e6>
        ,"resistance_k_per_w":<0.001,1e3>},"time_s":<0,2.592e6>},"phases":[{"name":"on","time_s":<1,2.592e6>
        ,"state":{"running":{"loads":[]}}},{"name":"off","time_s":<1,2.592e6>,"state":"off"}],"repeats":3
        ,"standing":{"knob_minimum_a":{"low":0,"likely":0,"high":1e3},"switch_off_a":{"low":0,"likely":0,"high":1}
        ,"cut_off_a":{"low":0,"likely":0,"high":<0,1>},"self_discharge_ratio_per_month":{"low":0,"likely":0
        ,"high":1}},"after_cut_off":{"release_v":{"low":<0.5,3>,"likely":3,"high":5}}}"#,
    ),
    (
        "box_heat",
        r#"{"run":{"own_chemistries":[],"pack":{"groups":[{"cells":[{"name":"A","chemistry":"lco"
        ,"capacity":{"capacity_ah":{"low":<0.01,1.5>,"likely":1.5,"high":<1.5,900>},"start_v":4.1,"end_v":3.2
        ,"current_a":<0.001,3>,"cell_degc":<-20,60>},"resistance":{"resistance_ohm":{"low":<1e-3,0.08>,"likely":0.08
        ,"high":<0.08,10>},"method":{"dc":{"after_s":<0.01,600>,"current_a":1}},"leads":"two_wire","cell_degc":20
        ,"soc_ratio":<0,1>}},{"name":"B","chemistry":"lco","capacity":{"capacity_ah":{"low":1,"likely":1.2
        ,"high":1.3},"start_v":4.1,"end_v":3.2,"current_a":0.3,"cell_degc":20}
        ,"resistance":{"resistance_ohm":{"low":0.05,"likely":0.09,"high":0.2},"method":"ac_1khz","leads":"four_wire"
        ,"cell_degc":20,"soc_ratio":0.5}}]},{"cells":[{"name":"B","chemistry":"lco"
        ,"capacity":{"capacity_ah":{"low":1,"likely":1.2,"high":1.3},"start_v":4.1,"end_v":3.2,"current_a":0.3
        ,"cell_degc":20},"resistance":{"resistance_ohm":{"low":0.05,"likely":0.09,"high":0.2},"method":"ac_1khz"
        ,"leads":"four_wire","cell_degc":20,"soc_ratio":0.5}}]}],"link_ohm":{"low":0,"likely":0.01,"high":<0.01,10>}
        ,"full_v":4.1,"floor_v":<0.3,4.1>},"loads":[{"name":"x","draw":{"follows_voltage":{"power_w":{"low":0
        ,"likely":5,"high":<5,1e4>},"at_v":<0.1,100>,"exponent":<0,4>}},"duty":<0,1>,"chopped":true
        ,"drop_out_v":<0.1,100>}],"lead_ohm":{"low":0,"likely":0.1,"high":<0.1,100>},"ambient_degc":{"low":<-20,15>
        ,"likely":15,"high":<15,60>},"cut_off_v":<0,5>,"trip_a":{"low":<0.001,10>,"likely":10,"high":<10,1e4>}
        ,"heat_path":{"heat_capacity_j_per_k":<0.01,1e6>,"resistance_k_per_w":<0.001,1e3>},"time_s":<0,2.592e6>}
        ,"place_degc":{"low":<-40,20>,"likely":20,"high":<20,85>},"box_k_per_w":{"low":0,"likely":1,"high":<1,100>}
        ,"cell_k_per_w":{"low":0,"likely":1,"high":<1,100>},"leads":[{"run":{"name":"l","length_m":<0,1e3>
        ,"conductor":{"mm2":{"area_mm2":0.5}},"joints_ohm":{"low":0,"likely":0,"high":100},"insulation_degc":70}}]
        ,"fuse":{"family":"blade","rating_a":<0.01,1e3>},"other_w":{"low":0,"likely":0,"high":1e3}
        ,"charging_w":{"low":0,"likely":0,"high":1e3}}"#,
    ),
    (
        "discharge_circuit",
        r#"{"rest_tables":[{"name":"t","rest_points":[{"soc_ratio":0,"rest_v":<0.3,3>},{"soc_ratio":<0.01,0.99>
        ,"rest_v":3.3},{"soc_ratio":1,"rest_v":<3.4,5>}]}],"groups":[{"cells":[{"rest_table":"t"
        ,"capacity_ah":<0.001,1e4>,"r0_ohm":<1e-5,100>,"r1_ohm":<0,100>,"tau1_s":<1e-3,1e6>,"soc_ratio":<0,1>}
        ,{"rest_table":"t","capacity_ah":<0.001,1e4>,"r0_ohm":<1e-5,100>,"r1_ohm":<0,100>,"tau1_s":<1e-3,1e6>
        ,"soc_ratio":<0,1>}]}],"loads":[{"name":"x","draw":{"follows_voltage":{"power_w":{"low":0,"likely":5
        ,"high":<5,1e4>},"at_v":<0.1,100>,"exponent":<0,4>}},"duty":<0,1>,"chopped":false}],"lead_ohm":<0,100>
        ,"ambient_degc":<-20,60>,"floor_v":<0,5>,"cut_off_v":<0,5>,"trip_a":<0.001,1e4>,"time_s":<0,2.592e6>}"#,
    ),
];

/// The template with its places filled from point `index` of the sequence.
fn filled(template: &str, draws: &Draws, index: u32) -> String {
    let mut text = String::new();
    for (place, piece) in template.split('<').enumerate() {
        let Some((range, rest)) = piece.split_once('>') else {
            text.push_str(piece);
            continue;
        };
        let (low, high) = range.split_once(',').unwrap();
        let (low, high): (f64, f64) = (low.parse().unwrap(), high.parse().unwrap());
        let unit = draws.unit(index, place);
        let value = match unit {
            unit if unit < 0.1 => low,
            unit if unit > 0.9 => high,
            unit if low > 0.0 => libm::exp(libm::log(low) + (libm::log(high) - libm::log(low)) * unit),
            unit => low + (high - low) * unit * unit,
        };
        write!(text, "{value:e}{rest}").unwrap();
    }
    text
}

/// Asks every template so often; what is refused must be one of `may_refuse`.
fn asked(templates: &[(&str, &str)], times: u32, answered_least: u32, may_refuse: &[&str]) {
    let draws = Draws::new(20, 32);
    for (question, template) in templates {
        let mut answered = 0;
        for index in 0..times {
            let text = filled(template, &draws, index);
            match ask(question, &text) {
                Ok(_) => answered += 1,
                Err(errors) => {
                    for error in errors {
                        assert!(may_refuse.contains(&error.field()), "{question}: {error} in {text}");
                    }
                }
            }
        }
        println!("{question}: {answered}");
        assert!(answered > answered_least, "{question}: {answered}");
    }
}

/// The ranges above are the accepted ones; only an order between two fields may be refused.
#[test]
fn answers_are_numbers_or_refusals() {
    asked(&TEMPLATES, 400, 100, &["hysteresis_ohm"]);
}

/// Besides an order between fields, measurements may be refused that no cell of the chemistry can have.
#[test]
fn long_runs_are_numbers_or_refusals() {
    asked(&LONG, 100, 10, &["resistance_ohm", "end_v", "floor_v"]);
}
