//! Words of another language for what is drawn: sentences by their code, numbers with its decimal sign.
//!
//! A drawing is laid out by the width of its letters, so it has to know them before it is drawn. Whoever asks hands in the
//! words; none of another language stands in the crate. What has no words there stays in English.

use super::said::{Phrase, Said, SaidValue, filled, shown_with};
use super::text::{Decimal, Rounding, clock};
use alloc::string::String;
use alloc::vec::Vec;

/// Words by their code, and the decimal sign; English without any.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Tongue {
    /// A code and its words, which have the places `{0}`, `{1}` of the English ones; the first of a code counts.
    pub words: Vec<[String; 2]>,
    /// The decimal sign of its numbers.
    pub decimal: Decimal,
}

impl Tongue {
    /// The crate's own words.
    pub const ENGLISH: Self = Self { words: Vec::new(), decimal: Decimal::Point };

    /// A sentence in its words; in English where it, or one inside it, has none. No line breaks inside a number.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::{said::{Filling, Wording}, text::Decimal, tongue::Tongue};
    /// let fuse = Wording::new("fuse", "F1 fuse {0}").with([Filling::number(7.5, "a")]);
    /// let german = Tongue { words: vec![["fuse".into(), "F1 Sicherung {0}".into()]], decimal: Decimal::Comma };
    /// assert_eq!(german.say(&fuse), "F1 Sicherung 7,5\u{a0}A");
    /// assert_eq!(Tongue::ENGLISH.say(&fuse), "F1 fuse 7.5 A");
    /// ```
    #[must_use]
    pub fn say(&self, phrase: &Phrase) -> String {
        self.said(&phrase.said).unwrap_or_else(|| phrase.words.clone())
    }

    /// A number as it is written, with its decimal sign.
    pub(crate) fn plain(&self, number: String) -> String {
        if self.decimal == Decimal::Comma { number.replace('.', ",") } else { number }
    }

    fn said(&self, said: &Said) -> Option<String> {
        let [_, words] = self.words.iter().find(|[code, _]| *code == said.code)?;
        let texts = said.values.iter().map(|value| self.value(value)).collect::<Option<Vec<String>>>()?;
        Some(filled(words, &|place| texts.get(place).map_or("", String::as_str)))
    }

    fn value(&self, value: &SaidValue) -> Option<String> {
        Some(match value {
            SaidValue::Number { value, unit: "s" } => self.plain(clock(*value, Rounding::Down).replace(' ', "\u{a0}")),
            SaidValue::Number { value, unit } => shown_with(*value, unit, self.decimal).replacen(' ', "\u{a0}", 1),
            SaidValue::Text(text) => text.clone(),
            SaidValue::Said(said) => self.said(said)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::said::{Filling, Wording};
    use alloc::string::ToString;

    #[test]
    fn a_sentence_with_one_inside_that_has_no_words_stays_in_english_as_a_whole() {
        let inner = Wording::new("inner", "inside {0}").with([Filling::number(1500.0, "s")]);
        let outer = Wording::new("outer", "{0} and out").with([inner.into()]);
        let pair = |code: &str, words: &str| [code.to_string(), words.to_string()];
        let mut tongue = Tongue { words: alloc::vec![pair("outer", "{0} {9}und außen")], decimal: Decimal::Comma };
        assert_eq!(tongue.say(&outer), outer.words);
        tongue.words.push(pair("inner", "innen {0}"));
        assert_eq!(tongue.say(&outer), "innen 25\u{a0}min\u{a0}00\u{a0}s und außen");
        assert_eq!(tongue.say(&Phrase::from("outer")), "outer", "the maker's own words are left alone");
    }
}
