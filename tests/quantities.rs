//! Reading and writing quantities.

use cellwright::quantity::Unit;
use cellwright::quantity::parse::{interval, number};
use cellwright::quantity::text::{Decimal, write};
use proptest::prelude::*;

#[test]
fn texts_that_are_read() {
    use Unit::*;
    let table = [
        ("4k7", Ohm, 4700.0),
        ("4K7", Ohm, 4700.0),
        ("2R2", Ohm, 2.2),
        ("1M0", Ohm, 1e6),
        ("10M", Ohm, 1e7),
        ("10m", Ohm, 0.01),
        ("47", Ohm, 47.0),
        ("47R", Ohm, 47.0),
        ("50 mΩ", Ohm, 0.05),
        ("50 m\u{2126}", Ohm, 0.05),
        ("0,05 ohm", Ohm, 0.05),
        ("100n", Farad, 1e-7),
        ("10 µF", Farad, 1e-5),
        ("10 \u{3bc}F", Farad, 1e-5),
        ("10uF", Farad, 1e-5),
        ("4n7", Farad, 4.7e-9),
        ("2,2 Ah", AmpereHour, 2.2),
        ("2200mAh", AmpereHour, 2.2),
        ("2.2Ah", AmpereHour, 2.2),
        ("2200 m", AmpereHour, 2.2),
        ("3,7", Volt, 3.7),
        ("3.7 V", Volt, 3.7),
        ("1,234", Volt, 1.234),
        ("12V", Volt, 12.0),
        ("\u{2212}5", DegreeCelsius, -5.0),
        ("20 °C", DegreeCelsius, 20.0),
        ("40 %", Ratio, 0.4),
        ("0,4", Ratio, 0.4),
        ("25 kHz", Hertz, 25e3),
        ("30 min", Second, 1800.0),
        ("2 h", Second, 7200.0),
        ("5 ms", Second, 0.005),
        ("1.5 m", Metre, 1.5),
        ("80 cm", Metre, 0.8),
        ("3 mm", Metre, 0.003),
        ("0.75 mm²", SquareMillimetre, 0.75),
        ("0,75mm2", SquareMillimetre, 0.75),
        ("0.75", SquareMillimetre, 0.75),
        ("1e3", Number, 1000.0),
        (".5", Number, 0.5),
        ("5.", Number, 5.0),
        ("1\u{a0}V", Volt, 1.0),
        ("22 µH", Henry, 2.2e-5),
    ];
    for (text, unit, expected) in table {
        let read = number("field", text, unit).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!((read - expected).abs() <= 1e-12 * expected.abs(), "{text} read as {read}");
    }
    for (text, expected) in [("AWG 20", 0.517619), ("20 AWG", 0.517619), ("AWG20", 0.517619), ("AWG 1/0", 53.4751)] {
        let read = number("area_mm2", text, Unit::SquareMillimetre).unwrap();
        assert!((read / expected - 1.0).abs() < 1e-5, "{text} read as {read}"); // six digits printed
    }
}

#[test]
fn texts_that_are_refused() {
    use Unit::*;
    let table = [
        ("", Volt),
        ("  ", Volt),
        ("1.234,5", Volt),
        ("1,234.5", Volt),
        ("1 234", Volt),
        ("1,2,3", Volt),
        ("1'000", Volt),
        ("1_000", Volt),
        ("nan", Volt),
        ("inf", Volt),
        ("Infinity", Volt),
        ("1e999", Volt),
        ("0x10", Volt),
        ("١٢", Volt),
        ("12A", Volt),
        ("3..7", Volt),
        ("V", Volt),
        ("5 m", Second),
        ("AWG 99", SquareMillimetre),
        ("AWG", SquareMillimetre),
        ("2.2 kk", Ohm),
        ("4k7k", Ohm),
        ("--5", Volt),
        ("5 V 3", Volt),
        ("4k7.2", Ohm),
        ("1e", Volt),
        ("12 volts please", Volt),
    ];
    for (text, unit) in table {
        let error = number("field", text, unit).err().unwrap_or_else(|| panic!("{text} was read"));
        assert_eq!(error.field(), "field");
    }
    assert!(number("field", &"9".repeat(1000), Unit::Volt).is_err());
}

