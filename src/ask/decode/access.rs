//! Lists, objects and choices as serde walks them.

use crate::error::Error;
use alloc::collections::BTreeSet;
use alloc::string::String;
use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, IntoDeserializer, MapAccess, SeqAccess, VariantAccess, Visitor,
};

use super::{Found, Reader, Stopped};
use crate::ask::node::Node;

/// Values in order, then stand-ins.
pub(super) struct List<'r> {
    values: &'r [Node],
    stand_ins: usize,
    next: usize,
    reader: Reader<'r>,
}

impl<'r> List<'r> {
    pub(super) fn new(values: &'r [Node], stand_ins: usize, reader: Reader<'r>) -> Self {
        Self { values, stand_ins, next: 0, reader }
    }
}

impl<'de> SeqAccess<'de> for List<'_> {
    type Error = Stopped;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, Stopped> {
        let found = match self.values.get(self.next) {
            Some(value) => Found::Given(value),
            None if self.next < self.stand_ins => Found::StandIn,
            None => return Ok(None),
        };
        let place = self.reader.place.index(self.next);
        self.next += 1;
        seed.deserialize(Reader { found, place: &place, notes: self.reader.notes }).map(Some)
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.values.len() - self.next.min(self.values.len()))
    }
}

/// The entries of an object; for a struct, then the fields that were not given.
pub(super) struct Object<'r> {
    entries: &'r [(String, Node)],
    fields: Option<&'static [&'static str]>,
    seen: BTreeSet<&'r str>,
    rest: &'static [&'static str],
    value: Option<(&'r str, Found<'r>)>,
    reader: Reader<'r>,
}

impl<'r> Object<'r> {
    pub(super) fn new(
        entries: &'r [(String, Node)],
        fields: Option<&'static [&'static str]>,
        reader: Reader<'r>,
    ) -> Self {
        Self { entries, fields, seen: BTreeSet::new(), rest: fields.unwrap_or_default(), value: None, reader }
    }

    /// The next entry that the type wants; notes those that it does not.
    fn given(&mut self) -> Option<(&'r str, Found<'r>)> {
        while let Some(((key, value), later)) = self.entries.split_first() {
            self.entries = later;
            let place = self.reader.place.key(key);
            if !self.seen.insert(key) {
                self.reader.notes.note(&place, Error::duplicate(place.field()));
            } else if self.fields.is_none_or(|fields| fields.contains(&key.as_str())) {
                return Some((key, Found::Given(value)));
            } else {
                let accepted = self.fields.unwrap_or_default().join(", ");
                self.reader.notes.note(&place, Error::unknown(place.field(), accepted));
            }
        }
        None
    }

    /// The next field that was not given.
    fn absent(&mut self) -> Option<(&'r str, Found<'r>)> {
        let found = if matches!(self.reader.found, Found::Given(_)) { Found::Absent } else { Found::StandIn };
        while let Some((field, later)) = self.rest.split_first() {
            self.rest = later;
            if !self.seen.contains(field) {
                return Some((field, found));
            }
        }
        None
    }
}

impl<'de> MapAccess<'de> for Object<'_> {
    type Error = Stopped;

    fn next_key_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, Stopped> {
        self.value = self.given().or_else(|| self.absent());
        match self.value {
            Some((key, _)) => seed.deserialize(key.into_deserializer()).map(Some),
            None => Ok(None),
        }
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, Stopped> {
        let (key, found) = self.value.take().ok_or_else(|| Stopped("a name before a value".into()))?;
        let place = self.reader.place.key(key);
        seed.deserialize(Reader { found, place: &place, notes: self.reader.notes })
    }
}

/// One choice of an enum with its content.
pub(super) struct Variant<'r> {
    name: &'static str,
    reader: Reader<'r>,
}

impl<'r> Variant<'r> {
    pub(super) fn new(name: &'static str, reader: Reader<'r>) -> Self {
        Self { name, reader }
    }

    /// Reads the content one level down, under the choice's name.
    fn content<T>(self, read: impl FnOnce(Reader<'_>) -> Result<T, Stopped>) -> Result<T, Stopped> {
        let place = self.reader.place.key(self.name);
        read(Reader { place: &place, ..self.reader })
    }
}

impl<'de> EnumAccess<'de> for Variant<'_> {
    type Error = Stopped;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self), Stopped> {
        Ok((seed.deserialize(self.name.into_deserializer())?, self))
    }
}

impl<'de> VariantAccess<'de> for Variant<'_> {
    type Error = Stopped;

    fn unit_variant(self) -> Result<(), Stopped> {
        self.content(|reader| {
            if !matches!(reader.found, Found::Absent | Found::StandIn | Found::Given(Node::Null)) {
                reader.refuse("null, or the choice as text");
            }
            Ok(())
        })
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, Stopped> {
        self.content(|reader| seed.deserialize(reader))
    }

    fn tuple_variant<V: Visitor<'de>>(self, length: usize, visitor: V) -> Result<V::Value, Stopped> {
        self.content(|reader| reader.deserialize_tuple(length, visitor))
    }

    fn struct_variant<V: Visitor<'de>>(self, fields: &'static [&'static str], visitor: V) -> Result<V::Value, Stopped> {
        self.content(|reader| reader.deserialize_struct("", fields, visitor))
    }
}
