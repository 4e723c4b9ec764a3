//! The JavaScript door, asked in Node and in a browser.
#![cfg(target_arch = "wasm32")]

#[path = "door/corpus.rs"]
mod corpus;
#[path = "door/seeded.rs"]
mod seeded;

use cellwright::ask::Stepped as SteppedInRust;
use cellwright::ask::refused;
use cellwright::wasm::{Stepped, ask, ask_text, questions, version};
use corpus::{GOOD, corpus};
use js_sys::{Function, JSON, Object, Promise, Reflect};
use seeded::{BLOCKS, DRAWN};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use wasm_bindgen_test::wasm_bindgen_test;

/// The value of a JavaScript expression.
fn value(expression: &str) -> JsValue {
    Function::new_no_args(&format!("return ({expression});")).call0(&JsValue::NULL).unwrap()
}

fn get(value: &JsValue, key: &str) -> JsValue {
    Reflect::get(value, &key.into()).unwrap()
}

fn json(value: &JsValue) -> String {
    JSON::stringify(value).unwrap().into()
}

/// Answer or mistakes as JSON text.
fn said(outcome: Result<JsValue, JsValue>) -> String {
    match outcome {
        Ok(answer) => json(&answer),
        Err(error) => {
            assert_eq!(get(&error, "name"), "CellwrightError");
            assert!(error.is_instance_of::<js_sys::Error>());
            json(&get(&error, "errors"))
        }
    }
}

/// Path and code of every mistake.
fn places(outcome: Result<JsValue, JsValue>) -> Vec<String> {
    let errors = js_sys::Array::from(&get(&outcome.unwrap_err(), "errors"));
    let word = |error: &JsValue, key| get(error, key).as_string().unwrap();
    errors.iter().map(|error| format!("{} {}", word(&error, "path"), word(&error, "given"))).collect()
}