#[test]
fn intervals() {
    let near = |text: &str, unit, low: f64, likely: f64, high: f64| {
        let read = interval("field", text, unit).unwrap_or_else(|error| panic!("{text}: {error}"));
        for (mine, expected) in [(read.low, low), (read.likely, likely), (read.high, high)] {
            assert!((mine - expected).abs() < 1e-12 * (1.0 + expected.abs()), "{text}: {read:?}");
        }
    };
    near("2.2 Ah ± 5 %", Unit::AmpereHour, 2.09, 2.2, 2.31);
    near("2,2 Ah ±0,1", Unit::AmpereHour, 2.1, 2.2, 2.3);
    near("2200 mAh +/- 100 mAh", Unit::AmpereHour, 2.1, 2.2, 2.3);
    near("2.1..2.3", Unit::AmpereHour, 2.1, 2.2, 2.3);
    near("50 mΩ +-10%", Unit::Ohm, 0.045, 0.05, 0.055);
    near("40 % ± 10 %", Unit::Ratio, 0.36, 0.4, 0.44);
    near("2.2", Unit::AmpereHour, 2.2, 2.2, 2.2);
    assert!(interval("field", "2.3..2.1", Unit::AmpereHour).is_err());
    assert!(interval("field", "2 ± -1", Unit::AmpereHour).is_err());
}

#[test]
fn numbers_that_are_written() {
    let table = [
        (4700.0, Unit::Ohm, 3, "4.70 kΩ"),
        (0.05, Unit::Ohm, 3, "50.0 mΩ"),
        (999.9, Unit::Ohm, 3, "1.00 kΩ"),
        (1e-7, Unit::Farad, 3, "100 nF"),
        (12.6, Unit::Volt, 3, "12.6 V"),
        (0.0, Unit::Volt, 3, "0.00 V"),
        (-5.0, Unit::DegreeCelsius, 2, "−5.0 °C"),
        (0.4, Unit::Ratio, 2, "40 %"),
        (1234.0, Unit::Volt, 3, "1230 V"),
        (59.0, Unit::Second, 2, "59 s"),
        (5400.0, Unit::Second, 3, "1 h 30 min"),
        (300000.0, Unit::Second, 3, "3 d 11 h"),
        (0.0123, Unit::SquareMillimetre, 2, "0.012 mm²"),
    ];
    for (value, unit, digits, expected) in table {
        assert_eq!(write(value, unit, digits, Decimal::Point), expected);
    }
    assert_eq!(write(3.7, Unit::Volt, 3, Decimal::Comma), "3,70 V");
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in ".{0,80}") {
        for unit in [Unit::Ohm, Unit::Second, Unit::SquareMillimetre, Unit::Metre, Unit::Ratio] {
            if let Ok(value) = number("field", &text, unit) {
                prop_assert!(value.is_finite());
            }
            if let Ok(read) = interval("field", &text, unit) {
                prop_assert!(read.low <= read.likely && read.likely <= read.high);
            }
        }
    }

    #[test]
    fn what_is_written_is_read_again(mantissa in 1.0..9.999f64, power in -9i32..7) {
        let value: f64 = format!("{mantissa}e{power}").parse().unwrap();
        for unit in [Unit::Ohm, Unit::Ampere, Unit::Volt, Unit::Farad] {
            for decimal in [Decimal::Point, Decimal::Comma] {
                let text = write(value, unit, 6, decimal);
                let read = number("field", &text, unit).unwrap();
                prop_assert!((read / value - 1.0).abs() < 1e-5, "{} -> {} -> {}", value, text, read); // six digits
            }
        }
    }
}
