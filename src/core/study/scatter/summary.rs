//! What many shots amount to: shares of the verdicts, quantiles of the figures, and which keys the
//! figures move with.

use std::collections::BTreeMap;

use super::Scatter;
use super::blocks::Blocks;
use super::boxes::Boxes;
use crate::simulation::named::FIGURES;
use crate::simulation::verdict::{Cause, Verdict};
use crate::study::intervals::Share;
use crate::study::points::Sampling;
use crate::study::quantiles::{Quantile, RELATIVE_ERROR, Sketch};

/// Number of figures.
const NUMBER: usize = FIGURES.len();

/// Shots kept one by one for pictures and correlations; the first ones, which Sobol points and
/// independent ones alike spread over the whole study.
pub const KEPT: usize = 20_000;

/// A shot as its row tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// Values of the drawn keys \[SI\].
    pub values: Vec<f64>,
    /// Figures \[SI\], in the order of [`FIGURES`].
    pub figures: [Option<f64>; NUMBER],
    /// `None` without a shot, and for a discharge test.
    pub verdict: Option<Verdict>,
    /// What decided the verdict; `None` without a shot.
    pub cause: Option<Cause>,
    /// Why there is no shot.
    pub note: Option<String>,
}

/// All shots so far.
#[derive(Clone)]
pub struct Summary {
    /// Shots fired.
    pub shots: u64,
    /// Samples that are not valid cases.
    pub no_case: u64,
    /// Why the first of them makes none.
    pub no_case_why: Option<String>,
    counts: [u64; Verdict::ALL.len()],
    causes: BTreeMap<Cause, u64>,
    figures: [Sketch; NUMBER],
    /// The first shots.
    pub kept: Vec<Taken>,
    /// Which sample each of them is, counted from 0.
    places: Vec<u64>,
    /// Verdict by verdict, and all that are not sound, where shots are not independent of each other.
    blocks: Option<[Blocks; Verdict::ALL.len() + 1]>,
    /// Box by box, where studs of a box share something.
    pub boxes: Option<Boxes>,
}

impl Default for Summary {
    fn default() -> Self {
        Summary {
            shots: 0,
            no_case: 0,
            no_case_why: None,
            counts: [0; Verdict::ALL.len()],
            causes: BTreeMap::new(),
            figures: std::array::from_fn(|_| Sketch::default()),
            kept: Vec::new(),
            places: Vec::new(),
            blocks: None,
            boxes: None,
        }
    }
}

impl Summary {
    /// Of a study: its shots may be of studs in boxes, and may not be independent of each other.
    pub fn of(scatter: &Scatter) -> Self {
        let boxes = scatter.batch_size().map(Boxes::new);
        let independent = scatter.points.sampling == Sampling::Random && boxes.is_none();
        Summary {
            boxes,
            blocks: (!independent)
                .then(|| std::array::from_fn(|_| Blocks::new(scatter.batch_size()))),
            ..Summary::default()
        }
    }

    /// Counts a shot, or a sample that is not a valid case.
    pub fn take(&mut self, taken: Taken) {
        if let Some(boxes) = &mut self.boxes {
            boxes.take(
                taken
                    .verdict
                    .is_none_or(|verdict| verdict == Verdict::Sound),
            );
        }
        let verdict = Verdict::ALL.iter().position(|v| Some(*v) == taken.verdict);
        for (k, blocks) in self.blocks.iter_mut().flatten().enumerate() {
            let bad = k == Verdict::ALL.len() && taken.verdict != Some(Verdict::Sound);
            blocks.take(verdict.map(|at| k == at || bad));
        }
        let place = self.shots + self.no_case;
        if let Some(note) = taken.note {
            self.no_case += 1;
            self.no_case_why.get_or_insert(note);
            return;
        }
        self.shots += 1;
        if let Some(at) = verdict {
            self.counts[at] += 1;
        }
        if let Some(cause) = taken.cause {
            *self.causes.entry(cause).or_default() += 1;
        }
        for (sketch, value) in self.figures.iter_mut().zip(taken.figures) {
            value.into_iter().for_each(|value| sketch.add(value));
        }
        if self.kept.len() < KEPT {
            self.kept.push(taken);
            self.places.push(place);
        }
    }

