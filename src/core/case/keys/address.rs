//! One value of one case by its written name: `bank.voltage`, `earth.1.clamp`, `metal.copper.density`.

use std::fmt;

use super::error::KeyError;
use super::hint::hint;
use super::key::{Key, Kind, MarkPlace, Place};
use super::list::{EARTH, METAL, by_metal_name, by_name};
use super::metal::MetalKey;
use super::number::Number;
use super::place::place;
use super::value::{Value, ValueError, unknown_metal};
use crate::case::catalogue::{self, OWN};
use crate::case::model::{Case, Metal};
use crate::case::quantity::Dimension;

/// A key with the number of its earth lead or the name of its metal filled in.
#[derive(Clone)]
pub enum Address {
    /// A key outside earth leads and metals.
    Case(&'static Key),
    /// A key of an earth lead, counted from 0.
    Earth(&'static Key, usize),
    /// A figure of the metal of this name.
    Metal(String, &'static MetalKey),
}

/// The part that is a number of a value that is none: `joints.tool.resistance` of `joints.tool`.
pub fn numeric_part(path: &str) -> Option<String> {
    let parts = ["resistance", "x", "depth"].map(|part| format!("{path}.{part}"));
    parts.into_iter().find(|part| find(part).is_ok())
}

/// The address written as `path`.
///
/// # Errors
/// When nothing has this name, with what may have been meant. Whether a case has the earth lead or the
/// metal is asked later.
pub fn find(path: &str) -> Result<Address, KeyError> {
    let unknown = |section: &str, name: &str| KeyError::Unknown {
        path: path.chars().take(80).collect(),
        hint: hint(section, name),
    };
    let Some((section, rest)) = path.split_once('.') else {
        let key = by_name("", path);
        return key.map(Address::Case).ok_or_else(|| unknown("", path));
    };
    match section {
        EARTH => {
            let (number, name) = rest.split_once('.').unwrap_or((rest, ""));
            let Ok(number) = number.parse::<usize>() else {
                return Err(KeyError::EarthNumber {
                    text: number.chars().take(40).collect(),
                });
            };
            let key = by_name(section, name).ok_or_else(|| unknown(section, name))?;
            Ok(Address::Earth(key, number))
        }
        METAL => {
            let (metal, name) = rest.rsplit_once('.').unwrap_or(("", rest));
            let metal = metal.trim_matches(['"', '\'']);
            match by_metal_name(name) {
                Some(key) if !metal.is_empty() => Ok(Address::Metal(metal.to_string(), key)),
                _ => Err(unknown(section, name)),
            }
        }
        _ => {
            let key = by_name(section, rest);
            key.map(Address::Case).ok_or_else(|| unknown(section, rest))
        }
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Address::Case(key) => f.write_str(key.path),
            Address::Earth(key, number) => write!(f, "{EARTH}.{number}.{}", key.name()),
            Address::Metal(name, key) if simple(name) => write!(f, "{METAL}.{name}.{}", key.name),
            Address::Metal(name, key) => write!(f, "{METAL}.\"{name}\".{}", key.name),
        }
    }
}

impl fmt::Debug for Address {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "Address({self})")
    }
}

impl PartialEq for Address {
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Address::Case(a), Address::Case(b)) => a.path == b.path,
            (Address::Earth(a, m), Address::Earth(b, n)) => (a.path, m) == (b.path, n),
            (Address::Metal(a, x), Address::Metal(b, y)) => (a, x.name) == (b, y.name),
            _ => false,
        }
    }
}

/// Whether a name needs no quotes in TOML.
fn simple(name: &str) -> bool {
    let plain = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    !name.is_empty() && name.chars().all(plain)
}

impl Address {
    /// Whether it stands in this section.
    pub fn is_in(&self, section: &str) -> bool {
        match self {
            Address::Metal(..) => section == METAL,
            Address::Case(key) | Address::Earth(key, _) => key.section() == section,
        }
    }

    /// The number at this address in SI; `None` for what is no number or not there.
    pub fn number(&self, case: &Case) -> Option<f64> {
        match self {
            Address::Metal(name, key) => {
                let metals = [&case.stud.metal, &case.sheet.metal];
                let metal = metals.into_iter().find(|metal| metal.name == *name)?;
                Some(*(key.field)(metal))
            }
            Address::Case(key) => place(key)?.number(case, None),
            Address::Earth(key, number) => place(key)?.number(case, Some(*number)),
        }
    }

