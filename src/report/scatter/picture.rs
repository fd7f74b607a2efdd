//! A scattered weld as a picture: histograms of the figures, the shots over the two keys that move
//! the first figure most, and how strongly each key moves it.

use plotters::style::RGBColor;

use super::words::{how, movers};
use crate::format::significant;
use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::geometry::Rect;
use crate::plot::heading::heading as above;
use crate::plot::text::{clean, shorten, width};
use crate::plot::theme::{self, Stroke};
use crate::plot::ticks::Axis;
use crate::quantity::{label, shown, unit};
use crate::sweep::look::customary;
use crate::title;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::quantiles::Quantile;
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::scatter::summary::Summary;

/// Size of the picture \[px\].
const WIDTH: f64 = 1000.0;
const HEIGHT: f64 = 880.0;

/// Margins, and what a histogram takes \[px\].
const LEFT: f64 = 46.0;
const RIGHT: f64 = 28.0;
const HEAD: f64 = 92.0;
const GAP: f64 = 34.0;
const TALL: f64 = 78.0;
const ROW: f64 = 138.0;

/// Histograms side by side, and in all.
const ACROSS: usize = 3;
const MOST: usize = 6;

const BINS: usize = 36;

/// Shots drawn one by one; more would hide each other.
const DOTS: usize = 1500;

/// Keys named as movers, none weaker than this.
const MOVERS: usize = 9;
const WEAK: f64 = 0.005;

/// The sound ones are pale, so that the others stand out in grey print too.
const SOUND: RGBColor = RGBColor(0x78, 0xC9, 0xAE);

/// Colour of a verdict's shots.
fn colour(verdict: Option<Verdict>) -> RGBColor {
    match verdict {
        Some(Verdict::Cold) => theme::ACCENT,
        Some(Verdict::OneSided) => theme::PURPLE,
        Some(Verdict::Sound) => SOUND,
        Some(Verdict::Hot) => theme::ALARM,
        Some(Verdict::BurnThrough) => theme::INK,
        None => theme::GREY,
    }
}

/// A shot's mark: each verdict has a shape of its own.
fn mark(canvas: &mut Canvas, (x, y): Point, verdict: Option<Verdict>, size: f64) {
    let paint = colour(verdict);
    let stroke = Stroke::solid(paint, paint, 0.42 * size);
    match verdict {
        Some(Verdict::Cold) => {
            canvas.line(&[(x - size, y - size), (x + size, y + size)], &stroke);
            canvas.line(&[(x - size, y + size), (x + size, y - size)], &stroke);
        }
        Some(Verdict::OneSided) => {
            canvas.line(&[(x - size, y + size), (x + size, y - size)], &stroke);
        }
        Some(Verdict::Hot) => {
            let s = 1.25 * size;
            canvas.polygon(&[(x, y - s), (x + s, y + s), (x - s, y + s)], paint);
        }
        Some(Verdict::BurnThrough) => {
            canvas.fill((x - size, y - size), (x + size, y + size), paint)
        }
        Some(Verdict::Sound) | None => canvas.dot((x, y), 0.8 * size, paint),
    }
}

