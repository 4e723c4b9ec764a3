//! The order in which a plan is worked out. It alone stands here; laws and rules stand on their own floors.

use super::charge::{charge_report, charge_time_s};
use super::inputs::{Control, FuseChoice, Protection};
use super::leads::{Peaks, drops, lead_ohm, wires_cold, wires_warm};
use super::packed::pack_report;
use super::report::{LargestCurrents, PackReport, Report, TimerReport, Verdict, WireReport};
use super::{Plan, Reviewed, chances, judge};
use crate::data::fuse::FuseFamily;
use crate::error::Error;
use crate::finding::charging::ChargingFacts;
use crate::part::cell::{CellCircuit, Chemistries, Chemistry};
use crate::part::charger::CellFamily;
use crate::part::decoupling::SupplyCapacitor;
use crate::part::fuse::{FuseAnswer, opens_a};
use crate::part::load::{Load, LoadCircuit};
use crate::part::protection::{ProtectionAnswer, ProtectionWish};
use crate::part::switch::{Switch, SwitchAnswer};
use crate::part::transport::Transport;
use crate::quantity::turns::turn;
use crate::quantity::{End, Interval};
use crate::run::discharge::{Discharge, Extremes};
use crate::run::driven::{Driven, LoadArrangement, Machine};
use crate::run::knob::{Interrupter, KnobAnswer, KnobTable};
use crate::run::pack_run::{PackRun, PackRunAnswer, RunEnds};
use crate::run::spread::SpreadOutline;
use crate::run::stepper::PackCircuit;
use alloc::vec::Vec;

/// Everything that is worked out before the rules judge.
pub(super) struct Facts<'a> {
    pub(super) plan: &'a Plan,
    pub(super) chemistries: Chemistries,
    /// Cells in their groups at the worst, likely and best corner.
    pub(super) cells: [Vec<Vec<CellCircuit>>; 3],
    pub(super) pack: PackReport,
    pub(super) runtime: PackRunAnswer,
    pub(super) chances: Option<SpreadOutline>,
    /// What the runs reach at the three corners at the plan's knob position and at the knob's ends, which may ask more of
    /// cells and leads.
    pub(super) extremes: Vec<Extremes>,
    pub(super) timer: Option<TimerReport>,
    pub(super) table: Option<KnobTable>,
    pub(super) settings: Option<KnobAnswer>,
    pub(super) worst_switch: Option<Switch>,
    pub(super) switch: Option<SwitchAnswer>,
    pub(super) capacitor: Option<SupplyCapacitor>,
    pub(super) wires: Vec<WireReport>,
    /// Between pack and loads, without the pack's own links, in ohms.
    lead_ohm: Interval,
    pub(super) protection: Option<(ProtectionWish, ProtectionAnswer)>,
    pub(super) charging: Option<ChargingFacts>,
}

/// Charge voltage under which a lithium chemistry of the maker's own is taken for iron phosphate, in volts.
const IRON_BELOW_V: f64 = 3.9;

/// The corners in the order they are kept.
const CORNERS: [RunEnds; 3] = [RunEnds::LEAST, RunEnds::LIKELY, RunEnds::MOST];

impl Facts<'_> {
    /// The largest value in any corner of the plan's knob position and of those that ask most.
    pub(super) fn most(&self, of: fn(&Extremes) -> f64) -> f64 {
        self.extremes.iter().map(of).fold(0.0, f64::max)
    }

    /// Whether more is known of the chopped load than its draw.
    pub(super) fn is_driven(&self) -> bool {
        self.plan.control.as_ref().is_some_and(|control| control.driven.is_some())
    }

    /// What the cells are for a charger; none where they are not all alike.
    pub(super) fn family(&self) -> Option<CellFamily> {
        let mut families =
            self.plan.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| self.family_of(&cell.chemistry));
        let first = families.next()?;
        families.all(|family| family == first).then_some(first)
    }

    /// A chemistry of the maker's own counts as what its charge voltage says.
    fn family_of(&self, chemistry: &Chemistry) -> CellFamily {
        match (chemistry, self.chemistries.limits(chemistry)) {
            (Chemistry::Lfp, _) => CellFamily::LithiumIronPhosphate,
            (Chemistry::LeadAcid, _) => CellFamily::LeadAcid,
            (Chemistry::Nimh, _) => CellFamily::NickelMetalHydride,
            (Chemistry::Own(_), Ok(limits)) if self.chemistries.is_lithium(chemistry) => {
                if limits.charge_v < IRON_BELOW_V { CellFamily::LithiumIronPhosphate } else { CellFamily::LithiumIon }
            }
            // No charger of these tables is made for sodium-ion: no figure is better than a wrong one.
            (Chemistry::Nvpf | Chemistry::Unidentified | Chemistry::Own(_), _) => CellFamily::Unidentified,
            _ => CellFamily::LithiumIon,
        }
    }

    /// Current of all loads at switching on, in amperes; none where one of them is not known.
    pub(super) fn surge_a(&self) -> Option<f64> {
        self.plan.loads.iter().map(|load| load.surge_a).sum()
    }

    /// The longest of the surges, in seconds; none where one of them is not known.
    pub(super) fn surge_s(&self) -> Option<f64> {
        let all: Option<Vec<f64>> = self.plan.loads.iter().map(|load| load.surge_s).collect();
        all?.into_iter().reduce(f64::max)
    }
}

