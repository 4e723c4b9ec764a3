//! What one measures on the bench, with what, and how far the meter may be off.
//!
//! ```text
//! shown = true · (1 + g) + e,   |g| ≤ reading_ratio,   |e| ≤ digits · step
//! ```
//!
//! As in [`crate::part::measure`]: g is one number for all readings on one range, e another in each. A meter on a
//! direct-current range shows the mean of a chopped voltage whether or not it reads true RMS on its alternating
//! ranges; a frequency or duty is read at the timer's output, never at the load. Source: common practice, no source.

use super::points::TestPoint as At;
use crate::error::{Check, Error};
use crate::part::measure::{Ammeter, Voltmeter};
use crate::part::timing::Circuit;
use crate::plan::Plan;
use crate::quantity::Interval;
use crate::quantity::said::{Filling, Phrase, Wording, wordings};
use crate::run::build::Piece;
use alloc::string::String;

/// One reading of the bench list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum Measure {
    /// Resistance over the fuse in its holder, nothing powered.
    FuseOhm,
    /// Resistance over the closed main switch, nothing powered.
    SwitchOhm,
    /// Resistance of a load at its unplugged ends.
    LoadOhm {
        /// Number of the load, from 1.
        load: usize,
    },
    /// Diode test over the flyback diode, loads unplugged: red on load minus, black on load plus.
    FlybackDiodeV,
    /// Balance tap against pack minus, board not plugged in.
    TapV {
        /// Number of the tap, from 1.
        group: usize,
    },
    /// Pack plus against pack minus.
    PackV,
    /// The charger's plug before it ever meets the jack.
    JackV,
    /// Supply behind the limiting resistor, loads unplugged.
    LimitedV,
    /// Current with the main switch off.
    OffA,
    /// Supply of the controller or the loads at full power.
    SupplyV {
        /// Setting: 0 for the plan's own, 1 for the first position of its list.
        setting: usize,
    },
    /// Mean voltage over the loads.
    LoadV {
        /// Setting, as above.
        setting: usize,
    },
    /// Mean current.
    CurrentA {
        /// Setting, as above.
        setting: usize,
    },
    /// Mean current with one load alone, the others unplugged, at the plan's own setting.
    LoadAloneA {
        /// Number of the load, from 1.
        load: usize,
    },
    /// Frequency at the timer's output.
    FrequencyHz {
        /// Setting, as above.
        setting: usize,
    },
    /// Duty at the timer's output.
    DutyRatio {
        /// Setting, as above.
        setting: usize,
    },
    /// Voltage of a group under load, tap to tap.
    GroupV {
        /// Setting, as above.
        setting: usize,
        /// Number of the group, from 1.
        group: usize,
    },
    /// Voltage lost on the strip and joint before a group, under load.
    LinkV {
        /// Setting, as above.
        setting: usize,
        /// Number of the group, from 1.
        group: usize,
    },
    /// Voltage lost on one piece of the current's way.
    DropV {
        /// Setting, as above.
        setting: usize,
        /// The piece.
        piece: Piece,
    },
    /// Voltage over the transistor while its gate is held at the controller's plus through 1 kΩ, the timer out.
    HeldV,
    /// Whether a load turns: 1 the right way, −1 the wrong way, 0 not at all.
    TurnsCount {
        /// Number of the load, from 1.
        load: usize,
    },
    /// Resistance of the knob from end to end, or of the timing resistor, nothing powered and the timer out.
    KnobOhm,
    /// Diode test over a diode of the knob, nothing powered; asked for when needed.
    KnobDiodeV {
        /// The one of the charging half; otherwise of the discharging half.
        charging: bool,
    },
    /// The timing capacitor with one leg lifted; asked for when needed.
    CapacitorF,
}

/// When in the order of work a reading is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum BenchStage {
    /// Nothing is powered: fuse out, board and loads unplugged.
    Unpowered,
    /// The pack alone, board not plugged in.
    Pack,
    /// The charger alone.
    Charger,
    /// Power through a limiting resistor in place of the fuse.
    Limited,
    /// Full power.
    Full,
    /// Only when the readings before leave a doubt.
    WhenNeeded,
}