    /// What it is in words, for an axis: "charging voltage", "length of earth lead 0".
    pub fn words(&self) -> String {
        let plain = |about: &str| about.split([';', ',']).next().unwrap_or(about).to_string();
        let of_part = |key: &Key, whole: &str| match key.about.strip_prefix("its ") {
            Some(part) if key.is_part() => format!("{} of {whole}", plain(part)),
            _ => plain(key.about),
        };
        let path = self.to_string();
        let whole = path
            .rsplit_once('.')
            .map_or(path.as_str(), |(whole, _)| whole);
        match self {
            Address::Metal(name, key) => format!("{} of {name}", plain(key.about)),
            Address::Case(key) => of_part(key, whole),
            Address::Earth(key, number) => {
                let lead = format!("earth lead {number}");
                let words = of_part(key, whole).replace("this earth lead", &lead);
                match words.contains(&lead) || words.contains(whole) {
                    true => words,
                    false => format!("{words}, {lead}"),
                }
            }
        }
    }

    /// What is known of the number here; `None` for what is no number.
    pub fn about(&self) -> Option<&'static Number> {
        match self {
            Address::Case(key) | Address::Earth(key, _) => key.number(),
            Address::Metal(_, key) => Some(&key.number),
        }
    }

    /// The number at this address \[SI\].
    ///
    /// # Errors
    /// When it is no number, or there is none in this case; says what is missing.
    pub fn number_there(&self, case: &Case) -> Result<f64, KeyError> {
        let number = self.about().ok_or_else(|| self.not_a_number())?;
        if let Some(value) = self.number(case) {
            return Ok(value);
        }
        self.set_number(&mut case.clone(), number.range.most)?;
        let path = self.to_string();
        Err(KeyError::NotSet { path })
    }

    /// What is measured here; `None` for what is no number.
    pub fn dimension(&self) -> Option<Dimension> {
        match self {
            Address::Metal(_, key) => Some(key.number.dimension),
            Address::Case(key) | Address::Earth(key, _) => key.number().map(|n| n.dimension),
        }
    }

    /// Puts a number (SI) there, checked against the key's bounds only.
    ///
    /// # Errors
    /// When the key takes no number, the value is out of bounds, or the case has no place for it.
    pub fn set_number(&self, case: &mut Case, value: f64) -> Result<(), KeyError> {
        let number = self.about().ok_or_else(|| self.not_a_number())?;
        let value = number.within(value).map_err(|error| self.wrong(error))?;
        self.put(case, Value::Number(value), &[])
    }

    /// Reads `text` as a value of this key and puts it there, checked against the key's bounds only.
    /// A metal may be one of the catalogue or one the case already has.
    ///
    /// # Errors
    /// When the text is no value of this key, or the case has no place for it.
    pub fn set_text(&self, case: &mut Case, text: &str) -> Result<(), KeyError> {
        let metals = [case.stud.metal.clone(), case.sheet.metal.clone()];
        let value = self.read(text).map_err(|error| self.wrong(error))?;
        self.put(case, value, &metals)
    }

    /// Reads the text of a value for this address.
    ///
    /// # Errors
    /// When it is no value of this key, or out of its bounds.
    pub fn read(&self, text: &str) -> Result<Value, ValueError> {
        match self {
            Address::Metal(_, key) => Ok(Value::Number(key.number.read(text)?)),
            Address::Case(key) | Address::Earth(key, _) => key.read(text),
        }
    }

    /// Puts a value there. A metal's name is looked up in `metals` first, then in the catalogue.
    ///
    /// # Errors
    /// When the value is of another kind than the key takes, the metal is unknown, the mark is off its scale,
    /// or the case lacks the earth lead, the centre mark or the scale it needs.
    pub fn put(&self, case: &mut Case, value: Value, metals: &[Metal]) -> Result<(), KeyError> {
        let (key, earth) = match self {
            Address::Metal(name, key) => return self.put_figure(case, name, key, value),
            Address::Case(key) => (*key, None),
            Address::Earth(key, number) => (*key, Some(*number)),
        };
        if let Some(number) = earth {
            let count = case.earths.len();
            if number >= count {
                return Err(KeyError::NoEarth { number, count });
            }
        }
        match (&key.kind, value) {
            (Kind::Number(_, Place::Mark(place)), Value::Number(mark)) => {
                place
                    .put(case, mark)
                    .ok_or_else(|| self.off(place, case, mark))?;
            }
            (Kind::Scale(place), Value::None) => *(place.get_mut)(case) = None,
            (Kind::Scale(place), Value::Scale(scale)) => *(place.get_mut)(case) = Some(scale),
            (Kind::Number(_, place), Value::Number(value)) => {
                let put = place.put(case, earth, value);
                put.ok_or_else(|| KeyError::NoMark {
                    path: self.to_string(),
                })?;
            }
            (Kind::Number(_, Place::Maybe(_, slot) | Place::Follows(_, _, slot)), Value::None) => {
                *slot(case) = None
            }
            (Kind::CentreMark, Value::None) => case.sheet.centre_mark = None,
            (Kind::CentreMark, Value::Number(depth)) => {
                case.sheet.centre_mark = Some(super::work::SQUARE_MARK)
                    .map(|mark| crate::case::model::CentreMark { depth, ..mark });
            }
            (Kind::Title, Value::Title(text)) => case.title = text,
            (Kind::Choice(choice), Value::Choice(index)) => (choice.put)(case, index),
            (Kind::Size, Value::Size(Some(size))) => {
                case.stud.size = size.name.clone();
                case.stud.flange = size.flange;
                case.stud.pip_diameter = size.pip_diameter;
                case.stud.pip_length = size.pip_length;
            }
            (Kind::Size, Value::Size(None)) => case.stud.size = OWN.to_string(),
            (Kind::Metal(_, metal_mut), Value::Metal(name)) => {
                let found = metals.iter().find(|metal| metal.name == name);
                let metal = found.or_else(|| called(&name, metals));
                let known = || {
                    metals
                        .iter()
                        .map(|metal| metal.name.as_str())
                        .chain(catalogue::metal_names())
                };
                let error = || self.wrong(unknown_metal(&name, known()));
                *metal_mut(case) = metal.ok_or_else(error)?.clone();
            }
            (Kind::Joint(place), Value::Joint(joint)) => {
                if let Some(slot) = place.of_mut(case, earth) {
                    *slot = joint;
                }
            }
            (Kind::Position, Value::Position(at)) => {
                if let Some(lead) = earth.and_then(|number| case.earths.get_mut(number)) {
                    lead.at = at;
                }
            }
            _ => return Err(self.not_a_number()),
        }
        Ok(())
    }

    fn put_figure(
        &self,
        case: &mut Case,
        name: &str,
        key: &MetalKey,
        value: Value,
    ) -> Result<(), KeyError> {
        let Value::Number(value) = value else {
            return Err(self.not_a_number());
        };
        let mut used = false;
        for metal in [&mut case.stud.metal, &mut case.sheet.metal] {
            if metal.name == name {
                *(key.field_mut)(metal) = value;
                used = true;
            }
        }
        let name = name.to_string();
        if used {
            Ok(())
        } else {
            Err(KeyError::UnusedMetal { name })
        }
    }

    fn off(&self, place: &MarkPlace, case: &Case, mark: f64) -> KeyError {
        let path = self.to_string();
        match place.scale(case).map(|scale| scale.marks()) {
            Some([from, to]) => KeyError::OffScale {
                path,
                mark,
                from,
                to,
            },
            None => KeyError::NoScale {
                path,
                scale: place.scale,
            },
        }
    }

    fn not_a_number(&self) -> KeyError {
        KeyError::NotANumber {
            path: self.to_string(),
        }
    }

    fn wrong(&self, error: ValueError) -> KeyError {
        KeyError::Value {
            path: self.to_string(),
            error,
        }
    }
}

/// The metal an everyday word means: of the catalogue, or what a file puts in its place. Once the file has another
/// whose name holds the word, such as a free-cutting steel, "steel" may mean either and is none.
fn called<'a>(word: &str, own: &'a [Metal]) -> Option<&'a Metal> {
    let meant = catalogue::find_metal(word)?;
    let holds = |name: &str| name.split(' ').any(|part| part.eq_ignore_ascii_case(word));
    let other = own.iter().any(|m| m.name != meant.name && holds(&m.name));
    if other && !meant.name.eq_ignore_ascii_case(word) {
        return None;
    }
    Some(own.iter().find(|m| m.name == meant.name).unwrap_or(meant))
}
