//! The best preferred or drawer parts for a wanted frequency and duty range.
//!
//! ```text
//! error = max(|f/f₀ − 1| at both ends of the knob, |duty − wanted| at both ends),  f₀ = √(frequency_low · frequency_high)
//! ```
//!
//! For the plain circuit, which has no knob, a duty inside the wanted range counts as no error. Every set of parts is
//! searched, the comparators' delay left out; sets are ranked by error, then by number of parts. With
//! `same_error_ratio`, errors within the same step of that size count as equal.
//! Source: the law of [`crate::part::timing`].

mod search;

use crate::data::dielectric::Dielectric;
use crate::data::diode::Diode;
use crate::data::series::Series;
use crate::data::timer::{NO_DELAY_HZ, TimerPart};
use crate::error::{Check, Error};
use crate::part::choice::{self, Made};
use crate::part::timing::{Circuit, Cycle, DiodeSteered, Outcome, Phases, TIMER_DEGC, Timer, TwoResistor};
use crate::quantity::root::sqrt;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;
use search::{Best, Found, Search};

/// Largest difference of a duty from the wanted one that still counts as met.
const DUTY_MET: f64 = 0.02;

/// A wanted timer.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TimerWish {
    /// Which timer.
    pub part: TimerPart,
    /// Which circuit.
    pub form: Form,
    /// Supply of the timer, in volts.
    pub supply_v: f64,
    /// Temperature of the diodes, in degrees Celsius; 27 °C where left out.
    pub temperature_degc: Option<f64>,
    /// Lowest wanted frequency, in hertz.
    pub frequency_low_hz: f64,
    /// Highest wanted frequency, in hertz.
    pub frequency_high_hz: f64,
    /// Lowest wanted duty, 0 to 1.
    pub duty_low: f64,
    /// Highest wanted duty, 0 to 1.
    pub duty_high: f64,
    /// Where the parts come from.
    pub stock: Stock,
    /// Size of the steps within which errors count as equal, 0 to 1; none where left out.
    pub same_error_ratio: Option<f64>,
    /// How many sets of parts to give, 1 to 20; 5 where left out.
    pub most: Option<u32>,
}

/// A circuit to find parts for.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Form {
    /// Two resistors; the duty is fixed and above one half.
    TwoResistor,
    /// A potentiometer with two diodes of this kind; one end stop, in the discharging half.
    DiodeSteered(Diode),
}

/// Where parts come from.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Stock {
    /// Any value of preferred series.
    Preferred(Preferred),
    /// What lies in the drawer.
    Drawer(Drawer),
}

/// Preferred series to choose from.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Preferred {
    /// Series of the resistors.
    pub resistors: Series,
    /// Smallest resistor, in ohms; 1 kΩ where left out.
    pub resistor_low_ohm: Option<f64>,
    /// Largest resistor, in ohms; 1 MΩ where left out.
    pub resistor_high_ohm: Option<f64>,
    /// What the capacitor is made of; sets its series and range where they are left out.
    pub dielectric: Dielectric,
    /// Series of the capacitors.
    pub capacitors: Option<Series>,
    /// Smallest capacitor, in farads.
    pub capacitor_low_f: Option<f64>,
    /// Largest capacitor, in farads.
    pub capacitor_high_f: Option<f64>,
    /// Potentiometers, in ohms; E3 from 1 kΩ to 1 MΩ where left out.
    pub pots_ohm: Option<Vec<f64>>,
}

/// Values in the drawer; each may be used as often as needed, and pairs are made of them.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Drawer {
    /// Resistors, in ohms.
    pub resistors_ohm: Vec<f64>,
    /// Capacitors, in farads.
    pub capacitors_f: Vec<f64>,
    /// Potentiometers, in ohms; needed for the circuit with a knob.
    pub pots_ohm: Option<Vec<f64>>,
}

