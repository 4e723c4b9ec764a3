//! Text to numbers in SI base units: `4k7`, `2,2 Ah`, `10 µF`, `0.75 mm²`.
//!
//! Comma and point are both decimal signs. Grouped digits and forms that could mean two numbers are refused with the
//! reason. A prefix letter may stand in place of the decimal sign (`4k7`, `2R2`), as IEC 60062 marks resistors.

use crate::data::conductor::{AWG_36_MM, AWG_RATIO};
use crate::error::Error;
use crate::quantity::{Interval, PREFIXES, Unit};
use alloc::string::String;
use alloc::vec::Vec;

/// Longest text that is read, in characters.
pub const TEXT_MAX: usize = 64;

/// A text and what is wrong with it, so far as it was read.
struct Reader<'a> {
    field: &'a str,
    given: &'a str,
    text: Vec<char>,
    at: usize,
}

/// Reads one number with an optional unit, in the unit's base.
///
/// # Errors
///
/// Names `field`, the text, what is accepted and the character at which reading failed.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::{Unit, parse::number};
/// assert_eq!(number("resistance_ohm", "4k7", Unit::Ohm)?, 4700.0);
/// assert_eq!(number("capacity_ah", "2200mAh", Unit::AmpereHour)?, 2.2);
/// assert_eq!(number("capacity_ah", "2,2 Ah", Unit::AmpereHour)?, 2.2);
/// assert!(number("capacity_ah", "1.234,5", Unit::AmpereHour).is_err());
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn number(field: &str, text: &str, unit: Unit) -> Result<f64, Error> {
    let mut reader = Reader::new(field, text)?;
    let value = reader.quantity(unit)?;
    reader.end()?;
    Ok(value)
}

/// Reads an interval: `2.2 Ah ± 5 %`, `2,2 ± 0,1 Ah`, `2.1..2.3 Ah`, or one number without width.
///
/// # Errors
///
/// As [`number`]; and where the ends are not in rising order.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::{Unit, parse::interval};
/// let read = interval("capacity_ah", "2,2 Ah ± 5 %", Unit::AmpereHour)?;
/// assert!((read.low - 2.09).abs() < 1e-12 && (read.high - 2.31).abs() < 1e-12);
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn interval(field: &str, text: &str, unit: Unit) -> Result<Interval, Error> {
    let mut reader = Reader::new(field, text)?;
    let first = reader.quantity(unit)?;
    if reader.take("±") || reader.take("+/-") || reader.take("+-") {
        let (half, percent) = reader.tolerance(unit)?;
        let half = if percent { libm::fabs(first) * half } else { half };
        reader.end()?;
        return Ok(Interval { low: first - half, likely: first, high: first + half });
    }
    if reader.take("..") || reader.take("…") {
        let last = reader.quantity(unit)?;
        reader.end()?;
        if last < first {
            return Err(reader.wrong("the smaller value first"));
        }
        return Ok(Interval { low: first, likely: 0.5 * (first + last), high: last });
    }
    reader.end()?;
    Ok(Interval::exact(first))
}

/// Cross-section of a wire gauge, in square millimetres.
fn gauge_mm2(gauge: f64) -> f64 {
    let diameter_mm = AWG_36_MM * libm::pow(AWG_RATIO, (36.0 - gauge) / 39.0);
    core::f64::consts::PI / 4.0 * diameter_mm * diameter_mm
}

impl<'a> Reader<'a> {
    fn new(field: &'a str, given: &'a str) -> Result<Self, Error> {
        let text: Vec<char> = given.trim().chars().map(plain).collect();
        let reader = Self { field, given, text, at: 0 };
        if reader.text.is_empty() {
            return Err(reader.wrong("a number"));
        }
        if reader.text.len() > TEXT_MAX {
            return Err(reader.wrong("at most 64 characters"));
        }
        Ok(reader)
    }

    fn wrong(&self, accepted: &'static str) -> Error {
        let given: String = self.given.chars().take(TEXT_MAX).collect();
        Error::text(String::from(self.field), given, accepted, self.at)
    }

    fn peek(&self) -> Option<char> {
        self.text.get(self.at).copied()
    }

    fn blanks(&mut self) {
        while self.peek() == Some(' ') {
            self.at += 1;
        }
    }

    /// Passes over `word` if it comes next, blanks before it included.
    fn take(&mut self, word: &str) -> bool {
        let start = self.at;
        self.blanks();
        let there = word.chars().enumerate().all(|(i, c)| self.text.get(self.at + i) == Some(&c));
        self.at = if there { self.at + word.chars().count() } else { start };
        there
    }

    fn end(&mut self) -> Result<(), Error> {
        self.blanks();
        match self.peek() {
            None => Ok(()),
            Some('.' | ',') => Err(self.wrong("one decimal sign; leave out signs that group digits")),
            Some(c) if c.is_ascii_digit() => Err(self.wrong("digits without blanks between them")),
            Some(_) => Err(self.wrong("a number and its unit, nothing more")),
        }
    }

