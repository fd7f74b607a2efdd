//! Curves before they are drawn: cut to the range shown, and freed of points nobody sees.

/// The part of a curve with `low` ≤ x ≤ `high`, its ends interpolated. Points come in order of x;
/// two at the same x are a jump. What is not finite is left out.
pub fn cut(points: &[(f64, f64)], low: f64, high: f64) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = Vec::new();
    let mut before: Option<(f64, f64)> = None;
    let finite = points.iter().filter(|p| p.0.is_finite() && p.1.is_finite());
    for &(x, y) in finite {
        if let Some((xa, ya)) = before {
            let at = |edge: f64| (edge, ya + (y - ya) * (edge - xa) / (x - xa));
            if xa < low && x > low {
                out.push(at(low));
            }
            if xa < high && x > high {
                out.push(at(high));
            }
        }
        if (low..=high).contains(&x) {
            out.push((x, y));
        }
        before = Some((x, y));
    }
    out
}

/// Points of a drawn line without which it stays within `tolerance` of where it was.
///
/// D. H. Douglas and T. K. Peucker, "Algorithms for the reduction of the number of points required
/// to represent a digitized line or its caricature", Cartographica 10 (1973) 112-122.
pub fn simplify(points: &[(f64, f64)], tolerance: f64) -> Vec<(f64, f64)> {
    if points.len() < 3 {
        return points.to_vec();
    }
    let mut keep = vec![false; points.len()];
    keep[0] = true;
    keep[points.len() - 1] = true;
    let mut spans = vec![(0, points.len() - 1)];
    while let Some((a, b)) = spans.pop() {
        let far = (a + 1..b)
            .map(|k| (distance(points[k], points[a], points[b]), k))
            .max_by(|p, q| p.0.total_cmp(&q.0));
        if let Some((d, k)) = far
            && d > tolerance
        {
            keep[k] = true;
            spans.push((a, k));
            spans.push((k, b));
        }
    }
    let kept = points.iter().zip(keep).filter(|(_, keep)| *keep);
    kept.map(|(p, _)| *p).collect()
}

/// Distance of a point from a stretch.
pub fn distance(p: (f64, f64), a: (f64, f64), b: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length2 = dx * dx + dy * dy;
    let t = if length2 > 0.0 {
        (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / length2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (p.0 - a.0 - t * dx).hypot(p.1 - a.1 - t * dy)
}
