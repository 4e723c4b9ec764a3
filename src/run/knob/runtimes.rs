//! Runtime at many settings from few runs.
//!
//! ```text
//! steady = 1 / mean over the charge of (1 / current at rest)
//! charge = runtime · steady                    runtime at a setting between = charge between / its steady current
//! ```
//!
//! The mean is Gauss's with three points of the charge. That charge hardly changes with the setting. The likely corner is
//! run at the settings of least and most current; where the charges of two run settings differ by more than 1.1 %, the one
//! in the middle is run too, and so on. What share of the likely charge the other corners give changes even less: they
//! are run in the same way, with that share in the place of the charge and 0.8 %. In between, the low end takes the
//! smaller share of the smaller charge less 1.2 %, the high end the larger ones and 1.2 % more, the likely
//! value the line between them. What a plateau at the end leaves unpromised is taken from the low end, in between as much
//! as at the worse of both.

use crate::part::load::LoadCircuit;
use crate::quantity::Interval;
use crate::quantity::order::sort_by;
use crate::quantity::turns::turn;
use crate::run::discharge::{BRIEF_RATIO, EndedBy, Stops, brief, promised_s};
use crate::run::stepper::{Moment, PackCircuit, Stepper};
use alloc::vec::Vec;

/// What the table says about it.
pub const APPROXIMATED: &str = "Runtimes between positions that were run, no more than 2 % apart in charge, are \
                                       read between them: the low end from the smaller charge less 1.2 %. Mean \
                                       current and power are those of the half-full pack.";

/// Largest difference of two neighbouring charges between which settings are not run, and of two shares of the likely
/// charge: both together stay within the 2 % that are told.
const APART_MOST: f64 = 0.011;
const SHARES_APART_MOST: f64 = 0.008;

/// Change of a current, as a share of the pack's, under which the currents of a steady pack count as found.
const ENOUGH: f64 = 5e-3;

/// How much longer than it is told a run may go on, so that settings near the longest time have a charge too.
const BEYOND: f64 = 8.0;

/// Kept from the low end and added to the high end between two run settings, for what bends between them.
const KEPT: f64 = 0.012;

/// Outer points and weight of Gauss's rule with three points over 0 to 1.
const GAUSS_AT: f64 = 0.387298334620741688;
const GAUSS_OUTER: f64 = 5.0 / 18.0;

/// A pack at three corners and what stops it.
pub(crate) struct Settings<'a> {
    /// Least, likely and most.
    pub(crate) packs: [&'a PackCircuit; 3],
    /// Resistance between cells and loads at each corner, in ohms.
    pub(crate) lead_ohm: [f64; 3],
    /// Voltage of a full group, in volts.
    pub(crate) full_v: f64,
    pub(crate) stops: Stops,
}

/// One setting.
#[derive(Clone, Copy)]
pub(crate) struct SettingRun {
    pub(crate) runtime_s: Interval,
    /// Of the half-full pack at the likely values.
    pub(crate) mean_a: f64,
    pub(crate) power_w: f64,
    pub(crate) half_load_v: f64,
    pub(crate) ended_by: EndedBy,
}

/// Which side of the truth a corner has to stay on.
#[derive(Clone, Copy)]
enum Side {
    Below,
    Near,
    Above,
}

/// A pack at one setting, half full, and the current that empties it in the same time, in amperes.
struct Steady {
    half: Moment,
    steady_a: f64,
}

impl Steady {
    /// By the mean over the charge.
    fn over_charge(stepper: &mut Stepper) -> Self {
        let half = stepper.now().unwrap_or_default();
        stepper.enough = ENOUGH;
        let [low, high] = [0.5 - GAUSS_AT, 0.5 + GAUSS_AT].map(|soc_ratio| {
            stepper.rest_at(|_| soc_ratio);
            stepper.now().unwrap_or_default()
        });
        let inverse = GAUSS_OUTER / low.mean_a + GAUSS_OUTER / high.mean_a + (1.0 - 2.0 * GAUSS_OUTER) / half.mean_a;
        Self { half, steady_a: if inverse.is_finite() { 1.0 / inverse } else { 0.0 } }
    }

