//! Computes each row of `wire.csv` with the crate.

use cellwright::Interval;
use cellwright::data::ampacity::{
    ALUMINIUM_RATIO, BOAT_ALONE_AWG, BOAT_SHEATH_AWG, BUNDLE, DROP_CRITICAL_RATIO, DROP_OTHER_RATIO,
};
use cellwright::data::conductor::{CIRCULAR_MIL_MM2, COPPER_CLAD_15_OHM_MM2_PER_M, FOOT_M, Metal, STRANDED};
use cellwright::data::copper::{IEC_60228_ZERO_K, RHO_20_OHM_MM2_PER_M};
use cellwright::part::wire::fusing::{onderdonk_a, preece_a, preece_metal_a, withstand_a2s};
use cellwright::part::wire::limit::small_conductor_fuse_a;
use cellwright::part::wire::{Built, Conductor, Lies, Pair, Run, RunQuestion, Strands, WireLimit};
use cellwright::quantity::gauge::Gauge;
use cellwright::quantity::solve::root;
use std::collections::BTreeMap;

/// Inputs of a row by name.
pub(crate) type Inputs<'a> = BTreeMap<&'a str, &'a str>;

/// What the crate gives for `key`, or nothing for a key it does not know.
pub(crate) fn value(key: &str, inputs: &Inputs) -> Option<f64> {
    let (topic, what) = key.split_once('.')?;
    match topic {
        "gauge" => by_gauge(what, inputs),
        "mass" => Some(conductor(inputs)?.kg_per_m()),
        "metal" => metal_fact(what, inputs),
        "warm" => warm(what, inputs),
        "metre" => metre(what, inputs),
        "stranded" => {
            let row = STRANDED.iter().find(|row| Some(row.awg) == whole(inputs, "awg"))?;
            Some(if what == "area_cmil" { row.area_cmil } else { row.ohm_per_1000_ft / (1000.0 * FOOT_M) })
        }
        "small" => Some(small_conductor_fuse_a(&conductor(inputs)?)?.current_a),
        "limit" => Some(limit(inputs)?.current_a),
        "ambient" => warmer(what, inputs),
        "bundle" => {
            let loaded = u32::try_from(whole(inputs, "loaded")?).ok()?;
            Some(BUNDLE.iter().find(|row| row.loaded == loaded)?.ratio)
        }
        "aluminium" => Some(ALUMINIUM_RATIO),
        "boat" if what == "alone_awg" => Some(f64::from(BOAT_ALONE_AWG)),
        "boat" => Some(f64::from(BOAT_SHEATH_AWG)),
        "drop" => drop(what, inputs),
        "cca" => {
            // Shown as printed where it lies between the best and the worst of the metal, else as the nearer end.
            let ohm = conductor(&with(inputs, "metal", "copper_clad_aluminium"))?.ohm_per_m().ok()?;
            Some(number(inputs, "printed")?.clamp(ohm.low, ohm.high))
        }
        "fusing" => fusing(what, inputs),
        _ => None,
    }
}

fn number(inputs: &Inputs, name: &str) -> Option<f64> {
    inputs.get(name)?.parse().ok()
}

fn whole(inputs: &Inputs, name: &str) -> Option<i32> {
    inputs.get(name)?.parse().ok()
}

fn with<'a>(inputs: &Inputs<'a>, name: &'a str, value: &'a str) -> Inputs<'a> {
    let mut all = inputs.clone();
    all.insert(name, value);
    all
}

fn metal(inputs: &Inputs) -> Option<Metal> {
    let name = inputs.get("metal").copied().unwrap_or("copper");
    serde_json::from_value(serde_json::Value::String(name.into())).ok()
}

fn conductor(inputs: &Inputs) -> Option<Built> {
    let default = if inputs.contains_key("area_mm2") { "flexible" } else { "solid_gauge" };
    let gauge = Conductor::Awg { gauge: number(inputs, "awg").unwrap_or(0.0) };
    let nominal = Conductor::Mm2 { area_mm2: number(inputs, "area_mm2").unwrap_or(0.0) };
    let (size, strands) = match inputs.get("build").copied().unwrap_or(default) {
        "solid_gauge" => (gauge, Strands::Solid),
        "stranded_gauge" => (gauge, Strands::Fine),
        "stranded" => (nominal, Strands::Stiff),
        "flexible" => (nominal, Strands::Fine),
        _ => return None,
    };
    Some(Built { size, metal: metal(inputs)?, strands: Some(strands) })
}

fn by_gauge(what: &str, inputs: &Inputs) -> Option<f64> {
    if what == "step" {
        return Some(Gauge::new(20)?.diameter_m() / Gauge::new(21)?.diameter_m());
    }
    let gauge = Gauge::new(whole(inputs, "awg")?)?;
    match what {
        "diameter_m" => Some(gauge.diameter_m()),
        "area_mm2" => Some(gauge.area_mm2()),
        "area_cmil" => Some(gauge.area_mm2() / CIRCULAR_MIL_MM2),
        _ => None,
    }
}

