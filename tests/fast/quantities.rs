//! Quantities as people write them: what is read, what is refused, and in which words.

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::Signed;
use proptest::prelude::*;
use std::fmt::Write;
use swathlint::quantity::Quantity;
use swathlint::quantity::decimal::Decimal;
use swathlint::quantity::dimension::Dimension;
use swathlint::quantity::fault::QuantityFault;
use swathlint::quantity::unit::Unit;

/// What a help text may begin with.
const VERBS: [&str; 3] = ["write ", "give ", "type "];

#[test]
fn published_factors() {
    let table = include_str!("../published/units.csv");
    let mut rows = table.lines();
    assert_eq!(
        rows.next(),
        Some("unit,si,printed,exact,agrees,mark,source,place,note")
    );
    let mut n_rows = 0;
    for row in rows {
        let [unit, si, printed, exact, agrees, ..] = row.split(',').collect::<Vec<_>>()[..] else {
            panic!("too few columns: {row}");
        };
        let factor = Unit::parse(unit, &[]).unwrap().exact_factor()
            / Unit::parse(si, &[]).unwrap().exact_factor();
        let (value, half_of_last_digit) = as_printed(printed);
        let error = (factor - value).abs();
        let is_right = if exact == "yes" {
            error == BigRational::from(BigInt::ZERO)
        } else {
            error <= half_of_last_digit
        };
        assert_eq!(is_right, agrees == "yes", "{row}");
        n_rows += 1;
    }
    assert!(n_rows > 40, "the table is complete");
}

/// A number like `6.894757E+03`, and half a unit of its last digit.
fn as_printed(text: &str) -> (BigRational, BigRational) {
    let (mantissa, exponent) = text.split_once('E').unwrap();
    let mantissa = Decimal::parse(mantissa).unwrap();
    let power = |exponent: i32| {
        let ten = BigRational::from(BigInt::from(10));
        ten.pow(exponent)
    };
    let exponent: i32 = exponent.parse().unwrap();
    let last_digit = power(exponent - i32::from(mantissa.places()));
    (
        mantissa.to_exact() * power(exponent),
        last_digit / BigInt::from(2),
    )
}

