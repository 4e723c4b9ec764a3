//! What is printed on resistors and capacitors, read and written.
//!
//! ```text
//! colours        two or three digits, a power of ten, tolerance, temperature coefficient
//! letter-digit   4K7 is 4700 Ω, R47 is 0.47 Ω, 2n2 is 2.2 nF: the letter stands for the decimal point
//! digits         104 is 10·10⁴ pF, 472 is 47·10² Ω; on capacitors 8 and 9 stand for 10⁻² and 10⁻¹, and 2A before them
//!                for 100 V
//! EIA-96         01C is the first value of E96, 100, times 10² Ω
//! class          X7R: from −55 °C to 125 °C the capacitance stays within 15 %
//! ```
//!
//! A tolerance letter may follow letter-digit and digit marks. Source: IEC 60062 for colours, letter-digit marks and
//! tolerance letters, EIA-198 for the digits on capacitors and the classes; kept in [`crate::data::marking`] and
//! [`crate::data::dielectric`].

use crate::data::dielectric::{CLASS_CHANGE, CLASS_HIGH, CLASS_LOW};
use crate::data::marking::{
    COLOURS, Colour, ColourRow, EIA_96_LETTERS, PICOFARAD_LETTERS, TOLERANCE_LETTERS, VOLTAGE_LETTERS,
};
use crate::data::series::Series;
use crate::error::{Error, within};
use crate::quantity::decimal::double;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

/// A mark to read, or a value to write as marks.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Marking {
    /// Bands of a resistor, three to six, the tolerance last but for the coefficient.
    Colours(Vec<Colour>),
    /// Letter-digit mark of a resistor, such as `4K7J`.
    ResistorLetters(String),
    /// Three or four digits of a resistor, such as `472`.
    ResistorDigits(String),
    /// Two digits and a letter of a small resistor of 1 % (EIA-96), such as `01C`.
    ResistorShort(String),
    /// Letter-digit mark of a capacitor, such as `2n2`.
    CapacitorLetters(String),
    /// Class of a ceramic capacitor, such as `X7R`.
    CeramicClass(String),
    /// Two or three digits of a capacitor, such as `104K`; a voltage code such as `2A` may stand before them.
    CapacitorDigits(String),
    /// A resistance to write, in ohms.
    ResistorOhm(f64),
    /// A capacitance to write, in farads.
    CapacitorF(f64),
}

/// A value with every form of its mark.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MarkingAnswer {
    /// Resistance, in ohms.
    pub ohm: Option<f64>,
    /// Capacitance, in farads.
    pub f: Option<f64>,
    /// Largest fall below the value, a negative ratio, where the mark tells.
    pub low_ratio: Option<f64>,
    /// Largest rise above the value, where the mark tells.
    pub high_ratio: Option<f64>,
    /// Temperature coefficient per kelvin, where the mark tells.
    pub coefficient_per_k: Option<f64>,
    /// Voltage the capacitor is made for, in volts, where the mark tells.
    pub rated_v: Option<f64>,
    /// Temperatures between which a ceramic class holds, in degrees Celsius.
    pub class_degc: Option<[f64; 2]>,
    /// Largest fall and rise of the capacitance between them, no DC voltage across it.
    pub class_ratio: Option<[f64; 2]>,
    /// Letter-digit mark, where the value has one.
    pub letters: Option<String>,
    /// Three or four digits, where the value has such a mark.
    pub digits: Option<String>,
    /// Colour bands of a resistor, where the value has them; 5 % or 1 % where no tolerance is known.
    pub colours: Option<Vec<Colour>>,
    /// Coarsest series that holds the value.
    pub series: Option<Series>,
}

/// A value as it was read.
struct Read {
    value: f64,
    capacitor: bool,
    low_ratio: Option<f64>,
    high_ratio: Option<f64>,
    coefficient_per_k: Option<f64>,
    rated_v: Option<f64>,
}

