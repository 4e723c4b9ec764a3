//! Computes each row of `cells.csv` with the crate.

use cellwright::data::cell_sheet::{SheetCell, SheetRow};
use cellwright::data::charger::{GUIDELINE, LEAD_ACID, LITHIUM_BANDS, LeadKind, NICKEL, THERMISTOR_103AT, TP4056};
use cellwright::data::chemistry::{LCO_LIMITS, LFP_LIMITS, Limits, NCA_LIMITS, NMC_LIMITS};
use cellwright::data::protection::{ProtectorRow, S8261_SELECTABLE};
use cellwright::data::transport::TYPE_TEST;
use cellwright::pack::join::{Tie, TiedPack};
use cellwright::part::cell::{CellCircuit, Curves};
use cellwright::part::charger::{
    CellFamily, ChargeGroup, ChargerAnswer, ChargerNeed, ChargerWish, program_a, thermistor_ohm,
};

use cellwright::part::fade::CycleFade;
use cellwright::part::hour_rate::{HourRate, RatePoint};
use cellwright::part::layout::{CellShape, PackLayout};
use cellwright::part::load::LoadCircuit;
use cellwright::part::protection::{Protector, Trip};
use cellwright::part::transport::{AirClass, Transport};
use cellwright::quantity::Interval;
use cellwright::run::discharge::{Discharge, Stops, discharge};
use cellwright::run::stepper::PackCircuit;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Inputs of a row by name.
pub(crate) type Inputs<'a> = BTreeMap<&'a str, &'a str>;

/// What the crate gives for `key`, or nothing for a key it does not know.
pub(crate) fn value(key: &str, inputs: &Inputs) -> Option<f64> {
    let (topic, what) = key.split_once('.')?;
    match topic {
        "sheet" if inputs.contains_key("at") => listed(sheet(inputs)?, what, inputs),
        "sheet" => sheet_value(sheet(inputs)?, what),
        "fade" => fade(what, inputs),
        "tie" => tied_a(inputs),
        "limit" => limit(what, inputs),
        "pre" => pre_charge(what, inputs),
        "band" => band(inputs),
        "guideline" => guideline(what),
        "thermistor" => thermistor(what, inputs),
        "nickel" => nickel(what),
        "lead" => lead(what, inputs),
        "rate" => rate(what, inputs),
        "guard" => guard(what, inputs),
        "circuit" => circuit(what, inputs),
        "pack" => pack(what, inputs),
        "air" => air(what, inputs),
        "type_test" => type_test(what),
        _ => None,
    }
}

fn number(inputs: &Inputs, name: &str) -> Option<f64> {
    inputs.get(name)?.parse().ok()
}

fn sheet(inputs: &Inputs) -> Option<&'static SheetRow> {
    let name = format!("\"{}\"", inputs.get("cell")?);
    serde_json::from_str::<SheetCell>(&name).ok().map(SheetCell::row)
}

/// A point of a sheet's lists.
fn listed(row: &SheetRow, what: &str, inputs: &Inputs) -> Option<f64> {
    let at = number(inputs, "at")?;
    match what {
        "capacity_at_current" => {
            row.at_current.iter().find(|point| point.current_a == at).map(|point| point.minimum_ah)
        }
        "capacity_at_degc" => row.at_degc.iter().find(|point| point.cell_degc == at).map(|point| point.capacity_ratio),
        "cycles" => row.endurance.iter().find(|point| point.current_a == at).map(|point| point.cycles),
        "left" => row.endurance.iter().find(|point| point.current_a == at)?.left_ratio,
        "retained" => row.stored.iter().find(|point| point.months == at)?.retained_ratio,
        "recovered" => row.stored.iter().find(|point| point.months == at)?.recovered_ratio,
        _ => None,
    }
}

fn sheet_value(row: &SheetRow, what: &str) -> Option<f64> {
    match what {
        "nominal_ah" => row.nominal_ah,
        "minimum_ah" => row.minimum_ah,
        "nominal_v" => row.nominal_v,
        "charge_v" => row.charge_v,
        "cut_off_v" => row.cut_off_v,
        "standard_charge_a" => row.standard_charge_a,
        "charge_limit_a" => row.charge_limit_a,
        "end_a" => row.end_a,
        "discharge_limit_a" => row.discharge_limit_a,
        "ac_ohm" => row.ac_ohm,
        "cell_kg" => row.cell_kg,
        "diameter_m" => row.diameter_m,
        "length_m" => row.length_m,
        "discharge_low_degc" => Some(row.discharge_degc?[0]),
        "discharge_high_degc" => Some(row.discharge_degc?[1]),
        "charge_high_degc" => Some(row.charge_degc?[1]),
        _ => None,
    }
}

