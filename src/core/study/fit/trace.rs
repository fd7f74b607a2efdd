//! A measured current: offset and noise before its rise, where it rises, and what is left after it.

pub use super::recording::{Columns, trace};

use super::scope_error::FEWEST;

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
    /// How far off the rise may be \[s\]: the time from it to 5 % of the peak, a row at least.
    pub blur: f64,
    /// Largest current of the whole record \[A\].
    pub peak: f64,
    /// Time from the rise to the last quarter of the peak \[s\].
    pub width: f64,
    /// The rows after the current; `None` where too few were recorded, or none before it.
    pub tail: Option<Tail>,
    /// Span of the whole record \[s\], also where only a stretch of it was kept.
    pub span: f64,
    /// Step of what digitised the current \[A\]; 0 where none is seen.
    pub quantum: f64,
    /// Rows of the file that each row is the mean of.
    pub averaged: usize,
    /// Usual time between rows \[s\].
    pub spacing: f64,
    /// The voltage at the weld, if it was measured too.
    pub voltage: Option<Volts>,
    /// Rows merged with one before them at the same time.
    pub merged: usize,
    /// Rows left out because they lie at the full scale of what measured them.
    pub clipped: usize,
    /// Rows of the file left out because they bear a mark for a value beyond the range.
    pub over_range: usize,
    /// Numbers of the file whose thousands are set apart.
    pub thousands: usize,
    /// Columns of notes beside the first rows, by index.
    pub beside: Vec<usize>,
    /// Rows left out because they lie long before or after the current.
    pub beyond: usize,
}

/// A voltage measured beside the current, its mean before the rise taken off.
#[derive(Debug, Clone, PartialEq)]
pub struct Volts {
    /// Row by row, as the current \[V\].
    pub values: Vec<f64>,
    /// What was taken off \[V\].
    pub offset: f64,
    /// The rows before the rise, in volts; `None` where too few were recorded.
    pub quiet: Option<Quiet>,
    /// Step of what digitised it \[V\]; 0 where none is seen.
    pub quantum: f64,
}

/// Rows without current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quiet {
    /// Number of rows taken for quiet.
    pub rows: usize,
    /// Standard deviation \[A\]; 0 where all rows are equal.
    pub noise: f64,
    /// Memory of the noise \[rows\].
    pub memory: f64,
}

/// Rows after the current: below 5 % of the peak for good, a tenth of the width later, and falling no more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tail {
    /// Time of the first \[s\].
    pub from: f64,
    /// Number of rows from there on.
    pub rows: usize,
    /// \[A\]
    pub mean: f64,
}

/// Share of the peak at which a current has risen.
pub(super) const RISEN: f64 = 0.05;

/// Share of the peak for which no noise is taken.
const HIGH: f64 = 0.25;

/// Fall from the first half of a tail to the second, in its deviations, from which on the current still flows.
const FALLING: f64 = 3.0;

/// Time after the last 5 % of the peak, and least span of a tail, over the width of the current.
const AFTER: f64 = 0.25;

impl Trace {
    /// A trace whose rise is found; `current` has its offset taken off. Wants two rows at least.
    pub fn new(time: Vec<f64>, current: Vec<f64>, offset: f64, quiet: Option<Quiet>) -> Trace {
        let (rise, blur, width) = rise(&time, &current);
        Trace {
            rise,
            blur,
            peak: current.iter().copied().fold(0.0, f64::max),
            width,
            tail: quiet.and_then(|quiet| tail(&time, &current, width, quiet)),
            span: time[time.len() - 1] - time[0],
            spacing: (time[time.len() - 1] - time[0]) / (time.len() - 1) as f64,
            time,
            current,
            offset,
            quiet,
            quantum: 0.0,
            averaged: 1,
            voltage: None,
            merged: 0,
            clipped: 0,
            over_range: 0,
            thousands: 0,
            beside: Vec::new(),
            beyond: 0,
        }
    }

    /// Standard deviation of the error of a row by the steps of this size that its readings are rounded to.
    pub(super) fn of_quantum(&self, quantum: f64) -> f64 {
        quantum_noise(quantum) / (self.averaged as f64).sqrt()
    }

    /// The same, of the current \[A\].
    pub fn row_quantum(&self) -> f64 {
        self.of_quantum(self.quantum)
    }

    /// Keeps the rows that `keep` wants; offset, noise and rise stay those of the whole record.
    pub fn retain(&mut self, keep: impl Fn(usize, f64) -> bool) {
        let rows = self.time.iter().enumerate();
        let kept: Vec<bool> = rows.map(|(k, t)| keep(k, *t)).collect();
        let voltage = self.voltage.as_mut().map(|v| &mut v.values);
        for column in [&mut self.time, &mut self.current]
            .into_iter()
            .chain(voltage)
        {
            let mut row = kept.iter();
            column.retain(|_| row.next().copied().unwrap_or(false));
        }
    }
}

/// Time at which a current begins to rise, how far off that may be, and the time from there to its last quarter \[s\].
pub(crate) fn rise(time: &[f64], current: &[f64]) -> (f64, f64, f64) {
    let most = current.iter().copied().fold(0.0, f64::max);
    let high = |i: &f64| *i > HIGH * most;
    let Some(to) = current.iter().position(high) else {
        let span = time[time.len() - 1] - time[0];
        return (time[0], span, span);
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
    let row = time[a] - time[a.saturating_sub(1)];
    let last = current.iter().rposition(high).unwrap_or(to);
    (
        rise,
        (time[a] - rise).max(row),
        (time[last] - rise).max(time[b] - time[a]),
    )
}

/// The rows after a current of this width.
fn tail(time: &[f64], current: &[f64], width: f64, quiet: Quiet) -> Option<Tail> {
    let most = current.iter().copied().fold(0.0, f64::max);
    let last = current.iter().rposition(|i| *i > RISEN * most)?;
    let start = time[last] + AFTER * width;
    let mut first = time.iter().position(|t| *t >= start)?;
    let mean = |rows: &[f64]| rows.iter().sum::<f64>() / rows.len() as f64;
    loop {
        let after = &current[first..];
        let span = time[time.len() - 1] - time[first];
        if after.len() < FEWEST || span < AFTER * width {
            return None;
        }
        // A baseline that began at 0 and lies above it does not fall.
        let (early, late) = after.split_at(after.len() / 2);
        let deviation = quiet.noise * (4.0 * quiet.memory / after.len() as f64).sqrt();
        let falls = mean(early) - mean(late) > FALLING * deviation;
        if !(falls && mean(early) > 0.0) {
            return Some(Tail {
                from: time[first],
                rows: after.len(),
                mean: mean(after),
            });
        }
        first += after.len() / 2;
    }
}

/// Standard deviation of the error of a reading that is rounded to steps of this size: uniform over one.
pub(super) fn quantum_noise(quantum: f64) -> f64 {
    quantum / 12f64.sqrt()
}
