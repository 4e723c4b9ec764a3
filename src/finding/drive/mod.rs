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

use super::Rule;
use super::gathered::Gathered;
use crate::quantity::Interval;

impl Gathered {
    /// A frequency whose lower end falls below a limit.
    fn slow(&mut self, rule: &Rule, frequency_hz: Option<Interval>, limit_hz: f64) {
        match frequency_hz {
            Some(given) => self.below(rule, "", given.low, limit_hz),
            None => self.not_judged(rule, "frequency_hz"),
        }
    }

    /// A frequency whose upper end passes a limit.
    fn fast(&mut self, rule: &Rule, frequency_hz: Option<Interval>, limit_hz: f64) {
        match frequency_hz {
            Some(given) => self.above(rule, "", given.high, limit_hz),
            None => self.not_judged(rule, "frequency_hz"),
        }
    }
}
