//! Temperature of a conductor that its own loss heats.
//!
//! ```text
//! t = ambient + current² · R₂₀ · (1 + α₂₀ · (t − 20)) · K          K in kelvin per watt, for one metre
//! K = ln(outer/inner) / (2π·k) + 1 / (surface · π · outer)          round, with insulation of conductivity k
//! ```
//!
//! The line through R is straight, so t has a closed form; where loss grows faster with t than cooling there is no
//! steady temperature. Holds for direct current and for RMS currents, to 200 °C. Source: Fourier's law for a tube and
//! Newton's law of cooling, derived.

use super::conductor::Conductor;
use crate::error::Check;
use crate::quantity::root::sqrt;
use core::f64::consts::PI;

/// Highest conductor temperature for which a number is given, in degrees Celsius.
pub const HIGH_DEGC: f64 = 200.0;

/// What one metre of a conductor heats and sheds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heat {
    /// Resistance of one metre at 20 °C, in ohms.
    pub ohm_per_m: f64,
    /// Temperature coefficient at 20 °C, per kelvin.
    pub alpha_20_per_k: f64,
    /// Temperature around, in degrees Celsius.
    pub ambient_degc: f64,
    /// Rise per watt on one metre, in kelvin.
    pub k_m_per_w: f64,
}

impl Heat {
    /// Steady temperature of the conductor, in degrees Celsius; nothing where there is none up to 200 °C.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::wire::heat::Heat;
    /// let heat = Heat { ohm_per_m: 0.02095, alpha_20_per_k: 0.00393, ambient_degc: 20.0, k_m_per_w: 5.733 };
    /// assert!((heat.steady_degc(8.23).unwrap() - 28.4).abs() < 0.01);
    /// assert_eq!(heat.steady_degc(100.0), None);
    /// ```
    #[must_use]
    pub fn steady_degc(&self, current_a: f64) -> Option<f64> {
        let rise_20_k = current_a * current_a * self.ohm_per_m * self.k_m_per_w;
        let slope = rise_20_k * self.alpha_20_per_k;
        let at_ambient = 1.0 + self.alpha_20_per_k * (self.ambient_degc - 20.0);
        let steady_degc = self.ambient_degc + rise_20_k * at_ambient / (1.0 - slope);
        (slope < 1.0 && steady_degc <= HIGH_DEGC).then_some(steady_degc)
    }

    /// Current at which the conductor reaches `degc`, in amperes; 0 where it is as warm without.
    #[must_use]
    pub fn current_a(&self, degc: f64) -> f64 {
        let ohm_per_m = self.ohm_per_m * (1.0 + self.alpha_20_per_k * (degc - 20.0));
        let squared = (degc - self.ambient_degc) / (ohm_per_m * self.k_m_per_w);
        if squared > 0.0 { sqrt(squared) } else { 0.0 }
    }
}

/// How a wire sheds its heat.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Cooling {
    /// Thickness of the insulation, in metres.
    pub insulation_m: f64,
    /// Heat conductivity of the insulation, in watts per metre and kelvin.
    pub insulation_w_per_m_k: f64,
    /// Surface coefficient, in watts per square metre and kelvin.
    pub surface_w_per_m2_k: f64,
}

impl Cooling {
    /// One thin-walled PVC wire in still air: 0.4 mm of insulation, 0.17 W/(m K), 8 W/(m² K).
    ///
    /// The conductivity is a textbook value for PVC and the surface coefficient a cautious one for thin wires in still
    /// air, both from memory.
    pub const STILL_AIR: Self = Self { insulation_m: 4e-4, insulation_w_per_m_k: 0.17, surface_w_per_m2_k: 8.0 };

    /// The same wire in a cable or a bundle inside a box: half the heat gets away.
    ///
    /// Common practice, no source: what a plan takes while it does not know how a lead lies.
    pub const CLOSE: Self = Self { surface_w_per_m2_k: 4.0, ..Self::STILL_AIR };

    pub(crate) fn check(&self, check: &mut Check) {
        check.within("insulation_m", self.insulation_m, 0.0, 0.05);
        check.within("insulation_w_per_m_k", self.insulation_w_per_m_k, 0.01, 10.0);
        check.within("surface_w_per_m2_k", self.surface_w_per_m2_k, 0.5, 500.0);
    }

    /// Kelvin above the surroundings for each watt per metre of conductor.
    pub(crate) fn k_m_per_w(&self, size: &Conductor) -> f64 {
        if let Conductor::Strip { width_m, thickness_m, layers } = *size {
            let around_m = 2.0 * (width_m + thickness_m * f64::from(layers));
            return self.insulation_m / (self.insulation_w_per_m_k * around_m)
                + 1.0 / (self.surface_w_per_m2_k * around_m);
        }
        let inner_m = diameter_m(size.area_mm2());
        let outer_m = inner_m + 2.0 * self.insulation_m;
        libm::log(outer_m / inner_m) / (2.0 * PI * self.insulation_w_per_m_k)
            + 1.0 / (PI * outer_m * self.surface_w_per_m2_k)
    }
}

/// Diameter of a round wire of that cross-section, in metres.
pub(crate) fn diameter_m(area_mm2: f64) -> f64 {
    sqrt(4.0 * area_mm2 / PI) * 1e-3
}