/// Powers of ten of the letters in a letter-digit mark.
const RESISTOR_LETTERS: [(char, i32); 7] = [('L', -3), ('R', 0), ('K', 3), ('k', 3), ('M', 6), ('G', 9), ('T', 12)];
const CAPACITOR_LETTERS: [(char, i32); 7] =
    [('p', -12), ('n', -9), ('µ', -6), ('μ', -6), ('u', -6), ('m', -3), ('F', 0)];

impl Marking {
    /// The value and every form of its mark.
    ///
    /// # Errors
    ///
    /// Names the mark, and the first character that cannot be read.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::marking::Colour::{Brown, Gold, Red, Violet, Yellow};
    /// # use cellwright::part::marking::Marking;
    /// let read = Marking::Colours(vec![Yellow, Violet, Red, Gold]).answer()?;
    /// assert_eq!((read.ohm, read.high_ratio), (Some(4700.0), Some(0.05)));
    /// assert_eq!(read.letters.as_deref(), Some("4K7"));
    /// let read = Marking::CapacitorDigits("104K".into()).answer()?;
    /// assert_eq!((read.f, read.letters.as_deref()), (Some(1e-7), Some("100n")));
    /// let error = Marking::ResistorLetters("4m7".into()).answer().unwrap_err();
    /// assert_eq!(error.position(), Some(1));
    /// assert!(Marking::Colours(vec![Gold, Brown, Red]).answer().is_err());
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn answer(&self) -> Result<MarkingAnswer, Error> {
        let read = match self {
            Self::Colours(bands) => from_colours(bands)?,
            Self::ResistorLetters(text) => from_letters(text, "resistor_letters", &RESISTOR_LETTERS, false)?,
            Self::CapacitorLetters(text) => from_letters(text, "capacitor_letters", &CAPACITOR_LETTERS, true)?,
            Self::ResistorShort(text) => from_eia_96(text)?,
            Self::CeramicClass(text) => return ceramic_class(text),
            Self::ResistorDigits(text) => from_digits(text, "resistor_digits", false)?,
            Self::CapacitorDigits(text) => from_capacitor_digits(text)?,
            Self::ResistorOhm(ohm) => Read::plain(within("resistor_ohm", *ohm, 0.0, 1e13)?, false),
            Self::CapacitorF(f) => Read::plain(within("capacitor_f", *f, 0.0, 1e4)?, true),
        };
        Ok(read.answer())
    }
}

impl Read {
    fn plain(value: f64, capacitor: bool) -> Self {
        Self { value, capacitor, low_ratio: None, high_ratio: None, coefficient_per_k: None, rated_v: None }
    }

    fn answer(&self) -> MarkingAnswer {
        let decimal = Decimal::of(self.value);
        let letters = if self.capacitor { &CAPACITOR_LETTERS } else { &RESISTOR_LETTERS };
        let colours = if self.capacitor { None } else { decimal.as_ref().and_then(|d| d.colours(self.high_ratio)) };
        MarkingAnswer {
            ohm: (!self.capacitor).then_some(self.value),
            f: self.capacitor.then_some(self.value),
            low_ratio: self.low_ratio,
            high_ratio: self.high_ratio,
            coefficient_per_k: self.coefficient_per_k,
            rated_v: self.rated_v,
            class_degc: None,
            class_ratio: None,
            letters: decimal.as_ref().and_then(|d| d.letters(letters)),
            digits: decimal.as_ref().and_then(|d| d.digits(self.capacitor)),
            colours,
            series: decimal.as_ref().and_then(Decimal::series),
        }
    }

