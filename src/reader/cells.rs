//! Which measured cells belong in a group.
//!
//! One cell a line, its values between upright strokes: `A1 | 2.21 Ah | 62 mΩ | 1 % | blue wrap`: name, capacity,
//! resistance, self-discharge a month, model. All after the capacity may be left out. The search and its rules are
//! those of [`crate::pack::group`] and [`crate::finding::matched`].

use super::{Entries, Field, ReaderAnswer, ReaderLine, at_entries, field};
use crate::error::Error;
use crate::finding::matched::judged;
use crate::pack::group::{LeftOutFor, MatchCell, MatchedGroup, Matching};
use crate::part::cell::Chemistry;
use crate::quantity::{Interval, Unit};
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

/// Most lines that are read.
pub const LINES_MAX: usize = 200;

/// Effort of the search, in nodes: a fifth of that of the whole question, for a page that holds several.
const EFFORT_NODES: u32 = 300_000;

/// Most cells in series and in a group.
const MOST: f64 = 20.0;

const CAPACITY: Field = field("capacity_ah", Unit::AmpereHour, (0.01, 400.0)).within(0.03);
const RESISTANCE: Field = field("resistance_ohm", Unit::Ohm, (1e-4, 10.0)).within(0.1);
const SELF_DISCHARGE: Field = field("self_discharge_ratio", Unit::Ratio, (0.0, 1.0));

/// Measured cells, as they were written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ReaderCells {
    /// The cells, one a line or between semicolons; values between upright strokes or tabs.
    pub cells: Option<String>,
    /// What the cells are made of: `nmc`, `nca`, `lco`, `lfp`, `nvpf`, `nimh` or `lead_acid`.
    pub chemistry: Option<String>,
    /// Groups in series, 1 to 20.
    pub series: Option<String>,
    /// Cells in each group, 1 to 20.
    pub parallel: Option<String>,
}

impl ReaderCells {
    /// The groups, the cells left out, and what is risky about them.
    ///
    /// # Errors
    ///
    /// Every entry that cannot be used, each with its place; a cell as `/cells/0/capacity_ah`, counted from 0.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::reader::cells::ReaderCells;
    /// let text = |words: &str| Some(words.to_owned());
    /// let bin = ReaderCells {
    ///     cells: text("A1 | 2.4 Ah; A2 | 2,3 Ah; A3 | 2.1 Ah; A4 | 1800 mAh"), chemistry: text("nmc"),
    ///     series: text("2"), parallel: text("2"),
    /// };
    /// let answer = bin.answer()?;
    /// assert_eq!(answer.lines[1].words, "A2, A3");
    /// let none = ReaderCells { cells: text("A1 | much"), ..bin }.answer().unwrap_err();
    /// assert_eq!(none[0].path(), "/cells/0/capacity_ah");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<ReaderAnswer, Vec<Error>> {
        let mut entries = Entries::default();
        let chemistry = entries.chemistry(self.chemistry.as_ref());
        let series = entries.count("series", self.series.as_ref(), MOST) as u32;
        let parallel = entries.count("parallel", self.parallel.as_ref(), MOST) as u32;
        let cells = cells(&mut entries, self.cells.as_ref(), chemistry.as_ref());
        let read = entries.finish()?;
        let matching = Matching { cells, series, parallel, effort_nodes: Some(EFFORT_NODES) };
        let found = matching.answer().map_err(at_entries)?;
        let report = judged(&matching, found);
        let found = &report.matching;
        let mut lines = Vec::new();
        lines.push(ReaderLine::number("weakest_ah", found.weakest_ah, Unit::AmpereHour));
        for (i, group) in found.groups.iter().enumerate() {
            lines.extend(self::group(i + 1, group));
        }
        lines.push(ReaderLine::number("gap_ah", found.gap_ah, Unit::AmpereHour));
        lines.push(ReaderLine::number("error_ah", found.error_ah, Unit::AmpereHour));
        lines.extend(
            found.left_out.iter().map(|left| ReaderLine::code("left_out", why(&left.reason)).of(left.name.as_str())),
        );
        Ok(ReaderAnswer::new(lines, read).judged(report.findings))
    }
}

fn group(number: usize, group: &MatchedGroup) -> [ReaderLine; 2] {
    let number = number.to_string();
    [
        ReaderLine::new("group_cells", group.names.join(", "), None).of(number.as_str()),
        ReaderLine::span("group_ah", group.capacity_ah, Unit::AmpereHour).of(number),
    ]
}

const fn why(reason: &LeftOutFor) -> &'static str {
    match reason {
        LeftOutFor::SelfDischarge { .. } => "self_discharge",
        LeftOutFor::Chemistry => "other_chemistry",
        LeftOutFor::Spare => "spare",
    }
}

/// Every line that holds more than blanks as a cell; mistakes are placed at their line.
fn cells(entries: &mut Entries, text: Option<&String>, chemistry: Option<&Chemistry>) -> Vec<MatchCell> {
    let text = text.map_or("", String::as_str);
    let lines: Vec<_> = text.split(['\n', '\r', ';']).map(str::trim).filter(|line| !line.is_empty()).collect();
    if lines.is_empty() || lines.len() > LINES_MAX {
        let error = Error::range("cells", lines.len() as f64, 1.0, LINES_MAX as f64);
        entries.wrong(error, "cells");
        return Vec::new();
    }
    let cells: Vec<_> = lines.iter().enumerate().map(|(at, line)| cell(entries, at, line, chemistry)).collect();
    entries.read.push(super::ReaderEntry { field: "cells", words: cells.len().to_string(), taken: String::new() });
    cells
}

fn cell(entries: &mut Entries, at: usize, line: &str, chemistry: Option<&Chemistry>) -> MatchCell {
    let parts: Vec<_> = line.split(['|', '\t']).map(str::trim).collect();
    let part = |place: usize| parts.get(place).copied().filter(|part| !part.is_empty());
    if parts.len() > 5 {
        let error = Error::other("cells", format!("{} values on a line", parts.len()), "5 at most");
        entries.wrong(error, &format!("cells/{at}"));
    }
    let mut value = |field: Field, place: usize, needed: bool| -> Option<Interval> {
        let mut own = Entries::default();
        let read = own.optional(field, part(place).or(needed.then_some("")));
        let placed = own.errors.into_iter().map(|error| error.placed(format!("/cells/{at}/{}", field.name)));
        entries.errors.extend(placed);
        read
    };
    let capacity_ah = value(CAPACITY, 1, true);
    let resistance_ohm = value(RESISTANCE, 2, false);
    let self_discharge_ratio = value(SELF_DISCHARGE, 3, false);
    MatchCell {
        name: part(0).map_or_else(|| (at + 1).to_string(), |name| name.chars().take(40).collect()),
        model: part(4).map(|model| model.chars().take(40).collect()),
        chemistry: chemistry.cloned().unwrap_or(Chemistry::Unidentified),
        size: None,
        capacity_ah,
        resistance_ohm,
        self_discharge_ratio,
    }
}
