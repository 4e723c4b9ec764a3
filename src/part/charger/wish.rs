//! The question what charger a pack needs.

use super::need::{ChargeMethod, ChargerAnswer, ChargerNeed, CurrentBand, CurrentLimit, NoFigure};
use super::need::{PreChargeNeed, RapidCharge};
use super::{CellFamily, rows};
use crate::data::charger::{LEAD_ACID, LITHIUM_BANDS, NICKEL, PreCharge};
use crate::data::chemistry::{LCO_LIMITS, LFP_LIMITS, Limits};
use crate::data::{COMMON_PRACTICE, Source};
use crate::error::{Check, Error};
use crate::quantity::Interval;
use alloc::boxed::Box;
use alloc::vec::Vec;

/// Most groups in series.
const SERIES_MAX: usize = 100;

/// A used cell takes no more than this, whatever its data sheet says of a fresh one, in multiples of the measured
/// capacity. Common practice, no source.
const SHEET_MOST_C: f64 = 1.0;

/// A group of parallel cells that is to be charged, or one cell.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ChargeGroup {
    /// Measured capacity, in ampere-hours.
    pub capacity_ah: Interval,
    /// Highest charge current by the cells' data sheet, all cells of the group together, in amperes.
    pub charge_limit_a: Option<f64>,
    /// Lowest voltage at which one of its cells was found, in volts.
    pub found_v: Option<f64>,
}

/// The question what charger a pack needs.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ChargerWish {
    /// What the cells are.
    pub family: CellFamily,
    /// The groups in series; for lead-acid one entry for each 2 V cell, six in a 12 V block.
    pub groups: Vec<ChargeGroup>,
    /// Charge voltage printed on the cells, in volts.
    pub printed_limit_v: Option<f64>,
    /// Temperature of the cells while charging, in degrees Celsius.
    pub cell_degc: Interval,
    /// Rated current of the jack or connector, in amperes.
    pub connector_a: Option<f64>,
    /// Current that the thinnest charge wire stands, in amperes.
    pub wire_a: Option<f64>,
    /// Most current that the supply behind the charger can give, in amperes.
    pub supply_a: Option<f64>,
}

impl ChargerWish {
    pub(crate) fn check(&self, check: &mut Check) {
        if !(1..=SERIES_MAX).contains(&self.groups.len()) {
            check.note(Error::range("groups", self.groups.len() as f64, 1.0, SERIES_MAX as f64));
        }
        for (i, group) in self.groups.iter().enumerate() {
            check.inside("groups", |check| check.inside(i, |check| group.check(check)));
        }
        if let Some(printed_limit_v) = self.printed_limit_v {
            check.within("printed_limit_v", printed_limit_v, 1.0, 5.0);
        }
        self.cell_degc.note(check, "cell_degc", -40.0, 85.0);
        for (field, value) in [("connector_a", self.connector_a), ("wire_a", self.wire_a), ("supply_a", self.supply_a)]
        {
            if let Some(value) = value {
                check.within(field, value, 0.001, 1000.0);
            }
        }
    }

