//! Inputs from all over the accepted ranges, ends included: the answer is numbers or a typed refusal, never a defect.

use cellwright::ask::ask;
use cellwright::quantity::draw::Draws;
use std::fmt::Write;

/// `<low,high>` stands for a number between the two: the ends, or one drawn evenly over its logarithm.
const TEMPLATES: [(&str, &str); 26] = [
    (
        "one_shot",
        r#"{"part":"bipolar","supply_v":<0.5,60>,"charge_ohm":<1,1e9>,"c_f":<1e-12,1>,"resistor_ratio":<0,0.5>,
        "dielectric":"electrolytic","capacitor_low_ratio":<-0.9,0>,"capacitor_high_ratio":<0,5>}"#,
    ),
    (
        "one_shot",
        r#"{"part":{"own":{"supply_low_v":0.5,"supply_high_v":60,"discharge_v":<0,2>,"discharge_ohm":<0,1e4>,
        "frequency_hz":1e8,"threshold_ratio":<0.4,0.95>,"trigger_ratio":<0.05,0.39>,"threshold_a":<0,1e-3>}},
        "supply_v":<0.5,60>,"charge_ohm":<1,1e9>,"c_f":<1e-12,1>,"resistor_ratio":<0,0.5>,"dielectric":"y5v",
        "leak_a":<0,1>}"#,
    ),
    ("step_response", r#"{"ohm":<1e-6,1e12>,"c_f":<1e-15,1e4>,"after_s":<0,1e12>,"wanted_ratio":<1e-9,0.999999999>}"#),
    ("cycle_fade", r#"{"rated_cycles":<1,1e6>,"rated_left_ratio":<0.01,1>,"cycles":<0,1e6>}"#),
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
        r#"{"supply_v":<0.1,60>,"on_a":<0,1000>,"duty_low":<0,0.5>,"duty_high":<0.5,1>,"frequency_hz":<0.1,1e3>,
        "frequency_high_hz":<1e3,1e6>,"c_f":<1e-9,1>,"esr_ohm":<0,100>,"lead_ohm":<1e-4,100>,"lead_h":<1e-9,1e-2>,"wanted_ripple_v":<1e-3,60>}"#,
    ),
    ("marking", r#"{"resistor_ohm":<0,1e13>}"#),
    (
        "dead_cell",
        r#"{"name":"x","own_chemistries":[],"cell":{"name":"A1","chemistry":"nmc","capacity":{"capacity_ah":
        {"low":<1,2>,"likely":2,"high":<2,5>},"start_v":4.2,"end_v":2.6,"current_a":0.5,"cell_degc":25},
        "resistance":{"resistance_ohm":{"low":0.05,"likely":0.05,"high":0.05},"method":"ac_1khz","leads":"two_wire",
        "cell_degc":25,"soc_ratio":0.5}},"parallel":7,"rest_v":{"low":<0.3,3>,"likely":<3,4>,"high":<4,5>},
        "fault":{"short":{"short_ohm":{"low":<1e-4,0.1>,"likely":<0.1,1>,"high":<1,1000>}}},"cell_degc":
        {"low":<-20,10>,"likely":10,"high":<10,60>},"strip_ohm":{"low":0,"likely":<0,0.1>,"high":<0.1,1>},
        "link":{"copper_wire":{"diameter_m":<8e-5,0.012>,"length_m":<0.001,1>}},"load_a":<0,1000>,"cell_kg":<0.001,50>}"#,
    ),
    (
        "dead_cell",
        r#"{"name":"x","own_chemistries":[],"cell":{"name":"A1","chemistry":"lfp","capacity":{"capacity_ah":
        {"low":2,"likely":2.5,"high":3},"start_v":3.6,"end_v":2.2,"current_a":0.5,"cell_degc":25},"resistance":
        {"resistance_ohm":{"low":0.04,"likely":0.05,"high":0.06},"method":{"dc":{"after_s":1,"current_a":1}},
        "leads":"four_wire","cell_degc":25,"soc_ratio":0.5},"charge_limit_a":<0.001,1000>,"discharge_limit_a":<0.001,1000>},
        "parallel":3,"rest_v":{"low":<3.4,3.5>,"likely":3.6,"high":<3.6,5>},"fault":{"low":{"dead_v":{"low":<0,1>,
        "likely":<1,3>,"high":<3,3.4>}}},"cell_degc":{"low":<-20,10>,"likely":10,"high":<10,60>},"strip_ohm":
        {"low":<0,0.1>,"likely":0.1,"high":<0.1,1>},"link":{"rated":{"holds_a":<0.01,1000>,"opens_a":<1000,10000>,
        "resistance_ohm":{"low":<0,0.1>,"likely":0.1,"high":<0.1,1>}}}}"#,
    ),
    (
        "sort_bin",
        r#"{"cells":[{"name":"a","chemistry":"nmc","rated_ah":<0.01,1000>,"passed":[]},{"name":"b","chemistry":"lfp",
        "rated_ah":<0.01,1000>,"size":"18650","passed":["look","rest_voltage"]},{"name":"c","chemistry":"nmc","passed":
        ["look"],"sorted_out_by":"rest_voltage"},{"name":"d","chemistry":"nmc","passed":["look","rest_voltage","charge",
        "capacity"],"capacity_ah":{"low":<0,1>,"likely":<1,10>,"high":<10,1000>}}],"series":1,"parallel":2,
        "charger_places":3,"tester_places":1,"charge_s":<600,172800>,"capacity_test_s":<600,172800>,"evenings":3,
        "evening_s":<600,86400>,"wanted_ah":<0,1e5>,"worth_ah":<0,1e5>}"#,
    ),
    (
        "screen_cells",
        r#"{"cells":[{"name":"a","family":"lithium_ion","found_v":<0,5>,"rated_ah":<0.01,1000>,"capacity_ah":{"low":<0,1>,
        "likely":<1,10>,"high":<10,1000>},"resistance":{"resistance_ohm":{"low":<1e-5,0.01>,"likely":<0.01,1>,
        "high":<1,10>},"kind":"ac_1khz"},"new_resistance":{"resistance_ohm":{"low":<1e-5,0.01>,"likely":<0.01,1>,
        "high":<1,10>},"kind":"dc"},"self_discharge_ratio":{"low":<0,0.1>,"likely":<0.1,0.5>,"high":<0.5,1>},
        "age_s":{"low":<0,1e8>,"likely":<1e8,5e8>,"high":<5e8,2e9>},"calendar_life":{"stated":{"life_s":<86400,2e9>}}}]}"#,
    ),
    (
        "discharge",
        r#"{"own_chemistries":[],"pack":{"groups":[{"cells":[{"name":"A1","chemistry":"lead_acid","capacity":{"capacity_ah":
        {"low":<1,2>,"likely":2,"high":<2,5>},"start_v":<2.05,2.2>,"end_v":1.75,"current_a":<0.01,1>,"cell_degc":<0,40>},"resistance":
        {"resistance_ohm":{"low":<0.01,0.05>,"likely":0.05,"high":<0.05,0.2>},"method":{"dc":{"after_s":<0.1,10>,
        "current_a":<0.1,2>}},"leads":"four_wire","cell_degc":25,"soc_ratio":<0,1>}}]}],"link_ohm":{"low":0,"likely":0,
        "high":<0,1>},"full_v":<2.1,2.5>,"floor_v":<1.6,1.8>},"loads":[{"name":"x","draw":{"power":{"power_w":{"low":<0.01,1>,"likely":1,
        "high":<1,100>}}},"duty":<0,1>,"chopped":false}],"lead_ohm":{"low":0,"likely":0,"high":<0,10>},"ambient_degc":
        {"low":<-20,20>,"likely":20,"high":<20,60>}}"#,
    ),
    (
        "discharge",
        r#"{"own_chemistries":[],"pack":{"groups":[{"cells":[{"name":"A1","chemistry":"nimh","capacity":{"capacity_ah":
        {"low":<1,2>,"likely":2,"high":<2,5>},"start_v":<1.3,1.45>,"end_v":1,"current_a":<0.01,1>,"cell_degc":<0,40>},"resistance":
        {"resistance_ohm":{"low":<0.01,0.05>,"likely":0.05,"high":<0.05,0.2>},"method":{"dc":{"after_s":<0.1,10>,
        "current_a":<0.1,2>}},"leads":"four_wire","cell_degc":25,"soc_ratio":<0,1>}}]}],"link_ohm":{"low":0,"likely":0,
        "high":<0,1>},"full_v":<1.35,1.6>,"floor_v":<0.9,1.1>},"loads":[{"name":"x","draw":{"power":{"power_w":{"low":<0.01,1>,"likely":1,
        "high":<1,100>}}},"duty":<0,1>,"chopped":false}],"lead_ohm":{"low":0,"likely":0,"high":<0,10>},"ambient_degc":
        {"low":<-20,20>,"likely":20,"high":<20,60>}}"#,
    ),
    (
        "discharge",
        r#"{"own_chemistries":[],"pack":{"groups":[{"cells":[{"name":"A1","chemistry":"nvpf","capacity":{"capacity_ah":
        {"low":<1,2>,"likely":2,"high":<2,5>},"start_v":4.2,"end_v":2,"current_a":<0.01,1>,"cell_degc":<0,40>},"resistance":
        {"resistance_ohm":{"low":<0.01,0.05>,"likely":0.05,"high":<0.05,0.2>},"method":{"dc":{"after_s":<0.1,10>,
        "current_a":<0.1,2>}},"leads":"four_wire","cell_degc":25,"soc_ratio":<0,1>}}]}],"link_ohm":{"low":0,"likely":0,
        "high":<0,1>},"full_v":<4,4.3>,"floor_v":<2,3>},"loads":[{"name":"x","draw":{"power":{"power_w":{"low":<0.01,1>,"likely":1,
        "high":<1,100>}}},"duty":<0,1>,"chopped":false}],"lead_ohm":{"low":0,"likely":0,"high":<0,10>},"ambient_degc":
        {"low":<-20,20>,"likely":20,"high":<20,60>}}"#,
    ),
    (
        "discharge",
        r#"{"own_chemistries":[],"pack":{"groups":[{"cells":[{"name":"A1","chemistry":"unidentified","capacity":{"capacity_ah":
        {"low":<1,2>,"likely":2,"high":<2,5>},"start_v":<3.6,4.2>,"end_v":3,"current_a":<0.01,1>,"cell_degc":<0,40>},"resistance":
        {"resistance_ohm":{"low":<0.01,0.05>,"likely":0.05,"high":<0.05,0.2>},"method":{"dc":{"after_s":<0.1,10>,
        "current_a":<0.1,2>}},"leads":"four_wire","cell_degc":25,"soc_ratio":<0,1>}}]}],"link_ohm":{"low":0,"likely":0,
        "high":<0,1>},"full_v":<3.6,4.2>,"floor_v":<2.5,3>},"loads":[{"name":"x","draw":{"power":{"power_w":{"low":<0.01,1>,"likely":1,
        "high":<1,100>}}},"duty":<0,1>,"chopped":false}],"lead_ohm":{"low":0,"likely":0,"high":<0,10>},"ambient_degc":
        {"low":<-20,20>,"likely":20,"high":<20,60>}}"#,
    ),
    (
        "hour_rate",
        r#"{"rated_ah":{"low":<0.1,1>,"likely":<1,10>,"high":<10,10000>},"rated_s":<3600,360000>,
        "current_a":{"low":<0.001,0.1>,"likely":<0.1,10>,"high":<10,10000>},"exponent":{"low":<1,1.1>,"likely":<1.1,1.3>,
        "high":<1.3,1.6>}}"#,
    ),
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
fn ask_all(templates: &[(&str, &str)], times: u32, answered_least: u32, may_refuse: &[&str]) {
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
        assert!(answered > answered_least, "{question}: {answered}");
    }
}

