//! A timed run or logged voltages correct what the plan says of its cells.
//!
//! ```text
//! ln new = (ln plan / σ_plan² + ln run / σ_run²) / (1 / σ_plan² + 1 / σ_run²)
//! ```
//!
//! The pack is run from full with the current of the log, and one factor on the capacity and one on the resistance of
//! each group's cells are fitted to its voltages. The current's own doubt goes into the capacity one to one. Where plan and
//! run differ by more than three deviations the run alone counts, and the change says so. What the log does not
//! tell stays as it is and is named. A log of the whole pack's voltage gives all groups the same factors; a time to the end alone
//! corrects the group that ended it. Source: least squares; weights by the inverse square of the deviations.

use super::measure::{BenchMeter, Measure};
use super::model::HALF;
use crate::error::{Check, Error};
use crate::part::cell::{CellCircuit, Chemistries};
use crate::plan::Plan;
use crate::quantity::Interval;
use crate::quantity::order::sort_by;
use crate::quantity::root::sqrt;
use crate::run::pack_run::RunEnds;
use crate::run::stepper::{Drive, PackCircuit, Stepper};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Deviation of the model's voltages, in volts. Source: comparison with simulated discharges (`tests/other_cells.rs`).
const MODEL_V: f64 = 0.006;

/// Deviation of a factor before the log is looked at.
const WIDE: f64 = 0.5;

/// A quantity counts as told where its deviation is below this share of the one before.
const TOLD_RATIO: f64 = 0.5;

/// One moment of a run.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LoggedMoment {
    /// Time since the load was switched on, in seconds.
    pub time_s: f64,
    /// Voltage of the pack under load, in volts.
    pub pack_v: Option<f64>,
    /// Voltage of each group under load, the most negative first, in volts.
    pub group_v: Option<Vec<f64>>,
}

/// Asks what a run tells of the cells.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Calibration {
    /// The build as planned.
    pub plan: Plan,
    /// The meter; a cheap one where left out.
    pub meter: Option<BenchMeter>,
    /// Mean current of the run as measured, in amperes; that of the plan's loads where left out.
    pub mean_a: Option<Interval>,
    /// Moments of the run from the full pack, in rising time.
    pub moments: Vec<LoggedMoment>,
    /// Time at which the run ended by itself, in seconds.
    pub ended_s: Option<f64>,
    /// Group that ended it, from 1; the weakest of the plan where left out.
    pub ended_by_group: Option<usize>,
}

/// One corrected field.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PlanChange {
    /// Where it stands in the plan, as a JSON Pointer.
    pub path: String,
    /// The maker's name of the cell.
    pub name: String,
    /// Value before: put it back to undo the change.
    pub old: Interval,
    /// Value after.
    pub new: Interval,
    /// Unit as a field-name ending.
    pub unit: &'static str,
    /// Whether plan and run contradict each other.
    pub contradicts: bool,
    /// The change in words.
    pub words: String,
}

/// What the run tells.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct CalibrationAnswer {
    /// Every corrected field.
    pub changes: Vec<PlanChange>,
    /// What the run does not tell, in words.
    pub not_judged: Vec<String>,
    /// The plan's runtime before, in seconds.
    pub before_s: Interval,
    /// The plan's runtime after, in seconds.
    pub after_s: Interval,
    /// Whether the corrected plan runs as long as the run did; nothing where the run was not followed to its end.
    ///
    /// Where not, the correction explains nothing: no change is told, and `plan` stays as it was.
    pub explained: Option<bool>,
    /// The plan with the changes.
    pub plan: Plan,
    /// Root of the mean square of what stays between log and model, in volts.
    pub left_v: f64,
}

/// Factors on one group's capacity and resistance, as logarithms.
#[derive(Clone, Copy, Debug, Default)]
struct Factors {
    capacity: f64,
    resistance: f64,
}

/// What the fit says of one group.
#[derive(Clone, Copy, Debug)]
struct GroupFit {
    factors: Factors,
    capacity_sigma: f64,
    resistance_sigma: f64,
}

