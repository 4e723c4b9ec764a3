//! Sentences by code: English words for whoever wants them, and the values that another language puts into its own.
//!
//! A [`Wording`] is a row of a table: a stable code and an English sentence with the places `{0}`, `{1}` and so on.
//! [`Wording::with`] fills the places and gives a [`Phrase`]: the English sentence beside code and values. No sentence of
//! another language stands here.

use crate::quantity::Unit;
use crate::quantity::text::{Decimal, Rounding, clock, written};
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;

/// A sentence of a table: its code, the key of its wording in every language, and its English words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wording {
    /// Stable code, unique over all tables.
    pub code: &'static str,
    /// English words; `{0}`, `{1}` and so on stand for the values.
    pub words: &'static str,
}

/// A sentence without its words: which one, and what belongs into its places.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Said {
    /// Code of the sentence.
    pub code: &'static str,
    /// What belongs into its places, in their order.
    pub values: Vec<SaidValue>,
}

/// What belongs into one place of a sentence.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum SaidValue {
    /// A number, already rounded to the side that the sentence needs.
    Number {
        /// The number, in its base unit.
        value: f64,
        /// Its unit as a field-name ending.
        unit: &'static str,
    },
    /// A name of the maker, a mark or a label: the same in every language.
    Text(String),
    /// Another sentence.
    Said(Said),
}

/// A sentence in English, with what another language needs to say the same.
#[derive(Clone, Debug, PartialEq)]
pub struct Phrase {
    /// English words.
    pub words: String,
    /// The same by code; without a code where the words are the maker's own.
    pub said: Said,
}

/// What fills one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Filling {
    words: String,
    value: SaidValue,
}

impl Wording {
    /// A row of a table.
    #[must_use]
    pub const fn new(code: &'static str, words: &'static str) -> Self {
        Self { code, words }
    }

    /// The sentence as it stands, for one without places.
    #[must_use]
    pub fn plain(&self) -> Phrase {
        self.filled(Vec::new())
    }

    /// The sentence with its places filled.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::said::{Filling, SaidValue, Wording};
    /// let stands = Wording::new("stands", "{0} stands {1}");
    /// let phrase = stands.with(["the pump".into(), Filling::number(14.0, "v")]);
    /// assert_eq!(phrase.words, "the pump stands 14 V");
    /// assert_eq!(phrase.said.values[1], SaidValue::Number { value: 14.0, unit: "v" });
    /// ```
    #[must_use]
    pub fn with<const N: usize>(&self, fillings: [Filling; N]) -> Phrase {
        self.filled(Vec::from(fillings))
    }

    fn filled(&self, fillings: Vec<Filling>) -> Phrase {
        let words = filled(self.words, &|place| fillings.get(place).map_or("", |filling| &filling.words));
        let values = fillings.into_iter().map(|filling| filling.value).collect();
        Phrase { words, said: Said { code: self.code, values } }
    }
}

/// A wording with its places filled; a place without a value is left out.
pub(crate) fn filled<'a>(wording: &str, value: &dyn Fn(usize) -> &'a str) -> String {
    let mut words = String::new();
    let mut rest = wording;
    while let Some((before, behind)) = rest.split_once('{') {
        words.push_str(before);
        let (place, after) = behind.split_once('}').unwrap_or(("", behind));
        words.push_str(place.parse().map_or("", value));
        rest = after;
    }
    words.push_str(rest);
    words
}

impl fmt::Display for Wording {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words)
    }
}

impl Phrase {
    /// Several sentences, one after the other, `joint` standing between two; nothing where there is none.
    #[must_use]
    pub fn joined(all: impl IntoIterator<Item = Self>, joint: &Wording) -> Option<Self> {
        all.into_iter().reduce(|before, next| joint.with([before.into(), next.into()]))
    }

    /// Words of the maker's own.
    fn own(words: String) -> Self {
        Self { words, said: Said { code: "", values: Vec::new() } }
    }

    /// The sentence by code; nothing where the words are the maker's own.
    #[must_use]
    pub fn coded(&self) -> Option<Said> {
        (!self.said.code.is_empty()).then(|| self.said.clone())
    }
}

impl From<String> for Phrase {
    fn from(words: String) -> Self {
        Self::own(words)
    }
}

impl From<&str> for Phrase {
    fn from(words: &str) -> Self {
        Self::own(words.to_string())
    }
}

impl From<Wording> for Phrase {
    fn from(wording: Wording) -> Self {
        wording.plain()
    }
}

impl Filling {
    /// A number with its unit, a field-name ending.
    #[must_use]
    pub fn number(value: f64, unit: &'static str) -> Self {
        Self { words: shown(value, unit), value: SaidValue::Number { value, unit } }
    }

