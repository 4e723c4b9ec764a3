//! The bench list, what one failed part does, and calibration by a run.

use cellwright::ask::{ask, decode, read};
use cellwright::finding::charging::ChargeTerminals;
use cellwright::part::measure::Voltmeter;
use cellwright::plan::Plan;
use cellwright::quantity::Interval;
use cellwright::run::build::Opened;
use cellwright::sheet::bench::{BenchQuestion, PackState};
use cellwright::sheet::calibrate::{Calibration, LoggedMoment};
use cellwright::sheet::fails::{FailedPart, FailingPart, FailingWay, OneFails};
use cellwright::sheet::fault::FaultKind;
use cellwright::sheet::measure::{BenchMeter, BenchStage, Measure};
use cellwright::sheet::points::TestPoint;

const PUMP: &str = include_str!("plans/watering-pump.json");
const BLOWER: &str = include_str!("plans/seed-drying-blower.json");
const LAMP: &str = include_str!("plans/market-stall-lamp.json");

fn plan(text: &str) -> Plan {
    decode(&read(text).unwrap()).unwrap()
}

#[test]
fn the_list_goes_from_unpowered_to_full_power() {
    for text in [PUMP, BLOWER, LAMP] {
        let plan = plan(text);
        let list = BenchQuestion { plan: plan.clone(), meter: None }.answer().unwrap();
        assert!(list.steps.windows(2).all(|pair| pair[0].stage <= pair[1].stage));
        assert!(list.steps.iter().enumerate().all(|(at, step)| step.number == at + 1));
        let points = TestPoint::of(&plan);
        for step in &list.steps {
            if let Some(probes) = step.probes {
                let there = |point| points.contains(&point);
                assert!(there(probes.red) && there(probes.black) && probes.red != probes.black, "{step:?}");
                assert!(!step.jack.is_empty() && !step.expected.is_empty(), "{step:?}");
            }
            for expected in &step.expected {
                let Interval { low, likely, high } = expected.reading;
                assert!(low <= likely && likely <= high && high.is_finite(), "{step:?}");
            }
        }
        // Every tap is read before the board is plugged in, which is before any power.
        let at = |wanted: &str| list.steps.iter().position(|step| step.words.starts_with(wanted));
        let last_tap = list.steps.iter().rposition(|step| matches!(step.measure, Some(Measure::TapV { .. }))).unwrap();
        let limited = list.steps.iter().position(|step| step.measure == Some(Measure::LimitedV)).unwrap();
        assert!(last_tap < limited);
        if let Some(plugged) = at("Plug the board in") {
            assert!(last_tap < plugged && plugged < limited);
        }
        // A shorted build draws 0.4 A at most through the resistor: common practice.
        assert!(list.limiter.limit_a <= 0.4 && list.limiter.rating_w >= 1.5 * list.limiter.heat_w);
    }
}

#[test]
fn expected_readings_agree_with_the_plan() {
    let plan = plan(PUMP);
    let report = plan.report().unwrap();
    let list = BenchQuestion { plan, meter: None }.answer().unwrap();
    let reading = |measure: Measure, state: PackState| {
        let step = list.steps.iter().find(|step| step.measure == Some(measure)).unwrap();
        step.expected.iter().find(|expected| expected.state == state).unwrap().reading
    };
    let full = reading(Measure::PackV, PackState::Full);
    assert!((full.likely - report.pack.full_v).abs() < 0.01, "{full:?}");
    // The run's own start: the meter's 10 A jack adds up to 0.1 Ω to it, the contacts of the switch 0.02 Ω.
    let load = reading(Measure::LoadV { setting: 0 }, PackState::Full);
    assert!(load.low < report.runtime.likely.start_load_v && load.likely < report.runtime.likely.start_load_v);
    let mean = reading(Measure::CurrentA { setting: 0 }, PackState::Full);
    assert!(mean.low < report.runtime.likely.peak_a && report.runtime.likely.peak_a < mean.high, "{mean:?}");
}

#[test]
fn a_current_step_sends_the_lead_back() {
    let list = BenchQuestion { plan: plan(BLOWER), meter: None }.answer().unwrap();
    let steps = list.steps.iter().filter(|step| step.unit == "a");
    assert!(steps.clone().count() >= 2);
    for step in steps {
        assert!(step.after.contains("V jack"), "{step:?}");
    }
    let current = list.steps.iter().find(|step| step.measure == Some(Measure::CurrentA { setting: 0 })).unwrap();
    assert!(current.burden_ohm.is_some() && current.shows.contains("mean"));
}

