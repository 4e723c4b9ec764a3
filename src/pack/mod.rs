//! Cells in parallel groups, groups in series.

pub mod group;
pub mod join;
pub mod size;
