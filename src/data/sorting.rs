//! What each test of a found cell takes and how many cells it sorts out.

use super::{COMMON_PRACTICE, Source};

/// A test of found cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TestRow {
    /// Time of one's own hands for one cell, in seconds.
    pub hands_s: f64,
    /// Share of cells that it sorts out, before any were tested.
    pub reject_ratio: f64,
    /// Where it comes from.
    pub source: Source,
}

const fn row(hands_s: f64, reject_ratio: f64) -> TestRow {
    TestRow { hands_s, reject_ratio, source: COMMON_PRACTICE }
}

/// Looking, feeling and smelling at it.
pub const LOOK: TestRow = row(30.0, 0.1);

/// Its voltage as found.
pub const REST_VOLTAGE: TestRow = row(20.0, 0.2);

/// Its resistance from two loads.
pub const RESISTANCE: TestRow = row(90.0, 0.15);

/// A gentle charge, felt for warmth.
pub const CHARGE: TestRow = row(90.0, 0.05);

/// Its capacity on a discharger that counts.
pub const CAPACITY: TestRow = row(60.0, 0.2);

/// Two rest voltages a month apart.
pub const MONTH: TestRow = row(60.0, 0.1);

/// So many tested cells weigh as much as the share that stands above. Own choice.
pub const PRIOR_CELLS: f64 = 10.0;
