//! Voltage, current and charge over the run with their bands, one below the other on one time axis.

use super::axes::{Axis, LEFT, Plot, RIGHT};
use super::{Chart, ChartColumn, CurveBand, SettingCurves};
use crate::plan::Report;
use crate::quantity::said::{Filling, Wording, wordings};
use crate::quantity::tongue::Tongue;
use crate::run::discharge::{EndedBy, OverTime};
use crate::sheet::drawing::{Anchor, Ink, fitted};
use alloc::vec::Vec;

/// Rows of the table at most.
const ROWS: usize = 13;
/// Height of one panel.
const PANEL: f64 = 104.0;

pub(super) fn chart(report: &Report, tongue: &Tongue) -> Chart {
    let run = &report.runtime.likely;
    let curves = SettingCurves::of(&report.runtime, None);
    let longest_s = curves.time_s.last().copied().unwrap_or(0.0).max(run.runtime_s).max(0.06);
    // Hours where the run is long: the marks stay short.
    let (scale, unit) = if longest_s > 18_000.0 { (1.0 / 3600.0, HOURS) } else { (1.0 / 60.0, MINUTES) };
    let time: Vec<f64> = curves.time_s.iter().map(|time_s| time_s * scale).collect();
    let x = Axis::new(0.0, longest_s * scale, 6.0, LEFT, RIGHT);
    let mut plot = Plot::new(tongue);
    plot.text(10.0, 16.0, Anchor::Left, Ink::Solid, &fitted(&report.name, 11.0, 340.0));
    plot.said(10.0, 30.0, Anchor::Left, LIKELY.with([Filling::clock(report.runtime.runtime_s.low)]));
    let top = 44.0;
    let panel = |row: f64| (top + row * (PANEL + 26.0) + 14.0, top + row * (PANEL + 26.0) + PANEL);
    voltage(&mut plot, &curves, &time, &x, panel(0.0));
    let (upper, lower) = panel(1.0);
    let (_, highest_a) = ends(&[&curves.mean_a]);
    curve(&mut plot, &curves.mean_a, &time, &x, &Axis::new(0.0, highest_a.max(1e-3), 4.0, lower, upper));
    plot.said(LEFT, upper - 6.0, Anchor::Left, MEAN_A);
    let (upper, lower) = panel(2.0);
    let percent = |values: &Vec<Option<f64>>| values.iter().map(|ratio| ratio.map(|ratio| 100.0 * ratio)).collect();
    let CurveBand { low, likely, high } = &curves.soc_ratio;
    let percents = CurveBand { low: percent(low), likely: percent(likely), high: percent(high) };
    curve(&mut plot, &percents, &time, &x, &Axis::new(0.0, 100.0, 4.0, lower, upper));
    plot.said(LEFT, upper - 6.0, Anchor::Left, LEFT_PERCENT);
    plot.down(&x, lower, lower, true);
    plot.said(RIGHT, lower + 27.0, Anchor::Right, unit);
    let phrase = RUN.with([
        report.name.as_str().into(),
        Filling::clock(run.runtime_s),
        ended(run.ended_by).into(),
        Filling::clock(report.runtime.runtime_s.low),
        Filling::number(run.start_load_v, "v"),
        Filling::number(run.end_load_v, "v"),
    ]);
    let title = TITLE.with([report.name.as_str().into()]);
    let (words, said) = (phrase.words, Some(phrase.said));
    Chart { drawing: plot.drawing(&title, lower + 36.0), words, said, table: table(&run.series) }
}

/// Least and most of some bands.
fn ends(bands: &[&CurveBand]) -> (f64, f64) {
    let all = || bands.iter().flat_map(|band| band.low.iter().chain(&band.likely).chain(&band.high)).flatten().copied();
    (all().fold(f64::MAX, f64::min), all().fold(0.0, f64::max))
}

fn voltage(plot: &mut Plot<'_>, curves: &SettingCurves, time: &[f64], x: &Axis, (upper, lower): (f64, f64)) {
    let (least, most) = ends(&[&curves.pack_v, &curves.load_v]);
    let y = if least < most {
        Axis::new(least, most, 4.0, lower, upper)
    } else {
        Axis::new(0.0, most.max(1.0), 4.0, lower, upper)
    };
    curve(plot, &CurveBand { likely: curves.pack_v.likely.clone(), ..curves.load_v.clone() }, time, x, &y);
    plot.line(Ink::Second, points(&curves.load_v.likely, time, x, &y));
    plot.said(LEFT, upper - 6.0, Anchor::Left, VOLTAGES);
}

