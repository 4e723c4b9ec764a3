//! Found cells: every rule broken once, nothing lost, no good reading outweighs a disqualifier.

use cellwright::ask::ask;
use cellwright::data::size::CellSize;
use cellwright::finding::screening::{
    CalendarLife, ChargeWarmth, Fate, FoundCell, FoundIn, FoundOhm, OhmKind, Rust, ScreenedCell, Screening, Wrapper,
    rules,
};
use cellwright::part::charger::CellFamily;
use cellwright::quantity::draw::Draws;
use cellwright::{Interval, Judgement, Urgency};
use std::collections::BTreeSet;

const YEAR_S: f64 = 365.25 * 86400.0;

const fn span(low: f64, high: f64) -> Interval {
    Interval { low, likely: 0.5 * (low + high), high }
}

const fn dc(low: f64, high: f64) -> FoundOhm {
    FoundOhm { resistance_ohm: span(low, high), kind: OhmKind::Dc }
}

/// A cell out of a working pump pack, everything observed. Invented.
fn sound() -> FoundCell {
    FoundCell {
        name: "B7".into(),
        family: CellFamily::LithiumIon,
        size: Some(CellSize::Mm18650),
        found_in: Some(FoundIn::Working),
        found_v: Some(3.55),
        damaged: Some(false),
        leaked: Some(false),
        rust: Some(Rust::None),
        smells: Some(false),
        wrapper: Some(Wrapper::Whole),
        pre_charge_lifted: None,
        charge_warmth: Some(ChargeWarmth::Cool),
        rated_ah: Some(2.6),
        capacity_ah: Some(span(2.25, 2.35)),
        resistance: Some(dc(0.055, 0.065)),
        new_resistance: Some(dc(0.048, 0.052)),
        self_discharge_ratio: Some(span(0.01, 0.03)),
        age_s: Some(span(4.0 * YEAR_S, 5.0 * YEAR_S)),
        calendar_life: Some(CalendarLife::NotStated),
    }
}

fn screened(cell: FoundCell) -> ScreenedCell {
    let mut answer = Screening { cells: vec![cell] }.answer().unwrap();
    assert_eq!(answer.warning.code, "salvaged_cells");
    answer.cells.remove(0)
}

fn with(change: impl FnOnce(&mut FoundCell)) -> ScreenedCell {
    let mut cell = sound();
    change(&mut cell);
    screened(cell)
}

fn codes(cell: &ScreenedCell, judgement: Judgement) -> Vec<&'static str> {
    cell.findings.iter().filter(|finding| finding.judgement == judgement).map(|finding| finding.code).collect()
}

#[test]
fn a_sound_cell_is_used_with_every_rule_judged() {
    let cell = screened(sound());
    assert_eq!((cell.fate, cell.findings.len()), (Fate::Use, 0), "{:#?}", cell.findings);
    for rule in [rules::GIVEN_UP, rules::DAMAGED, rules::CAPACITY_LOW, rules::RESISTANCE_HIGH, rules::PAST_DATE] {
        assert!(cell.kept.contains(&rule.code), "{}", rule.code);
    }
}

/// The lower a cell was found, the worse its fate, with everything else measured and with nothing measured after it.
#[test]
fn a_lower_voltage_is_never_a_better_fate() {
    let families = [
        (CellFamily::LithiumIon, 4.2),
        (CellFamily::LithiumIronPhosphate, 3.6),
        (CellFamily::LeadAcid, 2.3),
        (CellFamily::NickelMetalHydride, 1.45),
        (CellFamily::Unidentified, 3.6),
    ];
    let worth = |fate| match fate {
        Fate::Use => 2,
        Fate::MeasureAgain => 1,
        Fate::Recycle => 0,
    };
    for (family, top_v) in families {
        for measured in [true, false] {
            let mut before = 2;
            for step in 0..=100 {
                let found_v = top_v * (1.0 - f64::from(step) / 100.0);
                let cell = with(|c| {
                    (c.family, c.found_v, c.pre_charge_lifted) = (family, Some(found_v), Some(true));
                    if !measured {
                        (c.capacity_ah, c.self_discharge_ratio) = (None, None);
                    }
                });
                assert!(worth(cell.fate) <= before, "{family:?} {found_v} V: {:?}", cell.fate);
                before = worth(cell.fate);
            }
        }
    }
}