    /// By the half-full pack alone; [`Corner::beside`] carries the mean over.
    fn half_full(stepper: &mut Stepper) -> Self {
        stepper.enough = ENOUGH;
        let half = stepper.now().unwrap_or_default();
        Self { half, steady_a: half.mean_a }
    }
}

/// One corner of one setting.
struct Corner {
    circuit: PackCircuit,
    half: Moment,
    /// Current that empties the pack in the same time, in amperes.
    steady_a: f64,
    /// Time until the run ends, in seconds, even beyond the longest that is told.
    runtime_s: f64,
    /// How much of that is promised: less than all where the run ends on a plateau.
    promised_ratio: f64,
    ended_by: EndedBy,
    /// What its charge is compared with: the least and most that the likely charge may be there.
    likely_as: Option<[f64; 2]>,
    /// Least and most that its own charge may be.
    charge_as: [f64; 2],
}

impl Corner {
    fn new(
        settings: &Settings,
        corner: usize,
        loads: &[LoadCircuit],
        steady: fn(&mut Stepper) -> Steady,
    ) -> Option<Self> {
        let (pack, lead_ohm) = (settings.packs.get(corner)?, settings.lead_ohm.get(corner)?);
        let circuit = pack.with_loads(loads.to_vec(), *lead_ohm);
        let Steady { half, steady_a } = steady(&mut Stepper::new(&circuit, |_| 0.5));
        let ended_by = EndedBy::NoOperatingPoint;
        let (likely_as, charge_as) = (Some([1.0; 2]), [0.0; 2]);
        Some(Self { circuit, half, steady_a, runtime_s: 0.0, promised_ratio: 1.0, ended_by, likely_as, charge_as })
    }

    /// Runs it in coarse steps, whose error goes to the side that promises less.
    fn run(&mut self, settings: &Settings, side: Side) {
        let stops = Stops { time_s: BEYOND * settings.stops.time_s, ..settings.stops };
        let run = brief(&self.circuit, &stops, |cell| cell.soc_at_rest(settings.full_v));
        self.runtime_s = run.runtime_s * side.outward(BRIEF_RATIO);
        let promised_ratio = promised_s(run.runtime_s, run.flat_from_s) / run.runtime_s;
        self.promised_ratio = if promised_ratio.is_finite() { promised_ratio } else { 1.0 };
        self.charge_as = [self.charge(); 2];
        self.ended_by = run.ended_by;
    }

    fn charge(&self) -> f64 {
        self.runtime_s * self.steady_a
    }

    /// Whether the run came to its end.
    fn reaches(&self) -> bool {
        self.ended_by != EndedBy::TimeLimit && self.runtime_s > 0.0
    }

    /// Compares it with the likely corner: what its current is to the half-full one is the same there.
    fn beside(&mut self, likely: &Self) {
        let ratio = likely.steady_a / likely.half.mean_a;
        if ratio.is_finite() {
            self.steady_a *= ratio;
        }
        self.likely_as = likely.reaches().then_some(likely.charge_as);
    }

    /// Least and most share of the likely charge; none where that is not known.
    fn shares(&self) -> Option<[f64; 2]> {
        let [least_as, most_as] = self.likely_as?;
        let charge_as = self.charge();
        Some([charge_as / most_as, charge_as / least_as])
    }

    fn promised_s(&self) -> f64 {
        self.promised_ratio * self.runtime_s
    }

    /// Cut at the longest time that is told.
    fn told(&mut self, settings: &Settings) {
        if self.runtime_s > settings.stops.time_s {
            self.promised_ratio = (self.promised_s() / settings.stops.time_s).min(1.0);
            (self.runtime_s, self.ended_by) = (settings.stops.time_s, EndedBy::TimeLimit);
        }
    }
}

impl Side {
    /// How far apart two neighbours may be for those between them to be read.
    fn apart_most(self) -> f64 {
        match self {
            Self::Near => APART_MOST,
            Self::Below | Self::Above => SHARES_APART_MOST,
        }
    }

    /// One, less or more by `ratio` to the side that promises less.
    fn outward(self, ratio: f64) -> f64 {
        match self {
            Self::Below => 1.0 - ratio,
            Self::Near => 1.0,
            Self::Above => 1.0 + ratio,
        }
    }
}

