//! American wire gauge: number to diameter and cross-section.
//!
//! ```text
//! diameter = 0.005 in · 92^((36 − n) / 39)         area = π/4 · diameter²
//! ```
//!
//! Holds for solid round wire from 4/0 (n = −3) to 40. The ratio of the areas of neighbouring gauges is the square of
//! the 39th root of 92. Source: ASTM B258, read in a page that reproduces its formula; the formula is exact, the
//! standard's table rounds it.

use alloc::format;
use alloc::string::String;

/// A gauge number; 0 is 1/0, −1 is 2/0, −3 is 4/0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Gauge(i32);

impl Gauge {
    /// Number of the thickest gauge, 4/0.
    pub const THICKEST: i32 = -3;
    /// Number of the thinnest gauge.
    pub const THINNEST: i32 = 40;

    /// The gauge of that number, from −3 for 4/0 to 40.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::gauge::Gauge;
    /// let gauge = Gauge::new(20).unwrap();
    /// assert!((gauge.area_mm2() - 0.517619).abs() < 1e-6);
    /// assert_eq!(Gauge::new(0).unwrap().text(), "AWG 1/0");
    /// assert_eq!(Gauge::new(41), None);
    /// ```
    #[must_use]
    pub const fn new(number: i32) -> Option<Self> {
        if number >= Self::THICKEST && number <= Self::THINNEST { Some(Self(number)) } else { None }
    }

    /// The gauge written as `20`, `1/0`, `0`, `00` or `4/0`, without the letters AWG.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::gauge::Gauge;
    /// assert_eq!(Gauge::named("2/0"), Gauge::new(-1));
    /// assert_eq!(Gauge::named("0000"), Gauge::new(-3));
    /// assert_eq!(Gauge::named("05"), None);
    /// ```
    #[must_use]
    pub fn named(text: &str) -> Option<Self> {
        if let Some(zeros) = text.strip_suffix("/0") {
            let zeros: i32 = if zeros.len() == 1 { zeros.parse().ok()? } else { return None };
            return if (1..=4).contains(&zeros) { Self::new(1 - zeros) } else { None };
        }
        let digits = text.len();
        if text.chars().all(|sign| sign == '0') {
            return if (1..=4).contains(&digits) { Self::new(1 - i32::try_from(digits).ok()?) } else { None };
        }
        let plain = digits <= 2 && !text.starts_with('0') && text.chars().all(|sign| sign.is_ascii_digit());
        if plain { Self::new(text.parse().ok()?) } else { None }
    }

    /// Its number; 0 is 1/0, −1 is 2/0.
    #[must_use]
    pub const fn number(self) -> i32 {
        self.0
    }

    /// Diameter of the solid wire, in metres.
    #[must_use]
    pub fn diameter_m(self) -> f64 {
        127e-6 * libm::pow(92.0, f64::from(36 - self.0) / 39.0)
    }

    /// Cross-section of the solid wire, in square millimetres.
    #[must_use]
    pub fn area_mm2(self) -> f64 {
        0.25 * core::f64::consts::PI * self.diameter_m() * self.diameter_m() * 1e6
    }

    /// As written: `AWG 20`, `AWG 1/0`.
    #[must_use]
    pub fn text(self) -> String {
        if self.0 > 0 { format!("AWG {}", self.0) } else { format!("AWG {}/0", 1 - self.0) }
    }
}
