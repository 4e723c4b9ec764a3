//! What is wrong with an input: which field, what was given, what is accepted.
//!
//! An [`Error`] is a fact about an input and carries no advice. A build that works out but is risky is not an
//! error: that is a `Finding`. [`Check`] walks nested inputs and gathers every error with its place.

use alloc::borrow::Cow;
use alloc::boxed::Box;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;

/// One wrong input: the field, what was given and what is accepted.
///
/// # Examples
///
/// ```
/// # use cellwright::part::wire::Pair;
/// let error = Pair { length_m: 1.5, area_mm2: 0.0, conductor_degc: 20.0 }.drop_v(4.0).unwrap_err();
/// assert_eq!(error.field(), "area_mm2");
/// assert_eq!(error.to_string(), "area_mm2 is 0, but must lie between 0.01 and 1000");
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Error(
    /// Behind a pointer, so that what may fail hands over little where it does not.
    Box<Wrong>,
);

#[derive(Clone, Debug, PartialEq)]
struct Wrong {
    field: Cow<'static, str>,
    path: String,
    /// Whether `path` already ends at the wrong value: in a list, or in the input as a whole, it has no name there.
    whole: bool,
    kind: Kind,
}

/// Why a value was refused. Private, so that new reasons can be added without breaking anybody.
#[derive(Clone, Debug, PartialEq)]
enum Kind {
    Range { given: f64, low: f64, high: f64 },
    NotFinite,
    Text { given: String, accepted: Cow<'static, str>, position: usize },
    Other { given: Cow<'static, str>, accepted: Cow<'static, str> },
    Missing { accepted: Cow<'static, str> },
    Unknown { accepted: Cow<'static, str> },
    Duplicate,
}

impl Error {
    /// A number outside `low` to `high`, or not a finite number at all.
    #[must_use]
    pub fn range(field: &'static str, given: f64, low: f64, high: f64) -> Self {
        let kind = if given.is_finite() { Kind::Range { given, low, high } } else { Kind::NotFinite };
        Self::new(field.into(), kind)
    }

    /// Text that cannot be read; `position` counts characters from 0.
    #[must_use]
    pub fn text(
        field: impl Into<Cow<'static, str>>,
        given: impl Into<String>,
        accepted: impl Into<Cow<'static, str>>,
        position: usize,
    ) -> Self {
        Self::new(field.into(), Kind::Text { given: given.into(), accepted: accepted.into(), position })
    }

    /// Anything else that is not accepted, both sides in words.
    #[must_use]
    pub fn other(
        field: impl Into<Cow<'static, str>>,
        given: impl Into<Cow<'static, str>>,
        accepted: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self::unlike(field.into(), given.into(), accepted.into())
    }

    /// A field that must be there and is not.
    #[must_use]
    pub fn missing(field: impl Into<Cow<'static, str>>, accepted: impl Into<Cow<'static, str>>) -> Self {
        Self::new(field.into(), Kind::Missing { accepted: accepted.into() })
    }

    /// A field that nobody knows.
    #[must_use]
    pub fn unknown(field: impl Into<Cow<'static, str>>, accepted: impl Into<Cow<'static, str>>) -> Self {
        Self::new(field.into(), Kind::Unknown { accepted: accepted.into() })
    }

    /// A field that is given twice.
    #[must_use]
    pub fn duplicate(field: impl Into<Cow<'static, str>>) -> Self {
        Self::new(field.into(), Kind::Duplicate)
    }

    /// Something that is not a finite number.
    #[must_use]
    pub fn not_finite(field: impl Into<Cow<'static, str>>) -> Self {
        Self::new(field.into(), Kind::NotFinite)
    }

    #[cold]
    #[inline(never)]
    fn new(field: Cow<'static, str>, kind: Kind) -> Self {
        Self(Box::new(Wrong { field, path: String::new(), whole: false, kind }))
    }

    #[cold]
    #[inline(never)]
    fn unlike(field: Cow<'static, str>, given: Cow<'static, str>, accepted: Cow<'static, str>) -> Self {
        Self::new(field, Kind::Other { given, accepted })
    }

    /// Name of the field, as in the Rust type and in JSON.
    #[must_use]
    pub fn field(&self) -> &str {
        &self.0.field
    }

    /// Where the field stands, as a JSON Pointer (RFC 6901) such as `/groups/1/cells/2/capacity_ah`.
    #[must_use]
    pub fn path(&self) -> String {
        if self.0.whole {
            return self.0.path.clone();
        }
        format!("{}/{}", self.0.path, self.0.field.replace('~', "~0").replace('/', "~1"))
    }

    /// The same error, found one level down at `segment` (a field name or an index).
    #[must_use]
    pub fn at(self, segment: impl fmt::Display) -> Self {
        self.under(&segment)
    }

    #[cold]
    #[inline(never)]
    fn under(mut self, segment: &dyn fmt::Display) -> Self {
        self.0.path = format!("/{segment}{}", self.0.path);
        self
    }

    /// The same error, standing at exactly `pointer`; empty for the input as a whole.
    #[must_use]
    pub fn placed(mut self, pointer: impl Into<String>) -> Self {
        self.0.path = pointer.into();
        self.0.whole = true;
        self
    }

    /// A stable word for the reason, for translations.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self.0.kind {
            Kind::Range { .. } => "out_of_range",
            Kind::NotFinite => "not_a_number",
            Kind::Text { .. } => "unreadable",
            Kind::Other { .. } => "not_accepted",
            Kind::Missing { .. } => "missing",
            Kind::Unknown { .. } => "unknown_field",
            Kind::Duplicate => "given_twice",
        }
    }

    /// What was given, in words.
    #[must_use]
    pub fn given(&self) -> String {
        match &self.0.kind {
            Kind::Range { given, .. } => given.to_string(),
            Kind::NotFinite => "not a finite number".into(),
            Kind::Text { given, .. } => given.clone(),
            Kind::Other { given, .. } => given.to_string(),
            Kind::Missing { .. } => "nothing".into(),
            Kind::Unknown { .. } => self.0.field.to_string(),
            Kind::Duplicate => "more than one value".into(),
        }
    }

    /// What is accepted, in words.
    #[must_use]
    pub fn accepted(&self) -> String {
        match &self.0.kind {
            Kind::Range { low, high, .. } => format!("between {low} and {high}"),
            Kind::NotFinite => "a finite number".into(),
            Kind::Text { accepted, .. }
            | Kind::Other { accepted, .. }
            | Kind::Missing { accepted }
            | Kind::Unknown { accepted } => accepted.to_string(),
            Kind::Duplicate => "one value".into(),
        }
    }

    /// Lowest and highest accepted number, where the reason is a range.
    #[must_use]
    pub fn bounds(&self) -> Option<(f64, f64)> {
        match self.0.kind {
            Kind::Range { low, high, .. } => Some((low, high)),
            _ => None,
        }
    }

    /// Character at which reading text failed, counted from 0.
    #[must_use]
    pub fn position(&self) -> Option<usize> {
        match self.0.kind {
            Kind::Text { position, .. } => Some(position),
            _ => None,
        }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let field = &self.0.field;
        match &self.0.kind {
            Kind::Range { given, low, high } => {
                write!(f, "{field} is {given}, but must lie between {low} and {high}")
            }
            Kind::NotFinite => write!(f, "{field} is not a finite number"),
            Kind::Text { given, accepted, position } => {
                write!(
                    f,
                    "{field} is \"{given}\", which cannot be read from character {position} on: accepted is {accepted}"
                )
            }
            Kind::Other { given, accepted } => write!(f, "{field} is {given}, but accepted is {accepted}"),
            Kind::Missing { accepted } => write!(f, "{field} is missing: accepted is {accepted}"),
            Kind::Unknown { accepted } => write!(f, "{field} is not a known field: accepted is {accepted}"),
            Kind::Duplicate => write!(f, "{field} is given more than once"),
        }
    }
}

impl core::error::Error for Error {}

/// `value`, if it is a finite number between `low` and `high`, both included.
///
/// # Errors
///
/// Names `field`, the value and the range.
///
/// # Examples
///
/// ```
/// # use cellwright::error::within;
/// assert_eq!(within("duty", 0.4, 0.0, 1.0)?, 0.4);
/// assert_eq!(within("duty", f64::NAN, 0.0, 1.0).unwrap_err().field(), "duty");
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn within(field: &'static str, value: f64, low: f64, high: f64) -> Result<f64, Error> {
    if value >= low && value <= high { Ok(value) } else { Err(Error::range(field, value, low, high)) }
}

/// Gathers every error of a nested input, each with its JSON Pointer.
///
/// # Examples
///
/// ```
/// # use cellwright::error::Check;
/// let mut check = Check::new();
/// check.inside("groups", |check| check.inside(1, |check| {
///     check.within("capacity_ah", -1.0, 0.01, 100.0);
/// }));
/// let errors = check.finish().unwrap_err();
/// assert_eq!(errors[0].path(), "/groups/1/capacity_ah");
/// ```
#[derive(Debug, Default)]
pub struct Check {
    place: Vec<String>,
    errors: Vec<Error>,
}

impl Check {
    /// An empty list, at the root.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Runs `walk` one level down, at the field or index `segment`.
    pub fn inside(&mut self, segment: impl fmt::Display, walk: impl FnOnce(&mut Self)) {
        self.enter(&segment);
        walk(self);
        self.place.pop();
    }

    #[inline(never)]
    fn enter(&mut self, segment: &dyn fmt::Display) {
        self.place.push(segment.to_string());
    }

    /// Notes an error where `value` is not a finite number between `low` and `high`.
    pub fn within(&mut self, field: &'static str, value: f64, low: f64, high: f64) {
        if let Err(error) = within(field, value, low, high) {
            self.note(error);
        }
    }

    /// Notes `error` at the present place.
    pub fn note(&mut self, error: Error) {
        let placed = self.place.iter().rev().fold(error, Error::at);
        self.errors.push(placed);
    }

    /// Whether nothing was noted so far.
    #[must_use]
    pub fn is_clean(&self) -> bool {
        self.errors.is_empty()
    }

    /// All errors in the order they were found.
    ///
    /// # Errors
    ///
    /// The list, where it is not empty.
    pub fn finish(self) -> Result<(), Vec<Error>> {
        if self.errors.is_empty() { Ok(()) } else { Err(self.errors) }
    }
}

impl From<Error> for Vec<Error> {
    fn from(error: Error) -> Self {
        [error].into()
    }
}
