mod random;

use super::Dimension::{self, *};
use super::{QuantityError, format, format_si, number, parse, short};

fn scale_to_si(table: &[(&str, Dimension, f64)]) {
    for &(text, dimension, si) in table {
        let value = parse(text, dimension).unwrap_or_else(|error| panic!("{text}: {error}"));
        let scale = si.abs().max(1e-300);
        assert!(
            (value - si).abs() <= 4e-16 * scale,
            "{text}: {value:e} is not {si:e}"
        );
    }
}

#[test]
fn closed_form_plain_units_scale_to_si() {
    scale_to_si(&[
        ("5 m", Length, 5.0),
        ("5m", Length, 5.0),
        ("+.5 mm", Length, 0.5e-3),
        ("5. mm", Length, 5e-3),
        ("-200 mm", Length, -0.2),
        ("−200 mm", Length, -0.2),
        ("0.75mm", Length, 0.75e-3),
        ("80 um", Length, 80e-6),
        ("80 µm", Length, 80e-6),
        ("80 μm", Length, 80e-6),
        ("8 in", Length, 8.0 * 0.0254),
        ("2 ft", Length, 0.6096),
        ("1e3 mm", Length, 1.0),
        ("1E-3m", Length, 1e-3),
        ("  5\u{a0}cm ", Length, 0.05),
        ("35 mm2", Area, 35e-6),
        ("35 mm²", Area, 35e-6),
        ("35mm^2", Area, 35e-6),
        ("1 cm2", Area, 1e-4),
        ("1 in2", Area, 6.4516e-4),
        ("72 mF", Capacitance, 72e-3),
        ("72000 uF", Capacitance, 72e-3),
        ("2 mohm", Resistance, 2e-3),
        ("2 mΩ", Resistance, 2e-3),
        ("2 m\u{2126}", Resistance, 2e-3),
        ("15 uΩ", Resistance, 15e-6),
        ("15 µΩ", Resistance, 15e-6),
        ("0.8 uH", Inductance, 0.8e-6),
        ("800 nH", Inductance, 0.8e-6),
        ("3 N/mm", SpringRate, 3000.0),
        ("3 kN / m", SpringRate, 3000.0),
        ("1 lbf/in", SpringRate, 175.126_835_246_476_37),
        ("90 deg", Angle, std::f64::consts::FRAC_PI_2),
        ("90°", Angle, std::f64::consts::FRAC_PI_2),
        ("10 mrad", Angle, 0.01),
        ("20 degC", Temperature, 293.15),
        ("20 °C", Temperature, 293.15),
        ("20℃", Temperature, 293.15),
        ("-5 deg C", Temperature, 268.15),
        ("293 K", Temperature, 293.0),
        ("68 degF", Temperature, 293.15),
        ("120 g", Mass, 0.12),
        ("0.12 kg", Mass, 0.12),
        ("1 lb", Mass, 0.453_592_37),
        ("20 lbf", Force, 88.964_432_305_21),
        ("-2 kA", Current, -2000.0),
        ("80 N", Force, 80.0),
        ("1 kV", Voltage, 1000.0),
    ]);
}

