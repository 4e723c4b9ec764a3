//! What the data sheets of some cells say, for cells whose print can still be read.
//!
//! The figures hold for a fresh cell. A used one is measured; its current limits are never above the sheet's.

use crate::data::{Seen, Source};
use crate::error::Error;

/// A cell whose data sheet is here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum SheetCell {
    /// Samsung ICR18650-26F.
    Icr18650_26f,
    /// Samsung ICR18650-20.
    Icr18650_20,
    /// Samsung INR18650-25R.
    Inr18650_25r,
    /// Samsung INR18650-15L.
    Inr18650_15l,
    /// Samsung INR18650-20R.
    Inr18650_20r,
    /// Samsung INR18650-35E.
    Inr18650_35e,
    /// LG INR18650 HG2.
    Inr18650Hg2,
    /// A123 ANR26650-M1.
    Anr26650M1,
    /// Sunland IFR26650, 3.4 Ah.
    Ifr26650,
    /// Panasonic HHR70AAAJ.
    Hhr70aaaj,
    /// Panasonic HHR120AA.
    Hhr120aa,
}

/// One data sheet. What it does not say, or what was not read in it, is left out.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SheetRow {
    /// Nominal capacity, in ampere-hours.
    pub nominal_ah: Option<f64>,
    /// Least capacity, in ampere-hours.
    pub minimum_ah: Option<f64>,
    /// Nominal voltage, in volts.
    pub nominal_v: Option<f64>,
    /// Charge voltage, in volts.
    pub charge_v: Option<f64>,
    /// Voltage at which discharging ends, in volts.
    pub cut_off_v: Option<f64>,
    /// Usual charge current, in amperes.
    pub standard_charge_a: Option<f64>,
    /// Highest charge current, in amperes.
    pub charge_limit_a: Option<f64>,
    /// Current at which charging ends, in amperes.
    pub end_a: Option<f64>,
    /// Highest continuous discharge current, in amperes.
    pub discharge_limit_a: Option<f64>,
    /// Highest resistance of a fresh cell at 1 kHz, in ohms.
    pub ac_ohm: Option<f64>,
    /// Mass, in kilograms.
    pub cell_kg: Option<f64>,
    /// Largest diameter, in metres.
    pub diameter_m: Option<f64>,
    /// Largest length, in metres.
    pub length_m: Option<f64>,
    /// Lowest and highest cell temperature for charging, in degrees Celsius.
    pub charge_degc: Option<[f64; 2]>,
    /// Lowest and highest cell temperature for discharging, in degrees Celsius.
    pub discharge_degc: Option<[f64; 2]>,
    /// Least capacity at other currents than the usual one.
    pub at_current: &'static [CurrentPoint],
    /// Capacity in the cold and the heat, over that at 25 °C.
    pub at_degc: &'static [ColdPoint],
    /// Rated cycles of a fresh cell; never a promise for a used one.
    pub endurance: &'static [Endurance],
    /// What is left after a time in store.
    pub stored: &'static [StoredPoint],
    /// Where it comes from.
    pub source: Source,
}

/// Least capacity at one current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CurrentPoint {
    /// Current, in amperes.
    pub current_a: f64,
    /// Least capacity, in ampere-hours.
    pub minimum_ah: f64,
}

/// Capacity at one temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ColdPoint {
    /// Cell temperature, in degrees Celsius.
    pub cell_degc: f64,
    /// Discharge current, in amperes.
    pub current_a: f64,
    /// Capacity over that at 25 °C.
    pub capacity_ratio: f64,
}

/// Rated cycles at one discharge current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Endurance {
    /// Cycles.
    pub cycles: f64,
    /// Discharge current, in amperes.
    pub current_a: f64,
    /// Share of the capacity left after them, where the sheet says.
    pub left_ratio: Option<f64>,
}

/// What is left after a time in store at 25 °C.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StoredPoint {
    /// Months in store.
    pub months: f64,
    /// Charge it had when it was put there, as a share of its capacity.
    pub soc_ratio: f64,
    /// Share of its charge still there, where the sheet says.
    pub retained_ratio: Option<f64>,
    /// Share of its capacity there again after charging, where the sheet says.
    pub recovered_ratio: Option<f64>,
}

const fn sheet(title: &'static str, seen: Seen) -> SheetRow {
    remembered(title, seen, "")
}

