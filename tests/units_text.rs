//! Measurements as people write them.
#![allow(clippy::unwrap_used, reason = "a test may panic")]

use proptest::prelude::*;
use sledstance::units::Angle;
use sledstance::units::text::*;

fn mm(text: &str) -> f64 {
    parse_length(text, LengthUnit::Mm).unwrap_or_else(|e| panic!("{text}: {e}"))
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

#[test]
fn lengths_as_people_write_them() {
    for (text, expected) in [
        ("5'11", 1803.4),
        ("5' 11\"", 1803.4),
        ("5’11½".trim_end_matches('½'), 1803.4),
        ("5'11.5\"", 1816.1),
        ("5 ft 11 in", 1803.4),
        ("5ft11", 1803.4),
        ("6'", 1828.8),
        ("6ft", 1828.8),
        ("71 in", 1803.4),
        ("71\"", 1803.4),
        ("180 cm", 1800.0),
        ("180,5 cm", 1805.0),
        ("180.5cm", 1805.0),
        ("1.80 m", 1800.0),
        ("1,80 M", 1800.0),
        ("1 m 80", 1800.0),
        ("1800", 1800.0),
        ("  1800 mm ", 1800.0),
        ("-25 mm", -25.0),
        ("\u{2212}25", -25.0),
        ("-5'6", -1676.4),
    ] {
        assert!(
            near(mm(text), expected),
            "{text}: {} not {expected}",
            mm(text)
        );
    }
    assert!(near(parse_length("71", LengthUnit::Inch).unwrap(), 1803.4));
    assert!(near(parse_length("180", LengthUnit::Cm).unwrap(), 1800.0));
}

#[test]
fn masses_and_angles() {
    let kg = |text| parse_mass(text, MassUnit::Kg).unwrap();
    assert!(near(kg("82"), 82.0));
    assert!(near(kg("82,5 kg"), 82.5));
    assert!(near(kg("180 lbs"), 180.0 * 0.453_592_37));
    assert!(near(kg("12 st 8 lb"), 176.0 * 0.453_592_37));
    assert!(near(kg("12st 8"), 176.0 * 0.453_592_37));
    assert!(near(parse_angle("14,5°").unwrap().deg(), 14.5));
    assert!(near(parse_angle("-3 deg").unwrap().deg(), -3.0));
}

#[test]
fn wrong_text_says_what_is_wrong() {
    let length = |text| parse_length(text, LengthUnit::Mm);
    assert_eq!(length("  "), Err(TextError::Empty));
    assert!(matches!(length("tall"), Err(TextError::NotANumber { .. })));
    assert!(matches!(
        length("1.8.0 m"),
        Err(TextError::NotANumber { .. })
    ));
    assert!(matches!(length("nan"), Err(TextError::NotANumber { .. })));
    assert!(matches!(length("inf"), Err(TextError::NotANumber { .. })));
    assert!(matches!(
        length("80 kg"),
        Err(TextError::UnknownUnit { .. })
    ));
    assert!(matches!(length("11 in 5 ft"), Err(TextError::UnitOrder)));
    assert!(matches!(length("5' -3"), Err(TextError::NotANumber { .. })));
    let long = "9".repeat(60);
    assert_eq!(parse_length(&long, LengthUnit::Mm), Err(TextError::TooLong));
    let message = length("80 kg").unwrap_err().to_string();
    assert!(
        message.contains("kg") && message.contains("cm"),
        "{message}"
    );
    let print = |v| format_length(v, LengthUnit::Cm, 1.0);
    let message = within(710.0, (1300.0, 2200.0), print)
        .unwrap_err()
        .to_string();
    assert_eq!(message, "71 cm is outside 130 cm to 220 cm");
    assert!(within(f64::NAN, (0.0, 1.0), print).is_err());
}

#[test]
fn printed_with_no_more_digits_than_a_tape_shows() {
    assert_eq!(format_length(1803.4, LengthUnit::Mm, 1.0), "1803 mm");
    assert_eq!(format_length(1803.4, LengthUnit::Mm, 5.0), "1805 mm");
    assert_eq!(format_length(1803.4, LengthUnit::Inch, 0.5), "71.0 in");
    assert_eq!(format_length(-0.2, LengthUnit::Mm, 1.0), "0 mm");
    assert_eq!(format_length(-12.0, LengthUnit::Mm, 1.0), "\u{2212}12 mm");
    assert_eq!(format_mass(82.0, MassUnit::Pound, 1.0), "181 lb");
    assert_eq!(format_feet(1803.4), "5'11\"");
    assert_eq!(level(Angle::from_deg(12.1)), "12°");
    assert_eq!(level(Angle::from_deg(12.6)), "12.5°");
    assert_eq!(format_number(f64::NAN, 1.0), "–");
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in ".*") {
        for result in [
            parse_length(&text, LengthUnit::Mm),
            parse_mass(&text, MassUnit::Kg),
            parse_angle(&text).map(Angle::deg),
        ] {
            match result {
                Ok(value) => prop_assert!(value.is_finite()),
                Err(error) => prop_assert!(!error.to_string().is_empty()),
            }
        }
    }

    #[test]
    fn near_measurements_do_not_panic_either(text in "[-+0-9.,'\" °a-z½\u{2032}]{0,16}") {
        if let Ok(value) = parse_length(&text, LengthUnit::Inch) {
            prop_assert!(value.is_finite());
        }
    }

    #[test]
    fn what_is_printed_reads_back_within_the_step(
        value in -3000.0..3000.0_f64,
        unit in prop::sample::select(vec![LengthUnit::Mm, LengthUnit::Cm, LengthUnit::M, LengthUnit::Inch]),
        step in prop::sample::select(vec![0.001, 0.1, 0.5, 1.0, 5.0]),
    ) {
        let back = parse_length(&format_length(value, unit, step), LengthUnit::Foot).unwrap();
        prop_assert!((back - value).abs() <= 0.5 * step * unit.mm() + 1e-6);
    }

    #[test]
    fn feet_read_back_within_half_an_inch(value in 0.0..3000.0_f64) {
        let back = parse_length(&format_feet(value), LengthUnit::Mm).unwrap();
        prop_assert!((back - value).abs() <= 0.25 * 25.4 + 1e-6);
    }

    #[test]
    fn masses_read_back_within_the_step(value in 0.0..300.0_f64, pound in any::<bool>()) {
        let unit = if pound { MassUnit::Pound } else { MassUnit::Kg };
        let back = parse_mass(&format_mass(value, unit, 0.5), MassUnit::Stone).unwrap();
        prop_assert!((back - value).abs() <= 0.25 * unit.kg() + 1e-6);
    }

    #[test]
    fn angles_read_back_within_half_a_degree(value in -180.0..180.0_f64) {
        let back = parse_angle(&level(Angle::from_deg(value))).unwrap().deg();
        prop_assert!((back - value).abs() <= 0.25 + 1e-9);
    }

    #[test]
    fn any_number_prints(value in any::<f64>(), step in any::<f64>()) {
        prop_assert!(!format_number(value, step).is_empty());
        prop_assert!(!format_feet(value).is_empty());
    }
}

