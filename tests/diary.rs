//! The diary of a pack: drift and its doubt against readings made up with known errors, and every rule at both sides.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use cellwright::Judgement;
use cellwright::ask::{ask, decode, encode, read};
use cellwright::data::chemistry::{LFP, NMC};
use cellwright::finding::diary::RULES;
use cellwright::part::cell::Curves;
use cellwright::plan::Plan;
use cellwright::plan::report::Verdict;
use cellwright::quantity::Interval;
use cellwright::quantity::date::Day;
use cellwright::quantity::draw::Draws;
use cellwright::run::diary::{BandAnswer, ImbalanceSeen};
use cellwright::sheet::diary::{DiaryAnswer, DiaryQuestion, Retire};
use serde_json::{Value, json};
use std::collections::BTreeSet;

const PUMP: &str = include_str!("plans/watering-pump.json");
const TODAY: &str = "2026-11-26";

/// A pocket meter of half a percent with steps of a millivolt. Invented.
fn meter() -> Value {
    json!({"reading_ratio": 0.005, "digits": 2, "step_v": 0.001})
}

/// An entry with that meter. Invented.
fn entry(date: &str, state: &str, group_v: &[f64]) -> Value {
    json!({"date": date, "state": state, "voltmeter": meter(), "group_v": group_v})
}

/// The pump with these entries.
fn pump(entries: &[Value]) -> Value {
    let mut plan: Value = serde_json::from_str(PUMP).unwrap();
    plan["diary"] = json!({"entries": entries});
    plan
}

/// The same with every cell of another chemistry.
fn of_kind(mut plan: Value, chemistry: &str) -> Value {
    for group in plan["pack"]["groups"].as_array_mut().unwrap() {
        for cell in group["cells"].as_array_mut().unwrap() {
            cell["chemistry"] = json!(chemistry);
        }
    }
    plan
}

fn typed(plan: &Value) -> Plan {
    decode(&read(&plan.to_string()).unwrap()).unwrap_or_else(|errors| panic!("{errors:?}"))
}

fn asked(plan: &Value, today: &str) -> DiaryAnswer {
    let question = DiaryQuestion { plan: typed(plan), today: today.into() };
    question.answer().unwrap_or_else(|errors| panic!("{errors:?}"))
}

fn codes(answer: &DiaryAnswer, judgement: Judgement) -> BTreeSet<&'static str> {
    answer.findings.iter().filter(|finding| finding.judgement == judgement).map(|finding| finding.code).collect()
}

fn broken(answer: &DiaryAnswer) -> BTreeSet<&'static str> {
    codes(answer, Judgement::Broken)
}

fn holds(interval: Interval, value: f64) -> bool {
    interval.low <= value && value <= interval.high
}

/// Months of readings after a charge, made from true voltages that drift, with a gain for each entry and digits for each
/// reading anywhere within the meter's accuracy: the stated drift and difference hold the true ones.
#[test]
fn the_true_drift_lies_within_the_stated_one() {
    let draws = Draws::new(41, 24);
    let start = Day::read("date", "2026-01-05").unwrap();
    for index in 0..60 {
        let drift: Vec<f64> = (0..3).map(|g| draws.between(index, g, -0.006, 0.006)).collect();
        let months = 2 + index % 5;
        let mut entries = Vec::new();
        for month in 0..=months {
            let gain = 1.0 + draws.between(index, 3, -0.005, 0.005) * if month % 2 == 0 { 1.0 } else { -1.0 };
            let shown = |g: usize| {
                let true_v = 4.15 + 0.01 * g as f64 + drift[g] * f64::from(month);
                let error = draws.unit_of_any(index, 4 + (3 * month as usize + g) % 18) * 2.0 - 1.0;
                true_v * gain + 0.002 * error
            };
            let date = start.later(30 * month).unwrap().text();
            entries.push(entry(&date, "after_charge", &[shown(0), shown(1), shown(2)]));
        }
        let answer = asked(&pump(&entries), TODAY);
        for (g, group) in answer.groups.iter().enumerate() {
            let others: f64 = (0..3).filter(|other| *other != g).map(|other| drift[other]).sum::<f64>() / 2.0;
            let told = group.drift_v_per_month.unwrap();
            assert!(holds(told, drift[g] - others), "group {g} of {index}: {told:?} {}", drift[g] - others);
            assert!(told.low <= told.likely && told.likely <= told.high && group.is_steady);
            // More months narrow it: two readings of ± 4.5 mV a month apart are the coarsest; the gain of the
            // difference adds the rest.
            assert!(told.high - told.low < 0.0195 / f64::from(months), "{told:?} over {months}");
        }
    }
}

