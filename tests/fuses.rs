//! Fuses: gates are never interpolated, and a chosen rating keeps every limit it is held against.

#![allow(clippy::unwrap_used, clippy::panic)] // a test fails by panicking

use cellwright::data::fuse::{BLADE_GATES, FuseFamily, OVERLOAD_RATIO};
use cellwright::part::fuse::{FuseChange, FuseWish, longest_s, shortest_s};
use proptest::prelude::*;

const FAMILIES: [FuseFamily; 4] = [FuseFamily::Blade, FuseFamily::LargeBlade, FuseFamily::TubeUl, FuseFamily::TubeIec];

const WISH: FuseWish = FuseWish {
    family: FuseFamily::Blade,
    load_a: 3.0,
    surge_a: None,
    surge_s: None,
    wire_limit_a: 12.0,
    wire_withstand_a2s: Some(7439.0),
    ambient_degc: 25.0,
    pack_v: 12.6,
    fault_high_a: Some(150.0),
    fault_low_a: Some(60.0),
};

#[test]
fn gates_tighten_and_nothing_is_promised_below_the_lowest() {
    for family in FAMILIES {
        for rating_a in family.row().ratings_a {
            let gates = family.gates(*rating_a);
            for pair in gates.windows(2) {
                assert!(pair[0].multiple_ratio < pair[1].multiple_ratio, "{family:?}");
                if let (Some(sooner), Some(later)) = (pair[1].longest_s, pair[0].longest_s) {
                    assert!(sooner <= later, "{family:?}");
                }
            }
            assert!(gates.iter().all(|gate| gate.shortest_s.zip(gate.longest_s).is_none_or(|(a, b)| a < b)));
            assert_eq!(longest_s(gates, 1.2), None, "{family:?}: under 135 % no fuse promises to open");
        }
    }
    assert_eq!(longest_s(&BLADE_GATES, 1.99), Some(50.0));
    assert_eq!(longest_s(&BLADE_GATES, 2.0), Some(5.0));
    assert_eq!(shortest_s(&BLADE_GATES, 1.61), Some(0.15));
}

#[test]
fn ul_and_iec_of_the_same_print_are_not_the_same() {
    let of = |family, load_a| FuseWish { family, load_a, ..WISH }.answer().unwrap();
    // UL carries three quarters of its rating for good, IEC all of it.
    assert_eq!(of(FuseFamily::TubeUl, 3.0).lowest_a, 4.0);
    assert_eq!(of(FuseFamily::TubeIec, 3.0).lowest_a, 3.0);
    // IEC only must open at 210 %: the same wire allows a smaller rating.
    assert!(of(FuseFamily::TubeIec, 3.0).highest_a < 0.75 * of(FuseFamily::TubeUl, 3.0).highest_a);
}

#[test]
fn where_nothing_fits_the_change_is_named_and_nothing_picked() {
    let change = |wish: FuseWish| {
        let answer = wish.answer().unwrap();
        assert_eq!(answer.rating_a, None);
        assert!(!answer.change_words.is_empty());
        answer.change.unwrap()
    };
    let thin = change(FuseWish { wire_limit_a: 2.0, ..WISH });
    assert_eq!(thin, FuseChange::ThickerWireOrBranches { wire_limit_a: 4.0 });
    let surge = FuseWish { surge_a: Some(60.0), surge_s: Some(2.0), ..WISH };
    assert_eq!(change(surge), FuseChange::SlowerFuseOrSoftStart);
    assert_eq!(change(FuseWish { fault_high_a: Some(1500.0), ..WISH }), FuseChange::StrongerFuse);
    assert_eq!(change(FuseWish { pack_v: 36.0, ..WISH }), FuseChange::StrongerFuse);
    let weak = FuseWish { fault_low_a: Some(4.0), ..WISH };
    assert_eq!(change(weak), FuseChange::MoreFaultCurrent);
    assert_eq!(change(FuseWish { load_a: 90.0, wire_limit_a: 200.0, ..WISH }), FuseChange::OtherFamily);
    // With the wire that the change asks for, a rating fits.
    let FuseChange::ThickerWireOrBranches { wire_limit_a } = thin else { panic!() };
    assert_eq!(FuseWish { wire_limit_a, ..WISH }.answer().unwrap().rating_a, Some(4.0));
}

