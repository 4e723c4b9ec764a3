//! Everything a plan says.
