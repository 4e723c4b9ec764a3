//! What chargers do and what cells of each family may be given.
//!
//! Voltage limits, current and temperatures of the lithium chemistries stand in [`crate::data::chemistry`]; here are
//! the rest: pre-charge, end of charge, temperature bands, lead-acid and nickel-metal hydride.

use crate::data::{COMMON_PRACTICE, Seen, Source};

/// Highest voltage of a lithium-ion cell that a charger in tolerance may reach, in volts.
pub const LI_ION_UPPER_V: f64 = 4.25;

/// Source of [`LI_ION_UPPER_V`].
pub const LI_ION_UPPER_SOURCE: Source = Source {
    title: "JEITA/BAJ, guideline on safe use of lithium-ion batteries in notebook computers",
    edition: "2007, as quoted by a semiconductor maker's engineer; IEC 62133-2 has the same figure (memory)",
    place: "highest cell voltage in the normal band",
    seen: Seen::Reproduced,
};

/// Highest voltage of a lithium iron phosphate cell that a charger in tolerance may reach, in volts: one percent above
/// 3.65 V, the tolerance of common chargers.
pub const LFP_UPPER_V: f64 = 3.69;

/// Current at which the constant-voltage phase of a lithium cell ends, in multiples of the capacity.
pub const LITHIUM_END_C: f64 = 0.05;

/// End current in multiples of the capacity under which leakage of worn cells and a board's own draw may keep a charge
/// from ending. Common practice, no source.
pub const LITHIUM_END_LEAST_C: f64 = 0.01;

/// Source of [`LITHIUM_END_C`].
pub const LITHIUM_END_SOURCE: Source = Source {
    title: "Samsung SDI specification INR18650-25R",
    edition: "",
    place: "standard charge, cut-off current 125 mA of 2500 mAh",
    seen: Seen::Original,
};

/// A band of cell temperature for charging.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChargeBand {
    /// Lowest cell temperature, in degrees Celsius.
    pub from_degc: f64,
    /// Highest cell temperature, in degrees Celsius.
    pub to_degc: f64,
    /// Highest current, in multiples of the capacity.
    pub current_c: f64,
    /// Where the band comes from.
    pub source: Source,
}

/// Source of the bands above 5 °C.
pub const BAND_MAKER: Source = Source {
    title: "maker specification of an 18650 cell of 2600 mAh",
    edition: "",
    place: "charge current against temperature: 0.2C from 5 °C to 15 °C, 0.5C from 15 °C",
    seen: Seen::Original,
};

/// Lithium cells without a data sheet: charge current by cell temperature. Above 45 °C and below 0 °C there is none.
pub const LITHIUM_BANDS: [ChargeBand; 3] = [
    ChargeBand { from_degc: 0.0, to_degc: 5.0, current_c: 0.1, source: COMMON_PRACTICE },
    ChargeBand { from_degc: 5.0, to_degc: 15.0, current_c: 0.2, source: BAND_MAKER },
    ChargeBand { from_degc: 15.0, to_degc: 45.0, current_c: 0.5, source: BAND_MAKER },
];

/// Bands of the guideline for notebook computers, which a charger with a temperature sensor may follow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GuidelineBands {
    /// Upper end of the cool band with reduced current or voltage, in degrees Celsius.
    pub cool_to_degc: f64,
    /// Upper end of the normal band, in degrees Celsius.
    pub normal_to_degc: f64,
    /// Upper end of the first warm band, in degrees Celsius.
    pub warm_to_degc: f64,
    /// Highest cell voltage in the first warm band, in volts.
    pub warm_v: f64,
    /// Highest cell voltage in the second warm band, up to where charging ends, in volts; from memory.
    pub hot_v: f64,
    /// No charging below, in degrees Celsius.
    pub never_below_degc: f64,
    /// No charging above, in degrees Celsius.
    pub never_above_degc: f64,
    /// Where they come from.
    pub source: Source,
}

/// The guideline's bands.
pub const GUIDELINE: GuidelineBands = GuidelineBands {
    cool_to_degc: 10.0,
    normal_to_degc: 45.0,
    warm_to_degc: 50.0,
    warm_v: 4.15,
    hot_v: 4.10,
    never_below_degc: 0.0,
    never_above_degc: 60.0,
    source: LI_ION_UPPER_SOURCE,
};

/// What a charger does with a deeply discharged lithium cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PreCharge {
    /// Highest current, in multiples of the capacity.
    pub current_c: f64,
    /// Cell voltage at which it ends, in volts.
    pub until_v: f64,
    /// Longest time before the cell must be rejected, in seconds.
    pub longest_s: f64,
    /// Where it comes from.
    pub source: Source,
}