/// A sheet of which `place` says what was not read in it but is from memory.
const fn remembered(title: &'static str, seen: Seen, place: &'static str) -> SheetRow {
    SheetRow {
        nominal_ah: None,
        minimum_ah: None,
        nominal_v: None,
        charge_v: None,
        cut_off_v: None,
        standard_charge_a: None,
        charge_limit_a: None,
        end_a: None,
        discharge_limit_a: None,
        ac_ohm: None,
        cell_kg: None,
        diameter_m: None,
        length_m: None,
        charge_degc: None,
        discharge_degc: None,
        at_current: &[],
        at_degc: &[],
        endurance: &[],
        stored: &[],
        source: Source { title, edition: "", place, seen },
    }
}

const ICR18650_26F: SheetRow = SheetRow {
    nominal_ah: Some(2.6),
    minimum_ah: Some(2.55),
    nominal_v: Some(3.7),
    charge_v: Some(4.2),
    cut_off_v: Some(2.75),
    standard_charge_a: Some(1.3),
    charge_limit_a: Some(2.6),
    discharge_limit_a: Some(5.2),
    cell_kg: Some(0.047),
    diameter_m: Some(0.0184),
    length_m: Some(0.065),
    charge_degc: Some([0.0, 45.0]),
    discharge_degc: Some([-20.0, 60.0]),
    ..remembered(
        "Samsung SDI specification ICR18650-26F v0.0 (2009)",
        Seen::Original,
        "highest charge current, lowest charge and highest discharge temperature from memory",
    )
};

const ICR18650_20: SheetRow = SheetRow {
    nominal_ah: Some(2.0),
    charge_v: Some(4.2),
    cut_off_v: Some(2.75),
    standard_charge_a: Some(1.0),
    cell_kg: Some(0.044),
    ..sheet("Samsung SDI specification LR20010213", Seen::Original)
};

const INR18650_25R: SheetRow = SheetRow {
    nominal_ah: Some(2.5),
    minimum_ah: Some(2.45),
    nominal_v: Some(3.6),
    charge_v: Some(4.2),
    cut_off_v: Some(2.5),
    standard_charge_a: Some(1.25),
    charge_limit_a: Some(4.0),
    end_a: Some(0.125),
    discharge_limit_a: Some(20.0),
    ac_ohm: Some(0.018),
    cell_kg: Some(0.045),
    diameter_m: Some(0.0184),
    length_m: Some(0.065),
    at_current: &[CurrentPoint { current_a: 10.0, minimum_ah: 2.45 }],
    endurance: &[Endurance { cycles: 250.0, current_a: 20.0, left_ratio: Some(0.6) }],
    ..remembered(
        "Samsung SDI specification INR18650-25R",
        Seen::Original,
        "nominal voltage, mass, size and rated cycles from memory",
    )
};

const INR18650_15L: SheetRow = SheetRow {
    nominal_ah: Some(1.5),
    minimum_ah: Some(1.45),
    nominal_v: Some(3.6),
    charge_v: Some(4.2),
    cut_off_v: Some(2.5),
    standard_charge_a: Some(0.75),
    charge_limit_a: Some(4.0),
    ac_ohm: Some(0.030),
    at_current: &[CurrentPoint { current_a: 1.5, minimum_ah: 1.45 }],
    at_degc: &[
        ColdPoint { cell_degc: -10.0, current_a: 10.0, capacity_ratio: 0.75 },
        ColdPoint { cell_degc: 0.0, current_a: 10.0, capacity_ratio: 0.80 },
    ],
    ..remembered(
        "Samsung SDI specification INR18650-15L",
        Seen::Original,
        "nominal voltage and highest charge current from memory",
    )
};

const INR18650_20R: SheetRow = SheetRow {
    nominal_ah: Some(2.0),
    minimum_ah: Some(1.95),
    nominal_v: Some(3.6),
    charge_v: Some(4.2),
    cut_off_v: Some(2.5),
    standard_charge_a: Some(1.0),
    charge_limit_a: Some(4.0),
    discharge_limit_a: Some(22.0),
    ac_ohm: Some(0.018),
    cell_kg: Some(0.045),
    endurance: &[Endurance { cycles: 250.0, current_a: 22.0, left_ratio: Some(0.6) }],
    ..remembered(
        "Samsung SDI specification INR18650-20R v1.2",
        Seen::Original,
        "least capacity, nominal voltage, charge currents, resistance and mass from memory",
    )
};