/// Here an address has 32 bits: a count beyond them is refused at its place like any other value.
#[wasm_bindgen_test]
fn a_count_too_large_for_an_address_is_told() {
    let told = places(ask("calibrate", &JSON::parse(r#"{"ended_by_group": 4294967296}"#).unwrap()));
    assert!(told.contains(&"/ended_by_group 4294967296".to_owned()), "{told:?}");
}

#[wasm_bindgen_test]
fn a_good_input_has_a_plain_answer() {
    let answer = ask("timer", &JSON::parse(GOOD).unwrap()).unwrap();
    let cycle = get(&get(&answer, "outcome"), "runs");
    assert!(get(&cycle, "frequency_hz").as_f64().unwrap() > 1000.0);
    assert!(Object::is(
        &Reflect::get_prototype_of(&cycle).unwrap(),
        &Reflect::get_prototype_of(&Object::new()).unwrap()
    ));
    assert!(get(&answer, "notes").is_array());
    assert_eq!(json(&ask_text("timer", &GOOD.into()).unwrap()), json(&answer));
    assert_eq!(get(&version().unwrap(), "crate_version"), env!("CARGO_PKG_VERSION"));
    assert!(json(&questions().unwrap()).contains("{\"name\":\"timer\",\"about\":\""));
}

#[wasm_bindgen_test]
fn values_and_text_give_the_same_mistakes() {
    let mut both = 0;
    for text in corpus() {
        let by_text = said(ask_text("timer", &text.as_str().into()));
        if let Err(errors) = cellwright::ask::ask("timer", &text) {
            let refusal = refused(&errors);
            let expected = serde_json::to_value(refusal.get("errors").unwrap()).unwrap();
            assert_eq!(serde_json::from_str::<serde_json::Value>(&by_text).unwrap(), expected, "{text:.200}");
        }
        // What JSON.parse refuses or drops cannot reach the door as a value; half a character has no text to compare.
        if let Ok(value) = JSON::parse(&text)
            && !by_text.contains("given_twice")
            && !by_text.contains("bytes of text")
            && !by_text.contains("surrogates in pairs")
        {
            both += 1;
            assert_eq!(said(ask("timer", &value)), by_text, "{text:.200}");
        }
    }
    assert!(both > 200, "{both}");
    assert!(value("({}).polluted === undefined && Object.keys(Object.prototype).length === 0").is_truthy());
}

#[wasm_bindgen_test]
fn what_only_javascript_has_is_told_with_its_place() {
    let good = "timer: {part: 'bipolar', circuit: {two_resistor: {ra_ohm: 1e4, rb_ohm: 4.7e4, c_f: 1e-8}}}";
    for (expression, expected) in [
        ("undefined", " undefined"),
        ("() => 1", " a function"),
        ("new Map([['supply_v', 9]])", " an object of another kind than a plain one"),
        ("new Date()", " an object of another kind than a plain one"),
        ("new Proxy({}, {ownKeys() { throw new Error('no') }})", " an object that cannot be read"),
        ("Object.create({TIMER, supply_v: 9})", " an object of another kind than a plain one"),
        ("new (class { constructor() { this.supply_v = 9 } })", " an object of another kind than a plain one"),
        (
            "Object.defineProperty({TIMER, supply_v: 9}, 'hidden', {value: 1})",
            " an object of another kind than a plain one",
        ),
        ("({TIMER, supply_v: 9, [Symbol('s')]: 1})", " an object of another kind than a plain one"),
        ("({TIMER, supply_v: NaN})", "/supply_v not a finite number"),
        ("({TIMER, supply_v: -Infinity})", "/supply_v not a finite number"),
        ("({TIMER, supply_v: 9n})", "/supply_v a BigInt"),
        ("({TIMER, supply_v: Symbol('s')})", "/supply_v a symbol"),
        ("({TIMER, supply_v: new Number(9)})", "/supply_v an object of another kind than a plain one"),
        ("({TIMER, supply_v: {valueOf() { return 9 }}})", "/supply_v an object"),
        ("({TIMER, supply_v: undefined})", "/supply_v nothing"),
        ("({TIMER, get supply_v() { throw new Error('no') }})", "/supply_v a property that cannot be read"),
        ("({TIMER, supply_v: [, 9]})", "/supply_v a list with gaps or names"),
        ("({TIMER, supply_v: new Array(9)})", "/supply_v a list with gaps or names"),
        ("({TIMER, supply_v: new Array(4e9)})", "/supply_v a list with gaps or names"),
        ("({TIMER, supply_v: Object.assign([9], {more: 1})})", "/supply_v a list with gaps or names"),
        ("({TIMER, supply_v: new Float64Array([9])})", "/supply_v a list"),
        ("({TIMER, supply_v: new Float32Array([9])})", "/supply_v an array of other numbers than doubles"),
        ("({TIMER, supply_v: 'a\\ud800b'})", "/supply_v text with half a character"),
        ("({TIMER, supply_v: 9, 'a\\ud800b': 1})", " text with half a character"),
        ("(() => { const loop = {TIMER, supply_v: 9}; loop.timer = loop; return loop })()", ""),
        ("(() => { const loop = []; loop.push(loop, loop); return loop })()", ""),
    ] {
        let told = places(ask("timer", &value(&expression.replace("TIMER", good))));
        if expected.is_empty() {
            assert!(told[0].ends_with(" nested deeper"), "{expression}: {told:?}");
        } else {
            assert_eq!(told[0], expected, "{expression}: {told:?}");
        }
    }
}

#[wasm_bindgen_test]
fn inherited_values_are_never_read() {
    let polluted = value("(Object.prototype.supply_v = 9, {timer: 1})");
    let told = places(ask("timer", &polluted));
    value("delete Object.prototype.supply_v");
    assert_eq!(told, ["/timer 1", "/supply_v nothing"]);
}

#[wasm_bindgen_test]
fn values_that_javascript_writes_otherwise_are_read() {
    let null_ground = value("Object.assign(Object.create(null), {resistor_letters: '4K7'})");
    assert_eq!(get(&ask("marking", &null_ground).unwrap(), "ohm"), 4700.0);
    let frozen = value("Object.freeze({resistor_letters: '4K7', capacitor_f: undefined})");
    assert_eq!(get(&ask("marking", &frozen).unwrap(), "ohm"), 4700.0);
    assert_eq!(places(ask("none", &frozen)), [" \"none\""]);
}

#[wasm_bindgen]
extern "C" {
    #[wasm_bindgen(js_name = setTimeout)]
    fn set_timeout(then: &Function, after_ms: u32);
}

/// Lets the browser do what else it has to do: its driver gives up on one that is silent for half a minute.
async fn breathe() {
    let promise = Promise::new(&mut |resolve, _| set_timeout(&resolve, 0));
    JsFuture::from(promise).await.unwrap();
}

/// The digests of the native build stand in the environment of the compiler, where somebody made them.
#[wasm_bindgen_test]
async fn the_same_bits_as_the_native_build() {
    let Some(native) = option_env!("CELLWRIGHT_SEEDED") else { return };
    let mut native = native.split_whitespace();
    for drawn in DRAWN {
        for block in 0..BLOCKS {
            let digest = format!("{:016x}", drawn.ask(block).digest);
            assert_eq!(Some(digest.as_str()), native.next(), "{} block {block}", drawn.question);
            breathe().await;
        }
    }
}

/// The demo plans, through every way in: as a value, as text, and in Rust.
#[wasm_bindgen_test]
fn demo_plans_have_one_report() {
    for plan in [
        include_str!("plans/watering-pump.json"),
        include_str!("plans/seed-drying-blower.json"),
        include_str!("plans/market-stall-lamp.json"),
    ] {
        let by_value = json(&ask("plan", &JSON::parse(plan).unwrap()).unwrap());
        assert_eq!(json(&ask_text("plan", &plan.into()).unwrap()), by_value);
        let rust = serde_json::to_value(cellwright::ask::ask("plan", plan).unwrap()).unwrap();
        assert_eq!(serde_json::from_str::<serde_json::Value>(&by_value).unwrap(), rust);
    }
}

/// Two questions that are stepped, each with the effort that ends it.
#[path = "door/stepped.rs"]
mod stepped;

/// Steps through the door tell what steps in Rust tell, to the last digit.
#[wasm_bindgen_test]
fn steps_are_those_of_rust() {
    for (question, input, counts) in stepped::CASES {
        let mut door = Stepped::new(question, &JSON::parse(input).unwrap()).unwrap();
        let mut rust = SteppedInRust::start(question, input).unwrap();
        for count in counts {
            let told = serde_json::to_value(rust.step(*count).unwrap()).unwrap();
            let shown: serde_json::Value = serde_json::from_str(&json(&door.step(*count).unwrap())).unwrap();
            assert_eq!(shown, told, "{question}");
        }
        assert_eq!(get(&door.step(1.0).unwrap(), "done"), JsValue::TRUE, "{question}");
        assert_eq!(json(&door.answer().unwrap()), json(&ask(question, &JSON::parse(input).unwrap()).unwrap()));
        assert_eq!(places(door.step(-1.0)), ["/count -1"]);
        assert_eq!(places(door.step(f64::NAN)).len(), 1);
    }
    let refused = Stepped::new("timer", &Object::new().into()).unwrap_err();
    assert_eq!(get(&refused, "name"), "CellwrightError");
    assert!(Stepped::new("match", &JsValue::NULL).is_err());
}
