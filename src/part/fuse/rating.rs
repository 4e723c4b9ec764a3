//! One rating held against load, surge, wire and faults.

use super::FuseWish;
use crate::data::fuse::{ELEMENTS, FuseFamily, Gate, OVERLOAD_RATIO, PULSES, ResettableRow};
use crate::quantity::said::{Phrase, wordings};

/// What one rating keeps; nothing where it could not be judged.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FuseRating {
    /// The rating, in amperes.
    pub rating_a: f64,
    /// Current it carries for good at this temperature, in amperes; nothing above the published temperatures.
    pub continuous_a: Option<f64>,
    /// Whether it carries the load for good; surely not where the load is more than it carries in the cold.
    pub carries: Option<bool>,
    /// Whether it holds the surge.
    pub holds_surge: Option<bool>,
    /// Whether it protects the wire against overload.
    pub protects_wire: bool,
    /// Whether it breaks the largest fault at this voltage of direct current.
    pub breaks: Option<bool>,
    /// Whether it opens in the smallest fault before the wire passes its limit.
    pub opens: Option<bool>,
    /// Longest time to open in the smallest fault, in seconds; nothing where none may be promised.
    pub opens_within_s: Option<f64>,
    /// Voltage lost in the fuse at the load, hot, in volts, at the most; where printed.
    pub drop_v: Option<f64>,
}

impl FuseRating {
    /// Whether nothing that could be judged is broken.
    pub(super) fn breaks_nothing(&self) -> bool {
        let kept = |judged: Option<bool>| judged != Some(false);
        self.carries == Some(true)
            && self.protects_wire
            && kept(self.holds_surge)
            && kept(self.breaks)
            && kept(self.opens)
    }

    /// What is left open about a rating that fits.
    pub(super) fn open_phrase(&self) -> Option<Phrase> {
        let open = [(self.holds_surge, OPEN_SURGE), (self.breaks, OPEN_BREAKS), (self.opens, OPEN_OPENS)];
        let left = open.iter().filter(|(judged, _)| judged.is_none()).map(|(_, what)| what.plain());
        Phrase::joined(left, &OPEN_AND).map(|left| OPEN.with([left.into()]))
    }
}

/// Share of its rating that a fuse of one kind carries for good at a temperature; nothing above the published ones.
pub(crate) fn carried_ratio(family: FuseFamily, ambient_degc: f64) -> Option<f64> {
    let row = family.row();
    // Between rows the hotter one holds.
    let left = row.derating.iter().find(|[degc, _]| ambient_degc <= *degc).map(|[_, ratio]| *ratio);
    left.map(|left| left * row.continuous_ratio)
}

/// Share of its rating that it carries for good at the highest temperature that is published.
pub(crate) fn hottest_ratio(family: FuseFamily) -> f64 {
    let row = family.row();
    row.derating.last().map_or(1.0, |[_, ratio]| *ratio) * row.continuous_ratio
}

impl FuseWish {
    pub(super) fn carried_ratio(&self) -> Option<f64> {
        carried_ratio(self.family, self.ambient_degc)
    }

    pub(crate) fn rated(&self, rating_a: f64) -> FuseRating {
        let gates = self.family.gates(rating_a);
        let continuous_a = self.carried_ratio().map(|ratio| ratio * rating_a);
        let opening = opens_a(self.family, rating_a);
        let element = ELEMENTS.iter().find(|row| row.family == self.family && row.rating_a == rating_a);
        let opens_within_s = self.fault_low_a.and_then(|fault_a| longest_s(gates, fault_a / rating_a));
        FuseRating {
            rating_a,
            continuous_a,
            carries: match continuous_a {
                Some(continuous_a) => Some(self.load_a <= continuous_a),
                // Hotter than what is published it carries less than there.
                None => (self.load_a > hottest_ratio(self.family) * rating_a).then_some(false),
            },
            holds_surge: self.holds_surge(gates, rating_a),
            protects_wire: rating_a <= self.wire_limit_a
                && opening.is_some_and(|opening_a| opening_a <= OVERLOAD_RATIO * self.wire_limit_a),
            breaks: self.breaks(),
            opens: self.fault_low_a.and_then(|low_a| self.opens(gates, rating_a, low_a)),
            opens_within_s,
            drop_v: element.and_then(|row| row.drop_v).map(|drop_v| drop_v * (self.load_a / rating_a)),
        }
    }

