//! Invented cells, for tests that need some of no special kind.

use cellwright::part::cell::{CapacityTest, Cell, Chemistry, MeterLeads, ResistanceMethod, ResistanceTest};
use cellwright::quantity::Interval;

/// A capacity as it is measured on an NMC cell: from 4.2 V to 2.8 V with half an ampere, warm.
pub(crate) fn measured(capacity_ah: Interval) -> CapacityTest {
    CapacityTest { capacity_ah, start_v: 4.2, end_v: 2.8, current_a: 0.5, cell_degc: 25.0 }
}

/// A half-full cell whose resistance was read after ten seconds of a current.
pub(crate) fn cell(chemistry: Chemistry, capacity: CapacityTest, resistance_ohm: Interval, current_a: f64) -> Cell {
    let resistance = ResistanceTest {
        resistance_ohm,
        method: ResistanceMethod::Dc { after_s: 10.0, current_a },
        leads: MeterLeads::FourWire,
        cell_degc: 25.0,
        soc_ratio: 0.5,
    };
    Cell::new("invented", chemistry, capacity, resistance)
}
