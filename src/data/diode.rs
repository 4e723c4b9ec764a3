//! Junction constants of common diodes.

use crate::data::{Seen, Source};
use crate::error::Check;
use crate::quantity::junction::Junction;

/// Constants of the law v = N·(kT/q)·ln(1 + i/IS) + RS·i, and how IS grows with temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DiodeRow {
    /// Saturation current IS at 27 °C, in amperes.
    pub saturation_a: f64,
    /// Emission coefficient N.
    pub emission_ratio: f64,
    /// Series resistance RS, in ohms.
    pub series_ohm: f64,
    /// Band gap that sets the growth of IS with temperature, in volts.
    pub band_gap_v: f64,
    /// Exponent of temperature in the growth of IS.
    pub temperature_exponent: f64,
    /// Largest reverse voltage, in volts.
    pub reverse_v: f64,
    /// Largest steady forward current, in amperes.
    pub forward_a: f64,
    /// Where the constants come from.
    pub source: Source,
}

/// Temperature at which the saturation currents hold, in degrees Celsius.
pub const DIODE_NOMINAL_DEGC: f64 = 27.0;

/// Small silicon signal diode, 1N4148.
pub const SMALL_SIGNAL: DiodeRow = DiodeRow {
    saturation_a: 2.52e-9,
    emission_ratio: 1.752,
    series_ohm: 0.568,
    band_gap_v: 1.11,
    temperature_exponent: 3.0,
    reverse_v: 75.0,
    forward_a: 0.2,
    source: MODEL_SOURCE,
};

/// Silicon rectifier of one to three amperes.
pub const SILICON: DiodeRow = DiodeRow {
    saturation_a: 7e-9,
    emission_ratio: 1.8,
    series_ohm: 0.04,
    band_gap_v: 1.11,
    temperature_exponent: 3.0,
    reverse_v: 100.0,
    forward_a: 1.0,
    source: MODEL_SOURCE,
};

/// Schottky rectifier of one to three amperes.
pub const SCHOTTKY: DiodeRow = DiodeRow {
    saturation_a: 3e-6,
    emission_ratio: 1.05,
    series_ohm: 0.04,
    band_gap_v: 0.69,
    temperature_exponent: 2.0,
    reverse_v: 40.0,
    forward_a: 3.0,
    source: MODEL_SOURCE,
};

const MODEL_SOURCE: Source = Source {
    title: "Customary simulation constants of the type",
    edition: "",
    place: "saturation current, emission coefficient and series resistance; limits and temperature law from memory",
    seen: Seen::Memory,
};

/// Factor to both sides by which the saturation current differs between diodes of one type: about 30 mV of drop.
pub const SATURATION_SPREAD_RATIO: f64 = 2.0;

/// Source of that factor.
pub const SATURATION_SPREAD_SOURCE: Source = crate::data::COMMON_PRACTICE;

/// Which diode it is.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Diode {
    /// Small silicon signal diode: [`SMALL_SIGNAL`].
    SmallSignal,
    /// Silicon rectifier: [`SILICON`].
    Silicon,
    /// Schottky rectifier: [`SCHOTTKY`].
    Schottky,
    /// Constants of one's own.
    Own(OwnDiode),
}

/// A diode by constants of its own; where left out, it changes with temperature like silicon.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OwnDiode {
    /// Saturation current at 27 °C, in amperes.
    pub saturation_a: f64,
    /// Emission coefficient, 1 to 3.
    pub emission_ratio: f64,
    /// Series resistance, in ohms.
    pub series_ohm: f64,
    /// Largest reverse voltage, in volts.
    pub reverse_v: f64,
    /// Largest steady forward current, in amperes.
    pub forward_a: f64,
    /// Band gap that sets the growth of the saturation current with temperature, in volts.
    pub band_gap_v: Option<f64>,
    /// Exponent of temperature in that growth.
    pub temperature_exponent: Option<f64>,
}

impl Diode {
    /// The row of this diode.
    #[must_use]
    pub fn row(&self) -> DiodeRow {
        match self {
            Self::SmallSignal => SMALL_SIGNAL,
            Self::Silicon => SILICON,
            Self::Schottky => SCHOTTKY,
            Self::Own(own) => DiodeRow {
                saturation_a: own.saturation_a,
                emission_ratio: own.emission_ratio,
                series_ohm: own.series_ohm,
                reverse_v: own.reverse_v,
                forward_a: own.forward_a,
                band_gap_v: own.band_gap_v.unwrap_or(SILICON.band_gap_v),
                temperature_exponent: own.temperature_exponent.unwrap_or(SILICON.temperature_exponent),
                source: OWN_SOURCE,
            },
        }
    }

    /// The same diode with its saturation current times `factor`.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        let row = self.row();
        Self::Own(OwnDiode {
            saturation_a: row.saturation_a * factor,
            emission_ratio: row.emission_ratio,
            series_ohm: row.series_ohm,
            reverse_v: row.reverse_v,
            forward_a: row.forward_a,
            band_gap_v: Some(row.band_gap_v),
            temperature_exponent: Some(row.temperature_exponent),
        })
    }

    /// Its law at a temperature between −40 °C and 150 °C.
    #[must_use]
    pub fn junction(&self, junction_degc: f64) -> Junction {
        let row = self.row();
        let nominal = Junction::at_nominal(row.saturation_a, row.emission_ratio, row.series_ohm, DIODE_NOMINAL_DEGC);
        nominal.warmed(junction_degc, DIODE_NOMINAL_DEGC, row.band_gap_v, row.temperature_exponent)
    }

    pub(crate) fn check(&self, check: &mut Check) {
        let Self::Own(own) = self else { return };
        check.inside("own", |check| {
            check.within("saturation_a", own.saturation_a, 1e-18, 1e-2);
            check.within("emission_ratio", own.emission_ratio, 0.8, 3.0);
            check.within("series_ohm", own.series_ohm, 0.0, 1e3);
            check.within("reverse_v", own.reverse_v, 1.0, 1e4);
            check.within("forward_a", own.forward_a, 1e-6, 1e3);
            check.within("band_gap_v", self.row().band_gap_v, 0.2, 3.5);
            check.within("temperature_exponent", self.row().temperature_exponent, 0.0, 10.0);
        });
    }
}

const OWN_SOURCE: Source =
    Source { title: "entered by the maker of the plan", edition: "", place: "", seen: Seen::Original };
