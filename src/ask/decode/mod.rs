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
use serde::de::{self, DeserializeOwned, Deserializer, Expected, Unexpected, Visitor};

use crate::ask::node::{Entry, Node, cut, whole};
use crate::ask::place::Place;
use access::{Entries, Fields, List, Variant};

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
    let place = Place::whole();
    let decoded = T::deserialize(Reader { found: Found::Given(node), place: &place, notes: &notes });
    let mut errors = notes.errors.into_inner();
    match decoded {
        Ok(value) if errors.is_empty() => Ok(value),
        Err(Stopped) if errors.is_empty() => {
            errors.push(Error::other("input", "not readable", "what the schema says").placed(""));
            Err(errors)
        }
        _ => Err(errors),
    }
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
}

/// Why reading cannot go on; what is wrong was noted before.
#[derive(Debug)]
struct Stopped;

impl fmt::Display for Stopped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("stopped")
    }
}

/// The names and numbers that serde would tell are noted already: without them, much code falls away.
impl de::Error for Stopped {
    fn custom<T: fmt::Display>(_: T) -> Self {
        Self
    }

    fn invalid_value(_: Unexpected<'_>, _: &dyn Expected) -> Self {
        Self
    }

    fn invalid_length(_: usize, _: &dyn Expected) -> Self {
        Self
    }
}

impl core::error::Error for Stopped {}

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

#[derive(Clone, Copy, Debug)]
struct Reader<'r> {
    found: Found<'r>,
    place: &'r Place<'r>,
    notes: &'r Notes,
}

impl<'r> Reader<'r> {
    /// Notes that something else than `accepted` stands here; a stand-in follows.
    fn refuse(&self, accepted: impl Into<String>) {
        let field = self.place.field();
        let error = match self.found {
            Found::StandIn => return,
            Found::Absent => Error::missing(field, accepted.into()),
            Found::Given(Node::Number(number)) if !number.is_finite() => Error::not_finite(field),
            Found::Given(node) => Error::other(field, node.described(), accepted.into()),
        };
        self.notes.note(self.place, error);
    }

    fn stand_in(self) -> Result<Self, Stopped> {
        if self.place.depth() > STAND_IN_DEPTH_MAX {
            return Err(Stopped);
        }
        Ok(Self { found: Found::StandIn, ..self })
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

    fn text(&self) -> &'r str {
        if let Found::Given(Node::Text(text)) = self.found {
            return text;
        }
        self.refuse("text");
        ""
    }

    fn list(self, length: Option<usize>) -> Result<List<'r>, Stopped> {
        match self.found {
            Found::Given(Node::List(values)) if length.is_none_or(|length| length == values.len()) => {
                Ok(List::new(values, 0, self))
            }
            _ => {
                self.refuse(length.map_or("a list".into(), |length| format!("a list of {length}")));
                Ok(List::new(&[], length.unwrap_or(0), self.stand_in()?))
            }
        }
    }

    /// The entries of an object, or those of a stand-in.
    fn entries(self, accepted: impl FnOnce() -> String) -> Result<(&'r [Entry], Self), Stopped> {
        if let Found::Given(Node::Object(entries)) = self.found {
            return Ok((entries, self));
        }
        self.refuse(accepted());
        Ok((&[], self.stand_in()?))
    }

    /// The fields of a struct; names that are not fields, or are given again, are noted.
    fn fields(self, names: &'static [&'static str]) -> Result<Fields<'r>, Stopped> {
        let (entries, reader) = self.entries(|| format!("an object with {}", names.join(", ")))?;
        let mut given = alloc::vec![false; names.len()];
        for (key, _) in entries {
            let place = self.place.key(key);
            match names.iter().zip(&mut given).find(|(name, _)| *name == key) {
                None => self.notes.note(&place, Error::unknown(place.field(), names.join(", "))),
                Some((_, true)) => self.notes.note(&place, Error::duplicate(place.field())),
                Some((_, given)) => *given = true,
            }
        }
        Ok(Fields::new(entries, names, reader))
    }

    /// The choice that is named, with its content; the first one as a stand-in.
    fn choice(self, names: &'static [&'static str]) -> Result<Variant<'r>, Stopped> {
        let one = match self.found {
            Found::Given(Node::Text(name)) => Some((name.as_str(), Found::Absent)),
            Found::Given(Node::Object(entries)) => match entries.as_slice() {
                [(name, content)] => Some((name.as_ref(), Found::Given(content))),
                _ => None,
            },
            _ => None,
        };
        let index = one.and_then(|(given, _)| names.iter().position(|name| *name == given));
        if let (Some((_, found)), Some(index)) = (one, index) {
            return Ok(Variant::new(names, index, Reader { found, ..self }));
        }
        match (one, self.found) {
            (Some((name, _)), Found::Given(Node::Object(_))) => {
                let accepted = format!("one of {}", names.join(", "));
                self.notes.note(self.place, Error::other(self.place.field(), format!("\"{}\"", cut(name)), accepted));
            }
            (None, Found::Given(Node::Object(_))) => {
                self.refuse(format!("an object with exactly one of {}", names.join(", ")));
            }
            _ => self.refuse(format!("one of {}", names.join(", "))),
        }
        Ok(Variant::new(names, 0, self.stand_in()?))
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
}

