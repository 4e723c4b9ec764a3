//! Seeded low-discrepancy draws: the same numbers from the same seed on every target.
