//! Why a value of a case cannot be had or set.

use thiserror::Error;

use super::hint::Hint;
use super::list::by_path;
use super::value::ValueError;

/// Why a value cannot be had or set.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum KeyError {
    /// No key has this name.
    #[error("unknown key `{path}`")]
    Unknown {
        /// As asked for, cut to 80 characters.
        path: String,
        /// What may have been meant.
        hint: Hint,
    },
    /// `earth.` is followed by something else than a whole number.
    #[error(
        "`{text}` is not the number of an earth lead; they count from 0, as in `earth.0.length`"
    )]
    EarthNumber {
        /// What follows, cut to 40 characters.
        text: String,
    },
    /// The case has fewer earth leads.
    #[error("there is no earth lead {number}; there {}", leads(*.count))]
    NoEarth {
        /// The one asked for, counted from 0.
        number: usize,
        /// How many the case has.
        count: usize,
    },
    /// No number can be had or set here, or the value is of another kind than the key takes.
    #[error("`{path}` is not a number")]
    NotANumber {
        /// Full name of the key.
        path: String,
    },
    /// A part of a centre mark, where there is none.
    #[error("`{path}` is not set: there is no centre mark, give its depth first")]
    NoMark {
        /// Full name of the key.
        path: String,
    },
    /// The key may be missing from a case, and is from this one.
    #[error("`{path}` is not set")]
    NotSet {
        /// Full name of the key.
        path: String,
    },
    /// A mark, where the case has no scale to read it off.
    #[error("`{path}` needs `{scale}`: the values measured at the marks")]
    NoScale {
        /// Full name of the mark's key.
        path: String,
        /// Full name of the scale's key.
        scale: &'static str,
    },
    /// A mark beyond the ends of its scale.
    #[error("`{path}`: mark {mark} is outside the scale, {from} to {to}")]
    OffScale {
        /// Full name of the mark's key.
        path: String,
        /// The mark asked for.
        mark: f64,
        /// First mark of the scale.
        from: f64,
        /// Last mark of the scale.
        to: f64,
    },
    /// A figure of a metal the case does not use.
    #[error("neither stud nor sheet is of `{name}`")]
    UnusedMetal {
        /// Name of the metal.
        name: String,
    },
    /// The value does not fit the key.
    #[error("`{path}`: {error}")]
    Value {
        /// Full name of the key.
        path: String,
        /// Why it does not.
        error: ValueError,
    },
}

impl KeyError {
    /// The full name that was probably meant by an unknown key, by its spelling.
    pub fn nearest(&self) -> Option<String> {
        let KeyError::Unknown { path, hint } = self else {
            return None;
        };
        let name = hint.nearest.as_ref()?;
        // What is close in another section comes with it.
        let section = path.rsplit_once('.').filter(|_| by_path(name).is_none());
        Some(section.map_or(name.clone(), |(section, _)| format!("{section}.{name}")))
    }
}

/// `is 1, number 0` or `are 2, numbers 0 to 1`.
fn leads(count: usize) -> String {
    match count {
        1 => "is 1, number 0".to_string(),
        _ => format!("are {count}, numbers 0 to {}", count.saturating_sub(1)),
    }
}