/// The ranges above are the accepted ones; only an order between two fields may be refused, and a measurement that no
/// cell of the chemistry can have.
#[test]
fn answers_are_numbers_or_refusals() {
    ask_all(&TEMPLATES, 400, 100, &["hysteresis_ohm", "resistance_ohm", "end_v"]);
}

/// Besides an order between fields, measurements may be refused that no cell of the chemistry can have.
#[test]
fn long_runs_are_numbers_or_refusals() {
    ask_all(&LONG, 100, 10, &["resistance_ohm", "end_v", "floor_v"]);
}

/// A plan with numbers from all over the accepted ranges. Invented.
const PLAN: &str = r#"{"format":1,"name":"x","origin":"salvaged","own_chemistries":[],"pack":{"groups":[{"cells":[CELL,CELL]},
    {"cells":[CELL]}],"link_ohm":{"low":0,"likely":<0,0.1>,"high":<0.1,10>},"full_v":<3.4,4.4>,"floor_v":<2.0,3.3>},
    "protection":{"board":{"over_voltage_v":<0.5,5>,"cut_off_v":<0.3,5>,"continuous_a":<0.01,1000>,"trip_a":null,
    "balances":null,"resistance_ohm":{"low":0,"likely":0,"high":<0,10>}}},"loads":[{"name":"a","draw":{"follows_voltage":
    {"power_w":{"low":1,"likely":<1,20>,"high":<20,300>},"at_v":<3,30>,"exponent":<0,4>}},"duty":<0,1>,"chopped":true,
    "works_from_v":null,"works_to_v":null,"drop_out_v":null,"surge_a":<0,1000>}],"control":{"timer":{"part":"cmos","circuit":
    {"diode_steered":{"ra_ohm":<1,1e9>,"pot_ohm":<1,1e9>,"wiper_ratio":<0,1>,"charge_ohm":<0,1e9>,"discharge_ohm":<0,1e9>,
    "shared_ohm":<0,1e9>,"c_f":<1e-12,1>}}},"wiper_ratio":<0,1>,"positions":[<0,1>],
    "switch_ohm":{"low":0,"likely":0,"high":<0,10>}},"runs":[{"name":"w","length_m":<0,20>,"conductor":{"awg":{"gauge":20}},
    "parallel":3,"joints_ohm":{"low":0,"likely":0,"high":<0,100>},"insulation_degc":<40,250>,"wanted_drop_ratio":0.01},
    {"name":"v","length_m":<0,20>,"conductor":{"mm2":{"area_mm2":<0.01,1000>}},"joints_ohm":{"low":0,"likely":0,"high":0},
    "insulation_degc":70,"way":"one_way","wanted_drop_ratio":null}],"fuse":{"fitted":{"rating_a":<0.01,1000>,"breaking_a":null,
    "resistance_ohm":{"low":0,"likely":0,"high":<0,100>},"first_at_positive":false}},"charging":{"supply_v":<0.5,100>,
    "supply_a":<0.001,1000>,"kind":"cc_cv","terminals":"board","polarity_checked":true,"connector_a":<0.01,1000>,"runs":[
    {"name":"j","length_m":<0,20>,"conductor":{"mm2":{"area_mm2":<0.01,1000>}},"joints_ohm":{"low":0,"likely":0,"high":0},
    "insulation_degc":70}],"cell_degc":null},
    "ambient_degc":{"low":15,"likely":20,"high":<20,60>},"wanted_runtime_s":<1,2592000>}"#;