/// How current is read.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum BenchCurrent {
    /// A shunt in the lead back, read in millivolts.
    Shunt {
        /// Its resistance, in ohms.
        shunt_ohm: Interval,
    },
    /// The meter's own 10 A jack.
    Meter {
        /// Resistance of meter and leads on that jack, in ohms.
        burden_ohm: Interval,
        /// Accuracy on that range.
        ammeter: Ammeter,
    },
}

/// Accuracy of an ohmmeter on the range that is used.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Ohmmeter {
    /// The ± % of the reading, as a ratio.
    pub reading_ratio: f64,
    /// The ± digits: how many of the smallest step.
    pub digits: f64,
    /// Smallest step shown, in ohms.
    pub step_ohm: f64,
}

/// The maker's meter.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BenchMeter {
    /// On the 20 V range.
    pub volts: Voltmeter,
    /// On the 200 mV range.
    pub millivolts: Voltmeter,
    /// On the 200 Ω range.
    pub ohms: Ohmmeter,
    /// On the milliampere range.
    pub milliamperes: Ammeter,
    /// The ± % of a frequency, as a ratio.
    pub frequency_error_ratio: f64,
    /// The ± of a duty, as a share of the period.
    pub duty_error_ratio: f64,
    /// How current is read.
    pub current_by: BenchCurrent,
}

impl BenchMeter {
    /// A cheap meter with 2000 counts and a 10 A jack. Common practice, no source.
    pub const CHEAP: Self = Self {
        volts: Voltmeter { reading_ratio: 0.005, digits: 2.0, step_v: 0.01 },
        millivolts: Voltmeter { reading_ratio: 0.005, digits: 3.0, step_v: 0.0001 },
        ohms: Ohmmeter { reading_ratio: 0.008, digits: 5.0, step_ohm: 0.1 },
        milliamperes: Ammeter { reading_ratio: 0.012, digits: 3.0, step_a: 0.0001 },
        frequency_error_ratio: 0.01,
        duty_error_ratio: 0.02,
        current_by: BenchCurrent::Meter {
            burden_ohm: Interval { low: 0.01, likely: 0.03, high: 0.1 },
            ammeter: Ammeter { reading_ratio: 0.02, digits: 5.0, step_a: 0.01 },
        },
    };

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("volts", |check| self.volts.check(check));
        check.inside("millivolts", |check| self.millivolts.check(check));
        check.inside("ohms", |check| {
            check.within("reading_ratio", self.ohms.reading_ratio, 0.0, 0.2);
            check.within("digits", self.ohms.digits, 0.5, 100.0);
            check.within("step_ohm", self.ohms.step_ohm, 1e-6, 10.0);
        });
        check.inside("milliamperes", |check| self.milliamperes.check(check));
        check.within("frequency_error_ratio", self.frequency_error_ratio, 1e-6, 0.2);
        check.within("duty_error_ratio", self.duty_error_ratio, 1e-5, 0.2);
        check.inside("current_by", |check| match self.current_by {
            BenchCurrent::Shunt { shunt_ohm } => {
                check.inside("shunt", |check| shunt_ohm.note(check, "shunt_ohm", 1e-5, 1.0));
            }
            BenchCurrent::Meter { burden_ohm, ammeter } => check.inside("meter", |check| {
                burden_ohm.note(check, "burden_ohm", 0.0, 10.0);
                check.inside("ammeter", |check| ammeter.check(check));
            }),
        });
    }

    /// Resistance that reading the current puts into its way.
    pub(super) fn burden_ohm(&self) -> Interval {
        match self.current_by {
            BenchCurrent::Shunt { shunt_ohm } => shunt_ohm,
            BenchCurrent::Meter { burden_ohm, .. } => burden_ohm,
        }
    }

    /// How far a reading of about `value` may be off.
    pub(super) fn accuracy(&self, measure: Measure, value: f64) -> Accuracy {
        let volts = |meter: &Voltmeter, gain| Accuracy::new(gain, meter.reading_ratio, meter.error_v());
        let voltage = |value: f64| {
            if libm::fabs(value) < 0.19 { volts(&self.millivolts, 1) } else { volts(&self.volts, 0) }
        };
        match measure {
            Measure::FuseOhm | Measure::SwitchOhm | Measure::LoadOhm { .. } | Measure::KnobOhm => {
                // Above its lowest range the meter's step grows with the range.
                let step = self.ohms.step_ohm.max(value * 1e-3);
                Accuracy::new(2, self.ohms.reading_ratio, self.ohms.digits * step)
            }
            Measure::OffA => {
                let meter = &self.milliamperes;
                Accuracy::new(4, 0.0, meter.digits * meter.step_a + meter.reading_ratio * value)
            }
            Measure::CurrentA { .. } | Measure::LoadAloneA { .. } => match self.current_by {
                BenchCurrent::Shunt { shunt_ohm } => {
                    let ohm = shunt_ohm.likely;
                    let own = (shunt_ohm.high - shunt_ohm.low) / (2.0 * ohm);
                    Accuracy::new(3, self.millivolts.reading_ratio + own, self.millivolts.error_v() / ohm)
                }
                BenchCurrent::Meter { ammeter, .. } => {
                    Accuracy::new(3, ammeter.reading_ratio, ammeter.digits * ammeter.step_a)
                }
            },
            Measure::FrequencyHz { .. } => Accuracy::new(4, 0.0, self.frequency_error_ratio * value),
            Measure::DutyRatio { .. } => Accuracy::new(4, 0.0, self.duty_error_ratio),
            Measure::TurnsCount { .. } => Accuracy::new(4, 0.0, 0.1),
            Measure::CapacitorF => Accuracy::new(4, 0.0, 0.04 * value),
            Measure::DropV { .. } | Measure::LinkV { .. } | Measure::HeldV => voltage(value),
            _ => volts(&self.volts, 0),
        }
    }
}

