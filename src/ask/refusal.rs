//! Errors as they leave through a door.

use crate::error::Error;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::encode::encode;
use super::node::Node;

/// Why a question has no answer: every mistake of the input.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Refusal {
    /// All mistakes, in the order of the input.
    pub errors: Vec<Mistake>,
}

/// One mistake of an input.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Mistake {
    /// Stable word for the reason, the key of its wording in every language.
    pub code: &'static str,
    /// Where it stands, as a JSON Pointer such as `/groups/1/cells/2/capacity_ah`; empty for the input as a whole.
    pub path: String,
    /// Name of the field.
    pub field: String,
    /// What was given, in words.
    pub given: String,
    /// What is accepted, in words.
    pub accepted: String,
    /// Character at which reading text failed, counted from 0.
    pub position: Option<u32>,
    /// Lowest accepted number, where the reason is a range.
    pub low: Option<f64>,
    /// Highest accepted number, where the reason is a range.
    pub high: Option<f64>,
    /// The whole mistake in English.
    pub message: String,
}

impl From<&Error> for Mistake {
    fn from(error: &Error) -> Self {
        let bounds = error.bounds().filter(|(low, high)| low.is_finite() && high.is_finite());
        Self {
            code: error.code(),
            path: error.path(),
            field: error.field().into(),
            given: error.given(),
            accepted: error.accepted(),
            position: error.position().and_then(|position| u32::try_from(position).ok()),
            low: bounds.map(|(low, _)| low),
            high: bounds.map(|(_, high)| high),
            message: error.to_string(),
        }
    }
}

impl From<&[Error]> for Refusal {
    fn from(errors: &[Error]) -> Self {
        Self { errors: errors.iter().map(Mistake::from).collect() }
    }
}

/// Errors as they leave through a door: a [`Refusal`] as a value.
#[must_use]
pub fn refused(errors: &[Error]) -> Node {
    // Nothing in it can fail to be encoded: no number but bounds and positions.
    encode(&Refusal::from(errors)).unwrap_or(Node::Null)
}
