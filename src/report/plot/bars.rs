//! Stacked bars: where the joules of each shot went, one bar a shot, on one scale.

use plotters::style::RGBColor;

use super::canvas::{Canvas, Hold, Point, Type};
use super::text::{clean, shorten, width};
use super::theme;
use arcplunge_core::simulation::ledger::Ledger;

/// A part of a bar: a group of the ledger's elements.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kind {
    /// As in the legend.
    pub name: &'static str,
    /// Colour of the part.
    pub colour: RGBColor,
    /// Colour of the number inside.
    pub ink: RGBColor,
}

/// Elements of the ledger in groups, in the order of the loop. Neighbours differ in lightness.
pub const KINDS: [Kind; 9] = [
    kind("bank and switch", theme::GREY, theme::WHITE),
    kind("leads and sheet", theme::GRID, theme::INK),
    kind("joints", theme::ALARM, theme::INK),
    kind("pip", RGBColor(0xF0, 0xE4, 0x42), theme::INK),
    kind("arc to stud", theme::ACCENT, theme::WHITE),
    kind("arc to sheet", RGBColor(0x56, 0xB4, 0xE9), theme::INK),
    kind("light, spatter", RGBColor(0x00, 0x74, 0x54), theme::WHITE),
    kind("closed weld or short", theme::AMBER, theme::INK),
    kind("left over", theme::PURPLE, theme::WHITE),
];

const fn kind(name: &'static str, colour: RGBColor, ink: RGBColor) -> Kind {
    Kind { name, colour, ink }
}

/// Joules of each kind.
pub fn parts(l: &Ledger) -> [f64; 9] {
    let leads: f64 = l.earth_leads.iter().sum();
    [
        l.bank_esr + l.switch + l.diode + l.internal,
        l.gun_lead + leads + l.sheet,
        l.all_joints(),
        l.pip,
        l.arc_to_stud,
        l.arc_to_sheet,
        l.arc_away,
        l.forge + l.bolted,
        l.left_in_bank + l.left_in_leads,
    ]
}

/// A bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Name of the weld, above the bar; shortened where room is short.
    pub name: String,
    /// Joules of each of [`KINDS`].
    pub parts: [f64; 9],
}

const HEAD: f64 = 30.0;
const LEGEND: f64 = 20.0;
const NAME: f64 = 20.0;
const BAR: f64 = 24.0;
const SPACE: f64 = 10.0;
const SWATCH: f64 = 13.0;

/// Kinds that any bar holds enough of to be seen.
fn shown(bars: &[Bar]) -> Vec<usize> {
    let most = bars
        .iter()
        .map(|b| b.parts.iter().sum::<f64>())
        .fold(0.0, f64::max);
    (0..KINDS.len())
        .filter(|k| bars.iter().any(|b| b.parts[*k] > 1e-3 * most))
        .collect()
}

/// Lines of the legend in `room` \[px\], each with its kinds and where they start.
fn legend(bars: &[Bar], room: f64) -> Vec<Vec<(usize, f64)>> {
    let mut lines: Vec<Vec<(usize, f64)>> = vec![Vec::new()];
    let mut x = 0.0;
    for k in shown(bars) {
        let w = SWATCH + 6.0 + width(KINDS[k].name, theme::NAME, false) + 18.0;
        if x + w > room && x > 0.0 {
            lines.push(Vec::new());
            x = 0.0;
        }
        if let Some(line) = lines.last_mut() {
            line.push((k, x));
        }
        x += w;
    }
    lines
}

/// Height the bars take in `room` \[px\].
pub fn height(bars: &[Bar], room: f64) -> f64 {
    let lines = legend(bars, room).len() as f64;
    HEAD + lines * LEGEND + bars.len() as f64 * (NAME + BAR + SPACE) + SPACE
}

/// Draws them below `top` between `left` and `right` \[px\].
pub fn paint(canvas: &mut Canvas, bars: &[Bar], (left, right): Point, top: f64) {
    let room = right - left;
    let title = Type::new(theme::SECOND, theme::INK, Hold::Start).bold();
    canvas.text((left, top + 0.5 * HEAD), "where the joules went", title);
    let mut y = top + HEAD;
    for line in legend(bars, room) {
        for (k, x) in line {
            let at = (left + x, y + 0.5 * (LEGEND - SWATCH));
            canvas.fill(at, (at.0 + SWATCH, at.1 + SWATCH), KINDS[k].colour);
            let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
            canvas.text((at.0 + SWATCH + 6.0, y + 0.5 * LEGEND), KINDS[k].name, how);
        }
        y += LEGEND;
    }
    y += 0.5 * SPACE;
    let most = bars
        .iter()
        .map(|b| b.parts.iter().sum::<f64>())
        .fold(0.0, f64::max);
    for bar in bars {
        bar.paint(canvas, (left, right), y, most);
        y += NAME + BAR + SPACE;
    }
}

impl Bar {
    fn paint(&self, canvas: &mut Canvas, (left, right): Point, top: f64, most: f64) {
        let whole: f64 = self.parts.iter().sum();
        let total = format!("{} J", number(whole));
        let room = right - left - width(&total, theme::NAME, false) - 10.0;
        let name = shorten(&clean(&self.name), theme::NAME, true, room);
        let how = Type::new(theme::NAME, theme::INK, Hold::Start).bold();
        canvas.text((left, top + 0.5 * NAME), &name, how);
        let beside = left + width(&name, theme::NAME, true) + 10.0;
        let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
        canvas.text((beside, top + 0.5 * NAME), &total, how);
        let (y, mut x) = (top + NAME, left);
        for (kind, joules) in KINDS.iter().zip(self.parts) {
            let length = (right - left) * joules.max(0.0) / most.max(f64::MIN_POSITIVE);
            if length < 0.25 {
                continue;
            }
            canvas.fill((x, y), (x + length, y + BAR), kind.colour);
            let text = number(joules);
            if width(&text, theme::SMALL, false) + 6.0 <= length {
                let how = Type::new(theme::SMALL, kind.ink, Hold::Middle);
                canvas.text((x + 0.5 * length, y + 0.5 * BAR), &text, how);
            }
            x += length;
            // A white line parts what colour alone might not.
            canvas.fill((x - 0.75, y), (x, y + BAR), theme::WHITE);
        }
    }
}

fn number(joules: f64) -> String {
    crate::format::significant(joules, 3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::Case;
    use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
    use arcplunge_core::simulation::rig::Rig;

    #[test]
    fn conserves_a_bar_holds_the_whole_ledger() {
        let shot = fire(
            &Rig::new(&Case::default()),
            &Settings::default(),
            &mut Workspace::default(),
        )
        .unwrap();
        let sum: f64 = parts(&shot.ledger).iter().sum();
        // The same numbers in another order.
        assert!((sum - shot.ledger.total()).abs() < 1e-9 * sum);
    }
}
