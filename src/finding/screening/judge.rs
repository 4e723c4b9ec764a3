//! Every rule on one found cell, each at the end of its inputs that makes it worse.

use super::found::{CalendarLife, ChargeWarmth, FoundCell, FoundIn, Rust, Wrapper};
use super::rules;
use crate::data::charger::LEAD_ACID;
use crate::data::chemistry::LCO_LIMITS;
use crate::data::screening as rows;
use crate::data::size::CellSize;
use crate::finding::gathered::Gathered;
use crate::finding::{Finding, Rule};
use crate::pack::group::SELF_DISCHARGE_MOST_RATIO;
use crate::part::charger::CellFamily;
use crate::quantity::Interval;
use alloc::vec::Vec;

/// What the rules say about one cell.
pub(super) struct Judge<'a> {
    cell: &'a FoundCell,
    list: Gathered,
    /// Codes of the rules that were judged and kept.
    kept: Vec<&'static str>,
}

impl<'a> Judge<'a> {
    pub(super) fn new(cell: &'a FoundCell, at: &str) -> Self {
        Self { cell, list: Gathered::new(at, &cell.name), kept: Vec::new() }
    }

    /// What is broken or was not judged, and what was judged and kept.
    pub(super) fn verdict(mut self) -> (Vec<Finding>, Vec<&'static str>) {
        self.family();
        self.voltage();
        self.body();
        self.charging();
        self.capacity();
        self.resistance();
        self.self_discharge();
        self.past();
        (self.list.findings, self.kept)
    }

    /// The rule is broken where `broken`, kept where not, not judged without an observation.
    fn seen(&mut self, rule: &Rule, field: &'static str, broken: Option<bool>) {
        match broken {
            None => self.list.not_judged(rule, field),
            Some(true) => self.list.broken(rule, field, None, None),
            Some(false) => self.kept.push(rule.code),
        }
    }

    fn family(&mut self) {
        let unidentified = self.cell.family == CellFamily::Unidentified;
        self.seen(&rules::UNIDENTIFIED, "family", Some(unidentified));
    }

    fn voltage(&mut self) {
        let Some(found_v) = self.cell.found_v else { return self.list.not_judged(&rules::GIVEN_UP, "found_v") };
        if found_v < 0.0 {
            self.list.broken(&rules::REVERSED, "found_v", Some(found_v), None);
            return self.either_way_round(-found_v);
        }
        match self.cell.family {
            CellFamily::LithiumIon | CellFamily::LithiumIronPhosphate => self.lithium_voltage(found_v),
            CellFamily::LeadAcid => {
                let [_, most_v] = LEAD_ACID.cycle_v;
                self.such_cell(found_v, most_v);
                self.lead_voltage(found_v);
            }
            CellFamily::NickelMetalHydride => {
                self.such_cell(found_v, rows::NICKEL_REST_MOST_V);
                self.nickel_voltage(found_v);
            }
            CellFamily::Unidentified => {
                let least_v = LCO_LIMITS.give_up_v;
                if found_v < least_v {
                    self.list.broken(&rules::GIVEN_UP_UNIDENTIFIED, "found_v", Some(found_v), Some(least_v));
                }
                self.full(found_v, CellFamily::LithiumIon);
                self.holds_charge(found_v);
            }
        }
    }

    fn lithium_voltage(&mut self, found_v: f64) {
        let family = self.cell.family;
        let least_v = family.lithium().map_or(LCO_LIMITS.give_up_v, |limits| limits.give_up_v);
        let until_v = family.pre_charge_until_v();
        if found_v < least_v {
            return self.list.broken(&rules::GIVEN_UP, "found_v", Some(found_v), Some(least_v));
        }
        self.kept.push(rules::GIVEN_UP.code);
        if found_v < until_v {
            self.list.broken(&rules::FOUND_LOW, "found_v", Some(found_v), Some(until_v));
            let failed = self.cell.pre_charge_lifted.map(|lifted| !lifted);
            self.seen(&rules::PRE_CHARGE_FAILED, "pre_charge_lifted", failed);
        } else if self.cell.pre_charge_lifted == Some(false) {
            self.list.broken(&rules::PRE_CHARGE_FAILED, "pre_charge_lifted", None, None);
        }
        self.full(found_v, family);
        self.holds_charge(found_v);
    }

