//! Regions and lines of a map: tints of the verdicts with their exact edges, lines where the weld changes, contours.

use contour::ContourBuilder;

use super::grid::Map;
use super::look::look;
use super::trace::{areas, lines};
use crate::plot::canvas::{Canvas, Point};
use crate::plot::geometry::Rect;
use crate::plot::theme::Stroke;
use crate::quantity::shown;
use arcplunge_core::simulation::named::Read;
use arcplunge_core::simulation::verdict::Cause;
use arcplunge_core::study::edges::{Edges, edges};
use arcplunge_core::study::sweep::Outcome;

/// What changes over a map, and where.
pub(super) struct Changes {
    pub verdict: Edges,
    /// Where the arc goes out before touchdown.
    pub out: Edges,
    /// Where melt just fills the wedge.
    pub full: Edges,
    /// Where as much boils off as the case allows.
    pub hot: Edges,
}

impl Changes {
    /// Finds them all; fires between the points of the grid.
    pub fn of(map: &Map) -> Changes {
        let (sweep, rows) = (map.sweep, map.rows);
        let hot = sweep.base.model.hot_share;
        let above = |read: fn(&Outcome) -> Option<f64>, level: f64| {
            edges(sweep, rows, move |o| read(o).is_some_and(|v| v >= level))
        };
        Changes {
            verdict: edges(sweep, rows, Outcome::verdict),
            out: edges(sweep, rows, is_out),
            full: above(|o| o.figures()?.fill_ratio, 1.0),
            hot: above(|o| o.figures()?.vapour_share, hot),
        }
    }
}

fn is_out(outcome: &Outcome) -> bool {
    matches!(outcome, Outcome::Shot { cause, .. } if *cause == Cause::ArcOut)
}

impl Map<'_> {
    /// The tints of the verdicts: cells of one verdict as rectangles, the others cut where it changes.
    pub(super) fn regions(&self, canvas: &mut Canvas, changes: &Changes) {
        // On whole pixels, or hairs of the paper would show between the cells.
        let place = |at: (f64, f64)| {
            let whole = |v: f64| v.round();
            let corner = at.0.fract() == 0.0 && at.1.fract() == 0.0;
            let (x, y) = self.place(at);
            match (corner, at.0.fract() == 0.0, at.1.fract() == 0.0) {
                (true, ..) => (whole(x), whole(y)),
                (_, true, _) => (whole(x), y),
                (_, _, true) => (x, whole(y)),
                _ => (x, y),
            }
        };
        for j in 0..self.tall - 1 {
            let alike = |k: usize| {
                let all = [(j, k), (j, k + 1), (j + 1, k), (j + 1, k + 1)];
                let first = self.verdict(j, k);
                let same = all
                    .iter()
                    .all(|(up, across)| self.verdict(*up, *across) == first);
                same.then_some(first)
            };
            let mut k = 0;
            while k < self.wide - 1 {
                let Some(verdict) = alike(k) else {
                    let all = areas(&changes.verdict, (k, j), |k, j| self.verdict(j, k));
                    let tinted = all
                        .into_iter()
                        .filter_map(|(verdict, area)| Some((area, look(verdict).1?)));
                    for (area, tint) in tinted {
                        let points: Vec<Point> = area.into_iter().map(place).collect();
                        canvas.polygon(&points, tint);
                    }
                    k += 1;
                    continue;
                };
                let from = k;
                while k < self.wide - 1 && alike(k) == Some(verdict) {
                    k += 1;
                }
                if let Some(tint) = look(verdict).1 {
                    let low = place((from as f64, j as f64));
                    let high = place((k as f64, (j + 1) as f64));
                    canvas.fill((low.0, high.1), (high.0, low.1), tint);
                }
            }
        }
    }

    /// Draws the lines of a change, but for where `skip` changes as well; whether there are any.
    pub(super) fn change(
        &self,
        canvas: &mut Canvas,
        of: &Edges,
        skip: Option<&Edges>,
        stroke: &Stroke,
    ) -> Option<Vec<Point>> {
        let mut longest: Vec<Point> = Vec::new();
        for line in lines(of, self.wide, self.tall, skip) {
            let points: Vec<Point> = line.into_iter().map(|at| self.place(at)).collect();
            canvas.line(&points, stroke);
            if points.len() > longest.len() {
                longest = points;
            }
        }
        (!longest.is_empty()).then_some(longest)
    }

    fn outs(&self) -> Vec<bool> {
        self.rows.iter().map(|row| is_out(&row.outcome)).collect()
    }

    /// Contour lines of a figure \[SI levels\], each with its value where there is room; interrupted where the arc goes
    /// out, over which a figure jumps.
    pub(super) fn contours(
        &self,
        canvas: &mut Canvas,
        figure: (&'static str, Read),
        levels: &[f64],
        stroke: &Stroke,
        taken: &mut Vec<Rect>,
    ) {
        let (values, outs) = (self.values(figure), self.outs());
        let levels: Vec<f64> = levels.iter().map(|l| shown(figure.0, *l)).collect();
        let jumps = |at: (f64, f64)| {
            let [k, j] = [at.0, at.1].map(|v| v.max(0.0) as usize);
            let node =
                |k: usize, j: usize| outs[j.min(self.tall - 1) * self.wide + k.min(self.wide - 1)];
            let all = [
                node(k, j),
                node(k + 1, j),
                node(k, j + 1),
                node(k + 1, j + 1),
            ];
            all.iter().any(|out| *out) && !all.iter().all(|out| *out)
        };
        let lines = ContourBuilder::new(self.wide, self.tall, true).lines(&values, &levels);
        for found in lines.unwrap_or_default() {
            let level = found.threshold();
            let mut longest: Vec<Point> = Vec::new();
            let parts = found.geometry().iter().flat_map(|line| {
                let cells: Vec<(f64, f64)> =
                    line.coords().map(|c| (c.x - 0.5, c.y - 0.5)).collect();
                inside(&cells, self.wide, self.tall)
            });
            for part in parts {
                let smooth = part.split(|at| jumps(*at)).filter(|part| part.len() > 1);
                for part in smooth {
                    let points: Vec<Point> = part.iter().map(|p| self.place(*p)).collect();
                    canvas.line(&points, stroke);
                    if points.len() > longest.len() {
                        longest = points;
                    }
                }
            }
            self.value(canvas, (figure.0, level), &longest, stroke, taken);
        }
    }
}

/// The parts of a line that do not run along the border of the grid.
fn inside(line: &[(f64, f64)], wide: usize, tall: usize) -> Vec<Vec<(f64, f64)>> {
    let (right, top) = ((wide - 1) as f64, (tall - 1) as f64);
    let out = |p: (f64, f64)| p.0 <= 0.0 || p.1 <= 0.0 || p.0 >= right || p.1 >= top;
    let held = |p: (f64, f64)| (p.0.clamp(0.0, right), p.1.clamp(0.0, top));
    let mut parts: Vec<Vec<(f64, f64)>> = vec![Vec::new()];
    for pair in line.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if out(a) && out(b) {
            parts.push(Vec::new());
            continue;
        }
        if let Some(part) = parts.last_mut() {
            if part.is_empty() {
                part.push(held(a));
            }
            part.push(held(b));
        }
    }
    parts.retain(|part| part.len() > 1);
    parts
}
