//! Findings about charging: the charger, the path to the pack, what watches each group, the cells themselves.

mod cells;
mod facts;
mod path;
pub mod rules;
mod watch;

pub use facts::{ChargeTerminals, ChargingFacts, ChargingReview, GroupCutOff, OtherSupply};

use super::{Finding, Rule, Subject};
use crate::part::charger::{ChargeGroup, ChargerAnswer, ChargerNeed, ChargerWish};
use crate::quantity::Interval;
use alloc::boxed::Box;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// What stands against charging like this, for facts that are already checked; `at` is their JSON Pointer in the plan.
pub(crate) fn judge(facts: &ChargingFacts, at: &str) -> Vec<Finding> {
    let mut list = Gathered { at: at.into(), name: facts.name.clone(), findings: Vec::new() };
    let need = facts.need();
    cells::judge(facts, need.as_deref(), &mut list);
    watch::judge(facts, &mut list);
    path::judge(facts, need.as_deref(), &mut list);
    list.findings
}

/// Findings as they are gathered.
struct Gathered {
    at: String,
    name: String,
    findings: Vec<Finding>,
}

impl Gathered {
    fn subject(&self, field: &str) -> Subject {
        let path = if field.is_empty() { self.at.clone() } else { format!("{}/{field}", self.at) };
        Subject::new(path, self.name.as_str())
    }

    /// The rule is broken by the field `field`.
    fn broken(&mut self, rule: &Rule, field: &str, measured: Option<f64>, limit: Option<f64>) {
        self.findings.push(rule.broken(&self.subject(field), measured, limit));
    }

    /// As [`Gathered::broken`], about a thing with a name of its own.
    fn named(&mut self, rule: &Rule, field: &str, name: &str, measured: f64, limit: f64) {
        let subject = Subject::new(self.subject(field).path, name);
        self.findings.push(rule.broken(&subject, Some(measured), Some(limit)));
    }

    fn not_judged(&mut self, rule: &Rule, needs: &str) {
        self.findings.push(rule.not_judged(&self.subject(""), needs));
    }

    fn above(&mut self, rule: &Rule, field: &str, measured: f64, limit: f64) {
        if measured > limit {
            self.broken(rule, field, Some(measured), Some(limit));
        }
    }

    /// The rule is broken where the answer to a question is not `wanted`; without an answer it is not judged.
    fn unless(&mut self, rule: &Rule, field: &str, answer: Option<bool>, wanted: bool) {
        match answer {
            None => self.not_judged(rule, field),
            Some(given) if given != wanted => self.broken(rule, field, None, None),
            Some(_) => {}
        }
    }
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
