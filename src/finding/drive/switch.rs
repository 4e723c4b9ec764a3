//! Is this switch right?

use super::switch_rules as rules;
use crate::data::diode::Diode;
use crate::data::switch::TransistorRow;
use crate::error::{Check, Error};
use crate::finding::gathered::Gathered;
use crate::finding::{Finding, Subject};
use crate::part::decoupling::{SupplyCapacitor, SupplyCapacitorAnswer};
use crate::part::switch::{Heat, OnState, Switch, SwitchAnswer};
use alloc::string::String;
use alloc::vec::Vec;

/// A switch with what stands around it.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SwitchCase {
    /// The maker's name for the switch.
    pub name: String,
    /// The switch.
    pub switch: Switch,
    /// Whether its load is a coil: a motor, a pump, a relay; yes where left out.
    pub coil: Option<bool>,
    /// The capacitor across the supply.
    pub capacitor: Option<CapacitorCase>,
    /// Whether a keyed plug, a fuse with a diode or a transistor protects against a reversed pack.
    pub reverse_protected: Option<bool>,
}

/// A supply capacitor with what limits it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CapacitorCase {
    /// The capacitor in its place.
    pub capacitor: SupplyCapacitor,
    /// Ripple current it is rated for, RMS, in amperes.
    pub rated_ripple_a: Option<f64>,
    /// Current at which the protection board sees a short circuit, in amperes.
    pub board_a: Option<f64>,
    /// Melting value of the fuse, in ampere-squared seconds.
    pub fuse_a2s: Option<f64>,
    /// Largest current that the main switch may make, in amperes.
    pub contact_a: Option<f64>,
}

/// Numbers and findings.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SwitchReview {
    /// The switch.
    pub switch: SwitchAnswer,
    /// The supply capacitor, where there is one.
    pub capacitor: Option<SupplyCapacitorAnswer>,
    /// Rules that are broken or could not be judged.
    pub findings: Vec<Finding>,
}

