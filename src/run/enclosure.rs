//! The box: pack, switch and leads heat the air around them, and each then sits in that air.
//!
//! ```text
//! air_degc  = place_degc + box_k_per_w · (pack_w + switch_w + leads_w + other_w)
//! cell_degc = air_degc + cell_k_per_w · (heat of the hottest cell)
//! charging  = place_degc + (box_k_per_w + cell_k_per_w · share_ratio) · charging_w
//! ```
//!
//! `share_ratio` is the share of the hottest cell in the heat of all cells as it is in use.
//!
//! Every heat depends on the temperature it makes; the air is found by going round until it moves less than 0.01 K.
//! Hottest: the hottest place, every heat at its high end, each cell at the highest heat of the whole discharge, all
//! settled, as if the hardest minute lasted. Coldest: the coldest place just after switching on, before anything has
//! warmed. A cell warmer than 45 °C is taken to heat as at 45 °C, where the cell model ends: warmer cells heat less.
//! Holds for one body of air with one thermal resistance to the outside; a wet floor, sun on the lid and parts that touch
//! each other are not in it. Source: Newton's law of cooling, derived.

use crate::data::fuse::FuseFamily;
use crate::error::{Check, Error};
use crate::part::cell::Chemistries;
use crate::part::fuse::carried_ratio;
use crate::part::switch::{Heat, Switch};
use crate::part::wire::{Cooling, Run, RunQuestion};
use crate::quantity::{End, Interval};
use crate::run::discharge::Discharge;
use crate::run::pack_run::{PackRun, RunEnds};
use alloc::string::String;
use alloc::vec::Vec;

/// Temperatures between which the cell model holds, in degrees Celsius.
pub const MODEL_DEGC: (f64, f64) = (0.0, 45.0);

/// Highest temperature of the air for which a number is given, in degrees Celsius.
pub const AIR_HIGH_DEGC: f64 = 150.0;

/// The air is found to this, in kelvin.
const FOUND_K: f64 = 0.01;

/// Rounds after which there is taken to be no balance.
const ROUNDS: usize = 80;

/// A lead that lies in the box.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BoxLead {
    /// The lead.
    pub run: Run,
    /// How it sheds heat to the air in the box; as in a bundle where left out.
    pub cooling: Option<Cooling>,
}

/// A fuse that sits in the box.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BoxFuse {
    /// Kind of fuse.
    pub family: FuseFamily,
    /// Its rating, in amperes.
    pub rating_a: f64,
}

/// A pack with its parts in a box.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BoxHeat {
    /// The pack and its loads; its temperature is not used, the air in the box takes its place.
    pub run: PackRun,
    /// Temperature of the place where the box stands, in degrees Celsius: frost, likely, the shed in summer.
    pub place_degc: Interval,
    /// Thermal resistance from the air in the box to the place, in kelvin per watt.
    pub box_k_per_w: Interval,
    /// Thermal resistance from one cell to the air in the box, in kelvin per watt.
    pub cell_k_per_w: Interval,
    /// The switch, where it sits in the box; the air in the box takes the place of its own temperature. Where every load
    /// is chopped, its current is no less than that of the pack.
    pub switch: Option<Switch>,
    /// The leads in the box; each carries the whole current.
    pub leads: Vec<BoxLead>,
    /// The fuse, where it sits in the box.
    pub fuse: Option<BoxFuse>,
    /// Heat of everything else in the box while it runs, in watts: board, fuse, converter, timer.
    pub other_w: Interval,
    /// Heat in the box while the pack is charged, in watts; charging is not judged where left out.
    pub charging_w: Option<Interval>,
}

/// One lead in the air of the box.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BoxLeadHeat {
    /// The maker's name for it.
    pub name: String,
    /// Temperature of the conductor, in degrees Celsius; none where there is none up to 200 °C.
    pub conductor_degc: Option<f64>,
    /// Highest temperature its insulation stands, in degrees Celsius.
    pub insulation_degc: f64,
}

