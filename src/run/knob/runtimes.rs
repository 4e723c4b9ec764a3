//! Runtime at many settings from few runs.
//!
//! ```text
//! steady = 1 / mean over the charge of (1 / current at rest)
//! charge = runtime · steady                    runtime at a setting between = charge between / its steady current
//! ```
//!
//! The mean is Gauss's with three points of the charge. That charge hardly changes with the setting. Each corner is run at the settings of least and most current; where the
//! charges of two run settings differ by more than 2 %, the one in the middle is run too, and so on. In between, the
//! low end takes the smaller charge less one percent, the high end the larger one and one percent more, the
//! likely value the line between them.

use crate::part::load::LoadCircuit;
use crate::quantity::Interval;
use crate::quantity::order::sort_by;
use crate::quantity::turns::turn;
use crate::run::discharge::{BRIEF_RATIO, EndedBy, Stops, brief};
use crate::run::stepper::{Moment, PackCircuit, Stepper};
use alloc::vec::Vec;

/// What the table says about it.
pub const APPROXIMATED: &str = "Runtimes between positions that were run, no more than 2 % apart in charge, are \
                                       read between them: the low end from the smaller charge less 1 %. Mean current \
                                       and power are those of the half-full pack.";

/// Largest difference of two neighbouring charges between which settings are not run.
const APART_MOST: f64 = 0.02;

/// Kept from the low end and added to the high end between two run settings.
const KEPT: f64 = 0.01;

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

/// One corner of one setting.
struct Corner {
    circuit: PackCircuit,
    half: Moment,
    /// Current that empties the pack in the same time, in amperes.
    steady_a: f64,
    runtime_s: f64,
    ended_by: EndedBy,
}

impl Corner {
    fn new(settings: &Settings, corner: usize, loads: &[LoadCircuit]) -> Option<Self> {
        let (pack, lead_ohm) = (settings.packs.get(corner)?, settings.lead_ohm.get(corner)?);
        let circuit = pack.with_loads(loads.to_vec(), *lead_ohm);
        let mut stepper = Stepper::new(&circuit, |_| 0.5);
        let half = stepper.now().unwrap_or_default();
        let [low, high] = [0.5 - GAUSS_AT, 0.5 + GAUSS_AT].map(|soc_ratio| {
            stepper.rest_at(|_| soc_ratio);
            stepper.now().unwrap_or_default()
        });
        let inverse = GAUSS_OUTER / low.mean_a + GAUSS_OUTER / high.mean_a + (1.0 - 2.0 * GAUSS_OUTER) / half.mean_a;
        let steady_a = if inverse.is_finite() { 1.0 / inverse } else { 0.0 };
        Some(Self { circuit, half, steady_a, runtime_s: 0.0, ended_by: EndedBy::NoOperatingPoint })
    }

    /// Runs it in coarse steps, whose error goes to the side that promises less.
    fn run(&mut self, settings: &Settings, side: Side) {
        let run = brief(&self.circuit, &settings.stops, |cell| cell.soc_at_rest(settings.full_v));
        let ratio = match side {
            Side::Below => 1.0 - BRIEF_RATIO,
            Side::Near => 1.0,
            Side::Above => 1.0 + BRIEF_RATIO,
        };
        self.runtime_s = (run.runtime_s * ratio).min(settings.stops.time_s);
        self.ended_by = run.ended_by;
    }

    fn charge(&self) -> f64 {
        self.runtime_s * self.steady_a
    }
}

/// Runtimes of all settings, in their order; each setting has its loads at the three corners.
///
/// Stops are checked before.
pub(crate) async fn runtimes(settings: &Settings<'_>, loads: &[&[Vec<LoadCircuit>; 3]]) -> Vec<SettingRun> {
    let mut corners = Vec::with_capacity(3);
    for (corner, side) in [Side::Below, Side::Near, Side::Above].into_iter().enumerate() {
        let of = |loads: &&[Vec<LoadCircuit>; 3]| Corner::new(settings, corner, loads.get(corner)?);
        let mut list: Vec<Corner> = loads.iter().filter_map(of).collect();
        run_few(settings, side, &mut list).await;
        corners.push(list);
    }
    let [least, likely, most] = corners.as_slice() else { return Vec::new() };
    let rows = least.iter().zip(likely).zip(most).map(|((least, likely), most)| SettingRun {
        runtime_s: Interval {
            low: least.runtime_s.min(likely.runtime_s),
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
        if between(side, settings, order.get_mut(from..=to).unwrap_or_default()) {
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
fn between(side: Side, settings: &Settings, span: &mut [&mut Corner]) -> bool {
    let [first, middle @ .., last] = span else { return true };
    let (first_as, last_as) = (first.charge(), last.charge());
    let (least_as, most_as) = (first_as.min(last_as), first_as.max(last_as));
    let reaches = |corner: &Corner| corner.ended_by != EndedBy::TimeLimit && corner.runtime_s > 0.0;
    let near = most_as - least_as <= APART_MOST * least_as && first.ended_by == last.ended_by;
    if !(near && reaches(first) && reaches(last) && first.steady_a > 1e-6) {
        return false;
    }
    let (low_a, span_a) = (first.steady_a, last.steady_a - first.steady_a);
    for corner in middle {
        let share = if span_a > 0.0 { (corner.steady_a - low_a) / span_a } else { 0.5 };
        let charge_as = match side {
            Side::Below => least_as * (1.0 - KEPT),
            Side::Near => first_as + (last_as - first_as) * share,
            Side::Above => most_as * (1.0 + KEPT),
        };
        corner.runtime_s = (charge_as / corner.steady_a).min(settings.stops.time_s);
        corner.ended_by = first.ended_by;
    }
    true
}
