//! What a key takes, read from text.

use thiserror::Error;

use super::hint::{NO_COATINGS, nearest};
use super::key::{Key, Kind};
use super::number::Number;
use super::rig::{COORDINATE, RESISTANCE};
use super::work::MARK_DEPTH;
use crate::case::catalogue::{self, OWN, StudSize};
use crate::case::model::Joint;
use crate::case::quantity::{self, QuantityError};
use crate::case::scale::{Scale, ScaleError};

/// The word for what is not there.
pub const NONE: &str = "none";
/// Longest title \[characters\].
pub const LONGEST_TITLE: usize = 200;

/// A value read and found within its key's bounds.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// SI.
    Number(f64),
    /// The word `none`.
    None,
    /// One line of text, at most [`LONGEST_TITLE`] characters.
    Title(String),
    /// Index into the words of a choice.
    Choice(usize),
    /// A catalogue size, or `None` for the user's own.
    Size(Option<&'static StudSize>),
    /// Name of a metal, which the file may define.
    Metal(String),
    /// A preset, or the user's own.
    Joint(Joint),
    /// SI.
    Position([f64; 2]),
    /// Marks with their values in SI.
    Scale(Scale),
}

/// Why a text is no value of a key.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum ValueError {
    /// The text is no quantity of the key's dimension.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
    /// Outside the key's bounds; both in words.
    #[error("{value} is out of bounds; allowed is {bounds}")]
    OutOfBounds {
        /// The number \[SI\].
        si: f64,
        /// The number with its customary unit.
        value: String,
        /// Bounds in words: `from 0.1 m to 200 m`.
        bounds: String,
    },
    /// An unknown name.
    #[error("unknown {what} `{word}`; expected {wanted}")]
    UnknownName {
        /// As written, cut to 60 characters.
        word: String,
        /// What a name is wanted for: `metal`, `stud size`.
        what: &'static str,
        /// The known names in words.
        wanted: String,
        /// The known name closest in spelling, if one is close.
        nearest: Option<String>,
    },
    /// A title longer than [`LONGEST_TITLE`].
    #[error("a title has at most {LONGEST_TITLE} characters, this one has {length}")]
    LongTitle {
        /// Its length \[characters\].
        length: usize,
    },
    /// A line break or another control character in a title.
    #[error("a title is one line of text")]
    ControlInTitle,
    /// A metal's name that would spoil the results that show it.
    #[error("a metal's name has 1 to 60 characters, without quotes, backslashes or line breaks")]
    MetalName,
    /// A place with more or fewer than two coordinates.
    #[error("expected two lengths, such as [\"-200 mm\", \"0 mm\"]; found {found}")]
    NotTwo {
        /// How many were given.
        found: usize,
    },
    /// No list of marks and values; with what is wanted, in words.
    #[error("expected {0}")]
    NotPairs(String),
    /// Pairs that make no scale.
    #[error(transparent)]
    Scale(#[from] ScaleError),
}

impl ValueError {
    /// What was probably meant.
    pub fn nearest(&self) -> Option<&str> {
        match self {
            ValueError::Quantity(error) => error.nearest(),
            ValueError::UnknownName { nearest, .. } => nearest.as_deref(),
            _ => None,
        }
    }
}

/// Words for a sheet that is coated, which no metal of the catalogue is.
const COATED: [&str; 8] = [
    "galvan", "zinc", "coated", "painted", "plated", "tinned", "primed", "anodi",
];

impl ValueError {
    /// What could be done about it.
    pub fn help(&self) -> Option<&'static str> {
        let ValueError::UnknownName { word, what, .. } = self else {
            return None;
        };
        let word = word.to_lowercase();
        let coated = *what == "metal" && COATED.iter().any(|coat| word.contains(coat));
        coated.then_some(NO_COATINGS)
    }
}

impl Number {
    /// Reads a quantity, or a bare number where that is wanted, and checks its bounds.
    ///
    /// # Errors
    /// When the text is no quantity of this dimension, or out of bounds.
    pub fn read(&self, text: &str) -> Result<f64, ValueError> {
        self.within(quantity::parse(text, self.dimension)?)
    }

    /// `value` (SI), if it is within bounds.
    ///
    /// # Errors
    /// When it is not; the error tells value and bounds.
    pub fn within(&self, value: f64) -> Result<f64, ValueError> {
        if self.range.holds(value) {
            // A zero has no sign here: -0 would show as a different case.
            return Ok(value + 0.0);
        }
        Err(ValueError::OutOfBounds {
            si: value,
            value: self.text(value),
            bounds: self.bounds(),
        })
    }
}

