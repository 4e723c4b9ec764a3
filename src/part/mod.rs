//! One component, one law a file; parts never import parts.

pub mod cell;
pub mod charger;
pub mod choice;
pub mod decoupling;
pub mod fuse;
pub mod layout;
pub mod load;
pub mod marking;
pub mod measure;
pub mod protection;
pub mod screening;
pub mod stage;
pub mod switch;
pub mod timing;
pub mod transport;
pub mod wire;
