//! Short answers for a reader of somebody else's page: a few entries as texts in, lines in words out.
//!
//! Each question takes what stands in an article as it was written there, reads it by [`crate::quantity::parse`], asks
//! the same laws and rules as a whole plan does, and gives lines that can be shown without a further calculation.
//! A value without a stated tolerance is widened to both sides by a usual one; what was reckoned with comes back.
//! Source of these widths: common practice, no source.

pub mod cells;
pub mod knob;
pub mod plan;
pub mod runtime;
pub mod wire;

use crate::error::Error;
use crate::finding::Finding;
use crate::part::cell::Chemistry;
use crate::plan::report::Verdict;
use crate::quantity::parse::Entry;
use crate::quantity::text::{Decimal, Rounding, clock, written};
use crate::quantity::{Interval, Unit};
use alloc::borrow::ToOwned;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// One line of a short answer.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ReaderLine {
    /// What the line tells, as a stable word: the key of its label in every language.
    pub key: &'static str,
    /// What it is about where there are several, such as the number of a group; empty otherwise.
    pub of: String,
    /// The value in words, or a stable word where `coded` says so.
    pub words: String,
    /// Whether `words` is a stable word and the key of its wording.
    pub coded: bool,
    /// The numbers behind the words, in the base unit, where there are some.
    pub value: Option<Interval>,
}

/// What one entry was read as.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ReaderEntry {
    /// Name of the field.
    pub field: &'static str,
    /// What was read.
    pub words: String,
    /// What was reckoned with instead, because the entry states no tolerance, or was left out; empty otherwise.
    pub taken: String,
}

/// A short answer.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ReaderAnswer {
    /// Version of this crate.
    pub crate_version: &'static str,
    /// Date of the newest fact in its tables.
    pub data_version: &'static str,
    /// What the rules say that could be asked; none where no rule belongs to the question. Ready does not mean safe.
    pub verdict: Option<Verdict>,
    /// The answer, the most important line first.
    pub lines: Vec<ReaderLine>,
    /// What the entries were read as.
    pub entries: Vec<ReaderEntry>,
    /// Rules that are broken or could not be judged, the most urgent first.
    pub findings: Vec<Finding>,
}

impl ReaderAnswer {
    fn new(lines: Vec<ReaderLine>, entries: Vec<ReaderEntry>) -> Self {
        Self {
            crate_version: env!("CARGO_PKG_VERSION"),
            data_version: crate::data::VERSION,
            verdict: None,
            lines,
            entries,
            findings: Vec::new(),
        }
    }

    /// The same with what stands against it.
    fn judged(mut self, mut findings: Vec<Finding>) -> Self {
        crate::plan::in_order(&mut findings);
        self.verdict = Some(Verdict::on(&findings));
        self.findings = findings;
        self
    }
}

impl ReaderLine {
    fn new(key: &'static str, words: String, value: Option<Interval>) -> Self {
        Self { key, of: String::new(), words, coded: false, value }
    }

    fn code(key: &'static str, code: &str) -> Self {
        Self { coded: true, ..Self::new(key, code.to_owned(), None) }
    }

    fn number(key: &'static str, value: f64, unit: Unit) -> Self {
        Self::new(key, shown(value, unit), Some(Interval::exact(value)))
    }

    /// A time that is promised: rounded down.
    fn at_least(key: &'static str, time_s: f64) -> Self {
        Self::new(key, clock(time_s, Rounding::Down), Some(Interval::exact(time_s)))
    }

    /// A time that is not passed: rounded up.
    fn at_most(key: &'static str, time_s: f64) -> Self {
        Self::new(key, clock(time_s, Rounding::Up), Some(Interval::exact(time_s)))
    }

    fn span(key: &'static str, value: Interval, unit: Unit) -> Self {
        Self::new(key, span(value, unit), Some(value))
    }

    fn of(self, of: impl Into<String>) -> Self {
        Self { of: of.into(), ..self }
    }
}

fn shown(value: f64, unit: Unit) -> String {
    written(value, unit, 3, Decimal::Point)
}

fn span(value: Interval, unit: Unit) -> String {
    let (low, high) = (shown(value.low, unit), shown(value.high, unit));
    if low == high { low } else { format!("{low} – {high}") }
}

/// Reads entries one after the other and keeps what went wrong.
#[derive(Default)]
struct Entries {
    errors: Vec<Error>,
    read: Vec<ReaderEntry>,
}

/// How an entry is read.
#[derive(Clone, Copy)]
struct Field {
    name: &'static str,
    unit: Unit,
    /// Smallest and largest value that is accepted.
    range: (f64, f64),
    /// Taken where the entry is left out; empty where it must be there.
    usual: &'static str,
    /// Half width as a share of the value, where the entry states none.
    tolerance_ratio: f64,
}