impl Key {
    /// Reads the text of this key's value.
    ///
    /// # Errors
    /// When it is none, is out of bounds, or names what the catalogue lacks. A metal's name is not looked up
    /// here; a scale is no text and always refused.
    pub fn read(&self, text: &str) -> Result<Value, ValueError> {
        if self.may_be_none() && text == NONE {
            return Ok(Value::None);
        }
        match &self.kind {
            Kind::Number(number, _) => Ok(Value::Number(number.read(text)?)),
            Kind::Title => title(text),
            Kind::Choice(choice) => {
                let found = choice.words.iter().position(|word| *word == text);
                let error = || unknown(text, "word", choice.words.iter().copied(), "");
                found.map(Value::Choice).ok_or_else(error)
            }
            Kind::Size => {
                let found = catalogue::find_stud(text);
                if found.is_none() && text != OWN {
                    let names = catalogue::stud_names().into_iter().chain([OWN]);
                    return Err(unknown(text, "stud size", names, ""));
                }
                Ok(Value::Size(found))
            }
            Kind::Metal(..) => Ok(Value::Metal(text.to_string())),
            Kind::Joint(_) => joint(text),
            Kind::Position => {
                let parts: Vec<&str> = text.split(',').collect();
                self.read_position(&parts)
            }
            Kind::CentreMark => Ok(Value::Number(MARK_DEPTH.read(text)?)),
            Kind::Scale(_) => Err(ValueError::NotPairs(self.wanted())),
        }
    }

    /// Reads the two coordinates of a clamp.
    ///
    /// # Errors
    /// When there are not two, or one is no length within its bounds.
    pub fn read_position(&self, parts: &[&str]) -> Result<Value, ValueError> {
        match parts {
            [x, y] => Ok(Value::Position([COORDINATE.read(x)?, COORDINATE.read(y)?])),
            _ => Err(ValueError::NotTwo { found: parts.len() }),
        }
    }

    /// What this key takes, for messages.
    pub fn wanted(&self) -> String {
        let plain = match &self.kind {
            Kind::Number(number, _) => number.dimension.with_example(),
            Kind::Title => "a text in quotes".to_string(),
            Kind::Choice(choice) => list(choice.words.iter().copied()),
            Kind::Size => format!(
                "a stud size: {}",
                list(catalogue::stud_names().into_iter().chain([OWN]))
            ),
            Kind::Metal(..) => format!("a metal: {}", list(catalogue::metal_names())),
            Kind::Joint(_) => format!(
                "{}, a resistance, or {{ resistance = \"0.5 mohm\", force = \"20 N\" }}",
                list(catalogue::joint_names())
            ),
            Kind::Position => "two lengths, such as [\"-200 mm\", \"0 mm\"]".to_string(),
            Kind::Scale(place) => format!(
                "pairs of mark and {}, such as {}",
                place.number.dimension.name(),
                place.example()
            ),
            Kind::CentreMark => "{ depth = \"0.7 mm\", angle = \"90 deg\" }".to_string(),
        };
        if self.may_be_none() {
            format!("{plain}, or \"{NONE}\"")
        } else {
            plain
        }
    }
}

fn title(text: &str) -> Result<Value, ValueError> {
    let length = text.chars().count();
    if length > LONGEST_TITLE {
        return Err(ValueError::LongTitle { length });
    }
    if text.chars().any(char::is_control) {
        return Err(ValueError::ControlInTitle);
    }
    Ok(Value::Title(text.to_string()))
}

fn joint(text: &str) -> Result<Value, ValueError> {
    if let Some(joint) = catalogue::find_joint(text) {
        return Ok(Value::Joint(joint.clone()));
    }
    if !text.starts_with(|c: char| c.is_ascii_digit() || "+-.−".contains(c)) {
        return Err(unknown(
            text,
            "joint",
            catalogue::joint_names(),
            ", or a resistance such as \"2 mohm\"",
        ));
    }
    let resistance = RESISTANCE.read(text)?;
    Ok(Value::Joint(Joint::of_resistance(resistance)))
}

/// An unknown name, with the known ones and the one it is close to.
pub fn unknown<'a>(
    word: &str,
    what: &'static str,
    known: impl IntoIterator<Item = &'a str>,
    or: &str,
) -> ValueError {
    let known: Vec<&str> = known.into_iter().collect();
    ValueError::UnknownName {
        word: word.chars().take(60).collect(),
        what,
        wanted: list(known.iter().copied()) + or,
        nearest: nearest(word, known).map(str::to_string),
    }
}

/// An unknown metal, with those known; what the trade calls one is close as well.
pub fn unknown_metal<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> ValueError {
    let known: Vec<&str> = known.into_iter().collect();
    let aliases = known.iter().flat_map(|metal| catalogue::aliases(metal));
    let close = nearest(word, known.iter().copied().chain(aliases)).map(str::to_string);
    match unknown(word, "metal", known, "") {
        ValueError::UnknownName {
            word,
            what,
            wanted,
            nearest,
        } => ValueError::UnknownName {
            word,
            what,
            wanted,
            nearest: nearest.or(close),
        },
        other => other,
    }
}

/// `a, b or c`, each quoted.
fn list<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let words: Vec<String> = words
        .into_iter()
        .map(|word| format!("\"{word}\""))
        .collect();
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        Some((last, _)) => last.clone(),
        None => String::new(),
    }
}
