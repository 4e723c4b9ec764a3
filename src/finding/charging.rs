//! Findings about charging.
