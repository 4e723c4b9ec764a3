//! Electronics behind a converter.
//!
//! ```text
//! input_w = output_w / efficiency(output_w)
//! ```
//!
//! Efficiency is read between the given points on a straight line; outside them nothing is promised. Source: definition.

use crate::error::{Check, Error, within};
use alloc::vec::Vec;

/// One point of an efficiency curve.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct EfficiencyPoint {
    /// Output, in watts.
    pub output_w: f64,
    /// Output over input, 0 to 1.
    pub efficiency_ratio: f64,
}

/// A DC-DC converter.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Converter {
    /// What its load takes, in watts.
    pub output_w: f64,
    /// Efficiency by rising output.
    pub efficiency: Vec<EfficiencyPoint>,
}

impl Converter {
    /// Power from the supply, in watts.
    ///
    /// # Errors
    ///
    /// Every value out of range; `output_w` outside the curve.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::converter::{Converter, EfficiencyPoint};
    /// let at = |output_w, efficiency_ratio| EfficiencyPoint { output_w, efficiency_ratio };
    /// let converter = Converter { output_w: 5.0, efficiency: vec![at(1.0, 0.7), at(5.0, 0.9), at(10.0, 0.85)] };
    /// assert!((converter.input_w()? - 5.0 / 0.9).abs() < 1e-12);
    /// assert_eq!(Converter { output_w: 20.0, ..converter }.input_w().unwrap_err()[0].field(), "output_w");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn input_w(&self) -> Result<f64, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        Ok(self.worked_w())
    }

    pub(crate) fn worked_w(&self) -> f64 {
        let line = self.efficiency.windows(2).find_map(|pair| match pair {
            [a, b] if (a.output_w..=b.output_w).contains(&self.output_w) => {
                let x = (self.output_w - a.output_w) / (b.output_w - a.output_w);
                Some(a.efficiency_ratio + (b.efficiency_ratio - a.efficiency_ratio) * x)
            }
            _ => None,
        });
        let first = self.efficiency.first().map_or(1.0, |point| point.efficiency_ratio);
        self.output_w / line.unwrap_or(first)
    }

    pub(crate) fn check(&self, check: &mut Check) {
        let points = &self.efficiency;
        if !(1..=50).contains(&points.len()) {
            check.note(Error::range("efficiency", points.len() as f64, 1.0, 50.0));
        }
        for (i, point) in points.iter().enumerate() {
            check.inside("efficiency", |check| {
                check.inside(i, |check| {
                    check.within("output_w", point.output_w, 1e-6, 10000.0);
                    check.within("efficiency_ratio", point.efficiency_ratio, 0.01, 1.0);
                });
            });
        }
        if points.windows(2).any(|pair| matches!(pair, [a, b] if a.output_w >= b.output_w)) {
            check.note(Error::other("efficiency", "outputs that do not rise", "points by rising output"));
        }
        if let (Some(first), Some(last)) = (points.first(), points.last())
            && let Err(error) = within("output_w", self.output_w, first.output_w, last.output_w)
        {
            check.note(error);
        }
    }
}
