//! Samples that are kept while they move, with the study they belong to.

use serde::{Deserialize, Serialize};

use crate::envelope;
use crate::provenance::Study;
use arcplunge_core::study::calibrate::sampler::Way;

/// Samples on their way, and all that decides what they are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    /// The study, without what is asked of the samples.
    pub study: Study,
    /// The samples.
    pub samples: Way,
}

impl Kept {
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
    /// When it is no such text.
    pub fn read(text: &str) -> serde_json::Result<Kept> {
        serde_json::from_str(text)
    }
}
