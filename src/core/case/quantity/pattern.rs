//! What a quantity may look like, as a regular expression (ECMA-262) for editors.

use super::Dimension;
use super::unit::{PREFIXES, Unit, forms};

/// A number, as [`super::parse`] takes it.
const NUMBER: &str = r"[+\-−]?(?:\d+\.?\d*|\.\d+)(?:[eE][+\-]?\d+)?";

/// A pattern that quantities of this dimension match and others do not. It holds the usual
/// spellings of the units; [`super::parse`] takes a few more.
pub fn pattern(dimension: Dimension) -> String {
    let units: Vec<String> = forms(dimension)
        .iter()
        .map(|(above, below)| match below {
            None => any(above, " ·*"),
            Some(below) => format!(r"{} ?/ ?\(?{}\)?", any(above, " ·*"), any(below, " ·*/")),
        })
        .collect();
    match units.as_slice() {
        [] => format!(r"^\s*{NUMBER}\s*$"),
        _ => format!(r"^\s*{NUMBER}\s*(?:{})\s*$", units.join("|")),
    }
}

/// One of these units; `joints` may stand where factors join.
fn any(units: &[Unit], joints: &str) -> String {
    let prefixes: Vec<String> = PREFIXES
        .iter()
        .map(|(p, _)| p.replace('u', "[uµμ]"))
        .collect();
    let prefixes = prefixes.join("|");
    let units: Vec<String> = units
        .iter()
        .map(|unit| {
            let symbol = spelled(unit.symbol, joints);
            match unit.prefix {
                0 => symbol,
                _ => format!("(?:{prefixes})?{symbol}"),
            }
        })
        .collect();
    format!("(?:{})", units.join("|"))
}

fn spelled(symbol: &str, joints: &str) -> String {
    match symbol {
        "deg·C" => "(?:(?:deg|°) ?C|℃)".into(),
        "deg·F" => "(?:(?:deg|°) ?F|℉)".into(),
        _ => symbol
            .replace("ohm", "(?:ohm|Ω)")
            .replace("deg", "(?:deg|°)")
            .replace('2', r"(?:\^?2|²)")
            .replace('3', r"(?:\^?3|³)")
            .replace('·', &format!("[{joints}]?")),
    }
}

#[cfg(test)]
mod tests {
    use regex_lite::Regex;

    use super::*;
    use crate::case::quantity::parse;

    #[test]
    fn agrees_with_the_reader_on_every_example_and_every_other_dimension() {
        for dimension in Dimension::ALL {
            let pattern = Regex::new(&pattern(dimension)).unwrap();
            for other in Dimension::ALL {
                let text = other.example();
                let read = parse(text, dimension).is_ok();
                assert_eq!(pattern.is_match(text), read, "{dimension:?}: {text}");
            }
        }
    }

    #[test]
    fn agrees_with_the_reader_on_usual_spellings_and_slips() {
        use Dimension::{
            Angle, Area, Capacitance, Conductivity, Density, Length, Pressure, Resistance,
            Resistivity, SpecificHeat, SpringRate, Temperature, Viscosity,
        };
        for (dimension, texts) in [
            (
                Length,
                &[
                    "5m", "-200 mm", "−3 cm", "1e3 um", "2 µm", "12 ft", "5", "5 mm2", "5,1 m", "m",
                ][..],
            ),
            (Area, &["35 mm2", "35 mm²", "35mm^2", "1 ft2", "35 mm"]),
            (Resistance, &["2 mohm", "2 mΩ", "0.4 Ohm", "2 m", "2 mohms"]),
            (Capacitance, &["72 mF", "72000 uF", "72 MF", "72 mf"]),
            (Temperature, &["20 degC", "20 °C", "293 K", "68 °F", "20 C"]),
            (Angle, &["3 deg", "3°", "0.05 rad", "3 degrees"]),
            (
                SpringRate,
                &["3 N/mm", "3 N / mm", "20 lbf/in", "3 N", "3 Nmm"],
            ),
            (Density, &["7850 kg/m3", "7.85 g/cm³", "7850 kg"]),
            (
                SpecificHeat,
                &["680 J/kgK", "680 J/(kg K)", "680 J/kg/K", "680 J/kg"],
            ),
            (Conductivity, &["33 W/mK", "33 W/(m K)", "33 W/m"]),
            (
                Resistivity,
                &["0.15 uohm m", "0.15 µΩ·m", "0.15 ohm mm2/m", "0.15 uohm/m"],
            ),
            (Pressure, &["350 MPa", "350 N/mm2", "3.5 kbar", "350 Mpa"]),
            (Viscosity, &["5.5 mPas", "5.5 mPa s", "5 cP", "5.5 mPa"]),
        ] {
            let pattern = Regex::new(&pattern(dimension)).unwrap();
            for text in texts {
                let read = parse(text, dimension).is_ok();
                assert_eq!(pattern.is_match(text), read, "{dimension:?}: {text}");
            }
        }
    }
}
