//! Why an entry cannot be read, and what is accepted instead.

use crate::quantity::Unit;
use alloc::format;
use alloc::string::String;

/// What is wrong, and at which character.
pub(super) struct Token {
    pub(super) fault: Fault,
    pub(super) at: usize,
}

/// Why an entry cannot be read.
pub(super) enum Fault {
    TooLong,
    NoNumber,
    OtherDigits,
    Grouped,
    MarkAndSeparator,
    MarkAndPower,
    LetterE,
    PowerNotWhole,
    NotDecimal,
    Colon,
    Fraction,
    Dash,
    Size,
    OtherUnit(String, Unit),
    NoUnit,
    MinuteOrMilli,
    HourAndMore,
    MegaOrMilli(String),
    Gauge,
    Order,
    Negative,
    ToleranceUnit,
    PercentOfPercent,
    Twice,
}

impl Fault {
    /// What is accepted for `unit`, with the reason where an entry could mean two things.
    pub(super) fn accepted(&self, unit: Unit) -> String {
        let row = unit.row();
        let fixed = match self {
            Self::OtherUnit(written, other) => {
                return format!("{} ({}); {written} is {}", row.name, row.symbol, other.row().name);
            }
            Self::NoUnit if row.suffixes.is_empty() => "a number without a unit",
            Self::NoUnit => return format!("a number and a unit of {}: {}", row.name, ways(unit)),
            Self::MegaOrMilli(written) => {
                return format!("{}: {written} is none of its forms (M is mega, m is milli)", ways(unit));
            }
            Self::NoNumber if row.suffixes.is_empty() => "a number such as 3",
            Self::NoNumber => return format!("a number first, such as 3.7 {}", row.symbol).trim_end().into(),
            Self::TooLong => "an entry of at most 64 characters",
            Self::OtherDigits => "the digits 0 to 9",
            Self::Grouped => {
                "one decimal point or comma and no grouping, because 1.234,5 and 1 234 can be meant in two ways: write 1234.5"
            }
            Self::MarkAndSeparator => "either a letter or a point for the decimal place, as in 4k7 or 4.7k",
            Self::MarkAndPower => "either a letter for the decimal place or a power of ten, as in 4k7 or 4.7e3",
            Self::LetterE => "4R7 for 4.7 ohms or 4e7 for a power of ten, because 4E7 can be meant in both ways",
            Self::PowerNotWhole => "a whole power of ten, as in 1.5e3",
            Self::NotDecimal => "a decimal number, as in 16",
            Self::Colon => "hours and minutes with their units, as in 1 h 20 min",
            Self::Fraction => "a decimal number, as in 0.5",
            Self::Dash => {
                "one value, or two with two dots between them as in 2.1..2.3, because a dash can be a minus sign"
            }
            Self::Size => "a number between 1e-300 and 1e300",
            Self::MinuteOrMilli => "ms or min, because m can be meant in both ways",
            Self::HourAndMore => "a unit on each part, as in 1 h 20 min",
            Self::Gauge => "AWG 40 to AWG 1, AWG 1/0 to AWG 4/0, or a cross-section such as 0.75 mm²",
            Self::Order => "values in rising order, as in 2.1..2.3",
            Self::Negative => "a tolerance of zero or more",
            Self::ToleranceUnit => "a tolerance with its own unit, or in percent",
            Self::PercentOfPercent => {
                "two ends such as 45 %..55 %, because a percentage of a percentage can be meant in two ways"
            }
            Self::Twice => "one tolerance, or two or three values with two dots between them",
        };
        fixed.into()
    }
}

/// Some ways to write a unit.
fn ways(unit: Unit) -> String {
    let row = unit.row();
    let mut text = String::new();
    for power in row.powers {
        let prefix = crate::quantity::text::prefix(*power);
        if !text.is_empty() {
            text.push_str(", ");
        }
        text.push_str(prefix);
        text.push_str(row.symbol);
    }
    for suffix in row.suffixes.iter().filter(|suffix| !suffix.prefixed && suffix.text != row.symbol) {
        text.push_str(", ");
        text.push_str(suffix.text);
    }
    text
}