    fn holds_surge(&self, gates: &[Gate], rating_a: f64) -> Option<bool> {
        let (surge_a, surge_s) = (self.surge_a?, self.surge_s?);
        if surge_a <= rating_a {
            return Some(true);
        }
        let multiple_ratio = surge_a / rating_a;
        if longest_s(gates, multiple_ratio).is_some_and(|longest_s| surge_s >= longest_s) {
            return Some(false);
        }
        match shortest_s(gates, multiple_ratio) {
            Some(held_s) => Some(surge_s <= held_s),
            // Above the highest gate it opens no later than there: a surge that may open it there may open it here.
            None => {
                gates.iter().rev().find_map(|gate| gate.shortest_s).filter(|held_s| surge_s > *held_s).map(|_| false)
            }
        }
    }

    fn breaks(&self) -> Option<bool> {
        let row = self.family.row();
        let voltage = row.dc_v.map(|dc_v| self.pack_v <= dc_v);
        let current = self.fault_high_a.and_then(|fault_a| row.dc_breaking_a.map(|breaking_a| fault_a <= breaking_a));
        match (voltage, current) {
            (Some(false), _) | (_, Some(false)) => Some(false),
            (Some(true), Some(true)) => Some(true),
            _ => None,
        }
    }

    /// Whether every fault from the smallest to the largest ends before the wire passes its limit.
    ///
    /// The hardest fault is the smallest one above what the wire stands until its fuse opens by the rule for overload: what
    /// is let through falls from there.
    fn opens(&self, gates: &[Gate], rating_a: f64, low_a: f64) -> Option<bool> {
        if longest_s(gates, low_a / rating_a).is_none() {
            return Some(false);
        }
        let overload_a = OVERLOAD_RATIO * self.wire_limit_a;
        if self.fault_high_a.is_some_and(|high_a| high_a <= overload_a) {
            return Some(true);
        }
        let let_through_a2s = let_through_a2s(gates, rating_a, low_a.max(overload_a))?;
        self.wire_withstand_a2s.map(|withstand_a2s| let_through_a2s <= withstand_a2s)
    }
}

/// Lowest current at which a fuse opens within a published time, in amperes; nothing where no such point is published.
pub(crate) fn opens_a(family: FuseFamily, rating_a: f64) -> Option<f64> {
    let opens = family.gates(rating_a).iter().find(|gate| gate.longest_s.is_some())?;
    Some(opens.multiple_ratio * rating_a)
}

/// Longest time to open at a multiple of the rating, in seconds: that of the nearest gate at or below it.
///
/// Nothing below the lowest gate with a longest time: no time may be promised there.
///
/// # Examples
///
/// ```
/// # use cellwright::data::fuse::BLADE_GATES;
/// # use cellwright::part::fuse::longest_s;
/// assert_eq!(longest_s(&BLADE_GATES, 1.8), Some(50.0));
/// assert_eq!(longest_s(&BLADE_GATES, 1.34), None);
/// ```
#[must_use]
pub fn longest_s(gates: &[Gate], multiple_ratio: f64) -> Option<f64> {
    gates.iter().filter(|gate| gate.multiple_ratio <= multiple_ratio).filter_map(|gate| gate.longest_s).next_back()
}

/// Most that is let through at a current before the fuse opens, in A²·s; nothing below the lowest gate with a longest time.
///
/// More current melts a fuse with less I²·t, so that each gate below bounds it.
fn let_through_a2s(gates: &[Gate], rating_a: f64, current_a: f64) -> Option<f64> {
    let reached = gates.iter().filter(|gate| gate.multiple_ratio <= current_a / rating_a);
    let at_gates = reached.filter_map(|gate| {
        let gate_a = gate.multiple_ratio * rating_a;
        Some(gate_a * gate_a * gate.longest_s?)
    });
    at_gates.reduce(f64::min)
}

