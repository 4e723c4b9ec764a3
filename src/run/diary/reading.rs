//! What the entries of a diary say, read in the order of time.

use super::trend::{GROUPS_APART_V, GroupTrend};
use super::{Diary, DiaryEntry, DiaryState};
use crate::data::charger::{LEAD_ACID, LFP_UPPER_V, LI_ION_UPPER_V};
use crate::data::diary::{BAND_V, EMPTY_RATIO, FULL_RATIO, LEVEL_V};
use crate::data::screening::{LEAD_GIVE_UP_V, NICKEL_DEAD_V, NICKEL_REST_MOST_V};
use crate::pack::{Group, Pack};
use crate::part::cell::{Chemistries, Chemistry, Curves};
use crate::quantity::Interval;
use crate::quantity::date::Day;
use crate::quantity::order::{sort_by_key, sort_numbers};
use alloc::string::String;
use alloc::sync::Arc;
use alloc::vec::Vec;

/// Above the charge voltage of a lithium chemistry without a published upper limit, in volts. Common practice, no
/// source.
const ABOVE_CHARGE_V: f64 = 0.05;

/// One entry as it is read.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct EntryFacts {
    /// Its place in the diary as given, from 0.
    pub place: usize,
    /// The day.
    pub date: String,
    /// Days from then until today.
    pub age_days: i32,
    /// When in the life between two charges.
    pub state: DiaryState,
    /// Each group's voltage with the meter's doubt, in volts.
    pub group_v: Vec<Option<Interval>>,
    /// Each group against the middle of the others, in volts; none where there are no others.
    pub difference_v: Vec<Option<Interval>>,
    /// Highest less lowest reading, in volts; none where fewer than two groups were read.
    pub spread_v: Option<f64>,
}

/// Limits of one group.
#[derive(Clone, Debug)]
pub struct GroupLimits {
    /// Voltage under which the group is given up, in volts; none where nobody knows what its cells are.
    pub give_up_v: Option<f64>,
    /// Voltage that it may never pass, in volts; none where there is no such limit or nobody knows.
    pub upper_v: Option<f64>,
    /// Whether its cells are known.
    pub known: bool,
    /// Rest curve of its cells; none where they are mixed, not lithium or not known.
    pub(super) curves: Option<Arc<Curves>>,
}

/// Everything that a diary says.
#[derive(Clone, Debug)]
pub struct DiaryFacts {
    /// The entries in the order of time.
    pub entries: Vec<EntryFacts>,
    /// Each group.
    pub groups: Vec<GroupTrend>,
    /// Limits of each group.
    pub limits: Vec<GroupLimits>,
    /// Which entries the drift rests on; none where there are none at rest.
    pub drift_state: Option<DiaryState>,
    /// Largest difference of a group against the middle of the others, in volts.
    pub band_v: f64,
    /// Days since the latest entry; none without one.
    pub age_days: Option<i32>,
    /// Whether the groups were brought level before any but the first entry.
    pub was_levelled: bool,
    /// Whether the pack stands full since its latest entry.
    pub stands_full: bool,
    /// Whether a group stands all but empty since its latest entry.
    pub stands_empty: bool,
}

/// An entry in the order of time.
#[derive(Clone, Copy)]
pub(super) struct Row<'a> {
    pub(super) place: usize,
    pub(super) entry: &'a DiaryEntry,
    pub(super) day: Day,
}

impl DiaryFacts {
    /// What a diary says that has been checked; ages count from its latest entry where nobody says what day it is.
    pub(crate) fn of(pack: &Pack, chemistries: &Chemistries, diary: &Diary, today: Option<Day>) -> Self {
        let rows = in_time(diary);
        let newest = rows.last().map(|row| row.day);
        let today = today.or(newest);
        let entries = rows.iter().map(|row| facts(row, today.unwrap_or(row.day))).collect();
        let limits: Vec<GroupLimits> = pack.groups.iter().map(|group| limits(group, chemistries)).collect();
        let drift_state = drift_state(&rows);
        let band_v = diary.band_v.unwrap_or(BAND_V);
        let comparable = comparable(&rows, drift_state);
        let trend = |(g, group): (usize, &Group)| {
            let curves = limits.get(g).and_then(|limits| limits.curves.as_deref());
            GroupTrend::of(g, group, curves, &rows, &comparable, band_v)
        };
        let groups = pack.groups.iter().enumerate().map(trend).collect();
        let stands = |full| rows.last().is_some_and(|row| stands(row, &limits, pack, full));
        Self {
            entries,
            groups,
            drift_state,
            band_v,
            age_days: newest.zip(today).map(|(newest, today)| today.days_since(newest)),
            was_levelled: rows.iter().skip(1).any(|row| row.entry.levelled == Some(true)),
            stands_full: stands(true),
            stands_empty: stands(false),
            limits,
        }
    }
}

