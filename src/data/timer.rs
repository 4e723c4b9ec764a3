//! Thresholds, saturation, drive and limits of timer circuits.

use crate::data::{Seen, Source};
use crate::error::{Check, Error};
use crate::quantity::Interval;
use alloc::format;

/// What the data sheets say about one kind of timer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimerRow {
    /// Lowest supply, in volts.
    pub supply_low_v: f64,
    /// Highest supply, in volts.
    pub supply_high_v: f64,
    /// Where charging ends, as a share of the supply.
    pub threshold_ratio: f64,
    /// Where discharging ends, as a share of the supply.
    pub trigger_ratio: f64,
    /// Voltage of the conducting discharge pin at no current, in volts.
    pub discharge_v: f64,
    /// Resistance of the conducting discharge pin beyond that, in ohms.
    pub discharge_ohm: f64,
    /// Largest current into the discharge pin, in amperes.
    pub discharge_a: f64,
    /// Largest current into the threshold pin, in amperes.
    pub threshold_a: f64,
    /// Highest frequency every part reaches, in hertz.
    pub frequency_hz: f64,
    /// Highest frequency a typical part reaches, in hertz.
    pub frequency_typical_hz: f64,
    /// k of the printed formula f = k / ((ra + 2·rb)·c).
    pub printed_ratio: f64,
    /// Spread of the frequency between parts, as a ratio to both sides.
    pub timing_ratio: f64,
    /// Drift of the frequency with temperature, as a ratio per kelvin.
    pub drift_per_k: f64,
    /// Drift of the frequency with the supply, as a ratio per volt.
    pub drift_per_v: f64,
    /// How far the high output stays below the supply, in volts, up to the current `source_a`.
    pub output_high_drop_v: Interval,
    /// How far the low output stays above zero.
    pub output_low: &'static [OutputPoint],
    /// Current the high output gives, in amperes.
    pub source_a: f64,
    /// Current the low output takes, in amperes.
    pub sink_a: f64,
    /// Supply current at 5 V, in amperes, typical.
    pub supply_at_5_v_a: f64,
    /// Supply current at 15 V, in amperes, typical.
    pub supply_at_15_v_a: f64,
    /// Largest shortening of the period that a capacitor of 0.1 µF on the control pin is said to cause.
    pub control_capacitor_ratio: f64,
    /// What the sheet prints beside what the law needs.
    pub print: &'static TimerPrint,
    /// Where most of the row comes from.
    pub source: Source,
}

/// Figures of a data sheet that the law does not need: what to expect of a typical part, and more points of its pins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimerPrint {
    /// Spread of the frequency of a typical part, as a ratio to both sides.
    pub timing_typical_ratio: f64,
    /// Spread of the pulse of a typical part as a single shot, as a ratio to both sides.
    pub one_shot_typical_ratio: f64,
    /// Drift of the frequency with temperature at some supplies: volts and ratio per kelvin.
    pub drift_at_v: &'static [[f64; 2]],
    /// Drift of the pulse of a single shot with the supply, as a ratio per volt.
    pub one_shot_drift_per_v: f64,
    /// How far the high output stays below the supply, at some currents.
    pub output_high: &'static [OutputPoint],
    /// How far the conducting discharge pin stays above zero.
    pub discharge_points: &'static [OutputPoint],
    /// Lowest and highest voltage of the open control pin, as a share of the supply.
    pub control_ratio: [f64; 2],
    /// Largest supply current at 5 and at 15 V, in amperes.
    pub supply_most_a: [f64; 2],
}

/// One point of an output's voltage over its current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutputPoint {
    /// Current, in amperes.
    pub current_a: f64,
    /// Supply at which the point holds, in volts.
    pub supply_v: f64,
    /// Typical distance from the rail, in volts.
    pub typical_v: f64,
    /// Largest distance from the rail, in volts.
    pub largest_v: f64,
}

const fn point(current_a: f64, supply_v: f64, typical_v: f64, largest_v: f64) -> OutputPoint {
    OutputPoint { current_a, supply_v, typical_v, largest_v }
}

/// Which timer it is.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum TimerPart {
    /// Bipolar: [`BIPOLAR`].
    Bipolar,
    /// CMOS with a strong output low: [`CMOS`].
    Cmos,
    /// CMOS with a weak output both ways: [`LOW_DRIVE_CMOS`].
    LowDriveCmos,
    /// Values from the maker's own data sheet or measurement.
    Own(OwnTimer),
}

/// A timer by values of one's own; what is left out is taken from [`BIPOLAR`].
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OwnTimer {
    /// Lowest supply, in volts.
    pub supply_low_v: f64,
    /// Highest supply, in volts.
    pub supply_high_v: f64,
    /// Voltage of the conducting discharge pin at no current, in volts.
    pub discharge_v: f64,
    /// Resistance of the conducting discharge pin beyond that, in ohms.
    pub discharge_ohm: f64,
    /// Highest frequency the part reaches, in hertz.
    pub frequency_hz: f64,
    /// Where charging ends, as a share of the supply.
    pub threshold_ratio: Option<f64>,
    /// Where discharging ends, as a share of the supply.
    pub trigger_ratio: Option<f64>,
    /// Largest current into the threshold pin, in amperes.
    pub threshold_a: Option<f64>,
    /// How far the high output stays below the supply, in volts.
    pub output_high_drop_v: Option<Interval>,
    /// Current the high output gives, in amperes.
    pub source_a: Option<f64>,
    /// Current the low output takes, in amperes.
    pub sink_a: Option<f64>,
}

