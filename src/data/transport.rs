//! Limits for carrying batteries, the type test behind them, and advice of authorities.

use crate::data::{Seen, Source};

/// Energy up to which a passenger may carry a lithium-ion battery without asking the airline, in watt-hours.
pub const AIR_FREE_WH: f64 = 100.0;

/// Energy up to which a passenger may carry one with the airline's approval, in watt-hours.
pub const AIR_APPROVAL_WH: f64 = 160.0;

/// Most spare batteries between the two limits.
pub const AIR_APPROVAL_SPARES: f64 = 2.0;

/// Source of the air-travel limits.
pub const AIR_SOURCE: Source = Source {
    title: "ICAO Technical Instructions; IATA Dangerous Goods Regulations",
    edition: "as summarised by airlines and the US TSA",
    place: "passenger provisions for lithium-ion batteries; spares never in checked baggage",
    seen: Seen::Reproduced,
};

/// The type test that a home-built pack lacks.
pub const TYPE_TEST_SOURCE: Source = Source {
    title: "UN Manual of Tests and Criteria, 38.3",
    edition: "5th edition; later ones changed two temperatures",
    place: "required of every type offered for transport (memory)",
    seen: Seen::Reproduced,
};

/// Conditions of the type test UN 38.3.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TypeTest {
    /// T.1: pressure, in pascal.
    pub altitude_pa: f64,
    /// T.1: how long it lasts, in seconds; from memory.
    pub altitude_s: f64,
    /// T.2: cycles between the temperatures.
    pub thermal_cycles: f64,
    /// T.2: upper temperature in the 5th edition, in degrees Celsius; 72 °C later (memory).
    pub thermal_degc: f64,
    /// T.2: lower temperature, in degrees Celsius; from memory.
    pub thermal_low_degc: f64,
    /// T.2: how long each temperature is held for small batteries, in seconds; from memory.
    pub thermal_hold_s: f64,
    /// T.3: lower frequency of the sweep, in hertz; from memory.
    pub vibration_low_hz: f64,
    /// T.3: sweeps up and down along each of three axes; from memory.
    pub vibration_sweeps: f64,
    /// T.3: upper frequency of the sweep, in hertz.
    pub vibration_hz: f64,
    /// T.4: peak acceleration for small batteries, in standard gravities.
    pub shock_g: f64,
    /// T.4: length of the half sine for small batteries, in seconds; from memory.
    pub shock_s: f64,
    /// T.4: peak acceleration for large batteries, in standard gravities; from memory.
    pub shock_large_g: f64,
    /// T.5: largest resistance of the short circuit, in ohms.
    pub short_ohm: f64,
    /// T.5: temperature in the 5th edition, in degrees Celsius; 57 °C later (memory).
    pub short_degc: f64,
}

/// The type test.
pub const TYPE_TEST: TypeTest = TypeTest {
    altitude_pa: 11600.0,
    altitude_s: 21600.0,
    thermal_cycles: 10.0,
    thermal_degc: 75.0,
    thermal_low_degc: -40.0,
    thermal_hold_s: 21600.0,
    vibration_low_hz: 7.0,
    vibration_sweeps: 12.0,
    vibration_hz: 200.0,
    shock_g: 150.0,
    shock_s: 0.006,
    shock_large_g: 50.0,
    short_ohm: 0.1,
    short_degc: 55.0,
};

/// Advice of authorities on loose and used cells.
pub const LOOSE_CELLS: Source = Source {
    title: "US Consumer Product Safety Commission, safety warning on loose 18650 cells",
    edition: "8 January 2021",
    place: "whole text",
    seen: Seen::Original,
};

/// Advice on throwing away and on hot or bulging cells.
pub const DISPOSAL: Source = Source {
    title: "US Environmental Protection Agency, used lithium-ion batteries; Tennessee TDEC battery page",
    edition: "2021",
    place: "tape the terminals, bag singly, take to a collection point",
    seen: Seen::Reproduced,
};

/// How long a hot or bulging cell is kept outdoors before it is handled, in seconds: at least six hours.
pub const HOT_CELL_OUTDOORS_S: f64 = 21600.0;

/// Advice on where to charge.
pub const CHARGING_PLACE: Source = Source {
    title: "NFPA, Fire Prevention Week guidance on lithium-ion batteries",
    edition: "",
    place: "hard surface, never on a bed, pillow or couch; unplug when full",
    seen: Seen::Original,
};

/// Hydrogen from lead-acid cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HydrogenRow {
    /// Lower explosion limit in air, as a ratio.
    pub explosion_ratio: f64,
    /// Hydrogen made, in cubic metres an ampere-hour, at 0 °C.
    pub hydrogen_m3_per_ah: f64,
    /// Air for each ampere-hour of gassing, the rounded product of dilution, hydrogen and safety, in cubic metres.
    pub air_m3_per_ah: f64,
    /// Safety factor on the air flow.
    pub safety_factor: f64,
    /// Gassing current of valve-regulated cells on float, in multiples of the capacity per hour.
    pub float_c: f64,
    /// Gassing current of valve-regulated cells on boost charge, in multiples of the capacity per hour.
    pub boost_c: f64,
    /// Gassing current of vented cells on float, in multiples of the capacity per hour.
    pub vented_float_c: f64,
    /// Gassing current of vented cells on boost charge, in multiples of the capacity per hour; from memory.
    pub vented_boost_c: f64,
    /// Free opening for each cubic metre an hour of air, inlet and outlet each, in square metres.
    pub opening_m2_per_m3_h: f64,
    /// Where it comes from.
    pub source: Source,
}

/// Ventilation of lead-acid cells while charging; 0.42 litres an ampere-hour from memory.
pub const HYDROGEN: HydrogenRow = HydrogenRow {
    explosion_ratio: 0.04,
    hydrogen_m3_per_ah: 0.00042,
    air_m3_per_ah: 0.05,
    safety_factor: 5.0,
    float_c: 0.001,
    boost_c: 0.008,
    vented_float_c: 0.005,
    vented_boost_c: 0.02,
    opening_m2_per_m3_h: 0.0028,
    source: Source {
        title: "IEC 62485-2 and -3, formerly EN 50272",
        edition: "",
        place: "Table 1 and the ventilation equation, from makers' pages and a reproduced table",
        seen: Seen::Reproduced,
    },
};
