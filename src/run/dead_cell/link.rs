//! A link in the way of each cell that melts in a short.
//!
//! A bare copper wire melts for good by Preece, at the earliest by Onderdonk ([`crate::part::wire::fusing`]). Its ends
//! cool a short wire, so that it counts as opening at [`OPENS_FACTOR`] times and as holding at [`HOLDS_RATIO`] of it.

use super::{DeadCell, DeadFault};
use crate::data::copper::{PREECE_COPPER_A, RHO_20_OHM_MM2_PER_M};
use crate::error::{Check, Error};
use crate::part::wire::fusing::{ADIABATIC_HIGH_S, onderdonk_a, preece_a};
use crate::quantity::Interval;

/// How many times its melting current a link must get to count as opening. Common practice, no source: the gate at which
/// fuses open within minutes.
pub const OPENS_FACTOR: f64 = 2.0;

/// Share of its melting current that a link carries for good. Common practice, no source.
pub const HOLDS_RATIO: f64 = 0.5;

/// Diameters of copper wire that both melting laws hold for, in metres.
const WIRE_M: core::ops::RangeInclusive<f64> = 8e-5..=0.012;

/// A link in the way of every cell that is meant to melt.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum FusibleLink {
    /// A bare round copper wire in free air.
    CopperWire {
        /// Its diameter, in metres.
        diameter_m: f64,
        /// Its length, in metres.
        length_m: f64,
    },
    /// A link with a data sheet.
    Rated {
        /// Current it carries for good, in amperes.
        holds_a: f64,
        /// Current at which it surely opens, in amperes.
        opens_a: f64,
        /// Its resistance, in ohms.
        resistance_ohm: Interval,
    },
}

/// What a link does.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct LinkAnswer {
    /// Current it carries for good, in amperes.
    pub holds_a: f64,
    /// Current at which it counts as opening, in amperes.
    pub opens_a: f64,
    /// Whether the least current into a dead short opens it; none for a cell that only rests low.
    pub opens: Option<bool>,
    /// Whether it carries the load that is left to each sound cell; none without a load.
    pub holds: Option<bool>,
    /// Whether the links of the neighbours stay below what they carry for good; where not, they may melt as well.
    pub neighbours_hold: bool,
    /// Earliest time after which the wire melts, in seconds, no heat lost; none above 5 s, where that law ends, and for
    /// a link with a data sheet.
    pub earliest_s: Option<f64>,
    /// Its resistance, in ohms.
    pub resistance_ohm: Interval,
}

/// Links that would do.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct LinkWindow {
    /// Smallest melting current that carries the load, in amperes.
    pub melts_least_a: f64,
    /// Largest melting current that the short surely opens, in amperes.
    pub melts_most_a: f64,
    /// Thinnest bare copper wire of that kind, in metres; none outside what the law holds for.
    pub thinnest_m: Option<f64>,
    /// Thickest, in metres.
    pub thickest_m: Option<f64>,
}

impl FusibleLink {
    pub(super) fn check(&self, check: &mut Check) {
        match self {
            Self::CopperWire { diameter_m, length_m } => check.inside("copper_wire", |check| {
                check.within("diameter_m", *diameter_m, *WIRE_M.start(), *WIRE_M.end());
                check.within("length_m", *length_m, 0.001, 1.0);
            }),
            Self::Rated { holds_a, opens_a, resistance_ohm } => check.inside("rated", |check| {
                check.within("holds_a", *holds_a, 0.01, 1000.0);
                check.within("opens_a", *opens_a, holds_a.clamp(0.01, 1000.0), 10000.0);
                resistance_ohm.note(check, "resistance_ohm", 0.0, 1.0);
            }),
        }
    }

    pub(super) fn resistance_ohm(&self) -> Interval {
        match *self {
            Self::Rated { resistance_ohm, .. } => resistance_ohm,
            Self::CopperWire { diameter_m, length_m } => {
                Interval::exact(RHO_20_OHM_MM2_PER_M * length_m / area_mm2(diameter_m))
            }
        }
    }

    /// Current it carries for good, and current at which it opens.
    fn currents_a(&self) -> Result<(f64, f64), Error> {
        match *self {
            Self::Rated { holds_a, opens_a, .. } => Ok((holds_a, opens_a)),
            Self::CopperWire { diameter_m, .. } => {
                let melts_a = preece_a(diameter_m)?;
                Ok((HOLDS_RATIO * melts_a, OPENS_FACTOR * melts_a))
            }
        }
    }
}

fn area_mm2(diameter_m: f64) -> f64 {
    core::f64::consts::FRAC_PI_4 * 1e6 * diameter_m * diameter_m
}

impl DeadCell {
    pub(super) fn link_answer(
        &self,
        dead_a: &Interval,
        neighbour_a: &Interval,
        left_share_a: Option<f64>,
    ) -> Result<Option<LinkAnswer>, Error> {
        let Some(link) = self.link else { return Ok(None) };
        let (holds_a, opens_a) = link.currents_a()?;
        let short = matches!(self.fault, DeadFault::Short { .. });
        let earliest_s = match link {
            FusibleLink::CopperWire { diameter_m, .. } if dead_a.high > 0.0 => {
                let one_second_a = onderdonk_a(area_mm2(diameter_m), 1.0, self.cell_degc.high)?;
                let ratio = one_second_a / dead_a.high;
                Some(ratio * ratio).filter(|time_s| *time_s <= ADIABATIC_HIGH_S)
            }
            _ => None,
        };
        Ok(Some(LinkAnswer {
            holds_a,
            opens_a,
            opens: short.then_some(dead_a.low >= opens_a),
            holds: left_share_a.map(|share_a| share_a <= holds_a),
            neighbours_hold: neighbour_a.high + left_share_a.unwrap_or(0.0) <= holds_a,
            earliest_s,
            resistance_ohm: link.resistance_ohm(),
        }))
    }

    /// Links that melt in the short and carry the load.
    pub(super) fn window(&self, dead_a: &Interval, left_share_a: Option<f64>) -> Option<LinkWindow> {
        let DeadFault::Short { .. } = self.fault else { return None };
        let (melts_least_a, melts_most_a) = (left_share_a? / HOLDS_RATIO, dead_a.low / OPENS_FACTOR);
        let wire_m = |melts_a: f64| {
            let diameter_m = 0.0254 * libm::cbrt(libm::pow(melts_a / PREECE_COPPER_A, 2.0));
            WIRE_M.contains(&diameter_m).then_some(diameter_m)
        };
        (melts_least_a <= melts_most_a).then(|| LinkWindow {
            melts_least_a,
            melts_most_a,
            thinnest_m: wire_m(melts_least_a),
            thickest_m: wire_m(melts_most_a),
        })
    }
}