/// One set of parts.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TimerChoice {
    /// The timer with these parts, the knob in the middle.
    pub timer: Timer,
    /// Resistor from the supply to the discharge pin.
    pub ra: Made,
    /// Resistor from the discharge pin to the capacitor, or end stop of the discharging half.
    pub rb: Made,
    /// The potentiometer, in ohms.
    pub pot_ohm: Option<f64>,
    /// The capacitor.
    pub c: Made,
    /// How many resistors, potentiometers and capacitors it takes.
    pub parts: u32,
    /// Error by the measure of this search.
    pub error_ratio: f64,
    /// Whether frequency and duty range are met: the frequency within its band, the duty to 0.02.
    pub met: bool,
    /// The period with the knob at its lowest duty.
    pub lowest: Cycle,
    /// The period with the knob at its highest duty.
    pub highest: Cycle,
}

/// A wish that the best set does not meet.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Unmet {
    /// Which wish: `frequency_hz`, `duty_low` or `duty_high`.
    pub field: &'static str,
    /// What the best set reaches.
    pub reached: f64,
    /// What was wanted, the nearer end of the range.
    pub wanted: f64,
    /// Which part stands in the way and what would work.
    pub words: String,
}

/// Answer to a [`TimerWish`].
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TimerPartsAnswer {
    /// The best sets, best first.
    pub choices: Vec<TimerChoice>,
    /// Wishes that the best set does not meet; empty where all are met.
    pub unmet: Vec<Unmet>,
    /// How many sets of parts there are.
    pub searched: f64,
}

/// Lists of values to search.
struct Values {
    resistors: Vec<Made>,
    capacitors: Vec<Made>,
    pots_ohm: Vec<f64>,
}

