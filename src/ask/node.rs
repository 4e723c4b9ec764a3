//! A value as it came in or goes out, before it has a type.

use crate::error::Error;
use alloc::borrow::Cow;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use serde::ser::{Serialize, SerializeMap, Serializer};

use super::place::Place;

/// Deepest nesting that is read.
pub const DEPTH_MAX: usize = 32;
/// Longest text that is read, in bytes; the texts of a JavaScript value count together.
pub const BYTES_MAX: usize = 1 << 20;
/// Most values that are read, keys not counted.
pub const VALUES_MAX: usize = 100_000;
/// Longest excerpt of a given text that an error repeats, in characters.
const EXCERPT_CHARS: usize = 40;
/// Whole numbers up to this size are exact in a double and written without a fraction.
const EXACT_MAX: f64 = 9_007_199_254_740_991.0;

/// A name with its value.
pub type Entry = (Cow<'static, str>, Node);

/// A value before it has a type.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// Nothing.
    Null,
    /// Yes or no.
    Bool(bool),
    /// A number; not finite where the text's number is larger than any double, or JavaScript handed over such a value.
    Number(f64),
    /// Text.
    Text(String),
    /// Values in order.
    List(Vec<Node>),
    /// Named values in the order given; a name given twice stands here twice.
    Object(Vec<Entry>),
    /// Something that JSON has no word for, said in words such as "a function".
    Odd(&'static str),
}

impl Node {
    /// What it is, in words for an error.
    pub(crate) fn described(&self) -> String {
        match self {
            Self::Null => "null".into(),
            Self::Bool(value) => value.to_string(),
            Self::Number(value) => value.to_string(),
            Self::Text(text) => format!("the text \"{}\"", cut(text)),
            Self::List(_) => "a list".into(),
            Self::Object(_) => "an object".into(),
            Self::Odd(what) => (*what).into(),
        }
    }

    /// The value under `key`, where this is an object that has it.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&Node> {
        match self {
            Self::Object(entries) => entries.iter().find(|(name, _)| name == key).map(|(_, value)| value),
            _ => None,
        }
    }
}

/// A whole number is written without a fraction, so that a count looks like one.
impl Serialize for Node {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Null | Self::Odd(_) => serializer.serialize_unit(),
            Self::Bool(value) => serializer.serialize_bool(*value),
            Self::Number(value) => match whole(*value) {
                Some(count) => serializer.serialize_i64(count),
                None => serializer.serialize_f64(*value),
            },
            Self::Text(text) => serializer.serialize_str(text),
            Self::List(values) => serializer.collect_seq(values),
            Self::Object(entries) => {
                let mut map = serializer.serialize_map(Some(entries.len()))?;
                for (key, value) in entries {
                    map.serialize_entry(key.as_ref(), value)?;
                }
                map.end()
            }
        }
    }
}

/// The number as an integer, where it is one, is exact and is not minus zero.
#[allow(clippy::cast_possible_truncation, clippy::float_cmp)] // exactness is what is asked
pub(crate) fn whole(value: f64) -> Option<i64> {
    let fits = libm::fabs(value) <= EXACT_MAX && libm::trunc(value) == value;
    let minus_zero = value == 0.0 && value.is_sign_negative();
    (fits && !minus_zero).then_some(value as i64)
}

/// At most [`EXCERPT_CHARS`] characters of a text, so that an error stays short.
pub(crate) fn cut(text: &str) -> String {
    match text.char_indices().nth(EXCERPT_CHARS) {
        Some((end, _)) => format!("{}…", text.get(..end).unwrap_or_default()),
        None => text.into(),
    }
}

/// Counts what was read, so that a hostile input ends early.
#[derive(Debug, Default)]
pub(crate) struct Budget {
    values: usize,
    bytes: usize,
}

impl Budget {
    /// Takes one more value at `place`.
    pub(crate) fn value(&mut self, place: &Place<'_>) -> Result<(), Error> {
        self.values += 1;
        if place.depth() > DEPTH_MAX {
            let accepted = format!("at most {DEPTH_MAX} levels of lists and objects");
            return Err(Error::other(place.field(), "nested deeper", accepted).placed(place.pointer()));
        }
        if self.values > VALUES_MAX {
            return Err(Error::other("input", "more", format!("at most {VALUES_MAX} values")).placed(""));
        }
        Ok(())
    }

    /// Takes a text or key of `length` bytes.
    pub(crate) fn bytes(&mut self, length: usize) -> Result<(), Error> {
        self.bytes = self.bytes.saturating_add(length);
        if self.bytes > BYTES_MAX {
            return Err(Error::other("input", "more", format!("at most {BYTES_MAX} bytes of text")).placed(""));
        }
        Ok(())
    }
}
