//! One plan in, one report out.

pub mod report;
pub mod review;