/// Temperatures in the box at one place.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BoxPlace {
    /// Temperature of the place, in degrees Celsius.
    pub place_degc: f64,
    /// Temperature of the air in the box, in degrees Celsius; none where no temperature balances the heat.
    pub air_degc: Option<f64>,
    /// Temperature of the hottest cell, in degrees Celsius.
    pub cell_degc: Option<f64>,
    /// Heat of all cells and the links between them, in watts.
    pub pack_w: f64,
    /// Heat of the switch and its diode, in watts; none where it is not known.
    pub switch_w: Option<f64>,
    /// Heat of the leads, in watts.
    pub leads_w: f64,
    /// The switch's junction, where there is a switch.
    pub switch: Option<Heat>,
    /// The leads in the order they were given.
    pub leads: Vec<BoxLeadHeat>,
    /// Current that the fuse carries for good in this air, in amperes; none without a fuse, or above the temperatures
    /// that are published for it.
    pub fuse_a: Option<f64>,
    /// RMS current of the pack at its highest, in amperes.
    pub rms_a: f64,
    /// Whether a cell is outside the temperatures in which the model holds, so that its heat is taken at the bound.
    pub beyond_model: bool,
}

/// The box at its three places.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BoxHeatAnswer {
    /// The hottest place, everything at its hot end and settled.
    pub hottest: BoxPlace,
    /// The likely place and the likely values, settled.
    pub likely: BoxPlace,
    /// The coldest place, just switched on.
    pub coldest: BoxPlace,
    /// Temperature of the cells while they are charged, in degrees Celsius: coldest, likely, hottest; none where the
    /// heat of charging was left out.
    pub charging_degc: Option<Interval>,
}

/// Heats at one temperature of the air.
struct Heats {
    /// RMS current of the pack at its highest.
    rms_a: f64,
    hottest_cell_w: f64,
    pack_w: f64,
    switch: Option<Heat>,
    switch_w: Option<f64>,
    leads: Vec<BoxLeadHeat>,
    leads_w: f64,
    /// A lead or the switch has no steady temperature.
    endless: bool,
}

