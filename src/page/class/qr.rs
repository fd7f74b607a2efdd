//! The link as a QR code, for a phone's camera.

use qrcode::{Color, EcLevel, QrCode};
use serde::Serialize;

/// Light modules that a QR code wants round it (ISO/IEC 18004, 4 on each side).
const QUIET: usize = 4;

/// A picture for SVG: dark modules as one path, one unit each.
#[derive(Debug, Serialize)]
pub struct Picture {
    /// Width and height, with the light margin.
    side: usize,
    path: String,
}

/// The code of a text that is short: a link. Nothing for one of thousands of letters.
pub fn picture(text: &str) -> Picture {
    let Ok(code) = QrCode::with_error_correction_level(text, EcLevel::M) else {
        return Picture {
            side: 0,
            path: String::new(),
        };
    };
    let wide = code.width();
    let dark = code.to_colors().into_iter().enumerate();
    let path = dark
        .filter(|(_, color)| *color == Color::Dark)
        .map(|(k, _)| format!("M{} {}h1v1h-1z", QUIET + k % wide, QUIET + k / wide))
        .collect();
    Picture {
        side: wide + 2 * QUIET,
        path,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_link_has_its_three_finders_in_a_light_margin() {
        let picture = picture("http://192.168.1.5:7412/#K7P3QX");
        assert!(picture.side >= 29, "{}", picture.side);
        let last = picture.side - QUIET - 1;
        for (x, y) in [(QUIET, QUIET), (last, QUIET), (QUIET, last)] {
            assert!(picture.path.contains(&format!("M{x} {y}h1")), "{x} {y}");
        }
        assert!(!picture.path.contains(&format!("M{} ", QUIET - 1)));
    }
}
