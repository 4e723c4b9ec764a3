//! A [`Node`] to JSON text (RFC 8259), without the tables that a general writer of numbers brings.

use alloc::string::String;
use core::fmt::Write;

use super::node::{Node, whole};

/// The JSON text of a value; what JSON has no word for is `null`.
///
/// Numbers have the fewest digits that are read back to the same bits.
///
/// # Examples
///
/// ```
/// # use cellwright::ask::{read, write};
/// let text = r#"{"a\"b\u000a":[1,-0.0,0.1,2.5e-7,1e300,true,null]}"#;
/// assert_eq!(write(&read(text)?), text);
/// # Ok::<(), cellwright::Error>(())
/// ```
#[must_use]
pub fn write(node: &Node) -> String {
    let mut text = String::new();
    // Writing to a String does not fail.
    let _ = value(node, &mut text);
    text
}

fn value(node: &Node, text: &mut String) -> core::fmt::Result {
    match node {
        Node::Null | Node::Odd(_) => text.write_str("null"),
        Node::Bool(flag) => write!(text, "{flag}"),
        Node::Number(number) => match whole(*number) {
            Some(count) => write!(text, "{count}"),
            None if number.is_finite() => write!(text, "{number:?}"),
            None => text.write_str("null"),
        },
        Node::Text(words) => quoted(words, text),
        Node::List(values) => {
            text.push('[');
            for (place, one) in values.iter().enumerate() {
                comma(place, text);
                value(one, text)?;
            }
            text.write_char(']')
        }
        Node::Object(entries) => {
            text.push('{');
            for (place, (key, one)) in entries.iter().enumerate() {
                comma(place, text);
                quoted(key, text)?;
                text.push(':');
                value(one, text)?;
            }
            text.write_char('}')
        }
    }
}

fn comma(place: usize, text: &mut String) {
    if place > 0 {
        text.push(',');
    }
}

fn quoted(words: &str, text: &mut String) -> core::fmt::Result {
    text.push('"');
    let mut rest = words;
    while let Some(end) = rest.bytes().position(|sign| matches!(sign, b'"' | b'\\' | 0..b' ')) {
        let (plain, from) = rest.split_at_checked(end).unwrap_or((rest, ""));
        text.push_str(plain);
        let mut signs = from.chars();
        match signs.next() {
            Some(sign @ ('"' | '\\')) => {
                text.push('\\');
                text.push(sign);
            }
            sign => write!(text, "\\u{:04x}", sign.map_or(0, u32::from))?,
        }
        rest = signs.as_str();
    }
    text.push_str(rest);
    text.write_char('"')
}
