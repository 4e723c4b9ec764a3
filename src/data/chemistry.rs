//! Rest voltage over state of charge, pulse resistances and limits of each cell chemistry.
//!
//! The curves are those of published parameter sets of electrochemical models of one fresh cell each, run in a
//! general-purpose simulator (full Doyle–Fuller–Newman model, isothermal). State of charge runs between the
//! rest-voltage limits of the set. Pulses are discharges from rest at the cell's nominal current; the resistance is
//! (rest voltage − voltage) / current after the stated time.
//!
//! A used cell differs from the fresh one: its measured capacity and resistance scale these curves.

use crate::data::{COMMON_PRACTICE, Seen, Source};

/// Points of a rest-voltage curve: one each percent of charge, both ends included.
pub const REST_POINTS: usize = 101;

/// States of charge at which the pulses were taken.
pub const PULSE_SOC_RATIO: [f64; PULSE_POINTS] =
    [0.05, 0.10, 0.20, 0.30, 0.40, 0.50, 0.60, 0.70, 0.80, 0.90, 0.95, 1.00];

/// Number of states of charge at which the pulses were taken.
pub const PULSE_POINTS: usize = 12;

/// Times after the start of the pulse at which the resistance was read, in seconds.
pub const PULSE_TIME_S: [f64; 3] = [0.1, 10.0, 60.0];

/// Cell temperatures of the pulses, in degrees Celsius.
pub const PULSE_DEGC: [f64; 2] = [5.0, 25.0];

/// Rest voltage and pulse resistances of one published cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PublishedCell {
    /// Capacity between the two ends of the rest curve, in ampere-hours.
    pub capacity_ah: f64,
    /// Current of the pulses, in amperes.
    pub pulse_a: f64,
    /// Rest voltage at 25 °C, one point each percent of charge, empty first.
    pub rest_v: [f64; REST_POINTS],
    /// Resistance in ohms, by temperature, state of charge and time; 0 where the voltage fell under the limit first.
    pub pulse_ohm: [[[f64; 3]; PULSE_POINTS]; 2],
    /// The paper the parameters come from.
    pub source: Source,
}

/// Voltage, current and temperature limits of a chemistry, a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Nominal voltage of a cell, in volts.
    pub nominal_v: f64,
    /// Highest voltage a salvaged cell is charged to, in volts.
    pub charge_v: f64,
    /// Lowest voltage a cell is discharged to under load, in volts.
    pub floor_v: f64,
    /// Voltage as found under which a salvaged cell is given up, in volts; 0 where no such rule is known.
    pub give_up_v: f64,
    /// Highest continuous discharge current without a data sheet, in multiples of the measured capacity.
    pub discharge_c: f64,
    /// Highest charge current without a data sheet, in multiples of the measured capacity.
    pub charge_c: f64,
    /// Lowest cell temperature for charging, in degrees Celsius.
    pub charge_low_degc: f64,
    /// Highest cell temperature for charging, in degrees Celsius.
    pub charge_high_degc: f64,
    /// Lowest cell temperature for discharging, in degrees Celsius.
    pub discharge_low_degc: f64,
    /// Highest cell temperature for discharging, in degrees Celsius.
    pub discharge_high_degc: f64,
    /// Source of the voltages.
    pub voltage_source: Source,
    /// Source of the current limits.
    pub current_source: Source,
    /// Source of the temperatures.
    pub temperature_source: Source,
}

/// Source of the limits of lithium-ion cells.
pub const LI_ION_SHEET: Source = Source {
    title: "Samsung SDI ICR18650-26F and INR18650-25R specifications",
    edition: "",
    place: "charge voltage, cut-off, charge 0 to 45 °C, discharge -20 to 60 °C",
    seen: Seen::Original,
};

const LFP_SHEET: Source = Source {
    title: "Sunland IFR26650 and A123 ANR26650-M1 data sheets",
    edition: "",
    place: "charge voltage 3.65 V, cut-off 2.0 V",
    seen: Seen::Original,
};

