//! How many groups in series and cells in parallel.
//!
//! ```text
//! series    every S with S · full_v ≤ high_v; its groups stop at the higher of the chemistry's floor and low_v / S
//! usable    = soc(rest at full_v) − soc(rest at the stop)
//! parallel  = the higher of current_a · runtime_s / (3600 · capacity_ah · usable) and on_a / cell_limit_a, rounded up
//! ```
//!
//! The drop in the cells and leads is left out: it is not known before there is a pack. The discharge of the chosen
//! pack counts it. Low capacity and high current size the pack; the other ends give the longest run.

use crate::error::{Check, Error};
use crate::part::cell::{Chemistries, Chemistry, Curves, OwnChemistry};
use crate::quantity::order::sort_by_key;
use crate::quantity::{End, Interval};
use alloc::vec::Vec;

/// Most cells in parallel, or groups in series, that are proposed.
const MOST: f64 = 100.0;

/// What a pack has to do.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PackWish {
    /// Chemistries of the maker's own.
    pub own_chemistries: Vec<OwnChemistry>,
    /// Chemistry of the cells.
    pub chemistry: Chemistry,
    /// Capacity of one cell between full and empty, in ampere-hours.
    pub capacity_ah: Interval,
    /// Highest continuous discharge current of one cell by its data sheet, in amperes.
    pub discharge_limit_a: Option<f64>,
    /// Lowest voltage at which the load works, in volts.
    pub low_v: f64,
    /// Highest voltage the load stands, in volts.
    pub high_v: f64,
    /// Mean current of the load, in amperes.
    pub current_a: Interval,
    /// Highest current in the on-time, in amperes; the mean current where it is left out.
    pub on_a: Option<f64>,
    /// How long it has to run, in seconds.
    pub runtime_s: f64,
}

/// Packs that do it, the one with the fewest cells first.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PackSizes {
    /// Every number of groups that stays below the highest voltage.
    pub choices: Vec<PackSize>,
}

/// One pack.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PackSize {
    /// Groups in series.
    pub series: u32,
    /// Cells in each group.
    pub parallel: u32,
    /// Cells in all.
    pub cells: u32,
    /// Voltage of the full pack, in volts.
    pub full_v: f64,
    /// Nominal voltage of the pack, in volts.
    pub nominal_v: f64,
    /// Voltage of the pack at which a run stops, in volts.
    pub stop_v: f64,
    /// Voltage of a group at which a run stops, in volts.
    pub floor_v: f64,
    /// Whether the load's lowest voltage, and not the cells' floor, ends a run.
    pub load_ends_first: bool,
    /// Share of a cell's charge that is used.
    pub usable_ratio: f64,
    /// What sets the number of cells in parallel.
    pub parallel_by: ParallelBy,
    /// Time it runs without any drop in the cells, in seconds.
    pub runtime_s: Interval,
    /// Highest current of one cell, in amperes, if they share it equally.
    pub cell_a: f64,
}

/// What sets the number of cells in parallel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum ParallelBy {
    /// The charge that is needed.
    Charge,
    /// The current limit of a cell.
    Current,
}

impl PackWish {
    fn check(&self, check: &mut Check) {
        self.capacity_ah.note(check, "capacity_ah", 0.01, 1000.0);
        if let Some(limit_a) = self.discharge_limit_a {
            check.within("discharge_limit_a", limit_a, 0.001, 1000.0);
        }
        check.within("low_v", self.low_v, 0.0, 100.0);
        check.within("high_v", self.high_v, 0.5, 500.0);
        if self.low_v >= self.high_v {
            check.note(Error::other("low_v", alloc::format!("{} V", self.low_v), "a voltage under high_v"));
        }
        self.current_a.note(check, "current_a", 0.001, 1000.0);
        if let Some(on_a) = self.on_a {
            check.within("on_a", on_a, 0.001, 1000.0);
            if on_a < self.current_a.high {
                let accepted =
                    "no less than the high end of current_a: a mean is never above the current in the on-time";
                check.note(Error::other("on_a", alloc::format!("{on_a} A"), accepted));
            }
        }
        check.within("runtime_s", self.runtime_s, 1.0, 30.0 * 86400.0);
    }

