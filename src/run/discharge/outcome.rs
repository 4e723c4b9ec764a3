//! What a run was like.

use alloc::vec::Vec;

/// What ended a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum EndedBy {
    /// The weakest group reached its floor.
    GroupFloor,
    /// The protection cut off.
    ProtectionCutOff,
    /// The protection cut off at too much current.
    OverCurrent,
    /// The load's own drop-out voltage.
    LoadDropOut,
    /// The load asks for more than the pack can give at any voltage.
    NoOperatingPoint,
    /// The longest time that was asked for.
    TimeLimit,
    /// Values so far apart that the run could not be followed any further: what comes later is not known.
    NotFollowed,
}

/// Why the rest of a run is not to be relied on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum TrustLimit {
    /// A cell gives more current than the model was proven for at this temperature.
    HighRate,
    /// A cell is colder or hotter than the model was proven for.
    Temperature,
    /// The model cannot explain the pulses of this chemistry's table: it is another kind of cell, or the table is wrong.
    UnexplainedPulses,
    /// The voltage lies so flat there that the model's own error in it decides when the run ends.
    FlatEnd,
    /// No run of this chemistry was there to hold the model against: only the measured charge is relied on.
    Chemistry,
}

/// Values over time, for a chart.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OverTime {
    /// Time since the start, in seconds.
    pub time_s: Vec<f64>,
    /// Voltage at the pack's ends in the on-time, in volts.
    pub pack_v: Vec<f64>,
    /// Voltage at the loads in the on-time, in volts.
    pub load_v: Vec<f64>,
    /// Mean current, in amperes.
    pub mean_a: Vec<f64>,
    /// Charge left in the emptiest cell, as a ratio.
    pub soc_ratio: Vec<f64>,
}

/// What one cell went through.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CellRun {
    /// Highest current in the on-time, in amperes.
    pub peak_a: f64,
    /// Lowest mean current, in amperes; below 0 its neighbours charged it.
    pub lowest_a: f64,
    /// Root of the mean square of its current, in amperes.
    pub rms_a: f64,
    /// Charge left at the end, as a ratio.
    pub end_soc_ratio: f64,
    /// Heat made in the cell, in watt-hours.
    pub heat_wh: f64,
    /// Highest heat in the cell over a step, in watts.
    pub peak_heat_w: f64,
    /// Highest temperature, in degrees Celsius.
    pub peak_degc: f64,
}

/// What one group went through.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct GroupRun {
    /// Voltage at the end under load, in volts.
    pub end_v: f64,
    /// The cells in the order they were given.
    pub cells: Vec<CellRun>,
}

/// A whole run.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Discharge {
    /// Time until the run ended, in seconds.
    pub runtime_s: f64,
    /// What ended it.
    pub ended_by: EndedBy,
    /// The group that ended it, or is lowest at the end, counted from 0 at the negative end.
    pub weakest_group: usize,
    /// Time from which on the model's own error in voltage may end the run, in seconds, where that is more of the
    /// runtime than the model's error in time.
    pub flat_from_s: Option<f64>,
    /// Time from which on the numbers are not to be relied on, in seconds, where there is one.
    pub trusted_until_s: Option<f64>,
    /// Why, where there is such a time.
    pub trust_limit: Option<TrustLimit>,
    /// Charge delivered, in ampere-hours.
    pub delivered_ah: f64,
    /// Energy delivered at the loads, in watt-hours.
    pub delivered_wh: f64,
    /// Energy taken from the cells' charge, in watt-hours.
    pub drawn_wh: f64,
    /// Heat in the cells, in watt-hours.
    pub cell_heat_wh: f64,
    /// Heat in links and leads, in watt-hours.
    pub lead_heat_wh: f64,
    /// Energy left in the cells' slow states at the end, in watt-hours.
    pub slow_wh: f64,
    /// Mean current, in amperes.
    pub mean_a: f64,
    /// Root of the mean square of the current, in amperes.
    pub rms_a: f64,
    /// Highest current in the on-time, in amperes.
    pub peak_a: f64,
    /// Highest root of the mean square over one period, in amperes: what wire and fuse warm up to.
    pub peak_rms_a: f64,
    /// Voltage at the loads at the start, in the on-time, in volts.
    pub start_load_v: f64,
    /// Voltage at the loads at half the time, in the on-time, in volts.
    pub half_load_v: f64,
    /// Voltage at the loads at the end, in the on-time, in volts.
    pub end_load_v: f64,
    /// Each group.
    pub groups: Vec<GroupRun>,
    /// Values over time.
    pub series: OverTime,
}

impl Discharge {
    /// The time that is promised, in seconds: shorter than the runtime where that ends on a plateau.
    #[must_use]
    pub fn promised_s(&self) -> f64 {
        promised_s(self.runtime_s, self.flat_from_s)
    }
}

/// The shorter of both times.
pub(crate) fn promised_s(runtime_s: f64, flat_from_s: Option<f64>) -> f64 {
    flat_from_s.unwrap_or(runtime_s).min(runtime_s)
}

impl OverTime {
    /// Every list, to thin them alike.
    pub(super) fn lists(&mut self) -> [&mut Vec<f64>; 5] {
        [&mut self.time_s, &mut self.pack_v, &mut self.load_v, &mut self.mean_a, &mut self.soc_ratio]
    }
}

/// Voltage at the loads at half the time.
pub(super) fn at_half(series: &OverTime, runtime_s: f64) -> f64 {
    let half_s = 0.5 * runtime_s;
    let after = series.time_s.iter().position(|time_s| *time_s >= half_s).unwrap_or(0);
    let point = |i: usize| Some((*series.time_s.get(i)?, *series.load_v.get(i)?));
    match (after.checked_sub(1).and_then(point), point(after)) {
        (Some((t0, v0)), Some((t1, v1))) if t1 > t0 => v0 + (v1 - v0) * (half_s - t0) / (t1 - t0),
        (_, Some((_, v))) => v,
        _ => 0.0,
    }
}

/// A run of no length.
pub(super) fn empty() -> Discharge {
    Discharge {
        runtime_s: 0.0,
        ended_by: EndedBy::TimeLimit,
        weakest_group: 0,
        flat_from_s: None,
        trusted_until_s: None,
        trust_limit: None,
        delivered_ah: 0.0,
        delivered_wh: 0.0,
        drawn_wh: 0.0,
        cell_heat_wh: 0.0,
        lead_heat_wh: 0.0,
        slow_wh: 0.0,
        mean_a: 0.0,
        rms_a: 0.0,
        peak_a: 0.0,
        peak_rms_a: 0.0,
        start_load_v: 0.0,
        half_load_v: 0.0,
        end_load_v: 0.0,
        groups: Vec::new(),
        series: OverTime::default(),
    }
}