const LI_ION_LIMITS: Limits = Limits {
    nominal_v: 3.7,
    charge_v: 4.2,
    floor_v: 2.75,
    give_up_v: 2.0,
    discharge_c: 1.0,
    charge_c: 0.5,
    charge_low_degc: 0.0,
    charge_high_degc: 45.0,
    discharge_low_degc: -20.0,
    discharge_high_degc: 60.0,
    voltage_source: LI_ION_SHEET,
    current_source: COMMON_PRACTICE,
    temperature_source: LI_ION_SHEET,
};

/// Limits of lithium cobalt oxide cells.
pub const LCO_LIMITS: Limits = LI_ION_LIMITS;

/// Limits of nickel manganese cobalt cells.
pub const NMC_LIMITS: Limits = Limits { nominal_v: 3.6, floor_v: 2.5, ..LI_ION_LIMITS };

/// Limits of nickel cobalt aluminium cells.
pub const NCA_LIMITS: Limits = Limits { nominal_v: 3.6, floor_v: 2.65, ..LI_ION_LIMITS };

/// Limits of lithium iron phosphate cells.
pub const LFP_LIMITS: Limits =
    Limits { nominal_v: 3.2, charge_v: 3.65, floor_v: 2.0, give_up_v: 2.0, voltage_source: LFP_SHEET, ..LI_ION_LIMITS };

/// Nickel manganese cobalt 811 against graphite with silicon oxide, a 5 Ah 21700 cell.
pub const NMC: PublishedCell = PublishedCell {
    capacity_ah: 5.1532,
    pulse_a: 5.0,
    rest_v: [
        2.5, 2.711428, 2.862492, 2.971191, 3.050397, 3.109446, 3.155289, 3.193283, 3.227625, 3.261351, 3.295907,
        3.330736, 3.363684, 3.392409, 3.41573, 3.433895, 3.447976, 3.459217, 3.46868, 3.477152, 3.485189, 3.493171,
        3.50136, 3.509929, 3.518984, 3.528563, 3.538641, 3.549128, 3.55988, 3.570716, 3.581446, 3.591896, 3.601934,
        3.61148, 3.62051, 3.629048, 3.637151, 3.644903, 3.652397, 3.659732, 3.667007, 3.674313, 3.681736, 3.689352,
        3.697223, 3.705397, 3.713901, 3.722736, 3.731881, 3.741284, 3.750874, 3.760557, 3.770235, 3.779811, 3.789202,
        3.798348, 3.807216, 3.81581, 3.824171, 3.832381, 3.840577, 3.848953, 3.857772, 3.867342, 3.877927, 3.889587,
        3.902007, 3.914548, 3.926551, 3.937664, 3.947906, 3.957512, 3.966758, 3.975879, 3.98503, 3.994304, 4.003734,
        4.013303, 4.022955, 4.032592, 4.04208, 4.051251, 4.059913, 4.067864, 4.074914, 4.080912, 4.08578, 4.08955,
        4.092387, 4.094606, 4.096656, 4.099091, 4.102503, 4.107448, 4.114372, 4.123553, 4.135071, 4.148809, 4.164486,
        4.181703, 4.2,
    ],
    pulse_ohm: [
        [
            [0.0407451, 0.0567198, 0.1054767],
            [0.0382875, 0.0484566, 0.0695303],
            [0.0355388, 0.0397734, 0.0496729],
            [0.0341591, 0.0388887, 0.0491891],
            [0.0333690, 0.0374701, 0.0463501],
            [0.0330389, 0.0382522, 0.0489942],
            [0.0330469, 0.0376391, 0.0488118],
            [0.0334372, 0.0383572, 0.0496670],
            [0.0342646, 0.0393796, 0.0507053],
            [0.0357451, 0.0376901, 0.0447027],
            [0.0370056, 0.0412445, 0.0463177],
            [0.0388592, 0.0469802, 0.0597514],
        ],
        [
            [0.0309070, 0.0468761, 0.0955861],
            [0.0284439, 0.0386108, 0.0596310],
            [0.0257541, 0.0300092, 0.0398979],
            [0.0244390, 0.0292048, 0.0395308],
            [0.0236977, 0.0278486, 0.0367818],
            [0.0233961, 0.0286696, 0.0394817],
            [0.0234120, 0.0280688, 0.0393272],
            [0.0237913, 0.0287749, 0.0401769],
            [0.0245929, 0.0297704, 0.0411840],
            [0.0260441, 0.0280379, 0.0351401],
            [0.0273000, 0.0315791, 0.0367338],
            [0.0291734, 0.0373268, 0.0501289],
        ],
    ],
    source: Source {
        title: "Chen et al. 2020, J. Electrochem. Soc. 167, 080534",
        edition: "doi 10.1149/1945-7111/ab9050",
        place: "parameter set Chen2020",
        seen: Seen::Reproduced,
    },
};

