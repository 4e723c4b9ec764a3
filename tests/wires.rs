//! Leads against simulation of the same heat model, and properties that hold for every one.

#![allow(clippy::unwrap_used, clippy::panic)] // a test fails by panicking

#[path = "oracles/case.rs"]
mod case;

use case::number;
use cellwright::data::ampacity::{LimitSize, TABLES};
use cellwright::data::conductor::Metal;
use cellwright::part::wire::{Conductor, Cooling, Lies, Run, RunQuestion, SizeQuestion, Strands, TemperatureFrom, Way};
use cellwright::quantity::gauge::Gauge;
use cellwright::{End, Interval};
use proptest::prelude::*;
use serde_json::Value;

fn lead(conductor: Conductor, lies: Lies) -> Run {
    Run { lies: Some(lies), ..Run::new("pack to pump".into(), 2.0, conductor, Interval::exact(0.0), 70.0) }
}

fn mm2(area_mm2: f64) -> Conductor {
    Conductor::Mm2 { area_mm2 }
}

fn ask(run: Run, rms_a: f64) -> RunQuestion {
    RunQuestion { run, rms_a, on_a: None, ambient_degc: 30.0, supply_v: Some(12.0), cooling: None }
}

#[test]
fn working_temperature_and_drop_agree_with_simulation() {
    // The same equations on both sides, the resistivity rounded to 1.7241e-8 there: 3 parts in a hundred thousand.
    let file: Value = serde_json::from_str(include_str!("oracles/wires.json")).unwrap();
    let mut worst = [0.0f64; 3];
    for row in file["cases"].as_array().unwrap() {
        let conductor = match row["awg"].as_f64() {
            Some(gauge) => Conductor::Awg { gauge },
            None => mm2(number(row, "conductor_area_mm2")),
        };
        let cooling = Cooling {
            surface_w_per_m2_k: number(row, "surface_coefficient_W_per_m2_K"),
            insulation_m: number(row, "insulation_thickness_mm") * 1e-3,
            insulation_w_per_m_k: number(row, "insulation_conductivity_W_per_m_K"),
        };
        let run = Run {
            strands: Some(Strands::Solid),
            length_m: number(row, "one_way_length_m"),
            ..lead(conductor, Lies::FreeAir)
        };
        let (rms_a, ambient_degc) = (number(row, "current_A"), number(row, "ambient_C"));
        let supply_v = Some(number(row, "source_voltage_V"));
        let question =
            RunQuestion { run: run.clone(), rms_a, on_a: None, ambient_degc, supply_v, cooling: Some(cooling) };
        let answer = question.answer().unwrap();
        let result = &row["result"];
        if result["conductor_temperature_C"].is_null() {
            assert_eq!(answer.conductor_degc, None, "no temperature balances the heat");
            continue;
        }
        let rise_k = number(result, "conductor_temperature_C") - ambient_degc;
        if number(result, "conductor_temperature_C") <= 200.0 {
            let off_k = answer.conductor_degc.unwrap() - number(result, "conductor_temperature_C");
            worst[0] = worst[0].max(off_k.abs() / rise_k);
            worst[1] = worst[1].max((answer.drop_v.unwrap().high / number(result, "voltage_drop_V") - 1.0).abs());
            worst[2] = worst[2].max((answer.loss_w.unwrap() / number(result, "loss_W") - 1.0).abs());
            assert_eq!(answer.over_supply, result["drop_exceeds_source"] == true);
        }
        // The plan's own path through the same law.
        let plan = run.answer(rms_a, rms_a, ambient_degc, End::High, &cooling).unwrap();
        let degc = number(result, "conductor_temperature_C");
        worst[0] = worst[0].max((plan.conductor_degc - degc).abs() / rise_k);
        worst[1] = worst[1].max((plan.drop_v / number(result, "voltage_drop_V") - 1.0).abs());
    }
    println!(
        "simulated leads: rise {:.5} %, drop {:.5} %, loss {:.5} %",
        worst[0] * 1e2,
        worst[1] * 1e2,
        worst[2] * 1e2
    );
    assert!(worst.iter().all(|error| *error < 1e-4), "{worst:?}");
}

