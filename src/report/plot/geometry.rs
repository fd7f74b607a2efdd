//! Boxes and lines on the paper, and how far they are apart.

use super::canvas::Point;
use super::curve::distance;

/// A rectangle \[px\]; y grows downwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// x of the left edge.
    pub left: f64,
    /// y of the upper edge.
    pub top: f64,
    /// x of the right edge.
    pub right: f64,
    /// y of the lower edge.
    pub bottom: f64,
}

impl Rect {
    /// A rectangle of a size about a middle.
    pub fn about((x, y): Point, (w, h): (f64, f64)) -> Self {
        Rect {
            left: x - 0.5 * w,
            top: y - 0.5 * h,
            right: x + 0.5 * w,
            bottom: y + 0.5 * h,
        }
    }

    /// Where its diagonals meet \[px\].
    pub fn middle(&self) -> Point {
        (
            0.5 * (self.left + self.right),
            0.5 * (self.top + self.bottom),
        )
    }

    /// Whether `other` lies inside.
    pub fn holds(&self, other: &Rect) -> bool {
        self.left <= other.left
            && self.top <= other.top
            && self.right >= other.right
            && self.bottom >= other.bottom
    }

    /// Whether the two come closer than `space`.
    pub fn near(&self, other: &Rect, space: f64) -> bool {
        self.left < other.right + space
            && other.left < self.right + space
            && self.top < other.bottom + space
            && other.top < self.bottom + space
    }

    /// Distance from a stretch; 0 if it crosses.
    fn gap_to_stretch(&self, a: Point, b: Point) -> f64 {
        if self.contains(a) || self.contains(b) {
            return 0.0;
        }
        let corners = self.corners();
        let mut least = f64::INFINITY;
        for k in 0..4 {
            let (c, d) = (corners[k], corners[(k + 1) % 4]);
            if crosses(a, b, c, d) {
                return 0.0;
            }
            least = least.min(distance(c, a, b));
            least = least.min(distance(a, c, d)).min(distance(b, c, d));
        }
        least
    }

    /// Distance from a line through points.
    pub fn gap_to_line(&self, line: &[Point]) -> f64 {
        line.windows(2)
            .map(|s| self.gap_to_stretch(s[0], s[1]))
            .fold(f64::INFINITY, f64::min)
    }

    fn contains(&self, (x, y): Point) -> bool {
        (self.left..=self.right).contains(&x) && (self.top..=self.bottom).contains(&y)
    }

    fn corners(&self) -> [Point; 4] {
        [
            (self.left, self.top),
            (self.right, self.top),
            (self.right, self.bottom),
            (self.left, self.bottom),
        ]
    }
}

/// Whether two stretches cross.
fn crosses(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

/// Least distance between two lines, taken at corners of both; 0 if they cross.
pub fn apart(one: &[Point], other: &[Point]) -> f64 {
    let mut least = f64::INFINITY;
    for s in one.windows(2) {
        for t in other.windows(2) {
            if crosses(s[0], s[1], t[0], t[1]) {
                return 0.0;
            }
            let ends = [
                distance(s[0], t[0], t[1]),
                distance(s[1], t[0], t[1]),
                distance(t[0], s[0], s[1]),
                distance(t[1], s[0], s[1]),
            ];
            least = ends.into_iter().fold(least, f64::min);
        }
    }
    least
}

/// Whether one line keeps within `tolerance` of the other, all along.
pub fn together(one: &[Point], other: &[Point], tolerance: f64) -> bool {
    let near = |p: &Point, line: &[Point]| {
        line.windows(2)
            .any(|s| distance(*p, s[0], s[1]) <= tolerance)
    };
    one.iter().all(|p| near(p, other)) && other.iter().all(|p| near(p, one))
}