#[test]
fn closed_form_compound_units_scale_to_si() {
    scale_to_si(&[
        ("3 V/mm", Field, 3000.0),
        ("30 V/cm", Field, 3000.0),
        ("2.6e5 J/kg", SpecificEnergy, 2.6e5),
        ("260 kJ/kg", SpecificEnergy, 2.6e5),
        ("680 J/kgK", SpecificHeat, 680.0),
        ("680 J/(kg K)", SpecificHeat, 680.0),
        ("680 J/(kg·K)", SpecificHeat, 680.0),
        ("0.68 J/g/K", SpecificHeat, 680.0),
        ("33 W/mK", Conductivity, 33.0),
        ("33 W/(m·K)", Conductivity, 33.0),
        ("0.33 W/cm K", Conductivity, 33.0),
        ("1.27 uohm m", Resistivity, 1.27e-6),
        ("1.27 µΩ·m", Resistivity, 1.27e-6),
        ("127 uohm cm", Resistivity, 1.27e-6),
        ("1.27 ohm mm2/m", Resistivity, 1.27e-6),
        ("350 MPa", Pressure, 350e6),
        ("350 N/mm2", Pressure, 350e6),
        ("5.5 mPas", Viscosity, 5.5e-3),
        ("5.5 mPa s", Viscosity, 5.5e-3),
        ("5.5 cP", Viscosity, 5.5e-3),
        ("7850 kg/m3", Density, 7850.0),
        ("7.85 g/cm³", Density, 7850.0),
        ("2 ms", Time, 2e-3),
        ("1us", Time, 1e-6),
        ("0.38", Number, 0.38),
        ("3", Number, 3.0),
    ]);
}

#[test]
fn regress_powers_of_ten_are_rounded_once() {
    // 0.3 × 1e-3 in f64 is not the nearest number to 0.0003; the parsed text is.
    assert_eq!(parse("35 mm2", Area), Ok(35e-6));
    assert_eq!(parse("0.3 mm", Length), Ok(0.3e-3));
    assert_eq!(parse("1.38 uohm m", Resistivity), Ok(1.38e-6));
    assert_eq!(parse("12 ft", Length), Ok(3.6576));
    assert_eq!(parse("0.0172 uohm m", Resistivity), Ok(1.72e-8));
}

/// Texts that are no quantity of a dimension, with what is told and the unit that may have been meant.
fn told(table: &[(&str, Dimension, &str, Option<&str>)]) {
    for &(text, dimension, message, nearest) in table {
        let error = parse(text, dimension).expect_err(text);
        assert_eq!(error.to_string(), message);
        assert_eq!(error.nearest(), nearest, "{text}");
    }
}

#[test]
fn regress_a_wrong_number_is_told_with_what_is_wanted() {
    told(&[
        (
            "5",
            Length,
            "`5` has no unit; expected a length such as \"5 m\"",
            None,
        ),
        (
            "",
            Length,
            "`` is not a number with a unit; expected a length such as \"5 m\"",
            None,
        ),
        (
            "five m",
            Length,
            "`five m` is not a number with a unit; expected a length such as \"5 m\"",
            None,
        ),
        (
            "1,5 mm",
            Length,
            "`1,5 mm` has a comma; write a decimal point, as in a length such as \"5 m\"",
            None,
        ),
        (
            "1/2 in",
            Length,
            "`1/2 in` is not a number with a unit; expected a length such as \"5 m\"",
            None,
        ),
        (
            "1.2.3 m",
            Length,
            "`1.2.3 m` is not a number with a unit; expected a length such as \"5 m\"",
            None,
        ),
        ("1e400 m", Length, "`1e400 m` is too large a number", None),
        ("1e308 km", Length, "`1e308 km` is too large a number", None),
        (
            "1e99999999999999999999 m",
            Length,
            "`1e99999999999999999999 m` is too large a number",
            None,
        ),
        (
            "nan m",
            Length,
            "`nan m` is not a number with a unit; expected a length such as \"5 m\"",
            None,
        ),
        (
            "inf",
            Number,
            "`inf` is not a number; expected a bare number such as 0.38",
            None,
        ),
        (
            "-inf V",
            Voltage,
            "`-inf V` is not a number with a unit; expected a voltage such as \"112 V\"",
            None,
        ),
        (
            "NaN",
            Number,
            "`NaN` is not a number; expected a bare number such as 0.38",
            None,
        ),
    ]);
}

