//! A first plan from three answers: what it shall run, how long, and which cells there are.
//!
//! ```text
//! draw       what the label says, ± LABEL_RATIO
//! capacity   as measured; of a print: from CAPACITY_LEAST_RATIO of it to all of it
//! resistance as measured; else UNMEASURED_RATIO of what the published new cell of its kind has
//! series     the number of groups whose nominal voltage lies nearest at_v, of those that pack_size offers
//! parallel   what pack_size wants, or what there are cells for
//! ```
//!
//! It is a start, never ready: what was taken is told with its place, every cell counts as not measured, and fuse,
//! protection, leads and charging are left for the maker to enter. Source of what is taken: common practice, no source.

use super::inputs::Origin;
use super::{FORMAT, Plan};
use crate::data::chemistry::{LCO_LIMITS, LFP_LIMITS};
use crate::data::{COMMON_PRACTICE, Source, screening};
use crate::error::{Check, Error};
use crate::pack::size::{PackSize, PackWish};
use crate::pack::{Group, Pack};
use crate::part::cell::{
    CapacityTest, Cell, CellCircuit, Chemistries, Chemistry, Curves, MeterLeads, ResistanceMethod, ResistanceTest,
};
use crate::part::load::{Draw, Load};
use crate::quantity::Interval;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::sync::Arc;
use alloc::vec::Vec;

/// How far the draw may lie from a label, to both sides. Common practice, no source.
const LABEL_RATIO: f64 = 0.2;
/// Voltages between which a load counts as fed while groups are chosen, as shares of the one on its label: 9.0 to 15.0 V
/// for 12 V. Common practice, no source. Whether it stands them is for the maker to say.
const FED_RATIO: [f64; 2] = [0.75, 1.25];
/// Resistance of a strip or joint between groups, in ohms. Common practice, no source.
const JOINT_OHM: Interval = Interval { low: 0.001, likely: 0.002, high: 0.005 };
/// Temperature out of doors in the season of growing, in degrees Celsius. Common practice, no source.
const OUTDOORS_DEGC: Interval = Interval { low: 10.0, likely: 20.0, high: 35.0 };
/// Temperature at which cells are tested, in degrees Celsius. Common practice, no source.
const INDOORS_DEGC: f64 = 22.0;
/// Length of the pulse of a resistance test, in seconds. Common practice, no source.
const PULSE_S: f64 = 10.0;
/// Current of a test, in multiples of the capacity. Common practice, no source.
const TEST_C: f64 = 0.2;
/// Most cells that are accepted.
const CELLS_MOST: u32 = 400;

/// What a load is, as far as it tells how the draw follows the voltage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum FirstLoad {
    /// A pump.
    Pump,
    /// A fan or blower.
    Blower,
    /// A motor against a constant torque.
    Motor,
    /// A lamp with resistors or a filament.
    Lamp,
    /// A heater.
    Heater,
    /// Electronics or a lamp with a converter of its own.
    Electronics,
}

/// What the label says it draws.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum LabelDraw {
    /// A power.
    Power {
        /// In watts.
        power_w: f64,
    },
    /// A current.
    Current {
        /// In amperes.
        current_a: f64,
    },
}

/// The three answers.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FirstWish {
    /// Name of the build, and of what it runs.
    pub name: String,
    /// What it runs.
    pub load: FirstLoad,
    /// What the label says it draws.
    pub draw: LabelDraw,
    /// Voltage on the label, in volts.
    pub at_v: f64,
    /// How long it shall run, in seconds.
    pub runtime_s: f64,
    /// What the cells are made of.
    pub chemistry: Chemistry,
    /// How many there are.
    pub cells: u32,
    /// Capacity of one, in ampere-hours.
    pub capacity_ah: Interval,
    /// Whether that was measured, and is not what is printed on it.
    pub capacity_measured: bool,
    /// Measured resistance of one, in ohms.
    pub resistance_ohm: Option<Interval>,
}

/// A plan to start from.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct FirstPlan {
    /// The plan.
    pub plan: Plan,
    /// The pack that does it, by charge and current alone.
    pub wanted: PackSize,
    /// Cells that are missing for that pack; the plan runs shorter, or has more groups than there are cells for.
    pub cells_missing: u32,
    /// Cells that the plan leaves over.
    pub cells_left: u32,
    /// What was taken because nobody has measured or said it.
    pub taken: Vec<Taken>,
}

/// A value that stands in the plan without having been measured or said.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Taken {
    /// Stable code, the key of its wording in every language.
    pub code: &'static str,
    /// Where it stands in the plan, as a JSON Pointer.
    pub path: String,
    /// What was taken, in plain English words.
    pub words: &'static str,
    /// Where it comes from.
    pub source: Source,
}

