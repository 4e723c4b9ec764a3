//! Whatever is made worse never makes the verdict better, nor what is promised longer.
#![cfg(not(target_arch = "wasm32"))]

use cellwright::ask::{Node, ask};
use cellwright::quantity::draw::Draws;
use serde_json::{Value, json};

const PLANS: [&str; 3] = [
    include_str!("plans/watering-pump.json"),
    include_str!("plans/seed-drying-blower.json"),
    include_str!("plans/market-stall-lamp.json"),
];

/// Plans that are drawn, and changes each of them is put to.
const DRAWN: u32 = 66;
const CHANGES: u32 = 3;
/// A run is stepped, and its end found to this: half a second, or one in ten thousand.
const SAME_S: f64 = 0.5;
const SAME_RATIO: f64 = 1e-4;

/// Numbers of one plan, in order.
struct Dice {
    draws: Draws,
    index: u32,
    place: usize,
}

impl Dice {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.place += 1;
        low + (high - low) * self.draws.unit(self.index, self.place % 64)
    }

    fn below(&mut self, count: usize) -> usize {
        (self.between(0.0, count as f64) as usize).min(count - 1)
    }

    fn likely(&mut self, ratio: f64) -> bool {
        self.between(0.0, 1.0) < ratio
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn times(value: &mut Value, ratio: f64) {
    match value {
        Value::Object(ends) => ends.values_mut().for_each(|end| *end = json!(number(end) * ratio)),
        value => *value = json!(number(value) * ratio),
    }
}

fn plus(value: &mut Value, more: f64) {
    *value = json!(number(value) + more);
}

fn list<'v>(value: &'v mut Value, name: &str) -> &'v mut Vec<Value> {
    value[name].as_array_mut().unwrap()
}

fn cells(plan: &mut Value) -> Vec<&mut Value> {
    list(&mut plan["pack"], "groups").iter_mut().flat_map(|group| list(group, "cells")).collect()
}

/// A demo plan, whose loads draw the same power at any voltage, near to or far from its limits.
fn drawn(dice: &mut Dice) -> Value {
    let mut plan: Value = serde_json::from_str(PLANS[dice.below(PLANS.len())]).unwrap();
    for load in list(&mut plan, "loads") {
        let likely = dice.between(4.0, 16.0);
        load["draw"] = json!({"power": {"power_w": {"low": 0.9 * likely, "likely": likely, "high": 1.1 * likely}}});
    }
    if plan["control"].is_object() {
        plan["control"]["driven"] = Value::Null;
    }
    if plan["charging"].is_null() {
        let pump: Value = serde_json::from_str(PLANS[0]).unwrap();
        plan["charging"] = pump["charging"].clone();
        plan["charging"]["supply_v"] =
            json!(number(&plan["pack"]["full_v"]) * list(&mut plan["pack"], "groups").len() as f64);
    }
    let far = dice.likely(0.4);
    let (low, high) = if far { (0.7, 1.6) } else { (0.95, 1.1) };
    for cell in cells(&mut plan) {
        times(&mut cell["capacity"]["capacity_ah"], dice.between(low, high));
        times(&mut cell["resistance"]["resistance_ohm"], dice.between(low, high));
    }
    if far {
        for run in list(&mut plan, "runs") {
            let area_mm2 = [0.25, 0.5, 0.75, 1.0, 1.5][dice.below(5)];
            run["conductor"] = json!({"mm2": {"area_mm2": area_mm2}});
            run["lies"] = [json!(null), json!("free_air"), json!("surface"), json!("box")][dice.below(4)].clone();
        }
        if let Some(fuse) = plan["fuse"].get_mut("fitted") {
            fuse["rating_a"] = [json!(2), json!(3), json!(4), json!(5), json!(10)][dice.below(5)].clone();
        }
    }
    plan
}

/// Whether a change also shortens the promised run, or leaves it.
#[derive(Clone, Copy, PartialEq)]
enum Run {
    NoLonger,
    Either,
}

type Change = (&'static str, Run, fn(&mut Value, &mut Dice) -> bool);

/// A lead of the plan.
fn lead<'v>(plan: &'v mut Value, dice: &mut Dice) -> &'v mut Value {
    let runs = list(plan, "runs");
    let i = dice.below(runs.len());
    &mut runs[i]
}

fn cell<'v>(plan: &'v mut Value, dice: &mut Dice) -> &'v mut Value {
    let mut all = cells(plan);
    let i = dice.below(all.len());
    all.swap_remove(i)
}

/// Sets a field of something that is there.
fn worsen(place: Option<&mut Value>, change: impl FnOnce(&mut Value)) -> bool {
    match place {
        Some(value) if !value.is_null() => {
            change(value);
            true
        }
        _ => false,
    }
}

