//! Runtime over seeded draws of every uncertain input.
