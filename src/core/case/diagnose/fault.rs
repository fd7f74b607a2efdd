//! What can be wrong with a case, as data; the words follow from it.

use thiserror::Error;

use crate::case::check::Broken;
use crate::case::keys::{
    self, EARTH, Hint, KeyError, Kind, METAL, MOST_EARTHS, TOLERANCE, ValueError,
};
use crate::case::slip::meant_at;
use crate::case::tolerance::{AmountError, BATCH_SIZE, OTHERS};

/// Largest case file read \[bytes\].
pub const LARGEST_FILE: u64 = 1 << 20;

/// One thing wrong with a case file or an override.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum Fault {
    /// The system does not give the file out.
    #[error("cannot read the case file: {reason}")]
    CannotRead {
        /// Why, in a few words.
        reason: String,
    },
    /// The path leads to a directory.
    #[error("this is a directory, not a case file")]
    Directory,
    /// The file is larger than [`LARGEST_FILE`].
    #[error(
        "the file is too large for a case: {size} bytes, the limit is {LARGEST_FILE} bytes (1 MiB)"
    )]
    TooLarge {
        /// Its size \[bytes\].
        size: u64,
    },
    /// A stream went on past [`LARGEST_FILE`]; how far is not known.
    #[error(
        "the file is endless or larger than {LARGEST_FILE} bytes (1 MiB), too large for a case"
    )]
    Endless,
    /// A text in another encoding.
    #[error("line {line} is not UTF-8 text; save the file as UTF-8")]
    NotUtf8 {
        /// Line of the first wrong byte, counted from 1.
        line: usize,
    },
    /// A zero byte, which no text has.
    #[error("line {line} has a zero byte; this is not a text file")]
    Binary {
        /// Line of that byte, counted from 1.
        line: usize,
    },
    /// TOML cannot make sense of it.
    #[error("this is not TOML: {message}")]
    Syntax {
        /// The parser's words, without a place.
        message: String,
    },

    /// A text whose quotes are missing.
    #[error("a text stands in quotes, and so does a quantity with its unit")]
    NoQuotes {
        /// The line as it may have been meant.
        meant: String,
    },

    /// It is not valid JSON, or not a case.
    #[error("{}{message}", at(.path))]
    Json {
        /// Key, as far as the text could be read; else empty.
        path: String,
        /// The parser's words, without a place.
        message: String,
    },

    /// A table at the top of the file that is no section.
    #[error("unknown section `[{name}]`")]
    UnknownSection {
        /// As written, cut to 60 characters.
        name: String,
        /// What may have been meant.
        hint: Hint,
    },
    /// A name that is no key where it stands.
    #[error("unknown key `{name}`{}", within(.section))]
    UnknownKey {
        /// Section or key it stands in; empty at the top of the file.
        section: String,
        /// As written, cut to 60 characters.
        name: String,
        /// What may have been meant.
        hint: Hint,
    },
    /// A section's name with something else than a table behind it.
    #[error("`{name}` is a section, not {found}")]
    NotASection {
        /// Name of the section.
        name: String,
        /// What stands there, with its article: "a number".
        found: &'static str,
    },
    /// The earth leads, or one of them, are not written as `[[earth]]`.
    #[error("`{EARTH}` is a list of leads, not {found}")]
    NotAList {
        /// What stands there, with its article.
        found: &'static str,
    },
    /// A metal's name with something else than a table behind it.
    #[error("`{METAL}.{name}` holds the figures of a metal, not {found}")]
    NotAMetal {
        /// Name of the metal, cut to 60 characters.
        name: String,
        /// What stands there, with its article.
        found: &'static str,
    },
    /// An empty list of earth leads, or more than [`MOST_EARTHS`].
    #[error("{count} earth leads; a case has 1 to {MOST_EARTHS}")]
    EarthCount {
        /// How many there would be.
        count: usize,
    },
    /// A TOML value of a kind the key does not take.
    #[error("`{path}` cannot be {found}; expected {wanted}")]
    WrongType {
        /// Full name of the key.
        path: String,
        /// What stands there, with its article.
        found: &'static str,
        /// What the key takes, with an example.
        wanted: String,
    },
    /// A bare number where a unit is needed.
    #[error("`{path}`: `{number}` has no unit; expected {wanted}")]
    NoUnit {
        /// Full name of the key.
        path: String,
        /// The number as written.
        number: String,
        /// What the key takes, with an example.
        wanted: String,
        /// The line as it may have been meant.
        suggestion: String,
    },
    /// A number in quotes where a bare one is wanted.
    #[error("`{path}` is a bare number, without quotes")]
    QuotedNumber {
        /// Full name of the key.
        path: String,
        /// The line as it may have been meant.
        suggestion: String,
    },
    /// The text is no value of this key.
    #[error("`{path}`: {error}")]
    Value {
        /// Full name of the key.
        path: String,
        /// Why it is none.
        error: ValueError,
    },
    /// A table of several parts without one that is needed.
    #[error("`{path}` needs {}", names(.missing))]
    Missing {
        /// Full name of the key the table belongs to.
        path: String,
        /// Names of the parts, without the key's.
        missing: Vec<&'static str>,
    },
    /// The size of a spread is none, or does not fit the key.
    #[error("{section} of `{path}`: {error}{}", or_none(.section, .error))]
    Amount {
        /// Section in which it stands.
        section: &'static str,
        /// Key whose spread it is.
        path: String,
        /// What is wrong with the size.
        error: AmountError,
    },
    /// An unknown shape.
    #[error("tolerance of `{path}`: {error}")]
    Shape {
        /// Key whose spread it is.
        path: String,
        /// The word, and those that are known.
        error: ValueError,
    },
    /// A truncated spread without its limit.
    #[error("tolerance of `{path}`: a truncated spread needs a `limit`, where it ends")]
    NoLimit {
        /// Key whose spread it is.
        path: String,
    },
    /// A limit on a spread that has none by its shape.
    #[error("tolerance of `{path}`: only the shape \"truncated\" takes a `limit`")]
    Limit {
        /// Key whose spread it is.
        path: String,
    },
    /// A part of a spread that boxes share, larger than the spread, or of a spread that is not normal.
    #[error("tolerance of `{path}`: {why}")]
    Batch {
        /// Key whose spread it is.
        path: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// Studs of a box that are none.
    #[error("`{TOLERANCE}.{BATCH_SIZE}` is the number of studs in a box, from 2 to a million")]
    BatchSize,
    /// A correlation that cannot be.
    #[error("correlation of {pair}: {why}")]
    Correlation {
        /// Both keys.
        pair: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// Something else than "none" for the catalogue's spreads.
    #[error(
        "`{TOLERANCE}.{OTHERS}` takes only the word \"none\", which drops the catalogue's spreads"
    )]
    Others,
    /// A metal of the user's own with figures left out.
    #[error("metal \"{metal}\" lacks {}", names(.missing))]
    MissingFigures {
        /// Name of the metal.
        metal: String,
        /// Keys of the figures, without the metal's name.
        missing: Vec<&'static str>,
    },
    /// A number given in its unit and as a mark.
    #[error("`{path}` and `{other}` set the same value; give only one of them")]
    SaidTwice {
        /// Key given later.
        path: String,
        /// Key given before.
        other: String,
    },
    /// A stud of the user's own with measures left out.
    #[error("a custom stud needs {}", names(.missing))]
    OwnSize {
        /// Keys within `[stud]`.
        missing: Vec<&'static str>,
    },
    /// An override without `=`, or with nothing before it.
    #[error("`{option}` takes KEY=VALUE, as in `{option} lead.length=12m`")]
    NotKeyValue {
        /// The option the user typed.
        option: &'static str,
    },
    /// A key that is unknown, or cannot be set in this case.
    #[error(transparent)]
    Key(#[from] KeyError),
    /// Each value is right by itself, but not together with others.
    #[error(transparent)]
    Broken(#[from] Broken),
}

fn at(path: &str) -> String {
    if path.is_empty() {
        "this is not the JSON of a case: ".to_string()
    } else {
        format!("`{path}`: ")
    }
}

fn within(section: &str) -> String {
    match section {
        "" => String::new(),
        EARTH => format!(" in `[[{EARTH}]]`"),
        _ => format!(" in `[{section}]`"),
    }
}

fn names(names: &[&str]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        Some((last, _)) => last.clone(),
        None => String::new(),
    }
}

