//! Text to numbers and back: a table of forms, refusals with their place, and properties over every text.

#![allow(clippy::unwrap_used, clippy::panic)] // a test fails by panicking

use cellwright::Error;
use cellwright::quantity::parse::{Entry, EntryNote, EntryReading};
use cellwright::quantity::solve::{between, root};
use cellwright::quantity::text::{Decimal, written};
use cellwright::quantity::{UNITS, Unit};
use proptest::prelude::*;

fn read(text: &str, unit: Unit) -> Result<EntryReading, Error> {
    Entry { text: text.into(), unit, field: None, decimal: None }.answer()
}

#[test]
fn forms_of_one_value() {
    use Unit::{
        Ampere, AmpereHour, Count, DegreeCelsius, Farad, Henry, Hertz, Metre, Ohm, Ratio, Second, SquareMillimetre,
        Volt, Watt, WattHour,
    };
    let table: &[(&str, Unit, f64, &str)] = &[
        ("4k7", Ohm, 4700.0, "4.7 kΩ"),
        ("4K7", Ohm, 4700.0, "4.7 kΩ"),
        ("2R2", Ohm, 2.2, "2.2 Ω"),
        ("R47", Ohm, 0.47, "470 mΩ"),
        ("0R05", Ohm, 0.05, "50 mΩ"),
        ("1M0", Ohm, 1e6, "1.0 MΩ"),
        ("10M", Ohm, 10e6, "10 MΩ"),
        ("10m", Ohm, 0.01, "10 mΩ"),
        ("4R7Ω", Ohm, 4.7, "4.7 Ω"),
        ("4.7 kΩ", Ohm, 4700.0, "4.7 kΩ"),
        ("4.7\u{a0}k\u{2126}", Ohm, 4700.0, "4.7 kΩ"),
        ("4,7\u{202f}k\u{3a9}", Ohm, 4700.0, "4.7 kΩ"),
        ("47 ohm", Ohm, 47.0, "47 Ω"),
        ("47 kohm", Ohm, 47e3, "47 kΩ"),
        ("47R", Ohm, 47.0, "47 Ω"),
        ("100n", Farad, 100e-9, "100 nF"),
        ("10 µF", Farad, 10e-6, "10 µF"),
        ("10 \u{3bc}F", Farad, 10e-6, "10 µF"),
        ("10uF", Farad, 10e-6, "10 µF"),
        ("2n2", Farad, 2.2e-9, "2.2 nF"),
        ("2,2 Ah", AmpereHour, 2.2, "2.2 Ah"),
        ("2200mAh", AmpereHour, 2.2, "2.2 Ah"),
        ("2200 mah", AmpereHour, 2.2, "2.2 Ah"),
        ("24.4 Wh", WattHour, 24.4, "24.4 Wh"),
        ("3,7", Volt, 3.7, "3.7 V"),
        ("3V7", Volt, 3.7, "3.7 V"),
        ("12v", Volt, 12.0, "12 V"),
        (".5 A", Ampere, 0.5, "500 mA"),
        ("5. A", Ampere, 5.0, "5 A"),
        ("+1e-3A", Ampere, 1e-3, "1 mA"),
        ("2.5E3", Hertz, 2500.0, "2.5 kHz"),
        ("25 kHz", Hertz, 25e3, "25 kHz"),
        ("330 µH", Henry, 330e-6, "330 µH"),
        ("21W", Watt, 21.0, "21 W"),
        ("150 mm", Metre, 0.15, "150 mm"),
        ("15 cm", Metre, 0.15, "150 mm"),
        ("5 m", Metre, 5.0, "5 m"),
        ("2 ft", Metre, 0.6096, "600 mm"),
        ("0.75 mm²", SquareMillimetre, 0.75, "0.75 mm²"),
        ("0,75mm2", SquareMillimetre, 0.75, "0.75 mm²"),
        ("25 °C", DegreeCelsius, 25.0, "25 °C"),
        ("\u{2212}5", DegreeCelsius, -5.0, "−5 °C"),
        ("-5C", DegreeCelsius, -5.0, "−5 °C"),
        ("77 °F", DegreeCelsius, 25.0, "25 °C"),
        ("298.15 K", DegreeCelsius, 25.0, "25.000 °C"),
        ("40 %", Ratio, 0.4, "40 %"),
        ("0,4", Ratio, 0.4, "40 %"),
        ("90 min", Second, 5400.0, "5000 s"),
        ("1 h 20 min", Second, 4800.0, "5000 s"),
        ("1h20min", Second, 4800.0, "5000 s"),
        ("1 min 30 s", Second, 90.0, "90 s"),
        ("20 ms", Second, 0.02, "20 ms"),
        ("300", Count, 300.0, "300"),
        ("0", Volt, 0.0, "0 V"),
    ];
    for (text, unit, value, words) in table {
        let reading = read(text, *unit).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert_eq!(reading.value, *value, "{text}");
        if *unit != Unit::Second || *value < 100.0 {
            assert_eq!(reading.words, *words, "{text}");
        }
    }
}

