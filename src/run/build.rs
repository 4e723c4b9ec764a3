//! The whole build as one circuit at one moment: what flows, and what a meter shows between any two points of it.
//!
//! ```text
//! groups and links in series → fuse → main switch → lead → loads → transistor → lead back → shunt → board
//! open_v − I · (Σ ohm) = v at the loads,   I by the loads' law,   means over the chopping period
//! ```
//!
//! One ladder serves the expected readings, the search for a fault and the question of what one failed part does. A
//! broken path is a thousand megohms, so that its points still have voltages. Loads that find no voltage to work at are
//! taken as the resistance they have at the pack's voltage. A protection board opens at its trip current, a fuse at twice
//! its rating. Source: Ohm's and Kirchhoff's laws; the fuse by its published gate (UL 248-14: opens at 200 %).

use crate::part::load::LoadCircuit;
use crate::quantity::root::sqrt;
use crate::run::segment::{Segment, segments};
use alloc::vec::Vec;

/// Resistance of a broken path, in ohms.
pub const BROKEN_OHM: f64 = 1e9;

/// Voltage of a flyback diode that conducts, in volts. Common practice, no source.
pub const FLYBACK_ON_V: f64 = 0.8;

/// Multiple of its rating at which a fuse surely opens.
pub const FUSE_OPENS_RATIO: f64 = 2.0;

/// Pieces of the current's way outside the pack, in its order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Piece {
    /// From pack plus over the fuse and its holder.
    FuseWay,
    /// Main switch.
    MainSwitch,
    /// Lead to the loads.
    PlusLead,
    /// Transistor of the speed control.
    Transistor,
    /// Lead back.
    MinusLead,
    /// Shunt, or the meter in the current's way.
    Shunt,
    /// Protection board.
    Board,
}

impl Piece {
    /// Every piece, in the order of the current.
    pub const ALL: [Self; 7] =
        [Self::FuseWay, Self::MainSwitch, Self::PlusLead, Self::Transistor, Self::MinusLead, Self::Shunt, Self::Board];

    /// Place in the order of the current, from 0.
    #[must_use]
    pub fn place(self) -> usize {
        Self::ALL.iter().position(|piece| *piece == self).unwrap_or(0)
    }
}

/// A group as its ends see it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroupSource {
    /// Voltage without current, in volts; below 0 where it sits the wrong way round.
    pub open_v: f64,
    /// Resistance, in ohms.
    pub ohm: f64,
}

/// A load and whether the transistor chops it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BuildLoad {
    /// Its law.
    pub circuit: LoadCircuit,
    /// Whether the transistor chops it.
    pub chopped: bool,
}

/// The build at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct BuildCircuit {
    /// The groups, the most negative first.
    pub groups: Vec<GroupSource>,
    /// Resistance of the strips and joints before each group, in ohms.
    pub link_ohm: Vec<f64>,
    /// Resistance of each piece, in ohms.
    pub piece_ohm: [f64; 7],
    /// The loads, in parallel.
    pub loads: Vec<BuildLoad>,
    /// Share of the time that the transistor conducts.
    pub duty: f64,
    /// Whether the flyback diode conducts as soon as the transistor does.
    pub flyback_reversed: bool,
    /// Mean voltage over the chopped loads in the pauses, in volts.
    pub pause_v: f64,
    /// Rating of the fuse, in amperes.
    pub fuse_a: Option<f64>,
    /// Current at which the board trips, in amperes.
    pub trip_a: Option<f64>,
}

/// What opened by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Opened {
    /// The protection board.
    Board,
    /// The fuse.
    Fuse,
}

/// What flows.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Flowing {
    /// Mean current, in amperes.
    pub mean_a: f64,
    /// Largest current of the period, in amperes.
    pub on_a: f64,
    /// Root of the mean square, in amperes.
    pub rms_a: f64,
    /// Voltage at the loads while all are on, in volts.
    pub on_v: f64,
    /// Mean voltage over the loads, in volts.
    pub load_v: f64,
    /// Mean power of the loads, in watts.
    pub load_w: f64,
    /// Mean voltage of the controller's supply, in volts.
    pub supply_v: f64,
}

/// What flows, and what opened before it did.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settled {
    /// What flows in the end.
    pub after: Flowing,
    /// What flowed until something opened.
    pub before: Flowing,
    /// What opened.
    pub opened: Option<Opened>,
}

impl BuildCircuit {
    /// Voltage of all groups in series without current, in volts.
    #[must_use]
    pub fn open_v(&self) -> f64 {
        self.groups.iter().map(|group| group.open_v).sum()
    }

    /// Resistance of the whole way, in ohms.
    #[must_use]
    pub fn way_ohm(&self) -> f64 {
        let pack: f64 = self.groups.iter().map(|group| group.ohm).sum::<f64>() + self.link_ohm.iter().sum::<f64>();
        pack + self.piece_ohm.iter().sum::<f64>()
    }

