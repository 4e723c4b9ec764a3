//! What a chopped load takes and does at a voltage and a duty.
//!
//! ```text
//! brushed, current never stops   mean voltage u = duty·v, speed ∝ u,  on_a = power(speed) / u
//! not known to be so             low as above; likely as a resistance chopped; high: the unchopped mean current
//! never stops where              v·duty·(1 − duty) / (motor_h·frequency) / 2 ≤ on_a
//! ```
//!
//! A brushed motor whose current stops in the pauses turns faster than its mean voltage says, up to its speed without
//! chopping: no speed is told then, and the high end takes the current of full speed. A blower with electronics of its
//! own has no law at all: its measured curve is read, and nothing is told beside it. Source: first principles; affinity
//! laws.

use crate::error::{Check, Error};
use crate::part::blower::{Blower, BlowerDrive, SPEED_HIGH_RATIO, SPEED_LOW_RATIO};
use crate::part::converter::Converter;
use crate::part::led::LedStrings;
use crate::part::load::{Draw, LoadCircuit};
use crate::part::motor::MotorConstants;
use crate::part::pump::{Flow, Pump, PumpKind};
use crate::quantity::root::sqrt;
use crate::quantity::{End, Interval};
use crate::run::brushless_pump::{BrushlessPump, electronics_a};
use alloc::vec::Vec;

/// The current with a held shaft that is taken where the resistance is not known, as a multiple of the running current:
/// common practice, no source.
const HELD_MOST: f64 = 6.0;

/// Torque that a motor's load asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum ShaftLoad {
    /// The same torque at every speed.
    Constant {
        /// Torque, in newton metres.
        torque_nm: Interval,
    },
    /// A wheel in air or water: torque grows with the square of the speed.
    Square {
        /// Torque at `turns_per_minute`, in newton metres.
        torque_nm: Interval,
        /// Speed of that torque, in turns per minute.
        turns_per_minute: f64,
    },
}

/// A motor with its load.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LoadedMotor {
    /// The motor.
    pub motor: MotorConstants,
    /// Its inductance, in henries.
    pub motor_h: Option<f64>,
    /// What it turns.
    pub shaft: ShaftLoad,
}

/// What the switch drives.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum Machine {
    /// A blower.
    Blower(Blower),
    /// A pump whose motor has brushes.
    Pump(Pump),
    /// A pump with electronics of its own.
    BrushlessPump(BrushlessPump),
    /// A brushed motor with what it turns.
    Motor(LoadedMotor),
    /// LEDs.
    Led(LedStrings),
    /// Something behind a converter.
    Converter(Converter),
    /// One or more loads of which only the draw is known, as from a label: their currents while on.
    Labels {
        /// What each of them draws.
        draws: Vec<Draw>,
    },
    /// Electronics that take the same power at every voltage.
    Electronics {
        /// Power while on, in watts.
        power_w: Interval,
    },
    /// A resistance.
    Heater {
        /// Resistance, in ohms.
        resistance_ohm: Interval,
    },
}

/// How equal loads are joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum LoadArrangement {
    /// Each has the whole voltage.
    Parallel,
    /// They share the voltage evenly.
    Series,
}

/// Equal loads behind one switch.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Driven {
    /// One of them.
    pub machine: Machine,
    /// How many there are.
    pub count: u32,
    /// How they are joined.
    pub joined: LoadArrangement,
    /// Mean voltage at which one of them starts from rest, in volts.
    pub start_v: Option<Interval>,
    /// Mean voltage down to which a turning one keeps turning, in volts.
    pub hold_v: Option<Interval>,
    /// Current of one at switching on, in amperes.
    pub surge_a: Option<f64>,
    /// Supply under which they switch themselves off, in volts.
    pub drop_out_v: Option<f64>,
}

/// Voltage, duty and frequency at the loads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Chopping {
    pub(crate) supply_v: f64,
    pub(crate) duty: f64,
    pub(crate) frequency_hz: f64,
}

/// What one load takes at a voltage and a duty.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Taken {
    /// Current while on, in amperes, by end.
    on_a: [f64; 3],
    /// Speed against full speed.
    pub(crate) speed_ratio: Option<f64>,
    /// Speed, in turns per minute.
    pub(crate) turns_per_minute: Option<f64>,
    pub(crate) flow: Option<Flow>,
    /// Whether the current is known never to stop.
    pub(crate) continuous: Option<bool>,
    /// Whether it is on all the time, whatever the duty.
    steady: bool,
}

