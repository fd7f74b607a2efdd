//! Sobol indices for programs: one JSON object.

use serde::Serialize;
use serde_json::{Map, Value};

use super::words::doubts;
use crate::envelope;
use arcplunge_core::case::Case;
use arcplunge_core::study::intervals::CONFIDENCE;
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::sensitivity::indices::{Index, REPLICATES};
use arcplunge_core::study::sensitivity::{Found, shots};

#[derive(Serialize)]
struct Document<'a> {
    samples: usize,
    shots: usize,
    sampling: &'static str,
    seed: u64,
    estimators: &'static str,
    confidence: f64,
    replicates: usize,
    figures: Map<String, Value>,
    case: &'a Case,
}

#[derive(Serialize)]
struct Figure {
    samples: usize,
    mean: Option<f64>,
    standard_deviation: Option<f64>,
    /// By key; null where the figure does not vary.
    indices: Option<Map<String, Value>>,
    interaction: Option<Index>,
    /// Samples whose shots do not all have the same value.
    samples_that_differ: usize,
    remarks: Vec<String>,
}

/// The JSON text, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(scatter: &Scatter, found: &[Found]) -> serde_json::Result<String> {
    let mut figures = Map::new();
    for f in found {
        let mut by_key = Map::new();
        let keys = f.indices.iter().flat_map(|shares| &shares.keys);
        for (draw, i) in scatter.draws.iter().zip(keys) {
            by_key.insert(draw.address().to_string(), serde_json::to_value(i)?);
        }
        let figure = Figure {
            samples: f.samples,
            mean: f.mean,
            standard_deviation: f.deviation,
            indices: f.indices.as_ref().map(|_| by_key),
            interaction: f.indices.as_ref().map(|shares| shares.interaction),
            samples_that_differ: f.differ,
            remarks: doubts(f, scatter.shots),
        };
        figures.insert(f.figure.to_string(), serde_json::to_value(figure)?);
    }
    let document = Document {
        samples: scatter.shots,
        shots: shots(scatter.shots, scatter.draws.len()),
        sampling: scatter.points.sampling.name(),
        seed: scatter.points.seed,
        estimators: "first order: Saltelli et al. (2010); total: Jansen (1999); intervals: \
                     Student's, from independent replicates",
        confidence: CONFIDENCE,
        replicates: REPLICATES,
        figures,
        case: &scatter.base,
    };
    envelope::text(&document)
}
