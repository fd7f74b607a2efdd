//! Prior and posterior of what the welds say most of, and where the weld is sound, before and after.

use super::words::value;
use crate::format::plural;
use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::heading::heading as above;
use crate::plot::text::{clean, fit, width};
use crate::plot::theme::{self, Stroke};
use crate::title;
use arcplunge_core::study::calibrate::found::Found;
use arcplunge_core::study::calibrate::settings::Windows;
use arcplunge_core::study::points::score;

/// Size, margins and what a panel takes \[px\].
const WIDTH: f64 = 1000.0;
const LEFT: f64 = 48.0;
const RIGHT: f64 = 32.0;
const HEAD: f64 = 96.0;
const WINDOW: f64 = 190.0;
const PANEL: f64 = 128.0;
const NAMES: f64 = 26.0;
const SCALE: f64 = 34.0;
const FOOT: f64 = 28.0;
const BETWEEN: f64 = 36.0;

/// Unknowns that are drawn, in columns.
const MOST: usize = 6;
const ACROSS: usize = 3;

/// Points of a curve, and samples of the prior.
const POINTS: usize = 120;
const PRIOR: usize = 400;

const BEFORE: Stroke = Stroke::solid(theme::GREY, theme::SOFT, 1.6).dashed(6.0, 3.5);
const AFTER: Stroke = Stroke::solid(theme::ACCENT, theme::ACCENT_TEXT, 2.4);

/// Draws the picture.
pub fn svg(found: &Found) -> String {
    let learnt = found.posterior.learnt(found.problem.unknowns.count());
    let shown: Vec<usize> = learnt.iter().take(MOST).map(|m| m.place).collect();
    let rows = shown.len().div_ceil(ACROSS) as f64;
    let tall = HEAD + NAMES + WINDOW + SCALE + rows * (NAMES + PANEL + SCALE) + FOOT;
    let mut canvas = Canvas::new(WIDTH as u32, tall.ceil() as u32);
    heading(&mut canvas, found);
    let across = (LEFT, WIDTH - RIGHT);
    sound(&mut canvas, found, across, HEAD);
    let wide = (across.1 - across.0 - BETWEEN * (ACROSS - 1) as f64) / ACROSS as f64;
    for (n, place) in shown.iter().enumerate() {
        let left = LEFT + (n % ACROSS) as f64 * (wide + BETWEEN);
        let row = (n / ACROSS) as f64 * (NAMES + PANEL + SCALE);
        let top = HEAD + NAMES + WINDOW + SCALE + row;
        unknown(&mut canvas, found, *place, (left, left + wide), top);
    }
    let word = "What the model leaves out no weld can teach it. Test welds decide.";
    let how = Type::new(theme::SMALL, theme::SOFT, Hold::End);
    canvas.text((WIDTH - RIGHT, tall - 12.0), word, how);
    let what = title::what(&found.problem.base);
    let names: Vec<String> = shown.iter().map(|k| found.problem.name(*k)).collect();
    let description = format!(
        "{what} Share of the rigs with a sound weld over {}, before and after {}, and the densities of {}.",
        found.asked.vary[0].address,
        plural(found.problem.welds.welds.len(), "test weld"),
        names.join(", ")
    );
    canvas.finish(&clean(&what), &clean(&description))
}

fn heading(canvas: &mut Canvas, found: &Found) {
    let welds = plural(found.problem.welds.welds.len(), "test weld");
    let line = format!("calibrated on {welds}");
    above(
        canvas,
        &found.problem.base,
        LEFT,
        WIDTH - LEFT - RIGHT,
        &line,
    );
    let mut x = LEFT;
    for (word, stroke) in [("before the welds", &BEFORE), ("after them", &AFTER)] {
        canvas.line(&[(x, 72.0), (x + 26.0, 72.0)], stroke);
        let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
        canvas.text((x + 33.0, 72.0), word, how);
        x += 33.0 + width(word, theme::NAME, false) + 26.0;
    }
}

/// A frame with a scale below: its curves as shares of its height over values of its axis.
struct Plot<'a> {
    across: Point,
    top: f64,
    tall: f64,
    ends: Point,
    text: &'a dyn Fn(f64) -> String,
}

impl Plot<'_> {
    fn x(&self, value: f64) -> f64 {
        let share = (value - self.ends.0) / (self.ends.1 - self.ends.0);
        self.across.0 + share * (self.across.1 - self.across.0)
    }

    fn y(&self, share: f64) -> f64 {
        self.top + self.tall * (1.0 - share)
    }

    fn frame(&self, canvas: &mut Canvas, name: &str) {
        let room = self.across.1 - self.across.0;
        let (name, size) = fit(&clean(name), true, theme::NAME, 8.0, room);
        let how = Type::new(size, theme::INK, Hold::Start).bold();
        canvas.text((self.across.0, self.top - 0.5 * NAMES + 2.0), &name, how);
        let bottom = self.y(0.0);
        canvas.line(
            &[(self.across.0, bottom), (self.across.1, bottom)],
            &theme::AXIS,
        );
        for (share, hold) in [(0.0, Hold::Start), (0.5, Hold::Middle), (1.0, Hold::End)] {
            let value = self.ends.0 + share * (self.ends.1 - self.ends.0);
            let x = self.x(value);
            canvas.line(&[(x, bottom), (x, bottom + 4.0)], &theme::AXIS);
            let how = Type::new(theme::NUMBER, theme::SOFT, hold);
            canvas.text((x, bottom + 14.0), &(self.text)(value), how);
        }
    }

    fn curve(&self, canvas: &mut Canvas, points: &[Point], stroke: &Stroke) {
        let points: Vec<Point> = points
            .iter()
            .map(|(x, y)| (self.x(*x), self.y(*y)))
            .collect();
        canvas.line(&points, stroke);
    }
}

