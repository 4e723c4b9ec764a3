//! What the maker takes to the bench: made from a plan and its report.

mod basis;
pub mod bench;
pub mod build_steps;
pub mod calibrate;
pub mod charts;
pub mod diagnose;
pub mod diagram;
pub mod diary;
pub mod drawing;
pub mod drawn;
pub mod fails;
pub mod fault;
pub mod files;
pub mod limit;
pub mod list;
pub mod measure;
mod model;
pub mod parts;
pub mod points;
mod polarity;
pub mod sentences;
mod steps;
pub mod svg;
pub mod tag;
pub mod take_apart;
pub mod whole;

pub use bench::{BenchList, BenchQuestion, bench};
pub use calibrate::{Calibration, CalibrationAnswer};
pub use diagnose::{Diagnosis, DiagnosisAnswer};
pub use fails::{OneFails, OneFailsAnswer, one_fails};
pub use points::TestPoint;