#[test]
fn a_reading_outside_points_to_its_fault() {
    let list = BenchQuestion { plan: plan(BLOWER), meter: None }.answer().unwrap();
    let step = |measure: Measure| list.steps.iter().find(|step| step.measure == Some(measure)).unwrap();
    let tap = step(Measure::TapV { group: 2 });
    let low: Vec<_> = tap.low_means.iter().map(|meaning| (meaning.fault.kind, meaning.fault.place)).collect();
    assert!(low.contains(&(FaultKind::GroupReversed, 2)), "{low:?}");
    let stop = tap.low_means.iter().find(|meaning| meaning.fault.kind == FaultKind::GroupReversed).unwrap();
    assert!(stop.disconnect_now);
    let jack = step(Measure::JackV);
    assert!(jack.low_means.iter().any(|meaning| meaning.fault.kind == FaultKind::ChargerReversed));
    assert!(jack.high_means.iter().any(|meaning| meaning.fault.kind == FaultKind::ChargerHigh));
    assert_eq!(jack.stage, BenchStage::Charger);
}

fn failure(text: &str, part: FailingPart, way: FailingWay) -> FailedPart {
    let answer = OneFails { plan: plan(text) }.answer().unwrap();
    answer.failures.into_iter().find(|one| one.part == part && one.way == way).unwrap()
}

fn codes(text: &str) -> Vec<&'static str> {
    OneFails { plan: plan(text) }.answer().unwrap().findings.iter().map(|finding| finding.code).collect()
}

#[test]
fn a_short_is_stopped_by_board_or_fuse_and_not_without_both() {
    let guarded = failure(PUMP, FailingPart::Connector, FailingWay::Shorted);
    assert_eq!(guarded.opens, Some(Opened::Board));
    assert!(guarded.is_stopped, "{guarded:?}");
    let bare = failure(LAMP, FailingPart::Connector, FailingWay::Shorted);
    assert!(bare.opens.is_none() && !bare.is_stopped, "{bare:?}");
    assert!(codes(LAMP).contains(&"one_fails_hot") && !codes(PUMP).contains(&"one_fails_hot"));
    // Without the board the fuse is left: it opens at both ends of the charge.
    let mut unguarded = plan(PUMP);
    unguarded.protection = None;
    let answer = OneFails { plan: unguarded }.answer().unwrap();
    let short = |one: &&FailedPart| one.part == FailingPart::Connector && one.way == FailingWay::Shorted;
    let short = answer.failures.iter().find(short).unwrap();
    assert_eq!((short.opens, short.opens_empty), (Some(Opened::Fuse), Some(Opened::Fuse)), "{short:?}");
}

/// 50 mΩ at the current of the run: the heat is I²R by hand.
#[test]
fn a_bad_joint_heats_by_its_square() {
    let joint = failure(PUMP, FailingPart::Connector, FailingWay::MoreOhm);
    let hot = joint.hot.iter().find(|part| part.name == "the plug").unwrap();
    let by_hand_w = joint.fault_high_a * joint.fault_high_a * 0.05;
    assert!((hot.heat_w - by_hand_w).abs() < 1e-9 * by_hand_w, "{hot:?}");
    assert!(joint.is_stopped && hot.limit_s.is_none(), "{joint:?}");
}

#[test]
fn what_nobody_stops_is_found() {
    let codes = codes(BLOWER);
    for code in ["one_fails_inside", "one_fails_silent", "one_fails_unknown"] {
        assert!(codes.contains(&code), "{code} in {codes:?}");
    }
    let mut charger = plan(PUMP);
    charger.charging.as_mut().unwrap().terminals = Some(ChargeTerminals::Cells);
    let answer = OneFails { plan: charger }.answer().unwrap();
    assert_eq!(answer.findings[0].code, "one_fails_charge", "stop findings come first");
}

#[test]
fn every_failure_has_its_words() {
    for text in [PUMP, BLOWER, LAMP] {
        let answer = OneFails { plan: plan(text) }.answer().unwrap();
        assert!(answer.failures.iter().all(|one| !one.notice.is_empty() && !one.prevention.is_empty()));
        for hot in answer.failures.iter().flat_map(|one| &one.hot) {
            assert!(hot.heat_w >= 0.0 && hot.end_degc.is_finite() && hot.rise_k_per_s.is_finite(), "{hot:?}");
        }
    }
}

/// The run of a plan whose cells are really smaller, as its own model tells it.
fn ended_s(plan: &Plan, factor: f64) -> f64 {
    let mut real = plan.clone();
    for cell in real.pack.groups.iter_mut().flat_map(|group| &mut group.cells) {
        let held = &mut cell.capacity.capacity_ah;
        *held = Interval { low: held.low * factor, likely: held.likely * factor, high: held.high * factor };
    }
    real.report().unwrap().runtime.likely.runtime_s
}

