//! The smallest size of a lead that keeps a wanted drop and the limit for how it lies.
//!
//! Sizes are tried in rising order over the gauges, the metric sizes or the layers of strip, and both conditions are
//! judged at the end that makes it worse: the largest resistance at the working temperature, the lowest limit. A size
//! without a published limit is not chosen: that would be a guess.

use super::conductor::Conductor;
use super::lead::{LeadAnswer, RunQuestion};
use super::run::Run;
use crate::data::conductor::{AREAS, THIN_AREAS_MM2};
use crate::error::{Check, Error};
use alloc::string::String;
use alloc::vec::Vec;

/// Asks for the smallest size that keeps a drop and a limit.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SizeQuestion {
    /// The run; its conductor says which kind of sizes to try (gauges, mm², layers of that strip), not which size.
    pub run: Run,
    /// RMS current, in amperes: what heats it.
    pub rms_a: f64,
    /// Current while the load is on, in amperes, for the drop; the RMS current where left out.
    pub on_a: Option<f64>,
    /// Temperature of the surroundings, in degrees Celsius.
    pub ambient_degc: f64,
    /// Lowest voltage of the pack at which the drop must be kept, in volts.
    pub supply_v: f64,
    /// Largest share of that voltage that may be lost on this run.
    pub drop_ratio: f64,
}

/// Which size does it.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SizeAnswer {
    /// The smallest size that keeps both; nothing where none does.
    pub conductor: Option<Conductor>,
    /// What the lead does with it.
    pub lead: Option<LeadAnswer>,
    /// Every size that was tried, the smallest first.
    pub sizes: Vec<SizeRow>,
}

/// One size that was tried.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SizeRow {
    /// What it is, in words.
    pub words: String,
    /// Its cross-section, in square millimetres.
    pub area_mm2: f64,
    /// Share of the supply that is lost, at the most; nothing where the conductor gets too hot.
    pub drop_ratio: Option<f64>,
    /// Its limit, in amperes, where one is published.
    pub limit_a: Option<f64>,
    /// Whether the drop is kept.
    pub keeps_drop: bool,
    /// Whether the limit is kept; nothing where none is published.
    pub keeps_limit: Option<bool>,
}

impl SizeQuestion {
    fn at(&self, conductor: Conductor) -> RunQuestion {
        RunQuestion {
            run: Run { conductor, ..self.run.clone() },
            rms_a: self.rms_a,
            on_a: self.on_a,
            ambient_degc: self.ambient_degc,
            supply_v: Some(self.supply_v),
            cooling: None,
        }
    }

    /// The smallest size that keeps drop and limit.
    ///
    /// # Errors
    ///
    /// Every value out of range, with its place; or a run that does not say how it lies.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::Interval;
    /// # use cellwright::part::wire::{Conductor, Lies, Run, SizeQuestion, Strands};
    /// let run = Run {
    ///     lies: Some(Lies::Surface), strands: Some(Strands::Fine),
    ///     ..Run::new("fuse to blower".into(), 1.5, Conductor::Mm2 { area_mm2: 1.0 }, Interval::exact(0.0), 70.0)
    /// };
    /// let question =
    ///     SizeQuestion { run, rms_a: 5.0, on_a: None, ambient_degc: 30.0, supply_v: 10.5, drop_ratio: 0.03 };
    /// assert_eq!(question.answer()?.conductor, Some(Conductor::Mm2 { area_mm2: 1.0 }));
    /// assert!(SizeQuestion { drop_ratio: 0.0, ..question }.answer().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<SizeAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.at(self.run.conductor).check(&mut check);
        check.within("drop_ratio", self.drop_ratio, 1e-4, 0.5);
        if self.run.lies.is_none() {
            check.inside("run", |check| {
                check.note(Error::missing("lies", "how the lead lies: a size has no limit by itself"));
            });
        }
        check.finish()?;
        let mut found = None;
        let mut sizes = Vec::new();
        for conductor in candidates(self.run.conductor) {
            let lead = self.at(conductor).solved();
            let row = self.judged(&lead);
            if found.is_none() && row.keeps_drop && row.keeps_limit == Some(true) {
                found = Some((conductor, lead));
            }
            sizes.push(row);
        }
        let (conductor, lead) = found.unzip();
        Ok(SizeAnswer { conductor, lead, sizes })
    }

    fn judged(&self, lead: &LeadAnswer) -> SizeRow {
        let drop_ratio = lead.drop_ratio.map(|ratio| ratio.high);
        let limit_a = lead.limit.as_ref().map(|limit| limit.current_a);
        SizeRow {
            words: lead.conductor_words.clone(),
            area_mm2: lead.area_mm2,
            drop_ratio,
            limit_a,
            keeps_drop: drop_ratio.is_some_and(|ratio| ratio <= self.drop_ratio),
            keeps_limit: limit_a.map(|limit_a| self.rms_a <= limit_a),
        }
    }
}

/// Sizes of the same kind, the smallest first.
fn candidates(conductor: Conductor) -> Vec<Conductor> {
    match conductor {
        Conductor::Awg { .. } => {
            (6..=30).rev().step_by(2).map(|gauge| Conductor::Awg { gauge: f64::from(gauge) }).collect()
        }
        Conductor::Mm2 { .. } => {
            let areas = THIN_AREAS_MM2.into_iter().chain(AREAS.iter().map(|row| row.area_mm2));
            areas.map(|area_mm2| Conductor::Mm2 { area_mm2 }).collect()
        }
        Conductor::Strip { width_m, thickness_m, .. } => {
            (1..=20).map(|layers| Conductor::Strip { width_m, thickness_m, layers }).collect()
        }
    }
}
