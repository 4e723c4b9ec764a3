//! The complete search behind [`super`].
//!
//! Per farad the times do not depend on the capacitor. The duty falls with the discharging resistor and the frequency
//! with the capacitor, so each error grows to both sides of one place in the list of values: walking outward from there
//! until the error exceeds the worst kept one leaves nothing out. First passes that take one step to each side, one of them only
//! some of the resistors at the discharge pin, find a bound for the full one.

use crate::part::choice::Made;
use crate::part::timing::Phases;
use alloc::vec;
use alloc::vec::Vec;
use core::cmp::Ordering;

/// The very first pass takes one resistor at the discharge pin in so many.
const COARSE: usize = 5;

/// What is searched, and what for.
pub(super) struct Search<'a> {
    pub(super) phases: Phases,
    pub(super) resistors: &'a [Made],
    pub(super) capacitors: &'a [Made],
    pub(super) pots_ohm: &'a [f64],
    pub(super) frequency_hz: f64,
    /// Frequency above which the part or the law ends, in hertz.
    pub(super) limit_hz: f64,
    pub(super) duty_low: f64,
    pub(super) duty_high: f64,
    pub(super) best: Best,
    pub(super) reach: usize,
}

/// The best sets of parts so far.
pub(super) struct Best {
    most: usize,
    grain: f64,
    list: Vec<Found>,
}

/// One set of parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Found {
    pub(super) error_ratio: f64,
    pub(super) parts: u32,
    pub(super) ra: Made,
    /// The other resistor: to the capacitor, or the end stop of the discharging half.
    pub(super) rb: Made,
    pub(super) pot_ohm: Option<f64>,
    pub(super) c: Made,
}

/// Two resistors, a potentiometer, and the times per farad at both ends of the knob.
struct Halves {
    ra: Made,
    rb: Made,
    pot_ohm: Option<f64>,
    duty_error: f64,
    low_end_s: f64,
    high_end_s: f64,
}

impl Best {
    pub(super) fn new(most: usize, grain: f64) -> Self {
        Self { most, grain, list: Vec::new() }
    }

    /// Error above which nothing can enter the list.
    fn bound(&self) -> f64 {
        match self.list.last() {
            Some(worst) if self.list.len() >= self.most && self.grain > 0.0 => {
                (libm::floor(worst.error_ratio / self.grain) + 1.0) * self.grain
            }
            Some(worst) if self.list.len() >= self.most => worst.error_ratio,
            _ => f64::MAX,
        }
    }

    fn enter(&mut self, found: Found) {
        let place = self.list.partition_point(|kept| self.order(kept, &found) == Ordering::Less);
        if place >= self.most || self.list.get(place) == Some(&found) {
            return;
        }
        self.list.insert(place, found);
        self.list.truncate(self.most);
    }

    /// Error, then number of parts; what is left is order for its own sake.
    fn order(&self, a: &Found, b: &Found) -> Ordering {
        let step = |found: &Found| {
            if self.grain > 0.0 { libm::floor(found.error_ratio / self.grain) } else { found.error_ratio }
        };
        let values = |f: &Found| [f.error_ratio, f.ra.value, f.rb.value, f.pot_ohm.unwrap_or(0.0), f.c.value];
        let rest = || {
            let pairs = values(a).into_iter().zip(values(b));
            pairs.map(|(a, b)| a.total_cmp(&b)).find(|order| *order != Ordering::Equal).unwrap_or(Ordering::Equal)
        };
        step(a).total_cmp(&step(b)).then(a.parts.cmp(&b.parts)).then_with(rest)
    }

    pub(super) fn into_list(self) -> Vec<Found> {
        self.list
    }
}

impl<'a> Search<'a> {
    pub(super) fn new(
        phases: Phases,
        resistors: &'a [Made],
        capacitors: &'a [Made],
        pots_ohm: &'a [f64],
        best: Best,
    ) -> Self {
        let (frequency_hz, limit_hz, duty_low, duty_high, reach) = (1.0, 1.0, 0.0, 1.0, 1);
        Self { phases, resistors, capacitors, pots_ohm, frequency_hz, limit_hz, duty_low, duty_high, best, reach }
    }