impl FirstWish {
    /// A plan to start from.
    ///
    /// # Errors
    ///
    /// Every value out of range; a voltage that no number of these cells fits; a time and current that 100 cells in
    /// parallel cannot give.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::plan::first::{FirstLoad, FirstWish, LabelDraw};
    /// # use cellwright::plan::report::Verdict;
    /// # use cellwright::part::cell::Chemistry;
    /// # use cellwright::Interval;
    /// let wish = FirstWish {
    ///     name: "pump".into(),
    ///     load: FirstLoad::Pump,
    ///     draw: LabelDraw::Power { power_w: 18.0 },
    ///     at_v: 12.0,
    ///     runtime_s: 3600.0,
    ///     chemistry: Chemistry::Nmc,
    ///     cells: 8,
    ///     capacity_ah: Interval::exact(2.2),
    ///     capacity_measured: false,
    ///     resistance_ohm: None,
    /// };
    /// let first = wish.answer()?;
    /// assert_eq!((first.plan.pack.groups.len(), first.cells_left), (3, 2));
    /// // What nobody measured is taken wide: the plan says what is missing, and is never ready.
    /// assert_ne!(first.plan.report()?.verdict, Verdict::Ready);
    /// let tiny = FirstWish { at_v: 1.5, ..wish };
    /// assert_eq!(tiny.answer().unwrap_err()[0].field(), "at_v");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<FirstPlan, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let wanted = self.wanted()?;
        // Groups without a cell of their own are planned all the same: what is missing is told.
        let parallel = wanted.parallel.min(self.cells / wanted.series).max(1);
        Ok(FirstPlan {
            plan: self.plan(&wanted, parallel)?,
            wanted,
            cells_missing: wanted.cells.saturating_sub(self.cells),
            cells_left: self.cells.saturating_sub(wanted.series * parallel),
            taken: self.taken(),
        })
    }

    fn check(&self, check: &mut Check) {
        if self.name.chars().count() > 200 {
            check.note(Error::other("name", "a longer text", "at most 200 characters"));
        }
        check.inside("draw", |check| match self.draw {
            LabelDraw::Power { power_w } => {
                check.inside("power", |check| check.within("power_w", power_w, 0.01, 5000.0));
            }
            LabelDraw::Current { current_a } => {
                check.inside("current", |check| check.within("current_a", current_a, 0.001, 500.0));
            }
        });
        check.within("at_v", self.at_v, 1.0, 60.0);
        check.within("runtime_s", self.runtime_s, 1.0, 2_592_000.0);
        check.within("cells", f64::from(self.cells), 1.0, f64::from(CELLS_MOST));
        self.capacity_ah.note(check, "capacity_ah", 0.1, 100.0);
        if let Some(resistance_ohm) = self.resistance_ohm {
            resistance_ohm.note(check, "resistance_ohm", 1e-4, 10.0);
        }
    }

    /// What the cells are taken for while groups are counted: unidentified ones mostly are of this kind.
    fn counted_as(&self) -> &Chemistry {
        if self.chemistry == Chemistry::Unidentified { &Chemistry::Nmc } else { &self.chemistry }
    }

    fn power_w(&self) -> Interval {
        let likely_w = match self.draw {
            LabelDraw::Power { power_w } => power_w,
            LabelDraw::Current { current_a } => current_a * self.at_v,
        };
        Interval::around(likely_w, LABEL_RATIO)
    }

    fn capacity_ah(&self) -> Interval {
        if self.capacity_measured {
            return self.capacity_ah;
        }
        Interval {
            low: screening::CAPACITY_LEAST_RATIO * self.capacity_ah.low,
            likely: screening::CAPACITY_TIRED_RATIO * self.capacity_ah.likely,
            high: self.capacity_ah.high,
        }
    }

    /// The pack by charge and current whose nominal voltage lies nearest the label's.
    fn wanted(&self) -> Result<PackSize, Vec<Error>> {
        let [low, high] = FED_RATIO;
        let power_w = self.power_w();
        let over = |power_w: f64| power_w / self.at_v;
        let wish = PackWish {
            own_chemistries: Vec::new(),
            chemistry: self.counted_as().clone(),
            capacity_ah: self.capacity_ah(),
            discharge_limit_a: None,
            low_v: low * self.at_v,
            high_v: high * self.at_v,
            current_a: Interval { low: over(power_w.low), likely: over(power_w.likely), high: over(power_w.high) },
            on_a: None,
            runtime_s: self.runtime_s,
        };
        let off_v = |size: &PackSize| libm::fabs(size.nominal_v - self.at_v);
        let sizes =
            wish.answer().map_err(|errors| errors.into_iter().map(|error| self.told(error)).collect::<Vec<_>>())?;
        let nearest = sizes.choices.into_iter().min_by(|a, b| off_v(a).total_cmp(&off_v(b)));
        nearest.ok_or_else(|| alloc::vec![Error::other("at_v", format!("{} V", self.at_v), "another voltage")])
    }

    /// The voltages of the wish are made from the label's.
    fn told(&self, error: Error) -> Error {
        if matches!(error.field(), "low_v" | "high_v") {
            return Error::other(
                "at_v",
                format!("{} V", self.at_v),
                "a voltage that whole cells of this kind come near",
            );
        }
        error
    }

    fn plan(&self, wanted: &PackSize, parallel: u32) -> Result<Plan, Vec<Error>> {
        let chemistries = Chemistries::new(&[], core::iter::once(self.counted_as()))?;
        let limits = chemistries.limits(self.counted_as()).map_err(|error| alloc::vec![error])?;
        // What nobody knows is filled and emptied as far as every lithium kind stands.
        let (full_v, floor_v) = match self.chemistry {
            Chemistry::Unidentified => (LFP_LIMITS.charge_v, LCO_LIMITS.floor_v),
            _ => (limits.charge_v, limits.floor_v),
        };
        let curves = chemistries.curves(self.counted_as()).map_err(|error| alloc::vec![error])?;
        let resistance = self.resistance(curves);
        let cell = |g: u32, c: u32| self.cell(format!("{}{}", letter(g), c + 1), full_v, floor_v, resistance);
        let groups = (0..wanted.series).map(|g| Group { cells: (0..parallel).map(|c| cell(g, c)).collect() }).collect();
        let joints = f64::from(wanted.series) + 1.0;
        Ok(Plan {
            format: FORMAT,
            name: self.name.clone(),
            origin: Origin::Salvaged,
            own_chemistries: Vec::new(),
            pack: Pack {
                groups,
                link_ohm: Interval {
                    low: joints * JOINT_OHM.low,
                    likely: joints * JOINT_OHM.likely,
                    high: joints * JOINT_OHM.high,
                },
                full_v,
                floor_v,
            },
            protection: None,
            loads: alloc::vec![self.load()],
            control: None,
            runs: Vec::new(),
            fuse: None,
            main_switch: None,
            charging: None,
            ambient_degc: OUTDOORS_DEGC,
            wanted_runtime_s: Some(self.runtime_s),
            diary: None,
        })
    }

    /// What was measured, or a share of what a new cell has after ten seconds at half charge.
    fn resistance(&self, curves: Arc<Curves>) -> ResistanceTest {
        let new_ah = self.capacity_ah.likely;
        let current_a = TEST_C * new_ah;
        let new_ohm = CellCircuit::new(curves, new_ah, 1.0, INDOORS_DEGC).pulse_ohm(0.5, current_a, PULSE_S);
        let ratio = screening::UNMEASURED_RATIO;
        ResistanceTest {
            resistance_ohm: self.resistance_ohm.unwrap_or(Interval {
                low: ratio.low * new_ohm,
                likely: ratio.likely * new_ohm,
                high: ratio.high * new_ohm,
            }),
            method: ResistanceMethod::Dc { after_s: PULSE_S, current_a },
            leads: MeterLeads::FourWire,
            cell_degc: INDOORS_DEGC,
            soc_ratio: 0.5,
        }
    }

    fn cell(&self, name: String, start_v: f64, end_v: f64, resistance: ResistanceTest) -> Cell {
        let capacity_ah = self.capacity_ah();
        let current_a = TEST_C * self.capacity_ah.likely;
        let capacity = CapacityTest { capacity_ah, start_v, end_v, current_a, cell_degc: INDOORS_DEGC };
        Cell { measured: Some(false), ..Cell::new(name, self.chemistry.clone(), capacity, resistance) }
    }

    fn load(&self) -> Load {
        let power_w = self.power_w();
        let follows = |exponent: f64| Draw::FollowsVoltage { power_w, at_v: self.at_v, exponent };
        let draw = match self.load {
            FirstLoad::Blower => follows(3.0),
            FirstLoad::Pump | FirstLoad::Lamp | FirstLoad::Heater => follows(2.0),
            FirstLoad::Motor => follows(1.0),
            FirstLoad::Electronics => Draw::Power { power_w },
        };
        Load { measured: Some(false), ..Load::new(self.name.as_str(), draw) }
    }

    fn taken(&self) -> Vec<Taken> {
        let taken = |code, path: &str, words| Taken { code, path: path.to_string(), words, source: COMMON_PRACTICE };
        let mut all = alloc::vec![
            taken("taken_draw", "/loads/0/draw", "The draw is the label's, give or take a fifth."),
            taken(
                "taken_test",
                "/pack/groups/0/cells/0/capacity",
                "Every cell counts as tested from full to empty within five hours, in a room.",
            ),
            taken("taken_joints", "/pack/link_ohm", "One to five milliohms for each strip or joint between groups."),
            taken("taken_outdoors", "/ambient_degc", "Used out of doors between 10 and 35 °C."),
        ];
        if !self.capacity_measured {
            let words = "A used cell holds between six tenths and all of what is printed on it.";
            all.push(taken("taken_capacity", "/pack/groups/0/cells/0/capacity/capacity_ah", words));
        }
        if self.resistance_ohm.is_none() {
            let words = "Resistance from half to three times that of a new cell of its kind.";
            all.push(taken("taken_resistance", "/pack/groups/0/cells/0/resistance/resistance_ohm", words));
        }
        all
    }
}

/// Letters for groups: A to Z, then AA and on.
fn letter(group: u32) -> String {
    let last = char::from(b'A' + (group % 26) as u8);
    if group < 26 { last.to_string() } else { format!("{}{last}", letter(group / 26 - 1)) }
}
