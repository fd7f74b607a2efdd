//! A case read, written and checked in one call each.

use std::path::Path;

use super::check::check;
use super::model::Case;
use super::{json, read, show};
use crate::error::Error;

impl Case {
    /// Reads a case file, in TOML or JSON; what it does not say is as in the demonstration case.
    ///
    /// # Errors
    /// When the file cannot be read, or with everything wrong in it, each with line and key.
    pub fn load(path: impl AsRef<Path>) -> Result<Case, Error> {
        Ok(read::read_file(path.as_ref(), &[])?.case)
    }

    /// Reads a case from the text of a case file, in TOML.
    ///
    /// ```
    /// use arcplunge_core::Case;
    ///
    /// let case = Case::from_toml("[lead]\nlength = \"12 m\"\n")?;
    /// assert_eq!(case.lead.length, 12.0);
    /// assert_eq!(Case::from_toml(&case.to_toml())?, case);
    /// # Ok::<(), arcplunge_core::Error>(())
    /// ```
    ///
    /// # Errors
    /// With everything wrong in it, each with line and key.
    pub fn from_toml(text: &str) -> Result<Case, Error> {
        Ok(read::toml_text("case", text)?.case)
    }

    /// The case as a case file, every key with its unit; it reads back the same.
    pub fn to_toml(&self) -> String {
        show::to_toml(self)
    }

    /// Reads a case from JSON: its own, or that of a shot with the case inside. Numbers are SI.
    ///
    /// ```
    /// use arcplunge_core::Case;
    ///
    /// let case = Case::default();
    /// assert_eq!(Case::from_json(&case.to_json())?, case);
    /// # Ok::<(), arcplunge_core::Error>(())
    /// ```
    ///
    /// # Errors
    /// With what is wrong, its line and key.
    pub fn from_json(text: &str) -> Result<Case, Error> {
        Ok(read::json_text("case", text)?.case)
    }

    /// The case as JSON, numbers in SI, names as in the case file.
    pub fn to_json(&self) -> String {
        json::to_json(self)
    }

    /// Changes one key, as `--set` does: `case.set("bank.voltage", "113 V")`.
    ///
    /// ```
    /// use arcplunge_core::Case;
    ///
    /// let mut case = Case::default();
    /// case.set("bank.voltage", "113 V")?;
    /// assert_eq!(case.bank.voltage, 113.0);
    /// assert!(case.set("bank.volts", "113 V").is_err());
    /// # Ok::<(), arcplunge_core::Error>(())
    /// ```
    ///
    /// # Errors
    /// When there is no such key, the value is none for it, or the case would break a rule; the case is then
    /// as it was.
    pub fn set(&mut self, key: &str, value: &str) -> Result<(), Error> {
        let text = read::Text::from_case(self);
        *self = text.read(&[format!("{key}={value}")])?.case;
        Ok(())
    }

    /// Holds the case against the bounds of its keys and the rules between them.
    ///
    /// # Errors
    /// With everything that is broken, each with its keys and values.
    pub fn check(&self) -> Result<(), Error> {
        let broken = check(self);
        if broken.is_empty() {
            return Ok(());
        }
        Err(broken.into())
    }
}
