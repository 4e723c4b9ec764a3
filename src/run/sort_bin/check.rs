//! What is wrong with a bin.

use super::{BinCell, BinTest, CELLS_MAX, SortBin};
use crate::error::{Check, Error};
use crate::pack::COUNT_MAX;
use crate::pack::group::named_once;
use alloc::format;

impl BinCell {
    fn check(&self, check: &mut Check) {
        let name = &self.name;
        if let Some(rated_ah) = self.rated_ah {
            check.within("rated_ah", rated_ah, 0.01, 1000.0);
        }
        if let Some(capacity_ah) = self.capacity_ah {
            capacity_ah.note(check, "capacity_ah", 0.0, 1000.0);
        }
        let tested = self.passed.contains(&BinTest::Capacity);
        if tested != self.capacity_ah.is_some() && self.sorted_out_by.is_none() {
            let (given, accepted) = if tested {
                ("nothing", "the capacity it passed with")
            } else {
                ("a capacity", "none before the test is passed")
            };
            check.note(Error::other("capacity_ah", format!("{given} for {name}"), accepted));
        }
        for (i, test) in self.passed.iter().enumerate() {
            let twice = self.passed.iter().skip(i + 1).any(|other| other == test);
            let before = test.after().is_none_or(|before| self.passed.contains(&before));
            if twice || !before || self.sorted_out_by == Some(*test) {
                let accepted = "each test once, with those that come before it, and not the one that sorted it out";
                check.note(Error::other("passed", format!("{test:?} for {name}"), accepted));
            }
        }
    }
}

impl SortBin {
    pub(crate) fn check(&self, check: &mut Check) {
        for (field, count) in [("series", self.series), ("parallel", self.parallel)] {
            check.within(field, f64::from(count), 1.0, COUNT_MAX as f64);
        }
        if !(1..=CELLS_MAX).contains(&self.cells.len()) {
            check.note(Error::range("cells", self.cells.len() as f64, 1.0, CELLS_MAX as f64));
        }
        check.within("charger_places", f64::from(self.charger_places), 0.0, 1000.0);
        check.within("tester_places", f64::from(self.tester_places), 0.0, 1000.0);
        check.within("charge_s", self.charge_s, 600.0, 172_800.0);
        check.within("capacity_test_s", self.capacity_test_s, 600.0, 172_800.0);
        check.within("evenings", f64::from(self.evenings), 0.0, 10_000.0);
        check.within("evening_s", self.evening_s, 600.0, 86400.0);
        for (field, value) in [("wanted_ah", self.wanted_ah), ("worth_ah", self.worth_ah)] {
            if let Some(value) = value {
                check.within(field, value, 0.0, 1e5);
            }
        }
        named_once(check, self.cells.iter().map(|cell| cell.name.as_str()));
        for (place, cell) in self.cells.iter().enumerate() {
            check.inside("cells", |check| check.inside(place, |check| cell.check(check)));
        }
    }
}
