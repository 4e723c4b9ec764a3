//! Inputs drawn from seeds, and one number for all bits of their answers.

use cellwright::ask::{Node, ask, refused};
use serde_json::{Value, json};

/// Blocks of inputs of each question; each block has one digest, so that a difference can be narrowed down.
pub(crate) const BLOCKS: u64 = 100;

/// A question, a way to draw its inputs, and how many of them a block has.
pub(crate) struct Drawn {
    pub(crate) question: &'static str,
    input: fn(&mut Dice) -> Value,
    pub(crate) block: u64,
}

/// Questions whose answers are compared bit by bit.
pub(crate) const DRAWN: [Drawn; 4] = [
    Drawn { question: "plan", input: plan, block: 100 },
    Drawn { question: "discharge", input: discharge, block: 10 },
    Drawn { question: "timer", input: timer, block: 100 },
    Drawn { question: "motor_stage", input: motor_stage, block: 100 },
];

/// A sequence of numbers from a seed (Steele, Lea and Flood, 2014; constants from memory).
pub(crate) struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / 9_007_199_254_740_992.0
    }

    fn count(&mut self, low: u64, high: u64) -> u64 {
        low + self.next() % (high - low + 1)
    }

    fn one_of(&mut self, words: &[&str]) -> Value {
        words[self.count(0, words.len() as u64 - 1) as usize].into()
    }

    fn maybe(&mut self, value: Value) -> Value {
        if self.count(0, 1) == 1 { value } else { Value::Null }
    }

    /// An interval around a value that lies between two ends.
    fn interval(&mut self, low: f64, high: f64) -> Value {
        let likely = self.between(low, high);
        let spread = self.between(0.0, 0.1);
        json!({"low": likely * (1.0 - spread), "likely": likely, "high": likely * (1.0 + spread)})
    }
}

fn cell(dice: &mut Dice, chemistry: &Value) -> Value {
    let (start_v, end_v) = if chemistry == "lfp" { (3.65, 2.5) } else { (4.2, 3.0) };
    let method = json!({"dc": {"after_s": dice.between(1.0, 30.0), "current_a": dice.between(0.5, 2.0)}});
    json!({
        "name": format!("A{}", dice.count(1, 99)),
        "chemistry": chemistry,
        "capacity": {
            "capacity_ah": dice.interval(1.2, 3.0), "start_v": start_v, "end_v": end_v,
            "current_a": dice.between(0.2, 1.0), "cell_degc": dice.between(18.0, 30.0)
        },
        "resistance": {
            "resistance_ohm": dice.interval(0.05, 0.1), "method": method,
            "leads": dice.one_of(&["four_wire", "two_wire"]), "cell_degc": 25, "soc_ratio": dice.between(0.3, 0.7)
        },
        "rest_v": dice.maybe(json!(start_v - 0.05)),
    })
}

fn draw(dice: &mut Dice) -> Value {
    match dice.count(0, 3) {
        0 => json!({"current": {"current_a": dice.interval(0.1, 3.0)}}),
        1 => json!({"power": {"power_w": dice.interval(1.0, 25.0)}}),
        2 => json!({"resistance": {"resistance_ohm": dice.interval(4.0, 60.0)}}),
        _ => {
            let exponent = dice.between(1.0, 3.0);
            json!({"follows_voltage": {"power_w": dice.interval(2.0, 25.0), "at_v": 12, "exponent": exponent}})
        }
    }
}

fn load(dice: &mut Dice) -> Value {
    let drop_out_v = dice.between(3.0, 9.0);
    let (from_v, to_v, surge_a) = (dice.between(5.0, 10.0), dice.between(12.0, 20.0), dice.between(3.0, 20.0));
    json!({
        "name": "pump", "draw": draw(dice), "duty": dice.between(0.1, 1.0), "chopped": dice.count(0, 1) == 1,
        "works_from_v": dice.maybe(json!(from_v)), "works_to_v": dice.maybe(json!(to_v)),
        "drop_out_v": dice.maybe(json!(drop_out_v)), "surge_a": dice.maybe(json!(surge_a)), "surge_s": dice.maybe(json!(0.1)),
    })
}