impl BoxHeat {
    /// Temperatures at the three places.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    pub fn answer(&self) -> Result<BoxHeatAnswer, Vec<Error>> {
        let chemistries = self.chemistries()?;
        Ok(BoxHeatAnswer {
            hottest: self.settled(&chemistries, End::High)?,
            likely: self.settled(&chemistries, End::Likely)?,
            coldest: self.switched_on(&chemistries)?,
            charging_degc: self.charging_degc(&chemistries)?,
        })
    }

    /// The chemistries of the pack, where nothing is wrong with the inputs.
    pub(crate) fn chemistries(&self) -> Result<Chemistries, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let used = self.run.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
        Chemistries::new(&self.run.own_chemistries, used).map_err(in_run)
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("run", |check| self.run.check(check));
        self.place_degc.note(check, "place_degc", -40.0, 85.0);
        self.box_k_per_w.note(check, "box_k_per_w", 0.0, 100.0);
        self.cell_k_per_w.note(check, "cell_k_per_w", 0.0, 100.0);
        self.other_w.note(check, "other_w", 0.0, 1000.0);
        if let Some(charging_w) = self.charging_w {
            charging_w.note(check, "charging_w", 0.0, 1000.0);
        }
        if let Some(switch) = &self.switch {
            check.inside("switch", |check| switch.check(check));
        }
        if self.leads.len() > 50 {
            check.note(Error::range("leads", self.leads.len() as f64, 0.0, 50.0));
        }
        for (i, lead) in self.leads.iter().enumerate() {
            check.inside("leads", |check| {
                check.inside(i, |check| {
                    check.inside("run", |check| lead.run.check(check));
                    if let Some(cooling) = &lead.cooling {
                        check.inside("cooling", |check| cooling.check(check));
                    }
                });
            });
        }
        if let Some(fuse) = &self.fuse {
            check.inside("fuse", |check| check.within("rating_a", fuse.rating_a, 0.01, 1000.0));
        }
    }

    /// The box when everything has settled, at one end of every input.
    fn settled(&self, chemistries: &Chemistries, end: End) -> Result<BoxPlace, Vec<Error>> {
        let place_degc = self.place_degc.at(end);
        let (box_k_per_w, cell_k_per_w) = (self.box_k_per_w.at(end), self.cell_k_per_w.at(end));
        let (mut air_degc, mut cell_degc) = (place_degc, place_degc);
        for _ in 0..ROUNDS {
            let heats = self.heats(chemistries, end, air_degc, cell_degc)?;
            let all_w = heats.pack_w + heats.switch_w.unwrap_or(0.0) + heats.leads_w + self.other_w.at(end);
            let wanted_degc = place_degc + box_k_per_w * all_w;
            let wanted_cell_degc = wanted_degc + cell_k_per_w * heats.hottest_cell_w;
            let moved = libm::fabs(wanted_degc - air_degc).max(libm::fabs(wanted_cell_degc - cell_degc));
            if moved < FOUND_K && !heats.endless {
                return Ok(self.told(&heats, place_degc, Some(wanted_degc), Some(wanted_cell_degc)));
            }
            // Cells that warm heat less: half of the way keeps them from swinging.
            air_degc += 0.5 * (wanted_degc - air_degc);
            cell_degc += 0.5 * (wanted_cell_degc - cell_degc);
            if heats.endless || air_degc > AIR_HIGH_DEGC {
                return Ok(self.told(&heats, place_degc, None, None));
            }
        }
        Ok(self.told(&self.heats(chemistries, end, air_degc, cell_degc)?, place_degc, None, None))
    }

    /// The box at the coldest place before anything has warmed.
    fn switched_on(&self, chemistries: &Chemistries) -> Result<BoxPlace, Vec<Error>> {
        let place_degc = self.place_degc.low;
        let heats = self.heats(chemistries, End::Low, place_degc, place_degc)?;
        Ok(self.told(&heats, place_degc, Some(place_degc), Some(place_degc)))
    }

    /// Every heat in one air, the cells at one temperature.
    fn heats(&self, chemistries: &Chemistries, end: End, air_degc: f64, cell_degc: f64) -> Result<Heats, Vec<Error>> {
        let runs = self.hardest(chemistries, end, cell_degc)?;
        let most = |of: fn(&Discharge) -> f64| runs.iter().map(of).fold(0.0, f64::max);
        let (peak_a, rms_a) = (most(|run| run.peak_a), most(|run| run.peak_rms_a));
        let links_w = self.run.pack.link_ohm.at(end) * rms_a * rms_a;
        let pack_w = most(|run| cell_heats_w(run).sum()) + links_w;
        let hottest_cell_w = most(|run| cell_heats_w(run).fold(0.0, f64::max));
        let all_chopped = !self.run.loads.is_empty() && self.run.loads.iter().all(|load| load.chopped);
        let pack_a = if all_chopped { peak_a } else { 0.0 };
        let warm = |switch: Switch| Switch { ambient_degc: air_degc, on_a: switch.on_a.max(pack_a), ..switch };
        let switch = self.switch.map(|switch| warm(switch).worked());
        let heat = switch.as_ref().map(|switch| switch.with_sink.unwrap_or(switch.without_sink));
        let diode_w = switch.as_ref().and_then(|switch| switch.flyback).map_or(0.0, |flyback| flyback.loss_w);
        let switch_w = match heat {
            Some(Heat::Settles(settled)) => Some(settled.total_w + diode_w),
            None => Some(0.0),
            Some(_) => None,
        };
        let mut endless = matches!(heat, Some(Heat::TooHot | Heat::RunsAway));
        let (mut leads, mut leads_w) = (Vec::with_capacity(self.leads.len()), 0.0);
        for lead in &self.leads {
            let answer = lead.question(rms_a, air_degc).solved();
            leads_w += answer.loss_w.unwrap_or(0.0);
            endless |= answer.conductor_degc.is_none();
            let (name, insulation_degc) = (lead.run.name.clone(), lead.run.insulation_degc);
            leads.push(BoxLeadHeat { name, conductor_degc: answer.conductor_degc, insulation_degc });
        }
        Ok(Heats { rms_a, hottest_cell_w, pack_w, switch: heat, switch_w, leads, leads_w, endless })
    }

    /// The discharges among which the hardest at this end is, for cells and for what carries the current.
    ///
    /// A load that draws more at more voltage, such as a heater, heats the cells most through the shortest leads, and draws
    /// most from the stiffest pack.
    fn hardest(&self, chemistries: &Chemistries, end: End, cell_degc: f64) -> Result<Vec<Discharge>, Vec<Error>> {
        let heating = self.discharge(chemistries, end, cell_degc)?;
        if end != End::High {
            return Ok(Vec::from([heating]));
        }
        let run = self.run_at(cell_degc);
        let at = |ends: RunEnds| run.run(chemistries, ends).map_err(in_run);
        let short_leads = at(RunEnds { leads: End::Low, ..RunEnds::LEAST })?;
        let stiff = at(RunEnds { loads: End::High, ..RunEnds::MOST })?;
        Ok(Vec::from([heating, short_leads, stiff]))
    }

    /// The discharge that heats most at this end, its cells held at one temperature.
    fn discharge(&self, chemistries: &Chemistries, end: End, cell_degc: f64) -> Result<Discharge, Vec<Error>> {
        let ends = if end == End::Likely { RunEnds::LIKELY } else { RunEnds::LEAST };
        self.run_at(cell_degc).run(chemistries, ends).map_err(in_run)
    }

    /// The run with its cells held at one temperature, or at the bound of the model.
    fn run_at(&self, cell_degc: f64) -> PackRun {
        let held_degc = cell_degc.clamp(MODEL_DEGC.0, MODEL_DEGC.1);
        PackRun { ambient_degc: Interval::exact(held_degc), heat_path: None, ..self.run.clone() }
    }

    fn told(&self, heats: &Heats, place_degc: f64, air_degc: Option<f64>, cell_degc: Option<f64>) -> BoxPlace {
        let fuse_a = self
            .fuse
            .zip(air_degc)
            .and_then(|(fuse, air_degc)| carried_ratio(fuse.family, air_degc).map(|ratio| ratio * fuse.rating_a));
        BoxPlace {
            place_degc,
            air_degc,
            cell_degc,
            pack_w: heats.pack_w,
            switch_w: heats.switch_w,
            leads_w: heats.leads_w,
            switch: heats.switch,
            leads: heats.leads.clone(),
            fuse_a,
            rms_a: heats.rms_a,
            beyond_model: cell_degc.is_none_or(|degc| !(MODEL_DEGC.0..=MODEL_DEGC.1).contains(&degc)),
        }
    }

    /// Temperature of the hottest cell while the pack is charged; in the cold before it has warmed.
    fn charging_degc(&self, chemistries: &Chemistries) -> Result<Option<Interval>, Vec<Error>> {
        let Some(charging_w) = self.charging_w else { return Ok(None) };
        let share_ratio = self.hottest_share(chemistries)?;
        let at = |end: End| {
            let k_per_w = self.box_k_per_w.at(end) + self.cell_k_per_w.at(end) * share_ratio;
            self.place_degc.at(end) + k_per_w * charging_w.at(end)
        };
        Ok(Some(Interval { low: self.place_degc.low, likely: at(End::Likely), high: at(End::High) }))
    }

    /// Share of the hottest cell in the heat of all cells.
    fn hottest_share(&self, chemistries: &Chemistries) -> Result<f64, Vec<Error>> {
        let run = self.discharge(chemistries, End::High, self.place_degc.high)?;
        let all_w: f64 = cell_heats_w(&run).sum();
        let even_ratio = 1.0 / (cell_heats_w(&run).count() as f64).max(1.0);
        Ok(if all_w > 0.0 { (cell_heats_w(&run).fold(0.0, f64::max) / all_w).max(even_ratio) } else { even_ratio })
    }
}

impl BoxLead {
    fn question(&self, rms_a: f64, ambient_degc: f64) -> RunQuestion {
        let cooling = Some(self.cooling.unwrap_or(Cooling::CLOSE));
        RunQuestion { run: self.run.clone(), rms_a, on_a: None, ambient_degc, supply_v: None, cooling }
    }
}

/// Highest heat of each cell, in watts.
fn cell_heats_w(run: &Discharge) -> impl Iterator<Item = f64> {
    run.groups.iter().flat_map(|group| &group.cells).map(|cell| cell.peak_heat_w)
}

fn in_run(errors: Vec<Error>) -> Vec<Error> {
    errors.into_iter().map(|error| error.at("run")).collect()
}
