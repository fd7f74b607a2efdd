//! The most likely failure: the shortest vector of independent standard normal scores with g ≤ 0 (A. M. Hasofer & N. C. Lind, J.
//! Eng. Mech. Div. 100 (1974) 111), by steps along the gradient (R. Rackwitz & B. Fiessler, Comput. Struct. 9 (1978) 489).
//!
//! Each step is fired before it is taken, so that what is found fails, whatever g does in between.

use std::iter::zip;

/// Most steps along the gradient, and the parts of one that are tried.
const STEPS: usize = 40;
const PARTS: [f64; 6] = [1.0, 0.5, 0.25, 0.1, 0.04, 0.01];

/// Share of its length by which a step must shorten a vector.
const GAIN: f64 = 1e-4;

/// Length below which there is nothing left to shorten: the middle itself fails.
const NONE: f64 = 1e-4;

/// Halvings that find the bound of the failures on a ray.
const HALVINGS: usize = 20;

/// Half the distance of two scores between which the slope of g is taken.
const APART: f64 = 0.01;

/// The shortest failure that is found from one at `start`; `limit` gives g.
pub fn shortest(start: &[f64], limit: impl FnMut(&[f64]) -> f64) -> Vec<f64> {
    let mut search = Search { limit };
    let mut at = search
        .on_ray(start, length(start))
        .unwrap_or_else(|| start.to_vec());
    search.drop_idle(&mut at);
    for _ in 0..STEPS {
        match search.step(&at) {
            Some(nearer) if length(&at) > NONE => at = nearer,
            _ => break,
        }
    }
    search.drop_idle(&mut at);
    search.on_ray(&at, length(&at)).unwrap_or(at)
}

/// Length of a vector.
pub fn length(scores: &[f64]) -> f64 {
    scores.iter().map(|z| z * z).sum::<f64>().sqrt()
}

struct Search<L> {
    limit: L,
}

impl<L: FnMut(&[f64]) -> f64> Search<L> {
    fn fails(&mut self, scores: &[f64]) -> bool {
        (self.limit)(scores) <= 0.0
    }

    /// The nearest failure in this direction, where there is one at length `most`.
    fn on_ray(&mut self, direction: &[f64], most: f64) -> Option<Vec<f64>> {
        let whole = length(direction);
        let at = |share: f64| -> Vec<f64> {
            let scale = share * most / whole;
            direction.iter().map(|z| z * scale).collect()
        };
        if whole == 0.0 || !self.fails(&at(1.0)) {
            return None;
        }
        let (mut sound, mut failed) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (sound + failed);
            match self.fails(&at(middle)) {
                true => failed = middle,
                false => sound = middle,
            }
        }
        Some(at(failed))
    }

    /// Takes out the scores without which it fails all the same, the smallest first.
    fn drop_idle(&mut self, at: &mut [f64]) {
        let mut order: Vec<usize> = (0..at.len()).filter(|k| at[*k] != 0.0).collect();
        order.sort_by(|a, b| at[*a].abs().total_cmp(&at[*b].abs()));
        for k in order {
            let kept = std::mem::take(&mut at[k]);
            if !self.fails(at) {
                at[k] = kept;
            }
        }
    }

    /// A nearer failure towards the foot of the perpendicular on the plane that touches g here; none where there is none.
    fn step(&mut self, at: &[f64]) -> Option<Vec<f64>> {
        let slope = self.slope(at);
        let steep: f64 = slope.iter().map(|s| s * s).sum();
        let along: f64 = zip(&slope, at).map(|(s, z)| s * z).sum();
        if !(steep > 0.0 && steep.is_finite()) {
            return None;
        }
        let most = length(at) * (1.0 - GAIN);
        PARTS.iter().find_map(|part| {
            let towards: Vec<f64> = zip(&slope, at)
                .map(|(s, z)| z + part * (s * along / steep - z))
                .collect();
            self.on_ray(&towards, most)
        })
    }

    /// Slope of g; 0 along what makes no weld.
    fn slope(&mut self, at: &[f64]) -> Vec<f64> {
        let mut aside = at.to_vec();
        let mut slope = Vec::with_capacity(at.len());
        for k in 0..at.len() {
            let [above, below] = [APART, -APART].map(|by| {
                aside[k] = at[k] + by;
                (self.limit)(&aside)
            });
            aside[k] = at[k];
            let rise = (above - below) / (2.0 * APART);
            slope.push(if rise.is_finite() { rise } else { 0.0 });
        }
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_form_the_foot_of_the_perpendicular_on_a_plane() {
        // 3·x + 4·y > 10 fails, and z plays no part: the nearest is at 2·(0.6, 0.8, 0).
        let limit = |z: &[f64]| 10.0 - 3.0 * z[0] - 4.0 * z[1];
        let found = shortest(&[-1.0, 5.0, 2.0], limit);
        for (found, exact) in zip(found, [1.2, 1.6, 0.0]) {
            assert!((found - exact).abs() < 0.02, "{found} {exact}");
        }
    }

    #[test]
    fn closed_form_the_nearest_point_of_a_parabola() {
        // y = 2 − x²/4 is nearest where it meets x = 0: for x² = t, t + (2 − t/4)² grows from t = 0 on.
        let limit = |z: &[f64]| 2.0 - 0.25 * z[0] * z[0] - z[1];
        let found = shortest(&[2.0, 3.0], limit);
        assert!((length(&found) - 2.0).abs() < 0.02, "{found:?}");
    }

    #[test]
    fn what_is_found_fails_also_where_the_limit_jumps() {
        let limit = |z: &[f64]| if z[0] > 1.0 && z[1] < 0.5 { -1.0 } else { 1.0 };
        let found = shortest(&[4.0, -2.0, 1.0], limit);
        assert!(limit(&found) <= 0.0);
        assert!((length(&found) - 1.0).abs() < 1e-3, "{found:?}");
    }
}
