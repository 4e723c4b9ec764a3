//! Voltage lost along a copper pair, and how warm it gets.
//!
//! ```text
//! drop_v         = current_a · ρ₂₀ · (1 + α₂₀ · (conductor_degc − 20)) · 2 · length_m / area_mm2
//! conductor_degc = ambient_degc + loss_w_per_m · (ln(D/d) / (2π·k) + 1 / (π·D·h))
//! ```
//!
//! d is the conductor's diameter, D the insulation's, k its conductivity, h the surface coefficient of still air; the
//! loss itself grows with the temperature, so the two are solved together.
//! Holds for direct current in plain copper from −40 °C to 105 °C. A [`Run`] counts its joints; a [`Pair`] does not.
//! Sources: IEC 60028:1925 for ρ₂₀ and α₂₀, kept in [`crate::data::copper`]; ASTM B258 for gauges; steady radial
//! conduction (textbook).

use crate::data::conductor;
use crate::data::copper::{ALPHA_20_PER_K, RHO_20_OHM_MM2_PER_M};
use crate::error::{Check, Error, within};
use crate::quantity::{End, Interval};
use alloc::string::String;
use alloc::vec::Vec;
use core::f64::consts::PI;

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
        /// Copper cross-section, in square millimetres.
        area_mm2: f64,
    },
}

/// One lead of the build: there and back.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Run {
    /// The maker's name for it, such as "pack to fuse".
    pub name: String,
    /// Length of the cable, in metres: the way there only, the way back is added.
    pub length_m: f64,
    /// Size of each of the two conductors.
    pub conductor: Conductor,
    /// Resistance of the connectors, joints and contacts on the way there and back, in ohms.
    pub joints_ohm: Interval,
    /// Highest temperature the insulation stands, in degrees Celsius.
    pub insulation_degc: f64,
    /// Largest share of the supply that may be lost on this run.
    pub wanted_drop_ratio: Option<f64>,
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

/// What a run does at one current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct RunAnswer {
    /// Cross-section of one conductor, in square millimetres.
    pub area_mm2: f64,
    /// Resistance there and back with its joints, at working temperature, in ohms.
    pub resistance_ohm: f64,
    /// Voltage lost there and back in the on-time, in volts.
    pub drop_v: f64,
    /// Heat in the run, in watts.
    pub loss_w: f64,
    /// Temperature of the conductors, in degrees Celsius.
    pub conductor_degc: f64,
}

impl Conductor {
    /// Copper cross-section, in square millimetres; a gauge is that of a solid wire.
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        match *self {
            Self::Mm2 { area_mm2 } => area_mm2,
            Self::Awg { gauge } => {
                let diameter_mm = conductor::AWG_36_MM * libm::pow(conductor::AWG_RATIO, (36.0 - gauge) / 39.0);
                PI / 4.0 * diameter_mm * diameter_mm
            }
        }
    }

    fn check(&self, check: &mut Check) {
        match *self {
            Self::Awg { gauge } => check.inside("awg", |check| {
                check.within("gauge", gauge, -3.0, 40.0);
                if libm::floor(gauge) != gauge && (-3.0..=40.0).contains(&gauge) {
                    check.note(Error::other("gauge", alloc::format!("{gauge}"), "a whole number"));
                }
            }),
            Self::Mm2 { area_mm2 } => check.inside("mm2", |check| check.within("area_mm2", area_mm2, 0.01, 1000.0)),
        }
    }
}

/// How much more than plain copper of the nominal section the permitted conductor may have: stranded conductors are
/// longer and drawn thinner than nominal.
fn permitted_ratio(end: End) -> f64 {
    match end {
        End::Low => 1.0,
        End::Likely => conductor::STRANDING_LIKELY,
        End::High => conductor::STRANDING_HIGH,
    }
}

impl Cooling {
    /// One thin-walled PVC wire in still air: 0.4 mm of insulation, 0.17 W/(m K), 8 W/(m² K).
    ///
    /// The conductivity is a textbook value for PVC and the surface coefficient a cautious one for thin wires in still
    /// air, both from memory.
    pub const STILL_AIR: Self = Self { insulation_m: 4e-4, insulation_w_per_m_k: 0.17, surface_w_per_m2_k: 8.0 };

