//! Where in an input one stands, without allocation until somebody asks.

use super::node::cut;
use alloc::borrow::Cow;
use alloc::format;
use alloc::string::{String, ToString};

/// Name of an input that has none: the value that was handed over.
const WHOLE: &str = "input";

/// One step down from another place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place<'p> {
    above: Option<&'p Place<'p>>,
    step: Step<'p>,
}

#[derive(Clone, Copy, Debug)]
enum Step<'p> {
    Whole,
    Key(&'p str),
    Index(usize),
}

impl<'p> Place<'p> {
    /// The input as a whole.
    pub(crate) const fn whole() -> Self {
        Self { above: None, step: Step::Whole }
    }

    /// The value under `key`.
    pub(crate) const fn key(&'p self, key: &'p str) -> Self {
        Self { above: Some(self), step: Step::Key(key) }
    }

    /// The value at `index`.
    pub(crate) const fn index(&'p self, index: usize) -> Self {
        Self { above: Some(self), step: Step::Index(index) }
    }

    /// How many steps down it lies.
    pub(crate) fn depth(&self) -> usize {
        core::iter::successors(self.above, |place| place.above).count()
    }

    /// JSON Pointer (RFC 6901).
    pub(crate) fn pointer(&self) -> String {
        let mut pointer = String::new();
        let mut place = Some(self);
        while let Some(here) = place {
            let segment = match here.step {
                Step::Whole => break,
                Step::Key(key) => key.replace('~', "~0").replace('/', "~1"),
                Step::Index(index) => index.to_string(),
            };
            pointer = format!("/{segment}{pointer}");
            place = here.above;
        }
        pointer
    }

    /// The nearest name at or above this place.
    pub(crate) fn field(&self) -> Cow<'static, str> {
        let mut place = Some(self);
        while let Some(here) = place {
            if let Step::Key(key) = here.step {
                return cut(key).into();
            }
            place = here.above;
        }
        WHOLE.into()
    }
}
