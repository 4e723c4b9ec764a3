//! Energy of a pack, and what it means for carrying it.
//!
//! ```text
//! energy_wh = series · parallel · nominal_v · cell_capacity_ah
//! ```
//!
//! The rules for passengers go by the rated energy; the largest credible capacity is used. The same rules ask for a type
//! that passed the test of UN 38.3, which a home-built pack has not: the energy alone never allows it on board or into
//! the post. Sources: rows of [`crate::data::transport`].

use crate::data::Source;
use crate::data::transport::{AIR_APPROVAL_SPARES, AIR_APPROVAL_WH, AIR_FREE_WH, AIR_SOURCE, TYPE_TEST_SOURCE};
use crate::error::{Check, Error};
use crate::quantity::Interval;
use crate::quantity::said::{Wording, wordings};
use alloc::vec::Vec;

/// The question how much energy a pack holds and how it may be carried.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Transport {
    /// Groups in series.
    pub series: u32,
    /// Cells in parallel in each group.
    pub parallel: u32,
    /// Nominal voltage of a cell, in volts.
    pub nominal_v: f64,
    /// Rated or measured capacity of a cell, in ampere-hours.
    pub cell_capacity_ah: Interval,
    /// Whether the pack's type passed the test of UN 38.3; a home-built pack has not.
    pub type_tested: bool,
}

/// What the passenger rules say by energy alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum AirClass {
    /// Up to 100 Wh: in the cabin.
    Cabin,
    /// Up to 160 Wh: in the cabin with the airline's approval, two spares at most.
    AskAirline,
    /// Above 160 Wh: not as a passenger's battery.
    NotAsPassenger,
}

/// Energy of a pack and how it may be carried.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct TransportAnswer {
    /// Energy at the nominal voltage, in watt-hours.
    pub energy_wh: Interval,
    /// What the passenger rules say by energy alone.
    pub by_energy: AirClass,
    /// Most spare batteries, where the class limits them.
    pub spares: Option<f64>,
    /// Energy up to which no approval is needed, in watt-hours.
    pub free_wh: f64,
    /// Energy up to which an approval may be given, in watt-hours.
    pub approval_wh: f64,
    /// Whether the pack may be carried on board or sent at all: only a tested type.
    pub may_fly_or_post: bool,
    /// The same in plain words.
    pub words: &'static str,
    /// Code of the words.
    pub code: &'static str,
    /// Source of the energies.
    pub source: Source,
    /// Source of the type test.
    pub type_test_source: Source,
}

impl Transport {
    pub(crate) fn check(&self, check: &mut Check) {
        check.within("series", f64::from(self.series), 1.0, 100.0);
        check.within("parallel", f64::from(self.parallel), 1.0, 100.0);
        check.within("nominal_v", self.nominal_v, 0.5, 5.0);
        self.cell_capacity_ah.note(check, "cell_capacity_ah", 0.01, 1000.0);
    }

    /// Energy of the pack and how it may be carried.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::Interval;
    /// # use cellwright::part::transport::{AirClass, Transport};
    /// let capacity = Interval { low: 2.4, likely: 2.6, high: 2.6 };
    /// let pack = Transport { series: 3, parallel: 2, nominal_v: 3.7, cell_capacity_ah: capacity, type_tested: false };
    /// let answer = pack.answer()?;
    /// assert!((answer.energy_wh.likely - 57.72).abs() < 1e-9);
    /// assert_eq!(answer.by_energy, AirClass::Cabin);
    /// assert!(!answer.may_fly_or_post);
    /// assert_eq!(Transport { series: 0, ..pack }.answer().unwrap_err()[0].field(), "series");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<TransportAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let cells_v = f64::from(self.series) * f64::from(self.parallel) * self.nominal_v;
        let Interval { low, likely, high } = self.cell_capacity_ah;
        let energy_wh = Interval { low: cells_v * low, likely: cells_v * likely, high: cells_v * high };
        let by_energy = if energy_wh.high <= AIR_FREE_WH {
            AirClass::Cabin
        } else if energy_wh.high <= AIR_APPROVAL_WH {
            AirClass::AskAirline
        } else {
            AirClass::NotAsPassenger
        };
        Ok(TransportAnswer {
            energy_wh,
            by_energy,
            spares: (by_energy == AirClass::AskAirline).then_some(AIR_APPROVAL_SPARES),
            free_wh: AIR_FREE_WH,
            approval_wh: AIR_APPROVAL_WH,
            may_fly_or_post: self.type_tested && by_energy != AirClass::NotAsPassenger,
            words: words(self.type_tested, by_energy).words,
            code: words(self.type_tested, by_energy).code,
            source: AIR_SOURCE,
            type_test_source: TYPE_TEST_SOURCE,
        })
    }
}

const fn words(type_tested: bool, by_energy: AirClass) -> Wording {
    match (type_tested, by_energy) {
        (false, _) => HOME_BUILT,
        (true, AirClass::Cabin) => CABIN,
        (true, AirClass::AskAirline) => ASK_AIRLINE,
        (true, AirClass::NotAsPassenger) => NOT_AS_PASSENGER,
    }
}

wordings! {
    HOME_BUILT: "transport_home_built", "Home-built, not type-tested: whatever its energy, do not take it on an aircraft and do not post it. By car or on foot: ends covered, fuse in, in a box that does not burn.";
    CABIN: "transport_cabin", "In the cabin, never in checked baggage; ends covered.";
    ASK_AIRLINE: "transport_ask_airline", "In the cabin with the airline's approval, at most two spares, never in checked baggage; ends covered.";
    NOT_AS_PASSENGER: "transport_not_as_passenger", "Too much energy for a passenger's battery: only as dangerous goods.";
}