/// Rest voltages made from charges, read by a meter with errors: the stated difference in charge holds the true one.
#[test]
fn the_true_imbalance_lies_within_the_stated_one() {
    let curves = Curves::published(&NMC);
    let draws = Draws::new(42, 8);
    for index in 0..80 {
        let middle = draws.between(index, 0, 0.2, 0.9);
        let off = draws.between(index, 1, -0.08, 0.08);
        let gain = 1.0 + draws.between(index, 2, -0.005, 0.005);
        let shown = |soc: f64, dim: usize| curves.rest_v(soc) * gain + draws.between(index, dim, -0.002, 0.002);
        let groups = [shown(middle + off, 3), shown(middle, 4), shown(middle, 5)];
        let answer = asked(&pump(&[entry("2026-11-20", "after_rest", &groups)]), TODAY);
        let imbalance = answer.groups[0].imbalance;
        if imbalance.seen == ImbalanceSeen::Told {
            assert!(holds(imbalance.charge_ratio.unwrap(), off), "{middle} {off}: {imbalance:?}");
            // Group 1 holds 4.132 to 4.388 Ah by its tests.
            let charge_ah = imbalance.charge_ah.unwrap();
            assert!(holds(charge_ah, off * 4.132) && holds(charge_ah, off * 4.387), "{charge_ah:?}");
        } else {
            assert_eq!(imbalance.seen, ImbalanceSeen::CannotBeSeen);
        }
    }
}

#[test]
fn iron_phosphate_in_its_flat_part_shows_no_charge() {
    let curves = Curves::published(&LFP);
    let flat =
        of_kind(pump(&[entry("2026-11-20", "after_rest", &[curves.rest_v(0.55), curves.rest_v(0.6), 3.268])]), "lfp");
    let mut flat_plan = flat;
    flat_plan["pack"]["full_v"] = json!(3.6);
    flat_plan["pack"]["floor_v"] = json!(2.5);
    let answer = asked(&flat_plan, TODAY);
    assert!(answer.groups.iter().all(|group| group.imbalance.seen == ImbalanceSeen::CannotBeSeen));
    assert!(answer.groups.iter().all(|group| group.imbalance.charge_ratio.is_none()));
    // Near empty the curve is steep.
    let mut steep = flat_plan.clone();
    steep["diary"]["entries"] = json!([entry("2026-11-20", "after_rest", &[2.60, 2.65, 2.66])]);
    let answer = asked(&steep, TODAY);
    assert_eq!(answer.groups[0].imbalance.seen, ImbalanceSeen::Told);
    assert!(answer.groups[0].imbalance.charge_ratio.unwrap().high < 0.0);
}

#[test]
fn what_is_not_at_rest_tells_no_charge() {
    let charged = asked(&pump(&[entry("2026-11-20", "after_charge", &[4.15, 4.15, 4.14])]), TODAY);
    assert_eq!(charged.groups[0].imbalance.seen, ImbalanceSeen::NotAtRest);
    let used = asked(&pump(&[entry("2026-11-20", "after_use", &[3.5, 3.5, 3.4])]), TODAY);
    assert_eq!(used.groups[0].difference_v, None);
    assert_eq!(used.drift_state, None);
    let nickel = of_kind(pump(&[entry("2026-11-20", "after_rest", &[1.3, 1.3, 1.31])]), "nimh");
    let mut nickel_plan = nickel;
    nickel_plan["pack"]["full_v"] = json!(1.5);
    nickel_plan["pack"]["floor_v"] = json!(1.0);
    assert_eq!(asked(&nickel_plan, TODAY).groups[0].imbalance.seen, ImbalanceSeen::NoCurve);
}

/// Months after a charge with group 2 falling by `fall_v` a month.
fn falling(fall_v: f64, months: u32) -> Value {
    let start = Day::read("date", "2026-05-01").unwrap();
    let entries: Vec<Value> = (0..=months)
        .map(|month| {
            let date = start.later(30 * month).unwrap().text();
            entry(&date, "after_charge", &[4.16, 4.16 - fall_v * f64::from(month), 4.16])
        })
        .collect();
    pump(&entries)
}