/// A voltage to be met: of one group, or of all together.
#[derive(Clone, Copy, Debug)]
struct Datum {
    time_s: f64,
    group: Option<usize>,
    v: f64,
    sigma_v: f64,
}

impl Calibration {
    fn check(&self, check: &mut Check) {
        if let Some(meter) = &self.meter {
            check.inside("meter", |check| meter.check(check));
        }
        if let Some(mean_a) = self.mean_a {
            mean_a.note(check, "mean_a", 0.001, 1000.0);
        }
        let groups = self.plan.pack.groups.len();
        if self.moments.len() > 500 {
            check.note(Error::range("moments", self.moments.len() as f64, 0.0, 500.0));
        }
        let mut before_s = 0.0;
        for (i, moment) in self.moments.iter().enumerate() {
            check.inside("moments", |check| check.inside(i, |check| moment.check(check, before_s, groups)));
            before_s = moment.time_s;
        }
        if let Some(ended_s) = self.ended_s {
            check.within("ended_s", ended_s, 60.0, 1e6);
        } else if self.moments.is_empty() {
            check.note(Error::missing("ended_s", "a time, or moments with voltages"));
        }
        if let Some(group) = self.ended_by_group {
            check.within("ended_by_group", group as f64, 1.0, groups as f64);
        }
    }

    /// What the run tells, with every changed field before and after.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # #[cfg(feature = "ask")] {
    /// # use cellwright::ask::{Node, ask};
    /// let plan = include_str!("../../tests/plans/watering-pump.json");
    /// let asked = |run: &str| ask("calibrate", &format!("{{\"plan\": {plan}, \"moments\": [], {run}}}"));
    /// let answer = asked("\"ended_s\": 7000").unwrap();
    /// assert!(matches!(answer.get("changes"), Some(Node::List(changes)) if changes.len() == 2), "one group's two cells");
    /// assert_eq!(asked("\"ended_s\": -1").unwrap_err()[0].path(), "/ended_s");
    /// # }
    /// ```
    pub fn answer(&self) -> Result<CalibrationAnswer, Vec<Error>> {
        let inside = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("plan")).collect::<Vec<Error>>();
        self.plan.checked().map_err(inside)?;
        super::model::identified(&self.plan).map_err(inside)?;
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let report = self.plan.report().map_err(inside)?;
        let likely = &report.runtime.likely;
        let mean_a = self.mean_a.unwrap_or(Interval {
            low: report.runtime.most.mean_a.min(likely.mean_a),
            likely: likely.mean_a,
            high: report.runtime.least.mean_a.max(likely.mean_a),
        });
        let ended_by = self.ended_by_group.unwrap_or(likely.weakest_group + 1);
        let data = self.data(ended_by);
        let fit = Fit { plan: &self.plan, mean_a, data: &data, together: self.together() };
        // The plan as it is was just worked out: what fails from here on is the run.
        let (groups, left_v) = fit.groups().map_err(|_| self.unlike())?;
        let mut answer = CalibrationAnswer {
            changes: Vec::new(),
            not_judged: Vec::new(),
            before_s: report.runtime.runtime_s,
            after_s: report.runtime.runtime_s,
            explained: None,
            plan: self.plan.clone(),
            left_v,
        };
        let current_sigma = libm::log(mean_a.high / mean_a.low.max(1e-9)).min(2.0) / (2.0 * HALF);
        for (place, group) in groups.iter().enumerate() {
            correct(&mut answer, place, group, current_sigma);
        }
        answer.after_s = answer.plan.report().map_err(|_| self.unlike())?.runtime.runtime_s;
        let told = |ended_s| answer.after_s.low <= ended_s && ended_s <= answer.after_s.high;
        answer.explained = self.ended_s.map(told);
        if answer.explained == Some(false) {
            answer.changes.clear();
            answer.plan = self.plan.clone();
        }
        Ok(answer)
    }

    /// What is said of a run that no cells of the plan's chemistry can give.
    fn unlike(&self) -> Vec<Error> {
        let field = if self.moments.is_empty() { "ended_s" } else { "moments" };
        let accepted = "a run that cells of this chemistry, and of about this size, can give from full";
        Error::other(field, "a run far from the plan", accepted).into()
    }

    /// Whether only the whole pack's voltage was logged.
    fn together(&self) -> bool {
        self.moments.iter().any(|moment| moment.pack_v.is_some())
            && self.moments.iter().all(|moment| moment.group_v.is_none())
    }

    fn data(&self, ended_by: usize) -> Vec<Datum> {
        let meter = self.meter.unwrap_or(BenchMeter::CHEAP);
        let sigma_v = |v: f64, of: Measure| {
            let own = meter.accuracy(of, v).whole(v) / HALF;
            sqrt(own * own + MODEL_V * MODEL_V)
        };
        let mut data = Vec::new();
        for moment in &self.moments {
            let time_s = moment.time_s;
            if let Some(v) = moment.pack_v {
                data.push(Datum { time_s, group: None, v, sigma_v: sigma_v(v, Measure::PackV) });
            }
            for (group, v) in moment.group_v.iter().flatten().enumerate() {
                let sigma_v = sigma_v(*v, Measure::GroupV { setting: 0, group: group + 1 });
                data.push(Datum { time_s, group: Some(group), v: *v, sigma_v });
            }
        }
        if let Some(time_s) = self.ended_s {
            let board = self.plan.protection.as_ref().and_then(|held| held.board()).and_then(|board| board.cut_off_v);
            let v = board.unwrap_or(0.0).max(self.plan.pack.floor_v);
            data.push(Datum { time_s, group: Some(ended_by - 1), v, sigma_v: 0.02 });
        }
        sort_by(&mut data, |a, b| a.time_s.total_cmp(&b.time_s));
        data
    }
}

