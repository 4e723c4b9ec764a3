//! The question whether two packs may be tied, and what makes it safe.
//!
//! ```text
//! limit_a      = least of: receiving cells' charge limit, giving cells' discharge limit, what the way stands
//! safe now     worst peak_a ≤ limit_a
//! resistor_ohm the next E12 value above difference_v / limit_a − resistance of both packs and the way, 5 % allowed, from
//!              0.1 Ω on
//! wait_s       through that resistor, until difference_v ≤ limit_a · resistance of both packs and the way
//! ```
//!
//! Each end of every uncertain input is the one that makes it worse: the voltage difference largest, the resistance
//! smallest for the peak and largest for the wait, the capacity largest for charge, heat and wait and smallest for the
//! limits. Where either may be the one that gives, the direction counts whose current is more of what is allowed there.
//! The peak counts the ohmic resistance alone: it is the current of the first instant. A voltage beyond full or empty
//! counts whole for it, although charge and heat know nothing beyond.

use crate::data::chemistry::Limits;
use crate::data::series::Series;
use crate::data::{COMMON_PRACTICE, Seen, Source};
use crate::error::{Check, Error};
use crate::pack::join::{Tie, TiedPack};
use crate::part::cell::{Cell, CellEnds, Chemistries, Curves, OwnChemistry};
use crate::part::choice::preferred;
use crate::quantity::{End, Interval};
use crate::run::equalise::{DirectTie, Equalisation};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Tolerance of the resistor that is proposed.
const RESISTOR_TOLERANCE_RATIO: f64 = 0.05;

/// Least resistance that is proposed, in ohms: the contacts of less are as much. Common practice, no source.
const RESISTOR_LEAST_OHM: f64 = 0.1;

/// How many times its highest power the resistor is rated for. Common practice, no source.
const RATING_FACTOR: f64 = 2.0;

/// One pack or string: equal groups in series, equal cells in a group.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct JoinSide {
    /// What the maker calls it.
    pub name: String,
    /// A cell of it.
    pub cell: Cell,
    /// Groups in series.
    pub series: u32,
    /// Cells in each group.
    pub parallel: u32,
    /// Voltage over the whole, rested, in volts.
    pub rest_v: Interval,
}

/// Asks whether two packs may be tied.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Joining {
    /// Chemistries of the maker's own.
    pub own_chemistries: Vec<OwnChemistry>,
    /// One pack.
    pub first: JoinSide,
    /// The other.
    pub second: JoinSide,
    /// Resistance of leads, connectors and fuse between them, in ohms.
    pub join_ohm: Interval,
    /// Temperature of the cells, in degrees Celsius.
    pub cell_degc: Interval,
    /// Highest current that leads, connectors and fuse between them stand, in amperes.
    pub path_limit_a: Option<f64>,
}

/// What to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum JoinVerdict {
    /// Nothing entered speaks against tying them as they are.
    TieNow,
    /// Through the resistor first.
    ResistorFirst,
    /// Not at all in this state.
    Never,
}

/// Why, with its source.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct JoinReason {
    /// Stable code.
    pub code: &'static str,
    /// In plain English words.
    pub words: String,
    /// Where the rule comes from.
    pub source: Source,
}

/// The resistor that makes it safe.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct JoinResistor {
    /// Its value, of the E12 series at 5 %, in ohms.
    pub resistor_ohm: f64,
    /// Its highest power, in watts.
    pub peak_w: f64,
    /// The power it should be rated for, in watts.
    pub rating_w: f64,
    /// How long to wait before the packs may be tied directly, in seconds; none where thirty days are not enough.
    pub wait_s: Option<f64>,
}

/// The current that is allowed and what allows no more.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct JoinLimit {
    /// In amperes.
    pub limit_a: f64,
    /// What sets it.
    pub by: LimitedBy,
    /// Where it comes from.
    pub source: Source,
}

/// What allows no more current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum LimitedBy {
    /// Charge current of the receiving cells.
    Charging,
    /// Discharge current of the giving cells.
    Discharging,
    /// Leads, connectors and fuse.
    Path,
}

/// What tying two packs comes to.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct JoinAnswer {
    /// What to do.
    pub verdict: JoinVerdict,
    /// Every reason.
    pub reasons: Vec<JoinReason>,
    /// The current that is allowed.
    pub limit: JoinLimit,
    /// Tied directly, at the likely values, current and charge from the first to the second; none where a pack lies
    /// outside its chemistry's range.
    pub likely: Option<Equalisation>,
    /// Tied directly, at the ends that give the most current, charge and heat.
    pub worst: Option<Equalisation>,
    /// What makes it safe, where it is not.
    pub resistor: Option<JoinResistor>,
}