fn in_time(diary: &Diary) -> Vec<Row<'_>> {
    let day = |entry: &DiaryEntry| Day::read("date", &entry.date).ok();
    let rows = diary.entries.iter().enumerate();
    let mut rows: Vec<Row<'_>> =
        rows.filter_map(|(place, entry)| Some(Row { place, entry, day: day(entry)? })).collect();
    sort_by_key(&mut rows, |row| row.day);
    rows
}

fn facts(row: &Row<'_>, today: Day) -> EntryFacts {
    let DiaryEntry { state, voltmeter, group_v, .. } = row.entry;
    let doubtful =
        |shown: &Option<f64>| shown.map(|shown_v| true_v(shown_v, voltmeter.reading_ratio, voltmeter.error_v()));
    let read = || group_v.iter().flatten().copied();
    let (lowest, highest) = (read().fold(f64::MAX, f64::min), read().fold(f64::MIN, f64::max));
    EntryFacts {
        place: row.place,
        date: row.day.text(),
        age_days: today.days_since(row.day),
        state: *state,
        group_v: group_v.iter().map(doubtful).collect(),
        difference_v: (0..group_v.len()).map(|g| row.difference_v(g)).collect(),
        spread_v: (read().count() > 1).then_some(highest - lowest),
    }
}

/// Where the voltage behind a reading may lie.
fn true_v(shown_v: f64, gain: f64, error_v: f64) -> Interval {
    let ends =
        [-1.0, 1.0].map(|side| [(shown_v - error_v) / (1.0 + side * gain), (shown_v + error_v) / (1.0 + side * gain)]);
    let all = || ends.iter().flatten().copied();
    Interval {
        low: all().fold(f64::MAX, f64::min).min(shown_v),
        likely: shown_v,
        high: all().fold(f64::MIN, f64::max).max(shown_v),
    }
}

/// The middle of some values; none where there are none.
pub(super) fn middle(mut values: Vec<f64>) -> Option<f64> {
    sort_numbers(&mut values);
    let half = values.len() / 2;
    let upper = *values.get(half)?;
    match half.checked_sub(1).and_then(|below| values.get(below)) {
        Some(lower) if values.len().is_multiple_of(2) => Some(0.5 * (lower + upper)),
        _ => Some(upper),
    }
}

impl Row<'_> {
    /// What the meter showed on a group.
    pub(super) fn shown_v(&self, g: usize) -> Option<f64> {
        self.entry.group_v.get(g).copied().flatten()
    }

    /// Middle of all groups but one.
    pub(super) fn others_v(&self, g: usize) -> Option<f64> {
        let others = self.entry.group_v.iter().enumerate().filter(|(i, _)| *i != g);
        middle(others.filter_map(|(_, shown)| *shown).collect())
    }

    /// A group against the middle of the others: digits of both, the gain of the difference, and a difference of
    /// temperature between them.
    pub(super) fn difference_v(&self, g: usize) -> Option<Interval> {
        let likely = self.shown_v(g)? - self.others_v(g)?;
        let meter = &self.entry.voltmeter;
        let gained = libm::fabs(likely) * meter.reading_ratio + 2.0 * meter.error_v();
        let half = gained / (1.0 - meter.reading_ratio) + GROUPS_APART_V;
        Some(Interval { low: likely - half, likely, high: likely + half })
    }
}