/// Lithium cobalt oxide against graphite, a 0.68 Ah pouch cell; the curve ends at 4.1 V.
pub const LCO: PublishedCell = PublishedCell {
    capacity_ah: 0.87284,
    pulse_a: 0.680616,
    rest_v: [
        3.105, 3.301026, 3.434093, 3.522263, 3.579975, 3.617631, 3.642291, 3.658576, 3.669451, 3.676794, 3.681797,
        3.685216, 3.687546, 3.689115, 3.69015, 3.690817, 3.69124, 3.691512, 3.691707, 3.691878, 3.692064, 3.692291,
        3.692575, 3.692922, 3.693337, 3.693815, 3.694355, 3.69495, 3.695598, 3.696298, 3.697051, 3.697866, 3.698758,
        3.699754, 3.700895, 3.702244, 3.703885, 3.705922, 3.708463, 3.711584, 3.715272, 3.719379, 3.723631, 3.727715,
        3.731387, 3.734546, 3.737214, 3.739483, 3.741469, 3.743274, 3.744982, 3.746656, 3.748339, 3.750064, 3.751856,
        3.753731, 3.755704, 3.757787, 3.75999, 3.762321, 3.764789, 3.767402, 3.770167, 3.773092, 3.776183, 3.779447,
        3.782888, 3.786511, 3.79032, 3.794318, 3.798504, 3.802878, 3.807436, 3.812173, 3.817078, 3.822139, 3.827338,
        3.832655, 3.838064, 3.843533, 3.849027, 3.854508, 3.859935, 3.865271, 3.870487, 3.875574, 3.880564, 3.885553,
        3.890764, 3.896631, 3.903959, 3.914161, 3.929341, 3.951352, 3.979165, 4.008425, 4.035371, 4.058292, 4.076522,
        4.090166, 4.1,
    ],
    pulse_ohm: [
        [
            [0.2706175, 0.3412243, 0.5978288],
            [0.2585018, 0.2758523, 0.3372738],
            [0.2435842, 0.2494931, 0.2684316],
            [0.2341980, 0.2410592, 0.2588823],
            [0.2279566, 0.2415466, 0.2663302],
            [0.2235931, 0.2318914, 0.2617824],
            [0.2209917, 0.2293550, 0.2503937],
            [0.2199598, 0.2308015, 0.2559099],
            [0.2206936, 0.2334489, 0.2629903],
            [0.2243774, 0.2411062, 0.2706746],
            [0.2291645, 0.2942807, 0.3825035],
            [0.2367713, 0.2588467, 0.3604434],
        ],
        [
            [0.1678897, 0.2221940, 0.3945568],
            [0.1562205, 0.1693458, 0.2039777],
            [0.1421013, 0.1472380, 0.1568508],
            [0.1332812, 0.1391003, 0.1493767],
            [0.1273587, 0.1382738, 0.1547834],
            [0.1230489, 0.1298063, 0.1443901],
            [0.1201874, 0.1273761, 0.1402776],
            [0.1184705, 0.1277043, 0.1443994],
            [0.1178398, 0.1287043, 0.1490627],
            [0.1187464, 0.1331991, 0.1546871],
            [0.1208443, 0.1693787, 0.2483894],
            [0.1234282, 0.1413109, 0.1923274],
        ],
    ],
    source: Source {
        title: "Marquis et al. 2019, J. Electrochem. Soc. 166, A3693",
        edition: "doi 10.1149/2.0341915jes",
        place: "parameter set Marquis2019",
        seen: Seen::Reproduced,
    },
};