    /// Kelvin above the surroundings for each watt per metre of conductor.
    fn k_m_per_w(&self, area_mm2: f64) -> f64 {
        let inner_m = libm::sqrt(4.0 * area_mm2 / PI) * 1e-3;
        let outer_m = inner_m + 2.0 * self.insulation_m;
        libm::log(outer_m / inner_m) / (2.0 * PI * self.insulation_w_per_m_k)
            + 1.0 / (PI * outer_m * self.surface_w_per_m2_k)
    }
}

impl Run {
    pub(crate) fn check(&self, check: &mut Check) {
        check.within("length_m", self.length_m, 0.0, 1000.0);
        check.inside("conductor", |check| self.conductor.check(check));
        self.joints_ohm.note(check, "joints_ohm", 0.0, 100.0);
        check.within("insulation_degc", self.insulation_degc, 40.0, 250.0);
        if let Some(ratio) = self.wanted_drop_ratio {
            check.within("wanted_drop_ratio", ratio, 0.0001, 0.5);
        }
    }

    /// Resistance there and back at 20 °C with its joints, in ohms, at one end of what is permitted.
    #[must_use]
    pub fn resistance_20_ohm(&self, end: End) -> f64 {
        let per_m = RHO_20_OHM_MM2_PER_M / self.conductor.area_mm2() * permitted_ratio(end);
        2.0 * self.length_m * per_m + self.joints_ohm.at(end)
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
        let area_mm2 = self.conductor.area_mm2();
        let per_m_20 = RHO_20_OHM_MM2_PER_M / area_mm2 * permitted_ratio(end);
        // Rise over the surroundings for a conductor at 20 °C; the loss grows with the temperature it makes.
        let rise = rms_a * rms_a * per_m_20 * cooling.k_m_per_w(area_mm2);
        let conductor_degc = (ambient_degc + rise * (1.0 - 20.0 * ALPHA_20_PER_K)) / (1.0 - rise * ALPHA_20_PER_K);
        if rise * ALPHA_20_PER_K >= 0.8 || conductor_degc > 1000.0 {
            return Err(Error::other(
                "rms_a",
                alloc::format!("{rms_a} A through {area_mm2:.3} mm²"),
                "a current whose heat the wire can shed under 1000 °C",
            ));
        }
        let copper_ohm = 2.0 * self.length_m * per_m_20 * (1.0 + ALPHA_20_PER_K * (conductor_degc - 20.0));
        let resistance_ohm = copper_ohm + self.joints_ohm.at(end);
        Ok(RunAnswer {
            area_mm2,
            resistance_ohm,
            drop_v: on_a * resistance_ohm,
            loss_w: rms_a * rms_a * resistance_ohm,
            conductor_degc,
        })
    }

    /// Smallest nominal cross-section of IEC 60228 that loses at most `drop_v` at `current_a` and `conductor_degc`, in
    /// square millimetres; `None` where even the largest in the table loses more.
    ///
    /// # Errors
    ///
    /// Names the value out of range.
    pub fn smallest_mm2(&self, current_a: f64, drop_v: f64, conductor_degc: f64) -> Result<Option<f64>, Error> {
        within("current_a", current_a, 0.0, 1000.0)?;
        within("drop_v", drop_v, 1e-6, 100.0)?;
        within("conductor_degc", conductor_degc, -40.0, 105.0)?;
        let left_v = drop_v - current_a * self.joints_ohm.high;
        let needs_ohm_mm2 = RHO_20_OHM_MM2_PER_M
            * conductor::STRANDING_HIGH
            * (1.0 + ALPHA_20_PER_K * (conductor_degc - 20.0))
            * 2.0
            * self.length_m
            * current_a;
        Ok(conductor::NOMINAL_MM2.into_iter().find(|area_mm2| needs_ohm_mm2 / area_mm2 <= left_v))
    }
}

/// Asks what a run does at a current.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RunQuestion {
    /// The run.
    pub run: Run,
    /// Root of the mean square of the current, in amperes: it makes the heat.
    pub rms_a: f64,
    /// Current in the on-time, in amperes: it makes the drop.
    pub on_a: f64,
    /// Temperature of the surroundings, in degrees Celsius.
    pub ambient_degc: f64,
    /// Which end of the permitted resistance; the high one where it is left out.
    pub end: Option<End>,
    /// How the wire sheds heat; one thin wire in still air where it is left out.
    pub cooling: Option<Cooling>,
}

