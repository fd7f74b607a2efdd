//! Colours, tints, fonts and strokes; the same on every plot.
//!
//! Colours follow M. Okabe and K. Ito, "Color Universal Design" (2008), which most colour-blind
//! eyes tell apart. No meaning depends on colour alone: a dash, a width or a word says the same.

use plotters::style::RGBColor;

use arcplunge_core::simulation::events::Phase;
use arcplunge_core::simulation::verdict::Verdict;

/// The one accent: current.
pub const ACCENT: RGBColor = RGBColor(0x00, 0x72, 0xB2);
/// Only for what is wrong or changed.
pub const ALARM: RGBColor = RGBColor(0xD5, 0x5E, 0x00);
/// Gap.
pub const GREEN: RGBColor = RGBColor(0x00, 0x9E, 0x73);
/// Arc power.
pub const AMBER: RGBColor = RGBColor(0xE6, 0x9F, 0x00);
/// Speed.
pub const PURPLE: RGBColor = RGBColor(0x7B, 0x32, 0x94);

/// Titles and the strongest curve without a colour of its own.
pub const INK: RGBColor = RGBColor(0x1C, 0x1C, 0x1C);
/// Second line, numbers on axes, names of events.
pub const SOFT: RGBColor = RGBColor(0x50, 0x50, 0x50);
/// Voltages and other curves without a colour of their own.
pub const GREY: RGBColor = RGBColor(0x6A, 0x6A, 0x6A);
/// The base behind a changed weld.
pub const BASE: RGBColor = RGBColor(0xA8, 0xA8, 0xA8);
/// Event lines and leaders.
pub const HAIR: RGBColor = RGBColor(0x8C, 0x8C, 0x8C);
/// Gridlines.
pub const GRID: RGBColor = RGBColor(0xD9, 0xD9, 0xD9);
/// The paper, and the rims that part what touches.
pub const WHITE: RGBColor = RGBColor(0xFF, 0xFF, 0xFF);

/// Text in green, dark enough to read on white and on the tints (contrast above 4.5).
pub const GREEN_TEXT: RGBColor = RGBColor(0x00, 0x74, 0x54);
/// Text in amber, likewise.
pub const AMBER_TEXT: RGBColor = RGBColor(0x8A, 0x5A, 0x00);
/// Text in blue, likewise.
pub const ACCENT_TEXT: RGBColor = RGBColor(0x00, 0x63, 0x9C);

/// Text in the colour of what is wrong or changed, likewise.
pub const ALARM_TEXT: RGBColor = RGBColor(0xA8, 0x45, 0x00);

/// Families in order: the one the PNG carries, then one drawn to the same widths.
pub const FONTS: &str = "DejaVu Sans, Verdana, sans-serif";

/// Type of the title \[px\]; a title too long for its line gets smaller type.
pub const TITLE: f64 = 18.0;
/// Type of the lines below the title, and of headings inside a picture \[px\].
pub const SECOND: f64 = 13.5;
/// Type of the names of axes, bands and legends \[px\].
pub const NAME: f64 = 12.5;
/// Type of the numbers on axes \[px\].
pub const NUMBER: f64 = 12.0;
/// Type of words at curves and events, and of remarks \[px\].
pub const SMALL: f64 = 11.5;

/// Pale tint of cold welds; names can be read on all four of these tints.
pub const COLD: RGBColor = RGBColor(0xE6, 0xEE, 0xF6);
/// Pale tint of one-sided welds.
pub const ONE_SIDED: RGBColor = RGBColor(0xE6, 0xDC, 0xF0);
/// Pale tint of sound welds.
pub const SOUND: RGBColor = RGBColor(0xD5, 0xEE, 0xE2);
/// Pale tint of hot welds.
pub const HOT: RGBColor = RGBColor(0xFB, 0xE3, 0xD9);
/// Pale tint of welds that burn through.
pub const BURNT: RGBColor = RGBColor(0xEC, 0xC4, 0xB0);

/// The full colour of a verdict, where no name has to be read on it.
pub fn full(verdict: Verdict) -> RGBColor {
    match verdict {
        Verdict::Cold => ACCENT,
        Verdict::OneSided => AMBER,
        Verdict::Sound => GREEN,
        Verdict::Hot => ALARM,
        Verdict::BurnThrough => RGBColor(0x7A, 0x2E, 0x00),
    }
}

