//! Made from a report, for paper and bench.

pub mod diagnosis;
pub mod diagram;
pub mod parts;
pub mod readings;
pub mod steps;
pub mod tag;
