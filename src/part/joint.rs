//! A connector, joint, switch contact or fuse holder as a resistance with its ratings.
//!
//! ```text
//! drop_v = on_a · resistance_ohm          heat_w = rms_a² · resistance_ohm
//! ```
//!
//! A rating that is not known judges nothing: it is neither kept nor broken. A switch without a rating for direct
//! current proves nothing at direct current, whatever it says for alternating current: the arc has no zero to go out
//! at. Source: Ohm's law.

use crate::data::joint::{BARREL_3_5, BLADE_HOLDER, JointRow, XT60};
use crate::error::{Check, Error};
use crate::quantity::Interval;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// What kind of joint it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum JointKind {
    /// Round plug for direct current, 3.5 mm outside, 1.1 mm pin.
    Barrel3,
    /// Two-pole plug of model makers.
    Xt60,
    /// In-line holder for a blade fuse.
    BladeHolder,
    /// A switch.
    Switch,
    /// Anything else: a solder joint, a crimp, a screw.
    Other,
}

/// A joint with its current.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Joint {
    /// The maker's name for it.
    pub name: String,
    /// What kind it is.
    pub kind: JointKind,
    /// Resistance, in ohms, where it was measured.
    pub resistance_ohm: Option<Interval>,
    /// Largest direct current printed on it, in amperes; for the kinds with a data sheet that of the sheet otherwise.
    pub dc_rated_a: Option<f64>,
    /// Largest direct voltage printed on it, in volts.
    pub dc_rated_v: Option<f64>,
    /// RMS current, in amperes.
    pub rms_a: f64,
    /// Current while the load is on, in amperes; the RMS current where left out.
    pub on_a: Option<f64>,
    /// Highest voltage of the pack, in volts.
    pub pack_v: f64,
}

/// What a joint does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct JointAnswer {
    /// Resistance that was used, in ohms.
    pub resistance_ohm: Option<Interval>,
    /// Voltage lost while the load is on, in volts, at the most; from a plug's sheet, in each of its contacts.
    pub drop_v: Option<f64>,
    /// Heat, in watts, at the most; from a plug's sheet, in each of its contacts.
    pub heat_w: Option<f64>,
    /// Largest direct current, in amperes, where known.
    pub rated_a: Option<f64>,
    /// Whether the current is kept; nothing where no rating for direct current is known.
    pub keeps_current: Option<bool>,
    /// Whether the voltage is kept; nothing where no rating for direct current is known.
    pub keeps_voltage: Option<bool>,
}

impl JointKind {
    const fn row(self) -> Option<&'static JointRow> {
        match self {
            Self::Barrel3 => Some(&BARREL_3_5),
            Self::Xt60 => Some(&XT60),
            Self::BladeHolder => Some(&BLADE_HOLDER),
            Self::Switch | Self::Other => None,
        }
    }
}

impl Joint {
    /// What the joint does.
    ///
    /// # Errors
    ///
    /// Every value out of range, with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::joint::{Joint, JointKind};
    /// let plug = Joint {
    ///     name: "charge jack".into(), kind: JointKind::Barrel3, resistance_ohm: None, dc_rated_a: None,
    ///     dc_rated_v: None, rms_a: 5.0, on_a: None, pack_v: 12.6,
    /// };
    /// assert!((plug.answer()?.heat_w.unwrap() - 2.5).abs() < 1e-12);
    /// let switch = Joint { kind: JointKind::Switch, ..plug.clone() };
    /// assert_eq!(switch.answer()?.keeps_current, None);
    /// assert_eq!(Joint { rms_a: f64::NAN, ..plug }.answer().unwrap_err()[0].field(), "rms_a");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<JointAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let row = self.kind.row();
        let printed = row.and_then(|row| row.contact_ohm).map(|high| Interval { low: 0.0, likely: high, high });
        let resistance_ohm = self.resistance_ohm.or(printed);
        let rated_a = self.dc_rated_a.or(row.map(|row| row.rated_a));
        let rated_v = self.dc_rated_v.or(row.and_then(|row| row.rated_v));
        let on_a = self.on_a.unwrap_or(self.rms_a);
        Ok(JointAnswer {
            resistance_ohm,
            drop_v: resistance_ohm.map(|ohm| on_a * ohm.high),
            heat_w: resistance_ohm.map(|ohm| self.rms_a * self.rms_a * ohm.high),
            rated_a,
            keeps_current: rated_a.map(|rated_a| on_a.max(self.rms_a) <= rated_a),
            keeps_voltage: rated_v.map(|rated_v| self.pack_v <= rated_v),
        })
    }

    fn check(&self, check: &mut Check) {
        if let Some(ohm) = self.resistance_ohm {
            ohm.note(check, "resistance_ohm", 0.0, 100.0);
        }
        for (field, value) in [("dc_rated_a", self.dc_rated_a), ("on_a", self.on_a)] {
            if let Some(value) = value {
                check.within(field, value, 0.0, 1000.0);
            }
        }
        if let Some(dc_rated_v) = self.dc_rated_v {
            check.within("dc_rated_v", dc_rated_v, 0.1, 1000.0);
        }
        check.within("rms_a", self.rms_a, 0.0, 1000.0);
        if let Some(on_a) = self.on_a.filter(|on_a| *on_a < self.rms_a) {
            check.note(Error::other("on_a", format!("{on_a} A"), "no less than rms_a: an RMS value is never higher"));
        }
        check.within("pack_v", self.pack_v, 0.5, 100.0);
    }
}
