//! A group with one dead cell as a circuit, at one end of its inputs.

use crate::pack::join::{Tie, TiedPack};
use crate::part::cell::CellCircuit;
use crate::quantity::Interval;

/// The group at one end of its inputs.
pub(super) struct Case {
    pub(super) neighbours: f64,
    pub(super) rest_v: f64,
    pub(super) soc_ratio: f64,
    pub(super) cell: CellCircuit,
    /// Strip and link of one cell.
    pub(super) way_ohm: f64,
}

/// What the dead cell is to its neighbours.
#[derive(Clone, Copy)]
pub(super) enum Dead {
    /// A resistance.
    Empty { short_ohm: f64 },
    /// Still charged, so that it feeds its own short as well.
    Charged { short_ohm: f64, own_ohm: f64 },
    /// A cell at another voltage.
    Low { dead_v: f64, soc_ratio: f64 },
}

/// Which reading of a cell's resistance is used.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Reading {
    /// The ohmic part alone.
    First,
    /// After so many seconds.
    After(f64),
}

impl Case {
    /// Resistance of a sound cell that gives `current_a`, in ohms.
    pub(super) fn cell_ohm(&self, reading: Reading, current_a: f64) -> f64 {
        self.ohm(reading, self.soc_ratio, current_a)
    }

    fn ohm(&self, reading: Reading, soc_ratio: f64, current_a: f64) -> f64 {
        match reading {
            Reading::First => self.cell.moment(&self.cell.at_rest(soc_ratio)).ohmic_ohm(),
            Reading::After(after_s) => self.cell.pulse_ohm(soc_ratio, current_a.max(1e-6), after_s),
        }
    }

    /// A cell that rests at `dead_v` among the sound ones.
    pub(super) fn low(&self, dead_v: f64) -> Dead {
        Dead::Low { dead_v, soc_ratio: self.cell.soc_at_rest(dead_v).clamp(0.0, 1.0) }
    }

    /// Voltage at the dead cell's ends above that of the group while it takes `current_a`; rises with it.
    fn above_v(&self, reading: Reading, dead: Dead, current_a: f64) -> f64 {
        let cell_ohm = self.cell_ohm(reading, current_a / self.neighbours);
        let way_v = current_a * (self.way_ohm + (cell_ohm + self.way_ohm) / self.neighbours);
        let dead_v = match dead {
            Dead::Empty { short_ohm } => current_a * short_ohm,
            Dead::Charged { short_ohm, own_ohm } => {
                (current_a + self.rest_v / own_ohm) / (1.0 / short_ohm + 1.0 / own_ohm)
            }
            Dead::Low { dead_v, soc_ratio } => dead_v + current_a * self.ohm(reading, soc_ratio, current_a),
        };
        dead_v + way_v - self.rest_v
    }

    /// Current into the dead cell, in amperes.
    pub(super) fn dead_a(&self, reading: Reading, dead: Dead) -> f64 {
        if self.above_v(reading, dead, 0.0) >= 0.0 {
            return 0.0;
        }
        let (mut low, mut high) = (0.0, self.cell.capacity_ah);
        for _ in 0..60 {
            if self.above_v(reading, dead, high) >= 0.0 {
                break;
            }
            high *= 2.0;
        }
        for _ in 0..80 {
            let middle = 0.5 * (low + high);
            if self.above_v(reading, dead, middle) < 0.0 { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }

    /// Heat in a cell with a short of `short_ohm` inside, its own charge included, in watts; at most over the shorts
    /// between two values.
    pub(super) fn short_heat_w(&self, short_ohm: Interval) -> f64 {
        let own_ohm = self.cell_ohm(Reading::First, 0.0);
        let path_ohm = self.way_ohm + (own_ohm + self.way_ohm) / self.neighbours;
        let fed_ohm = 1.0 / (1.0 / own_ohm + 1.0 / path_ohm);
        let worst_ohm = (fed_ohm * (1.0 - 2.0 * fed_ohm / own_ohm)).clamp(short_ohm.low, short_ohm.high);
        let heat_w = |ohm: f64| {
            let whole_ohm = fed_ohm + ohm;
            self.rest_v * self.rest_v * (ohm + fed_ohm * fed_ohm / own_ohm) / (whole_ohm * whole_ohm)
        };
        [short_ohm.low, worst_ohm, short_ohm.high].into_iter().map(heat_w).fold(0.0, f64::max)
    }

    /// The same group with `soc_ratio` left.
    pub(super) fn emptied(self, soc_ratio: f64) -> Self {
        Self { soc_ratio, rest_v: self.cell.rest_v(soc_ratio), ..self }
    }

    /// Energy of a cell from here to empty, in joules.
    pub(super) fn cell_j(&self) -> f64 {
        self.cell.capacity_ah * 3600.0 * self.cell.rest_area_v(self.soc_ratio)
    }

    /// The sound cells against one that rests at `dead_v`; none where that is under empty.
    pub(super) fn tie(&self, dead_v: f64) -> Option<Tie> {
        let soc_ratio = self.cell.soc_at_rest(dead_v);
        let sound = TiedPack {
            group: self.cell.clone().side_by_side(self.neighbours as u32),
            series: 1,
            soc_ratio: self.soc_ratio,
        };
        let dead = TiedPack { group: self.cell.clone(), series: 1, soc_ratio: soc_ratio.min(self.soc_ratio) };
        let join_ohm = self.way_ohm * (1.0 + 1.0 / self.neighbours);
        (soc_ratio >= 0.0).then_some(Tie { a: sound, b: dead, join_ohm })
    }
}