/// How far a reading may be off: a gain shared by its range, and a rest of its own.
#[derive(Clone, Copy, Debug)]
pub(super) struct Accuracy {
    /// Which range: 0 volts, 1 millivolts, 2 ohms, 3 current, 4 none.
    pub(super) range: usize,
    pub(super) gain_ratio: f64,
    pub(super) rest: f64,
}

impl Accuracy {
    fn new(range: usize, gain_ratio: f64, rest: f64) -> Self {
        Self { range, gain_ratio, rest }
    }

    /// Everything together at a value.
    pub(super) fn whole(&self, value: f64) -> f64 {
        self.gain_ratio * libm::fabs(value) + self.rest
    }
}

impl Measure {
    /// When it is taken.
    #[must_use]
    pub fn stage(self) -> BenchStage {
        match self {
            Self::FuseOhm | Self::SwitchOhm | Self::LoadOhm { .. } | Self::FlybackDiodeV | Self::KnobOhm => {
                BenchStage::Unpowered
            }
            Self::TapV { .. } | Self::PackV => BenchStage::Pack,
            Self::JackV => BenchStage::Charger,
            Self::LimitedV | Self::OffA => BenchStage::Limited,
            Self::KnobDiodeV { .. } | Self::CapacitorF => BenchStage::WhenNeeded,
            _ => BenchStage::Full,
        }
    }

