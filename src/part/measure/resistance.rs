//! Resistance of a cell from the fall of its voltage between two currents.
//!
//! ```text
//! resistance_ohm = (first cell_v − second cell_v) / (second current − first current)
//! current        = what an ammeter shows, or cell_v / resistor_ohm
//! ```
//!
//! With resistors as loads the voltmeter's gain falls out of the result. The value belongs to the time after which the
//! second voltage was read: a cell's resistance grows while the current flows. Holds where nothing else changes between
//! the readings, so within minutes. Source: Ohm's law; meter errors as in [`super`].

use super::{Ammeter, Voltmeter, check_same_range, span};
use crate::error::{Check, Error};
use crate::quantity::Interval;

/// Half width over likely value above which a reading is called coarse. Own choice.
pub const COARSE_RATIO: f64 = 0.2;

/// The current at a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum LoadCurrent {
    /// Nothing connected but the voltmeter.
    Open,
    /// An ammeter shows it.
    Shown {
        /// The reading, in amperes.
        current_a: f64,
    },
    /// A resistor across the cell sets it.
    Resistor {
        /// The resistor with its leads, hot as it was, in ohms.
        resistor_ohm: Interval,
    },
}

/// A voltage with the current that flowed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LoadReading {
    /// Voltage read at the cell's own ends, in volts.
    pub cell_v: f64,
    /// The current out of the cell.
    pub current: LoadCurrent,
}

/// Asks for the resistance from two loads.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TwoLoads {
    /// The voltmeter.
    pub voltmeter: Voltmeter,
    /// Whether both voltages were read with it on the same range.
    pub same_range: bool,
    /// The ammeter, where one was used, on the same range both times.
    pub ammeter: Option<Ammeter>,
    /// The smaller current, or none.
    pub light: LoadReading,
    /// The larger current.
    pub heavy: LoadReading,
    /// How long the larger current had flowed at the reading, in seconds.
    pub after_s: f64,
}

/// Asks for the resistance from one pulse.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PulseReading {
    /// The voltmeter.
    pub voltmeter: Voltmeter,
    /// Whether both voltages were read with it on the same range.
    pub same_range: bool,
    /// The ammeter, where one was used.
    pub ammeter: Option<Ammeter>,
    /// Voltage at rest just before, in volts.
    pub rest_v: f64,
    /// Voltage and current in the pulse.
    pub pulse: LoadReading,
    /// Time from the start of the pulse to the reading, in seconds.
    pub after_s: f64,
}

/// A measured resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct MeasuredResistance {
    /// The resistance, in ohms; none where the readings cannot tell it from nothing.
    pub resistance_ohm: Option<Interval>,
    /// Direct current after so long, in seconds.
    pub after_s: f64,
    /// Difference of the currents at the likely values, in amperes.
    pub current_a: f64,
    /// Fall of the voltage that was read, in volts.
    pub drop_v: f64,
    /// How far the difference of the two voltages may be off beside the gain, in volts.
    pub error_v: f64,
    /// What is needed, where the doubt is more than [`COARSE_RATIO`] of the value.
    pub coarse: Option<Coarse>,
}

/// What would bring the doubt down to [`COARSE_RATIO`].
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Coarse {
    /// Voltage fall that this meter needs, in volts: take a larger current.
    pub drop_v: f64,
    /// Or the smallest step that a meter with as many digits of doubt must show, in volts; none where no voltage fell.
    pub step_v: Option<f64>,
}

impl LoadReading {
    fn check(&self, check: &mut Check, has_ammeter: bool) {
        check.within("cell_v", self.cell_v, 0.1, 100.0);
        match self.current {
            LoadCurrent::Open => {}
            LoadCurrent::Shown { current_a } => {
                check.inside("current", |check| {
                    check.inside("shown", |check| check.within("current_a", current_a, 0.0, 1000.0));
                });
                if !has_ammeter {
                    check.note(Error::missing("ammeter", "the accuracy of the ammeter that showed the current"));
                }
            }
            LoadCurrent::Resistor { resistor_ohm } => check.inside("current", |check| {
                check.inside("resistor", |check| resistor_ohm.note(check, "resistor_ohm", 1e-3, 1e6));
            }),
        }
    }

    /// True current for a true voltage, the ammeter's extremes and the resistor's.
    fn true_a(&self, true_v: f64, ammeter: Option<&Ammeter>, [gain, rest, resistor]: [f64; 3]) -> f64 {
        match self.current {
            LoadCurrent::Open => 0.0,
            LoadCurrent::Shown { current_a } => {
                ammeter.map_or(current_a, |ammeter| ammeter.true_a(current_a, gain, rest))
            }
            LoadCurrent::Resistor { resistor_ohm } => {
                let ends = if resistor > 0.0 { resistor_ohm.high } else { resistor_ohm.low };
                true_v / if resistor == 0.0 { resistor_ohm.likely } else { ends }
            }
        }
    }
}

