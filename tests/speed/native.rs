//! Times every case of `cases.json` natively: `NAME<tab>SECONDS` a line. `speed once` only asks each case.

use cellwright::ask::ask;
use serde_json::{Value, json};
use std::hint::black_box;
use std::process::ExitCode;
use std::time::Instant;

/// Seconds that one round takes at least, so that the clock's own step does not count.
const ROUND_S: f64 = 0.2;
/// Rounds of which the quickest counts: whatever else the machine does only ever adds.
const ROUNDS: usize = 5;

fn main() -> ExitCode {
    let once = std::env::args().any(|word| word == "once");
    let cases: Value = serde_json::from_str(include_str!("cases.json")).unwrap_or_default();
    for case in cases.as_array().into_iter().flatten() {
        let [name, question] = ["name", "question"].map(|key| case[key].as_str().unwrap_or_default());
        let input = input(case).to_string();
        if let Err(errors) = ask(question, &input) {
            eprintln!("{name}: {}", errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "));
            return ExitCode::FAILURE;
        }
        if !once {
            println!("{name}\t{:e}", seconds(|| drop(black_box(ask(question, black_box(&input))))));
        }
    }
    ExitCode::SUCCESS
}

/// What a case asks; a bin of invented cells is written out, their capacities spread by the golden ratio.
fn input(case: &Value) -> Value {
    let Some(cells) = case["bin"]["cells"].as_u64() else { return case["input"].clone() };
    let cell = |i: u64| {
        let likely = 1.6 + (i as f64 * 0.618_033_988_75).fract();
        json!({"name": format!("C{i}"), "chemistry": "nmc", "model": "one",
            "capacity_ah": {"low": 0.98 * likely, "likely": likely, "high": 1.02 * likely}})
    };
    let cells: Vec<Value> = (0..cells).map(cell).collect();
    json!({"cells": cells, "series": case["bin"]["series"], "parallel": case["bin"]["parallel"]})
}

/// Time of one call.
fn seconds(call: impl Fn()) -> f64 {
    let mut calls = 1_u32;
    loop {
        let round = |_| {
            let start = Instant::now();
            (0..calls).for_each(|_| call());
            start.elapsed().as_secs_f64()
        };
        let quickest = (0..ROUNDS).map(round).fold(f64::INFINITY, f64::min);
        if quickest >= ROUND_S || calls >= 1 << 24 {
            return quickest / f64::from(calls);
        }
        calls = (f64::from(calls) * (1.2 * ROUND_S / quickest.max(1e-9)).clamp(2.0, 100.0)).ceil() as u32;
    }
}
