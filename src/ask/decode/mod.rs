//! A [`Node`] to a typed input, with every mistake of its shape noted at once.
//!
//! Reading goes on after a mistake: a stand-in takes the place of the wrong value, and the result is thrown away at
//! the end. Names are matched against the type's own fields; a name that is unknown or given twice is a mistake. Only
//! an `Option` may be left out: `serde(default)`, `flatten`, `tag` and `untagged` have no place in an input type.

mod access;

use crate::error::Error;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;
use core::cell::RefCell;
use core::fmt;
use core::marker::PhantomData;
use serde::de::{self, DeserializeOwned, Deserializer, Expected, Unexpected, Visitor};

use crate::ask::node::{Entry, Node, cut, whole};
use crate::ask::place::Place;
use access::{Entries, Fields, List, Variant, Walk};

/// Most mistakes that are told; the last one then says that there are more.
const ERRORS_MAX: usize = 200;
/// Deepest nesting of stand-ins, for types that contain themselves.
const STAND_IN_DEPTH_MAX: usize = 64;
/// Largest whole number that a double holds together with all smaller ones.
const COUNT_MAX: i64 = 9_007_199_254_740_991;

/// The typed input that `node` stands for.
///
/// # Errors
///
/// Every mistake of shape: missing, unknown and doubled names, values of another kind, each with its place.
pub fn decode<T: DeserializeOwned>(node: &Node) -> Result<T, Vec<Error>> {
    let notes = Notes::default();
    let decoded = T::deserialize(At::<Stopped>::new(&Spot::whole(node, &notes)));
    if decoded.is_err() && notes.errors.borrow().is_empty() {
        notes.note(&Place::whole(), Error::other("input", "not readable", "what the schema says"));
    }
    notes.finish()?;
    decoded.map_err(|Stopped| Vec::new())
}

/// As [`decode`], for the inputs of questions: their types refuse nothing by themselves, so that there is no way out
/// but to the end, and much less code.
pub(crate) fn decode_own<T: DeserializeOwned>(node: &Node) -> Result<T, Vec<Error>> {
    let notes = Notes::default();
    let Ok(decoded) = T::deserialize(At::<Never>::new(&Spot::whole(node, &notes)));
    notes.finish()?;
    Ok(decoded)
}

#[derive(Debug, Default)]
struct Notes {
    errors: RefCell<Vec<Error>>,
}

impl Notes {
    fn note(&self, place: &Place<'_>, error: Error) {
        let mut errors = self.errors.borrow_mut();
        match errors.len() {
            ERRORS_MAX => {}
            last if last + 1 == ERRORS_MAX => {
                errors.push(Error::other("input", "wrong in more places", "no mistakes").placed(""));
            }
            _ => errors.push(error.placed(place.pointer())),
        }
    }

    fn finish(&self) -> Result<(), Vec<Error>> {
        let errors = self.errors.take();
        if errors.is_empty() { Ok(()) } else { Err(errors) }
    }
}

/// Why reading cannot go on; what is wrong was noted before.
trait Stop: de::Error {
    /// Largest count that can be read.
    const COUNT_MAX: i64;

    /// Stops where stand-ins nest without end, as those of a type that contains itself may.
    fn deep(spot: &Spot<'_>) -> Result<(), Self>;
}

#[derive(Debug)]
struct Stopped;

/// What cannot be: the crate's own inputs read every value that their place takes, and do not contain themselves.
#[derive(Debug)]
enum Never {}

macro_rules! stops {
    ($($type:ident $made:expr;)*) => {$(
        impl fmt::Display for $type {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("stopped")
            }
        }

        /// The names and numbers that serde would tell are noted already: without them, much code falls away.
        impl de::Error for $type {
            fn custom<T: fmt::Display>(_: T) -> Self {
                $made
            }

            fn invalid_value(_: Unexpected<'_>, _: &dyn Expected) -> Self {
                $made
            }

            fn invalid_length(_: usize, _: &dyn Expected) -> Self {
                $made
            }
        }

        impl core::error::Error for $type {}
    )*};
}

stops! {
    Stopped Self;
    Never unreachable!("an input's type refuses a value");
}

impl Stop for Stopped {
    const COUNT_MAX: i64 = COUNT_MAX;

    fn deep(spot: &Spot<'_>) -> Result<(), Self> {
        let ends = !matches!(spot.found, Found::Given(_)) && spot.place.depth() > STAND_IN_DEPTH_MAX;
        if ends { Err(Self) } else { Ok(()) }
    }
}

