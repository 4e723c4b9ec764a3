//! JSON text (RFC 8259) to a [`Node`].
//!
//! Written here rather than taken from a library because a mistake must be told with its place: a name given twice
//! and a number larger than any double are kept for the decoder, which knows what was wanted there; a syntax error
//! names the character. Numbers are rounded exactly by the core library. Strict: no comments, no trailing text.

use crate::error::Error;
use crate::quantity::decimal::double;
use alloc::string::String;
use alloc::vec::Vec;

use super::node::{Budget, Node, cut};
use super::place::Place;

/// The value that a JSON text stands for.
///
/// # Errors
///
/// The first mistake in the text, with the character it stands at; or which limit the text exceeds.
///
/// # Examples
///
/// ```
/// # use cellwright::ask::{Node, read};
/// assert_eq!(read("[4.7e3]")?, Node::List(vec![Node::Number(4700.0)]));
/// assert_eq!(read("[4.7e3").unwrap_err().position(), Some(6));
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn read(text: &str) -> Result<Node, Error> {
    let mut budget = Budget::default();
    budget.bytes(text.len())?;
    let mut reader = Reader { text, at: 0, budget: Budget::default() };
    let whole = Place::whole();
    let node = reader.value(&whole)?;
    reader.space();
    if reader.at == text.len() { Ok(node) } else { Err(reader.wrong(&whole, "the end of the text")) }
}

struct Reader<'t> {
    text: &'t str,
    at: usize,
    budget: Budget,
}

