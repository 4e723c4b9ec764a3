//! Colours and letters printed on resistors and capacitors.

use crate::data::{Seen, Source};

/// Colour of a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[allow(missing_docs)]
pub enum Colour {
    Black,
    Brown,
    Red,
    Orange,
    Yellow,
    Green,
    Blue,
    Violet,
    Grey,
    White,
    Gold,
    Silver,
    Pink,
}

/// What one colour means in each place of the code.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColourRow {
    /// The colour.
    pub colour: Colour,
    /// Digit, in a digit band.
    pub digit: Option<u8>,
    /// Power of ten, in the multiplier band.
    pub exponent: i8,
    /// Symmetric tolerance, in the tolerance band.
    pub tolerance_ratio: Option<f64>,
    /// Temperature coefficient per kelvin, in the sixth band.
    pub coefficient_per_k: Option<f64>,
}

const fn row(
    colour: Colour,
    digit: Option<u8>,
    exponent: i8,
    tolerance_ratio: Option<f64>,
    coefficient_per_k: Option<f64>,
) -> ColourRow {
    ColourRow { colour, digit, exponent, tolerance_ratio, coefficient_per_k }
}

/// Every colour. Grey as a tolerance was 0.05 % in older editions.
pub const COLOURS: [ColourRow; 13] = [
    row(Colour::Black, Some(0), 0, None, Some(250e-6)),
    row(Colour::Brown, Some(1), 1, Some(0.01), Some(100e-6)),
    row(Colour::Red, Some(2), 2, Some(0.02), Some(50e-6)),
    row(Colour::Orange, Some(3), 3, Some(0.0005), Some(15e-6)),
    row(Colour::Yellow, Some(4), 4, Some(0.0002), Some(25e-6)),
    row(Colour::Green, Some(5), 5, Some(0.005), Some(20e-6)),
    row(Colour::Blue, Some(6), 6, Some(0.0025), Some(10e-6)),
    row(Colour::Violet, Some(7), 7, Some(0.001), Some(5e-6)),
    row(Colour::Grey, Some(8), 8, Some(0.0001), Some(1e-6)),
    row(Colour::White, Some(9), 9, None, None),
    row(Colour::Gold, None, -1, Some(0.05), None),
    row(Colour::Silver, None, -2, Some(0.1), None),
    row(Colour::Pink, None, -3, None, None),
];

/// A tolerance letter and how far the value may lie below and above the mark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToleranceLetter {
    /// The letter.
    pub letter: char,
    /// Largest fall, a negative ratio.
    pub low_ratio: f64,
    /// Largest rise.
    pub high_ratio: f64,
}

const fn letter(letter: char, low_ratio: f64, high_ratio: f64) -> ToleranceLetter {
    ToleranceLetter { letter, low_ratio, high_ratio }
}

/// Tolerance letters. Below 10 pF the letters B, C, D, F and G stand for picofarads instead of percent.
pub const TOLERANCE_LETTERS: [ToleranceLetter; 18] = [
    letter('E', -0.00005, 0.00005),
    letter('L', -0.0001, 0.0001),
    letter('P', -0.0002, 0.0002),
    letter('W', -0.0005, 0.0005),
    letter('B', -0.001, 0.001),
    letter('C', -0.0025, 0.0025),
    letter('D', -0.005, 0.005),
    letter('F', -0.01, 0.01),
    letter('G', -0.02, 0.02),
    letter('H', -0.03, 0.03),
    letter('J', -0.05, 0.05),
    letter('K', -0.1, 0.1),
    letter('M', -0.2, 0.2),
    letter('N', -0.3, 0.3),
    letter('Q', -0.1, 0.3),
    letter('S', -0.2, 0.5),
    letter('T', -0.1, 0.5),
    letter('Z', -0.2, 0.8),
];

/// Letters that stand for picofarads on capacitors below 10 pF; the two ratios are picofarads here.
pub const PICOFARAD_LETTERS: [ToleranceLetter; 5] = [
    letter('B', -0.1, 0.1),
    letter('C', -0.25, 0.25),
    letter('D', -0.5, 0.5),
    letter('F', -1.0, 1.0),
    letter('G', -2.0, 2.0),
];

/// Source of the letters F, G, J, K, M and Z, of the letter-digit form and of the colours.
pub const MARKING_SOURCE: Source = Source {
    title: "IEC 60062, Marking codes for resistors and capacitors",
    edition: "2016",
    place: "read in an encyclopedia article and on supplier pages",
    seen: Seen::Reproduced,
};

/// Source of the other letters, and of orange, yellow and grey as tolerances.
pub const RARE_MARKING_SOURCE: Source = Source {
    title: "IEC 60062, Marking codes for resistors and capacitors",
    edition: "2016",
    place: "from memory",
    seen: Seen::Memory,
};

/// Multiplier letters of the EIA-96 code on small 1 % resistors, as powers of ten of the E96 value between 100 and 976.
pub const EIA_96_LETTERS: [(char, i32); 11] =
    [('Z', -3), ('Y', -2), ('R', -2), ('X', -1), ('S', -1), ('A', 0), ('B', 1), ('H', 1), ('C', 2), ('D', 3), ('E', 4)];

/// Letters of the voltage code before a capacitor's digits: volts, to be multiplied by ten to the power of the digit
/// before the letter. 2A is 100 V.
pub const VOLTAGE_LETTERS: [(char, f64); 11] = [
    ('A', 1.0),
    ('B', 1.25),
    ('C', 1.6),
    ('D', 2.0),
    ('E', 2.5),
    ('F', 3.15),
    ('V', 3.5),
    ('G', 4.0),
    ('H', 5.0),
    ('J', 6.3),
    ('K', 8.0),
];

/// Source of both.
pub const SHORT_CODES_SOURCE: Source = Source {
    title: "EIA-96 and EIA voltage codes",
    edition: "",
    place: "as printed by resistor and film capacitor makers, from memory",
    seen: Seen::Memory,
};
