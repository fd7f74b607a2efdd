//! The figures a comparison compares, as people read them.

use crate::format::{celsius, depth, engineering, grouped, milliseconds, percent, significant};
use arcplunge_core::simulation::shot::Figures;

/// A figure: its name, where it is, and how it and its change are written.
pub struct Row {
    /// As the page prints it.
    pub name: &'static str,
    /// Its value \[SI\]; `None` where the shot did not come to it.
    pub of: fn(&Figures) -> Option<f64>,
    /// A value \[SI\] as text, with its unit.
    pub text: fn(f64) -> String,
    /// How its change from the base is written.
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

/// Every figure compared, in the order of the page.
#[rustfmt::skip]
pub const ROWS: [Row; 19] = {
    use Change::{Kelvin, Points, Relative};
    [
        Row { name: "bank", of: |f| Some(f.stored_energy_J), text: energy, change: Relative },
        Row { name: "peak current", of: |f| f.peak_current_A, text: current, change: Relative },
        Row { name: "ignition", of: |f| f.ignition_s, text: milliseconds, change: Relative },
        Row { name: "gap at ignition", of: |f| f.gap_at_ignition_m, text: depth, change: Relative },
        Row { name: "arc time", of: |f| f.arc_time_s, text: milliseconds, change: Relative },
        Row { name: "arc energy", of: |f| f.arc_energy_J, text: energy, change: Relative },
        Row { name: "melt, stud", of: |f| f.melt_stud_m, text: depth, change: Relative },
        Row { name: "melt, sheet", of: |f| f.melt_sheet_m, text: depth, change: Relative },
        Row { name: "fill", of: |f| f.fill_ratio, text: bare, change: Relative },
        Row { name: "least at the rim", of: |f| f.rim_fill_min, text: bare, change: Relative },
        Row { name: "flange welded", of: |f| f.welded_share, text: percent, change: Points },
        Row { name: "boiled off", of: |f| f.vapour_share, text: percent, change: Points },
        Row { name: "touchdown speed", of: |f| f.touchdown_speed_m_per_s, text: speed, change: Relative },
        Row { name: "current then", of: |f| f.touchdown_current_A, text: current, change: Relative },
        Row { name: "frozen", of: |f| f.freeze_s, text: milliseconds, change: Relative },
        Row { name: "back face", of: |f| f.back_face_K, text: celsius, change: Kelvin },
        Row { name: "loop resistance", of: |f| Some(f.loop_resistance_ohm), text: resistance, change: Relative },
        Row { name: "loop inductance", of: |f| Some(f.loop_inductance_H), text: inductance, change: Relative },
        Row { name: "action", of: |f| Some(f.action_A2s), text: action, change: Relative },
    ]
};

impl Row {
    /// The figure as text; "none" where it did not come.
    pub fn value(&self, figures: &Figures) -> String {
        (self.of)(figures).map_or("none".into(), self.text)
    }

    /// What changed from the base, as text; empty where there is nothing to compare.
    pub fn difference(&self, base: &Figures, other: &Figures) -> String {
        let (Some(from), Some(to)) = ((self.of)(base), (self.of)(other)) else {
            return String::new();
        };
        match self.change {
            Change::Points => signed((to - from) * 100.0, "pts"),
            Change::Kelvin => signed((to - from).round(), "K"),
            Change::Relative if from == 0.0 => String::new(),
            Change::Relative => signed((to - from) / from.abs() * 100.0, "%"),
        }
    }
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
    fn shares_change_in_points_and_what_did_not_come_is_not_compared() {
        let row = |name: &str| ROWS.iter().find(|r| r.name == name).unwrap();
        let (mut base, mut other) = (Figures::default(), Figures::default());
        base.vapour_share = Some(0.033);
        (other.vapour_share, other.arc_energy_J) = (Some(0.0), Some(100.0));
        assert_eq!(row("boiled off").difference(&base, &other), "−3.3 pts");
        assert_eq!(row("arc energy").difference(&base, &other), "");
        assert_eq!(row("arc energy").value(&base), "none");
    }
}