fn limit(what: &str, inputs: &Inputs) -> Option<f64> {
    let limits: Limits = match *inputs.get("chemistry")? {
        "lco" => LCO_LIMITS,
        "nmc" => NMC_LIMITS,
        "nca" => NCA_LIMITS,
        "lfp" => LFP_LIMITS,
        _ => return None,
    };
    match what {
        "charge_v" => Some(limits.charge_v),
        "floor_v" => Some(limits.floor_v),
        "charge_high_degc" => Some(limits.charge_high_degc),
        "discharge_low_degc" => Some(limits.discharge_low_degc),
        _ => None,
    }
}

fn family(inputs: &Inputs) -> Option<CellFamily> {
    match *inputs.get("family")? {
        "li_ion" => Some(CellFamily::LithiumIon),
        "lfp" => Some(CellFamily::LithiumIronPhosphate),
        _ => None,
    }
}

/// What charger a pack of 1 Ah groups needs.
fn need(family: CellFamily, series: usize) -> Option<ChargerNeed> {
    let group = ChargeGroup { capacity_ah: Interval::exact(1.0), charge_limit_a: None, found_v: None };
    let wish = ChargerWish {
        family,
        groups: vec![group; series],
        printed_limit_v: None,
        cell_degc: Interval::exact(20.0),
        connector_a: None,
        wire_a: None,
        supply_a: None,
    };
    match wish.answer().ok()? {
        ChargerAnswer::Charge(need) => Some(*need),
        _ => None,
    }
}

fn pre_charge(what: &str, inputs: &Inputs) -> Option<f64> {
    let pre = need(family(inputs)?, 1)?.pre_charge?;
    match what {
        "current_c" => Some(pre.current_a),
        "until_v" => Some(pre.until_v),
        "longest_s" => Some(pre.longest_s),
        _ => None,
    }
}

fn band(inputs: &Inputs) -> Option<f64> {
    let (from, to) = (number(inputs, "from_degc")?, number(inputs, "to_degc")?);
    let found = LITHIUM_BANDS.iter().find(|band| (band.from_degc, band.to_degc) == (from, to))?;
    Some(found.current_c)
}

fn guideline(what: &str) -> Option<f64> {
    match what {
        "cool_to_degc" => Some(GUIDELINE.cool_to_degc),
        "warm_v" => Some(GUIDELINE.warm_v),
        "never_above_degc" => Some(GUIDELINE.never_above_degc),
        "never_below_degc" => Some(GUIDELINE.never_below_degc),
        "hot_v" => Some(GUIDELINE.hot_v),
        "upper_v" => Some(need(CellFamily::LithiumIon, 1)?.voltage_most_v?),
        _ => None,
    }
}

fn thermistor(what: &str, inputs: &Inputs) -> Option<f64> {
    let cell_degc = number(inputs, "cell_degc")?;
    match what {
        "table_ohm" => {
            THERMISTOR_103AT.iter().find(|point| point.cell_degc == cell_degc).map(|point| point.resistance_ohm)
        }
        "b_ohm" => thermistor_ohm(number(inputs, "r25_ohm")?, number(inputs, "b_k")?, cell_degc).ok(),
        _ => None,
    }
}

fn nickel(what: &str) -> Option<f64> {
    match what {
        "nominal_v" => Some(NICKEL.nominal_v),
        "end_v" => Some(NICKEL.end_v),
        "standard_s" => need(CellFamily::NickelMetalHydride, 1)?.end_s,
        "rapid_s" => Some(need(CellFamily::NickelMetalHydride, 1)?.rapid?.longest_s),
        "rapid_to_degc" => Some(NICKEL.rapid_to_degc),
        "standard_to_degc" => Some(NICKEL.standard_degc[1]),
        "charge_factor" => {
            let need = need(CellFamily::NickelMetalHydride, 1)?;
            Some(need.current_a * need.end_s? / 3600.0)
        }
        "drop_v" => Some(need(CellFamily::NickelMetalHydride, 1)?.rapid?.drop_v),
        _ => None,
    }
}

