//! The JavaScript door: plain values in, plain values out.
//!
//! A value is read by its own enumerable properties alone; inherited ones, getters that throw, holes, functions and
//! the like are told as mistakes with their place, as JSON text's are. A question without an answer throws an `Error`
//! whose `errors` lists all mistakes. Nothing that is handed out must be freed; a [`Stepped`] question may be.

use crate::ask::{self, Budget, Node, Place, QUESTIONS, Question, ask as ask_json, refused};
use crate::error::Error;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use js_sys::{Array, ArrayBuffer, Float64Array, JSON, JsString, Object, Reflect};
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
extern "C" {
    /// As in js-sys, but what a proxy throws is caught.
    #[wasm_bindgen(js_namespace = Object, js_name = keys, catch)]
    fn own_keys(value: &JsValue) -> Result<Array, JsValue>;

    /// What every plain object inherits from.
    #[wasm_bindgen(thread_local_v2, js_namespace = Object, js_name = prototype)]
    static GROUND: JsValue;
}

/// A defect's message reaches the console instead of "unreachable".
#[wasm_bindgen(start)]
fn start() {
    console_error_panic_hook::set_once();
}

/// The answer to the question called `name`.
///
/// # Errors
///
/// Throws an `Error` with every mistake in `errors`.
#[wasm_bindgen(skip_typescript)]
pub fn ask(name: &str, input: &JsValue) -> Result<JsValue, JsValue> {
    let asked = || Question::named(name)?.answer(&node(input, &Place::whole(), &mut Budget::default())?);
    handed_out(&asked().map_err(|errors| thrown(&errors))?)
}

/// The answer to the question called `name`, asked in JSON text, such as a file that a person opens.
///
/// # Errors
///
/// Throws an `Error` with every mistake in `errors`.
#[wasm_bindgen(skip_typescript)]
pub fn ask_text(name: &str, text: &JsString) -> Result<JsValue, JsValue> {
    let asked = || ask_json(name, &characters(text, &Place::whole())?);
    handed_out(&asked().map_err(|errors| thrown(&errors))?)
}

/// A question that is asked in steps.
///
/// Its memory is given back when JavaScript forgets it, or at once by `free()`.
#[wasm_bindgen(skip_typescript)]
#[derive(Debug)]
pub struct Stepped {
    work: ask::Stepped,
}

#[wasm_bindgen]
impl Stepped {
    /// Starts the question called `name`.
    ///
    /// # Errors
    ///
    /// Throws an `Error` with every mistake in `errors`.
    #[wasm_bindgen(constructor, skip_typescript)]
    pub fn new(name: &str, input: &JsValue) -> Result<Stepped, JsValue> {
        let begun = || ask::Stepped::begin(name, &node(input, &Place::whole(), &mut Budget::default())?);
        Ok(Self { work: begun().map_err(|errors| thrown(&errors))? })
    }

    /// Spends `count` nodes, draws or turns and tells how far it has come.
    ///
    /// # Errors
    ///
    /// Throws an `Error` where `count` is not accepted.
    #[wasm_bindgen(skip_typescript)]
    pub fn step(&mut self, count: f64) -> Result<JsValue, JsValue> {
        handed_out(&self.work.step(count).map_err(|errors| thrown(&errors))?)
    }

    /// The answer with the effort spent so far.
    ///
    /// # Errors
    ///
    /// Throws an `Error` with every mistake in `errors`.
    #[wasm_bindgen(skip_typescript)]
    pub fn answer(&self) -> Result<JsValue, JsValue> {
        handed_out(&self.work.answer().map_err(|errors| thrown(&errors))?)
    }
}

/// Name and purpose of every question.
///
/// # Errors
///
/// None but a defect.
#[wasm_bindgen(skip_typescript)]
pub fn questions() -> Result<JsValue, JsValue> {
    let row = |question: &Question| {
        Node::Object([("name".into(), text(question.name)), ("about".into(), text(question.about))].into())
    };
    handed_out(&Node::List(QUESTIONS.iter().map(row).collect()))
}

/// Version of the crate and of its data.
///
/// # Errors
///
/// None but a defect.
#[wasm_bindgen(skip_typescript)]
pub fn version() -> Result<JsValue, JsValue> {
    let of_crate = ("crate_version".into(), text(env!("CARGO_PKG_VERSION")));
    let of_data = ("data_version".into(), text(crate::data::VERSION));
    handed_out(&Node::Object([of_crate, of_data].into()))
}

fn text(words: &str) -> Node {
    Node::Text(words.into())
}

