//! The order of joining, with its hazards.
