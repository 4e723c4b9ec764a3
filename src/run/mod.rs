//! What happens over time.

pub mod brushless_pump;
pub mod build;
pub mod charge;
pub mod circuit_run;
pub mod dead_cell;
pub mod diary;
pub mod discharge;
pub mod driven;
pub mod enclosure;
pub mod equalise;
pub mod fit;
pub mod joining;
pub mod knob;
pub mod pack_charge;
mod pack_circuit;
pub mod pack_run;
pub mod profile;
mod segment;
pub mod self_discharge;
pub mod sort_bin;
pub mod spread;
pub mod stepper;
mod ties;
pub mod timer_parts;
pub mod timer_span;
pub mod timer_spread;
