//! From the columns of a file to a trace: scale, offset, noise; rows that say nothing left out, too many made fewer.

use super::autocorrelation::memory;
use super::clipping::flat_top;
use super::oscilloscope_csv::{ScopeError, Table, mean_of};
use super::scope_error::FEWEST;
use super::trace::{Quiet, RISEN, Trace, Volts, rise};

/// Part of the time before the rise that is taken for quiet.
const QUIET: f64 = 0.8;

/// Rows beside the current, three widths to either side of it, that a fit can use; of more the neighbours are averaged.
const USED: f64 = 4_000.0;
const BESIDE: f64 = 7.0;

/// Rows by which the current is looked for.
const COARSE: usize = 1 << 15;

/// Which columns of a table are what, and the size of a unit of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Columns {
    /// Column of the time, and its unit \[s\].
    pub time: (usize, f64),
    /// Column of the current, and its unit \[A\].
    pub current: (usize, f64),
    /// Column of the voltage at the weld, if there is one, and its unit \[V\].
    pub voltage: Option<(usize, f64)>,
}

/// The trace of two columns: `scale` amperes a unit; the mean before the rise is taken off.
///
/// # Errors
/// When both are the same column, a time is no number or goes back, or too few times are left.
pub fn trace(table: &Table, time: usize, signal: usize, scale: f64) -> Result<Trace, ScopeError> {
    let columns = Columns {
        time: (time, 1.0),
        current: (signal, scale),
        voltage: None,
    };
    Trace::of(table.clone(), &columns)
}

/// Time, current and perhaps voltage, row by row, not a number where the file has none.
struct Rows {
    time: Vec<f64>,
    values: Vec<Vec<f64>>,
}

impl Trace {
    /// The trace of the columns of a table; the mean before the rise is taken off.
    ///
    /// # Errors
    /// When two are the same column, a time is no number or goes back, or too few times are left.
    pub fn of(mut table: Table, columns: &Columns) -> Result<Trace, ScopeError> {
        let signals: Vec<(usize, f64)> = [Some(columns.current), columns.voltage]
            .into_iter()
            .flatten()
            .collect();
        let mut seen = vec![columns.time.0];
        for (signal, _) in &signals {
            if seen.contains(signal) {
                return Err(ScopeError::Same(signal + 1));
            }
            seen.push(*signal);
        }
        let mut rows = Rows {
            time: taken(&mut table, columns.time),
            values: signals.iter().map(|s| taken(&mut table, *s)).collect(),
        };
        rows.rise(&table)?;
        let missing = |row: &usize| rows.values.iter().any(|v| !v[*row].is_finite());
        let over_range = (0..rows.time.len()).filter(missing).count() * table.averaged;
        let merged = rows.merge();
        let quanta: Vec<f64> = rows.values.iter().map(|v| quantum(v)).collect();
        let averaged = rows.thin();
        rows.drop_missing();
        if rows.time.len() < FEWEST {
            return Err(ScopeError::TooFew(rows.time.len()));
        }
        let Rows { time, mut values } = rows;
        let quiet_rows = quiet_rows(&values[0]);
        let mut levels = values.iter_mut().map(|v| level(v, quiet_rows));
        let (offset, quiet) = levels.next().unwrap_or((0.0, None));
        let volts = levels.next();
        let mut values = values.into_iter();
        let mut trace = Trace::new(time, values.next().unwrap_or_default(), offset, quiet);
        trace.quantum = quanta[0];
        trace.averaged = averaged * table.averaged;
        trace.voltage = values
            .next()
            .zip(volts)
            .map(|(values, (offset, quiet))| Volts {
                values,
                offset,
                quiet,
                quantum: quanta[1],
            });
        trace.merged = merged;
        trace.over_range = over_range;
        trace.thousands = table.thousands;
        trace.beside = table.beside;
        if let Some(top) = flat_top(&trace.current, trace.quiet.map(|q| q.noise)) {
            trace.clipped = top.len();
            trace.retain(|k, _| !top.contains(&k));
        }
        Ok(trace)
    }
}

/// A column in SI, taken out of the table.
fn taken(table: &mut Table, (column, unit): (usize, f64)) -> Vec<f64> {
    let mut values = std::mem::take(&mut table.columns[column]);
    if unit != 1.0 {
        values.iter_mut().for_each(|v| *v *= unit);
    }
    values
}

impl Rows {
    /// Whether the time is there in every row, and rises.
    fn rise(&self, table: &Table) -> Result<(), ScopeError> {
        if let Some(row) = self.time.iter().position(|t| !t.is_finite()) {
            return Err(ScopeError::NoTime(table.line(row)));
        }
        let pairs = self.time.windows(2);
        let back = pairs.enumerate().find(|(_, pair)| pair[1] < pair[0]);
        back.map_or(Ok(()), |(row, pair)| {
            Err(ScopeError::Time {
                line: table.line(row + 1),
                before: pair[0],
                after: pair[1],
            })
        })
    }