/// Share of the rigs with a sound weld over the first key.
fn sound(canvas: &mut Canvas, found: &Found, across: Point, top: f64) {
    let vary = &found.asked.vary[0];
    let plot = Plot {
        across,
        top: top + NAMES,
        tall: WINDOW,
        ends: drawn(&found.before, &found.after),
        text: &|value| vary.short(value),
    };
    for share in [0.25, 0.5, 0.75, 1.0] {
        let y = plot.y(share);
        canvas.line(&[(across.0, y), (across.1, y)], &theme::RULE);
        let how = Type::new(theme::NUMBER, theme::SOFT, Hold::End);
        canvas.text((across.0 - 5.0, y), &format!("{share}"), how);
    }
    let name = format!(
        "Share of the rigs with a sound weld over {}",
        vary.address.words()
    );
    plot.frame(canvas, &name);
    let (from, to) = plot.ends;
    let points = |w: &Windows| -> Vec<Point> {
        let all = w.values.iter().copied().zip(w.sound.iter().copied());
        all.filter(|(value, _)| (from..=to).contains(value))
            .collect()
    };
    plot.curve(canvas, &points(&found.before), &BEFORE);
    plot.curve(canvas, &points(&found.after), &AFTER);
    if let Some((best, share)) = found.after.best() {
        let (x, y) = (plot.x(best), plot.y(share));
        canvas.dot((x, y), 4.0, theme::ACCENT);
        let how = Type::new(theme::NAME, theme::ACCENT_TEXT, Hold::Middle).bold();
        // Under the dot: above it stands the heading, where the weld is all but sure.
        canvas.text((x, y + 14.0), &vary.short(best), how);
    }
}

/// The values between which a weld may be sound, and a little beyond.
fn drawn(before: &Windows, after: &Windows) -> Point {
    let values = &before.values;
    let some = |k: &usize| before.sound[*k] + after.sound[*k] > 0.0;
    let last = values.len() - 1;
    let first = (0..=last).find(some).unwrap_or(0);
    let end = (0..=last).rev().find(some).unwrap_or(last);
    let beyond = ((end - first) / 10).max(2);
    (
        values[first.saturating_sub(beyond)],
        values[(end + beyond).min(last)],
    )
}

/// Densities of an unknown.
fn unknown(canvas: &mut Canvas, found: &Found, place: usize, across: Point, top: f64) {
    let prior = (0..PRIOR).map(|n| score((n as f64 + 0.5) / PRIOR as f64));
    let before: Vec<f64> = prior.map(|z| found.problem.value(place, z)).collect();
    let particles = found.sampled.particles.iter();
    let after: Vec<f64> = particles
        .map(|p| found.problem.value(place, p.scores[place]))
        .collect();
    // Beyond the hundredth quantile there is next to nothing.
    let ends = (before[PRIOR / 100], before[PRIOR - 1 - PRIOR / 100]);
    let curves = [density(&before, ends), density(&after, ends)];
    let most = curves
        .iter()
        .flatten()
        .map(|(_, y)| *y)
        .fold(1e-300, f64::max);
    let plot = Plot {
        across,
        top: top + NAMES,
        tall: PANEL,
        ends,
        text: &|number| value(found, place, number),
    };
    plot.frame(canvas, &found.problem.name(place));
    for (curve, stroke) in curves.iter().zip([&BEFORE, &AFTER]) {
        let scaled: Vec<Point> = curve.iter().map(|(x, y)| (*x, 0.96 * y / most)).collect();
        plot.curve(canvas, &scaled, stroke);
    }
}

/// A density from samples, by normal kernels of Silverman's width, reflected at the ends so that none is lost there
/// (B. W. Silverman, Density Estimation (1986), eq. 3.31 and section 2.10).
fn density(samples: &[f64], (low, high): Point) -> Vec<Point> {
    let n = samples.len() as f64;
    let mean = samples.iter().sum::<f64>() / n;
    let squares: f64 = samples.iter().map(|v| (v - mean).powi(2)).sum();
    let width = (0.9 * (squares / n).sqrt() * n.powf(-0.2)).max(1e-6 * (high - low));
    let kernel = |off: f64| (-0.5 * (off / width).powi(2)).exp() / width;
    let at = |k: usize| low + (high - low) * k as f64 / (POINTS - 1) as f64;
    let value = |x: f64| {
        let each = samples
            .iter()
            .map(|s| kernel(x - s) + kernel(x - (2.0 * low - s)) + kernel(x - (2.0 * high - s)));
        (x, each.sum::<f64>() / n)
    };
    (0..POINTS).map(at).map(value).collect()
}
