//! Computes each row of `timer.csv` with the crate.

use cellwright::data::dielectric::Dielectric;
use cellwright::data::diode::{Diode, OwnDiode};
use cellwright::data::marking::Colour;
use cellwright::data::series::Series;
use cellwright::data::timer::{OwnTimer, TimerPart, TimerRow};
use cellwright::part::choice::nearest;
use cellwright::part::marking::Marking;
use cellwright::part::rc::StepResponse;
use cellwright::part::timing::{
    Circuit, Cycle, DiodeSteered, Limit, OneShot, Outcome, Ramp, Sawtooth, ThresholdRamp, Timer, Triangle, TwoResistor,
};
use cellwright::quantity::Interval;
use cellwright::run::timer_spread::TimerTolerance;
use std::collections::BTreeMap;

/// Inputs of a row by name.
pub(crate) type Inputs<'a> = BTreeMap<&'a str, &'a str>;

/// A part without drops, so that printed ideal equations can be held against the law.
const IDEAL: OwnTimer = OwnTimer {
    supply_low_v: 0.5,
    supply_high_v: 60.0,
    discharge_v: 0.0,
    discharge_ohm: 0.0,
    frequency_hz: 1e8,
    threshold_ratio: None,
    trigger_ratio: None,
    threshold_a: Some(0.0),
    output_high_drop_v: None,
    source_a: None,
    sink_a: None,
};

/// What the crate gives for `key`, or nothing for a key it does not know.
pub(crate) fn value(key: &str, inputs: &Inputs) -> Option<f64> {
    let (topic, what) = key.split_once('.')?;
    match topic {
        "astable" => astable(what, inputs),
        "steer" => steered(what, inputs),
        "corr" => corrected(what, inputs),
        "limit" => largest_ohm(inputs),
        "one_shot" => one_shot(inputs),
        "step" => step(what, inputs),
        "row" => fact(what, inputs),
        "tri" => triangle(what, inputs),
        "series" => series(what, inputs),
        "mark" => mark(what, inputs),
        "dielectric" => dielectric(what, inputs),
        "tolerance" => tolerance(what, inputs),
        _ => None,
    }
}

fn number(inputs: &Inputs, name: &str) -> Option<f64> {
    inputs.get(name)?.parse().ok()
}

fn run(own: OwnTimer, circuit: Circuit, supply_v: f64) -> Option<Cycle> {
    let timer = Timer { latch_delay_s: Some(0.0), ..Timer::new(TimerPart::Own(own), circuit) };
    match timer.outcome(supply_v, 27.0).ok()? {
        Outcome::Runs(cycle) => Some(cycle),
        Outcome::Outside(_) => None,
    }
}

fn astable(what: &str, inputs: &Inputs) -> Option<f64> {
    let of = |name, or| number(inputs, name).unwrap_or(or);
    let two = TwoResistor { ra_ohm: of("ra_ohm", 1e4), rb_ohm: of("rb_ohm", 1e4), c_f: of("c_f", 1e-8) };
    if what == "printed_hz" {
        return Timer::new(TimerPart::Cmos, Circuit::TwoResistor(two)).printed_hz();
    }
    if what == "lowest_duty" {
        let two = TwoResistor { ra_ohm: 1e3, rb_ohm: 1e4, ..two };
        return Some(run(IDEAL, Circuit::TwoResistor(two), 12.0)?.duty);
    }
    let cycle = run(IDEAL, Circuit::TwoResistor(two), of("supply_v", 12.0))?;
    match what {
        "high_coefficient" => Some(cycle.high_s / ((two.ra_ohm + two.rb_ohm) * two.c_f)),
        "frequency_coefficient" => Some(cycle.frequency_hz * (two.ra_ohm + 2.0 * two.rb_ohm) * two.c_f),
        "high_s" => Some(cycle.high_s),
        "low_s" => Some(cycle.low_s),
        "frequency_hz" => Some(cycle.frequency_hz),
        "duty" => Some(cycle.duty),
        "pin_a" => {
            // A capacitor resistor so large that only the current through ra remains.
            let far = TwoResistor { rb_ohm: 1e9, ..two };
            Some(run(IDEAL, Circuit::TwoResistor(far), of("supply_v", 12.0))?.discharge_a)
        }
        _ => None,
    }
}

