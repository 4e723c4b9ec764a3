//! What the maker takes to the bench: made from a plan and its report.

pub mod points;

pub use points::TestPoint;
