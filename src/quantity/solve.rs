//! Bracketed roots, and reading between table rows.