/// The pale band of a phase, the same on every plot; `None` is the white of the paper.
pub fn tint(phase: Phase) -> Option<RGBColor> {
    match phase {
        Phase::Fuse => Some(RGBColor(0xF6, 0xEA, 0xD5)),
        Phase::Arc => Some(RGBColor(0xFB, 0xE3, 0xD9)),
        Phase::Forge => Some(RGBColor(0xE6, 0xEE, 0xF6)),
        Phase::Approach | Phase::Rest | Phase::Short => None,
    }
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Colour of the line itself.
    pub colour: RGBColor,
    /// Colour of its name and numbers: as the line, dark enough to read.
    pub text: RGBColor,
    /// Width \[px\].
    pub width: f64,
    /// Lengths of dash and space \[px\]; `None` is solid.
    pub dash: Option<(f64, f64)>,
}

impl Stroke {
    /// A solid line, `width` in \[px\]; `text` is the colour of its words.
    pub const fn solid(colour: RGBColor, text: RGBColor, width: f64) -> Self {
        Stroke {
            colour,
            text,
            width,
            dash: None,
        }
    }

    /// The same line, dashed; lengths of dash and space \[px\].
    pub const fn dashed(self, dash: f64, space: f64) -> Self {
        Stroke {
            dash: Some((dash, space)),
            ..self
        }
    }
}

/// Curve of the weld current.
pub const CURRENT: Stroke = Stroke::solid(ACCENT, ACCENT_TEXT, 2.6);
/// Curve of the voltage across the bank.
pub const BANK: Stroke = Stroke::solid(GREY, SOFT, 1.4);
/// Curve of the voltage across the weld, or across the short of a discharge test.
pub const WELD: Stroke = Stroke::solid(GREY, SOFT, 1.6).dashed(6.0, 3.5);
/// Curve of the gap between flange and sheet.
pub const GAP: Stroke = Stroke::solid(GREEN, GREEN_TEXT, 2.6);
/// Curve of the stud's speed.
pub const SPEED: Stroke = Stroke::solid(PURPLE, PURPLE, 1.6).dashed(10.0, 3.0);
/// Curve of the melt on the stud's face.
pub const MELT_STUD: Stroke = Stroke::solid(INK, INK, 2.6);
/// Curve of the melt on the sheet's face.
pub const MELT_SHEET: Stroke = Stroke::solid(HAIR, SOFT, 2.0).dashed(6.0, 4.0);
/// Curve of the arc's power.
pub const ARC_POWER: Stroke = Stroke::solid(AMBER, AMBER_TEXT, 2.0).dashed(2.5, 2.5);
/// The base, behind what is compared with it.
pub const BEHIND: Stroke = Stroke::solid(BASE, SOFT, 4.0);

/// Variations in front of it, distinguished by colour and dash.
pub const IN_FRONT: [Stroke; 6] = [
    Stroke::solid(ALARM, ALARM_TEXT, 2.2),
    Stroke::solid(ACCENT, ACCENT_TEXT, 2.2).dashed(9.0, 3.0),
    Stroke::solid(GREEN, GREEN_TEXT, 2.2).dashed(4.0, 3.0),
    Stroke::solid(PURPLE, PURPLE, 2.2).dashed(14.0, 4.0),
    Stroke::solid(AMBER, AMBER_TEXT, 2.4).dashed(2.5, 2.5),
    Stroke::solid(INK, INK, 1.8).dashed(7.0, 2.0),
];

/// Upright line at an event or another value worth one.
pub const EVENT: Stroke = Stroke::solid(HAIR, SOFT, 0.9).dashed(3.0, 3.0);
/// Line from a word to what it names.
pub const LEADER: Stroke = Stroke::solid(HAIR, SOFT, 0.9);
/// Gridlines at the ticks.
pub const RULE: Stroke = Stroke::solid(GRID, SOFT, 0.75);
/// Axes with their ticks, and the frame of a map.
pub const AXIS: Stroke = Stroke::solid(GREY, SOFT, 1.0);
