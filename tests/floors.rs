//! Every `crate::` path in `src` points into its own folder or to a lower floor, no part names another, and nothing but
//! `quantity::order` sorts: core's sorts stand in the Wasm once for each type that is sorted.

#![cfg(not(target_arch = "wasm32"))] // reads the source tree
#![allow(clippy::unwrap_used)] // a test fails by panicking

use std::{fs, path::Path};

/// Ground floor first. The doors stand on one floor and name no other.
const FLOORS: [(&str, usize); 14] = [
    ("error", 0),
    ("quantity", 1),
    ("data", 2),
    ("part", 3),
    ("pack", 4),
    ("run", 5),
    ("finding", 6),
    ("plan", 7),
    ("sheet", 8),
    ("reader", 9),
    ("ask", 10),
    ("wasm", 11),
    ("capi", 11),
    ("embed", 11),
];

/// Named without a path to a module: the crate's own re-exports of lower floors.
const RE_EXPORTS: [&str; 1] = ["Error"];

fn floor(module: &str) -> Option<usize> {
    FLOORS.iter().find(|(name, _)| *name == module).map(|(_, floor)| *floor)
}

fn word(text: &str) -> String {
    text.chars().take_while(|sign| sign.is_alphanumeric() || *sign == '_').collect()
}

/// What is wrong with the paths of one file, `inside` being its place in `src`.
fn wrong(inside: &Path, text: &str) -> Vec<String> {
    let mut parts = inside.iter().map(|part| part.to_str().unwrap().trim_end_matches(".rs"));
    let module = parts.next().unwrap();
    let own_part = parts.next().filter(|_| module == "part");
    let deep = inside.iter().count() > 2;
    if module == "lib" {
        return Vec::new();
    }
    let Some(here) = floor(module) else { return vec![format!("{}: unknown module", inside.display())] };
    let mut wrong = Vec::new();
    for line in text.lines().map(str::trim_start).filter(|line| !line.starts_with("//")) {
        let mut note = |what: &str| wrong.push(format!("{}: {what}: {line}", inside.display()));
        if line.contains("super::super") {
            note("two floors up at once");
        }
        if !inside.ends_with("order.rs")
            && [".sort(", ".sort_by", ".sort_unstable", ".select_nth"].iter().any(|call| line.contains(call))
        {
            note("a sort of core's");
        }
        for tail in line.split("crate::").skip(1) {
            let name = word(tail);
            let upward = match floor(&name) {
                Some(there) => there > here || (there == here && name != module),
                None => !RE_EXPORTS.contains(&name.as_str()),
            };
            if upward {
                note("upward or unknown path");
            }
            if let (Some(own), "part") = (own_part, name.as_str())
                && own != "mod"
                && word(tail.trim_start_matches("part::")) != own
            {
                note("one part names another");
            }
        }
        if own_part.is_some_and(|own| own != "mod") && !deep && line.contains("super::") && !text.contains("mod tests")
        {
            note("one part names another");
        }
    }
    wrong
}

fn visit(folder: &Path, all: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            visit(&path, all);
        } else {
            all.extend(wrong(path.strip_prefix("src").unwrap(), &fs::read_to_string(&path).unwrap()));
        }
    }
}

#[test]
fn imports_point_down() {
    let mut all = Vec::new();
    visit(Path::new("src"), &mut all);
    assert!(all.is_empty(), "{all:#?}");
}

#[test]
fn planted_faults_are_found() {
    for (file, line, faults) in [
        ("part/wire.rs", "use crate::run::spread;", 1),
        ("part/wire.rs", "use crate::nowhere::thing;", 1),
        ("part/wire.rs", "use crate::part::fuse::Fuse;", 1),
        ("part/wire.rs", "use crate::part::wire::Pair;", 0),
        ("part/wire.rs", "use super::fuse::Fuse;", 1),
        ("part/cell/curves.rs", "use super::Cell;", 0),
        ("part/cell/curves.rs", "use super::super::load::Load;", 1),
        ("part/wire.rs", "/// See [`crate::plan::Plan`].", 0),
        ("drawer.rs", "", 1),
        ("wasm.rs", "use crate::capi;", 1),
        ("plan/mod.rs", "use crate::ask;", 1),
        ("sheet/mod.rs", "use crate::plan::Report;", 0),
        ("ask/mod.rs", "use crate::wasm;", 1),
    ] {
        assert_eq!(wrong(Path::new(file), line).len(), faults, "{file}: {line}");
    }
}