    /// Shots with a verdict; a discharge test has none.
    pub fn welds(&self) -> u64 {
        self.counts.iter().sum()
    }

    /// Share of a verdict among the welds; `None` without any.
    pub fn share(&self, verdict: Verdict) -> Option<Share> {
        let at = Verdict::ALL.iter().position(|v| *v == verdict)?;
        self.block_share(at)
            .or_else(|| Share::of(self.counts[at], self.welds()))
    }

    fn block_share(&self, at: usize) -> Option<Share> {
        self.blocks.as_ref()?[at].share()
    }

    /// Share of the welds that are not sound; `None` without any.
    pub fn reject(&self) -> Option<Share> {
        let sound = self.share(Verdict::Sound)?.count;
        let counted = || Share::of(self.welds() - sound, self.welds());
        self.block_share(Verdict::ALL.len()).or_else(counted)
    }

    /// What decided how many shots, the most frequent first.
    pub fn causes(&self) -> Vec<(Cause, u64)> {
        let mut causes: Vec<_> = self.causes.iter().map(|(c, n)| (*c, *n)).collect();
        causes.sort_by_key(|(_, n)| std::cmp::Reverse(*n));
        causes
    }

    /// Values of the figure `name`.
    pub fn figure(&self, name: &str) -> Option<&Sketch> {
        let at = FIGURES.iter().position(|(n, _)| *n == name)?;
        Some(&self.figures[at])
    }

    /// A quantile of the figure `name`. Its interval is that of independent shots; of studs in boxes, that of as many as they are
    /// worth by how unlike the boxes are (R. S. Woodruff, J. Am. Stat. Assoc. 47 (1952) 635), or of boxes of studs all alike where
    /// that cannot be told.
    pub fn quantile(&self, name: &str, share: f64) -> Option<Quantile> {
        let at = FIGURES.iter().position(|(n, _)| *n == name)?;
        let sketch = &self.figures[at];
        let found = sketch.quantile(share)?;
        let Some(boxes) = &self.boxes else {
            return Some(found);
        };
        let most = found.value + RELATIVE_ERROR * found.value.abs();
        let mut blocks = Blocks::new(Some(boxes.size));
        for (place, taken) in self.places.iter().zip(&self.kept) {
            while blocks.samples() < *place {
                blocks.take(None);
            }
            blocks.take(taken.figures[at].map(|value| value <= most));
        }
        let alike = boxes.count() as f64;
        let worth = blocks.worth();
        let worth = worth.map_or(alike, |worth| worth * sketch.count() as f64);
        sketch.quantile_among(share, worth.clamp(1.0, sketch.count() as f64) as u64)
    }

    /// Values of the figure `name` in the shots kept.
    pub fn kept_figure(&self, name: &str) -> Vec<Option<f64>> {
        let at = FIGURES.iter().position(|(n, _)| *n == name);
        let figure = |taken: &Taken| at.and_then(|at| taken.figures[at]);
        self.kept.iter().map(figure).collect()
    }

    /// Rank correlation of a figure with each drawn key, over the shots kept that have the figure;
    /// `None` where either does not vary.
    pub fn correlations(&self, name: &str) -> Vec<Option<f64>> {
        let figure = self.kept_figure(name);
        let keys = self.kept.first().map_or(0, |taken| taken.values.len());
        let shots: Vec<(f64, &Taken)> = figure
            .into_iter()
            .zip(&self.kept)
            .filter_map(|(value, taken)| Some((value?, taken)))
            .collect();
        let figure = midranks(shots.iter().map(|(value, _)| *value));
        (0..keys)
            .map(|k| correlation(&figure, &midranks(shots.iter().map(|(_, t)| t.values[k]))))
            .collect()
    }
}