#[test]
fn gauges_are_cross_sections() {
    for (text, area_mm2, words) in [
        ("AWG 20", 0.517619, "AWG 20, 0.5176 mm²"),
        ("20 AWG", 0.517619, "AWG 20, 0.5176 mm²"),
        ("awg20", 0.517619, "AWG 20, 0.5176 mm²"),
        ("1/0", 53.4751, "AWG 1/0, 53.48 mm²"),
        ("AWG 0000", 107.219, "AWG 4/0, 107.2 mm²"),
    ] {
        let reading = read(text, Unit::SquareMillimetre).unwrap();
        assert!((reading.value / area_mm2 - 1.0).abs() < 1e-5, "{text}: {}", reading.value);
        assert_eq!(reading.words, words);
    }
    for text in ["AWG 41", "AWG 5/0", "AWG 1.5", "AWG", "AWG 020"] {
        assert!(read(text, Unit::SquareMillimetre).unwrap_err().accepted().contains("4/0"), "{text}");
    }
    assert!(read("AWG 20", Unit::Ohm).is_err());
}

#[test]
fn refusals_name_their_place_and_reason() {
    for (text, unit, position, reason) in [
        ("1.234,5", Unit::Volt, 5, "grouping"),
        ("1,234.5", Unit::Volt, 5, "grouping"),
        ("1 234", Unit::Volt, 2, "grouping"),
        ("1\u{a0}234", Unit::Volt, 2, "grouping"),
        ("1,2,3", Unit::Volt, 3, "grouping"),
        ("1'000", Unit::Volt, 1, "grouping"),
        ("1’000", Unit::Volt, 1, "grouping"),
        ("1_000", Unit::Volt, 1, "grouping"),
        ("4k7.5", Unit::Ohm, 3, "4k7"),
        ("4k7e3", Unit::Ohm, 3, "power"),
        ("4E7", Unit::Ohm, 1, "4R7"),
        ("nan", Unit::Volt, 0, "number"),
        ("inf", Unit::Volt, 0, "number"),
        ("-inf", Unit::Volt, 1, "number"),
        ("1e999", Unit::Volt, 0, "1e300"),
        ("1e-999", Unit::Volt, 0, "1e-300"),
        ("1e99999999999", Unit::Volt, 1, "1e300"),
        ("0x10", Unit::Volt, 1, "decimal"),
        ("١٢", Unit::Volt, 0, "0 to 9"),
        ("1٢", Unit::Volt, 1, "0 to 9"),
        ("\u{ff11}\u{ff12}", Unit::Volt, 0, "0 to 9"),
        ("½", Unit::Volt, 0, "0 to 9"),
        ("1/2", Unit::Volt, 1, "0.5"),
        ("1:20", Unit::Second, 1, "1 h 20 min"),
        ("1h20", Unit::Second, 4, "1 h 20 min"),
        ("20 min 1 h", Unit::Second, 7, "1 h 20 min"),
        ("5 m", Unit::Second, 2, "ms or min"),
        ("2.1-2.3", Unit::Volt, 3, "dash"),
        ("2.1–2.3", Unit::Volt, 3, "dash"),
        ("5 M", Unit::Metre, 2, "M is mega"),
        ("2 A", Unit::Volt, 2, "amperes"),
        ("2.2 A", Unit::AmpereHour, 4, "amperes"),
        ("5 pieces", Unit::Count, 2, "without a unit"),
        ("12 V!", Unit::Volt, 3, "unit of volts"),
        ("mV", Unit::Volt, 0, "3.7 V"),
        ("2.3..2.1", Unit::Volt, 5, "rising"),
        ("2 ± -1", Unit::Volt, 3, "zero or more"),
        ("50 % ± 5 %", Unit::Ratio, 6, "percentage"),
        ("1..2..3..4", Unit::Volt, 9, "two dots"),
        ("4k7 ± 100", Unit::Ohm, 9, "own unit"),
    ] {
        let error = read(text, unit).map(|reading| reading.words).expect_err(text);
        assert_eq!(error.position(), Some(position), "{text}: {error}");
        assert!(error.accepted().contains(reason), "{text}: {error}");
    }
    assert_eq!(read(" \u{a0}", Unit::Volt).unwrap_err().code(), "missing");
    assert_eq!(read(&"1".repeat(65), Unit::Volt).unwrap_err().position(), Some(64));
}