impl SwitchCase {
    /// Numbers and findings of the switch.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::{switch::Transistor, timer::TimerPart};
    /// # use cellwright::finding::drive::SwitchCase;
    /// # use cellwright::part::switch::{Drive, Switch};
    /// let drive = Drive { timer: TimerPart::Bipolar, gate_ohm: 47.0, pull_down_ohm: Some(10e3) };
    /// let switch = Switch {
    ///     transistor: Transistor::Irfz44n, drive, supply_full_v: 12.6, supply_empty_v: 9.0, on_a: 3.0, duty: 1.0,
    ///     frequency_hz: 200.0, ambient_degc: 40.0, sink_k_per_w: None, flyback: None, duty_low: None,
    /// };
    /// let case =
    ///     SwitchCase { name: "pump switch".into(), switch, coil: None, capacitor: None, reverse_protected: None };
    /// let review = case.review()?;
    /// let codes: Vec<&str> = review.findings.iter().map(|finding| finding.code).collect();
    /// assert!(codes.contains(&"switch_gate_low") && codes.contains(&"switch_flyback_missing"));
    /// let wrong = SwitchCase { switch: Switch { duty: 2.0, ..switch }, ..case };
    /// assert_eq!(wrong.review().unwrap_err()[0].path(), "/switch/duty");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn review(&self) -> Result<SwitchReview, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let capacitor = match &self.capacitor {
            Some(case) => Some(case.capacitor.answer()?),
            None => None,
        };
        let switch = self.switch.worked();
        let findings = self.findings(&Subject::new("", self.name.as_str()), &switch, capacitor.as_ref());
        Ok(SwitchReview { switch, capacitor, findings })
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("switch", |check| self.switch.check(check));
        let Some(case) = &self.capacitor else { return };
        check.inside("capacitor", |check| {
            check.inside("capacitor", |check| case.capacitor.check(check));
            let ranges = [
                ("rated_ripple_a", case.rated_ripple_a, 1e-3, 1000.0),
                ("board_a", case.board_a, 0.1, 10000.0),
                ("fuse_a2s", case.fuse_a2s, 1e-6, 1e7),
                ("contact_a", case.contact_a, 1e-3, 10000.0),
            ];
            for (field, value, low, high) in ranges {
                if let Some(value) = value {
                    check.within(field, value, low, high);
                }
            }
        });
    }

    /// The findings about `subject`, for a case that is already checked and worked out.
    pub(crate) fn findings(
        &self,
        subject: &Subject,
        switch: &SwitchAnswer,
        capacitor: Option<&SupplyCapacitorAnswer>,
    ) -> Vec<Finding> {
        let mut gathered = Gathered::about(subject);
        self.driven(&mut gathered, switch);
        self.heat(&mut gathered, switch);
        self.ratings(&mut gathered);
        self.flyback(&mut gathered, switch);
        self.capacitor(&mut gathered, capacitor);
        match self.reverse_protected {
            None => gathered.not_judged(&rules::REVERSED, "reverse_protected"),
            Some(false) => gathered.broken(&rules::REVERSED, "", None, None),
            Some(true) => {}
        }
        gathered.broken(&rules::FAILS_ON, "", None, None);
        gathered.findings
    }

    fn driven(&self, gathered: &mut Gathered, switch: &SwitchAnswer) {
        if let OnState::NotGuaranteed(not) = &switch.on {
            let rule = if not.unit == "v" { &rules::GATE_LOW } else { &rules::BASE_LOW };
            gathered.broken(rule, "", Some(not.given), Some(not.needed));
        }
        if let TransistorRow::Mosfet(mosfet) = self.switch.transistor.row() {
            gathered.above(&rules::GATE_HIGH, "", switch.gate.gate_high_v, mosfet.gate_high_v);
            if self.switch.drive.gate_ohm < 1.0 {
                gathered.broken(&rules::GATE_RESISTOR, "", Some(self.switch.drive.gate_ohm), None);
            }
        }
        if self.switch.drive.pull_down_ohm.is_none() {
            gathered.broken(&rules::PULL_DOWN, "", None, None);
        }
        if let Some((rise_s, fall_s)) = switch.gate.rise_s.zip(switch.gate.fall_s) {
            gathered.above(&rules::EDGES, "", (rise_s + fall_s) * self.switch.frequency_hz, rules::EDGE_RATIO);
        }
    }

    fn heat(&self, gathered: &mut Gathered, switch: &SwitchAnswer) {
        let high_degc = match self.switch.transistor.row() {
            TransistorRow::Mosfet(mosfet) => mosfet.junction_high_degc,
            TransistorRow::Bipolar(bipolar) => bipolar.junction_high_degc,
        };
        match switch.with_sink.unwrap_or(switch.without_sink) {
            Heat::Settles(settled) => {
                gathered.above(&rules::HOT, "", settled.junction_degc, high_degc - rules::HOT_MARGIN_K);
            }
            Heat::TooHot | Heat::RunsAway => gathered.broken(&rules::TOO_HOT, "", None, Some(high_degc)),
            Heat::NotKnown => gathered.not_judged(&rules::TOO_HOT, "a transistor that is known to be fully on"),
        }
    }

    fn ratings(&self, gathered: &mut Gathered) {
        let (rated_v, rated_a) = match self.switch.transistor.row() {
            TransistorRow::Mosfet(mosfet) => (mosfet.drain_v, mosfet.drain_a),
            TransistorRow::Bipolar(bipolar) => (bipolar.collector_v, bipolar.collector_a),
        };
        gathered.below(&rules::VOLTAGE, "", rated_v, rules::VOLTAGE_MARGIN_RATIO * self.switch.supply_full_v);
        gathered.above(&rules::CURRENT, "", self.switch.on_a, rated_a);
    }

    fn flyback(&self, gathered: &mut Gathered, switch: &SwitchAnswer) {
        let coil = self.coil.unwrap_or(true);
        let (Some(diode), Some(flyback)) = (&self.switch.flyback, &switch.flyback) else {
            if coil {
                gathered.broken(&rules::FLYBACK_MISSING, "", None, None);
            }
            return;
        };
        gathered.above(&rules::FLYBACK_CURRENT, "", flyback.average_a, flyback.average_high_a);
        let needed_v = rules::VOLTAGE_MARGIN_RATIO * self.switch.supply_full_v;
        gathered.below(&rules::FLYBACK_VOLTAGE, "", flyback.reverse_high_v, needed_v);
        if *diode == Diode::Silicon {
            gathered.above(&rules::FLYBACK_SLOW, "", self.switch.frequency_hz, rules::SLOW_DIODE_HZ);
        }
    }

    fn capacitor(&self, gathered: &mut Gathered, answer: Option<&SupplyCapacitorAnswer>) {
        let (Some(case), Some(answer)) = (&self.capacitor, answer) else {
            gathered.broken(&rules::CAPACITOR_MISSING, "", None, None);
            return;
        };
        let fuse_a2s = case.fuse_a2s.map(|a2s| a2s * rules::FUSE_PULSE_RATIO);
        let rows = [
            (&rules::CAPACITOR_RIPPLE, answer.ripple_a, case.rated_ripple_a, "rated_ripple_a"),
            (&rules::RUSH_BOARD, answer.rush_a, case.board_a, "board_a"),
            (&rules::RUSH_FUSE, answer.rush_a2s, fuse_a2s, "fuse_a2s"),
            (&rules::RUSH_SWITCH, answer.rush_a, case.contact_a, "contact_a"),
        ];
        for (rule, measured, limit, needs) in rows {
            match limit {
                Some(limit) => gathered.above(rule, "", measured, limit),
                None => gathered.not_judged(rule, needs),
            }
        }
    }
}