const CELL: &str = r#"{"name":"c","chemistry":"nmc","capacity":{"capacity_ah":{"low":<0.5,1>,"likely":1.5,"high":<2,5>},"start_v":4.2,
    "end_v":3.0,"current_a":0.5,"cell_degc":22},"resistance":{"resistance_ohm":{"low":0.05,"likely":0.06,"high":<0.06,0.2>},
    "method":{"dc":{"after_s":10,"current_a":1}},"leads":"four_wire","cell_degc":22,"soc_ratio":0.5},"rest_v":<1,4.2>,
    "discharge_limit_a":null,"charge_limit_a":null}"#;

#[test]
fn sheets_of_any_plan_are_numbers_or_refusals() {
    let draws = Draws::new(21, 32);
    let template = PLAN.replace("CELL", CELL);
    let mut answered = 0;
    for index in 0..40 {
        let text = filled(&template, &draws, index);
        for question in ["parts_list", "diagram", "diagram_svg", "tag", "build_steps", "charts"] {
            match ask(question, &text) {
                Ok(_) => answered += 1,
                Err(errors) => {
                    for error in errors {
                        // A cell's spread may be one that no cell of its chemistry can have.
                        let expected = ["resistance_ohm", "capacity_ah"].contains(&error.field());
                        assert!(expected, "{question}: {} {error} in {text}", error.path());
                    }
                }
            }
        }
    }
    assert!(answered > 120, "{answered}");
}