fn calibration(plan: &Plan) -> Calibration {
    Calibration {
        plan: plan.clone(),
        meter: None,
        mean_a: None,
        moments: Vec::new(),
        ended_s: None,
        ended_by_group: None,
    }
}

#[test]
fn a_timed_run_corrects_the_capacity_and_can_be_undone() {
    let plan = plan(PUMP);
    let report = plan.report().unwrap();
    let mean_a = Some(Interval::around(report.runtime.likely.mean_a, 0.01));
    let run = Calibration { mean_a, ended_s: Some(ended_s(&plan, 0.8)), ..calibration(&plan) };
    let answer = run.answer().unwrap();
    let weakest = report.runtime.likely.weakest_group;
    let changes: Vec<_> = answer.changes.iter().filter(|change| change.unit == "ah").collect();
    assert_eq!(changes.len(), plan.pack.groups[weakest].cells.len(), "{changes:?}");
    for change in &changes {
        assert!(change.path.starts_with(&format!("/pack/groups/{weakest}/")), "{change:?}");
        // The current of the run is a constant mean here; the pump's falls with the voltage: 3 % of capacity.
        assert!((change.new.likely / change.old.likely - 0.8).abs() < 0.03, "{change:?}");
        assert!(change.contradicts && change.new.low <= change.new.likely && change.new.likely <= change.new.high);
    }
    assert_eq!(answer.explained, Some(true), "{answer:?}");
    assert!(answer.after_s.likely < 0.87 * answer.before_s.likely, "{answer:?}");
    // Undo: the old values at their places give the plan back.
    let mut undone = serde_json::to_value(&answer.plan).unwrap();
    for change in &answer.changes {
        *undone.pointer_mut(&change.path).unwrap() = serde_json::to_value(change.old).unwrap();
    }
    assert_eq!(undone, serde_json::to_value(&plan).unwrap());
}

#[test]
fn a_run_as_planned_changes_little() {
    let plan = plan(PUMP);
    let run = Calibration { ended_s: Some(ended_s(&plan, 1.0)), ..calibration(&plan) };
    let answer = run.answer().unwrap();
    for change in &answer.changes {
        assert!(!change.contradicts && (change.new.likely / change.old.likely - 1.0).abs() < 0.03, "{change:?}");
        assert!(change.new.high - change.new.low <= 1.001 * (change.old.high - change.old.low), "{change:?}");
    }
    assert!(answer.not_judged.len() >= 3, "a time alone tells one group's capacity: {:?}", answer.not_judged);
}

/// Logged group voltages of a build whose second group is smaller and has more resistance.
#[test]
fn logged_voltages_find_the_group_that_differs() {
    let plan = plan(PUMP);
    let mut real = plan.clone();
    for cell in &mut real.pack.groups[1].cells {
        cell.capacity.capacity_ah = Interval::exact(0.85 * cell.capacity.capacity_ah.likely);
        cell.resistance.resistance_ohm = Interval::exact(2.0 * cell.resistance.resistance_ohm.likely);
    }
    let report = real.report().unwrap();
    let mean_a = report.runtime.likely.mean_a;
    let moments = logged(&real, mean_a, 0.97 * report.runtime.likely.runtime_s);
    // A meter with 20000 counts: the drop of one group is 50 mV.
    let volts = Voltmeter { reading_ratio: 0.0005, digits: 2.0, step_v: 0.001 };
    let meter = Some(BenchMeter { volts, ..BenchMeter::CHEAP });
    let run = Calibration { meter, mean_a: Some(Interval::around(mean_a, 0.01)), moments, ..calibration(&plan) };
    let answer = run.answer().unwrap();
    let ratio = |group: usize, unit: &str| {
        let place = format!("/pack/groups/{group}/");
        let found = answer.changes.iter().find(|change| change.path.starts_with(&place) && change.unit == unit);
        found.map_or(1.0, |change| change.new.likely / change.old.likely)
    };
    assert!((ratio(1, "ah") - 0.85).abs() < 0.04, "{}", ratio(1, "ah"));
    assert!((ratio(1, "ohm") - 2.0).abs() < 0.3, "{}", ratio(1, "ohm"));
    for group in [0, 2] {
        assert!((ratio(group, "ah") - 1.0).abs() < 0.03, "{}", ratio(group, "ah"));
    }
    assert!(answer.left_v < 0.01, "{}", answer.left_v);
}