    fn with_letter(mut self, letter: Option<char>, text: &str, field: &'static str) -> Result<Self, Error> {
        let Some(letter) = letter else { return Ok(self) };
        let small = self.capacitor && self.value > 0.0 && self.value < 10e-12;
        let picofarads = PICOFARAD_LETTERS.iter().find(|row| small && row.letter == letter);
        let (low_ratio, high_ratio) = if let Some(row) = picofarads {
            (row.low_ratio * 1e-12 / self.value, row.high_ratio * 1e-12 / self.value)
        } else if let Some(row) = TOLERANCE_LETTERS.iter().find(|row| row.letter == letter) {
            (row.low_ratio, row.high_ratio)
        } else {
            let place = text.chars().count().saturating_sub(1);
            return Err(Error::text(field, text, "a tolerance letter such as F, J, K, M or Z at the end", place));
        };
        self.low_ratio = Some(low_ratio);
        self.high_ratio = Some(high_ratio);
        Ok(self)
    }
}

fn row_of(colour: Colour) -> Option<&'static ColourRow> {
    COLOURS.iter().find(|row| row.colour == colour)
}

fn from_colours(bands: &[Colour]) -> Result<Read, Error> {
    let refused = |accepted: &'static str| Error::other("colours", format!("{bands:?}"), accepted);
    let digit_count = match bands.len() {
        3 | 4 => 2,
        5 | 6 => 3,
        _ => return Err(refused("three to six bands")),
    };
    let rows: Vec<&ColourRow> = bands.iter().filter_map(|band| row_of(*band)).collect();
    let mut digits = String::new();
    for row in rows.iter().take(digit_count) {
        let digit = row.digit.ok_or_else(|| refused("digit bands of black to white: turn the resistor around"))?;
        digits.push_str(&digit.to_string());
    }
    let exponent = rows.get(digit_count).map_or(0, |row| i32::from(row.exponent));
    let mut read = Read::plain(decimal_value(&digits, exponent), false);
    let tolerance_ratio = match rows.get(digit_count + 1) {
        None => 0.2,
        Some(row) => row.tolerance_ratio.ok_or_else(|| refused("a tolerance band of brown to grey, gold or silver"))?,
    };
    (read.low_ratio, read.high_ratio) = (Some(-tolerance_ratio), Some(tolerance_ratio));
    if let Some(row) = rows.get(digit_count + 2) {
        let coefficient = row.coefficient_per_k.ok_or_else(|| refused("a sixth band of black to grey"))?;
        read.coefficient_per_k = Some(coefficient);
    }
    Ok(read)
}

fn from_letters(text: &str, field: &'static str, letters: &[(char, i32)], capacitor: bool) -> Result<Read, Error> {
    let accepted = if capacitor {
        "digits with one of p n µ m F, such as 2n2"
    } else {
        "digits with one of L R K M G T, such as 4K7"
    };
    let (mut digits, mut exponent, mut tolerance) = (String::new(), None, None);
    for (place, letter) in text.trim().chars().enumerate() {
        let refused = || Error::text(field, text, accepted, place);
        if tolerance.is_some() || digits.len() > 6 {
            return Err(refused());
        }
        if letter.is_ascii_digit() {
            digits.push(letter);
            exponent = exponent.map(|power: i32| power - 1);
        } else if exponent.is_none() {
            exponent = Some(letters.iter().find(|row| row.0 == letter).ok_or_else(refused)?.1);
        } else {
            tolerance = Some(letter);
        }
    }
    match exponent {
        Some(exponent) if !digits.is_empty() => {
            Read::plain(decimal_value(&digits, exponent), capacitor).with_letter(tolerance, text, field)
        }
        _ => Err(Error::text(field, text, accepted, text.trim().chars().count())),
    }
}