impl FuseFamily {
    /// Longest time until a fuse of this kind opens at a current, in seconds; nothing below the lowest published gate.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::fuse::FuseFamily;
    /// assert_eq!(FuseFamily::TubeUl.opens_within_s(5.0, 20.0), Some(30.0));
    /// // After IEC nothing is promised under 2.1 times the rating, and half an hour there.
    /// assert_eq!(FuseFamily::TubeIec.opens_within_s(5.0, 10.0), None);
    /// assert_eq!(FuseFamily::TubeIec.opens_within_s(5.0, 10.5), Some(1800.0));
    /// ```
    #[must_use]
    pub fn opens_within_s(self, rating_a: f64, current_a: f64) -> Option<f64> {
        Some(let_through_a2s(self.gates(rating_a), rating_a, current_a)? / (current_a * current_a))
    }
}

/// Shortest time to open at a multiple of the rating, in seconds: that of the nearest gate at or above it.
///
/// Nothing above the highest gate with a shortest time.
///
/// # Examples
///
/// ```
/// # use cellwright::data::fuse::BLADE_GATES;
/// # use cellwright::part::fuse::shortest_s;
/// assert_eq!(shortest_s(&BLADE_GATES, 1.8), Some(0.15));
/// assert_eq!(shortest_s(&BLADE_GATES, 3.6), None);
/// ```
#[must_use]
pub fn shortest_s(gates: &[Gate], multiple_ratio: f64) -> Option<f64> {
    gates.iter().filter(|gate| gate.multiple_ratio >= multiple_ratio).find_map(|gate| gate.shortest_s)
}

/// Share of the melting I²·t that each of so many pulses may have; nothing beyond the published count.
///
/// # Examples
///
/// ```
/// # use cellwright::part::fuse::pulse_share_ratio;
/// assert_eq!(pulse_share_ratio(5000.0), Some(0.29));
/// assert_eq!(pulse_share_ratio(1e6), None);
/// ```
#[must_use]
pub fn pulse_share_ratio(pulses: f64) -> Option<f64> {
    PULSES.iter().find(|[most, _]| pulses <= *most).map(|[_, ratio]| *ratio)
}

/// Shape of a pulse of current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PulseShape {
    /// The same current all the time.
    Rectangle,
    /// Half a sine wave.
    HalfSine,
    /// Straight up and straight down, or one of both.
    Triangle,
    /// Falling by e in each `time_s`, as the rush into a capacitor does.
    Decay,
}

/// I²·t of one pulse with that peak, in A²·s: the integral of the squared current.
///
/// # Examples
///
/// ```
/// # use cellwright::part::fuse::{PulseShape, pulse_a2s};
/// assert_eq!(pulse_a2s(20.0, 0.01, PulseShape::Rectangle), 4.0);
/// assert_eq!(pulse_a2s(20.0, 0.01, PulseShape::HalfSine), 2.0);
/// ```
#[must_use]
pub fn pulse_a2s(peak_a: f64, time_s: f64, shape: PulseShape) -> f64 {
    let share = match shape {
        PulseShape::Rectangle => 1.0,
        PulseShape::HalfSine | PulseShape::Decay => 0.5,
        PulseShape::Triangle => 1.0 / 3.0,
    };
    peak_a * peak_a * time_s * share
}

/// Current that a tripped resettable fuse still lets through, in amperes; nothing above its voltage or at none.
///
/// # Examples
///
/// ```
/// # use cellwright::data::fuse::RESETTABLE_1A2;
/// # use cellwright::part::fuse::tripped_a;
/// assert!((tripped_a(&RESETTABLE_1A2, 12.0).unwrap() - 0.065).abs() < 1e-9);
/// assert_eq!(tripped_a(&RESETTABLE_1A2, 40.0), None);
/// ```
#[must_use]
pub fn tripped_a(row: &ResettableRow, supply_v: f64) -> Option<f64> {
    (supply_v > 0.0 && supply_v <= row.high_v).then(|| row.tripped_w / supply_v)
}

wordings! {
    OPEN: "fuse_open", "Not judged: {0}";
    OPEN_AND: "fuse_open_and", "{0}; {1}";
    OPEN_SURGE: "fuse_open_surge", "whether it holds the surge";
    OPEN_BREAKS: "fuse_open_breaks", "whether it breaks the largest fault at direct current";
    OPEN_OPENS: "fuse_open_opens", "whether the smallest fault opens it";
}