    /// Unit of the reading as a field-name ending.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self {
            Self::FuseOhm | Self::SwitchOhm | Self::LoadOhm { .. } | Self::KnobOhm => "ohm",
            Self::OffA | Self::CurrentA { .. } | Self::LoadAloneA { .. } => "a",
            Self::FrequencyHz { .. } => "hz",
            Self::DutyRatio { .. } => "ratio",
            Self::TurnsCount { .. } => "count",
            Self::CapacitorF => "f",
            _ => "v",
        }
    }

    /// Setting it is taken at.
    #[must_use]
    pub fn setting(self) -> Option<usize> {
        match self {
            Self::SupplyV { setting }
            | Self::LoadV { setting }
            | Self::CurrentA { setting }
            | Self::FrequencyHz { setting }
            | Self::DutyRatio { setting }
            | Self::GroupV { setting, .. }
            | Self::LinkV { setting, .. }
            | Self::DropV { setting, .. } => Some(setting),
            _ => None,
        }
    }

    /// Where the red and the black probe go on the build of a plan; none where no probe is used.
    #[must_use]
    pub fn probes(self, plan: &Plan) -> Option<Probes> {
        let has_board = plan.protection.as_ref().is_some_and(|held| held.board().is_some());
        let has_fuse = plan.fuse.as_ref().is_some_and(|fuse| fuse.fitted().is_some());
        let has_control = plan.control.is_some();
        let minus = if has_board { At::BoardMinus } else { At::PackMinus };
        // Without a fuse the resistor of the first power sits in the lead at pack plus.
        let before_switch = if has_fuse { At::AfterFuse } else { At::PackPlus };
        let tap = |group: usize| if group == 0 { At::PackMinus } else { At::Tap { group } };
        let (red, black) = match self {
            Self::FuseOhm => (At::PackPlus, At::AfterFuse),
            Self::SwitchOhm => (before_switch, At::AfterSwitch),
            Self::LoadOhm { .. } | Self::LoadV { .. } => (At::LoadPlus, At::LoadMinus),
            Self::FlybackDiodeV => (At::LoadMinus, At::LoadPlus),
            Self::TapV { group } => (tap(group), At::PackMinus),
            Self::PackV => (At::PackPlus, At::PackMinus),
            Self::JackV => (At::JackPlus, At::JackMinus),
            Self::LimitedV => (if has_fuse { At::AfterFuse } else { At::AfterSwitch }, minus),
            Self::OffA if has_fuse => (At::PackPlus, At::AfterFuse),
            Self::SupplyV { .. } if has_control => (At::ControllerPlus, At::ControllerMinus),
            Self::SupplyV { .. } => (At::AfterSwitch, minus),
            Self::CurrentA { .. } | Self::LoadAloneA { .. } => (At::ShuntLoadSide, At::ShuntPackSide),
            Self::FrequencyHz { .. } | Self::DutyRatio { .. } => (At::TimerOutput, At::ControllerMinus),
            Self::GroupV { group, .. } => (tap(group), tap(group.saturating_sub(1))),
            Self::LinkV { group, .. } => (tap(group.saturating_sub(1)), At::CellMinus { group }),
            Self::DropV { piece, .. } => match piece {
                Piece::FuseWay => (At::PackPlus, At::AfterFuse),
                Piece::MainSwitch => (before_switch, At::AfterSwitch),
                Piece::PlusLead => (At::AfterSwitch, At::LoadPlus),
                Piece::Transistor => (At::LoadMinus, At::ControllerMinus),
                Piece::MinusLead if has_control => (At::ControllerMinus, At::ShuntLoadSide),
                Piece::MinusLead => (At::LoadMinus, At::ShuntLoadSide),
                Piece::Shunt => (At::ShuntLoadSide, At::ShuntPackSide),
                Piece::Board => (At::BoardMinus, At::PackMinus),
            },
            Self::HeldV => (At::LoadMinus, At::ControllerMinus),
            Self::KnobOhm => knob_probes(plan)?,
            Self::KnobDiodeV { charging: true } => (At::TimerDischarge, At::KnobCharge),
            Self::KnobDiodeV { charging: false } => (At::KnobDischarge, At::TimerDischarge),
            Self::OffA | Self::TurnsCount { .. } | Self::CapacitorF => return None,
        };
        Some(Probes { red, black })
    }

    pub(super) fn is_resistance(self) -> bool {
        self.unit() == "ohm"
    }

    /// Whether the meter shows nothing where the path is open.
    pub(super) fn opens(self) -> bool {
        self.is_resistance() || matches!(self, Self::FlybackDiodeV | Self::KnobDiodeV { .. })
    }

    /// Name of one reading, unique in a list.
    #[must_use]
    pub fn words(self) -> String {
        self.phrase().words
    }

    /// Name of one reading.
    pub(super) fn phrase(self) -> Phrase {
        let of = |wording: Wording, which: usize| wording.with([Filling::count(which)]);
        let name = match self {
            Self::FuseOhm => FUSE_OHM.plain(),
            Self::SwitchOhm => SWITCH_OHM.plain(),
            Self::LoadOhm { load } => of(LOAD_OHM, load),
            Self::FlybackDiodeV => FLYBACK.plain(),
            Self::TapV { group } => of(TAP, group),
            Self::PackV => PACK.plain(),
            Self::JackV => JACK.plain(),
            Self::LimitedV => LIMITED.plain(),
            Self::OffA => OFF.plain(),
            Self::SupplyV { .. } => SUPPLY.plain(),
            Self::LoadV { .. } => LOAD_V.plain(),
            Self::CurrentA { .. } => CURRENT.plain(),
            Self::LoadAloneA { load } => of(ALONE, load),
            Self::FrequencyHz { .. } => FREQUENCY.plain(),
            Self::DutyRatio { .. } => DUTY.plain(),
            Self::GroupV { group, .. } => of(GROUP, group),
            Self::LinkV { group, .. } => of(LINK, group),
            Self::DropV { piece, .. } => DROP.with([piece_words(piece).into()]),
            Self::HeldV => HELD.plain(),
            Self::TurnsCount { load } => of(TURNS, load),
            Self::KnobOhm => KNOB.plain(),
            Self::KnobDiodeV { charging: true } => CHARGE_DIODE.plain(),
            Self::KnobDiodeV { charging: false } => DISCHARGE_DIODE.plain(),
            Self::CapacitorF => CAPACITOR.plain(),
        };
        match self.setting() {
            Some(setting) => AT_SETTING.with([name.into(), Filling::count(setting)]),
            None => name,
        }
    }

    /// Notes a place that the build does not have.
    pub(super) fn check(self, check: &mut Check, all: &[Self]) {
        if !all.contains(&self) {
            check.note(Error::other("measure", self.words(), "a reading of this build's bench list"));
        }
    }
}

