//! Preferred values of resistors and capacitors: the mantissas of one decade, in hundredths.
//!
//! E48, E96 and E192 are 10^(k/n) rounded to three digits, but for 9.20, which the rule would make 9.19. Of E24,
//! eight values (2.7 to 4.7 and 8.2) keep the older rounding.

use crate::data::{Seen, Source};

/// A series of preferred values; the number counts the values in a decade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Series {
    /// Three values, usual for electrolytic capacitors.
    E3,
    /// Six values, usual for capacitors.
    E6,
    /// Twelve values.
    E12,
    /// Twenty-four values, usual for resistors of 5 %.
    E24,
    /// Forty-eight values.
    E48,
    /// Ninety-six values, usual for resistors of 1 %.
    E96,
    /// One hundred and ninety-two values.
    E192,
}

impl Series {
    /// Every series, coarse first.
    pub const ALL: [Self; 7] = [Self::E3, Self::E6, Self::E12, Self::E24, Self::E48, Self::E96, Self::E192];

    /// The values of one decade in hundredths, rising: 100 to 999.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::series::Series;
    /// assert_eq!(Series::E3.hundredths(), [100, 220, 470]);
    /// assert!(!Series::E12.hundredths().contains(&510));
    /// ```
    #[must_use]
    pub const fn hundredths(self) -> &'static [u16] {
        match self {
            Self::E3 => &E3,
            Self::E6 => &E6,
            Self::E12 => &E12,
            Self::E24 => &E24,
            Self::E48 => &E48,
            Self::E96 => &E96,
            Self::E192 => &E192,
        }
    }
}

/// Source of all series.
pub const SERIES_SOURCE: Source = Source {
    title: "IEC 60063, Preferred number series for resistors and capacitors",
    edition: "2015",
    place: "tables, read in pages that reproduce E3 to E24; E48 to E192 by the rule they state",
    seen: Seen::Reproduced,
};

const E3: [u16; 3] = [100, 220, 470];
const E6: [u16; 6] = [100, 150, 220, 330, 470, 680];
const E12: [u16; 12] = [100, 120, 150, 180, 220, 270, 330, 390, 470, 560, 680, 820];
const E24: [u16; 24] = [
    100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300, 330, 360, 390, 430, 470, 510, 560, 620, 680, 750, 820,
    910,
];
const E48: [u16; 48] = [
    100, 105, 110, 115, 121, 127, 133, 140, 147, 154, 162, 169, 178, 187, 196, 205, 215, 226, 237, 249, 261, 274, 287,
    301, 316, 332, 348, 365, 383, 402, 422, 442, 464, 487, 511, 536, 562, 590, 619, 649, 681, 715, 750, 787, 825, 866,
    909, 953,
];
const E96: [u16; 96] = [
    100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143, 147, 150, 154, 158, 162, 165, 169,
    174, 178, 182, 187, 191, 196, 200, 205, 210, 215, 221, 226, 232, 237, 243, 249, 255, 261, 267, 274, 280, 287, 294,
    301, 309, 316, 324, 332, 340, 348, 357, 365, 374, 383, 392, 402, 412, 422, 432, 442, 453, 464, 475, 487, 499, 511,
    523, 536, 549, 562, 576, 590, 604, 619, 634, 649, 665, 681, 698, 715, 732, 750, 768, 787, 806, 825, 845, 866, 887,
    909, 931, 953, 976,
];
const E192: [u16; 192] = [
    100, 101, 102, 104, 105, 106, 107, 109, 110, 111, 113, 114, 115, 117, 118, 120, 121, 123, 124, 126, 127, 129, 130,
    132, 133, 135, 137, 138, 140, 142, 143, 145, 147, 149, 150, 152, 154, 156, 158, 160, 162, 164, 165, 167, 169, 172,
    174, 176, 178, 180, 182, 184, 187, 189, 191, 193, 196, 198, 200, 203, 205, 208, 210, 213, 215, 218, 221, 223, 226,
    229, 232, 234, 237, 240, 243, 246, 249, 252, 255, 258, 261, 264, 267, 271, 274, 277, 280, 284, 287, 291, 294, 298,
    301, 305, 309, 312, 316, 320, 324, 328, 332, 336, 340, 344, 348, 352, 357, 361, 365, 370, 374, 379, 383, 388, 392,
    397, 402, 407, 412, 417, 422, 427, 432, 437, 442, 448, 453, 459, 464, 470, 475, 481, 487, 493, 499, 505, 511, 517,
    523, 530, 536, 542, 549, 556, 562, 569, 576, 583, 590, 597, 604, 612, 619, 626, 634, 642, 649, 657, 665, 673, 681,
    690, 698, 706, 715, 723, 732, 741, 750, 759, 768, 777, 787, 796, 806, 816, 825, 835, 845, 856, 866, 876, 887, 898,
    909, 920, 931, 942, 953, 965, 976, 988,
];