    /// What charger the pack needs.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::Interval;
    /// # use cellwright::part::charger::{CellFamily, ChargeGroup, ChargerAnswer, ChargerWish};
    /// let group = |low| ChargeGroup {
    ///     capacity_ah: Interval { low, likely: low + 0.1, high: low + 0.2 },
    ///     charge_limit_a: None,
    ///     found_v: Some(3.4),
    /// };
    /// let mut wish = ChargerWish {
    ///     family: CellFamily::LithiumIon,
    ///     groups: vec![group(4.0), group(3.6), group(4.2)],
    ///     printed_limit_v: None,
    ///     cell_degc: Interval { low: 15.0, likely: 20.0, high: 30.0 },
    ///     connector_a: Some(5.0),
    ///     wire_a: None,
    ///     supply_a: None,
    /// };
    /// let Ok(ChargerAnswer::Charge(need)) = wish.answer() else { panic!() };
    /// assert!((need.voltage_v.unwrap() - 12.6).abs() < 1e-12);
    /// assert!((need.current_a - 1.8).abs() < 1e-12);
    /// wish.groups[1].found_v = Some(1.7);
    /// assert!(matches!(wish.answer(), Ok(ChargerAnswer::Recycle { group: 1, .. })));
    /// wish.cell_degc.low = f64::NAN;
    /// assert_eq!(wish.answer().unwrap_err()[0].field(), "cell_degc");
    /// ```
    pub fn answer(&self) -> Result<ChargerAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let family = Family::of(self.family);
        let Some(family) = family else {
            return Ok(ChargerAnswer::NoFigure { why: NoFigure::Unidentified, limit_degc: None });
        };
        if let Some(recycle) = self.recycle() {
            return Ok(recycle);
        }
        let (coldest, hottest) = family.window();
        if self.cell_degc.low < coldest {
            return Ok(ChargerAnswer::NoFigure { why: NoFigure::TooCold, limit_degc: Some(coldest) });
        }
        if self.cell_degc.high > hottest {
            return Ok(ChargerAnswer::NoFigure { why: NoFigure::TooHot, limit_degc: Some(hottest) });
        }
        Ok(ChargerAnswer::Charge(Box::new(self.need(&family))))
    }

    /// Lowest and highest cell temperature at which cells of this family may be charged, in degrees Celsius.
    pub(crate) fn window_degc(&self) -> Option<Interval> {
        let (low, high) = Family::of(self.family)?.window();
        Some(Interval { low, likely: 0.5 * (low + high), high })
    }

    /// The first group with a lithium cell that is given up.
    fn recycle(&self) -> Option<ChargerAnswer> {
        let under_v = self.family.lithium()?.give_up_v;
        let given_up = |group: &ChargeGroup| group.found_v.is_some_and(|found_v| found_v < under_v);
        let group = self.groups.iter().position(given_up)?;
        let found_v = self.groups.get(group)?.found_v?;
        Some(ChargerAnswer::Recycle { group, found_v, under_v, source: COMMON_PRACTICE })
    }

    fn need(&self, family: &Family) -> ChargerNeed {
        let (current_a, limited_by, weakest_group) = self.current(family);
        let mut need = ChargerNeed {
            method: family.method,
            series: self.groups.len(),
            voltage_v: None,
            voltage_most_v: None,
            voltage_v_per_k: 0.0,
            float_v: None,
            current_a,
            limited_by,
            weakest_group,
            end_a: None,
            end_s: None,
            print_asks_more: false,
            bands: self.bands(family),
            pre_charge: None,
            rapid: None,
            voltage_source: family.voltage_source,
            end_source: family.end_source,
        };
        match (self.family.lithium(), self.family.upper_v()) {
            (Some(limits), Some(upper_v)) => self.lithium(&mut need, family, limits, upper_v),
            _ if self.family == CellFamily::LeadAcid => self.lead_acid(&mut need),
            _ => self.nickel(&mut need),
        }
        need
    }

    fn lithium(&self, need: &mut ChargerNeed, family: &Family, limits: &Limits, upper_v: f64) {
        let (series, least_ah) = (need.series as f64, self.least_ah());
        let cell_v = self.printed_limit_v.map_or(limits.charge_v, |printed_v| printed_v.min(limits.charge_v));
        need.voltage_v = Some(series * cell_v);
        need.voltage_most_v = Some(series * (cell_v + upper_v - limits.charge_v));
        need.print_asks_more = self.printed_limit_v.is_some_and(|printed_v| printed_v > limits.charge_v);
        need.end_a = Some(rows::LITHIUM_END_C * least_ah);
        need.pre_charge = family.pre_charge.map(|row| self.pre_charge(&row, least_ah));
    }

    fn lead_acid(&self, need: &mut ChargerNeed) {
        let series = need.series as f64;
        let at = |cell_v: f64, per_k: f64, degc: f64| series * (cell_v + per_k * (degc - 25.0));
        let ([cycle_v, cycle_most_v], [float_v, float_most_v]) = (LEAD_ACID.cycle_v, LEAD_ACID.float_v);
        let Interval { likely, high, .. } = self.cell_degc;
        need.voltage_v = Some(at(cycle_v, LEAD_ACID.cycle_v_per_k, likely));
        need.voltage_most_v = Some(at(cycle_most_v, LEAD_ACID.cycle_v_per_k, high));
        need.voltage_v_per_k = series * LEAD_ACID.cycle_v_per_k;
        need.float_v = Some(at(0.5 * (float_v + float_most_v), LEAD_ACID.float_v_per_k, likely));
        need.end_a = Some(LEAD_ACID.end_c * self.least_ah());
    }

    /// The standard charge of the smallest group, longer where something else asks for less current.
    fn nickel(&self, need: &mut ChargerNeed) {
        let least_ah = self.least_ah();
        need.end_s = Some(NICKEL.standard_s * NICKEL.standard_c * least_ah / need.current_a);
        need.rapid = Some(RapidCharge {
            current_a: self.others_a().min(NICKEL.rapid_c * least_ah),
            drop_v: need.series as f64 * NICKEL.drop_v,
            longest_s: NICKEL.rapid_s,
            to_degc: NICKEL.rapid_to_degc,
        });
    }

    /// Capacity of the weakest group, in ampere-hours.
    fn least_ah(&self) -> f64 {
        self.groups.iter().map(|group| group.capacity_ah.low).fold(f64::MAX, f64::min)
    }

    fn pre_charge(&self, row: &PreCharge, least_ah: f64) -> PreChargeNeed {
        let low = |group: &ChargeGroup| group.found_v.is_some_and(|found_v| found_v < row.until_v);
        PreChargeNeed {
            until_v: row.until_v,
            current_a: row.current_c * least_ah,
            longest_s: row.longest_s,
            applies: self.groups.iter().any(low),
            source: row.source,
        }
    }

    /// Least current of connector, wire and supply.
    fn others_a(&self) -> f64 {
        [self.connector_a, self.wire_a, self.supply_a].into_iter().flatten().fold(f64::MAX, f64::min)
    }

    /// The charge current, what sets it and the weakest group.
    fn current(&self, family: &Family) -> (f64, CurrentLimit, usize) {
        let rate_c = family.worst_c(&self.cell_degc);
        let mut least = (f64::MAX, CurrentLimit::CellCapacity, 0);
        for (i, group) in self.groups.iter().enumerate() {
            let (current_a, by) = group.limit(rate_c, family);
            if current_a < least.0 {
                least = (current_a, by, i);
            }
        }
        let (mut current_a, mut limited_by, weakest) = least;
        for (other, by) in [
            (self.connector_a, CurrentLimit::Connector),
            (self.wire_a, CurrentLimit::Wire),
            (self.supply_a, CurrentLimit::Supply),
        ] {
            if let Some(other_a) = other
                && other_a < current_a
            {
                (current_a, limited_by) = (other_a, by);
            }
        }
        (current_a, limited_by, weakest)
    }

    fn bands(&self, family: &Family) -> Vec<CurrentBand> {
        let others_a = self.others_a();
        let band = |row: &rows::ChargeBand| {
            let limits = self.groups.iter().map(|group| group.limit(row.current_c, family).0);
            let current_a = limits.fold(others_a, f64::min);
            CurrentBand { from_degc: row.from_degc, to_degc: row.to_degc, current_a, source: row.source }
        };
        family.bands.iter().map(band).collect()
    }
}

