//! Melt curves without the waves of the mesh.
//!
//! A front that moves through fixed cells by enthalpy advances in small waves, one a cell (V. Voller
//! and M. Cross, "Accurate solutions of moving boundary problems using the enthalpy method",
//! International Journal of Heat and Mass Transfer 24 (1981) 545-556). They are of the mesh, not of
//! the weld, so a drawing takes them out; files keep what was computed.

/// Points a smoothed stretch is drawn with.
const POINTS: usize = 400;
/// Half the width of the window, as a share of the stretch.
const HALF: f64 = 0.06;
/// No point moves farther than this share of the largest value.
pub const LIMIT: f64 = 0.02;

/// The curve (x rising) with its stretch above zero smoothed by a local parabola under tricube
/// weights: W. S. Cleveland, "Robust locally weighted regression and smoothing scatterplots",
/// Journal of the American Statistical Association 74 (1979) 829-836.
pub fn smooth(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let first = points.iter().position(|p| p.1 > 0.0);
    let last = points.iter().rposition(|p| p.1 > 0.0);
    let (Some(first), Some(last)) = (first, last) else {
        return points.to_vec();
    };
    let (from, to) = (points[first].0, points[last].0);
    if last - first < 16 || from >= to {
        return points.to_vec();
    }
    let step = (to - from) / (POINTS - 1) as f64;
    let even = sample(&points[first..=last], from, step);
    let most = even.iter().copied().fold(0.0, f64::max);
    let reach = (HALF * POINTS as f64) as usize;
    let mut out = points[..first].to_vec();
    for k in 0..POINTS {
        let window = k.saturating_sub(reach)..(k + reach + 1).min(POINTS);
        let value = parabola(&even, window, k, reach as f64 + 1.0);
        let room = LIMIT * most;
        let held = value.clamp(even[k] - room, even[k] + room).max(0.0);
        out.push((from + step * k as f64, held));
    }
    out.extend_from_slice(&points[last + 1..]);
    out
}

/// Values at `POINTS` even places.
fn sample(points: &[(f64, f64)], from: f64, step: f64) -> Vec<f64> {
    let mut k = 0;
    (0..POINTS)
        .map(|n| {
            let x = from + step * n as f64;
            while k + 2 < points.len() && points[k + 1].0 < x {
                k += 1;
            }
            let (a, b) = (points[k], points[k + 1]);
            if b.0 > a.0 {
                a.1 + (b.1 - a.1) * ((x - a.0) / (b.0 - a.0)).clamp(0.0, 1.0)
            } else {
                b.1
            }
        })
        .collect()
}

/// Value at `k` of the weighted least-squares parabola through the window.
fn parabola(values: &[f64], window: std::ops::Range<usize>, k: usize, width: f64) -> f64 {
    let mut s = [0.0; 5];
    let mut t = [0.0; 3];
    for j in window {
        let u = (j as f64 - k as f64) / width;
        let w = (1.0 - u.abs().powi(3)).powi(3);
        let mut power = w;
        for (n, sum) in s.iter_mut().enumerate() {
            *sum += power;
            if n < 3 {
                t[n] += power * values[j];
            }
            power *= u;
        }
    }
    // Cramer's rule for the constant term.
    let det = |a: [f64; 3], b: [f64; 3], c: [f64; 3]| {
        a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    };
    let whole = det([s[0], s[1], s[2]], [s[1], s[2], s[3]], [s[2], s[3], s[4]]);
    det([t[0], s[1], s[2]], [t[1], s[2], s[3]], [t[2], s[3], s[4]]) / whole
}
