//! An answer to a [`Node`], refusing a number that is not finite.
//!
//! No answer holds such a number; should a defect make one, the door names the field instead of writing `null`.

use crate::error::Error;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;
use serde::ser::{
    self, Serialize, SerializeMap, SerializeSeq, SerializeStruct, SerializeStructVariant, SerializeTuple,
    SerializeTupleStruct, SerializeTupleVariant, Serializer,
};

use super::node::Node;

/// What an answer looks like.
///
/// # Errors
///
/// Names a number that is not finite: a defect of this crate, never of the input.
pub fn encode<T: Serialize>(answer: &T) -> Result<Node, Error> {
    answer.serialize(Writer).map_err(|defect| defect.0)
}

/// A value that must not go out, with its place.
#[derive(Debug)]
struct Defect(Error);

impl Defect {
    fn new(given: impl Into<String>) -> Self {
        Self(Error::other("answer", given.into(), "a finite number: this is a defect of cellwright").placed(""))
    }

    /// The same defect, found one level down at `segment`.
    fn at(self, segment: impl fmt::Display) -> Self {
        Self(self.0.at(segment))
    }
}

impl fmt::Display for Defect {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl core::error::Error for Defect {}

impl ser::Error for Defect {
    fn custom<T: fmt::Display>(message: T) -> Self {
        Self::new(message.to_string())
    }
}

struct Writer;

macro_rules! numbers {
    ($($method:ident $type:ident;)*) => {$(
        fn $method(self, value: $type) -> Result<Node, Defect> {
            Ok(Node::Number(value.into()))
        }
    )*};
}

/// Entries of an object, or the one choice of an enum around them.
struct Fields {
    choice: Option<&'static str>,
    entries: Vec<(String, Node)>,
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

    fn put<T: Serialize + ?Sized>(&mut self, key: &str, value: &T) -> Result<(), Defect> {
        let node = value.serialize(Writer).map_err(|defect| defect.at(key))?;
        self.entries.push((key.into(), node));
        Ok(())
    }

    fn close(self) -> Node {
        chosen(self.choice, Node::Object(self.entries))
    }
}

impl Values {
    fn new(choice: Option<&'static str>, length: usize) -> Self {
        Self { choice, values: Vec::with_capacity(length) }
    }

    fn put<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Defect> {
        let node = value.serialize(Writer).map_err(|defect| defect.at(self.values.len()))?;
        self.values.push(node);
        Ok(())
    }

    fn close(self) -> Node {
        chosen(self.choice, Node::List(self.values))
    }
}

impl Serializer for Writer {
    type Ok = Node;
    type Error = Defect;
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

    fn serialize_i64(self, value: i64) -> Result<Node, Defect> {
        let number = value as f64;
        if super::node::whole(number) == Some(value) {
            Ok(Node::Number(number))
        } else {
            Err(Defect::new("too large a count"))
        }
    }

    fn serialize_u64(self, value: u64) -> Result<Node, Defect> {
        self.serialize_i64(i64::try_from(value).map_err(|_| Defect::new("too large a count"))?)
    }

    fn serialize_f32(self, value: f32) -> Result<Node, Defect> {
        self.serialize_f64(value.into())
    }

    fn serialize_f64(self, value: f64) -> Result<Node, Defect> {
        if value.is_finite() { Ok(Node::Number(value)) } else { Err(Defect::new("not a finite number")) }
    }

    fn serialize_bool(self, value: bool) -> Result<Node, Defect> {
        Ok(Node::Bool(value))
    }

    fn serialize_char(self, value: char) -> Result<Node, Defect> {
        Ok(Node::Text(value.into()))
    }

    fn serialize_str(self, value: &str) -> Result<Node, Defect> {
        Ok(Node::Text(value.into()))
    }

    fn serialize_bytes(self, value: &[u8]) -> Result<Node, Defect> {
        self.collect_seq(value)
    }

    fn serialize_none(self) -> Result<Node, Defect> {
        Ok(Node::Null)
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<Node, Defect> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Result<Node, Defect> {
        Ok(Node::Null)
    }

    fn serialize_unit_struct(self, _: &'static str) -> Result<Node, Defect> {
        Ok(Node::Null)
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, variant: &'static str) -> Result<Node, Defect> {
        Ok(Node::Text(variant.into()))
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(self, _: &'static str, value: &T) -> Result<Node, Defect> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Result<Node, Defect> {
        let content = value.serialize(Self).map_err(|defect| defect.at(variant))?;
        Ok(chosen(Some(variant), content))
    }

    fn serialize_seq(self, length: Option<usize>) -> Result<Values, Defect> {
        Ok(Values::new(None, length.unwrap_or(0)))
    }

    fn serialize_tuple(self, length: usize) -> Result<Values, Defect> {
        Ok(Values::new(None, length))
    }

    fn serialize_tuple_struct(self, _: &'static str, length: usize) -> Result<Values, Defect> {
        Ok(Values::new(None, length))
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        length: usize,
    ) -> Result<Values, Defect> {
        Ok(Values::new(Some(variant), length))
    }

    fn serialize_map(self, length: Option<usize>) -> Result<Fields, Defect> {
        Ok(Fields::new(None, length.unwrap_or(0)))
    }

    fn serialize_struct(self, _: &'static str, length: usize) -> Result<Fields, Defect> {
        Ok(Fields::new(None, length))
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        length: usize,
    ) -> Result<Fields, Defect> {
        Ok(Fields::new(Some(variant), length))
    }
}

macro_rules! lists {
    ($($part:ident $method:ident;)*) => {$(
        impl $part for Values {
            type Ok = Node;
            type Error = Defect;

            fn $method<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Defect> {
                self.put(value)
            }

            fn end(self) -> Result<Node, Defect> {
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
            type Error = Defect;

            fn serialize_field<T: Serialize + ?Sized>(&mut self, key: &'static str, value: &T) -> Result<(), Defect> {
                self.put(key, value)
            }

            fn end(self) -> Result<Node, Defect> {
                Ok(self.close())
            }
        }
    )*};
}

structs! { SerializeStruct SerializeStructVariant }

impl SerializeMap for Fields {
    type Ok = Node;
    type Error = Defect;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), Defect> {
        self.key = match key.serialize(Writer)? {
            Node::Text(text) => text,
            other => other.described(),
        };
        Ok(())
    }

    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Defect> {
        let key = core::mem::take(&mut self.key);
        self.put(&key, value)
    }

    fn end(self) -> Result<Node, Defect> {
        Ok(self.close())
    }
}