#[test]
fn a_group_leaves_its_band_between_two_days_or_nobody_can_tell() {
    let at = |fall_v, months| asked(&falling(fall_v, months), TODAY).groups[1].leaves_band.clone();
    // 5 mV a month for six months: 20 mV ± 4.6 mV to go, at 5 mV ± 1.6 mV a month.
    let leaves = at(0.005, 6);
    assert_eq!(leaves.answer, BandAnswer::Leaves);
    let (earliest, latest) = (leaves.earliest_date.unwrap(), leaves.latest_date.unwrap());
    // Straight on, 20 mV at 5 mV a month are 120 days after 2026-10-28.
    assert!(earliest.as_str() < "2027-02-25" && latest.as_str() > "2027-02-25", "{earliest} {latest}");
    // 45 mV to go at no more than 1.6 mV a month are years; at 9 mV a month they are five months, or none.
    assert_eq!(at(0.0, 6).answer, BandAnswer::NotWithinYear);
    assert_eq!(at(0.0, 1).answer, BandAnswer::CannotBeToldYet);
    assert_eq!(at(0.012, 6).answer, BandAnswer::HasLeft);
    assert_eq!(at(0.0082, 6).answer, BandAnswer::MayHaveLeft);
    assert_eq!(asked(&pump(&[]), TODAY).groups[1].leaves_band.answer, BandAnswer::CannotBeToldYet);
}

#[test]
fn entries_in_any_order_say_the_same() {
    let plan = falling(0.005, 6);
    let mut turned = plan.clone();
    turned["diary"]["entries"].as_array_mut().unwrap().reverse();
    let (a, b) = (asked(&plan, TODAY), asked(&turned, TODAY));
    assert_eq!((a.groups, a.next_check), (b.groups, b.next_check));
    assert_eq!(b.entries[0].place, 6);
    assert_eq!(b.entries[0].date, "2026-05-01");
}

#[test]
fn levelling_starts_the_drift_anew_and_leaving_again_is_the_end() {
    let mut plan = falling(0.012, 6);
    let answer = asked(&plan, TODAY);
    assert!(broken(&answer).contains("diary_out_of_band"));
    assert_eq!(answer.retire, Retire::IfItHappensAgain);
    let level = |date: &str, v: f64| {
        let mut entry = entry(date, "after_charge", &[4.16, v, 4.16]);
        entry["levelled"] = json!(v > 4.15);
        entry
    };
    plan["diary"]["entries"].as_array_mut().unwrap().push(level("2026-11-01", 4.16));
    let answer = asked(&plan, TODAY);
    assert!(!broken(&answer).contains("diary_out_of_band"));
    assert_eq!(answer.groups[1].compared, 1);
    plan["diary"]["entries"].as_array_mut().unwrap().push(level("2026-11-20", 4.05));
    let answer = asked(&plan, TODAY);
    assert!(broken(&answer).contains("diary_out_again"));
    assert_eq!((answer.retire, answer.next_check.date), (Retire::Now, None));
}

#[test]
fn wrong_entries_are_named_with_their_place() {
    let wrong = |change: &dyn Fn(&mut Value), today: &str| {
        let mut entry = entry("2026-11-01", "after_rest", &[3.9, 3.9, 3.9]);
        change(&mut entry);
        let question = json!({"plan": pump(&[entry]), "today": today});
        ask("diary", &question.to_string()).unwrap_err().remove(0).path()
    };
    let at = |field: &str| format!("/plan/diary/entries/0/{field}");
    assert_eq!(wrong(&|entry| entry["date"] = json!("1.11.2026"), TODAY), at("date"));
    assert_eq!(wrong(&|entry| entry["date"] = json!("2026-11-27"), TODAY), at("date"));
    assert_eq!(wrong(&|entry| entry["group_v"] = json!([3.9, 3.9]), TODAY), at("group_v"));
    assert_eq!(wrong(&|entry| entry["group_v"] = json!([3.9, 3.9, 6.0]), TODAY), at("group_v"));
    assert_eq!(wrong(&|entry| entry["group_ohm"] = json!([null]), TODAY), at("group_ohm"));
    assert_eq!(wrong(&|entry| entry["voltmeter"]["digits"] = json!(0), TODAY), at("voltmeter/digits"));
    assert_eq!(wrong(&|entry| entry["note"] = json!("x".repeat(501)), TODAY), at("note"));
    assert_eq!(wrong(&|entry| entry["mood"] = json!("good"), TODAY), at("mood"));
    assert_eq!(wrong(&|_| {}, "yesterday"), "/today");
}

