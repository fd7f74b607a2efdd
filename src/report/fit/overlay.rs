//! Measured and fitted current over each other, and below what is left between them.

use super::values::shown;
use crate::format::engineering;
use crate::plot::axis::Unit;
use crate::plot::events::Label;
use crate::plot::figure::Figure;
use crate::plot::panel::{Axis, Panel, Series, Side};
use crate::plot::theme::{self, Stroke};
use crate::title::what;
use arcplunge_core::study::fit::{Fit, Setup};

/// Curve of what is left.
const LEFT_OVER: Stroke = Stroke::solid(theme::ALARM, theme::ALARM_TEXT, 1.2);

/// The figure of a fit.
pub fn figure(setup: &Setup, fit: &Fit) -> Figure {
    let time = &setup.trace.time;
    let points = |values: &[f64]| -> Vec<(f64, f64)> {
        time.iter().copied().zip(values.iter().copied()).collect()
    };
    let series = |name: &str, stroke, points| Series {
        name: name.to_string(),
        side: Side::Left,
        stroke,
        points,
    };
    let left: Vec<f64> = setup
        .trace
        .current
        .iter()
        .zip(&fit.computed)
        .map(|(m, c)| m - c)
        .collect();
    let ampere = Unit {
        symbol: "A",
        usual: 3,
    };
    let found: Vec<String> = fit
        .values
        .iter()
        .zip(&setup.free)
        .map(|(v, free)| format!("{} = {}", v.name, shown(free, v.value)))
        .collect();
    let lines = vec![
        found.join(", "),
        format!(
            "rms of what is left {}, before the fit {}",
            engineering(fit.rms[1], "A"),
            engineering(fit.rms[0], "A")
        ),
    ];
    let panel = |quantity, series: Vec<Series>, weight| Panel {
        left: Axis {
            quantity,
            unit: ampere,
        },
        right: None,
        series,
        mark: None,
        note: None,
        legend: true,
        weight,
    };
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
                vec![
                    series("measured", theme::BEHIND, points(&setup.trace.current)),
                    series("fitted", theme::CURRENT, points(&fit.computed)),
                ],
                2.0,
            ),
            panel(
                "measured less fitted",
                vec![series("measured less fitted", LEFT_OVER, points(&left))],
                1.0,
            ),
        ],
    }
}