impl<'t> Reader<'t> {
    fn rest(&self) -> &'t str {
        self.text.get(self.at..).unwrap_or_default()
    }

    fn next(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    /// Steps over the characters that are `wanted`, all of them ASCII; false where there are none.
    fn run(&mut self, wanted: impl Fn(u8) -> bool) -> bool {
        let start = self.at;
        while self.next().is_some_and(&wanted) {
            self.at += 1;
        }
        self.at > start
    }

    fn space(&mut self) {
        self.run(|sign| matches!(sign, b' ' | b'\t' | b'\n' | b'\r'));
    }

    /// Steps over the digits that stand here; false where there are none.
    fn digits(&mut self) -> bool {
        self.run(|sign| sign.is_ascii_digit())
    }

    /// Steps over `sign`, an ASCII character, if it stands here.
    fn take(&mut self, sign: u8) -> bool {
        let found = self.next() == Some(sign);
        self.at += usize::from(found);
        found
    }

    /// Steps over `word`, if it stands here.
    fn take_word(&mut self, word: &str) -> bool {
        let found = self.rest().starts_with(word);
        if found {
            self.at += word.len();
        }
        found
    }

    fn wrong(&self, place: &Place<'_>, accepted: &'static str) -> Error {
        let given = if self.rest().is_empty() { "the end of the text".into() } else { cut(self.rest()) };
        let position = self.text.get(..self.at).unwrap_or_default().chars().count();
        Error::text(place.field(), given, accepted, position).placed(place.pointer())
    }

    fn value(&mut self, place: &Place<'_>) -> Result<Node, Error> {
        self.budget.value(place)?;
        self.space();
        match self.next() {
            Some(b'{') => self.object(place),
            Some(b'[') => self.list(place),
            Some(b'"') => self.string(place).map(Node::Text),
            Some(b'-' | b'0'..=b'9') => self.number(place),
            _ if self.take_word("true") => Ok(Node::Bool(true)),
            _ if self.take_word("false") => Ok(Node::Bool(false)),
            _ if self.take_word("null") => Ok(Node::Null),
            _ => Err(self.wrong(place, "a JSON value")),
        }
    }

    fn list(&mut self, place: &Place<'_>) -> Result<Node, Error> {
        let mut values = Vec::new();
        self.take(b'[');
        self.space();
        if self.take(b']') {
            return Ok(Node::List(values));
        }
        loop {
            values.push(self.value(&place.index(values.len()))?);
            self.space();
            if self.take(b']') {
                return Ok(Node::List(values));
            }
            if !self.take(b',') {
                return Err(self.wrong(place, "a comma or ]"));
            }
        }
    }

    fn object(&mut self, place: &Place<'_>) -> Result<Node, Error> {
        let mut entries = Vec::new();
        self.take(b'{');
        self.space();
        if self.take(b'}') {
            return Ok(Node::Object(entries));
        }
        loop {
            self.space();
            if self.next() != Some(b'"') {
                return Err(self.wrong(place, "a name in double quotes"));
            }
            let key = self.string(place)?;
            self.space();
            if !self.take(b':') {
                return Err(self.wrong(place, "a colon"));
            }
            let value = self.value(&place.key(&key))?;
            entries.push((key.into(), value));
            self.space();
            if self.take(b'}') {
                return Ok(Node::Object(entries));
            }
            if !self.take(b',') {
                return Err(self.wrong(place, "a comma or }"));
            }
        }
    }

    /// A number as RFC 8259 spells it: no leading zero, digits on both sides of the point.
    fn number(&mut self, place: &Place<'_>) -> Result<Node, Error> {
        let start = self.at;
        self.take(b'-');
        let mut complete = self.take(b'0') || self.digits();
        if complete && self.take(b'.') {
            complete = self.digits();
        }
        if complete && (self.take(b'e') || self.take(b'E')) {
            let _signed = self.take(b'+') || self.take(b'-');
            complete = self.digits();
        }
        let spelled = self.text.get(start..self.at).unwrap_or_default();
        match double(spelled) {
            Some(number) if complete => Ok(Node::Number(number)),
            _ => Err(self.wrong(place, "a digit")),
        }
    }

    fn string(&mut self, place: &Place<'_>) -> Result<String, Error> {
        let mut text = String::new();
        self.take(b'"');
        loop {
            let start = self.at;
            self.run(|sign| !matches!(sign, b'"' | b'\\' | 0..b' '));
            text.push_str(self.text.get(start..self.at).unwrap_or_default());
            if self.next().is_none() {
                return Err(self.wrong(place, "a closing double quote"));
            }
            if self.take(b'"') {
                return Ok(text);
            }
            if !self.take(b'\\') {
                return Err(self.wrong(place, "no bare control character in text"));
            }
            text.push(self.escape(place)?);
        }
    }

    /// The character that an escape stands for; the backslash is read.
    fn escape(&mut self, place: &Place<'_>) -> Result<char, Error> {
        let start = self.at;
        let plain = match self.next() {
            Some(b'"') => '"',
            Some(b'\\') => '\\',
            Some(b'/') => '/',
            Some(b'b') => '\u{8}',
            Some(b'f') => '\u{c}',
            Some(b'n') => '\n',
            Some(b'r') => '\r',
            Some(b't') => '\t',
            Some(b'u') => {
                let found = self.unicode();
                if found.is_none() {
                    self.at = start;
                }
                return found.ok_or_else(|| self.wrong(place, "u with four hexadecimal digits, surrogates in pairs"));
            }
            _ => return Err(self.wrong(place, "one of \" \\ / b f n r t u after a backslash")),
        };
        self.at += 1;
        Ok(plain)
    }

    /// `u` and four digits, or two of them that make one character beyond 16 bits.
    fn unicode(&mut self) -> Option<char> {
        let first = self.unit()?;
        if !(0xD800..0xDC00).contains(&first) {
            return char::from_u32(first);
        }
        if !self.take(b'\\') {
            return None;
        }
        let second = self.unit()?;
        let low = second.checked_sub(0xDC00).filter(|low| *low < 0x400)?;
        char::from_u32(0x1_0000 + ((first - 0xD800) << 10) + low)
    }

    fn unit(&mut self) -> Option<u32> {
        let digits = self.rest().strip_prefix('u')?.get(..4)?;
        let all = digits.bytes().all(|digit| digit.is_ascii_hexdigit());
        self.at += 5;
        if all { u32::from_str_radix(digits, 16).ok() } else { None }
    }
}