#[test]
fn a_quarter_of_the_time_at_four_times_the_current_heats_four_times_as_much_as_its_mean() {
    // Resistive load of 8 A at 25 % duty: mean 2 A, RMS 4 A.
    let run = lead(mm2(2.5), Lies::FreeAir);
    let with = |rms_a, on_a| {
        RunQuestion { on_a, cooling: Some(Cooling::STILL_AIR), ..ask(run.clone(), rms_a) }.answer().unwrap()
    };
    let (chopped, mean) = (with(4.0, Some(8.0)), with(2.0, None));
    // The warmer conductor adds up to 2 %.
    let ratio = chopped.loss_w.unwrap() / mean.loss_w.unwrap();
    assert!((4.0..4.08).contains(&ratio), "{ratio}");
    let on_ratio = chopped.drop_v.unwrap().high / mean.drop_v.unwrap().high;
    assert!((4.0..4.08).contains(&on_ratio), "the drop follows the on-time current: {on_ratio}");
}

#[test]
fn the_same_gauge_has_limits_that_differ_threefold() {
    let limit = |lies, ambient_degc| {
        let run = Run { insulation_degc: 105.0, ..lead(Conductor::Awg { gauge: 18.0 }, lies) };
        RunQuestion { ambient_degc, ..ask(run, 1.0) }.answer().unwrap().limits
    };
    let boat = limit(Lies::FreeAir, 30.0);
    let aircraft = limit(Lies::Bundle { loaded: 33 }, 70.0);
    assert!(boat.iter().any(|limit| limit.current_a == 20.0), "{boat:?}");
    assert_eq!(aircraft[0].current_a, 6.0);
    assert!(aircraft[0].condition.contains("bundle") && aircraft[0].source.title.contains("43.13"));
}

#[test]
fn an_engine_space_leaves_what_the_regulation_prints() {
    let limit = |ambient_degc| {
        let run = Run { insulation_degc: 105.0, ..lead(Conductor::Awg { gauge: 18.0 }, Lies::FreeAir) };
        let limits = RunQuestion { ambient_degc, ..ask(run, 1.0) }.answer().unwrap().limits;
        limits.into_iter().find(|limit| limit.code == "cfr_183_425_105").unwrap().current_a
    };
    // 33 CFR 183.425 table 5, note 1: 0.85 of 20 A, where the root of the rise leaves 17.13 A.
    assert_eq!(limit(50.0), 17.0);
    assert!(limit(49.0) > limit(50.0) && limit(60.0) < limit(50.0));
}

#[test]
fn what_melts_a_wire_depends_on_its_metal() {
    let melts = |metal| {
        let run = Run { metal: Some(metal), ..lead(Conductor::Awg { gauge: 18.0 }, Lies::FreeAir) };
        ask(run, 1.0).answer().unwrap().fusing_a
    };
    // Preece's coefficients of copper and aluminium.
    let (copper, aluminium) = (melts(Metal::Copper).unwrap(), melts(Metal::Aluminium).unwrap());
    assert!((copper / aluminium - 10244.0 / 7585.0).abs() < 1e-12);
    assert_eq!(melts(Metal::CopperCladAluminium), None);
}

#[test]
fn what_no_table_prints_has_no_limit() {
    let strip = Conductor::Strip { width_m: 8e-3, thickness_m: 2e-4, layers: 1 };
    for (conductor, metal, lies) in [
        (Conductor::Awg { gauge: 30.0 }, Metal::Copper, Lies::FreeAir),
        (mm2(0.14), Metal::Copper, Lies::Surface),
        (strip, Metal::Nickel, Lies::FreeAir),
        (mm2(2.5), Metal::Nickel, Lies::FreeAir),
    ] {
        let run = Run { metal: Some(metal), ..lead(conductor, lies) };
        let answer = ask(run.clone(), 1.0).answer().unwrap();
        let from = if lies == Lies::FreeAir { TemperatureFrom::StillAir } else { TemperatureFrom::InsulationRating };
        assert_eq!((answer.limit, answer.temperature_from), (None, from));
        let wish = SizeQuestion { run, rms_a: 0.1, on_a: None, ambient_degc: 30.0, supply_v: 12.0, drop_ratio: 0.5 };
        assert!(wish.answer().unwrap().sizes.iter().all(|size| size.limit_a.is_some() == size.keeps_limit.is_some()));
    }
    let unsaid = Run { lies: None, ..lead(mm2(1.0), Lies::Box) };
    let wish =
        SizeQuestion { run: unsaid, rms_a: 1.0, on_a: None, ambient_degc: 30.0, supply_v: 12.0, drop_ratio: 0.1 };
    assert_eq!(wish.answer().unwrap_err()[0].path(), "/run/lies");
}

