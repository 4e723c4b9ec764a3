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

#[test]
fn short_marks_and_classes_are_read() {
    let short = |text: &str| Marking::ResistorShort(text.into()).answer();
    for (text, ohm) in [("01A", 100.0), ("30D", 200e3), ("96Z", 0.976), ("51S", 33.2), (" 17R ", 1.47), ("68Y", 4.99)] {
        let read = short(text).unwrap();
        assert_eq!((read.ohm, read.high_ratio), (Some(ohm), Some(0.01)), "{text}");
    }
    for (text, place) in [("00A", 0), ("97A", 0), ("01", 2), ("01K", 2), ("01AA", 2), ("+1A", 0), ("é1A", 0), ("", 0)]
    {
        assert_eq!(short(text).unwrap_err().position(), Some(place), "{text}");
    }
    let class = |text: &str| Marking::CeramicClass(text.into()).answer();
    let read = class("X7R").unwrap();
    assert_eq!((read.class_degc, read.class_ratio), (Some([-55.0, 125.0]), Some([-0.15, 0.15])));
    assert_eq!((read.ohm, read.f, read.high_ratio), (None, None, None), "a class is no tolerance");
    assert_eq!(class("Y6V").unwrap().class_degc, Some([-30.0, 105.0]));
    for (text, place) in [("W7R", 0), ("X1R", 1), ("X7", 2), ("X7Q", 2), ("X7RR", 3)] {
        assert_eq!(class(text).unwrap_err().position(), Some(place), "{text}");
    }
}

#[test]
fn the_rows_of_dielectrics_are_those_of_their_codes() {
    use cellwright::data::dielectric::Dielectric;
    for (code, kind) in
        [("X7R", Dielectric::X7r), ("X5R", Dielectric::X5r), ("Y5V", Dielectric::Y5v), ("Z5U", Dielectric::Z5u)]
    {
        let (read, row) = (Marking::CeramicClass(code.into()).answer().unwrap(), kind.row());
        assert_eq!(read.class_degc, Some([row.low_degc, row.high_degc]), "{code}");
        assert_eq!(read.class_ratio, Some([row.fall_ratio, row.rise_ratio]), "{code}");
    }
}

#[test]
fn a_voltage_code_stands_before_the_digits() {
    let read = |text: &str| Marking::CapacitorDigits(text.into()).answer().unwrap();
    for (text, volts, f) in
        [("2A104K", 100.0, 1e-7), ("1H103", 50.0, 1e-8), ("0J226M", 6.3, 22e-6), ("2J472", 630.0, 4.7e-9)]
    {
        let read = read(text);
        assert!((read.rated_v.unwrap() / volts - 1.0).abs() < 1e-12, "{text}");
        assert_eq!(read.f, Some(f), "{text}");
    }
    assert_eq!((read("4R7").rated_v, read("104K").rated_v, read("10J").rated_v), (None, None, None));
    assert!(Marking::CapacitorDigits("2A".into()).answer().is_err());
}