fn steered(what: &str, inputs: &Inputs) -> Option<f64> {
    // A saturation current far above the working current leaves no drop.
    let none = Diode::Own(OwnDiode {
        saturation_a: 1e-2,
        emission_ratio: 0.8,
        series_ohm: 0.0,
        reverse_v: 75.0,
        forward_a: 0.2,
        band_gap_v: None,
        temperature_exponent: None,
    });
    let both_ohm = number(inputs, "both_ohm");
    let charge_ohm = number(inputs, "charge_ohm").or(both_ohm.map(|ohm| ohm / 3.0))?;
    let discharge_ohm = number(inputs, "discharge_ohm").or(both_ohm.map(|ohm| ohm * 2.0 / 3.0))?;
    // As small a resistor to the discharge pin as that pin can take.
    let ra_ohm = 100.0;
    let pot_ohm = charge_ohm - ra_ohm + discharge_ohm;
    let steered = DiodeSteered {
        ra_ohm,
        pot_ohm,
        wiper_ratio: (charge_ohm - ra_ohm) / pot_ohm,
        charge_ohm: None,
        discharge_ohm: None,
        shared_ohm: None,
        c_f: number(inputs, "c_f").unwrap_or(1e-8),
        diode: Some(none),
    };
    let cycle = run(IDEAL, Circuit::DiodeSteered(steered), 12.0)?;
    match what {
        "duty" => Some(cycle.duty),
        "frequency_hz" => Some(cycle.frequency_hz),
        _ => None,
    }
}

/// A fixed drop in the way is a smaller supply with thresholds that stay where they were.
fn corrected(what: &str, inputs: &Inputs) -> Option<f64> {
    let supply_v = number(inputs, "supply_v")?;
    let two = TwoResistor { ra_ohm: 1e6, rb_ohm: 1e6, c_f: 1e-8 };
    match what {
        "low_coefficient" => {
            let own = OwnTimer { discharge_v: number(inputs, "saturation_v")?, ..IDEAL };
            Some(run(own, Circuit::TwoResistor(two), supply_v)?.low_s / (two.rb_ohm * two.c_f))
        }
        "high_coefficient" => {
            let less_v = supply_v - number(inputs, "drop_v")?;
            let (threshold_ratio, trigger_ratio) = (supply_v * 2.0 / 3.0 / less_v, supply_v / 3.0 / less_v);
            let own = OwnTimer { threshold_ratio: Some(threshold_ratio), trigger_ratio: Some(trigger_ratio), ..IDEAL };
            Some(run(own, Circuit::TwoResistor(two), less_v)?.high_s / ((two.ra_ohm + two.rb_ohm) * two.c_f))
        }
        _ => None,
    }
}

/// The largest charging resistance, from the answer that refuses a larger one.
fn largest_ohm(inputs: &Inputs) -> Option<f64> {
    let own = OwnTimer { threshold_a: number(inputs, "threshold_a"), ..IDEAL };
    let two = TwoResistor { ra_ohm: 1e9, rb_ohm: 1e9, c_f: 1e-9 };
    let timer = Timer::new(TimerPart::Own(own), Circuit::TwoResistor(two));
    match timer.outcome(number(inputs, "supply_v")?, 27.0).ok()? {
        Outcome::Runs(_) => None,
        Outcome::Outside(outside) => {
            outside.iter().find(|outside| outside.limit == Limit::ChargeOhm).map(|outside| outside.high)
        }
    }
}

/// A time constant of one second where no parts are named.
fn step(what: &str, inputs: &Inputs) -> Option<f64> {
    let pair = StepResponse {
        ohm: number(inputs, "ohm").unwrap_or(1e3),
        c_f: number(inputs, "c_f").unwrap_or(1e-3),
        after_s: number(inputs, "time_constants"),
        wanted_ratio: None,
    };
    let answer = pair.answer().ok()?;
    match what {
        "reached_ratio" => answer.reached_ratio,
        "rise_s" => Some(answer.rise_s),
        "corner_hz" => Some(answer.corner_hz),
        _ => None,
    }
}

/// The pulse with marked values, nothing leaking.
fn one_shot(inputs: &Inputs) -> Option<f64> {
    let shot = OneShot {
        part: TimerPart::Own(IDEAL),
        supply_v: 12.0,
        charge_ohm: number(inputs, "charge_ohm")?,
        c_f: number(inputs, "c_f")?,
        resistor_ratio: 0.0,
        dielectric: Dielectric::Film,
        capacitor_low_ratio: None,
        capacitor_high_ratio: None,
        leak_a: None,
    };
    shot.answer().ok()?.likely_s
}

fn row_of(inputs: &Inputs) -> Option<TimerRow> {
    match *inputs.get("part")? {
        "bipolar" => Some(TimerPart::Bipolar.row()),
        "cmos" => Some(TimerPart::Cmos.row()),
        "low_drive_cmos" => Some(TimerPart::LowDriveCmos.row()),
        _ => None,
    }
}