impl LoggedMoment {
    fn check(&self, check: &mut Check, before_s: f64, groups: usize) {
        check.within("time_s", self.time_s, before_s, 1e6);
        if let Some(v) = self.pack_v {
            check.within("pack_v", v, 0.1, 500.0);
        }
        if let Some(group_v) = &self.group_v {
            if group_v.len() != groups {
                check.note(Error::other(
                    "group_v",
                    format!("{} voltages", group_v.len()),
                    format!("one for each of the {groups} groups"),
                ));
            }
            for (i, v) in group_v.iter().enumerate() {
                if !(0.1..=5.0).contains(v) {
                    check.inside("group_v", |check| check.note(Error::range("v", *v, 0.1, 5.0).at(i)));
                }
            }
        }
        if self.pack_v.is_none() && self.group_v.is_none() {
            check.note(Error::missing("pack_v", "the pack's voltage or that of each group"));
        }
    }
}

struct Fit<'f> {
    plan: &'f Plan,
    mean_a: Interval,
    data: &'f [Datum],
    together: bool,
}

impl Fit<'_> {
    /// The factors of every group, and what stays unexplained, in volts.
    fn groups(&self) -> Result<(Vec<GroupFit>, f64), Vec<Error>> {
        let count = self.plan.pack.groups.len();
        let mut factors = alloc::vec![Factors::default(); count];
        let mut sums = alloc::vec![Sums::default(); count];
        for _ in 0..8 {
            sums = self.sums(&factors)?;
            let mut most: f64 = 0.0;
            for (held, sums) in factors.iter_mut().zip(&sums) {
                let [capacity, resistance] = sums.step();
                held.capacity = (held.capacity + capacity.clamp(-0.3, 0.3)).clamp(-2.0, 1.0);
                held.resistance = (held.resistance + resistance.clamp(-0.5, 0.5)).clamp(-1.5, 2.5);
                most = most.max(libm::fabs(capacity)).max(libm::fabs(resistance));
            }
            if most < 1e-3 {
                break;
            }
        }
        let now = self.told(&factors)?;
        let squares: f64 = self.data.iter().zip(&now).map(|(datum, now)| (datum.v - now) * (datum.v - now)).sum();
        let left_v = sqrt(squares / self.data.len().max(1) as f64);
        let fits = factors.iter().zip(&sums).map(|(factors, sums)| {
            let [capacity_sigma, resistance_sigma] = sums.sigmas();
            GroupFit { factors: *factors, capacity_sigma, resistance_sigma }
        });
        Ok((fits.collect(), left_v))
    }

    /// The normal equations of every group around its factors.
    fn sums(&self, factors: &[Factors]) -> Result<Vec<Sums>, Vec<Error>> {
        let h = 0.01;
        let moved = |capacity: f64, resistance: f64| {
            let plus = |held: &Factors| Factors {
                capacity: held.capacity + capacity,
                resistance: held.resistance + resistance,
            };
            self.told(&factors.iter().map(plus).collect::<Vec<_>>())
        };
        let (now, by_capacity, by_resistance) = (self.told(factors)?, moved(h, 0.0)?, moved(0.0, h)?);
        let mut sums: Vec<Sums> = factors.iter().map(Sums::prior).collect();
        let slopes = by_capacity.iter().zip(&by_resistance);
        for ((datum, now), (capacity, resistance)) in self.data.iter().zip(&now).zip(slopes) {
            let row = [(capacity - now) / h, (resistance - now) / h].map(|slope| slope / datum.sigma_v);
            let left = (datum.v - now) / datum.sigma_v;
            // The pack's voltage counts only where no group's is known.
            let meant = |place: usize| self.together || datum.group == Some(place);
            let each = sums.iter_mut().enumerate().filter(|(place, _)| meant(*place));
            each.for_each(|(_, sums)| sums.add(row, left));
        }
        Ok(sums)
    }

    /// The voltages that the model tells for each datum.
    fn told(&self, factors: &[Factors]) -> Result<Vec<f64>, Vec<Error>> {
        let plan = changed(self.plan, factors);
        let used = plan.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
        let chemistries = Chemistries::new(&plan.own_chemistries, used)?;
        let degc = plan.ambient_degc.likely;
        let cells = plan.pack.circuits(&chemistries, RunEnds::LIKELY.cells, degc);
        let cells = cells.map_err(|errors| errors.into_iter().map(|error| error.at("pack")).collect::<Vec<_>>())?;
        let circuit = PackCircuit::new(cells, Vec::new(), plan.pack.link_ohm.likely, degc);
        let full_v = plan.pack.full_v;
        let mut stepper = Stepper::new(&circuit, |cell: &CellCircuit| cell.soc_at_rest(full_v));
        stepper.drive = Drive::Current(-self.mean_a.likely);
        let last_s = self.data.last().map_or(0.0, |datum| datum.time_s);
        let longest_s = (last_s / 400.0).max(5.0);
        let mut at_s = 0.0;
        let mut told = Vec::with_capacity(self.data.len());
        for datum in self.data {
            while datum.time_s - at_s > 1e-6 {
                let dt_s = longest_s.min(datum.time_s - at_s);
                if stepper.step(dt_s).is_err() {
                    break;
                }
                at_s += dt_s;
            }
            let _ = stepper.now();
            let v = match datum.group {
                Some(group) => stepper.group_v.get(group).copied().unwrap_or(0.0),
                None => stepper.group_v.iter().sum::<f64>() - self.mean_a.likely * plan.pack.link_ohm.likely,
            };
            told.push(if v.is_finite() { v } else { 0.0 });
        }
        Ok(told)
    }
}

