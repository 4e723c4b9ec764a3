//! What melts a wire: in free air for good, within seconds, and what its insulation stands of a short fault.
//!
//! ```text
//! Preece       current = a · (diameter / inch)^1.5                bare wire in free air, for good; a is 10244 A for copper
//! Onderdonk    33 · (current / cmil)² · time = log₁₀((1083 − ambient) / (234 + ambient) + 1)
//! adiabatic    current² · time ≤ k² · area²                       k 115 for copper in PVC, up to 5 s
//! ```
//!
//! The first two are where a wire is destroyed, not what it may carry. Sources stand in [`crate::data::copper`].

use crate::data::conductor::{CIRCULAR_MIL_MM2, Metal};
use crate::data::copper::{ADIABATIC_PVC, ONDERDONK_FACTOR, ONDERDONK_MELTING_DEGC, ONDERDONK_ZERO_K};
use crate::error::{Error, within};
use crate::quantity::root::sqrt;

/// Longest time for which a wire counts as keeping its heat, in seconds.
pub const ADIABATIC_HIGH_S: f64 = 5.0;

/// Current at which a bare round copper wire fuses in free air, in amperes.
///
/// # Errors
///
/// Names a diameter outside 0.01 mm to 15 mm.
///
/// # Examples
///
/// ```
/// # use cellwright::part::wire::fusing::preece_a;
/// assert!((preece_a(1.02362e-3)? - 82.88).abs() < 0.05);
/// assert!(preece_a(0.0).is_err());
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn preece_a(diameter_m: f64) -> Result<f64, Error> {
    preece_metal_a(Metal::Copper, diameter_m)
}

/// Current at which a bare round wire of that metal fuses in free air, in amperes.
///
/// # Errors
///
/// Names a diameter outside 0.01 mm to 15 mm, or a metal for which no coefficient is known.
///
/// # Examples
///
/// ```
/// # use cellwright::data::conductor::Metal;
/// # use cellwright::part::wire::fusing::{preece_a, preece_metal_a};
/// assert!((preece_metal_a(Metal::Aluminium, 1e-3)? / preece_a(1e-3)? - 0.74).abs() < 0.01);
/// assert_eq!(preece_metal_a(Metal::Nickel, 1e-3).unwrap_err().field(), "metal");
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn preece_metal_a(metal: Metal, diameter_m: f64) -> Result<f64, Error> {
    let row = metal.row();
    let none = || Error::other("metal", row.name, "copper, tinned copper, aluminium or nickel-plated steel");
    let diameter_in = within("diameter_m", diameter_m, 1e-5, 0.015)? / 0.0254;
    Ok(row.preece_a.ok_or_else(none)? * diameter_in * sqrt(diameter_in))
}

/// Current that melts a copper wire of `area_mm2` within `time_s`, no heat lost, in amperes.
///
/// # Errors
///
/// Names the first value out of range: 0.005 to 120 mm², 1 ms to 5 s, −40 °C to 200 °C.
///
/// # Examples
///
/// ```
/// # use cellwright::part::wire::fusing::onderdonk_a;
/// assert!((onderdonk_a(1.3087, 5.0, 25.0)? - 169.0).abs() < 0.5);
/// assert_eq!(onderdonk_a(1.3087, 6.0, 25.0).unwrap_err().field(), "time_s");
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn onderdonk_a(area_mm2: f64, time_s: f64, ambient_degc: f64) -> Result<f64, Error> {
    let area_cmil = within("area_mm2", area_mm2, 0.005, 120.0)? / CIRCULAR_MIL_MM2;
    let time_s = within("time_s", time_s, 1e-3, ADIABATIC_HIGH_S)?;
    let ambient_degc = within("ambient_degc", ambient_degc, -40.0, 200.0)?;
    let ratio = (ONDERDONK_MELTING_DEGC - ambient_degc) / (ONDERDONK_ZERO_K + ambient_degc) + 1.0;
    Ok(area_cmil * sqrt(libm::log10(ratio) / (ONDERDONK_FACTOR * time_s)))
}

/// Current squared times time that copper in PVC stands in a short fault, in A²·s.
///
/// # Errors
///
/// Names an area outside 0.005 to 120 mm².
///
/// # Examples
///
/// ```
/// # use cellwright::part::wire::fusing::withstand_a2s;
/// assert!((withstand_a2s(0.75)? - 7439.0).abs() < 1.0);
/// assert!(withstand_a2s(f64::NAN).is_err());
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn withstand_a2s(area_mm2: f64) -> Result<f64, Error> {
    let k_area = ADIABATIC_PVC * within("area_mm2", area_mm2, 0.005, 120.0)?;
    Ok(k_area * k_area)
}
