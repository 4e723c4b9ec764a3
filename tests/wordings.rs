//! Every text of the page stands in each language, every sentence of the crate has its German words, and the places in
//! a wording are the same in each language. What is missing is listed by key.

#![cfg(not(target_arch = "wasm32"))] // reads the source tree
#![allow(clippy::unwrap_used, clippy::panic)] // a test fails by panicking

use cellwright::error::{Error, within};
use cellwright::finding::rules;
use cellwright::quantity::Unit;
use cellwright::quantity::parse::Entry;
use cellwright::sheet::fails::FAILINGS;
use cellwright::sheet::sentences::sentences;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

type Texts = BTreeMap<String, String>;

fn read(path: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap_or_else(|_| panic!("{path} is missing"))
}

/// The texts of `export const NAME`, one `key: "text",` a line; a constant of the file stands for its text.
fn texts(file: &str, name: &str) -> Texts {
    let all = read(file);
    let constants: Texts =
        all.lines().filter_map(|line| line.strip_prefix("const ")?.split_once(" = ")).map(pair).collect();
    let start = format!("export const {name} = {{");
    let body = all.split_once(&start).unwrap_or_else(|| panic!("{file} has no {name}")).1.split_once("\n};").unwrap().0;
    let mut found = Texts::new();
    for line in body.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with("//")) {
        let quoted = line.strip_prefix('"').and_then(|rest| rest.split_once("\": "));
        let (key, text) = pair(quoted.or_else(|| line.split_once(": ")).unwrap_or_else(|| panic!("{file}: {line}")));
        let text = constants.get(&text).cloned().unwrap_or(text);
        assert!(found.insert(key.clone(), text).is_none(), "{file}: {name} has {key} twice");
    }
    found
}

fn pair((key, text): (&str, &str)) -> (String, String) {
    (key.to_owned(), text.trim_end_matches([',', ';']).trim_matches('"').to_owned())
}

fn places(text: &str) -> BTreeSet<&str> {
    text.split('{').skip(1).filter_map(|part| Some(part.split_once('}')?.0)).collect()
}

/// Keys of one that the other has not.
fn left<'a>(one: impl IntoIterator<Item = &'a String>, other: &Texts) -> Vec<&'a String> {
    one.into_iter().filter(|key| !other.contains_key(*key)).collect()
}

#[test]
fn both_languages_of_the_page_have_the_same_keys_and_places() {
    for name in ["TEXTS", "LABELS"] {
        let (english, german) = (texts("www/en.js", name), texts("www/de.js", name));
        let (to_add, to_drop) = (left(english.keys(), &german), left(german.keys(), &english));
        assert!(to_add.is_empty() && to_drop.is_empty(), "www/de.js, {name}: add {to_add:?}, drop {to_drop:?}");
        for (key, text) in &english {
            assert_eq!(places(text), places(&german[key]), "{name}.{key}");
            assert!(!german[key].is_empty(), "{name}.{key} is empty");
        }
    }
}

#[test]
fn every_text_of_the_markup_has_its_german() {
    let german = texts("www/de.js", "STATIC");
    let markup = read("www/index.html");
    let keys: BTreeSet<String> =
        markup.split("data-text=\"").skip(1).map(|part| part.split_once('"').unwrap().0.to_owned()).collect();
    let missing = left(&keys, &german);
    let unused: Vec<_> = german.keys().filter(|key| !keys.contains(*key)).collect();
    assert!(missing.is_empty() && unused.is_empty() && keys.len() > 5, "STATIC: add {missing:?}, drop {unused:?}");
}

#[test]
fn every_sentence_of_the_crate_has_its_german_with_the_same_places() {
    let german = texts("www/de.js", "SAID");
    let mut english: BTreeMap<String, &str> =
        sentences().into_iter().map(|wording| (wording.code.to_owned(), wording.words)).collect();
    for row in &FAILINGS {
        english.insert(format!("{}_notice", row.code), row.notice);
        english.insert(format!("{}_prevention", row.code), row.prevention);
    }
    let missing = left(english.keys(), &german);
    let unused: Vec<_> = german.keys().filter(|code| !english.contains_key(*code)).collect();
    assert!(missing.is_empty() && unused.is_empty(), "www/de.js, SAID: add {missing:?}, drop {unused:?}");
    for (code, words) in english {
        assert_eq!(places(words), places(&german[&code]), "the places of {code}");
    }
}

