//! What gets hot by a failure, how fast and how far.

use super::{Bench, Broken, FailingPart, FailingRow, FailingWay, MORE_OHM};
use crate::part::wire::Cooling;
use crate::quantity::order::sort_by;
use crate::run::build::{BuildCircuit, FLYBACK_ON_V, Flowing, Piece};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// A part that gets hot.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct HotPart {
    /// What it is.
    pub name: String,
    /// Heat in it, in watts.
    pub heat_w: f64,
    /// How fast it warms at first, in kelvin per second.
    pub rise_k_per_s: f64,
    /// Temperature at which it settles, in degrees Celsius, unless it burns before.
    pub end_degc: f64,
    /// Temperature that it must not pass, in degrees Celsius.
    pub limit_degc: f64,
    /// Time until it passes it, in seconds; nothing where it never does.
    pub limit_s: Option<f64>,
    /// Whether it is the failed part itself, off the cells and leads.
    pub is_own: bool,
    /// Whether the same holds at the empty pack.
    pub at_empty: bool,
}

/// How a part sheds heat. All from memory, rounded to the hot side.
#[derive(Clone, Copy)]
struct Sheds {
    k_per_w: f64,
    j_per_k: f64,
    limit_degc: f64,
}

/// A crimp, weld or contact.
const CONTACT: Sheds = Sheds { k_per_w: 40.0, j_per_k: 1.0, limit_degc: 105.0 };
/// A fuse holder.
const HOLDER: Sheds = Sheds { k_per_w: 30.0, j_per_k: 2.0, limit_degc: 105.0 };
/// A protection board.
const BOARD: Sheds = Sheds { k_per_w: 20.0, j_per_k: 3.0, limit_degc: 105.0 };
/// A transistor of TO-220 size without a sink.
const TRANSISTOR: Sheds = Sheds { k_per_w: 65.0, j_per_k: 1.5, limit_degc: 150.0 };
/// A diode on its leads.
const DIODE: Sheds = Sheds { k_per_w: 60.0, j_per_k: 0.5, limit_degc: 150.0 };
/// A cell for each ampere-hour: 20 g of 0.9 J/(g K), 20 K/W in the middle of a pack.
const CELL_J_PER_K_AH: f64 = 18.0;
const CELL_K_PER_W: f64 = 20.0;
const CELL_LIMIT_DEGC: f64 = 60.0;

/// Hottest temperature that is told, in degrees Celsius.
const BURNS_DEGC: f64 = 400.0;

