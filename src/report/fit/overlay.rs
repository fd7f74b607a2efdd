//! Measured and fitted current over each other, and below them the residual.

use super::values::{name, with_error};
use crate::format::engineering;
use crate::plot::axis::Unit;
use crate::plot::events::Label;
use crate::plot::figure::Figure;
use crate::plot::panel::{Axis, Panel, Series, Side};
use crate::plot::theme::{self, Stroke};
use crate::title::what;
use arcplunge_core::study::fit::{Fit, Setup};

const AMPERES: Unit = Unit {
    symbol: "A",
    usual: 3,
};
const VOLTS: Unit = Unit {
    symbol: "V",
    usual: 0,
};

/// Curve of the residual.
const LEFT_OVER: Stroke = Stroke::solid(theme::ALARM, theme::ALARM_TEXT, 1.2);

/// Curves over the time of the trace.
fn panel(
    quantity: &'static str,
    unit: Unit,
    time: &[f64],
    curves: &[(&str, Stroke, &[f64])],
) -> Panel {
    let series = curves.iter().map(|(name, stroke, values)| Series {
        name: (*name).to_string(),
        side: Side::Left,
        stroke: *stroke,
        points: time.iter().copied().zip(values.iter().copied()).collect(),
    });
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

/// The figure of a fit: of each trace the current and what is left of it, over the time from the trigger where there
/// are several.
pub fn figure(setup: &Setup, fit: &Fit) -> Figure {
    let several = setup.records.len() > 1;
    let found: Vec<String> = fit
        .values
        .iter()
        .zip(&setup.free)
        .map(|(v, free)| {
            let value = with_error(&free.number, v.value, v.error);
            format!("{} = {value}", name(setup, v))
        })
        .collect();
    let [before, after] = fit.rms().map(|rms| engineering(rms, "A"));
    let lines = vec![
        found.join(", "),
        format!("rms residual {after}, before the fit {before}"),
    ];
    let mut panels = Vec::new();
    let mut range = (f64::INFINITY, f64::NEG_INFINITY);
    for (record, seen) in setup.records.iter().zip(&fit.seen) {
        let trace = &record.trace;
        let zero = if several { seen.trigger } else { 0.0 };
        let time: Vec<f64> = trace.time.iter().map(|t| t - zero).collect();
        range = (range.0.min(time[0]), range.1.max(time[time.len() - 1]));
        let measured = ("measured", theme::BEHIND, trace.current.as_slice());
        let fitted = ("fitted", theme::CURRENT, seen.computed.as_slice());
        panels.push(panel("current", AMPERES, &time, &[measured, fitted]));
        if let Some(voltage) = &trace.voltage {
            let measured = ("measured", theme::BEHIND, voltage.values.as_slice());
            let fitted = ("fitted", theme::CURRENT, seen.voltage.as_slice());
            panels.push(panel("voltage", VOLTS, &time, &[measured, fitted]));
        }
        let pairs = trace.current.iter().zip(&seen.computed);
        let left: Vec<f64> = pairs.map(|(m, c)| m - c).collect();
        let left = ("measured minus fitted", LEFT_OVER, left.as_slice());
        panels.push(panel("measured minus fitted", AMPERES, &time, &[left]));
    }
    Figure {
        title: what(setup.case()),
        description: format!(
            "Measured and fitted current over time. {}.",
            lines.join(". ")
        ),
        lines,
        axis: if several {
            "time from the trigger".into()
        } else {
            "time in the trace".into()
        },
        unit: Unit {
            symbol: "s",
            usual: -3,
        },
        range,
        bands: Vec::new(),
        events: vec![Label {
            at: if several { 0.0 } else { fit.seen[0].trigger },
            name: "trigger".to_string(),
        }],
        panels,
    }
}
