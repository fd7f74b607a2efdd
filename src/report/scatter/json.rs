//! A scattered weld for programs: one JSON object, SI throughout.

use serde::Serialize;
use serde_json::{Map, Value, json};

use super::words::how;
use crate::envelope;
use crate::provenance::Study;
use arcplunge_core::case::Case;
use arcplunge_core::simulation::named::FIGURES;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::intervals::{CONFIDENCE, Share};
use arcplunge_core::study::quantiles::{Quantile, RELATIVE_ERROR};
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::scatter::summary::Summary;

/// Quantiles given.
const SHARES: [f64; 9] = [0.005, 0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99, 0.995];

/// How the intervals were made, of single shots and of studs in boxes.
const SINGLE: &str = "shares: scatter of blocks of 512 shots, where 8 blocks and 10 welds tell and shots are not independent, else Wilson's score interval; quantiles: order statistics";
const BOXED: &str = "shares: scatter of whole boxes, where 8 boxes and 10 welds tell, else Wilson's score interval of as many as there are boxes; quantiles: order statistics of as many shots as they are worth by the scatter of the boxes, else of as many as there are boxes";

#[derive(Serialize)]
struct Document<'a> {
    how: String,
    shots: u64,
    no_case: u64,
    no_case_note: Option<&'a str>,
    sampling: &'static str,
    seed: u64,
    confidence: f64,
    intervals: &'static str,
    quantile_relative_error: f64,
    verdicts: Vec<VerdictRow>,
    reject: Option<Share>,
    boxes: Option<Boxes>,
    causes: Map<String, Value>,
    figures: Map<String, Value>,
    rank_correlations: Map<String, Value>,
    drawn: Vec<Drawn>,
    dependence: Option<Value>,
    case: &'a Case,
}

#[derive(Serialize)]
struct VerdictRow {
    verdict: Verdict,
    #[serde(flatten)]
    share: Share,
}

/// Welds that are not sound in a box of studs.
#[derive(Serialize)]
struct Boxes {
    size: usize,
    count: u64,
    not_sound_median: Option<u32>,
    not_sound_95: Option<u32>,
    not_sound_most: Option<u32>,
}

#[derive(Serialize)]
struct Figure {
    count: u64,
    mean: Option<f64>,
    standard_deviation: Option<f64>,
    least: Option<f64>,
    most: Option<f64>,
    quantiles: Vec<Quantile>,
}

#[derive(Serialize)]
struct Drawn {
    key: String,
    value: f64,
    unit: &'static str,
    spread: f64,
    shape: &'static str,
    limit: Option<f64>,
    below: Option<f64>,
    /// The part that a box shares.
    #[serde(skip_serializing_if = "Option::is_none")]
    batch: Option<f64>,
    own: bool,
}

/// The JSON text, with a closing line feed. Correlations are given for the figures of `show`.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(
    scatter: &Scatter,
    summary: &Summary,
    show: &[&'static str],
) -> serde_json::Result<String> {
    let verdicts = Verdict::ALL.into_iter().filter_map(|verdict| {
        let share = summary.share(verdict)?;
        Some(VerdictRow { verdict, share })
    });
    let causes = summary.causes().into_iter();
    let document = Document {
        how: how(scatter, summary),
        shots: summary.shots,
        no_case: summary.no_case,
        no_case_note: summary.no_case_why.as_deref(),
        sampling: scatter.points.sampling.name(),
        seed: scatter.points.seed,
        confidence: CONFIDENCE,
        intervals: match &summary.boxes {
            None => SINGLE,
            Some(_) => BOXED,
        },
        quantile_relative_error: RELATIVE_ERROR,
        verdicts: verdicts.collect(),
        reject: summary.reject(),
        boxes: summary.boxes.as_ref().map(|boxes| Boxes {
            size: boxes.size,
            count: boxes.count(),
            not_sound_median: boxes.quantile(0.5),
            not_sound_95: boxes.quantile(0.95),
            not_sound_most: boxes.quantile(1.0),
        }),
        causes: causes.map(|(c, n)| (c.name().into(), n.into())).collect(),
        figures: figures(summary)?,
        rank_correlations: correlations(scatter, summary, show),
        drawn: drawn(scatter),
        dependence: dependence(scatter),
        case: &scatter.base,
    };
    envelope::text(&document)
}

/// All that decides the rows of `command` on a scattered weld.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn study(command: &str, scatter: &Scatter) -> serde_json::Result<Study> {
    let points = scatter.points;
    let drawn = drawn(scatter).into_iter().map(|d| {
        let key = d.key.clone();
        Ok((key, serde_json::to_value(d)?))
    });
    let drawn: Map<String, Value> = drawn.collect::<serde_json::Result<_>>()?;
    let study = Study::new(command, &scatter.base)?;
    let study = match dependence(scatter) {
        Some(dependence) => study.with("dependence", dependence),
        None => study,
    };
    Ok(study
        .with("drawn", drawn)
        .with("sampling", points.sampling.name())
        .with("seed", points.seed)
        .with("shots", scatter.shots))
}

/// Correlations and boxes; `None` where each key scatters by itself.
fn dependence(scatter: &Scatter) -> Option<Value> {
    let dependence = scatter.dependence.as_ref()?;
    let name = |k: usize| scatter.draws[k].address().to_string();
    let pairs = dependence.pairs.iter();
    let pairs: Vec<Value> = pairs
        .map(|([i, j], c)| json!({ "keys": [name(*i), name(*j)], "coefficient": c }))
        .collect();
    Some(json!({ "correlations": pairs, "batch_size": dependence.batch_size() }))
}

fn figures(summary: &Summary) -> serde_json::Result<Map<String, Value>> {
    let mut out = Map::new();
    for (name, _) in FIGURES {
        let Some(sketch) = summary.figure(name) else {
            continue;
        };
        let figure = Figure {
            count: sketch.count(),
            mean: sketch.mean(),
            standard_deviation: sketch.deviation(),
            least: sketch.least(),
            most: sketch.most(),
            quantiles: SHARES
                .iter()
                .filter_map(|s| summary.quantile(name, *s))
                .collect(),
        };
        out.insert(name.to_string(), serde_json::to_value(figure)?);
    }
    Ok(out)
}

fn correlations(scatter: &Scatter, summary: &Summary, show: &[&'static str]) -> Map<String, Value> {
    let of = |name: &&'static str| {
        let keys = scatter.draws.iter().map(|d| d.address().to_string());
        let all = keys.zip(summary.correlations(name));
        let all: Map<String, Value> = all.map(|(k, r)| (k, r.into())).collect();
        ((*name).to_string(), Value::Object(all))
    };
    show.iter().map(of).collect()
}

fn drawn(scatter: &Scatter) -> Vec<Drawn> {
    let of = |d: &arcplunge_core::study::scatter::draw::Draw| {
        let spread = d.tolerance.spread;
        Drawn {
            key: d.address().to_string(),
            value: d.value,
            unit: d.number.dimension.si(),
            spread: spread.amount.of(d.value),
            shape: spread.shape.name(),
            limit: spread.limit.map(|limit| limit.of(d.value)),
            below: spread.below.map(|below| below.of(d.value)),
            batch: spread.batch.map(|batch| batch.of(d.value)),
            own: !d.tolerance.usual,
        }
    };
    scatter.draws.iter().map(of).collect()
}