#[test]
fn a_code_stands_for_one_sentence_and_no_table_is_forgotten() {
    let all = sentences();
    let codes: BTreeSet<&str> = all.iter().map(|wording| wording.code).collect();
    assert_eq!(codes.len(), all.len(), "a code has two sentences");
    let counted: usize = sources("src").iter().map(|text| tables(text)).sum();
    assert_eq!(counted, codes.len() - without_a_table(), "a table is not in src/sheet/sentences.rs");
    assert!(rules().count() > 180);
}

/// Rows of `wordings!` and rules in a file.
fn tables(text: &str) -> usize {
    let body = |part: &str| part.split_once("\n}").map_or(0, |(body, _)| body.matches(": \"").count());
    text.split("\nwordings! {").skip(1).map(body).sum()
}

/// Sentences that stand in rows with more than a sentence: rules, faults, failures, limits, and a few constants.
fn without_a_table() -> usize {
    let all: Vec<_> = sentences();
    let rules: BTreeSet<&str> = rules().map(|rule| rule.code).collect();
    let rows = ["fault_", "remedy_", "fails_", "cfr_", "faa_", "vde_", "iec_", "mil_", "retire_"];
    let single = ["fuse_place_words", "sentences", "listed", "approximated"];
    let other = |code: &str| {
        rules.contains(code)
            || rows.iter().any(|start| code.starts_with(start)) && code != "remedy_go_on"
            || single.contains(&code)
    };
    all.iter().filter(|wording| other(wording.code)).count()
}

fn sources(folder: &str) -> Vec<String> {
    let mut texts = Vec::new();
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)).unwrap() {
        let path = entry.unwrap().path();
        let inside = path.strip_prefix(env!("CARGO_MANIFEST_DIR")).unwrap().to_str().unwrap().to_owned();
        if path.is_dir() {
            texts.extend(sources(&inside));
        } else if path.extension().is_some_and(|end| end == "rs") && !inside.ends_with("said.rs") {
            let text = read(&inside);
            let code: Vec<&str> = text.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
            texts.push(code.join("\n"));
        }
    }
    texts
}

#[test]
fn every_rule_of_the_source_is_listed() {
    let listed: BTreeSet<&str> = rules().map(|rule| rule.code).collect();
    let mut found = BTreeSet::new();
    for text in sources("src/finding") {
        let fields = text.split("code: \"").skip(1);
        let calls = text.split("= rule(\n").skip(1).filter_map(|part| part.trim_start().strip_prefix('"'));
        found.extend(fields.chain(calls).filter_map(|part| Some(part.split_once('"')?.0.to_owned())));
    }
    let forgotten: Vec<_> = found.iter().filter(|code| !listed.contains(code.as_str())).collect();
    assert!(forgotten.is_empty() && found.len() == listed.len(), "not in finding::rules: {forgotten:?}");
}

#[test]
fn every_kind_of_mistake_has_its_german() {
    let german = texts("www/de.js", "ERRORS");
    let errors = [
        within("a", 2.0, 0.0, 1.0).unwrap_err(),
        Error::not_finite("a"),
        Error::text("a", "x", "y", 0),
        Error::other("a", "x", "y"),
        Error::missing("a", "y"),
        Error::unknown("a", "y"),
        Error::duplicate("a"),
    ];
    let codes: BTreeSet<String> = errors.iter().map(|error| error.code().to_owned()).collect();
    assert_eq!(codes, german.keys().cloned().collect());
}

