//! One number as people write it, up to its suffix.

use super::{Fault, Token};
use crate::quantity::decimal::double;
use crate::quantity::{PREFIXES, Unit};
use alloc::string::String;
use core::ops::Range;

/// A letter in place of the decimal point: the prefix it stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Mark {
    pub(super) prefix: &'static str,
    power: i32,
}

/// A number as digits and a power of ten, so that prefixes shift exactly.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Digits {
    /// Sign and digits without separators.
    text: String,
    /// Power of ten of the last digit.
    power: i32,
    /// Digits from the first that is not zero on.
    pub(super) significant: u32,
    /// Whether exactly three digits follow a point or comma, as in a number with grouping.
    pub(super) like_grouped: bool,
    /// Letter that stands for the decimal point, as the k in 4k7.
    pub(super) mark: Option<Mark>,
}

/// Largest power of ten that is written out.
const EXPONENT_DIGITS: usize = 4;

impl Digits {
    /// The number, times a power of ten, rounded once.
    pub(super) fn value(&self, power: i32) -> Option<f64> {
        let power = self.power + power + self.mark.map_or(0, |mark| mark.power);
        let value = double(&alloc::format!("{}e{power}", self.text))?;
        // Too large for a number, or so small that digits would be lost.
        let lost = self.significant > 0 && (!value.is_finite() || libm::fabs(value) < 1e-300);
        (!lost).then_some(value)
    }
}

/// A reader over the characters of an entry, without its blanks being told apart.
pub(super) struct Reader<'a> {
    chars: &'a [char],
    /// Next character.
    pub(super) at: usize,
    end: usize,
}

impl<'a> Reader<'a> {
    pub(super) fn new(chars: &'a [char], range: Range<usize>) -> Self {
        Self { chars, at: range.start, end: range.end }
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.ahead(0)
    }

    fn ahead(&self, by: usize) -> Option<char> {
        let at = self.at + by;
        if at < self.end { self.chars.get(at).copied() } else { None }
    }

    pub(super) fn blanks(&mut self) {
        while self.peek() == Some(' ') {
            self.at += 1;
        }
    }

    fn digits(&mut self, into: &mut String) -> usize {
        let start = self.at;
        while let Some(digit) = self.peek().filter(char::is_ascii_digit) {
            into.push(digit);
            self.at += 1;
        }
        self.at - start
    }

    /// The rest without blanks at its end, and where it begins.
    pub(super) fn rest(&mut self) -> (String, usize) {
        self.blanks();
        let text: String = self.chars.get(self.at..self.end).unwrap_or(&[]).iter().collect();
        (String::from(text.trim_end()), self.at)
    }

    /// Letters up to the next digit, sign or blank, and where they begin.
    pub(super) fn word(&mut self) -> (String, usize) {
        self.blanks();
        let start = self.at;
        let mut text = String::new();
        while let Some(letter) = self.peek().filter(|sign| !sign.is_ascii_digit() && !" +-.,".contains(*sign)) {
            text.push(letter);
            self.at += 1;
        }
        (text, start)
    }

    /// The number at this place, blanks before it passed over.
    pub(super) fn number(&mut self, unit: Unit) -> Result<Digits, Token> {
        self.blanks();
        let mut text = String::new();
        if let Some(sign) = self.peek().filter(|sign| "+-".contains(*sign)) {
            if sign == '-' {
                text.push('-');
            }
            self.at += 1;
            self.blanks();
        }
        let before = self.digits(&mut text);
        let (after, mark) = self.fraction(unit, before, &mut text);
        if before + after == 0 {
            return Err(self.fault(self.no_number()));
        }
        self.refuse_grouping(mark.is_none())?;
        let exponent = self.exponent(unit, mark.is_some())?;
        // Zeros at the end of a whole number may only place the digits: 2200 is shown as 2.2 k.
        let shown = if after == 0 { text.trim_end_matches('0') } else { text.as_str() };
        let significant = shown.trim_start_matches(['-', '0']).len();
        let decimal_sign = after > 0 && mark.is_none();
        let whole = text.trim_start_matches('-').trim_start_matches('0').len();
        Ok(Digits {
            power: exponent - i32::try_from(after).unwrap_or(0),
            significant: u32::try_from(significant).unwrap_or(u32::MAX),
            like_grouped: decimal_sign && after == 3 && (1..=3).contains(&before) && whole > 3,
            mark,
            text,
        })
    }