    /// Every set of parts, kept where it is among the best.
    pub(super) fn run(&mut self, steered: bool) {
        let least_ohm = self.phases.limits().ra_ohm;
        let mut places = vec![0; self.pots_ohm.len()];
        for (reach, every) in [(1, COARSE), (1, 1), (usize::MAX, 1)] {
            self.reach = reach;
            for ra in self.resistors.iter().step_by(every).filter(|ra| ra.value >= least_ohm) {
                if steered {
                    self.steered(ra, &mut places);
                } else {
                    self.plain(ra);
                }
            }
        }
    }

    fn plain(&mut self, ra: &Made) {
        let middle = 0.5 * (self.duty_low + self.duty_high);
        let place = self.resistors.partition_point(|rb| self.plain_halves(ra, rb).1 > middle);
        let (below, above) = self.resistors.split_at_checked(place).unwrap_or((self.resistors, &[]));
        let (mut down, mut up) = (below.iter().rev().take(self.reach), above.iter().take(self.reach));
        while let Some(true) = down.next().map(|rb| self.plain_pair(ra, rb)) {}
        while let Some(true) = up.next().map(|rb| self.plain_pair(ra, rb)) {}
    }

    fn plain_halves(&self, ra: &Made, rb: &Made) -> (Halves, f64) {
        let high_s = self.phases.charge_s(ra.value + rb.value);
        let period_s = high_s + self.phases.discharge_s(ra.value, rb.value);
        let duty = high_s / period_s;
        let duty_error = (self.duty_low - duty).max(duty - self.duty_high).max(0.0);
        let (ra, rb) = (*ra, *rb);
        (Halves { ra, rb, pot_ohm: None, duty_error, low_end_s: period_s, high_end_s: period_s }, duty)
    }

    /// Whether the walk goes on.
    fn plain_pair(&mut self, ra: &Made, rb: &Made) -> bool {
        let (halves, _) = self.plain_halves(ra, rb);
        if halves.duty_error > self.best.bound() {
            return false;
        }
        if ra.value + rb.value <= self.phases.limits().charge_ohm {
            self.with_capacitors(&halves);
        }
        true
    }

    fn steered(&mut self, ra: &Made, places: &mut [usize]) {
        let high_s = self.phases.charge_s(ra.value);
        let mut row = vec![None; self.resistors.len()];
        for (pot_ohm, place) in self.pots_ohm.iter().zip(places) {
            if ra.value + pot_ohm > self.phases.limits().charge_ohm {
                continue;
            }
            let knob =
                Knob { ra: *ra, pot_ohm: *pot_ohm, high_s, high_at_end_s: self.phases.charge_s(ra.value + pot_ohm) };
            *place = self.crossing(&knob, &mut row, *place);
            let mut down = (0..*place).rev().take(self.reach);
            while let Some(true) = down.next().map(|index| self.steered_pair(&knob, index, &mut row)) {}
            let mut up = (*place..self.resistors.len()).take(self.reach);
            while let Some(true) = up.next().map(|index| self.steered_pair(&knob, index, &mut row)) {}
        }
    }

    /// First resistor in the list with which the highest duty is no longer above the wanted one, sought outward from
    /// `near`: from one resistor at the discharge pin to the next it moves little.
    fn crossing(&self, knob: &Knob, row: &mut [Option<f64>], near: usize) -> usize {
        let count = self.resistors.len();
        let mut above = |index: usize| self.highest_duty(knob, index, row) > self.duty_high;
        let (mut low, mut high, mut step) = (0, near.min(count), 1);
        if high < count && above(high) {
            low = high + 1;
            high = count;
            while low + step <= count {
                if !above(low + step - 1) {
                    high = low + step - 1;
                    break;
                }
                low += step;
                step *= 2;
            }
        } else {
            while step <= high {
                if above(high - step) {
                    low = high - step + 1;
                    break;
                }
                high -= step;
                step *= 2;
            }
        }
        while low < high {
            let middle = usize::midpoint(low, high);
            if above(middle) {
                low = middle + 1;
            } else {
                high = middle;
            }
        }
        low
    }