#[test]
fn what_people_write_is_read() {
    for (text, wanted, printed) in [
        ("36 psi", Dimension::PRESSURE, "36 psi"),
        ("36psi", Dimension::PRESSURE, "36 psi"),
        ("36 PSI", Dimension::PRESSURE, "36 psi"),
        ("  36\u{a0}psi ", Dimension::PRESSURE, "36 psi"),
        ("36\u{202f}psi", Dimension::PRESSURE, "36 psi"),
        ("36.0 psi", Dimension::PRESSURE, "36.0 psi"),
        ("36 lb/in2", Dimension::PRESSURE, "36 psi"),
        ("36 pounds per square inch", Dimension::PRESSURE, "36 psi"),
        ("2.5 Bar", Dimension::PRESSURE, "2.5 bar"),
        ("250 kpa", Dimension::PRESSURE, "250 kPa"),
        ("0.25 MPa", Dimension::PRESSURE, "0.25 MPa"),
        ("0bar", Dimension::PRESSURE, "0 bar"),
        ("\u{2212}5 psi", Dimension::PRESSURE, "-5 psi"),
        ("34.2 gallons", Dimension::VOLUME, "34.2 gal"),
        ("34.2 U.S. gal.", Dimension::VOLUME, "34.2 gal"),
        ("34.2 imp. gal", Dimension::VOLUME, "34.2 imp gal"),
        ("34.2 UK gallons", Dimension::VOLUME, "34.2 imp gal"),
        ("36.5 fl.oz.", Dimension::VOLUME, "36.5 fl oz"),
        ("36.5 fluid ounces", Dimension::VOLUME, "36.5 fl oz"),
        ("500 ml", Dimension::VOLUME, "500 mL"),
        ("500 cc", Dimension::VOLUME, "500 mL"),
        ("2 l", Dimension::VOLUME, "2 L"),
        ("2 litres", Dimension::VOLUME, "2 L"),
        (".5 L", Dimension::VOLUME, "0.5 L"),
        ("36.5 wt oz", Dimension::MASS, "36.5 wt oz"),
        ("5 lbs", Dimension::MASS, "5 lb"),
        ("0.57 gpm", Dimension::FLOW, "0.57 gpm"),
        ("0.57 gal/min", Dimension::FLOW, "0.57 gpm"),
        ("0.57 GPM", Dimension::FLOW, "0.57 gpm"),
        ("2.4 L/min", Dimension::FLOW, "2.4 L/min"),
        ("2.4 litres per minute", Dimension::FLOW, "2.4 L/min"),
        ("0.5 imp gal/min", Dimension::FLOW, "0.5 imp gal/min"),
        ("4.2 mph", Dimension::SPEED, "4.2 mph"),
        ("4.2 miles per hour", Dimension::SPEED, "4.2 mph"),
        ("6.8 km/hr", Dimension::SPEED, "6.8 km/h"),
        ("6.8 kph", Dimension::SPEED, "6.8 km/h"),
        ("1.9 m/s", Dimension::SPEED, "1.9 m/s"),
        ("40 gal/acre", Dimension::RATE, "40 gal/acre"),
        ("40 gal / ac", Dimension::RATE, "40 gal/acre"),
        ("40 gpa", Dimension::RATE, "40 gal/acre"),
        ("40 gallons per acre", Dimension::RATE, "40 gal/acre"),
        ("0.92 gal/1000 ft2", Dimension::RATE, "0.92 gal/1000 ft2"),
        ("0.92 gal/1000 sq ft", Dimension::RATE, "0.92 gal/1000 ft2"),
        (
            "0.92 gal/1,000 sq. ft.",
            Dimension::RATE,
            "0.92 gal/1000 ft2",
        ),
        (
            "0.92 gal per 1000ft\u{b2}",
            Dimension::RATE,
            "0.92 gal/1000 ft2",
        ),
        ("375 L/ha", Dimension::RATE, "375 L/ha"),
        ("4 pt/acre", Dimension::RATE, "4 pt/acre"),
        ("8 fl oz/acre", Dimension::RATE, "8 fl oz/acre"),
        (
            "4 wt oz/1000 ft2",
            Dimension::WEIGHED_RATE,
            "4 wt oz/1000 ft2",
        ),
        ("2150 g/min", Dimension::WEIGHED_FLOW, "2150 g/min"),
        ("8.34 lb/gal", Dimension::DENSITY, "8.34 lb/gal"),
        (
            "620 pulses/gal",
            Dimension::PULSES_PER_VOLUME,
            "620 pulses/gal",
        ),
        (
            "620 pulses/10 gal",
            Dimension::PULSES_PER_VOLUME,
            "620 pulses/10 gal",
        ),
        ("1 pulse/gal", Dimension::PULSES_PER_VOLUME, "1 pulse/gal"),
        (
            "1180 pulses/100 ft",
            Dimension::PULSES_PER_LENGTH,
            "1180 pulses/100 ft",
        ),
        ("6.1 mL/pulse", Dimension::VOLUME_PER_PULSE, "6.1 mL/pulse"),
        ("20 in", Dimension::LENGTH, "20 in"),
        ("20\"", Dimension::LENGTH, "20 in"),
        ("200'", Dimension::LENGTH, "200 ft"),
        ("200 feet", Dimension::LENGTH, "200 ft"),
        ("50 Metres", Dimension::LENGTH, "50 m"),
        ("250 m\u{b2}", Dimension::AREA, "250 m2"),
        ("11.5 acre", Dimension::AREA, "11.5 acres"),
        ("30 s", Dimension::TIME, "30 s"),
        ("30secs", Dimension::TIME, "30 s"),
        ("4 Min", Dimension::TIME, "4 min"),
        ("412 h", Dimension::TIME, "412 h"),
        ("412 hrs", Dimension::TIME, "412 h"),
        ("1 days", Dimension::TIME, "1 day"),
        ("12 months", Dimension::CALENDAR, "12 months"),
        ("2 yrs", Dimension::CALENDAR, "2 years"),
        ("5 %", Dimension::RATIO, "5%"),
        ("5%", Dimension::RATIO, "5%"),
        ("5 per cent", Dimension::RATIO, "5%"),
        ("15", Dimension::COUNT, "15"),
    ] {
        let quantity = Quantity::parse(text, &[wanted])
            .unwrap_or_else(|fault| panic!("{text}: {}", fault.message()));
        assert_eq!(quantity.to_string(), printed, "{text}");
        assert_eq!(quantity.dimension(), wanted, "{text}");
    }
}