fn from_digits(text: &str, field: &'static str, capacitor: bool) -> Result<Read, Error> {
    let accepted = if capacitor {
        "two or three digits, such as 104, or 4R7"
    } else {
        "three or four digits, such as 472, or 4R7"
    };
    let trimmed = text.trim();
    let tolerance = trimmed.chars().last().filter(|last| !last.is_ascii_digit() && *last != 'R');
    let body = tolerance.map_or(trimmed, |letter| trimmed.strip_suffix(letter).unwrap_or(trimmed));
    let unit = if capacitor { -12 } else { 0 };
    if body.contains('R') {
        let letters = [('R', unit)];
        let read = from_letters(body, field, &letters, capacitor)?;
        return read.with_letter(tolerance, trimmed, field);
    }
    if let Some(place) = body.chars().position(|letter| !letter.is_ascii_digit()) {
        return Err(Error::text(field, text, accepted, place));
    }
    let counted = if capacitor { 2..=3 } else { 3..=4 };
    if !counted.contains(&body.len()) {
        return Err(Error::text(field, text, accepted, body.len()));
    }
    let split = if capacitor && body.len() == 2 { 2 } else { body.len() - 1 };
    let (digits, power) = body.split_at(split);
    let exponent = match power {
        "" => 0,
        "8" if capacitor => -2,
        "9" if capacitor => -1,
        _ => power.parse::<i32>().unwrap_or(0),
    };
    Read::plain(decimal_value(digits, exponent + unit), capacitor).with_letter(tolerance, trimmed, field)
}

/// Digits with a voltage code before them: a digit and a letter, then the value.
fn from_capacitor_digits(text: &str) -> Result<Read, Error> {
    let field = "capacitor_digits";
    let trimmed = text.trim();
    let mut signs = trimmed.chars();
    let coded = signs.next().and_then(|sign| sign.to_digit(10)).zip(signs.next());
    let volts = coded.and_then(|(tens, letter)| {
        let (_, volts) = VOLTAGE_LETTERS.iter().find(|row| row.0 == letter)?;
        Some(volts * libm::pow(10.0, f64::from(tens)))
    });
    // 1A104 has a code, 4R7 and 10J have none: R is no voltage letter, and after a code a digit follows.
    let rest = signs.as_str();
    match volts.filter(|_| rest.chars().next().is_some_and(|sign| sign.is_ascii_digit())) {
        Some(volts) => Ok(Read { rated_v: Some(volts), ..from_digits(rest, field, true)? }),
        None => from_digits(text, field, true),
    }
}

/// The place in E96, counted from 1, and a letter for the power of ten.
fn from_eia_96(text: &str) -> Result<Read, Error> {
    let field = "resistor_short";
    let trimmed = text.trim();
    let refused =
        |place: usize| Error::text(field, text, "01 to 96 and one of Z Y R X S A B H C D E, such as 01C", place);
    let (digits, letter) = trimmed.split_at_checked(2).ok_or_else(|| refused(0))?;
    let place: usize = digits.parse().map_err(|_| refused(0))?;
    let hundredths = place.checked_sub(1).and_then(|place| Series::E96.hundredths().get(place));
    let hundredths =
        hundredths.filter(|_| digits.bytes().all(|sign| sign.is_ascii_digit())).ok_or_else(|| refused(0))?;
    let mut letters = letter.chars();
    let found = letters.next().and_then(|letter| EIA_96_LETTERS.iter().find(|row| row.0 == letter));
    let (_, exponent) = found.filter(|_| letters.next().is_none()).ok_or_else(|| refused(2))?;
    let value = decimal_value(&hundredths.to_string(), *exponent);
    Ok(Read { low_ratio: Some(-0.01), high_ratio: Some(0.01), ..Read::plain(value, false) })
}

/// What a class such as X7R allows; nothing of a value.
fn ceramic_class(text: &str) -> Result<MarkingAnswer, Error> {
    let trimmed = text.trim();
    let accepted = "X, Y or Z, a digit and a letter, such as X7R";
    let refused = |place: usize| Error::text("ceramic_class", text, accepted, place);
    let mut signs = trimmed.chars();
    let row = |rows: &[(char, f64)], sign: Option<char>| rows.iter().find(|row| Some(row.0) == sign).map(|row| row.1);
    let low_degc = row(&CLASS_LOW, signs.next()).ok_or_else(|| refused(0))?;
    let high_degc = row(&CLASS_HIGH, signs.next()).ok_or_else(|| refused(1))?;
    let last = signs.next();
    let change = CLASS_CHANGE.iter().find(|row| Some(row.0) == last).ok_or_else(|| refused(2))?;
    if signs.next().is_some() {
        return Err(refused(3));
    }
    Ok(MarkingAnswer {
        ohm: None,
        f: None,
        low_ratio: None,
        high_ratio: None,
        coefficient_per_k: None,
        rated_v: None,
        class_degc: Some([low_degc, high_degc]),
        class_ratio: Some(change.1),
        letters: None,
        digits: None,
        colours: None,
        series: None,
    })
}