/// Works a plan out whose values have been checked, a run or two a turn.
pub(super) async fn review(plan: &Plan) -> Result<Reviewed, Vec<Error>> {
    let used = plan.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
    let chemistries = Chemistries::new(&plan.own_chemistries, used)?;
    turn().await;
    let cells = plan.corners(&chemistries)?;
    turn().await;
    let base = plan.pack_run(Vec::new(), Interval::exact(0.0));
    let pack = pack_report(plan, &chemistries, &cells)?;
    let packs = [0, 1, 2].map(|corner| bare(plan, &cells, corner));
    let table = plan.control.as_ref().map(|control| table(plan, control));
    let loads = corner_loads(plan, table.as_ref(), &packs[1]);
    let end_loads = end_loads(table.as_ref(), &packs[1]);
    let mut wires = wires_cold(plan);
    let mut lead_ohm = CORNERS.map(|ends| lead_ohm(plan, &wires, ends.leads));
    if !plan.runs.is_empty() {
        // How warm the leads get hardly moves with how warm they are: the first and the last moment tell it.
        let cold = core::iter::once(&loads).chain(&end_loads).flat_map(|loads| circuits_of(&packs, loads, lead_ohm));
        let cold: Vec<Peaks> = cold.map(|circuit| Peaks::of_moments(&base, &circuit)).collect();
        wires = wires_warm(plan, &pack, &cold);
        turn().await;
        lead_ohm = CORNERS.map(|ends| self::lead_ohm(plan, &wires, ends.leads));
    }
    let runs = run_all(&base, &packs, &loads, lead_ohm).await?;
    let mut extremes: Vec<Extremes> = runs.iter().map(Extremes::of).collect();
    let ends = end_loads.iter().filter(|end_loads| **end_loads != loads);
    for circuit in ends.flat_map(|loads| circuits_of(&packs, loads, lead_ohm)) {
        extremes.push(Extremes::of_run(&circuit, &base.stops(), |cell| cell.soc_at_rest(plan.pack.full_v)));
        turn().await;
    }
    if !plan.runs.is_empty() {
        let warm: Vec<Peaks> = extremes.iter().map(Peaks::of).collect();
        wires = wires_warm(plan, &pack, &warm);
    }
    let [low_ohm, likely_ohm, high_ohm] =
        [End::Low, End::Likely, End::High].map(|end| self::lead_ohm(plan, &wires, end));
    let links = plan.pack.link_ohm;
    // A sum less one of its parts may end a hair under nothing.
    let without = |sum_ohm: f64, links_ohm: f64| (sum_ohm - links_ohm).max(0.0);
    let leads_ohm = Interval {
        low: without(low_ohm, links.low),
        likely: without(likely_ohm, links.likely),
        high: without(high_ohm, links.high),
    };
    let known = chances::Known { chemistries: &chemistries, cells: &cells, runs: &runs };
    let chances = chances::outline(plan, table.as_ref(), &loads, leads_ohm, known).await;
    let table = table.map(|table| KnobTable { run: PackRun { lead_ohm: leads_ohm, ..table.run }, ..table });
    let settings = match &table {
        Some(table) => Some(table.answer_on(&packs, lead_ohm, &chemistries).await.map_err(in_control)?),
        None => None,
    };
    for wire in &mut wires {
        wire.drops = drops(wire, settings.as_ref());
    }
    let timer = plan.control.as_ref().map(|control| timer_report(plan, control, &pack, &cells));
    let worst_switch = table.as_ref().and_then(|table| table.worst_switch(&packs[1]));
    let switch = worst_switch.as_ref().map(Switch::worked);
    let mut facts = Facts {
        plan,
        chemistries,
        cells,
        pack,
        runtime: PackRunAnswer::of(runs).widened(chances.as_ref().map(|chances| &chances.outline)),
        chances: chances.filter(|chances| chances.by_law).map(|chances| chances.outline),
        extremes,
        timer,
        table,
        settings,
        worst_switch,
        switch,
        capacitor: None,
        wires,
        lead_ohm: leads_ohm,
        protection: None,
        charging: None,
    };
    facts.capacitor = plan.control.as_ref().and_then(|control| judge::capacitor(&facts, control, low_ohm));
    facts.protection = match judge::protection_wish(&facts) {
        Some(wish) => Some(wish.answer().map(|answer| (wish, answer))?),
        None => None,
    };
    facts.charging = plan.charging.as_ref().and_then(|setup| judge::charging_facts(&facts, setup));
    let charge_s = charge_time_s(&facts).await;
    report(facts, charge_s)
}