fn pack(dice: &mut Dice, most_parallel: u64) -> Value {
    let chemistry = dice.one_of(&["lco", "nmc", "nca", "lfp"]);
    let (full_v, floor_v) = if chemistry == "lfp" { (3.6, 2.6) } else { (4.15, 3.1) };
    let parallel = dice.count(1, most_parallel);
    let groups: Vec<_> = (0..dice.count(3, 4))
        .map(|_| json!({"cells": (0..parallel).map(|_| cell(dice, &chemistry)).collect::<Vec<_>>()}))
        .collect();
    json!({"groups": groups, "link_ohm": dice.interval(0.001, 0.02), "full_v": full_v, "floor_v": floor_v})
}

fn discharge(dice: &mut Dice) -> Value {
    let cut_off_v = dice.between(2.3, 3.0);
    json!({
        "own_chemistries": [], "pack": pack(dice, 3), "loads": (0..dice.count(1, 3)).map(|_| load(dice)).collect::<Vec<_>>(),
        "lead_ohm": dice.interval(0.01, 0.2), "ambient_degc": {"low": 5, "likely": 15, "high": 25},
        "cut_off_v": dice.maybe(json!(cut_off_v)),
    })
}

/// A plan of one to three loads, with or without everything that may be left out.
fn plan(dice: &mut Dice) -> Value {
    let (board, mut control, fuse, charging) = (board(dice), control(dice), fuse(dice), charging(dice));
    let mut loads: Vec<Value> = (0..dice.count(1, 3)).map(|_| load(dice)).collect();
    if dice.count(0, 1) == 1 {
        // The control drives the first load alone.
        for (i, load) in loads.iter_mut().enumerate() {
            load["chopped"] = json!(i == 0);
        }
        control["driven"] = driven(dice);
    }
    let wanted_s = dice.between(600.0, 20e3);
    let (direct_a, direct_v) = (json!(dice.between(1.0, 15.0)), json!(dice.between(6.0, 30.0)));
    let fitted = json!({"fitted": {"direct_a": dice.maybe(direct_a), "direct_v": dice.maybe(direct_v)}});
    let main_switch = if dice.count(0, 3) == 0 { json!("none") } else { dice.maybe(fitted) };
    let colder = dice.between(-5.0, 15.0);
    let most_parallel = if dice.count(0, 9) == 0 { 2 } else { 1 };
    json!({
        "format": 1, "name": "a seeded build", "origin": dice.one_of(&["salvaged", "new"]), "own_chemistries": [],
        // Mostly strings of single cells, which take the least time; the question discharge has the others.
        "pack": pack(dice, most_parallel), "protection": dice.maybe(board), "loads": loads,
        "control": dice.maybe(control), "runs": (0..dice.count(1, 4)).map(|_| run(dice)).collect::<Vec<_>>(),
        "fuse": dice.maybe(fuse), "main_switch": main_switch, "charging": dice.maybe(charging),
        "ambient_degc": {"low": colder, "likely": colder + 10.0, "high": colder + 25.0},
        "wanted_runtime_s": dice.maybe(json!(wanted_s)),
    })
}

fn board(dice: &mut Dice) -> Value {
    if dice.count(0, 3) == 0 {
        return "none".into();
    }
    let (over_v, cut_off_v, continuous_a) = (dice.between(3.6, 4.3), dice.between(2.3, 3.0), dice.between(2.0, 20.0));
    let trip_a = dice.interval(8.0, 60.0);
    let balances = dice.count(0, 1) == 1;
    json!({"board": {
        "over_voltage_v": dice.maybe(json!(over_v)), "cut_off_v": dice.maybe(json!(cut_off_v)),
        "continuous_a": dice.maybe(json!(continuous_a)), "trip_a": dice.maybe(trip_a),
        "series": dice.count(3, 4), "balance_a": dice.maybe(json!(0.06)),
        "balances": dice.maybe(json!(balances)), "resistance_ohm": dice.interval(0.005, 0.05),
    }})
}

