//! The one table of the key figures as people read them: labels, unit, how a value and its change are written.
//!
//! Which figures there are, their names in files and how they are read stands in
//! [`arcplunge_core::simulation::named`].

use super::format::{celsius, depth, engineering, grouped, milliseconds, percent, significant};
use super::plot::axis::Unit;
use arcplunge_core::simulation::named::find;
use arcplunge_core::simulation::shot::Figures;

/// A figure.
pub struct Figure {
    /// As in files.
    pub name: &'static str,
    /// "arc energy".
    pub label: &'static str,
    /// Head of a narrow column.
    pub short: &'static str,
    /// Label in a comparison; empty where it is not compared.
    pub compared: &'static str,
    /// For an axis of values as [`shown`] gives them; no symbol for a bare number.
    pub unit: Unit,
    /// A value \[SI\] on the page, with its unit.
    pub text: fn(f64) -> String,
    /// How its change from a base is written.
    pub change: Change,
}

/// How a change is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// In per cent of the base.
    Relative,
    /// A share: in percentage points.
    Points,
    /// A temperature: in kelvin.
    Kelvin,
}

use Change::{Kelvin, Points, Relative};

fn current(v: f64) -> String {
    engineering(v, "A")
}
fn energy(v: f64) -> String {
    engineering(v, "J")
}
fn speed(v: f64) -> String {
    format!("{} m/s", significant(v, 3))
}
fn bare(v: f64) -> String {
    significant(v, 3)
}
fn resistance(v: f64) -> String {
    engineering(v, "Ω")
}
fn inductance(v: f64) -> String {
    engineering(v, "H")
}
fn action(v: f64) -> String {
    format!("{} A²s", grouped(v))
}
fn cooling(v: f64) -> String {
    format!("{v:.1e} K/s")
}

/// Every figure; those that are compared first, in the order of a comparison.
#[rustfmt::skip]
static FIGURES: [Figure; 28] = [
    Figure { name: "stored_energy_J", label: "energy stored", short: "stored", compared: "bank", unit: Unit { symbol: "J", usual: 0 }, text: energy, change: Relative },
    Figure { name: "peak_current_A", label: "peak current", short: "peak", compared: "peak current", unit: Unit { symbol: "A", usual: 3 }, text: current, change: Relative },
    Figure { name: "ignition_s", label: "ignition", short: "ignition", compared: "ignition", unit: Unit { symbol: "s", usual: -3 }, text: milliseconds, change: Relative },
    Figure { name: "gap_at_ignition_m", label: "gap at ignition", short: "gap", compared: "gap at ignition", unit: Unit { symbol: "m", usual: -3 }, text: depth, change: Relative },
    Figure { name: "arc_time_s", label: "arc time", short: "arc time", compared: "arc time", unit: Unit { symbol: "s", usual: -3 }, text: milliseconds, change: Relative },
    Figure { name: "arc_energy_J", label: "arc energy", short: "arc energy", compared: "arc energy", unit: Unit { symbol: "J", usual: 0 }, text: energy, change: Relative },
    Figure { name: "melt_stud_m", label: "melt of the stud", short: "stud", compared: "melt, stud", unit: Unit { symbol: "m", usual: -6 }, text: depth, change: Relative },
    Figure { name: "melt_sheet_m", label: "melt of the sheet", short: "sheet", compared: "melt, sheet", unit: Unit { symbol: "m", usual: -6 }, text: depth, change: Relative },
    Figure { name: "fill_ratio", label: "fill of the wedge", short: "fill", compared: "fill", unit: Unit { symbol: "", usual: 0 }, text: bare, change: Relative },
    Figure { name: "rim_fill_min", label: "least fill of the rim", short: "rim", compared: "least at the rim", unit: Unit { symbol: "", usual: 0 }, text: bare, change: Relative },
    Figure { name: "welded_share", label: "share of the flange welded", short: "welded", compared: "flange welded", unit: Unit { symbol: "%", usual: 0 }, text: percent, change: Points },
    Figure { name: "vapour_share", label: "boiled off", short: "boiled off", compared: "boiled off", unit: Unit { symbol: "%", usual: 0 }, text: percent, change: Points },
    Figure { name: "touchdown_speed_m_per_s", label: "speed at touchdown", short: "speed", compared: "touchdown speed", unit: Unit { symbol: "m/s", usual: 0 }, text: speed, change: Relative },
    Figure { name: "touchdown_current_A", label: "current at touchdown", short: "current", compared: "current then", unit: Unit { symbol: "A", usual: 3 }, text: current, change: Relative },
    Figure { name: "freeze_s", label: "frozen", short: "frozen", compared: "frozen", unit: Unit { symbol: "s", usual: -3 }, text: milliseconds, change: Relative },
    Figure { name: "back_face_K", label: "hottest back face", short: "back", compared: "back face", unit: Unit { symbol: "K", usual: 0 }, text: celsius, change: Kelvin },
    Figure { name: "loop_resistance_ohm", label: "loop resistance", short: "loop", compared: "loop resistance", unit: Unit { symbol: "Ω", usual: -3 }, text: resistance, change: Relative },
    Figure { name: "loop_inductance_H", label: "loop inductance", short: "loop", compared: "loop inductance", unit: Unit { symbol: "H", usual: -6 }, text: inductance, change: Relative },
    Figure { name: "action_A2s", label: "action", short: "action", compared: "action", unit: Unit { symbol: "A²s", usual: 3 }, text: action, change: Relative },
    Figure { name: "time_of_peak_s", label: "time of the peak", short: "peak at", compared: "", unit: Unit { symbol: "s", usual: -3 }, text: milliseconds, change: Relative },
    Figure { name: "pip_touch_s", label: "pip touches", short: "touch", compared: "", unit: Unit { symbol: "s", usual: -3 }, text: milliseconds, change: Relative },
    Figure { name: "pip_yield_s", label: "pip yields", short: "yields", compared: "", unit: Unit { symbol: "s", usual: -3 }, text: milliseconds, change: Relative },
    Figure { name: "touchdown_s", label: "touchdown", short: "touchdown", compared: "", unit: Unit { symbol: "s", usual: -3 }, text: milliseconds, change: Relative },
    Figure { name: "current_end_s", label: "current ends", short: "ends", compared: "", unit: Unit { symbol: "s", usual: -3 }, text: milliseconds, change: Relative },
    Figure { name: "melt_sheet_max_m", label: "deepest melt of the sheet", short: "deepest", compared: "", unit: Unit { symbol: "m", usual: -6 }, text: depth, change: Relative },
    Figure { name: "squeeze_travel_m", label: "squeezed", short: "squeezed", compared: "", unit: Unit { symbol: "m", usual: -6 }, text: depth, change: Relative },
    Figure { name: "rim_fill_min_at", label: "hour of the least fill", short: "at", compared: "", unit: Unit { symbol: "", usual: 0 }, text: bare, change: Relative },
    Figure { name: "cooling_rate_K_per_s", label: "cooling of the joint", short: "cooling", compared: "", unit: Unit { symbol: "K/s", usual: 0 }, text: cooling, change: Relative },
];

