//! The square root.

/// The square root; not a number below 0.
///
/// Where the crate is built with the standard library (feature `wasm`), std's own is one instruction of the processor;
/// libm works it out in software there, which took a fifth of the time of a table of settings. Unlike the exponentials,
/// both give the same bits on every target: the root is rounded correctly.
/// Source: IEEE 754-2019, 5.4.1 and 4.3 (from memory).
#[must_use]
pub fn sqrt(x: f64) -> f64 {
    #[cfg(feature = "wasm")]
    return x.sqrt();
    #[cfg(not(feature = "wasm"))]
    #[expect(clippy::disallowed_methods, reason = "here alone")]
    return libm::sqrt(x);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::draw::Draws;

    #[test]
    #[expect(clippy::disallowed_methods, reason = "compared with")]
    fn both_roots_have_the_same_bits() {
        let draws = Draws::new(7, 1);
        let of_bits = (0..20_000).map(|i| libm::exp(1400.0 * (draws.unit(i, 0) - 0.5)));
        for x in of_bits.chain([0.0, -0.0, 5e-324, f64::MIN_POSITIVE, f64::MAX, f64::INFINITY]) {
            assert_eq!(sqrt(x).to_bits(), libm::sqrt(x).to_bits(), "{x}");
        }
        assert!(sqrt(-1.0).is_nan());
    }
}
