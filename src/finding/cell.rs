//! Findings about single cells.
