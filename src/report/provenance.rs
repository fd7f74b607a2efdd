//! Where a table comes from: the study behind it, told beside it and compared when its rows are gone on with.

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use sha2::{Digest, Sha256};

use crate::envelope;
use arcplunge_core::case::Case;

/// All that decides what the rows of a table hold: version, command, case, and what the command adds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Study(Map<String, Value>);

/// What stands beside a table in FILE.meta.json.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Meta {
    /// SHA-256 of `study` as compact JSON.
    pub study_sha256: String,
    /// SHA-256 of the table's bytes; `None` while rows are still to come.
    pub csv_sha256: Option<String>,
    /// Seed of the random numbers, where there are any.
    pub seed: Option<u64>,
    /// The part of the study, as in `2/4`; `None` for the whole.
    pub part: Option<String>,
    /// The study.
    pub study: Study,
}

impl Study {
    /// The study of a command on a case.
    ///
    /// # Errors
    /// When a number cannot be written, which finite figures never bring about.
    pub fn new(command: &str, case: &Case) -> serde_json::Result<Study> {
        let mut all = Map::new();
        all.insert("version".into(), env!("CARGO_PKG_VERSION").into());
        all.insert("command".into(), command.into());
        all.insert("case".into(), serde_json::to_value(case)?);
        Ok(Study(all))
    }

    /// The study with one more thing that decides its rows.
    #[must_use]
    pub fn with(mut self, key: &str, value: impl Into<Value>) -> Study {
        self.0.insert(key.into(), value.into());
        self
    }

    /// SHA-256 of the study as compact JSON, in hexadecimal digits.
    pub fn hash(&self) -> String {
        sha256(Value::Object(self.0.clone()).to_string().as_bytes())
    }

    /// What stands beside its table, or beside `part` of it.
    pub fn meta(&self, part: Option<String>) -> Meta {
        Meta {
            study_sha256: self.hash(),
            csv_sha256: None,
            seed: self.0.get("seed").and_then(Value::as_u64),
            part,
            study: self.clone(),
        }
    }

    /// What another study has differently, key by key with both values, but for the keys of `free` and what is under them.
    pub fn differences(&self, other: &Study, free: &[&str]) -> Vec<Difference> {
        let mut found = Vec::new();
        let (a, b) = (self.0.clone().into(), other.0.clone().into());
        differ("", Some(&a), Some(&b), &mut found);
        let under = |key: &str, free: &str| {
            let rest = key.strip_prefix(free);
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
        };
        found.retain(|d| !free.iter().any(|free| under(&d.key, free)));
        found
    }
}

/// A key in which two studies differ; a value is `None` where only the other has one.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// Path of the key, without the `case.` of the keys of a case file.
    pub key: String,
    /// Value of the first study.
    pub old: Option<Value>,
    /// Value of the second.
    pub new: Option<Value>,
}

impl std::fmt::Display for Difference {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        let say = |value: &Option<Value>| value.as_ref().map_or("none".into(), Value::to_string);
        let (old, new) = (say(&self.old), say(&self.new));
        write!(f, "{}: {old} there, {new} now", self.key)
    }
}

/// Collects the leaves in which two values differ. A key without a value equals one that is null.
fn differ(path: &str, a: Option<&Value>, b: Option<&Value>, found: &mut Vec<Difference>) {
    let under = |name: &str| match path {
        "" | "case" => name.to_string(),
        _ => format!("{path}.{name}"),
    };
    match (a, b) {
        (Some(Value::Object(x)), Some(Value::Object(y))) => {
            let added = y.keys().filter(|key| !x.contains_key(*key));
            for key in x.keys().chain(added) {
                differ(&under(key), x.get(key), y.get(key), found);
            }
        }
        (Some(Value::Array(x)), Some(Value::Array(y))) => {
            for k in 0..x.len().max(y.len()) {
                differ(&under(&k.to_string()), x.get(k), y.get(k), found);
            }
        }
        (a, b) if a.unwrap_or(&Value::Null) == b.unwrap_or(&Value::Null) => {}
        (a, b) => found.push(Difference {
            key: path.to_string(),
            old: a.cloned(),
            new: b.cloned(),
        }),
    }
}

impl Meta {
    /// The JSON text, with a closing line feed.
    ///
    /// # Errors
    /// When a number cannot be written, which finite figures never bring about.
    pub fn text(&self) -> serde_json::Result<String> {
        envelope::text(self)
    }

    /// Reads a text back.
    ///
    /// # Errors
    /// When it is no such text, or its study is not the one its hash was taken of.
    pub fn read(text: &str) -> Result<Meta, String> {
        let meta: Meta = serde_json::from_str(text).map_err(|e| e.to_string())?;
        if meta.study.hash() == meta.study_sha256 {
            Ok(meta)
        } else {
            Err("study_sha256 is not the hash of its study".into())
        }
    }
}

/// SHA-256 (FIPS 180-4) of bytes that come piece by piece.
#[derive(Debug, Default)]
pub struct Hash(Sha256);

impl Hash {
    /// Takes the next bytes.
    pub fn update(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    /// The hash in hexadecimal digits.
    pub fn digits(self) -> String {
        let bytes = self.0.finalize();
        bytes.iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

/// SHA-256 in hexadecimal digits.
pub fn sha256(bytes: &[u8]) -> String {
    let mut hash = Hash::default();
    hash.update(bytes);
    hash.digits()
}

/// SHA-256 of all that a reader gives.
///
/// # Errors
/// When it cannot be read.
pub fn sha256_of(mut from: impl std::io::Read) -> std::io::Result<String> {
    let mut hash = Hash::default();
    let mut block = vec![0; 1 << 16];
    loop {
        match from.read(&mut block)? {
            0 => return Ok(hash.digits()),
            n => hash.update(&block[..n]),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_hashes() {
        // FIPS 180-2, appendix B.1; the empty text as sha256sum has it.
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        let empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
        assert_eq!(
            (sha256(b"abc").as_str(), sha256(b"").as_str()),
            (abc, empty)
        );
        assert_eq!(sha256_of(&b"abc"[..]).unwrap(), abc);
    }

    #[test]
    fn a_study_reads_back_and_tells_what_differs() {
        let mut case = Case::default();
        let one = Study::new("scatter", &case).unwrap().with("seed", 1);
        let meta = one.meta(None);
        assert_eq!(Meta::read(&meta.text().unwrap()).unwrap(), meta);
        case.model.hot_share *= 1.5;
        let other = Study::new("scatter", &case).unwrap().with("seed", 2);
        let found = one.differences(&other, &[]);
        let keys: Vec<&str> = found.iter().map(|d| d.key.as_str()).collect();
        assert_eq!(keys, ["model.hot_share", "seed"]);
        assert_eq!(one.differences(&other, &["seed"]).len(), 1);
        let [one, other] = ["a", "b"].map(|key| one.clone().with("vary", vec![key]));
        assert_eq!(one.differences(&other, &["vary"]), []);
        assert_eq!(one.differences(&other, &["var"]).len(), 1);
        let text = meta.text().unwrap().replace("scatter", "sweep");
        assert!(Meta::read(&text).is_err());
    }
}