    /// Resistance of one piece, in ohms.
    #[must_use]
    pub fn ohm(&self, piece: Piece) -> f64 {
        self.piece_ohm.get(piece.place()).copied().unwrap_or(0.0)
    }

    /// Adds to the resistance of one piece.
    pub fn add_ohm(&mut self, piece: Piece, ohm: f64) {
        if let Some(held) = self.piece_ohm.get_mut(piece.place()) {
            *held += ohm;
        }
    }

    /// What flows once fuse and board had their say.
    #[must_use]
    pub fn settled(&self) -> Settled {
        let before = self.flowing();
        let opened = if self.trip_a.is_some_and(|trip_a| before.on_a > trip_a) {
            Some(Opened::Board)
        } else if self.fuse_a.is_some_and(|fuse_a| before.rms_a > FUSE_OPENS_RATIO * fuse_a) {
            Some(Opened::Fuse)
        } else {
            None
        };
        let Some(by) = opened else { return Settled { after: before, before, opened } };
        let mut open = self.clone();
        open.add_ohm(if by == Opened::Board { Piece::Board } else { Piece::FuseWay }, BROKEN_OHM);
        Settled { after: open.flowing(), before, opened }
    }

    /// What flows while nothing opens.
    #[must_use]
    pub fn flowing(&self) -> Flowing {
        let (open_v, ohm) = (self.open_v(), self.way_ohm());
        let chops = self.loads.iter().any(|load| load.chopped);
        if open_v <= 0.01 {
            return Flowing::default();
        }
        if self.flyback_reversed && chops && self.duty > 0.0 && open_v > FLYBACK_ON_V {
            return self.through_flyback(open_v, ohm);
        }
        let laws: Vec<LoadCircuit> = self.loads.iter().map(|load| self.law(load)).collect();
        let parts = segments(&laws);
        self.over(&parts, open_v, ohm).unwrap_or_else(|| {
            let plain: Vec<LoadCircuit> = laws.iter().map(|law| as_resistance(law, open_v)).collect();
            self.over(&segments(&plain), open_v, ohm).unwrap_or_default()
        })
    }

    fn law(&self, load: &BuildLoad) -> LoadCircuit {
        if load.chopped { LoadCircuit { duty: self.duty, ..load.circuit } } else { load.circuit }
    }

    /// Means over the segments of a period; nothing where one has no operating point.
    fn over(&self, parts: &[Segment], open_v: f64, ohm: f64) -> Option<Flowing> {
        let chops = self.loads.iter().any(|load| load.chopped);
        let mut flowing = Flowing::default();
        let (mut square_a2, mut at) = (0.0, 0.0);
        for (k, part) in parts.iter().enumerate() {
            let point = part.settle(open_v, ohm)?;
            let share = part.share;
            if k == 0 {
                flowing.on_a = point.current_a;
                flowing.on_v = point.load_v;
            }
            flowing.mean_a += share * point.current_a;
            square_a2 += share * point.current_a * point.current_a;
            flowing.load_w += share * point.current_a * point.load_v;
            let on = !chops || at + 0.5 * share < self.duty;
            let pause_v = if self.duty > 0.0 && point.load_v > 0.5 { self.pause_v } else { 0.0 };
            flowing.load_v += share * if on { point.load_v } else { pause_v };
            at += share;
        }
        flowing.rms_a = sqrt(square_a2);
        // The transistor and the lead to the loads lie behind the point where the controller is fed.
        let behind_ohm = self.ohm(Piece::Transistor) + self.ohm(Piece::PlusLead);
        flowing.supply_v = (open_v - flowing.mean_a * (ohm - behind_ohm)).max(0.0);
        if self.ohm_to_controller() >= BROKEN_OHM {
            flowing.supply_v = 0.0;
        }
        Some(flowing)
    }

    /// Resistance of the pieces between pack and controller, in ohms.
    fn ohm_to_controller(&self) -> f64 {
        self.way_ohm() - self.ohm(Piece::Transistor) - self.ohm(Piece::PlusLead)
    }

    fn through_flyback(&self, open_v: f64, ohm: f64) -> Flowing {
        let on_a = (open_v - FLYBACK_ON_V) / ohm.max(1e-4);
        let mean_a = self.duty * on_a;
        if self.ohm_to_controller() >= BROKEN_OHM {
            return Flowing::default();
        }
        Flowing {
            mean_a,
            on_a,
            rms_a: on_a * sqrt(self.duty),
            on_v: FLYBACK_ON_V,
            load_v: self.duty * FLYBACK_ON_V,
            load_w: mean_a * FLYBACK_ON_V,
            supply_v: (open_v - mean_a * ohm).max(0.0),
        }
    }
}

/// A law as the resistance that it has at `v`.
fn as_resistance(law: &LoadCircuit, v: f64) -> LoadCircuit {
    LoadCircuit { current_a: law.current(v).0, at_v: v, exponent: 2.0, ..*law }
}
