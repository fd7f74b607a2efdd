//! The flat top of a current that a full scale cut off.

use std::ops::Range;

use super::scope_error::FEWEST;

/// Steps of the digitizer that a current falls by beside a top that is flat because it was cut off. A
/// parabola with a top n rows long falls by three in the next n/2.
const FALLS: f64 = 10.0;

/// Depth of the band below the highest row in which a top that is cut off, and then noisy, lies, over the noise:
/// three deviations to either side.
const BAND: f64 = 6.0;

/// Fewest rows of a noisy top, and the share of the rows of its stretch that must lie in the band.
const NOISY_ROWS: usize = 30;
const WITHIN: f64 = 0.95;

/// Depths of the band that the current falls by beside a noisy top; a parabola falls by two or three.
const NOISY_FALLS: f64 = 5.0;

/// Difference between the thirds of a noisy top, over the noise, up to which it is flat: that of a parabola in its
/// band is 1.5 or more.
const FLAT: f64 = 0.5;

/// Rows at full scale: a flat top that the current meets at a slope. `noise` is the standard deviation of the rows
/// before the rise, if there are enough of them.
pub(super) fn flat_top(current: &[f64], noise: Option<f64>) -> Option<Range<usize>> {
    let most = current.iter().copied().fold(0.0, f64::max);
    let top = equal(current, most).or_else(|| noisy(current, most, noise?))?;
    (most > 0.0 && current.len() - top.len() >= FEWEST).then_some(top)
}

/// A top of rows that are all the same.
fn equal(current: &[f64], most: f64) -> Option<Range<usize>> {
    let top = reach(current, most)?;
    let runs = current[top.clone()].split(|v| *v < most);
    let run = runs.map(<[f64]>::len).max().unwrap_or(0);
    let mut sorted = current.to_vec();
    sorted.sort_by(f64::total_cmp);
    let steps = sorted.windows(2).map(|w| w[1] - w[0]);
    // Less than this is rounding, not a step of the digitizer.
    let step = steps.filter(|d| *d > 1e-9 * most).fold(most, f64::min);
    (run >= FEWEST && falls(current, &top, run / 2, most - FALLS * step)).then_some(top)
}

/// A top with noise that came in after full scale cut it off.
fn noisy(current: &[f64], most: f64, noise: f64) -> Option<Range<usize>> {
    let low = most - BAND * noise;
    let top = reach(current, low)?;
    let rows = &current[top.clone()];
    let within = rows.iter().filter(|i| **i >= low).count();
    if noise <= 0.0 || rows.len() < NOISY_ROWS || (within as f64) < WITHIN * rows.len() as f64 {
        return None;
    }
    // The edges belong to the slopes.
    let edge = rows.len() / 20;
    let rows = &rows[edge..rows.len() - edge];
    let third = rows.len() / 3;
    let mean = |rows: &[f64]| rows.iter().sum::<f64>() / rows.len() as f64;
    let [first, middle, last] = [0, third, 2 * third].map(|k| mean(&rows[k..k + third]));
    let bound = noise * (FLAT + 2.0 / (third as f64).sqrt());
    let flat = (middle - 0.5 * (first + last)).abs() < bound && (first - last).abs() < bound;
    let steep = falls(
        current,
        &top,
        top.len() / 2,
        low - (NOISY_FALLS - 1.0) * BAND * noise,
    );
    (flat && steep).then_some(top)
}

/// The rows from the first to the last that is no less than `low`.
fn reach(current: &[f64], low: f64) -> Option<Range<usize>> {
    let first = current.iter().position(|i| *i >= low)?;
    let last = current.iter().rposition(|i| *i >= low)?;
    Some(first..last + 1)
}

/// Whether the current lies below `low` so many rows before or after the top.
fn falls(current: &[f64], top: &Range<usize>, rows: usize, low: f64) -> bool {
    let beside = [top.start.checked_sub(rows), Some(top.end - 1 + rows)];
    let mut beside = beside.into_iter().flatten();
    beside.any(|k| current.get(k).is_some_and(|i| *i < low))
}
