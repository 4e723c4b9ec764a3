//! Lists, objects and choices as serde walks them.
//!
//! The code of a type stands in the program once for each type; it steps through these by one call for each value.

use crate::error::Error;
use alloc::collections::BTreeSet;
use core::marker::PhantomData;
use serde::de::value::U64Deserializer;
use serde::de::{DeserializeSeed, EnumAccess, IntoDeserializer, MapAccess, SeqAccess, VariantAccess, Visitor};

use super::{At, Found, Spot, Stop};
use crate::ask::node::{Entry, Node};

/// Something that is walked through.
pub(super) struct Walk<'w, W, E>(pub(super) &'w mut W, pub(super) PhantomData<E>);

/// Values in order, then stand-ins.
pub(super) struct List<'s> {
    values: &'s [Node],
    stand_ins: usize,
    next: usize,
    spot: &'s Spot<'s>,
    value: Spot<'s>,
}

impl<'s> List<'s> {
    pub(super) fn new(values: &'s [Node], stand_ins: usize, spot: &'s Spot<'s>) -> Self {
        Self { values, stand_ins, next: 0, spot, value: *spot }
    }

    /// Whether there is one more value.
    #[inline(never)]
    fn advance(&mut self) -> bool {
        let found = match self.values.get(self.next) {
            Some(value) => Found::Given(value),
            None if self.next < self.stand_ins => Found::StandIn,
            None => return false,
        };
        self.value = Spot { found, place: self.spot.place.index(self.next), notes: self.spot.notes };
        self.next += 1;
        true
    }
}

impl<'de, E: Stop> SeqAccess<'de> for Walk<'_, List<'_>, E> {
    type Error = E;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, E> {
        if self.0.advance() { seed.deserialize(At::new(&self.0.value)).map(Some) } else { Ok(None) }
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.0.values.len() - self.0.next.min(self.0.values.len()))
    }
}

/// The fields of a struct in their own order, whatever the order of the names given: the type then needs no names.
pub(super) struct Fields<'s> {
    entries: &'s [Entry],
    names: &'static [&'static str],
    stands_in: bool,
    spot: &'s Spot<'s>,
    value: Spot<'s>,
}

impl<'s> Fields<'s> {
    pub(super) fn new(entries: Option<&'s [Entry]>, names: &'static [&'static str], spot: &'s Spot<'s>) -> Self {
        Self { entries: entries.unwrap_or_default(), names, stands_in: entries.is_none(), spot, value: *spot }
    }

    #[inline(never)]
    fn advance(&mut self) {
        let (name, later) = self.names.split_first().unwrap_or((&"", &[]));
        self.names = later;
        let found = match self.entries.iter().find(|(key, _)| key == name) {
            Some((_, value)) => Found::Given(value),
            None if self.stands_in => Found::StandIn,
            None => Found::Absent,
        };
        self.value = Spot { found, place: self.spot.place.key(name), notes: self.spot.notes };
    }
}

impl<'de, E: Stop> SeqAccess<'de> for Walk<'_, Fields<'_>, E> {
    type Error = E;

    /// Always a value: a type asks once for each of its names, and no way out is needed where they end.
    #[allow(clippy::inline_always)] // a call costs more than its body, in size as well
    #[inline(always)]
    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, E> {
        self.0.advance();
        seed.deserialize(At::new(&self.0.value)).map(Some)
    }
}

/// The entries of an object whose names are free.
pub(super) struct Entries<'s> {
    rest: &'s [Entry],
    seen: BTreeSet<&'s str>,
    value: Option<(&'s str, &'s Node)>,
    spot: &'s Spot<'s>,
}

impl<'s> Entries<'s> {
    pub(super) fn new(entries: &'s [Entry], spot: &'s Spot<'s>) -> Self {
        Self { rest: entries, seen: BTreeSet::new(), value: None, spot }
    }

    /// The next entry with a new name; the others are noted.
    fn next(&mut self) -> Option<(&'s str, &'s Node)> {
        while let Some(((key, value), later)) = self.rest.split_first() {
            self.rest = later;
            if self.seen.insert(key) {
                return Some((key, value));
            }
            let place = self.spot.place.key(key);
            self.spot.notes.note(&place, Error::duplicate(place.field()));
        }
        None
    }
}

impl<'de, E: Stop> MapAccess<'de> for Walk<'_, Entries<'_>, E> {
    type Error = E;

    fn next_key_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, E> {
        self.0.value = self.0.next();
        match self.0.value {
            Some((key, _)) => seed.deserialize(key.into_deserializer()).map(Some),
            None => Ok(None),
        }
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, E> {
        let (key, found) = self.0.value.take().map_or(("", Found::StandIn), |(key, value)| (key, Found::Given(value)));
        let spot = self.0.spot;
        seed.deserialize(At::new(&Spot { found, place: spot.place.key(key), notes: spot.notes }))
    }
}

/// One choice of an enum with its content, which stands one level down under the choice's name.
pub(super) struct Variant<'s> {
    pub(super) index: usize,
    pub(super) content: Spot<'s>,
}

impl Variant<'_> {
    #[inline(never)]
    fn unit(&self) {
        if !matches!(self.content.found, Found::Absent | Found::StandIn | Found::Given(Node::Null)) {
            self.content.refuse("null, or the choice as text");
        }
    }
}

impl<'de, E: Stop> EnumAccess<'de> for Walk<'_, Variant<'_>, E> {
    type Error = E;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self), E> {
        let index: U64Deserializer<E> = (self.0.index as u64).into_deserializer();
        Ok((seed.deserialize(index)?, self))
    }
}

impl<'de, E: Stop> VariantAccess<'de> for Walk<'_, Variant<'_>, E> {
    type Error = E;

    fn unit_variant(self) -> Result<(), E> {
        self.0.unit();
        Ok(())
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, E> {
        seed.deserialize(At::new(&self.0.content))
    }

    fn tuple_variant<V: Visitor<'de>>(self, length: usize, visitor: V) -> Result<V::Value, E> {
        At::new(&self.0.content).list(Some(length), visitor)
    }

    fn struct_variant<V: Visitor<'de>>(self, fields: &'static [&'static str], visitor: V) -> Result<V::Value, E> {
        At::new(&self.0.content).fields(fields, visitor)
    }
}