    /// The time of discharging through the end stop alone does not depend on the potentiometer: kept in `row`.
    fn highest_duty(&self, knob: &Knob, index: usize, row: &mut [Option<f64>]) -> f64 {
        let low_s = self.low_at_end_s(knob, index, row);
        knob.high_at_end_s / (knob.high_at_end_s + low_s)
    }

    fn low_at_end_s(&self, knob: &Knob, index: usize, row: &mut [Option<f64>]) -> f64 {
        let (Some(rb), Some(kept)) = (self.resistors.get(index), row.get_mut(index)) else { return f64::MAX };
        *kept.get_or_insert_with(|| self.phases.discharge_s(knob.ra.value, rb.value))
    }

    /// Whether the walk goes on.
    fn steered_pair(&mut self, knob: &Knob, index: usize, row: &mut [Option<f64>]) -> bool {
        let low_at_end_s = self.low_at_end_s(knob, index, row);
        let Some(rb) = self.resistors.get(index).copied() else { return false };
        let high_end_s = knob.high_at_end_s + low_at_end_s;
        let bound = self.best.bound();
        let error_high = libm::fabs(knob.high_at_end_s / high_end_s - self.duty_high);
        if error_high > bound {
            return false;
        }
        let low_end_s = knob.high_s + self.phases.discharge_s(knob.ra.value, rb.value + knob.pot_ohm);
        let duty_error = error_high.max(libm::fabs(knob.high_s / low_end_s - self.duty_low));
        if duty_error <= bound {
            let (ra, pot_ohm) = (knob.ra, Some(knob.pot_ohm));
            self.with_capacitors(&Halves { ra, rb, pot_ohm, duty_error, low_end_s, high_end_s });
        }
        true
    }

    /// Both ends are equally far from the wanted frequency with the capacitor (1/a + 1/b) / (2·f).
    fn with_capacitors(&mut self, halves: &Halves) {
        if self.phases.peak_a(halves.ra.value, halves.rb.value) > self.phases.highest_a() {
            return;
        }
        let even_f = 0.5 * (1.0 / halves.low_end_s + 1.0 / halves.high_end_s) / self.frequency_hz;
        let place = self.capacitors.partition_point(|c| c.value < even_f);
        let (below, above) = self.capacitors.split_at_checked(place).unwrap_or((self.capacitors, &[]));
        let (mut down, mut up) = (below.iter().rev().take(self.reach), above.iter().take(self.reach));
        while let Some(true) = down.next().map(|c| self.complete(halves, c)) {}
        while let Some(true) = up.next().map(|c| self.complete(halves, c)) {}
    }

    fn complete(&mut self, halves: &Halves, c: &Made) -> bool {
        let away = |period_s: f64| libm::fabs(1.0 / (period_s * c.value * self.frequency_hz) - 1.0);
        let error_ratio = away(halves.low_end_s).max(away(halves.high_end_s)).max(halves.duty_error);
        if error_ratio > self.best.bound() {
            return false;
        }
        if halves.low_end_s.min(halves.high_end_s) * c.value * self.limit_hz < 1.0 {
            return true;
        }
        let parts = halves.ra.parts() + halves.rb.parts() + c.parts() + u32::from(halves.pot_ohm.is_some());
        let (ra, rb, pot_ohm, c) = (halves.ra, halves.rb, halves.pot_ohm, *c);
        self.best.enter(Found { error_ratio, parts, ra, rb, pot_ohm, c });
        true
    }
}

/// A potentiometer above one resistor, with the charging times at both ends of the knob, per farad.
struct Knob {
    ra: Made,
    pot_ohm: f64,
    high_s: f64,
    high_at_end_s: f64,
}
