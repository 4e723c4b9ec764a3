//! Findings about speed control: the frequency against the load, and the switch.

mod frequency;
pub mod frequency_rules;
mod load;
pub mod load_rules;
mod switch;
pub mod switch_rules;

pub use frequency::{DriveCase, DriveFindings, LoadKind};
pub(crate) use load::judge as judge_load;
pub use switch::{CapacitorCase, SwitchCase, SwitchReview};

use super::{Finding, Rule, Subject};
use crate::quantity::Interval;
use alloc::vec::Vec;

/// Findings as they are gathered about one subject.
struct Gathered<'a> {
    subject: &'a Subject,
    list: Vec<Finding>,
}

impl<'a> Gathered<'a> {
    fn new(subject: &'a Subject) -> Self {
        Self { subject, list: Vec::new() }
    }

    fn broken(&mut self, rule: &Rule, measured: Option<f64>, limit: Option<f64>) {
        self.list.push(rule.broken(self.subject, measured, limit));
    }

    fn not_judged(&mut self, rule: &Rule, needs: &str) {
        self.list.push(rule.not_judged(self.subject, needs));
    }

    fn above(&mut self, rule: &Rule, measured: f64, limit: f64) {
        if measured > limit {
            self.broken(rule, Some(measured), Some(limit));
        }
    }

    fn below(&mut self, rule: &Rule, measured: f64, limit: f64) {
        if measured < limit {
            self.broken(rule, Some(measured), Some(limit));
        }
    }

    /// A frequency whose lower end falls below a limit.
    fn slow(&mut self, rule: &Rule, frequency_hz: Option<Interval>, limit_hz: f64) {
        match frequency_hz {
            Some(given) => self.below(rule, given.low, limit_hz),
            None => self.not_judged(rule, "frequency_hz"),
        }
    }

    /// A frequency whose upper end passes a limit.
    fn fast(&mut self, rule: &Rule, frequency_hz: Option<Interval>, limit_hz: f64) {
        match frequency_hz {
            Some(given) => self.above(rule, given.high, limit_hz),
            None => self.not_judged(rule, "frequency_hz"),
        }
    }
}