impl TimerPart {
    /// The row of this timer.
    #[must_use]
    pub fn row(&self) -> TimerRow {
        match self {
            Self::Bipolar => BIPOLAR,
            Self::Cmos => CMOS,
            Self::LowDriveCmos => LOW_DRIVE_CMOS,
            Self::Own(own) => TimerRow {
                supply_low_v: own.supply_low_v,
                supply_high_v: own.supply_high_v,
                discharge_v: own.discharge_v,
                discharge_ohm: own.discharge_ohm,
                frequency_hz: own.frequency_hz,
                frequency_typical_hz: own.frequency_hz,
                threshold_ratio: own.threshold_ratio.unwrap_or(BIPOLAR.threshold_ratio),
                trigger_ratio: own.trigger_ratio.unwrap_or(BIPOLAR.trigger_ratio),
                threshold_a: own.threshold_a.unwrap_or(BIPOLAR.threshold_a),
                output_high_drop_v: own.output_high_drop_v.unwrap_or(BIPOLAR.output_high_drop_v),
                source_a: own.source_a.unwrap_or(BIPOLAR.source_a),
                sink_a: own.sink_a.unwrap_or(BIPOLAR.sink_a),
                source: OWN_SOURCE,
                ..BIPOLAR
            },
        }
    }

    pub(crate) fn check(&self, check: &mut Check) {
        let Self::Own(own) = self else { return };
        check.inside("own", |check| {
            check.within("supply_low_v", own.supply_low_v, 0.5, 60.0);
            check.within("supply_high_v", own.supply_high_v, 0.5, 60.0);
            check.within("discharge_v", own.discharge_v, 0.0, 2.0);
            check.within("discharge_ohm", own.discharge_ohm, 0.0, 1e4);
            check.within("frequency_hz", own.frequency_hz, 1.0, 1e8);
            let row = self.row();
            check.within("threshold_ratio", row.threshold_ratio, 0.1, 0.95);
            check.within("trigger_ratio", row.trigger_ratio, 0.05, 0.9);
            check.within("threshold_a", row.threshold_a, 0.0, 1e-3);
            row.output_high_drop_v.note(check, "output_high_drop_v", 0.0, 10.0);
            check.within("source_a", row.source_a, 1e-6, 10.0);
            check.within("sink_a", row.sink_a, 1e-6, 10.0);
            if row.trigger_ratio >= row.threshold_ratio {
                check.note(Error::other(
                    "trigger_ratio",
                    format!("{}", row.trigger_ratio),
                    "less than threshold_ratio",
                ));
            }
        });
    }
}

const OWN_SOURCE: Source =
    Source { title: "entered by the maker of the plan", edition: "", place: "", seen: Seen::Original };

const BIPOLAR_PRINT: TimerPrint = TimerPrint {
    timing_typical_ratio: 0.0225,
    one_shot_typical_ratio: 0.01,
    drift_at_v: &[],
    one_shot_drift_per_v: 0.001,
    output_high: &[point(0.1, 15.0, 1.7, 2.25)],
    discharge_points: &[point(0.0045, 4.5, 0.08, 0.2)],
    control_ratio: [9.0 / 15.0, 11.0 / 15.0],
    supply_most_a: [6e-3, 15e-3],
};

/// Bipolar timer, NE555 and LM555.
///
/// Discharge line through 80 mV at 4.5 mA and 180 mV at 15 mA. Output drop: 1.7 V typical and 2.25 V largest at
/// 100 mA; the least, two junctions, from memory. The spread is the largest of the single-shot circuit.
pub const BIPOLAR: TimerRow = TimerRow {
    supply_low_v: 4.5,
    supply_high_v: 16.0,
    threshold_ratio: 2.0 / 3.0,
    trigger_ratio: 1.0 / 3.0,
    discharge_v: 0.18 - 0.015 * (0.1 / 0.0105),
    discharge_ohm: 0.1 / 0.0105,
    discharge_a: 0.2,
    threshold_a: 0.25e-6,
    frequency_hz: 500e3,
    frequency_typical_hz: 500e3,
    printed_ratio: 1.44,
    timing_ratio: 0.03,
    drift_per_k: 150e-6,
    drift_per_v: 0.003,
    output_high_drop_v: Interval { low: 1.2, likely: 1.7, high: 2.25 },
    output_low: &[point(0.01, 15.0, 0.1, 0.25), point(0.05, 15.0, 0.4, 0.75), point(0.1, 15.0, 2.0, 2.5)],
    source_a: 0.1,
    sink_a: 0.1,
    supply_at_5_v_a: 3e-3,
    supply_at_15_v_a: 10e-3,
    control_capacitor_ratio: 0.0,
    print: &BIPOLAR_PRINT,
    source: Source {
        title: "LM555 (SNAS548D) and NE555 (SLFS022A) data sheets",
        edition: "",
        place: "electrical characteristics; highest frequency, largest discharge and supply current and the upper control \
                voltage from memory",
        seen: Seen::Original,
    },
};