const fn field(name: &'static str, unit: Unit, range: (f64, f64)) -> Field {
    Field { name, unit, range, usual: "", tolerance_ratio: 0.0 }
}

impl Field {
    const fn usual(self, usual: &'static str) -> Self {
        Self { usual, ..self }
    }

    const fn within(self, tolerance_ratio: f64) -> Self {
        Self { tolerance_ratio, ..self }
    }
}

impl Entries {
    /// The entry, or what is usual; a number that stands in after a mistake.
    fn interval(&mut self, field: Field, text: Option<&String>) -> Interval {
        self.optional(field, Some(text.map_or(field.usual, String::as_str))).unwrap_or(Interval::exact(field.range.0))
    }

    /// As [`Entries::interval`], for a value that one number states.
    fn number(&mut self, field: Field, text: Option<&String>) -> f64 {
        let read = self.interval(field, text);
        if let Some(entry) = self.read.last_mut().filter(|entry| entry.field == field.name && read.low < read.high) {
            entry.taken = shown(read.likely, field.unit);
        }
        read.likely
    }

    /// The entry; nothing where it is left out, or wrong.
    fn optional(&mut self, field: Field, text: Option<&str>) -> Option<Interval> {
        let text = text?;
        let entry = Entry { text: text.into(), unit: field.unit, field: Some(field.name.into()), decimal: None };
        let checked = entry.answer().and_then(|reading| {
            let likely = reading.value;
            let interval = reading.interval.unwrap_or(Interval::around(likely, field.tolerance_ratio));
            let (low, high) = field.range;
            interval.check(field.name, low, high)?;
            Ok((interval, reading))
        });
        match checked {
            Ok((interval, reading)) => {
                let widened = reading.interval.is_none() && field.tolerance_ratio > 0.0;
                let taken = if widened || text == field.usual { span(interval, field.unit) } else { String::new() };
                self.read.push(ReaderEntry { field: field.name, words: reading.words, taken });
                Some(interval)
            }
            Err(error) => {
                self.wrong(error, field.name);
                None
            }
        }
    }

    /// A whole number.
    fn count(&mut self, name: &'static str, text: Option<&String>, high: f64) -> usize {
        let count = self.interval(field(name, Unit::Count, (1.0, high)), text);
        if count.low == count.high && libm::floor(count.likely) == count.likely {
            return count.likely as usize;
        }
        let given: String = text.map_or("", |text| text.trim()).chars().take(40).collect();
        self.wrong(Error::other(name, given, "a whole number"), name);
        1
    }

    /// One of the stable words in `choices`; the first where it is left out.
    fn choice<T: Clone>(
        &mut self,
        name: &'static str,
        text: Option<&String>,
        choices: &[(&'static str, T)],
    ) -> Option<T> {
        let wanted = text.map_or_else(|| choices.first().map_or("", |(word, _)| *word), |text| text.trim());
        if let Some((word, choice)) = choices.iter().find(|(word, _)| *word == wanted) {
            let taken = if text.is_none() { (*word).to_owned() } else { String::new() };
            self.read.push(ReaderEntry { field: name, words: (*word).to_owned(), taken });
            return Some(choice.clone());
        }
        let words: Vec<_> = choices.iter().map(|(word, _)| *word).collect();
        let given: String = wanted.chars().take(40).collect();
        self.wrong(Error::other(name, format!("\"{given}\""), format!("one of {}", words.join(", "))), name);
        None
    }

    /// What the cells are made of; there is no usual one.
    fn chemistry(&mut self, text: Option<&String>) -> Option<Chemistry> {
        const NAME: &str = "chemistry";
        if text.is_none() {
            self.wrong(Error::missing(NAME, "what the cells are made of, such as nmc or lfp"), NAME);
            return None;
        }
        self.choice(
            NAME,
            text,
            &[
                ("nmc", Chemistry::Nmc),
                ("nca", Chemistry::Nca),
                ("lco", Chemistry::Lco),
                ("lfp", Chemistry::Lfp),
                ("nvpf", Chemistry::Nvpf),
                ("nimh", Chemistry::Nimh),
                ("lead_acid", Chemistry::LeadAcid),
            ],
        )
    }

    fn wrong(&mut self, error: Error, name: &str) {
        self.errors.push(error.placed(format!("/{name}")));
    }

    fn finish(self) -> Result<Vec<ReaderEntry>, Vec<Error>> {
        if self.errors.is_empty() { Ok(self.read) } else { Err(self.errors) }
    }
}

/// Mistakes that the law behind a question tells, each placed at the entry of its name.
fn at_entries(errors: Vec<Error>) -> Vec<Error> {
    errors
        .into_iter()
        .map(|error| {
            let place = format!("/{}", error.field());
            error.placed(place)
        })
        .collect()
}