fn control(dice: &mut Dice) -> Value {
    let circuit = json!({"diode_steered": {
        "ra_ohm": dice.between(1e3, 5e3), "pot_ohm": dice.between(2e4, 2e5), "wiper_ratio": 0.5,
        "charge_ohm": dice.between(100.0, 2e3), "discharge_ohm": dice.between(100.0, 2e3), "c_f": dice.between(1e-9, 1e-6),
    }});
    let positions: Vec<_> = (0..dice.count(0, 2)).map(|_| dice.between(0.0, 1.0)).collect();
    let part = dice.one_of(&["bipolar", "cmos"]);
    json!({
        "timer": {"part": part, "circuit": circuit}, "wiper_ratio": dice.between(0.05, 0.95), "positions": positions,
        "switch_ohm": dice.interval(0.005, 0.1),
        "switch": {"transistor": dice.one_of(&["irfz44n", "csd18510ktt", "tip120"]), "gate_ohm": 47, "pull_down_ohm": 1e4, "flyback": "schottky"},
        "capacitor": {"c_f": dice.between(1e-5, 1e-3), "esr_ohm": dice.between(0.01, 0.5)},
    })
}

/// A machine behind the switch.
fn driven(dice: &mut Dice) -> Value {
    let (power_w, motor_ohm, motor_h) = (dice.interval(3.0, 25.0), dice.interval(0.5, 4.0), dice.between(1e-4, 5e-3));
    let winding = json!({"motor_ohm": dice.maybe(motor_ohm), "motor_h": dice.maybe(json!(motor_h))});
    let points =
        json!([{"duty": 0.05, "speed_ratio": 0.3, "mean_a": 0.3}, {"duty": 1.0, "speed_ratio": 1.0, "mean_a": 1.4}]);
    let machine = match dice.count(0, 4) {
        0 => json!({"blower": {"power_w": power_w, "at_v": 12, "drive": {"brushed": winding}}}),
        1 => {
            json!({"pump": {"power_w": power_w, "at_v": 12, "kind": {"positive_displacement": {"flow_m3_per_s": 1e-4}},
            "motor_ohm": winding["motor_ohm"], "motor_h": winding["motor_h"]}})
        }
        2 => json!({"heater": {"resistance_ohm": dice.interval(4.0, 60.0)}}),
        3 => {
            json!({"brushless_pump": {"power_w": power_w, "at_v": 12, "curve": {"points": points},
            "kind": {"positive_displacement": {"flow_m3_per_s": 1e-4}}}})
        }
        _ => json!({"electronics": {"power_w": power_w}}),
    };
    let start_v = dice.interval(1.0, 4.0);
    json!({"machine": machine, "count": 1, "joined": "parallel", "start_v": dice.maybe(start_v)})
}

fn run(dice: &mut Dice) -> Value {
    let conductor = if dice.count(0, 1) == 1 {
        json!({"awg": {"gauge": dice.count(10, 24)}})
    } else {
        json!({"mm2": {"area_mm2": dice.between(0.25, 4.0)}})
    };
    let ratio = dice.between(0.005, 0.1);
    json!({
        "name": "a lead", "length_m": dice.between(0.05, 5.0), "conductor": conductor,
        "joints_ohm": dice.interval(0.001, 0.02), "insulation_degc": dice.between(60.0, 105.0),
        "wanted_drop_ratio": dice.maybe(json!(ratio)),
    })
}

