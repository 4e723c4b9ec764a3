//! Curves over time with their bands, against the runs of the report they come from.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use cellwright::ask::{decode, read};
use cellwright::plan::Plan;
use cellwright::run::discharge::OverTime;
use cellwright::sheet::charts::{Charts, CurveBand, CurvesQuestion, SettingCurves};
use cellwright::sheet::drawing::Shape;

const PUMP: &str = include_str!("plans/watering-pump.json");
const BLOWER: &str = include_str!("plans/seed-drying-blower.json");
const LAMP: &str = include_str!("plans/market-stall-lamp.json");

fn plan(text: &str) -> Plan {
    decode(&read(text).unwrap()).unwrap_or_else(|errors| panic!("{errors:?}"))
}

fn curves(plan: &Plan, wiper_ratio: Option<f64>) -> SettingCurves {
    let question = CurvesQuestion { plan: plan.clone(), wiper_ratio };
    question.answer().unwrap_or_else(|errors| panic!("{errors:?}"))
}

fn bands(curves: &SettingCurves) -> [&CurveBand; 4] {
    [&curves.pack_v, &curves.load_v, &curves.mean_a, &curves.soc_ratio]
}

/// The value of a run at a time, straight between its points.
fn at(series: &OverTime, values: &[f64], time_s: f64) -> Option<f64> {
    let after = series.time_s.iter().position(|point| *point >= time_s)?;
    if after == 0 {
        return Some(values[0]);
    }
    let share = (time_s - series.time_s[after - 1]) / (series.time_s[after] - series.time_s[after - 1]);
    Some(values[after - 1] + share * (values[after] - values[after - 1]))
}

#[test]
fn bands_hold_the_three_runs_and_end_with_them() {
    for text in [PUMP, BLOWER, LAMP] {
        let plan = plan(text);
        let report = plan.report().unwrap();
        let curves = curves(&plan, None);
        let runtime = &report.runtime;
        assert_eq!(curves.runtime_s, runtime.runtime_s);
        assert!(curves.time_s.windows(2).all(|pair| pair[0] < pair[1]));
        for band in bands(&curves) {
            for list in [&band.low, &band.likely, &band.high] {
                assert_eq!(list.len(), curves.time_s.len());
            }
        }
        for (i, time_s) in curves.time_s.iter().enumerate() {
            let (low, high) = (curves.load_v.low[i], curves.load_v.high[i].unwrap());
            // Nothing is promised once the shortest run may have ended.
            assert!(low.is_none() || *time_s <= curves.runtime_s.low, "{time_s}");
            for run in [&runtime.least, &runtime.likely, &runtime.most] {
                let Some(load_v) = at(&run.series, &run.series.load_v, *time_s) else { continue };
                // Reading between points twice costs no more than the last bits.
                assert!(load_v <= high + 1e-9 && low.is_none_or(|low| load_v >= low - 1e-9), "{time_s}");
            }
        }
        assert!(curves.load_v.low.iter().flatten().count() > 20 && curves.load_v.low.last().unwrap().is_none());
        assert!(curves.load_v.likely[0].unwrap() > curves.load_v.low[0].unwrap());
    }
}

#[test]
fn another_place_of_the_knob_is_the_plan_with_its_knob_there() {
    let blower = plan(BLOWER);
    let mut slow = blower.clone();
    slow.control.as_mut().unwrap().wiper_ratio = 0.4;
    assert_eq!(curves(&blower, Some(0.4)).load_v, curves(&slow, None).load_v);
    let (slow, fast) = (curves(&blower, Some(0.4)), curves(&blower, Some(1.0)));
    assert!(slow.runtime_s.low > fast.runtime_s.high);
    assert!(slow.mean_a.likely[0].unwrap() < fast.mean_a.likely[0].unwrap());
    for wrong in [-0.1, 1.1, f64::NAN] {
        let errors = CurvesQuestion { plan: blower.clone(), wiper_ratio: Some(wrong) }.answer().unwrap_err();
        assert_eq!(errors[0].field(), "wiper_ratio");
    }
}

/// The axis of the settings says what it is: flow where each place tells one, speed or power where not.
#[test]
fn runtime_is_drawn_over_what_is_known() {
    let axis = |plan: &Plan| {
        let settings = Charts::of(plan).unwrap().settings.unwrap();
        let texts: Vec<String> = settings
            .drawing
            .shapes
            .iter()
            .filter_map(|shape| if let Shape::Text { text, .. } = shape { Some(text.clone()) } else { None })
            .collect();
        texts.into_iter().find(|text| text.starts_with("Runtime, h, over")).unwrap()
    };
    let blower = plan(BLOWER);
    // A fan whose flow is known; where it stands still there is none.
    assert!(axis(&blower).starts_with("Runtime, h, over flow"), "{}", axis(&blower));
    // Nothing but its draw is known: no flow and no speed.
    let mut plain = blower.clone();
    plain.control.as_mut().unwrap().driven = None;
    assert!(axis(&plain).starts_with("Runtime, h, over power"), "{}", axis(&plain));
}
