//! How much charge a difference of rest voltages stands for.
//!
//! ```text
//! imbalance = soc(group's rest_v) − soc(middle of the others' rest_v)
//! ```
//!
//! soc is read from the chemistry's rest curve. The meter's gain moves both voltages together and is tried in steps; the
//! digits of each reading and a difference of temperature between the groups are taken at the worse end. Where the curve
//! is flat the answer is that it cannot be seen, never a number. Holds at rest, for cells whose rest curve is about that
//! of their chemistry.

use super::DiaryState;
use crate::data::diary::{GROUPS_APART_K, SEEN_RATIO};
use crate::part::cell::Curves;
use crate::part::measure::Voltmeter;
use crate::quantity::Interval;
use crate::run::self_discharge::TEMPERATURE_V_PER_K;

/// Steps in which the meter's gain is tried over its range.
const GAIN_STEPS: u32 = 20;

/// Why a difference in charge is told or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum ImbalanceSeen {
    /// It is told.
    Told,
    /// The rest curve is so flat there that this meter cannot see it.
    CannotBeSeen,
    /// The latest entry was not read at rest.
    NotAtRest,
    /// The group or all the others were not read, or there are no others.
    NotRead,
    /// No rest curve tells it: not lithium, not identified, or mixed cells.
    NoCurve,
    /// A voltage lies outside the rest curve.
    OutsideCurve,
}

/// Charge of a group against the middle of the others.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Imbalance {
    /// Whether it is told, and if not why.
    pub seen: ImbalanceSeen,
    /// The difference as a share of the capacity; below 0 the group holds less.
    pub charge_ratio: Option<Interval>,
    /// The same in ampere-hours, for the measured capacities of the group's cells.
    pub charge_ah: Option<Interval>,
}

impl Imbalance {
    pub(super) const fn untold(seen: ImbalanceSeen) -> Self {
        Self { seen, charge_ratio: None, charge_ah: None }
    }

    /// The difference between a group and the middle of the others as shown by one meter.
    pub(super) fn read(curves: Option<&Curves>, state: DiaryState, meter: &Voltmeter, v: [Option<f64>; 2]) -> Self {
        let [Some(own_v), Some(middle_v)] = v else { return Self::untold(ImbalanceSeen::NotRead) };
        let Some(curves) = curves else { return Self::untold(ImbalanceSeen::NoCurve) };
        if state != DiaryState::AfterRest {
            return Self::untold(ImbalanceSeen::NotAtRest);
        }
        let (empty_v, full_v) = (curves.rest_v(0.0), curves.rest_v(1.0));
        let reach_v = meter.error_v() + meter.reading_ratio * full_v;
        let inside = |v: f64| v >= empty_v - reach_v && v <= full_v + reach_v;
        if !(inside(own_v) && inside(middle_v)) {
            return Self::untold(ImbalanceSeen::OutsideCurve);
        }
        let charge_ratio = difference(curves, meter, own_v, middle_v);
        if charge_ratio.high - charge_ratio.low > 2.0 * SEEN_RATIO {
            return Self::untold(ImbalanceSeen::CannotBeSeen);
        }
        Self { seen: ImbalanceSeen::Told, charge_ratio: Some(charge_ratio), charge_ah: None }
    }

    /// The same with the charge it stands for.
    pub(super) fn of_capacity(self, capacity_ah: Interval) -> Self {
        let charge_ah = self.charge_ratio.map(|ratio| {
            let ends = [ratio.low * capacity_ah.low, ratio.low * capacity_ah.high];
            let others = [ratio.high * capacity_ah.low, ratio.high * capacity_ah.high];
            let all = || ends.into_iter().chain(others);
            Interval {
                low: all().fold(f64::INFINITY, f64::min),
                likely: ratio.likely * capacity_ah.likely,
                high: all().fold(f64::NEG_INFINITY, f64::max),
            }
        });
        Self { charge_ah, ..self }
    }
}

/// Least, likely and most charge between two voltages that were read one after the other.
fn difference(curves: &Curves, meter: &Voltmeter, own_v: f64, middle_v: f64) -> Interval {
    let apart_v = 0.5 * TEMPERATURE_V_PER_K * GROUPS_APART_K;
    let likely = curves.soc_ratio(own_v) - curves.soc_ratio(middle_v);
    let (mut low, mut high) = (likely, likely);
    for step in 0..=GAIN_STEPS {
        let gain = 2.0 * f64::from(step) / f64::from(GAIN_STEPS) - 1.0;
        let at = |rest: f64| {
            let own = curves.soc_ratio(meter.true_v(own_v, gain, rest) - rest * apart_v);
            own - curves.soc_ratio(meter.true_v(middle_v, gain, -rest) + rest * apart_v)
        };
        low = low.min(at(1.0));
        high = high.max(at(-1.0));
    }
    Interval { low, likely, high }
}
