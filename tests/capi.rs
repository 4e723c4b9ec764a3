//! The C door, called from Rust: nulls, bytes that are not text, and the header.
#![cfg(feature = "capi")]

use cellwright::ask::Stepped;
use cellwright::capi::{
    cellwright_ask, cellwright_begin, cellwright_end, cellwright_free, cellwright_so_far, cellwright_step,
    cellwright_version,
};
use std::ffi::{CStr, CString, c_char};
use std::ptr;

fn asked(question: *const c_char, json: *const c_char) -> serde_json::Value {
    unsafe {
        let text = cellwright_ask(question, json);
        assert!(!text.is_null());
        let value = serde_json::from_slice(CStr::from_ptr(text).to_bytes()).unwrap();
        cellwright_free(text);
        value
    }
}

#[test]
fn null_and_bytes_are_mistakes() {
    let bytes = c"\"\xff\"";
    for (question, json, code, field) in [
        (ptr::null(), c"{}".as_ptr(), "missing", "question"),
        (ptr::null(), ptr::null(), "missing", "question"),
        (c"timer".as_ptr(), ptr::null(), "missing", "input"),
        (c"timer".as_ptr(), bytes.as_ptr(), "not_accepted", "input"),
        (bytes.as_ptr(), c"{}".as_ptr(), "not_accepted", "question"),
        (c"none".as_ptr(), c"{}".as_ptr(), "not_accepted", "question"),
    ] {
        let value = asked(question, json);
        assert_eq!((&value["errors"][0]["code"], &value["errors"][0]["field"]), (&code.into(), &field.into()));
    }
    unsafe { cellwright_free(ptr::null_mut()) };
}

#[test]
fn the_answer_is_that_of_rust() {
    for (question, json) in [
        ("marking", "{\"resistor_letters\": \"4K7\"}"),
        ("marking", "{\"resistor_letters\": \"4Z7\"}"),
        ("timer", "{\"supply\": 1, \"supply_v\": [], \"supply_v\": 2}"),
        ("plan", include_str!("plans/watering-pump.json")),
        ("plan", include_str!("plans/seed-drying-blower.json")),
        ("plan", include_str!("plans/market-stall-lamp.json")),
    ] {
        let question_text = CString::new(question).unwrap();
        let json_text = CString::new(json).unwrap();
        let rust = cellwright::ask::ask(question, json).unwrap_or_else(|errors| cellwright::ask::refused(&errors));
        assert_eq!(asked(question_text.as_ptr(), json_text.as_ptr()), serde_json::to_value(rust).unwrap());
    }
}

#[test]
fn the_header_tells_the_same() {
    let header = include_str!("../pkg-config/cellwright.h");
    let version = unsafe { CStr::from_ptr(cellwright_version()) }.to_str().unwrap();
    assert_eq!(version, env!("CARGO_PKG_VERSION"));
    assert!(header.contains(&format!("#define CELLWRIGHT_VERSION \"{version}\"\n")));
    let source = include_str!("../src/capi.rs");
    let exported: Vec<_> = source.split("extern \"C\" fn ").skip(1).filter_map(|rest| rest.split('(').next()).collect();
    let names = ["ask", "free", "begin", "step", "so_far", "end", "version"].map(|name| format!("cellwright_{name}"));
    assert_eq!(exported, names);
    for name in exported {
        assert_eq!(header.matches(&format!("{name}(")).count(), 1, "{name}");
    }
}

#[path = "door/stepped.rs"]
mod stepped;

/// The text behind a pointer from the library, given back.
fn told(text: *mut c_char) -> serde_json::Value {
    assert!(!text.is_null());
    unsafe {
        let value = serde_json::from_slice(CStr::from_ptr(text).to_bytes()).unwrap();
        cellwright_free(text);
        value
    }
}

#[test]
fn steps_are_those_of_rust() {
    for (question, input, counts) in stepped::CASES {
        let (name, json) = (CString::new(question).unwrap(), CString::new(input).unwrap());
        let mut mistakes = ptr::dangling_mut();
        let work = unsafe { cellwright_begin(name.as_ptr(), json.as_ptr(), &raw mut mistakes) };
        assert!(!work.is_null() && mistakes.is_null());
        let mut rust = Stepped::start(question, input).unwrap();
        for count in counts {
            let node = rust.step(*count).unwrap();
            assert_eq!(told(unsafe { cellwright_step(work, *count) }), serde_json::to_value(node).unwrap());
        }
        let answer = serde_json::to_value(rust.answer().unwrap()).unwrap();
        assert_eq!(told(unsafe { cellwright_so_far(work) }), answer);
        assert_eq!(told(unsafe { cellwright_step(work, f64::NAN) })["errors"][0]["field"], "count");
        unsafe { cellwright_end(work) };
    }
}

#[test]
fn steps_that_cannot_start_tell_why() {
    for (question, json, field) in [
        (c"timer".as_ptr(), c"{}".as_ptr(), "question"),
        (ptr::null(), c"{}".as_ptr(), "question"),
        (c"match".as_ptr(), ptr::null(), "input"),
        (c"match".as_ptr(), c"{\"series\": 3}".as_ptr(), "cells"),
    ] {
        let mut mistakes = ptr::null_mut();
        let work = unsafe { cellwright_begin(question, json, &raw mut mistakes) };
        assert!(work.is_null());
        assert_eq!(told(mistakes)["errors"][0]["field"], field);
        assert!(unsafe { cellwright_begin(question, json, ptr::null_mut()) }.is_null());
    }
    unsafe {
        assert!(cellwright_step(ptr::null_mut(), 1.0).is_null() && cellwright_so_far(ptr::null()).is_null());
        cellwright_end(ptr::null_mut());
    }
}