#[test]
fn what_is_not_published_is_not_judged() {
    let thick = Some(20000.0);
    let tube = FuseWish { family: FuseFamily::TubeUl, wire_withstand_a2s: thick, ..WISH }.answer().unwrap();
    assert_eq!(tube.ratings[0].breaks, None, "an alternating-current rating proves nothing at direct current");
    assert!(tube.change_words.contains("direct current"), "{}", tube.change_words);
    let open = FuseWish { fault_high_a: None, fault_low_a: None, wire_withstand_a2s: None, ..WISH }.answer().unwrap();
    assert!(open.change_words.starts_with("Not judged"), "{}", open.change_words);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    #[test]
    fn a_chosen_rating_keeps_every_limit(
        family in prop::sample::select(FAMILIES.to_vec()), load_a in 0.05..60.0f64,
        surge in prop::option::of((1.0..5.0f64, 1e-3..5.0f64)), wire_limit_a in 0.5..100.0f64,
        withstand in prop::option::of(10.0..1e6f64), ambient_degc in -20.0..125.0f64, pack_v in 3.0..60.0f64,
        fault in prop::option::of((1.0..300.0f64, 1.0..5.0f64)),
    ) {
        let wish = FuseWish {
            family,
            load_a,
            surge_a: surge.map(|(times, _)| times * load_a),
            surge_s: surge.map(|(_, time_s)| time_s),
            wire_limit_a,
            wire_withstand_a2s: withstand,
            ambient_degc,
            pack_v,
            fault_high_a: fault.map(|(low_a, times)| low_a * times),
            fault_low_a: fault.map(|(low_a, _)| low_a),
        };
        let answer = wish.answer().unwrap();
        prop_assert_eq!(answer.rating_a.is_none(), answer.change.is_some());
        if let Some(rating_a) = answer.rating_a {
            let gates = family.gates(rating_a);
            prop_assert!(rating_a <= wire_limit_a && load_a <= family.row().continuous_ratio * rating_a);
            let opens = gates.iter().find(|gate| gate.longest_s.is_some()).unwrap();
            prop_assert!(opens.multiple_ratio * rating_a <= OVERLOAD_RATIO * wire_limit_a);
            prop_assert!(family.row().dc_v.is_none_or(|dc_v| pack_v <= dc_v));
            if let Some((low_a, _)) = fault {
                let time_s = longest_s(gates, low_a / rating_a);
                prop_assert!(time_s.is_some(), "a fault that no gate opens was accepted");
                if let Some(withstand) = withstand && low_a > OVERLOAD_RATIO * wire_limit_a {
                    let let_through = gates.iter().filter(|gate| gate.multiple_ratio * rating_a <= low_a);
                    let least = let_through
                        .filter_map(|gate| Some(gate.longest_s? * gate.multiple_ratio * gate.multiple_ratio * rating_a * rating_a))
                        .fold(low_a * low_a * time_s.unwrap(), f64::min);
                    prop_assert!(least <= withstand);
                }
            }
            // A worse case of any input never makes a broken rating whole.
            let hotter = FuseWish { wire_limit_a: 0.8 * wire_limit_a, load_a: 1.1 * load_a, ..wish };
            let smaller = answer.ratings.iter().zip(hotter.answer().unwrap().ratings);
            for (now, then) in smaller {
                prop_assert!(now.protects_wire || !then.protects_wire);
                prop_assert!(now.carries == Some(true) || then.carries != Some(true));
            }
        }
    }
}

/// Above the published temperatures nothing is judged as kept; what the fuse does not even carry in the cold is certain.
#[test]
fn heat_hides_no_load_that_is_too_much_in_the_cold() {
    for family in [FuseFamily::TubeUl, FuseFamily::TubeIec, FuseFamily::Blade, FuseFamily::LargeBlade] {
        for ambient_degc in [26.0, 45.0, 70.0, 125.0] {
            let wish = FuseWish { family, load_a: 4.2, ambient_degc, ..WISH };
            let (cold, hot) = (FuseWish { ambient_degc: 25.0, ..wish }.answer().unwrap(), wish.answer().unwrap());
            for (cold, hot) in cold.ratings.iter().zip(&hot.ratings) {
                let told = format!("{family:?} {} A at {ambient_degc} °C", hot.rating_a);
                assert!(cold.carries != Some(false) || hot.carries == Some(false), "{told}");
                assert!(hot.carries != Some(true) || cold.carries == Some(true), "{told}");
                assert!(hot.continuous_a.is_none_or(|hot_a| hot_a <= cold.continuous_a.unwrap()), "{told}");
            }
        }
    }
}
