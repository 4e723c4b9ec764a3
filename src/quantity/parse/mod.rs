//! Text to numbers in SI base units: `4k7`, `2,2 Ah`, `10 µF`, `0.75 mm²`, `AWG 20`, `2.2 ± 5 %`.
//!
//! A decimal comma and a decimal point are the same; a second one, blanks or apostrophes between digits are refused,
//! because they can be meant in two ways. M is mega and m is milli, whatever the field. An entry without a unit is in
//! the field's own unit. What was understood comes back, so that a person can see it.
//!
//! Source: IEC 60062 for a letter in place of the decimal point; BIPM, The International System of Units, 9th edition,
//! for prefixes and the decimal sign (5.4.4).

mod fault;
mod number;

use crate::error::Error;
use crate::quantity::decimal::double;
use crate::quantity::gauge::Gauge;
use crate::quantity::text::{Decimal, written};
use crate::quantity::usual::{UsualRange, usual};
use crate::quantity::{Interval, PREFIXES, Suffix, UNITS, Unit};
use alloc::string::String;
use alloc::vec::Vec;
use core::ops::Range;
use fault::{Fault, Token};
use number::{Digits, Reader};

/// Longest entry that is read, in characters.
pub const LENGTH_MAX: usize = 64;

/// Digits that the reading back shows at most.
const DIGITS_MAX: u32 = 9;

/// An entry to read.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Entry {
    /// As typed.
    pub text: String,
    /// What it stands for.
    pub unit: Unit,
    /// The field it was typed for, as a name or a JSON Pointer; for the note about an unusual size and for errors.
    pub field: Option<String>,
    /// Decimal sign of the reading back; a point where left out.
    pub decimal: Option<Decimal>,
}

/// What was understood.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct EntryReading {
    /// The value in the base unit; the likely one where a range was written.
    pub value: f64,
    /// The range, where one was written.
    pub interval: Option<Interval>,
    /// Its unit.
    pub unit: Unit,
    /// Symbol of the unit.
    pub symbol: &'static str,
    /// Prefix that was understood; empty without one.
    pub prefix: &'static str,
    /// Whether a unit or prefix was written at all.
    pub unit_written: bool,
    /// Significant digits that were written.
    pub digits: u32,
    /// The reading back, with as many digits as were written.
    pub words: String,
    /// What a person should look at again.
    pub notes: Vec<EntryNote>,
}

/// What a person should look at again.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum EntryNote {
    /// One separator with three digits behind it was read as a decimal sign, not as grouping.
    ReadAsDecimal,
    /// The value lies outside what this field usually holds.
    Unusual(UsualRange),
}

/// A unit with its prefix, as they were written.
#[derive(Clone, Copy)]
struct Named {
    suffix: Suffix,
    prefix: &'static str,
    power: i32,
}

/// A value with how it was written.
struct Piece {
    digits: Digits,
    named: Option<Named>,
    value: f64,
    end: usize,
}

impl Entry {
    /// What the entry says.
    ///
    /// # Errors
    ///
    /// Names the field, the entry, the character from which it cannot be read, and what is accepted.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::{Unit, parse::{Entry, EntryNote}};
    /// let entry = |text: &str, unit| Entry { text: text.into(), unit, field: None, decimal: None };
    /// let reading = entry("4k7", Unit::Ohm).answer()?;
    /// assert_eq!((reading.value, reading.prefix, reading.words.as_str()), (4700.0, "k", "4.7 kΩ"));
    /// let reading = entry("2,2 Ah ±0,1", Unit::AmpereHour).answer()?;
    /// assert_eq!(reading.interval.unwrap().low, 2.1);
    /// assert_eq!(entry("1,234", Unit::Volt).answer()?.notes, [EntryNote::ReadAsDecimal]);
    /// let error = entry("1.234,5", Unit::Volt).answer().unwrap_err();
    /// assert_eq!(error.position(), Some(5));
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn answer(&self) -> Result<EntryReading, Error> {
        let field = self.field.as_deref().unwrap_or("text");
        let chars: Vec<char> = self.text.chars().map(plain).collect();
        let accepted = |token: &Token| token.fault.accepted(self.unit);
        if chars.iter().all(|sign| *sign == ' ') {
            return Err(Error::missing(name(field), Fault::NoNumber.accepted(self.unit)));
        }
        let cut = || self.text.chars().take(LENGTH_MAX).collect::<String>();
        let read = if chars.len() > LENGTH_MAX {
            Err(Token { fault: Fault::TooLong, at: LENGTH_MAX })
        } else {
            self.read(&chars)
        };
        read.map_err(|token| Error::text(name(field), cut(), accepted(&token), token.at))
    }