fn fact(what: &str, inputs: &Inputs) -> Option<f64> {
    let row = row_of(inputs)?;
    let current_a = number(inputs, "current_a").unwrap_or(0.0);
    let discharge_v = row.discharge_v + row.discharge_ohm * current_a;
    let output = row.output_low.iter().find(|point| (point.current_a - current_a).abs() < 1e-9);
    match what {
        "threshold_ratio" => Some(row.threshold_ratio),
        "printed_ratio" => Some(row.printed_ratio),
        "frequency_hz" => Some(row.frequency_hz),
        "frequency_typical_hz" => Some(row.frequency_typical_hz),
        "timing_ratio" => Some(row.timing_ratio),
        "drift_per_k" => Some(row.drift_per_k),
        "drift_per_v" => Some(row.drift_per_v),
        "timing_typical_ratio" => Some(row.print.timing_typical_ratio),
        "one_shot_typical_ratio" => Some(row.print.one_shot_typical_ratio),
        "one_shot_drift_per_v" => Some(row.print.one_shot_drift_per_v),
        "drift_at_v" => {
            row.print.drift_at_v.iter().find(|[v, _]| Some(*v) == number(inputs, "supply_v")).map(|[_, k]| *k)
        }
        "control_low_v" => Some(row.print.control_ratio[0] * 15.0),
        "output_high_v" => row
            .print
            .output_high
            .iter()
            .find(|point| point.current_a == current_a)
            .map(|point| point.supply_v - point.typical_v),
        "discharge_largest_v" => {
            row.print.discharge_points.iter().find(|point| point.current_a == current_a).map(|point| point.largest_v)
        }
        "supply_low_v" => Some(row.supply_low_v),
        "supply_high_v" => Some(row.supply_high_v),
        "supply_at_5_v_a" => Some(row.supply_at_5_v_a),
        "supply_at_15_v_a" => Some(row.supply_at_15_v_a),
        "output_high_drop_v" => Some(row.output_high_drop_v.likely),
        "threshold_a" => Some(row.threshold_a),
        "control_capacitor_ratio" => Some(row.control_capacitor_ratio),
        "discharge_v" => Some(discharge_v),
        // A largest figure bounds the row from above: shown as the bound itself while the row keeps it.
        "discharge_v.at_most" => [0.2, 0.4].into_iter().find(|bound| discharge_v <= bound + 1e-12),
        // The row carries the larger of two drifts.
        "drift_per_k.at_least" => (row.drift_per_k >= 50e-6).then_some(50e-6),
        "output_low.typical_v" => output.map(|point| point.typical_v),
        "output_low.largest_v" => output.map(|point| point.largest_v),
        _ => None,
    }
}

fn triangle(what: &str, inputs: &Inputs) -> Option<f64> {
    let of = |name, or| number(inputs, name).unwrap_or(or);
    let hysteresis_ohm = match what {
        "hysteresis_ohm" => of("triangle_v", 0.0) * of("feedback_ohm", 1e4) / of("middle_v", 1.0),
        "duty" => 1e4 * (of("high_v", 0.0) - of("low_v", 0.0)) / (of("high_v", 0.0) + of("low_v", 0.0)),
        _ => of("hysteresis_ohm", 1e4),
    };
    let triangle = Triangle {
        integrator_ohm: of("integrator_ohm", 1e4),
        hysteresis_ohm,
        feedback_ohm: of("feedback_ohm", 1e4),
        c_f: of("c_f", 1e-9),
    };
    let supply_v = match what {
        "hysteresis_ohm" => 2.0 * of("middle_v", 2.5),
        "duty" => of("high_v", 0.0) + of("low_v", 0.0),
        _ => 5.0,
    };
    let control_ratio = of("control_v", 0.5 * supply_v) / supply_v;
    let ramp = ThresholdRamp { ramp: Ramp::Triangle(triangle), control_ratio };
    let cycle = run(IDEAL, Circuit::ThresholdRamp(ramp), supply_v)?;
    match what {
        "frequency_hz" => Some(cycle.frequency_hz),
        "duty" => Some(cycle.duty),
        // The amplitude the crate gives for that resistor, turned back into the resistor.
        "hysteresis_ohm" => {
            let half_v = 0.5 * (cycle.capacitor_high_v - cycle.capacitor_low_v);
            Some(half_v * of("feedback_ohm", 1e4) / of("middle_v", 2.5))
        }
        _ => None,
    }
}