    /// A number with its unit; a wire gauge where a cross-section is wanted.
    fn quantity(&mut self, unit: Unit) -> Result<f64, Error> {
        if unit == Unit::SquareMillimetre
            && let Some(area_mm2) = self.gauge()?
        {
            return Ok(area_mm2);
        }
        let (digits, inner) = self.digits()?;
        let suffix = self.suffix(unit, inner)?;
        let scaled = alloc::format!("{digits}e{}", suffix.power);
        let value = scaled.parse::<f64>().map_err(|_| self.wrong("a number"))? * suffix.factor;
        if value.is_finite() && libm::fabs(value) <= 1e15 { Ok(value) } else { Err(self.wrong("a number up to 1e15")) }
    }

    /// `± 5 %` or `± 0.1` with or without the unit; says whether it is a share.
    fn tolerance(&mut self, unit: Unit) -> Result<(f64, bool), Error> {
        let start = self.at;
        let share = self.quantity(Unit::Ratio);
        let percent = share.is_ok() && self.text.get(..self.at).is_some_and(|read| read.last() == Some(&'%'));
        let value = if percent {
            share?
        } else {
            self.at = start;
            self.quantity(unit)?
        };
        if value < 0.0 { Err(self.wrong("a tolerance of 0 or more")) } else { Ok((value, percent)) }
    }

    /// Digits as a decimal text, and the letter that stood in place of the decimal sign.
    fn digits(&mut self) -> Result<(String, Option<char>), Error> {
        self.blanks();
        let mut digits = String::new();
        if let Some(sign @ ('-' | '+')) = self.peek() {
            digits.push(sign);
            self.at += 1;
        }
        let (mut seen, mut inner, mut marked) = (0, None, false);
        while let Some(c) = self.peek() {
            let next = self.text.get(self.at + 1);
            let before_digit = next.is_some_and(char::is_ascii_digit);
            match c {
                '0'..='9' => {
                    digits.push(c);
                    seen += 1;
                }
                '.' if next == Some(&'.') => break,
                '.' | ',' if marked => {
                    return Err(self.wrong("one decimal sign; leave out signs that group digits"));
                }
                '.' | ',' if before_digit || seen > 0 => {
                    digits.push('.');
                    marked = true;
                }
                'p' | 'n' | 'µ' | 'm' | 'k' | 'K' | 'M' | 'G' | 'R' if before_digit && seen > 0 && !marked => {
                    if self.is_square_unit() {
                        break;
                    }
                    digits.push('.');
                    (inner, marked) = (Some(c), true);
                }
                'e' | 'E' if self.exponent(&mut digits)? => break,
                '\'' | '_' | '’' if before_digit => {
                    return Err(self.wrong("digits without signs between them"));
                }
                _ => break,
            }
            self.at += 1;
        }
        if seen == 0 {
            return Err(self.wrong("a number in digits 0 to 9, such as 3.7, 3,7 or 4k7"));
        }
        Ok((digits, inner))
    }

    /// Whether `mm2` comes next, whose first letter is no decimal sign.
    fn is_square_unit(&self) -> bool {
        self.text.get(self.at..self.at + 2).is_some_and(|next| next == ['m', 'm'])
    }

    /// Reads `e-3` into `digits`; the digits' own power is then complete.
    fn exponent(&mut self, digits: &mut String) -> Result<bool, Error> {
        let mut there = self.at + 1;
        let mut power = String::new();
        if let Some(sign @ ('-' | '+')) = self.text.get(there) {
            power.push(*sign);
            there += 1;
        }
        while let Some(c @ '0'..='9') = self.text.get(there) {
            power.push(*c);
            there += 1;
        }
        let Ok(power) = power.parse::<i32>() else { return Ok(false) };
        if !(-30..=30).contains(&power) {
            return Err(self.wrong("a power of ten between -30 and 30"));
        }
        self.at = there;
        let value: f64 = digits.parse().map_err(|_| self.wrong("a number"))?;
        *digits = alloc::format!("{value}");
        let shifted: f64 = alloc::format!("{digits}e{power}").parse().map_err(|_| self.wrong("a number"))?;
        *digits = alloc::format!("{shifted}");
        Ok(true)
    }