impl Stop for Never {
    /// The counts of inputs are of 32 bits, or as wide as an address, which holds fewer on some targets.
    #[allow(clippy::cast_possible_wrap)] // only taken where it fits
    const COUNT_MAX: i64 = if usize::BITS < i64::BITS { usize::MAX as i64 } else { COUNT_MAX };

    fn deep(_: &Spot<'_>) -> Result<(), Self> {
        Ok(())
    }
}

/// What stands at a place.
#[derive(Clone, Copy, Debug)]
enum Found<'n> {
    /// A value.
    Given(&'n Node),
    /// Nothing: noted as missing by whoever cannot do without.
    Absent,
    /// Something wrong that is noted already: a stand-in is read.
    StandIn,
}

/// A place with what stands there.
#[derive(Clone, Copy, Debug)]
struct Spot<'s> {
    found: Found<'s>,
    place: Place<'s>,
    notes: &'s Notes,
}

impl<'s> Spot<'s> {
    fn whole(node: &'s Node, notes: &'s Notes) -> Self {
        Self { found: Found::Given(node), place: Place::whole(), notes }
    }

    /// Notes that something else than `accepted` stands here; a stand-in follows.
    fn refuse(&self, accepted: impl Into<String>) {
        let field = self.place.field();
        let error = match self.found {
            Found::StandIn => return,
            Found::Absent => Error::missing(field, accepted.into()),
            Found::Given(Node::Number(number)) if !number.is_finite() => Error::not_finite(field),
            Found::Given(node) => Error::other(field, node.described(), accepted.into()),
        };
        self.notes.note(&self.place, error);
    }

    /// A whole number from `low` to `high`, or the stand-in 0.
    fn count(&self, low: i64, high: i64) -> i64 {
        if let Found::Given(Node::Number(number)) = self.found
            && let Some(count) = whole(*number)
            && (low..=high).contains(&count)
        {
            return count;
        }
        self.refuse(format!("a whole number between {low} and {high}"));
        0
    }

    /// A number, or the stand-in 0.
    fn number(&self) -> f64 {
        match self.found {
            Found::Given(Node::Number(number)) if number.is_finite() => *number,
            _ => {
                self.refuse("a number");
                0.0
            }
        }
    }

    fn truth(&self) -> bool {
        if let Found::Given(Node::Bool(value)) = self.found {
            return *value;
        }
        self.refuse("true or false");
        false
    }

    fn text(&self) -> &str {
        if let Found::Given(Node::Text(text)) = self.found {
            return text;
        }
        self.refuse("text");
        ""
    }

    fn nothing(&self) {
        if !matches!(self.found, Found::Given(Node::Null)) {
            self.refuse("null");
        }
    }

    fn is_left_out(&self) -> bool {
        matches!(self.found, Found::Given(Node::Null) | Found::Absent | Found::StandIn)
    }

