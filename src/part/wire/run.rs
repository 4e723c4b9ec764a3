//! One lead of a build: its resistance, drop, loss and temperature at one current.
//!
//! ```text
//! resistance_ohm = ohm_per_m · length_m · 2 / parallel · (1 + α₂₀ · (t − 20)) + joints_ohm
//! drop_v = on_a · resistance_ohm             while the load is on
//! loss_w = rms_a² · resistance_ohm           on average
//! ```
//!
//! The temperature t is solved with the loss: see [`super::heat`]. Holds for direct and chopped current. Source:
//! definition, Fourier's and Newton's laws of heat.

use super::conductor::{Built, Conductor, Strands};
use super::heat::Cooling;
use super::limit::Lies;
use crate::data::conductor::{AREAS, Metal, THIN_AREAS_MM2};
use crate::error::{Check, Error, within};
use crate::quantity::{End, Interval};
use alloc::format;
use alloc::string::String;

/// Which way the current of a lead goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Way {
    /// Out on one conductor and back on another of the same kind.
    OutAndBack,
    /// One way only, as from the pack's positive to the fuse, or over a strip between cells.
    OneWay,
}

/// One lead of the build.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Run {
    /// The maker's name for it, such as "pack to fuse".
    pub name: String,
    /// Length of the cable, in metres, measured once along it: the way there only, the way back is added.
    pub length_m: f64,
    /// Size of each conductor.
    pub conductor: Conductor,
    /// Metal of the conductors; copper where left out.
    pub metal: Option<Metal>,
    /// How the conductors are built; where left out, all builds are reckoned with.
    pub strands: Option<Strands>,
    /// Equal conductors side by side that share the current of each way; 1 where left out.
    pub parallel: Option<u32>,
    /// Which way the current goes; out and back where left out.
    pub way: Option<Way>,
    /// How it lies: without it no published limit of current can be named.
    pub lies: Option<Lies>,
    /// Resistance of the connectors, joints and contacts on the whole way, in ohms.
    pub joints_ohm: Interval,
    /// Highest temperature the insulation stands, in degrees Celsius.
    pub insulation_degc: f64,
    /// Largest share of the supply that may be lost on this run.
    pub wanted_drop_ratio: Option<f64>,
}

/// What a run does at one current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct RunAnswer {
    /// Cross-section of one conductor, in square millimetres.
    pub area_mm2: f64,
    /// Resistance of the whole way with its joints, at working temperature, in ohms.
    pub resistance_ohm: f64,
    /// Voltage lost on the whole way in the on-time, in volts.
    pub drop_v: f64,
    /// Heat in the run, in watts.
    pub loss_w: f64,
    /// Temperature of the conductors, in degrees Celsius.
    pub conductor_degc: f64,
}

impl Run {
    /// A copper run there and back, nothing else known about it.
    #[must_use]
    pub const fn new(
        name: String,
        length_m: f64,
        conductor: Conductor,
        joints_ohm: Interval,
        insulation_degc: f64,
    ) -> Self {
        Self {
            name,
            length_m,
            conductor,
            metal: None,
            strands: None,
            parallel: None,
            way: None,
            lies: None,
            joints_ohm,
            insulation_degc,
            wanted_drop_ratio: None,
        }
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.within("length_m", self.length_m, 0.0, 1000.0);
        check.inside("conductor", |check| self.conductor.check(check));
        check.within("parallel", f64::from(self.parallel()), 1.0, 20.0);
        if let Some(lies) = self.lies {
            check.inside("lies", |check| lies.check(check));
            if matches!(lies, Lies::Bundle { loaded } if loaded < self.loaded()) {
                check.note(Error::other(
                    "lies",
                    "fewer loaded conductors than the lead itself has",
                    format!("{} or more", self.loaded()),
                ));
            }
        }
        self.joints_ohm.note(check, "joints_ohm", 0.0, 100.0);
        check.within("insulation_degc", self.insulation_degc, 40.0, 250.0);
        if let Some(ratio) = self.wanted_drop_ratio {
            check.within("wanted_drop_ratio", ratio, 0.0001, 0.5);
        }
    }

    /// One conductor as it is built.
    #[must_use]
    pub fn built(&self) -> Built {
        Built { size: self.conductor, metal: self.metal.unwrap_or(Metal::Copper), strands: self.strands }
    }