/// Asks for the smallest cross-section that keeps a drop.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SizeQuestion {
    /// Length of the cable, in metres: the way there only.
    pub length_m: f64,
    /// Resistance of joints on the way there and back, in ohms.
    pub joints_ohm: Interval,
    /// Current in the on-time, in amperes.
    pub current_a: f64,
    /// Largest loss there and back, in volts.
    pub drop_v: f64,
    /// Temperature of the conductors, in degrees Celsius.
    pub conductor_degc: f64,
}

/// The smallest cross-section that keeps a drop.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SizeAnswer {
    /// Nominal cross-section, in square millimetres; none where even the largest in the table loses more.
    pub area_mm2: Option<f64>,
}

impl Cooling {
    fn check(&self, check: &mut Check) {
        check.within("insulation_m", self.insulation_m, 0.0, 0.05);
        check.within("insulation_w_per_m_k", self.insulation_w_per_m_k, 0.01, 10.0);
        check.within("surface_w_per_m2_k", self.surface_w_per_m2_k, 0.5, 500.0);
    }
}

impl RunQuestion {
    /// What the run does.
    ///
    /// # Errors
    ///
    /// Every value out of range; or a current whose heat the wire cannot shed.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::Interval;
    /// # use cellwright::part::wire::{Conductor, Run, RunQuestion};
    /// let run = Run {
    ///     name: "pack to fuse".into(), length_m: 0.5, conductor: Conductor::Mm2 { area_mm2: 0.75 },
    ///     joints_ohm: Interval::exact(0.0), insulation_degc: 70.0, wanted_drop_ratio: None,
    /// };
    /// let question = RunQuestion { run, rms_a: 2.0, on_a: 4.0, ambient_degc: 25.0, end: None, cooling: None };
    /// let answer = question.answer()?;
    /// assert!(answer.conductor_degc > 25.0 && answer.drop_v > 4.0 * 0.0229);
    /// assert_eq!(RunQuestion { rms_a: 500.0, ..question }.answer().unwrap_err()[0].field(), "rms_a");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<RunAnswer, Vec<Error>> {
        let mut check = Check::new();
        check.inside("run", |check| self.run.check(check));
        check.within("rms_a", self.rms_a, 0.0, 1000.0);
        check.within("on_a", self.on_a, 0.0, 1000.0);
        check.within("ambient_degc", self.ambient_degc, -40.0, 100.0);
        if let Some(cooling) = &self.cooling {
            check.inside("cooling", |check| cooling.check(check));
        }
        check.finish()?;
        let cooling = self.cooling.unwrap_or(Cooling::STILL_AIR);
        let end = self.end.unwrap_or(End::High);
        let answer = self.run.answer(self.rms_a, self.on_a, self.ambient_degc, end, &cooling);
        answer.map_err(|error| alloc::vec![error])
    }
}

impl SizeQuestion {
    /// The smallest cross-section.
    ///
    /// # Errors
    ///
    /// Every value out of range.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::Interval;
    /// # use cellwright::part::wire::SizeQuestion;
    /// let question = SizeQuestion {
    ///     length_m: 2.0, joints_ohm: Interval::exact(0.0), current_a: 3.0, drop_v: 0.3, conductor_degc: 40.0,
    /// };
    /// assert_eq!(question.answer()?.area_mm2, Some(1.0));
    /// assert!(SizeQuestion { drop_v: 0.0, ..question }.answer().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<SizeAnswer, Vec<Error>> {
        let run = Run {
            name: String::new(),
            length_m: self.length_m,
            conductor: Conductor::Mm2 { area_mm2: 1.0 },
            joints_ohm: self.joints_ohm,
            insulation_degc: 70.0,
            wanted_drop_ratio: None,
        };
        let mut check = Check::new();
        run.check(&mut check);
        check.within("current_a", self.current_a, 0.0, 1000.0);
        check.within("drop_v", self.drop_v, 1e-6, 100.0);
        check.within("conductor_degc", self.conductor_degc, -40.0, 105.0);
        check.finish()?;
        let area_mm2 = run.smallest_mm2(self.current_a, self.drop_v, self.conductor_degc);
        area_mm2.map(|area_mm2| SizeAnswer { area_mm2 }).map_err(|error| alloc::vec![error])
    }
}
