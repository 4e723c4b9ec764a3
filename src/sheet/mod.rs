//! What the maker takes to the bench: made from a plan and its report.

mod basis;
pub mod charts;
pub mod diagnose;
pub mod diagram;
pub mod drawing;
pub mod fault;
pub mod files;
pub mod limit;
pub mod list;
pub mod measure;
mod model;
pub mod parts;
pub mod points;
mod polarity;
pub mod steps;
pub mod svg;
pub mod tag;

pub use diagnose::{Diagnosis, DiagnosisAnswer};
pub use points::TestPoint;
