//! A tornado plot: for each figure the keys that cause its scatter, the strongest on top.

use super::words::{cell, name, none, ordered, too_wide};
use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::heading::heading as above;
use crate::plot::text::{clean, fit, shorten, width};
use crate::plot::theme::{self, Stroke};
use crate::scatter::counted;
use crate::title;
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::sensitivity::indices::{Index, Indices};
use arcplunge_core::study::sensitivity::{Found, shots};

/// Margins, and what a figure takes \[px\].
const WIDTH: f64 = 1000.0;
const LEFT: f64 = 36.0;
const RIGHT: f64 = 28.0;
const HEAD: f64 = 100.0;
const FOOT: f64 = 34.0;
const BETWEEN: f64 = 48.0;
const ROW: f64 = 27.0;
const TITLE: f64 = 26.0;
const SCALE: f64 = 48.0;

/// Keys of a figure, figures of a picture.
const KEYS: usize = 8;
const MOST: usize = 6;

/// Where the scale of the shares ends.
const MOST_SHARE: f64 = 1.02;

/// The total behind, the first order in front, and their intervals.
const TOTAL: plotters::style::RGBColor = plotters::style::RGBColor(0xBF, 0xD9, 0xEA);
const FIRST: plotters::style::RGBColor = theme::ACCENT;
const WHISKER: Stroke = Stroke::solid(theme::INK, theme::INK, 1.3);

/// Draws the plot of the first figures.
pub fn svg(scatter: &Scatter, found: &[Found]) -> String {
    let found = &found[..found.len().min(MOST)];
    let across = found.len().clamp(1, 2);
    let height = |f: &Found| {
        let rows = ordered(f).0.len().clamp(1, KEYS);
        TITLE + rows as f64 * ROW + SCALE
    };
    let bands: Vec<f64> = found
        .chunks(across)
        .map(|pair| pair.iter().map(height).fold(0.0, f64::max))
        .collect();
    let tall = HEAD + bands.iter().sum::<f64>() + FOOT;
    let mut canvas = Canvas::new(WIDTH as u32, tall.ceil() as u32);
    let what = title::what(&scatter.base);
    heading(&mut canvas, scatter);
    let wide = (WIDTH - LEFT - RIGHT - BETWEEN * (across - 1) as f64) / across as f64;
    let mut top = HEAD;
    for (pair, band) in found.chunks(across).zip(&bands) {
        for (k, figure) in pair.iter().enumerate() {
            let left = LEFT + k as f64 * (wide + BETWEEN);
            tornado(&mut canvas, scatter, figure, (left, left + wide), top);
        }
        top += band;
    }
    let word = "Shares of the scatter caused by the spreads of this case. Test welds decide.";
    let how = Type::new(theme::SMALL, theme::SOFT, Hold::End);
    canvas.text((WIDTH - RIGHT, tall - 13.0), word, how);
    let names: Vec<&str> = found.iter().map(|f| name(f.figure)).collect();
    let description = format!("{what} Sobol indices of {}.", names.join(", "));
    canvas.finish(&clean(&what), &clean(&description))
}

fn heading(canvas: &mut Canvas, scatter: &Scatter) {
    let keys = scatter.draws.len();
    let line = format!(
        "Sources of the scatter: Sobol indices, {} samples of {keys} keys, {} shots",
        counted(scatter.shots as u64),
        counted(shots(scatter.shots, keys) as u64)
    );
    above(canvas, &scatter.base, LEFT, WIDTH - LEFT - RIGHT, &line);
    let mut x = LEFT;
    let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
    for (word, colour) in [
        ("alone (first order)", FIRST),
        ("with others (total)", TOTAL),
    ] {
        canvas.fill((x, 65.0), (x + 20.0, 77.0), colour);
        canvas.text((x + 27.0, 71.0), word, how);
        x += 27.0 + width(word, theme::NAME, false) + 26.0;
    }
    whisker(canvas, (x, x + 24.0), 71.0, [false; 2]);
    canvas.text((x + 31.0, 71.0), "95 % interval", how);
}

/// An interval; where an end is cut off by the scale, an arrow says that it goes on.
fn whisker(canvas: &mut Canvas, (from, to): Point, y: f64, cut: [bool; 2]) {
    canvas.line(&[(from, y), (to, y)], &WHISKER);
    for ((x, inwards), cut) in [(from, 1.0), (to, -1.0)].into_iter().zip(cut) {
        let back = if cut { x + 5.0 * inwards } else { x };
        let middle = cut.then_some((x, y));
        let end: Vec<Point> = [Some((back, y - 3.0)), middle, Some((back, y + 3.0))]
            .into_iter()
            .flatten()
            .collect();
        canvas.line(&end, &WHISKER);
    }
}

fn tornado(canvas: &mut Canvas, scatter: &Scatter, found: &Found, (left, right): Point, top: f64) {
    let head = Type::new(theme::NAME, theme::INK, Hold::Start).bold();
    canvas.text((left, top + 8.0), name(found.figure), head);
    let (all, _) = ordered(found);
    if all.is_empty() {
        let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
        return canvas.text((left, top + 34.0), none(found), how);
    }
    if let Some(shares) = &found.indices {
        let share = cell(shares.interaction);
        let said = format!("by interaction only: {share}");
        let how = Type::new(theme::SMALL, theme::SOFT, Hold::End);
        canvas.text((right, top + 8.0), &said, how);
    }
    let rows: Vec<&(usize, Indices)> = all.iter().take(KEYS).collect();
    let names = rows
        .iter()
        .map(|(k, _)| clean(&scatter.draws[*k].address().to_string()));
    let names: Vec<String> = names
        .map(|n| shorten(&n, theme::NAME, false, 0.45 * (right - left)))
        .collect();
    let widths = names.iter().map(|n| width(n, theme::NAME, false));
    let from = left + widths.fold(0.0, f64::max) + 10.0;
    let to = right - 8.0;
    let place = |share: f64| from + share.clamp(0.0, MOST_SHARE) * (to - from);
    let y = top + TITLE;
    let bottom = y + rows.len() as f64 * ROW;
    for tick in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let x = place(tick);
        let stroke = if tick == 0.0 {
            &theme::AXIS
        } else {
            &theme::RULE
        };
        canvas.line(&[(x, y), (x, bottom)], stroke);
        let how = Type::new(theme::NUMBER, theme::SOFT, Hold::Middle);
        canvas.text((x, bottom + 11.0), &format!("{tick}"), how);
    }
    if let Some(doubt) = too_wide(found) {
        let (line, size) = fit(&doubt, true, theme::SMALL, 8.0, right - left);
        let how = Type::new(size, theme::ALARM_TEXT, Hold::Start).bold();
        canvas.text((left, bottom + 29.0), &line, how);
    }
    for (row, ((_, i), name)) in rows.iter().zip(&names).enumerate() {
        let middle = y + (row as f64 + 0.5) * ROW;
        let how = Type::new(theme::NAME, theme::SOFT, Hold::End);
        canvas.text((from - 7.0, middle), name, how);
        let (upper, lower) = (middle - 9.0, middle + 9.0);
        canvas.fill((from, upper), (place(i.total.value), lower), TOTAL);
        canvas.fill(
            (from, middle - 9.0),
            (place(i.first.value), middle + 1.0),
            FIRST,
        );
        let ends = |index: &Index| (place(index.low), place(index.high));
        if ends(&i.total).1 - ends(&i.total).0 > 3.0 {
            let cut = [i.total.low < 0.0, i.total.high > MOST_SHARE];
            whisker(canvas, ends(&i.total), middle + 5.0, cut);
        }
    }
}