/// A reading with the leads the wrong way round tells at most that the cell has so much.
#[test]
fn what_is_given_up_either_way_round_is_given_up() {
    for family in
        [CellFamily::LithiumIon, CellFamily::LithiumIronPhosphate, CellFamily::LeadAcid, CellFamily::Unidentified]
    {
        let fate = |found_v: f64| with(|c| (c.family, c.found_v) = (family, Some(found_v))).fate;
        assert_eq!((fate(-0.4), fate(-2.1)), (Fate::Recycle, Fate::MeasureAgain), "{family:?}");
    }
}

type Change = fn(&mut FoundCell);

const BREACHES: &[(&str, Fate, Change)] = &[
    ("screen_given_up", Fate::Recycle, |c| c.found_v = Some(1.99)),
    ("screen_given_up_unidentified", Fate::Recycle, |c| {
        (c.family, c.found_v) = (CellFamily::Unidentified, Some(1.3));
    }),
    ("screen_above_full", Fate::Recycle, |c| c.found_v = Some(4.26)),
    ("screen_above_full", Fate::Recycle, |c| {
        (c.family, c.found_v) = (CellFamily::LithiumIronPhosphate, Some(3.75));
    }),
    ("screen_damaged", Fate::Recycle, |c| c.damaged = Some(true)),
    ("screen_leaked", Fate::Recycle, |c| c.leaked = Some(true)),
    ("screen_rust_pitted", Fate::Recycle, |c| c.rust = Some(Rust::Pitted)),
    ("screen_smells", Fate::Recycle, |c| c.smells = Some(true)),
    ("screen_hot_on_charging", Fate::Recycle, |c| c.charge_warmth = Some(ChargeWarmth::Hot)),
    ("screen_pre_charge_failed", Fate::Recycle, |c| (c.found_v, c.pre_charge_lifted) = (Some(2.6), Some(false))),
    ("screen_capacity_low", Fate::Recycle, |c| c.capacity_ah = Some(span(1.3, 1.5))),
    ("screen_resistance_high", Fate::Recycle, |c| c.resistance = Some(dc(0.12, 0.13))),
    ("screen_self_discharge_high", Fate::Recycle, |c| c.self_discharge_ratio = Some(span(0.06, 0.09))),
    ("screen_past_date", Fate::Recycle, |c| c.calendar_life = Some(CalendarLife::Stated { life_s: 3.0 * YEAR_S })),
    ("screen_harmed_before", Fate::Recycle, |c| c.found_in = Some(FoundIn::Harmed)),
    ("screen_unidentified", Fate::MeasureAgain, |c| c.family = CellFamily::Unidentified),
    ("screen_reversed", Fate::MeasureAgain, |c| c.found_v = Some(-3.5)),
    ("screen_not_such_cell", Fate::MeasureAgain, |c| c.family = CellFamily::NickelMetalHydride),
    ("screen_rust_stain", Fate::MeasureAgain, |c| c.rust = Some(Rust::Stain)),
    ("screen_wrapper", Fate::MeasureAgain, |c| c.wrapper = Some(Wrapper::Torn)),
    ("screen_warm_on_charging", Fate::MeasureAgain, |c| c.charge_warmth = Some(ChargeWarmth::Warm)),
    ("screen_capacity_unsure", Fate::MeasureAgain, |c| c.capacity_ah = Some(span(1.5, 1.7))),
    ("screen_capacity_above_print", Fate::MeasureAgain, |c| c.capacity_ah = Some(span(2.9, 3.0))),
    ("screen_capacity_above_known", Fate::MeasureAgain, |c| c.capacity_ah = Some(span(4.3, 4.5))),
    ("screen_resistance_unsure", Fate::MeasureAgain, |c| c.resistance = Some(dc(0.08, 0.11))),
    ("screen_self_discharge_unsure", Fate::MeasureAgain, |c| c.self_discharge_ratio = Some(span(0.0, 0.06))),
    ("screen_age_unsure", Fate::MeasureAgain, |c| {
        c.calendar_life = Some(CalendarLife::Stated { life_s: 4.5 * YEAR_S });
    }),
    ("screen_rest_proves_nothing", Fate::MeasureAgain, |c| c.capacity_ah = None),
    ("screen_found_low", Fate::Use, |c| (c.found_v, c.pre_charge_lifted) = (Some(2.6), Some(true))),
    ("screen_found_flat", Fate::Use, |c| (c.family, c.found_v) = (CellFamily::NickelMetalHydride, Some(0.9))),
    ("screen_lead_given_up", Fate::Recycle, |c| (c.family, c.found_v) = (CellFamily::LeadAcid, Some(1.4))),
    ("screen_lead_too_empty", Fate::MeasureAgain, |c| {
        (c.family, c.found_v, c.capacity_ah) = (CellFamily::LeadAcid, Some(1.8), None);
    }),
    ("screen_lead_was_too_empty", Fate::Use, |c| (c.family, c.found_v) = (CellFamily::LeadAcid, Some(1.8))),
    ("screen_lead_stood_low", Fate::Use, |c| (c.family, c.found_v) = (CellFamily::LeadAcid, Some(2.0))),
    ("screen_nickel_dead", Fate::MeasureAgain, |c| {
        (c.family, c.found_v) = (CellFamily::NickelMetalHydride, Some(0.0));
        c.self_discharge_ratio = None;
    }),
    ("screen_nickel_was_dead", Fate::Use, |c| (c.family, c.found_v) = (CellFamily::NickelMetalHydride, Some(0.1))),
    ("screen_capacity_tired", Fate::Use, |c| c.capacity_ah = Some(span(1.8, 1.9))),
    ("screen_resistance_risen", Fate::Use, |c| c.resistance = Some(dc(0.07, 0.08))),
    ("screen_old", Fate::Use, |c| c.age_s = Some(span(9.0 * YEAR_S, 11.0 * YEAR_S))),
    ("screen_failed_pack", Fate::Use, |c| c.found_in = Some(FoundIn::Failed)),
    ("screen_origin_unknown", Fate::Use, |c| c.found_in = Some(FoundIn::Unknown)),
];