    fn full(&mut self, found_v: f64, family: CellFamily) {
        let Some(most_v) = family.upper_v() else { return };
        let phosphate = family == CellFamily::LithiumIronPhosphate;
        let rule = if phosphate { &rules::ABOVE_FULL_PHOSPHATE } else { &rules::ABOVE_FULL };
        if found_v > most_v {
            self.list.broken(rule, "found_v", Some(found_v), Some(most_v));
        } else {
            self.kept.push(rule.code);
        }
    }

    fn holds_charge(&mut self, found_v: f64) {
        if found_v > rows::HOLDS_CHARGE_V && self.cell.capacity_ah.is_none() {
            self.list.broken(&rules::REST_PROVES_NOTHING, "found_v", Some(found_v), Some(rows::HOLDS_CHARGE_V));
        }
    }

    /// What is certain of a negative reading even if only the leads of the meter were the wrong way round.
    fn either_way_round(&mut self, across_v: f64) {
        let family = self.cell.family;
        let (rule, least_v) = match family {
            CellFamily::LeadAcid => (&rules::LEAD_GIVEN_UP, rows::LEAD_GIVE_UP_V),
            CellFamily::NickelMetalHydride => return,
            CellFamily::Unidentified => (&rules::GIVEN_UP_UNIDENTIFIED, LCO_LIMITS.give_up_v),
            _ => (&rules::GIVEN_UP, family.lithium().map_or(LCO_LIMITS.give_up_v, |limits| limits.give_up_v)),
        };
        if across_v < least_v {
            self.list.broken(rule, "found_v", Some(-across_v), Some(least_v));
        }
    }

    /// Whether capacity and self-discharge were measured: after the charge that a flat cell needs first.
    const fn measured(&self) -> bool {
        self.cell.capacity_ah.is_some() && self.cell.rated_ah.is_some() && self.cell.self_discharge_ratio.is_some()
    }

    fn lead_voltage(&mut self, found_v: f64) {
        let too_empty = if self.measured() { &rules::LEAD_WAS_TOO_EMPTY } else { &rules::LEAD_TOO_EMPTY };
        let bands = [
            (&rules::LEAD_GIVEN_UP, rows::LEAD_GIVE_UP_V),
            (too_empty, rows::LEAD_EMPTY_V),
            (&rules::LEAD_STOOD_LOW, rows::LEAD_STOOD_LOW_V),
        ];
        self.list.lowest_band(&bands, "found_v", found_v);
    }

    fn nickel_voltage(&mut self, found_v: f64) {
        let dead = if self.measured() { &rules::NICKEL_WAS_DEAD } else { &rules::NICKEL_DEAD };
        let bands = [(dead, rows::NICKEL_DEAD_V), (&rules::FOUND_FLAT, rows::NICKEL_FLAT_V)];
        self.list.lowest_band(&bands, "found_v", found_v);
    }

    /// Whether it may be of its kind at all.
    fn such_cell(&mut self, found_v: f64, most_v: f64) {
        if found_v > most_v {
            self.list.broken(&rules::NOT_SUCH_CELL, "found_v", Some(found_v), Some(most_v));
        } else {
            self.kept.push(rules::NOT_SUCH_CELL.code);
        }
    }

    fn body(&mut self) {
        let cell = self.cell;
        self.seen(&rules::DAMAGED, "damaged", cell.damaged);
        self.seen(&rules::LEAKED, "leaked", cell.leaked);
        self.seen(&rules::SMELLS, "smells", cell.smells);
        self.seen(&rules::RUST_PITTED, "rust", cell.rust.map(|rust| rust == Rust::Pitted));
        if cell.rust == Some(Rust::Stain) {
            self.list.broken(&rules::RUST_STAIN, "rust", None, None);
        }
        self.seen(&rules::WRAPPER, "wrapper", cell.wrapper.map(|wrapper| wrapper == Wrapper::Torn));
    }

    fn charging(&mut self) {
        let warmth = self.cell.charge_warmth;
        self.seen(&rules::HOT, "charge_warmth", warmth.map(|warmth| warmth == ChargeWarmth::Hot));
        if warmth == Some(ChargeWarmth::Warm) {
            self.list.broken(&rules::WARM, "charge_warmth", None, None);
        }
    }

    /// A ratio that must not exceed `most`: `high` where it surely does, `unsure` where it may.
    fn most(&mut self, [high, unsure]: [&Rule; 2], field: &str, ratio: Interval, most: f64) -> bool {
        if ratio.low > most {
            self.list.broken(high, field, Some(ratio.low), Some(most));
        } else if ratio.high > most {
            self.list.broken(unsure, field, Some(ratio.high), Some(most));
        } else {
            self.kept.push(high.code);
            return true;
        }
        false
    }

