//! A pack in use: so many minutes at that setting, so many off, again and again, and what draws in between.
//!
//! Each phase is a discharge of [`crate::run::discharge`] from the states the one before has left, so that the cells
//! recover in the pauses. With the switch off the rests of the circuit go on drawing, and the cells discharge
//! themselves:
//!
//! ```text
//! soc lost in a phase = self_discharge_ratio_per_month · time / 30 days
//! storage time        = charge of the weakest group between two rest voltages / (current + self-discharge)
//! ```
//!
//! Self-discharge is taken off at the end of a phase. Source: counting of charge.

mod after;
mod course;

pub use after::{Restart, Restarts, StandingTimes};
pub use course::{ProfileRun, UsePoint};

use crate::error::{Check, Error};
use crate::part::cell::Chemistries;
use crate::part::load::Load;
use crate::quantity::Interval;
use crate::run::discharge::TIME_MAX_S;
use crate::run::pack_run::{PackRun, RunEnds};
use alloc::string::String;
use alloc::vec::Vec;
use course::{Course, Told};

/// Most phases times repeats times cells of one question.
pub const EFFORT_MOST: f64 = 100_000.0;

/// What is switched on in a phase.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum UseState {
    /// The switch is off.
    Off,
    /// The switch is on and the knob stands at its minimum.
    KnobMinimum,
    /// In use.
    Running {
        /// What runs, besides the loads of `run`, which draw whenever the switch is on.
        loads: Vec<Load>,
    },
}

/// A stretch of time with the same things switched on.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct UsePhase {
    /// The maker's name for it.
    pub name: String,
    /// How long it lasts, in seconds.
    pub time_s: f64,
    /// What is switched on.
    pub state: UseState,
}

/// What draws although nothing runs.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StandingDraw {
    /// Mean current with the switch on and the knob at its minimum, in amperes; not known where left out.
    pub knob_minimum_a: Option<Interval>,
    /// Current with the switch off, in amperes: the board, a charge display, what leaks; it flows in use as well.
    pub switch_off_a: Interval,
    /// Current after the protection has cut off, in amperes: the board itself and what hangs before it.
    pub cut_off_a: Interval,
    /// Charge that the cells lose by themselves in a month, as a ratio.
    pub self_discharge_ratio_per_month: Interval,
}

/// What happens after a cut-off.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct AfterCutOff {
    /// Whether the board stays off until a charger is connected; not known where left out.
    pub stays_off: Option<bool>,
    /// Group voltage at which the board switches on again by itself, in volts.
    pub release_v: Option<Interval>,
    /// Voltage at the loads at which a load that dropped out starts again, in volts.
    pub load_restart_v: Option<Interval>,
}

/// A pack, how it is used, and what draws in between.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct UseProfile {
    /// The pack, full at the start; its loads draw whenever the switch is on. Its time limit is not used.
    pub run: PackRun,
    /// The phases in their order.
    pub phases: Vec<UsePhase>,
    /// How often all of them follow one another.
    pub repeats: u32,
    /// What draws although nothing runs.
    pub standing: StandingDraw,
    /// What happens after a cut-off.
    pub after_cut_off: AfterCutOff,
}

/// How far the pack gets, and what happens at its end.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct UseProfileAnswer {
    /// Complete repeats until the pack ends: least, likely, most.
    pub rounds: Interval,
    /// Time in use until then, in seconds: least, likely, most.
    pub used_s: Interval,
    /// At the corner that ends first.
    pub least: ProfileRun,
    /// At the likely values.
    pub likely: ProfileRun,
    /// At the corner that ends last.
    pub most: ProfileRun,
    /// Voltage under which a cell is given up, in volts; none where no rule is known for a chemistry of the pack.
    pub damage_v: Option<f64>,
    /// How long the pack may stand.
    pub standing: StandingTimes,
    /// What a cut-off in the heaviest phase is followed by.
    pub restart: Restart,
}