#[test]
fn each_rule_can_be_broken_and_decides() {
    for (code, fate, change) in BREACHES {
        let cell = with(change);
        assert!(codes(&cell, Judgement::Broken).contains(code), "{code}: {:?}", cell.findings);
        assert_eq!(cell.fate, *fate, "{code}: {:?}", cell.findings);
    }
    let tried: BTreeSet<&str> = BREACHES.iter().map(|row| row.0).collect();
    let all: BTreeSet<&str> = rules::RULES.iter().map(|rule| rule.code).collect();
    assert_eq!(tried, all);
    for rule in rules::RULES {
        assert!(!rule.source.title.is_empty() && rule.words.contains("{name}"), "{}", rule.code);
    }
}

const MISSING: &[(&str, Change)] = &[
    ("found_v", |c| c.found_v = None),
    ("damaged", |c| c.damaged = None),
    ("leaked", |c| c.leaked = None),
    ("rust", |c| c.rust = None),
    ("smells", |c| c.smells = None),
    ("wrapper", |c| c.wrapper = None),
    ("pre_charge_lifted", |c| (c.found_v, c.pre_charge_lifted) = (Some(2.5), None)),
    ("charge_warmth", |c| c.charge_warmth = None),
    ("capacity_ah", |c| c.capacity_ah = None),
    ("rated_ah", |c| c.rated_ah = None),
    ("resistance", |c| c.resistance = None),
    ("new_resistance", |c| c.new_resistance = None),
    ("self_discharge_ratio", |c| c.self_discharge_ratio = None),
    ("age_s", |c| c.age_s = None),
    ("calendar_life", |c| c.calendar_life = None),
    ("found_in", |c| c.found_in = None),
];