fn lead(what: &str, inputs: &Inputs) -> Option<f64> {
    let block = |cell: f64| Some(6.0 * cell);
    match what {
        "capacity_ah" => {
            let hours = number(inputs, "hours")?;
            let place = [20.0, 10.0, 5.0, 1.0].iter().position(|row| *row == hours)?;
            Some(5.0 * LEAD_ACID.hour_ratio.get(place)?)
        }
        "block_ohm" => block(LEAD_ACID.cell_ohm),
        "month_ratio" => Some(LEAD_ACID.month_ratio),
        "float_low_v" => block(LEAD_ACID.float_v[0]),
        "float_high_v" => block(LEAD_ACID.float_v[1]),
        "cycle_low_v" => block(LEAD_ACID.cycle_v[0]),
        "float_v_per_k" => block(LEAD_ACID.float_v_per_k),
        "stored_ratio" => LEAD_ACID.stored_ratio.get((number(inputs, "months")? / 6.0) as usize - 1).copied(),
        "flooded_low" => Some(LeadKind::Flooded.exponent()[0]),
        "gel_high" => Some(LeadKind::Gel.exponent()[1]),
        "exponent_likely" => Some(LEAD_ACID.exponent[1]),
        "exponent_high" => Some(LEAD_ACID.exponent[2]),
        _ => None,
    }
}

fn rate(what: &str, inputs: &Inputs) -> Option<f64> {
    let of = |name| number(inputs, name);
    match what {
        "exponent" => {
            let point = RatePoint { current_a: of("current_a")?, time_s: of("time_s")? };
            point.exponent(&RatePoint { current_a: of("other_a")?, time_s: of("other_s")? }).ok()
        }
        "runtime_s" => {
            let question = HourRate {
                rated_ah: Interval::exact(of("rated_ah")?),
                rated_s: of("rated_s")?,
                current_a: Interval::exact(of("current_a")?),
                exponent: Some(Interval::exact(of("exponent")?)),
                kind: None,
            };
            Some(question.answer().ok()?.runtime_s.likely)
        }
        _ => None,
    }
}

fn guard(what: &str, inputs: &Inputs) -> Option<f64> {
    let row: &ProtectorRow = match *inputs.get("circuit")? {
        "dw01a" => Protector::Dw01a.row(),
        "bq29700" => Protector::Bq29700.row(),
        "s8261abm" => Protector::S8261abm.row(),
        "r5405" => Protector::R5405.row(),
        "s8261" => {
            return match what {
                "over_charge_to_v" => Some(S8261_SELECTABLE.over_charge_to_v),
                "over_discharge_to_v" => Some(S8261_SELECTABLE.over_discharge_to_v),
                _ => None,
            };
        }
        _ => return None,
    };
    match what {
        "over_charge_release_v" => row.over_charge_release_v,
        "over_discharge_release_v" => row.over_discharge_release_v,
        "over_discharge_v" => Some(row.over_discharge_v[1]),
        "over_current_v" => Some(row.over_current_v?[1]),
        "short_circuit_high_v" => Some(row.short_circuit_v?[1]),
        "trip_a" => {
            let [low, likely, high] = row.over_current_v?;
            let path_ohm = Interval::exact(number(inputs, "path_ohm")?);
            Some(Trip::Voltage { over_current_v: Interval { low, likely, high }, path_ohm }.trip_a().likely)
        }
        _ => None,
    }
}

fn circuit(what: &str, inputs: &Inputs) -> Option<f64> {
    match what {
        "trickle_below_v" => Some(TP4056.trickle_below_v),
        "end_ratio" => Some(TP4056.end_ratio),
        "program_a" => program_a(number(inputs, "program_ohm")?).ok(),
        _ => None,
    }
}

fn fade(what: &str, inputs: &Inputs) -> Option<f64> {
    let of = |name| number(inputs, name);
    let rated_cycles = of("rated_cycles").unwrap_or(1.0);
    let rated_left_ratio = of("left_ratio").unwrap_or(1.0 - of("lost_ratio").unwrap_or(0.0));
    if what == "left_ratio" {
        // A loss for each cycle, told as a rating over those cycles.
        let cycles = of("cycles")?;
        let whole = CycleFade { rated_cycles: cycles, rated_left_ratio: libm::pow(rated_left_ratio, cycles), cycles };
        return whole.answer().ok()?.left_ratio;
    }
    Some(CycleFade { rated_cycles, rated_left_ratio, cycles: 1.0 }.answer().ok()?.lost_per_cycle_ratio)
}

/// The first current between two cells that rest at different voltage.
fn tied_a(inputs: &Inputs) -> Option<f64> {
    let of = |name| number(inputs, name);
    let curves = Arc::new(Curves::derive(&[3.0, 4.2], &[]));
    let side = |ohm: f64, rest_v: f64| TiedPack {
        group: CellCircuit::plain(Arc::clone(&curves), 2.0, ohm, 0.0, 1.0),
        series: 1,
        soc_ratio: (rest_v - 3.0) / 1.2,
    };
    let tie = Tie { a: side(of("r1_ohm")?, of("v1_v")?), b: side(of("r2_ohm")?, of("v2_v")?), join_ohm: 0.0 };
    Some(tie.equalise(None).ok()?.peak_a)
}

