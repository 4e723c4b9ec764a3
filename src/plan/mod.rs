//! One plan in, one report out.
//!
//! A [`Plan`] holds everything the maker knows of one build; [`Plan::report`] works it out in one go, so that no number
//! can disagree with another: the pack's voltage feeds the timer, the load's current warms the wire, the wire's drop
//! shortens the runtime.

mod chances;
mod charge;
pub mod compare;
mod envelope;
pub mod first;
pub mod inputs;
mod judge;
mod leads;
mod packed;
pub mod report;
pub mod review;

pub use inputs::{
    Board, ChargingSetup, Control, Fuse, FuseChoice, MainSwitch, MainSwitchChoice, Origin, Protection, SupplyBuffer,
};
pub(crate) use judge::{fuse_carries, in_order, lead_in_use};
pub use report::Report;

use crate::error::{Check, Error};
use crate::pack::Pack;
use crate::part::cell::{Chemistries, OwnChemistry};
use crate::part::load::Load;
use crate::part::wire::{Cooling, LeadAnswer, Run, RunQuestion};
use crate::quantity::Interval;
use crate::quantity::turns::at_once;
use crate::run::diary::Diary;
pub(crate) use crate::run::pack_run::Corners;
use crate::run::pack_run::{PackRun, corners};
use alloc::string::String;
use alloc::vec::Vec;

/// What a plan says, with what else was worked out for it.
pub(crate) struct Reviewed {
    pub(crate) report: Report,
    /// Cells in their groups at the corners that run shortest, likely and longest; none where they are unidentified.
    pub(crate) cells: Option<Corners>,
}

/// Format of the plan files this version reads and writes.
pub const FORMAT: u32 = 1;

/// Most loads and most leads that are accepted.
const MOST: usize = 20;

/// Everything the maker knows of one build.
///
/// What may be left out is an `Option`: a rule that needs it then says so, and never counts as passed.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Plan {
    /// Format of the file: 1.
    pub format: u32,
    /// The maker's name for the build.
    pub name: String,
    /// Where the cells come from.
    pub origin: Origin,
    /// Chemistries of the maker's own.
    pub own_chemistries: Vec<OwnChemistry>,
    /// The cells in their groups.
    pub pack: Pack,
    /// Whether something watches each group.
    pub protection: Option<Protection>,
    /// What the pack runs, in parallel.
    pub loads: Vec<Load>,
    /// The speed control, where there is one.
    pub control: Option<Control>,
    /// Every lead between pack and loads, there and back.
    pub runs: Vec<Run>,
    /// The fuse.
    pub fuse: Option<FuseChoice>,
    /// The main switch.
    pub main_switch: Option<MainSwitchChoice>,
    /// How the pack is charged.
    pub charging: Option<ChargingSetup>,
    /// Temperature where it is used, in degrees Celsius.
    pub ambient_degc: Interval,
    /// Runtime that is wanted, in seconds.
    pub wanted_runtime_s: Option<f64>,
    /// What was measured on the finished pack from time to time.
    pub diary: Option<Diary>,
}

impl Plan {
    /// Works the plan out. Unidentified cells are taken for every kind they may be, and the worst of each is said.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place. A plan of a later format is refused before
    /// anything else is looked at.
    pub fn report(&self) -> Result<Report, Vec<Error>> {
        at_once(self.reviewed()).map(|reviewed| reviewed.report)
    }

    /// As [`Plan::report`], in turns of a run or two.
    ///
    /// # Errors
    ///
    /// As there.
    pub(crate) async fn reviewed(&self) -> Result<Reviewed, Vec<Error>> {
        self.checked()?;
        if self.pack.has_unidentified() {
            return envelope::report(self).await.map(|report| Reviewed { report, cells: None });
        }
        review::review(self).await
    }

    /// Looks at every value of the plan.
    ///
    /// # Errors
    ///
    /// Everything out of range, each with its place.
    pub fn checked(&self) -> Result<(), Vec<Error>> {
        if self.format != FORMAT {
            return Err(alloc::vec![Self::wrong_format(f64::from(self.format))]);
        }
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()
    }

