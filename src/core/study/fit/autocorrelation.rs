//! Integrated autocorrelation time of a noise, in rows.

/// Rows from which on the memory is worked out of means over blocks: the work grows with their square.
const MANY: usize = 20_000;

/// Integrated autocorrelation time of a series of mean 0 \[rows\]: 1 + 2·Σρ over the pairs of lags whose sum is
/// positive and does not grow (Geyer 1992, Practical Markov chain Monte Carlo, Statist. Sci. 7, 473). 1 for
/// noise without memory, (1 + ρ)/(1 − ρ) for one that keeps ρ of itself from row to row; never below 1.
pub fn memory(series: &[f64]) -> f64 {
    let block = (series.len() / (MANY / 2)).max(1);
    if series.len() < MANY {
        return of_rows(series).max(1.0);
    }
    let means: Vec<f64> = series
        .chunks_exact(block)
        .map(|c| c.iter().sum::<f64>() / block as f64)
        .collect();
    let square = |s: &[f64]| s.iter().map(|v| v * v).sum::<f64>() / s.len() as f64;
    let whole = square(series);
    if whole <= 0.0 {
        return 1.0;
    }
    (block as f64 * square(&means) / whole * of_rows(&means)).max(1.0)
}

fn of_rows(series: &[f64]) -> f64 {
    let rows = series.len();
    let lag = |k: usize| -> f64 { series[k..].iter().zip(series).map(|(a, b)| a * b).sum() };
    let whole = lag(0);
    if rows < 4 || whole <= 0.0 {
        return 1.0;
    }
    let (mut sum, mut last) = (-1.0, f64::INFINITY);
    for pair in 0..rows / 4 {
        let both = (lag(2 * pair) + lag(2 * pair + 1)) / whole;
        if both <= 0.0 {
            break;
        }
        last = last.min(both);
        sum += 2.0 * last;
    }
    sum
}
