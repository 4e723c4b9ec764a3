//! One conductor: its cross-section and what a metre of it has for resistance.
//!
//! ```text
//! ohm_per_m = ρ₂₀ / area_mm2                    solid and strip
//! ohm_per_m = the standard's largest            metric stranded and flexible
//! R(t) = R₂₀ · (1 + α₂₀ · (t − 20))
//! ```
//!
//! A resistance is an interval: what the metal and build may have at the least, likely, and at the most. Holds from
//! −60 °C to 200 °C. Source: IEC 60028 and IEC 60228, kept in [`crate::data::conductor`].

use crate::data::conductor::{
    AREAS, CIRCULAR_MIL_MM2, COATED_HIGH_RATIO, Metal, PLAIN_HIGH_RATIO, STRANDED, STRANDED_RATIO, TWIST_RATIO,
};
use crate::data::copper::RHO_20_OHM_MM2_PER_M;
use crate::error::{Check, Error};
use crate::quantity::Interval;
use crate::quantity::gauge::Gauge;
use crate::quantity::said::{Filling, Phrase, wordings};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Size of a conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Conductor {
    /// American wire gauge.
    Awg {
        /// The gauge: 0 to 40; 1/0 is 0, 2/0 is −1, 4/0 is −3.
        gauge: f64,
    },
    /// Nominal cross-section.
    Mm2 {
        /// Cross-section, in square millimetres.
        area_mm2: f64,
    },
    /// Flat strip, as between cells.
    Strip {
        /// Width, in metres.
        width_m: f64,
        /// Thickness of one layer, in metres.
        thickness_m: f64,
        /// Layers on top of each other.
        layers: u32,
    },
}

/// How a round conductor is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Strands {
    /// One wire.
    Solid,
    /// Few thick strands, class 2 of IEC 60228.
    Stiff,
    /// Many fine strands, class 5 of IEC 60228.
    Fine,
}

/// A conductor as it is built.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Built {
    /// Its size.
    pub size: Conductor,
    /// Its metal.
    pub metal: Metal,
    /// Its strands, where known.
    pub strands: Option<Strands>,
}

impl Conductor {
    pub(crate) fn check(&self, check: &mut Check) {
        match *self {
            Self::Awg { gauge } => check.inside("awg", |check| {
                check.within("gauge", gauge, f64::from(Gauge::THICKEST), f64::from(Gauge::THINNEST));
                if libm::floor(gauge) != gauge && (-3.0..=40.0).contains(&gauge) {
                    check.note(Error::other("gauge", format!("{gauge}"), "a whole number"));
                }
            }),
            Self::Mm2 { area_mm2 } => check.inside("mm2", |check| check.within("area_mm2", area_mm2, 0.01, 1000.0)),
            Self::Strip { width_m, thickness_m, layers } => check.inside("strip", |check| {
                check.within("width_m", width_m, 1e-3, 0.1);
                check.within("thickness_m", thickness_m, 2e-5, 5e-3);
                check.within("layers", f64::from(layers), 1.0, 20.0);
                if thickness_m > width_m {
                    check.note(Error::other("thickness_m", format!("{thickness_m}"), "a thickness below width_m"));
                }
            }),
        }
    }

    /// Its gauge, where it has one.
    #[must_use]
    pub fn gauge(&self) -> Option<Gauge> {
        match *self {
            Self::Awg { gauge } if libm::fabs(gauge) < 100.0 => Gauge::new(gauge as i32),
            _ => None,
        }
    }

    /// Nominal cross-section, in square millimetres; a gauge is that of a solid wire, and 0 where there is no such gauge.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::wire::Conductor;
    /// assert!((Conductor::Awg { gauge: 20.0 }.area_mm2() - 0.5176).abs() < 1e-4);
    /// ```
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        match *self {
            Self::Awg { .. } => self.gauge().map_or(0.0, Gauge::area_mm2),
            Self::Mm2 { area_mm2 } => area_mm2,
            Self::Strip { width_m, thickness_m, layers } => width_m * thickness_m * f64::from(layers) * 1e6,
        }
    }

    /// Whether it is a flat strip.
    #[must_use]
    pub const fn is_strip(&self) -> bool {
        matches!(self, Self::Strip { .. })
    }
}

