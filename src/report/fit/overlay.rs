//! Measured and fitted current over each other, and below them the residual.

use super::values::shown;
use crate::format::engineering;
use crate::plot::axis::Unit;
use crate::plot::events::Label;
use crate::plot::figure::Figure;
use crate::plot::panel::{Axis, Panel, Series, Side};
use crate::plot::theme::{self, Stroke};
use crate::title::what;
use arcplunge_core::study::fit::{Fit, Setup};

/// Curve of the residual.
const LEFT_OVER: Stroke = Stroke::solid(theme::ALARM, theme::ALARM_TEXT, 1.2);

/// Curves of a current over the time of the trace.
fn panel(quantity: &'static str, time: &[f64], curves: &[(&str, Stroke, &[f64])]) -> Panel {
    let series = curves.iter().map(|(name, stroke, values)| Series {
        name: (*name).to_string(),
        side: Side::Left,
        stroke: *stroke,
        points: time.iter().copied().zip(values.iter().copied()).collect(),
    });
    let unit = Unit {
        symbol: "A",
        usual: 3,
    };
    Panel {
        left: Axis { quantity, unit },
        right: None,
        series: series.collect(),
        mark: None,
        note: None,
        legend: true,
        weight: curves.len() as f64,
    }
}

/// The figure of a fit.
pub fn figure(setup: &Setup, fit: &Fit) -> Figure {
    let (time, measured) = (&setup.trace.time, &setup.trace.current);
    let left = measured.iter().zip(&fit.computed).map(|(m, c)| m - c);
    let left: Vec<f64> = left.collect();
    let found: Vec<String> = fit
        .values
        .iter()
        .zip(&setup.free)
        .map(|(v, free)| format!("{} = {}", v.name, shown(free, v.value)))
        .collect();
    let lines = vec![
        found.join(", "),
        format!(
            "rms residual {}, before the fit {}",
            engineering(fit.rms[1], "A"),
            engineering(fit.rms[0], "A")
        ),
    ];
    Figure {
        title: what(&fit.case),
        description: format!(
            "Measured and fitted current over time. {}.",
            lines.join(". ")
        ),
        lines,
        axis: "time in the trace".into(),
        unit: Unit {
            symbol: "s",
            usual: -3,
        },
        range: (time[0], time[time.len() - 1]),
        bands: Vec::new(),
        events: vec![Label {
            at: fit.trigger,
            name: "trigger".to_string(),
        }],
        panels: vec![
            panel(
                "current",
                time,
                &[
                    ("measured", theme::BEHIND, measured),
                    ("fitted", theme::CURRENT, &fit.computed),
                ],
            ),
            panel(
                "measured minus fitted",
                time,
                &[("measured minus fitted", LEFT_OVER, &left)],
            ),
        ],
    }
}
