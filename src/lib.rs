//! Plans small cordless 12 V-class builds from salvaged cells.
//!
//! # Map
//!
//! Ground floor first; a module imports only from modules above it in this list.
//!
//! - [`error`]: what is wrong with an input
//! - [`quantity`]: text to numbers and back, intervals, roots, draws
//! - [`data`]: facts with their sources
//! - [`part`]: one component, one law a file
//! - [`pack`]: groups of cells, sizing, matching, joining
//! - [`run`]: what happens over time
//! - [`finding`]: what is risky about a build
//! - [`plan`]: one plan in, one report out
//! - [`sheet`]: what the maker takes to the bench
//! - [`reader`]: short answers for a reader of somebody else's page
//! - `ask`: questions by name, the ground of both doors (feature `ask`)
//! - `wasm`, `capi`, `embed`: the doors for JavaScript, C and the elements of a blog (features of these names)

#![no_std]
#![deny(unsafe_code)]
// Input comes from people: no panic is an answer. Here and not in Cargo.toml, because tests may.
#![deny(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![cfg_attr(test, allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing))]

extern crate alloc;
// For `quantity::root` alone.
#[cfg(feature = "wasm")]
extern crate std;

#[cfg(feature = "ask")]
pub mod ask;
#[cfg(feature = "capi")]
#[allow(unsafe_code)]
pub mod capi;
pub mod data;
#[cfg(all(feature = "embed", target_arch = "wasm32"))]
#[allow(unsafe_code)]
pub mod embed;
pub mod error;
pub mod finding;
pub mod pack;
pub mod part;
pub mod plan;
pub mod quantity;
pub mod reader;
pub mod run;
pub mod sheet;
#[cfg(all(feature = "wasm", target_arch = "wasm32"))]
#[allow(unsafe_code)]
pub mod wasm;

pub use error::Error;
pub use finding::{Finding, Judgement, Rule, Subject, Urgency};
pub use quantity::{End, Interval};

/// The examples of the README, run as tests.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
mod readme {}
