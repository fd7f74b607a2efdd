//! Any number, any text.

use proptest::prelude::*;

use super::super::Dimension::{self, *};
use super::super::{format, parse};

proptest! {
    #[test]
    fn regress_any_number_survives_printing_and_reading(value in proptest::num::f64::NORMAL) {
        let value = value % 1e12;
        for (unit, dimension) in [("mm2", Area), ("uohm m", Resistivity), ("N/mm", SpringRate), ("J/kgK", SpecificHeat)] {
            let text = format(value, unit, dimension);
            prop_assert_eq!(parse(&text, dimension), Ok(value), "{}", text);
        }
    }

    #[test]
    fn regress_angles_and_temperatures_survive_to_the_last_digit(value in 0.0..1000.0) {
        for (unit, dimension) in [("deg", Angle), ("degC", Temperature), ("in", Length)] {
            let text = format(value, unit, dimension);
            prop_assert_eq!(parse(&text, dimension), Ok(value), "{}", text);
        }
    }

    #[test]
    fn regress_no_text_makes_the_parser_panic(text in "\\PC{0,60}") {
        for dimension in Dimension::ALL {
            if let Ok(value) = parse(&text, dimension) {
                prop_assert!(value.is_finite());
            }
        }
    }

    #[test]
    fn regress_near_quantities_do_not_panic(text in "[-+−]?[0-9.,eE]{0,8} ?[a-zA-ZµΩ°²/·^() ]{0,12}") {
        for dimension in Dimension::ALL {
            let _ = parse(&text, dimension);
        }
    }
}