const WORSE: &[Change] = &[
    ("a weaker cell", Run::NoLonger, |plan, dice| {
        times(&mut cell(plan, dice)["capacity"]["capacity_ah"], dice.between(0.8, 0.99));
        true
    }),
    ("weaker cells", Run::NoLonger, |plan, dice| {
        let ratio = dice.between(0.8, 0.99);
        for cell in cells(plan) {
            times(&mut cell["capacity"]["capacity_ah"], ratio);
        }
        true
    }),
    ("cells of more resistance", Run::NoLonger, |plan, dice| {
        let ratio = dice.between(1.02, 1.4);
        for cell in cells(plan) {
            times(&mut cell["resistance"]["resistance_ohm"], ratio);
        }
        true
    }),
    ("a thinner lead", Run::NoLonger, |plan, dice| {
        worsen(lead(plan, dice)["conductor"].get_mut("mm2"), |mm2| times(&mut mm2["area_mm2"], dice.between(0.4, 0.95)))
    }),
    ("a longer lead", Run::NoLonger, |plan, dice| {
        times(&mut lead(plan, dice)["length_m"], dice.between(1.05, 3.0));
        true
    }),
    ("worse joints", Run::NoLonger, |plan, dice| {
        times(&mut lead(plan, dice)["joints_ohm"], dice.between(1.1, 4.0));
        true
    }),
    ("insulation for less heat", Run::Either, |plan, dice| {
        plus(&mut lead(plan, dice)["insulation_degc"], -dice.between(1.0, 25.0));
        true
    }),
    ("more load", Run::NoLonger, |plan, dice| {
        let ratio = dice.between(1.02, 1.5);
        for load in list(plan, "loads") {
            times(&mut load["draw"]["power"]["power_w"], ratio);
        }
        true
    }),
    ("a larger surge", Run::Either, |plan, dice| {
        worsen(plan["loads"][0].get_mut("surge_a"), |surge_a| times(surge_a, dice.between(1.1, 3.0)))
    }),
    ("a load that stands less", Run::Either, |plan, dice| {
        worsen(plan["loads"][0].get_mut("works_to_v"), |works_to_v| plus(works_to_v, -dice.between(0.1, 2.0)))
    }),
    ("a fuse that breaks less", Run::Either, |plan, dice| {
        worsen(plan.pointer_mut("/fuse/fitted/breaking_a"), |breaking_a| times(breaking_a, dice.between(0.1, 0.9)))
    }),
    ("a fuse that is not first", Run::Either, |plan, _| {
        worsen(plan.pointer_mut("/fuse/fitted/first_at_positive"), |first| *first = json!(false))
    }),
    ("no fuse", Run::Either, |plan, _| worsen(plan.get_mut("fuse"), |fuse| *fuse = json!("none"))),
    ("no board", Run::Either, |plan, _| worsen(plan.get_mut("protection"), |board| *board = json!("none"))),
    ("a board that carries less", Run::Either, |plan, dice| {
        worsen(plan.pointer_mut("/protection/board/continuous_a"), |a| times(a, dice.between(0.1, 0.9)))
    }),
    ("a board that cuts charging later", Run::Either, |plan, dice| {
        worsen(plan.pointer_mut("/protection/board/over_voltage_v"), |v| plus(v, dice.between(0.01, 0.4)))
    }),
    ("a board of another count", Run::Either, |plan, _| {
        worsen(plan.pointer_mut("/protection/board/series"), |series| *series = json!(2))
    }),
    ("a board of more resistance", Run::NoLonger, |plan, dice| {
        worsen(plan.pointer_mut("/protection/board/resistance_ohm"), |ohm| times(ohm, dice.between(1.1, 4.0)))
    }),
    ("a weaker main switch", Run::Either, |plan, dice| {
        worsen(plan.pointer_mut("/main_switch/fitted/direct_a"), |a| times(a, dice.between(0.1, 0.9)))
    }),
    ("a hotter place", Run::NoLonger, |plan, dice| {
        let more = dice.between(1.0, 60.0 - number(&plan["ambient_degc"]["high"]));
        plus(&mut plan["ambient_degc"]["high"], more);
        true
    }),
    ("a colder place", Run::NoLonger, |plan, dice| {
        plus(&mut plan["ambient_degc"]["low"], -dice.between(1.0, 20.0));
        true
    }),
    ("a charger of more voltage", Run::Either, |plan, dice| {
        plus(&mut plan["charging"]["supply_v"], dice.between(0.02, 7.0));
        true
    }),
    ("a charger of more current", Run::Either, |plan, dice| {
        times(&mut plan["charging"]["supply_a"], dice.between(1.05, 4.0));
        true
    }),
    ("a jack straight to the cells", Run::Either, |plan, _| {
        worsen(plan.pointer_mut("/charging/terminals"), |terminals| *terminals = json!("cells"))
    }),
    ("a supply for a charger", Run::Either, |plan, _| {
        worsen(plan.pointer_mut("/charging/kind"), |kind| *kind = json!("voltage_supply"))
    }),
    ("charging colder", Run::Either, |plan, dice| {
        worsen(plan.pointer_mut("/charging/cell_degc/low"), |low| plus(low, -dice.between(1.0, 25.0)))
    }),
    ("worse links", Run::NoLonger, |plan, dice| {
        times(&mut plan["pack"]["link_ohm"], dice.between(1.2, 4.0));
        true
    }),
    ("a lower floor", Run::Either, |plan, dice| {
        plus(&mut plan["pack"]["floor_v"], -dice.between(0.05, 0.6));
        true
    }),
    ("a cell found lower", Run::Either, |plan, dice| {
        worsen(cell(plan, dice).get_mut("rest_v"), |rest_v| plus(rest_v, -dice.between(0.1, 2.0)))
    }),
    ("nobody knows the diode", Run::Either, |plan, _| {
        worsen(plan.pointer_mut("/control/switch/flyback"), |flyback| *flyback = Value::Null)
    }),
    ("nobody knows the switch", Run::Either, |plan, _| {
        worsen(plan.pointer_mut("/control/switch"), |switch| *switch = Value::Null)
    }),
    ("a switch of more resistance", Run::NoLonger, |plan, dice| {
        worsen(plan.pointer_mut("/control/switch_ohm"), |ohm| times(ohm, dice.between(1.2, 4.0)))
    }),
    ("everything less certain", Run::NoLonger, |plan, dice| {
        widen(plan, dice.between(1.05, 1.6));
        true
    }),
];

