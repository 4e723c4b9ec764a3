//! All there is to say about one lead: temperature, drop and loss as intervals, and every limit with its source.
//!
//! The temperature follows from the given cooling; or from the lowest published limit, at which its table says it is
//! reached: t − ambient = (t_limit − ambient) · (rms_a / limit_a)², the resistance growing along; or, for a wire in the
//! open that no table prints, from still air; or else the rating of the insulation is taken. Holds to 200 °C.

use super::fusing::{preece_metal_a, withstand_a2s};
use super::heat::{Cooling, Heat, diameter_m};
use super::limit::{Lies, Place, WireLimit, small_conductor_fuse_a};
use super::run::{Run, Way};
use crate::data::conductor::{Metal, NICKEL_OR_STEEL};
use crate::error::{Check, Error};
use crate::quantity::Interval;
use crate::quantity::said::Said;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Asks what a run does at a current.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RunQuestion {
    /// The run.
    pub run: Run,
    /// Root of the mean square of the current, in amperes: it makes the heat.
    pub rms_a: f64,
    /// Current in the on-time, in amperes: it makes the drop; the RMS current where left out.
    pub on_a: Option<f64>,
    /// Temperature of the surroundings, in degrees Celsius.
    pub ambient_degc: f64,
    /// Voltage of the pack, in volts, for the drop as a share.
    pub supply_v: Option<f64>,
    /// How the wire sheds heat, where that is known; it then goes before every table.
    pub cooling: Option<Cooling>,
}

/// What a lead does, and what it may carry.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LeadAnswer {
    /// What the conductor is, in words.
    pub conductor_words: String,
    /// The same by code.
    pub conductor_said: Said,
    /// Which lengths were counted, in words.
    pub length_words: String,
    /// Cross-section of one conductor, in square millimetres.
    pub area_mm2: f64,
    /// Temperature of the conductor, in degrees Celsius, at the most; nothing where there is none up to 200 °C.
    pub conductor_degc: Option<f64>,
    /// How the temperature was found.
    pub temperature_from: TemperatureFrom,
    /// Resistance of the whole way with its joints, in ohms: the low end cold, the others at that temperature.
    pub resistance_ohm: Option<Interval>,
    /// Voltage lost while the load is on, in volts.
    pub drop_v: Option<Interval>,
    /// Share of the supply that is lost while the load is on.
    pub drop_ratio: Option<Interval>,
    /// Whether more than the supply would be lost: the load then cannot draw this current.
    pub over_supply: bool,
    /// Heat in the whole lead, in watts, at the most.
    pub loss_w: Option<f64>,
    /// The limit that counts: the lowest that fits.
    pub limit: Option<WireLimit>,
    /// RMS current as a share of that limit.
    pub limit_ratio: Option<f64>,
    /// Every limit that fits, the lowest first.
    pub limits: Vec<WireLimit>,
    /// Largest fuse of the building code in front of so small a conductor.
    pub small_conductor: Option<WireLimit>,
    /// Current that melts one bare conductor in free air, in amperes; for round copper.
    pub fusing_a: Option<f64>,
    /// Current squared times time that PVC on the lead stands in a short fault, in A²·s; for copper.
    pub withstand_a2s: Option<f64>,
    /// Mass of the metal, in kilograms.
    pub mass_kg: f64,
    /// How to tell the metal, for strip.
    pub metal_words: Option<&'static str>,
}

/// How the temperature of a conductor was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum TemperatureFrom {
    /// From the given cooling.
    Cooling,
    /// From the lowest published limit.
    PublishedLimit,
    /// From one thin-walled wire in still air, because no table prints it.
    StillAir,
    /// Not known: the rating of the insulation is taken.
    InsulationRating,
}

