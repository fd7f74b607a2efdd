//! Samples that are kept while they move.

use serde::{Deserialize, Serialize};

use crate::envelope;
use crate::provenance::{Study, sha256};
use arcplunge_core::study::calibrate::sampler::Way;

/// Samples on their way, and the study they belong to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    /// The study they were sampled for.
    pub study: Study,
    /// SHA-256 of the samples as compact JSON.
    pub samples_sha256: String,
    /// The samples.
    pub samples: Way,
}

fn hash(samples: &Way) -> serde_json::Result<String> {
    Ok(sha256(serde_json::to_string(samples)?.as_bytes()))
}

impl Kept {
    /// Of samples of a study.
    ///
    /// # Errors
    /// As [`Kept::text`].
    pub fn new(study: Study, samples: Way) -> serde_json::Result<Kept> {
        Ok(Kept {
            samples_sha256: hash(&samples)?,
            study,
            samples,
        })
    }

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
    /// When it is no such text, or was changed since it was written.
    pub fn read(text: &str) -> Result<Kept, String> {
        let kept: Kept = serde_json::from_str(text).map_err(|e| e.to_string())?;
        match hash(&kept.samples) {
            Ok(found) if found == kept.samples_sha256 => Ok(kept),
            _ => Err("samples_sha256 is not the hash of its samples".into()),
        }
    }
}