/// One case for each rule, and the same a little to the good side.
fn cases() -> Vec<(&'static str, Value, Value)> {
    let one = |state: &str, group_v: [f64; 3]| pump(&[entry("2026-11-25", state, &group_v)]);
    let old = |date: &str, state: &str| pump(&[entry(date, state, &[4.15, 4.15, 4.15])]);
    let ohms = |last: f64| {
        let with = |date: &str, ohm: f64| {
            let mut entry = entry(date, "after_rest", &[3.9, 3.9, 3.9]);
            let exact = json!({"low": ohm, "likely": ohm, "high": ohm});
            entry["group_ohm"] = json!([exact, null, null]);
            entry
        };
        pump(&[with("2026-10-01", 0.03), with("2026-11-25", last)])
    };
    let rested = |last: f64| {
        pump(&[
            entry("2026-08-27", "after_rest", &[3.9, 3.9, 3.9]),
            entry("2026-11-25", "after_rest", &[3.9, last, 3.9]),
        ])
    };
    let mut quiet = one("after_charge", [4.15, 4.15, 4.15]);
    quiet["protection"]["board"]["balances"] = json!(false);
    let again = |last: f64| {
        let mut level = entry("2026-11-01", "after_charge", &[4.15, 4.15, 4.15]);
        level["levelled"] = json!(true);
        let first = entry("2026-10-01", "after_charge", &[4.15, 4.0, 4.15]);
        pump(&[first, level, entry("2026-11-25", "after_charge", &[4.15, last, 4.15])])
    };
    vec![
        // The meter's half percent of 2 V and 2 mV: read above 2.012 V, the group was surely above 2 V.
        ("diary_given_up", one("after_use", [2.011, 3.4, 3.4]), one("after_use", [2.014, 3.4, 3.4])),
        ("diary_over_full", one("after_charge", [4.228, 4.2, 4.2]), one("after_charge", [4.225, 4.2, 4.2])),
        ("diary_under_floor", one("after_rest", [3.015, 3.05, 3.05]), one("after_rest", [3.02, 3.05, 3.05])),
        ("diary_out_of_band", one("after_charge", [4.10, 4.15, 4.15]), one("after_charge", [4.106, 4.15, 4.15])),
        ("diary_out_again", again(4.0), again(4.14)),
        ("diary_loses_charge", rested(3.7), rested(3.899)),
        ("diary_resistance", ohms(0.0601), ohms(0.0599)),
        ("diary_overdue", old("2026-08-27", "after_use"), old("2026-08-28", "after_use")),
        ("diary_no_entry", pump(&[]), one("after_rest", [3.9, 3.9, 3.9])),
        ("diary_stored_full", old("2026-11-18", "after_charge"), old("2026-11-19", "after_charge")),
        (
            "diary_stored_empty",
            pump(&[entry("2026-11-24", "after_use", &[3.2, 3.2, 3.2])]),
            pump(&[entry("2026-11-25", "after_use", &[3.2, 3.2, 3.2])]),
        ),
        ("diary_balances", one("after_charge", [4.15, 4.15, 4.15]), quiet),
    ]
}

#[test]
fn every_rule_is_broken_on_one_side_and_kept_on_the_other() {
    let cases = cases();
    for (code, bad, good) in &cases {
        assert!(broken(&asked(bad, TODAY)).contains(code), "{code} must be broken");
        assert!(!broken(&asked(good, TODAY)).contains(code), "{code} must be kept");
    }
    let all: BTreeSet<&str> = RULES.iter().map(|rule| rule.code).collect();
    assert_eq!(cases.iter().map(|(code, ..)| *code).collect::<BTreeSet<_>>(), all);
    assert_eq!(all.len(), RULES.len());
}

