//! What a fit leaves of the traces: size, memory, and how many of its rows are independent.

use nalgebra::DVector;

use super::autocorrelation::memory;
use super::problem::Setup;

/// Factor to its noise up to which a row tells of it, and rows that tell enough.
const SPEAKS: f64 = 2.0;
const FEW: usize = 30;

/// What is left of a trace.
#[derive(Debug, Clone)]
pub(super) struct Left {
    /// Of the current \[A\], and of the voltage \[V\]; empty where there is none.
    pub series: [Series; 2],
}

/// What is left of one column.
#[derive(Debug, Clone, Default)]
pub(super) struct Series {
    /// Computed less measured, a row each.
    pub rows: Vec<f64>,
    pub mean_square: f64,
    /// Autocorrelation time \[rows\], and the number of independent rows.
    pub memory: f64,
    pub independent: f64,
    /// Standard deviation of an independent row, over the square root of the rows it stands for.
    pub deviation: f64,
}

/// What is left of each trace, from the residuals.
pub(super) fn left(setup: &Setup, residuals: &DVector<f64>) -> Vec<Left> {
    let keys = setup.sought() as f64 / setup.records.len() as f64;
    let mut first = 0;
    let records = setup.records.iter().map(|record| {
        let mut start = first;
        let least = record.least();
        let series = [0, 1].map(|s| {
            let rows = record.rows()[s];
            let noise = record.noise[s];
            let values = residuals.as_slice()[start..start + rows].iter();
            start += rows;
            let factor = |k: usize| if s == 0 { record.widened[k] } else { 1.0 };
            let values = values.enumerate().map(|(k, r)| r * noise * factor(k));
            Series::of(values.collect(), factor, least[s], keys)
        });
        first += record.residuals();
        Left { series }
    });
    records.collect()
}

impl Series {
    /// What is left of rows that say less by these factors, none with less noise than `least`. Those that say little say
    /// nothing of the noise, unless there are no others.
    fn of(rows: Vec<f64>, factor: impl Fn(usize) -> f64, least: f64, keys: f64) -> Series {
        if rows.is_empty() {
            return Series::default();
        }
        let up_to = |most: f64| -> Vec<f64> {
            let all = rows.iter().enumerate();
            all.filter(|(k, _)| factor(*k) <= most)
                .map(|(_, r)| *r)
                .collect()
        };
        let mut spoken = up_to(SPEAKS);
        if spoken.len() < FEW {
            spoken = up_to(f64::INFINITY);
        }
        let mean_square = spoken.iter().map(|r| r * r).sum::<f64>() / spoken.len() as f64;
        let memory = memory(&spoken);
        // Rows in a row that say the same count once: n/τ are independent, and the keys take theirs of them.
        let independent = spoken.len() as f64 / memory;
        let variance = mean_square.max(least * least) * memory;
        let variance = variance * independent / (independent - keys).max(1.0);
        Series {
            rows,
            mean_square,
            memory,
            independent,
            deviation: variance.sqrt().max(f64::MIN_POSITIVE),
        }
    }
}
