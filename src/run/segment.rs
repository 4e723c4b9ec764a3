//! A part of the chopping period in which the same loads are on, and where they settle.
//!
//! ```text
//! load_v = open_v − ohm · I(load_v),   I = amperes + siemens · v + watts / v + square · v² + …
//! ```
//!
//! How the on-times of several loads fall together is not known: all are taken to start at the same instant, which
//! gives the largest RMS and the deepest drop. Of two solutions the one with the higher voltage holds, at which a real
//! load settles when it is switched on.

use crate::part::load::LoadCircuit;
use crate::quantity::order::sort_numbers;
use crate::quantity::root::sqrt;
use alloc::vec::Vec;

/// Last step of a search for a voltage, as a ratio of the source's.
const NEAR: f64 = 1e-7;

/// The loads that are on, gathered by their law.
#[derive(Clone, Debug, Default)]
pub(crate) struct Segment {
    /// Share of the period.
    pub(crate) share: f64,
    amperes: f64,
    siemens: f64,
    watts: f64,
    square: f64,
    others: Vec<LoadCircuit>,
}

/// Where loads and source settle.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Point {
    pub(crate) load_v: f64,
    pub(crate) current_a: f64,
}

/// Splits a period at every different duty, all loads switched on at its start: most loads first.
pub(crate) fn segments(loads: &[LoadCircuit]) -> Vec<Segment> {
    let mut ends: Vec<f64> = loads.iter().map(|load| load.duty).filter(|duty| *duty > 0.0).collect();
    ends.push(1.0);
    sort_numbers(&mut ends);
    ends.dedup();
    let mut before = 0.0;
    ends.into_iter()
        .map(|end| {
            let share = end - before;
            before = end;
            loads.iter().filter(|load| load.duty >= end).fold(Segment { share, ..Segment::default() }, Segment::with)
        })
        .collect()
}

impl Segment {
    fn with(mut self, load: &LoadCircuit) -> Self {
        let LoadCircuit { current_a, at_v, exponent, .. } = *load;
        match exponent {
            0.0 => self.watts += current_a * at_v,
            1.0 => self.amperes += current_a,
            2.0 => self.siemens += current_a / at_v,
            3.0 => self.square += current_a / (at_v * at_v),
            _ => self.others.push(*load),
        }
        self
    }

    /// Where the loads settle behind a source of `open_v` and `ohm`; nothing where they ask for more than it has.
    pub(crate) fn settle(&self, open_v: f64, ohm: f64) -> Option<Point> {
        self.settle_near(open_v, ohm, 0.0)
    }

    /// The same; `near_v` is where they settled a moment ago, or 0.
    pub(crate) fn settle_near(&self, open_v: f64, ohm: f64, near_v: f64) -> Option<Point> {
        let source_v = open_v - ohm * self.amperes;
        let slope = 1.0 + ohm * self.siemens;
        let load_v = if !self.others.is_empty() || self.square > 0.0 && self.watts > 0.0 {
            // A draw that only grows with the voltage has one place to settle: it is found from anywhere.
            let grows = self.watts == 0.0 && self.others.iter().all(|load| load.exponent >= 1.0);
            let near_v = Some(near_v).filter(|v| grows && *v > 0.0);
            near_v.and_then(|v| self.search_v(v, source_v, ohm, slope)).or_else(|| {
                // Of several the highest, from above.
                self.search_v(source_v / slope, source_v, ohm, slope)
            })?
        } else if self.square > 0.0 {
            // a · v² + slope · v = source
            let root = sqrt(slope * slope + 4.0 * ohm * self.square * source_v.max(0.0));
            2.0 * source_v / (slope + root)
        } else if self.watts > 0.0 {
            // slope · v² − source · v + ohm · watts = 0, the higher root; without a root there is no such voltage
            let inner = source_v * source_v - 4.0 * slope * ohm * self.watts;
            (source_v + if inner >= 0.0 { sqrt(inner) } else { return None }) / (2.0 * slope)
        } else {
            source_v / slope
        };
        if self.is_off() {
            return Some(Point { load_v: open_v, current_a: 0.0 });
        }
        let current_a = if ohm > 0.0 { (open_v - load_v) / ohm } else { self.current_a(load_v) };
        (load_v > 0.0).then_some(Point { load_v, current_a })
    }