/// A worse meter never takes a worry away: what a good one finds, a bad one finds as well or says it could not judge.
#[test]
fn a_worse_meter_never_takes_a_finding_away() {
    let draws = Draws::new(43, 12);
    for index in 0..80 {
        let group_v = |from: usize| -> Vec<f64> {
            (0..3)
                .map(|g| draws.between(index, from + g, 1.9, 4.3))
                .map(|v| if index % 2 == 0 { 3.9 + v * 0.02 } else { v })
                .collect()
        };
        let states = ["after_charge", "after_rest", "after_use"];
        let state = states[index as usize % 3];
        let plan = pump(&[entry("2026-09-01", state, &group_v(0)), entry("2026-11-01", state, &group_v(3))]);
        let mut coarse = plan.clone();
        for entry in coarse["diary"]["entries"].as_array_mut().unwrap() {
            entry["voltmeter"] = json!({"reading_ratio": 0.02, "digits": 5, "step_v": 0.01});
        }
        let (fine, coarse) = (asked(&plan, TODAY), asked(&coarse, TODAY));
        let said: BTreeSet<&str> = coarse.findings.iter().map(|finding| finding.code).collect();
        for code in broken(&fine) {
            // Out of the band again is the same worry as out of it.
            let same = if code == "diary_out_again" { "diary_out_of_band" } else { code };
            assert!(said.contains(code) || said.contains(same), "{code} of {index} is gone: {said:?}");
        }
        if fine.retire == Retire::Now {
            assert_ne!(coarse.retire, Retire::NotYet, "{index}");
        }
    }
}

#[test]
fn the_plan_itself_says_what_the_diary_forbids() {
    let verdict = |plan: &Value| typed(plan).report().unwrap();
    let before = verdict(&pump(&[entry("2026-11-01", "after_rest", &[3.9, 3.9, 3.9])]));
    assert_eq!(before.verdict, Verdict::Ready);
    let low = pump(&[
        entry("2026-10-01", "after_use", &[1.7, 3.4, 3.4]),
        entry("2026-11-01", "after_rest", &[3.9, 3.9, 3.9]),
    ]);
    let after = verdict(&low);
    assert_eq!(after.verdict, Verdict::Stop);
    let finding = after.findings.iter().find(|finding| finding.code == "diary_given_up").unwrap();
    assert_eq!((finding.subject.as_str(), finding.limit), ("/diary/entries/0/group_v/0", Some(2.0)));
    // The order of building does not send anybody to the charger.
    let steps = cellwright::sheet::build_steps::BuildSteps::of(&typed(&low)).unwrap().steps;
    let charge = steps.iter().find(|step| step.code == "first_charge").unwrap();
    assert!(charge.hazard.starts_with("Do not charge yet"), "{}", charge.hazard);
}

#[test]
fn taking_apart_never_empties_a_hurt_group() {
    let steps = |plan: &Value| asked(plan, TODAY).take_apart;
    let sound = steps(&pump(&[entry("2026-11-25", "after_rest", &[3.9, 3.9, 3.9])]));
    let has =
        |steps: &[cellwright::sheet::build_steps::BuildStep], code: &str| steps.iter().any(|step| step.code == code);
    for code in ["apart_look", "apart_empty", "apart_board", "apart_series", "apart_tape", "apart_hand_in"] {
        assert!(has(&sound, code), "{code}");
    }
    // 12.6 V over a tenth of 4.13 Ah an hour (group 1 at the least): 30.5 Ω, next of E12 33 Ω; twice 4.8 W.
    let empty = sound.iter().find(|step| step.code == "apart_empty").unwrap();
    assert!(empty.words.contains("33 Ω") && empty.words.contains("9.63 W"), "{}", empty.words);
    let hurt = steps(&pump(&[entry("2026-11-25", "after_rest", &[1.5, 3.9, 3.9])]));
    assert!(has(&hurt, "apart_hurt") && !has(&hurt, "apart_empty") && !has(&hurt, "apart_cells"));
    assert!(hurt.iter().all(|step| !step.source.title.is_empty()));
}

#[test]
fn nobody_knows_the_limits_of_unidentified_cells() {
    let plan = of_kind(pump(&[entry("2026-11-25", "after_rest", &[3.0, 3.0, 3.0])]), "unidentified");
    let answer = asked(&plan, TODAY);
    let untold = codes(&answer, Judgement::NotJudged);
    assert!(untold.contains("diary_given_up") && untold.contains("diary_over_full"));
    assert_eq!(answer.groups[0].imbalance.seen, ImbalanceSeen::NoCurve);
}

