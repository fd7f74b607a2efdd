//! A measured current: offset and noise before its rise, where it rises, and what a full scale cut off.

use super::memory::memory;
use super::scope::{FEWEST, ScopeError, Table};

/// A measured current over time.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// \[s\]
    pub time: Vec<f64>,
    /// \[A\]
    pub current: Vec<f64>,
    /// What was taken off the current \[A\].
    pub offset: f64,
    /// The rows before the rise; `None` where too few were recorded.
    pub quiet: Option<Quiet>,
    /// Time at which the current begins to rise \[s\].
    pub rise: f64,
    /// Time from there to the last quarter of the peak \[s\].
    pub width: f64,
    /// Span of the whole record \[s\], also where only a stretch of it was kept.
    pub span: f64,
    /// Rows left out because they lie at the full scale of what measured them.
    pub clipped: usize,
    /// Rows left out because they lie long before or after the current.
    pub beyond: usize,
}

/// Rows without current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quiet {
    pub rows: usize,
    /// Standard deviation \[A\]; 0 where all rows are equal.
    pub noise: f64,
    /// Memory of the noise \[rows\].
    pub memory: f64,
}

/// Share of the peak at which a current has risen.
const RISEN: f64 = 0.05;

/// Share of the peak for which no noise is taken.
const HIGH: f64 = 0.25;

/// Part of the time before the rise that is taken for quiet.
const QUIET: f64 = 0.8;

/// Steps of the digitizer that a current falls by beside a top that is flat because it was cut off. A
/// parabola with a top n rows long falls by three in the next n/2.
const FALLS: f64 = 10.0;

/// The trace of two columns: `scale` amperes a unit; the mean before the rise is taken off.
///
/// # Errors
/// When both are the same column or the time does not rise.
pub fn trace(table: &Table, time: usize, signal: usize, scale: f64) -> Result<Trace, ScopeError> {
    if time == signal {
        return Err(ScopeError::Same(time + 1));
    }
    let times = table.columns[time].clone();
    for (row, pair) in times.windows(2).enumerate() {
        if pair[1] <= pair[0] {
            return Err(ScopeError::Time {
                line: table.lines[row + 1],
                before: pair[0],
                after: pair[1],
            });
        }
    }
    let raw: Vec<f64> = table.columns[signal].iter().map(|v| v * scale).collect();
    let middle = median(&raw[..quiet_guess(&raw)]);
    let largest = raw.iter().map(|v| (v - middle).abs()).fold(0.0, f64::max);
    let risen = raw
        .iter()
        .position(|v| (v - middle).abs() > RISEN * largest)
        .unwrap_or(0);
    let rows = (QUIET * risen as f64) as usize;
    let (offset, quiet) = if rows >= FEWEST {
        let mean = raw[..rows].iter().sum::<f64>() / rows as f64;
        let off: Vec<f64> = raw[..rows].iter().map(|v| v - mean).collect();
        let square = off.iter().map(|v| v * v).sum::<f64>();
        let equal = raw[..rows].iter().all(|v| *v == raw[0]);
        let noise = (square / (rows - 1) as f64).sqrt();
        let quiet = Quiet {
            rows,
            noise: if equal { 0.0 } else { noise },
            memory: if equal { 1.0 } else { memory(&off) },
        };
        (mean, Some(quiet))
    } else {
        (0.0, None)
    };
    let current = raw.iter().map(|v| v - offset).collect();
    let mut trace = Trace::new(times, current, offset, quiet);
    trace.leave_out_flat_top();
    Ok(trace)
}

impl Trace {
    /// A trace whose rise is found; `current` has its offset taken off. Wants two rows at least.
    pub fn new(time: Vec<f64>, current: Vec<f64>, offset: f64, quiet: Option<Quiet>) -> Trace {
        let (rise, width) = rise(&time, &current);
        Trace {
            rise,
            width,
            span: time[time.len() - 1] - time[0],
            time,
            current,
            offset,
            quiet,
            clipped: 0,
            beyond: 0,
        }
    }

    /// Keeps the rows that `keep` wants; offset, noise and rise stay those of the whole record.
    pub fn retain(&mut self, keep: impl Fn(usize, f64) -> bool) {
        let rows = self.time.iter().zip(&self.current).enumerate();
        let kept = rows.filter(|(k, (t, _))| keep(*k, **t));
        (self.time, self.current) = kept.map(|(_, (t, i))| (*t, *i)).unzip();
    }

    /// Leaves out the rows at full scale: a flat top that the current meets at a slope.
    fn leave_out_flat_top(&mut self) {
        let most = self.current.iter().copied().fold(0.0, f64::max);
        let top = |k: &usize| self.current[*k] >= most;
        let all = 0..self.current.len();
        let (Some(first), Some(last)) = (all.clone().find(top), all.clone().rfind(top)) else {
            return;
        };
        let run = longest_run(&self.current[first..=last], most);
        if most <= 0.0 || run < FEWEST {
            return;
        }
        let mut sorted = self.current.clone();
        sorted.sort_by(f64::total_cmp);
        let steps = sorted.windows(2).map(|w| w[1] - w[0]);
        // Less than this is rounding, not a step of the digitizer.
        let step = steps.filter(|d| *d > 1e-9 * most).fold(most, f64::min);
        let beside = [first.checked_sub(run / 2), Some(last + run / 2)];
        let falls = beside
            .into_iter()
            .flatten()
            .filter_map(|k| self.current.get(k))
            .any(|i| most - i > FALLS * step);
        if falls && all.len() - (last + 1 - first) >= FEWEST {
            self.clipped = last + 1 - first;
            self.retain(|k, _| !(first..=last).contains(&k));
        }
    }
}

/// Most rows in succession that reach `most`.
fn longest_run(values: &[f64], most: f64) -> usize {
    let runs = values.split(|v| *v < most);
    runs.map(<[f64]>::len).max().unwrap_or(0)
}

/// Time at which a current begins to rise, and the time from there to its last quarter \[s\].
fn rise(time: &[f64], current: &[f64]) -> (f64, f64) {
    let most = current.iter().copied().fold(0.0, f64::max);
    let high = |i: &f64| *i > HIGH * most;
    let Some(to) = current.iter().position(high) else {
        return (time[0], time[time.len() - 1] - time[0]);
    };
    let low = current[..to].iter().rposition(|i| *i <= RISEN * most);
    let from = low.map_or(0, |k| k + 1);
    // From 5 % back to 0 along the rise.
    let (a, b) = (from, to.max(from + 1).min(time.len() - 1));
    let slope = (current[b] - current[a]) / (time[b] - time[a]);
    let rise = if b > a && slope > 0.0 {
        time[a] - current[a] / slope
    } else {
        time[a]
    };
    let last = current.iter().rposition(high).unwrap_or(to);
    (rise, (time[last] - rise).max(time[b] - time[a]))
}

/// Rows at the start that may be quiet.
fn quiet_guess(raw: &[f64]) -> usize {
    (raw.len() / 50).clamp(1, 100)
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted[sorted.len() / 2]
}
