//! The diary of a pack: voltages of its groups from time to time, and what they tell.
//!
//! Within one entry the readings share the meter's gain, so that the difference of two groups keeps only each reading's
//! own digits and the gain of the difference ([`crate::part::measure`]). A group is held against the middle of the
//! others. Between entries the drift is the slope of every straight line that passes through the doubts of all
//! comparable entries (`line`); charge is read from the chemistry's rest curve, where that is steep enough
//! ([`charge`]). Holds for readings at rest; what is read after use depends on how far the pack was emptied and is held
//! against limits alone. Source: arithmetic of errors; bands and times are common practice, no source
//! ([`crate::data::diary`]).

pub mod charge;
pub mod line;
mod reading;
mod trend;

pub use charge::{Imbalance, ImbalanceSeen};
pub use reading::{DiaryFacts, EntryFacts};
pub use trend::{BandAnswer, GroupTrend, LeavesBand};

use crate::error::{Check, Error};
use crate::part::measure::Voltmeter;
use crate::quantity::Interval;
use crate::quantity::date::Day;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Most entries of a diary: twenty years of months.
pub const ENTRIES_MAX: usize = 240;

/// Longest note, in signs.
const NOTE_MAX: usize = 500;

/// When in the life between two charges a pack was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum DiaryState {
    /// An hour or so after the charger ended, the same wait each time.
    AfterCharge,
    /// At least a day after charging or use.
    AfterRest,
    /// Some minutes after use, nothing switched on.
    AfterUse,
}

/// One entry: all groups read one after the other, with one meter on one range.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DiaryEntry {
    /// The day, as year-month-day.
    pub date: String,
    /// When in the life between two charges.
    pub state: DiaryState,
    /// The voltmeter.
    pub voltmeter: Voltmeter,
    /// Voltage of each group, the most negative first, in volts; left out where one could not be read.
    pub group_v: Vec<Option<f64>>,
    /// Resistance of each group, in ohms, taken the same way each time.
    pub group_ohm: Option<Vec<Option<Interval>>>,
    /// Whether all groups were brought level, by balancing or by charging each alone, since the entry before.
    pub levelled: Option<bool>,
    /// What else there is to say.
    pub note: Option<String>,
}

/// The diary of a pack.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Diary {
    /// The entries, in any order.
    pub entries: Vec<DiaryEntry>,
    /// Largest difference of a group against the middle of the others, in volts; 0.05 where left out.
    pub band_v: Option<f64>,
}

impl Diary {
    /// Notes everything that is wrong, for a pack of so many groups.
    pub(crate) fn check(&self, check: &mut Check, groups: usize) {
        if self.entries.len() > ENTRIES_MAX {
            check.note(Error::range("entries", self.entries.len() as f64, 0.0, ENTRIES_MAX as f64));
        }
        if let Some(band_v) = self.band_v {
            check.within("band_v", band_v, 0.005, 0.5);
        }
        for (i, entry) in self.entries.iter().enumerate() {
            check.inside("entries", |check| check.inside(i, |check| entry.check(check, groups)));
        }
    }

    /// Notes every entry that lies after `today`.
    pub(crate) fn check_past(&self, check: &mut Check, today: Day) {
        for (i, entry) in self.entries.iter().enumerate() {
            if Day::read("date", &entry.date).is_ok_and(|day| day > today) {
                let given = format!("{}, after today", entry.date);
                let accepted = format!("a day up to {}", today.text());
                check.inside("entries", |check| {
                    check.inside(i, |check| check.note(Error::other("date", given, accepted)));
                });
            }
        }
    }
}

impl DiaryEntry {
    fn check(&self, check: &mut Check, groups: usize) {
        if let Err(error) = Day::read("date", &self.date) {
            check.note(error);
        }
        check.inside("voltmeter", |check| self.voltmeter.check(check));
        let accepted = || format!("one place for each of the {groups} groups of the pack");
        if self.group_v.len() != groups {
            check.note(Error::other("group_v", format!("{} places", self.group_v.len()), accepted()));
        }
        for group_v in self.group_v.iter().flatten() {
            check.within("group_v", *group_v, -5.0, 5.0);
        }
        let ohms = self.group_ohm.as_deref().unwrap_or_default();
        if self.group_ohm.is_some() && ohms.len() != groups {
            check.note(Error::other("group_ohm", format!("{} places", ohms.len()), accepted()));
        }
        for ohm in ohms.iter().flatten() {
            ohm.note(check, "group_ohm", 1e-5, 10.0);
        }
        if self.note.as_ref().is_some_and(|note| note.chars().count() > NOTE_MAX) {
            check.note(Error::other("note", "a longer text", format!("at most {NOTE_MAX} characters")));
        }
    }
}
