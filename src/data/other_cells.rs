//! Cells beside the common lithium-ion ones: sodium-ion, sealed lead-acid, nickel-metal hydride.
//!
//! The lithium chemistries stand in [`super::chemistry`].

use super::charger::{LEAD_ACID, NICKEL};
use super::chemistry::{LCO_LIMITS, Limits, PULSE_POINTS, REST_POINTS};
use super::{COMMON_PRACTICE, Seen, Source};

/// Rest voltage and pulse resistances of one published cell at 25 °C; nothing is known of the cold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WarmCell {
    /// Capacity between the two ends of the rest curve, in ampere-hours.
    pub capacity_ah: f64,
    /// Current of the pulses, in amperes.
    pub pulse_a: f64,
    /// Rest voltage, one point each percent of charge, empty first.
    pub rest_v: [f64; REST_POINTS],
    /// Resistance in ohms by state of charge and time, as in [`super::chemistry::PublishedCell`]; 0 without a reading.
    pub pulse_ohm: [[f64; 3]; PULSE_POINTS],
    /// The paper the parameters come from.
    pub source: Source,
}

/// Rest voltage and resistance at one state of charge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlainPoint {
    /// State of charge.
    pub soc_ratio: f64,
    /// Voltage after a long rest, in volts.
    pub rest_v: f64,
    /// Resistance after ten seconds times capacity, in ohm ampere-hours.
    pub ohm_ah: f64,
}

/// A cell as a rest curve, a resistance over the charge and one time of lag.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlainCell {
    /// From empty to full, rising.
    pub points: &'static [PlainPoint],
    /// How long the charge at the surface takes to follow, in seconds, as in `part::cell::lag`: a fifteenth of it times
    /// the rate lags behind.
    pub lag_s: f64,
    /// Where the curve comes from.
    pub source: Source,
}

const fn plain(soc_ratio: f64, rest_v: f64, ohm_ah: f64) -> PlainPoint {
    PlainPoint { soc_ratio, rest_v, ohm_ah }
}

/// Valve-regulated lead-acid, a 2 V cell: rest voltage after twelve hours and resistance under 0.2C, simulated with the
/// parameter set of a 17 Ah cell at 25 °C.
///
/// The lag is what makes the crate's run give the hour-rate capacities of the NP125 data sheet (0.95, 0.85 and 0.6 of
/// the 20-hour one over 10, 5 and 1 hours, the last down to 1.6 V): one number for three, within 3 %.
pub const LEAD_ACID_CELL: PlainCell = PlainCell {
    points: &[
        plain(0.0, 1.8326, 1.59),
        plain(0.01, 1.8471, 1.408),
        plain(0.025, 1.8635, 1.217),
        plain(0.05, 1.8834, 1.005),
        plain(0.1, 1.911, 0.75),
        plain(0.15, 1.932, 0.592),
        plain(0.2, 1.95, 0.482),
        plain(0.25, 1.9664, 0.401),
        plain(0.3, 1.9818, 0.338),
        plain(0.35, 1.9965, 0.29),
        plain(0.4, 2.0107, 0.252),
        plain(0.45, 2.0245, 0.222),
        plain(0.5, 2.038, 0.198),
        plain(0.55, 2.0513, 0.178),
        plain(0.6, 2.0644, 0.162),
        plain(0.65, 2.0773, 0.149),
        plain(0.7, 2.0901, 0.137),
        plain(0.75, 2.1028, 0.128),
        plain(0.8, 2.1154, 0.12),
        plain(0.85, 2.1279, 0.113),
        plain(0.9, 2.1404, 0.107),
        plain(0.95, 2.1528, 0.102),
        plain(1.0, 2.1651, 0.098),
    ],
    lag_s: 56000.0,
    source: Source {
        title: "Sulzer et al. 2019, J. Electrochem. Soc. 166, A2363",
        edition: "doi 10.1149/2.0301910jes (memory)",
        place: "parameter set Sulzer2019; lag: NP125 12 V 5 Ah data sheet",
        seen: Seen::Reproduced,
    },
};

/// Nickel-metal hydride: no published rest curve was seen. The curve is from memory; it differs by 50 mV between charging
/// and discharging, and from cell to cell. Only the charge that was measured is relied on.
pub const NICKEL_CELL: PlainCell = PlainCell {
    points: &[
        plain(0.0, 1.0, 0.12),
        plain(0.02, 1.12, 0.1),
        plain(0.05, 1.18, 0.08),
        plain(0.1, 1.22, 0.06),
        plain(0.2, 1.255, 0.045),
        plain(0.4, 1.28, 0.04),
        plain(0.6, 1.295, 0.04),
        plain(0.8, 1.32, 0.04),
        plain(0.9, 1.345, 0.04),
        plain(1.0, 1.4, 0.04),
    ],
    lag_s: 3000.0,
    source: Source { title: "from memory, no curve seen", edition: "", place: "", seen: Seen::Memory },
};