impl Taken {
    fn at(&self, end: End) -> f64 {
        let [low, likely, high] = self.on_a;
        match end {
            End::Low => low,
            End::Likely => likely,
            End::High => high,
        }
    }

    fn of(on_a: Interval) -> Self {
        Self { on_a: [on_a.low, on_a.likely, on_a.high], ..Self::default() }
    }
}

impl Driven {
    pub(crate) fn check(&self, check: &mut Check) {
        check.within("count", f64::from(self.count), 1.0, 100.0);
        check.inside("machine", |check| self.machine.check(check));
        for (field, value) in [("start_v", self.start_v), ("hold_v", self.hold_v)] {
            if let Some(value) = value {
                value.note(check, field, 0.0, 60.0);
            }
        }
        for (field, value, high) in [("surge_a", self.surge_a, 10000.0), ("drop_out_v", self.drop_out_v, 60.0)] {
            if let Some(value) = value {
                check.within(field, value, 0.0, high);
            }
        }
    }

    fn series(&self) -> f64 {
        if self.joined == LoadArrangement::Series { f64::from(self.count) } else { 1.0 }
    }

    fn strings(&self) -> f64 {
        if self.joined == LoadArrangement::Parallel { f64::from(self.count) } else { 1.0 }
    }

    /// What one of them takes; none where nothing is known at this duty.
    pub(crate) fn taken(&self, at: Chopping) -> Option<Taken> {
        self.machine.taken(Chopping { supply_v: at.supply_v / self.series(), ..at })
    }

    /// Mean voltage of one of them, in volts.
    pub(crate) fn mean_v(&self, at: Chopping) -> f64 {
        at.duty * at.supply_v / self.series()
    }

    /// All of them as a power law of the supply between the full and the empty pack.
    ///
    /// It goes through the current at the full pack. The high end is no less than the current at any supply in between,
    /// though a string that goes dark or a pump that no longer lifts falls ever faster; the likely one meets the current
    /// in the middle, the low end that of the empty pack.
    pub(crate) fn circuit(&self, at: Chopping, empty_v: f64, end: End) -> Option<LoadCircuit> {
        let full = self.taken(at)?;
        let full_a = full.at(end) * self.strings();
        let looked: &[usize] = match end {
            End::Low => &[SUPPLIES],
            End::Likely => &[SUPPLIES / 2, SUPPLIES],
            End::High => &[1, 2, 3, 4, 5, 6, 7, SUPPLIES],
        };
        let point = |step: &usize| {
            let supply_v = at.supply_v + (empty_v - at.supply_v) * *step as f64 / SUPPLIES as f64;
            Some((supply_v, self.taken(Chopping { supply_v, ..at })?.at(end) * self.strings()))
        };
        let points = looked.iter().map(point).collect::<Option<Vec<_>>>()?;
        let met = growth(at.supply_v, full_a, &points);
        let growth = if end == End::High { met.max(GROWTH_LEAST) } else { met };
        let over = |(supply_v, current_a): &(f64, f64)| {
            let law_a = full_a * libm::pow(supply_v / at.supply_v, growth);
            if law_a > 0.0 { current_a / law_a } else { 1.0 }
        };
        let most_ratio = if end == End::High { points.iter().map(over).fold(1.0, f64::max) } else { 1.0 };
        // The last bit of a law that is met is no excess.
        let current_a = if most_ratio > 1.0 + 1e-9 { full_a * most_ratio } else { full_a };
        let duty = if full.steady { 1.0 } else { at.duty };
        let drop_out_v = self.drop_out_v.unwrap_or(0.0);
        Some(LoadCircuit { current_a, at_v: at.supply_v, exponent: 1.0 + growth, duty, drop_out_v })
    }

    /// Mean voltage at which one starts, in volts.
    pub(crate) fn start_v(&self) -> Option<Interval> {
        self.start_v.or_else(|| self.machine.turning_v())
    }

    /// Resistance of all of them with their shafts held, in ohms.
    pub(crate) fn held_ohm(&self) -> Option<Interval> {
        let one = self.machine.held_ohm()?;
        let scale = self.series() / self.strings();
        Some(Interval { low: one.low * scale, likely: one.likely * scale, high: one.high * scale })
    }

    /// Largest current of one LED at a supply, in amperes.
    pub(crate) fn led_high_a(&self, led: &LedStrings, supply_v: f64) -> f64 {
        led.worked(supply_v / self.series()).high / f64::from(led.strings.max(1))
    }

