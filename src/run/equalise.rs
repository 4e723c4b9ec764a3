//! How the current between two tied packs dies away.
//!
//! ```text
//! a.series · cell_v(a, i) − b.series · cell_v(b, −i) = i · join_ohm,   solved for the mean current of each step
//! ```
//!
//! The slow states advance by exact exponentials ([`crate::part::cell::circuit`]); the equation is solved with the
//! state at the end of the step in it, so that no step is too long to be stable. Steps grow with the time passed.
//! Holds while both packs stay between empty and full.

use crate::error::Error;
use crate::pack::join::{Balance, Tie};
use crate::part::cell::CellState;
use crate::part::cell::source::Source;
use crate::run::discharge::TIME_MAX_S;

/// Length of the first steps, in seconds, and of later ones as a share of the time passed.
const FIRST_STEP_S: f64 = 0.2;
const STEP_RATIO: f64 = 0.02;

/// Most steps: enough for [`TIME_MAX_S`] with steps that grow so.
const STEPS_MAX: u32 = 800;

/// Share of the charge after which an equalisation counts as settled.
const SETTLED_RATIO: f64 = 0.9;

/// Share of the first current under which it counts as died away.
const DIED_RATIO: f64 = 0.1;

/// How an equalisation goes.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Equalisation {
    /// Current in the first moment from the first pack to the second, in amperes; negative the other way.
    pub peak_a: f64,
    /// Charge that moves in all, in ampere-hours; negative from the second pack to the first.
    pub charge_ah: f64,
    /// Heat in both packs and the join together, in joules.
    pub heat_j: f64,
    /// Voltage of both at the end, in volts.
    pub final_v: f64,
    /// Time until nine tenths of the charge have moved, in seconds; none within thirty days.
    pub settle_s: Option<f64>,
    /// Time until the current is a tenth of the first, in seconds; none within thirty days.
    pub died_s: Option<f64>,
    /// Time until the packs may be tied through `direct_ohm` with at most `direct_a`, in seconds; none within thirty
    /// days, or where it was not asked for.
    pub tie_s: Option<f64>,
}

/// A current that is allowed once the packs are tied directly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DirectTie {
    /// Highest current that is allowed, in amperes.
    pub direct_a: f64,
    /// Resistance of both packs and the direct join together, in ohms.
    pub direct_ohm: f64,
}

/// The packs at one moment.
struct Moment<'a> {
    tie: &'a Tie,
    a: CellState,
    b: CellState,
    time_s: f64,
    charge_ah: f64,
    /// Mean current of the last step.
    current_a: f64,
}

impl Tie {
    /// Follows the packs from the moment they are tied.
    ///
    /// # Errors
    ///
    /// As [`Tie::check`].
    pub fn equalise(&self, direct: Option<DirectTie>) -> Result<Equalisation, Error> {
        let Balance { charge_ah, heat_j, final_v } = self.balance()?;
        let peak_a = self.peak_a()?;
        let mut answer = Equalisation { peak_a, charge_ah, heat_j, final_v, settle_s: None, died_s: None, tie_s: None };
        let mut now =
            Moment { tie: self, a: self.a.state(), b: self.b.state(), time_s: 0.0, charge_ah: 0.0, current_a: peak_a };
        let (mut before_s, mut before_ratio, mut before_v) = (0.0, 1.0, self.difference_v(0.0));
        if peak_a == 0.0 {
            (answer.settle_s, answer.died_s, answer.tie_s) = (Some(0.0), Some(0.0), direct.map(|_| 0.0));
            return Ok(answer);
        }
        for _ in 0..STEPS_MAX {
            let (start_s, start_ah) = (now.time_s, now.charge_ah);
            let ratio = now.step() / peak_a;
            let middle_s = 0.5 * (start_s + now.time_s);
            let wanted_ah = SETTLED_RATIO * charge_ah;
            if answer.settle_s.is_none() && libm::fabs(now.charge_ah) >= libm::fabs(wanted_ah) {
                answer.settle_s = Some(crossing((start_s, start_ah), (now.time_s, now.charge_ah), wanted_ah));
            }
            if answer.died_s.is_none() && ratio < DIED_RATIO {
                answer.died_s = Some(crossing((before_s, before_ratio), (middle_s, ratio), DIED_RATIO));
            }
            let difference_v = self.difference_v(now.charge_ah);
            if let Some(DirectTie { direct_a, direct_ohm }) = direct
                && answer.tie_s.is_none()
                && libm::fabs(difference_v) <= direct_a * direct_ohm
            {
                let limit_v = libm::copysign(direct_a * direct_ohm, difference_v);
                answer.tie_s = Some(crossing((start_s, before_v), (now.time_s, difference_v), limit_v));
            }
            (before_s, before_ratio, before_v) = (middle_s, ratio, difference_v);
            let waiting = direct.is_some() && answer.tie_s.is_none();
            if now.time_s >= TIME_MAX_S || (answer.settle_s.is_some() && answer.died_s.is_some() && !waiting) {
                break;
            }
        }
        Ok(answer)
    }
}