const INR18650_35E: SheetRow = SheetRow {
    nominal_ah: Some(3.5),
    minimum_ah: Some(3.35),
    nominal_v: Some(3.6),
    charge_v: Some(4.2),
    cut_off_v: Some(2.65),
    standard_charge_a: Some(1.7),
    charge_limit_a: Some(2.0),
    end_a: Some(0.068),
    discharge_limit_a: Some(8.0),
    ac_ohm: Some(0.035),
    cell_kg: Some(0.050),
    diameter_m: Some(0.01855),
    length_m: Some(0.06525),
    ..remembered(
        "Samsung SDI specification INR18650-35E",
        Seen::Reproduced,
        "nominal values, charge currents, resistance and mass from memory",
    )
};

const INR18650_HG2: SheetRow = SheetRow {
    nominal_ah: Some(3.0),
    nominal_v: Some(3.6),
    charge_v: Some(4.2),
    standard_charge_a: Some(1.5),
    charge_limit_a: Some(4.0),
    end_a: Some(0.05),
    discharge_limit_a: Some(20.0),
    ac_ohm: Some(0.020),
    endurance: &[
        Endurance { cycles: 300.0, current_a: 10.0, left_ratio: None },
        Endurance { cycles: 200.0, current_a: 20.0, left_ratio: None },
    ],
    ..remembered(
        "LG Chem specification INR18650 HG2",
        Seen::Reproduced,
        "nominal voltage, charge and end currents from memory",
    )
};

const ANR26650_M1: SheetRow = SheetRow {
    nominal_ah: Some(2.3),
    nominal_v: Some(3.3),
    charge_v: Some(3.6),
    cut_off_v: Some(2.0),
    standard_charge_a: Some(3.0),
    charge_limit_a: Some(10.0),
    discharge_limit_a: Some(70.0),
    ac_ohm: Some(0.008),
    cell_kg: Some(0.070),
    discharge_degc: Some([-30.0, 60.0]),
    ..remembered(
        "A123 Systems ANR26650-M1 specification",
        Seen::Original,
        "charge and discharge currents, typical resistance and temperatures from memory",
    )
};

const IFR26650: SheetRow = SheetRow {
    nominal_ah: Some(3.4),
    minimum_ah: Some(3.3),
    nominal_v: Some(3.2),
    charge_v: Some(3.65),
    cut_off_v: Some(2.0),
    at_current: &[CurrentPoint { current_a: 10.2, minimum_ah: 3.2 }],
    endurance: &[Endurance { cycles: 2000.0, current_a: 3.4, left_ratio: Some(0.8) }],
    stored: &[
        StoredPoint { months: 3.0, soc_ratio: 0.5, retained_ratio: Some(0.85), recovered_ratio: None },
        StoredPoint { months: 6.0, soc_ratio: 0.5, retained_ratio: None, recovered_ratio: Some(0.85) },
    ],
    ..sheet("Sunland IFR26650PE specification", Seen::Original)
};

const HHR70AAAJ: SheetRow = SheetRow {
    minimum_ah: Some(0.7),
    nominal_v: Some(1.2),
    standard_charge_a: Some(0.07),
    charge_limit_a: Some(0.7),
    ac_ohm: Some(0.030),
    charge_degc: Some([0.0, 45.0]),
    ..sheet("Panasonic HHR70AAAJ individual data sheet (2005)", Seen::Original)
};

const HHR120AA: SheetRow =
    SheetRow { nominal_v: Some(1.2), ac_ohm: Some(0.019), ..sheet("Panasonic HHR120AA data sheet", Seen::Original) };

impl SheetCell {
    /// Its data sheet.
    #[must_use]
    pub const fn row(self) -> &'static SheetRow {
        match self {
            Self::Icr18650_26f => &ICR18650_26F,
            Self::Icr18650_20 => &ICR18650_20,
            Self::Inr18650_25r => &INR18650_25R,
            Self::Inr18650_15l => &INR18650_15L,
            Self::Inr18650_20r => &INR18650_20R,
            Self::Inr18650_35e => &INR18650_35E,
            Self::Inr18650Hg2 => &INR18650_HG2,
            Self::Anr26650M1 => &ANR26650_M1,
            Self::Ifr26650 => &IFR26650,
            Self::Hhr70aaaj => &HHR70AAAJ,
            Self::Hhr120aa => &HHR120AA,
        }
    }
}

/// The question what the data sheet of a known cell says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SheetQuestion {
    /// The cell.
    pub cell: SheetCell,
}

impl SheetQuestion {
    /// The cell's data sheet.
    ///
    /// # Errors
    ///
    /// None; every known cell has its row.
    pub fn answer(&self) -> Result<SheetRow, Error> {
        Ok(*self.cell.row())
    }
}