/// Pre-charge of a lithium-ion cell.
pub const LI_ION_PRE_CHARGE: PreCharge = PreCharge {
    current_c: 0.1,
    until_v: 3.0,
    longest_s: 1800.0,
    source: Source {
        title: "cell makers' precautions for lithium-ion batteries",
        edition: "",
        place: "below 3.0 V at most 0.1C (another maker: 0.01C), reject after 30 minutes",
        seen: Seen::Original,
    },
};

/// Pre-charge of a lithium iron phosphate cell; the longest time is the one of lithium-ion cells.
pub const LFP_PRE_CHARGE: PreCharge = PreCharge {
    current_c: 0.1,
    until_v: 2.0,
    longest_s: 1800.0,
    source: Source {
        title: "Sunland IFR10440 specification",
        edition: "",
        place: "pre-charge below 2.0 V at 0.1C",
        seen: Seen::Original,
    },
};

/// A charger circuit for one lithium-ion cell whose current a resistor sets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChargerCircuitRow {
    /// Voltage at the end, in volts.
    pub charge_v: f64,
    /// Cell voltage under which it only trickles, in volts.
    pub trickle_below_v: f64,
    /// Trickle current over the set current.
    pub trickle_ratio: f64,
    /// Current at which it ends, over the set current.
    pub end_ratio: f64,
    /// Set current times resistor, in volts: `current_a = program_v / program_ohm`.
    pub program_v: f64,
    /// Where it comes from.
    pub source: Source,
}

/// The TP4056 circuit. Its own table lies 3 to 9 percent under the formula.
pub const TP4056: ChargerCircuitRow = ChargerCircuitRow {
    charge_v: 4.2,
    trickle_below_v: 2.9,
    trickle_ratio: 0.1,
    end_ratio: 0.1,
    program_v: 1200.0,
    source: Source {
        title: "TP4056 data sheet, NanJing Top Power",
        edition: "",
        place: "trickle 2.9 V, end at a tenth; formula 1200/R from a reference design",
        seen: Seen::Original,
    },
};

/// How a valve-regulated lead-acid cell is charged; voltages at 25 °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeadAcidRow {
    /// Nominal voltage of a cell, in volts.
    pub nominal_v: f64,
    /// Lowest and highest float voltage of a cell, in volts.
    pub float_v: [f64; 2],
    /// Lowest and highest voltage of a cell in cycle use, in volts.
    pub cycle_v: [f64; 2],
    /// Change of the float voltage of a cell with temperature, in volts per kelvin.
    pub float_v_per_k: f64,
    /// Change of the cycle voltage of a cell with temperature, in volts per kelvin.
    pub cycle_v_per_k: f64,
    /// Highest current, in multiples of the 20-hour capacity.
    pub current_c: f64,
    /// Current at which cycle charging is done, in multiples of the capacity.
    pub end_c: f64,
    /// Lowest and highest temperature for charging, in degrees Celsius.
    pub charge_degc: [f64; 2],
    /// Resistance of a charged cell, in ohms.
    pub cell_ohm: f64,
    /// Charge lost in a month at 20 °C, as a ratio.
    pub month_ratio: f64,
    /// Peukert's exponent: least, likely, most.
    pub exponent: [f64; 3],
    /// Capacity of the 12 V block over 20, 10, 5 and 1 hours, over the one of 20 hours.
    pub hour_ratio: [f64; 4],
    /// Share of the capacity that is left after 6 and 12 months in store at 20 °C, as another maker prints it: a little
    /// less than `month_ratio` says.
    pub stored_ratio: [f64; 2],
    /// Where the voltages come from.
    pub source: Source,
}

/// A 12 V block of six cells: 13.4 to 13.8 V float, 14.5 V and up in cycle use, −20 mV/K float.
pub const LEAD_ACID: LeadAcidRow = LeadAcidRow {
    nominal_v: 2.0,
    float_v: [13.4 / 6.0, 13.8 / 6.0],
    cycle_v: [14.5 / 6.0, 14.9 / 6.0],
    float_v_per_k: -0.020 / 6.0,
    cycle_v_per_k: -0.030 / 6.0,
    current_c: 0.25,
    end_c: 0.01,
    charge_degc: [0.0, 40.0],
    cell_ohm: 0.027 / 6.0,
    month_ratio: 0.03,
    exponent: [1.05, 1.15, 1.25],
    hour_ratio: [1.0, 0.95, 0.85, 0.6],
    stored_ratio: [0.8, 0.6],
    source: Source {
        title: "NP125 12 V 5 Ah valve-regulated lead-acid data sheet",
        edition: "",
        place: "voltages, capacities, resistance; upper cycle voltage, cycle coefficient, current, temperatures: memory; \
                exponent: summaries of Peukert's law, absorbed glass mat to gel",
        seen: Seen::Original,
    },
};

