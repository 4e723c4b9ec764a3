//! Voltages of the groups over the days, and their differences against the middle of the others with the band.

use super::axes::{Axis, LEFT, Plot, WIDTH};
use crate::quantity::Interval;
use crate::quantity::order::sort_by;
use crate::quantity::said::{Filling, Phrase, Wording, wordings};
use crate::quantity::tongue::Tongue;
use crate::run::diary::{DiaryFacts, EntryFacts};
use crate::sheet::drawing::{Anchor, Drawing, Ink, fitted};
use alloc::format;
use alloc::vec::Vec;

/// Right end of the plot: names of the groups stand beside it.
const END: f64 = WIDTH - 34.0;
/// Height of one panel.
const PANEL: f64 = 120.0;
/// Least distance between two names, in units.
const APART: f64 = 11.0;

/// One group's points: day, voltage with its doubt.
type Points = Vec<(f64, Interval)>;

pub(super) fn drawing(name: &str, facts: &DiaryFacts, tongue: &Tongue) -> Option<Drawing> {
    let first = facts.entries.first()?;
    let days = f64::from(first.age_days - facts.entries.last()?.age_days);
    let x = Axis::new(0.0, days.max(1.0), 5.0, LEFT, END);
    let mut plot = Plot::new(tongue);
    plot.text(10.0, 16.0, Anchor::Left, Ink::Solid, &fitted(name, 11.0, 340.0));
    plot.said(10.0, 30.0, Anchor::Left, DOUBT);
    let upper = (58.0, 58.0 + PANEL);
    panel(&mut plot, &x, upper, VOLTAGES, &points(facts, |entry| &entry.group_v), None);
    let lower = (upper.1 + 40.0, upper.1 + 40.0 + PANEL);
    let millivolts = points(facts, |entry| &entry.difference_v).into_iter().map(in_millivolts).collect::<Vec<_>>();
    panel(&mut plot, &x, lower, AGAINST, &millivolts, Some(1000.0 * facts.band_v));
    plot.down(&x, lower.1, lower.1, true);
    plot.said(END, lower.1 + 27.0, Anchor::Right, SINCE.with([first.date.as_str().into()]));
    Some(plot.drawing(&title(name, facts)?, lower.1 + 36.0))
}

fn in_millivolts(points: Points) -> Points {
    let thousand = |v: Interval| Interval { low: 1000.0 * v.low, likely: 1000.0 * v.likely, high: 1000.0 * v.high };
    points.into_iter().map(|(day, v)| (day, thousand(v))).collect()
}

/// One row of points for each group.
fn points(facts: &DiaryFacts, of: fn(&EntryFacts) -> &Vec<Option<Interval>>) -> Vec<Points> {
    let first = facts.entries.first().map_or(0, |entry| entry.age_days);
    let one = |g: usize| {
        let read = |entry: &EntryFacts| Some((f64::from(first - entry.age_days), of(entry).get(g).copied().flatten()?));
        facts.entries.iter().filter_map(read).collect()
    };
    (0..facts.groups.len()).map(one).collect()
}

fn panel(
    plot: &mut Plot<'_>,
    x: &Axis,
    (top, bottom): (f64, f64),
    title: Wording,
    groups: &[Points],
    band: Option<f64>,
) {
    let values = || groups.iter().flatten().flat_map(|(_, v)| [v.low, v.high]);
    let edges = || band.into_iter().flat_map(|band| [-band, band]);
    let least = values().chain(edges()).fold(f64::MAX, f64::min);
    let most = values().chain(edges()).fold(f64::MIN, f64::max);
    plot.said(LEFT, top - 8.0, Anchor::Left, title);
    if least > most {
        return;
    }
    let y = Axis::new(least, most, 4.0, bottom, top);
    for mark in y.marks() {
        plot.line(Ink::Grid, alloc::vec![[LEFT, y.at(mark)], [END, y.at(mark)]]);
        plot.number(LEFT - 4.0, y.at(mark) + 3.5, Anchor::Right, &y, mark);
    }
    plot.down(x, top, bottom, false);
    for edge in edges() {
        plot.line(Ink::Missing, alloc::vec![[LEFT, y.at(edge)], [END, y.at(edge)]]);
    }
    for (g, group) in groups.iter().enumerate() {
        curve(plot, x, &y, g, group);
    }
    names(plot, &y, groups);
}

fn curve(plot: &mut Plot<'_>, x: &Axis, y: &Axis, g: usize, points: &Points) {
    let ink = [Ink::First, Ink::Second, Ink::Third].get(g % 3).copied().unwrap_or(Ink::First);
    for (day, v) in points {
        plot.line(Ink::Quiet, alloc::vec![[x.at(*day), y.at(v.low)], [x.at(*day), y.at(v.high)]]);
    }
    plot.line(ink, points.iter().map(|(day, v)| [x.at(*day), y.at(v.likely)]).collect());
    for (day, v) in points {
        plot.circle(Ink::Mark, [x.at(*day), y.at(v.likely)], 2.0);
    }
}

/// The groups' names beside their last points, kept apart.
fn names(plot: &mut Plot<'_>, y: &Axis, groups: &[Points]) {
    let last = |(g, points): (usize, &Points)| points.last().map(|(_, v)| (y.at(v.likely), g + 1));
    let mut places: Vec<(f64, usize)> = groups.iter().enumerate().filter_map(last).collect();
    sort_by(&mut places, |a, b| a.0.total_cmp(&b.0));
    let mut free = f64::MIN;
    for (at, number) in places {
        let at = (at + 3.5).max(free);
        plot.text(END + 5.0, at, Anchor::Left, Ink::Solid, &format!("G{number}"));
        free = at + APART;
    }
}

/// What it shows, for those who do not see it.
fn title(name: &str, facts: &DiaryFacts) -> Option<Phrase> {
    let latest = facts.entries.last()?;
    let told = [name.into(), Filling::count(facts.entries.len()), latest.date.as_str().into()];
    let Some(spread_v) = latest.spread_v else { return Some(TITLE.with(told)) };
    let [name, count, date] = told;
    Some(TITLE_SPREAD.with([name, count, date, Filling::number(spread_v, "v")]))
}

wordings! {
    TITLE: "drawn_diary_title", "Diary of {0}. {1} entries, the latest of {2}.";
    TITLE_SPREAD: "drawn_diary_title_spread", "Diary of {0}. {1} entries, the latest of {2}. The groups read {3} apart then.";
    DOUBT: "drawn_diary", "Diary: bars are the meter's doubt, G1 the lowest group";
    VOLTAGES: "drawn_diary_voltages", "voltage of the groups, V";
    AGAINST: "drawn_diary_against", "against the middle of the others, mV; long dashes: the band";
    SINCE: "drawn_diary_since", "days since {0}";
}