#[test]
fn an_end_that_no_cell_explains_changes_nothing() {
    // Fifteen hours are planned; something else than a tired cell ends it after a hundred minutes.
    let plan = plan(BLOWER);
    let run = Calibration { ended_s: Some(6000.0), ..calibration(&plan) };
    if let Ok(answer) = run.answer() {
        assert!(answer.after_s.low > 6000.0 || answer.explained == Some(true), "{answer:?}");
        assert_eq!(answer.changes.is_empty(), answer.explained == Some(false), "{answer:?}");
        assert_eq!(answer.plan == plan, answer.explained == Some(false));
    }
}

/// Group voltages of a constant-current run, by the public question `discharge` at ten lengths.
fn logged(real: &Plan, mean_a: f64, until_s: f64) -> Vec<LoggedMoment> {
    let pack = serde_json::to_value(&real.pack).unwrap();
    let exact = |value: f64| serde_json::json!({"low": value, "likely": value, "high": value});
    (1..=10)
        .map(|step| {
            let time_s = until_s * f64::from(step) / 10.0;
            let question = serde_json::json!({
                "own_chemistries": [], "pack": pack, "lead_ohm": exact(0.0),
                "loads": [{"name": "a constant current", "draw": {"current": {"current_a": exact(mean_a)}}, "duty": 1,
                    "chopped": false}],
                "ambient_degc": real.ambient_degc, "time_s": time_s,
            });
            let answer = serde_json::to_value(ask("discharge", &question.to_string()).unwrap()).unwrap();
            let groups = answer["likely"]["groups"].as_array().unwrap().iter();
            let group_v = groups.map(|group| group["end_v"].as_f64().unwrap()).collect();
            LoggedMoment { time_s, pack_v: None, group_v: Some(group_v) }
        })
        .collect()
}

#[test]
fn wrong_inputs_are_refused_with_their_place() {
    let plan = plan(PUMP);
    let nothing = calibration(&plan).answer().unwrap_err();
    assert_eq!(nothing[0].path(), "/ended_s");
    let moment = |time_s: f64| LoggedMoment { time_s, pack_v: Some(12.0), group_v: None };
    let backwards = Calibration { moments: vec![moment(60.0), moment(30.0)], ..calibration(&plan) };
    assert_eq!(backwards.answer().unwrap_err()[0].path(), "/moments/1/time_s");
    let mut wrong = plan.clone();
    wrong.pack.full_v = 9.0;
    assert_eq!(OneFails { plan: wrong }.answer().unwrap_err()[0].path(), "/plan/pack/full_v");
    let text =
        format!("{{\"plan\": {PUMP}, \"readings\": [{{\"measure\": {{\"tap_v\": {{\"group\": 9}}}}, \"shown\": 3}}]}}");
    assert_eq!(ask("diagnose", &text).unwrap_err()[0].path(), "/readings/0/measure");
}

/// The pump with loads of so much power, and a fuse and a board for it or not.
fn strong(power_w: f64, rating_a: f64, trip_a: f64) -> Plan {
    let mut pump: serde_json::Value = serde_json::from_str(PUMP).unwrap();
    pump["loads"][0]["draw"] =
        serde_json::json!({"power": {"power_w": {"low": 0.9 * power_w, "likely": power_w, "high": 1.1 * power_w}}});
    pump["fuse"]["fitted"]["rating_a"] = serde_json::json!(rating_a);
    pump["protection"]["board"]["trip_a"] = serde_json::json!({"low": trip_a, "likely": trip_a, "high": trip_a});
    plan(&pump.to_string())
}

#[test]
fn no_more_goes_through_a_meter_than_its_jack_stands() {
    let currents = |plan: Plan| -> Vec<_> {
        let list = BenchQuestion { plan, meter: None }.answer().unwrap();
        list.steps.into_iter().filter(|step| matches!(step.measure, Some(Measure::CurrentA { .. }))).collect()
    };
    let mut beyond = 0;
    for power_w in [20.0, 60.0, 100.0, 140.0] {
        for step in currents(strong(power_w, 30.0, 60.0)) {
            let highest_a = step.expected.iter().map(|one| one.reading.high).fold(0.0, f64::max);
            assert_eq!(step.jack_code == "jack_ampere", highest_a <= 10.0, "{power_w} W: {step:?}");
            beyond += u32::from(highest_a > 10.0);
        }
    }
    assert!(beyond > 0);
}

#[test]
fn nothing_is_expected_where_the_build_opens_its_own_fuse() {
    let list = BenchQuestion { plan: strong(140.0, 2.0, 60.0), meter: None }.answer().unwrap();
    let under_load: Vec<_> =
        list.steps.iter().filter(|step| step.stage == BenchStage::Full && step.probes.is_some()).collect();
    assert!(!under_load.is_empty());
    for step in under_load.iter().filter(|step| step.measure.unwrap().setting() == Some(0)) {
        assert!(step.expected.is_empty() && step.shows_code == "shows_opens", "{step:?}");
    }
}
