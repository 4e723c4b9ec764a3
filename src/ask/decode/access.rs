//! Lists, objects and choices as serde walks them.

use crate::error::Error;
use alloc::collections::BTreeSet;
use serde::de::value::U64Deserializer;
use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, IntoDeserializer, MapAccess, SeqAccess, VariantAccess, Visitor,
};

use super::{Found, Reader, Stopped};
use crate::ask::node::{Entry, Node};

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

/// The fields of a struct in their own order, whatever the order of the names given: the type then needs no names.
pub(super) struct Fields<'r> {
    entries: &'r [Entry],
    names: &'static [&'static str],
    reader: Reader<'r>,
}

impl<'r> Fields<'r> {
    pub(super) fn new(entries: &'r [Entry], names: &'static [&'static str], reader: Reader<'r>) -> Self {
        Self { entries, names, reader }
    }

    fn next(&mut self) -> Option<(&'static str, Found<'r>)> {
        let (name, later) = self.names.split_first()?;
        self.names = later;
        let found = match self.entries.iter().find(|(key, _)| key == name) {
            Some((_, value)) => Found::Given(value),
            None if matches!(self.reader.found, Found::Given(_)) => Found::Absent,
            None => Found::StandIn,
        };
        Some((name, found))
    }
}

impl<'de> SeqAccess<'de> for Fields<'_> {
    type Error = Stopped;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, Stopped> {
        let Some((name, found)) = self.next() else { return Ok(None) };
        let place = self.reader.place.key(name);
        seed.deserialize(Reader { found, place: &place, notes: self.reader.notes }).map(Some)
    }
}

/// The entries of an object whose names are free.
pub(super) struct Entries<'r> {
    rest: &'r [Entry],
    seen: BTreeSet<&'r str>,
    value: Option<(&'r str, &'r Node)>,
    reader: Reader<'r>,
}

impl<'r> Entries<'r> {
    pub(super) fn new(entries: &'r [Entry], reader: Reader<'r>) -> Self {
        Self { rest: entries, seen: BTreeSet::new(), value: None, reader }
    }

    /// The next entry with a new name; the others are noted.
    fn next(&mut self) -> Option<(&'r str, &'r Node)> {
        while let Some(((key, value), later)) = self.rest.split_first() {
            self.rest = later;
            if self.seen.insert(key) {
                return Some((key, value));
            }
            let place = self.reader.place.key(key);
            self.reader.notes.note(&place, Error::duplicate(place.field()));
        }
        None
    }
}

impl<'de> MapAccess<'de> for Entries<'_> {
    type Error = Stopped;

    fn next_key_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, Stopped> {
        self.value = self.next();
        match self.value {
            Some((key, _)) => seed.deserialize(key.into_deserializer()).map(Some),
            None => Ok(None),
        }
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, Stopped> {
        let (key, value) = self.value.take().ok_or(Stopped)?;
        let place = self.reader.place.key(key);
        seed.deserialize(Reader { found: Found::Given(value), place: &place, notes: self.reader.notes })
    }
}

/// One choice of an enum with its content.
pub(super) struct Variant<'r> {
    names: &'static [&'static str],
    index: usize,
    reader: Reader<'r>,
}

impl<'r> Variant<'r> {
    pub(super) fn new(names: &'static [&'static str], index: usize, reader: Reader<'r>) -> Self {
        Self { names, index, reader }
    }

    /// Reads the content one level down, under the choice's name.
    fn content<T>(self, read: impl FnOnce(Reader<'_>) -> Result<T, Stopped>) -> Result<T, Stopped> {
        let name = self.names.get(self.index).copied().unwrap_or_default();
        let place = self.reader.place.key(name);
        read(Reader { place: &place, ..self.reader })
    }
}

impl<'de> EnumAccess<'de> for Variant<'_> {
    type Error = Stopped;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self), Stopped> {
        let index: U64Deserializer<Stopped> = (self.index as u64).into_deserializer();
        Ok((seed.deserialize(index)?, self))
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
