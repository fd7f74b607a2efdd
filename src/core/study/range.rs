//! One key that takes several values: `bank.voltage=60..140 V/41`.

use thiserror::Error;

use crate::case::Case;
use crate::case::keys::{Address, KeyError, Number, find, mark_of, numeric_part};

/// Values of a key when none are asked for.
pub const USUAL: usize = 41;

/// Most values of one key.
pub const MOST: usize = 1_000_000;

/// A key and the evenly spaced values it takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Vary {
    /// Where its value stands in a case.
    pub address: Address,
    /// What is known of the number: unit and bounds.
    pub number: Number,
    /// First value \[SI\].
    pub from: f64,
    /// Last value \[SI\].
    pub to: f64,
    /// How many, both ends included.
    pub count: usize,
}

/// What people write between the ends of a range in place of two dots.
const BETWEEN: [&str; 8] = ["...", "-", "–", "—", "…", ":", " to ", ","];

/// Why a text names no values of a key.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum VaryError {
    /// The text has another form; as written, cut to 80 characters.
    #[error("`{0}`: write KEY=FROM..TO/N, as in bank.voltage=60..140V/41")]
    Form(String),
    /// No such key, no number there in this case, or a value the key does not take.
    #[error("{0}")]
    Key(#[from] KeyError),
    /// Fewer than 2 values, or more than [`MOST`]; the number as written.
    #[error("`{0}`: the number of values goes from 2 to a million")]
    Count(String),
    /// A range without width; as written.
    #[error("`{0}`: both ends are the same")]
    Empty(String),
}

impl VaryError {
    /// Nearest right name, if a name is what was wrong.
    pub fn nearest(&self) -> Option<String> {
        match self {
            VaryError::Form(text) => dotted(text),
            VaryError::Key(KeyError::NotANumber { path }) => numeric_part(path),
            VaryError::Key(e) => meant(e),
            _ => None,
        }
    }
}

/// A range with the two dots it was probably meant to have: `40-160V`, `40 to 160V`.
pub fn dotted(text: &str) -> Option<String> {
    let (key, values) = text
        .rsplit_once('=')
        .map_or(("", text), |(key, v)| (key, v));
    BETWEEN.into_iter().find_map(|sign| {
        // The sign of the first number stays with it.
        let first = values.chars().next()?.len_utf8();
        let at = first + values.get(first..)?.find(sign)?;
        let (from, to) = (values[..at].trim(), values[at + sign.len()..].trim());
        let is_number =
            |text: &str| text.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c));
        let equals = if key.is_empty() { "" } else { "=" };
        (is_number(from) && is_number(to)).then(|| format!("{key}{equals}{from}..{to}"))
    })
}

/// The full name that was probably meant by an unknown key.
pub fn meant(error: &KeyError) -> Option<String> {
    let KeyError::Unknown { hint, .. } = error else {
        return None;
    };
    error.nearest().or_else(|| hint.belongs.first().cloned())
}

/// A key that holds a number in this case, by name.
///
/// # Errors
/// When there is no such key, or it holds no number here.
pub fn turned(case: &Case, path: &str) -> Result<(Address, Number), KeyError> {
    let address = find(path)?;
    if let Some((key, mark)) = mark_of(&address.to_string())
        && key.path == address.to_string()
        && mark.scale(case).is_some()
        && let Some(number) = address.about()
    {
        // The present value may be outside the scale.
        return Ok((address, *number));
    }
    let value = address.number_there(case)?;
    address.set_number(&mut case.clone(), value)?;
    let path = address.to_string();
    let number = address.about().ok_or(KeyError::NotANumber { path })?;
    Ok((address, *number))
}

impl Vary {
    /// Both ends of a range \[SI\].
    pub fn over(address: Address, number: Number, [from, to]: [f64; 2]) -> Vary {
        Vary {
            address,
            number,
            from,
            to,
            count: 2,
        }
    }

    /// Reads `KEY=FROM..TO` or `KEY=FROM..TO/N`; a unit on the second end serves both.
    ///
    /// # Errors
    /// When the text has another form, or the key or a value is wrong.
    pub fn read(case: &Case, text: &str, usual: usize) -> Result<Vary, VaryError> {
        let form = || VaryError::Form(text.chars().take(80).collect());
        let (path, values) = text.split_once('=').ok_or_else(form)?;
        let (address, number) = turned(case, path.trim())?;
        let (values, count) = match values.rsplit_once('/') {
            Some((values, count)) if count.trim().chars().all(|c| c.is_ascii_digit()) => {
                let n = count.trim().parse().unwrap_or(0);
                if !(2..=MOST).contains(&n) {
                    return Err(VaryError::Count(count.trim().to_string()));
                }
                (values, n)
            }
            _ => (values, usual),
        };
        let (from, to) = values.split_once("..").ok_or_else(form)?;
        let (from, to) = (from.trim(), to.trim());
        let read = |text: &str| {
            number.read(text).map_err(|error| KeyError::Value {
                path: address.to_string(),
                error,
            })
        };
        let end = read(to)?;
        let unit = to.trim_start_matches(|c: char| c.is_ascii_digit() || "+-.".contains(c));
        let bare = from.parse::<f64>().is_ok() && to.parse::<f64>().is_err();
        let start = if bare {
            read(&format!("{from} {}", unit.trim()))?
        } else {
            read(from)?
        };
        if start == end {
            return Err(VaryError::Empty(values.to_string()));
        }
        Ok(Vary {
            address,
            number,
            from: start,
            to: end,
            count,
        })
    }