/// Ranks from 1; equal values share the mean of theirs.
fn midranks(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let values: Vec<f64> = values.collect();
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let mut ranks = vec![0.0; values.len()];
    let mut from = 0;
    for run in order.chunk_by(|a, b| values[*a] == values[*b]) {
        let rank = from as f64 + 0.5 * (run.len() + 1) as f64;
        run.iter().for_each(|k| ranks[*k] = rank);
        from += run.len();
    }
    ranks
}

/// Pearson's correlation; of ranks it is Spearman's (C. Spearman, Am. J. Psychol. 15 (1904) 72).
fn correlation(x: &[f64], y: &[f64]) -> Option<f64> {
    let n = x.len() as f64;
    let mean = |v: &[f64]| v.iter().sum::<f64>() / n;
    let (mx, my) = (mean(x), mean(y));
    let sum = |f: &dyn Fn(f64, f64) -> f64| -> f64 {
        x.iter().zip(y).map(|(x, y)| f(x - mx, y - my)).sum()
    };
    let (xx, yy) = (sum(&|x, _| x * x), sum(&|_, y| y * y));
    (xx > 0.0 && yy > 0.0).then(|| sum(&|x, y| x * y) / (xx * yy).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::points::Points;

    #[test]
    fn closed_form_rank_correlation() {
        let ranks = |v: &[f64]| midranks(v.iter().copied());
        assert_eq!(ranks(&[3.0, 1.0, 3.0, 7.0]), [2.5, 1.0, 2.5, 4.0]);
        // Without ties 1 − 6 Σd²/(n(n² − 1)); here d = 1, 1, 0, 0: 1 − 12/60.
        let x = ranks(&[1.0, 2.0, 3.0, 4.0]);
        let y = ranks(&[20.0, 10.0, 30.0, 4000.0]);
        assert!((correlation(&x, &y).unwrap() - 0.8).abs() < 1e-12);
        assert_eq!(correlation(&x, &ranks(&[5.0; 4])), None);
        assert_eq!(correlation(&[], &[]), None);
    }

    /// A study of 20 boxes of 100 studs with 0.9 of the first figure's deviation in the box, a normal one.
    fn boxed(seed: u64) -> Summary {
        let mut summary = Summary {
            boxes: Some(Boxes::new(100)),
            ..Summary::default()
        };
        let points = |seed| Points {
            sampling: Sampling::Random,
            seed,
        };
        for shot in 0..2000 {
            let [own, of_box] = [(seed, shot), (!seed, shot / 100)]
                .map(|(seed, index)| points(seed).scores(index, 1)[0]);
            let mut figures = [None; NUMBER];
            figures[0] = Some(0.19f64.sqrt() * own + 0.9 * of_box);
            summary.take(Taken {
                values: Vec::new(),
                figures,
                verdict: Some(Verdict::Sound),
                cause: None,
                note: None,
            });
        }
        summary
    }

    #[test]
    fn closed_form_intervals_of_quantiles_in_boxes_hold_the_truth() {
        let name = FIGURES[0].0;
        let (mut boxes, mut independent, mut tail) = (0, 0, 0);
        for seed in 0..100 {
            let summary = boxed(seed);
            let holds = |q: Quantile, truth: f64| {
                q.low.is_none_or(|low| low <= truth) && q.high.is_none_or(|high| truth <= high)
            };
            boxes += u32::from(holds(summary.quantile(name, 0.5).unwrap(), 0.0));
            tail += u32::from(holds(summary.quantile(name, 0.95).unwrap(), 1.644_854));
            let plain = summary.figure(name).unwrap().quantile(0.5).unwrap();
            independent += u32::from(holds(plain, 0.0));
        }
        // 95 % of 100, less three standard errors.
        assert!(boxes >= 88 && tail >= 88, "{boxes} {tail}");
        // As if studs were independent it would be far from that.
        assert!(independent < 50, "{independent}");
    }

    #[test]
    fn few_boxes_are_taken_as_of_studs_all_alike() {
        let mut summary = boxed(1);
        // The same studs as two boxes of 1000: the ends of no median.
        summary.boxes = Some(Boxes::new(1000));
        let found = summary.quantile(FIGURES[0].0, 0.5).unwrap();
        assert_eq!((found.low, found.high), (None, None));
    }
}
