//! Bad input at the door: every mistake at once, each with its place.

#[path = "door/corpus.rs"]
mod corpus;

use cellwright::Error;
use cellwright::ask::{Mistake, Node, QUESTIONS, Refusal, ask, decode, encode, read};
use serde::{Deserialize, Serialize};

/// A shape with everything an input type may hold.
#[derive(Debug, Deserialize, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
struct Shape {
    number_v: f64,
    count: u32,
    text: String,
    switch: bool,
    list_v: Vec<f64>,
    pair_v: [f64; 2],
    maybe_v: Option<f64>,
    choice: Choice,
    inner: Vec<Inner>,
}

#[derive(Debug, Deserialize, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
enum Choice {
    Plain,
    Number(f64),
    Fields { width_m: f64 },
    Nested(Box<Choice>),
}

#[derive(Debug, Deserialize, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
struct Inner {
    cells: Vec<Cell>,
}

#[derive(Debug, Deserialize, PartialEq, Serialize)]
#[serde(deny_unknown_fields)]
struct Cell {
    capacity_ah: f64,
}

const GOOD: &str = r#"{"number_v": 3.7, "count": 3, "text": "a\u00b5\ud83d\ude00", "switch": true, "list_v": [1, 2.5],
    "pair_v": [0, -0.0], "choice": {"fields": {"width_m": 1e-3}}, "inner": [{"cells": [{"capacity_ah": 2.2}]}]}"#;

fn told<T: serde::de::DeserializeOwned + std::fmt::Debug>(text: &str) -> Vec<String> {
    let errors = read(text).map_err(|error| vec![error]).and_then(|node| decode::<T>(&node)).unwrap_err();
    errors.iter().map(|error| format!("{} {error}", error.path())).collect()
}

fn changed(from: &str, to: &str) -> String {
    assert!(GOOD.contains(from), "{from}");
    GOOD.replacen(from, to, 1)
}

#[test]
fn a_good_input_comes_through_exactly() {
    let shape: Shape = decode(&read(GOOD).unwrap()).unwrap();
    assert_eq!(shape.text, "aµ😀");
    assert_eq!(shape.pair_v[1].to_bits(), (-0.0f64).to_bits());
    assert_eq!(shape.maybe_v, None);
    assert_eq!(shape.choice, Choice::Fields { width_m: 1e-3 });
    assert_eq!(decode::<Shape>(&encode(&shape).unwrap()).unwrap(), shape);
    for (choice, text) in [
        (Choice::Plain, "\"plain\""),
        (Choice::Plain, "{\"plain\": null}"),
        (Choice::Number(2.0), "{\"number\": 2}"),
        (Choice::Nested(Box::new(Choice::Plain)), "{\"nested\": \"plain\"}"),
    ] {
        assert_eq!(decode::<Choice>(&read(text).unwrap()).unwrap(), choice);
    }
}

#[test]
fn all_mistakes_come_at_once() {
    let text = r#"{"number_v": "3,7", "count": 2.5, "text": 5, "switch": 1, "list_v": [1, null, "x"], "pair_v": [1],
        "choice": {"round": 1}, "inner": [{"cells": []}, {"cells": [{"capacity_ah": 1}, {}, {"capacity_ah": true}]}, 7],
        "count": 3, "colour": 1, "a/b~c": 2, "__proto__": {}, "maybe_v": []}"#;
    assert_eq!(
        told::<Shape>(text),
        [
            "/count count is given more than once",
            "/colour colour is not a known field: accepted is number_v, count, text, switch, list_v, pair_v, maybe_v, choice, inner",
            "/a~1b~0c a/b~c is not a known field: accepted is number_v, count, text, switch, list_v, pair_v, maybe_v, choice, inner",
            "/__proto__ __proto__ is not a known field: accepted is number_v, count, text, switch, list_v, pair_v, maybe_v, choice, inner",
            "/number_v number_v is the text \"3,7\", but accepted is a number",
            "/count count is 2.5, but accepted is a whole number between 0 and 4294967295",
            "/text text is 5, but accepted is text",
            "/switch switch is 1, but accepted is true or false",
            "/list_v/1 list_v is null, but accepted is a number",
            "/list_v/2 list_v is the text \"x\", but accepted is a number",
            "/pair_v pair_v is a list, but accepted is a list of 2",
            "/maybe_v maybe_v is a list, but accepted is a number",
            "/choice choice is \"round\", but accepted is one of plain, number, fields, nested",
            "/inner/1/cells/1/capacity_ah capacity_ah is missing: accepted is a number",
            "/inner/1/cells/2/capacity_ah capacity_ah is true, but accepted is a number",
            "/inner/2 inner is 7, but accepted is an object with cells",
        ]
    );
}

