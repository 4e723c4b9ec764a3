//! The order of the tests and what it takes.

use super::{BinCell, BinStep, BinTest, SortBin};
use crate::data::sorting::PRIOR_CELLS;
use crate::quantity::Interval;
use alloc::vec::Vec;

impl SortBin {
    /// Share of the cells that a test sorts out: the usual one, as far as this bin does not say otherwise.
    fn reject_ratio(&self, test: BinTest) -> f64 {
        let (passed, sorted_out) = self.so_far(test);
        let usual = PRIOR_CELLS * test.row().reject_ratio;
        (usual + sorted_out as f64) / (PRIOR_CELLS + (passed + sorted_out) as f64)
    }

    fn so_far(&self, test: BinTest) -> (usize, usize) {
        let passed = self.cells.iter().filter(|cell| cell.passed.contains(&test)).count();
        let sorted_out = self.cells.iter().filter(|cell| cell.sorted_out_by == Some(test)).count();
        (passed, sorted_out)
    }

    /// Time of a machine for one cell, in seconds, and how many cells it takes at once; none without a machine.
    fn machine(&self, test: BinTest) -> Option<(f64, u32)> {
        match test {
            BinTest::Charge => Some((self.charge_s, self.charger_places)),
            BinTest::Capacity => Some((self.capacity_test_s, self.tester_places)),
            _ => None,
        }
    }

    /// Time that a test of one cell takes, in seconds; a missing machine counts as one.
    fn cost_s(&self, test: BinTest) -> f64 {
        let machine_s = self.machine(test).map_or(0.0, |(time_s, places)| time_s / f64::from(places.max(1)));
        test.row().hands_s + machine_s
    }

    /// The order with the least expected time for a cell of which nothing is known.
    pub(super) fn best_order(&self) -> Vec<BinTest> {
        let mut best: Option<(f64, Vec<BinTest>)> = None;
        let mut now = Vec::new();
        self.orders(&mut now, 0.0, 1.0, &mut best);
        best.map_or_else(|| BinTest::ALL.to_vec(), |best| best.1)
    }

    /// Tries every way to go on from `now`, of which `spent_s` is expected and `left` of the cells are left.
    fn orders(&self, now: &mut Vec<BinTest>, spent_s: f64, left: f64, best: &mut Option<(f64, Vec<BinTest>)>) {
        if best.as_ref().is_some_and(|best| spent_s >= best.0) {
            return;
        }
        if now.len() == BinTest::ALL.len() {
            *best = Some((spent_s, now.clone()));
            return;
        }
        for test in BinTest::ALL {
            let ready = test.after().is_none_or(|before| now.contains(&before));
            if ready && !now.contains(&test) {
                now.push(test);
                let left_after = left * (1.0 - self.reject_ratio(test));
                self.orders(now, spent_s + left * self.cost_s(test), left_after, best);
                now.pop();
            }
        }
    }

    /// The tests with what is expected of each.
    pub(super) fn steps(&self, order: &[BinTest]) -> Vec<BinStep> {
        let mut left: Vec<(&BinCell, f64)> = self.open().map(|cell| (cell, 1.0)).collect();
        let mut steps = Vec::new();
        for &test in order {
            let reject_ratio = self.reject_ratio(test);
            let mut comes_to = 0.0;
            for (cell, chance) in &mut left {
                if !cell.passed.contains(&test) {
                    comes_to += *chance;
                    *chance *= 1.0 - reject_ratio;
                }
            }
            let (passed, sorted_out) = self.so_far(test);
            steps.push(BinStep {
                test,
                reject_ratio,
                passed,
                sorted_out,
                comes_to,
                sorts_out: comes_to * reject_ratio,
                hands_s: test.row().hands_s,
                machine_s: self.machine(test).map_or(0.0, |machine| machine.0),
                evenings: self.machine_evenings(test, comes_to),
                source: test.row().source,
            });
        }
        steps
    }

    /// Cells that are expected to come through.
    pub(super) fn usable(&self, order: &[BinTest], steps: &[BinStep]) -> f64 {
        let chance = |cell: &BinCell| {
            let open = order.iter().zip(steps).filter(|(test, _)| !cell.passed.contains(test));
            open.map(|(_, step)| 1.0 - step.reject_ratio).product::<f64>()
        };
        self.open().map(chance).sum()
    }

    /// Evenings that the machines of a test take for so many cells: whole rounds in an evening, or a round over several
    /// evenings; none where there is no machine but cells.
    fn machine_evenings(&self, test: BinTest, cells: f64) -> Option<f64> {
        let Some((time_s, places)) = self.machine(test) else { return Some(0.0) };
        if cells <= 0.0 {
            return Some(0.0);
        }
        if places == 0 {
            return None;
        }
        let rounds = libm::ceil(cells / f64::from(places) - 1e-9);
        // Half a minute of a long evening is no reason to lose a round.
        let a_night = libm::floor(self.evening_s / time_s + 1e-9);
        Some(if a_night >= 1.0 { libm::ceil(rounds / a_night) } else { rounds * libm::ceil(time_s / self.evening_s) })
    }

    /// Evenings: everything beside each other, one kind after the other, and that with no cell sorted out.
    pub(super) fn evenings_needed(&self, steps: &[BinStep]) -> Option<Interval> {
        let hands_evenings = |cells: &dyn Fn(&BinStep) -> f64| {
            steps.iter().map(|step| step.hands_s * cells(step)).sum::<f64>() / self.evening_s
        };
        let (mut busiest, mut after) = (0.0_f64, 0.0);
        let mut all_after = 0.0;
        for step in steps {
            let evenings = step.evenings?;
            busiest = busiest.max(evenings);
            after += evenings;
            let open = self.open().filter(|cell| !cell.passed.contains(&step.test)).count() as f64;
            all_after += self.machine_evenings(step.test, open)?;
        }
        let hands = hands_evenings(&|step| step.comes_to);
        let all = |step: &BinStep| self.open().filter(|cell| !cell.passed.contains(&step.test)).count() as f64;
        let low = libm::ceil(busiest.max(hands));
        let likely = libm::ceil(after.max(hands));
        Some(Interval { low, likely, high: libm::ceil(all_after + hands_evenings(&all)).max(likely) })
    }
}
