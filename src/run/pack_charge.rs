//! The question how long a charger takes for a pack, and what each group sees.

use crate::data::charger::{LI_ION_UPPER_V, LITHIUM_END_C};
use crate::data::chemistry::LCO_LIMITS;
use crate::error::{Check, Error};
use crate::pack::Pack;
use crate::part::cell::{CellCircuit, CellEnds, Chemistries, OwnChemistry};
use crate::part::charger::{Charger, ChargerKind};
use crate::quantity::turns::turn;
use crate::quantity::{End, Interval};
use crate::run::charge::{BRIEF_RATIO, ChargeRun, ChargeStops, charge, charge_time_s};
use crate::run::discharge::TIME_MAX_S;
use crate::run::stepper::{Member, PackCircuit};
use alloc::vec::Vec;

/// How far a group may pass its charge voltage before it counts as too high: the step from 4.20 V to 4.25 V, as a ratio.
const UPPER_RATIO: f64 = LI_ION_UPPER_V / LCO_LIMITS.charge_v;

/// The state of a pack before it is charged.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum ChargeStart {
    /// Every cell rests at the pack's floor voltage.
    Empty,
    /// All groups were full together and gave this charge.
    Drawn {
        /// The charge, in ampere-hours.
        charge_ah: f64,
    },
    /// Each group rests at its own measured voltage.
    RestV {
        /// The voltages, the most negative group first, in volts.
        group_v: Vec<f64>,
    },
}

/// A pack, its charger and what lies between them.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PackCharge {
    /// Chemistries of the maker's own.
    pub own_chemistries: Vec<OwnChemistry>,
    /// The pack.
    pub pack: Pack,
    /// Its state before, at rest.
    pub start: ChargeStart,
    /// The charger. A supply that is not a charger is taken as one without a current limit: what it does at its limit is
    /// not known.
    pub charger: Charger,
    /// Resistance of leads, jack and board between charger and pack, in ohms; the pack's own links come on top.
    pub lead_ohm: Interval,
    /// Voltage that a diode in the charge path takes, in volts.
    pub diode_v: Option<Interval>,
    /// Temperature of the surroundings and of the cells, in degrees Celsius.
    pub ambient_degc: Interval,
    /// Voltage of a group at which the protection cuts charging, in volts.
    pub cut_off_v: Option<f64>,
    /// Longest time asked for, in seconds; thirty days where it is left out.
    pub time_s: Option<f64>,
}

/// Charges at the likely values and at both ends.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PackChargeAnswer {
    /// Time until the charge ends, in seconds: least, likely, most.
    pub time_s: Interval,
    /// Highest voltage of any group in any of the runs, in volts.
    pub highest_group_v: f64,
    /// Voltage above which a group counts as too high, in volts.
    pub limit_v: f64,
    /// Low capacity, low resistance, high charger voltage and current, warm.
    pub fastest: ChargeRun,
    /// Likely values.
    pub likely: ChargeRun,
    /// High capacity, high resistance, low charger voltage and current, cold.
    pub slowest: ChargeRun,
}

/// A charge ready to run.
struct AtEnd {
    circuit: PackCircuit,
    stops: ChargeStops,
    soc_ratios: Vec<f64>,
}

impl AtEnd {
    fn socs(&self) -> impl FnMut(&CellCircuit) -> f64 {
        let mut socs = self.soc_ratios.iter();
        move |_| socs.next().copied().unwrap_or(0.0)
    }
}

fn in_charger(error: Error) -> Vec<Error> {
    alloc::vec![error.at("charger")]
}

fn over([fastest_s, likely_s, slowest_s]: [f64; 3]) -> Interval {
    Interval {
        low: fastest_s.min(likely_s).min(slowest_s),
        likely: likely_s,
        high: slowest_s.max(likely_s).max(fastest_s),
    }
}