    fn capacity(&mut self) {
        let Some(capacity_ah) = self.cell.capacity_ah else {
            return self.list.not_judged(&rules::CAPACITY_LOW, "capacity_ah");
        };
        if let Some(row) = self.cell.size.map(CellSize::row)
            && capacity_ah.high > row.most_ah
        {
            let (high_ah, most_ah) = (Some(capacity_ah.high), Some(row.most_ah));
            self.list.broken(&rules::CAPACITY_ABOVE_KNOWN, "capacity_ah", high_ah, most_ah);
        }
        let Some(rated_ah) = self.cell.rated_ah else {
            return self.list.not_judged(&rules::CAPACITY_LOW, "rated_ah");
        };
        let (low, high) = (capacity_ah.low / rated_ah, capacity_ah.high / rated_ah);
        let least = rows::CAPACITY_LEAST_RATIO;
        if high < least {
            self.list.broken(&rules::CAPACITY_LOW, "capacity_ah", Some(high), Some(least));
        } else if low < least {
            self.list.broken(&rules::CAPACITY_UNSURE, "capacity_ah", Some(low), Some(least));
        } else {
            self.kept.push(rules::CAPACITY_LOW.code);
            if low < rows::CAPACITY_TIRED_RATIO {
                let tired = Some(rows::CAPACITY_TIRED_RATIO);
                self.list.broken(&rules::CAPACITY_TIRED, "capacity_ah", Some(low), tired);
            }
        }
        if low > rows::CAPACITY_MOST_RATIO {
            let most = Some(rows::CAPACITY_MOST_RATIO);
            self.list.broken(&rules::CAPACITY_ABOVE_PRINT, "capacity_ah", Some(low), most);
        }
    }

    fn resistance(&mut self) {
        let (Some(found), Some(new)) = (&self.cell.resistance, &self.cell.new_resistance) else {
            let needs = if self.cell.resistance.is_none() { "resistance" } else { "new_resistance" };
            return self.list.not_judged(&rules::RESISTANCE_HIGH, needs);
        };
        let ratio = found.over(new);
        let pair = [&rules::RESISTANCE_HIGH, &rules::RESISTANCE_UNSURE];
        if self.most(pair, "resistance", ratio, rows::RESISTANCE_MOST_RATIO) {
            self.list.above(&rules::RESISTANCE_RISEN, "resistance", ratio.high, rows::RESISTANCE_TIRED_RATIO);
        }
    }

    fn self_discharge(&mut self) {
        let (rule, most) = match self.cell.family {
            CellFamily::LeadAcid => {
                (&rules::LEAD_SELF_DISCHARGE_HIGH, rows::LEAD_MONTH_MOST_FACTOR * LEAD_ACID.month_ratio)
            }
            CellFamily::NickelMetalHydride => (&rules::NICKEL_SELF_DISCHARGE_HIGH, rows::NICKEL_MONTH_MOST_RATIO),
            _ => (&rules::SELF_DISCHARGE_HIGH, SELF_DISCHARGE_MOST_RATIO),
        };
        match self.cell.self_discharge_ratio {
            None => self.list.not_judged(rule, "self_discharge_ratio"),
            Some(ratio) => {
                self.most([rule, &rules::SELF_DISCHARGE_UNSURE], "self_discharge_ratio", ratio, most);
            }
        }
    }

    /// Age and origin.
    fn past(&mut self) {
        let cell = self.cell;
        match (cell.age_s, cell.calendar_life) {
            (None, _) => self.list.not_judged(&rules::PAST_DATE, "age_s"),
            (_, None) => self.list.not_judged(&rules::PAST_DATE, "calendar_life"),
            (Some(_), Some(CalendarLife::NotStated)) => self.kept.push(rules::PAST_DATE.code),
            (Some(age_s), Some(CalendarLife::Stated { life_s })) => {
                self.most([&rules::PAST_DATE, &rules::AGE_UNSURE], "age_s", age_s, life_s);
            }
        }
        if let Some(age_s) = cell.age_s {
            self.list.above(&rules::OLD, "age_s", age_s.high, rows::OLD_S);
        }
        self.seen(&rules::HARMED, "found_in", cell.found_in.map(|found_in| found_in == FoundIn::Harmed));
        match cell.found_in {
            Some(FoundIn::Failed) => self.list.broken(&rules::FAILED_PACK, "found_in", None, None),
            Some(FoundIn::Unknown) => self.list.broken(&rules::ORIGIN_UNKNOWN, "found_in", None, None),
            _ => {}
        }
    }
}
