//! How many groups in series and cells in parallel.
