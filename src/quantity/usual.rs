//! What fields usually hold, so that a slip of a prefix is noticed.
//!
//! Common practice, no source: the range of small 12 V-class builds, widened by a decade. A value outside is accepted;
//! a person is only asked to look again.

/// What a field usually holds, in its base unit.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct UsualRange {
    /// Smallest usual value.
    pub low: f64,
    /// Largest usual value.
    pub high: f64,
}

/// End of a pointer without indices, smallest and largest usual value; the more particular first.
const USUAL: [(&str, f64, f64); 30] = [
    ("cells/resistance_ohm", 1e-3, 1.0),
    ("resistance/resistance_ohm", 0.1, 1e4),
    ("link_ohm", 0.0, 0.2),
    ("leads_ohm", 0.0, 1.0),
    ("switch_ohm", 0.0, 1.0),
    ("ra_ohm", 100.0, 1e7),
    ("rb_ohm", 100.0, 1e7),
    ("pot_ohm", 1e3, 2e6),
    ("charge_ohm", 100.0, 1e7),
    ("discharge_ohm", 100.0, 1e7),
    ("motor_ohm", 0.02, 200.0),
    ("motor_h", 1e-6, 0.1),
    ("c_f", 10e-12, 1e-3),
    ("capacity_ah", 0.05, 100.0),
    ("capacity_wh", 0.1, 1000.0),
    ("at_v", 1.0, 60.0),
    ("supply_v", 1.5, 60.0),
    ("full_v", 1.0, 4.5),
    ("floor_v", 0.8, 4.0),
    ("drop_out_v", 1.0, 30.0),
    ("current_a", 1e-3, 100.0),
    ("surge_a", 1e-2, 500.0),
    ("rating_a", 0.03, 150.0),
    ("power_w", 0.05, 1000.0),
    ("frequency_hz", 0.1, 1e6),
    ("way_m", 0.02, 20.0),
    ("area_mm2", 0.03, 20.0),
    ("thickness_m", 50e-6, 5e-3),
    ("ambient_degc", -20.0, 60.0),
    ("temperature_degc", -20.0, 60.0),
];

/// What the field at `pointer` usually holds; its indices do not count.
///
/// # Examples
///
/// ```
/// # use cellwright::quantity::usual::usual;
/// assert_eq!(usual("/pack/groups/1/cells/0/resistance_ohm").unwrap().high, 1.0);
/// assert!(usual("ra_ohm").unwrap().low > 10.0);
/// assert_eq!(usual("name"), None);
/// ```
#[must_use]
pub fn usual(pointer: &str) -> Option<UsualRange> {
    let ends_in = |wanted: &str| {
        let mut segments = pointer.rsplit('/').filter(|segment| !segment.bytes().all(|sign| sign.is_ascii_digit()));
        wanted.rsplit('/').all(|part| segments.next() == Some(part))
    };
    let row = USUAL.iter().find(|(end, _, _)| ends_in(end))?;
    Some(UsualRange { low: row.1, high: row.2 })
}