    /// The value number `k` \[SI\].
    pub fn value(&self, k: usize) -> f64 {
        if k + 1 == self.count {
            self.to
        } else {
            self.from + (self.to - self.from) * (k as f64 / (self.count - 1) as f64)
        }
    }

    /// `value` as people read it: four significant digits in its own unit.
    pub fn short(&self, value: f64) -> String {
        self.number.short(value, 4)
    }

    /// `value` as a case file writes it.
    pub fn text(&self, value: f64) -> String {
        self.number.text(value)
    }

    /// Its column's name in a file of SI values: `bank.voltage_V`.
    pub fn column(&self) -> String {
        column(&self.address, &self.number)
    }
}

/// The name of a key's column in a file of SI values: `bank.voltage_V`.
pub fn column(address: &Address, number: &Number) -> String {
    match number.dimension.si() {
        "" => address.to_string(),
        unit => format!("{address}_{unit}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Vary, VaryError> {
        Vary::read(&Case::default(), text, USUAL)
    }

    #[test]
    fn a_range_has_both_its_ends_and_even_steps() {
        let v = read("bank.voltage=60..140 V/41").unwrap();
        assert_eq!((v.value(0), v.value(1), v.value(40)), (60.0, 62.0, 140.0));
        assert_eq!(v.column(), "bank.voltage_V");
        assert_eq!(read("bank.voltage=0.06kV..140V").unwrap().count, USUAL);
        assert_eq!(
            read("arc.to_stud=0.3..0.4/3").unwrap().column(),
            "arc.to_stud"
        );
        assert_eq!(read("tool.spring_rate=1..3 N/mm/5").unwrap().count, 5);
        assert_eq!(
            read("tool.spring_rate=1 N/mm..3 N/mm").unwrap().count,
            USUAL
        );
    }

    #[test]
    fn a_wrong_range_says_why() {
        for (text, word) in [
            ("bank.voltage", "FROM..TO"),
            ("bank.voltage=60", "FROM..TO"),
            ("bank.volts=1..2V", "unknown key"),
            ("bank.voltage=60..140", "unit"),
            ("bank.voltage=60..140V/1", "2 to a million"),
            ("bank.voltage=60..60V", "the same"),
            ("bank.voltage=60..14000V", "bank.voltage"),
            ("stud.size=M3..M8", "not a number"),
            ("earth.7.length=1..2m", "no earth lead"),
            ("stud.short_resistance=1..2 mohm", "not set"),
        ] {
            let said = read(text).unwrap_err().to_string();
            assert!(said.contains(word), "{text}: {said}");
        }
        let error = read("joints.tool=0..2mohm/3").unwrap_err();
        assert!(error.to_string().contains("not a number"), "{error}");
        assert_eq!(error.nearest().as_deref(), Some("joints.tool.resistance"));
        assert_eq!(read("stud.size=M3..M8").unwrap_err().nearest(), None);
    }

    #[test]
    fn other_signs_between_the_ends_are_understood() {
        for (text, meant) in [
            ("bank.voltage=40-160V", "bank.voltage=40..160V"),
            ("bank.voltage=40 V – 160 V", "bank.voltage=40 V..160 V"),
            ("bank.voltage=40 to 160V/9", "bank.voltage=40..160V/9"),
            ("earth.0.at.x=-40--10mm", "earth.0.at.x=-40..-10mm"),
        ] {
            assert_eq!(read(text).unwrap_err().nearest().as_deref(), Some(meant));
            assert!(read(meant).is_ok());
        }
        assert_eq!(dotted("40-160V").as_deref(), Some("40..160V"));
        for text in ["bank.voltage=60", "bank.voltage=-60V", "bank.voltage=a-b"] {
            assert_eq!(dotted(text), None, "{text}");
        }
    }

    #[test]
    fn values_are_shown_to_four_digits() {
        let v = read("stud.cone=6..7.1 deg/4").unwrap();
        assert_eq!(v.short(v.value(2)), "6.733 deg");
        assert_eq!(v.short(v.value(0)), "6 deg");
        assert_eq!(
            read("arc.to_stud=0.3..0.4/4").unwrap().short(1.0 / 3.0),
            "0.3333"
        );
    }
}