    pub(crate) fn parallel(&self) -> u32 {
        self.parallel.unwrap_or(1)
    }

    /// Ways of the current over the length: 2 out and back, 1 otherwise.
    pub(crate) fn ways(&self) -> u32 {
        if self.way == Some(Way::OneWay) { 1 } else { 2 }
    }

    /// Conductors of the lead that carry current at once.
    fn loaded(&self) -> u32 {
        self.parallel().saturating_mul(self.ways())
    }

    /// Metres of one conductor that have the resistance of the whole way.
    pub(crate) fn metres(&self) -> f64 {
        self.length_m * f64::from(self.ways()) / f64::from(self.parallel())
    }

    /// Resistance of the whole way at 20 °C with its joints, in ohms, at one end of what is permitted.
    #[must_use]
    pub fn resistance_20_ohm(&self, end: End) -> f64 {
        self.metres() * self.built().metre_ohm().at(end) + self.joints_ohm.at(end)
    }

    /// What the run does: heat by `rms_a`, voltage by `on_a`, with the conductors' temperature solved.
    ///
    /// # Errors
    ///
    /// Names the value out of range, or `rms_a` where no temperature under 1000 °C balances the heat.
    pub fn answer(
        &self,
        rms_a: f64,
        on_a: f64,
        ambient_degc: f64,
        end: End,
        cooling: &Cooling,
    ) -> Result<RunAnswer, Error> {
        within("rms_a", rms_a, 0.0, 1000.0)?;
        within("on_a", on_a, 0.0, 1000.0)?;
        within("ambient_degc", ambient_degc, -40.0, 100.0)?;
        let mut check = Check::new();
        self.check(&mut check);
        if let Some(first) = check.finish().err().and_then(|errors| errors.into_iter().next()) {
            return Err(first);
        }
        let built = self.built();
        let ohm_per_m = built.metre_ohm().at(end);
        let alpha = built.metal.row().alpha_20_per_k;
        let one_a = rms_a / f64::from(self.parallel());
        // Rise over the surroundings for a conductor at 20 °C; the loss grows with the temperature it makes.
        let rise = one_a * one_a * ohm_per_m * cooling.k_m_per_w(&self.conductor);
        let conductor_degc = (ambient_degc + rise * (1.0 - 20.0 * alpha)) / (1.0 - rise * alpha);
        if rise * alpha >= 0.8 || conductor_degc > 1000.0 {
            return Err(Error::other(
                "rms_a",
                format!("{rms_a} A through {}", built.words()),
                "a current whose heat the wire can shed under 1000 °C",
            ));
        }
        let resistance_ohm = self.metres() * ohm_per_m * built.warm_ratio(conductor_degc) + self.joints_ohm.at(end);
        Ok(RunAnswer {
            area_mm2: self.conductor.area_mm2(),
            resistance_ohm,
            drop_v: on_a * resistance_ohm,
            loss_w: rms_a * rms_a * resistance_ohm,
            conductor_degc,
        })
    }

    /// Smallest nominal cross-section that loses at most `drop_v` at `current_a` and `conductor_degc`, in square
    /// millimetres; `None` where even the largest in the table loses more.
    ///
    /// # Errors
    ///
    /// Names the value out of range.
    pub fn smallest_mm2(&self, current_a: f64, drop_v: f64, conductor_degc: f64) -> Result<Option<f64>, Error> {
        within("current_a", current_a, 0.0, 1000.0)?;
        within("drop_v", drop_v, 1e-6, 100.0)?;
        within("conductor_degc", conductor_degc, -40.0, 105.0)?;
        let left_v = drop_v - current_a * self.joints_ohm.high;
        let areas = THIN_AREAS_MM2.into_iter().chain(AREAS.iter().map(|row| row.area_mm2));
        let lost_v = |area_mm2: f64| {
            let built = Built { size: Conductor::Mm2 { area_mm2 }, ..self.built() };
            current_a * self.metres() * built.metre_ohm().high * built.warm_ratio(conductor_degc)
        };
        Ok(areas.into_iter().find(|area_mm2| lost_v(*area_mm2) <= left_v))
    }
}