/// How a lead-acid battery is made, as far as Peukert's exponent goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum LeadKind {
    /// Sealed, the acid held in a mat of glass fibres.
    GlassMat,
    /// Sealed, the acid held in a gel.
    Gel,
    /// With caps and liquid acid.
    Flooded,
}

impl LeadKind {
    /// Lowest and highest of Peukert's exponents that are printed for it.
    #[must_use]
    pub const fn exponent(self) -> [f64; 2] {
        match self {
            Self::GlassMat => [1.05, 1.15],
            Self::Gel => [1.10, 1.25],
            Self::Flooded => [1.20, 1.60],
        }
    }
}

/// Source of the exponents.
pub const LEAD_KIND_SOURCE: Source = Source {
    title: "summaries of Peukert's law",
    edition: "",
    place: "ranges by kind; highest of glass mat and gel and lowest of flooded read, the others are from memory",
    seen: Seen::Memory,
};

/// How a nickel-metal hydride cell is charged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NickelRow {
    /// Nominal voltage of a cell, in volts.
    pub nominal_v: f64,
    /// Voltage at the end of a 0.1C charge at room temperature, in volts.
    pub end_v: f64,
    /// Current of the standard charge, in multiples of the capacity.
    pub standard_c: f64,
    /// Time of the standard charge, in seconds.
    pub standard_s: f64,
    /// Current of the rapid charge, in multiples of the capacity.
    pub rapid_c: f64,
    /// Longest time of the rapid charge, in seconds.
    pub rapid_s: f64,
    /// Drop of the cell voltage that ends a rapid charge, in volts.
    pub drop_v: f64,
    /// Current under which no drop may be counted on, in multiples of the capacity; common practice.
    pub drop_from_c: f64,
    /// Lowest and highest temperature of the standard charge, in degrees Celsius.
    pub standard_degc: [f64; 2],
    /// Highest temperature of the rapid charge, in degrees Celsius.
    pub rapid_to_degc: f64,
    /// Where it comes from.
    pub source: Source,
}

/// Nickel-metal hydride.
pub const NICKEL: NickelRow = NickelRow {
    nominal_v: 1.2,
    end_v: 1.45,
    standard_c: 0.1,
    standard_s: 57600.0,
    rapid_c: 1.0,
    rapid_s: 4320.0,
    drop_v: 0.005,
    drop_from_c: 0.5,
    standard_degc: [0.0, 45.0],
    rapid_to_degc: 40.0,
    source: Source {
        title: "Panasonic HHR70AAAJ data sheet; IEC 61951-2 test pattern; Varta NiMH handbook",
        edition: "2005",
        place: "standard 0.1C for 16 h, rapid 1C for 1.2 h; -dV 5 mV a cell from a 450 mAh AAA data sheet",
        seen: Seen::Original,
    },
};

/// Resistance of a 10 kΩ thermistor (103AT) at one temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThermistorPoint {
    /// Temperature, in degrees Celsius.
    pub cell_degc: f64,
    /// Resistance, in ohms.
    pub resistance_ohm: f64,
}

const fn at(cell_degc: f64, resistance_ohm: f64) -> ThermistorPoint {
    ThermistorPoint { cell_degc, resistance_ohm }
}

/// Points of the thermistor's own table, the coldest first; the two-point B equation is 5 percent off at 0 °C.
pub const THERMISTOR_103AT: [ThermistorPoint; 22] = [
    at(-20.0, 67770.0),
    at(-15.0, 53410.0),
    at(-10.0, 42470.0),
    at(-5.0, 33900.0),
    at(0.0, 27280.0),
    at(5.0, 22050.0),
    at(10.0, 17960.0),
    at(15.0, 14690.0),
    at(20.0, 12090.0),
    at(25.0, 10000.0),
    at(30.0, 8313.0),
    at(35.0, 6940.0),
    at(40.0, 5827.0),
    at(45.0, 4911.0),
    at(50.0, 4160.0),
    at(55.0, 3536.0),
    at(60.0, 3020.0),
    at(65.0, 2588.0),
    at(70.0, 2228.0),
    at(75.0, 1924.0),
    at(80.0, 1668.0),
    at(85.0, 1451.0),
];

/// Source of [`THERMISTOR_103AT`].
pub const THERMISTOR_SOURCE: Source = Source {
    title: "Semitec AT catalogue",
    edition: "",
    place: "R-T table of 103AT; 0, 25 and 50 °C read, the others are from memory",
    seen: Seen::Memory,
};

/// How far the charge of one group drifts from the others' in a cycle without balancing, as a ratio of its capacity:
/// least, likely, most. Common practice, no source; salvaged cells differ in self-discharge.
pub const DRIFT_PER_CYCLE_RATIO: [f64; 3] = [0.0001, 0.0005, 0.002];
