//! Seeded low-discrepancy draws: the same numbers from the same seed on every target.
//!
//! ```text
//! x_n = fraction of (s + n·α),  α_j = φ^−(j+1),  φ the positive root of φ^(d+1) = φ + 1
//! ```
//!
//! Each of the d dimensions is covered more evenly than by random draws, and so are their pairs. The shift s comes
//! from the seed. Counted in whole 64-bit steps, so that no rounding enters.
//! Source: additive recurrence (Weyl 1916) with the generalised golden ratio; the shift by a 64-bit mixing step
//! (Steele, Lea and Flood, 2014), constants from memory.

/// Most dimensions that one sequence serves.
pub const MOST_DIMENSIONS: usize = 32;

/// A sequence of points in up to [`MOST_DIMENSIONS`] dimensions.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::draw::Draws;
/// let draws = Draws::new(7, 3);
/// let mean = (0..1000).map(|n| draws.unit(n, 2)).sum::<f64>() / 1000.0;
/// assert!((mean - 0.5).abs() < 0.002);
/// assert_eq!(draws.unit(5, 0), Draws::new(7, 3).unit(5, 0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Draws {
    shift: [u64; MOST_DIMENSIONS],
    step: [u64; MOST_DIMENSIONS],
}

impl Draws {
    /// The sequence of a seed; dimensions beyond `dimensions` or [`MOST_DIMENSIONS`] give 0.5 for ever.
    #[must_use]
    pub fn new(seed: u64, dimensions: usize) -> Self {
        let root = golden(dimensions.clamp(1, MOST_DIMENSIONS) as f64);
        let (mut shift, mut step) = ([1 << 63; MOST_DIMENSIONS], [0; MOST_DIMENSIONS]);
        let (mut state, mut alpha) = (seed, 1.0);
        for (shift, step) in shift.iter_mut().zip(step.iter_mut()).take(dimensions) {
            state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
            *shift = mixed(state);
            alpha /= root;
            *step = fraction(alpha);
        }
        Self { shift, step }
    }

    /// Point `index` in one dimension, from 0 to below 1.
    #[must_use]
    pub fn unit(&self, index: u32, dimension: usize) -> f64 {
        let (Some(shift), Some(step)) = (self.shift.get(dimension), self.step.get(dimension)) else { return 0.5 };
        let place = shift.wrapping_add(step.wrapping_mul(u64::from(index)));
        (place >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
    }

    /// Point `index` in a dimension of however many, from 0 to below 1: of the sequence as far as it goes, independent
    /// of everything else beyond.
    #[must_use]
    pub fn unit_of_any(&self, index: u32, dimension: usize) -> f64 {
        if dimension < MOST_DIMENSIONS {
            return self.unit(index, dimension);
        }
        let [first, ..] = self.shift;
        let place = mixed(mixed(first ^ dimension as u64).wrapping_add(u64::from(index)));
        (place >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
    }

    /// Point `index` in one dimension, between two ends.
    #[must_use]
    pub fn between(&self, index: u32, dimension: usize, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit(index, dimension)
    }
}

/// The positive root of x^(d+1) = x + 1, by x ← (1 + x)^(1/(d+1)), which contracts at least twofold a step.
fn golden(dimensions: f64) -> f64 {
    let mut root = 1.5;
    for _ in 0..80 {
        root = libm::pow(1.0 + root, 1.0 / (dimensions + 1.0));
    }
    root
}

/// A number from 0 to below 1 as a 64-bit fraction.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0 to below 2^64 by construction
fn fraction(value: f64) -> u64 {
    (value * 18_446_744_073_709_551_616.0) as u64
}

fn mixed(state: u64) -> u64 {
    let once = (state ^ (state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let twice = (once ^ (once >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    twice ^ (twice >> 31)
}

/// The value below which `share` of the sorted `values` lies, straight between neighbours; nothing for no values.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::draw::percentile;
/// assert_eq!(percentile(&[0.0, 1.0, 2.0, 3.0, 4.0], 0.1), Some(0.4));
/// assert_eq!(percentile(&[], 0.1), None);
/// ```
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a place in the list
pub fn percentile(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let place = share.clamp(0.0, 1.0) * last as f64;
    let below = libm::floor(place) as usize;
    let (low, high) = (sorted.get(below)?, sorted.get((below + 1).min(last))?);
    Some(low + (high - low) * (place - libm::floor(place)))
}
