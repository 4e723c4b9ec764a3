//! Findings about the diary of a pack.

use super::names::{GROUP, GROUP_ON};
use super::pack::FULL_TOO_HIGH;
use super::{Finding, Judgement, Rule, Subject, Urgency, rule};
use crate::data::COMMON_PRACTICE;
use crate::data::diary::{EMPTY_DAYS, FULL_DAYS, OVERDUE_DAYS};
use crate::data::screening::RESISTANCE_MOST_RATIO;
use crate::data::transport::CHARGING_PLACE;
use crate::pack::Pack;
use crate::pack::group::SELF_DISCHARGE_MOST_RATIO;
use crate::quantity::Interval;
use crate::quantity::order::sort_by_key;
use crate::quantity::said::Filling;
use crate::run::diary::{DiaryFacts, EntryFacts, GroupTrend};
use alloc::format;
use alloc::vec::Vec;

/// A group was found too low.
pub const GIVEN_UP: Rule = rule(
    "diary_given_up",
    Urgency::Stop,
    "v",
    COMMON_PRACTICE,
    "{name} read as little as {measured}, under {limit}: driven so low, cells are damaged inside and may short when they are \
     charged. Never charge this group again; retire it.",
);

/// A group was found above what its charger may reach.
pub const OVER_FULL: Rule = rule(
    "diary_over_full",
    Urgency::Stop,
    "v",
    FULL_TOO_HIGH.source,
    "{name} read up to {measured}, above {limit}: it was overcharged, or the meter is wrong. Stop charging, set the pack \
     outdoors on stone and keep off until it is cold; check meter, charger and board before anything else.",
);

/// A group lies under the floor.
pub const UNDER_FLOOR: Rule = rule(
    "diary_under_floor",
    Urgency::MendFirst,
    "v",
    COMMON_PRACTICE,
    "{name} read as little as {measured}, under the pack's floor of {limit}. Find what drains it and take it off; then charge \
     at once with a small current, with you beside it.",
);

/// A group has left its band.
pub const OUT_OF_BAND: Rule = rule(
    "diary_out_of_band",
    Urgency::MendFirst,
    "v",
    COMMON_PRACTICE,
    "{name} lies up to {measured} from the middle of the others; the band is {limit}. Charge each group full alone or let the \
     board balance, note that in the diary, and watch it weekly.",
);

/// It has left again.
pub const OUT_AGAIN: Rule = rule(
    "diary_out_again",
    Urgency::MendFirst,
    "v",
    COMMON_PRACTICE,
    "{name} has left the band again after the groups were brought level: up to {measured} against {limit}. One of its cells \
     does not hold its charge. Retire the group.",
);

/// A group loses charge by itself.
pub const LOSES_CHARGE: Rule = rule(
    "diary_loses_charge",
    Urgency::MendFirst,
    "ratio",
    COMMON_PRACTICE,
    "{name} loses at least {measured} of its charge a month more than the others; {limit} is the most. A cell that shorts \
     itself inside looks like this. Do not charge the pack; retire the group.",
);

/// The resistance of a group has doubled.
pub const RESISTANCE: Rule = rule(
    "diary_resistance",
    Urgency::MendFirst,
    "count",
    COMMON_PRACTICE,
    "The resistance of {name} is at least {measured} times its first one; {limit} times is the end. It gets hot under load \
     and empties first. Retire the group.",
);

/// The groups were not looked at for long.
pub const OVERDUE: Rule = rule(
    "diary_overdue",
    Urgency::MendFirst,
    "count",
    COMMON_PRACTICE,
    "The latest entry is {measured} days old, more than {limit}. Look at the pack and measure every group before it is charged or \
     used.",
);

/// Nothing was read yet.
pub const NO_ENTRY: Rule = rule(
    "diary_no_entry",
    Urgency::Know,
    "",
    COMMON_PRACTICE,
    "Nothing is in the diary yet. Measure every group an hour after the first charge, and write it down.",
);

/// Stored full.
pub const STORED_FULL: Rule = rule(
    "diary_stored_full",
    Urgency::Know,
    "count",
    CHARGING_PLACE,
    "The pack stands full for {measured} days, longer than {limit}: full cells age fastest and burn hardest. Use it down to about \
     half before you put it away (the limit is common practice, no source).",
);