impl Bench<'_> {
    /// Every part that a failure heats by more than 5 K, the worst against its limit first.
    pub(super) fn hot(
        &self,
        row: &FailingRow,
        place: usize,
        build: &BuildCircuit,
        broken: &Broken,
        flows: &Flowing,
    ) -> Vec<HotPart> {
        let mut parts = Vec::new();
        self.own(row, build, flows, &mut parts);
        self.cells(row, place, build, broken, flows, &mut parts);
        self.leads(flows, &mut parts);
        parts.retain(|part| part.end_degc > self.ambient_degc() + 5.0);
        let over = |part: &HotPart| part.end_degc - part.limit_degc;
        sort_by(&mut parts, |a, b| over(b).total_cmp(&over(a)));
        parts.truncate(4);
        parts
    }

    fn ambient_degc(&self) -> f64 {
        self.model.plan.ambient_degc.high
    }

    fn warmed(&self, name: String, heat_w: f64, sheds: Sheds, is_own: bool) -> HotPart {
        let ambient_degc = self.ambient_degc();
        let end_degc = (ambient_degc + heat_w * sheds.k_per_w).min(BURNS_DEGC);
        let share = (sheds.limit_degc - ambient_degc).max(0.0) / (heat_w * sheds.k_per_w).max(1e-12);
        let limit_s = (share < 1.0).then(|| -sheds.k_per_w * sheds.j_per_k * libm::log1p(-share));
        HotPart {
            name,
            heat_w,
            rise_k_per_s: heat_w / sheds.j_per_k,
            end_degc,
            limit_degc: sheds.limit_degc,
            limit_s,
            is_own,
            at_empty: false,
        }
    }

    /// The failed part itself.
    fn own(&self, row: &FailingRow, build: &BuildCircuit, flows: &Flowing, parts: &mut Vec<HotPart>) {
        let square_a2 = flows.rms_a * flows.rms_a;
        let more = row.way == FailingWay::MoreOhm;
        let (name, heat_w, sheds) = match row.part {
            FailingPart::Link | FailingPart::Strip if more => ("the joint", square_a2 * MORE_OHM, CONTACT),
            FailingPart::Fuse if more => ("the fuse holder", square_a2 * MORE_OHM, HOLDER),
            FailingPart::Connector if more => ("the plug", square_a2 * MORE_OHM, CONTACT),
            FailingPart::Charger if more => {
                let charge_a = self.model.plan.charging.as_ref().map_or(0.0, |charging| charging.supply_a);
                ("the charger's plug", charge_a * charge_a * MORE_OHM, CONTACT)
            }
            FailingPart::Board if more => ("the board", square_a2 * (build.ohm(Piece::Board) + MORE_OHM), BOARD),
            FailingPart::Transistor if row.way != FailingWay::Open => {
                let ohm = build.ohm(Piece::Transistor) + if more { MORE_OHM } else { 0.0 };
                ("the transistor", square_a2 * ohm, TRANSISTOR)
            }
            FailingPart::Diode if row.way == FailingWay::Shorted => ("the diode", flows.mean_a * FLYBACK_ON_V, DIODE),
            _ => return,
        };
        parts.push(self.warmed(name.into(), heat_w, sheds, true));
    }

    /// The cells: those that the pack's current heats most, and those that are shorted inside.
    fn cells(
        &self,
        row: &FailingRow,
        place: usize,
        build: &BuildCircuit,
        broken: &Broken,
        flows: &Flowing,
        parts: &mut Vec<HotPart>,
    ) {
        let plan = self.model.plan;
        for ((number, group), (source, planned)) in
            (1..).zip(&plan.pack.groups).zip(broken.circuit.groups.iter().zip(&build.groups))
        {
            let held: f64 = group.cells.iter().map(|cell| cell.capacity.capacity_ah.low).sum();
            let heat_w = if number == place && broken.inside_a > 0.0 {
                broken.inside_a * broken.inside_a * planned.ohm
            } else if source.ohm < 1.0 {
                flows.rms_a * flows.rms_a * source.ohm
            } else {
                continue;
            };
            let cells = group.cells.len().max(1) as f64;
            let lost = if number == place && row.part == FailingPart::Cell && cells > 1.0 { 1.0 } else { 0.0 };
            let left = (cells - lost) / cells;
            let sheds = Sheds {
                k_per_w: CELL_K_PER_W / (cells * left),
                j_per_k: CELL_J_PER_K_AH * held * left,
                limit_degc: CELL_LIMIT_DEGC,
            };
            parts.push(self.warmed(format!("cells of group {number}"), heat_w, sheds, false));
        }
    }

    /// The leads.
    fn leads(&self, flows: &Flowing, parts: &mut Vec<HotPart>) {
        for run in &self.model.plan.runs {
            let built = run.built();
            let one_a = flows.rms_a / f64::from(run.parallel());
            let warm_ohm_per_m = built.metre_ohm().high * built.warm_ratio(run.insulation_degc);
            // One metre of one conductor, its resistance as at the limit of its insulation.
            let sheds = Sheds {
                k_per_w: Cooling::CLOSE.k_m_per_w(&run.conductor),
                j_per_k: 385.0 * built.kg_per_m(),
                limit_degc: run.insulation_degc,
            };
            parts.push(self.warmed(format!("the lead {}", run.name), one_a * one_a * warm_ohm_per_m, sheds, false));
        }
    }
}