impl PackCharge {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("pack", |check| self.pack.check(check));
        check.inside("charger", |check| {
            self.charger.check(check);
            if self.charger.kind == ChargerKind::CcCv && self.charger.current_a.is_none() {
                check.note(Error::missing("current_a", "the charger's current, in amperes"));
            }
            if matches!(self.charger.kind, ChargerKind::CurrentOnly | ChargerKind::DropDetecting) {
                check.note(Error::other("kind", "a charger that holds no voltage", "cc_cv, voltage_supply or unknown"));
            }
        });
        self.lead_ohm.note(check, "lead_ohm", 0.0, 100.0);
        if let Some(diode_v) = self.diode_v {
            diode_v.note(check, "diode_v", 0.0, 5.0);
        }
        self.ambient_degc.note(check, "ambient_degc", -20.0, 60.0);
        if let Some(cut_off_v) = self.cut_off_v {
            check.within("cut_off_v", cut_off_v, 0.5, 5.0);
        }
        if let Some(time_s) = self.time_s {
            check.within("time_s", time_s, 0.0, TIME_MAX_S);
        }
        check.inside("start", |check| self.start.check(check, self.pack.groups.len()));
    }

    /// Charges the pack at the likely values and at both ends.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place; a chemistry that is not a lithium one, because
    /// those are not charged this way; a group under the voltage at which its cells are given up, because it is not
    /// charged at all.
    pub fn answer(&self) -> Result<PackChargeAnswer, Vec<Error>> {
        let ends = self.ends(None)?;
        let charged = |at: &AtEnd| charge(&at.circuit, &at.stops, at.socs()).map_err(in_charger);
        let [fastest, likely, slowest] = &ends;
        let limit_v = likely.stops.limit_v;
        let (fastest, likely, slowest) = (charged(fastest)?, charged(likely)?, charged(slowest)?);
        let time_s = over([fastest.time_s, likely.time_s, slowest.time_s]);
        let highest_group_v = fastest.highest_group_v.max(likely.highest_group_v).max(slowest.highest_group_v);
        Ok(PackChargeAnswer { time_s, highest_group_v, limit_v, fastest, likely, slowest })
    }

    /// As [`PackCharge::answer`], but the time alone, in coarser steps whose error is added to both ends; the cells at
    /// their likely values are known before.
    pub(crate) async fn time_s(&self, likely: &[Vec<CellCircuit>]) -> Result<Interval, Vec<Error>> {
        let ends = self.ends(Some(likely))?;
        turn().await;
        let mut times_s = [0.0; 3];
        for (time_s, at) in times_s.iter_mut().zip(&ends) {
            *time_s = charge_time_s(&at.circuit, &at.stops, at.socs()).map_err(in_charger)?;
            turn().await;
        }
        let Interval { low, likely, high } = over(times_s);
        Ok(Interval { low: low * (1.0 - BRIEF_RATIO), likely, high: high * (1.0 + BRIEF_RATIO) })
    }

    /// The fastest, the likely and the slowest charge, ready to run.
    fn ends(&self, likely: Option<&[Vec<CellCircuit>]>) -> Result<[AtEnd; 3], Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let used = || self.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
        let chemistries = Chemistries::new(&self.own_chemistries, used())?;
        let limit_v = UPPER_RATIO * self.least_charge_v(&chemistries)?;
        self.none_given_up(&chemistries)?;
        let at = |end| self.at(&chemistries, end, limit_v, likely);
        Ok([at(End::Low)?, at(End::Likely)?, at(End::High)?])
    }

    /// Least charge voltage of the chemistries in the pack.
    fn least_charge_v(&self, chemistries: &Chemistries) -> Result<f64, Vec<Error>> {
        let mut check = Check::new();
        let mut least_v = f64::MAX;
        for (g, group) in self.pack.groups.iter().enumerate() {
            for (c, cell) in group.cells.iter().enumerate() {
                let place = |error: Error| error.at(c).at("cells").at(g).at("groups").at("pack");
                if !chemistries.is_lithium(&cell.chemistry) {
                    let given = alloc::format!("{:?}", cell.chemistry);
                    check.note(place(Error::other("chemistry", given, "a lithium chemistry, for charging over time")));
                }
                match chemistries.limits(&cell.chemistry) {
                    Ok(limits) => least_v = least_v.min(limits.charge_v),
                    Err(error) => check.note(place(error)),
                }
            }
        }
        check.finish().map(|()| least_v)
    }

    /// No group rests under the voltage at which its cells are given up: those are not charged, at no current.
    fn none_given_up(&self, chemistries: &Chemistries) -> Result<(), Vec<Error>> {
        let ChargeStart::RestV { group_v } = &self.start else { return Ok(()) };
        let mut check = Check::new();
        for (i, (group, v)) in self.pack.groups.iter().zip(group_v).enumerate() {
            let limits = group.cells.iter().filter_map(|cell| chemistries.limits(&cell.chemistry).ok());
            let least_v = limits.map(|limits| limits.give_up_v).fold(0.0, f64::max);
            if let Err(error) = crate::error::within("group_v", *v, least_v, 5.0) {
                check.note(error.placed(alloc::format!("/start/rest_v/group_v/{i}")));
            }
        }
        check.finish()
    }

    /// One end of the time: [`End::Low`] is the fastest. The cells at the likely values may be known before.
    fn at(
        &self,
        chemistries: &Chemistries,
        end: End,
        limit_v: f64,
        likely: Option<&[Vec<CellCircuit>]>,
    ) -> Result<AtEnd, Vec<Error>> {
        let degc = self.ambient_degc.at(end.opposite());
        let ends = CellEnds { capacity: end, resistance: end };
        let in_pack = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("pack")).collect::<Vec<Error>>();
        let at_degc = |group: &Vec<CellCircuit>| group.iter().map(|cell| cell.at_degc(degc)).collect();
        let groups = match likely {
            Some(likely) if end == End::Likely => likely.iter().map(at_degc).collect(),
            _ => self.pack.circuits_near(chemistries, ends, degc, likely.unwrap_or_default()).map_err(in_pack)?,
        };
        let lead_ohm = self.lead_ohm.at(end) + self.pack.link_ohm.at(end);
        let circuit = PackCircuit::new(groups, Vec::new(), lead_ohm, degc);
        let soc_ratios = self.start.soc_ratios(&circuit, &self.pack)?;
        Ok(AtEnd { stops: self.stops(&circuit, end, limit_v), circuit, soc_ratios })
    }

    fn stops(&self, circuit: &PackCircuit, end: End, limit_v: f64) -> ChargeStops {
        let charger = &self.charger;
        let current_a = match charger.kind {
            ChargerKind::CcCv => charger.current_a.map(|current_a| current_a.at(end.opposite())),
            _ => None,
        };
        let least_ah = circuit.groups().map(|group| group.iter().map(Member::charge_ah).sum::<f64>());
        let usual_end_a = LITHIUM_END_C * least_ah.fold(f64::MAX, f64::min);
        let end_a = charger.end_a.unwrap_or(usual_end_a);
        ChargeStops {
            current_a,
            voltage_v: charger.voltage_v.at(end.opposite()) - self.diode_v.map_or(0.0, |diode_v| diode_v.at(end)),
            end_a: current_a.map_or(end_a, |current_a| end_a.min(current_a)),
            limit_v,
            cut_off_v: self.cut_off_v,
            time_s: self.time_s.unwrap_or(TIME_MAX_S),
        }
    }
}

