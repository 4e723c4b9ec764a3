//! The best preferred or drawer parts for a wanted frequency and duty range.