/// The crate's words for what it accepts, each with an entry that brings it up.
#[test]
fn what_an_entry_takes_is_said_in_german() {
    let german = texts("www/de.js", "ACCEPTED");
    let typed = [
        ("", Unit::Volt),
        ("", Unit::Count),
        ("12,3,4", Unit::Volt),
        ("1.234,5", Unit::Volt),
        ("4k.7", Unit::Ohm),
        ("4k7e3", Unit::Ohm),
        ("4E7", Unit::Ohm),
        ("1e1.5", Unit::Ohm),
        ("0x10", Unit::Volt),
        ("1:20", Unit::Second),
        ("1/2", Unit::Volt),
        ("2-3", Unit::Volt),
        ("1e999", Unit::Volt),
        ("3 A", Unit::Volt),
        ("3 x", Unit::Volt),
        ("3 x", Unit::Count),
        ("5 m", Unit::Second),
        ("1h20", Unit::Second),
        ("5 MV", Unit::Volt),
        ("AWG 99", Unit::SquareMillimetre),
        ("3..2", Unit::Volt),
        ("3 ± -1", Unit::Volt),
        ("3 ± 1 A", Unit::Volt),
        ("50 % ± 5 %", Unit::Ratio),
        ("3 ± 1 ± 1", Unit::Volt),
        ("zwölf", Unit::Volt),
        ("٣", Unit::Volt),
    ];
    let templates: Vec<&String> = german.keys().collect();
    let mut refused = 0;
    for (text, unit) in typed {
        let entry = Entry { text: text.into(), unit, field: None, decimal: None };
        let Err(error) = entry.answer() else { continue };
        refused += 1;
        let accepted = error.accepted();
        let known = templates.iter().any(|template| fits(template, &accepted));
        assert!(known, "www/de.js, ACCEPTED: add what fits {accepted:?} (typed {text:?})");
    }
    assert!(refused > 20, "{refused} entries are refused");
    for (key, text) in &german {
        assert!(places(text).is_subset(&places(key)), "{key}");
    }
}

/// Whether a text is a template with its places filled.
fn fits(template: &str, text: &str) -> bool {
    let fixed: Vec<&str> = template
        .split('{')
        .enumerate()
        .map(|(i, part)| if i == 0 { part } else { part.split_once('}').unwrap().1 })
        .collect();
    let Some(mut rest) = fixed.first().and_then(|first| text.strip_prefix(first)) else { return false };
    for part in fixed.iter().skip(1) {
        match rest.find(part) {
            Some(at) if !part.is_empty() => rest = &rest[at + part.len()..],
            Some(_) => rest = "",
            None => return false,
        }
    }
    rest.is_empty()
}

#[test]
fn what_a_rule_needs_is_said_in_both_languages() {
    let mut needed = BTreeSet::new();
    for text in ["src/finding", "src/plan"].iter().flat_map(|folder| sources(folder)) {
        for call in text.split("not_judged(").skip(1) {
            let call = call.split_once(';').map_or(call, |(call, _)| call);
            let call = call.split('\n').next().unwrap();
            let named = call.rsplit_once("\")").and_then(|(before, _)| Some(before.rsplit_once('"')?.1));
            needed.extend(named.filter(|need| !need.is_empty()).map(str::to_owned));
        }
    }
    // The crate says in English what is no entry's name.
    let in_words = |need: &str| need.contains(' ') && !need.contains('_');
    for (file, said_by_crate) in [("www/de.js", false), ("www/en.js", true)] {
        let (needs, labels) = (texts(file, "NEEDS"), texts(file, "LABELS"));
        let known = |need: &str| {
            let last = need.rsplit('/').next().unwrap();
            said_by_crate && in_words(need)
                || [need, last].iter().any(|name| needs.contains_key(*name))
                || labels.contains_key(last)
        };
        let missing: Vec<_> = needed.iter().filter(|need| !known(need)).collect();
        assert!(missing.is_empty(), "{file}, NEEDS: add {missing:?}");
    }
}

/// What a finding is about is the maker's own name, or one that the crate has a code for.
#[test]
fn every_name_that_the_crate_gives_has_a_code() {
    let all = sentences();
    let named = |name: &str| all.iter().any(|wording| wording.code.starts_with("name_") && wording.words == name);
    let mut missing = BTreeSet::new();
    for text in ["src/finding", "src/plan"].iter().flat_map(|folder| sources(folder)) {
        let subjects = text.split("Subject::new(").skip(1).filter_map(|part| part.split_once(')'));
        let second = subjects.filter_map(|(inside, _)| inside.split_once(", \"")?.1.strip_suffix('"'));
        let fields = text.split(" name: \"").skip(1).filter_map(|part| Some(part.split_once("\".into()")?.0));
        let words: Vec<&str> = second.chain(fields.filter(|name| !name.contains('"'))).collect();
        missing.extend(words.into_iter().filter(|name| !named(name)).map(str::to_owned));
    }
    assert!(missing.is_empty(), "src/finding/names.rs: add {missing:?}");
}
