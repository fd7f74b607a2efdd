//! The grid of a map: where its points lie, and what came of them.

use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::geometry::Rect;
use crate::plot::text::width;
use crate::plot::theme::{self, Stroke};
use crate::quantity::shown;
use arcplunge_core::simulation::named::Read;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::sweep::{Row, Sweep};

/// A sweep of two keys on its picture.
pub(super) struct Map<'a> {
    pub sweep: &'a Sweep,
    pub rows: &'a [Row],
    pub rect: Rect,
    /// Number of values up and across.
    pub tall: usize,
    pub wide: usize,
}

impl Map<'_> {
    /// Place of a point of the grid, in cells from the lower left value.
    pub(super) fn place(&self, (across, up): (f64, f64)) -> Point {
        let r = &self.rect;
        let share = |k: f64, n: usize| k / (n - 1) as f64;
        (
            r.left + share(across, self.wide) * (r.right - r.left),
            r.bottom - share(up, self.tall) * (r.bottom - r.top),
        )
    }

    /// The verdict at a point.
    pub(super) fn verdict(&self, up: usize, across: usize) -> Option<Verdict> {
        self.rows[up * self.wide + across].outcome.verdict()
    }

    /// A figure at every point, as it is shown.
    pub(super) fn values(&self, (name, read): (&'static str, Read)) -> Vec<f64> {
        // No arc fills nothing and boils nothing off; an invalid case counts as that.
        let value = |row: &Row| row.outcome.figures().and_then(read).unwrap_or(0.0);
        self.rows
            .iter()
            .map(|row| shown(name, value(row)))
            .collect()
    }

    /// The value of a line \[SI\], written on it where there is room.
    pub(super) fn value(
        &self,
        canvas: &mut Canvas,
        (name, level): (&'static str, f64),
        line: &[Point],
        stroke: &Stroke,
        taken: &mut Vec<Rect>,
    ) {
        let level = level / shown(name, 1.0);
        let word = match name {
            "fill_ratio" if level == 1.0 => "fill 1".to_string(),
            _ => crate::quantity::text(name, Some(level)),
        };
        let size = (width(&word, theme::SMALL, false) + 6.0, 15.0);
        let r = &self.rect;
        for share in [0.5, 0.35, 0.65, 0.2, 0.8] {
            let k = (share * line.len() as f64) as usize;
            let Some(&at) = line.get(k) else { return };
            let around = Rect::about(at, size);
            let clear = r.holds(&around) && !taken.iter().any(|t| t.near(&around, 4.0));
            if clear {
                canvas.fill(
                    (around.left, around.top),
                    (around.right, around.bottom),
                    theme::WHITE,
                );
                canvas.text(
                    at,
                    &word,
                    Type::new(theme::SMALL, stroke.text, Hold::Middle),
                );
                taken.push(around);
                return;
            }
        }
    }
}
