//! The key figures in words: name and unit by the figure's name in files.

use super::format::{engineering, milliseconds, percent};
use super::plot::axis::Unit;

/// A figure in words.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Words {
    /// "arc energy".
    pub name: &'static str,
    /// Head of a narrow column.
    pub short: &'static str,
    /// For an axis of values as [`shown`] gives them.
    pub unit: Unit,
}

/// Words of the figure `name`; a figure without words of its own keeps its name.
pub fn words(name: &'static str) -> Words {
    let (long, short, symbol, usual) = match name {
        "stored_energy_J" => ("energy stored", "stored", "J", 0),
        "peak_current_A" => ("peak current", "peak", "A", 3),
        "time_of_peak_s" => ("time of the peak", "peak at", "s", -3),
        "pip_touch_s" => ("pip touches", "touch", "s", -3),
        "pip_yield_s" => ("pip yields", "yields", "s", -3),
        "ignition_s" => ("ignition", "ignition", "s", -3),
        "touchdown_s" => ("touchdown", "touchdown", "s", -3),
        "arc_time_s" => ("arc time", "arc time", "s", -3),
        "touchdown_speed_m_per_s" => ("speed at touchdown", "speed", "m/s", 0),
        "touchdown_current_A" => ("current at touchdown", "current", "A", 3),
        "gap_at_ignition_m" => ("gap at ignition", "gap", "m", -3),
        "action_A2s" => ("action", "action", "A²s", 3),
        "current_end_s" => ("current ends", "ends", "s", -3),
        "melt_stud_m" => ("melt of the stud", "stud", "m", -6),
        "melt_sheet_m" => ("melt of the sheet", "sheet", "m", -6),
        "melt_sheet_max_m" => ("deepest melt of the sheet", "deepest", "m", -6),
        "squeeze_travel_m" => ("squeezed", "squeezed", "m", -6),
        "fill_ratio" => ("fill of the wedge", "fill", "", 0),
        "rim_fill_min" => ("least fill of the rim", "rim", "", 0),
        "rim_fill_min_at" => ("hour of the least fill", "at", "", 0),
        "welded_share" => ("share of the flange welded", "welded", "%", 0),
        "vapour_share" => ("boiled off", "boiled off", "%", 0),
        "arc_energy_J" => ("arc energy", "arc energy", "J", 0),
        "freeze_s" => ("frozen", "frozen", "s", -3),
        "cooling_rate_K_per_s" => ("cooling of the joint", "cooling", "K/s", 0),
        "back_face_K" => ("hottest back face", "back", "K", 0),
        "loop_resistance_ohm" => ("loop resistance", "loop", "Ω", -3),
        "loop_inductance_H" => ("loop inductance", "loop", "H", -6),
        other => (other, other, "", 0),
    };
    let unit = if symbol == "%" {
        Unit::plain("%")
    } else {
        Unit { symbol, usual }
    };
    Words {
        name: long,
        short,
        unit,
    }
}

/// A value as a plot shows it: shares in per cent.
pub fn shown(name: &str, value: f64) -> f64 {
    if matches!(name, "vapour_share" | "welded_share") {
        100.0 * value
    } else {
        value
    }
}

/// A value \[SI\] as people read it.
pub fn text(name: &'static str, value: Option<f64>) -> String {
    let Some(value) = value else {
        return "–".into();
    };
    match words(name).unit.symbol {
        "%" => percent(value),
        "" => format!("{value:.2}"),
        "s" => milliseconds(value),
        "K/s" => format!("{value:.1e} K/s"),
        "K" => super::format::celsius(value),
        unit => engineering(value, unit),
    }
}

/// What the unit that [`text`] shows `value` \[SI\] in stands for, and the value at which it has its zero.
pub fn scale(name: &'static str, value: f64) -> (f64, f64) {
    match words(name).unit.symbol {
        "%" => (0.01, 0.0),
        "K" => (1.0, 273.15),
        "" | "K/s" => (1.0, 0.0),
        "s" => (1e-3, 0.0),
        _ => (super::format::prefix(value).0, 0.0),
    }
}

/// A value \[SI\] with its standard deviation, `143 J ± 0.32`.
pub fn with_half(name: &'static str, value: f64, half: f64) -> String {
    let half = super::format::significant(half / scale(name, value).0, 2);
    format!("{} ± {half}", text(name, Some(value)))
}