    fn read(&self, chars: &[char]) -> Result<EntryReading, Token> {
        let all = 0..chars.len();
        if self.unit == Unit::SquareMillimetre
            && let Some(gauge) = gauge(chars)?
        {
            return Ok(self.reading(gauge.area_mm2(), None, &[], Some(gauge)));
        }
        if let Some((at, length)) = find(chars, &["±", "+/-", "+-"]) {
            return self.with_tolerance(chars, at, at + length);
        }
        let mut ranges = Vec::new();
        let mut from = 0;
        while let Some((at, length)) = find(chars.get(from..).unwrap_or(&[]), &["...", "..", "…"]) {
            ranges.push(from..from + at);
            from += at + length;
        }
        ranges.push(from..all.end);
        match ranges.as_slice() {
            [_] => {
                let piece = self.piece(chars, all)?;
                Ok(self.reading(piece.value, None, &[&piece], None))
            }
            [_, _] | [_, _, _] => self.with_ends(chars, &ranges),
            _ => Err(Token { fault: Fault::Twice, at: ranges.get(3).map_or(0, |range| range.start) }),
        }
    }

    /// Two or three values in rising order; a unit behind the last holds for those without one.
    fn with_ends(&self, chars: &[char], ranges: &[Range<usize>]) -> Result<EntryReading, Token> {
        let mut pieces = ranges.iter().map(|range| self.piece(chars, range.clone())).collect::<Result<Vec<_>, _>>()?;
        let last = pieces.last().and_then(|piece| piece.named);
        for piece in &mut pieces {
            if piece.named.is_none() && piece.digits.mark.is_none() && last.is_some() {
                piece.named = last;
                piece.value = base_value(&piece.digits, last).ok_or(Token { fault: Fault::Size, at: piece.end })?;
            }
        }
        let interval = match pieces.as_slice() {
            [low, high] => Interval { low: low.value, likely: 0.5 * low.value + 0.5 * high.value, high: high.value },
            [low, likely, high] => Interval { low: low.value, likely: likely.value, high: high.value },
            _ => Interval::exact(0.0),
        };
        if !(interval.low <= interval.likely && interval.likely <= interval.high) {
            return Err(Token { fault: Fault::Order, at: ranges.last().map_or(0, |range| range.start) });
        }
        let pieces: Vec<_> = pieces.iter().collect();
        Ok(self.reading(interval.likely, Some(interval), &pieces, None))
    }

    /// A value and what it may be off; in percent of the value, or in the value's own unit and prefix.
    fn with_tolerance(&self, chars: &[char], at: usize, from: usize) -> Result<EntryReading, Token> {
        let main = self.piece(chars, 0..at)?;
        let percent = chars.get(from..).unwrap_or(&[]).contains(&'%');
        if percent && self.unit == Unit::Ratio {
            return Err(Token { fault: Fault::PercentOfPercent, at: from });
        }
        let unit = if percent { Unit::Ratio } else { self.unit };
        let other = Self { unit, ..self.clone() }.piece(chars, from..chars.len())?;
        let half = if percent {
            libm::fabs(main.value) * other.value
        } else {
            if main.digits.mark.is_some() && other.named.is_none() {
                return Err(Token { fault: Fault::ToleranceUnit, at: other.end });
            }
            // A difference has no zero of its own: ± 2 °C is 2 kelvin.
            let difference = |named: Named| Named { suffix: Suffix { zero: 0.0, ..named.suffix }, ..named };
            base_value(&other.digits, other.named.or(main.named).map(difference))
                .ok_or(Token { fault: Fault::Size, at: from })?
        };
        if half < 0.0 {
            return Err(Token { fault: Fault::Negative, at: from });
        }
        let likely = main.value;
        let interval = Interval { low: tidy(likely - half).min(likely), likely, high: tidy(likely + half).max(likely) };
        Ok(self.reading(main.value, Some(interval), &[&main], None))
    }

    fn piece(&self, chars: &[char], range: Range<usize>) -> Result<Piece, Token> {
        let mut reader = Reader::new(chars, range);
        let start = reader.at;
        let digits = reader.number(self.unit)?;
        if self.unit == Unit::Second
            && let Some(value) = duration(chars, start, reader.at, &digits)?
        {
            return Ok(Piece { digits, named: None, value, end: chars.len() });
        }
        let (written, at) = reader.rest();
        let named = understood(&written, self.unit, digits.mark.is_some()).map_err(|fault| Token { fault, at })?;
        let value = base_value(&digits, named).ok_or(Token { fault: Fault::Size, at: start })?;
        Ok(Piece { digits, named, value, end: at })
    }