macro_rules! counts {
    ($($method:ident $visit:ident $type:ident $low:expr, $high:expr;)*) => {$(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
            visitor.$visit($type::try_from(self.count($low, $high)).unwrap_or_default())
        }
    )*};
}

impl<'de> Deserializer<'de> for Reader<'_> {
    type Error = Stopped;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        match self.found {
            Found::Given(Node::Bool(_)) => self.deserialize_bool(visitor),
            Found::Given(Node::Number(_)) => self.deserialize_f64(visitor),
            Found::Given(Node::Text(_)) => self.deserialize_str(visitor),
            Found::Given(Node::List(_)) => self.deserialize_seq(visitor),
            Found::Given(Node::Object(_)) => self.deserialize_map(visitor),
            _ => self.deserialize_unit(visitor),
        }
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        if let Found::Given(Node::Bool(value)) = self.found {
            return visitor.visit_bool(*value);
        }
        self.refuse("true or false");
        visitor.visit_bool(false)
    }

    counts! {
        deserialize_u8 visit_u8 u8 0, 255;
        deserialize_u16 visit_u16 u16 0, 65_535;
        deserialize_u32 visit_u32 u32 0, 4_294_967_295;
        deserialize_u64 visit_u64 u64 0, COUNT_MAX;
        deserialize_i8 visit_i8 i8 -128, 127;
        deserialize_i16 visit_i16 i16 -32_768, 32_767;
        deserialize_i32 visit_i32 i32 -2_147_483_648, 2_147_483_647;
        deserialize_i64 visit_i64 i64 -COUNT_MAX, COUNT_MAX;
    }

    fn deserialize_f32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        self.deserialize_f64(visitor)
    }

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        visitor.visit_f64(self.number())
    }

    fn deserialize_char<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        visitor.visit_str(self.text())
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        visitor.visit_str(self.text())
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        visitor.visit_str(self.text())
    }

    fn deserialize_bytes<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        self.deserialize_seq(visitor)
    }

    fn deserialize_byte_buf<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        self.deserialize_seq(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        match self.found {
            Found::Given(Node::Null) | Found::Absent | Found::StandIn => visitor.visit_none(),
            Found::Given(_) => visitor.visit_some(self),
        }
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        if !matches!(self.found, Found::Given(Node::Null)) {
            self.refuse("null");
        }
        visitor.visit_unit()
    }

    fn deserialize_unit_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, Stopped> {
        self.deserialize_unit(visitor)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, Stopped> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        visitor.visit_seq(self.list(None)?)
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, length: usize, visitor: V) -> Result<V::Value, Stopped> {
        visitor.visit_seq(self.list(Some(length))?)
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Stopped> {
        self.deserialize_tuple(length, visitor)
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        let (entries, reader) = self.entries(|| "an object".into())?;
        visitor.visit_map(Entries::new(entries, reader))
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Stopped> {
        visitor.visit_seq(self.fields(fields)?)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Stopped> {
        visitor.visit_enum(self.choice(variants)?)
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        visitor.visit_str(self.text())
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Stopped> {
        visitor.visit_unit()
    }
}
