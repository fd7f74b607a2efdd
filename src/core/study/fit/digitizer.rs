//! What the rows of a digitizer say whose steps are coarser than the noise.

use super::trace::{Trace, quantum_noise};

/// Noise over a digitizer's step from which on a mean of many rows lies between its steps: 0.35 of a step leaves a
/// fiftieth, and shows as 0.45 with the error of the steps themselves.
const BLURRED: f64 = 0.45;

/// Rows that differ from two equal neighbours from which on noise moves a reading from step to step.
const FLICKERS: usize = 5;

/// Factors to the noise of the rows \[A\]. Where noise does not blur the steps of a digitizer, rows in a row that read the
/// same are off by much the same part of a step: together they say no more than one does. Without current that holds
/// of all rows, as there what noise there is only decides between two steps.
pub(super) fn widened(trace: &Trace, noise: f64) -> Vec<f64> {
    if blurred(trace) {
        return vec![1.0; trace.time.len()];
    }
    let place = |t: f64| match trace.tail {
        _ if t < trace.rise => Some(0),
        Some(tail) if t >= tail.from => Some(1),
        _ => None,
    };
    let mut rows = [0.0; 2];
    for part in trace.time.iter().filter_map(|t| place(*t)) {
        rows[part] += 1.0;
    }
    let step = quantum_noise(trace.quantum) / noise;
    let mut factors: Vec<f64> = Vec::new();
    for run in runs(&trace.current, trace.quantum) {
        let times = &trace.time[factors.len()..factors.len() + run];
        let alone = (run as f64).sqrt();
        let factor = |t: &f64| match place(*t) {
            Some(part) => (1.0 + step * step * rows[part]).sqrt().max(alone),
            None => alone,
        };
        factors.extend(times.iter().map(factor));
    }
    factors
}

/// Whether noise blurs the steps of the digitizer, or nothing is known of it: means of rows have a noise of more than
/// half a step, single rows without current read three steps and more, a few left out.
fn blurred(trace: &Trace) -> bool {
    let Some(quiet) = trace.quiet else {
        return true;
    };
    if trace.averaged > 1 {
        return quiet.noise * (trace.averaged as f64).sqrt() > BLURRED * trace.quantum;
    }
    let before = trace.time.partition_point(|t| *t < trace.rise - trace.blur);
    let mut rows = trace.current[..before].to_vec();
    rows.sort_by(f64::total_cmp);
    let few = rows.len() / 50;
    match rows.get(few..rows.len() - few) {
        Some([first, .., last]) => last - first > 1.001 * trace.quantum,
        _ => true,
    }
}

/// Lengths of the runs of rows that read the same; where noise flickers between two steps, of those that stay within two.
fn runs(values: &[f64], quantum: f64) -> Vec<usize> {
    let flicker = |w: &&[f64]| w[0] == w[2] && w[0] != w[1];
    let flickers = values.windows(3).filter(flicker).count() >= FLICKERS;
    let reach = if flickers { 1.001 * quantum } else { 0.0 };
    let mut runs = Vec::new();
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for value in values {
        (low, high) = (low.min(*value), high.max(*value));
        match runs.last_mut() {
            Some(run) if high - low <= reach => *run += 1,
            _ => {
                (low, high) = (*value, *value);
                runs.push(1);
            }
        }
    }
    runs
}