/// Stored empty.
pub const STORED_EMPTY: Rule = rule(
    "diary_stored_empty",
    Urgency::MendFirst,
    "count",
    COMMON_PRACTICE,
    "A group stands all but empty for {measured} days, longer than {limit}: board and self-discharge pull it below what it stands. \
     Measure it first; charge it to about half, with you beside it, if it is not too low.",
);

/// The board hides drift.
pub const BALANCES: Rule = rule(
    "diary_balances",
    Urgency::Know,
    "",
    COMMON_PRACTICE,
    "The board brings the groups level at each charge, so that a weak cell may stay unseen after it: read the groups after a \
     rest of some days as well.",
);

/// Every rule of this table.
pub const RULES: &[Rule] = &[
    GIVEN_UP,
    OVER_FULL,
    UNDER_FLOOR,
    OUT_OF_BAND,
    OUT_AGAIN,
    LOSES_CHARGE,
    RESISTANCE,
    OVERDUE,
    NO_ENTRY,
    STORED_FULL,
    STORED_EMPTY,
    BALANCES,
];

/// Every finding about a diary, the most urgent first; `board_balances` as the plan says.
#[must_use]
pub fn judge(facts: &DiaryFacts, pack: &Pack, board_balances: bool) -> Vec<Finding> {
    let mut found = Vec::new();
    let Some(latest) = facts.entries.last() else {
        return alloc::vec![NO_ENTRY.broken(&Subject::new("/diary", "the pack"), None, None)];
    };
    for (i, trend) in facts.groups.iter().enumerate() {
        limits(facts, i, &mut found);
        floor(latest, i, pack.floor_v, &mut found);
        band(facts, trend, &mut found);
        grown(trend, &mut found);
        losses(trend, &mut found);
    }
    unknown(facts, &mut found);
    ages(facts, &mut found);
    if board_balances {
        found.push(BALANCES.broken(&Subject::new("/protection/board", "the pack"), None, None));
    }
    sort_by_key(&mut found, |finding| (finding.urgency, finding.judgement == Judgement::NotJudged));
    found
}

fn group(i: usize) -> Subject {
    Subject::new(format!("/pack/groups/{i}"), GROUP.with([Filling::count(i + 1)]))
}

fn at(entry: &EntryFacts, i: usize) -> Subject {
    let place = format!("/diary/entries/{}/group_v/{i}", entry.place);
    Subject::new(place, GROUP_ON.with([Filling::count(i + 1), entry.date.as_str().into()]))
}

/// The lowest and the highest reading of all entries: what hurt a cell once counts for ever.
fn limits(facts: &DiaryFacts, i: usize, found: &mut Vec<Finding>) {
    let Some(limits) = facts.limits.get(i) else { return };
    let read = || facts.entries.iter().filter_map(|entry| Some((entry, entry.group_v.get(i).copied().flatten()?)));
    let lowest = read().min_by(|(_, a), (_, b)| a.low.total_cmp(&b.low));
    let highest = read().max_by(|(_, a), (_, b)| a.high.total_cmp(&b.high));
    if !limits.known {
        let needs = "the chemistry of its cells";
        found.push(GIVEN_UP.not_judged(&group(i), needs));
        found.push(OVER_FULL.not_judged(&group(i), needs));
    }
    if let (Some((entry, v)), Some(limit_v)) = (lowest, limits.give_up_v)
        && v.low < limit_v
    {
        found.push(GIVEN_UP.broken(&at(entry, i), Some(v.low), Some(limit_v)));
    }
    if let (Some((entry, v)), Some(limit_v)) = (highest, limits.upper_v)
        && v.high > limit_v
    {
        found.push(OVER_FULL.broken(&at(entry, i), Some(v.high), Some(limit_v)));
    }
}

fn floor(latest: &EntryFacts, i: usize, floor_v: f64, found: &mut Vec<Finding>) {
    match latest.group_v.get(i).copied().flatten() {
        Some(v) if v.low < floor_v => found.push(UNDER_FLOOR.broken(&at(latest, i), Some(v.low), Some(floor_v))),
        Some(_) => {}
        None => found.push(UNDER_FLOOR.not_judged(&at(latest, i), "its voltage")),
    }
}

