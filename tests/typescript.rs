//! The declarations for TypeScript can be made from every question's schema.
#![cfg(not(target_arch = "wasm32"))]

#[allow(dead_code)] // its main is that of the example
#[path = "../pkg-config/typescript.rs"]
mod typescript;

use cellwright::ask::QUESTIONS;

#[test]
fn every_question_and_type_is_declared() {
    let types = typescript::types().unwrap();
    let functions = typescript::functions().unwrap();
    for question in QUESTIONS {
        let call = format!("export function {}(input: ", question.name);
        assert_eq!(types.matches(&call).count(), 1, "{}", question.name);
        assert_eq!(functions.matches(&format!("ask('{}', input)", question.name)).count(), 1, "{}", question.name);
    }
    assert!(types.contains("export interface Mistake {"));
    assert!(types.contains("  /** Lowest accepted number, where the reason is a range. */\n  low: number | null;\n"));
    assert!(types.contains("  temperature_degc?: number | null;\n"));
    for vague in ["any", "unknown", "never"] {
        for mark in [" ", "<"] {
            assert!(!types.contains(&format!(":{mark}{vague}")) && !types.contains(&format!("{vague}[]")), "{vague}");
        }
    }
}
