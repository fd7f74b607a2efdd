//! The range that is searched where a key is asked for, with a range or without.

use thiserror::Error;

use super::range::{REACH, around, beyond_rig, rig_limits};
use crate::case::Case;
use crate::case::keys::{KeyError, mark_of};
use crate::study::range::{Vary, VaryError, meant, turned};

/// Why a text asks for no range of a key.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum AskedError {
    /// No such key, or no number there in this case.
    #[error(transparent)]
    Key(#[from] KeyError),
    /// The range is none.
    #[error(transparent)]
    Vary(#[from] VaryError),
    /// The rig cannot be set to all of it; which, in words.
    #[error("{0}")]
    BeyondRig(&'static str),
    /// No mark of the scale is within this limit of the rig.
    #[error("the whole scale lies {0}")]
    OffScale(&'static str),
    /// A value that is not above zero says nothing of a range.
    #[error("its value is {now}; give a range to search, {key}=FROM..TO")]
    NoRange {
        /// Full name of the key.
        key: String,
        /// Its value with its unit.
        now: String,
    },
}

impl AskedError {
    /// Nearest right name, if a name is what was wrong.
    pub fn nearest(&self) -> Option<String> {
        match self {
            AskedError::Key(e) => meant(e),
            AskedError::Vary(e) => e.nearest(),
            _ => None,
        }
    }
}

/// `KEY`, searched around its present value or over its whole scale, or `KEY=FROM..TO`.
///
/// # Errors
/// When the key is none, or the rig cannot be set to the range.
pub fn asked(base: &Case, text: &str) -> Result<Vary, AskedError> {
    if text.contains('=') {
        let vary = Vary::read(base, text, 2)?;
        return match beyond_rig(base, &vary) {
            Some(why) => Err(AskedError::BeyondRig(why)),
            None => Ok(vary),
        };
    }
    let (address, number) = turned(base, text.trim())?;
    let path = address.to_string();
    if let Some((key, mark)) = mark_of(&path)
        && key.path == path
        && let Some(scale) = mark.scale(base)
    {
        let [from, to] = scale.marks();
        let [lowest, highest] = rig_limits(base, &path);
        let to = highest.map_or(to, |limit| limit.min(to));
        let from = lowest.map_or(from, |limit| limit.max(from));
        if to < from {
            return Err(AskedError::OffScale(match path.as_str() {
                "bank.voltage_mark" => "above `bank.voltage_max`, the highest voltage of the bank",
                _ => "beyond `tool.spring_min` and `tool.spring_max`, what the tool can be set to",
            }));
        }
        return Ok(Vary::over(address, number, [from, to]));
    }
    match around(base, &address, &number, REACH) {
        Some(ends) => Ok(Vary::over(address, number, ends)),
        None => Err(AskedError::NoRange {
            now: number.text(address.number(base).unwrap_or(0.0)),
            key: path,
        }),
    }
}

/// Step of a dial that suits a key \[SI\]: a mark of one that is read off a scale, or a hundredth of its present value, or of
/// the range where that is not above zero.
pub fn usual_step(base: &Case, vary: &Vary) -> f64 {
    let path = vary.address.to_string();
    let now = vary.address.number(base).map_or(0.0, f64::abs);
    match mark_of(&path) {
        Some((key, _)) if key.path == path => 1.0,
        _ if now > 0.0 => 0.01 * now,
        _ => 0.01 * (vary.to - vary.from).abs(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_alone_is_searched_around_its_value() {
        let base = Case::default();
        let voltage = asked(&base, "bank.voltage").unwrap();
        assert_eq!([voltage.from, voltage.to], [28.0, 200.0]);
        assert_eq!(usual_step(&base, &voltage), 1.12);
        let given = asked(&base, "bank.voltage=60..90V").unwrap();
        assert_eq!([given.from, given.to], [60.0, 90.0]);
        let tilt = asked(&base, "tool.tilt").unwrap_err();
        assert!(tilt.to_string().contains("tool.tilt=FROM..TO"), "{tilt}");
        let unknown = asked(&base, "bank.volage").unwrap_err();
        assert_eq!(unknown.nearest().as_deref(), Some("bank.voltage"));
    }
}
