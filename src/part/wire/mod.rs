//! Leads: voltage lost along a copper pair, and whole runs with their warmth, limits and sizes.
//!
//! ```text
//! drop_v = current_a · ρ₂₀ · (1 + α₂₀ · (conductor_degc − 20)) · 2 · length_m / area_mm2
//! ```
//!
//! Holds for direct current in plain copper from −40 °C to 105 °C. Joints are not counted by a [`Pair`]; a [`Run`] counts
//! them. Source: IEC 60028:1925 for ρ₂₀ and α₂₀, kept in [`crate::data::copper`].

pub mod conductor;
pub mod fusing;
pub mod heat;
pub mod lead;
pub mod limit;
pub mod run;
pub mod size;

pub use conductor::{Built, Conductor, Strands};
pub use heat::Cooling;
pub use lead::{LeadAnswer, RunQuestion, TemperatureFrom};
pub use limit::{Lies, WireLimit};
pub use run::{Run, RunAnswer, Way};
pub use size::{SizeAnswer, SizeQuestion, SizeRow};

use crate::data::copper::{ALPHA_20_PER_K, RHO_20_OHM_MM2_PER_M};
use crate::error::{Error, within};

/// Two equal conductors: one out to the load, one back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// Length of one conductor, in metres.
    pub length_m: f64,
    /// Copper cross-section of one conductor, in square millimetres.
    pub area_mm2: f64,
    /// Temperature of the conductors, in degrees Celsius.
    pub conductor_degc: f64,
}

impl Pair {
    /// Voltage lost out and back, in volts, while `current_a` flows.
    ///
    /// # Errors
    ///
    /// Names the first value that lies outside the range the equation covers.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::wire::Pair;
    /// let pair = Pair { length_m: 1.5, area_mm2: 0.75, conductor_degc: 20.0 };
    /// assert!((pair.drop_v(4.0)? - 0.2759).abs() < 1e-4);
    /// assert_eq!(pair.drop_v(-4.0).unwrap_err().field(), "current_a");
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn drop_v(&self, current_a: f64) -> Result<f64, Error> {
        let current_a = within("current_a", current_a, 0.0, 1e3)?;
        let length_m = within("length_m", self.length_m, 0.0, 1e3)?;
        let area_mm2 = within("area_mm2", self.area_mm2, 0.01, 1e3)?;
        let conductor_degc = within("conductor_degc", self.conductor_degc, -40.0, 105.0)?;
        let rho = RHO_20_OHM_MM2_PER_M * (1.0 + ALPHA_20_PER_K * (conductor_degc - 20.0));
        Ok(current_a * rho * 2.0 * length_m / area_mm2)
    }
}
