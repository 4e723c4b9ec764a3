//! What the maker takes to the bench: made from a plan and its report.

mod basis;
pub mod charts;
pub mod diagram;
pub mod drawing;
pub mod files;
pub mod parts;
pub mod points;
mod polarity;
pub mod steps;
pub mod svg;
pub mod tag;

pub use points::TestPoint;