#[test]
fn capital_and_small_m_are_never_taken_for_each_other() {
    for row in UNITS.iter().filter(|row| row.suffixes.iter().any(|suffix| suffix.prefixed)) {
        let of = |prefix: &str| read(&format!("3 {prefix}{}", row.symbol), row.unit).unwrap().value;
        assert_eq!(of("m"), 3e-3, "{:?}", row.unit);
        assert_eq!(of("M"), 3e6, "{:?}", row.unit);
    }
}

#[test]
fn intervals() {
    for (text, unit, low, likely, high) in [
        ("2.2 ± 5 %", Unit::AmpereHour, 2.09, 2.2, 2.31),
        ("2,2 Ah ±0,1", Unit::AmpereHour, 2.1, 2.2, 2.3),
        ("2200 mAh ± 100", Unit::AmpereHour, 2.1, 2.2, 2.3),
        ("2200 mAh +/- 0.1 Ah", Unit::AmpereHour, 2.1, 2.2, 2.3),
        ("2.1..2.3", Unit::AmpereHour, 2.1, 2.2, 2.3),
        ("2.1 … 2.3 Ah", Unit::AmpereHour, 2.1, 2.2, 2.3),
        ("2,1...2,2...2,3", Unit::AmpereHour, 2.1, 2.2, 2.3),
        ("2100..2300 mAh", Unit::AmpereHour, 2.1, 2.2, 2.3),
        ("2.1 Ah..2300 mAh", Unit::AmpereHour, 2.1, 2.2, 2.3),
        ("25 °C ± 2", Unit::DegreeCelsius, 23.0, 25.0, 27.0),
        ("25 ± 2 K", Unit::DegreeCelsius, 23.0, 25.0, 27.0),
        ("4k7 ± 5%", Unit::Ohm, 4465.0, 4700.0, 4935.0),
        ("45 %..55 %", Unit::Ratio, 0.45, 0.5, 0.55),
    ] {
        let reading = read(text, unit).unwrap_or_else(|error| panic!("{text}: {error}"));
        let ends = reading.interval.unwrap();
        assert_eq!((ends.low, ends.high), (low, high), "{text}");
        assert!((ends.likely - likely).abs() < 1e-12 * likely && ends.likely == reading.value, "{text}");
        assert_eq!(read(&reading.words, unit).unwrap().interval, Some(ends), "{text} as {}", reading.words);
    }
    assert_eq!(read("2,2 Ah ±0,1", Unit::AmpereHour).unwrap().words, "2.1 Ah .. 2.2 Ah .. 2.3 Ah");
    assert_eq!(read("1 %..5 %", Unit::Ratio).unwrap().words, "1 % .. 3 % .. 5 %");
}

