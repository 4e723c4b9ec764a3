//! Is this frequency right for that load?

use super::frequency_rules as rules;
use crate::data::blower::{FOUR_WIRE, TWO_WIRE_HIGH_HZ, TWO_WIRE_LOW_HZ};
use crate::error::{Check, Error};
use crate::finding::gathered::Gathered;
use crate::finding::{Finding, Subject};
use crate::quantity::Interval;
use alloc::string::String;
use alloc::vec::Vec;

/// What is chopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum LoadKind {
    /// A brushless blower with two wires, or three with a tachometer.
    TwoWireBlower,
    /// A blower with a control wire.
    FourWireBlower,
    /// A motor with brushes: drill, small blower, car washer.
    BrushedMotor,
    /// A pump whose motor has brushes.
    BrushedPump,
    /// A pump with electronics of its own.
    BrushlessPump,
    /// LEDs with a resistor.
    LedString,
    /// LEDs with a driver of their own.
    LedDriver,
    /// A heater.
    Heater,
    /// Anything else with electronics, such as a converter.
    Electronics,
}

/// A load and how it is chopped. What is left out and needed is named as not judged.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DriveCase {
    /// The maker's name for the load.
    pub name: String,
    /// What it is.
    pub load: LoadKind,
    /// Frequency over battery, temperature and knob, in hertz.
    pub frequency_hz: Option<Interval>,
    /// Whether its supply is chopped; `false` where only a control wire is.
    pub supply_chopped: Option<bool>,
    /// Whether its speed over the duty was measured on this supply.
    pub measured_curve: Option<bool>,
    /// Whether its tachometer wire is used.
    pub tachometer: Option<bool>,
    /// Highest voltage of its control wire, in volts.
    pub control_v: Option<f64>,
    /// Highest supply, in volts.
    pub supply_v: Option<f64>,
    /// Mean current, in amperes.
    pub average_a: Option<f64>,
    /// Inductance of a motor with brushes, in henries.
    pub motor_h: Option<f64>,
}

/// The findings of one case.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DriveFindings {
    /// Rules that are broken or could not be judged.
    pub findings: Vec<Finding>,
}

