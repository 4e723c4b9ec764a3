//! Inputs of every shape that a question's schema allows, with values of other kinds strewn in: each place reads what
//! it takes and refuses the rest by itself, so that reading always comes to the end.

#![cfg(not(target_arch = "wasm32"))] // the page's counts of 32 bits are tried in wasm.rs
#![allow(clippy::unwrap_used)] // a test fails by panicking

use cellwright::ask::{QUESTIONS, ask};
use cellwright::plan::FORMAT;
use serde_json::{Map, Value, json};

/// What may stand anywhere by mistake; the largest counts pass those of 32 bits.
const STREWN: &str = r#"[null, true, -1, 0, 2.5, 256, 4294967295, 4294967296, 9007199254740991, 1e300, "", "x", [], [1],
    {}, {"x": 1}, {"x": 1, "y": 2}]"#;
/// Deepest nesting that is written; a schema may name itself.
const DEEPEST: usize = 14;

struct Writer<'s> {
    whole: &'s Value,
    strewn: Vec<Value>,
    state: u64,
}

impl Writer<'_> {
    /// A number from 0 to below `count`, from a linear congruence.
    fn below(&mut self, count: usize) -> usize {
        self.state = self.state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.state >> 33) as usize % count
    }

    fn one_of(&mut self, values: &[Value], depth: usize) -> Value {
        let place = self.below(values.len());
        self.value(&values[place], depth)
    }

    fn value(&mut self, schema: &Value, depth: usize) -> Value {
        if depth > 0 && (depth > DEEPEST || self.below(25) == 0) {
            let place = self.below(self.strewn.len());
            return self.strewn[place].clone();
        }
        if let Some(name) = schema["$ref"].as_str() {
            let whole = self.whole;
            return self.value(whole.pointer(name.trim_start_matches('#')).unwrap(), depth + 1);
        }
        for list in ["oneOf", "anyOf"] {
            if let Some(schemas) = schema[list].as_array() {
                return self.one_of(schemas, depth + 1);
            }
        }
        if let Some(values) = schema["enum"].as_array() {
            let place = self.below(values.len());
            return values[place].clone();
        }
        if !schema["const"].is_null() {
            return schema["const"].clone();
        }
        let kind = match &schema["type"] {
            Value::Array(kinds) => {
                let place = self.below(kinds.len());
                kinds[place].clone()
            }
            kind => kind.clone(),
        };
        match kind.as_str().unwrap_or("null") {
            "object" => self.object(schema, depth),
            "array" => self.list(schema, depth),
            "string" => json!("words"),
            "boolean" => json!(self.below(2) == 1),
            "number" | "integer" => json!(self.below(300)),
            _ => Value::Null,
        }
    }

    fn object(&mut self, schema: &Value, depth: usize) -> Value {
        let mut fields = Map::new();
        for (name, of_field) in schema["properties"].as_object().into_iter().flatten() {
            if self.below(25) > 0 {
                fields.insert(name.clone(), self.value(of_field, depth + 1));
            }
        }
        Value::Object(fields)
    }

    fn list(&mut self, schema: &Value, depth: usize) -> Value {
        if let Some(schemas) = schema["prefixItems"].as_array() {
            return schemas.iter().map(|one| self.value(one, depth + 1)).collect();
        }
        let fixed = schema["minItems"].as_u64().filter(|least| Some(*least) == schema["maxItems"].as_u64());
        let count = fixed.map_or_else(|| self.below(3), |count| count as usize);
        (0..count).map(|_| self.value(&schema["items"], depth + 1)).collect()
    }
}

#[test]
fn reading_comes_to_the_end() {
    for question in QUESTIONS {
        let schema = serde_json::to_value(question.schemas().input).unwrap();
        let strewn = serde_json::from_str(STREWN).unwrap();
        let mut writer = Writer { whole: &schema, strewn, state: 11 };
        for _ in 0..150 {
            let mut input = writer.value(&schema, 0);
            if schema["properties"].is_null() {
                // One choice alone: another name beside it would keep the choice from being read.
                drop(ask(question.name, &input.to_string()));
                continue;
            }
            // One name that no input has, so that nothing but reading is tried.
            input["no_such_field"] = json!(1);
            if !schema["properties"]["format"].is_null() {
                input["format"] = json!(FORMAT);
            }
            let errors = ask(question.name, &input.to_string()).unwrap_err();
            assert!(errors.iter().any(|error| error.field() == "no_such_field"), "{}: {errors:?}", question.name);
        }
        for input in ["null", "[]", "0", "\"x\"", "true"] {
            assert!(ask(question.name, input).is_err(), "{} {input}", question.name);
        }
    }
}