/// Where the straight line between two points (time, value) reaches `wanted`.
fn crossing(from: (f64, f64), to: (f64, f64), wanted: f64) -> f64 {
    let rise = to.1 - from.1;
    let share = if rise == 0.0 { 0.0 } else { (wanted - from.1) / rise };
    from.0 + (to.0 - from.0) * share.clamp(0.0, 1.0)
}

impl Moment<'_> {
    /// One step; gives its mean current.
    fn step(&mut self) -> f64 {
        let grown_s = STEP_RATIO * self.time_s;
        let dt_s = if grown_s > FIRST_STEP_S { grown_s } else { FIRST_STEP_S };
        let (a, b) = (&self.tie.a.group, &self.tie.b.group);
        let (decay_a, decay_b) = (a.decay(dt_s), b.decay(dt_s));
        let source_a = a.source(&self.a, &decay_a, dt_s, self.current_a);
        let source_b = b.source(&self.b, &decay_b, dt_s, -self.current_a);
        let current_a = self.tie.current_a(&source_a, &source_b);
        a.advance(&mut self.a, &decay_a, current_a, dt_s);
        b.advance(&mut self.b, &decay_b, -current_a, dt_s);
        self.time_s += dt_s;
        self.charge_ah += current_a * dt_s / 3600.0;
        self.current_a = current_a;
        current_a
    }
}

impl Tie {
    /// Mean current over a step: the root of a falling function, by Newton's steps kept within a closing bracket.
    fn current_a(&self, source_a: &Source, source_b: &Source) -> f64 {
        let Self { a, b, join_ohm } = self;
        let least_ohm = a.volts(source_a.ohmic_ohm()) + b.volts(source_b.ohmic_ohm()) + join_ohm;
        let left = |current_a: f64| {
            let (emf_a, fast_a) = (source_a.emf(&a.group.curves, current_a), source_a.fast(current_a));
            let (emf_b, fast_b) = (source_b.emf(&b.group.curves, -current_a), source_b.fast(-current_a));
            let v = a.volts(emf_a.v - fast_a.v) - b.volts(emf_b.v - fast_b.v) - current_a * join_ohm;
            (v, a.volts(emf_a.ohm + fast_a.ohm) + b.volts(emf_b.ohm + fast_b.ohm) + join_ohm)
        };
        let start = left(0.0).0 / least_ohm;
        let (mut low, mut high) = if start > 0.0 { (0.0, start) } else { (start, 0.0) };
        let mut current_a = 0.5 * (low + high);
        for _ in 0..60 {
            let (v, ohm) = left(current_a);
            if v > 0.0 {
                low = current_a;
            } else {
                high = current_a;
            }
            let next = current_a + v / ohm;
            let next = if next > low && next < high { next } else { 0.5 * (low + high) };
            if libm::fabs(next - current_a) <= 1e-12 * (high - low) + 1e-15 {
                return next;
            }
            current_a = next;
        }
        current_a
    }
}
