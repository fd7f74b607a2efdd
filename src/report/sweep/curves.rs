//! Curves of a sweep over one key: figures over its values, the verdicts as bands.

use super::Found;
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

/// The figure of a sweep of one key; `show` names the figures. The key's own value is marked, and what a dial `found`.
pub fn figure(sweep: &Sweep, rows: &[Row], show: &[&'static str], found: Option<&Found>) -> Figure {
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
    let now = vary.address.number(&sweep.base).map(|v| (v, "this case"));
    let found = found.and_then(|f| Some((*f.at.first()?, f.word.as_str())));
    let marks = now.into_iter().chain(found);
    let labels = marks.map(|(at, name)| Label {
        at: at / factor,
        name: name.to_string(),
    });
    let mut events: Vec<Label> = labels
        .filter(|l| (ends.0..=ends.1).contains(&l.at))
        .collect();
    events.sort_by(|a, b| a.at.total_cmp(&b.at));
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
    let value = |row: &Row| row.outcome.figures().and_then(read);
    // A gap where there is no value; the longest piece is named.
    let pieces = rows.chunk_by(|a, b| value(a).is_some() == value(b).is_some());
    let pieces: Vec<&[&Row]> = pieces.filter(|p| value(p[0]).is_some()).collect();
    let longest = (0..pieces.len()).max_by_key(|k| pieces[*k].len());
    let series = |(k, piece): (usize, &&[&Row])| Series {
        name: match Some(k) == longest {
            true => label.to_string(),
            false => String::new(),
        },
        side: Side::Left,
        stroke,
        points: piece
            .iter()
            .filter_map(|row| Some((x(row), shown(name, value(row)?))))
            .collect(),
    };
    Panel {
        left: Axis {
            quantity: label,
            unit: unit(name),
        },
        right: None,
        note: pieces.is_empty().then(|| format!("no {}", label)),
        series: pieces.iter().enumerate().map(series).collect(),
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

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::Case;
    use arcplunge_core::simulation::fire::Settings;
    use arcplunge_core::study::range::Vary;
    use arcplunge_core::study::sweep::Outcome;

    #[test]
    fn a_curve_has_a_gap_where_its_figure_has_no_value() {
        let base = Case::default();
        let vary = Vary::read(&base, "bank.voltage=104..120V/9", 9).unwrap();
        let sweep = Sweep {
            base,
            vary: vec![vary],
            settings: Settings::default(),
        };
        let mut rows: Vec<Row> = sweep.rows(0).collect();
        if let Outcome::Shot { figures, .. } = &mut rows[3].outcome {
            figures.fill_ratio = None;
        }
        let panel = &figure(&sweep, &rows, &["fill_ratio"], None).panels[0];
        let pieces = panel
            .series
            .iter()
            .map(|s| (s.points.len(), s.name.is_empty()));
        assert_eq!(pieces.collect::<Vec<_>>(), [(3, true), (5, false)]);
    }
}
