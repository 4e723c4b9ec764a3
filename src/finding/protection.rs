//! Findings about the protection board.

pub mod rules;

pub use crate::part::protection::ProtectionWish;

use super::Finding;
use super::gathered::Gathered;
use crate::error::Error;
use crate::part::protection::{BoardAnswer, CutsFirst, Happens, ProtectionBoard, ProtectionNeed};
use alloc::vec::Vec;

/// Longest time that balancing may need for the drift of one cycle before it falls behind, in seconds: six hours, a
/// night on the charger. Common practice, no source.
const BALANCE_LONGEST_S: f64 = 21600.0;

/// What protection a pack needs, what its board does, and what stands against it.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ProtectionReview {
    /// What a board must do.
    pub need: ProtectionNeed,
    /// What the given board does.
    pub board: Option<BoardAnswer>,
    /// Rules that are broken or could not be judged.
    pub findings: Vec<Finding>,
}

/// Answers the question about protection.
///
/// # Errors
///
/// Everything that is wrong with the inputs, each with its place.
pub fn review(wish: &ProtectionWish) -> Result<ProtectionReview, Vec<Error>> {
    let answer = wish.answer()?;
    let findings = judge(wish, &answer.need, answer.board.as_ref(), "");
    Ok(ProtectionReview { need: answer.need, board: answer.board, findings })
}

/// What stands against the protection; `at` is the JSON Pointer of the wish in the plan.
pub(crate) fn judge(
    wish: &ProtectionWish,
    need: &ProtectionNeed,
    does: Option<&BoardAnswer>,
    at: &str,
) -> Vec<Finding> {
    let mut list = Gathered::new(at, &wish.name);
    let (Some(board), Some(does)) = (&wish.board, does) else {
        list.broken(if wish.series > 1 { &rules::MISSING } else { &rules::MISSING_ONE }, "board", None, None);
        return list.findings;
    };
    voltages(wish, board, need, does, &mut list);
    currents(wish, board, need, does, &mut list);
    match board.temperature_sensor {
        None => list.not_judged(&rules::NO_SENSOR, "board/temperature_sensor"),
        Some(false) => list.broken(&rules::NO_SENSOR, "board/temperature_sensor", None, None),
        Some(true) => {}
    }
    if wish.series > 1 {
        match (board.balances, does.balance_s) {
            (None, _) => list.not_judged(&rules::NO_BALANCING, "board/balances"),
            (Some(false), _) => list.broken(&rules::NO_BALANCING, "board/balances", None, None),
            (Some(true), None) => list.not_judged(&rules::BALANCING_SLOW, "board/balance_a"),
            (Some(true), Some(balance_s)) => {
                list.above(&rules::BALANCING_SLOW, "board/balance_a", balance_s, BALANCE_LONGEST_S);
            }
        }
    }
    list.findings
}

fn voltages(
    wish: &ProtectionWish,
    board: &ProtectionBoard,
    need: &ProtectionNeed,
    does: &BoardAnswer,
    list: &mut Gathered,
) {
    match board.series {
        None => list.not_judged(&rules::WRONG_COUNT, "board/series"),
        Some(series) if series != wish.series => {
            list.broken(&rules::WRONG_COUNT, "board/series", Some(f64::from(series)), Some(f64::from(wish.series)));
        }
        Some(_) => {}
    }
    match does.over_charge_v {
        None => list.not_judged(&rules::OVER_CHARGE_HIGH, "board/over_voltage_v"),
        Some(over_charge_v) => {
            // Sums of printed voltages are not exact in binary.
            if over_charge_v.high > need.over_charge_to_v + 1e-9 {
                let (v, limit_v) = (over_charge_v.high, need.over_charge_to_v);
                list.broken(&rules::OVER_CHARGE_HIGH, "board/thresholds", Some(v), Some(limit_v));
            }
            let low_v = over_charge_v.low;
            list.below(&rules::OVER_CHARGE_LOW, "board/thresholds", low_v, need.over_charge_from_v);
        }
    }
    let Some(low_v) = does.over_discharge_v.map(|volts| volts.low) else {
        return list.not_judged(&rules::OVER_DISCHARGE_DEEP, "board/cut_off_v");
    };
    if low_v < need.over_discharge_from_v {
        list.broken(&rules::OVER_DISCHARGE_DEEP, "board/thresholds", Some(low_v), Some(need.over_discharge_from_v));
    } else if low_v < need.over_discharge_v {
        list.broken(&rules::OVER_DISCHARGE_LOW, "board/thresholds", Some(low_v), Some(need.over_discharge_v));
    }
}

fn currents(
    wish: &ProtectionWish,
    board: &ProtectionBoard,
    need: &ProtectionNeed,
    does: &BoardAnswer,
    list: &mut Gathered,
) {
    match board.continuous_a {
        None => list.not_judged(&rules::CONTINUOUS, "board/continuous_a"),
        Some(rated_a) if need.continuous_a > rated_a => {
            list.broken(&rules::CONTINUOUS, "board/continuous_a", Some(need.continuous_a), Some(rated_a));
        }
        Some(_) => {}
    }
    let trip_a = does.trip_a.map(|trip_a| trip_a.low);
    match does.load_trips {
        None => list.not_judged(&rules::TRIPS_IN_USE, "board/over_current"),
        Some(Happens::Never) => {}
        Some(_) => list.broken(&rules::TRIPS_IN_USE, "board/over_current", Some(wish.load_a.high), trip_a),
    }
    match does.surge_trips {
        None if trip_a.is_none() => list.not_judged(&rules::TRIPS_AT_SURGE, "board/over_current"),
        None => list.not_judged(&rules::TRIPS_AT_SURGE, "surge_a"),
        Some(Happens::Never) => {}
        Some(_) => {
            let surge_a = wish.surge_a.map(|surge_a| surge_a.high);
            list.broken(&rules::TRIPS_AT_SURGE, "board/over_current", surge_a, trip_a);
        }
    }
    let least_a = [does.short_circuit_trip_a, does.trip_a].into_iter().flatten().map(|trip_a| trip_a.high);
    match does.short_trips {
        None => list.not_judged(&rules::MISSES_SHORT, "short_circuit_a and a trip current of the board"),
        Some(Happens::Always) => {}
        Some(_) => list.broken(&rules::MISSES_SHORT, "board", need.short_below_a, least_a.reduce(f64::min)),
    }
    match (does.cuts_first, wish.fuse) {
        (Some(CutsFirst::Board), _) => {}
        (Some(CutsFirst::Fuse), Some(fuse)) => list.broken(&rules::FUSE_FIRST, "fuse", trip_a, Some(fuse.opens_a)),
        (Some(_), Some(fuse)) => list.broken(&rules::EITHER_FIRST, "fuse", trip_a, Some(fuse.holds_a)),
        (_, None) => list.not_judged(&rules::FUSE_FIRST, "fuse"),
        (None, Some(_)) => list.not_judged(&rules::FUSE_FIRST, "board/over_current"),
    }
}