#[test]
fn numbers_are_read_to_the_bit_as_the_standard_library_reads_them() {
    for text in [
        "",
        "+",
        "-",
        ".",
        "-.",
        "e5",
        ".e5",
        "1e",
        "5.",
        ".5",
        "+.5",
        "-0",
        "-.0",
        "007",
        "00",
        "0.0",
        "1.e3",
        "1E+05",
        "1.2.3",
        "--1",
        "+-1",
        "1-2",
        " 1",
        "1 ",
        "+ 1",
        "1e400",
        "-1e400",
        "1e-400",
        "inf",
        "NaN",
        "1_000",
        "0x10",
        "123456789012345678901234567890",
        "9007199254740993",
        "4.9e-324",
        "1.7976931348623157e308",
        "١",
    ] {
        let theirs = text.parse().ok().filter(|x: &f64| x.is_finite());
        assert_eq!(
            finite(text).map(f64::to_bits),
            theirs.map(f64::to_bits),
            "{text:?}"
        );
    }
}

proptest! {
    #[test]
    fn any_number_is_read_to_the_bit(text in "[+-]?[0-9]{0,25}\\.?[0-9]{0,25}([eE][+-]?[0-9]{1,3})?", number: f64) {
        for text in [text, format!("{number}"), format!("{number:e}")] {
            let theirs = text.parse().ok().filter(|x: &f64| x.is_finite());
            prop_assert_eq!(finite(&text).map(f64::to_bits), theirs.map(f64::to_bits), "{}", text);
        }
    }
}