/// The points of a row as far as it goes.
fn points(values: &[Option<f64>], time: &[f64], x: &Axis, y: &Axis) -> Vec<[f64; 2]> {
    let point = |(value, time): (&Option<f64>, &f64)| value.map(|value| [x.at(*time), y.at(value)]);
    values.iter().zip(time).filter_map(point).collect()
}

/// The likely values over the band, which ends where the run may have ended; what goes on longest is dotted.
fn curve(plot: &mut Plot<'_>, band: &CurveBand, time: &[f64], x: &Axis, y: &Axis) {
    let low = points(&band.low, time, x, y);
    let high = points(&band.high, time, x, y);
    let both: Vec<[f64; 2]> = low.iter().chain(high.iter().take(low.len()).rev()).copied().collect();
    if low.len() > 1 {
        plot.shape(Ink::Pale, both);
    }
    plot.across(y);
    plot.down(x, y.to, y.from, false);
    plot.line(Ink::Third, high);
    plot.line(Ink::First, points(&band.likely, time, x, y));
}

fn ended(by: EndedBy) -> Wording {
    match by {
        EndedBy::GroupFloor => GROUP_FLOOR,
        EndedBy::ProtectionCutOff => PROTECTION_CUT_OFF,
        EndedBy::OverCurrent => OVER_CURRENT,
        EndedBy::LoadDropOut => LOAD_DROP_OUT,
        EndedBy::NoOperatingPoint => NO_OPERATING_POINT,
        EndedBy::TimeLimit => TIME_LIMIT,
        EndedBy::NotFollowed => NOT_FOLLOWED,
    }
}

fn table(series: &OverTime) -> Vec<ChartColumn> {
    let last = series.time_s.len().saturating_sub(1);
    let rows = ROWS.min(series.time_s.len());
    let picked = |values: &[f64]| -> Vec<Option<f64>> {
        (0..rows).map(|row| values.get(if rows > 1 { row * last / (rows - 1) } else { 0 }).copied()).collect()
    };
    [
        ("time_s", TIME_S, &series.time_s),
        ("pack_v", PACK_V, &series.pack_v),
        ("load_v", LOAD_V, &series.load_v),
        ("mean_a", MEAN_A, &series.mean_a),
        ("soc_ratio", SOC_RATIO, &series.soc_ratio),
    ]
    .into_iter()
    .map(|(code, wording, values)| ChartColumn { code, words: wording.words, values: picked(values) })
    .collect()
}

wordings! {
    TITLE: "drawn_run_title", "Run of {0}";
    LIKELY: "drawn_run", "Likely run; pale: least to most. At worst {0}";
    VOLTAGES: "drawn_voltages", "voltage, V: full line pack, dashes and band at the loads";
    LEFT_PERCENT: "drawn_left_percent", "charge left in the emptiest cell, %";
    HOURS: "drawn_hours", "time, hours";
    MINUTES: "drawn_minutes", "time, minutes";
    RUN: "chart_run", "Likely run of {0}: {1}, ended by {2}. In the worst corner {3}. It starts at {4} and ends at {5} at the loads.";
    GROUP_FLOOR: "ended_by_group_floor", "the weakest group at its floor";
    PROTECTION_CUT_OFF: "ended_by_protection_cut_off", "the protection board";
    OVER_CURRENT: "ended_by_over_current", "the protection board, at too much current";
    LOAD_DROP_OUT: "ended_by_load_drop_out", "the load's drop-out voltage";
    NO_OPERATING_POINT: "ended_by_no_operating_point", "a load that asks for more than the pack can give";
    TIME_LIMIT: "ended_by_time_limit", "the longest time that is looked at";
    NOT_FOLLOWED: "ended_by_not_followed", "values so far apart that it could not be followed further";
    TIME_S: "column_time_s", "time, s";
    PACK_V: "column_pack_v", "voltage of the pack, V";
    LOAD_V: "column_load_v", "voltage at the loads, V";
    MEAN_A: "column_mean_a", "mean current, A";
    SOC_RATIO: "column_soc_ratio", "charge left in the emptiest cell, share";
}
