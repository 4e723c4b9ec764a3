//! Runtime over the places of the knob, with its least and its most.

use super::axes::{Axis, LEFT, Plot, RIGHT};
use super::{Chart, ChartColumn};
use crate::plan::Report;
use crate::quantity::order::sort_by;
use crate::quantity::said::{Filling, Phrase, Wording, wordings};
use crate::quantity::{End, Interval};
use crate::run::knob::{KnobRow, KnobSetting};
use crate::sheet::drawing::{Anchor, Ink, fitted};
use crate::sheet::parts::THEN;
use alloc::format;
use alloc::vec::Vec;

pub(super) fn chart(report: &Report) -> Option<Chart> {
    let mut places: Vec<&KnobRow> = report.settings.iter().flat_map(|settings| &settings.rows).collect();
    sort_by(&mut places, |a, b| a.wiper_ratio.total_cmp(&b.wiper_ratio));
    let told: Vec<(f64, Interval)> =
        places.iter().filter_map(|place| Some((place.wiper_ratio, place.setting.as_ref()?.runtime_s?))).collect();
    if places.is_empty() {
        return None;
    }
    let longest_h = told.iter().map(|(_, runtime_s)| runtime_s.high / 3600.0).fold(0.0, f64::max).max(1.0 / 60.0);
    let (top, bottom) = (52.0, 230.0);
    let x = Axis::new(0.0, 100.0, 5.0, LEFT, RIGHT);
    let y = Axis::new(0.0, longest_h, 5.0, bottom, top);
    let mut plot = Plot::default();
    plot.text(10.0, 16.0, Anchor::Left, Ink::Solid, &fitted(&report.name, 11.0, 340.0));
    plot.text(10.0, 30.0, Anchor::Left, Ink::Text, "Runtime, h, over the knob; bars from least to most");
    plot.across(&y);
    plot.down(&x, top, bottom, true);
    for (ratio, runtime_s) in &told {
        let at = x.at(100.0 * ratio);
        let [low, high] = [runtime_s.low, runtime_s.high].map(|time_s| y.at(time_s / 3600.0));
        plot.line(Ink::First, alloc::vec![[at, low], [at, high]]);
        plot.line(Ink::First, alloc::vec![[at - 4.0, low], [at + 4.0, low]]);
        plot.line(Ink::First, alloc::vec![[at - 4.0, high], [at + 4.0, high]]);
    }
    let likely = |(ratio, runtime_s): &(f64, Interval)| [x.at(100.0 * ratio), y.at(runtime_s.likely / 3600.0)];
    plot.line(Ink::Second, told.iter().map(likely).collect());
    for place in &told {
        plot.circle(Ink::Mark, likely(place), 3.0);
    }
    plot.text(RIGHT, bottom + 27.0, Anchor::Right, Ink::Text, "place of the knob, %");
    let (words, said) = phrase(&told, places.len()).map(|phrase| (phrase.words, phrase.said)).unzip();
    let title = format!("Settings of {}", report.name);
    Some(Chart {
        drawing: plot.drawing(&title, bottom + 36.0),
        words: words.unwrap_or_default(),
        said,
        table: table(&places),
    })
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
        column("runtime_low_s", RUNTIME_LOW_S, &|setting| runtime(setting, End::Low)),
        column("runtime_s", RUNTIME_S, &|setting| runtime(setting, End::Likely)),
        column("runtime_high_s", RUNTIME_HIGH_S, &|setting| runtime(setting, End::High)),
    ]
}

fn phrase(told: &[(f64, Interval)], places: usize) -> Option<Phrase> {
    let silent = places - told.len().min(places);
    let missing = (silent > 0).then(|| SILENT.with([Filling::count(silent)]));
    let ends = told.first().zip(told.last()).map(|((low, first), (high, last))| {
        let (low, high) = (Filling::number(*low, "ratio"), Filling::number(*high, "ratio"));
        SETTINGS.with([low, Filling::clock(first.low), high, Filling::clock(last.low)])
    });
    Phrase::joined([ends, missing].into_iter().flatten(), &THEN)
}

wordings! {
    SETTINGS: "chart_settings", "At {0} of the knob it runs at least {1}, at {2} at least {3}.";
    SILENT: "chart_settings_silent", "At {0} places the timer does not run: no number.";
    DUTY: "column_duty", "likely duty, share";
    RUNTIME_LOW_S: "column_runtime_low_s", "runtime at least, s";
    RUNTIME_S: "column_runtime_s", "likely runtime, s";
    RUNTIME_HIGH_S: "column_runtime_high_s", "runtime at most, s";
    WIPER_RATIO: "column_wiper_ratio", "place of the knob, share";
}