#[test]
fn notes_ask_to_look_again() {
    for (text, noted) in [("1,234", true), ("1.234", true), ("12.500", true), ("0.125", false), ("1.2345", false)] {
        assert_eq!(read(text, Unit::Volt).unwrap().notes.contains(&EntryNote::ReadAsDecimal), noted, "{text}");
    }
    let of = |text: &str, field: &str| {
        let entry = Entry { text: text.into(), unit: Unit::Ohm, field: Some(field.into()), decimal: None };
        entry.answer().unwrap().notes.len()
    };
    assert_eq!(of("10M", "/pack/groups/0/cells/1/resistance_ohm"), 1);
    assert_eq!(of("10m", "/pack/groups/0/cells/1/resistance_ohm"), 0);
    assert_eq!(of("10m", "ra_ohm"), 1);
    assert_eq!(of("10k", "ra_ohm"), 0);
    assert_eq!(of("10m", "a_field_of_no_row"), 0);
}

#[test]
fn roots_and_tables_stay_inside_their_ends() {
    assert_eq!(root(0.0, 1.0, |_| f64::NAN), None);
    assert_eq!(root(f64::NEG_INFINITY, 1.0, |x| x), None);
    let steep = root(0.0, 1e6, |x| libm::exp(x.min(700.0)) - 5.0).unwrap();
    assert!((steep - libm::log(5.0)).abs() < 1e-9, "{steep}");
    let table = [[0.0, 1.0], [10.0, 2.0], [20.0, 0.0]];
    assert_eq!(between(&table, 15.0), Some(1.0));
    assert_eq!(between(&table, -1e-12), None);
    assert_eq!(between(&table, 20.0 + 1e-12), None);
    assert_eq!(between(&table, f64::NAN), None);
    assert_eq!(between(&[], 0.0), None);
}

fn unit() -> impl Strategy<Value = Unit> {
    (0..UNITS.len()).prop_map(|i| UNITS[i].unit)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn text_read_back_keeps_the_digits(
        mantissa in -1.0..1.0f64, power in -15..15i32, unit in unit(), digits in 1..9u32, comma in any::<bool>(),
    ) {
        let value = mantissa * libm::pow(10.0, f64::from(power));
        let decimal = if comma { Decimal::Comma } else { Decimal::Point };
        let text = written(value, unit, digits, decimal);
        let reading = read(&text, unit).map_err(|error| TestCaseError::fail(format!("{text}: {error}")))?;
        // Half a unit of the last digit shown, and the rounding of the last binary digit.
        let allowed = 0.5 * libm::pow(10.0, 1.0 - f64::from(digits)) + 1e-15;
        prop_assert!((reading.value - value).abs() <= allowed * value.abs(), "{value} {text} {}", reading.value);
        prop_assert_eq!(&written(reading.value, unit, digits, decimal), &text);
        let shown = text.chars().take_while(|sign| *sign != 'e').filter(char::is_ascii_digit).collect::<String>();
        let significant = shown.trim_start_matches('0').trim_end_matches('0').len();
        prop_assert!(significant <= digits as usize, "{text} shows more than {digits} digits");
    }

    #[test]
    fn every_text_is_a_number_or_a_refusal(text in ".{0,70}", unit in unit()) {
        if let Ok(reading) = read(&text, unit) {
            prop_assert!(reading.value.is_finite());
            prop_assert!(reading.interval.is_none_or(|ends| ends.check("text", -1e301, 1e301).is_ok()));
        }
    }

    #[test]
    fn every_text_of_the_right_signs_is_a_number_or_a_refusal(
        text in "[-+−0-9.,eE kKmMRµΩVAh%±…/:°CFs]{0,14}", unit in unit(),
    ) {
        match read(&text, unit) {
            Ok(reading) => {
                prop_assert!(reading.value.is_finite());
                prop_assert!(reading.interval.is_none_or(|ends| ends.check("text", -1e301, 1e301).is_ok()));
                prop_assert!(read(&reading.words, unit).is_ok() || reading.words.contains("AWG"), "{}", reading.words);
            }
            Err(error) => {
                prop_assert!(error.position().is_none_or(|at| at <= text.chars().count()));
                prop_assert!(!error.accepted().is_empty());
            }
        }
    }
}
