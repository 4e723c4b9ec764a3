//! An answer to a [`Node`], refusing a number that is not finite.
//!
//! No answer holds such a number; should a defect make one, the door names the field instead of writing `null`.

use crate::error::Error;
use alloc::borrow::Cow;
use alloc::string::String;
use alloc::vec::Vec;
use core::fmt;
use serde::ser::{
    self, Serialize, SerializeMap, SerializeSeq, SerializeStruct, SerializeStructVariant, SerializeTuple,
    SerializeTupleStruct, SerializeTupleVariant, Serializer,
};

use super::node::{Entry, Node, whole};
use super::place::Place;

/// Said of a count beyond what a double holds exactly.
const TOO_LARGE: &str = "too large a count";

/// What an answer looks like.
///
/// # Errors
///
/// Names a number that is not finite: a defect of this crate, never of the input.
pub fn encode<T: Serialize>(answer: &T) -> Result<Node, Error> {
    let node = answer.serialize(Writer).map_err(|Flaw| defect(&Place::whole(), "of no known shape"))?;
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

struct Writer;

macro_rules! numbers {
    ($($method:ident $type:ident;)*) => {$(
        fn $method(self, value: $type) -> Result<Node, Flaw> {
            Ok(Node::Number(value.into()))
        }
    )*};
}

/// Entries of an object, or the one choice of an enum around them.
struct Fields {
    choice: Option<&'static str>,
    entries: Vec<Entry>,
    key: String,
}

/// Values of a list, or the one choice of an enum around them.
struct Values {
    choice: Option<&'static str>,
    values: Vec<Node>,
}

fn chosen(choice: Option<&'static str>, node: Node) -> Node {
    match choice {
        Some(name) => Node::Object([(name.into(), node)].into()),
        None => node,
    }
}

impl Fields {
    fn new(choice: Option<&'static str>, length: usize) -> Self {
        Self { choice, entries: Vec::with_capacity(length), key: String::new() }
    }

    fn put<T: Serialize + ?Sized>(&mut self, key: Cow<'static, str>, value: &T) -> Result<(), Flaw> {
        let node = value.serialize(Writer)?;
        self.push(key, node);
        Ok(())
    }

    /// Kept apart from [`Fields::put`], which stands in the program once for each type.
    #[inline(never)]
    fn push(&mut self, key: Cow<'static, str>, node: Node) {
        self.entries.push((key, node));
    }

    fn close(self) -> Node {
        chosen(self.choice, Node::Object(self.entries))
    }
}

impl Values {
    fn new(choice: Option<&'static str>, length: usize) -> Self {
        Self { choice, values: Vec::with_capacity(length) }
    }

    fn put<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Flaw> {
        let node = value.serialize(Writer)?;
        self.values.push(node);
        Ok(())
    }

    fn close(self) -> Node {
        chosen(self.choice, Node::List(self.values))
    }
}

impl Serializer for Writer {
    type Ok = Node;
    type Error = Flaw;
    type SerializeSeq = Values;
    type SerializeTuple = Values;
    type SerializeTupleStruct = Values;
    type SerializeTupleVariant = Values;
    type SerializeMap = Fields;
    type SerializeStruct = Fields;
    type SerializeStructVariant = Fields;

    numbers! {
        serialize_i8 i8; serialize_i16 i16; serialize_i32 i32;
        serialize_u8 u8; serialize_u16 u16; serialize_u32 u32;
    }

    fn serialize_i64(self, value: i64) -> Result<Node, Flaw> {
        let number = value as f64;
        Ok(if whole(number) == Some(value) { Node::Number(number) } else { Node::Odd(TOO_LARGE) })
    }

    fn serialize_u64(self, value: u64) -> Result<Node, Flaw> {
        i64::try_from(value).map_or(Ok(Node::Odd(TOO_LARGE)), |value| self.serialize_i64(value))
    }

    fn serialize_f32(self, value: f32) -> Result<Node, Flaw> {
        self.serialize_f64(value.into())
    }

    fn serialize_f64(self, value: f64) -> Result<Node, Flaw> {
        Ok(Node::Number(value))
    }

    fn serialize_bool(self, value: bool) -> Result<Node, Flaw> {
        Ok(Node::Bool(value))
    }

    fn serialize_char(self, value: char) -> Result<Node, Flaw> {
        Ok(Node::Text(value.into()))
    }

    fn serialize_str(self, value: &str) -> Result<Node, Flaw> {
        Ok(Node::Text(value.into()))
    }

    fn serialize_bytes(self, value: &[u8]) -> Result<Node, Flaw> {
        self.collect_seq(value)
    }

    fn serialize_none(self) -> Result<Node, Flaw> {
        Ok(Node::Null)
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<Node, Flaw> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Result<Node, Flaw> {
        Ok(Node::Null)
    }

    fn serialize_unit_struct(self, _: &'static str) -> Result<Node, Flaw> {
        Ok(Node::Null)
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, variant: &'static str) -> Result<Node, Flaw> {
        Ok(Node::Text(variant.into()))
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(self, _: &'static str, value: &T) -> Result<Node, Flaw> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Result<Node, Flaw> {
        Ok(chosen(Some(variant), value.serialize(Self)?))
    }

    fn serialize_seq(self, length: Option<usize>) -> Result<Values, Flaw> {
        Ok(Values::new(None, length.unwrap_or(0)))
    }

    fn serialize_tuple(self, length: usize) -> Result<Values, Flaw> {
        Ok(Values::new(None, length))
    }

    fn serialize_tuple_struct(self, _: &'static str, length: usize) -> Result<Values, Flaw> {
        Ok(Values::new(None, length))
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        length: usize,
    ) -> Result<Values, Flaw> {
        Ok(Values::new(Some(variant), length))
    }

    fn serialize_map(self, length: Option<usize>) -> Result<Fields, Flaw> {
        Ok(Fields::new(None, length.unwrap_or(0)))
    }

    fn serialize_struct(self, _: &'static str, length: usize) -> Result<Fields, Flaw> {
        Ok(Fields::new(None, length))
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        length: usize,
    ) -> Result<Fields, Flaw> {
        Ok(Fields::new(Some(variant), length))
    }
}

macro_rules! lists {
    ($($part:ident $method:ident;)*) => {$(
        impl $part for Values {
            type Ok = Node;
            type Error = Flaw;

            fn $method<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Flaw> {
                self.put(value)
            }

            fn end(self) -> Result<Node, Flaw> {
                Ok(self.close())
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
        impl $part for Fields {
            type Ok = Node;
            type Error = Flaw;

            fn serialize_field<T: Serialize + ?Sized>(&mut self, key: &'static str, value: &T) -> Result<(), Flaw> {
                self.put(Cow::Borrowed(key), value)
            }

            fn end(self) -> Result<Node, Flaw> {
                Ok(self.close())
            }
        }
    )*};
}

structs! { SerializeStruct SerializeStructVariant }

impl SerializeMap for Fields {
    type Ok = Node;
    type Error = Flaw;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), Flaw> {
        self.key = match key.serialize(Writer)? {
            Node::Text(text) => text,
            other => other.described(),
        };
        Ok(())
    }

    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Flaw> {
        let key = core::mem::take(&mut self.key);
        self.put(Cow::Owned(key), value)
    }

    fn end(self) -> Result<Node, Flaw> {
        Ok(self.close())
    }
}