impl RunQuestion {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("run", |check| self.run.check(check));
        check.within("rms_a", self.rms_a, 0.0, 1000.0);
        if let Some(on_a) = self.on_a {
            check.within("on_a", on_a, 0.0, 1000.0);
            if on_a < self.rms_a {
                check.note(Error::other(
                    "on_a",
                    format!("{on_a} A"),
                    "no less than rms_a: an RMS value is never higher",
                ));
            }
        }
        check.within("ambient_degc", self.ambient_degc, -40.0, 100.0);
        if let Some(supply_v) = self.supply_v {
            check.within("supply_v", supply_v, 0.5, 100.0);
        }
        if let Some(cooling) = &self.cooling {
            check.inside("cooling", |check| cooling.check(check));
        }
    }

    /// What the lead does, and what it may carry.
    ///
    /// # Errors
    ///
    /// Every value out of range, with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::Interval;
    /// # use cellwright::part::wire::{Conductor, Lies, Run, RunQuestion, Strands};
    /// let run = Run {
    ///     lies: Some(Lies::Surface), strands: Some(Strands::Fine),
    ///     ..Run::new("fuse to pump".into(), 2.0, Conductor::Mm2 { area_mm2: 0.75 }, Interval::exact(0.0), 70.0)
    /// };
    /// let question =
    ///     RunQuestion { run, rms_a: 3.0, on_a: None, ambient_degc: 30.0, supply_v: Some(12.0), cooling: None };
    /// let answer = question.answer()?;
    /// assert!((answer.drop_v.unwrap().high - 0.33).abs() < 0.01);
    /// assert_eq!(answer.limit.unwrap().current_a, 12.0);
    /// assert_eq!(RunQuestion { rms_a: -3.0, ..question }.answer().unwrap_err()[0].path(), "/rms_a");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<LeadAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        Ok(self.solved())
    }

    /// As [`RunQuestion::answer`], for values that were checked.
    pub(crate) fn solved(&self) -> LeadAnswer {
        let run = &self.run;
        let built = run.built();
        let limits = self.limits();
        let (conductor_degc, temperature_from) = self.temperature(&limits);
        let at = |degc| {
            let (metre, by) = (built.metre_ohm(), run.metres() * built.warm_ratio(degc));
            Interval {
                low: metre.low * by + run.joints_ohm.low,
                likely: metre.likely * by + run.joints_ohm.likely,
                high: metre.high * by + run.joints_ohm.high,
            }
        };
        let resistance_ohm =
            conductor_degc.map(|degc| Interval { low: at(self.ambient_degc.min(degc)).low, ..at(degc) });
        let on_a = self.on_a.unwrap_or(self.rms_a);
        let drop_v = resistance_ohm.map(|ohm| times(ohm, on_a));
        let drop_ratio = drop_v.and_then(|drop_v| self.supply_v.map(|supply_v| times(drop_v, 1.0 / supply_v)));
        let limit = limits.first().cloned();
        let strip = run.conductor.is_strip();
        let copper = matches!(built.metal, Metal::Copper | Metal::TinnedCopper);
        let parallel = f64::from(run.parallel());
        let area_mm2 = run.conductor.area_mm2();
        let conductor = built.phrase();
        LeadAnswer {
            conductor_words: conductor.words,
            conductor_said: conductor.said,
            length_words: length_words(run),
            area_mm2,
            conductor_degc,
            temperature_from,
            resistance_ohm,
            drop_v,
            drop_ratio,
            over_supply: drop_ratio.is_some_and(|ratio| ratio.high >= 1.0),
            loss_w: resistance_ohm.map(|ohm| self.rms_a * self.rms_a * ohm.high),
            limit_ratio: limit.as_ref().filter(|limit| limit.current_a > 0.0).map(|limit| self.rms_a / limit.current_a),
            limit,
            limits,
            small_conductor: small_conductor_fuse_a(&built),
            fusing_a: if strip { None } else { preece_metal_a(built.metal, diameter_m(area_mm2)).ok() },
            withstand_a2s: withstand_a2s(area_mm2).ok().filter(|_| copper).map(|one| one * parallel * parallel),
            mass_kg: built.kg_per_m() * run.length_m * f64::from(run.ways()) * parallel,
            metal_words: strip.then_some(NICKEL_OR_STEEL),
        }
    }

    fn heat(&self, k_m_per_w: f64) -> Heat {
        let built = self.run.built();
        Heat {
            ohm_per_m: built.metre_ohm().high,
            alpha_20_per_k: built.metal.row().alpha_20_per_k,
            ambient_degc: self.ambient_degc,
            k_m_per_w,
        }
    }

    /// Every limit of the lead, the lowest first.
    pub(crate) fn limits(&self) -> Vec<WireLimit> {
        let run = &self.run;
        if let Some(cooling) = &self.cooling {
            let one_a = self.heat(cooling.k_m_per_w(&run.conductor)).current_a(run.insulation_degc);
            return [WireLimit::derived(one_a * f64::from(run.parallel()), run.insulation_degc)].into();
        }
        let Some(lies) = run.lies else { return Vec::new() };
        let (conductor, parallel, insulation_degc) = (run.built(), run.parallel(), run.insulation_degc);
        Place { conductor, parallel, lies, insulation_degc, ambient_degc: self.ambient_degc }.limits()
    }

    /// Temperature of the conductor, and how it was found.
    fn temperature(&self, limits: &[WireLimit]) -> (Option<f64>, TemperatureFrom) {
        let run = &self.run;
        let one_a = self.rms_a / f64::from(run.parallel());
        let by = |cooling: &Cooling| self.heat(cooling.k_m_per_w(&run.conductor)).steady_degc(one_a);
        if let Some(cooling) = &self.cooling {
            return (by(cooling), TemperatureFrom::Cooling);
        }
        match (limits.first(), run.lies) {
            (Some(limit), _) => {
                let heat = self.limit_heat(limit);
                (heat.and_then(|heat| heat.steady_degc(one_a)), TemperatureFrom::PublishedLimit)
            }
            (None, Some(Lies::FreeAir) | None) => (by(&Cooling::STILL_AIR), TemperatureFrom::StillAir),
            // Among others it is no cooler than alone in still air.
            (None, Some(_)) => {
                let alone_degc = by(&Cooling::STILL_AIR);
                (alone_degc.map(|degc| degc.max(run.insulation_degc)), TemperatureFrom::InsulationRating)
            }
        }
    }

    /// Heating such that the limit's temperature is reached at the limit.
    fn limit_heat(&self, limit: &WireLimit) -> Option<Heat> {
        let one_a = limit.current_a / f64::from(self.run.parallel());
        let alone_a = self.heat(1.0).current_a(limit.conductor_degc);
        (one_a > 0.0).then(|| self.heat((alone_a / one_a) * (alone_a / one_a)))
    }
}

fn times(interval: Interval, by: f64) -> Interval {
    Interval { low: interval.low * by, likely: interval.likely * by, high: interval.high * by }
}

fn length_words(run: &Run) -> String {
    let length_m = run.length_m;
    match run.way.unwrap_or(Way::OutAndBack) {
        Way::OutAndBack => format!(
            "{length_m:.2} m from end to end; the current goes out and comes back, through {:.2} m of conductor",
            2.0 * length_m
        ),
        Way::OneWay => format!("{length_m:.2} m from end to end; the current goes one way, through {length_m:.2} m"),
    }
}
