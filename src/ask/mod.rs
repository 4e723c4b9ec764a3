//! Questions by name: a value in, a value out.
//!
//! Every door (the example program, JavaScript, C) asks through [`QUESTIONS`], so that the same input gives the same
//! answer or the same mistakes everywhere. To add a question, add a row to `questions.rs`.

mod decode;
mod encode;
mod node;
mod place;
mod questions;
mod refusal;
mod stepped;
mod text;
mod upgrade;
mod write;

pub use decode::decode;
pub(crate) use decode::decode_own;
pub use encode::encode;
pub use node::{BYTES_MAX, DEPTH_MAX, Entry, Node, VALUES_MAX};
pub use questions::QUESTIONS;
pub use refusal::{Mistake, Refusal, refused};
pub use stepped::{STEPPED, Stepped};
pub use text::read;
pub use write::write;

#[cfg(all(feature = "wasm", target_arch = "wasm32"))]
pub(crate) use {node::Budget, place::Place};

use crate::error::Error;
use alloc::format;
use alloc::vec::Vec;

/// A question that a person or a program can ask.
#[derive(Clone, Copy, Debug)]
pub struct Question {
    /// Name, as used at every door.
    pub name: &'static str,
    /// What it answers, in one line.
    pub about: &'static str,
    solve: fn(&Node) -> Result<Node, Vec<Error>>,
    #[cfg(feature = "schema")]
    schemas: fn() -> Schemas,
}

/// JSON Schemas (draft 2020-12) of a question.
#[cfg(feature = "schema")]
#[derive(Clone, Debug, serde::Serialize)]
pub struct Schemas {
    /// What goes in.
    pub input: schemars::Schema,
    /// What comes out.
    pub answer: schemars::Schema,
}

impl Question {
    /// The question called `name`.
    ///
    /// # Errors
    ///
    /// Names the questions there are.
    pub fn named(name: &str) -> Result<&'static Self, Error> {
        QUESTIONS.iter().find(|question| question.name == name).ok_or_else(|| {
            let names: Vec<_> = QUESTIONS.iter().map(|question| question.name).collect();
            Error::other("question", format!("\"{}\"", node::cut(name)), format!("one of {}", names.join(", ")))
                .placed("")
        })
    }

    /// The answer to an input.
    ///
    /// # Errors
    ///
    /// Every mistake of the input: first those of its shape; where there are none, those of its values.
    pub fn answer(&self, input: &Node) -> Result<Node, Vec<Error>> {
        (self.solve)(input)
    }

    /// What goes in and what comes out.
    #[cfg(feature = "schema")]
    #[must_use]
    pub fn schemas(&self) -> Schemas {
        (self.schemas)()
    }
}

/// The answer to the question called `name`, asked in JSON text.
///
/// # Errors
///
/// Every mistake: an unknown question, text that is not JSON, or an input that is not accepted.
///
/// # Examples
///
/// ```
/// # use cellwright::ask::{Node, ask};
/// let answer = ask("marking", r#"{"resistor_letters": "4K7"}"#)?;
/// assert_eq!(answer.get("ohm"), Some(&Node::Number(4700.0)));
/// let errors = ask("timer", r#"{"timer": {"part": "bipolar"}, "supply": 9}"#).unwrap_err();
/// assert_eq!(errors[0].to_string(), "supply is not a known field: accepted is timer, supply_v, temperature_degc");
/// assert_eq!(errors[1].path(), "/timer/circuit");
/// assert_eq!(errors[2].to_string(), "supply_v is missing: accepted is a number");
/// # Ok::<(), Vec<cellwright::Error>>(())
/// ```
pub fn ask(name: &str, text: &str) -> Result<Node, Vec<Error>> {
    Question::named(name)?.answer(&read(text)?)
}

/// One error or several.
struct Errors(Vec<Error>);

impl From<Error> for Errors {
    fn from(error: Error) -> Self {
        Self([error].into())
    }
}

impl From<Vec<Error>> for Errors {
    fn from(errors: Vec<Error>) -> Self {
        Self(errors)
    }
}

impl From<Errors> for Vec<Error> {
    fn from(errors: Errors) -> Self {
        errors.0
    }
}

#[cfg(feature = "schema")]
fn schemas<I: schemars::JsonSchema, A: schemars::JsonSchema>() -> Schemas {
    use schemars::generate::SchemaSettings;
    let settings = SchemaSettings::draft2020_12();
    Schemas {
        input: settings.clone().for_deserialize().into_generator().into_root_schema_for::<I>(),
        answer: settings.for_serialize().into_generator().into_root_schema_for::<A>(),
    }
}
