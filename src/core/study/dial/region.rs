//! A region in the plane of two values, how far inside it a point lies, and its middle.
//!
//! A point's depth is the largest square round it that lies inside: both values may be off by the depth at
//! once, either way. The deepest point is no middle: where a region is long and evenly wide, a touch moves it from
//! one end to the other. The middle is the mean of all points nearly as deep, each with its depth above
//! theirs for a weight: it moves as little as the region's edges do.

/// Share of the largest depth above which a point counts for the middle.
const NEARLY: f64 = 0.8;

/// Layers in which the depth is added up, points along the second value, halvings of a depth.
const LAYERS: usize = 8;
const ALONG: usize = 401;
const HALVINGS: usize = 40;

/// The window of the first value at a value of the second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Column {
    pub at: f64,
    pub low: f64,
    pub high: f64,
}

/// Columns side by side by rising value; between two of them both ends of the window run straight. Beyond the first
/// and the last the region goes on unchanged for a while.
#[derive(Debug, Clone)]
pub(super) struct Region {
    pub columns: Vec<Column>,
    /// How far it goes on before the first column and behind the last.
    pub beyond: [f64; 2],
    /// Ends of both values' ranges, beyond which the middle may not lie.
    pub range: [[f64; 2]; 2],
}

impl Region {
    /// Its middle, and the depth there; `None` where it has no breadth.
    pub fn middle(&self) -> Option<([f64; 2], f64)> {
        let deepest = self.deepest();
        if deepest <= 0.0 {
            return None;
        }
        let (mut weight, mut sum) = (0.0, [0.0; 2]);
        for layer in 0..LAYERS {
            let share = (layer as f64 + 0.5) / LAYERS as f64;
            let depth = deepest * (NEARLY + (1.0 - NEARLY) * share);
            for at in self.along() {
                if let Some([low, high]) = self.inner(at, depth) {
                    let wide = high - low;
                    weight += wide;
                    sum[0] += wide * 0.5 * (low + high);
                    sum[1] += wide * at;
                }
            }
        }
        let mean = sum.map(|s| s / weight);
        (weight > 0.0).then(|| self.held(mean, NEARLY * deepest))
    }

    /// The largest depth of any point in the range.
    pub fn deepest(&self) -> f64 {
        let most = self.columns.iter().map(|c| 0.5 * (c.high - c.low));
        let most = most.fold(0.0, f64::max);
        let any = |depth| self.along().any(|at| self.inner(at, depth).is_some());
        halved(most, any)
    }

    /// The deepest point at a value of the second key, and its depth; `None` where that has no breadth.
    pub fn deepest_at(&self, at: f64) -> Option<(f64, f64)> {
        if self.columns.is_empty() {
            return None;
        }
        let most = self.columns.iter().map(|c| 0.5 * (c.high - c.low));
        let depth = halved(most.fold(0.0, f64::max), |depth| {
            self.inner(at, depth).is_some()
        });
        let [low, high] = self.inner(at, depth).filter(|_| depth > 0.0)?;
        Some((0.5 * (low + high), depth))
    }

    /// The depth of a point.
    pub fn depth(&self, [x, at]: [f64; 2]) -> f64 {
        let most = self.columns.iter().map(|c| 0.5 * (c.high - c.low));
        let most = most.fold(0.0, f64::max);
        halved(most, |depth| {
            let inner = self.inner(at, depth);
            inner.is_some_and(|[low, high]| (low..=high).contains(&x))
        })
    }

    /// A point as it is, or where the region is bent and leaves it out the nearest that is as deep as asked.
    fn held(&self, point: [f64; 2], depth: f64) -> ([f64; 2], f64) {
        let own = self.depth(point);
        if own >= depth {
            return (point, own);
        }
        let near = self.along().filter_map(|at| {
            let [low, high] = self.inner(at, depth)?;
            Some([point[0].clamp(low, high), at])
        });
        let away = |p: &[f64; 2]| (p[0] - point[0]).hypot(p[1] - point[1]);
        let found = near.min_by(|a, b| away(a).total_cmp(&away(b)));
        found.map_or((point, own), |found| (found, self.depth(found)))
    }