    /// What is said of a plan of another format.
    #[must_use]
    pub fn wrong_format(given: f64) -> Error {
        let given = if given > f64::from(FORMAT) {
            alloc::format!("{given}, made by a later version of cellwright")
        } else {
            alloc::format!("{given}")
        };
        Error::other("format", given, "1, the first there ever was; a newer cellwright reads newer plans")
    }

    /// The pack with these loads and this resistance between them, for whatever runs it.
    fn pack_run(&self, loads: Vec<Load>, lead_ohm: Interval) -> PackRun {
        PackRun {
            own_chemistries: self.own_chemistries.clone(),
            pack: self.pack.clone(),
            loads,
            lead_ohm,
            ambient_degc: self.ambient_degc,
            cut_off_v: self.cut_off_v(),
            trip_a: None,
            heat_path: None,
            time_s: None,
        }
    }

    /// The cells in their groups at the corners that run shortest, likely and longest.
    pub(crate) fn corners(&self, chemistries: &Chemistries) -> Result<Corners, Vec<Error>> {
        corners(&self.pack, chemistries, self.ambient_degc)
    }

    /// What a lead does in the hottest surroundings; one that nobody says how it lies is taken as lying close.
    fn lead(&self, run: &Run, rms_a: f64, on_a: Option<f64>, supply_v: Option<f64>) -> LeadAnswer {
        let cooling = run.lies.is_none().then_some(Cooling::CLOSE);
        let ambient_degc = self.ambient_degc.high;
        RunQuestion { run: run.clone(), rms_a, on_a, ambient_degc, supply_v, cooling }.solved()
    }

    /// Voltage of a group at which the board cuts off, in volts.
    pub(crate) fn cut_off_v(&self) -> Option<f64> {
        self.protection.as_ref().and_then(Protection::board).and_then(|board| board.cut_off_v)
    }

    fn check(&self, check: &mut Check) {
        if self.name.chars().count() > 200 {
            check.note(Error::other("name", "a longer text", "at most 200 characters"));
        }
        check.inside("pack", |check| self.pack.check(check));
        few(check, "loads", self.loads.len());
        for (i, load) in self.loads.iter().enumerate() {
            check.inside("loads", |check| check.inside(i, |check| load.check(check)));
        }
        few(check, "runs", self.runs.len());
        for (i, run) in self.runs.iter().enumerate() {
            check.inside("runs", |check| check.inside(i, |check| run.check(check)));
        }
        if let Some(protection) = &self.protection {
            check.inside("protection", |check| protection.check(check));
        }
        if let Some(control) = &self.control {
            check.inside("control", |check| control.check(check));
            let chopped = self.loads.iter().filter(|load| load.chopped).count();
            if control.driven.is_some() && chopped != 1 {
                let given = alloc::format!("given beside {chopped} chopped loads");
                check.inside("control", |check| {
                    check.note(Error::other("driven", given, "exactly one load that is chopped, whose place it takes"));
                });
            }
        }
        if let Some(fuse) = &self.fuse {
            check.inside("fuse", |check| fuse.check(check));
        }
        if let Some(switch) = &self.main_switch {
            check.inside("main_switch", |check| switch.check(check));
        }
        if let Some(charging) = &self.charging {
            check.inside("charging", |check| charging.check(check));
        }
        self.ambient_degc.note(check, "ambient_degc", -20.0, 60.0);
        if let Some(wanted_s) = self.wanted_runtime_s {
            check.within("wanted_runtime_s", wanted_s, 1.0, 2_592_000.0);
        }
        if let Some(diary) = &self.diary {
            check.inside("diary", |check| diary.check(check, self.pack.groups.len()));
        }
    }
}

fn few(check: &mut Check, field: &'static str, count: usize) {
    if count > MOST {
        check.note(Error::range(field, count as f64, 0.0, MOST as f64));
    }
}