    /// Makes each time one row, with the mean of its values: a file may hold a row on both sides of an event. How many
    /// rows went.
    fn merge(&mut self) -> usize {
        let rows = self.time.len();
        let (mut kept, mut first) = (0, 0);
        while first < rows {
            let same = |t: &&f64| **t == self.time[first];
            let count = self.time[first..].iter().take_while(same).count();
            self.time[kept] = self.time[first];
            for values in &mut self.values {
                values[kept] = mean(&values[first..first + count]);
            }
            (kept, first) = (kept + 1, first + count);
        }
        self.time.truncate(kept);
        self.values.iter_mut().for_each(|v| v.truncate(kept));
        rows - kept
    }

    /// Averages neighbours where there are more rows than a fit can use; so many became one.
    fn thin(&mut self) -> usize {
        let rows = self.time.len();
        if (rows as f64) < USED {
            return 1;
        }
        let span = self.time[rows - 1] - self.time[0];
        let beside = (BESIDE * self.width() / span).min(1.0) * rows as f64;
        let group = (beside / USED).ceil().max(1.0) as usize;
        if group > 1 {
            mean_of(&mut self.time, group);
            self.values.iter_mut().for_each(|v| mean_of(v, group));
        }
        group
    }

    /// About how long the current lasts \[s\].
    fn width(&self) -> f64 {
        let group = self.time.len().div_ceil(COARSE);
        let coarse = |values: &[f64]| values.chunks(group).map(mean).collect::<Vec<f64>>();
        let (time, mut current) = (coarse(&self.time), coarse(&self.values[0]));
        let middle = median(&current[..quiet_guess(current.len())]);
        for i in &mut current {
            *i = if i.is_finite() { *i - middle } else { 0.0 };
        }
        rise(&time, &current).2
    }

    /// Leaves out the rows that have a value missing.
    fn drop_missing(&mut self) {
        let there = |k: usize| self.values.iter().all(|v| v[k].is_finite());
        let kept: Vec<bool> = (0..self.time.len()).map(there).collect();
        if kept.iter().all(|k| *k) {
            return;
        }
        for column in std::iter::once(&mut self.time).chain(&mut self.values) {
            let mut row = kept.iter();
            column.retain(|_| row.next().copied().unwrap_or(false));
        }
    }
}

/// Rows before the rise that are quiet; 0 if there are too few.
fn quiet_rows(current: &[f64]) -> usize {
    let middle = median(&current[..quiet_guess(current.len())]);
    let largest = current
        .iter()
        .map(|v| (v - middle).abs())
        .fold(0.0, f64::max);
    let risen = current
        .iter()
        .position(|v| (v - middle).abs() > RISEN * largest);
    let rows = (QUIET * risen.unwrap_or(0) as f64) as usize;
    if rows >= FEWEST { rows } else { 0 }
}

/// Takes the mean of its quiet rows off a column: that mean, and what they say of the noise.
fn level(values: &mut [f64], rows: usize) -> (f64, Option<Quiet>) {
    if rows == 0 {
        return (0.0, None);
    }
    let offset = mean(&values[..rows]);
    let equal = values[..rows].iter().all(|v| *v == values[0]);
    values.iter_mut().for_each(|v| *v -= offset);
    let quiet = &values[..rows];
    let square = quiet.iter().map(|v| v * v).sum::<f64>();
    let noise = (square / (rows - 1) as f64).sqrt();
    let quiet = Quiet {
        rows,
        noise: if equal { 0.0 } else { noise },
        memory: if equal { 1.0 } else { memory(quiet) },
    };
    (offset, Some(quiet))
}

/// Step of what digitised a column: the least difference between neighbours, were they not the same. 0 where there
/// is none.
fn quantum(values: &[f64]) -> f64 {
    let size = values.iter().filter(|v| v.is_finite());
    let most = size.map(|v| v.abs()).fold(0.0, f64::max);
    let steps = values.windows(2).map(|w| (w[1] - w[0]).abs());
    // Less than this is rounding of the sums.
    let step = steps
        .filter(|d| d.is_finite() && *d > 1e-9 * most)
        .fold(f64::INFINITY, f64::min);
    if step.is_finite() { step } else { 0.0 }
}

/// Rows at the start that may be quiet.
fn quiet_guess(rows: usize) -> usize {
    (rows / 50).clamp(1, 100)
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted[sorted.len() / 2]
}