/// A group that could not be read is no group that is well.
#[test]
fn a_missing_reading_is_said() {
    let mut plan = pump(&[entry("2026-11-25", "after_rest", &[3.9, 3.9, 3.9])]);
    plan["diary"]["entries"][0]["group_v"][1] = Value::Null;
    let answer = asked(&plan, TODAY);
    let untold: Vec<&str> = answer
        .findings
        .iter()
        .filter(|finding| finding.judgement == Judgement::NotJudged && finding.name.starts_with("group 2"))
        .map(|finding| finding.code)
        .collect();
    assert!(untold.contains(&"diary_under_floor") && untold.contains(&"diary_out_of_band"), "{untold:?}");
}

/// Numbers of any bits, where a program calls the library itself: finite numbers or a refusal.
#[test]
fn any_bits_are_numbers_or_refusals() {
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut next = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state
    };
    let base = typed(&falling(0.005, 3));
    let mut answered = 0;
    for round in 0..4000 {
        let mut question = DiaryQuestion { plan: base.clone(), today: TODAY.into() };
        let diary = question.plan.diary.as_mut().unwrap();
        let wild = |bits: u64, tame: f64| if bits.is_multiple_of(3) { f64::from_bits(bits) } else { tame };
        for entry in &mut diary.entries {
            for group_v in entry.group_v.iter_mut().flatten() {
                *group_v =
                    if round % 4 == 0 { wild(next(), *group_v) } else { (next() % 10_001) as f64 / 1000.0 - 5.0 };
            }
            if round % 5 == 0 {
                entry.voltmeter.reading_ratio = wild(next(), 0.2);
                entry.voltmeter.digits = wild(next(), 100.0);
                entry.voltmeter.step_v = wild(next(), 1.0);
            }
            let ohm = wild(next(), 1e-5 * (1 + next() % 1_000_000) as f64);
            entry.group_ohm =
                Some(vec![Some(Interval::exact(ohm)), None, Some(Interval { low: 1e-5, likely: 1.0, high: 10.0 })]);
            entry.levelled = Some(next() % 7 == 0);
            entry.date = Day::read("date", "2000-01-01").unwrap().later((next() % 9000) as u32).unwrap().text();
        }
        diary.band_v = (round % 3 == 0).then(|| wild(next(), 0.005));
        if let Ok(answer) = question.answer() {
            answered += 1;
            encode(&answer).unwrap_or_else(|error| panic!("{error} of {question:?}"));
        }
    }
    assert!(answered > 400, "{answered}");
}

/// The diary that the page's first example comes with: the plan says the same with it, and its entries break no rule but
/// that the board balances.
#[test]
fn the_example_diary_changes_no_answer_and_shows_its_drift() {
    let mut plan: Value = serde_json::from_str(PUMP).unwrap();
    let without = cellwright::sheet::whole::whole(&typed(&plan)).unwrap();
    plan["diary"] = serde_json::from_str(include_str!("plans/watering-pump-diary.json")).unwrap();
    let with = cellwright::sheet::whole::whole(&typed(&plan)).unwrap();
    assert_eq!(with.verdict, without.verdict);
    let broken_codes = |findings: &[cellwright::Finding]| -> BTreeSet<&str> {
        findings.iter().filter(|finding| finding.judgement == Judgement::Broken).map(|finding| finding.code).collect()
    };
    let (with, without) = (broken_codes(&with.findings), broken_codes(&without.findings));
    assert_eq!(&with - &without, BTreeSet::from(["diary_balances"]), "what a balancing board hides is said");
    assert_eq!(&without - &with, BTreeSet::new());
    let answer = asked(&plan, "2025-10-10");
    assert_eq!(broken(&answer), BTreeSet::from(["diary_balances"]));
    assert_eq!((answer.entries.len(), answer.retire), (6, Retire::NotJudged));
    let drift = answer.groups[1].drift_v_per_month.unwrap();
    assert!(drift.high < 0.0 && drift.likely > -0.005, "the middle group falls slowly: {drift:?}");
    assert_eq!(broken(&asked(&plan, TODAY)), BTreeSet::from(["diary_balances", "diary_overdue"]));
}