fn metal_fact(what: &str, inputs: &Inputs) -> Option<f64> {
    let row = metal(inputs)?.row();
    let rho = row.resistivity_ohm_mm2_per_m;
    match what {
        "density_kg_per_m3" => Some(row.density_kg_per_m3),
        "alpha_20_per_k" => Some(row.alpha_20_per_k),
        "alpha_75_per_k" => Some(row.alpha_20_per_k / (1.0 + row.alpha_20_per_k * 55.0)),
        "resistivity_ohm_mm2_per_m" => Some(rho.likely),
        "high_resistivity_ohm_mm2_per_m" => Some(rho.high),
        "mass_resistivity_ohm_g_per_m2" => Some(rho.likely * row.density_kg_per_m3 * 1e-3),
        "class_15_ratio" => Some(RHO_20_OHM_MM2_PER_M / COPPER_CLAD_15_OHM_MM2_PER_M),
        "conductivity_ratio" => Some(RHO_20_OHM_MM2_PER_M / rho.high),
        "relative_ratio" => Some(rho.high / RHO_20_OHM_MM2_PER_M),
        "ohm_cmil_per_ft" => Some(rho.likely * FOOT_M / CIRCULAR_MIL_MM2),
        _ => None,
    }
}

fn warm(what: &str, inputs: &Inputs) -> Option<f64> {
    let copper = Built { size: Conductor::Awg { gauge: 18.0 }, metal: Metal::Copper, strands: Some(Strands::Solid) };
    match what {
        "ratio" => Some(copper.warm_ratio(number(inputs, "degc")?)),
        "to_20_ratio" => Some((IEC_60228_ZERO_K + 20.0) / (IEC_60228_ZERO_K + number(inputs, "measured_degc")?)),
        _ => None,
    }
}

fn metre(what: &str, inputs: &Inputs) -> Option<f64> {
    let conductor = conductor(inputs)?;
    let ohm = conductor.ohm_per_m().ok()?;
    match what {
        "ohm_per_m" => Some(ohm.likely),
        "high_ohm_per_m" => Some(ohm.high),
        "warm_ohm_per_m" => Some(ohm.likely * conductor.warm_ratio(number(inputs, "degc")?)),
        "hidden_ratio" => Some(ohm.low / ohm.high),
        _ => None,
    }
}

fn run(inputs: &Inputs) -> Option<Run> {
    let lies = match inputs.get("lies").copied().unwrap_or("surface") {
        "free_air" => Lies::FreeAir,
        "surface" => Lies::Surface,
        "box" => Lies::Box,
        _ => Lies::Bundle { loaded: u32::try_from(whole(inputs, "loaded")?).ok()? },
    };
    let built = conductor(inputs)?;
    let insulation_degc = number(inputs, "insulation_degc").unwrap_or(70.0);
    let run = Run::new(String::new(), 1.0, built.size, Interval::exact(0.0), insulation_degc);
    Some(Run { metal: Some(built.metal), strands: built.strands, lies: Some(lies), ..run })
}

/// The limit of the named document among those that fit the lead.
fn limit(inputs: &Inputs) -> Option<WireLimit> {
    let ambient_degc = number(inputs, "ambient_degc")?;
    let lead = RunQuestion { run: run(inputs)?, rms_a: 0.0, on_a: None, ambient_degc, supply_v: None, cooling: None };
    let table = inputs.get("table")?;
    lead.answer().ok()?.limits.into_iter().find(|limit| limit.code.starts_with(table))
}

fn warmer(what: &str, inputs: &Inputs) -> Option<f64> {
    let warm_a = limit(inputs)?.current_a;
    match what {
        "current_a" => Some(warm_a),
        "ratio" => Some(warm_a / limit(&with(inputs, "ambient_degc", "30"))?.current_a),
        _ => None,
    }
}

fn drop(what: &str, inputs: &Inputs) -> Option<f64> {
    if what == "limit_ratio" {
        return Some(if inputs.get("critical") == Some(&"yes") { DROP_CRITICAL_RATIO } else { DROP_OTHER_RATIO });
    }
    let conductor = conductor(inputs)?;
    let current_a = number(inputs, "current_a")?;
    let length_m = number(inputs, "way_m")?;
    let drop_v = if let Some(conductor_degc) = number(inputs, "degc") {
        Pair { length_m, area_mm2: conductor.size.area_mm2(), conductor_degc }.drop_v(current_a).ok()?
    } else {
        2.0 * length_m * conductor.ohm_per_m().ok()?.high * current_a
    };
    match what {
        "v" => Some(drop_v),
        "ratio" => Some(drop_v / number(inputs, "supply_v")?),
        _ => None,
    }
}

fn fusing(what: &str, inputs: &Inputs) -> Option<f64> {
    let gauge = whole(inputs, "awg").and_then(Gauge::new);
    match what {
        "preece_coefficient_a" => preece_metal_a(metal(inputs)?, 0.0254 * 0.25).ok().map(|at_a| at_a * 8.0),
        "preece_a" => preece_a(gauge?.diameter_m()).ok(),
        "preece_diameter_m" => {
            let wanted_a = number(inputs, "current_a")?;
            root(1e-5, 0.015, |diameter_m| preece_a(diameter_m).map_or(f64::NAN, |at_a| at_a - wanted_a))
        }
        "onderdonk_a" => {
            onderdonk_a(gauge?.area_mm2(), number(inputs, "time_s")?, number(inputs, "ambient_degc")?).ok()
        }
        "withstand_a2s" => withstand_a2s(number(inputs, "area_mm2")?).ok(),
        _ => None,
    }
}