    #[inline(never)]
    fn list(&'s self, length: Option<usize>) -> List<'s> {
        match self.found {
            Found::Given(Node::List(values)) if length.is_none_or(|length| length == values.len()) => {
                List::new(values, 0, self)
            }
            _ => {
                self.refuse(length.map_or("a list".into(), |length| format!("a list of {length}")));
                List::new(&[], length.unwrap_or(0), self)
            }
        }
    }

    /// The entries of an object; none where something else stands here, which is noted.
    fn entries(&'s self, accepted: impl FnOnce() -> String) -> Option<&'s [Entry]> {
        if let Found::Given(Node::Object(entries)) = self.found {
            return Some(entries);
        }
        self.refuse(accepted());
        None
    }

    /// The fields of a struct; names that are not fields, or are given again, are noted.
    #[inline(never)]
    fn fields(&'s self, names: &'static [&'static str]) -> Fields<'s> {
        let entries = self.entries(|| format!("an object with {}", names.join(", ")));
        let mut given = alloc::vec![false; names.len()];
        for (key, _) in entries.unwrap_or_default() {
            let place = self.place.key(key);
            match names.iter().zip(&mut given).find(|(name, _)| *name == key) {
                None => self.notes.note(&place, Error::unknown(place.field(), names.join(", "))),
                Some((_, true)) => self.notes.note(&place, Error::duplicate(place.field())),
                Some((_, given)) => *given = true,
            }
        }
        Fields::new(entries, names, self)
    }

    /// The choice that is named, with its content; the first one as a stand-in.
    #[inline(never)]
    fn choice(&'s self, names: &'static [&'static str]) -> Variant<'s> {
        let one = match self.found {
            Found::Given(Node::Text(name)) => Some((name.as_str(), Found::Absent)),
            Found::Given(Node::Object(entries)) => match entries.as_slice() {
                [(name, content)] => Some((name.as_ref(), Found::Given(content))),
                _ => None,
            },
            _ => None,
        };
        let chosen = |index: usize, found| {
            let name = names.get(index).copied().unwrap_or_default();
            Variant { index, content: Spot { found, place: self.place.key(name), notes: self.notes } }
        };
        let index = one.and_then(|(given, _)| names.iter().position(|name| *name == given));
        if let (Some((_, found)), Some(index)) = (one, index) {
            return chosen(index, found);
        }
        match (one, self.found) {
            (Some((name, _)), Found::Given(Node::Object(_))) => {
                let accepted = format!("one of {}", names.join(", "));
                self.notes.note(&self.place, Error::other(self.place.field(), format!("\"{}\"", cut(name)), accepted));
            }
            (None, Found::Given(Node::Object(_))) => {
                self.refuse(format!("an object with exactly one of {}", names.join(", ")));
            }
            _ => self.refuse(format!("one of {}", names.join(", "))),
        }
        chosen(0, Found::StandIn)
    }
}

/// One spot as serde reads it: no more than a pointer is handed on.
struct At<'s, E>(&'s Spot<'s>, PhantomData<E>);

impl<'s, E: Stop> At<'s, E> {
    fn new(spot: &'s Spot<'s>) -> Self {
        Self(spot, PhantomData)
    }

    fn list<'de, V: Visitor<'de>>(self, length: Option<usize>, visitor: V) -> Result<V::Value, E> {
        E::deep(self.0)?;
        visitor.visit_seq(Walk(&mut self.0.list(length), PhantomData::<E>))
    }

    fn fields<'de, V: Visitor<'de>>(self, names: &'static [&'static str], visitor: V) -> Result<V::Value, E> {
        E::deep(self.0)?;
        visitor.visit_seq(Walk(&mut self.0.fields(names), PhantomData::<E>))
    }
}

macro_rules! counts {
    ($($method:ident $visit:ident $type:ident $low:expr, $high:expr;)*) => {$(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
            visitor.$visit($type::try_from(self.0.count($low, $high)).unwrap_or_default())
        }
    )*};
}

impl<'de, E: Stop> Deserializer<'de> for At<'_, E> {
    type Error = E;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        match self.0.found {
            Found::Given(Node::Bool(_)) => self.deserialize_bool(visitor),
            Found::Given(Node::Number(_)) => self.deserialize_f64(visitor),
            Found::Given(Node::Text(_)) => self.deserialize_str(visitor),
            Found::Given(Node::List(_)) => self.deserialize_seq(visitor),
            Found::Given(Node::Object(_)) => self.deserialize_map(visitor),
            _ => self.deserialize_unit(visitor),
        }
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        visitor.visit_bool(self.0.truth())
    }

    counts! {
        deserialize_u8 visit_u8 u8 0, 255;
        deserialize_u16 visit_u16 u16 0, 65_535;
        deserialize_u32 visit_u32 u32 0, 4_294_967_295;
        deserialize_u64 visit_u64 u64 0, E::COUNT_MAX;
        deserialize_i8 visit_i8 i8 -128, 127;
        deserialize_i16 visit_i16 i16 -32_768, 32_767;
        deserialize_i32 visit_i32 i32 -2_147_483_648, 2_147_483_647;
        deserialize_i64 visit_i64 i64 -E::COUNT_MAX, E::COUNT_MAX;
    }

    fn deserialize_f32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        self.deserialize_f64(visitor)
    }

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        visitor.visit_f64(self.0.number())
    }

    fn deserialize_char<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        visitor.visit_str(self.0.text())
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        visitor.visit_str(self.0.text())
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        visitor.visit_str(self.0.text())
    }

    fn deserialize_bytes<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        self.deserialize_seq(visitor)
    }

    fn deserialize_byte_buf<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        self.deserialize_seq(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        if self.0.is_left_out() { visitor.visit_none() } else { visitor.visit_some(self) }
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        self.0.nothing();
        visitor.visit_unit()
    }

    fn deserialize_unit_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, E> {
        self.deserialize_unit(visitor)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, E> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        self.list(None, visitor)
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, length: usize, visitor: V) -> Result<V::Value, E> {
        self.list(Some(length), visitor)
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, E> {
        self.list(Some(length), visitor)
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        E::deep(self.0)?;
        let entries = self.0.entries(|| "an object".into()).unwrap_or_default();
        visitor.visit_map(Walk(&mut Entries::new(entries, self.0), PhantomData::<E>))
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, E> {
        self.fields(fields, visitor)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, E> {
        E::deep(self.0)?;
        visitor.visit_enum(Walk(&mut self.0.choice(variants), PhantomData::<E>))
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        visitor.visit_str(self.0.text())
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, E> {
        visitor.visit_unit()
    }
}