    /// Values of the second key at which the region is looked at.
    fn along(&self) -> impl Iterator<Item = f64> + '_ {
        let [first, last] = self.ends();
        let [from, to] = self.range[1];
        let (low, high) = (first.max(from), last.min(to));
        (0..ALONG).map(move |k| low + (high - low) * k as f64 / (ALONG - 1) as f64)
    }

    fn ends(&self) -> [f64; 2] {
        let [first, last] = match self.columns.as_slice() {
            [first, .., last] => [first.at, last.at],
            [only] => [only.at; 2],
            [] => [0.0; 2],
        };
        [first - self.beyond[0], last + self.beyond[1]]
    }

    /// Values of the first key, in its range, that are at least `depth` deep at `at`.
    pub fn inner(&self, at: f64, depth: f64) -> Option<[f64; 2]> {
        let [first, last] = self.ends();
        let (from, to) = (at - depth, at + depth);
        if from < first || to > last {
            return None;
        }
        let between = self.columns.iter().filter(|c| from < c.at && c.at < to);
        let between = between.map(|c| [c.low, c.high]);
        let all = [from, to].map(|at| self.window(at)).into_iter();
        let [low, high] = all
            .chain(between)
            .fold([f64::NEG_INFINITY, f64::INFINITY], |[low, high], [l, h]| {
                [low.max(l), high.min(h)]
            });
        let low = (low + depth).max(self.range[0][0]);
        let high = (high - depth).min(self.range[0][1]);
        (low <= high).then_some([low, high])
    }

    /// The window at a value between the columns, or beyond them.
    fn window(&self, at: f64) -> [f64; 2] {
        let next = self.columns.partition_point(|c| c.at < at);
        let last = self.columns.len() - 1;
        let (a, b) = (
            &self.columns[next.saturating_sub(1)],
            &self.columns[next.min(last)],
        );
        let share = if b.at > a.at {
            ((at - a.at) / (b.at - a.at)).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let mix = |a: f64, b: f64| a + (b - a) * share;
        [mix(a.low, b.low), mix(a.high, b.high)]
    }
}

/// The largest value up to `most` that holds, where all below it do.
fn halved(most: f64, holds: impl Fn(f64) -> bool) -> f64 {
    let (mut inside, mut outside) = (0.0, most);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (inside + outside);
        if holds(middle) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;

    const WIDE: [[f64; 2]; 2] = [[-10.0, 10.0]; 2];

    fn region(columns: impl IntoIterator<Item = (f64, f64, f64)>, range: [[f64; 2]; 2]) -> Region {
        let column = |(at, low, high)| Column { at, low, high };
        Region {
            columns: columns.into_iter().map(column).collect(),
            beyond: [0.0; 2],
            range,
        }
    }

    #[test]
    fn closed_form_the_middle_of_plain_shapes() {
        let close = |a: f64, b: f64| assert!((a - b).abs() < 2e-3, "{a} and {b}");
        // A rectangle: half its shorter side.
        let r = region([(0.0, 1.0, 2.0), (3.0, 1.0, 2.0)], WIDE);
        let ([x, y], depth) = r.middle().unwrap();
        [(x, 1.5), (y, 1.5), (depth, 0.5)]
            .into_iter()
            .for_each(|(a, b)| close(a, b));
        // A triangle of base and height 1: the inscribed square on its base has the side ab/(a + b) = 1/2.
        let r = region([(0.0, 0.0, 1.0), (1.0, 0.0, 0.0)], WIDE);
        close(r.deepest(), 0.25);
        // A band that leans: the square touches both of its sides at opposite corners.
        let r = region(
            (0..=40)
                .map(|k| f64::from(k) * 0.1)
                .map(|y| (y, y, y + 1.0)),
            WIDE,
        );
        let ([x, y], depth) = r.middle().unwrap();
        [(x, 2.5), (y, 2.0), (depth, 0.25)]
            .into_iter()
            .for_each(|(a, b)| close(a, b));
    }

    #[test]
    fn the_middle_moves_no_farther_than_the_edges_where_the_deepest_point_jumps() {
        // A band wider at one end than at the other, by little: the deepest point is at the wider end.
        let at = |more: f64| {
            let column = |k: i32| {
                let y = f64::from(k) * 0.1;
                (y, 0.0, 1.0 + more * (y - 2.0))
            };
            region((0..=40).map(column), WIDE).middle().unwrap().0[1]
        };
        let (one, other) = (at(-1e-3), at(1e-3));
        assert!((one - other).abs() < 0.05, "{one} and {other}");
        assert!((at(0.0) - 2.0).abs() < 1e-9);
    }

    #[test]
    fn the_middle_stays_in_the_range_and_in_a_bent_region() {
        let range = [[-10.0, 10.0], [2.9, 3.0]];
        let mut r = region([(2.9, 0.0, 1.0), (3.0, 0.0, 1.0)], range);
        r.beyond = [1.0; 2];
        let ([x, y], depth) = r.middle().unwrap();
        assert!((x - 0.5).abs() < 1e-9 && (y - 2.95).abs() < 1e-9, "{x} {y}");
        assert!((depth - 0.5).abs() < 1e-6, "{depth}");
        // An arc of a ring: the mean of its points lies outside of it.
        let ring = (-20..=20).map(|k| f64::from(k) * 0.05).map(|y| {
            let x = 3.0 * y * y;
            (y, x, x + 0.3)
        });
        let ([x, y], depth) = region(ring, WIDE).middle().unwrap();
        let low = 3.0 * y * y;
        assert!(low < x && x < low + 0.3 && depth > 0.0, "{x} {y} {depth}");
    }

    #[test]
    fn a_region_without_breadth_has_no_middle() {
        assert!(region([(1.0, 2.0, 2.0)], WIDE).middle().is_none());
        assert!(
            region([(1.0, 2.0, 2.0), (2.0, 3.0, 3.0)], WIDE)
                .middle()
                .is_none()
        );
    }
}