    fn reading(&self, value: f64, interval: Option<Interval>, pieces: &[&Piece], gauge: Option<Gauge>) -> EntryReading {
        let digits = pieces.iter().map(|piece| piece.digits.significant).max().unwrap_or(4).clamp(1, DIGITS_MAX);
        let decimal = self.decimal.unwrap_or(Decimal::Point);
        let first = pieces.first();
        let mark = first.and_then(|piece| piece.digits.mark.map(|mark| mark.prefix));
        let named = first.and_then(|piece| piece.named);
        let mut notes = Vec::new();
        if pieces.iter().any(|piece| piece.digits.like_grouped) {
            notes.push(EntryNote::ReadAsDecimal);
        }
        let ends = interval.unwrap_or(Interval::exact(value));
        let odd = self.field.as_deref().and_then(usual).filter(|range| ends.low < range.low || ends.high > range.high);
        notes.extend(odd.map(EntryNote::Unusual));
        EntryReading {
            value,
            interval,
            unit: self.unit,
            symbol: self.unit.row().symbol,
            prefix: mark.or(named.map(|named| named.prefix)).unwrap_or(""),
            unit_written: gauge.is_some() || mark.is_some() || named.is_some(),
            digits,
            words: read_back(value, interval, self.unit, digits, decimal, gauge),
            notes,
        }
    }
}

/// A name of a field for an error: the last segment of a pointer.
fn name(field: &str) -> String {
    field.rsplit('/').next().unwrap_or(field).into()
}

/// The character that stands for all of its look-alikes.
fn plain(sign: char) -> char {
    match sign {
        '\u{a0}' | '\u{202f}' | '\u{2009}' | '\u{2007}' | '\t' => ' ',
        '\u{2212}' => '-',
        '\u{2126}' => 'Ω',
        '\u{3bc}' => 'µ',
        _ => sign,
    }
}

/// Where the first of `wanted` stands, and how long it is, in characters.
fn find(chars: &[char], wanted: &[&str]) -> Option<(usize, usize)> {
    (0..chars.len()).find_map(|at| {
        let here = chars.get(at..).unwrap_or(&[]);
        let hit =
            wanted.iter().find(|sign| sign.chars().zip(here).filter(|(a, b)| a == *b).count() == sign.chars().count());
        hit.map(|sign| (at, sign.chars().count()))
    })
}

/// A gauge, where the entry names one.
fn gauge(chars: &[char]) -> Result<Option<Gauge>, Token> {
    let text: String = chars.iter().filter(|sign| **sign != ' ').collect();
    let lower = text.to_ascii_lowercase();
    let number = lower.strip_prefix("awg").or_else(|| lower.strip_suffix("awg"));
    let number = number.or_else(|| lower.ends_with("/0").then_some(lower.as_str()));
    let Some(number) = number else { return Ok(None) };
    match Gauge::named(number) {
        Some(gauge) => Ok(Some(gauge)),
        None => Err(Token { fault: Fault::Gauge, at: chars.iter().position(char::is_ascii_digit).unwrap_or(0) }),
    }
}

/// Hours, minutes and seconds one after the other; nothing where only one number stands.
fn duration(chars: &[char], start: usize, at: usize, first: &Digits) -> Result<Option<f64>, Token> {
    let mut reader = Reader::new(chars, at..chars.len());
    let (word, place) = reader.word();
    let more = reader.peek().is_some_and(|sign| sign.is_ascii_digit() || sign == ' ');
    if !more || word.is_empty() {
        return Ok(None);
    }
    reader.blanks();
    if !reader.peek().is_some_and(|sign| sign.is_ascii_digit()) {
        return Ok(None);
    }
    let named = understood(&word, Unit::Second, false).map_err(|fault| Token { fault, at: place })?;
    let mut total = base_value(first, named).ok_or(Token { fault: Fault::Size, at: start })?;
    let mut below = named.map_or(0.0, |named| named.suffix.factor);
    // Days, hours, minutes, seconds: no more than three further parts.
    for _ in 0..3 {
        let at = reader.at;
        let digits = reader.number(Unit::Second)?;
        let (word, place) = reader.word();
        if word.is_empty() {
            return Err(Token { fault: Fault::HourAndMore, at: place });
        }
        let named = understood(&word, Unit::Second, false).map_err(|fault| Token { fault, at: place })?;
        let factor = named.map_or(0.0, |named| named.suffix.factor);
        let value = base_value(&digits, named).ok_or(Token { fault: Fault::Size, at })?;
        if factor >= below || value < 0.0 || total < 0.0 {
            return Err(Token { fault: Fault::HourAndMore, at });
        }
        total += value;
        below = factor;
        reader.blanks();
        if reader.peek().is_none() {
            return Ok(Some(total));
        }
    }
    Err(Token { fault: Fault::HourAndMore, at: reader.at })
}

