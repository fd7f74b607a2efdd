//! Faults of rig, tool and work known by name: what each changes, what is seen, what helps.

use std::sync::OnceLock;

use thiserror::Error;
use toml::{Table, Value};

use super::check::{Broken, check};
use super::joint_id::JointId;
use super::keys::{self, EARTH, KeyError, ValueError};
use super::model::{Case, Joint};
use super::quantity::{Dimension, parse, to_digits};

/// A fault known by name.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// Name as the command line takes it: `loose-clamp`.
    pub name: String,
    /// What is wrong, in a few words.
    pub about: String,
    /// What it does to a case, in order.
    pub changes: Vec<Change>,
    /// What is seen on the finished weld (common practice, no source).
    pub seen: String,
    /// What helps (common practice, no source).
    pub remedy: String,
    /// What it moves on the demonstration case.
    pub moves: Vec<Move>,
}

/// One change of a case.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// Key; `earth.*.` stands for every earth lead.
    key: String,
    how: How,
    /// As the file has it.
    pub text: String,
}

#[derive(Debug, Clone, PartialEq)]
enum How {
    Put(String),
    Times(f64),
    Plus(String),
    /// Takes the last earth lead away.
    Remove,
}

/// A figure or an element of the ledger, and which way it goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Move {
    /// Field of the figures, such as `peak_current_A`, or name of an element of the ledger.
    pub what: String,
    /// Whether it rises; it falls otherwise.
    pub rises: bool,
}

/// Why a fault cannot be had or put on.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FaultError {
    /// No fault has this name.
    #[error("unknown fault `{name}`{}", meant(.nearest))]
    Unknown {
        /// As asked for, cut to 60 characters.
        name: String,
        /// The known name closest in spelling, if one is close.
        nearest: Option<&'static str>,
    },
    /// One of its changes cannot be made in this case.
    #[error("fault `{fault}`: {error}")]
    Key {
        /// Name of the fault.
        fault: String,
        /// What stands against it.
        error: Box<KeyError>,
    },
    /// The changed case breaks rules between keys.
    #[error("fault `{fault}`: {}", sentences(.broken))]
    Broken {
        /// Name of the fault.
        fault: String,
        /// Every rule it breaks.
        broken: Vec<Broken>,
    },
    /// The one earth lead left cannot be taken away.
    #[error("fault `{fault}` removes an earth lead, but this case has only one")]
    LastEarth {
        /// Name of the fault.
        fault: String,
    },
    /// The case is as it was.
    #[error("fault `{fault}` changes nothing: this case has it already, or worse ({change})")]
    NoChange {
        /// Name of the fault.
        fault: String,
        /// Its changes as the list of faults has them, parted by commas.
        change: String,
    },
}

fn meant(nearest: &Option<&str>) -> String {
    match nearest {
        Some(name) => format!("; did you mean `{name}`?"),
        None => "; `arcplunge catalogue faults` lists them".to_string(),
    }
}

fn sentences(broken: &[Broken]) -> String {
    let all: Vec<String> = broken
        .iter()
        .map(|b| format!("{b} ({})", b.keys().join(", ")))
        .collect();
    all.join("; ")
}

/// Every fault, in the order of its file.
pub fn faults() -> &'static [Fault] {
    static FAULTS: OnceLock<Vec<Fault>> = OnceLock::new();
    FAULTS.get_or_init(|| {
        load(include_str!("faults.toml"))
            .unwrap_or_else(|what| panic!("the built-in list of faults is wrong: {what}"))
    })
}

/// The fault of this name.
///
/// # Errors
/// When there is none, with the nearest name.
pub fn find(name: &str) -> Result<&'static Fault, FaultError> {
    let found = faults().iter().find(|fault| fault.name == name);
    found.ok_or_else(|| FaultError::Unknown {
        name: name.chars().take(60).collect(),
        nearest: keys::nearest(name, faults().iter().map(|fault| fault.name.as_str())),
    })
}

/// A title that says which faults its case has.
pub fn titled(title: &str, faults: &[&Fault]) -> String {
    if faults.is_empty() {
        return title.to_string();
    }
    let about: Vec<&str> = faults.iter().map(|f| f.about.as_str()).collect();
    let space = if title.is_empty() { "" } else { "; " };
    format!("{title}{space}fault: {}", about.join("; "))
}

/// The case with these faults on top of each other, checked by the rules of any case.
///
/// # Errors
/// When a fault cannot be put on, changes nothing, or makes a case that is none.
pub fn apply(case: &Case, faults: &[&Fault]) -> Result<Case, FaultError> {
    let mut out = case.clone();
    for fault in faults {
        let before = out.clone();
        for change in &fault.changes {
            change.apply(&mut out).map_err(|error| match error {
                KeyError::NoEarth { .. } if change.how == How::Remove => FaultError::LastEarth {
                    fault: fault.name.clone(),
                },
                error => FaultError::Key {
                    fault: fault.name.clone(),
                    error: Box::new(error),
                },
            })?;
        }
        if out == before {
            let change: Vec<&str> = fault.changes.iter().map(|c| c.text.as_str()).collect();
            return Err(FaultError::NoChange {
                fault: fault.name.clone(),
                change: change.join(", "),
            });
        }
        let broken = check(&out);
        if !broken.is_empty() {
            return Err(FaultError::Broken {
                fault: fault.name.clone(),
                broken,
            });
        }
    }
    Ok(out)
}

