//! Plots as SVG, and from that as PNG.
//!
//! [`svg`] draws one weld cycle, [`overlay`] lays others over it. Below it lie parts for other plots: [`theme`] (colours, strokes),
//! [`axis`] (prefix, ticks), [`panel`] (curves on two matched axes, with their names),
//! [`events`] (labels that never touch), [`figure`] (panels stacked on one axis).

pub mod axis;
pub mod bars;
pub mod canvas;
pub mod curve;
pub mod events;
pub mod figure;
pub mod geometry;
pub mod heading;
pub mod overlay;
pub mod panel;
pub mod place;
#[cfg(feature = "png")]
mod png;
pub mod shot;
pub mod smooth;
mod span;
pub mod spread;
pub mod text;
pub mod theme;
pub mod ticks;

#[cfg(feature = "png")]
pub use png::{PngError, png};

#[cfg(test)]
mod tests;

use crate::title::deciding;
use crate::verdict::full;
use arcplunge_core::case::Case;
use arcplunge_core::simulation::trace::Trace;
use arcplunge_core::study::assessment::Assessment;

/// Size of a plot on the screen \[px\]; the drawing scales.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Across \[px\].
    pub width: u32,
    /// Down \[px\].
    pub height: u32,
}

impl Default for Size {
    fn default() -> Self {
        Size {
            width: 1000,
            height: 780,
        }
    }
}

impl Size {
    /// Smallest and largest size that can be drawn well; a smaller picture is a scaled one.
    const LEAST: Size = Size {
        width: 720,
        height: 560,
    };
    const MOST: Size = Size {
        width: 4000,
        height: 4000,
    };

    fn held(self) -> Size {
        Size {
            width: self.width.clamp(Size::LEAST.width, Size::MOST.width),
            height: self.height.clamp(Size::LEAST.height, Size::MOST.height),
        }
    }
}

/// Rows of a drawn curve along the shot; far more than it has pixels.
pub const POINTS: f64 = 2500.0;

/// The drawing of a weld cycle as it is given out: its verdict and the figure that decides below the title.
pub fn weld(weld: &Assessment, trace: &Trace) -> String {
    let line = format!("{} · {}", full(weld).0, deciding(&weld.case, &trace.shot));
    svg(&weld.case, trace, &line, Size::default())
}

/// The same, low enough to share a sheet of paper with what else is needed at the bench.
pub fn weld_low(case: &Case, trace: &Trace) -> String {
    let size = Size {
        height: 560,
        ..Size::default()
    };
    svg(case, trace, "", size)
}

/// Draws a weld cycle; `line` says the verdict and the figure that decides it.
///
/// Sizes below 720 × 560 or above 4000 × 4000 are held there.
pub fn svg(case: &Case, trace: &Trace, line: &str, size: Size) -> String {
    shot::figure(case, trace, line).draw(size.held()).svg
}
