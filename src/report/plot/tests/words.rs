//! Text: widths, escaping, shortening, and colours one can read.

use plotters::style::RGBColor;
use proptest::prelude::*;

use crate::plot::text::{clean, escape, fit, shorten, width};
use crate::plot::theme;
use arcplunge_core::simulation::events::Phase;

proptest! {
    #[test]
    fn escaped_text_reads_back_the_same(text in any::<String>()) {
        let cleaned = clean(&text);
        let document = format!("<a b=\"{0}\">{0}</a>", escape(&cleaned));
        let read = roxmltree::Document::parse(&document).expect("well-formed");
        let root = read.root_element();
        prop_assert_eq!(root.text().unwrap_or(""), &cleaned);
        prop_assert_eq!(root.attribute("b"), Some(cleaned.as_str()));
    }

    #[test]
    fn shortened_text_keeps_its_room(text in "\\PC{0,200}", room in 0.0..900.0f64) {
        let short = shorten(&text, 18.0, true, room);
        prop_assert!(width(&short, 18.0, true) <= room);
        prop_assert!(short == text || short.is_empty() || short.ends_with('…'));
    }

    #[test]
    fn fitted_text_keeps_its_room(text in "\\PC{0,200}", room in 200.0..900.0f64) {
        let (short, size) = fit(&text, true, 18.0, 12.0, room);
        prop_assert!((12.0..=18.0).contains(&size));
        prop_assert!(width(&short, size, true) <= room * (1.0 + 1e-6));
    }
}

#[test]
fn control_and_direction_marks_go() {
    assert_eq!(clean("a\u{0}\tb\u{202e}c\n\n d\u{feff}\u{ffff}"), "a bc d");
    assert_eq!(escape("<&>\"'"), "&lt;&amp;&gt;&quot;&apos;");
}

/// Relative luminance and contrast: Web Content Accessibility Guidelines 2.1, W3C (2018).
fn luminance(RGBColor(r, g, b): RGBColor) -> f64 {
    let linear = |c: u8| {
        let c = f64::from(c) / 255.0;
        if c <= 0.03928 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
}

fn compare(a: RGBColor, b: RGBColor) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn papers() -> Vec<RGBColor> {
    let phases = [Phase::Fuse, Phase::Arc, Phase::Forge];
    let tints = phases.into_iter().filter_map(theme::tint);
    tints.chain([theme::WHITE]).collect()
}

const STROKES: [theme::Stroke; 8] = [
    theme::CURRENT,
    theme::BANK,
    theme::WELD,
    theme::GAP,
    theme::SPEED,
    theme::MELT_STUD,
    theme::MELT_SHEET,
    theme::ARC_POWER,
];

#[test]
fn published_contrast_of_text_is_enough_on_every_tint() {
    // Level AA of the guidelines: 4.5 for text.
    for paper in papers() {
        for stroke in STROKES {
            let c = compare(stroke.text, paper);
            assert!(c >= 4.5, "{:?} on {paper:?}: {c:.2}", stroke.text);
        }
    }
    // The check can fail: the amber of the line is too pale for text.
    assert!(compare(theme::AMBER, theme::WHITE) < 4.5);
}

#[test]
fn curves_of_a_panel_differ_without_their_colour() {
    let panels: [&[theme::Stroke]; 3] = [&STROKES[..3], &STROKES[3..5], &STROKES[5..]];
    for panel in panels {
        for (k, a) in panel.iter().enumerate() {
            for b in &panel[k + 1..] {
                let told = a.dash != b.dash || (a.width / b.width).max(b.width / a.width) >= 1.5;
                assert!(told, "{a:?} {b:?}");
            }
        }
    }
}