#[test]
fn readings_keep_their_resolution() {
    for (text, si, resolution) in [
        ("36.5 fl oz", 0.001_079_433_829_031_25, 2.957_352_956_25e-6),
        ("20 in", 0.508, 0.025_4),
        ("4.2 mph", 1.877_568, 0.044_704),
        ("2.50 bar", 250_000.0, 1000.0),
        ("5%", 0.05, 0.01),
        ("12 months", 12.0, 1.0),
    ] {
        let quantity = Quantity::parse(text, &[]).unwrap();
        assert!(
            (quantity.si() / si - 1.0).abs() < 1e-15,
            "{text}: {}",
            quantity.si()
        );
        assert!(
            (quantity.resolution() / resolution - 1.0).abs() < 1e-15,
            "{text}: {}",
            quantity.resolution()
        );
    }
}

#[test]
fn faults_in_words() {
    let rows: &[(&str, &[Dimension])] = &[
        // No unit, no number, nothing.
        ("36", &[Dimension::PRESSURE]),
        ("40", &[Dimension::RATE]),
        ("620", &[Dimension::PULSES_PER_VOLUME]),
        ("12", &[Dimension::CALENDAR, Dimension::TIME]),
        ("10", &[Dimension::RATIO]),
        ("0.05", &[Dimension::RATIO]),
        ("36.5", &[]),
        ("", &[Dimension::PRESSURE]),
        ("psi", &[Dimension::PRESSURE]),
        ("psi 36", &[Dimension::PRESSURE]),
        ("high", &[Dimension::PRESSURE]),
        ("-", &[Dimension::PRESSURE]),
        // Ounces.
        ("32 oz", &[Dimension::VOLUME]),
        ("32 Ounces", &[Dimension::VOLUME, Dimension::MASS]),
        ("8 oz/acre", &[Dimension::RATE, Dimension::WEIGHED_RATE]),
        ("oz", &[Dimension::VOLUME]),
        // Commas, spaces, points.
        ("36,5 fl oz", &[Dimension::VOLUME]),
        ("0,250 L", &[Dimension::VOLUME]),
        ("1,000 gal", &[Dimension::VOLUME]),
        ("1,234.5 gal", &[Dimension::VOLUME]),
        ("1.234,5 L", &[Dimension::VOLUME]),
        ("12,345,678 L", &[Dimension::VOLUME]),
        ("1.000.000 L", &[Dimension::VOLUME]),
        ("1 000 L", &[Dimension::VOLUME]),
        ("1\u{202f}000,5 L", &[Dimension::VOLUME]),
        ("1'000 L", &[Dimension::VOLUME]),
        ("1_000 L", &[Dimension::VOLUME]),
        ("5. gal", &[Dimension::VOLUME]),
        ("1.2.3 gal", &[Dimension::VOLUME]),
        ("36.5 37.0 fl oz", &[Dimension::VOLUME]),
        ("36.5, 37.0 fl oz", &[Dimension::VOLUME]),
        ("5 1000 ft2", &[Dimension::AREA]),
        // Other notations.
        ("1e3 L", &[Dimension::VOLUME]),
        ("1.5e-3 L", &[Dimension::VOLUME]),
        ("1.2 x 10^3 L", &[Dimension::VOLUME]),
        ("012 psi", &[Dimension::PRESSURE]),
        ("00.5 L", &[Dimension::VOLUME]),
        ("0x24 psi", &[Dimension::PRESSURE]),
        ("\u{ff13}\u{ff16} psi", &[Dimension::PRESSURE]),
        ("\u{663}\u{666} psi", &[Dimension::PRESSURE]),
        ("1234567890123456 gal", &[Dimension::VOLUME]),
        ("1/2 gal", &[Dimension::VOLUME]),
        ("1 1/2 gal", &[Dimension::VOLUME]),
        ("1/3 gal", &[Dimension::VOLUME]),
        ("1/0 gal", &[Dimension::VOLUME]),
        ("\u{bd} gal", &[Dimension::VOLUME]),
        ("1\u{bd} gal", &[Dimension::VOLUME]),
        ("2 x 20 in", &[Dimension::LENGTH]),
        ("--5 psi", &[Dimension::PRESSURE]),
        ("2026-03-09", &[Dimension::TIME]),
        // Times and two units.
        ("1:30", &[Dimension::TIME]),
        ("1:30 min", &[Dimension::TIME]),
        ("0:32.4", &[Dimension::TIME]),
        ("1:02:03", &[Dimension::TIME]),
        ("4 min 30 s", &[Dimension::TIME]),
        ("4m30s", &[Dimension::TIME]),
        ("1 h and 15 min", &[Dimension::TIME]),
        ("5'6\"", &[Dimension::LENGTH]),
        // Not one reading.
        ("~36 psi", &[Dimension::PRESSURE]),
        ("about 36 psi", &[Dimension::PRESSURE]),
        ("ca. 36 psi", &[Dimension::PRESSURE]),
        ("<36 psi", &[Dimension::PRESSURE]),
        ("36 \u{b1} 1 psi", &[Dimension::PRESSURE]),
        ("36-38 psi", &[Dimension::PRESSURE]),
        ("36 to 38 psi", &[Dimension::PRESSURE]),
        ("36 psi \u{2013} 38 psi", &[Dimension::PRESSURE]),
        ("nan psi", &[Dimension::PRESSURE]),
        ("-.inf", &[Dimension::PRESSURE]),
        // Units that are not known, or not one unit.
        ("36 pis", &[Dimension::PRESSURE]),
        ("40 gal/acer", &[Dimension::RATE]),
        ("40 galon/acer", &[Dimension::RATE]),
        ("2.4 litters/min", &[Dimension::FLOW]),
        ("3 gmp", &[Dimension::FLOW]),
        ("36 xyz", &[Dimension::PRESSURE]),
        ("36 galons", &[Dimension::PRESSURE]),
        ("36 psi?", &[Dimension::PRESSURE]),
        ("40 gal/M", &[Dimension::RATE]),
        ("500 ML", &[Dimension::VOLUME]),
        ("250 mPa", &[Dimension::PRESSURE]),
        ("5 G", &[Dimension::VOLUME, Dimension::MASS]),
        ("2 gal/1000", &[Dimension::RATE]),
        ("2 gal/", &[Dimension::RATE]),
        ("2 gal/acre/h", &[Dimension::RATE]),
        ("2 gal/0 acre", &[Dimension::RATE]),
        ("2 psi/acre", &[Dimension::RATE]),
        ("36\u{200b} psi", &[Dimension::PRESSURE]),
        // Known units of something else.
        ("36 gal", &[Dimension::PRESSURE]),
        ("40 gal", &[Dimension::RATE]),
        ("36 lbs", &[Dimension::PRESSURE]),
        ("4 m", &[Dimension::TIME]),
        ("12 months", &[Dimension::TIME]),
        ("15 gal", &[Dimension::COUNT]),
        ("5%", &[Dimension::FLOW, Dimension::VOLUME, Dimension::MASS]),
        (
            "1180 pulses/100 ft",
            &[Dimension::PULSES_PER_VOLUME, Dimension::VOLUME_PER_PULSE],
        ),
    ];
    let mut words = String::new();
    for (text, wanted) in rows {
        let fault = Quantity::parse(text, wanted).expect_err(text);
        assert_well_worded(text, &fault);
        let (message, help, part) = (
            fault.message(),
            fault.help(),
            text[fault.part.clone()].escape_debug(),
        );
        writeln!(
            words,
            "{}\n    {message}\n    at:   {part}\n    help: {help}",
            text.escape_debug()
        )
        .unwrap();
    }
    insta::assert_snapshot!(words);
}

