//! What the rules about charging look at.

use crate::error::{Check, Error};
use crate::finding::Finding;
use crate::part::charger::{CellFamily, ChargeGroup, Charger, ChargerWish};
use crate::quantity::Interval;
use alloc::string::String;
use alloc::vec::Vec;

/// Where the charge jack's wires go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum ChargeTerminals {
    /// To the charge terminals of the protection board.
    Board,
    /// Straight to the ends of the cells.
    Cells,
    /// Each group has a lead of its own to a charger that watches every one.
    EachGroup,
}

/// What cuts charging when one group gets too high.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum GroupCutOff {
    /// Nothing.
    None,
    /// A cut-off at each group.
    EachGroup {
        /// Group voltage at which it cuts, in volts.
        cut_off_v: Interval,
    },
}

/// Another supply about the house whose plug fits the charge jack.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OtherSupply {
    /// The maker's name for it.
    pub name: String,
    /// Its voltage, in volts.
    pub voltage_v: f64,
}

/// A pack, how it is charged and what watches it. What is left out and needed is named as not judged.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ChargingFacts {
    /// The maker's name for the pack.
    pub name: String,
    /// What the cells are.
    pub family: CellFamily,
    /// The groups in series, the most negative first; for lead-acid one entry for each 2 V cell.
    pub groups: Vec<ChargeGroup>,
    /// Charge voltage printed on the cells, in volts.
    pub printed_limit_v: Option<f64>,
    /// The charger.
    pub charger: Option<Charger>,
    /// Temperature of the cells while charging, in degrees Celsius.
    pub cell_degc: Option<Interval>,
    /// Where the charge jack's wires go.
    pub terminals: Option<ChargeTerminals>,
    /// What cuts charging when one group gets too high.
    pub group_cut_off: Option<GroupCutOff>,
    /// Whether something evens the groups out.
    pub balancing: Option<bool>,
    /// How far one group drifts from the others in a cycle, as a ratio of the capacity; common values where left out.
    pub drift_per_cycle_ratio: Option<Interval>,
    /// Cycles until the groups are measured again; 50 where left out.
    pub cycles: Option<f64>,
    /// Rated current of the jack, in amperes.
    pub connector_a: Option<f64>,
    /// Current that the thinnest charge wire stands, in amperes.
    pub wire_a: Option<f64>,
    /// Whether plug and jack were checked with a meter: plus is plus.
    pub polarity_checked: Option<bool>,
    /// Whether a pin of the jack or plug that fingers or metal can touch is live without its partner.
    pub live_bare_pin: Option<bool>,
    /// Other supplies about the house that fit the jack; an empty list where none does.
    pub other_supplies: Option<Vec<OtherSupply>>,
    /// Voltage that a diode in the charge path takes, in volts; left out where there is none.
    pub diode_v: Option<Interval>,
    /// Current that loads draw while charging, in amperes; 0 where the switch cuts them off.
    pub load_a: Option<Interval>,
    /// Whether the battery is charged in a closed box; for lead-acid.
    pub closed_box: Option<bool>,
    /// Whether somebody is awake and near while it charges, on a hard surface and away from the way out.
    pub attended: Option<bool>,
}

/// The findings about charging.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ChargingReview {
    /// Rules that are broken or could not be judged.
    pub findings: Vec<Finding>,
}

impl ChargingFacts {
    pub(crate) fn check(&self, check: &mut Check) {
        let unknown_degc = Interval::exact(20.0);
        self.wish_at(self.cell_degc.unwrap_or(unknown_degc)).check(check);
        if let Some(charger) = &self.charger {
            check.inside("charger", |check| charger.check(check));
        }
        if let Some(GroupCutOff::EachGroup { cut_off_v }) = &self.group_cut_off {
            check.inside("group_cut_off", |check| {
                check.inside("each_group", |check| cut_off_v.note(check, "cut_off_v", 0.5, 6.0));
            });
        }
        if let Some(drift) = self.drift_per_cycle_ratio {
            drift.note(check, "drift_per_cycle_ratio", 0.0, 1.0);
        }
        if let Some(cycles) = self.cycles {
            check.within("cycles", cycles, 1.0, 10000.0);
        }
        if let Some(diode_v) = self.diode_v {
            diode_v.note(check, "diode_v", 0.0, 5.0);
        }
        if let Some(load_a) = self.load_a {
            load_a.note(check, "load_a", 0.0, 1000.0);
        }
        let others = self.other_supplies.iter().flatten();
        for (i, other) in others.enumerate() {
            check.inside("other_supplies", |check| {
                check.inside(i, |check| check.within("voltage_v", other.voltage_v, 0.0, 500.0));
            });
        }
        if self.other_supplies.as_ref().is_some_and(|list| list.len() > 100) {
            check.note(Error::other("other_supplies", "more than 100 entries", "at most 100 entries"));
        }
    }

    /// What stands against charging like this.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    pub fn review(&self) -> Result<ChargingReview, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        Ok(ChargingReview { findings: super::judge(self, "") })
    }

    /// The question what charger the cells need at a temperature.
    pub(crate) fn wish_at(&self, cell_degc: Interval) -> ChargerWish {
        ChargerWish {
            family: self.family,
            groups: self.groups.clone(),
            printed_limit_v: self.printed_limit_v,
            cell_degc,
            connector_a: self.connector_a,
            wire_a: self.wire_a,
            supply_a: None,
        }
    }
}
