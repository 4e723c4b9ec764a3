//! Runtime of each place of the knob with its least and its most: over the flow where one is known, else over speed,
//! power or the place itself.

use super::axes::{Axis, LEFT, Plot, RIGHT};
use super::{Chart, ChartColumn};
use crate::part::pump::Flow;
use crate::plan::Report;
use crate::quantity::order::sort_by;
use crate::quantity::said::{Filling, Phrase, Wording, wordings};
use crate::quantity::tongue::Tongue;
use crate::quantity::{End, Interval};
use crate::run::knob::{KnobRow, KnobSetting};
use crate::sheet::drawing::{Anchor, Ink, fitted};
use crate::sheet::parts::THEN;
use alloc::format;
use alloc::vec::Vec;

/// Points need this much between them, across and down, for both to be named; names may stand on either side.
const NAME_APART: [f64; 2] = [80.0, 12.0];

/// What the runtime is drawn over.
#[derive(Clone, Copy, PartialEq)]
enum Across {
    Flow,
    Speed,
    Power,
    Knob,
}

impl Across {
    /// Name, title of the axis, and factor from the value to what is written there.
    const fn told(self) -> (Wording, Wording, f64) {
        match self {
            Self::Flow => (OVER_FLOW, FLOWS, 60_000.0),
            Self::Speed => (OVER_SPEED, SPEEDS, 100.0),
            Self::Power => (OVER_POWER, POWERS, 1.0),
            Self::Knob => (OVER_KNOB, PLACES, 100.0),
        }
    }

    fn value(self, place: &KnobRow) -> Option<f64> {
        let setting = place.setting.as_ref()?;
        match self {
            Self::Flow => flow(setting),
            Self::Speed => setting.speed_ratio,
            Self::Power => setting.power_w,
            Self::Knob => Some(place.wiper_ratio),
        }
    }

    /// The first that two told places have at least, and that differs between those that have it.
    fn of(places: &[&KnobRow]) -> Self {
        let told = || places.iter().filter(|place| runtime(place).is_some());
        let fits = |across: &Self| {
            let (low, high) = ends(told().filter_map(|place| across.value(place)));
            told().filter(|place| across.value(place).is_some()).count() > 1 && high - low > 0.05 * high
        };
        [Self::Flow, Self::Speed, Self::Power].into_iter().find(fits).unwrap_or(Self::Knob)
    }
}

fn ends(values: impl Iterator<Item = f64> + Clone) -> (f64, f64) {
    (values.clone().fold(f64::MAX, f64::min), values.fold(0.0, f64::max))
}

fn flow(setting: &KnobSetting) -> Option<f64> {
    match setting.flow {
        Some(Flow::Flows { flow_m3_per_s }) => Some(flow_m3_per_s),
        Some(Flow::NoFlow) => Some(0.0),
        None => None,
    }
}

fn runtime(place: &KnobRow) -> Option<Interval> {
    place.setting.as_ref()?.runtime_s
}

/// One place that is drawn.
struct Told {
    wiper_ratio: f64,
    across: f64,
    runtime_s: Interval,
}

pub(super) fn chart(report: &Report, tongue: &Tongue) -> Option<Chart> {
    let mut places: Vec<&KnobRow> = report.settings.iter().flat_map(|settings| &settings.rows).collect();
    sort_by(&mut places, |a, b| a.wiper_ratio.total_cmp(&b.wiper_ratio));
    if places.is_empty() {
        return None;
    }
    let across = Across::of(&places);
    let (name, axis, factor) = across.told();
    let one = |place: &&KnobRow| {
        let across = factor * across.value(place)?;
        Some(Told { wiper_ratio: place.wiper_ratio, across, runtime_s: runtime(place)? })
    };
    let told: Vec<Told> = places.iter().filter_map(one).collect();
    let longest_h = told.iter().map(|place| place.runtime_s.high / 3600.0).fold(0.0, f64::max).max(1.0 / 60.0);
    let widest = told.iter().map(|place| place.across).fold(0.0, f64::max).max(1e-3);
    let (top, bottom) = (52.0, 230.0);
    let x = Axis::new(0.0, if across == Across::Knob { 100.0 } else { widest }, 5.0, LEFT, RIGHT);
    let y = Axis::new(0.0, longest_h, 5.0, bottom, top);
    let mut plot = Plot::new(tongue);
    plot.text(10.0, 16.0, Anchor::Left, Ink::Solid, &fitted(&report.name, 11.0, 340.0));
    let left_out = places.iter().filter(|place| runtime(place).is_some()).count() - told.len();
    let title = if left_out > 0 {
        RUNTIME_SOME.with([name.into(), Filling::count(left_out)])
    } else {
        RUNTIME.with([name.into()])
    };
    plot.said(10.0, 30.0, Anchor::Left, title);
    plot.across(&y);
    plot.down(&x, top, bottom, true);
    points(&mut plot, &x, &y, &told, across != Across::Knob);
    plot.said(RIGHT, bottom + 27.0, Anchor::Right, axis);
    let (words, said) = phrase(&places).map(|phrase| (phrase.words, phrase.said)).unzip();
    let title = TITLE.with([report.name.as_str().into()]);
    Some(Chart {
        drawing: plot.drawing(&title, bottom + 36.0),
        words: words.unwrap_or_default(),
        said,
        table: table(&places),
    })
}