    /// By how much a source of `ohm`, at which the loads settled at `load_v`, may fall before they ask for more than it
    /// has, in volts.
    ///
    /// ```text
    /// room = slope · load_v · (1 − √q)²,   q = ohm · fall / slope
    /// ```
    ///
    /// `fall` is how fast the falling draws grow as the voltage falls. Exact for constant power; derived.
    pub(crate) fn room_v(&self, load_v: f64, ohm: f64) -> f64 {
        let mut fall = self.watts / (load_v * load_v) - 2.0 * self.square * load_v;
        for load in &self.others {
            fall -= load.current(load_v).1;
        }
        let slope = 1.0 + ohm * self.siemens;
        let q = ohm * fall / slope;
        if q > 0.0 {
            let root = 1.0 - sqrt(q);
            if q < 1.0 { slope * load_v * root * root } else { 0.0 }
        } else {
            f64::INFINITY
        }
    }

    /// Whether no load is on.
    pub(crate) fn is_off(&self) -> bool {
        self.amperes + self.siemens + self.watts + self.square == 0.0 && self.others.is_empty()
    }

    /// Current of all loads at a voltage above 0.
    fn current_a(&self, v: f64) -> f64 {
        let others: f64 = self.others.iter().map(|load| load.current(v).0).sum();
        self.amperes + self.siemens * v + self.watts / v + self.square * v * v + others
    }

    /// Newton's method for laws that have no formula.
    fn search_v(&self, mut v: f64, source_v: f64, ohm: f64, slope: f64) -> Option<f64> {
        for _ in 0..80 {
            if v <= 0.0 {
                return None;
            }
            let (mut taken, mut rise) = (self.watts / v + self.square * v * v, 2.0 * self.square * v);
            rise -= self.watts / (v * v);
            for load in &self.others {
                let (current_a, slope) = load.current(v);
                (taken, rise) = (taken + current_a, rise + slope);
            }
            let steep = slope + ohm * rise;
            let step = (slope * v - source_v + ohm * taken) / steep;
            if steep <= 0.0 {
                return None;
            }
            v -= step;
            // What is left after a step goes with its square.
            if step.abs() <= NEAR * source_v.abs() {
                return (v > 0.0).then_some(v);
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use alloc::vec;

    fn load(current_a: f64, exponent: f64, duty: f64) -> LoadCircuit {
        LoadCircuit { current_a, at_v: 2.0, exponent, duty, drop_out_v: 0.0 }
    }

    #[test]
    fn every_law_settles_on_its_own_current() {
        let laws = [
            vec![0.0],
            vec![1.0],
            vec![2.0],
            vec![3.0],
            vec![1.7],
            vec![0.0, 3.0],
            vec![0.0, 1.0, 2.0],
            vec![1.3, 3.0],
        ];
        for exponents in laws {
            let loads: Vec<LoadCircuit> = exponents.iter().map(|exponent| load(0.7, *exponent, 1.0)).collect();
            let point = segments(&loads)[0].settle(12.0, 0.3).unwrap();
            let taken: f64 = loads.iter().map(|load| load.current(point.load_v).0).sum();
            assert!((taken - point.current_a).abs() < 1e-11, "{exponents:?}: {taken} {}", point.current_a);
            assert!((12.0 - 0.3 * point.current_a - point.load_v).abs() < 1e-11);
        }
    }

    /// The most that a source gives is open_v² / (4 · ohm): 120 W here.
    #[test]
    fn more_power_than_the_source_has_is_no_point() {
        let ask = |watts: f64| segments(&[load(0.5 * watts, 0.0, 1.0)])[0].settle(12.0, 0.3).is_some();
        assert!(ask(119.999) && !ask(120.001));
    }

    #[test]
    fn on_times_start_together() {
        let split = segments(&[load(1.0, 1.0, 0.5), load(2.0, 1.0, 0.25), load(4.0, 1.0, 0.0)]);
        let seen: Vec<(f64, f64)> =
            split.iter().map(|segment| (segment.share, segment.settle(12.0, 0.0).unwrap().current_a)).collect();
        assert_eq!(seen, [(0.25, 3.0), (0.25, 1.0), (0.5, 0.0)]);
    }
}
