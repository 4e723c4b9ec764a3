//! What protection a pack needs, and what its board does.

use super::{LithiumKind, ProtectionBoard, band};
use crate::data::Source;
use crate::data::charger::DRIFT_PER_CYCLE_RATIO;
use crate::data::protection::{DW01A, OVER_CHARGE_BAND_V};
use crate::error::{Check, Error};
use crate::quantity::Interval;
use alloc::string::String;
use alloc::vec::Vec;

/// The current at which a fuse behaves for certain.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FuseGates {
    /// Current it carries for hours, in amperes.
    pub holds_a: f64,
    /// Current at which it opens before long, in amperes.
    pub opens_a: f64,
}

/// The question what protection a pack needs and what a board does for it.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ProtectionWish {
    /// The maker's name for the pack.
    pub name: String,
    /// What the cells are.
    pub kind: LithiumKind,
    /// Groups in series.
    pub series: u32,
    /// Capacity of the weakest group, in ampere-hours.
    pub capacity_ah: Interval,
    /// Current that all loads draw together for good, in amperes.
    pub load_a: Interval,
    /// Highest current at switching on, in amperes.
    pub surge_a: Option<Interval>,
    /// How long that lasts, in seconds.
    pub surge_s: Option<Interval>,
    /// Current of a short at the pack's leads, in amperes.
    pub short_circuit_a: Option<Interval>,
    /// The pack's fuse.
    pub fuse: Option<FuseGates>,
    /// How far one group drifts from the others in a cycle, as a ratio; common values where left out.
    pub drift_per_cycle_ratio: Option<Interval>,
    /// The board.
    pub board: Option<ProtectionBoard>,
}

/// What a board must do for the pack.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ProtectionNeed {
    /// Groups it is made for.
    pub series: u32,
    /// Lowest group voltage at which it may cut charging, in volts.
    pub over_charge_from_v: f64,
    /// Highest group voltage at which it may cut charging, in volts.
    pub over_charge_to_v: f64,
    /// Lowest group voltage at which it may cut discharging, in volts.
    pub over_discharge_from_v: f64,
    /// Group voltage at which it should cut discharging, in volts.
    pub over_discharge_v: f64,
    /// Current it must carry for good, in amperes.
    pub continuous_a: f64,
    /// Current that must not trip it, in amperes.
    pub trip_above_a: f64,
    /// Current that must trip it as a short circuit, in amperes, where the pack's own is known.
    pub short_below_a: Option<f64>,
    /// Lowest and highest cell temperature at which it lets the pack charge, in degrees Celsius.
    pub charge_degc: [f64; 2],
    /// Source of the voltages.
    pub voltage_source: Source,
    /// Source of how far the cut-off may lie above the charge voltage.
    pub band_source: Source,
}

/// Which of two things cuts first as the current grows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum CutsFirst {
    /// The board, for certain.
    Board,
    /// The fuse, for certain.
    Fuse,
    /// Either.
    Either,
}

/// Whether something happens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Happens {
    /// At no end of the inputs.
    Never,
    /// At some.
    Perhaps,
    /// At all.
    Always,
}

/// What a board does for the pack.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BoardAnswer {
    /// Group voltage at which it cuts charging, in volts.
    pub over_charge_v: Option<Interval>,
    /// Group voltage at which it cuts discharging, in volts.
    pub over_discharge_v: Option<Interval>,
    /// Current at which it cuts, in amperes.
    pub trip_a: Option<Interval>,
    /// Current at which it cuts as a short circuit, in amperes.
    pub short_circuit_trip_a: Option<Interval>,
    /// Voltage it takes at the load's current, in volts.
    pub path_v: Option<Interval>,
    /// Heat it makes at the load's current, in watts.
    pub path_w: Option<Interval>,
    /// Whether the load's current trips it.
    pub load_trips: Option<Happens>,
    /// Whether the surge at switching on trips it.
    pub surge_trips: Option<Happens>,
    /// Whether a short at the pack's leads trips it.
    pub short_trips: Option<Happens>,
    /// Whether board or fuse cuts first as the current grows.
    pub cuts_first: Option<CutsFirst>,
    /// Time the balancing needs for the drift of one cycle, in seconds.
    pub balance_s: Option<f64>,
    /// Source of the voltages.
    pub source: Source,
}

/// What protection a pack needs and what its board does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ProtectionAnswer {
    /// What a board must do.
    pub need: ProtectionNeed,
    /// What the given board does.
    pub board: Option<BoardAnswer>,
}

