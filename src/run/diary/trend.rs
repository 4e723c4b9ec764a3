//! What becomes of one group.

use super::DiaryState;
use super::charge::{Imbalance, ImbalanceSeen};
use super::line::{Line, Mark, line};
use super::reading::{Row, since_levelled};
use crate::data::diary::{GROUPS_APART_K, HORIZON_DAYS};
use crate::pack::Group;
use crate::part::cell::Curves;
use crate::quantity::Interval;
use crate::quantity::date::Day;
use crate::run::self_discharge::TEMPERATURE_V_PER_K;
use alloc::string::String;
use alloc::vec::Vec;

/// A month, in days.
const MONTH_DAYS: f64 = 30.0;

/// What a difference of temperature between groups does to their voltages, in volts.
pub(super) const GROUPS_APART_V: f64 = TEMPERATURE_V_PER_K * GROUPS_APART_K;

/// When a group leaves its band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum BandAnswer {
    /// It has left.
    HasLeft,
    /// It may have left: the meter cannot tell.
    MayHaveLeft,
    /// It leaves between two days.
    Leaves,
    /// Not within a year, even at the fastest drift that the readings allow.
    NotWithinYear,
    /// It cannot be told yet: the readings allow a drift in and one out of the band.
    CannotBeToldYet,
}

/// When a group leaves its band.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LeavesBand {
    /// The answer.
    pub answer: BandAnswer,
    /// Not before this day, where there is one.
    pub earliest_date: Option<String>,
    /// Not after this day, where there is one.
    pub latest_date: Option<String>,
    /// Days from the latest entry at rest to the earliest day, where there is one.
    pub earliest_days: Option<u32>,
}

/// What becomes of one group.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct GroupTrend {
    /// Its number from the negative end, from 1.
    pub number: usize,
    /// Against the middle of the others in the latest entry at rest, in volts.
    pub difference_v: Option<Interval>,
    /// Entries that the drift rests on.
    pub compared: usize,
    /// Drift against the others, in volts a month; none where the entries do not tell it.
    pub drift_v_per_month: Option<Interval>,
    /// Whether one steady drift explains all compared entries; false as well where there is none.
    pub is_steady: bool,
    /// When it leaves its band.
    pub leaves_band: LeavesBand,
    /// Charge against the others in the latest entry at rest.
    pub imbalance: Imbalance,
    /// Charge that it loses a month more than the others, as a share of the capacity; none where rest voltages do not
    /// tell it.
    pub loss_ratio_per_month: Option<Interval>,
    /// Its latest resistance over its first one; none with fewer than two.
    pub resistance_ratio: Option<Interval>,
    /// Change of its resistance, in ohms a month.
    pub resistance_ohm_per_month: Option<Interval>,
}

/// A row of readings of one group, in the order of time.
fn marks(rows: &[Row<'_>], of: impl Fn(&Row<'_>) -> Option<Interval>) -> Vec<Mark> {
    let first = rows.first().map(|row| row.day);
    let day = |row: &Row<'_>| first.map_or(0.0, |first| f64::from(row.day.days_since(first)));
    rows.iter().filter_map(|row| Some(Mark { day: day(row), value: of(row)? })).collect()
}

fn scaled(value: Interval, factor: f64) -> Interval {
    let ends = (value.low * factor, value.high * factor);
    Interval { low: ends.0.min(ends.1), likely: value.likely * factor, high: ends.0.max(ends.1) }
}

impl GroupTrend {
    pub(super) fn of(
        g: usize,
        group: &Group,
        curves: Option<&Curves>,
        rows: &[Row<'_>],
        comparable: &[Row<'_>],
        band_v: f64,
    ) -> Self {
        let at_rest = rows.iter().rfind(|row| row.entry.state != DiaryState::AfterUse);
        let difference_v = at_rest.and_then(|row| row.difference_v(g));
        let compared = marks(comparable, |row| row.difference_v(g));
        let drift = line(&compared);
        let told = |row: &Row<'_>| {
            let v = [row.shown_v(g), row.others_v(g)];
            Imbalance::read(curves, row.entry.state, &row.entry.voltmeter, v)
        };
        let untold = Imbalance::untold(ImbalanceSeen::NotRead);
        let charge = line(&marks(since_levelled(rows), |row| told(row).charge_ratio));
        let ohms = marks(rows, |row| row.entry.group_ohm.as_ref()?.get(g).copied().flatten());
        Self {
            number: g + 1,
            difference_v,
            compared: compared.len(),
            drift_v_per_month: drift.map(|drift| scaled(drift.per_day, MONTH_DAYS)),
            is_steady: drift.is_some_and(|drift| drift.is_straight),
            leaves_band: leaves(difference_v, drift, band_v, at_rest.map(|row| row.day)),
            imbalance: at_rest.map_or(untold, told).of_capacity(capacity_ah(group)),
            loss_ratio_per_month: charge.map(|charge| scaled(charge.per_day, -MONTH_DAYS)),
            resistance_ratio: grown(&ohms),
            resistance_ohm_per_month: line(&ohms).map(|line| scaled(line.per_day, MONTH_DAYS)),
        }
    }
}

/// What the cells of a group delivered in their tests together.
fn capacity_ah(group: &Group) -> Interval {
    let sum = |of: fn(&Interval) -> f64| group.cells.iter().map(|cell| of(&cell.capacity.capacity_ah)).sum::<f64>();
    Interval { low: sum(|ah| ah.low), likely: sum(|ah| ah.likely), high: sum(|ah| ah.high) }
}

/// The last over the first.
fn grown(marks: &[Mark]) -> Option<Interval> {
    let [first, .., last] = marks else { return None };
    Some(Interval {
        low: last.value.low / first.value.high,
        likely: last.value.likely / first.value.likely,
        high: last.value.high / first.value.low,
    })
}

fn leaves(difference_v: Option<Interval>, drift: Option<Line>, band_v: f64, from: Option<Day>) -> LeavesBand {
    let plain = |answer| LeavesBand { answer, earliest_date: None, latest_date: None, earliest_days: None };
    let Some(now) = difference_v else { return plain(BandAnswer::CannotBeToldYet) };
    if now.low > band_v || now.high < -band_v {
        return plain(BandAnswer::HasLeft);
    }
    if now.high > band_v || now.low < -band_v {
        return plain(BandAnswer::MayHaveLeft);
    }
    let Some(Line { per_day, .. }) = drift else { return plain(BandAnswer::CannotBeToldYet) };
    let days = |way_v: f64, speed: f64| if speed > 0.0 { way_v / speed } else { f64::INFINITY };
    let earliest = days(band_v - now.high, per_day.high).min(days(band_v + now.low, -per_day.low));
    let latest = days(band_v - now.low, per_day.low).min(days(band_v + now.high, -per_day.high));
    if earliest > f64::from(HORIZON_DAYS) {
        return plain(BandAnswer::NotWithinYear);
    }
    let earliest_days = libm::floor(earliest) as u32;
    let later = |days: f64| from?.later(libm::ceil(days.min(1e6)) as u32).map(Day::text);
    LeavesBand {
        answer: if latest.is_finite() { BandAnswer::Leaves } else { BandAnswer::CannotBeToldYet },
        earliest_date: from.and_then(|from| from.later(earliest_days)).map(Day::text),
        latest_date: if latest.is_finite() { later(latest) } else { None },
        earliest_days: Some(earliest_days),
    }
}
