//! Which parts make a timer with a knob of a wanted frequency and range of duty.
//!
//! Every set of preferred parts is searched: [`crate::run::timer_parts`]. The potentiometer stands between two diodes,
//! so that the frequency stays nearly the same while the duty is turned.

use super::{Entries, Field, ReaderAnswer, ReaderLine, field, shown};
use crate::data::dielectric::Dielectric;
use crate::data::diode::Diode;
use crate::data::series::Series;
use crate::data::timer::TimerPart;
use crate::error::Error;
use crate::part::choice::{Joined, Made};
use crate::quantity::{Interval, Unit};
use crate::run::timer_parts::{Form, Preferred, Stock, TimerChoice, TimerWish};
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

const SUPPLY: Field = field("supply_v", Unit::Volt, (1.5, 40.0));
const FREQUENCY: Field = field("frequency_hz", Unit::Hertz, (0.01, 1e6)).within(0.1);
const DUTY: Field = field("duty", Unit::Ratio, (0.0, 1.0)).usual("5 % .. 95 %");

/// Sets of parts that are shown.
const SETS: u32 = 3;

/// A wanted knob, each entry as it was written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ReaderKnob {
    /// Supply of the timer, such as `11.1 V`.
    pub supply_v: Option<String>,
    /// Wanted frequency, such as `200 Hz` or `20..25 kHz`; ± 10 % where one number stands.
    pub frequency_hz: Option<String>,
    /// Wanted range of the duty, such as `10 % .. 95 %`; 5 % to 95 % where left out.
    pub duty: Option<String>,
    /// Which timer: `bipolar`, `cmos` or `low_drive_cmos`.
    pub part: Option<String>,
    /// Series of the resistors: `e24`, `e12`, `e6` or `e96`.
    pub resistors: Option<String>,
    /// What the capacitor is made of: `film`, `c0g` or `x7r`.
    pub dielectric: Option<String>,
}

impl ReaderKnob {
    /// The best sets of parts, and which wish none of them meets.
    ///
    /// # Errors
    ///
    /// Every entry that cannot be used, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::reader::knob::ReaderKnob;
    /// let text = |words: &str| Some(words.to_owned());
    /// let knob = ReaderKnob { supply_v: text("11.1 V"), frequency_hz: text("200 Hz"), ..ReaderKnob::default() };
    /// let answer = knob.answer()?;
    /// assert_eq!(answer.lines[0].key, "pot_ohm");
    /// let none = ReaderKnob { duty: text("95 % .. 5 %"), ..knob }.answer().unwrap_err();
    /// assert_eq!(none[0].path(), "/duty");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<ReaderAnswer, Vec<Error>> {
        let mut entries = Entries::default();
        let supply_v = entries.number(SUPPLY, self.supply_v.as_ref());
        let frequency = entries.interval(FREQUENCY, self.frequency_hz.as_ref());
        let duty = entries.interval(DUTY, self.duty.as_ref());
        let timers =
            [("bipolar", TimerPart::Bipolar), ("cmos", TimerPart::Cmos), ("low_drive_cmos", TimerPart::LowDriveCmos)];
        let part = entries.choice("part", self.part.as_ref(), &timers);
        let series = [("e24", Series::E24), ("e12", Series::E12), ("e6", Series::E6), ("e96", Series::E96)];
        let resistors = entries.choice("resistors", self.resistors.as_ref(), &series);
        let dielectrics = [("film", Dielectric::Film), ("c0g", Dielectric::C0g), ("x7r", Dielectric::X7r)];
        let dielectric = entries.choice("dielectric", self.dielectric.as_ref(), &dielectrics);
        let read = entries.finish()?;
        let preferred = Preferred {
            resistors: resistors.unwrap_or(Series::E24),
            resistor_low_ohm: None,
            resistor_high_ohm: None,
            dielectric: dielectric.unwrap_or(Dielectric::Film),
            capacitors: None,
            capacitor_low_f: None,
            capacitor_high_f: None,
            pots_ohm: None,
        };
        let wish = TimerWish {
            part: part.unwrap_or(TimerPart::Bipolar),
            form: Form::DiodeSteered(Diode::SmallSignal),
            supply_v,
            temperature_degc: None,
            frequency_low_hz: frequency.low,
            frequency_high_hz: frequency.high,
            duty_low: duty.low,
            duty_high: duty.high,
            stock: Stock::Preferred(preferred),
            same_error_ratio: Some(0.01),
            most: Some(SETS),
        };
        let found = wish.answer().map_err(of_entries)?;
        let mut lines: Vec<_> = found.choices.iter().enumerate().flat_map(|(i, choice)| set(i + 1, choice)).collect();
        lines.extend(found.unmet.into_iter().map(|unmet| ReaderLine::new("unmet", unmet.words, None).of(unmet.field)));
        Ok(ReaderAnswer::new(lines, read))
    }
}

/// Both ends of a range stand in one entry.
fn of_entries(errors: Vec<Error>) -> Vec<Error> {
    let placed = |error: Error| match error.field() {
        "frequency_low_hz" | "frequency_high_hz" => error.placed("/frequency_hz"),
        "duty_low" | "duty_high" => error.placed("/duty"),
        other => {
            let place = format!("/{other}");
            error.placed(place)
        }
    };
    errors.into_iter().map(placed).collect()
}

/// One set of parts as lines.
fn set(number: usize, choice: &TimerChoice) -> Vec<ReaderLine> {
    let TimerChoice { lowest, highest, .. } = choice;
    let between = |a: f64, b: f64| Interval { low: a.min(b), likely: 0.5 * (a + b), high: a.max(b) };
    let mut lines: Vec<ReaderLine> = Vec::new();
    lines.extend(choice.pot_ohm.map(|ohm| ReaderLine::number("pot_ohm", ohm, Unit::Ohm)));
    lines.push(made("ra_ohm", &choice.ra, Unit::Ohm));
    lines.push(made("rb_ohm", &choice.rb, Unit::Ohm));
    lines.push(made("c_f", &choice.c, Unit::Farad));
    let frequency_hz = between(lowest.frequency_hz, highest.frequency_hz);
    lines.push(ReaderLine::span("frequency_hz", frequency_hz, Unit::Hertz));
    lines.push(ReaderLine::span("duty", between(lowest.duty, highest.duty), Unit::Ratio));
    lines.into_iter().map(|line| line.of(number.to_string())).collect()
}

fn made(key: &'static str, made: &Made, unit: Unit) -> ReaderLine {
    let first = shown(made.first, unit);
    let words = match (made.second.map(|second| shown(second, unit)), made.joined) {
        (Some(second), Joined::InSeries) => format!("{first} + {second}"),
        (Some(second), _) => format!("{first} ∥ {second}"),
        (None, _) => first,
    };
    ReaderLine::new(key, words, Some(Interval::exact(made.value)))
}