/// Normal equations of two factors.
#[derive(Clone, Copy, Debug, Default)]
struct Sums {
    cc: f64,
    cr: f64,
    rr: f64,
    right: [f64; 2],
}

impl Sums {
    fn prior(held: &Factors) -> Self {
        let weight = 1.0 / (WIDE * WIDE);
        Self { cc: weight, cr: 0.0, rr: weight, right: [-weight * held.capacity, -weight * held.resistance] }
    }

    fn add(&mut self, [c, r]: [f64; 2], left: f64) {
        self.cc += c * c;
        self.cr += c * r;
        self.rr += r * r;
        let [right_c, right_r] = self.right;
        self.right = [right_c + c * left, right_r + r * left];
    }

    fn determinant(&self) -> f64 {
        (self.cc * self.rr - self.cr * self.cr).max(1e-12)
    }

    fn step(&self) -> [f64; 2] {
        let [c, r] = self.right;
        let d = self.determinant();
        [(self.rr * c - self.cr * r) / d, (self.cc * r - self.cr * c) / d]
    }

    fn sigmas(&self) -> [f64; 2] {
        let d = self.determinant();
        [sqrt(self.rr / d), sqrt(self.cc / d)]
    }
}

fn times(value: Interval, by: f64) -> Interval {
    Interval { low: value.low * by, likely: value.likely * by, high: value.high * by }
}

