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

use crate::case::Case;
use crate::cycle::trace::Trace;

/// Size of a plot on the screen [px]; the drawing scales.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    pub width: u32,
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

/// Draws a weld cycle; `line` says the verdict and the figure that decides it.
///
/// Sizes below 720 × 560 or above 4000 × 4000 are held there.
pub fn svg(case: &Case, trace: &Trace, line: &str, size: Size) -> String {
    shot::figure(case, trace, line).draw(size.held()).svg
}
