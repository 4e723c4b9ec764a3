//! The questions what a text was understood as, and how a number is written.

use crate::error::{Error, within};
use crate::quantity::parse::interval;
use crate::quantity::text::{Decimal, write};
use crate::quantity::{Interval, Unit};
use alloc::format;
use alloc::string::String;

/// A text that a person typed.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Reading {
    /// The text as typed.
    pub text: String,
    /// What it is meant to be.
    pub unit: Unit,
    /// Decimal sign for reading back; a point where it is left out.
    pub decimal: Option<Decimal>,
}

/// What was understood.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ReadingAnswer {
    /// Value in the unit's base; without width where no tolerance was given.
    pub value: Interval,
    /// The same for reading back.
    pub shown: String,
}

/// A number to be written.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Writing {
    /// Value in the unit's base.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// Significant digits, 1 to 9; three where it is left out.
    pub digits: Option<f64>,
    /// Decimal sign; a point where it is left out.
    pub decimal: Option<Decimal>,
}

/// A number as text.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct WritingAnswer {
    /// The text.
    pub shown: String,
}

impl Reading {
    /// What the text was understood as.
    ///
    /// # Errors
    ///
    /// Names `text`, what is accepted and the character at which reading failed.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::{Unit, reading::Reading};
    /// let read = Reading { text: "50 mΩ ± 10 %".into(), unit: Unit::Ohm, decimal: None }.answer()?;
    /// assert_eq!(read.shown, "45.00 mΩ to 55.00 mΩ, likely 50.00 mΩ");
    /// assert!(Reading { text: "5O".into(), unit: Unit::Ohm, decimal: None }.answer().is_err());
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn answer(&self) -> Result<ReadingAnswer, Error> {
        let value = interval("text", &self.text, self.unit)?;
        let show = |value| write(value, self.unit, 4, self.decimal.unwrap_or_default());
        let shown = if value.low < value.high {
            format!("{} to {}, likely {}", show(value.low), show(value.high), show(value.likely))
        } else {
            show(value.likely)
        };
        Ok(ReadingAnswer { value, shown })
    }
}

impl Writing {
    /// The number as text.
    ///
    /// # Errors
    ///
    /// Names `value` or `digits` where they are out of range.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::quantity::{Unit, reading::Writing};
    /// let writing = Writing { value: 4700.0, unit: Unit::Ohm, digits: Some(2.0), decimal: None };
    /// assert_eq!(writing.answer()?.shown, "4.7 kΩ");
    /// assert!(Writing { digits: Some(20.0), ..writing }.answer().is_err());
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn answer(&self) -> Result<WritingAnswer, Error> {
        let value = within("value", self.value, -1e15, 1e15)?;
        let digits = within("digits", self.digits.unwrap_or(3.0), 1.0, 9.0)?;
        Ok(WritingAnswer { shown: write(value, self.unit, digits as usize, self.decimal.unwrap_or_default()) })
    }
}