    /// Every number of groups that fits the voltages, each with the cells in parallel it takes.
    ///
    /// # Errors
    ///
    /// Every value out of range; voltages that no number of these cells fits; a need for more than 100 cells in
    /// parallel.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::pack::size::PackWish;
    /// # use cellwright::part::cell::Chemistry;
    /// # use cellwright::Interval;
    /// let wish = PackWish {
    ///     own_chemistries: vec![],
    ///     chemistry: Chemistry::Nmc,
    ///     capacity_ah: Interval::around(2.1, 0.05),
    ///     discharge_limit_a: None,
    ///     low_v: 9.0,
    ///     high_v: 14.0,
    ///     current_a: Interval::exact(1.5),
    ///     on_a: None,
    ///     runtime_s: 7200.0,
    /// };
    /// let best = wish.answer().unwrap().choices[0];
    /// assert_eq!((best.series, best.parallel), (3, 2));
    /// let narrow = PackWish { low_v: 13.0, ..wish };
    /// assert_eq!(narrow.answer().unwrap_err()[0].field(), "low_v");
    /// ```
    pub fn answer(&self) -> Result<PackSizes, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let chemistries = Chemistries::new(&self.own_chemistries, core::iter::once(&self.chemistry))?;
        let limits = chemistries.limits(&self.chemistry).map_err(|error| alloc::vec![error])?;
        let curves = chemistries.curves(&self.chemistry).map_err(|error| alloc::vec![error])?;
        // 12.6 V is three times 4.2 V, whatever the last bit of the quotient says.
        let most = libm::floor(self.high_v / limits.charge_v + 1e-9).min(MOST) as u32;
        if most == 0 {
            let accepted = alloc::format!("at least {} V, one full cell", limits.charge_v);
            return Err(alloc::vec![Error::other("high_v", alloc::format!("{} V", self.high_v), accepted)]);
        }
        let limit_a = self.discharge_limit_a.unwrap_or(limits.discharge_c * self.capacity_ah.low);
        let cell = SizedCell {
            full_v: limits.charge_v,
            nominal_v: limits.nominal_v,
            floor_v: limits.floor_v,
            limit_a,
            curves: &curves,
        };
        let sized: Vec<Sized> = (1..=most).filter_map(|series| self.sized(series, &cell)).collect();
        if sized.is_empty() {
            let top_v = f64::from(most) * limits.charge_v;
            let accepted = alloc::format!("well under {top_v:.1} V, the most that {most} full cells in series give");
            return Err(alloc::vec![Error::other("low_v", alloc::format!("{} V", self.low_v), accepted)]);
        }
        let mut choices: Vec<PackSize> = sized.into_iter().filter_map(|sized| self.choice(&sized, &cell)).collect();
        if choices.is_empty() {
            let accepted = "a time and current that 100 cells in parallel can give";
            return Err(alloc::vec![Error::other("runtime_s", alloc::format!("{} s", self.runtime_s), accepted)]);
        }
        sort_by_key(&mut choices, |choice| (choice.cells, choice.series));
        Ok(PackSizes { choices })
    }

    /// Where a pack of `series` groups stops, and how much charge that leaves to use; nothing where it is hardly any.
    fn sized(&self, series: u32, cell: &SizedCell<'_>) -> Option<Sized> {
        let stop_v = self.low_v / f64::from(series);
        let floor_v = cell.floor_v.max(stop_v);
        let usable = cell.curves.soc_ratio(cell.full_v).min(1.0) - cell.curves.soc_ratio(floor_v).max(0.0);
        (usable > 0.05).then_some(Sized { series, floor_v, usable, load_ends_first: stop_v > cell.floor_v })
    }

    fn choice(&self, sized: &Sized, cell: &SizedCell<'_>) -> Option<PackSize> {
        let for_charge = self.current_a.high * self.runtime_s / (3600.0 * self.capacity_ah.low * sized.usable);
        let on_a = self.on_a.unwrap_or(self.current_a.high);
        let for_current = on_a / cell.limit_a;
        // A whole number that is met to a billionth counts as met.
        let wanted = libm::ceil(for_charge.max(for_current) - 1e-9).max(1.0);
        if wanted > MOST {
            return None;
        }
        let groups = f64::from(sized.series);
        let runtime = |capacity: End, current: End| {
            3600.0 * wanted * self.capacity_ah.at(capacity) * sized.usable / self.current_a.at(current)
        };
        Some(PackSize {
            series: sized.series,
            parallel: wanted as u32,
            cells: sized.series * wanted as u32,
            full_v: groups * cell.full_v,
            nominal_v: groups * cell.nominal_v,
            stop_v: groups * sized.floor_v,
            floor_v: sized.floor_v,
            load_ends_first: sized.load_ends_first,
            usable_ratio: sized.usable,
            parallel_by: if for_current > for_charge { ParallelBy::Current } else { ParallelBy::Charge },
            runtime_s: Interval {
                low: runtime(End::Low, End::High),
                likely: runtime(End::Likely, End::Likely),
                high: runtime(End::High, End::Low),
            },
            cell_a: on_a / wanted,
        })
    }
}

/// One cell of the wanted chemistry.
#[derive(Clone, Copy, Debug)]
struct SizedCell<'a> {
    full_v: f64,
    nominal_v: f64,
    floor_v: f64,
    limit_a: f64,
    curves: &'a Curves,
}

/// A number of groups in series.
#[derive(Clone, Copy, Debug)]
struct Sized {
    series: u32,
    floor_v: f64,
    usable: f64,
    load_ends_first: bool,
}