const CMOS_PRINT: TimerPrint = TimerPrint {
    timing_typical_ratio: 0.01,
    one_shot_typical_ratio: 0.01,
    drift_at_v: &[],
    one_shot_drift_per_v: 0.001,
    output_high: &[point(0.001, 5.0, 0.2, 0.9)],
    discharge_points: &[point(0.01, 5.0, 0.14, 0.5)],
    control_ratio: [0.645, 0.69],
    supply_most_a: [0.35e-3, 0.6e-3],
};

/// CMOS timer with a strong output low and a weak output high, TLC555.
///
/// Discharge line 0.14 V at 10 mA; output drop at 1 mA from a 5 V supply.
pub const CMOS: TimerRow = TimerRow {
    supply_low_v: 2.0,
    supply_high_v: 15.0,
    threshold_ratio: 2.0 / 3.0,
    trigger_ratio: 1.0 / 3.0,
    discharge_v: 0.0,
    discharge_ohm: 14.0,
    discharge_a: 0.15,
    threshold_a: 1e-9,
    frequency_hz: 1.2e6,
    frequency_typical_hz: 2.1e6,
    printed_ratio: 1.44,
    timing_ratio: 0.03,
    drift_per_k: 150e-6,
    drift_per_v: 0.005,
    output_high_drop_v: Interval { low: 0.0, likely: 0.2, high: 0.9 },
    output_low: &[point(0.008, 5.0, 0.21, 0.4)],
    source_a: 0.001,
    sink_a: 0.08,
    supply_at_5_v_a: 0.17e-3,
    supply_at_15_v_a: 0.36e-3,
    control_capacitor_ratio: 0.1,
    print: &CMOS_PRINT,
    source: Source {
        title: "TLC555 data sheet (SLFS043)",
        edition: "",
        place: "electrical characteristics; output high, supply current, frequency limit, typical spreads, control voltage \
                and largest currents from memory",
        seen: Seen::Original,
    },
};

const LOW_DRIVE_CMOS_PRINT: TimerPrint = TimerPrint {
    timing_typical_ratio: 0.02,
    one_shot_typical_ratio: 0.02,
    drift_at_v: &[[5.0, 50e-6], [10.0, 75e-6], [15.0, 100e-6]],
    one_shot_drift_per_v: 0.005,
    output_high: &[point(0.8e-3, 15.0, 0.7, 1.0), point(0.8e-3, 5.0, 0.5, 1.0)],
    discharge_points: &[point(0.015, 5.0, 0.2, 0.4)],
    control_ratio: [0.62, 0.71],
    supply_most_a: [0.2e-3, 0.3e-3],
};

/// CMOS timer with a weak output both ways, ICM7555.
///
/// Discharge line 0.4 V at 15 mA, largest; its maker prints f = 1.38 / ((RA + 2 RB) C), 4.4 % below the ideal.
pub const LOW_DRIVE_CMOS: TimerRow = TimerRow {
    supply_low_v: 2.0,
    supply_high_v: 18.0,
    threshold_ratio: 2.0 / 3.0,
    trigger_ratio: 1.0 / 3.0,
    discharge_v: 0.0,
    discharge_ohm: 400.0 / 15.0,
    discharge_a: 0.1,
    threshold_a: 10e-9,
    frequency_hz: 500e3,
    frequency_typical_hz: 1e6,
    printed_ratio: 1.38,
    timing_ratio: 0.05,
    drift_per_k: 100e-6,
    drift_per_v: 0.005,
    output_high_drop_v: Interval { low: 0.0, likely: 0.5, high: 1.0 },
    output_low: &[point(3.2e-3, 5.0, 0.2, 0.4), point(0.02, 15.0, 0.4, 1.0)],
    source_a: 0.8e-3,
    sink_a: 3.2e-3,
    supply_at_5_v_a: 0.08e-3,
    supply_at_15_v_a: 0.12e-3,
    control_capacitor_ratio: 0.1,
    print: &LOW_DRIVE_CMOS_PRINT,
    source: Source {
        title: "ICM7555 data sheets of two makers",
        edition: "1994 and later",
        place: "electrical characteristics; output high, supply and threshold current, typical spreads, typical discharge \
                and control voltage from memory; drift at 10 V from memory",
        seen: Seen::Original,
    },
};

/// Frequency up to which the law holds without the comparators' delay, in hertz.
///
/// The ideal equation at the circuit for the highest frequency of a TLC555 gives 8.3 MHz where the part does about 2.
pub const NO_DELAY_HZ: f64 = 100e3;

/// Source of the effect of a capacitor on the control pin.
pub const CONTROL_CAPACITOR_SOURCE: Source = Source {
    title: "TLC555 data sheet (SLFS043)",
    edition: "",
    place: "application text, page 11: 0.1 µF shortens the period by about 10 %",
    seen: Seen::Original,
};
