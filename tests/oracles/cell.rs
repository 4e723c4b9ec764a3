//! The published cells that were simulated.

use cellwright::data::chemistry::{self, PublishedCell};
use cellwright::part::cell::{CellCircuit, Curves};
use std::sync::Arc;

/// A fresh cell of the simulation's name, at a temperature.
pub(crate) fn cell(name: &str, cell_degc: f64) -> CellCircuit {
    let published = published(name);
    CellCircuit::new(Arc::new(Curves::published(published)), published.capacity_ah, 1.0, cell_degc)
}

fn published(name: &str) -> &'static PublishedCell {
    match name {
        "NMC_Chen2020" => &chemistry::NMC,
        "LCO_Marquis2019" => &chemistry::LCO,
        "LFP_Prada2013" => &chemistry::LFP,
        "NCA_Kim2011" => &chemistry::NCA,
        _ => panic!("{name}"),
    }
}
