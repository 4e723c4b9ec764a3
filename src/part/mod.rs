//! One component, one law a file; parts never import parts.

pub mod blower;
pub mod cell;
pub mod charger;
pub mod choice;
pub mod converter;
pub mod decoupling;
pub mod fade;
pub mod fuse;
pub mod hour_rate;
pub mod joint;
pub mod layout;
pub mod led;
pub mod load;
pub mod marking;
pub mod measure;
pub mod motor;
pub mod protection;
pub mod pump;
pub mod rc;
pub mod stage;
pub mod switch;
pub mod timing;
pub mod transport;
pub mod ventilation;
pub mod wire;