/// The plan with factors on its groups.
fn changed(plan: &Plan, factors: &[Factors]) -> Plan {
    let mut plan = plan.clone();
    for (group, held) in plan.pack.groups.iter_mut().zip(factors) {
        for cell in &mut group.cells {
            cell.capacity.capacity_ah = times(cell.capacity.capacity_ah, libm::exp(held.capacity));
            cell.resistance.resistance_ohm = times(cell.resistance.resistance_ohm, libm::exp(held.resistance));
        }
    }
    plan
}

/// Plan and run together: the new interval, and whether they contradict each other.
fn together(old: Interval, log_factor: f64, sigma: f64) -> (Interval, bool) {
    let plan_sigma = (libm::log(old.high / old.low.max(1e-9)) / (2.0 * HALF)).max(0.005);
    let contradicts = libm::fabs(log_factor) > 3.0 * sqrt(plan_sigma * plan_sigma + sigma * sigma);
    let (weight, of_run) = (1.0 / (plan_sigma * plan_sigma), 1.0 / (sigma * sigma));
    let (moved, left) = if contradicts {
        (log_factor, sigma)
    } else {
        (log_factor * of_run / (weight + of_run), sqrt(1.0 / (weight + of_run)))
    };
    let likely = old.likely * libm::exp(moved);
    let half = libm::exp(HALF * left);
    (Interval { low: likely / half, likely, high: likely * half }, contradicts)
}

/// Puts one group's factors into the answer.
fn correct(answer: &mut CalibrationAnswer, place: usize, fit: &GroupFit, current_sigma: f64) {
    let root = |own: f64| sqrt(own * own + current_sigma * current_sigma);
    let told = |sigma: f64| sigma < TOLD_RATIO * WIDE;
    let capacity = told(fit.capacity_sigma).then(|| (fit.factors.capacity, root(fit.capacity_sigma)));
    let resistance = told(fit.resistance_sigma).then(|| (fit.factors.resistance, root(fit.resistance_sigma)));
    for (missing, what) in [(capacity.is_none(), "capacity"), (resistance.is_none(), "resistance")] {
        if missing {
            answer.not_judged.push(format!("{what} of group {}: not judged, the run does not tell it.", place + 1));
        }
    }
    let Some(group) = answer.plan.pack.groups.get_mut(place) else { return };
    for (at, cell) in group.cells.iter_mut().enumerate() {
        let base = format!("/pack/groups/{place}/cells/{at}");
        let fields = [
            (capacity, &mut cell.capacity.capacity_ah, "capacity/capacity_ah", "ah", (0.01, 1000.0)),
            (resistance, &mut cell.resistance.resistance_ohm, "resistance/resistance_ohm", "ohm", (1e-4, 10.0)),
        ];
        for (found, field, tail, unit, (low, high)) in fields {
            let Some((log_factor, sigma)) = found else { continue };
            let old = *field;
            let (new, contradicts) = together(old, log_factor, sigma);
            let new = Interval { low: new.low.max(low), likely: new.likely.clamp(low, high), high: new.high.min(high) };
            *field = new;
            let percent = 100.0 * (new.likely / old.likely - 1.0);
            let words =
                format!("{}: {unit} {:.4} before, {:.4} after ({percent:+.1} %).", cell.name, old.likely, new.likely);
            answer.changes.push(PlanChange {
                path: format!("{base}/{tail}"),
                name: cell.name.clone(),
                old,
                new,
                unit,
                contradicts,
                words,
            });
        }
    }
}