    /// Current of all of them at switching on, in amperes.
    pub(crate) fn surge_a(&self) -> Option<f64> {
        self.surge_a.map(|surge_a| surge_a * self.strings())
    }
}

/// How many supplies between the full and the empty pack a load is looked at.
const SUPPLIES: usize = 8;

/// Least growth of a current with the supply: the same power at every supply.
const GROWTH_LEAST: f64 = -1.0;

/// Growth of the current with the supply by which a power law through the full pack lies on or above all of the points.
fn growth(full_v: f64, full_a: f64, points: &[(f64, f64)]) -> f64 {
    // A string that goes dark on the way: steep, but finite.
    let through = |(supply_v, current_a): &(f64, f64)| {
        let span = libm::log(full_v / supply_v);
        if span > 1e-6 && full_a > 0.0 { libm::log(full_a / current_a.max(1e-6 * full_a)) / span } else { 0.0 }
    };
    points.iter().map(through).fold(f64::INFINITY, f64::min)
}

impl Machine {
    fn check(&self, check: &mut Check) {
        match self {
            Self::Blower(blower) => check.inside("blower", |check| blower.check(check)),
            Self::Pump(pump) => check.inside("pump", |check| pump.check(check)),
            Self::BrushlessPump(pump) => check.inside("brushless_pump", |check| pump.check(check)),
            Self::Motor(motor) => check.inside("motor", |check| motor.check(check)),
            Self::Led(led) => check.inside("led", |check| led.check(check)),
            Self::Converter(converter) => check.inside("converter", |check| converter.check(check)),
            Self::Labels { draws } => check.inside("labels", |check| {
                if !(1..=20).contains(&draws.len()) {
                    check.note(Error::range("draws", draws.len() as f64, 1.0, 20.0));
                }
                for (i, draw) in draws.iter().enumerate() {
                    check.inside("draws", |check| check.inside(i, |check| draw.check(check)));
                }
            }),
            Self::Electronics { power_w } => {
                check.inside("electronics", |check| power_w.note(check, "power_w", 1e-3, 10000.0));
            }
            Self::Heater { resistance_ohm } => {
                check.inside("heater", |check| resistance_ohm.note(check, "resistance_ohm", 1e-3, 1e6));
            }
        }
    }

    fn taken(&self, at: Chopping) -> Option<Taken> {
        match self {
            Self::Blower(blower) => blower_taken(blower, at),
            Self::Pump(pump) => Some(pump_taken(pump, at)),
            Self::BrushlessPump(pump) => brushless_taken(pump, at),
            Self::Motor(motor) => Some(motor.taken(at)),
            Self::Led(led) => Some(Taken::of(led.worked(at.supply_v))),
            Self::Converter(converter) => Some(Taken::of(Interval::exact(converter.worked_w() / at.supply_v))),
            Self::Labels { draws } => {
                let on_a = |end| draws.iter().map(|draw| draw.circuit(end).current(at.supply_v).0).sum();
                Some(Taken { on_a: [on_a(End::Low), on_a(End::Likely), on_a(End::High)], ..Taken::default() })
            }
            Self::Electronics { power_w } => Some(Taken::of(scaled(*power_w, 1.0 / at.supply_v))),
            Self::Heater { resistance_ohm: ohm } => {
                let v = at.supply_v;
                Some(Taken::of(Interval { low: v / ohm.high, likely: v / ohm.likely, high: v / ohm.low }))
            }
        }
    }

    /// Mean voltage that overcomes friction and a constant torque.
    fn turning_v(&self) -> Option<Interval> {
        let Self::Motor(LoadedMotor { motor, shaft, .. }) = self else { return None };
        let torque_nm = match shaft {
            ShaftLoad::Constant { torque_nm } => *torque_nm,
            ShaftLoad::Square { .. } => Interval::exact(0.0),
        };
        let (ohm, k, free_a) = (motor.motor_ohm, motor.volt_second, motor.no_load_a);
        Some(Interval {
            low: ohm.low * (free_a.low + torque_nm.low / k.high),
            likely: ohm.likely * (free_a.likely + torque_nm.likely / k.likely),
            high: ohm.high * (free_a.high + torque_nm.high / k.low),
        })
    }

