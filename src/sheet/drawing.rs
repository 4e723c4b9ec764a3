//! Drawings as plain shapes: what a page draws as nodes and [`super::svg`] writes as a file.
//!
//! A drawing is as wide and as high as it says, in units of its own; x grows to the right, y downwards. Letters are taken
//! as wide as those of a wide common sans-serif type, so that a text is never wider than [`text_width`] says.

use alloc::string::String;
use alloc::vec::Vec;

/// A drawing.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Drawing {
    /// What it shows, for those who do not see it.
    pub title: String,
    /// Width, in units.
    pub width: f64,
    /// Height, in units.
    pub height: f64,
    /// Size of one unit on paper, in metres.
    pub unit_m: f64,
    /// Width of a plain line, in units.
    pub line: f64,
    /// Its shapes, the lowest first.
    pub shapes: Vec<Shape>,
}

/// One shape.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Shape {
    /// Straight lines from point to point.
    Path {
        /// The points, x before y.
        points: Vec<[f64; 2]>,
        /// Whether the last point is tied to the first and the inside filled, as far as the ink fills.
        closed: bool,
        /// How it is drawn.
        ink: Ink,
    },
    /// A circle.
    Circle {
        /// Centre.
        x: f64,
        /// Centre.
        y: f64,
        /// Radius, in units.
        radius: f64,
        /// How it is drawn.
        ink: Ink,
    },
    /// A rectangle.
    Box {
        /// Left edge.
        x: f64,
        /// Upper edge.
        y: f64,
        /// Width, in units.
        width: f64,
        /// Height, in units.
        height: f64,
        /// How it is drawn.
        ink: Ink,
    },
    /// One line of text.
    Text {
        /// Where it is anchored.
        x: f64,
        /// The line it stands on.
        y: f64,
        /// The text. It is the maker's in part: it is only ever set as text.
        text: String,
        /// Size of the type, in units.
        size: f64,
        /// Which end of the text `x` is.
        anchor: Anchor,
        /// How it is drawn.
        ink: Ink,
    },
}

/// Which end of a text is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Anchor {
    /// Its left end.
    Left,
    /// Its middle.
    Middle,
    /// Its right end.
    Right,
}

/// How a shape is drawn: its purpose, so that a page may choose colours of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Ink {
    /// Wire on the plus side.
    Plus,
    /// Wire on the minus side.
    Minus,
    /// Thin wire to a balance tap.
    Sense,
    /// Wire that carries a signal.
    Signal,
    /// Outline of a symbol; a text on it.
    Symbol,
    /// A filled part of a symbol.
    Solid,
    /// Outline on paper-coloured ground, over what lies below.
    Mark,
    /// Frame of a block.
    Frame,
    /// Dashed: not in the plan.
    Missing,
    /// A stop, as outline and text.
    Alarm,
    /// Text, or a text in capitals.
    Text,
    /// Text of less weight.
    Quiet,
    /// Lines behind a curve.
    Grid,
    /// First curve: a full line.
    First,
    /// Second curve: long dashes.
    Second,
    /// Third curve: dots.
    Third,
    /// Filled pale.
    Pale,
    /// Thin strokes over what is not used.
    Hatch,
}

/// Width of a text in units, rather too wide than too narrow.
///
/// Widths follow a wide common sans-serif type: digits 0.64 of the size, capitals 0.72, wide letters 1.0; a sign of
/// another script counts 1.15. Common practice, no source.
///
/// # Examples
///
/// ```
/// # use cellwright::sheet::drawing::text_width;
/// assert!(text_width("12.6 V", 10.0) > 30.0 && text_width("12.6 V", 10.0) < 40.0);
/// ```
#[must_use]
pub fn text_width(text: &str, size: f64) -> f64 {
    text.chars().map(sign_width).sum::<f64>() * size
}

fn sign_width(sign: char) -> f64 {
    match sign {
        ' ' | '\u{a0}' | '.' | ',' | ':' | ';' | 'i' | 'j' | 'l' | '|' | '\'' | '!' | 'I' | '(' | ')' | '[' | ']'
        | '/' | '·' => 0.4,
        'f' | 't' | 'r' | '-' => 0.45,
        'm' | 'w' | 'M' | 'W' | '%' | '@' | '…' | '—' => 1.0,
        '+' | '−' | '=' | '<' | '>' | '~' | '×' | '±' | '#' | '≥' | '≤' | '≈' | '→' | '&' | 'Ω' => 0.86,
        'A'..='Z' => 0.78,
        ' '..='~' | '²' | '³' | '°' | 'µ' | 'μ' => 0.65,
        '\u{a1}'..='\u{24f}' | '\u{370}'..='\u{52f}' => 0.85,
        _ => 1.15,
    }
}

/// The text as far as it may be drawn: signs that steer instead of showing something are left out.
#[must_use]
pub fn plain(text: &str) -> String {
    let steers = |sign: &char| {
        sign.is_control()
            || matches!(sign, '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}')
            || matches!(sign, '\u{300}'..='\u{36f}' | '\u{fdfd}' | '\u{feff}' | '\u{fff0}'..='\u{ffff}' | '\u{e0000}'..)
    };
    text.chars().filter(|sign| !steers(sign)).collect()
}

/// The plain text, cut with "…" where it is wider than `width`.
#[must_use]
pub fn fitted(text: &str, size: f64, width: f64) -> String {
    let plain = plain(text);
    if text_width(&plain, size) <= width {
        return plain;
    }
    let mut kept = String::new();
    let mut used = sign_width('…') * size;
    for sign in plain.chars() {
        used += sign_width(sign) * size;
        if used > width {
            break;
        }
        kept.push(sign);
    }
    kept.truncate(kept.trim_end().len());
    kept.push('…');
    kept
}

/// The text with its spaces made such that no line breaks at them: a number stays with its unit.
#[must_use]
pub fn glued(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

/// The text in lines no wider than `width`, broken between words; a word that is wider alone is cut.
#[must_use]
pub fn lines(text: &str, size: f64, width: f64) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for word in plain(text).split(' ').filter(|word| !word.is_empty()) {
        match all.last_mut() {
            Some(last) if text_width(last, size) + text_width(word, size) + sign_width(' ') * size <= width => {
                last.push(' ');
                last.push_str(word);
            }
            _ => all.push(fitted(word, size, width)),
        }
    }
    all
}