impl Built {
    /// Resistance of one metre at 20 °C, in ohms.
    ///
    /// # Errors
    ///
    /// Every value out of range, with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::conductor::Metal;
    /// # use cellwright::part::wire::{Built, Conductor, Strands};
    /// let size = Conductor::Mm2 { area_mm2: 0.75 };
    /// let flexible = Built { size, metal: Metal::Copper, strands: Some(Strands::Fine) };
    /// assert_eq!(flexible.ohm_per_m()?.high, 0.026);
    /// let none = Built { size: Conductor::Mm2 { area_mm2: 0.0 }, ..flexible };
    /// assert_eq!(none.ohm_per_m().unwrap_err()[0].path(), "/mm2/area_mm2");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn ohm_per_m(&self) -> Result<Interval, Vec<Error>> {
        let mut check = Check::new();
        self.size.check(&mut check);
        check.finish()?;
        Ok(self.metre_ohm())
    }

    /// As [`Built::ohm_per_m`], for values that were checked.
    pub(crate) fn metre_ohm(&self) -> Interval {
        let rho = self.metal.row().resistivity_ohm_mm2_per_m;
        let area_mm2 = self.size.area_mm2();
        let plain = scaled(rho, 1.0 / area_mm2);
        if self.size.is_strip() || self.strands == Some(Strands::Solid) {
            return plain;
        }
        if let Some(gauge) = self.size.gauge() {
            // A stranded gauge can hold more copper than the solid one, or less.
            let printed = STRANDED.iter().find(|row| row.awg == gauge.number());
            let thick = printed.map(|row| rho.low / (row.area_cmil * CIRCULAR_MIL_MM2));
            let low = thick.unwrap_or(plain.low * STRANDED_RATIO.low).min(plain.low);
            return Interval {
                low,
                likely: plain.likely * STRANDED_RATIO.likely,
                high: plain.high * STRANDED_RATIO.high,
            };
        }
        let highest = if self.metal == Metal::TinnedCopper { COATED_HIGH_RATIO } else { PLAIN_HIGH_RATIO };
        let high = self.printed_ohm_per_m().unwrap_or(plain.high * highest);
        Interval { low: plain.low.min(high), likely: (plain.likely * TWIST_RATIO).min(high), high }
    }

    /// The standard's largest resistance of a metre; for other metals in the ratio of their resistivities.
    fn printed_ohm_per_m(&self) -> Option<f64> {
        let row = AREAS.iter().find(|row| row.area_mm2 == self.size.area_mm2())?;
        let coated = self.metal == Metal::TinnedCopper;
        let copper_per_km = match (self.strands?, coated) {
            (Strands::Fine, false) => row.flexible_ohm_per_km,
            (Strands::Fine, true) => row.flexible_coated_ohm_per_km,
            (_, false) => row.stiff_ohm_per_km,
            (_, true) => row.stiff_coated_ohm_per_km,
        };
        let own =
            row.aluminium_ohm_per_km.filter(|_| self.metal == Metal::Aluminium && self.strands == Some(Strands::Stiff));
        let ratio = self.metal.row().resistivity_ohm_mm2_per_m.high / RHO_20_OHM_MM2_PER_M;
        Some(own.unwrap_or(copper_per_km * ratio) / 1000.0)
    }

    /// Factor from the resistance at 20 °C to that at `degc`.
    #[must_use]
    pub fn warm_ratio(&self, degc: f64) -> f64 {
        1.0 + self.metal.row().alpha_20_per_k * (degc - 20.0)
    }

    /// Mass of one metre, without insulation, in kilograms.
    #[must_use]
    pub fn kg_per_m(&self) -> f64 {
        self.size.area_mm2() * 1e-6 * self.metal.row().density_kg_per_m3
    }

    /// What it is, in words.
    #[must_use]
    pub fn words(&self) -> String {
        self.phrase().words
    }

    /// What it is.
    pub(crate) fn phrase(&self) -> Phrase {
        let metal = match self.metal {
            Metal::Copper => COPPER,
            Metal::TinnedCopper => TINNED_COPPER,
            Metal::Aluminium => ALUMINIUM,
            Metal::CopperCladAluminium => COPPER_CLAD,
            Metal::Nickel => NICKEL,
            Metal::NickelPlatedSteel => NICKEL_STEEL,
        };
        let stranded = match self.strands {
            Some(Strands::Solid) => SOLID.with([metal.into()]),
            Some(Strands::Stiff) => STIFF.with([metal.into()]),
            Some(Strands::Fine) => FINE.with([metal.into()]),
            None => metal.plain(),
        };
        match self.size {
            Conductor::Awg { .. } => {
                let gauge = self.size.gauge().map_or_else(String::new, Gauge::text);
                SIZE_OF.with([gauge.into(), stranded.into()])
            }
            Conductor::Mm2 { area_mm2 } => SIZE_OF.with([Filling::number(area_mm2, "mm2"), stranded.into()]),
            Conductor::Strip { width_m, thickness_m, layers } => {
                let (width, thickness) = (width_m * 1e3, thickness_m * 1e3);
                let held = match layers {
                    1 => STRIP_LAYER.plain(),
                    many => STRIP_LAYERS.with([Filling::count(many as usize)]),
                };
                let sides = [Filling::number(width, "count"), Filling::number(thickness, "count")];
                let [width, thickness] = sides;
                STRIP.with([held.into(), metal.into(), width, thickness])
            }
        }
    }
}

wordings! {
    COPPER: "copper", "copper";
    TINNED_COPPER: "tinned_copper", "tinned copper";
    ALUMINIUM: "aluminium", "aluminium";
    COPPER_CLAD: "copper_clad_aluminium", "copper-clad aluminium";
    NICKEL: "metal_nickel", "nickel";
    NICKEL_STEEL: "metal_nickel_plated_steel", "nickel-plated steel";
    SOLID: "wire_solid", "one wire of {0}";
    STIFF: "wire_stiff", "stiff strands of {0}";
    FINE: "wire_fine", "fine strands of {0}";
    SIZE_OF: "wire_size", "{0}, {1}";
    STRIP_LAYER: "strip_layer", "one layer";
    STRIP_LAYERS: "strip_layers", "{0} layers";
    STRIP: "wire_strip", "{0} of {1} strip, {2} mm × {3} mm";
}

fn scaled(interval: Interval, by: f64) -> Interval {
    Interval { low: interval.low * by, likely: interval.likely * by, high: interval.high * by }
}
