//! Findings about groups and the pack.