#[test]
fn steel_strip_is_not_nickel_strip() {
    let strip = |metal| {
        let conductor = Conductor::Strip { width_m: 8e-3, thickness_m: 2e-4, layers: 1 };
        let run = Run { metal: Some(metal), way: Some(Way::OneWay), length_m: 0.1, ..lead(conductor, Lies::FreeAir) };
        ask(run, 5.0).answer().unwrap()
    };
    let (nickel, steel) = (strip(Metal::Nickel), strip(Metal::NickelPlatedSteel));
    assert!(steel.resistance_ohm.unwrap().low > nickel.resistance_ohm.unwrap().low);
    assert!(steel.resistance_ohm.unwrap().likely > 1.5 * nickel.resistance_ohm.unwrap().likely);
    assert!(steel.metal_words.unwrap().contains("salt water"));
}

#[test]
fn wrong_input_is_told_with_its_place() {
    let run =
        Run { length_m: -1.0, parallel: Some(3), ..lead(Conductor::Awg { gauge: 20.5 }, Lies::Bundle { loaded: 4 }) };
    let wrong = RunQuestion { on_a: Some(2.0), supply_v: Some(f64::NAN), ..ask(run, 3.0) };
    let paths: Vec<_> = wrong.answer().unwrap_err().iter().map(cellwright::Error::path).collect();
    assert_eq!(paths, ["/run/length_m", "/run/conductor/awg/gauge", "/run/lies", "/on_a", "/supply_v"]);
}

fn any_size() -> impl Strategy<Value = Conductor> {
    prop_oneof![
        (-3..=40i32).prop_map(|gauge| Conductor::Awg { gauge: f64::from(gauge) }),
        (0.01..100.0f64).prop_map(|area_mm2| Conductor::Mm2 { area_mm2 }),
        prop::sample::select(vec![0.14, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 35.0]).prop_map(mm2),
        (2e-3..0.05f64, 5e-5..1e-3f64, 1..20u32).prop_map(|(width_m, thickness_m, layers)| Conductor::Strip {
            width_m,
            thickness_m,
            layers
        }),
    ]
}

fn any_lies() -> impl Strategy<Value = Option<Lies>> {
    prop_oneof![
        Just(None),
        Just(Some(Lies::FreeAir)),
        Just(Some(Lies::Surface)),
        Just(Some(Lies::Box)),
        (8..200u32).prop_map(|loaded| Some(Lies::Bundle { loaded })),
    ]
}