fn in_control(errors: Vec<Error>) -> Vec<Error> {
    errors.into_iter().map(|error| error.at("control")).collect()
}

fn report(facts: Facts<'_>, charge_s: Option<Interval>) -> Result<Reviewed, Vec<Error>> {
    let findings = judge::judge(&facts);
    let verdict = Verdict::on(&findings);
    let report = Report {
        crate_version: env!("CARGO_PKG_VERSION"),
        data_version: crate::data::VERSION,
        name: facts.plan.name.clone(),
        verdict,
        verdict_words: verdict.words(),
        findings,
        fuse: fuse_answer(&facts)?,
        charge: charge_report(&facts, charge_s)?,
        transport: transport(&facts)?,
        largest: LargestCurrents::of(&facts),
        pack: facts.pack,
        runtime: facts.runtime,
        chances: facts.chances,
        settings: facts.settings,
        timer: facts.timer,
        switch_case: facts.worst_switch,
        switch: facts.switch,
        capacitor: facts.capacitor.map(|capacitor| capacitor.worked()),
        runs: facts.wires,
        lead_ohm: facts.lead_ohm,
        protection: facts.protection.map(|(_, answer)| answer),
        candidates: Vec::new(),
    };
    Ok(Reviewed { report, cells: Some(facts.cells) })
}

impl LargestCurrents {
    fn of(facts: &Facts<'_>) -> Self {
        Self { peak_a: facts.most(|run| run.peak_a), peak_rms_a: facts.most(|run| run.peak_rms_a) }
    }
}

/// The cells of one corner, with nothing connected.
fn bare(plan: &Plan, cells: &[Vec<Vec<CellCircuit>>; 3], corner: usize) -> PackCircuit {
    let ends = CORNERS.get(corner).copied().unwrap_or(RunEnds::LIKELY);
    let groups = cells.get(corner).cloned().unwrap_or_default();
    PackCircuit::new(groups, Vec::new(), 0.0, plan.ambient_degc.at(ends.ambient))
}

/// The table of knob positions: the chopped loads behind the switch, the others beside it.
fn table(plan: &Plan, control: &Control) -> KnobTable {
    let (chopped, steady): (Vec<&Load>, Vec<&Load>) = plan.loads.iter().partition(|load| load.chopped);
    let surge_a: Option<f64> = chopped.iter().map(|load| load.surge_a).sum();
    let drop_out_v = chopped.iter().filter_map(|load| load.drop_out_v).reduce(f64::max);
    let labels = || Driven {
        machine: Machine::Labels { draws: chopped.iter().map(|load| load.draw).collect() },
        count: 1,
        joined: LoadArrangement::Parallel,
        start_v: None,
        hold_v: None,
        surge_a: None,
        drop_out_v: None,
    };
    let driven = control.driven.clone().unwrap_or_else(labels);
    let driven = Driven { surge_a: driven.surge_a.or(surge_a), drop_out_v: driven.drop_out_v.or(drop_out_v), ..driven };
    let positions =
        if control.positions.is_empty() { [control.wiper_ratio].to_vec() } else { control.positions.clone() };
    KnobTable {
        run: plan.pack_run(steady.into_iter().cloned().collect(), Interval::exact(0.0)),
        timer: control.timer,
        positions,
        driven,
        switch: control.switch,
        trips: trips(plan),
        tell_tolerances: Some(false),
    }
}

/// What interrupts too much current.
fn trips(plan: &Plan) -> Vec<Interrupter> {
    let board = plan.protection.as_ref().and_then(Protection::board).and_then(|board| board.trip_a);
    let board = board.map(|trip_a| Interrupter { name: "the board".into(), trip_a });
    let fuse = plan.fuse.as_ref().and_then(FuseChoice::fitted).and_then(|fuse| {
        let high = opens_a(fuse.family?, fuse.rating_a)?;
        Some(Interrupter { name: "the fuse".into(), trip_a: Interval { low: fuse.rating_a, likely: high, high } })
    });
    board.into_iter().chain(fuse).collect()
}

/// The loads at the three corners, the knob at the plan's place.
fn corner_loads(plan: &Plan, table: Option<&KnobTable>, likely: &PackCircuit) -> [Vec<LoadCircuit>; 3] {
    match (&plan.control, table) {
        (Some(control), Some(table)) => table.corner_loads(control.wiper_ratio, likely),
        _ => CORNERS.map(|ends| plan.loads.iter().map(|load| load.circuit(ends.loads)).collect()),
    }
}