/// What is asked beside the plan.
const ASKED: [(&str, &str); 4] = [
    ("bench", r#"{"plan":PLAN}"#),
    ("one_fails", r#"{"plan":PLAN}"#),
    (
        "diagnose",
        r#"{"plan":PLAN,"readings":[{"measure":{"tap_v":{"group":1}},"shown":<-1e6,1e7>},{"measure":"pack_v",
        "shown":<-10,20>},{"measure":{"current_a":{"setting":0}},"shown":<-1e6,1e7>},{"measure":"fuse_ohm"},
        {"measure":{"frequency_hz":{"setting":1}},"shown":<-1e6,1e7>},{"measure":"capacitor_f","shown":<0,1>},
        {"measure":"held_v","shown":<0,20>}]}"#,
    ),
    (
        "calibrate",
        r#"{"plan":PLAN,"mean_a":{"low":<0.001,0.1>,"likely":<0.1,1000>,"high":1000},"moments":[{"time_s":<0,1e3>,
        "pack_v":<0.1,500>},{"time_s":<1e3,1e6>,"group_v":[<0.1,5>,<0.1,5>]}],"ended_s":<60,1e6>}"#,
    ),
];

#[test]
fn the_bench_of_any_plan_is_numbers_or_refusals() {
    let draws = Draws::new(22, 32);
    let template = PLAN.replace("CELL", CELL);
    for (question, asked) in ASKED {
        let mut answered = 0;
        for index in 0..40 {
            // The asked values take other places of the sequence than the plan's.
            let plan = filled(&template, &draws, index);
            let text = filled(asked, &draws, 1000 + index).replace("PLAN", &plan);
            match ask(question, &text) {
                Ok(_) => answered += 1,
                Err(errors) => {
                    for error in errors {
                        // A spread may be one that no cell of the chemistry can have, and a run one that none can give.
                        let known = ["resistance_ohm", "capacity_ah", "moments"].contains(&error.field());
                        assert!(known, "{question}: {error} at {} in {text}", error.path());
                    }
                }
            }
        }
        // Most runs drawn like this are none that such cells can give.
        let least = if question == "calibrate" { 0 } else { 10 };
        assert!(answered > least, "{question}: {answered}");
    }
}