fn fuse(dice: &mut Dice) -> Value {
    if dice.count(0, 3) == 0 {
        return "none".into();
    }
    let breaking_a = dice.between(50.0, 2000.0);
    let first = dice.count(0, 1) == 1;
    let family = dice.one_of(&["blade", "large_blade", "tube_ul", "tube_iec"]);
    json!({"fitted": {
        "family": dice.maybe(json!(family)), "rating_a": dice.between(1.0, 20.0), "breaking_a": dice.maybe(json!(breaking_a)),
        "resistance_ohm": dice.interval(0.002, 0.05), "first_at_positive": dice.maybe(json!(first)),
    }})
}

fn charging(dice: &mut Dice) -> Value {
    let (terminals, kind) =
        (dice.one_of(&["board", "cells", "each_group"]), dice.one_of(&["cc_cv", "cc_cv", "voltage_supply"]));
    let colder = dice.between(-10.0, 15.0);
    let (diode_v, lead) = (dice.interval(0.2, 0.8), run(dice));
    json!({
        "supply_v": dice.between(10.0, 18.0), "supply_a": dice.between(0.3, 4.0), "kind": kind,
        "terminals": dice.maybe(json!(terminals)), "diode_v": dice.maybe(diode_v), "runs": dice.maybe(json!([lead])),
        "cell_degc": dice.maybe(json!({"low": colder, "likely": colder + 5.0, "high": colder + 20.0})),
    })
}

fn timer(dice: &mut Dice) -> Value {
    let c_f = dice.between(1e-9, 1e-6);
    let circuit =
        json!({"two_resistor": {"ra_ohm": dice.between(1e3, 1e5), "rb_ohm": dice.between(1e3, 1e5), "c_f": c_f}});
    let degc = dice.between(-20.0, 60.0);
    let part = dice.one_of(&["bipolar", "cmos"]);
    json!({
        "timer": {"part": part, "circuit": circuit}, "supply_v": dice.between(5.0, 14.0),
        "temperature_degc": dice.maybe(json!(degc)),
    })
}

fn motor_stage(dice: &mut Dice) -> Value {
    let supply_v = dice.between(9.0, 12.6);
    json!({
        "supply_v": supply_v, "duty": dice.between(0.05, 0.95), "frequency_hz": dice.between(50.0, 30e3),
        "motor_ohm": dice.between(0.3, 10.0), "motor_h": dice.between(1e-5, 5e-3),
        "back_emf_v": supply_v * dice.between(0.0, 0.9), "switch_ohm": dice.between(0.001, 0.1),
        "flyback": dice.one_of(&["silicon", "schottky"]),
    })
}

/// What came of a block: one number for every bit of it, and how many inputs had an answer.
#[allow(dead_code)] // not every user counts
pub(crate) struct Block {
    pub(crate) digest: u64,
    pub(crate) answered: u64,
}

impl Drawn {
    /// Asks one block of inputs.
    pub(crate) fn ask(&self, block: u64) -> Block {
        let mut digest = Digest::new();
        let mut answered = 0;
        for seed in block * self.block..(block + 1) * self.block {
            match ask(self.question, &(self.input)(&mut Dice(seed)).to_string()) {
                Ok(node) => {
                    answered += 1;
                    digest.node(&node);
                }
                Err(errors) => digest.node(&refused(&errors)),
            }
        }
        Block { digest: digest.0, answered }
    }
}

/// FNV-1a over 64 bits (Fowler, Noll and Vo; constants from memory).
struct Digest(u64);

impl Digest {
    fn new() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }

    fn bytes(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }

    fn node(&mut self, node: &Node) {
        match node {
            Node::Number(number) => self.bytes(&number.to_bits().to_le_bytes()),
            Node::Text(text) => self.bytes(text.as_bytes()),
            Node::List(values) => values.iter().for_each(|value| self.node(value)),
            Node::Object(entries) => entries.iter().for_each(|(key, value)| {
                self.bytes(key.as_bytes());
                self.node(value);
            }),
            other => self.bytes(format!("{other:?}").as_bytes()),
        }
    }
}
