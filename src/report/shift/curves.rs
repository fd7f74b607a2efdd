//! What is drawn of a shift: its curves over the number of the weld, thinned out, and its verdicts.

use serde::Serialize;

use super::words::duration;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::shift::Shift;
use arcplunge_core::study::shift::weld::Weld;

/// Most points of a curve.
pub(super) const POINTS: usize = 1500;

/// Scattered welds in a stretch of the strip of verdicts, at least.
const LEAST: usize = 16;

/// Stretches at most.
const MOST: usize = 64;

/// Numbers of the welds that are drawn, from 0.
pub(super) fn kept(shift: &Shift, most: usize) -> Vec<usize> {
    let count = shift.run.welds.len();
    let every = count.div_ceil(most).max(1);
    let kept = |n: &usize| n.is_multiple_of(every) || n + 1 == count;
    (0..count).filter(kept).collect()
}

/// Stretches of one verdict: that, its first weld and its last, from 0.
pub(super) fn stretches(shift: &Shift) -> Vec<(Option<Verdict>, usize, usize)> {
    let welds = &shift.run.welds;
    let mut out: Vec<(Option<Verdict>, usize, usize)> = Vec::new();
    for (n, weld) in welds.iter().enumerate() {
        match out.last_mut() {
            Some((verdict, _, last)) if *verdict == weld.verdict() => *last = n,
            _ => out.push((weld.verdict(), n, n)),
        }
    }
    out
}

/// Breaks: number of the first weld after one, from 0, and its length in words.
pub(super) fn pauses(shift: &Shift) -> Vec<(usize, String)> {
    let pause = |at: f64, length: f64| {
        let n = shift.run.welds.iter().position(|weld| weld.time >= at)?;
        Some((n, format!("break {}", duration(length))))
    };
    let breaks = shift.plan.breaks.iter();
    breaks.filter_map(|b| pause(b.at, b.length)).collect()
}

/// How the welds come out in even stretches of the shift: counts in the order of [`Verdict::ALL`]; of the scattered
/// welds, or of the shift's own where none were scattered.
pub(super) fn outcomes(shift: &Shift) -> Vec<[usize; Verdict::ALL.len()]> {
    let welds = &shift.run.welds;
    let samples = &shift.samples;
    let all: Vec<(usize, Option<Verdict>)> = match samples.is_empty() {
        true => welds.iter().map(Weld::verdict).enumerate().collect(),
        false => samples.iter().map(|s| (s.weld, s.verdict)).collect(),
    };
    let parts = (all.len() / LEAST).clamp(1, MOST).min(welds.len().max(1));
    let mut out = vec![[0; Verdict::ALL.len()]; parts];
    for (n, verdict) in all {
        if let Some(k) = Verdict::ALL.iter().position(|v| Some(*v) == verdict) {
            out[n * parts / welds.len()][k] += 1;
        }
    }
    out
}

/// The curves of a shift as columns, one number a weld that is drawn.
#[derive(Debug, Serialize)]
#[allow(non_snake_case)] // the names of the CSV file, units included
pub struct Curves {
    /// Numbers of the welds, from 1.
    weld: Vec<usize>,
    time_s: Vec<f64>,
    voltage_V: Vec<f64>,
    conductor_K: Vec<f64>,
    jacket_K: Vec<f64>,
    joint_K: Vec<f64>,
    core_K: Vec<f64>,
    junction_K: Vec<f64>,
    fill_ratio: Vec<Option<f64>>,
    /// Voltage that is set \[V\].
    set_V: f64,
    /// Stretches of one verdict, first and last weld from 1.
    verdicts: Vec<(Option<Verdict>, usize, usize)>,
    /// Breaks, at the first weld after them, from 1.
    breaks: Vec<(usize, String)>,
    /// Names of the verdicts that `outcomes` counts.
    names: Vec<&'static str>,
    /// Counts of the verdicts in even stretches of the shift.
    outcomes: Vec<[usize; Verdict::ALL.len()]>,
    /// Whether these are welds with studs and rig scattered.
    scattered: bool,
}

/// The curves, with at most about `most` points each.
pub fn curves(shift: &Shift, most: usize) -> Curves {
    let kept = kept(shift, most);
    let column = |of: fn(&Weld) -> f64| kept.iter().map(|n| of(&shift.run.welds[*n])).collect();
    let verdicts = stretches(shift).into_iter();
    let breaks = pauses(shift).into_iter();
    Curves {
        weld: kept.iter().map(|n| n + 1).collect(),
        time_s: column(|w| w.time),
        voltage_V: column(|w| w.voltage),
        conductor_K: column(|w| w.conductor),
        jacket_K: column(|w| w.jacket),
        joint_K: column(|w| w.joint),
        core_K: column(|w| w.core),
        junction_K: column(|w| w.junction),
        fill_ratio: kept.iter().map(|n| shift.run.welds[*n].fill()).collect(),
        set_V: shift.case.bank.voltage,
        verdicts: verdicts.map(|(v, a, b)| (v, a + 1, b + 1)).collect(),
        breaks: breaks.map(|(n, words)| (n + 1, words)).collect(),
        names: Verdict::ALL.iter().map(|v| v.name()).collect(),
        outcomes: outcomes(shift),
        scattered: !shift.samples.is_empty(),
    }
}
