//! A map of two keys: regions of the verdicts, contour lines of figures, the case itself.

use super::Found;
use super::grid::Map;
use super::look::{customary, named};
use super::regions::Changes;
use super::spot::{Spot, spots};
use crate::plot::Size;
use crate::plot::axis::Scale;
use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::geometry::Rect;
use crate::plot::heading::heading;
use crate::plot::text::{clean, width};
use crate::plot::theme::{self, Stroke};
use crate::quantity::{label, shown, unit};
use crate::title::what;
use arcplunge_core::simulation::named::{FIGURES, Read};
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::sweep::{Row, Sweep};

/// Margins \[px\].
const LEFT: f64 = 74.0;
const RIGHT: f64 = 28.0;
const HEAD: f64 = 116.0;
const FOOT: f64 = 76.0;

/// Lines of a figure: dark, and dashed for the one shown on demand.
const FILL: Stroke = Stroke::solid(theme::INK, theme::INK, 2.2);
const BOILED: Stroke = Stroke::solid(theme::ALARM, theme::ALARM, 1.8).dashed(7.0, 3.0);
const SHOWN: Stroke = Stroke::solid(theme::GREY, theme::SOFT, 1.2).dashed(3.0, 3.0);

/// Where the arc goes out before touchdown.
const OUT: Stroke = Stroke::solid(theme::INK, theme::INK, 1.8).dashed(2.0, 3.0);

/// Values along either side that a name's place is looked for among: more would not find a better one.
const PLACES: usize = 64;

/// Contour lines of a figure on demand.
const LEVELS: usize = 5;

/// Draws the map of a sweep of two keys, the first upward, the second across; `show` names a figure
/// whose contour lines are drawn besides those that bound the verdicts. The case is marked, and what a dial `found`.
pub fn svg(
    sweep: &Sweep,
    rows: &[Row],
    show: Option<&'static str>,
    found: Option<&Found>,
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
    heading(&mut canvas, &sweep.base, LEFT, w - LEFT - RIGHT, "");
    let changes = Changes::of(&map);
    map.regions(&mut canvas, &changes);
    let mut taken = Vec::new();
    let mut legend = Vec::new();
    if let Some(figure) = FIGURES.iter().find(|(n, _)| Some(*n) == show) {
        let levels = map.levels(*figure);
        map.contours(&mut canvas, *figure, &levels, &SHOWN, &mut taken);
        if !levels.is_empty() {
            legend.push((format!("{}, each line its value", label(figure.0)), SHOWN));
        }
    }
    let hot = sweep.base.model.hot_share;
    let out = Some(&changes.out);
    for (edges, skip, stroke, word, figure) in [
        (
            &changes.out,
            None,
            OUT,
            "the arc goes out".to_string(),
            None,
        ),
        (
            &changes.hot,
            out,
            BOILED,
            format!("{:.0} % boiled off", 100.0 * hot),
            Some(("vapour_share", hot)),
        ),
        (
            &changes.full,
            out,
            FILL,
            "melt just fills the wedge".to_string(),
            Some(("fill_ratio", 1.0)),
        ),
    ] {
        let longest = map.change(&mut canvas, edges, skip, &stroke);
        if let (Some((name, level)), Some(longest)) = (figure, &longest) {
            let level = (name, shown(name, level));
            map.value(&mut canvas, level, longest, &stroke, &mut taken);
        }
        // What is drawn nowhere is named nowhere.
        if longest.is_some() {
            legend.insert(0, (word, stroke));
        }
    }
    let spots = spots(&map, found);
    taken.extend(spots.iter().map(Spot::room));
    map.names(&mut canvas, &mut taken);
    for spot in &spots {
        spot.draw(&mut canvas);
    }
    map.axes(&mut canvas, w, h);
    told(&mut canvas, &legend);
    let title = what(&sweep.base);
    let description = format!(
        "{title} Regions cold, sound, hot and burn-through over {} (horizontal) and {} (vertical).",
        sweep.vary[1].address.words(),
        sweep.vary[0].address.words()
    );
    canvas.finish(&clean(&title), &clean(&description))
}

/// The lines of the map, each with its word.
fn told(canvas: &mut Canvas, legend: &[(String, Stroke)]) {
    let mut x = LEFT;
    for (word, stroke) in legend {
        canvas.line(&[(x, 74.0), (x + 26.0, 74.0)], stroke);
        let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
        canvas.text((x + 32.0, 74.0), word, how);
        x += 32.0 + width(word, theme::NAME, false) + 22.0;
    }
}

impl Map<'_> {
    /// Even levels of a figure that is shown on demand.
    fn levels(&self, figure: (&'static str, Read)) -> Vec<f64> {
        let values = self.values(figure);
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let scale = Scale::along(unit(figure.0), low, high, LEVELS);
        let factor = scale.factor / shown(figure.0, 1.0);
        scale.ticks().iter().map(|t| t * factor).collect()
    }

    /// Each verdict's name at the point of its region farthest from any other.
    fn names(&self, canvas: &mut Canvas, taken: &mut Vec<Rect>) {
        for verdict in Verdict::ALL {
            let mut best: Option<(f64, Point)> = None;
            let [tall, wide] = self.steps();
            for up in (0..self.tall).step_by(tall) {
                for across in (0..self.wide).step_by(wide) {
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

    /// Steps upward and across in which a name's place is looked for.
    fn steps(&self) -> [usize; 2] {
        [self.tall, self.wide].map(|count| count.div_ceil(PLACES))
    }

    /// Distance \[px\] from a place to the nearest value of another verdict, or to the frame.
    fn room(&self, at: Point, verdict: Verdict) -> f64 {
        let r = &self.rect;
        let mut least = (at.0 - r.left)
            .min(r.right - at.0)
            .min(at.1 - r.top)
            .min(r.bottom - at.1);
        // Every other value is enough to find a middle.
        let [tall, wide] = self.steps();
        for up in (0..self.tall).step_by(2 * tall) {
            for across in (0..self.wide).step_by(2 * wide) {
                if self.verdict(up, across) != Some(verdict) {
                    let (x, y) = self.place((across as f64, up as f64));
                    least = least.min((x - at.0).hypot(0.4 * (y - at.1).abs().max(1.0)));
                }
            }
        }
        least
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
            let name = scale.named(&named(vary));
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