/// Every interval wider about its likely value.
fn widen(value: &mut Value, ratio: f64) {
    match value {
        Value::Object(ends) if ends.len() == 3 && ends.contains_key("likely") => {
            let [low, likely, high] = ["low", "likely", "high"].map(|end| number(&ends[end]));
            let below = likely - (likely - low) * ratio;
            ends["low"] = json!(if low < 0.0 { below } else { below.max(0.0) });
            ends["high"] = json!(likely + (high - likely) * ratio);
        }
        Value::Object(fields) => fields.values_mut().for_each(|field| widen(field, ratio)),
        Value::Array(values) => values.iter_mut().for_each(|value| widen(value, ratio)),
        _ => {}
    }
}

struct Told {
    badness: usize,
    least_s: f64,
}

/// What a plan tells; nothing where it is refused.
fn told(plan: &Value) -> Option<Told> {
    let Node::Object(answer) = ask("plan", &plan.to_string()).ok()? else { panic!("no object") };
    let field = |fields: &[(_, Node)], name: &str| fields.iter().find(|(key, _)| *key == *name).unwrap().1.clone();
    let Node::List(findings) = field(&answer, "findings") else { panic!("no list") };
    let badness = findings.iter().map(|finding| {
        let Node::Object(finding) = finding else { panic!("no object") };
        let text = |name: &str| match field(finding, name) {
            Node::Text(text) => text.clone(),
            _ => panic!("no text"),
        };
        // A short is milder behind more resistance, and worse with less: what fails is not told by what is worse in use.
        if text("urgency") != "stop" || text("code").starts_with("one_fails") {
            return 0;
        }
        if text("judgement") == "broken" { 2 } else { 1 }
    });
    let badness = badness.max().unwrap_or(0);
    let Node::Object(runtime) = field(&answer, "runtime") else { panic!("no object") };
    let Node::Object(runtime_s) = field(&runtime, "runtime_s") else { panic!("no object") };
    let Node::Number(least_s) = field(&runtime_s, "low") else { panic!("no number") };
    Some(Told { badness, least_s })
}

#[test]
fn what_is_worse_is_never_told_to_be_better() {
    let (mut ready, mut tried) = (0, vec![0; WORSE.len()]);
    for index in 0..DRAWN {
        let mut dice = Dice { draws: Draws::new(33, 64), index, place: 0 };
        let plan = drawn(&mut dice);
        let Some(before) = told(&plan) else { continue };
        ready += u32::from(before.badness == 0);
        for turn in 0..CHANGES {
            let i = (index * CHANGES + turn) as usize % WORSE.len();
            let (name, run, change) = WORSE[i];
            let mut worse = plan.clone();
            if !change(&mut worse, &mut dice) {
                continue;
            }
            let Some(after) = told(&worse) else { continue };
            tried[i] += 1;
            assert!(after.badness >= before.badness, "{name} in {plan}\nbecomes {worse}");
            let most_s = before.least_s * (1.0 + SAME_RATIO) + SAME_S;
            assert!(run == Run::Either || after.least_s <= most_s, "{name}: {} s in {plan}\n{worse}", after.least_s);
        }
    }
    assert!(ready > 20, "{ready} plans were ready");
    let untried: Vec<_> =
        WORSE.iter().zip(&tried).filter(|(_, tried)| **tried == 0).map(|((name, ..), _)| name).collect();
    assert!(untried.is_empty(), "{untried:?}");
}