impl TwoLoads {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("voltmeter", |check| self.voltmeter.check(check));
        check_same_range(check, self.same_range);
        if let Some(ammeter) = &self.ammeter {
            check.inside("ammeter", |check| ammeter.check(check));
        }
        check.inside("light", |check| self.light.check(check, self.ammeter.is_some()));
        check.inside("heavy", |check| self.heavy.check(check, self.ammeter.is_some()));
        check.within("after_s", self.after_s, 0.01, 600.0);
        if check.is_clean() && self.current_a() <= 0.0 {
            let given = alloc::format!("{:.3} A more than the light load's", self.current_a());
            check.note(Error::other("heavy", given, "more current than in the light load"));
        }
    }

    fn current_a(&self) -> f64 {
        let likely = |reading: &LoadReading| reading.true_a(reading.cell_v, None, [0.0; 3]);
        likely(&self.heavy) - likely(&self.light)
    }

    /// The resistance with its doubt.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs; readings of two meters or ranges; a heavy load that is not heavier.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::measure::Voltmeter;
    /// # use cellwright::part::measure::resistance::{LoadCurrent, LoadReading, TwoLoads};
    /// # use cellwright::Interval;
    /// let resistor = |ohm| LoadCurrent::Resistor { resistor_ohm: Interval::around(ohm, 0.01) };
    /// let test = TwoLoads {
    ///     voltmeter: Voltmeter { reading_ratio: 0.005, digits: 2.0, step_v: 0.001 },
    ///     same_range: true,
    ///     ammeter: None,
    ///     light: LoadReading { cell_v: 3.800, current: LoadCurrent::Open },
    ///     heavy: LoadReading { cell_v: 3.700, current: resistor(3.7) },
    ///     after_s: 10.0,
    /// };
    /// let ohm = test.answer()?.resistance_ohm.unwrap();
    /// assert!((ohm.likely - 0.1).abs() < 1e-12);
    /// // 4 mV of 100 mV and 1 % of the resistor: the 0.5 % of 3.8 V, which is 19 mV, do not count.
    /// assert!(ohm.low > 0.094 && ohm.high < 0.106);
    /// assert!(TwoLoads { same_range: false, ..test }.answer().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<MeasuredResistance, alloc::vec::Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let meter = &self.voltmeter;
        let law = |signs: &[f64; super::EXTREMES]| {
            let [gain, light, heavy, gain_a, light_a, heavy_a, light_ohm, heavy_ohm] = *signs;
            let ammeter = self.ammeter.as_ref();
            let light_v = meter.true_v(self.light.cell_v, gain, light);
            let heavy_v = meter.true_v(self.heavy.cell_v, gain, heavy);
            let more_a = self.heavy.true_a(heavy_v, ammeter, [gain_a, heavy_a, heavy_ohm])
                - self.light.true_a(light_v, ammeter, [gain_a, light_a, light_ohm]);
            (more_a > 0.0).then(|| (light_v - heavy_v) / more_a)
        };
        let drop_v = self.light.cell_v - self.heavy.cell_v;
        let current_a = self.current_a();
        let likely = drop_v / current_a;
        let ends = span(law).filter(|(low, _)| *low > 0.0);
        let resistance_ohm = ends.map(|(low, high)| Interval { low, likely, high });
        let error_v = 2.0 * meter.error_v();
        let coarse = resistance_ohm.is_none_or(|ohm| 0.5 * (ohm.high - ohm.low) > COARSE_RATIO * ohm.likely);
        let needs = Coarse {
            drop_v: error_v / (0.5 * COARSE_RATIO),
            step_v: (drop_v > 0.0).then(|| drop_v * 0.5 * COARSE_RATIO / (2.0 * meter.digits)),
        };
        Ok(MeasuredResistance {
            resistance_ohm,
            after_s: self.after_s,
            current_a,
            drop_v,
            error_v,
            coarse: coarse.then_some(needs),
        })
    }
}

impl PulseReading {
    /// The resistance with its doubt.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs; readings of two meters or ranges; a pulse without current.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::measure::{Ammeter, Voltmeter};
    /// # use cellwright::part::measure::resistance::{LoadCurrent, LoadReading, PulseReading};
    /// let test = PulseReading {
    ///     voltmeter: Voltmeter { reading_ratio: 0.005, digits: 2.0, step_v: 0.01 },
    ///     same_range: true,
    ///     ammeter: Some(Ammeter { reading_ratio: 0.01, digits: 3.0, step_a: 0.01 }),
    ///     rest_v: 3.80,
    ///     pulse: LoadReading { cell_v: 3.77, current: LoadCurrent::Shown { current_a: 1.0 } },
    ///     after_s: 1.0,
    /// };
    /// let answer = test.answer()?;
    /// // 30 mV in steps of 10 mV, each reading ± 2 steps: nothing can be told.
    /// assert_eq!(answer.resistance_ohm, None);
    /// assert!(answer.coarse.unwrap().drop_v > 0.2);
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<MeasuredResistance, alloc::vec::Vec<Error>> {
        let placed = |error: Error| {
            let path = error.path();
            match path.strip_prefix("/light") {
                Some(_) => error.placed("/rest_v"),
                None => match path.strip_prefix("/heavy") {
                    Some(rest) => error.placed(alloc::format!("/pulse{rest}")),
                    None => error,
                },
            }
        };
        let test = TwoLoads {
            voltmeter: self.voltmeter,
            same_range: self.same_range,
            ammeter: self.ammeter,
            light: LoadReading { cell_v: self.rest_v, current: LoadCurrent::Open },
            heavy: self.pulse,
            after_s: self.after_s,
        };
        test.answer().map_err(|errors| errors.into_iter().map(placed).collect())
    }
}
