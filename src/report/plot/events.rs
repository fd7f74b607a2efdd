//! Events below the common axis: their names and times in a row, each led to its line.

use super::axis::Scale;
use super::canvas::{Canvas, Hold, Type};
use super::panel::Frame;
use super::spread::{room, spread};
use super::text::width;
use super::theme;

/// An event to be named.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Value on the common axis \[SI\].
    pub at: f64,
    /// What happens then, in a word or two.
    pub name: String,
}

/// Space between labels \[px\].
const SPACE: f64 = 12.0;
/// Heights below the panel \[px\]: the end of the straight part of a leader, its end, the label.
const BEND: f64 = 24.0;
const TIP: f64 = 39.0;
const NAME: f64 = 48.0;
const TIME: f64 = 62.0;
/// Height of it all \[px\].
pub const HEIGHT: f64 = 71.0;

/// Where a label stands \[px\].
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Place of the event on the axis, held inside it.
    pub anchor: f64,
    /// Middle of the label.
    pub middle: f64,
    /// Room the longer of its lines takes.
    pub width: f64,
    /// Name, and value with its unit.
    pub lines: [String; 2],
    /// The event is beyond what the axis shows.
    pub beyond: bool,
}

/// Places labels (in order of time) in a row between `low` and `high` \[px\]; returns their size of type as well.
pub fn place(
    labels: &[Label],
    frame: &Frame,
    scale: &Scale,
    low: f64,
    high: f64,
) -> (Vec<Placed>, f64) {
    let mut placed: Vec<Placed> = labels
        .iter()
        .map(|label| {
            let beyond = label.at > frame.x.1;
            let number = significant(label.at / scale.factor);
            let arrow = if beyond { " →" } else { "" };
            let lines = [
                label.name.clone(),
                format!("{number} {}{arrow}", scale.unit),
            ];
            Placed {
                anchor: frame.across(label.at.clamp(frame.x.0, frame.x.1)),
                middle: 0.0,
                width: 0.0,
                lines,
                beyond,
            }
        })
        .collect();
    let sized = |size: f64| -> Vec<f64> {
        let widths = |p: &Placed| p.lines.each_ref().map(|l| width(l, size, false));
        placed
            .iter()
            .map(|p| widths(p).into_iter().fold(0.0, f64::max))
            .collect()
    };
    // On narrow paper the type gives way, so that no label ever covers another.
    let full = sized(theme::SMALL);
    let shrink = ((high - low) / room(&full, SPACE).max(1.0)).min(1.0);
    let widths = sized(theme::SMALL * shrink);
    let anchors: Vec<f64> = placed.iter().map(|p| p.anchor).collect();
    let middles = spread(&anchors, &widths, SPACE * shrink, low, high);
    for ((p, middle), width) in placed.iter_mut().zip(middles).zip(widths) {
        p.middle = middle;
        p.width = width;
    }
    (placed, theme::SMALL * shrink)
}

/// Three significant digits.
fn significant(value: f64) -> String {
    crate::format::significant(value, 3)
}

/// The leaders, which the axis' numbers may cover.
pub fn leaders(canvas: &mut Canvas, placed: &[Placed], below: f64) {
    for p in placed.iter().filter(|p| !p.beyond) {
        let bend = (p.anchor, below + BEND);
        canvas.line(&[(p.anchor, below), bend], &theme::EVENT);
        canvas.line(&[bend, (p.middle, below + TIP)], &theme::LEADER);
    }
}

/// The names and times.
pub fn names(canvas: &mut Canvas, placed: &[Placed], size: f64, below: f64) {
    for p in placed {
        let how = Type::new(size, theme::INK, Hold::Middle);
        canvas.text((p.middle, below + NAME), &p.lines[0], how);
        let how = Type::new(size, theme::SOFT, Hold::Middle);
        canvas.text((p.middle, below + TIME), &p.lines[1], how);
    }
}