impl ChargeStart {
    fn check(&self, check: &mut Check, groups: usize) {
        match self {
            Self::Empty => {}
            Self::Drawn { charge_ah } => {
                check.inside("drawn", |check| check.within("charge_ah", *charge_ah, 0.0, 10000.0));
            }
            Self::RestV { group_v } => check.inside("rest_v", |check| {
                if group_v.len() != groups {
                    let given = alloc::format!("{} voltages", group_v.len());
                    check.note(Error::other("group_v", given, alloc::format!("one for each of {groups} groups")));
                }
                for (i, v) in group_v.iter().enumerate() {
                    if let Err(error) = crate::error::within("group_v", *v, 0.3, 5.0) {
                        check.note(error.placed(alloc::format!("/group_v/{i}")));
                    }
                }
            }),
        }
    }

    /// State of charge of each kind of cell, in the circuit's order.
    fn soc_ratios(&self, circuit: &PackCircuit, pack: &Pack) -> Result<Vec<f64>, Vec<Error>> {
        let mut all = Vec::new();
        for (g, group) in circuit.groups().enumerate() {
            let charge_ah: f64 = group.iter().map(Member::charge_ah).sum();
            for member in group {
                all.push(match self {
                    Self::Empty => member.cell.soc_at_rest(pack.floor_v),
                    Self::RestV { group_v } => member.cell.soc_at_rest(group_v.get(g).copied().unwrap_or(pack.floor_v)),
                    Self::Drawn { charge_ah: drawn_ah } if *drawn_ah <= charge_ah => {
                        member.cell.soc_at_rest(pack.full_v) - drawn_ah / charge_ah
                    }
                    Self::Drawn { charge_ah: drawn_ah } => {
                        let error = Error::range("charge_ah", *drawn_ah, 0.0, charge_ah);
                        return Err(alloc::vec![error.at("drawn").at("start")]);
                    }
                });
            }
        }
        Ok(all)
    }
}
