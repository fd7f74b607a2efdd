//! Where in a panel a word can stand: near what it names, clear of everything else.

use super::canvas::Point;
use super::geometry::{Rect, apart};

/// Obstacles for a label.
#[derive(Debug, Clone, Default)]
pub struct Crowd {
    /// Curves, in few points.
    pub curves: Vec<Vec<Point>>,
    /// Event lines; a word keeps clear of them, but may be nearer to them than to its curve.
    pub hairs: Vec<Vec<Point>>,
    /// Words that already stand.
    pub words: Vec<Rect>,
}

/// Room between a word and a curve, an event line, another word \[px\].
const CLEAR: f64 = 3.0;
const CLEAR_HAIR: f64 = 2.0;
const CLEAR_WORD: f64 = 6.0;
/// Farthest a name stands from its curve, and how much nearer than to any other \[px\].
const FAR: f64 = 9.0;
const NEARER: f64 = 6.0;

/// A place for the name of curve `own` inside `frame`, or none that leaves no doubt; the curves
/// `same` run along with it and share the name.
pub fn beside(
    own: usize,
    same: &[usize],
    size: (f64, f64),
    frame: &Rect,
    crowd: &Crowd,
) -> Option<Rect> {
    let curve = crowd.curves.get(own)?;
    let spots = along(curve, 60);
    let mut best: Option<(f64, Rect)> = None;
    for (share, (x, y)) in spots {
        for (dx, dy) in [
            (0.0, -1.0),
            (1.0, -1.0),
            (1.0, 0.0),
            (1.0, 1.0),
            (0.0, 1.0),
            (-1.0, 1.0),
            (-1.0, 0.0),
            (-1.0, -1.0),
        ] {
            let middle = (
                x + dx * (0.5 * size.0 + CLEAR + 1.0),
                y + dy * (0.5 * size.1 + CLEAR + 1.0),
            );
            let word = Rect::about(middle, size);
            let Some(cost) = doubt(own, same, &word, frame, crowd) else {
                continue;
            };
            // Away from the ends of a curve, where others meet it.
            let cost = cost + 12.0 * (share - 0.5).abs();
            if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                best = Some((cost, word));
            }
        }
    }
    best.map(|(_, word)| word)
}

/// How much a place leaves in doubt; `None` if it will not do.
fn doubt(own: usize, same: &[usize], word: &Rect, frame: &Rect, crowd: &Crowd) -> Option<f64> {
    if !frame.holds(word) || crowd.words.iter().any(|w| w.near(word, CLEAR_WORD)) {
        return None;
    }
    if crowd.hairs.iter().any(|h| word.gap_to_line(h) < CLEAR_HAIR) {
        return None;
    }
    let to = |k: usize| word.gap_to_line(&crowd.curves[k]);
    let mine = to(own);
    let others = (0..crowd.curves.len())
        .filter(|k| *k != own && !same.contains(k))
        .map(to);
    let other = others.fold(f64::INFINITY, f64::min);
    let good = (CLEAR..=FAR).contains(&mine) && other >= mine + NEARER;
    // Low down, where curves come to rest, a name says little.
    let low = (word.bottom - frame.top) / (frame.bottom - frame.top);
    good.then(|| mine - 0.6 * other.min(30.0) + 14.0 * low)
}

/// Points at even shares of a line's length.
fn along(line: &[Point], number: usize) -> Vec<(f64, Point)> {
    let steps: Vec<f64> = line
        .windows(2)
        .map(|s| (s[1].0 - s[0].0).hypot(s[1].1 - s[0].1))
        .collect();
    let whole: f64 = steps.iter().sum();
    let mut out = Vec::new();
    let (mut k, mut passed) = (0, 0.0);
    for n in 0..number {
        let share = (n as f64 + 0.5) / number as f64;
        while k + 1 < steps.len() && passed + steps[k] < share * whole {
            passed += steps[k];
            k += 1;
        }
        let Some(step) = steps.get(k) else { break };
        let t = if *step > 0.0 {
            (share * whole - passed) / step
        } else {
            0.0
        };
        let (a, b) = (line[k], line[k + 1]);
        out.push((share, (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1))));
    }
    out
}

/// A word with a leader to a mark on a curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Callout {
    /// Room of the word \[px\].
    pub word: Rect,
    /// From beside the mark to beside the word \[px\].
    pub leader: [Point; 2],
}

/// A place for a word that speaks of the point `at`; the leader starts `start` \[px\] from it.
pub fn callout(
    at: Point,
    start: f64,
    size: (f64, f64),
    frame: &Rect,
    crowd: &Crowd,
) -> Option<Callout> {
    let mut best: Option<(f64, Callout)> = None;
    for rise in (-4..=9).map(|k| 6.0 * f64::from(k)) {
        for run in (-30..=30).map(|k| 6.0 * f64::from(k)) {
            let length = f64::hypot(run, rise);
            if f64::abs(run) < 10.0 || length < start + 4.0 {
                continue;
            }
            let tip = (at.0 + run, at.1 - rise);
            let middle = (tip.0 + run.signum() * (0.5 * size.0 + CLEAR), tip.1);
            let word = Rect::about(middle, size);
            let crossed = crowd.hairs.iter().filter(|h| word.gap_to_line(h) < CLEAR);
            let back = if run < 0.0 { 15.0 } else { 0.0 };
            let cost = length + 60.0 * crossed.count() as f64 + back;
            if best.as_ref().is_some_and(|(least, _)| cost >= *least) {
                continue;
            }
            let from = (at.0 + start * run / length, at.1 - start * rise / length);
            let clear = frame.holds(&word)
                && crowd.words.iter().all(|w| !w.near(&word, CLEAR_WORD))
                && crowd
                    .curves
                    .iter()
                    .all(|c| word.gap_to_line(c) > CLEAR && apart(&[from, tip], c) >= 0.5 * start);
            if clear {
                let leader = [from, tip];
                best = Some((cost, Callout { word, leader }));
            }
        }
    }
    best.map(|(_, callout)| callout)
}

/// An upright line at `x` from `top` to `bottom`, with gaps where words stand.
pub fn around(x: f64, top: f64, bottom: f64, words: &[Rect]) -> Vec<(f64, f64)> {
    let mut gaps: Vec<(f64, f64)> = words
        .iter()
        .filter(|w| w.left - CLEAR < x && x < w.right + CLEAR)
        .map(|w| (w.top - CLEAR, w.bottom + CLEAR))
        .collect();
    gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut pieces = Vec::new();
    let mut from = top;
    for (a, b) in gaps {
        if a > from {
            pieces.push((from, a.min(bottom)));
        }
        from = from.max(b);
    }
    if from < bottom {
        pieces.push((from, bottom));
    }
    pieces
}
