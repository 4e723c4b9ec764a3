//! Prints what TypeScript and JavaScript know about the questions, made from the JSON Schema of the Rust types.
//!
//! ```text
//! typescript -- types        declarations of every type and question, to stand after those of wasm-bindgen
//! typescript -- functions    one function a question, to stand after the JavaScript side
//! ```

use cellwright::ask::{QUESTIONS, Question, Refusal};
use cellwright::pack::group::MatchProgress;
use cellwright::sheet::whole::PlanProgress;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::process::ExitCode;

/// What stands beside the types in any case.
const DOOR: &str = r"/** Questions with what goes in and what comes out. */
export interface Questions {
QUESTIONS}

/** What is thrown where a question has no answer. */
export interface CellwrightError extends Error {
  name: 'CellwrightError';
  errors: Mistake[];
}

/** The answer to a question; throws a `CellwrightError`. */
export function ask<Q extends keyof Questions>(question: Q, input: Questions[Q]['input']): Questions[Q]['answer'];

/** The answer to a question asked in JSON text; throws a `CellwrightError`. */
export function ask_text<Q extends keyof Questions>(question: Q, text: string): Questions[Q]['answer'];

/** Questions that can be asked in steps, with what a step tells. */
export interface SteppedQuestions {
  match: MatchProgress;
  runtime_spread: DrawsProgress;
  plan: PlanProgress;
  compare_plans: PlanProgress;
  parts_list: PlanProgress;
}

/** A question asked in steps: the page stays alive between them. Effort is counted, not timed. */
export class Stepped<Q extends keyof SteppedQuestions> {
  /** Starts the question; throws a `CellwrightError`. */
  constructor(question: Q, input: Questions[Q]['input']);
  /** Spends so many nodes, draws or turns, or fewer where it is done before, and tells how far it has come. */
  step(count: number): SteppedQuestions[Q];
  /** The answer with the effort spent so far; that of a plan once it is done. */
  answer(): Questions[Q]['answer'];
  /** Gives its memory back at once; otherwise that happens when it is forgotten. */
  free(): void;
}

/** Name and purpose of every question. */
export function questions(): { name: keyof Questions; about: string }[];

