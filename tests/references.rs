//! Published values: every row of `references/*.csv` is computed by the crate and held against what was printed.

#![allow(clippy::unwrap_used, clippy::panic)] // a test fails by panicking

#[path = "references/cells.rs"]
mod cells;
#[path = "references/drive.rs"]
mod drive;
#[path = "references/protection.rs"]
mod protection;
#[path = "references/safety.rs"]
mod safety;
#[path = "references/timer.rs"]
mod timer;
mod tolerances;
#[path = "references/wire.rs"]
mod wire;

use std::collections::BTreeMap;

type Inputs<'a> = BTreeMap<&'a str, &'a str>;

/// A file of published values with the function that computes its rows.
struct Topic {
    name: &'static str,
    text: &'static str,
    value: fn(&str, &Inputs) -> Option<f64>,
}

const TOPICS: &[Topic] = &[
    Topic { name: "cells", text: include_str!("references/cells.csv"), value: cells::value },
    Topic { name: "drive", text: include_str!("references/drive.csv"), value: drive::value },
    Topic { name: "safety", text: include_str!("references/safety.csv"), value: safety::value },
    Topic { name: "protection", text: include_str!("references/protection.csv"), value: protection::value },
    Topic { name: "timer", text: include_str!("references/timer.csv"), value: timer::value },
    Topic { name: "wire", text: include_str!("references/wire.csv"), value: wire::value },
];

const COLUMNS: &str = "id,key,inputs,expected,unit,tolerance,source,seen";

/// Fields of one line; quotes hold commas, and two quotes stand for one.
fn fields(line: &str) -> Vec<String> {
    let mut all = vec![String::new()];
    let mut quoted = false;
    let mut signs = line.chars().peekable();
    while let Some(sign) = signs.next() {
        match sign {
            '"' if quoted && signs.peek() == Some(&'"') => {
                signs.next();
                all.last_mut().unwrap().push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => all.push(String::new()),
            _ => all.last_mut().unwrap().push(sign),
        }
    }
    all
}

fn inputs(text: &str) -> Inputs<'_> {
    let pairs = text.split(';').filter(|pair| !pair.is_empty());
    pairs.map(|pair| pair.split_once('=').unwrap_or_else(|| panic!("{pair} is no input"))).collect()
}

/// Largest error a row allows, in the unit of its value.
fn allowed(expected: f64, tolerance: &str, largest: f64) -> Option<f64> {
    let own = match tolerance.strip_prefix("abs ") {
        Some(absolute) => absolute.parse::<f64>().ok()?,
        None => tolerance.parse::<f64>().ok()? * expected.abs(),
    };
    // One part in a thousand million is the binary rounding of any chain of formulas here.
    (own <= largest * expected.abs() * (1.0 + 1e-9) || expected == 0.0).then_some(own + 1e-9 * expected.abs())
}

fn rows(topic: &Topic) -> impl Iterator<Item = Vec<String>> {
    let mut lines = topic.text.lines().filter(|line| !line.starts_with('#') && !line.is_empty());
    assert_eq!(lines.next(), Some(COLUMNS), "{}", topic.name);
    lines.map(fields)
}

#[test]
fn every_published_row_is_computed() {
    let mut wrong = Vec::new();
    let mut worst: BTreeMap<String, (usize, f64)> = BTreeMap::new();
    for topic in TOPICS {
        for row in rows(topic) {
            let [id, key, given, expected, _unit, tolerance, source, seen] = row.as_slice() else {
                panic!("{}: {row:?} has not eight fields", topic.name);
            };
            let family = format!("{}.{}", topic.name, key.split('.').next().unwrap());
            let expected: f64 = expected.parse().unwrap_or_else(|_| panic!("{id}: {expected} is no number"));
            if source.is_empty() || seen.is_empty() {
                wrong.push(format!("{id}: no source"));
            }
            let Some(value) = (topic.value)(key, &inputs(given)) else {
                wrong.push(format!("{id}: nothing computes {key} from {given}"));
                continue;
            };
            let kind = tolerances::tolerance(&family);
            let Some(allowed) = allowed(expected, tolerance, kind.relative) else {
                wrong.push(format!("{id}: {tolerance} is more than {} ({})", kind.relative, kind.why));
                continue;
            };
            let error = (value - expected).abs();
            if error.is_nan() || error > allowed {
                wrong.push(format!("{id}: {key} from {given} is {value}, printed is {expected} ± {allowed}"));
            }
            let family = worst.entry(family).or_default();
            family.0 += 1;
            family.1 = family.1.max(if expected == 0.0 { error } else { error / expected.abs() });
        }
    }
    for (family, (count, error)) in &worst {
        println!("{family}: {count} rows, worst error {:.4} %", error * 100.0);
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn no_row_stands_twice() {
    let mut seen = BTreeMap::new();
    for topic in TOPICS {
        for row in rows(topic) {
            assert_eq!(seen.insert(row[0].clone(), topic.name), None, "{}", row[0]);
        }
    }
}

#[test]
fn every_file_says_who_copied_it_and_when() {
    for topic in TOPICS {
        let head: Vec<_> = topic.text.lines().take_while(|line| line.starts_with('#')).collect();
        let copied = head.iter().find(|line| line.starts_with("# Copied by "));
        let dated =
            copied.is_some_and(|line| line.split_whitespace().any(|word| word.starts_with("20") && word.len() >= 10));
        assert!(dated, "{}: a line \"# Copied by ROLE on YYYY-MM-DD\" must stand on top", topic.name);
    }
}

#[test]
#[cfg(not(target_arch = "wasm32"))] // reads the folder
fn every_file_is_read() {
    for entry in std::fs::read_dir("tests/references").unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_str().unwrap();
        let read = TOPICS.iter().any(|topic| topic.name == name);
        assert!(read, "{} is not in the list of topics", path.display());
    }
}

#[test]
fn planted_faults_are_found() {
    assert_eq!(allowed(10.0, "0.01", 0.02).map(|error| (error - 0.1).abs() < 1e-6), Some(true));
    assert_eq!(allowed(10.0, "0.03", 0.02), None);
    assert_eq!(allowed(10.0, "abs 0.3", 0.02), None);
    assert_eq!(allowed(10.0, "about right", 0.02), None);
    assert_eq!(fields("a,\"b, \"\"c\"\"\",,d"), ["a", "b, \"c\"", "", "d"]);
}