/// The figure `name`.
pub fn figure(name: &str) -> Option<&'static Figure> {
    FIGURES.iter().find(|figure| figure.name == name)
}

/// Label of the figure `name`; one that is not in the table keeps its name.
pub fn label(name: &'static str) -> &'static str {
    figure(name).map_or(name, |figure| figure.label)
}

/// Head of a narrow column for the figure `name`.
pub fn short(name: &'static str) -> &'static str {
    figure(name).map_or(name, |figure| figure.short)
}

/// Unit of an axis of the figure `name`.
pub fn unit(name: &str) -> Unit {
    match figure(name).map(|figure| figure.unit) {
        Some(unit) if unit.symbol == "%" => Unit::plain("%"),
        Some(unit) => unit,
        None => Unit {
            symbol: "",
            usual: 0,
        },
    }
}

/// The figures that a comparison shows, in its order.
pub fn compared() -> impl Iterator<Item = &'static Figure> {
    FIGURES.iter().filter(|figure| !figure.compared.is_empty())
}

impl Figure {
    /// Its value \[SI\]; `None` where the shot did not come to it.
    pub fn of(&self, figures: &Figures) -> Option<f64> {
        find(self.name).and_then(|read| read(figures))
    }

    /// The value as text; "none" where it did not come.
    pub fn value(&self, figures: &Figures) -> String {
        self.of(figures).map_or("none".into(), self.text)
    }

    /// What changed from the base, as text; empty where there is nothing to compare.
    pub fn difference(&self, base: &Figures, other: &Figures) -> String {
        let (Some(from), Some(to)) = (self.of(base), self.of(other)) else {
            return String::new();
        };
        match self.change {
            Points => signed((to - from) * 100.0, "pts"),
            Kelvin => signed((to - from).round(), "K"),
            Relative if from == 0.0 => String::new(),
            Relative => signed((to - from) / from.abs() * 100.0, "%"),
        }
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
    match figure(name).map_or("", |f| f.unit.symbol) {
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
    match figure(name).map_or("", |f| f.unit.symbol) {
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

/// A change with its sign: "−21 %", "+4.3 %", "0 %".
pub fn signed(value: f64, unit: &str) -> String {
    let size = value.abs();
    let text = if size >= 9.95 {
        format!("{size:.0}")
    } else {
        format!("{size:.1}")
    };
    if text == "0.0" {
        return format!("0 {unit}");
    }
    let text = text
        .strip_suffix(".0")
        .filter(|_| unit == "K")
        .unwrap_or(&text);
    format!("{}{text} {unit}", if value < 0.0 { '−' } else { '+' })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_carry_their_sign() {
        assert_eq!(signed(-21.4, "%"), "−21 %");
        assert_eq!(signed(4.26, "%"), "+4.3 %");
        assert_eq!(signed(0.04, "%"), "0 %");
        assert_eq!(signed(-9.97, "%"), "−10 %");
        assert_eq!(signed(7.0, "K"), "+7 K");
    }

    #[test]
    fn every_figure_of_the_files_has_its_line() {
        use arcplunge_core::simulation::named;
        assert_eq!(named::FIGURES.len(), FIGURES.len());
        for (name, _) in named::FIGURES {
            assert!(figure(name).is_some(), "{name}");
        }
    }

    #[test]
    fn shares_change_in_points_and_what_did_not_come_is_not_compared() {
        let row = |name: &str| compared().find(|f| f.compared == name).unwrap();
        let (mut base, mut other) = (Figures::default(), Figures::default());
        base.vapour_share = Some(0.033);
        (other.vapour_share, other.arc_energy_J) = (Some(0.0), Some(100.0));
        assert_eq!(row("boiled off").difference(&base, &other), "−3.3 pts");
        assert_eq!(row("arc energy").difference(&base, &other), "");
        assert_eq!(row("arc energy").value(&base), "none");
    }
}
