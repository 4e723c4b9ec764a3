//! Readings of a build with a planted fault, to prove the search and to try it out.
//!
//! Everything that is not known exactly lies evenly between its ends, the fault has a size evenly over the logarithm of
//! its range, each range of the meter has a gain of its own and each reading a rest of its own, evenly within the
//! meter's accuracy. The same seed gives the same readings on every target. The readings are invented.

use super::BenchReading;
use crate::error::Error;
use crate::part::load::Draw;
use crate::plan::Plan;
use crate::quantity::draw::Draws;
use crate::sheet::fault::Fault;
use crate::sheet::measure::{BenchMeter, Measure};
use crate::sheet::model::{CHARGE, Case, HALF, Model, OPEN_READING};
use alloc::vec::Vec;

/// Readings of `wanted` on the build of a plan with a fault; none on the healthy one.
///
/// # Errors
///
/// Everything that is wrong with the plan.
pub fn pretend(
    plan: &Plan,
    meter: &BenchMeter,
    fault: Option<Fault>,
    wanted: &[Measure],
    seed: u64,
) -> Result<Vec<BenchReading>, Vec<Error>> {
    plan.checked()?;
    let model = Model::new(plan, *meter)?;
    let even = |place: usize| 2.0 * Draws::new(seed.wrapping_mul(4096).wrapping_add(place as u64), 1).unit(0, 0) - 1.0;
    let unknowns = model.unknowns();
    let mut z: Vec<f64> = (0..unknowns).map(|place| HALF * even(place)).collect();
    if let Some(charge) = z.get_mut(CHARGE) {
        *charge = Model::charge_z(0.5 + 0.45 * even(0));
    }
    let size = fault.map_or(0.0, |fault| fault.size(0.5 + 0.5 * even(2000)));
    let values = model.readings(&Case { z: &z, fault, size }, wanted);
    let each = wanted.iter().zip(values).enumerate();
    Ok(each
        .map(|(place, (measure, value))| {
            let open = measure.opens() && value >= OPEN_READING;
            let rest = even(1000 + place) * model.meter.accuracy(*measure, value).rest;
            BenchReading {
                measure: *measure,
                shown: if open { None } else { Some(spread(plan, *measure, value, rest, even(3000 + place))) },
            }
        })
        .collect())
}

/// What the meter shows: a resistance of a winding and a diode's voltage differ from part to part beside that.
fn spread(plan: &Plan, measure: Measure, value: f64, rest: f64, part: f64) -> f64 {
    match measure {
        Measure::LoadOhm { load } if value > 0.5 => {
            let turns = plan.loads.get(load - 1).is_some_and(|l| matches!(l.draw, Draw::FollowsVoltage { .. }));
            value * libm::exp(if turns { 0.6 } else { 0.08 } * part) + rest
        }
        Measure::FlybackDiodeV => value + 0.15 * part + rest,
        Measure::KnobDiodeV { .. } => value + 0.06 * part + rest,
        // A count is a count, and nothing stands still with a remainder.
        Measure::TurnsCount { .. } => value,
        Measure::FrequencyHz { .. } => value * (1.0 + 0.015 * part) + rest,
        _ => value + rest,
    }
}