#[test]
fn choices_tell_what_is_missing() {
    assert_eq!(told::<Choice>("\"fields\""), ["/fields fields is missing: accepted is an object with width_m"]);
    assert_eq!(
        told::<Choice>("{}"),
        [" input is an object, but accepted is an object with exactly one of plain, number, fields, nested"]
    );
    assert_eq!(told::<Choice>("{\"plain\": 1}"), ["/plain plain is 1, but accepted is null, or the choice as text"]);
    assert_eq!(
        told::<Choice>("{\"nested\": {\"nested\": 1}}"),
        ["/nested/nested nested is 1, but accepted is one of plain, number, fields, nested"]
    );
    assert_eq!(told::<Cell>("[]"), [" input is a list, but accepted is an object with capacity_ah"]);
}

#[test]
fn numbers_beyond_a_double_have_a_place() {
    for number in ["1e999", "-1e999", "1e99999999999999999999"] {
        let text = changed("1e-3", number);
        assert_eq!(told::<Shape>(&text), ["/choice/fields/width_m width_m is not a finite number"]);
    }
    let long = format!("0.{}1", "0".repeat(400));
    assert_eq!(read(&long).unwrap(), Node::Number(0.0));
}

#[test]
fn text_that_is_not_json_names_the_character() {
    for (text, position, accepted) in [
        ("", 0, "a JSON value"),
        ("  ", 2, "a JSON value"),
        ("NaN", 0, "a JSON value"),
        ("Infinity", 0, "a JSON value"),
        ("nul", 0, "a JSON value"),
        ("'a'", 0, "a JSON value"),
        ("\u{feff}1", 0, "a JSON value"),
        ("1 2", 2, "the end of the text"),
        ("{}x", 2, "the end of the text"),
        ("01", 1, "the end of the text"),
        ("0x10", 1, "the end of the text"),
        ("1_000", 1, "the end of the text"),
        ("3,7", 1, "the end of the text"),
        ("+1", 0, "a JSON value"),
        (".5", 0, "a JSON value"),
        ("1.", 2, "a digit"),
        ("1.e3", 2, "a digit"),
        ("-", 1, "a digit"),
        ("1e+", 3, "a digit"),
        ("[1,]", 3, "a JSON value"),
        ("[1 2]", 3, "a comma or ]"),
        ("[", 1, "a JSON value"),
        ("{\"a\"}", 4, "a colon"),
        ("{\"a\": 1,}", 8, "a name in double quotes"),
        ("{a: 1}", 1, "a name in double quotes"),
        ("{\"a\": 1 /* no */}", 8, "a comma or }"),
        ("\"µ", 2, "a closing double quote"),
        ("\"a\nb\"", 2, "no bare control character in text"),
        ("\"\\x41\"", 2, "one of \" \\ / b f n r t u after a backslash"),
        ("\"\\u12g4\"", 2, "u with four hexadecimal digits, surrogates in pairs"),
        ("\"\\ud83d\"", 2, "u with four hexadecimal digits, surrogates in pairs"),
        ("\"\\ud83d\\u0041\"", 2, "u with four hexadecimal digits, surrogates in pairs"),
        ("\"\\ude00\"", 2, "u with four hexadecimal digits, surrogates in pairs"),
    ] {
        let error = read(text).unwrap_err();
        assert_eq!((error.position(), error.accepted().as_str()), (Some(position), accepted), "{text:?}");
    }
    assert_eq!(read("{\"cells\": [1, [2, x]]}").unwrap_err().path(), "/cells/1/1");
}

#[test]
fn limits_end_a_hostile_text_early() {
    let deep = "[".repeat(500_000);
    assert_eq!(read(&deep).unwrap_err().accepted(), "at most 32 levels of lists and objects");
    assert!(read(&format!("{}1{}", "[".repeat(32), "]".repeat(32))).is_ok());
    assert!(read(&format!("{}1{}", "[".repeat(33), "]".repeat(33))).is_err());
    let many = format!("[{}1]", "1,".repeat(100_000));
    assert_eq!(read(&many).unwrap_err().accepted(), "at most 100000 values");
    let long = format!("\"{}\"", "x".repeat(1 << 20));
    assert_eq!(read(&long).unwrap_err().accepted(), "at most 1048576 bytes of text");
    let wrong: Vec<_> = (0..1000).map(|key| format!("\"k{key}\": 1")).collect();
    let told = told::<Cell>(&format!("{{{}}}", wrong.join(",")));
    assert_eq!(told.len(), 200);
    assert_eq!(told[199], " input is wrong in more places, but accepted is no mistakes");
    let twice = format!("{{{}{}\"capacity_ah\": 1}}", "\"x\":1,".repeat(50_000), "\"capacity_ah\":1,".repeat(20_000));
    assert_eq!(self::told::<Cell>(&twice).len(), 200);
    let huge = format!("{{\"capacity_ah\": \"{}\"}}", "é".repeat(500_000));
    assert!(self::told::<Cell>(&huge)[0].len() < 200);
}