/// Draws the picture; `show` names the figures, the first of which the keys are compared with.
pub fn svg(scatter: &Scatter, summary: &Summary, show: &[&'static str]) -> String {
    let mut canvas = Canvas::new(WIDTH as u32, HEIGHT as u32);
    let what = title::what(&scatter.base);
    heading(&mut canvas, scatter, summary);
    let show = &show[..show.len().min(MOST)];
    let wide = (WIDTH - LEFT - RIGHT - GAP * (ACROSS - 1) as f64) / ACROSS as f64;
    for (k, name) in show.iter().enumerate() {
        let (row, column) = (k / ACROSS, k % ACROSS);
        let (left, top) = (
            LEFT + column as f64 * (wide + GAP),
            HEAD + 24.0 + row as f64 * ROW,
        );
        let r = Rect {
            left,
            top,
            right: left + wide,
            bottom: top + TALL,
        };
        histogram(&mut canvas, summary, name, &r);
    }
    let top = HEAD + ROW * show.len().div_ceil(ACROSS) as f64 + 40.0;
    if let Some(first) = show.first() {
        let movers = movers(summary, first);
        shots(&mut canvas, scatter, summary, &movers, top);
        strengths(&mut canvas, scatter, &movers, first, top);
    }
    let word = "A verdict is a screen: test welds decide.";
    let how = Type::new(theme::SMALL, theme::SOFT, Hold::End);
    canvas.text((WIDTH - RIGHT, HEIGHT - 12.0), word, how);
    let description = format!(
        "{what} Histograms of {}, and the shots over the keys that influence the first most.",
        show.iter().map(|n| label(n)).collect::<Vec<_>>().join(", ")
    );
    canvas.finish(&clean(&what), &clean(&description))
}

fn heading(canvas: &mut Canvas, scatter: &Scatter, summary: &Summary) {
    let mut line = how(scatter, summary);
    if let Some(share) = summary.reject() {
        line += &format!(
            ": {} not sound ({} to {}, 95 %)",
            percent(share.share),
            percent(share.low),
            percent(share.high)
        );
    }
    above(canvas, &scatter.base, LEFT, WIDTH - LEFT - RIGHT, &line);
    let mut x = LEFT + 6.0;
    for verdict in Verdict::ALL {
        let Some(share) = summary.share(verdict).filter(|share| share.count > 0) else {
            continue;
        };
        mark(canvas, (x, 71.0), Some(verdict), 4.5);
        let word = format!("{} {}", verdict.name(), percent(share.share));
        let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
        canvas.text((x + 10.0, 71.0), &word, how);
        x += 10.0 + width(&word, theme::NAME, false) + 26.0;
    }
}

fn percent(share: f64) -> String {
    let p = 100.0 * share;
    let digits = if p >= 10.0 || p == 0.0 { 1 } else { 2 };
    format!("{p:.digits$} %")
}

/// A figure's values in the shots kept, stacked by verdict.
fn histogram(canvas: &mut Canvas, summary: &Summary, name: &'static str, r: &Rect) {
    let name_shown = label(name);
    let kept = summary.kept_figure(name);
    let values = kept.iter().zip(&summary.kept);
    let values: Vec<(f64, Option<Verdict>)> = values
        .filter_map(|(value, taken)| Some((shown(name, (*value)?), taken.verdict)))
        .collect();
    let all = values.iter().map(|(value, _)| *value);
    let axis = Axis::over(name_shown.to_string(), unit(name), all, 0.02);
    let unit = axis.shown_unit(r);
    let head = if unit.is_empty() {
        name_shown.to_string()
    } else {
        format!("{name_shown}, {unit}")
    };
    let how = Type::new(theme::NAME, theme::INK, Hold::Start).bold();
    canvas.text((r.left, r.top - 12.0), &head, how);
    let quantile = |share| summary.figure(name).and_then(|s| s.quantile(share));
    let ends = [quantile(0.05), quantile(0.95)];
    if let [Some(low), Some(high)] = ends {
        let number = |q: Quantile| significant(shown(name, q.value) / axis.factor(r), 3);
        let said = format!("90 % in {} to {}", number(low), number(high));
        let room = r.right - r.left - width(&head, theme::NAME, true) - 12.0;
        let said = shorten(&said, theme::SMALL, false, room);
        let how = Type::new(theme::SMALL, theme::SOFT, Hold::End);
        canvas.text((r.right, r.top - 12.0), &said, how);
    }
    let mut bins = [[0u32; Verdict::ALL.len() + 1]; BINS];
    for (value, verdict) in &values {
        let bin = ((axis.share(*value) * BINS as f64) as usize).min(BINS - 1);
        let kind = Verdict::ALL.iter().position(|v| Some(*v) == *verdict);
        bins[bin][kind.unwrap_or(Verdict::ALL.len())] += 1;
    }
    let most = bins
        .iter()
        .map(|b| b.iter().sum::<u32>())
        .max()
        .unwrap_or(0)
        .max(1);
    let step = (r.right - r.left) / BINS as f64;
    for (k, bin) in bins.iter().enumerate() {
        let x = r.left + k as f64 * step;
        let mut y = r.bottom;
        for (kind, count) in bin.iter().enumerate().filter(|(_, count)| **count > 0) {
            let up = f64::from(*count) / f64::from(most) * (r.bottom - r.top);
            let paint = colour(Verdict::ALL.get(kind).copied());
            canvas.fill((x + 0.5, y - up.max(0.75)), (x + step - 0.5, y), paint);
            y -= up;
            // A white line parts what the print might not.
            canvas.fill(
                (x + 0.5, y),
                (x + step - 0.5, y + up.min(0.6)),
                theme::WHITE,
            );
        }
    }
    for end in ends.into_iter().flatten() {
        let x = r.left + axis.share(shown(name, end.value)) * (r.right - r.left);
        canvas.line(&[(x, r.top - 3.0), (x, r.bottom)], &theme::EVENT);
    }
    axis.bottom(canvas, r, false);
}

/// The shots over the two keys that move the first figure most.
fn shots(
    canvas: &mut Canvas,
    scatter: &Scatter,
    summary: &Summary,
    movers: &[(usize, f64)],
    top: f64,
) {
    let [across, up, ..] = movers else {
        return;
    };
    let axis = |k: usize| {
        let draw = &scatter.draws[k];
        let (factor, unit) = customary(&draw.number);
        let values = summary.kept.iter().take(DOTS).map(|t| t.values[k] / factor);
        let name = draw.address().to_string();
        (
            Axis::over(name, unit, values, 0.02),
            factor,
            draw.value / factor,
        )
    };
    let ((x, x_factor, x_now), (y, y_factor, y_now)) = (axis(across.0), axis(up.0));
    let r = Rect {
        left: LEFT + 18.0,
        top,
        right: 620.0,
        bottom: HEIGHT - 56.0,
    };
    let place = |vx: f64, vy: f64| {
        (
            r.left + x.share(vx) * (r.right - r.left),
            r.bottom - y.share(vy) * (r.bottom - r.top),
        )
    };
    let count = summary.kept.len().min(DOTS);
    // The sound ones are many; the others stand in front of them.
    let order = [Some(Verdict::Sound), None].into_iter().chain(
        [
            Verdict::Cold,
            Verdict::OneSided,
            Verdict::Hot,
            Verdict::BurnThrough,
        ]
        .map(Some),
    );
    for verdict in order {
        for taken in summary
            .kept
            .iter()
            .take(count)
            .filter(|t| t.verdict == verdict)
        {
            let at = place(
                taken.values[across.0] / x_factor,
                taken.values[up.0] / y_factor,
            );
            mark(canvas, at, verdict, 2.2);
        }
    }
    x.bottom(canvas, &r, true);
    y.left(canvas, &r);
    let now = place(x_now, y_now);
    canvas.dot(now, 7.0, theme::WHITE);
    canvas.dot(now, 5.0, theme::INK);
    let word = "this case";
    let half = 0.5 * width(word, theme::NAME, true) + 4.0;
    let at = (now.0 + 12.0 + half, now.1 - 14.0);
    canvas.fill(
        (at.0 - half, at.1 - 9.0),
        (at.0 + half, at.1 + 9.0),
        theme::WHITE,
    );
    let how = Type::new(theme::NAME, theme::INK, Hold::Middle).bold();
    canvas.text(at, word, how);
    if summary.shots as usize > count {
        let said = format!("the first {count} shots");
        let how = Type::new(theme::SMALL, theme::SOFT, Hold::End);
        canvas.text((r.right, r.top - 14.0), &said, how);
    }
}

/// How strongly each key moves the figure: bars from the middle.
fn strengths(
    canvas: &mut Canvas,
    scatter: &Scatter,
    movers: &[(usize, f64)],
    figure: &'static str,
    top: f64,
) {
    let (left, right) = (676.0, WIDTH - RIGHT);
    let head = format!("what influences the {}", label(figure));
    let how = Type::new(theme::NAME, theme::INK, Hold::Start).bold();
    canvas.text((left, top - 14.0), &head, how);
    let middle = 0.5 * (left + right);
    let reach = 0.5 * (right - left);
    let step = (HEIGHT - 56.0 - top) / MOVERS as f64;
    let movers: Vec<_> = movers.iter().filter(|m| m.1.abs() >= WEAK).collect();
    let shown = movers.iter().take(MOVERS);
    for (row, (k, r)) in shown.enumerate() {
        let y = top + row as f64 * step;
        let key = scatter.draws[*k].address().to_string();
        let number = format!("{}{:.2}", if *r < 0.0 { '−' } else { '+' }, r.abs());
        let room = right - left - width(&number, theme::NAME, false) - 10.0;
        let key = shorten(&clean(&key), theme::NAME, false, room);
        let soft = |hold| Type::new(theme::NAME, theme::SOFT, hold);
        canvas.text((left, y + 9.0), &key, soft(Hold::Start));
        canvas.text((right, y + 9.0), &number, soft(Hold::End));
        let (from, to) = (y + 19.0, y + (step - 6.0).min(33.0));
        let paint = if *r < 0.0 {
            theme::AMBER
        } else {
            theme::ACCENT
        };
        let x = middle + r * reach;
        canvas.fill((x.min(middle), from), (x.max(middle), to), paint);
        canvas.line(&[(middle, from - 2.0), (middle, to + 2.0)], &theme::LEADER);
    }
    let rows = movers.len().min(MOVERS) as f64;
    let bottom = top + rows * step;
    let how = Type::new(theme::SMALL, theme::SOFT, Hold::Middle);
    let said = "rank correlation: − lowers it   |   + raises it";
    canvas.text((middle, bottom + 12.0), said, how);
}