    fn held_ohm(&self) -> Option<Interval> {
        match self {
            Self::Blower(Blower { drive: BlowerDrive::Brushed(winding), .. }) => winding.motor_ohm,
            Self::Pump(pump) => pump.motor_ohm,
            Self::Motor(motor) => Some(motor.motor.motor_ohm),
            _ => None,
        }
    }

    /// Whether it makes sound by turning.
    pub(crate) fn turns(&self) -> bool {
        matches!(self, Self::Blower(_) | Self::Pump(_) | Self::BrushlessPump(_) | Self::Motor(_))
    }
}

fn scaled(value: Interval, by: f64) -> Interval {
    Interval { low: value.low * by, likely: value.likely * by, high: value.high * by }
}

/// A brushed machine whose power is known over the speed.
struct Brushed {
    power_w: Interval,
    at_v: f64,
    motor_ohm: Option<Interval>,
    motor_h: Option<f64>,
}

impl Brushed {
    /// `power` gives the power over the speed, both against full speed.
    fn taken(&self, at: Chopping, power: impl Fn(f64) -> f64) -> Taken {
        let Chopping { supply_v, duty, .. } = at;
        if duty <= 0.0 {
            return Taken::default();
        }
        let u = duty * supply_v;
        // Under the range of the laws friction keeps the current from falling further.
        let lowest_v = u.max(SPEED_LOW_RATIO * self.at_v);
        let smooth_a = |p: f64| p * power(lowest_v / self.at_v) / lowest_v;
        let full_a = |p: f64| p * power(supply_v / self.at_v) / supply_v;
        let continuous = duty >= 1.0 || self.motor_h.is_some_and(|h| never_stops(at, h, smooth_a(self.power_w.low)));
        if continuous {
            let on_a = [self.power_w.low, self.power_w.likely, self.power_w.high].map(smooth_a);
            return Taken { on_a, continuous: Some(true), speed_ratio: Some(u / self.at_v), ..Taken::default() };
        }
        let most_a = full_a(self.power_w.high);
        let held_a = self.motor_ohm.map_or(HELD_MOST * most_a, |ohm| (supply_v / ohm.low).max(most_a));
        let on_a = [
            smooth_a(self.power_w.low),
            full_a(self.power_w.likely).max(smooth_a(self.power_w.likely)),
            (most_a / duty).min(held_a),
        ];
        Taken { on_a, continuous: self.motor_h.map(|_| false), ..Taken::default() }
    }
}

fn never_stops(at: Chopping, motor_h: f64, mean_a: f64) -> bool {
    0.5 * at.supply_v * at.duty * (1.0 - at.duty) / (motor_h * at.frequency_hz) <= mean_a
}

fn blower_taken(blower: &Blower, at: Chopping) -> Option<Taken> {
    let Blower { power_w, at_v, .. } = *blower;
    let mut taken = match &blower.drive {
        BlowerDrive::Brushed(winding) => {
            Brushed { power_w, at_v, motor_ohm: winding.motor_ohm, motor_h: winding.motor_h }.taken(at, |r| r * r * r)
        }
        BlowerDrive::FourWire => {
            let r = at.duty * at.supply_v / at_v;
            let cube = |p: f64, r: f64| p * r * r * r / at.supply_v;
            // Below the range of the law the high end stays at the power of its lower end.
            let floor_r = r.max(SPEED_LOW_RATIO);
            let on_a = [cube(power_w.low, r), cube(power_w.likely, floor_r), cube(power_w.high, floor_r)];
            Taken { on_a, speed_ratio: Some(r), steady: true, ..Taken::default() }
        }
        BlowerDrive::OwnElectronics(curve) => {
            let point = curve.at(at.duty)?;
            let r = at.supply_v / at_v;
            let on_a = electronics_a(point.mean_a, power_w, r, 2.0);
            Taken { on_a, speed_ratio: Some(point.speed_ratio * r), steady: true, ..Taken::default() }
        }
    };
    taken.speed_ratio = taken.speed_ratio.filter(|r| (SPEED_LOW_RATIO..=SPEED_HIGH_RATIO).contains(r));
    taken.turns_per_minute = taken.speed_ratio.zip(blower.turns_per_minute).map(|(r, full)| r * full);
    let flow = taken.speed_ratio.zip(blower.flow_m3_per_s);
    taken.flow = flow.map(|(r, full)| Flow::Flows { flow_m3_per_s: r * full });
    Some(taken)
}