/// Bars from least to most, the likely values joined, each with its place of the knob where that is not the axis.
fn points(plot: &mut Plot<'_>, x: &Axis, y: &Axis, told: &[Told], named: bool) {
    for place in told {
        let at = x.at(place.across);
        let [low, high] = [place.runtime_s.low, place.runtime_s.high].map(|time_s| y.at(time_s / 3600.0));
        plot.line(Ink::First, alloc::vec![[at, low], [at, high]]);
        plot.line(Ink::First, alloc::vec![[at - 4.0, low], [at + 4.0, low]]);
        plot.line(Ink::First, alloc::vec![[at - 4.0, high], [at + 4.0, high]]);
    }
    let likely = |place: &Told| [x.at(place.across), y.at(place.runtime_s.likely / 3600.0)];
    plot.line(Ink::Second, told.iter().map(likely).collect());
    let mut named_at: Vec<[f64; 2]> = Vec::new();
    for place in told {
        let at = likely(place);
        plot.circle(Ink::Mark, at, 3.0);
        // Where points lie close, the first has its name; the table has all.
        let near = |other: &[f64; 2]| {
            libm::fabs(at[0] - other[0]) < NAME_APART[0] && libm::fabs(at[1] - other[1]) < NAME_APART[1]
        };
        if named && !named_at.iter().any(near) {
            let left = at[0] > RIGHT - 40.0;
            let (from, anchor) = if left { (at[0] - 6.0, Anchor::Right) } else { (at[0] + 6.0, Anchor::Left) };
            plot.text(from, at[1] - 4.0, anchor, Ink::Text, &format!("{:.0} %", 100.0 * place.wiper_ratio));
            named_at.push(at);
        }
    }
}

fn table(places: &[&KnobRow]) -> Vec<ChartColumn> {
    let column = |code, wording: Wording, of: &dyn Fn(&KnobSetting) -> Option<f64>| ChartColumn {
        code,
        words: wording.words,
        values: places.iter().map(|place| place.setting.as_ref().and_then(of)).collect(),
    };
    let wiper_ratio = ChartColumn {
        code: "wiper_ratio",
        words: WIPER_RATIO.words,
        values: places.iter().map(|place| Some(place.wiper_ratio)).collect(),
    };
    let runtime = |setting: &KnobSetting, end: End| setting.runtime_s.map(|runtime_s| runtime_s.at(end));
    alloc::vec![
        wiper_ratio,
        column("duty", DUTY, &|setting| Some(setting.duty.likely)),
        column("flow_m3_per_s", FLOW, &flow),
        column("speed_ratio", SPEED_RATIO, &|setting| setting.speed_ratio),
        column("power_w", POWER_W, &|setting| setting.power_w),
        column("runtime_low_s", RUNTIME_LOW_S, &|setting| runtime(setting, End::Low)),
        column("runtime_s", RUNTIME_S, &|setting| runtime(setting, End::Likely)),
        column("runtime_high_s", RUNTIME_HIGH_S, &|setting| runtime(setting, End::High)),
    ]
}

/// What the first and the last place do, and at how many there is no number.
fn phrase(places: &[&KnobRow]) -> Option<Phrase> {
    let told: Vec<(f64, Interval)> =
        places.iter().filter_map(|place| Some((place.wiper_ratio, runtime(place)?))).collect();
    let silent = places.len() - told.len();
    let missing = (silent > 0).then(|| SILENT.with([Filling::count(silent)]));
    let ends = told.first().zip(told.last()).map(|((low, first), (high, last))| {
        let [low, high] = [low, high].map(|ratio| Filling::number(*ratio, "ratio"));
        SETTINGS.with([low, Filling::clock(first.low), high, Filling::clock(last.low)])
    });
    Phrase::joined([ends, missing].into_iter().flatten(), &THEN)
}

wordings! {
    TITLE: "drawn_settings_title", "Settings of {0}";
    RUNTIME: "drawn_settings", "Runtime, h, over {0}; bars: least to most";
    RUNTIME_SOME: "drawn_settings_some", "Runtime, h, over {0}; bars: least to most; {1} only in the table";
    OVER_FLOW: "drawn_over_flow", "flow";
    OVER_SPEED: "drawn_over_speed", "speed";
    OVER_POWER: "drawn_over_power", "power";
    OVER_KNOB: "drawn_over_knob", "place of the knob";
    FLOWS: "drawn_flows", "flow of one, L/min; beside the points: place of the knob";
    SPEEDS: "drawn_speeds", "speed, % of full speed; beside the points: place of the knob";
    POWERS: "drawn_powers", "mean power, W; beside the points: place of the knob";
    PLACES: "drawn_places", "place of the knob, %";
    SETTINGS: "chart_settings", "At {0} of the knob it runs at least {1}, at {2} at least {3}.";
    SILENT: "chart_settings_silent", "At {0} places the timer does not run: no number.";
    DUTY: "column_duty", "likely duty, share";
    FLOW: "column_flow_m3_per_s", "flow of one";
    SPEED_RATIO: "column_speed_ratio", "speed against full speed";
    POWER_W: "column_power_w", "mean power, W";
    RUNTIME_LOW_S: "column_runtime_low_s", "runtime at least, s";
    RUNTIME_S: "column_runtime_s", "likely runtime, s";
    RUNTIME_HIGH_S: "column_runtime_high_s", "runtime at most, s";
    WIPER_RATIO: "column_wiper_ratio", "place of the knob, share";
}
