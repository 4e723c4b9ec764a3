//! Sizing a pack: voltages of published cells, and what must hold for every wish.

use cellwright::Interval;
use cellwright::pack::size::{PackSize, PackWish, ParallelBy};
use cellwright::part::cell::Chemistry;
use proptest::prelude::*;

fn wish(chemistry: Chemistry, low_v: f64, high_v: f64) -> PackWish {
    PackWish {
        own_chemistries: Vec::new(),
        chemistry,
        capacity_ah: Interval::around(2.6, 0.02),
        discharge_limit_a: None,
        low_v,
        high_v,
        current_a: Interval::exact(2.0),
        on_a: None,
        runtime_s: 3600.0,
    }
}

fn series(choices: &[PackSize], series: u32) -> PackSize {
    *choices.iter().find(|choice| choice.series == series).unwrap()
}

/// Pack voltages: Samsung ICR18650-26F (4.2 V) and Sunland IFR26650 (3.65 V) data sheets, number of cells times voltage.
#[test]
fn full_voltages_of_published_cells() {
    let lithium = wish(Chemistry::Lco, 8.0, 12.6).answer().unwrap().choices;
    assert!((series(&lithium, 3).full_v - 12.6).abs() < 1e-9);
    assert!(lithium.iter().all(|choice| choice.series <= 3));
    let phosphate = wish(Chemistry::Lfp, 8.0, 14.6).answer().unwrap().choices;
    let four = series(&phosphate, 4);
    assert!((four.full_v - 14.6).abs() < 1e-9 && (four.stop_v - 8.0).abs() < 1e-9 && !four.load_ends_first);
}

/// Three lithium-ion cells in series are a 12 V pack: common practice, no source.
#[test]
fn a_twelve_volt_load_takes_three_in_series() {
    let best = wish(Chemistry::Nmc, 9.0, 14.0).answer().unwrap().choices[0];
    assert_eq!((best.series, best.parallel, best.parallel_by), (3, 1, ParallelBy::Charge));
    assert!((best.nominal_v - 10.8).abs() < 1e-9);
}

/// A load that stops early leaves charge in the pack, so that more cells are needed.
#[test]
fn a_picky_load_needs_more_cells() {
    let easy = wish(Chemistry::Nmc, 8.0, 13.0).answer().unwrap().choices[0];
    let picky = wish(Chemistry::Nmc, 11.0, 13.0).answer().unwrap().choices[0];
    assert!(picky.load_ends_first && picky.usable_ratio < easy.usable_ratio && picky.parallel > easy.parallel);
}

#[test]
fn the_limit_of_a_cell_can_set_the_number_in_parallel() {
    let choices = PackWish { on_a: Some(9.0), ..wish(Chemistry::Nmc, 9.0, 14.0) }.answer().unwrap().choices;
    // 1C of the smallest credible capacity, 2.548 A, is the limit without a data sheet.
    assert_eq!((choices[0].parallel, choices[0].parallel_by), (4, ParallelBy::Current));
    let strong = PackWish { on_a: Some(9.0), discharge_limit_a: Some(10.0), ..wish(Chemistry::Nmc, 9.0, 14.0) };
    assert_eq!(strong.answer().unwrap().choices[0].parallel, 1);
}

#[test]
fn what_no_pack_can_do_is_refused() {
    let field = |wish: PackWish| wish.answer().unwrap_err()[0].field().to_owned();
    assert_eq!(field(wish(Chemistry::Nmc, 1.0, 4.0)), "high_v");
    assert_eq!(field(wish(Chemistry::Nmc, 12.59, 12.6)), "low_v");
    assert_eq!(
        field(PackWish { on_a: Some(0.5), ..wish(Chemistry::Nmc, 9.0, 14.0) }),
        "on_a",
        "under the mean current"
    );
    assert_eq!(field(PackWish { runtime_s: 2e6, ..wish(Chemistry::Nmc, 9.0, 14.0) }), "runtime_s");
    assert_eq!(
        field(PackWish { chemistry: Chemistry::Own("felt".into()), ..wish(Chemistry::Nmc, 9.0, 14.0) }),
        "chemistry"
    );
    assert_eq!(wish(Chemistry::Nmc, f64::NAN, -1.0).answer().unwrap_err().len(), 2);
}

proptest! {
    #[test]
    fn every_choice_does_what_was_asked(
        low_v in 0.0..30.0f64,
        span_v in 0.5..30.0f64,
        current_a in 0.05..20.0f64,
        runtime_s in 60.0..100_000.0f64,
        capacity_ah in 0.3..5.0f64,
    ) {
        let asked = PackWish {
            current_a: Interval::around(current_a, 0.1),
            runtime_s,
            capacity_ah: Interval::around(capacity_ah, 0.05),
            ..wish(Chemistry::Nca, low_v, low_v + span_v)
        };
        if let Ok(sizes) = asked.answer() {
            for choice in &sizes.choices {
                prop_assert!(choice.full_v <= asked.high_v * (1.0 + 1e-9) && choice.stop_v >= asked.low_v - 1e-9);
                prop_assert!(choice.runtime_s.low >= runtime_s * (1.0 - 1e-6));
                prop_assert!(choice.cell_a <= asked.capacity_ah.low * (1.0 + 1e-6));
                prop_assert!(choice.cells >= sizes.choices[0].cells);
            }
        }
    }

    #[test]
    fn any_bits_give_numbers_or_errors(bits in proptest::array::uniform6(any::<u64>())) {
        let [low, high, current, runtime, capacity, on] = bits.map(f64::from_bits);
        let asked = PackWish {
            current_a: Interval::exact(current),
            runtime_s: runtime,
            capacity_ah: Interval::exact(capacity),
            on_a: Some(on),
            ..wish(Chemistry::Lfp, low, high)
        };
        if let Ok(sizes) = asked.answer() {
            prop_assert!(sizes.choices.iter().all(|choice| choice.runtime_s.high.is_finite() && choice.cell_a.is_finite()));
        }
    }
}