impl TimerWish {
    /// The best sets of parts.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::{dielectric::Dielectric, diode::Diode, series::Series, timer::TimerPart};
    /// # use cellwright::run::timer_parts::{Form, Preferred, Stock, TimerWish};
    /// let preferred = Preferred {
    ///     resistors: Series::E24, resistor_low_ohm: None, resistor_high_ohm: None, dielectric: Dielectric::Film,
    ///     capacitors: None, capacitor_low_f: None, capacitor_high_f: None, pots_ohm: None,
    /// };
    /// let wish = TimerWish {
    ///     part: TimerPart::Bipolar, form: Form::DiodeSteered(Diode::SmallSignal), supply_v: 11.1,
    ///     temperature_degc: None, frequency_low_hz: 190.0, frequency_high_hz: 210.0, duty_low: 0.1, duty_high: 0.95,
    ///     stock: Stock::Preferred(preferred), same_error_ratio: None, most: Some(1),
    /// };
    /// let answer = wish.answer()?;
    /// assert!(answer.unmet.is_empty() && answer.choices[0].error_ratio < 0.02);
    /// assert!(TimerWish { duty_low: 0.99, ..wish }.answer().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<TimerPartsAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let values = self.values();
        let junction = self.diode().map(|diode| diode.junction(self.degc()));
        let phases = Phases::new(&self.part.row(), self.supply_v, junction);
        let best = Best::new(self.most.unwrap_or(5) as usize, self.same_error_ratio.unwrap_or(0.0));
        let mut search = Search {
            frequency_hz: sqrt(self.frequency_low_hz * self.frequency_high_hz),
            limit_hz: NO_DELAY_HZ.min(self.part.row().frequency_hz),
            duty_low: self.duty_low,
            duty_high: self.duty_high,
            ..Search::new(phases, &values.resistors, &values.capacitors, &values.pots_ohm, best)
        };
        search.run(self.diode().is_some());
        let found = search.best.into_list();
        let choices: Vec<TimerChoice> = found.iter().filter_map(|found| self.choice(found)).collect();
        let unmet = choices.first().map_or_else(|| self.nothing(), |choice| self.unmet(choice));
        let knobs = if self.diode().is_some() { values.pots_ohm.len() } else { 1 };
        let ra_count = values.resistors.len() as f64;
        let searched = ra_count * ra_count * values.capacitors.len() as f64 * knobs as f64;
        Ok(TimerPartsAnswer { choices, unmet, searched })
    }

    fn diode(&self) -> Option<Diode> {
        match self.form {
            Form::TwoResistor => None,
            Form::DiodeSteered(diode) => Some(diode),
        }
    }

    fn degc(&self) -> f64 {
        self.temperature_degc.unwrap_or(TIMER_DEGC)
    }

    fn choice(&self, found: &Found) -> Option<TimerChoice> {
        let (ra_ohm, c_f) = (found.ra.value, found.c.value);
        let circuit = match found.pot_ohm {
            None => Circuit::TwoResistor(TwoResistor { ra_ohm, rb_ohm: found.rb.value, c_f }),
            Some(pot_ohm) => Circuit::DiodeSteered(DiodeSteered {
                ra_ohm,
                pot_ohm,
                wiper_ratio: 0.5,
                charge_ohm: None,
                discharge_ohm: Some(found.rb.value),
                shared_ohm: None,
                c_f,
                diode: self.diode(),
            }),
        };
        let timer = Timer::new(self.part, circuit);
        let turned = |wiper_ratio: f64| match timer.turned(wiper_ratio).judged(self.supply_v, self.degc()) {
            Outcome::Runs(cycle) => Some(cycle),
            Outcome::Outside(_) => None,
        };
        let (lowest, highest) = (turned(0.0)?, turned(1.0)?);
        let choice = TimerChoice {
            timer,
            ra: found.ra,
            rb: found.rb,
            pot_ohm: found.pot_ohm,
            c: found.c,
            parts: found.parts,
            error_ratio: found.error_ratio,
            met: false,
            lowest,
            highest,
        };
        Some(TimerChoice { met: self.unmet(&choice).is_empty(), ..choice })
    }

    fn unmet(&self, choice: &TimerChoice) -> Vec<Unmet> {
        let mut list = Vec::new();
        for frequency_hz in [choice.lowest.frequency_hz, choice.highest.frequency_hz] {
            let wanted = frequency_hz.max(self.frequency_low_hz).min(self.frequency_high_hz);
            if wanted.to_bits() != frequency_hz.to_bits() && list.is_empty() {
                let words = format!(
                    "The capacitor stands in the way: {:.3e} F in place of {:.3e} F would work.",
                    choice.c.value * frequency_hz / wanted,
                    choice.c.value
                );
                list.push(Unmet { field: "frequency_hz", reached: frequency_hz, wanted, words });
            }
        }
        let (low, high) = (choice.lowest.duty, choice.highest.duty);
        let knob = self.diode().is_some();
        let misses_low = if knob { libm::fabs(low - self.duty_low) > DUTY_MET } else { low < self.duty_low - DUTY_MET };
        let misses_high =
            if knob { libm::fabs(high - self.duty_high) > DUTY_MET } else { high > self.duty_high + DUTY_MET };
        if misses_low {
            let words = duty_words(knob, "the resistor to the discharge pin", low > self.duty_low);
            list.push(Unmet { field: "duty_low", reached: low, wanted: self.duty_low, words });
        }
        if misses_high {
            let words = duty_words(knob, "the end stop of the discharging half", high < self.duty_high);
            list.push(Unmet { field: "duty_high", reached: high, wanted: self.duty_high, words });
        }
        list
    }

    fn nothing(&self) -> Vec<Unmet> {
        let words =
            "No resistor fits: the one to the discharge pin is too small for that pin, or the charging path too \
                     large for the current into the threshold pin."
                .into();
        alloc::vec![Unmet { field: "frequency_hz", reached: 0.0, wanted: self.frequency_low_hz, words }]
    }

    fn values(&self) -> Values {
        match &self.stock {
            Stock::Preferred(preferred) => preferred.values(),
            Stock::Drawer(drawer) => Values {
                resistors: choice::resistors(&drawer.resistors_ohm),
                capacitors: choice::capacitors(&drawer.capacitors_f),
                pots_ohm: drawer.pots_ohm.clone().unwrap_or_default(),
            },
        }
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("part", |check| self.part.check(check));
        let row = self.part.row();
        check.within("supply_v", self.supply_v, row.supply_low_v, row.supply_high_v);
        check.within("temperature_degc", self.degc(), -40.0, 125.0);
        check.within("frequency_low_hz", self.frequency_low_hz, 1e-3, NO_DELAY_HZ.min(row.frequency_hz));
        let lowest_hz = self.frequency_low_hz.max(1e-3);
        check.within("frequency_high_hz", self.frequency_high_hz, lowest_hz, NO_DELAY_HZ.min(row.frequency_hz));
        check.within("duty_low", self.duty_low, 0.001, 0.999);
        check.within("duty_high", self.duty_high, self.duty_low.max(0.001), 0.999);
        check.within("same_error_ratio", self.same_error_ratio.unwrap_or(0.0), 0.0, 1.0);
        check.within("most", f64::from(self.most.unwrap_or(5)), 1.0, 20.0);
        if let Form::DiodeSteered(diode) = &self.form {
            check.inside("form", |check| check.inside("diode_steered", |check| diode.check(check)));
        } else if self.duty_high <= 0.5 {
            let accepted = "more than 0.5 with two resistors: form diode_steered goes below";
            check.note(Error::other("duty_high", format!("{}", self.duty_high), accepted));
        }
        check.inside("stock", |check| self.stock.check(check, self.diode().is_some()));
    }
}

