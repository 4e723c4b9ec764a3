//! An answer to a [`Node`], refusing a number that is not finite.
//!
//! No answer holds such a number; should a defect make one, the door names the field instead of writing `null`.

use crate::error::Error;
use alloc::borrow::Cow;
use alloc::vec::Vec;
use core::fmt;
use serde::ser::{
    self, Serialize, SerializeMap, SerializeSeq, SerializeStruct, SerializeStructVariant, SerializeTuple,
    SerializeTupleStruct, SerializeTupleVariant, Serializer,
};

use super::node::{Node, whole};
use super::place::Place;

/// Said of a count beyond what a double holds exactly.
const TOO_LARGE: &str = "too large a count";

/// What an answer looks like.
///
/// # Errors
///
/// Names a number that is not finite: a defect of this crate, never of the input.
pub fn encode<T: Serialize>(answer: &T) -> Result<Node, Error> {
    let mut writer = Writer::default();
    let written = answer.serialize(&mut writer);
    finished(written.is_ok(), writer)
}

/// Kept apart from [`encode`], which stands in the program once for each answer.
fn finished(written: bool, writer: Writer) -> Result<Node, Error> {
    let (true, Some(node)) = (written, writer.whole) else {
        return Err(defect(&Place::whole(), "of no known shape"));
    };
    sound(&node, &Place::whole())?;
    Ok(node)
}

fn defect(place: &Place<'_>, given: &'static str) -> Error {
    Error::other(place.field(), given, "a finite number: this is a defect of cellwright").placed(place.pointer())
}

/// Looks at the whole answer at once, so that no field needs a way out of its own.
fn sound(node: &Node, place: &Place<'_>) -> Result<(), Error> {
    match node {
        Node::Number(number) if !number.is_finite() => Err(defect(place, "not a finite number")),
        Node::Odd(what) => Err(defect(place, what)),
        Node::List(values) => values.iter().enumerate().try_for_each(|(at, value)| sound(value, &place.index(at))),
        Node::Object(entries) => entries.iter().try_for_each(|(key, value)| sound(value, &place.key(key))),
        _ => Ok(()),
    }
}

/// What serde's derived code never says.
#[derive(Debug)]
struct Flaw;

impl fmt::Display for Flaw {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("of no known shape")
    }
}

impl core::error::Error for Flaw {}

impl ser::Error for Flaw {
    fn custom<T: fmt::Display>(_: T) -> Self {
        Self
    }
}

/// A list or an object that is being written.
struct Frame {
    node: Node,
    /// Its name in the object above.
    key: Cow<'static, str>,
    /// Whether it is the content of a choice, which ends with it.
    within_choice: bool,
}

/// The answer as far as it is written.
///
/// Everything is written into the innermost frame, so that the code that stands in the program once for each type
/// hands over its fields and nothing else.
#[derive(Default)]
struct Writer {
    open: Vec<Frame>,
    key: Cow<'static, str>,
    whole: Option<Node>,
}

impl Writer {
    fn put(&mut self, node: Node) {
        match self.open.last_mut().map(|frame| &mut frame.node) {
            Some(Node::List(values)) => values.push(node),
            Some(Node::Object(entries)) => entries.push((core::mem::take(&mut self.key), node)),
            _ => self.whole = Some(node),
        }
    }

    fn named(&mut self, key: &'static str) {
        self.key = Cow::Borrowed(key);
    }

    fn begin(&mut self, node: Node, within_choice: bool) {
        let key = core::mem::take(&mut self.key);
        self.open.push(Frame { node, key, within_choice });
    }

    fn list(&mut self, length: usize) {
        self.begin(Node::List(Vec::with_capacity(length)), false);
    }

    fn object(&mut self, length: usize) {
        self.begin(Node::Object(Vec::with_capacity(length)), false);
    }

    /// An object with one name.
    fn choice(&mut self, name: &'static str) {
        self.object(1);
        self.named(name);
    }

    fn close(&mut self) {
        while let Some(Frame { node, key, within_choice }) = self.open.pop() {
            self.key = key;
            self.put(node);
            if !within_choice {
                return;
            }
        }
    }

    fn number(&mut self, value: f64) {
        self.put(Node::Number(value));
    }

    fn count(&mut self, value: i64) {
        let number = value as f64;
        self.put(if whole(number) == Some(value) { Node::Number(number) } else { Node::Odd(TOO_LARGE) });
    }

    fn text(&mut self, value: &str) {
        self.put(Node::Text(value.into()));
    }
}

macro_rules! numbers {
    ($($method:ident $type:ident;)*) => {$(
        fn $method(self, value: $type) -> Result<(), Flaw> {
            self.number(value.into());
            Ok(())
        }
    )*};
}

