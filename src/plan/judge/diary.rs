//! What the diary of the pack says against the plan.

use crate::finding::{Finding, Judgement, Urgency, diary};
use crate::plan::Protection;
use crate::plan::review::Facts;
use crate::run::diary::DiaryFacts;
use alloc::vec::Vec;

/// Rules that are broken, and stop rules that could not be judged; the diary's own question says the rest.
pub(super) fn judge(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let plan = facts.plan;
    let Some(kept) = plan.diary.as_ref().filter(|diary| !diary.entries.is_empty()) else { return };
    let board = plan.protection.as_ref().and_then(Protection::board);
    let balances = board.and_then(|board| board.balances) == Some(true);
    let read = DiaryFacts::of(&plan.pack, &facts.chemistries, kept, None);
    let told = |finding: &Finding| finding.judgement == Judgement::Broken || finding.urgency == Urgency::Stop;
    found.extend(diary::judge(&read, &plan.pack, balances).into_iter().filter(told));
}