/// Unit and prefix of what stands behind a number; nothing where nothing stands there.
fn understood(written: &str, unit: Unit, marked: bool) -> Result<Option<Named>, Fault> {
    if written.is_empty() {
        return Ok(None);
    }
    let found = matching(written, unit).filter(|named| !marked || named.prefix.is_empty());
    if found.is_some() {
        return Ok(found);
    }
    let row = unit.row();
    let bare = PREFIXES.iter().find(|(prefix, _)| *prefix == written);
    let main = row.suffixes.iter().find(|suffix| suffix.prefixed);
    // A lone m or M behind a length could be the unit itself.
    let alone = !marked && unit != Unit::Metre;
    if let (Some((prefix, power)), Some(main), true) = (bare, main, alone) {
        return if unit == Unit::Second && *prefix == "m" {
            Err(Fault::MinuteOrMilli)
        } else {
            Ok(Some(Named { suffix: *main, prefix: canonical(prefix), power: *power }))
        };
    }
    let other = UNITS.iter().find(|row| row.unit != unit && matching(written, row.unit).is_some());
    Err(match other {
        Some(other) => Fault::OtherUnit(written.into(), other.unit),
        None if row.suffixes.is_empty() => Fault::NoUnit,
        None if written.chars().all(char::is_alphabetic) => Fault::MegaOrMilli(written.into()),
        None => Fault::NoUnit,
    })
}

/// The one form of a prefix.
fn canonical(prefix: &'static str) -> &'static str {
    if prefix == "u" || prefix == "\u{3bc}" { "µ" } else { prefix }
}

fn matching(written: &str, unit: Unit) -> Option<Named> {
    let suffixes = unit.row().suffixes;
    if let Some(suffix) = suffixes.iter().find(|suffix| suffix.text == written) {
        let prefix = if suffix.text == "K" && unit == Unit::Ohm { "k" } else { "" };
        return Some(Named { suffix: *suffix, prefix, power: 0 });
    }
    PREFIXES.iter().filter(|(prefix, _)| !prefix.is_empty()).find_map(|(prefix, power)| {
        let rest = written.strip_prefix(prefix)?.trim_start();
        let suffix = suffixes.iter().find(|suffix| suffix.prefixed && suffix.text == rest)?;
        Some(Named { suffix: *suffix, prefix: canonical(prefix), power: *power })
    })
}

/// The number in the base unit.
fn base_value(digits: &Digits, named: Option<Named>) -> Option<f64> {
    let Some(Named { suffix, power, .. }) = named else { return digits.value(0) };
    let value = (digits.value(suffix.power + power)? - suffix.zero) * suffix.factor;
    value.is_finite().then_some(value)
}

/// The number with 15 significant digits: 2.2 + 0.1 is 2.3, not 2.3000000000000003.
fn tidy(value: f64) -> f64 {
    double(&alloc::format!("{value:.14e}")).unwrap_or(value)
}

fn read_back(
    value: f64,
    interval: Option<Interval>,
    unit: Unit,
    digits: u32,
    decimal: Decimal,
    gauge: Option<Gauge>,
) -> String {
    let one = |value| written(value, unit, digits, decimal);
    match (gauge, interval) {
        (Some(gauge), _) => alloc::format!("{}, {}", gauge.text(), one(value)),
        (None, None) => one(value),
        (None, Some(ends)) => {
            // An end may need more digits than were written: 2.2 less 5 % is 2.09.
            let end = |value| written(value, unit, shortest(tidy(value)), decimal);
            alloc::format!("{} .. {} .. {}", end(ends.low), end(value), end(ends.high))
        }
    }
}

/// Digits of the shortest decimal that is this number, as far as a person wants to see them.
fn shortest(value: f64) -> u32 {
    let text = alloc::format!("{value:e}");
    let digits = text.chars().take_while(|sign| *sign != 'e').filter(char::is_ascii_digit).count();
    u32::try_from(digits).unwrap_or(1).clamp(1, DIGITS_MAX)
}
