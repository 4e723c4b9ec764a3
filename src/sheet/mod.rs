//! What the maker takes to the bench: made from a plan and its report.

pub mod bench;
pub mod calibrate;
pub mod diagnose;
pub mod fails;
pub mod fault;
pub mod limit;
pub mod list;
pub mod measure;
mod model;
pub mod points;
mod steps;

pub use bench::{BenchList, BenchQuestion, bench};
pub use calibrate::{Calibration, CalibrationAnswer};
pub use diagnose::{Diagnosis, DiagnosisAnswer};
pub use fails::{OneFails, OneFailsAnswer, one_fails};
pub use points::TestPoint;