impl ProtectionBoard {
    fn answer(&self, wish: &ProtectionWish) -> BoardAnswer {
        let (over_charge_v, over_discharge_v) = self.thresholds.voltages();
        let trip_a = self.over_current.map(|trip| trip.trip_a());
        let short_circuit_trip_a = self.short_circuit.map(|trip| trip.trip_a());
        let path_ohm = self.over_current.or(self.short_circuit).and_then(|trip| trip.path_ohm());
        let load_a = wish.load_a;
        let times = |a: Interval, b: Interval| Interval {
            low: a.low * b.low,
            likely: a.likely * b.likely,
            high: a.high * b.high,
        };
        let path_v = path_ohm.map(|ohm| times(load_a, ohm));
        BoardAnswer {
            over_charge_v,
            over_discharge_v,
            trip_a,
            short_circuit_trip_a,
            path_v,
            path_w: path_v.map(|v| times(load_a, v)),
            load_trips: trip_a.map(|trip_a| reaches(&load_a, &trip_a)),
            surge_trips: self.surge_trips(wish),
            short_trips: self.short_trips(wish),
            cuts_first: trip_a.zip(wish.fuse).map(|(trip_a, fuse)| fuse.cuts_first(&trip_a)),
            balance_s: self.balance_a.filter(|_| self.balances == Some(true)).map(|balance_a| {
                let drift = wish.drift().high;
                drift * wish.capacity_ah.high * 3600.0 / balance_a
            }),
            source: self.thresholds.source(),
        }
    }

    /// A surge trips the board where it is high and long enough; without a time it counts as long.
    fn surge_trips(&self, wish: &ProtectionWish) -> Option<Happens> {
        let (surge_a, trip) = wish.surge_a.zip(self.over_current)?;
        let high = reaches(&surge_a, &trip.trip_a());
        let (Some(surge_s), Some(over_current_s)) = (wish.surge_s, self.over_current_s) else {
            return Some(if high == Happens::Never { Happens::Never } else { Happens::Perhaps });
        };
        Some(match (high, reaches(&surge_s, &over_current_s)) {
            (Happens::Never, _) | (_, Happens::Never) => Happens::Never,
            (Happens::Always, Happens::Always) => Happens::Always,
            _ => Happens::Perhaps,
        })
    }

    /// A short trips the board through either of its thresholds.
    fn short_trips(&self, wish: &ProtectionWish) -> Option<Happens> {
        let least = [self.short_circuit, self.over_current].into_iter().flatten().map(|trip| trip.trip_a());
        let least = least.reduce(|a, b| Interval {
            low: a.low.min(b.low),
            likely: a.likely.min(b.likely),
            high: a.high.min(b.high),
        })?;
        Some(reaches(&wish.short_circuit_a?, &least))
    }
}

/// Whether `given` reaches `limit`.
fn reaches(given: &Interval, limit: &Interval) -> Happens {
    if given.high < limit.low {
        Happens::Never
    } else if given.low >= limit.high {
        Happens::Always
    } else {
        Happens::Perhaps
    }
}

impl FuseGates {
    fn check(&self, check: &mut Check) {
        check.within("holds_a", self.holds_a, 0.01, 1000.0);
        let least_a = if (0.01..=1000.0).contains(&self.holds_a) { self.holds_a } else { 0.01 };
        check.within("opens_a", self.opens_a, least_a, 10000.0);
    }

    fn cuts_first(&self, trip_a: &Interval) -> CutsFirst {
        if trip_a.high < self.holds_a {
            CutsFirst::Board
        } else if trip_a.low > self.opens_a {
            CutsFirst::Fuse
        } else {
            CutsFirst::Either
        }
    }
}

impl ProtectionWish {
    pub(crate) fn check(&self, check: &mut Check) {
        check.within("series", f64::from(self.series), 1.0, 100.0);
        self.capacity_ah.note(check, "capacity_ah", 0.01, 10000.0);
        self.load_a.note(check, "load_a", 0.0, 1000.0);
        let spans = [
            ("surge_a", self.surge_a, 0.0, 10000.0),
            ("surge_s", self.surge_s, 0.0, 60.0),
            ("short_circuit_a", self.short_circuit_a, 0.0, 1e5),
            ("drift_per_cycle_ratio", self.drift_per_cycle_ratio, 0.0, 1.0),
        ];
        for (field, span, low, high) in spans {
            if let Some(span) = span {
                span.note(check, field, low, high);
            }
        }
        if let Some(fuse) = &self.fuse {
            check.inside("fuse", |check| fuse.check(check));
        }
        if let Some(board) = &self.board {
            check.inside("board", |check| board.check(check));
        }
    }

    fn drift(&self) -> Interval {
        self.drift_per_cycle_ratio.unwrap_or(band(DRIFT_PER_CYCLE_RATIO))
    }

    /// What protection the pack needs, and what the board does.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    pub fn answer(&self) -> Result<ProtectionAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let limits = self.kind.limits();
        let most_a = self.surge_a.map_or(self.load_a.high, |surge_a| surge_a.high.max(self.load_a.high));
        let need = ProtectionNeed {
            series: self.series,
            over_charge_from_v: limits.charge_v,
            over_charge_to_v: limits.charge_v + OVER_CHARGE_BAND_V,
            over_discharge_from_v: limits.give_up_v,
            over_discharge_v: limits.floor_v,
            continuous_a: self.load_a.high,
            trip_above_a: most_a,
            short_below_a: self.short_circuit_a.map(|short_circuit_a| short_circuit_a.low),
            charge_degc: [limits.charge_low_degc, limits.charge_high_degc],
            voltage_source: limits.voltage_source,
            band_source: DW01A.source,
        };
        Ok(ProtectionAnswer { need, board: self.board.as_ref().map(|board| board.answer(self)) })
    }
}
