//! Questions asked in JSON, and what tests look for in their answers.

use cellwright::ask::ask;
use serde_json::{Value, json};

pub(crate) fn answer(question: &str, input: &Value) -> Value {
    let node = ask(question, &input.to_string()).unwrap_or_else(|errors| panic!("{question}: {errors:?} in {input}"));
    serde_json::to_value(&node).unwrap()
}

/// Paths of the mistakes for which a question is refused.
pub(crate) fn refused(question: &str, input: &Value) -> Vec<String> {
    ask(question, &input.to_string()).unwrap_err().iter().map(|error| error.path().clone()).collect()
}

/// Codes of findings of one judgement.
pub(crate) fn codes(answer: &Value, judgement: &str) -> Vec<String> {
    let all = answer["findings"].as_array().unwrap().iter().filter(|finding| finding["judgement"] == judgement);
    all.map(|finding| finding["code"].as_str().unwrap().to_owned()).collect()
}

pub(crate) fn exact(value: f64) -> Value {
    json!({"low": value, "likely": value, "high": value})
}