/// A type may contain itself; a stand-in for it must end.
#[derive(Debug, Deserialize)]
#[allow(dead_code)] // only its shape is asked
struct Endless {
    next: Box<Endless>,
}

#[test]
fn a_type_without_end_is_refused_without_overflow() {
    assert_eq!(told::<Endless>("{\"next\": 1}"), ["/next next is 1, but accepted is an object with next"]);
}

#[test]
fn a_number_that_is_not_finite_never_leaves() {
    for number in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let cell = Inner { cells: vec![Cell { capacity_ah: 1.0 }, Cell { capacity_ah: number }] };
        let error = encode(&cell).unwrap_err();
        assert_eq!(error.path(), "/cells/1/capacity_ah");
        assert_eq!(error.given(), "not a finite number");
    }
    assert!(encode(&u64::MAX).is_err());
    assert!(encode(&i64::MIN).is_err());
}

#[test]
fn answers_look_like_json_elsewhere() {
    let node = read("[12, 0.5, 1e300, -0.0, 9007199254740991, 1e16]").unwrap();
    assert_eq!(serde_json::to_string(&node).unwrap(), "[12,0.5,1e+300,-0.0,9007199254740991,1e+16]");
}

#[test]
fn a_mistake_carries_all_there_is_to_show() {
    let mistake = Mistake::from(&Error::range("duty", 1.5, 0.0, 1.0).at(2).at("loads"));
    assert_eq!(
        serde_json::to_string(&mistake).unwrap(),
        "{\"code\":\"out_of_range\",\"path\":\"/loads/2/duty\",\"field\":\"duty\",\"given\":\"1.5\",\
         \"accepted\":\"between 0 and 1\",\"position\":null,\"low\":0.0,\"high\":1.0,\
         \"message\":\"duty is 1.5, but must lie between 0 and 1\"}"
    );
}

#[test]
fn questions_are_known_by_name() {
    for (index, question) in QUESTIONS.iter().enumerate() {
        assert!(question.name.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'_'), "{}", question.name);
        assert!(QUESTIONS.iter().skip(index + 1).all(|other| other.name != question.name), "{}", question.name);
        assert!(!question.about.is_empty() && !question.about.contains('\n') && !question.about.ends_with('.'));
        let errors = ask(question.name, "7").unwrap_err();
        assert_eq!(errors[0].path(), "", "{}", question.name);
        let schemas = question.schemas();
        assert!(schemas.input.get("title").is_some() && schemas.answer.get("title").is_some());
    }
    let errors = ask("colour_of_the_shed", "{}").unwrap_err();
    assert_eq!(errors[0].field(), "question");
    assert!(errors[0].accepted().contains("timer"));
    assert!(Refusal::from(errors.as_slice()).errors[0].message.contains("colour_of_the_shed"));
}

#[cfg(not(target_arch = "wasm32"))]
mod arbitrary {
    use super::*;
    use proptest::prelude::*;