/// The state at rest with most entries; after a rest where both have as many.
fn drift_state(rows: &[Row<'_>]) -> Option<DiaryState> {
    let rows = since_levelled(rows);
    let count = |state| rows.iter().filter(|row| row.entry.state == state).count();
    let (charged, rested) = (count(DiaryState::AfterCharge), count(DiaryState::AfterRest));
    match (charged, rested) {
        (0, 0) => None,
        _ if charged > rested => Some(DiaryState::AfterCharge),
        _ => Some(DiaryState::AfterRest),
    }
}

/// The entries since the groups were last brought level.
pub(super) fn since_levelled<'r, 'a>(rows: &'r [Row<'a>]) -> &'r [Row<'a>] {
    let from = rows.iter().rposition(|row| row.entry.levelled == Some(true)).unwrap_or(0);
    rows.get(from..).unwrap_or_default()
}

/// The entries that the drift rests on: of one state, since the last levelling, all groups about as high as at last.
fn comparable<'a>(rows: &[Row<'a>], state: Option<DiaryState>) -> Vec<Row<'a>> {
    let level = |row: &Row<'_>| middle(row.entry.group_v.iter().flatten().copied().collect());
    let alike = || since_levelled(rows).iter().filter(|row| Some(row.entry.state) == state);
    let Some(last_v) = alike().filter_map(level).next_back() else { return Vec::new() };
    alike().filter(|row| level(row).is_some_and(|v| libm::fabs(v - last_v) <= LEVEL_V)).copied().collect()
}

fn limits(group: &Group, chemistries: &Chemistries) -> GroupLimits {
    let kinds = || group.cells.iter().map(|cell| &cell.chemistry);
    let known = kinds().all(|kind| chemistries.limits(kind).is_ok());
    let give_up_v = kinds().filter_map(|kind| give_up_v(kind, chemistries)).fold(0.0, f64::max);
    let uppers = kinds().filter_map(|kind| upper_v(kind, chemistries));
    let first = kinds().next();
    let alike = first.filter(|first| kinds().all(|kind| kind == *first) && chemistries.is_lithium(first));
    GroupLimits {
        give_up_v: known.then_some(give_up_v),
        upper_v: if known { uppers.reduce(f64::min) } else { None },
        known,
        curves: alike.and_then(|kind| chemistries.curves(kind).ok()),
    }
}

/// Lead-acid and nickel cells as screening gives them up.
fn give_up_v(kind: &Chemistry, chemistries: &Chemistries) -> Option<f64> {
    Some(match kind {
        Chemistry::LeadAcid => LEAD_GIVE_UP_V,
        Chemistry::Nimh => NICKEL_DEAD_V,
        _ => chemistries.limits(kind).ok()?.give_up_v,
    })
}

fn upper_v(kind: &Chemistry, chemistries: &Chemistries) -> Option<f64> {
    Some(match kind {
        Chemistry::Lfp => LFP_UPPER_V,
        Chemistry::LeadAcid => LEAD_ACID.cycle_v[1],
        Chemistry::Nimh => NICKEL_REST_MOST_V,
        Chemistry::Lco | Chemistry::Nmc | Chemistry::Nca => LI_ION_UPPER_V,
        _ => chemistries.limits(kind).ok()?.charge_v + ABOVE_CHARGE_V,
    })
}

/// Whether the pack may stand full, or a group all but empty, as its latest entry left it: the worse end of each reading.
fn stands(row: &Row<'_>, limits: &[GroupLimits], pack: &Pack, full: bool) -> bool {
    let DiaryEntry { state, voltmeter, group_v, .. } = row.entry;
    let charged = *state == DiaryState::AfterCharge;
    group_v.iter().zip(limits).any(|(shown, limits)| {
        let Some(shown_v) = *shown else { return false };
        let v = true_v(shown_v, voltmeter.reading_ratio, voltmeter.error_v());
        match (&limits.curves, full) {
            (_, true) if charged => true,
            (Some(curves), true) => curves.soc_ratio(v.likely) > FULL_RATIO,
            (None, true) => false,
            (Some(curves), false) => curves.soc_ratio(v.low) < EMPTY_RATIO || v.low < pack.floor_v,
            (None, false) => v.low < pack.floor_v,
        }
    })
}