/// Which ends a tie is made from.
#[derive(Clone, Copy, Debug)]
struct Ends {
    first_v: End,
    second_v: End,
    cells: CellEnds,
    join: End,
    degc: End,
}

/// A tie in the direction that is worse.
struct Worst {
    ends: Ends,
    tie: Tie,
    /// Current in the first instant, in amperes; below 0 from the second to the first.
    peak_a: f64,
    limit: JoinLimit,
}

impl Worst {
    /// Of what is allowed.
    fn share(&self) -> f64 {
        libm::fabs(self.peak_a) / self.limit.limit_a
    }
}

const LIKELY: Ends = Ends {
    first_v: End::Likely,
    second_v: End::Likely,
    cells: CellEnds { capacity: End::Likely, resistance: End::Likely },
    join: End::Likely,
    degc: End::Likely,
};

impl JoinSide {
    fn check(&self, check: &mut Check) {
        check.inside("cell", |check| self.cell.check(check));
        for (field, count) in [("series", self.series), ("parallel", self.parallel)] {
            check.within(field, f64::from(count), 1.0, crate::pack::COUNT_MAX as f64);
        }
        self.rest_v.note(check, "rest_v", 0.0, 500.0);
    }

    /// The pack as a line of groups; voltages beyond full or empty within the interval count as full or empty.
    fn tied(&self, chemistries: &Chemistries, ends: Ends, v: End, degc: f64) -> Result<TiedPack, Error> {
        let group = self.cell.circuit(chemistries, ends.cells, degc)?.side_by_side(self.parallel);
        let soc_ratio = group.soc_at_rest(self.cell_v(v)).clamp(0.0, 1.0);
        Ok(TiedPack { group, series: self.series, soc_ratio })
    }

    /// Why this pack must not be tied to anything, where it lies outside its chemistry's range.
    fn reason_against(&self, limits: &Limits, curves: &Curves) -> Option<JoinReason> {
        let (name, cell_v, low_v) = (&self.name, self.cell_v(End::Likely), self.cell_v(End::Low));
        let (code, words, source) = if low_v < limits.give_up_v {
            let least_v = limits.give_up_v;
            let words = format!("{name} rests at {low_v:.2} V a cell, under {least_v:.1} V: recycle it.");
            ("join_given_up", words, COMMON_PRACTICE)
        } else if cell_v < curves.rest_v(0.0) {
            let words = format!("{name} rests at {cell_v:.2} V a cell, below empty: charge it gently by itself first.");
            ("join_empty", words, COMMON_PRACTICE)
        } else if cell_v > curves.rest_v(1.0) {
            let words = format!("{name} rests at {cell_v:.3} V a cell, above full: find out why first.");
            ("join_overfull", words, limits.voltage_source)
        } else {
            return None;
        };
        Some(JoinReason { code, words, source })
    }

    fn cell_v(&self, end: End) -> f64 {
        self.rest_v.at(end) / f64::from(self.series)
    }
}