/// The loads with the knob at both of its ends: it turns as far, whatever positions are listed.
fn end_loads(table: Option<&KnobTable>, likely: &PackCircuit) -> Vec<[Vec<LoadCircuit>; 3]> {
    let Some(table) = table else { return Vec::new() };
    [0.0, 1.0].map(|wiper_ratio| table.corner_loads(wiper_ratio, likely)).to_vec()
}

impl PackRunAnswer {
    /// Never promises more than the chances do.
    fn widened(mut self, chances: Option<&SpreadOutline>) -> Self {
        if let Some(chances) = chances {
            self.runtime_s.low = self.runtime_s.low.min(chances.at_least_s);
            self.runtime_s.high = self.runtime_s.high.max(chances.at_most_s);
        }
        self
    }
}

/// The pack with its loads at the three corners.
fn circuits_of(packs: &[PackCircuit; 3], loads: &[Vec<LoadCircuit>; 3], lead_ohm: [f64; 3]) -> [PackCircuit; 3] {
    let ([least, likely, most], [heavy, middle, light], [high_ohm, likely_ohm, low_ohm]) = (packs, loads, lead_ohm);
    [
        least.with_loads(heavy.clone(), high_ohm),
        likely.with_loads(middle.clone(), likely_ohm),
        most.with_loads(light.clone(), low_ohm),
    ]
}

async fn run_all(
    base: &PackRun,
    packs: &[PackCircuit; 3],
    loads: &[Vec<LoadCircuit>; 3],
    lead_ohm: [f64; 3],
) -> Result<[Discharge; 3], Vec<Error>> {
    let [least, likely, most] = circuits_of(packs, loads, lead_ohm);
    let least = base.discharged(&least)?;
    turn().await;
    let likely = base.discharged(&likely)?;
    turn().await;
    let most = base.discharged(&most)?;
    turn().await;
    Ok([least, likely, most])
}

/// The timer at three states of the pack, the knob at the plan's place.
fn timer_report(plan: &Plan, control: &Control, pack: &PackReport, cells: &[Vec<Vec<CellCircuit>>; 3]) -> TimerReport {
    let timer = control.timer.turned(control.wiper_ratio);
    let [_, likely, _] = cells;
    let half_v = likely.iter().filter_map(|group| group.first()).map(|cell| cell.rest_v(0.5)).sum();
    let at = |supply_v: f64| timer.judged(supply_v, plan.ambient_degc.likely);
    TimerReport { full: at(pack.full_v), half: at(half_v), empty: at(pack.floor_v) }
}

/// Which rating of the plan's kind of fuse, or of a blade fuse, lies between the load and the thinnest lead.
fn fuse_answer(facts: &Facts<'_>) -> Result<Option<FuseAnswer>, Vec<Error>> {
    let family = facts.plan.fuse.as_ref().and_then(FuseChoice::fitted).and_then(|fuse| fuse.family);
    let limit_a = |wire: &&WireReport| {
        let lead = wire.lead.as_ref()?;
        Some(lead.limit.as_ref()?.current_a)
    };
    let thinnest = facts.wires.iter().filter(|wire| limit_a(wire).is_some());
    let thinnest = thinnest.min_by(|a, b| limit_a(a).unwrap_or(0.0).total_cmp(&limit_a(b).unwrap_or(0.0)));
    let Some(lead) = thinnest.and_then(|wire| wire.lead.as_ref()) else { return Ok(None) };
    let family = family.unwrap_or(FuseFamily::Blade);
    let wish = judge::fuse_wish(facts, family, Some(lead), facts.pack.weakest_fault_a);
    if facts.pack.full_v < 0.5 || wish.wire_limit_a < 0.001 {
        return Ok(None);
    }
    wish.answer().map(Some).map_err(|errors| errors.into_iter().map(|error| error.at("fuse")).collect())
}

fn transport(facts: &Facts<'_>) -> Result<crate::part::transport::TransportAnswer, Vec<Error>> {
    let pack = &facts.pack;
    let cells = facts.plan.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| cell.capacity.capacity_ah);
    // The largest cell counts for all: the rules go by the rated energy.
    let largest = cells.reduce(|a, b| if b.high > a.high { b } else { a }).unwrap_or(Interval::exact(1.0));
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let wish = Transport {
        series: count(pack.series),
        parallel: count(pack.parallel),
        nominal_v: pack.nominal_v / (pack.series as f64).max(1.0),
        cell_capacity_ah: largest,
        type_tested: false,
    };
    wish.answer()
}
