//! A map of two keys: regions of the verdicts, contour lines of figures, the case itself.

use contour::ContourBuilder;

use super::look::{customary, look};
use crate::plot::Size;
use crate::plot::axis::Scale;
use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::geometry::Rect;
use crate::plot::text::{clean, fit, width};
use crate::plot::theme::{self, Stroke};
use crate::quantity::{label, shown, unit};
use arcplunge_core::simulation::named::{FIGURES, Read};
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::sweep::{Row, Sweep};

/// Margins \[px\].
const LEFT: f64 = 74.0;
const RIGHT: f64 = 28.0;
const HEAD: f64 = 98.0;
const FOOT: f64 = 76.0;

/// Lines of a figure: dark, and dashed for the one shown on demand.
const FILL: Stroke = Stroke::solid(theme::INK, theme::INK, 2.2);
const BOILED: Stroke = Stroke::solid(theme::ALARM, theme::ALARM, 1.8).dashed(7.0, 3.0);
const SHOWN: Stroke = Stroke::solid(theme::GREY, theme::SOFT, 1.2).dashed(3.0, 3.0);

/// Contour lines of a figure on demand.
const LEVELS: usize = 5;

struct Map<'a> {
    sweep: &'a Sweep,
    rows: &'a [Row],
    rect: Rect,
    /// Number of values up and across.
    tall: usize,
    wide: usize,
}

/// Draws the map of a sweep of two keys, the first upward, the second across; `show` names a figure
/// whose contour lines are drawn besides those that bound the verdicts.
pub fn svg(
    sweep: &Sweep,
    rows: &[Row],
    show: Option<&'static str>,
    title: &str,
    size: Size,
) -> String {
    let (w, h) = (f64::from(size.width), f64::from(size.height));
    let mut canvas = Canvas::new(size.width, size.height);
    let map = Map {
        sweep,
        rows,
        rect: Rect {
            left: LEFT,
            top: HEAD,
            right: w - RIGHT,
            bottom: h - FOOT,
        },
        tall: sweep.vary[0].count,
        wide: sweep.vary[1].count,
    };
    let (title_text, title_size) = fit(&clean(title), true, theme::TITLE, 12.0, w - LEFT - RIGHT);
    let heading = Type::new(title_size, theme::INK, Hold::Start).bold();
    canvas.text((LEFT, 26.0), &title_text, heading);
    map.regions(&mut canvas);
    let mut taken = Vec::new();
    let mut legend = vec![("melt just fills the wedge".to_string(), FILL)];
    if let Some(figure) = FIGURES.iter().find(|(n, _)| Some(*n) == show) {
        let levels = map.levels(*figure);
        map.contours(&mut canvas, *figure, &levels, &SHOWN, &mut taken);
        legend.push((format!("{}, each line its value", label(figure.0)), SHOWN));
    }
    let hot = sweep.base.model.hot_share;
    let find = |name: &str| FIGURES.iter().find(|(n, _)| *n == name).copied();
    if let (Some(fill), Some(vapour)) = (find("fill_ratio"), find("vapour_share")) {
        map.contours(&mut canvas, vapour, &[hot], &BOILED, &mut taken);
        map.contours(&mut canvas, fill, &[1.0], &FILL, &mut taken);
    }
    legend.push((format!("{:.0} % boiled off", 100.0 * hot), BOILED));
    map.names(&mut canvas, &mut taken);
    map.own(&mut canvas);
    map.axes(&mut canvas, w, h);
    let mut x = LEFT;
    for (word, stroke) in &legend {
        canvas.line(&[(x, 54.0), (x + 26.0, 54.0)], stroke);
        let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
        canvas.text((x + 32.0, 54.0), word, how);
        x += 32.0 + width(word, theme::NAME, false) + 22.0;
    }
    let description = format!(
        "{title} Regions cold, sound, hot and burn-through over {} (horizontal) and {} (vertical).",
        sweep.vary[1].address, sweep.vary[0].address
    );
    canvas.finish(&clean(title), &clean(&description))
}