/// Goes over as one text: making a report value by value crosses the door ten thousand times.
fn handed_out(value: &Node) -> Result<JsValue, JsValue> {
    JSON::parse(&ask::write(value))
}

/// The `Error` that JavaScript catches.
fn thrown(errors: &[Error]) -> JsValue {
    let messages: Vec<_> = errors.iter().map(Error::to_string).collect();
    let error = js_sys::Error::new(&messages.join("; "));
    error.set_name("CellwrightError");
    let list = refused(errors).get("errors").map_or(Ok(JsValue::NULL), handed_out);
    match list.and_then(|list| Reflect::set(&error, &"errors".into(), &list)) {
        Ok(_) => error.into(),
        Err(defect) => defect,
    }
}

/// What a JavaScript value stands for.
fn node(value: &JsValue, place: &Place<'_>, budget: &mut Budget) -> Result<Node, Error> {
    budget.value(place)?;
    if let Some(number) = value.as_f64() {
        return Ok(Node::Number(number));
    }
    if let Some(words) = value.dyn_ref::<JsString>() {
        budget.bytes(words.length() as usize)?;
        return characters(words, place).map(Node::Text);
    }
    if value.is_object() {
        return object(value, place, budget);
    }
    Ok(match value.as_bool() {
        Some(flag) => Node::Bool(flag),
        None if value.is_null() => Node::Null,
        None if value.is_undefined() => Node::Odd("undefined"),
        None if value.is_function() => Node::Odd("a function"),
        None if value.is_symbol() => Node::Odd("a symbol"),
        None => Node::Odd("a BigInt"),
    })
}

/// The characters of a text; half of a surrogate pair has none.
fn characters(words: &JsString, place: &Place<'_>) -> Result<String, Error> {
    let characters = String::from(words);
    if characters.contains('\u{fffd}') && !words.is_valid_utf16() {
        let error = Error::other(place.field(), "text with half a character", "whole characters");
        return Err(error.placed(place.pointer()));
    }
    Ok(characters)
}

/// A list, an array of doubles, or an object of the plain kind.
fn object(value: &JsValue, place: &Place<'_>, budget: &mut Budget) -> Result<Node, Error> {
    if ArrayBuffer::is_view(value) {
        return doubles(value, place, budget);
    }
    let Ok(all) = Reflect::own_keys(value) else {
        return Ok(Node::Odd("an object that cannot be read"));
    };
    if Array::is_array(value) {
        let length = Reflect::get(value, &"length".into()).ok().and_then(|length| length.as_f64());
        // Besides its values, a list owns its length alone.
        if length != Some(f64::from(all.length()) - 1.0) {
            return Ok(Node::Odd("a list with gaps or names"));
        }
        let values = (0..all.length() - 1).map(|index| {
            let place = place.index(index as usize);
            node(&Reflect::get_u32(value, index).unwrap_or(JsValue::UNDEFINED), &place, budget)
        });
        return values.collect::<Result<_, _>>().map(Node::List);
    }
    match own_keys(value) {
        Ok(keys) if keys.length() == all.length() && is_plain(value) => entries(value, &keys, place, budget),
        _ => Ok(Node::Odd("an object of another kind than a plain one")),
    }
}

fn doubles(value: &JsValue, place: &Place<'_>, budget: &mut Budget) -> Result<Node, Error> {
    let Some(numbers) = value.dyn_ref::<Float64Array>() else {
        return Ok(Node::Odd("an array of other numbers than doubles"));
    };
    for index in 0..numbers.length() {
        budget.value(&place.index(index as usize))?;
    }
    Ok(Node::List(numbers.to_vec().into_iter().map(Node::Number).collect()))
}

/// Whether an object inherits from nothing but the common ground of all objects.
fn is_plain(value: &JsValue) -> bool {
    let above = Reflect::get_prototype_of(value);
    above.is_ok_and(|above| above.is_null() || GROUND.with(|ground| Object::is(ground, &above)))
}

/// Names and values; a value that is undefined counts as left out.
fn entries(value: &JsValue, keys: &Array, place: &Place<'_>, budget: &mut Budget) -> Result<Node, Error> {
    let mut entries = Vec::with_capacity(keys.length() as usize);
    for key in keys.iter() {
        let name = key.unchecked_ref::<JsString>();
        budget.bytes(name.length() as usize)?;
        let name = characters(name, place)?;
        let place = place.key(&name);
        let node = match Reflect::get(value, &key) {
            Ok(held) if held.is_undefined() => continue,
            Ok(held) => node(&held, &place, budget)?,
            Err(_) => Node::Odd("a property that cannot be read"),
        };
        entries.push((name.into(), node));
    }
    Ok(Node::Object(entries))
}