impl ChargeGroup {
    fn check(&self, check: &mut Check) {
        self.capacity_ah.note(check, "capacity_ah", 0.01, 10000.0);
        if let Some(charge_limit_a) = self.charge_limit_a {
            check.within("charge_limit_a", charge_limit_a, 0.001, 1000.0);
        }
        if let Some(found_v) = self.found_v {
            check.within("found_v", found_v, 0.0, 5.0);
        }
    }

    /// Highest charge current at a rate. At the usual rate a data sheet replaces it, up to 1C of the measured capacity;
    /// a charge by the clock never goes faster than its rate.
    fn limit(&self, rate_c: f64, family: &Family) -> (f64, CurrentLimit) {
        let usual = rate_c >= family.usual_c() && family.method != ChargeMethod::CurrentByClock;
        let most_c = if usual && self.charge_limit_a.is_some() { rate_c.max(SHEET_MOST_C) } else { rate_c };
        let by_capacity_a = most_c * self.capacity_ah.low;
        match self.charge_limit_a {
            Some(sheet_a) if sheet_a <= by_capacity_a => (sheet_a, CurrentLimit::CellSheet),
            _ => (by_capacity_a, CurrentLimit::CellCapacity),
        }
    }
}

/// What charging knows about a family.
struct Family {
    method: ChargeMethod,
    bands: Vec<rows::ChargeBand>,
    pre_charge: Option<PreCharge>,
    voltage_source: Source,
    end_source: Source,
}

impl Family {
    fn of(family: CellFamily) -> Option<Self> {
        let one = |current_c: f64, [from_degc, to_degc]: [f64; 2], source: Source| {
            alloc::vec![rows::ChargeBand { from_degc, to_degc, current_c, source }]
        };
        let lithium = |limits: &Limits, pre_charge: PreCharge| Self {
            method: ChargeMethod::CurrentThenVoltage,
            bands: LITHIUM_BANDS.to_vec(),
            pre_charge: Some(pre_charge),
            voltage_source: limits.voltage_source,
            end_source: rows::LITHIUM_END_SOURCE,
        };
        match family {
            CellFamily::LithiumIon => Some(lithium(&LCO_LIMITS, rows::LI_ION_PRE_CHARGE)),
            CellFamily::LithiumIronPhosphate => Some(lithium(&LFP_LIMITS, rows::LFP_PRE_CHARGE)),
            CellFamily::LeadAcid => Some(Self {
                method: ChargeMethod::CurrentThenCompensatedVoltage,
                bands: one(LEAD_ACID.current_c, LEAD_ACID.charge_degc, LEAD_ACID.source),
                pre_charge: None,
                voltage_source: LEAD_ACID.source,
                end_source: LEAD_ACID.source,
            }),
            CellFamily::NickelMetalHydride => Some(Self {
                method: ChargeMethod::CurrentByClock,
                bands: one(NICKEL.standard_c, NICKEL.standard_degc, NICKEL.source),
                pre_charge: None,
                voltage_source: NICKEL.source,
                end_source: NICKEL.source,
            }),
            CellFamily::Unidentified => None,
        }
    }

    /// Lowest and highest cell temperature.
    fn window(&self) -> (f64, f64) {
        let low = self.bands.iter().map(|band| band.from_degc).fold(f64::MAX, f64::min);
        let high = self.bands.iter().map(|band| band.to_degc).fold(f64::MIN, f64::max);
        (low, high)
    }

    /// The rate of the warmest band.
    fn usual_c(&self) -> f64 {
        self.bands.iter().map(|band| band.current_c).fold(0.0, f64::max)
    }

    /// Least rate of the bands that the temperatures touch; at the border of two bands the warmer one holds.
    fn worst_c(&self, cell_degc: &Interval) -> f64 {
        let coldest = self.bands.iter().rev().find(|band| cell_degc.low >= band.from_degc);
        coldest.map_or(0.0, |band| band.current_c)
    }
}