impl UseProfile {
    /// How far the pack gets.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    pub fn answer(&self) -> Result<UseProfileAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let in_run = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("run")).collect::<Vec<Error>>();
        let used = self.run.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
        let chemistries = Chemistries::new(&self.run.own_chemistries, used).map_err(in_run)?;
        let damage_v = self.damage_v(&chemistries).map_err(|error| in_run(error.into()))?;
        let pack = |ends| self.run.circuit(&chemistries, ends).map_err(in_run);
        let packs = [pack(RunEnds::LEAST)?, pack(RunEnds::LIKELY)?, pack(RunEnds::MOST)?];
        let [least_of, likely_of, most_of] = &packs;
        let course = |pack, ends| Course::new(self, pack, ends, damage_v);
        let courses =
            [course(least_of, RunEnds::LEAST), course(likely_of, RunEnds::LIKELY), course(most_of, RunEnds::MOST)];
        let [least, likely, most] = courses.each_ref().map(Course::go);
        let span = |promised: fn(&Told) -> f64, of: fn(&ProfileRun) -> f64| {
            let low = promised(&least).min(promised(&likely));
            let (likely, high) = (of(&likely.run), of(&most.run));
            Interval { low, likely, high: high.max(likely) }
        };
        Ok(UseProfileAnswer {
            rounds: span(|told| f64::from(told.rounds), |run| f64::from(run.rounds)),
            used_s: span(|told| told.used_s, |run| run.used_s),
            damage_v,
            standing: self.standing_times(&packs, damage_v),
            restart: self.restart(&courses),
            least: least.run,
            likely: likely.run,
            most: most.run,
        })
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("run", |check| self.run.check(check));
        if self.phases.is_empty() {
            check.note(Error::range("phases", 0.0, 1.0, 1000.0));
        }
        for (i, phase) in self.phases.iter().enumerate() {
            check.inside("phases", |check| check.inside(i, |check| phase.check(check, &self.standing)));
        }
        let cells: usize = self.run.pack.groups.iter().map(|group| group.cells.len()).sum();
        let work = (cells * self.phases.len()).max(1) as f64;
        check.within("repeats", f64::from(self.repeats), 1.0, (EFFORT_MOST / work).max(1.0));
        if work > EFFORT_MOST {
            check.note(Error::range("phases", self.phases.len() as f64, 1.0, EFFORT_MOST / cells.max(1) as f64));
        }
        check.inside("standing", |check| self.standing.check(check));
        check.inside("after_cut_off", |check| self.after_cut_off.check(check));
    }

    /// The highest voltage under which a cell of the pack is given up.
    fn damage_v(&self, chemistries: &Chemistries) -> Result<Option<f64>, Error> {
        let mut highest: Option<f64> = Some(0.0);
        for cell in self.run.pack.groups.iter().flat_map(|group| &group.cells) {
            let own_v = Some(chemistries.limits(&cell.chemistry)?.give_up_v).filter(|v| *v > 0.0);
            highest = highest.zip(own_v).map(|(highest, own_v)| highest.max(own_v));
        }
        Ok(highest)
    }
}

impl UsePhase {
    fn check(&self, check: &mut Check, standing: &StandingDraw) {
        check.within("time_s", self.time_s, 1.0, TIME_MAX_S);
        check.inside("state", |check| match &self.state {
            UseState::Off => {}
            UseState::KnobMinimum if standing.knob_minimum_a.is_some() => {}
            UseState::KnobMinimum => {
                let accepted = "off or running while standing/knob_minimum_a is not known";
                check.note(Error::other("knob_minimum", "this state", accepted));
            }
            UseState::Running { loads } => check.inside("running", |check| {
                if loads.len() > 20 {
                    check.note(Error::range("loads", loads.len() as f64, 0.0, 20.0));
                }
                for (i, load) in loads.iter().enumerate() {
                    check.inside("loads", |check| check.inside(i, |check| load.check(check)));
                }
            }),
        });
    }
}

impl StandingDraw {
    fn check(&self, check: &mut Check) {
        if let Some(knob_minimum_a) = self.knob_minimum_a {
            knob_minimum_a.note(check, "knob_minimum_a", 0.0, 1000.0);
        }
        self.switch_off_a.note(check, "switch_off_a", 0.0, 1.0);
        self.cut_off_a.note(check, "cut_off_a", 0.0, 1.0);
        self.self_discharge_ratio_per_month.note(check, "self_discharge_ratio_per_month", 0.0, 1.0);
    }
}

impl AfterCutOff {
    fn check(&self, check: &mut Check) {
        if let Some(release_v) = self.release_v {
            release_v.note(check, "release_v", 0.5, 5.0);
        }
        if let Some(load_restart_v) = self.load_restart_v {
            load_restart_v.note(check, "load_restart_v", 0.1, 100.0);
        }
    }
}