    /// Prefix and unit after the digits; `inner` is the letter that stood among them.
    fn suffix(&mut self, unit: Unit, inner: Option<char>) -> Result<Suffix, Error> {
        let mut suffix = Suffix { power: 0, factor: 1.0 };
        if let Some(letter) = inner {
            suffix.power = match letter {
                'R' if unit == Unit::Ohm => 0,
                'K' if unit == Unit::Ohm => 3,
                _ => power(letter).ok_or_else(|| self.wrong("k, M, G, m, µ, n or p in place of the decimal sign"))?,
            };
        }
        let start = self.at;
        self.blanks();
        if self.word_ends() {
            self.at = start;
            return Ok(suffix);
        }
        if unit == Unit::Second && self.take_whole("m") {
            return Err(self.wrong("min for minutes or ms for thousandths of a second"));
        }
        if inner.is_none() {
            if let Some(symbol) = unit.symbols().iter().find(|symbol| self.take_whole(symbol.text)) {
                suffix.factor = symbol.factor;
                return Ok(suffix);
            }
            let letter = self.peek().unwrap_or(' ');
            let lone_k = letter == 'K' && unit == Unit::Ohm;
            if let Some(power) = if lone_k { Some(3) } else { power(letter) } {
                self.at += 1;
                suffix.power = power;
                if self.word_ends() && unit != Unit::Metre && unit != Unit::Second {
                    return Ok(suffix);
                }
            }
        }
        let prefixed = |symbol: &&crate::quantity::Symbol| symbol.prefixed;
        if unit.symbols().iter().filter(prefixed).any(|symbol| self.take_whole(symbol.text)) {
            return Ok(suffix);
        }
        Err(self.wrong(wanted(unit)))
    }

    /// Whether the number is over here: the end, or a sign that starts something else.
    fn word_ends(&self) -> bool {
        self.peek().is_none_or(|c| matches!(c, '±' | '+' | '-' | '.' | ',' | '…' | ' ') || c.is_ascii_digit())
    }

    fn take_whole(&mut self, word: &str) -> bool {
        let start = self.at;
        if self.take(word) && self.word_ends() {
            return true;
        }
        self.at = start;
        false
    }

    /// `AWG 20`, `20 AWG`, `AWG 1/0`, as a cross-section.
    fn gauge(&mut self) -> Result<Option<f64>, Error> {
        let start = self.at;
        let first = self.take("AWG") || self.take("awg");
        self.blanks();
        let count = |reader: &mut Self| {
            let mut value: Option<f64> = None;
            while let Some(digit) = reader.peek().and_then(|c| c.to_digit(10)) {
                value = Some(value.unwrap_or(0.0) * 10.0 + f64::from(digit));
                reader.at += 1;
            }
            value
        };
        let Some(mut gauge) = count(self) else {
            if first {
                return Err(self.wrong("a gauge from 4/0 to 40, such as AWG 20"));
            }
            self.at = start;
            return Ok(None);
        };
        if self.take("/0") {
            gauge = 1.0 - gauge;
        }
        if !first && !self.take("AWG") && !self.take("awg") {
            self.at = start;
            return Ok(None);
        }
        if (-3.0..=40.0).contains(&gauge) {
            Ok(Some(gauge_mm2(gauge)))
        } else {
            Err(self.wrong("a gauge from 4/0 to 40, such as AWG 20"))
        }
    }
}

/// Power of ten and factor of a suffix.
struct Suffix {
    power: i32,
    factor: f64,
}

fn power(letter: char) -> Option<i32> {
    let letter = if letter == 'u' { 'µ' } else { letter };
    PREFIXES.iter().find(|(prefix, _)| *prefix == letter).map(|(_, power)| *power)
}

/// Signs that mean the same, as one.
fn plain(c: char) -> char {
    match c {
        '\u{a0}' | '\u{202f}' | '\u{2009}' | '\t' => ' ',
        '\u{2212}' => '-',
        '\u{3bc}' => 'µ',
        '\u{2126}' | '\u{3c9}' => 'Ω',
        other => other,
    }
}

fn wanted(unit: Unit) -> &'static str {
    match unit {
        Unit::Volt => "volts, such as 3.7 or 3,7 V",
        Unit::Ampere => "amperes, such as 0.5 or 500 mA",
        Unit::AmpereHour => "ampere-hours, such as 2.2 or 2200 mAh",
        Unit::WattHour => "watt-hours, such as 25 Wh",
        Unit::Ohm => "ohms, such as 0.05, 50 mΩ or 4k7",
        Unit::Watt => "watts, such as 12 or 800 mW",
        Unit::Farad => "farads, such as 100n or 10 µF",
        Unit::Henry => "henries, such as 1 mH",
        Unit::Hertz => "hertz, such as 25 kHz",
        Unit::Second => "a time, such as 90 s, 30 min or 2 h",
        Unit::Metre => "metres, such as 1.5 or 80 cm",
        Unit::SquareMillimetre => "square millimetres or a gauge, such as 0.75 mm² or AWG 20",
        Unit::DegreeCelsius => "degrees Celsius, such as 20 °C",
        Unit::Ratio => "a share, such as 0.4 or 40 %",
        Unit::Number => "a plain number",
    }
}