    fn value() -> impl Strategy<Value = serde_json::Value> {
        let key = prop_oneof![
            prop::sample::select(vec![
                "number_v",
                "count",
                "choice",
                "inner",
                "cells",
                "capacity_ah",
                "fields",
                "timer"
            ]),
            Just("__proto__"),
        ];
        let leaf = prop_oneof![
            Just(serde_json::Value::Null),
            any::<bool>().prop_map(Into::into),
            any::<f64>().prop_map(|number| serde_json::Number::from_f64(number).map_or(0.into(), Into::into)),
            any::<i64>().prop_map(Into::into),
            ".{0,8}".prop_map(Into::into),
        ];
        leaf.prop_recursive(5, 40, 6, move |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..5).prop_map(Into::into),
                prop::collection::vec((key.clone().prop_map(String::from), inner), 0..5)
                    .prop_map(|entries| serde_json::Value::Object(entries.into_iter().collect())),
            ]
        })
    }

    /// The same value, as another reader of JSON sees it.
    fn same(node: &Node, value: &serde_json::Value) -> bool {
        match (node, value) {
            (Node::Null, serde_json::Value::Null) => true,
            (Node::Bool(ours), serde_json::Value::Bool(theirs)) => ours == theirs,
            (Node::Number(ours), serde_json::Value::Number(theirs)) => {
                theirs.as_f64().is_some_and(|theirs| theirs.to_bits() == ours.to_bits())
            }
            (Node::Text(ours), serde_json::Value::String(theirs)) => ours == theirs,
            (Node::List(ours), serde_json::Value::Array(theirs)) => {
                ours.len() == theirs.len() && ours.iter().zip(theirs).all(|(ours, theirs)| same(ours, theirs))
            }
            (Node::Object(ours), serde_json::Value::Object(theirs)) => {
                ours.len() == theirs.len()
                    && ours.iter().all(|(key, ours)| theirs.get(key.as_ref()).is_some_and(|theirs| same(ours, theirs)))
            }
            _ => false,
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2000))]

        #[test]
        fn another_reader_agrees(value in value()) {
            let text = value.to_string();
            prop_assert!(same(&read(&text).unwrap(), &value), "{}", text);
        }

        #[test]
        fn what_another_reader_refuses_is_refused(text in "[\\[\\]{}:,\"0-9eE.+ \\-tfn\\\\u]{0,12}") {
            let theirs: Result<serde_json::Value, _> = serde_json::from_str(&text);
            match (read(&text), theirs) {
                (Ok(ours), Ok(theirs)) => prop_assert!(same(&ours, &theirs), "{}", text),
                (Ok(Node::Number(ours)), Err(_)) => prop_assert!(!ours.is_finite(), "{}", text),
                (ours, theirs) => prop_assert!(ours.is_err() && theirs.is_err(), "{} {:?}", text, ours),
            }
        }

        #[test]
        fn any_value_is_an_answer_or_mistakes(value in value()) {
            let text = value.to_string();
            for question in QUESTIONS {
                if let Err(errors) = ask(question.name, &text) {
                    prop_assert!(!errors.is_empty());
                    prop_assert!(errors.iter().all(|error| error.path().is_empty() || error.path().starts_with('/')));
                }
            }
            if let Err(errors) = decode::<Shape>(&read(&text).unwrap()) {
                prop_assert!(!errors.is_empty());
            }
        }

        #[test]
        fn any_text_is_read_or_refused(text in ".{0,60}") {
            if let Err(error) = read(&text) {
                prop_assert!(error.position().unwrap_or(0) <= text.chars().count());
            }
        }
    }
}

#[test]
fn every_broken_input_is_refused_with_a_place() {
    let broken = corpus::corpus();
    assert!(broken.len() > 250);
    for text in &broken {
        for error in ask("timer", text).unwrap_err() {
            assert!(error.path().is_empty() || error.path().starts_with('/'), "{text:.200}");
            assert!(error.to_string().len() < 1000, "{text:.200}");
        }
    }
    assert!(ask("timer", corpus::GOOD).is_ok());
}

const PUMP: &str = include_str!("plans/watering-pump.json");

#[test]
fn a_plan_of_a_later_version_is_refused_first() {
    for (format, words) in [("2", "made by a later version"), ("1e999", "later version"), ("0", "0, but accepted is 1")]
    {
        let plan = PUMP.replacen("\"format\": 1", &format!("\"format\": {format}, \"name_of_2027\": []"), 1);
        let errors = ask("plan", &plan.replacen("\"salvaged\"", "7", 1)).unwrap_err();
        assert_eq!((errors.len(), errors[0].path().as_str()), (1, "/format"), "{errors:?}");
        assert!(errors[0].to_string().contains(words), "{}", errors[0]);
    }
    for format in ["null", "\"1\"", "1.5", "true", "[1]"] {
        let plan = PUMP.replacen("\"format\": 1", &format!("\"format\": {format}"), 1);
        let errors = ask("plan", &plan).unwrap_err();
        assert_eq!((errors.len(), errors[0].path().as_str()), (1, "/format"), "{errors:?}");
    }
}

#[test]
fn a_plan_with_many_mistakes_tells_them_all() {
    let shape =
        PUMP.replacen("\"likely\": 2.05", "\"likely\": \"2,05\"", 1).replacen("\"likely\": 2.21", "\"likly\": 2.21", 1);
    let places: Vec<_> = ask("plan", &shape).unwrap_err().iter().map(Error::path).collect();
    let cells = "/pack/groups/0/cells";
    assert_eq!(
        places,
        [
            format!("{cells}/0/capacity/capacity_ah/likly"),
            format!("{cells}/0/capacity/capacity_ah/likely"),
            format!("{cells}/1/capacity/capacity_ah/likely"),
        ]
    );
    let values =
        PUMP.replacen("\"likely\": 2.05", "\"likely\": -2", 1).replacen("\"length_m\": 2.0", "\"length_m\": -2", 1);
    let places: Vec<_> = ask("plan", &values).unwrap_err().iter().map(Error::path).collect();
    assert_eq!(places, [format!("{cells}/1/capacity/capacity_ah"), "/runs/1/length_m".into()]);
}