/// Lithium iron phosphate against graphite, a 2.3 Ah 26650 cell.
pub const LFP: PublishedCell = PublishedCell {
    capacity_ah: 2.30345,
    pulse_a: 2.3,
    rest_v: [
        2.0, 2.26547, 2.460021, 2.60276, 2.707735, 2.785319, 2.843246, 2.887373, 2.922251, 2.951517, 2.978092,
        3.004143, 3.030822, 3.057994, 3.084331, 3.108029, 3.127731, 3.143032, 3.154356, 3.162544, 3.168489, 3.172959,
        3.176543, 3.179671, 3.182651, 3.185703, 3.188982, 3.192593, 3.196598, 3.201015, 3.205821, 3.210951, 3.216305,
        3.221752, 3.227151, 3.232364, 3.237269, 3.241776, 3.245828, 3.2494, 3.252499, 3.255149, 3.257391, 3.259272,
        3.260841, 3.262144, 3.263226, 3.264125, 3.264874, 3.265501, 3.26603, 3.26648, 3.266867, 3.267203, 3.2675,
        3.267765, 3.268005, 3.268226, 3.268432, 3.26863, 3.268822, 3.269013, 3.269211, 3.269424, 3.269666, 3.269957,
        3.270328, 3.270829, 3.271534, 3.272551, 3.274028, 3.276146, 3.27908, 3.282913, 3.287534, 3.292575, 3.297501,
        3.301826, 3.305286, 3.307863, 3.309691, 3.310954, 3.311821, 3.312425, 3.312857, 3.31318, 3.313435, 3.313647,
        3.313833, 3.314003, 3.314167, 3.314333, 3.314523, 3.314788, 3.315272, 3.316387, 3.319306, 3.327379, 3.350173,
        3.415021, 3.6,
    ],
    pulse_ohm: [
        [
            [0.0646342, 0.1610098, 0.0000000],
            [0.0590755, 0.0886875, 0.2646120],
            [0.0535579, 0.0618331, 0.1121124],
            [0.0507732, 0.0558954, 0.0650574],
            [0.0491471, 0.0529467, 0.0652355],
            [0.0482782, 0.0492144, 0.0525251],
            [0.0480349, 0.0484642, 0.0492544],
            [0.0483808, 0.0496505, 0.0504462],
            [0.0493526, 0.0515677, 0.0615497],
            [0.0512870, 0.0512077, 0.0510997],
            [0.0530648, 0.0530943, 0.0524701],
            [0.0632736, 0.1255516, 0.1680549],
        ],
        [
            [0.0459713, 0.1425500, 0.0000000],
            [0.0403065, 0.0700184, 0.2462376],
            [0.0348214, 0.0431616, 0.0934730],
            [0.0321295, 0.0373200, 0.0464904],
            [0.0305787, 0.0344565, 0.0467655],
            [0.0297447, 0.0307693, 0.0341212],
            [0.0294837, 0.0300109, 0.0308660],
            [0.0297465, 0.0311221, 0.0320082],
            [0.0305413, 0.0328699, 0.0429718],
            [0.0320934, 0.0321447, 0.0322110],
            [0.0334037, 0.0336172, 0.0332508],
            [0.0402109, 0.1042560, 0.1479499],
        ],
    ],
    source: Source {
        title: "Prada et al. 2013, J. Electrochem. Soc. 160, A616",
        edition: "doi 10.1149/2.053304jes",
        place: "parameter set Prada2013",
        seen: Seen::Reproduced,
    },
};