    /// Digits behind a decimal sign, or behind a letter that stands for it.
    fn fraction(&mut self, unit: Unit, before: usize, text: &mut String) -> (usize, Option<Mark>) {
        match self.peek() {
            Some('.' | ',') => {
                self.at += 1;
                (self.digits(text), None)
            }
            Some(letter) if self.ahead(1).is_some_and(|next| next.is_ascii_digit()) => match mark_of(letter, unit) {
                Some(mark) if before > 0 || letter == 'R' => {
                    self.at += 1;
                    (self.digits(text), Some(mark))
                }
                _ => (0, None),
            },
            _ => (0, None),
        }
    }

    fn exponent(&mut self, unit: Unit, marked: bool) -> Result<i32, Token> {
        let Some(letter @ ('e' | 'E')) = self.peek() else { return Ok(0) };
        let signed = self.ahead(1).is_some_and(|sign| "+-".contains(sign));
        if !self.ahead(1 + usize::from(signed)).is_some_and(|digit| digit.is_ascii_digit()) {
            return Ok(0);
        }
        if marked {
            return Err(self.fault(Fault::MarkAndPower));
        }
        if letter == 'E' && !signed && unit == Unit::Ohm {
            return Err(self.fault(Fault::LetterE));
        }
        let start = self.at;
        let negative = self.ahead(1) == Some('-');
        self.at += 1 + usize::from(signed);
        let mut digits = String::new();
        self.digits(&mut digits);
        let digits = digits.trim_start_matches('0');
        if digits.len() > EXPONENT_DIGITS {
            return Err(Token { fault: Fault::Size, at: start });
        }
        let power: i32 = if digits.is_empty() { 0 } else { digits.parse().unwrap_or(0) };
        if self.peek().is_some_and(|sign| ".,".contains(sign)) {
            return Err(self.fault(Fault::PowerNotWhole));
        }
        Ok(if negative { -power } else { power })
    }

    /// A second separator, or digits behind a blank: grouping, which leaves it open what is meant.
    fn refuse_grouping(&self, plain: bool) -> Result<(), Token> {
        let mut by = 0;
        while self.ahead(by) == Some(' ') {
            by += 1;
        }
        let next = self.ahead(by);
        let digit_after = self.ahead(by + 1).is_some_and(|sign| sign.is_ascii_digit());
        let at = self.at + by;
        match next {
            Some('.' | ',') => Err(Token { fault: if plain { Fault::Grouped } else { Fault::MarkAndSeparator }, at }),
            Some('\'' | '’' | '_' | '`' | '´') if digit_after => Err(Token { fault: Fault::Grouped, at }),
            Some(digit) if by > 0 && digit.is_ascii_digit() => Err(Token { fault: Fault::Grouped, at }),
            Some(':') => Err(Token { fault: Fault::Colon, at }),
            Some('/') => Err(Token { fault: Fault::Fraction, at }),
            Some('x' | 'X') if digit_after => Err(Token { fault: Fault::NotDecimal, at }),
            Some('–' | '—' | '-' | '~') => Err(Token { fault: Fault::Dash, at }),
            Some(digit) if other_digit(digit) => Err(Token { fault: Fault::OtherDigits, at }),
            _ => Ok(()),
        }
    }

    fn no_number(&self) -> Fault {
        match self.peek() {
            Some(sign) if other_digit(sign) => Fault::OtherDigits,
            Some('–' | '—') => Fault::Dash,
            _ => Fault::NoNumber,
        }
    }

    fn fault(&self, fault: Fault) -> Token {
        Token { fault, at: self.at }
    }
}

/// A digit of a script other than 0 to 9.
fn other_digit(sign: char) -> bool {
    sign.is_numeric() && !sign.is_ascii_digit() && !"²³".contains(sign)
}

/// What a letter in place of the decimal point stands for.
fn mark_of(letter: char, unit: Unit) -> Option<Mark> {
    let own = match (unit, letter) {
        (Unit::Ohm, 'R') | (Unit::Volt, 'V') | (Unit::Ampere, 'A') | (Unit::Farad, 'F') => Some(("", 0)),
        (Unit::Ohm, 'K') => Some(("k", 3)),
        _ => None,
    };
    let prefixed = !matches!(
        unit,
        Unit::Metre
            | Unit::Second
            | Unit::SquareMillimetre
            | Unit::CubicMetrePerSecond
            | Unit::DegreeCelsius
            | Unit::Ratio
            | Unit::Count
    );
    let found = own.or_else(|| PREFIXES.into_iter().find(|(text, _)| prefixed && text.chars().eq([letter])));
    found.map(|(prefix, power)| Mark { prefix, power })
}
