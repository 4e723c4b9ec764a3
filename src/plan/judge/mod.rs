//! Every rule on one plan, each at the end of its inputs that makes it worse.

mod board;
mod charging;
mod diary;
mod drive;
mod pack;
mod wiring;

pub(super) use board::wish as protection_wish;
pub(super) use charging::{charger, facts as charging_facts, limit_a as charge_limit_a};
pub(super) use drive::capacitor;
pub(super) use pack::join_a;
pub(super) use wiring::fuse_wish;
pub(crate) use wiring::{fuse_carries, lead_in_use};

use super::inputs::Origin;
use super::review::Facts;
use crate::finding::{Finding, Judgement, Subject, above, pack as rules, under};
use crate::quantity::order::sort_by_key;
use alloc::vec::Vec;

/// Every finding, the warning on salvaged cells first, then the most urgent, broken before not judged.
pub(super) fn judge(facts: &Facts<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    pack::judge(facts, &mut found);
    drive::judge(facts, &mut found);
    wiring::judge(facts, &mut found);
    board::judge(facts, &mut found);
    charging::judge(facts, &mut found);
    diary::judge(facts, &mut found);
    if facts.plan.origin == Origin::Salvaged {
        found.push(rules::SALVAGED_CELLS.broken(&Subject::whole(), None, None));
    }
    in_order(&mut found);
    found
}

/// The warning on salvaged cells first, then the most urgent, broken before not judged.
pub(crate) fn in_order(found: &mut [Finding]) {
    let warns = |finding: &Finding| finding.code == rules::SALVAGED_CELLS.code;
    sort_by_key(found, |finding| (!warns(finding), finding.urgency, finding.judgement == Judgement::NotJudged));
}