/// Nickel cobalt aluminium against graphite, a 0.43 Ah pouch unit.
pub const NCA: PublishedCell = PublishedCell {
    capacity_ah: 0.483133,
    pulse_a: 0.43,
    rest_v: [
        2.7, 3.012686, 3.118097, 3.161001, 3.181584, 3.193904, 3.203576, 3.213066, 3.223429, 3.234883, 3.247134,
        3.259739, 3.272386, 3.284958, 3.297458, 3.309921, 3.322372, 3.33482, 3.347261, 3.359684, 3.372073, 3.384414,
        3.396694, 3.408903, 3.421031, 3.433072, 3.44502, 3.45687, 3.468617, 3.480253, 3.491772, 3.503164, 3.514416,
        3.525516, 3.536448, 3.547199, 3.557753, 3.568099, 3.578226, 3.588128, 3.597802, 3.607253, 3.616487, 3.625515,
        3.634354, 3.643021, 3.651538, 3.659928, 3.668213, 3.676419, 3.684568, 3.692684, 3.700789, 3.708905, 3.717052,
        3.725251, 3.733522, 3.741887, 3.750372, 3.759003, 3.767814, 3.776848, 3.786154, 3.79579, 3.805815, 3.816282,
        3.827212, 3.838583, 3.850303, 3.862221, 3.874153, 3.88593, 3.89743, 3.908599, 3.919441, 3.929994, 3.940313,
        3.950455, 3.960468, 3.970393, 3.980262, 3.990102, 3.999932, 4.00977, 4.019633, 4.029534, 4.039492, 4.049523,
        4.059647, 4.069886, 4.080265, 4.090813, 4.101561, 4.112545, 4.123806, 4.135387, 4.147338, 4.159712, 4.17257,
        4.185976, 4.2,
    ],
    pulse_ohm: [
        [
            [0.0516326, 0.0929044, 0.3289424],
            [0.0451999, 0.0775450, 0.1479301],
            [0.0394758, 0.0709918, 0.1426268],
            [0.0367296, 0.0643963, 0.1291905],
            [0.0350762, 0.0603412, 0.1176543],
            [0.0340450, 0.0595552, 0.1137221],
            [0.0335460, 0.0622442, 0.1207440],
            [0.0334954, 0.0679191, 0.1396665],
            [0.0333517, 0.0657773, 0.1329850],
            [0.0336440, 0.0675157, 0.1344351],
            [0.0339575, 0.0710107, 0.1422030],
            [0.0344327, 0.0779811, 0.1590718],
        ],
        [
            [0.0270521, 0.0575471, 0.1851418],
            [0.0241346, 0.0500356, 0.1058422],
            [0.0214914, 0.0469455, 0.1046645],
            [0.0201977, 0.0427350, 0.0956513],
            [0.0193711, 0.0400075, 0.0865262],
            [0.0188346, 0.0395718, 0.0824066],
            [0.0186271, 0.0417893, 0.0875940],
            [0.0187134, 0.0465219, 0.1041085],
            [0.0185579, 0.0444393, 0.0965831],
            [0.0187122, 0.0456202, 0.0972396],
            [0.0189009, 0.0483543, 0.1035664],
            [0.0192077, 0.0538558, 0.1175026],
        ],
    ],
    source: Source {
        title: "Kim et al. 2011, J. Electrochem. Soc. 158, A955",
        edition: "doi 10.1149/1.3597614",
        place: "parameter set NCA_Kim2011",
        seen: Seen::Reproduced,
    },
};
