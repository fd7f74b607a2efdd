//! What can be wrong with a case, as data; the words follow from it.

use thiserror::Error;

use crate::case::check::Broken;
use crate::case::keys::{self, EARTH, Hint, KeyError, Kind, METAL, MOST_EARTHS, ValueError};
use crate::case::tolerance::{AmountError, OTHERS, TOLERANCE};

/// Largest case file read \[bytes\].
pub const LARGEST_FILE: u64 = 1 << 20;

/// One thing wrong with a case file or an override.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Fault {
    #[error("cannot read the case file: {reason}")]
    CannotRead { reason: String },
    #[error("this is a directory, not a case file")]
    Directory,
    #[error(
        "the file is too large for a case: {size} bytes, the limit is {LARGEST_FILE} bytes (1 MiB)"
    )]
    TooLarge { size: u64 },
    #[error(
        "the file is endless or larger than {LARGEST_FILE} bytes (1 MiB), too large for a case"
    )]
    Endless,
    #[error("line {line} is not UTF-8 text; save the file as UTF-8")]
    NotUtf8 { line: usize },
    #[error("line {line} holds a zero byte; this is no text file")]
    Binary { line: usize },
    /// TOML cannot make sense of it; the parser's words.
    #[error("this is not TOML: {message}")]
    Syntax { message: String },

    #[error("unknown section `[{name}]`")]
    UnknownSection { name: String, hint: Hint },
    #[error("unknown key `{name}`{}", within(.section))]
    UnknownKey {
        section: String,
        name: String,
        hint: Hint,
    },
    #[error("`{name}` is a section, not {found}")]
    NotASection { name: String, found: &'static str },
    #[error("`{EARTH}` is a list of leads, not {found}")]
    NotAList { found: &'static str },
    #[error("`{METAL}.{name}` holds the figures of a metal, not {found}")]
    NotAMetal { name: String, found: &'static str },
    #[error("{count} earth leads; a case has 1 to {MOST_EARTHS}")]
    EarthCount { count: usize },
    #[error("`{path}` cannot be {found}; wanted {wanted}")]
    WrongType {
        path: String,
        found: &'static str,
        wanted: String,
    },
    /// A bare number where a unit is needed.
    #[error("`{path}`: `{number}` has no unit; wanted {wanted}")]
    NoUnit {
        path: String,
        number: String,
        wanted: String,
        /// The line as it may have been meant.
        suggestion: String,
    },
    /// A number in quotes where a bare one is wanted.
    #[error("`{path}` is a bare number, without quotes")]
    QuotedNumber { path: String, suggestion: String },
    #[error("`{path}`: {error}")]
    Value { path: String, error: ValueError },
    #[error("`{path}` needs {}", names(.missing))]
    Missing {
        path: String,
        missing: Vec<&'static str>,
    },
    #[error("tolerance of `{path}`: {error}")]
    Amount { path: String, error: AmountError },
    #[error("tolerance of `{path}`: {error}")]
    Shape { path: String, error: ValueError },
    #[error("tolerance of `{path}`: a truncated spread needs a `limit`, where it ends")]
    NoLimit { path: String },
    #[error("tolerance of `{path}`: a `limit` belongs to the shape \"truncated\" alone")]
    Limit { path: String },
    #[error(
        "`{TOLERANCE}.{OTHERS}` takes the word \"none\" alone, which leaves out what the catalogue has"
    )]
    Others,
    #[error("metal \"{metal}\" lacks {}", names(.missing))]
    MissingFigures {
        metal: String,
        missing: Vec<&'static str>,
    },
    #[error("`{path}` and `{other}` say the same in two ways; give one of them")]
    SaidTwice { path: String, other: String },
    #[error("a stud of your own needs {}", names(.missing))]
    OwnSize { missing: Vec<&'static str> },
    #[error("`{option}` takes KEY=VALUE, as in `{option} lead.length=12m`")]
    NotKeyValue {
        /// The option the user typed.
        option: &'static str,
    },
    #[error(transparent)]
    Key(#[from] KeyError),
    #[error(transparent)]
    Broken(#[from] Broken),
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
            Fault::Key(KeyError::Unknown { hint, .. }) => return hint_label(hint),
            Fault::NoUnit { suggestion, .. } | Fault::QuotedNumber { suggestion, .. } => {
                return Some(format!("write `{suggestion}`"));
            }
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
            Fault::NotASection { name, .. } => {
                Some(format!("write `[{name}]` on a line of its own and its keys below"))
            }
            Fault::NotAMetal { .. } => {
                Some(format!("write `[{METAL}.\"name\"]` and the figures below"))
            }
            Fault::MissingFigures { .. } => Some(
                "give every figure, or name a metal to take the others from: `like = \"mild steel\"`"
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
            Fault::NoLimit { .. } => Some(
                "as in { spread = \"0.5 deg\", shape = \"truncated\", limit = \"1 deg\" }".to_string(),
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