fn any_run() -> impl Strategy<Value = Run> {
    let metal = prop::option::of(prop::sample::select(Metal::ALL.to_vec()));
    let strands = prop::option::of(prop::sample::select(vec![Strands::Solid, Strands::Stiff, Strands::Fine]));
    let way = prop::option::of(Just(Way::OneWay));
    (metal, strands, any_size(), any_lies(), 0.05..20.0f64, prop::option::of(1..4u32), 50.0..200.0f64, way).prop_map(
        |(metal, strands, conductor, lies, length_m, parallel, insulation_degc, way)| Run {
            metal,
            strands,
            parallel,
            way,
            lies,
            ..Run::new("any".into(), length_m, conductor, Interval::exact(0.0), insulation_degc)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn every_lead_has_ordered_finite_answers(run in any_run(), rms_a in 0.0..200.0f64, ambient_degc in -20.0..60.0f64) {
        let question = RunQuestion { ambient_degc, ..ask(run, rms_a) };
        let answer = question.answer().unwrap();
        if let Some(drop_v) = answer.drop_v {
            prop_assert!(drop_v.check("drop_v", 0.0, 1e9).is_ok(), "{drop_v:?}");
            prop_assert!(answer.conductor_degc.unwrap() >= ambient_degc);
        }
        prop_assert!(answer.limits.windows(2).all(|pair| pair[0].current_a <= pair[1].current_a));
        prop_assert!(answer.limits.iter().all(|limit| limit.current_a.is_finite() && limit.current_a >= 0.0));
        // At the limit the conductor has just the temperature at which the limit holds.
        if let Some(limit) = answer.limit.filter(|limit| limit.current_a > 0.0 && limit.current_a <= 1000.0) {
            let degc = RunQuestion { rms_a: limit.current_a, ..question }.answer().unwrap().conductor_degc;
            prop_assert!(degc.is_none_or(|degc| (degc - limit.conductor_degc).abs() < 1e-6), "{degc:?} {limit:?}");
        }
    }

    #[test]
    fn worse_surroundings_never_help(
        run in any_run(), rms_a in 0.1..50.0f64, ambient_degc in -20.0..60.0f64, hotter_k in 0.0..20.0f64,
    ) {
        let cool = RunQuestion { ambient_degc, ..ask(run.clone(), rms_a) }.answer().unwrap();
        let hot = RunQuestion { ambient_degc: ambient_degc + hotter_k, ..ask(run.clone(), rms_a) }.answer().unwrap();
        if let (Some(cool), Some(hot)) = (&cool.limit, &hot.limit) {
            prop_assert!(hot.current_a <= cool.current_a * (1.0 + 1e-12));
        }
        if let (Some(cool), Some(hot)) = (cool.drop_v, hot.drop_v) {
            // The factors for other temperatures are printed with two places and the lower side is taken: a limit may lie
            // one hundredth lower than at the next temperature, the heat two, the rise of 60 K at most 1.2 K, the copper 0.5 %.
            prop_assert!(hot.high >= cool.high * (1.0 - 5e-3));
        }
        let far = Run { length_m: run.length_m * 2.0, ..run };
        let far = RunQuestion { ambient_degc, ..ask(far, rms_a) }.answer().unwrap();
        if let (Some(near), Some(far)) = (cool.drop_v, far.drop_v) {
            prop_assert!((far.high / near.high - 2.0).abs() < 1e-9);
        }
    }

    #[test]
    fn the_chosen_size_keeps_what_was_asked(
        run in any_run(), rms_a in 0.1..40.0f64, on_ratio in 1.0..3.0f64, supply_v in 5.0..30.0f64,
        drop_ratio in 0.005..0.2f64,
    ) {
        let run = Run { lies: run.lies.or(Some(Lies::Surface)), ..run };
        let on_a = Some(rms_a * on_ratio);
        let wish = SizeQuestion { run: run.clone(), rms_a, on_a, ambient_degc: 30.0, supply_v, drop_ratio };
        let found = wish.answer().unwrap();
        prop_assert!(found.sizes.windows(2).all(|pair| pair[0].area_mm2 < pair[1].area_mm2));
        if let Some(conductor) = found.conductor {
            let chosen = RunQuestion { on_a, supply_v: Some(supply_v), ..ask(Run { conductor, ..run }, rms_a) };
            let answer = chosen.answer().unwrap();
            prop_assert!(answer.drop_ratio.unwrap().high <= drop_ratio);
            prop_assert!(answer.limits.iter().all(|limit| rms_a <= limit.current_a));
            let smaller = found.sizes.iter().filter(|size| size.area_mm2 < conductor.area_mm2());
            for size in smaller {
                prop_assert!(!size.keeps_drop || size.keeps_limit != Some(true), "{size:?} would do");
            }
        } else {
            prop_assert!(found.sizes.iter().all(|size| !size.keeps_drop || size.keeps_limit != Some(true)));
        }
    }
}

#[test]
fn tables_rise_with_size_and_fall_with_temperature() {
    let area = |size| match size {
        LimitSize::Awg(awg) => Gauge::new(awg).unwrap().area_mm2(),
        LimitSize::AreaMm2(area_mm2) => area_mm2,
    };
    for table in &TABLES {
        for pair in table.rows.windows(2) {
            assert!(area(pair[0].size) < area(pair[1].size), "{}: {pair:?}", table.code);
            assert!(pair[0].current_a < pair[1].current_a, "{}: {pair:?}", table.code);
        }
        for other in TABLES.iter().filter(|other| other.source == table.source && other.laid == table.laid) {
            if other.conductor_degc > table.conductor_degc {
                let better = table.rows.iter().zip(other.rows).all(|(low, high)| low.current_a <= high.current_a);
                assert!(better, "{} and {}", table.code, other.code);
            }
        }
    }
}

#[test]
fn no_limit_lies_above_the_printed_factor_for_other_temperatures() {
    // IEC 60364-5-52, Table B.52.14, PVC in air, from memory. Printed with two places: half of the last one is 1 % of the
    // smallest factor, and only downwards.
    let printed = [
        (10.0, 1.22),
        (15.0, 1.17),
        (20.0, 1.12),
        (25.0, 1.06),
        (30.0, 1.0),
        (35.0, 0.94),
        (40.0, 0.87),
        (45.0, 0.79),
        (50.0, 0.71),
        (55.0, 0.61),
        (60.0, 0.50),
    ];
    let limit_a = |ambient_degc: f64| {
        let question = RunQuestion { ambient_degc, ..ask(lead(mm2(1.5), Lies::Surface), 1.0) };
        question.answer().unwrap().limit.unwrap().current_a
    };
    for (ambient_degc, factor) in printed {
        let ratio = limit_a(ambient_degc) / limit_a(30.0);
        assert!(ratio <= factor + 1e-12 && ratio >= factor * 0.99, "{ambient_degc} °C: {ratio} for {factor}");
    }
}