#[test]
fn faults_of_a_number_alone_in_words() {
    let mut words = String::new();
    for text in [
        "36,5",
        "36.5 fl oz",
        "1,000",
        "1e3",
        "1:30",
        "0:32.4",
        "~36",
        "36-38",
        "abc",
        "",
        " 012 ",
        "missed",
    ] {
        let fault = Decimal::parse(text).expect_err(text);
        assert!(
            VERBS.iter().any(|verb| fault.help().starts_with(verb)),
            "{text}"
        );
        let part = &text[fault.part.clone()];
        writeln!(
            words,
            "`{text}`\n    {}\n    at:   {part}\n    help: {}",
            fault.message(),
            fault.help()
        )
        .unwrap();
    }
    insta::assert_snapshot!(words);
}

#[test]
fn faults_of_a_unit_alone_in_words() {
    let mut words = String::new();
    for (text, wanted) in [
        ("floz", Dimension::PRESSURE),
        ("oz", Dimension::VOLUME),
        ("fl ozz", Dimension::VOLUME),
        ("pulse/gal", Dimension::PULSES_PER_LENGTH),
        ("pulses/glalon", Dimension::PULSES_PER_VOLUME),
        ("1000 ft2", Dimension::AREA),
        ("", Dimension::VOLUME),
    ] {
        let fault = Unit::parse(text, &[wanted]).expect_err(text);
        assert_well_worded(text, &fault);
        let part = &text[fault.part.clone()];
        writeln!(
            words,
            "`{text}`\n    {}\n    at:   {part}\n    help: {}",
            fault.message(),
            fault.help()
        )
        .unwrap();
    }
    insta::assert_snapshot!(words);
}