    /// As [`Self::number`], never below the value.
    #[must_use]
    pub fn up(value: f64, unit: &'static str) -> Self {
        Self::number(to_three(value, libm::ceil), unit)
    }

    /// As [`Self::number`], never above the value.
    #[must_use]
    pub fn down(value: f64, unit: &'static str) -> Self {
        Self::number(to_three(value, libm::floor), unit)
    }

    /// The same, of which no line breaks at its spaces.
    #[must_use]
    pub fn glued(self) -> Self {
        Self { words: self.words.replace(' ', "\u{a0}"), ..self }
    }

    /// A time in hours and minutes, never above the value, which is in seconds.
    #[must_use]
    pub fn clock(value: f64) -> Self {
        Self { words: clock(value, Rounding::Down), value: SaidValue::Number { value, unit: "s" } }
    }

    /// How many, or which one.
    #[must_use]
    pub fn count(value: usize) -> Self {
        let words = value.to_string();
        Self { words: words.clone(), value: SaidValue::Text(words) }
    }
}

impl From<Phrase> for Filling {
    fn from(phrase: Phrase) -> Self {
        let own = phrase.said.code.is_empty();
        let value = if own { SaidValue::Text(phrase.words.clone()) } else { SaidValue::Said(phrase.said) };
        Self { words: phrase.words, value }
    }
}

impl From<Wording> for Filling {
    fn from(wording: Wording) -> Self {
        wording.plain().into()
    }
}

impl From<String> for Filling {
    fn from(words: String) -> Self {
        Phrase::own(words).into()
    }
}

impl From<&str> for Filling {
    fn from(words: &str) -> Self {
        Phrase::from(words).into()
    }
}

/// A number of three digits with its unit, `unit` being a field-name ending; zeros at its end are left out.
pub(crate) fn shown(value: f64, unit: &str) -> String {
    shown_with(value, unit, Decimal::Point)
}

/// The same with another decimal sign.
pub(crate) fn shown_with(value: f64, unit: &str, decimal: Decimal) -> String {
    let unit = Unit::of_field(&format!("value_{unit}")).unwrap_or(Unit::Count);
    let words = written(value, unit, 3, decimal);
    match words.split_once(' ') {
        Some((number, symbol)) => format!("{} {symbol}", trimmed(number)),
        None => trimmed(&words).to_string(),
    }
}

/// A number without the zeros behind its last digit that counts.
fn trimmed(number: &str) -> &str {
    if number.contains(['.', ',']) && !number.contains('e') {
        number.trim_end_matches('0').trim_end_matches(['.', ','])
    } else {
        number
    }
}

/// Three significant digits of a positive value, the rest by `way`; what lies within 1e-9 of a step counts as on it.
fn to_three(value: f64, way: fn(f64) -> f64) -> f64 {
    if value.is_nan() || value <= 0.0 {
        return value;
    }
    let step = libm::pow(10.0, libm::floor(libm::log10(value)) - 2.0);
    let steps = value / step;
    let near = libm::round(steps);
    if libm::fabs(steps - near) < 1e-9 * near { near * step } else { way(steps) * step }
}

/// Rows of `NAME: "code", "English words";` as constants, and the table of them all as `WORDINGS`.
macro_rules! wordings {
    ($($name:ident: $code:literal, $words:expr;)*) => {
        $(const $name: $crate::quantity::said::Wording = $crate::quantity::said::Wording::new($code, $words);)*
        /// Every sentence of this file.
        pub(crate) const WORDINGS: &[$crate::quantity::said::Wording] = &[$($name),*];
    };
}
pub(crate) use wordings;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_rounded_to_the_safe_side() {
        let (up, down) = (|value, unit| Filling::up(value, unit).words, |value, unit| Filling::down(value, unit).words);
        assert_eq!((up(2.4011, "a"), down(2.4099, "a")), ("2.41 A".into(), "2.4 A".into()));
        assert_eq!((up(12.6, "v"), down(12.6, "v")), ("12.6 V".into(), "12.6 V".into()));
        assert_eq!(up(0.0, "a"), "0 A");
    }

    #[test]
    fn a_place_without_a_value_is_left_out_and_a_brace_alone_is_no_place() {
        assert_eq!(Wording::new("a", "{0}{1} {x} {").with(["one".into()]).words, "one  ");
        let list = ["a", "b"].map(Phrase::from);
        assert_eq!(Phrase::joined(list, &Wording::new("and", "{0}; {1}")).unwrap().words, "a; b");
    }
}