impl Change {
    fn apply(&self, case: &mut Case) -> Result<(), KeyError> {
        if self.how == How::Remove {
            let count = case.earths.len();
            if count < 2 {
                return Err(KeyError::NoEarth { number: 0, count });
            }
            case.earths.pop();
            return Ok(());
        }
        let every = format!("{EARTH}.*.");
        match self.key.strip_prefix(&every) {
            Some(rest) => {
                for number in 0..case.earths.len() {
                    self.apply_at(case, &format!("{EARTH}.{number}.{rest}"))?;
                }
                Ok(())
            }
            None => self.apply_at(case, &self.key),
        }
    }

    fn apply_at(&self, case: &mut Case, path: &str) -> Result<(), KeyError> {
        let address = keys::find(path)?;
        let number = || {
            let path = path.to_string();
            address.number(case).ok_or(KeyError::NotSet { path })
        };
        let value = match &self.how {
            How::Put(text) => {
                let mut changed = case.clone();
                address.set_text(&mut changed, text)?;
                if !milder(case, &changed, path) {
                    *case = changed;
                }
                return Ok(());
            }
            How::Times(factor) => number()? * factor,
            How::Plus(amount) => {
                let dimension = address.dimension().ok_or_else(|| KeyError::NotANumber {
                    path: path.to_string(),
                })?;
                let amount = parse(amount, dimension).map_err(|error| KeyError::Value {
                    path: path.to_string(),
                    error: ValueError::from(error),
                })?;
                number()? + amount
            }
            How::Remove => return Ok(()),
        };
        // Angles are kept in radians, where no rounding makes them round.
        let value = match address.dimension() {
            Some(Dimension::Angle) => value,
            // 0.2 × 0.2 is 0.04, and shows so.
            _ => to_digits(value, 12),
        };
        address.set_number(case, value)
    }
}

/// Whether what `after` has at `path` is no worse than what was there: a joint of no more resistance, held by no
/// less force, a smaller number. A fault does not mend what is worse already.
fn milder(before: &Case, after: &Case, path: &str) -> bool {
    let joint = JointId::all(before.earths.len()).find(|id| id.key() == path);
    let both = |id: JointId| id.of(before).zip(id.of(after));
    if let Some((old, new)) = joint.and_then(both) {
        let force = |joint: &Joint| joint.contact().force;
        return new.resistance <= old.resistance && force(new) >= force(old);
    }
    let [old, new] = [before, after].map(|case| keys::get_number(case, path).ok());
    old.zip(new).is_some_and(|(old, new)| new <= old)
}

fn load(text: &str) -> Result<Vec<Fault>, String> {
    let file: Table = text
        .parse()
        .map_err(|error: toml::de::Error| error.to_string())?;
    let entries = file.iter().map(|(name, entry)| {
        let row = entry.as_table().ok_or(format!("{name} is no table"))?;
        fault(name, row).map_err(|what| format!("{name}: {what}"))
    });
    entries.collect()
}

fn fault(name: &str, row: &Table) -> Result<Fault, String> {
    let text = |key: &str| {
        let value = row.get(key).and_then(Value::as_str);
        value.map(str::to_string).ok_or(format!("no text {key}"))
    };
    let list = |key: &str| {
        let value = row.get(key).and_then(Value::as_array);
        let texts = value.map(|list| list.iter().filter_map(Value::as_str).collect::<Vec<_>>());
        texts
            .filter(|texts| !texts.is_empty())
            .ok_or(format!("no list {key}"))
    };
    Ok(Fault {
        name: name.to_string(),
        about: text("about")?,
        changes: list("change")?
            .into_iter()
            .map(change)
            .collect::<Result<_, _>>()?,
        seen: text("seen")?,
        remedy: text("remedy")?,
        moves: list("moves")?
            .into_iter()
            .map(moved)
            .collect::<Result<_, _>>()?,
    })
}

fn change(text: &str) -> Result<Change, String> {
    if text == "remove earth" {
        return Ok(Change {
            key: EARTH.to_string(),
            how: How::Remove,
            text: text.to_string(),
        });
    }
    let parts = ["=", "*", "+"].into_iter().find_map(|sign| {
        let (key, value) = text.split_once(&format!(" {sign} "))?;
        Some((key.trim(), sign, value.trim()))
    });
    let (key, sign, value) = parts.ok_or(format!("{text:?} is no change"))?;
    let how = match sign {
        "=" => How::Put(value.to_string()),
        "*" => How::Times(
            value
                .parse()
                .map_err(|_| format!("{value:?} is no factor"))?,
        ),
        _ => How::Plus(value.to_string()),
    };
    Ok(Change {
        key: key.to_string(),
        how,
        text: text.to_string(),
    })
}

fn moved(text: &str) -> Result<Move, String> {
    let way = |ending: &str| text.strip_suffix(ending).map(str::to_string);
    match (way(" rises"), way(" falls")) {
        (Some(what), _) => Ok(Move { what, rises: true }),
        (_, Some(what)) => Ok(Move { what, rises: false }),
        _ => Err(format!("{text:?} neither rises nor falls")),
    }
}

#[cfg(test)]
mod tests;
