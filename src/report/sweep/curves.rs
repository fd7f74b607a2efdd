//! Curves of a sweep over one key: figures over its values, the verdicts as bands.

use super::look::{customary, look, named};
use crate::plot::events::Label;
use crate::plot::figure::{Band, Figure};
use crate::plot::panel::{Axis, Panel, Series, Side};
use crate::plot::theme::{self, Stroke};
use crate::quantity::{label, shown, unit};
use crate::title::heading;
use arcplunge_core::simulation::named::{FIGURES, Read};
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::sweep::{Row, Sweep};

/// Strokes of the panels in turn.
const STROKES: [Stroke; 5] = [
    theme::CURRENT,
    theme::GAP,
    Stroke::solid(theme::PURPLE, theme::PURPLE, 2.4),
    Stroke::solid(theme::AMBER, theme::AMBER_TEXT, 2.4),
    theme::MELT_STUD,
];

/// Most panels of a picture.
pub const MOST: usize = 5;

/// The figure of a sweep of one key; `show` names the figures, `now` is the key's own value.
pub fn figure(sweep: &Sweep, rows: &[Row], show: &[&'static str], now: Option<f64>) -> Figure {
    let vary = &sweep.vary[0];
    let (factor, unit) = customary(&vary.number);
    let x = |row: &Row| row.values[0] / factor;
    let mut points: Vec<&Row> = rows.iter().collect();
    points.sort_by(|a, b| a.values[0].total_cmp(&b.values[0]));
    let ends = (
        vary.from.min(vary.to) / factor,
        vary.from.max(vary.to) / factor,
    );
    let panels = show
        .iter()
        .filter_map(|name| FIGURES.iter().find(|(n, _)| n == name))
        .zip(STROKES)
        .map(|(figure, stroke)| panel(&points, *figure, stroke, x))
        .collect();
    let event = now.filter(|v| (ends.0..=ends.1).contains(&(v / factor)));
    let events: Vec<Label> = event
        .map(|v| Label {
            at: v / factor,
            name: "this case".to_string(),
        })
        .into_iter()
        .collect();
    let (title, about) = heading(&sweep.base);
    let line = format!(
        "{} from {} to {}",
        named(vary),
        vary.text(vary.from),
        vary.text(vary.to)
    );
    Figure {
        description: format!("{title} Figures over {line}."),
        title,
        lines: about.into_iter().chain([line]).collect(),
        axis: named(vary).into(),
        unit,
        range: ends,
        bands: bands(&points, x),
        events,
        panels,
    }
}

fn panel(
    rows: &[&Row],
    (name, read): (&'static str, Read),
    stroke: Stroke,
    x: impl Fn(&Row) -> f64,
) -> Panel {
    let label = label(name);
    let points = rows
        .iter()
        .filter_map(|row| {
            let value = row.outcome.figures().and_then(read)?;
            Some((x(row), shown(name, value)))
        })
        .collect::<Vec<_>>();
    Panel {
        left: Axis {
            quantity: label,
            unit: unit(name),
        },
        right: None,
        note: points.is_empty().then(|| format!("no {}", label)),
        series: vec![Series {
            name: label.to_string(),
            side: Side::Left,
            stroke,
            points,
        }],
        mark: None,
        legend: true,
        weight: 1.0,
    }
}

/// Stretches of one verdict; a border lies midway between two values.
fn bands(rows: &[&Row], x: impl Fn(&Row) -> f64) -> Vec<Band> {
    let mut bands: Vec<(Option<Verdict>, f64, f64)> = Vec::new();
    for row in rows {
        let (verdict, at) = (row.outcome.verdict(), x(row));
        match bands.last_mut() {
            Some((same, _, to)) if *same == verdict => *to = at,
            Some((_, _, to)) => {
                let border = 0.5 * (*to + at);
                *to = border;
                bands.push((verdict, border, at));
            }
            None => bands.push((verdict, at, at)),
        }
    }
    bands
        .into_iter()
        .map(|(verdict, from, to)| Band {
            name: verdict.map_or("", |v| v.name()),
            tint: look(verdict).1,
            range: (from, to),
        })
        .collect()
}