impl Serializer for &mut Writer {
    type Ok = ();
    type Error = Flaw;
    type SerializeSeq = Self;
    type SerializeTuple = Self;
    type SerializeTupleStruct = Self;
    type SerializeTupleVariant = Self;
    type SerializeMap = Self;
    type SerializeStruct = Self;
    type SerializeStructVariant = Self;

    numbers! {
        serialize_i8 i8; serialize_i16 i16; serialize_i32 i32;
        serialize_u8 u8; serialize_u16 u16; serialize_u32 u32;
        serialize_f32 f32; serialize_f64 f64;
    }

    fn serialize_i64(self, value: i64) -> Result<(), Flaw> {
        self.count(value);
        Ok(())
    }

    fn serialize_u64(self, value: u64) -> Result<(), Flaw> {
        // What exceeds an i64 exceeds a double's whole numbers.
        self.count(i64::try_from(value).unwrap_or(i64::MAX));
        Ok(())
    }

    fn serialize_bool(self, value: bool) -> Result<(), Flaw> {
        self.put(Node::Bool(value));
        Ok(())
    }

    fn serialize_char(self, value: char) -> Result<(), Flaw> {
        self.put(Node::Text(value.into()));
        Ok(())
    }

    fn serialize_str(self, value: &str) -> Result<(), Flaw> {
        self.text(value);
        Ok(())
    }

    fn serialize_bytes(self, value: &[u8]) -> Result<(), Flaw> {
        self.collect_seq(value)
    }

    fn serialize_none(self) -> Result<(), Flaw> {
        self.serialize_unit()
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<(), Flaw> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Result<(), Flaw> {
        self.put(Node::Null);
        Ok(())
    }

    fn serialize_unit_struct(self, _: &'static str) -> Result<(), Flaw> {
        self.serialize_unit()
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, variant: &'static str) -> Result<(), Flaw> {
        self.text(variant);
        Ok(())
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(self, _: &'static str, value: &T) -> Result<(), Flaw> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Result<(), Flaw> {
        self.choice(variant);
        value.serialize(&mut *self)?;
        self.close();
        Ok(())
    }

    fn serialize_seq(self, length: Option<usize>) -> Result<Self, Flaw> {
        self.list(length.unwrap_or(0));
        Ok(self)
    }

    fn serialize_tuple(self, length: usize) -> Result<Self, Flaw> {
        self.list(length);
        Ok(self)
    }

    fn serialize_tuple_struct(self, _: &'static str, length: usize) -> Result<Self, Flaw> {
        self.list(length);
        Ok(self)
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        length: usize,
    ) -> Result<Self, Flaw> {
        self.choice(variant);
        self.begin(Node::List(Vec::with_capacity(length)), true);
        Ok(self)
    }

    fn serialize_map(self, length: Option<usize>) -> Result<Self, Flaw> {
        self.object(length.unwrap_or(0));
        Ok(self)
    }

    fn serialize_struct(self, _: &'static str, length: usize) -> Result<Self, Flaw> {
        self.object(length);
        Ok(self)
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        length: usize,
    ) -> Result<Self, Flaw> {
        self.choice(variant);
        self.begin(Node::Object(Vec::with_capacity(length)), true);
        Ok(self)
    }
}

macro_rules! lists {
    ($($part:ident $method:ident;)*) => {$(
        impl $part for &mut Writer {
            type Ok = ();
            type Error = Flaw;

            fn $method<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Flaw> {
                value.serialize(&mut **self)
            }

            fn end(self) -> Result<(), Flaw> {
                self.close();
                Ok(())
            }
        }
    )*};
}

lists! {
    SerializeSeq serialize_element;
    SerializeTuple serialize_element;
    SerializeTupleStruct serialize_field;
    SerializeTupleVariant serialize_field;
}

macro_rules! structs {
    ($($part:ident)*) => {$(
        impl $part for &mut Writer {
            type Ok = ();
            type Error = Flaw;

            fn serialize_field<T: Serialize + ?Sized>(&mut self, key: &'static str, value: &T) -> Result<(), Flaw> {
                self.named(key);
                value.serialize(&mut **self)
            }

            fn end(self) -> Result<(), Flaw> {
                self.close();
                Ok(())
            }
        }
    )*};
}

structs! { SerializeStruct SerializeStructVariant }

impl SerializeMap for &mut Writer {
    type Ok = ();
    type Error = Flaw;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), Flaw> {
        let mut name = Writer::default();
        key.serialize(&mut name)?;
        self.key = match name.whole.ok_or(Flaw)? {
            Node::Text(text) => text.into(),
            other => other.described().into(),
        };
        Ok(())
    }

    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Flaw> {
        value.serialize(&mut **self)
    }

    fn end(self) -> Result<(), Flaw> {
        self.close();
        Ok(())
    }
}