/// Where both probes go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Probes {
    /// Red probe.
    pub red: At,
    /// Black probe.
    pub black: At,
}

/// Ends of the knob, or of the resistor between discharge pin and capacitor.
fn knob_probes(plan: &Plan) -> Option<(At, At)> {
    match plan.control.as_ref()?.timer.circuit {
        Circuit::DiodeSteered(_) => Some((At::KnobCharge, At::KnobDischarge)),
        Circuit::TwoResistor(_) => Some((At::TimerDischarge, At::TimerCapacitor)),
        Circuit::ThresholdRamp(_) => None,
    }
}

fn piece_words(piece: Piece) -> Wording {
    match piece {
        Piece::FuseWay => FUSE_WAY,
        Piece::MainSwitch => MAIN_SWITCH,
        Piece::PlusLead => PLUS_LEAD,
        Piece::Transistor => TRANSISTOR,
        Piece::MinusLead => MINUS_LEAD,
        Piece::Shunt => SHUNT,
        Piece::Board => BOARD,
    }
}

wordings! {
    FUSE_OHM: "measure_fuse", "resistance of the fuse";
    SWITCH_OHM: "measure_switch", "resistance of the closed main switch";
    LOAD_OHM: "measure_load", "resistance of load {0}, unplugged";
    FLYBACK: "measure_flyback", "diode test of the flyback diode, loads unplugged";
    TAP: "measure_tap", "tap {0} against pack minus";
    PACK: "measure_pack", "pack plus against pack minus";
    JACK: "measure_jack", "plug of the charger, not plugged in";
    LIMITED: "measure_limited", "supply behind the limiting resistor, loads unplugged";
    OFF: "measure_off", "current with the main switch off, the meter in place of the limiting resistor at pack plus";
    SUPPLY: "measure_supply", "supply under load";
    LOAD_V: "measure_load_v", "mean voltage over the loads";
    CURRENT: "measure_current", "mean current";
    ALONE: "measure_alone", "mean current of load {0} alone, the others unplugged";
    FREQUENCY: "measure_frequency", "frequency at the timer's output";
    DUTY: "measure_duty", "duty at the timer's output";
    GROUP: "measure_group", "group {0} under load";
    LINK: "measure_link", "drop on the joint before group {0}";
    DROP: "measure_drop", "drop on {0}";
    HELD: "measure_held", "transistor held on: main switch off, timer out, 1 kΩ from T7 to T11, main switch on";
    TURNS: "measure_turns", "whether load {0} turns: 1, wrong way −1, not 0";
    KNOB: "measure_knob", "knob from end to end, or the timing resistor, timer out";
    CHARGE_DIODE: "measure_charge_diode", "diode test of the knob's charging diode";
    DISCHARGE_DIODE: "measure_discharge_diode", "diode test of the knob's discharging diode";
    CAPACITOR: "measure_capacitor", "timing capacitor, one leg lifted";
    AT_SETTING: "measure_at_setting", "{0}, setting {1}";
    FUSE_WAY: "piece_fuse_way", "fuse and holder";
    MAIN_SWITCH: "piece_main_switch", "the main switch";
    PLUS_LEAD: "piece_plus_lead", "the lead to the loads";
    TRANSISTOR: "piece_transistor", "the transistor";
    MINUS_LEAD: "piece_minus_lead", "the lead back";
    SHUNT: "piece_shunt", "the shunt";
    BOARD: "piece_board", "the protection board";
}