impl Fault {
    /// A few words to stand at the caret: what was probably meant.
    pub fn label(&self) -> Option<String> {
        let name = match self {
            Fault::UnknownSection { hint, .. } | Fault::UnknownKey { hint, .. } => {
                return hint_label(hint);
            }
            // An override needs the full name.
            Fault::Key(error @ KeyError::Unknown { hint, .. }) => {
                let nearest = error.nearest();
                return hint_label(&Hint {
                    nearest,
                    ..hint.clone()
                });
            }
            Fault::NoUnit { suggestion, .. }
            | Fault::QuotedNumber { suggestion, .. }
            | Fault::NoQuotes { meant: suggestion } => {
                return Some(format!("write `{suggestion}`"));
            }
            Fault::Value {
                path,
                error: ValueError::OutOfBounds { si, .. },
            } => return Some(format!("did you mean `{}`?", meant_at(path, *si)?)),
            Fault::Value { error, .. }
            | Fault::Shape { error, .. }
            | Fault::Key(KeyError::Value { error, .. }) => error.nearest()?,
            Fault::Amount { error, .. } => error.nearest()?,
            _ => return None,
        };
        Some(format!("did you mean `{name}`?"))
    }

    /// What could be done about it.
    pub fn help(&self) -> Option<String> {
        match self {
            Fault::UnknownSection { hint, .. }
            | Fault::UnknownKey { hint, .. }
            | Fault::Key(KeyError::Unknown { hint, .. }) => hint_help(hint),
            Fault::NotAList { .. } => Some(format!(
                "write `[[{EARTH}]]` at the head of each lead, with double brackets"
            )),
            Fault::NotASection { name, .. } => Some(format!(
                "write `[{name}]` on a line of its own and its keys below"
            )),
            Fault::NotAMetal { .. } => {
                Some(format!("write `[{METAL}.\"name\"]` and the figures below"))
            }
            Fault::MissingFigures { .. } => Some(
                "give every figure, or name a metal for the missing ones: `like = \"mild steel\"`"
                    .to_string(),
            ),
            Fault::Key(KeyError::NoScale { scale, .. }) => {
                let example = keys::by_path(scale).and_then(|key| match &key.kind {
                    Kind::Scale(place) => Some(place.example()),
                    _ => None,
                });
                example.map(|example| format!("give `{scale}`, such as {example}"))
            }
            Fault::OwnSize { .. } => {
                Some("give all three, or a `size` of the catalogue".to_string())
            }
            Fault::Key(KeyError::NotANumber { path }) => keys::numeric_part(path)
                .map(|part| format!("its parts are numbers, such as `{part}`")),
            Fault::Json { path, .. } if !path.is_empty() => Some(
                "a case in JSON is whole, its numbers in SI without units, as `fire --json` writes it; a few keys \
                 with units go into a case file (TOML)"
                    .to_string(),
            ),
            Fault::NoLimit { .. } => Some(
                "as in { spread = \"0.5 deg\", shape = \"truncated\", limit = \"1 deg\" }"
                    .to_string(),
            ),
            Fault::Value { error, .. } | Fault::Key(KeyError::Value { error, .. }) => {
                error.help().map(str::to_string)
            }
            Fault::Broken(broken) => broken.help().map(str::to_string),
            _ => None,
        }
    }
}

fn hint_label(hint: &Hint) -> Option<String> {
    // A key at home in another section is told by the help line, which beats a similar name.
    if hint.instead.is_some() {
        return None;
    }
    if !hint.belongs.is_empty() {
        return Some("belongs elsewhere".to_string());
    }
    let name = hint.nearest.as_ref()?;
    Some(format!("did you mean `{name}`?"))
}

/// What else a spread of this section may be.
fn or_none(section: &str, error: &AmountError) -> &'static str {
    match error {
        AmountError::NotAboveZero { .. } if section == TOLERANCE => ", or \"none\"",
        _ => "",
    }
}

fn hint_help(hint: &Hint) -> Option<String> {
    if let Some(instead) = hint.instead {
        return Some(instead.to_string());
    }
    if hint.belongs.is_empty() {
        return None;
    }
    let quoted: Vec<String> = hint
        .belongs
        .iter()
        .map(|path| format!("`{path}`"))
        .collect();
    Some(format!("there is {}", quoted.join(" and ")))
}