/// Runtimes of all settings, in their order; each setting has its loads at the three corners.
///
/// Stops are checked before.
pub(crate) async fn runtimes(settings: &Settings<'_>, loads: &[&[Vec<LoadCircuit>; 3]]) -> Vec<SettingRun> {
    let corner = |corner: usize, steady: fn(&mut Stepper) -> Steady| -> Vec<Corner> {
        loads.iter().filter_map(|loads| Corner::new(settings, corner, loads.get(corner)?, steady)).collect()
    };
    let [mut least, mut most] = [0, 2].map(|side| corner(side, Steady::half_full));
    let mut likely = corner(1, Steady::over_charge);
    run_few(settings, Side::Near, &mut likely).await;
    for (side, list) in [(Side::Below, &mut least), (Side::Above, &mut most)] {
        for (corner, likely) in list.iter_mut().zip(&likely) {
            corner.beside(likely);
        }
        run_few(settings, side, list).await;
    }
    [&mut least, &mut likely, &mut most].into_iter().flatten().for_each(|corner| corner.told(settings));
    let rows = least.iter().zip(&likely).zip(&most).map(|((least, likely), most)| SettingRun {
        runtime_s: Interval {
            low: least.promised_s().min(likely.promised_s()),
            likely: likely.runtime_s,
            high: most.runtime_s.max(likely.runtime_s),
        },
        mean_a: likely.half.mean_a,
        power_w: likely.half.load_w,
        half_load_v: likely.half.load_v,
        ended_by: likely.ended_by,
    });
    rows.collect()
}

/// Runs as few settings of one corner as needed and reads the others between them.
async fn run_few(settings: &Settings<'_>, side: Side, list: &mut [Corner]) {
    let mut order: Vec<&mut Corner> = list.iter_mut().collect();
    sort_by(&mut order, |a, b| a.steady_a.total_cmp(&b.steady_a));
    let last = order.len().saturating_sub(1);
    for i in [0, last] {
        if let Some(corner) = order.get_mut(i) {
            corner.run(settings, side);
            turn().await;
        }
    }
    let mut spans = alloc::vec![(0, last)];
    while let Some((from, to)) = spans.pop() {
        if to <= from + 1 {
            continue;
        }
        if between(side, order.get_mut(from..=to).unwrap_or_default()) {
            continue;
        }
        let middle = usize::midpoint(from, to);
        if let Some(corner) = order.get_mut(middle) {
            corner.run(settings, side);
            turn().await;
        }
        spans.extend([(from, middle), (middle, to)]);
    }
}

/// Reads the settings between the first and the last, where these are near enough.
fn between(side: Side, span: &mut [&mut Corner]) -> bool {
    let [first, middle @ .., last] = span else { return true };
    let (Some(first_share), Some(last_share)) = (first.shares(), last.shares()) else { return false };
    let (least, most) = (first_share[0].min(last_share[0]), first_share[1].max(last_share[1]));
    let near = most - least <= side.apart_most() * least && first.ended_by == last.ended_by;
    let known = middle.iter().all(|corner| corner.likely_as.is_some());
    if !(near && known && first.reaches() && last.reaches() && first.steady_a > 1e-6) {
        return false;
    }
    let promised_ratio = first.promised_ratio.min(last.promised_ratio);
    let (low_a, span_a) = (first.steady_a, last.steady_a - first.steady_a);
    let (first_as, last_as) = (first.charge(), last.charge());
    for corner in middle {
        let [least_as, most_as] = corner.likely_as.unwrap_or([1.0; 2]);
        corner.charge_as = [least * least_as, most * most_as];
        let share = if span_a > 0.0 { (corner.steady_a - low_a) / span_a } else { 0.5 };
        let charge_as = match side {
            Side::Below => corner.charge_as[0],
            Side::Near => first_as + (last_as - first_as) * share,
            Side::Above => corner.charge_as[1],
        };
        corner.runtime_s = charge_as / corner.steady_a * side.outward(KEPT);
        corner.promised_ratio = promised_ratio;
        corner.ended_by = first.ended_by;
    }
    true
}