#[test]
fn a_missing_observation_is_named_and_keeps_a_cell_from_use() {
    for (field, change) in MISSING {
        let cell = with(change);
        assert_eq!(cell.fate, Fate::MeasureAgain, "{field}");
        let needs: Vec<&str> = cell.findings.iter().map(|finding| finding.needs.as_str()).collect();
        assert!(needs.contains(field), "{field}: {needs:?}");
    }
    let nothing = screened(FoundCell::unknown("?"));
    assert_eq!((nothing.fate, nothing.kept.len()), (Fate::MeasureAgain, 0));
}

/// Rules that compare two observations, with the one that is taken away.
const BY_TWO: &[(&str, &str)] =
    &[("screen_capacity_low", "rated_ah"), ("screen_resistance_high", "new_resistance"), ("screen_past_date", "age_s")];

#[test]
fn a_disqualifier_shows_whatever_else_is_good_or_missing() {
    for (code, _, breach) in BREACHES.iter().filter(|row| row.1 == Fate::Recycle) {
        for (field, _, other) in BREACHES {
            let mut cell = sound();
            other(&mut cell);
            if cell.family != sound().family {
                continue; // other limits hold for another kind
            }
            breach(&mut cell);
            let answer = screened(cell);
            assert_eq!(answer.fate, Fate::Recycle, "{code} after {field}");
            assert_eq!(answer.findings[0].urgency, Urgency::Stop, "{code} after {field}");
        }
        for (field, missing) in MISSING {
            let mut cell = sound();
            missing(&mut cell);
            breach(&mut cell);
            if BY_TWO.contains(&(code, field)) {
                continue;
            }
            assert_eq!(screened(cell).fate, Fate::Recycle, "{code} without {field}");
        }
    }
}

#[test]
fn resistances_of_two_kinds_are_compared_with_their_doubt() {
    // 45 mΩ at 1 kHz is 45 to 112 mΩ in direct current: against 50 mΩ it may be more than twice.
    let ac = |low, high| Some(FoundOhm { resistance_ohm: span(low, high), kind: OhmKind::Ac1Khz });
    let mixed = with(|c| c.resistance = ac(0.045, 0.045));
    assert!(codes(&mixed, Judgement::Broken).contains(&"screen_resistance_unsure"), "{:?}", mixed.findings);
    let same = with(|c| (c.resistance, c.new_resistance) = (ac(0.045, 0.045), ac(0.04, 0.04)));
    assert_eq!(same.fate, Fate::Use);
}

#[test]
fn limits_of_other_families_are_their_own() {
    let lead = with(|c| {
        (c.family, c.found_v, c.self_discharge_ratio) = (CellFamily::LeadAcid, Some(2.1), Some(span(0.02, 0.05)));
    });
    assert_eq!(lead.fate, Fate::Use, "{:?}", lead.findings);
    let nickel = |ratio| {
        with(|c| {
            (c.family, c.found_v, c.self_discharge_ratio) = (CellFamily::NickelMetalHydride, Some(1.3), Some(ratio));
        })
    };
    assert_eq!(nickel(span(0.2, 0.3)).fate, Fate::Use);
    assert_eq!(nickel(span(0.4, 0.5)).fate, Fate::Recycle);
}

#[test]
fn every_cell_gets_its_answer_in_order_and_bad_input_names_its_place() {
    let mut cells: Vec<FoundCell> = (0..40).map(|i| FoundCell { name: format!("K{i}"), ..sound() }).collect();
    cells[7].found_v = Some(0.4);
    let answer = Screening { cells: cells.clone() }.answer().unwrap();
    assert!(answer.cells.iter().map(|cell| &cell.name).eq(cells.iter().map(|cell| &cell.name)));
    assert_eq!(answer.cells[7].findings[0].subject, "/cells/7/found_v");
    assert!(answer.hand_in.is_some() && answer.identify.is_empty());
    cells[3].name = "K0".into();
    cells[9].found_v = Some(12.6);
    cells[11].capacity_ah = Some(Interval { low: 2.0, likely: 1.0, high: 3.0 });
    let errors = Screening { cells }.answer().unwrap_err();
    let paths: Vec<String> = errors.iter().map(cellwright::Error::path).collect();
    assert_eq!(paths, ["/cells/3/name", "/cells/9/found_v", "/cells/11/capacity_ah"]);
    assert!(Screening { cells: vec![] }.answer().is_err());
}