impl Joining {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("first", |check| self.first.check(check));
        check.inside("second", |check| self.second.check(check));
        self.join_ohm.note(check, "join_ohm", 0.0, 1000.0);
        self.cell_degc.note(check, "cell_degc", -20.0, 60.0);
        if let Some(path_limit_a) = self.path_limit_a {
            check.within("path_limit_a", path_limit_a, 0.001, 1000.0);
        }
    }

    /// Whether the packs may be tied, and what makes it safe.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    pub fn answer(&self) -> Result<JoinAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let used = [&self.first.cell.chemistry, &self.second.cell.chemistry];
        let chemistries = Chemistries::new(&self.own_chemistries, used.into_iter())?;
        let widest = Self::ends(self.first_gives_most());
        let mut reasons = self.reasons_against(&chemistries).map_err(|error| alloc::vec![error])?;
        if reasons.iter().any(|reason| ![TOO_COLD, TOO_HOT].contains(&reason.code)) {
            let (verdict, limit) = (JoinVerdict::Never, self.limit(&chemistries, widest));
            let limit = limit.map_err(|error| alloc::vec![error])?;
            return Ok(JoinAnswer { verdict, reasons, limit, likely: None, worst: None, resistor: None });
        }
        let Worst { ends, tie: worst_tie, peak_a, limit } = self.worst(&chemistries)?;
        let equalise = |tie: &Tie| tie.equalise(None).map_err(|error| alloc::vec![error]);
        let (likely, worst) = (equalise(&self.tie(&chemistries, LIKELY)?)?, equalise(&worst_tie)?);
        let worst = Equalisation { peak_a, ..worst };
        let verdict = match libm::fabs(worst.peak_a) <= limit.limit_a {
            _ if !reasons.is_empty() => JoinVerdict::Never,
            true => JoinVerdict::TieNow,
            false => JoinVerdict::ResistorFirst,
        };
        let resistor = match verdict {
            JoinVerdict::ResistorFirst => Some(self.resistor(&chemistries, ends, &worst_tie, &limit)?),
            _ => None,
        };
        reasons.push(current_reason(&worst, &limit, verdict));
        Ok(JoinAnswer { verdict, reasons, limit, likely: Some(likely), worst: Some(worst), resistor })
    }

    /// Whether the difference may be larger with the first pack higher.
    fn first_gives_most(&self) -> bool {
        self.gap_v(true) >= self.gap_v(false)
    }

    /// By how much the pack that gives may be higher, in volts; below 0 where it cannot give.
    fn gap_v(&self, first_gives: bool) -> f64 {
        let (first, second) = (self.first.rest_v, self.second.rest_v);
        if first_gives { first.high - second.low } else { second.high - first.low }
    }

    /// Of both directions in which a current may flow, the one whose current is most of what is allowed there.
    fn worst(&self, chemistries: &Chemistries) -> Result<Worst, Vec<Error>> {
        let wider = self.first_gives_most();
        let worst = self.direction(chemistries, wider)?;
        if self.gap_v(!wider) <= 0.0 {
            return Ok(worst);
        }
        let other = self.direction(chemistries, !wider)?;
        Ok(if other.share() > worst.share() { other } else { worst })
    }

    fn direction(&self, chemistries: &Chemistries, first_gives: bool) -> Result<Worst, Vec<Error>> {
        let ends = Self::ends(first_gives);
        let limit = self.limit(chemistries, ends).map_err(|error| alloc::vec![error])?;
        let tie = self.tie(chemistries, ends)?;
        let within_a = tie.peak_a().map_err(|error| alloc::vec![error])?;
        let gap_a = self.gap_v(first_gives).max(0.0) / tie.least_ohm(0.0);
        let peak_a = libm::fabs(within_a).max(gap_a);
        Ok(Worst { ends, tie, peak_a: if first_gives { peak_a } else { -peak_a }, limit })
    }

    /// The ends with the largest voltage difference in one direction.
    const fn ends(first_gives: bool) -> Ends {
        let (first_v, second_v) = if first_gives { (End::High, End::Low) } else { (End::Low, End::High) };
        let cells = CellEnds { capacity: End::High, resistance: End::Low };
        Ends { first_v, second_v, cells, join: End::Low, degc: End::High }
    }

    fn tie(&self, chemistries: &Chemistries, ends: Ends) -> Result<Tie, Vec<Error>> {
        let degc = self.cell_degc.at(ends.degc);
        let placed = |side: &'static str| move |error: Error| alloc::vec![error.at("cell").at(side)];
        let a = self.first.tied(chemistries, ends, ends.first_v, degc).map_err(placed("first"))?;
        let b = self.second.tied(chemistries, ends, ends.second_v, degc).map_err(placed("second"))?;
        Ok(Tie { a, b, join_ohm: self.join_ohm.at(ends.join) })
    }

    /// The current that is allowed.
    fn limit(&self, chemistries: &Chemistries, ends: Ends) -> Result<JoinLimit, Error> {
        let first_gives = ends.first_v == End::High;
        let (giver, taker) = if first_gives { (&self.first, &self.second) } else { (&self.second, &self.first) };
        let (of_giver, of_taker) =
            (chemistries.limits(&giver.cell.chemistry)?, chemistries.limits(&taker.cell.chemistry)?);
        let sheet = Source { title: "the cell's data sheet, as entered", edition: "", place: "", seen: Seen::Original };
        let of_group = |side: &JoinSide, printed_a: Option<f64>, per_hour: f64, source: Source| {
            let (cell_a, source) = match printed_a {
                Some(printed_a) => (printed_a, sheet),
                None => (per_hour * side.cell.capacity.capacity_ah.low, source),
            };
            (cell_a * f64::from(side.parallel), source)
        };
        let (charge_a, charge_source) =
            of_group(taker, taker.cell.charge_limit_a, of_taker.charge_c, of_taker.current_source);
        let (discharge_a, discharge_source) =
            of_group(giver, giver.cell.discharge_limit_a, of_giver.discharge_c, of_giver.current_source);
        let mut limit = JoinLimit { limit_a: charge_a, by: LimitedBy::Charging, source: charge_source };
        if discharge_a < limit.limit_a {
            limit = JoinLimit { limit_a: discharge_a, by: LimitedBy::Discharging, source: discharge_source };
        }
        if let Some(path_a) = self.path_limit_a.filter(|path_a| *path_a < limit.limit_a) {
            let source = Source { title: "limit of the way, as entered", ..sheet };
            limit = JoinLimit { limit_a: path_a, by: LimitedBy::Path, source };
        }
        Ok(limit)
    }

    /// Everything that speaks against tying them at all.
    fn reasons_against(&self, chemistries: &Chemistries) -> Result<Vec<JoinReason>, Error> {
        let mut reasons = Vec::new();
        let physics = Source { title: "follows from the rest voltages", edition: "", place: "", seen: Seen::Derived };
        if self.first.cell.chemistry != self.second.cell.chemistry {
            let words = "The packs are of different chemistries: they never rest at one voltage and charge.".into();
            reasons.push(JoinReason { code: "join_chemistry", words, source: physics });
        }
        if self.first.series != self.second.series {
            let words = format!("{} groups in series against {}.", self.first.series, self.second.series);
            reasons.push(JoinReason { code: "join_series", words, source: physics });
        }
        for side in [&self.first, &self.second] {
            let limits = chemistries.limits(&side.cell.chemistry)?;
            reasons.extend(side.reason_against(&limits, &*chemistries.curves(&side.cell.chemistry)?));
            let cold = self.cell_degc.low < limits.charge_low_degc && chemistries.is_lithium(&side.cell.chemistry);
            if self.cell_degc.high > limits.charge_high_degc && reasons.iter().all(|reason| reason.code != TOO_HOT) {
                let words = format!(
                    "The lower pack would be charged at {} °C, but must be at {} °C at most.",
                    self.cell_degc.high, limits.charge_high_degc
                );
                reasons.push(JoinReason { code: TOO_HOT, words, source: limits.temperature_source });
            }
            if cold && reasons.iter().all(|reason| reason.code != TOO_COLD) {
                let least_degc = limits.charge_low_degc;
                let words = format!(
                    "The lower pack would be charged at {} °C, but must be at {least_degc} °C at least.",
                    self.cell_degc.low
                );
                reasons.push(JoinReason { code: TOO_COLD, words, source: limits.temperature_source });
            }
        }
        Ok(reasons)
    }

    /// The resistor and the wait through it.
    fn resistor(
        &self,
        chemistries: &Chemistries,
        ends: Ends,
        worst: &Tie,
        limit: &JoinLimit,
    ) -> Result<JoinResistor, Vec<Error>> {
        let difference_v = libm::fabs(worst.difference_v(0.0)).max(self.gap_v(ends.first_v == End::High));
        let balance = worst.balance().map_err(|error| alloc::vec![error])?;
        let packs_ohm = worst.least_ohm(balance.charge_ah);
        let needed_ohm = (difference_v / limit.limit_a - packs_ohm) / (1.0 - RESISTOR_TOLERANCE_RATIO);
        let least_ohm = needed_ohm.max(RESISTOR_LEAST_OHM);
        let resistor_ohm = preferred(Series::E12, least_ohm, 10.0 * least_ohm).first().copied().unwrap_or(least_ohm);
        let smallest_ohm = resistor_ohm * (1.0 - RESISTOR_TOLERANCE_RATIO);
        let current_a = difference_v / (smallest_ohm + packs_ohm);
        let peak_w = current_a * current_a * smallest_ohm;
        let cells = CellEnds { capacity: End::High, resistance: End::High };
        let slow_ends = Ends { cells, join: End::High, degc: End::Low, ..ends };
        let mut slow = self.tie(chemistries, slow_ends)?;
        slow.join_ohm += resistor_ohm * (1.0 + RESISTOR_TOLERANCE_RATIO);
        let direct = DirectTie { direct_a: limit.limit_a, direct_ohm: packs_ohm };
        let wait_s = slow.equalise(Some(direct)).map_err(|error| alloc::vec![error])?.tie_s;
        Ok(JoinResistor { resistor_ohm, peak_w, rating_w: RATING_FACTOR * peak_w, wait_s })
    }
}

/// Codes of the reasons that end by themselves.
const TOO_COLD: &str = "join_too_cold";
const TOO_HOT: &str = "join_too_hot";

fn current_reason(worst: &Equalisation, limit: &JoinLimit, verdict: JoinVerdict) -> JoinReason {
    let peak_a = libm::fabs(worst.peak_a);
    let (code, side) =
        if peak_a <= limit.limit_a { ("join_current_allowed", "within") } else { ("join_current", "above") };
    let advice = if verdict == JoinVerdict::TieNow { " Nothing you entered speaks against tying them." } else { "" };
    let words = format!(
        "Tied directly, up to {peak_a:.2} A would flow at first, {side} the {:.2} A that are allowed.{advice}",
        limit.limit_a
    );
    JoinReason { code, words, source: limit.source }
}
