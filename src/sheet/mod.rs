//! What the maker takes to the bench: made from a plan and its report.

pub mod bench;
pub mod diagnose;
pub mod fails;
pub mod fault;
pub mod limit;
pub mod list;
pub mod measure;
mod model;
pub mod points;
mod steps;

pub use diagnose::{Diagnosis, DiagnosisAnswer};
pub use points::TestPoint;
