//! What the maker takes to the bench: made from a plan and its report.

pub mod diagnose;
pub mod fault;
pub mod limit;
pub mod list;
pub mod measure;
mod model;
pub mod points;

pub use diagnose::{Diagnosis, DiagnosisAnswer};
pub use points::TestPoint;
