//! Connectors and holders: what they carry and the resistance of their contacts.

use crate::data::{Seen, Source};

/// What is printed of a connector.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JointRow {
    /// Its name.
    pub name: &'static str,
    /// Largest current, in amperes.
    pub rated_a: f64,
    /// Largest voltage, in volts, where printed.
    pub rated_v: Option<f64>,
    /// Largest resistance of its contact over its life, in ohms, where printed.
    pub contact_ohm: Option<f64>,
    /// How often it may be plugged, where printed.
    pub cycles: Option<f64>,
    /// Rise of its temperature at its rating, in kelvin, where printed.
    pub rise_k: Option<f64>,
    /// Where it comes from.
    pub source: Source,
}

const fn quoted(title: &'static str) -> Source {
    Source { title, edition: "", place: "in a public repository that quotes the sheet", seen: Seen::Reproduced }
}

/// Round plug for direct current, 3.5 mm outside, 1.1 mm pin.
pub const BARREL_3_5: JointRow = JointRow {
    name: "round plug 3.5 × 1.1 mm",
    rated_a: 5.0,
    rated_v: Some(24.0),
    contact_ohm: Some(0.1),
    cycles: Some(5000.0),
    rise_k: None,
    source: Source {
        title: "Tensility 50-00045 DC jack drawing",
        edition: "",
        place: "ratings and contact resistance at the end of life",
        seen: Seen::Original,
    },
};

/// Two-pole plug for 60 A of model makers, XT60.
pub const XT60: JointRow = JointRow {
    name: "XT60",
    rated_a: 30.0,
    rated_v: None,
    contact_ohm: Some(0.55e-3),
    cycles: None,
    rise_k: Some(27.8),
    source: quoted("Amass XT60 data sheets"),
};

/// Holder for a blade fuse in the lead.
pub const BLADE_HOLDER: JointRow = JointRow {
    name: "in-line holder for a blade fuse",
    rated_a: 20.0,
    rated_v: Some(32.0),
    contact_ohm: None,
    cycles: None,
    rise_k: None,
    source: quoted("Littelfuse ATO FHA holder data sheet"),
};

/// Outside diameter of the common round plug, in metres: 12 V and 19 V supplies share it.
pub const COMMON_BARREL_M: f64 = 5.5e-3;

/// Diameters of the pin that plugs of that outside diameter are made for, in metres. A socket for the thinner pin does not
/// take the thicker one; a plug for the thicker pin fits loosely over the thinner one and makes poor contact.
pub const COMMON_BARREL_PINS_M: [f64; 2] = [2.1e-3, 2.5e-3];

/// Source of [`COMMON_BARREL_M`] and [`COMMON_BARREL_PINS_M`].
pub const COMMON_BARREL_SOURCE: Source = Source {
    title: "EIAJ RC-5320A, IEC 60130-10",
    edition: "",
    place: "in encyclopedia articles on coaxial power connectors",
    seen: Seen::Reproduced,
};
