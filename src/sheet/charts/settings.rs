//! Runtime over the places of the knob, with its least and its most.

use super::axes::{Axis, LEFT, Plot, RIGHT};
use super::{Chart, ChartColumn};
use crate::plan::Report;
use crate::quantity::order::sort_by;
use crate::quantity::text::{Rounding, clock};
use crate::quantity::{End, Interval};
use crate::run::knob::{KnobRow, KnobSetting};
use crate::sheet::drawing::{Anchor, Ink, fitted};
use alloc::format;
use alloc::string::String;
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
    let words = words(&told, places.len());
    let title = format!("Settings of {}", report.name);
    Some(Chart { drawing: plot.drawing(&title, bottom + 36.0), words, table: table(&places) })
}

fn table(places: &[&KnobRow]) -> Vec<ChartColumn> {
    let column = |code, words, of: &dyn Fn(&KnobSetting) -> Option<f64>| ChartColumn {
        code,
        words,
        values: places.iter().map(|place| place.setting.as_ref().and_then(of)).collect(),
    };
    let wiper_ratio = ChartColumn {
        code: "wiper_ratio",
        words: "place of the knob, share",
        values: places.iter().map(|place| Some(place.wiper_ratio)).collect(),
    };
    let runtime = |setting: &KnobSetting, end: End| setting.runtime_s.map(|runtime_s| runtime_s.at(end));
    alloc::vec![
        wiper_ratio,
        column("duty", "likely duty, share", &|setting| Some(setting.duty.likely)),
        column("runtime_low_s", "runtime at least, s", &|setting| runtime(setting, End::Low)),
        column("runtime_s", "likely runtime, s", &|setting| runtime(setting, End::Likely)),
        column("runtime_high_s", "runtime at most, s", &|setting| runtime(setting, End::High)),
    ]
}

fn words(told: &[(f64, Interval)], places: usize) -> String {
    let silent = places - told.len().min(places);
    let missing =
        if silent > 0 { format!(" At {silent} places the timer does not run: no number.") } else { String::new() };
    match (told.first(), told.last()) {
        (Some((low, first)), Some((high, last))) => format!(
            "At {:.0} % of the knob it runs at least {}, at {:.0} % at least {}.{missing}",
            100.0 * low,
            clock(first.low, Rounding::Down),
            100.0 * high,
            clock(last.low, Rounding::Down)
        ),
        _ => missing,
    }
}