/// The worse end of the difference; where a coarse meter alone reaches out of the band, that is said instead.
fn band(facts: &DiaryFacts, trend: &GroupTrend, found: &mut Vec<Finding>) {
    let i = trend.number - 1;
    let Some(Interval { low, likely, high }) = trend.difference_v else { return };
    let worst = high.max(-low);
    if worst <= facts.band_v {
        return;
    }
    // Of two groups one stands for both: the lower.
    if facts.groups.len() == 2 && likely > 0.0 {
        return;
    }
    let surely = low > facts.band_v || high < -facts.band_v;
    if !surely && high - low > facts.band_v {
        found.push(OUT_OF_BAND.not_judged(&group(i), "a meter with finer steps"));
        return;
    }
    let rule = if facts.was_levelled && surely { OUT_AGAIN } else { OUT_OF_BAND };
    found.push(rule.broken(&group(i), Some(worst), Some(facts.band_v)));
}

fn grown(trend: &GroupTrend, found: &mut Vec<Finding>) {
    let subject = group(trend.number - 1);
    match trend.resistance_ratio {
        Some(ratio) if ratio.low >= RESISTANCE_MOST_RATIO => {
            found.push(RESISTANCE.broken(&subject, Some(ratio.low), Some(RESISTANCE_MOST_RATIO)));
        }
        Some(ratio) if ratio.high >= RESISTANCE_MOST_RATIO => {
            found.push(RESISTANCE.not_judged(&subject, "a finer measurement of its resistance"));
        }
        _ => {}
    }
}

fn losses(trend: &GroupTrend, found: &mut Vec<Finding>) {
    let subject = group(trend.number - 1);
    match trend.loss_ratio_per_month {
        Some(loss) if loss.low > SELF_DISCHARGE_MOST_RATIO => {
            found.push(LOSES_CHARGE.broken(&subject, Some(loss.low), Some(SELF_DISCHARGE_MOST_RATIO)));
        }
        Some(loss) if loss.high > SELF_DISCHARGE_MOST_RATIO => {
            found.push(LOSES_CHARGE.not_judged(&subject, "entries after a rest that lie further apart in time"));
        }
        _ => {}
    }
}

/// What no entry tells of some groups, said once for all of them.
fn unknown(facts: &DiaryFacts, found: &mut Vec<Finding>) {
    let mut say = |rule: &Rule, needs: &str, lacks: fn(&GroupTrend) -> bool| {
        let numbers: Vec<_> =
            facts.groups.iter().filter(|trend| lacks(trend)).map(|trend| format!("{}", trend.number)).collect();
        if !numbers.is_empty() {
            let name = GROUP.with([numbers.join(", ").into()]);
            found.push(rule.not_judged(&Subject::new("/diary", name), needs));
        }
    };
    let rested = "two entries after a rest of a day or more, where the voltage tells the charge";
    say(&LOSES_CHARGE, rested, |trend| trend.loss_ratio_per_month.is_none());
    say(&RESISTANCE, "a resistance in two entries, taken the same way", |trend| trend.resistance_ratio.is_none());
    if facts.groups.len() > 1 {
        let needs = "an entry after a charge or a rest with every group in it";
        say(&OUT_OF_BAND, needs, |trend| trend.difference_v.is_none());
    }
}

fn ages(facts: &DiaryFacts, found: &mut Vec<Finding>) {
    let Some(age_days) = facts.age_days else { return };
    let pack = Subject::new("/diary", "the pack");
    let cases = [
        (true, OVERDUE, OVERDUE_DAYS),
        (facts.stands_full, STORED_FULL, FULL_DAYS),
        (facts.stands_empty, STORED_EMPTY, EMPTY_DAYS),
    ];
    for (holds, rule, days) in cases {
        let limit = f64::from(days);
        if holds && f64::from(age_days) > limit {
            found.push(rule.broken(&pack, Some(f64::from(age_days)), Some(limit)));
        }
    }
}