impl DriveCase {
    /// What stands against this frequency for this load.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::finding::drive::{DriveCase, LoadKind};
    /// # use cellwright::quantity::Interval;
    /// let case = DriveCase {
    ///     name: "seed blower".into(), load: LoadKind::FourWireBlower, frequency_hz: Some(Interval::exact(25e3)),
    ///     supply_chopped: Some(false), measured_curve: None, tachometer: Some(true), control_v: Some(5.0),
    ///     supply_v: None, average_a: None, motor_h: None,
    /// };
    /// assert!(case.review()?.findings.is_empty());
    /// let slow = DriveCase { frequency_hz: Some(Interval::exact(200.0)), ..case };
    /// assert_eq!(slow.review()?.findings[0].code, "drive_four_wire_slow");
    /// assert!(DriveCase { motor_h: Some(-1.0), ..slow }.review().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn review(&self) -> Result<DriveFindings, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        Ok(DriveFindings { findings: self.findings(&Subject::new("", self.name.as_str())) })
    }

    pub(crate) fn check(&self, check: &mut Check) {
        if let Some(frequency_hz) = &self.frequency_hz {
            frequency_hz.note(check, "frequency_hz", 0.0, 1e7);
        }
        let ranges = [
            ("control_v", self.control_v, 0.0, 60.0),
            ("supply_v", self.supply_v, 0.1, 60.0),
            ("average_a", self.average_a, 0.0, 1000.0),
            ("motor_h", self.motor_h, 1e-8, 100.0),
        ];
        for (field, value, low, high) in ranges {
            if let Some(value) = value {
                check.within(field, value, low, high);
            }
        }
    }

    /// The findings about `subject`, for a case that is already checked.
    pub(crate) fn findings(&self, subject: &Subject) -> Vec<Finding> {
        let mut gathered = Gathered::about(subject);
        match self.load {
            LoadKind::TwoWireBlower => self.two_wire(&mut gathered),
            LoadKind::FourWireBlower => self.four_wire(&mut gathered),
            LoadKind::BrushedMotor | LoadKind::BrushedPump => self.brushed(&mut gathered),
            LoadKind::BrushlessPump | LoadKind::LedDriver | LoadKind::Electronics => self.electronics(&mut gathered),
            LoadKind::LedString => self.led(&mut gathered),
            LoadKind::Heater => self.heater(&mut gathered),
        }
        gathered.findings
    }

    fn electronics(&self, gathered: &mut Gathered) {
        match self.supply_chopped {
            Some(true) if self.measured_curve != Some(true) => gathered.broken(&rules::OWN_ELECTRONICS, "", None, None),
            None => gathered.not_judged(&rules::OWN_ELECTRONICS, "supply_chopped"),
            Some(_) => {}
        }
        if self.supply_chopped == Some(true) && self.tachometer == Some(true) {
            gathered.broken(&rules::TACHOMETER, "", None, None);
        }
    }

    fn two_wire(&self, gathered: &mut Gathered) {
        self.electronics(gathered);
        if self.supply_chopped == Some(false) {
            return;
        }
        gathered.slow(&rules::TWO_WIRE_SLOW, self.frequency_hz, TWO_WIRE_LOW_HZ);
        gathered.fast(&rules::TWO_WIRE_FAST, self.frequency_hz, TWO_WIRE_HIGH_HZ);
    }

    fn four_wire(&self, gathered: &mut Gathered) {
        match self.supply_chopped {
            Some(true) => gathered.broken(&rules::FOUR_WIRE_SUPPLY, "", None, None),
            None => gathered.not_judged(&rules::FOUR_WIRE_SUPPLY, "supply_chopped"),
            Some(false) => {}
        }
        if self.supply_chopped == Some(true) && self.tachometer == Some(true) {
            gathered.broken(&rules::TACHOMETER, "", None, None);
        }
        gathered.slow(&rules::FOUR_WIRE_SLOW, self.frequency_hz, FOUR_WIRE.low_hz);
        gathered.fast(&rules::FOUR_WIRE_FAST, self.frequency_hz, FOUR_WIRE.high_hz);
        match self.control_v {
            None => gathered.not_judged(&rules::FOUR_WIRE_VOLTAGE, "control_v"),
            Some(control_v) if control_v > FOUR_WIRE.control_high_v => {
                gathered.broken(&rules::FOUR_WIRE_VOLTAGE, "", Some(control_v), Some(FOUR_WIRE.control_high_v));
            }
            Some(_) => {}
        }
    }

    fn brushed(&self, gathered: &mut Gathered) {
        let Some(frequency_hz) = self.frequency_hz else {
            gathered.not_judged(&rules::AUDIBLE, "frequency_hz");
            gathered.not_judged(&rules::RIPPLE, "frequency_hz");
            return;
        };
        if frequency_hz.high >= rules::AUDIBLE_LOW_HZ && frequency_hz.low <= rules::AUDIBLE_HIGH_HZ {
            gathered.broken(&rules::AUDIBLE, "", Some(frequency_hz.low), Some(rules::AUDIBLE_HIGH_HZ));
        }
        let (Some(supply_v), Some(average_a), Some(motor_h)) = (self.supply_v, self.average_a, self.motor_h) else {
            gathered.not_judged(&rules::RIPPLE, "supply_v, average_a and motor_h");
            return;
        };
        // The lowest frequency makes the largest ripple; at none the current breaks off for certain.
        let ripple_a = supply_v / (4.0 * motor_h * frequency_hz.low.max(1e-3));
        if ripple_a > average_a {
            gathered.broken(&rules::RIPPLE, "", Some(ripple_a), Some(average_a));
        }
    }

    fn led(&self, gathered: &mut Gathered) {
        let Some(frequency_hz) = self.frequency_hz else {
            gathered.not_judged(&rules::SEIZURE, "frequency_hz");
            gathered.not_judged(&rules::FLICKERS, "frequency_hz");
            return;
        };
        let (low_hz, high_hz) = rules::SEIZURE_HZ;
        if frequency_hz.low <= high_hz && frequency_hz.high >= low_hz {
            gathered.broken(&rules::SEIZURE, "", Some(frequency_hz.low), Some(high_hz));
        } else if frequency_hz.low < rules::LOW_RISK_FLICKER_HZ {
            gathered.broken(&rules::FLICKERS, "", Some(frequency_hz.low), Some(rules::LOW_RISK_FLICKER_HZ));
        }
    }

    fn heater(&self, gathered: &mut Gathered) {
        gathered.fast(&rules::HEATER_FAST, self.frequency_hz, rules::HEATER_HIGH_HZ);
        if self.supply_chopped == Some(true) {
            gathered.broken(&rules::HEATER_RMS, "", None, None);
        }
    }
}