/** Version of the crate and of its data. */
export function version(): { crate_version: string; data_version: string };
";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).filter(|word| word != "--").collect();
    let said = match words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["types"] => types(),
        ["functions"] => functions(),
        _ => Err("types or functions".into()),
    };
    match said {
        Ok(text) => {
            print!("{text}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

/// Words that JavaScript keeps for itself, as far as a question might be called so.
const RESERVED: [&str; 8] = ["switch", "case", "default", "new", "delete", "function", "export", "import"];

pub(crate) fn functions() -> Result<String, String> {
    let mut text = String::from("\n");
    for question in QUESTIONS {
        if RESERVED.contains(&question.name) || DOOR.contains(&format!("function {}", question.name)) {
            return Err(format!("no function can be called {}", question.name));
        }
        let _ = writeln!(text, "export const {0} = (input) => ask('{0}', input);", question.name);
    }
    Ok(text)
}

/// Every named type once. Where a type goes in and comes out, the way in decides: what may be left out there may be
/// null here.
pub(crate) fn types() -> Result<String, String> {
    let mut named = BTreeMap::new();
    let mut rows = String::new();
    let mut calls = String::new();
    let schemas: Vec<_> = QUESTIONS.iter().map(Question::schemas).collect();
    let inputs = schemas.iter().map(|schemas| schemas.input.as_value());
    let answers = schemas.iter().map(|schemas| schemas.answer.as_value());
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let refusal = generator.into_root_schema_for::<Refusal>();
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let searched = generator.into_root_schema_for::<MatchProgress>();
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let planned = generator.into_root_schema_for::<PlanProgress>();
    for root in inputs.chain(answers).chain([refusal.as_value(), searched.as_value(), planned.as_value()]) {
        collect(root, &mut named)?;
    }
    for (question, schemas) in QUESTIONS.iter().zip(&schemas) {
        let (input, answer) = (title(schemas.input.as_value()), title(schemas.answer.as_value()));
        let about = doc("", question.about);
        let _ = writeln!(rows, "  {}: {{ input: {input}; answer: {answer} }};", question.name);
        let _ = write!(calls, "\n{about}export function {}(input: {input}): {answer};\n", question.name);
    }
    let mut text = String::from("\n");
    for (name, schema) in &named {
        text.push_str(&declaration(name, schema));
    }
    Ok(text + &DOOR.replace("QUESTIONS", &rows) + &calls)
}

fn title(root: &Value) -> &str {
    root["title"].as_str().unwrap_or("unknown")
}

/// Notes every named type of a schema, and refuses two types of one name.
fn collect<'s>(root: &'s Value, named: &mut BTreeMap<&'s str, &'s Value>) -> Result<(), String> {
    let inner = root["$defs"].as_object().into_iter().flatten().map(|(name, schema)| (name.as_str(), schema));
    for (name, schema) in inner.chain([(title(root), root)]) {
        let known = named.entry(name).or_insert(schema);
        if shape(known) != shape(schema) {
            return Err(format!("two different types are called {name}"));
        }
    }
    Ok(())
}

/// A schema without what differs between the way in and the way out.
fn shape(schema: &Value) -> Value {
    match schema {
        Value::Object(fields) => {
            let passing = ["$schema", "$defs", "title", "required", "additionalProperties"];
            let kept = fields.iter().filter(|(key, value)| value.is_object() || !passing.contains(&key.as_str()));
            let kept = kept.filter(|(key, _)| *key != "$defs");
            Value::Object(kept.map(|(key, value)| (key.clone(), shape(value))).collect())
        }
        Value::Array(values) => values.iter().map(shape).collect(),
        other => other.clone(),
    }
}

fn declaration(name: &str, schema: &Value) -> String {
    let about = about(schema, "");
    match schema["properties"].as_object() {
        Some(fields) => format!("{about}export interface {name} {}\n\n", members(fields, schema, "")),
        None => format!("{about}export type {name} = {};\n\n", kind(schema, "")),
    }
}

fn about(schema: &Value, indent: &str) -> String {
    schema["description"].as_str().map(|text| doc(indent, text)).unwrap_or_default()
}

/// A comment; links of the Rust documentation become plain names.
fn doc(indent: &str, text: &str) -> String {
    let plain = text.replace("[`", "`").replace("`]", "`").replace("*/", "* /");
    let lines: Vec<_> = plain.lines().collect();
    match lines.as_slice() {
        [line] => format!("{indent}/** {line} */\n"),
        lines => format!("{indent}/**\n{indent} * {}\n{indent} */\n", lines.join(&format!("\n{indent} * "))),
    }
}

/// Fields in braces.
fn members(fields: &Map<String, Value>, schema: &Value, indent: &str) -> String {
    let inner = format!("{indent}  ");
    let required = |name: &str| schema["required"].as_array().is_some_and(|all| all.iter().any(|one| one == name));
    let mut text = String::from("{\n");
    for (name, field) in fields {
        let mark = if required(name) { "" } else { "?" };
        let _ = writeln!(text, "{}{inner}{name}{mark}: {};", about(field, &inner), kind(field, &inner));
    }
    text + indent + "}"
}

/// The type that a schema stands for.
fn kind(schema: &Value, indent: &str) -> String {
    if let Some(name) = schema["$ref"].as_str().and_then(|path| path.strip_prefix("#/$defs/")) {
        return name.into();
    }
    if let Some(only) = schema.get("const") {
        return only.to_string();
    }
    if let Some(words) = schema["enum"].as_array() {
        return words.iter().map(Value::to_string).collect::<Vec<_>>().join(" | ");
    }
    if let Some(choices) = schema["oneOf"].as_array().or(schema["anyOf"].as_array()) {
        return choices.iter().map(|choice| kind(choice, indent)).collect::<Vec<_>>().join(" | ");
    }
    match &schema["type"] {
        Value::Array(kinds) => {
            let each = |kind: &Value| plain(kind.as_str().unwrap_or_default(), schema, indent);
            kinds.iter().map(each).collect::<Vec<_>>().join(" | ")
        }
        kind => plain(kind.as_str().unwrap_or_default(), schema, indent),
    }
}

fn plain(kind_name: &str, schema: &Value, indent: &str) -> String {
    match kind_name {
        "number" | "integer" => "number".into(),
        "string" | "boolean" | "null" => kind_name.into(),
        "array" => list(schema, indent),
        "object" => match (schema["properties"].as_object(), schema.get("additionalProperties")) {
            (Some(fields), _) => members(fields, schema, indent),
            (None, Some(value)) if value.is_object() => format!("Record<string, {}>", kind(value, indent)),
            _ => "Record<string, never>".into(),
        },
        // A shape that this generator does not know must not become `any` in silence.
        _ => format!("never /* {schema} */"),
    }
}

fn list(schema: &Value, indent: &str) -> String {
    let items = kind(&schema["items"], indent);
    let length = schema["minItems"].as_u64().filter(|length| schema["maxItems"].as_u64() == Some(*length));
    match length {
        Some(length @ 1..=4) => format!("[{}]", vec![items; length as usize].join(", ")),
        _ if items.contains([' ', '|']) => format!("({items})[]"),
        _ => format!("{items}[]"),
    }
}
