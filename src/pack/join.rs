//! Two packs or strings tied at unequal voltage: the first current, the charge that moves, the heat.
//!
//! ```text
//! peak_a    = (a.series · rest_v(a) − b.series · rest_v(b)) / (a.series · r(a) + b.series · r(b) + join_ohm)
//! charge_ah where a.series · rest_v(soc(a) − q / capacity(a)) = b.series · rest_v(soc(b) + q / capacity(b))
//! heat_j    = 3600 · ∫ (rest voltage of a − rest voltage of b) dq from 0 to charge_ah
//! ```
//!
//! The charge and the heat depend on the rest curves alone; the resistances only set how fast they move.
//! Each pack is one line of equal groups. Source: Kirchhoff's and Ohm's laws, energy balance.

use crate::error::{Error, within};
use crate::part::cell::{CellCircuit, CellState};
use alloc::format;

/// Points at which the heat integral is summed; the error falls with their square.
const HEAT_POINTS: u32 = 400;

/// Smallest total resistance between two packs that is taken for real, in ohms.
const OHM_LEAST: f64 = 1e-6;

/// One pack as a line of equal groups.
#[derive(Clone, Debug, PartialEq)]
pub struct TiedPack {
    /// One group as a single cell.
    pub group: CellCircuit,
    /// Groups in series.
    pub series: u32,
    /// State of charge, rested.
    pub soc_ratio: f64,
}

/// Two packs and what joins them.
#[derive(Clone, Debug, PartialEq)]
pub struct Tie {
    /// One pack.
    pub a: TiedPack,
    /// The other.
    pub b: TiedPack,
    /// Resistance of leads, connectors and resistor between them, in ohms.
    pub join_ohm: f64,
}

/// What a tie comes to, however long it takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance {
    /// Charge that moves from `a` to `b`, in ampere-hours; negative the other way.
    pub charge_ah: f64,
    /// Heat in both packs and the join together, in joules.
    pub heat_j: f64,
    /// Voltage of both at the end, in volts.
    pub final_v: f64,
}

impl TiedPack {
    pub(crate) fn volts(&self, cell_v: f64) -> f64 {
        f64::from(self.series) * cell_v
    }

    /// Rest voltage after `charge_ah` was taken out.
    fn rest_v(&self, charge_ah: f64) -> f64 {
        self.volts(self.group.rest_v(self.soc_ratio - charge_ah / self.group.capacity_ah))
    }

    pub(crate) fn state(&self) -> CellState {
        self.group.at_rest(self.soc_ratio)
    }

    /// Resistance at the first moment, without the slower reaction of the electrodes, in ohms.
    pub(crate) fn first_ohm(&self) -> f64 {
        self.volts(self.group.moment(&self.state()).ohmic_ohm())
    }
}

impl Tie {
    /// The tie itself, if it can be worked out.
    ///
    /// # Errors
    ///
    /// Names a number of groups that is not between 1 and 100, a charge that is not between 0 and 1, a join that is
    /// not between 0 and 1 MΩ, or `join_ohm` where the way between the packs has no resistance at all.
    pub fn check(&self) -> Result<(), Error> {
        for pack in [&self.a, &self.b] {
            within("series", f64::from(pack.series), 1.0, super::COUNT_MAX as f64)?;
            within("soc_ratio", pack.soc_ratio, 0.0, 1.0)?;
            within("capacity_ah", pack.group.capacity_ah, 0.001, 1e6)?;
        }
        let join_ohm = within("join_ohm", self.join_ohm, 0.0, 1e6)?;
        let total_ohm = self.a.first_ohm() + self.b.first_ohm() + join_ohm;
        if total_ohm >= OHM_LEAST && total_ohm.is_finite() {
            return Ok(());
        }
        let accepted = "together with the packs at least 0.000001 Ω";
        Err(Error::other("join_ohm", format!("{total_ohm} Ω with both packs"), accepted))
    }

    /// Rest voltage of `a` minus that of `b` after `charge_ah` moved from `a` to `b`, in volts.
    #[must_use]
    pub fn difference_v(&self, charge_ah: f64) -> f64 {
        self.a.rest_v(charge_ah) - self.b.rest_v(-charge_ah)
    }

    /// Current from `a` to `b` in the first moment, through the ohmic resistances alone, in amperes.
    ///
    /// # Errors
    ///
    /// As [`Tie::check`].
    pub fn peak_a(&self) -> Result<f64, Error> {
        self.check()?;
        Ok(self.difference_v(0.0) / (self.a.first_ohm() + self.b.first_ohm() + self.join_ohm))
    }

    /// Smallest first resistance of both packs and the join while `charge_ah` moves, looked at at both ends, in ohms.
    pub(crate) fn least_ohm(&self, charge_ah: f64) -> f64 {
        let after = |pack: &TiedPack, out_ah: f64| TiedPack {
            soc_ratio: pack.soc_ratio - out_ah / pack.group.capacity_ah,
            ..pack.clone()
        };
        let least = |pack: &TiedPack, out_ah: f64| pack.first_ohm().min(after(pack, out_ah).first_ohm());
        least(&self.a, charge_ah) + least(&self.b, -charge_ah) + self.join_ohm
    }

    /// What the tie comes to.
    ///
    /// # Errors
    ///
    /// As [`Tie::check`].
    pub fn balance(&self) -> Result<Balance, Error> {
        self.check()?;
        let most_ah = self.a.group.capacity_ah + self.b.group.capacity_ah;
        let (mut low, mut high) = (-most_ah, most_ah);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.difference_v(middle) > 0.0 { low = middle } else { high = middle }
        }
        let charge_ah = 0.5 * (low + high);
        let step_ah = charge_ah / f64::from(HEAT_POINTS);
        let sum_v: f64 = (0..HEAT_POINTS).map(|point| self.difference_v((f64::from(point) + 0.5) * step_ah)).sum();
        Ok(Balance { charge_ah, heat_j: 3600.0 * sum_v * step_ah, final_v: self.a.rest_v(charge_ah) })
    }
}
