//! The units themselves: which symbols stand for which dimension, and their size in SI.

use super::decimal::Decimal;
use super::dimension::Dimension;

/// How a number in some unit becomes SI: (number·10^power)·factor + offset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Conversion {
    pub power: i32,
    pub factor: f64,
    pub offset: f64,
}

impl Conversion {
    pub const ONE: Conversion = Conversion {
        power: 0,
        factor: 1.0,
        offset: 0.0,
    };

    pub(super) fn to_si(self, number: &Decimal) -> f64 {
        let value = number.shifted(self.power) * self.factor + self.offset;
        // 12 ft are 3.6576 m, not 3.6576000000000004 m.
        let short = format!("{value:.12e}").parse().unwrap_or(value);
        let close = (short - value).abs() <= 2.0 * f64::EPSILON * value.abs();
        if self.factor != 1.0 && close {
            short
        } else {
            value
        }
    }

    fn over(self, below: Conversion) -> Conversion {
        Conversion {
            power: self.power - below.power,
            factor: self.factor / below.factor,
            offset: 0.0,
        }
    }
}

/// A symbol; `·` marks where factors join and may be left out when written.
pub(super) struct Unit {
    pub symbol: &'static str,
    conversion: Conversion,
    /// What an SI prefix is raised to: 0 takes no prefix, 2 for mm2.
    pub prefix: i32,
}

const fn si(symbol: &'static str, power: i32, prefix: i32) -> Unit {
    let conversion = Conversion {
        power,
        ..Conversion::ONE
    };
    Unit {
        symbol,
        conversion,
        prefix,
    }
}

const fn other(symbol: &'static str, factor: f64) -> Unit {
    let conversion = Conversion {
        factor,
        ..Conversion::ONE
    };
    Unit {
        symbol,
        conversion,
        prefix: 0,
    }
}

const fn scale(symbol: &'static str, factor: f64, offset: f64) -> Unit {
    let conversion = Conversion {
        power: 0,
        factor,
        offset,
    };
    Unit {
        symbol,
        conversion,
        prefix: 0,
    }
}

pub(super) const PREFIXES: [(&str, i32); 11] = [
    ("p", -12),
    ("n", -9),
    ("u", -6),
    ("m", -3),
    ("c", -2),
    ("d", -1),
    ("h", 2),
    ("k", 3),
    ("M", 6),
    ("G", 9),
    ("T", 12),
];

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
const POUND: f64 = 0.453_592_37;
const POUND_FORCE: f64 = 4.448_221_615_260_5;

const LENGTH: &[Unit] = &[
    si("m", 0, 1),
    other("in", INCH),
    other("ft", FOOT),
    other("thou", INCH / 1000.0),
];
const AREA: &[Unit] = &[
    si("m2", 0, 2),
    other("in2", INCH * INCH),
    other("ft2", FOOT * FOOT),
];
const VOLUME: &[Unit] = &[
    si("m3", 0, 3),
    si("l", -3, 1),
    si("L", -3, 1),
    other("in3", INCH * INCH * INCH),
    other("ft3", FOOT * FOOT * FOOT),
];
const MASS: &[Unit] = &[
    si("g", -3, 1),
    si("t", 3, 0),
    other("lb", POUND),
    other("oz", POUND / 16.0),
];
const TIME: &[Unit] = &[si("s", 0, 1), other("min", 60.0), other("h", 3600.0)];
const FREQUENCY: &[Unit] = &[si("Hz", 0, 1)];
const TEMPERATURE: &[Unit] = &[
    si("K", 0, 0),
    scale("deg·C", 1.0, 273.15),
    scale("deg·F", 5.0 / 9.0, 459.67 * 5.0 / 9.0),
];
const ANGLE: &[Unit] = &[si("rad", 0, 1), other("deg", std::f64::consts::PI / 180.0)];
const FORCE: &[Unit] = &[
    si("N", 0, 1),
    other("lbf", POUND_FORCE),
    other("kgf", 9.806_65),
];
const VOLTAGE: &[Unit] = &[si("V", 0, 1)];
const CURRENT: &[Unit] = &[si("A", 0, 1)];
const CAPACITANCE: &[Unit] = &[si("F", 0, 1)];
const RESISTANCE: &[Unit] = &[si("ohm", 0, 1), si("Ohm", 0, 1)];
const INDUCTANCE: &[Unit] = &[si("H", 0, 1)];
const ENERGY: &[Unit] = &[si("J", 0, 1)];
const POWER: &[Unit] = &[si("W", 0, 1)];
const CHARGE: &[Unit] = &[si("C", 0, 1)];
const KELVIN: &[Unit] = &[si("K", 0, 0)];
const MASS_KELVIN: &[Unit] = &[si("g·K", -3, 1)];
const LENGTH_KELVIN: &[Unit] = &[si("m·K", 0, 1)];
const RESISTIVITY: &[Unit] = &[si("ohm·m", 0, 1), si("ohm·cm", -2, 1), si("ohm·mm", -3, 1)];
const RESISTANCE_AREA: &[Unit] = &[si("ohm·mm2", -6, 1)];
const PRESSURE: &[Unit] = &[
    si("Pa", 0, 1),
    si("bar", 5, 1),
    other("psi", POUND_FORCE / (INCH * INCH)),
    other("ksi", 1000.0 * POUND_FORCE / (INCH * INCH)),
];
const VISCOSITY: &[Unit] = &[si("Pa·s", 0, 1), si("P", -1, 1)];
const FORCE_TIME: &[Unit] = &[si("N·s", 0, 1)];