fn pump_taken(pump: &Pump, at: Chopping) -> Taken {
    let brushed = Brushed { power_w: pump.power_w, at_v: pump.at_v, motor_ohm: pump.motor_ohm, motor_h: pump.motor_h };
    let mut taken = brushed.taken(at, |r| pump.kind.worked(r).power_ratio);
    pumped(&pump.kind, &mut taken);
    taken
}

fn brushless_taken(pump: &BrushlessPump, at: Chopping) -> Option<Taken> {
    let point = pump.curve.at(at.duty)?;
    let r = at.supply_v / pump.at_v;
    let likely_exponent = if matches!(pump.kind, PumpKind::PositiveDisplacement(_)) { 0.0 } else { 2.0 };
    let on_a = electronics_a(point.mean_a, pump.power_w, r, likely_exponent);
    let mut taken = Taken { on_a, speed_ratio: Some(point.speed_ratio * r), steady: true, ..Taken::default() };
    pumped(&pump.kind, &mut taken);
    Some(taken)
}

/// What the water does at the speed, where the laws reach.
fn pumped(kind: &PumpKind, taken: &mut Taken) {
    taken.speed_ratio = taken.speed_ratio.filter(|r| (kind.lowest_ratio()..=SPEED_HIGH_RATIO).contains(r));
    taken.flow = taken.speed_ratio.map(|r| kind.worked(r).flow);
}

impl LoadedMotor {
    fn check(&self, check: &mut Check) {
        check.inside("motor", |check| self.motor.check(check));
        if let Some(motor_h) = self.motor_h {
            check.within("motor_h", motor_h, 1e-8, 100.0);
        }
        check.inside("shaft", |check| match self.shaft {
            ShaftLoad::Constant { torque_nm } => {
                check.inside("constant", |check| torque_nm.note(check, "torque_nm", 0.0, 100.0));
            }
            ShaftLoad::Square { torque_nm, turns_per_minute } => check.inside("square", |check| {
                torque_nm.note(check, "torque_nm", 0.0, 100.0);
                check.within("turns_per_minute", turns_per_minute, 1.0, 200_000.0);
            }),
        });
    }

    fn taken(&self, at: Chopping) -> Taken {
        let u = at.duty * at.supply_v;
        if u <= 0.0 {
            return Taken::default();
        }
        let full = |end: End| self.settled(at.supply_v, end);
        let smooth = |end: End| self.settled(u, end);
        let likely = smooth(End::Likely);
        let continuous = at.duty >= 1.0 || self.motor_h.is_some_and(|h| never_stops(at, h, smooth(End::Low).0));
        if continuous {
            let on_a = [smooth(End::Low).0, likely.0, smooth(End::High).0];
            let speed_ratio = Some(likely.1 / full(End::Likely).1).filter(|r| r.is_finite());
            let turns_per_minute = Some(likely.1 * 60.0 / core::f64::consts::TAU);
            return Taken { on_a, continuous: Some(true), speed_ratio, turns_per_minute, ..Taken::default() };
        }
        let held_a = at.supply_v / self.motor.motor_ohm.low;
        let on_a = [smooth(End::Low).0, full(End::Likely).0.max(likely.0), (full(End::High).0 / at.duty).min(held_a)];
        Taken { on_a, continuous: self.motor_h.map(|_| false), ..Taken::default() }
    }

    /// Current in amperes and speed in radians per second at a mean voltage; the high end draws most.
    fn settled(&self, u: f64, end: End) -> (f64, f64) {
        let ohm = self.motor.motor_ohm.at(end.opposite());
        let k = self.motor.volt_second.at(end.opposite());
        let free_a = self.motor.no_load_a.at(end);
        let held_a = u / ohm;
        match self.shaft {
            ShaftLoad::Constant { torque_nm } => {
                let current_a = (free_a + torque_nm.at(end) / k).min(held_a);
                (current_a, ((u - ohm * current_a) / k).max(0.0))
            }
            ShaftLoad::Square { torque_nm, turns_per_minute } => {
                let omega_at = turns_per_minute * core::f64::consts::TAU / 60.0;
                // ohm·(free + c·ω²/k) + k·ω = u, the positive root.
                let a = ohm * torque_nm.at(end) / (omega_at * omega_at * k);
                let left_v = u - ohm * free_a;
                if left_v <= 0.0 {
                    return (held_a, 0.0);
                }
                let omega = 2.0 * left_v / (k + sqrt(k * k + 4.0 * a * left_v));
                ((u - k * omega) / ohm, omega)
            }
        }
    }
}