fn series_of(inputs: &Inputs) -> Option<Series> {
    let wanted = *inputs.get("series")?;
    Series::ALL.into_iter().find(|series| format!("{series:?}") == wanted)
}

fn series(what: &str, inputs: &Inputs) -> Option<f64> {
    match what {
        "count" => Some(series_of(inputs)?.hundredths().len() as f64),
        "value" => {
            let k: usize = inputs.get("k")?.parse().ok()?;
            Some(f64::from(*series_of(inputs)?.hundredths().get(k)?) / 100.0)
        }
        "nearest" => nearest(series_of(inputs)?, number(inputs, "target")?).ok(),
        "odd" => {
            let rule = |k: usize| (10.0 * libm::pow(10.0, k as f64 / 24.0)).round() * 10.0;
            let odd = Series::E24
                .hundredths()
                .iter()
                .enumerate()
                .filter(|(k, value)| (rule(*k) - f64::from(**value)).abs() > 0.5);
            Some(odd.count() as f64)
        }
        _ => None,
    }
}

fn mark(what: &str, inputs: &Inputs) -> Option<f64> {
    let code = inputs.get("code").copied().unwrap_or("");
    let marking = match what {
        "ohm" => Marking::ResistorLetters(code.into()),
        "f" | "rated_v" => Marking::CapacitorDigits(code.into()),
        "eia_96_ohm" => Marking::ResistorShort(code.into()),
        "class_fall" | "class_rise" | "class_high_degc" => Marking::CeramicClass(code.into()),
        "colours" => Marking::Colours(inputs.get("bands")?.split('|').map(colour).collect::<Option<_>>()?),
        _ => Marking::CapacitorDigits(format!("104{}", inputs.get("letter")?)),
    };
    let answer = marking.answer().ok()?;
    match what {
        "ohm" | "colours" | "eia_96_ohm" => answer.ohm,
        "rated_v" => answer.rated_v,
        "class_fall" => Some(answer.class_ratio?[0]),
        "class_rise" => Some(answer.class_ratio?[1]),
        "class_high_degc" => Some(answer.class_degc?[1]),
        "f" => answer.f,
        "high_ratio" => answer.high_ratio,
        "low_ratio" => answer.low_ratio,
        _ => None,
    }
}

fn colour(name: &str) -> Option<Colour> {
    serde_json::from_value(serde_json::Value::String(name.into())).ok()
}

fn dielectric_of(inputs: &Inputs) -> Option<Dielectric> {
    serde_json::from_value(serde_json::Value::String((*inputs.get("code")?).into())).ok()
}

fn dielectric(what: &str, inputs: &Inputs) -> Option<f64> {
    let row = dielectric_of(inputs)?.row();
    match what {
        "rise_ratio" => Some(row.rise_ratio),
        "fall_ratio" => Some(row.fall_ratio),
        "high_degc" => Some(row.high_degc),
        "low_degc" => Some(row.low_degc),
        _ => None,
    }
}

/// Corners of one resistor and one capacitor: a ramp that is emptied at once.
fn tolerance(what: &str, inputs: &Inputs) -> Option<f64> {
    let sawtooth = Sawtooth { charge_ohm: 1e4, reset_ohm: 0.0, c_f: 1e-8, low_ratio: 0.2, high_ratio: 0.8 };
    let ramp = ThresholdRamp { ramp: Ramp::Sawtooth(sawtooth), control_ratio: 0.5 };
    let capacitor_ratio = number(inputs, "capacitor_ratio");
    let tolerance = TimerTolerance {
        timer: Timer::new(TimerPart::Bipolar, Circuit::ThresholdRamp(ramp)),
        supply_v: Interval::exact(12.0),
        temperature_degc: Interval::exact(20.0),
        resistor_ratio: number(inputs, "resistor_ratio")?,
        pot_ratio: None,
        dielectric: dielectric_of(inputs)?,
        capacitor_low_ratio: capacitor_ratio.map(|ratio| -ratio),
        capacitor_high_ratio: capacitor_ratio,
        over_temperature: Some(capacitor_ratio.is_none()),
        seed: 1,
        draws: Some(100),
    };
    let answer = tolerance.answer().ok()?;
    let Outcome::Runs(cycle) = answer.outcome else { return None };
    let spread = answer.frequency_hz?;
    match what {
        "frequency_high_ratio" => Some(spread.high / cycle.frequency_hz),
        "frequency_low_ratio" => Some(spread.low / cycle.frequency_hz),
        // Without resistor tolerance the frequency is as far up as the capacitance is down.
        "capacitor_low_ratio" => Some(cycle.frequency_hz / spread.high),
        _ => None,
    }
}