/// The double nearest to digits·10^exponent.
fn decimal_value(digits: &str, exponent: i32) -> f64 {
    double(&format!("{digits}e{exponent}")).unwrap_or(0.0)
}

/// A value as significant digits and the power of ten of the first.
struct Decimal {
    digits: String,
    exponent: i32,
}

impl Decimal {
    /// To six significant digits, trailing zeros dropped; nothing for zero.
    fn of(value: f64) -> Option<Self> {
        if value <= 0.0 {
            return None;
        }
        let text = format!("{value:.5e}");
        let (mantissa, exponent) = text.split_once('e')?;
        let digits = mantissa.replace('.', "").trim_end_matches('0').to_string();
        Some(Self { digits, exponent: exponent.parse().ok()? })
    }

    fn letters(&self, letters: &[(char, i32)]) -> Option<String> {
        let fits = |row: &&(char, i32)| (0..3).contains(&(self.exponent - row.1));
        let below = |row: &&(char, i32)| self.exponent - row.1 == -1;
        let lone = letters.iter().find(|row| row.0 == 'R' || row.0 == 'p').filter(below);
        let (letter, power) = lone.or_else(|| letters.iter().find(fits))?;
        let whole = usize::try_from(self.exponent - power + 1).ok()?;
        if self.digits.len() > 4 {
            return None;
        }
        let padded = format!("{:0<whole$}", self.digits);
        let (before, after) = padded.split_at_checked(whole)?;
        Some(format!("{before}{letter}{after}"))
    }

    fn digits(&self, capacitor: bool) -> Option<String> {
        let unit = if capacitor { -12 } else { 0 };
        let kept = if capacitor || self.digits.len() <= 2 { 2 } else { 3 };
        if self.digits.len() > kept {
            return None;
        }
        let power = self.exponent - unit + 1 - i32::try_from(kept).ok()?;
        let padded = format!("{:0<kept$}", self.digits);
        match power {
            0..=7 => Some(format!("{padded}{power}")),
            -1 => padded.split_at_checked(1).filter(|_| kept == 2).map(|(one, two)| format!("{one}R{two}")),
            _ => None,
        }
    }

    fn colours(&self, tolerance_ratio: Option<f64>) -> Option<Vec<Colour>> {
        let kept = if self.digits.len() <= 2 { 2 } else { 3 };
        if self.digits.len() > kept {
            return None;
        }
        let power = self.exponent + 1 - i32::try_from(kept).ok()?;
        let tolerance_ratio = tolerance_ratio.unwrap_or(if kept == 2 { 0.05 } else { 0.01 });
        let padded = format!("{:0<kept$}", self.digits);
        let mut bands = Vec::new();
        for digit in padded.bytes() {
            bands.push(COLOURS.iter().find(|row| row.digit == Some(digit.wrapping_sub(b'0')))?.colour);
        }
        bands.push(COLOURS.iter().find(|row| i32::from(row.exponent) == power)?.colour);
        let same =
            |row: &&ColourRow| row.tolerance_ratio.is_some_and(|ratio| libm::fabs(ratio - tolerance_ratio) < 1e-9);
        if tolerance_ratio < 0.2 {
            bands.push(COLOURS.iter().find(same)?.colour);
        }
        Some(bands)
    }

    fn series(&self) -> Option<Series> {
        if self.digits.len() > 3 {
            return None;
        }
        let hundredths: u16 = format!("{:0<3}", self.digits).parse().ok()?;
        Series::ALL.into_iter().find(|series| series.hundredths().contains(&hundredths))
    }
}