fn duty_words(knob: bool, part: &str, smaller: bool) -> String {
    let change = if smaller { "smaller" } else { "larger" };
    if knob {
        format!("Of the parts, {part} stands in the way: a {change} one against the potentiometer would work.")
    } else {
        "Two resistors stand in the way: form diode_steered reaches every duty.".into()
    }
}

impl Preferred {
    fn values(&self) -> Values {
        let usual = self.dielectric.row();
        let resistors = choice::preferred(
            self.resistors,
            self.resistor_low_ohm.unwrap_or(1e3),
            self.resistor_high_ohm.unwrap_or(1e6),
        );
        let capacitors = choice::preferred(
            self.capacitors.unwrap_or(usual.series),
            self.capacitor_low_f.unwrap_or(usual.low_f),
            self.capacitor_high_f.unwrap_or(usual.high_f),
        );
        let pots_ohm = self.pots_ohm.clone().unwrap_or_else(|| choice::preferred(Series::E3, 1e3, 1e6));
        Values { resistors: choice::singles(&resistors), capacitors: choice::singles(&capacitors), pots_ohm }
    }

    fn check(&self, check: &mut Check) {
        let usual = self.dielectric.row();
        let low_ohm = self.resistor_low_ohm.unwrap_or(1e3);
        let low_f = self.capacitor_low_f.unwrap_or(usual.low_f);
        check.within("resistor_low_ohm", low_ohm, 1.0, 1e8);
        check.within("resistor_high_ohm", self.resistor_high_ohm.unwrap_or(1e6), low_ohm.max(1.0), 1e8);
        check.within("capacitor_low_f", low_f, 1e-12, 1e-1);
        check.within("capacitor_high_f", self.capacitor_high_f.unwrap_or(usual.high_f), low_f.max(1e-12), 1e-1);
        if let Some(pots_ohm) = &self.pots_ohm {
            choice::check_drawer(check, "pots_ohm", pots_ohm, 1.0, 1e8);
        }
        if check.is_clean() {
            let values = self.values();
            let most = |what: &[Made]| what.is_empty() || what.len() > 2000;
            if most(&values.resistors) {
                let given = format!("{} resistors of the series", values.resistors.len());
                check.note(Error::other("resistors", given, "1 to 2000 values between the two ends"));
            }
            if most(&values.capacitors) {
                let given = format!("{} capacitors of the series", values.capacitors.len());
                check.note(Error::other("capacitors", given, "1 to 2000 values between the two ends"));
            }
        }
    }
}

impl Stock {
    fn check(&self, check: &mut Check, knob: bool) {
        match self {
            Self::Preferred(preferred) => check.inside("preferred", |check| preferred.check(check)),
            Self::Drawer(drawer) => check.inside("drawer", |check| {
                choice::check_drawer(check, "resistors_ohm", &drawer.resistors_ohm, 1.0, 1e8);
                choice::check_drawer(check, "capacitors_f", &drawer.capacitors_f, 1e-12, 1e-1);
                match &drawer.pots_ohm {
                    Some(pots_ohm) => choice::check_drawer(check, "pots_ohm", pots_ohm, 1.0, 1e8),
                    None if knob => check.note(Error::missing("pots_ohm", "the potentiometers in the drawer, in ohms")),
                    None => {}
                }
            }),
        }
    }
}