fn pack(what: &str, inputs: &Inputs) -> Option<f64> {
    let of = |name| number(inputs, name);
    match what {
        "full_v" => need(family(inputs)?, of("series")? as usize)?.voltage_v,
        "cut_off_v" => {
            let limits = if family(inputs)? == CellFamily::LithiumIon { LCO_LIMITS } else { LFP_LIMITS };
            Some(of("series")? * limits.floor_v)
        }
        "energy_wh" => {
            let question = Transport {
                series: of("series")? as u32,
                parallel: of("parallel")? as u32,
                nominal_v: of("nominal_v")?,
                cell_capacity_ah: Interval::exact(of("capacity_ah")?),
                type_tested: false,
            };
            Some(question.answer().ok()?.energy_wh.likely)
        }
        "cells_kg" => cells_kg(inputs),
        "resistance_ohm" => {
            let run = plain_run(&vec![vec![of("cell_ohm")?; 2]; 3], 3.0)?;
            Some((11.1 - run.start_load_v) / 3.0)
        }
        "sag_v" => Some(11.1 - plain_run(&vec![vec![of("cell_ohm")?; 2]; 3], of("current_a")?)?.start_load_v),
        "share_a" => {
            let run = plain_run(&[vec![of("r1_ohm")?, of("r2_ohm")?]], of("current_a")?)?;
            Some(run.groups.first()?.cells.first()?.peak_a)
        }
        _ => None,
    }
}

fn cells_kg(inputs: &Inputs) -> Option<f64> {
    let row = sheet(inputs)?;
    let cells = number(inputs, "cells")? as u32;
    let shape = CellShape::Round {
        diameter_m: row.diameter_m?,
        length_m: row.length_m?,
        cell_kg: Interval::exact(row.cell_kg?),
    };
    let layout = PackLayout {
        shape,
        cells,
        rows: 1,
        columns: cells,
        layers: 1,
        staggered: false,
        gap_m: 0.0,
        end_m: 0.0,
        wall_m: 0.0,
        extra_kg: Interval::exact(0.0),
    };
    Some(layout.answer().ok()?.cells_kg.likely)
}

/// The first moment of a pack of cells that rest at 3.7 V with the given resistances, at a current.
fn plain_run(groups: &[Vec<f64>], current_a: f64) -> Option<Discharge> {
    let curves = Arc::new(Curves::derive(&[3.7, 3.7], &[]));
    let cell = |ohm: &f64| CellCircuit::plain(Arc::clone(&curves), 2.0, *ohm, 0.0, 1.0);
    let groups = groups.iter().map(|group| group.iter().map(cell).collect()).collect();
    let load = LoadCircuit { current_a, at_v: 1.0, exponent: 1.0, duty: 1.0, drop_out_v: 0.0 };
    let stops = Stops { floor_v: 1.0, cut_off_v: 0.0, time_s: 1e-3 };
    discharge(&PackCircuit::new(groups, vec![load], 0.0, 25.0), &stops, |_| 0.5).ok()
}

fn air(what: &str, inputs: &Inputs) -> Option<f64> {
    let at = |energy_wh: f64| {
        let cell_capacity_ah = Interval::exact(energy_wh / 5.0);
        let question = Transport { series: 1, parallel: 1, nominal_v: 5.0, cell_capacity_ah, type_tested: true };
        question.answer().ok()
    };
    match what {
        "approval_wh" => Some(at(1.0)?.approval_wh),
        "spares" => at(120.0)?.spares,
        "class" => Some(match at(number(inputs, "energy_wh")?)?.by_energy {
            AirClass::Cabin => 0.0,
            AirClass::AskAirline => 1.0,
            AirClass::NotAsPassenger => 2.0,
        }),
        _ => None,
    }
}

fn type_test(what: &str) -> Option<f64> {
    match what {
        "altitude_pa" => Some(TYPE_TEST.altitude_pa),
        "shock_g" => Some(TYPE_TEST.shock_g),
        "short_ohm" => Some(TYPE_TEST.short_ohm),
        "vibration_hz" => Some(TYPE_TEST.vibration_hz),
        "thermal_cycles" => Some(TYPE_TEST.thermal_cycles),
        "thermal_degc" => Some(TYPE_TEST.thermal_degc),
        "short_degc" => Some(TYPE_TEST.short_degc),
        _ => None,
    }
}