/// Forms a unit of a dimension can take: a symbol, or one symbol over another.
pub(super) fn forms(dimension: Dimension) -> &'static [(&'static [Unit], Option<&'static [Unit]>)] {
    match dimension {
        Dimension::Number => &[],
        Dimension::Length => &[(LENGTH, None)],
        Dimension::Area => &[(AREA, None)],
        Dimension::Mass => &[(MASS, None)],
        Dimension::Time => &[(TIME, None)],
        Dimension::Frequency => &[(FREQUENCY, None)],
        Dimension::Temperature => &[(TEMPERATURE, None)],
        Dimension::Angle => &[(ANGLE, None)],
        Dimension::Force => &[(FORCE, None)],
        Dimension::SpringRate => &[(FORCE, Some(LENGTH))],
        Dimension::Voltage => &[(VOLTAGE, None)],
        Dimension::Current => &[(CURRENT, None)],
        Dimension::Capacitance => &[(CAPACITANCE, None)],
        Dimension::Resistance => &[(RESISTANCE, None)],
        Dimension::Inductance => &[(INDUCTANCE, None)],
        Dimension::Field => &[(VOLTAGE, Some(LENGTH))],
        Dimension::Density => &[(MASS, Some(VOLUME))],
        Dimension::SpecificEnergy => &[(ENERGY, Some(MASS))],
        Dimension::SpecificHeat => &[(ENERGY, Some(MASS_KELVIN))],
        Dimension::Conductivity => &[(POWER, Some(LENGTH_KELVIN))],
        Dimension::Resistivity => &[(RESISTIVITY, None), (RESISTANCE_AREA, Some(LENGTH))],
        Dimension::Pressure => &[(PRESSURE, None), (FORCE, Some(AREA))],
        Dimension::Viscosity => &[(VISCOSITY, None), (FORCE_TIME, Some(AREA))],
        Dimension::Power => &[(POWER, None)],
        Dimension::ThermalResistance => &[(KELVIN, Some(POWER))],
        Dimension::HeatCapacity => &[(ENERGY, Some(KELVIN))],
        Dimension::Erosion => &[(MASS, Some(CHARGE))],
    }
}

/// Finds what `text` stands for among the units of a dimension.
pub(super) fn find(text: &str, dimension: Dimension) -> Option<Conversion> {
    let text = plain(text)?;
    let (above, below) = match text.split_once('/') {
        Some((above, below)) => (above, Some(below.replace('/', "·"))),
        None => (text.as_str(), None),
    };
    forms(dimension)
        .iter()
        .find_map(|(numerators, denominators)| match (denominators, &below) {
            (None, None) => symbol(above, numerators),
            (Some(units), Some(below)) => {
                Some(symbol(above, numerators)?.over(symbol(below, units)?))
            }
            _ => None,
        })
}

fn symbol(text: &str, units: &[Unit]) -> Option<Conversion> {
    units.iter().find_map(|unit| {
        if same(text, unit.symbol) {
            return Some(unit.conversion);
        }
        if unit.prefix == 0 {
            return None;
        }
        PREFIXES.iter().find_map(|(prefix, power)| {
            let rest = text.strip_prefix(prefix)?;
            same(rest, unit.symbol).then(|| Conversion {
                power: unit.conversion.power + power * unit.prefix,
                ..unit.conversion
            })
        })
    })
}

/// Whether `text` spells `symbol`, with its `·` or without.
fn same(text: &str, symbol: &str) -> bool {
    text == symbol
        || (symbol.contains('·') && text.chars().eq(symbol.chars().filter(|&c| c != '·')))
}

/// One spelling for all: Ω as ohm, µ as u, ² as 2, ° as deg, products as `·`.
pub(super) fn plain(text: &str) -> Option<String> {
    const LONGEST: usize = 40;
    if text.len() > LONGEST {
        return None;
    }
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            'Ω' | '\u{2126}' => out.push_str("ohm"),
            'µ' | 'μ' => out.push('u'),
            '²' => out.push('2'),
            '³' => out.push('3'),
            '°' => out.push_str("deg"),
            '℃' => out.push_str("degC"),
            '℉' => out.push_str("degF"),
            '^' | '(' | ')' => {}
            ' ' | '*' | '·' | '⋅' | '×' | '\u{a0}' | '\u{202f}' => {
                if !out.ends_with(['·', '/']) {
                    out.push('·');
                }
            }
            '/' => {
                if out.ends_with('·') {
                    out.truncate(out.len() - '·'.len_utf8());
                }
                out.push('/');
            }
            c => out.push(c),
        }
    }
    Some(out)
}