#[test]
fn regress_a_wrong_unit_is_told_with_what_is_wanted() {
    told(&[
        (
            "35 mm2",
            Length,
            "`mm2` is a unit of area; expected a length such as \"5 m\"",
            None,
        ),
        (
            "5 m",
            Area,
            "`m` is a unit of length; expected an area such as \"35 mm2\"",
            None,
        ),
        (
            "5 MM",
            Length,
            "unknown unit `MM`; expected a length such as \"5 m\"",
            Some("mm"),
        ),
        (
            "2 mOHM",
            Resistance,
            "unknown unit `mOHM`; expected a resistance such as \"2 mohm\"",
            Some("mohm"),
        ),
        (
            "2 moms",
            Resistance,
            "unknown unit `moms`; expected a resistance such as \"2 mohm\"",
            None,
        ),
        (
            "2 mohms",
            Resistance,
            "unknown unit `mohms`; expected a resistance such as \"2 mohm\"",
            Some("mohm"),
        ),
        (
            "20 C",
            Temperature,
            "unknown unit `C`; expected a temperature such as \"20 degC\"",
            Some("degC"),
        ),
        (
            "20 celsius",
            Temperature,
            "unknown unit `celsius`; expected a temperature such as \"20 degC\"",
            Some("degC"),
        ),
        (
            "20 lbs",
            Force,
            "unknown unit `lbs`; expected a force such as \"80 N\"",
            Some("lbf"),
        ),
        (
            "38 %",
            Number,
            "`38 %` has a unit; expected a bare number such as 0.38",
            None,
        ),
    ]);
}

#[test]
fn regress_products_and_prefixes_are_not_mixed_up() {
    // A metre-newton is no millinewton, and a millikelvin below the line is a metre-kelvin.
    assert!(matches!(
        parse("1 m N", Force),
        Err(QuantityError::UnknownUnit { .. })
    ));
    assert_eq!(parse("1 mN", Force), Ok(1e-3));
    assert_eq!(parse("1 W/mK", Conductivity), Ok(1.0));
    assert_eq!(parse("1 MN", Force), Ok(1e6));
    assert!(parse("1 Mohm", Resistance) == Ok(1e6) && parse("1 mohm", Resistance) == Ok(1e-3));
}

#[test]
fn regress_numbers_print_as_short_as_they_can() {
    let table: &[(f64, &str, Dimension, &str)] = &[
        (35e-6, "mm2", Area, "35 mm2"),
        (72e-3, "mF", Capacitance, "72 mF"),
        (0.8e-6, "uH", Inductance, "0.8 uH"),
        (-0.2, "mm", Length, "-200 mm"),
        (0.0, "mm", Length, "0 mm"),
        (3000.0, "N/mm", SpringRate, "3 N/mm"),
        (3f64.to_radians(), "deg", Angle, "3 deg"),
        (293.15, "degC", Temperature, "20 degC"),
        (1.27e-6, "uohm m", Resistivity, "1.27 uohm m"),
        (2.6e5, "J/kg", SpecificEnergy, "260000 J/kg"),
        (1e-9, "m", Length, "1e-9 m"),
        (1.0 / 3.0, "m", Length, "0.3333333333333333 m"),
    ];
    for &(value, unit, dimension, text) in table {
        assert_eq!(format(value, unit, dimension), text);
    }
    assert_eq!(format_si(0.1), "0.1");
    assert_eq!(number(1.0 / 3.0, 3), "0.333");
    assert_eq!(number(12345.6, 3), "12300");
}

#[test]
fn closed_form_short_rounds_in_the_unit() {
    let table: &[(f64, &str, Dimension, usize, &str)] = &[
        (293.1, "degC", Temperature, 4, "19.95 degC"),
        (273.15, "degC", Temperature, 4, "0 degC"),
        (253.14, "degC", Temperature, 3, "-20 degC"),
        (0.052_360_0, "deg", Angle, 4, "3 deg"),
        (0.612_345e-3, "mm", Length, 4, "0.6123 mm"),
        (72.04e-3, "mF", Capacitance, 3, "72 mF"),
        (0.381_234, "", Number, 3, "0.381"),
    ];
    for (value, unit, dimension, digits, expected) in table {
        assert_eq!(short(*value, unit, *dimension, *digits), *expected);
    }
}