/// What holds of every fault, whatever the text.
fn assert_well_worded(text: &str, fault: &QuantityFault) {
    let (message, help) = (fault.message(), fault.help());
    assert!(message.chars().count() < 100, "too long: {message}");
    assert!(
        message.starts_with(|first: char| first == '`' || first.is_lowercase()),
        "{message}"
    );
    assert!(
        !message.ends_with('.') && !message.contains('\n'),
        "{message}"
    );
    assert!(
        VERBS.iter().any(|verb| help.starts_with(verb)),
        "{text}: {help}"
    );
    assert!(!help.contains('\n'), "{help}");
    assert!(
        text.get(fault.part.clone()).is_some(),
        "{text}: {:?}",
        fault.part
    );
}

const WANTED: [&[Dimension]; 8] = [
    &[],
    &[Dimension::PRESSURE],
    &[Dimension::TIME],
    &[Dimension::RATIO],
    &[Dimension::COUNT],
    &[Dimension::VOLUME, Dimension::MASS, Dimension::FLOW],
    &[
        Dimension::PULSES_PER_VOLUME,
        Dimension::PULSES_PER_LENGTH,
        Dimension::VOLUME_PER_PULSE,
    ],
    &[Dimension::RATE, Dimension::WEIGHED_RATE],
];

/// Bits of quantities, in any order.
fn scraps() -> impl Strategy<Value = String> {
    let scrap = prop::sample::select(vec![
        "1", "36", "0", "05", "000", ".", ",", ":", "/", " ", "\u{a0}", "-", "\u{2212}", "+", "e",
        "x", "_", "'", "\"", "~", "\u{b1}", "\u{bd}", "\u{b2}", "to ", "about ", "per ", "psi",
        "gal", "oz", "fl oz", "m", "min", "s", "acre", "ft2", "M", "pulses", "%", "imp ", "0x",
        "nan", "\u{200b}", "\u{663}", "\u{e9}",
    ]);
    prop::collection::vec(scrap, 0..10).prop_map(|scraps| scraps.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read_or_refused_in_words(text in any::<String>()) {
        for wanted in WANTED {
            if let Err(fault) = Quantity::parse(&text, wanted) {
                assert_well_worded(&text, &fault);
            }
        }
    }

    #[test]
    fn any_scraps_of_quantities_are_read_or_refused_in_words(text in scraps()) {
        for wanted in WANTED {
            match Quantity::parse(&text, wanted) {
                Ok(quantity) => prop_assert_eq!(Quantity::parse(&quantity.to_string(), wanted), Ok(quantity)),
                Err(fault) => assert_well_worded(&text, &fault),
            }
            if let Err(fault) = Unit::parse(&text, wanted) {
                assert_well_worded(&text, &fault);
            }
        }
        if let Err(fault) = Decimal::parse(&text) {
            prop_assert!(text.get(fault.part.clone()).is_some());
            prop_assert!(fault.message().chars().count() < 100 && !fault.message().contains('\n'));
            prop_assert!(VERBS.iter().any(|verb| fault.help().starts_with(verb)));
        }
    }

    #[test]
    fn what_is_read_is_of_a_wanted_dimension(text in scraps()) {
        for wanted in WANTED {
            if let Ok(quantity) = Quantity::parse(&text, wanted) {
                prop_assert!(wanted.is_empty() || wanted.contains(&quantity.dimension()));
            }
        }
    }

    #[test]
    fn one_number_suggested_can_be_written(text in scraps()) {
        // Where the help offers one way to write the number alone, that way is read.
        if let Err(fault) = Decimal::parse(&text)
            && let Some(number) = fault.help().strip_prefix("write `").and_then(|help| help.strip_suffix('`'))
            && !number.contains(['s', '\u{2026}'])
        {
            prop_assert!(Decimal::parse(number).is_ok(), "{}", fault.help());
        }
    }
}
