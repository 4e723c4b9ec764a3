//! Gauge and square-millimetre sizes, classes, and published current limits with their conditions.
