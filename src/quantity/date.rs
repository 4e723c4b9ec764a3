//! Calendar days from text and back, and the days between two of them.
//!
//! ```text
//! days = 365 · years + leap days + days of the months before + day of the month
//! ```
//!
//! Holds for the Gregorian calendar from 2000-01-01 to 2199-12-31. A year is a leap year where 4 divides it, but not 100,
//! unless 400 does. No clock is read: who asks says what day it is.
//! Source: ISO 8601-1:2019, calendar date in extended format (YYYY-MM-DD), from memory.

use crate::error::Error;
use alloc::format;
use alloc::string::String;

/// First year that is read.
const FIRST_YEAR: u32 = 2000;
/// Last year that is read.
const LAST_YEAR: u32 = 2199;
/// What a date has to look like.
const ACCEPTED: &str = "a day of the calendar as year-month-day, such as 2026-11-26, from 2000 to 2199";

/// A calendar day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day {
    /// Days since 2000-01-01.
    since: u32,
}

/// Day of the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Weekday {
    /// Monday.
    Monday,
    /// Tuesday.
    Tuesday,
    /// Wednesday.
    Wednesday,
    /// Thursday.
    Thursday,
    /// Friday.
    Friday,
    /// Saturday.
    Saturday,
    /// Sunday.
    Sunday,
}

/// The week from the day that 2000-01-01 was.
const WEEK: [Weekday; 7] = [
    Weekday::Saturday,
    Weekday::Sunday,
    Weekday::Monday,
    Weekday::Tuesday,
    Weekday::Wednesday,
    Weekday::Thursday,
    Weekday::Friday,
];

/// Asks what a typed date says.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DateEntry {
    /// The text, such as "2026-11-26".
    pub date: String,
    /// The day it is, in the same form.
    pub today: String,
}

/// What a typed date says.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DateReading {
    /// The date as year-month-day.
    pub date: String,
    /// Its day of the week.
    pub weekday: Weekday,
    /// Days from it until today; below 0 where it is still to come.
    pub days_ago: i32,
}

const fn is_leap(year: u32) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

const fn days_of_year(year: u32) -> u32 {
    if is_leap(year) { 366 } else { 365 }
}

/// Days of a month from 1 to 12; 0 for any other.
const fn days_of_month(year: u32, month: u32) -> u32 {
    match month {
        2 if is_leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        _ => 0,
    }
}

impl Day {
    /// The day that a text names.
    ///
    /// # Errors
    ///
    /// Names `field` where the text is anything but four digits, two and two, or no day of the calendar.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::date::Day;
    /// let first = Day::read("date", "2024-02-28")?;
    /// assert_eq!(first.later(2).unwrap().text(), "2024-03-01");
    /// assert_eq!(Day::read("date", "2023-02-29").unwrap_err().field(), "date");
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn read(field: &'static str, text: &str) -> Result<Self, Error> {
        let wrong = || {
            let given: String = text.chars().take(40).collect();
            Error::other(field, format!("\"{given}\""), ACCEPTED)
        };
        let [year, month, day] = digits(text).ok_or_else(wrong)?;
        if !(FIRST_YEAR..=LAST_YEAR).contains(&year) || day == 0 || day > days_of_month(year, month) {
            return Err(wrong());
        }
        let years: u32 = (FIRST_YEAR..year).map(days_of_year).sum();
        let months: u32 = (1..month).map(|before| days_of_month(year, before)).sum();
        Ok(Self { since: years + months + day - 1 })
    }

    /// The date as year-month-day.
    #[must_use]
    pub fn text(self) -> String {
        let mut rest = self.since;
        let mut year = FIRST_YEAR;
        while rest >= days_of_year(year) {
            rest -= days_of_year(year);
            year += 1;
        }
        let mut month = 1;
        while month < 12 && rest >= days_of_month(year, month) {
            rest -= days_of_month(year, month);
            month += 1;
        }
        format!("{year:04}-{month:02}-{:02}", rest + 1)
    }

    /// Days from `earlier` to this one; below 0 where `earlier` comes later.
    #[must_use]
    pub fn days_since(self, earlier: Self) -> i32 {
        // Both are far below what 32 bits hold.
        self.since as i32 - earlier.since as i32
    }

    /// The day that comes `days` later; none after the last one that can be written.
    #[must_use]
    pub fn later(self, days: u32) -> Option<Self> {
        let all: u32 = (FIRST_YEAR..=LAST_YEAR).map(days_of_year).sum();
        let since = self.since.checked_add(days)?;
        (since < all).then_some(Self { since })
    }

    /// Its day of the week.
    #[must_use]
    pub fn weekday(self) -> Weekday {
        WEEK.get((self.since % 7) as usize).copied().unwrap_or(Weekday::Saturday)
    }
}

/// Year, month and day of a text of ten signs.
fn digits(text: &str) -> Option<[u32; 3]> {
    let mut parts = text.split('-');
    let mut part = |length: usize| {
        let part = parts.next()?;
        (part.len() == length && part.bytes().all(|sign| sign.is_ascii_digit())).then(|| part.parse().ok())?
    };
    let read = [part(4)?, part(2)?, part(2)?];
    parts.next().is_none().then_some(read)
}

impl DateEntry {
    /// What the text says.
    ///
    /// # Errors
    ///
    /// Names what is no day of the calendar.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::date::{DateEntry, Weekday};
    /// let reading = DateEntry { date: "2026-11-26".into(), today: "2026-12-01".into() }.answer()?;
    /// assert_eq!((reading.weekday, reading.days_ago), (Weekday::Thursday, 5));
    /// assert!(DateEntry { date: "26.11.2026".into(), today: "2026-12-01".into() }.answer().is_err());
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn answer(&self) -> Result<DateReading, Error> {
        let day = Day::read("date", &self.date)?;
        let today = Day::read("today", &self.today)?;
        Ok(DateReading { date: day.text(), weekday: day.weekday(), days_ago: today.days_since(day) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_day_is_read_as_it_is_written() {
        let first = Day::read("date", "2000-01-01").unwrap();
        let mut day = first;
        let mut count = 1;
        while let Some(next) = day.later(1) {
            assert_eq!(Day::read("date", &next.text()), Ok(next));
            assert_eq!(next.days_since(day), 1);
            day = next;
            count += 1;
        }
        // 200 years with 48 leap days between 2000 and 2199: 2000 counts, 2100 does not.
        assert_eq!((day.text().as_str(), count), ("2199-12-31", 200 * 365 + 49));
    }

    #[test]
    fn what_is_no_date_is_refused() {
        for text in
            ["", "2026-11-31", "2026-1-1", "26-11-2026", "2026-11-26 ", "2026-11-26-", "+026-11-26", "1999-12-31"]
        {
            assert!(Day::read("date", text).is_err(), "{text}");
        }
        for text in ["2200-01-01", "2026-00-10", "2026-13-01", "2026-02-00", "２０２６-11-26", "2100-02-29"] {
            assert!(Day::read("date", text).is_err(), "{text}");
        }
    }
}