impl Map<'_> {
    /// Place of a point of the grid, in cells from the lower left value.
    fn place(&self, (across, up): (f64, f64)) -> Point {
        let r = &self.rect;
        let share = |k: f64, n: usize| k / (n - 1) as f64;
        (
            r.left + share(across, self.wide) * (r.right - r.left),
            r.bottom - share(up, self.tall) * (r.bottom - r.top),
        )
    }

    fn verdict(&self, up: usize, across: usize) -> Option<Verdict> {
        self.rows[up * self.wide + across].outcome.verdict()
    }

    /// Each value's surroundings in the tint of its verdict, runs of one verdict as one rectangle.
    fn regions(&self, canvas: &mut Canvas) {
        let half = |k: usize, n: usize, by: f64| (k as f64 + by).clamp(0.0, (n - 1) as f64);
        for up in 0..self.tall {
            let mut from = 0;
            for across in 1..=self.wide {
                let verdict = self.verdict(up, from);
                if across < self.wide && self.verdict(up, across) == verdict {
                    continue;
                }
                if let Some(tint) = look(verdict).1 {
                    let low = self.place((half(from, self.wide, -0.5), half(up, self.tall, -0.5)));
                    let high =
                        self.place((half(across - 1, self.wide, 0.5), half(up, self.tall, 0.5)));
                    // A little over, or hairs of the paper show between the rows.
                    canvas.fill((low.0, high.1 - 0.6), (high.0, low.1), tint);
                }
                from = across;
            }
        }
    }

    fn values(&self, (name, read): (&'static str, Read)) -> Vec<f64> {
        // No arc fills nothing and boils nothing off; an invalid case counts as that.
        let value = |row: &Row| row.outcome.figures().and_then(read).unwrap_or(0.0);
        self.rows
            .iter()
            .map(|row| shown(name, value(row)))
            .collect()
    }

    /// Even levels of a figure that is shown on demand.
    fn levels(&self, figure: (&'static str, Read)) -> Vec<f64> {
        let values = self.values(figure);
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let scale = Scale::along(unit(figure.0), low, high, LEVELS);
        let factor = scale.factor / shown(figure.0, 1.0);
        scale.ticks().iter().map(|t| t * factor).collect()
    }

    /// Contour lines of a figure \[SI levels\], each with its value where there is room.
    fn contours(
        &self,
        canvas: &mut Canvas,
        figure: (&'static str, Read),
        levels: &[f64],
        stroke: &Stroke,
        taken: &mut Vec<Rect>,
    ) {
        let values = self.values(figure);
        let levels: Vec<f64> = levels.iter().map(|l| shown(figure.0, *l)).collect();
        let lines = ContourBuilder::new(self.wide, self.tall, true).lines(&values, &levels);
        for found in lines.unwrap_or_default() {
            let level = found.threshold();
            let mut longest: Vec<Point> = Vec::new();
            for line in found.geometry() {
                let cells: Vec<(f64, f64)> =
                    line.coords().map(|c| (c.x - 0.5, c.y - 0.5)).collect();
                for part in inside(&cells, self.wide, self.tall) {
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

    fn value(
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

    /// Each verdict's name at the point of its region farthest from any other.
    fn names(&self, canvas: &mut Canvas, taken: &mut Vec<Rect>) {
        for verdict in Verdict::ALL {
            let mut best: Option<(f64, Point)> = None;
            for up in 0..self.tall {
                for across in 0..self.wide {
                    if self.verdict(up, across) != Some(verdict) {
                        continue;
                    }
                    let at = self.place((across as f64, up as f64));
                    let size = (width(verdict.name(), theme::TITLE, true) + 8.0, 24.0);
                    let around = Rect::about(at, size);
                    let room = self.room(at, verdict);
                    if self.rect.holds(&around)
                        && !taken.iter().any(|t| t.near(&around, 6.0))
                        && best.is_none_or(|(most, _)| room > most)
                    {
                        best = Some((room, at));
                    }
                }
            }
            if let Some((_, at)) = best {
                let how = Type::new(theme::TITLE, theme::INK, Hold::Middle).bold();
                canvas.text(at, verdict.name(), how);
                let size = (width(verdict.name(), theme::TITLE, true), 22.0);
                taken.push(Rect::about(at, size));
            }
        }
    }

    /// Distance \[px\] from a place to the nearest value of another verdict, or to the frame.
    fn room(&self, at: Point, verdict: Verdict) -> f64 {
        let r = &self.rect;
        let mut least = (at.0 - r.left)
            .min(r.right - at.0)
            .min(at.1 - r.top)
            .min(r.bottom - at.1);
        // Every other value is enough to find a middle.
        for up in (0..self.tall).step_by(2) {
            for across in (0..self.wide).step_by(2) {
                if self.verdict(up, across) != Some(verdict) {
                    let (x, y) = self.place((across as f64, up as f64));
                    least = least.min((x - at.0).hypot(0.4 * (y - at.1).abs().max(1.0)));
                }
            }
        }
        least
    }

    /// The case itself, where it lies on the map.
    fn own(&self, canvas: &mut Canvas) {
        let share = |k: usize| {
            let v = &self.sweep.vary[k];
            let now = v.address.number(&self.sweep.base)?;
            let share = (now - v.from) / (v.to - v.from);
            (0.0..=1.0).contains(&share).then_some(share)
        };
        let (Some(up), Some(across)) = (share(0), share(1)) else {
            return;
        };
        let at = self.place((across * (self.wide - 1) as f64, up * (self.tall - 1) as f64));
        canvas.dot(at, 7.0, theme::WHITE);
        canvas.dot(at, 5.0, theme::ACCENT);
        let word = "this case";
        let left = at.0 + 12.0 + width(word, theme::NAME, true) > self.rect.right;
        let (x, hold) = if left {
            (at.0 - 11.0, Hold::End)
        } else {
            (at.0 + 11.0, Hold::Start)
        };
        let how = Type::new(theme::NAME, theme::ACCENT_TEXT, hold).bold();
        canvas.text((x, at.1 - 10.0), word, how);
    }

    fn axes(&self, canvas: &mut Canvas, w: f64, h: f64) {
        let r = &self.rect;
        let corners = [
            (r.left, r.top),
            (r.right, r.top),
            (r.right, r.bottom),
            (r.left, r.bottom),
            (r.left, r.top),
        ];
        canvas.line(&corners, &theme::AXIS);
        let soft = |hold| Type::new(theme::NUMBER, theme::SOFT, hold);
        for (k, most, upward) in [
            (1, (r.right - r.left) / 80.0, false),
            (0, (r.bottom - r.top) / 45.0, true),
        ] {
            let vary = &self.sweep.vary[k];
            let (factor, unit) = customary(&vary.number);
            let (from, to) = (vary.from / factor, vary.to / factor);
            let scale = Scale::along(unit, from.min(to), from.max(to), most as usize);
            for tick in scale.ticks() {
                let share = (tick - from) / (to - from);
                if !(-1e-9..=1.0 + 1e-9).contains(&share) {
                    continue;
                }
                if upward {
                    let y = r.bottom - share * (r.bottom - r.top);
                    canvas.line(&[(r.left - 5.0, y), (r.left, y)], &theme::AXIS);
                    canvas.text((r.left - 9.0, y), &scale.number(tick), soft(Hold::End));
                } else {
                    let x = r.left + share * (r.right - r.left);
                    canvas.line(&[(x, r.bottom), (x, r.bottom + 5.0)], &theme::AXIS);
                    canvas.text(
                        (x, r.bottom + 17.0),
                        &scale.number(tick),
                        soft(Hold::Middle),
                    );
                }
            }
            let name = scale.named(&vary.address.to_string());
            let how = Type::new(
                theme::NAME,
                theme::SOFT,
                if upward { Hold::Start } else { Hold::Middle },
            );
            if upward {
                canvas.text((10.0, r.top - 16.0), &name, how);
            } else {
                canvas.text((0.5 * (r.left + r.right), h - 34.0), &name, how);
            }
        }
        let word = "A verdict is a screen: test welds decide.";
        canvas.text(
            (w - RIGHT, h - 12.0),
            word,
            Type::new(theme::SMALL, theme::SOFT, Hold::End),
        );
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
