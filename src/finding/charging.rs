//! Findings about charging: the charger, the path to the pack, what watches each group, the cells themselves.

mod cells;
mod facts;
mod path;
pub mod rules;
mod watch;

pub use facts::{ChargeTerminals, ChargingFacts, ChargingReview, GroupCutOff, OtherSupply};

use super::Finding;
use super::gathered::Gathered;
use crate::part::charger::{ChargeGroup, ChargerAnswer, ChargerNeed, ChargerWish};
use crate::quantity::Interval;
use alloc::boxed::Box;
use alloc::vec::Vec;

/// What stands against charging like this, for facts that are already checked; `at` is their JSON Pointer in the plan.
pub(crate) fn judge(facts: &ChargingFacts, at: &str) -> Vec<Finding> {
    let mut list = Gathered::new(at, &facts.name);
    let need = facts.need();
    cells::judge(facts, need.as_deref(), &mut list);
    watch::judge(facts, &mut list);
    path::judge(facts, need.as_deref(), &mut list);
    list.findings
}

impl ChargingFacts {
    /// What charger the pack needs, whatever else stands against charging it. The voltage of lithium cells does not
    /// hang on the temperature; that of lead-acid does.
    fn need(&self) -> Option<Box<ChargerNeed>> {
        let warm = Interval::exact(20.0);
        let cell_degc = if self.family.lithium().is_some() { Some(warm) } else { self.cell_degc };
        self.need_at(cell_degc?)
    }

    /// What charger the cells need at a temperature, what they were found at left aside.
    fn need_at(&self, cell_degc: Interval) -> Option<Box<ChargerNeed>> {
        let groups = self.groups.iter().map(|group| ChargeGroup { found_v: None, ..*group }).collect();
        match (ChargerWish { groups, ..self.wish_at(cell_degc) }).answer() {
            Ok(ChargerAnswer::Charge(need)) => Some(need),
            _ => None,
        }
    }
}