/// Limits of a 2 V lead-acid cell.
pub const LEAD_ACID_LIMITS: Limits = Limits {
    nominal_v: LEAD_ACID.nominal_v,
    charge_v: LEAD_ACID.cycle_v[1],
    floor_v: 1.75,
    give_up_v: 0.0,
    discharge_c: 1.0,
    charge_c: LEAD_ACID.current_c,
    charge_low_degc: LEAD_ACID.charge_degc[0],
    charge_high_degc: LEAD_ACID.charge_degc[1],
    discharge_low_degc: -15.0,
    discharge_high_degc: 50.0,
    voltage_source: LEAD_ACID.source,
    current_source: COMMON_PRACTICE,
    temperature_source: Source {
        title: "valve-regulated lead-acid data sheets, from memory",
        edition: "",
        place: "charge 0 to 40 °C, discharge -15 to 50 °C",
        seen: Seen::Memory,
    },
};

/// Limits of a nickel-metal hydride cell. Its charge ends by the clock or by a falling voltage, not at `charge_v`.
pub const NICKEL_LIMITS: Limits = Limits {
    nominal_v: NICKEL.nominal_v,
    charge_v: NICKEL.end_v,
    floor_v: 1.0,
    give_up_v: 0.0,
    discharge_c: 1.0,
    charge_c: NICKEL.standard_c,
    charge_low_degc: NICKEL.standard_degc[0],
    charge_high_degc: NICKEL.standard_degc[1],
    discharge_low_degc: -10.0,
    discharge_high_degc: 45.0,
    voltage_source: NICKEL.source,
    current_source: COMMON_PRACTICE,
    temperature_source: NICKEL.source,
};

/// Limits of a sodium-ion cell of the phosphate kind: no data sheet was seen. The voltages are those between which the
/// published cell was worked; what else limits lithium-ion cells is held against it too.
pub const NVPF_LIMITS: Limits = Limits {
    nominal_v: 3.7,
    floor_v: 2.0,
    voltage_source: NVPF_SOURCE,
    temperature_source: Source {
        title: "as for lithium-ion cells; no sodium-ion data sheet seen",
        edition: "",
        place: "",
        seen: Seen::Practice,
    },
    ..LCO_LIMITS
};

const NVPF_SOURCE: Source = Source {
    title: "Chayambuka et al. 2022, Electrochim. Acta 404, 139764",
    edition: "doi 10.1016/j.electacta.2021.139764 (memory)",
    place: "parameter set Chayambuka2022, a laboratory cell of 3 mAh",
    seen: Seen::Reproduced,
};

/// Sodium vanadium fluorophosphate against hard carbon, a laboratory cell. Sodium-ion cells with layered oxide (nominal
/// 3.0 to 3.1 V) have another curve and a lower charge voltage.
pub const NVPF: WarmCell = WarmCell {
    capacity_ah: 0.002904,
    pulse_a: 0.003,
    rest_v: [
        2.0, 2.554681, 2.599727, 2.643526, 2.688114, 2.740675, 2.793235, 2.839921, 2.882749, 2.925577, 2.966295,
        3.004581, 3.042868, 3.078935, 3.110997, 3.138359, 3.16572, 3.193081, 3.220442, 3.241653, 3.262617, 3.283783,
        3.305123, 3.326463, 3.347802, 3.367716, 3.383649, 3.399583, 3.415516, 3.431767, 3.448433, 3.465099, 3.481765,
        3.498431, 3.515097, 3.524507, 3.532867, 3.541227, 3.549587, 3.557946, 3.566306, 3.573368, 3.580256, 3.587144,
        3.589345, 3.591522, 3.593699, 3.595876, 3.603568, 3.64938, 3.84919, 3.962771, 3.994841, 4.02524, 4.033872,
        4.042505, 4.051138, 4.05977, 4.064948, 4.067539, 4.07013, 4.07272, 4.07485, 4.076837, 4.078824, 4.080536,
        4.081948, 4.083361, 4.084773, 4.086186, 4.087599, 4.089011, 4.090424, 4.091837, 4.093828, 4.095996, 4.098163,
        4.10033, 4.102498, 4.104665, 4.106833, 4.109, 4.111167, 4.113335, 4.114884, 4.115615, 4.116804, 4.118138,
        4.119473, 4.120807, 4.122142, 4.123476, 4.12481, 4.126145, 4.127958, 4.129816, 4.130956, 4.132079, 4.133203,
        4.141143, 4.2,
    ],
    pulse_ohm: [
        [172.9812, 213.5228, 0.0000],
        [176.1054, 216.8081, 0.0000],
        [138.9099, 166.0619, 289.4643],
        [123.2057, 139.1241, 193.2401],
        [112.8344, 122.1907, 149.4608],
        [110.1013, 192.0614, 201.9711],
        [109.8505, 110.7619, 123.3028],
        [123.0200, 120.1543, 116.8425],
        [129.1047, 133.2029, 128.7947],
        [117.1368, 122.3296, 140.0394],
        [111.4674, 116.7143, 134.1988],
        [117.1905, 131.6087, 145.3952],
    ],
    source: NVPF_SOURCE,
};
