//! The plan's runtime as chances: what ageing, tolerances and the model's own error leave of it.

use super::Plan;
use crate::part::cell::{CellCircuit, Chemistries};
use crate::part::load::{Draw, Load, LoadCircuit};
use crate::quantity::Interval;
use crate::run::discharge::Discharge;
use crate::run::knob::KnobTable;
use crate::run::pack_run::RunEnds;
use crate::run::spread::{RuntimeSpread, SpreadOutline};
use alloc::vec::Vec;

/// Seed of a plan's draws: the same plan gives the same percentiles.
const SEED: u32 = 1;

/// What is worked out before the chances.
#[derive(Clone, Copy)]
pub(super) struct Known<'a> {
    pub(super) chemistries: &'a Chemistries,
    /// Cells in their groups at the three corners.
    pub(super) cells: &'a [Vec<Vec<CellCircuit>>; 3],
    /// The runs at the three corners.
    pub(super) runs: &'a [Discharge; 3],
}

/// Exponents that are nothing but a hair of rounding away from the draws' laws.
const SAME_EXPONENT: f64 = 1e-6;

/// What the runtime may be, without a single draw.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Chances {
    /// What at-least and at-most are held against.
    pub(super) outline: SpreadOutline,
    /// Whether the driven load follows a law that the draws know; otherwise the nearest one stands for it, and only the
    /// ends count.
    pub(super) by_law: bool,
}

/// What the runtime may be; none where the driven load is not known at the three corners.
///
/// `loads` are those of the three corners, in the order least, likely, most; the chopped ones come last.
pub(super) async fn outline(
    plan: &Plan,
    table: Option<&KnobTable>,
    loads: &[Vec<LoadCircuit>; 3],
    lead_ohm: Interval,
    known: Known<'_>,
) -> Option<Chances> {
    let (loads, duty, by_law) = match table {
        None => (plan.loads.clone(), None, true),
        Some(table) => driven(table, loads)?,
    };
    let run = plan.pack_run(loads, lead_ohm);
    let ends = [RunEnds::LEAST, RunEnds::LIKELY, RunEnds::MOST].map(|ends| ends.cells);
    let cells = ends.into_iter().zip(known.cells.iter().cloned()).collect();
    let spread = RuntimeSpread { duty, ..RuntimeSpread::new(run, SEED) };
    let outline = spread.outline_on(known.chemistries, cells, Some(known.runs)).await.ok()?;
    Some(Chances { outline, by_law })
}

/// The loads beside the switch and the one behind it as one power law with its ends, and whether it is its own law.
fn driven(
    table: &KnobTable,
    [least, likely, most]: &[Vec<LoadCircuit>; 3],
) -> Option<(Vec<Load>, Option<Interval>, bool)> {
    let (heavy, middle, light) = (least.last()?, likely.last()?, most.last()?);
    let watts = |load: &LoadCircuit| load.current_a * load.at_v;
    let ordered = light.at_v == middle.at_v && heavy.at_v == middle.at_v;
    let power_w = Interval { low: watts(light), likely: watts(middle), high: watts(heavy) };
    let rises = |span: Interval| span.low <= span.likely && span.likely <= span.high;
    let duty = Interval { low: light.duty, likely: middle.duty, high: heavy.duty };
    if !(ordered && rises(power_w) && rises(duty)) {
        return None;
    }
    let exponent = middle.exponent.clamp(0.0, 4.0);
    let by_law = libm::fabs(exponent - middle.exponent) < SAME_EXPONENT;
    let draw = Draw::FollowsVoltage { power_w, at_v: middle.at_v, exponent };
    let behind = Load {
        duty: middle.duty,
        chopped: true,
        drop_out_v: table.driven.drop_out_v,
        ..Load::new("what the switch drives", draw)
    };
    let mut loads = table.run.loads.clone();
    loads.push(behind);
    Some((loads, Some(duty), by_law))
}
