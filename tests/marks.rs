//! Marks on parts, read and written.

use cellwright::data::marking::Colour;
use cellwright::data::series::Series;
use cellwright::part::choice::preferred;
use cellwright::part::marking::Marking;

#[test]
fn every_preferred_value_survives_its_marks() {
    for ohm in preferred(Series::E192, 0.1, 9.88e6) {
        let written = Marking::ResistorOhm(ohm).answer().unwrap();
        let letters = Marking::ResistorLetters(written.letters.unwrap()).answer().unwrap();
        assert_eq!(letters.ohm, Some(ohm));
        assert!(written.series.is_some(), "{ohm}");
        let colours = Marking::Colours(written.colours.unwrap()).answer().unwrap();
        assert_eq!(colours.ohm, Some(ohm));
        if let Some(digits) = written.digits {
            assert_eq!(Marking::ResistorDigits(digits).answer().unwrap().ohm, Some(ohm));
        }
    }
    for f in preferred(Series::E24, 1e-12, 9.1e-2) {
        let written = Marking::CapacitorF(f).answer().unwrap();
        assert_eq!(Marking::CapacitorLetters(written.letters.unwrap()).answer().unwrap().f, Some(f));
        if let Some(digits) = written.digits {
            assert_eq!(Marking::CapacitorDigits(digits).answer().unwrap().f, Some(f));
        }
    }
}

#[test]
fn series_are_told_coarsest_first() {
    for (ohm, series) in [(470.0, Series::E3), (680.0, Series::E6), (820.0, Series::E12), (910.0, Series::E24)] {
        assert_eq!(Marking::ResistorOhm(ohm).answer().unwrap().series, Some(series));
    }
    assert_eq!(
        Marking::ResistorOhm(919.0).answer().unwrap().series,
        None,
        "the rule gives 9.19, the series holds 9.20"
    );
    assert_eq!(Marking::ResistorOhm(920.0).answer().unwrap().series, Some(Series::E192));
}

#[test]
fn tolerances_and_coefficients_are_read() {
    let bands = vec![Colour::Brown, Colour::Black, Colour::Black, Colour::Red, Colour::Brown, Colour::Red];
    let read = Marking::Colours(bands).answer().unwrap();
    assert_eq!((read.ohm, read.high_ratio, read.coefficient_per_k), (Some(1e4), Some(0.01), Some(50e-6)));
    let three = Marking::Colours(vec![Colour::Red, Colour::Red, Colour::Gold]).answer().unwrap();
    assert_eq!((three.ohm, three.high_ratio), (Some(2.2), Some(0.2)));
    // Below 10 pF the letter C stands for a quarter of a picofarad.
    let small = Marking::CapacitorDigits("4R7C".into()).answer().unwrap();
    assert!((small.high_ratio.unwrap() - 0.25 / 4.7).abs() < 1e-12);
    let large = Marking::CapacitorDigits("223Z".into()).answer().unwrap();
    assert_eq!((large.f, large.low_ratio, large.high_ratio), (Some(22e-9), Some(-0.2), Some(0.8)));
    assert_eq!(Marking::CapacitorDigits("479".into()).answer().unwrap().f, Some(4.7e-12));
    assert_eq!(Marking::ResistorDigits("4R7".into()).answer().unwrap().ohm, Some(4.7));
}

#[test]
fn what_is_no_mark_is_refused_where_it_ends() {
    let refused = |marking: Marking| marking.answer().unwrap_err();
    for (text, place) in [("", 0), ("K", 1), ("4m7", 1), ("4K7J5", 4), ("47", 2), ("4,7K", 1), ("4K7Y", 3)] {
        let error = refused(Marking::ResistorLetters(text.into()));
        assert_eq!(error.position(), Some(place), "{text}: {error}");
    }
    for text in ["1", "10444", "1x4", "µ", "104KK", "R"] {
        refused(Marking::CapacitorDigits(text.into()));
    }
    refused(Marking::Colours(vec![Colour::Gold, Colour::Red, Colour::Red]));
    refused(Marking::Colours(vec![Colour::Red; 7]));
    refused(Marking::ResistorOhm(f64::NAN));
}

#[cfg(not(target_arch = "wasm32"))]
mod properties {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn any_text_gives_a_number_or_an_error(text in "\\PC{0,12}", near in "[0-9RKMpnuµ]{0,6}[A-Z]?") {
            for text in [text, near] {
                for marking in [
                    Marking::ResistorLetters(text.clone()),
                    Marking::ResistorDigits(text.clone()),
                    Marking::CapacitorLetters(text.clone()),
                    Marking::CapacitorDigits(text.clone()),
                ] {
                    if let Ok(read) = marking.answer() {
                        let value = read.ohm.or(read.f).unwrap();
                        prop_assert!(value.is_finite() && value >= 0.0);
                    }
                }
            }
        }
    }
}