#[test]
fn any_observations_give_an_answer_with_sources() {
    let draws = Draws::new(7, 32);
    for index in 0..2000 {
        let unit = |place| draws.unit(index, place);
        let given = |place: usize, text: String| if unit(place) < 0.25 { "null".to_owned() } else { text };
        let pick = |place: usize, all: &[&str]| {
            let at = (unit(place) * all.len() as f64) as usize;
            all[at.min(all.len() - 1)].to_owned()
        };
        let interval = |place: usize, most: f64| {
            let (low, high) = (unit(place) * most, unit(place + 1) * most);
            let (low, high) = if low < high { (low, high) } else { (high, low) };
            format!(r#"{{"low":{low:e},"likely":{low:e},"high":{high:e}}}"#)
        };
        let ohm = |place: usize| {
            let kind = pick(place + 2, &["\"ac_1khz\"", "\"dc\""]);
            let ohm = 1e-5 + unit(place) * 9.9;
            format!(r#"{{"resistance_ohm":{{"low":{ohm:e},"likely":{ohm:e},"high":{ohm:e}}},"kind":{kind}}}"#)
        };
        let family =
            pick(0, &["lithium_ion", "lithium_iron_phosphate", "lead_acid", "nickel_metal_hydride", "unidentified"]);
        let life = pick(21, &["\"not_stated\"", r#"{"stated":{"life_s":1e8}}"#]);
        let text = format!(
            r#"{{"cells":[{{"name":"x","family":"{family}","found_v":{},"damaged":{},"leaked":{},"rust":{},"smells":{},
            "wrapper":{},"pre_charge_lifted":{},"charge_warmth":{},"rated_ah":{},"capacity_ah":{},"resistance":{},
            "new_resistance":{},"self_discharge_ratio":{},"age_s":{},"calendar_life":{},"found_in":{},"size":"18650"}}]}}"#,
            given(1, format!("{:e}", unit(2) * 10.0 - 5.0)),
            given(3, pick(4, &["true", "false", "false"])),
            given(5, pick(6, &["true", "false", "false"])),
            given(7, pick(8, &["\"none\"", "\"stain\"", "\"pitted\""])),
            given(9, pick(10, &["true", "false", "false"])),
            given(11, pick(12, &["\"whole\"", "\"torn\""])),
            given(13, pick(14, &["true", "false"])),
            given(15, pick(16, &["\"cool\"", "\"warm\"", "\"hot\""])),
            given(17, format!("{:e}", 0.01 + unit(18) * 900.0)),
            given(19, interval(20, 1000.0)),
            given(22, ohm(23)),
            given(24, ohm(25)),
            given(26, interval(27, 1.0)),
            given(28, interval(29, 2e9)),
            given(30, life),
            given(31, pick(14, &["\"working\"", "\"failed\"", "\"harmed\"", "\"unknown\""])),
        );
        let answer = ask("screen_cells", &text).unwrap_or_else(|errors| panic!("{errors:?} in {text}"));
        let answer = serde_json::to_value(&answer).unwrap();
        let cell = &answer["cells"][0];
        let findings = cell["findings"].as_array().unwrap();
        assert!(findings.iter().all(|finding| finding["source"]["title"] != ""), "{text}");
        let open = findings.iter().any(|finding| finding["judgement"] == "not_judged");
        assert!(!open || cell["fate"] != "use", "{text}");
    }
}

/// The voltage of a whole block is no cell's: that is said, with what to enter.
#[test]
fn the_voltage_of_a_block_is_refused_with_what_is_wanted() {
    let block = |found_v: f64| Screening {
        cells: vec![FoundCell { family: CellFamily::LeadAcid, found_v: Some(found_v), ..FoundCell::unknown("B1") }],
    };
    let errors = block(10.8).answer().unwrap_err();
    assert_eq!(errors[0].path(), "/cells/0/found_v");
    assert!(errors[0].accepted().contains("12 V block"), "{}", errors[0]);
    assert_eq!(block(10.8 / 6.0).answer().unwrap().cells[0].findings[0].code, "screen_lead_too_empty");
}
