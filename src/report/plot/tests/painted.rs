//! The pixels of a PNG, compared with resvg's of the same drawing and against where the drawing
//! puts things; what the painter does not know is an error.

use resvg::tiny_skia;
use tiny_skia::{Pixmap, Transform};

use super::picture::read;
use super::{KINDS, fired};
use crate::plot::canvas::{Canvas, Hold, Type};
use crate::plot::theme::{self, Stroke};
use crate::plot::{Size, png, svg};

const SCALE: u32 = 2;

fn ours(svg: &str) -> Pixmap {
    let bytes = png(svg).expect("a picture");
    Pixmap::decode_png(&bytes).expect("a picture")
}

fn theirs(svg: &str) -> Pixmap {
    let tree = read(svg);
    let [width, height] = [tree.size().width(), tree.size().height()].map(|px| px as u32 * SCALE);
    let mut picture = Pixmap::new(width, height).expect("a size");
    let scale = Transform::from_scale(SCALE as f32, SCALE as f32);
    resvg::render(&tree, scale, &mut picture.as_mut());
    picture
}

/// Largest difference of a channel, of 255, and how many pixels differ at all.
fn difference(svg: &str) -> (u8, usize) {
    let (ours, theirs) = (ours(svg), theirs(svg));
    assert_eq!(
        (ours.width(), ours.height()),
        (theirs.width(), theirs.height())
    );
    let channels = ours.data().chunks(4).zip(theirs.data().chunks(4));
    let apart = channels.map(|(a, b)| a.iter().zip(b).map(|(a, b)| a.abs_diff(*b)).max());
    let apart: Vec<u8> = apart.flatten().collect();
    let most = apart.iter().copied().max().unwrap_or(0);
    (most, apart.iter().filter(|d| **d > 0).count())
}

/// Everything a canvas can put on paper, but for discs.
fn sample() -> Canvas {
    let mut canvas = Canvas::new(420, 260);
    canvas.fill((20.0, 20.0), (60.25, 40.5), theme::SOUND);
    canvas.polygon(&[(80.0, 20.0), (120.0, 25.5), (95.5, 60.0)], theme::ALARM);
    let zigzag = [(20.0, 80.0), (50.0, 110.25), (51.5, 80.0), (90.0, 100.0)];
    canvas.line(&zigzag, &theme::CURRENT);
    canvas.line(&[(100.0, 80.0), (180.0, 80.0)], &theme::RULE);
    let wave: Vec<_> = (0..200)
        .map(|k| {
            (
                200.0 + f64::from(k),
                60.0 + 40.0 * (0.1 * f64::from(k)).sin(),
            )
        })
        .collect();
    canvas.line(&wave, &theme::WELD);
    canvas.line(&zigzag.map(|(x, y)| (x + 100.0, y + 30.0)), &theme::EVENT);
    let holds = [Hold::Start, Hold::Middle, Hold::End];
    let texts = [
        "AVATAR To. Ty P, 0123456789: 6.14 kA, 0.715 ms",
        "offen, Schiff, fill, flash, efficient, baffle, Größe",
        "µm² · 3 × 10⁻⁴ Ω ≥ ± ° – − → “weld” Привет ∑ & < > \" '",
    ];
    for (k, (hold, text)) in holds.into_iter().zip(texts).enumerate() {
        let y = 150.0 + 30.0 * k as f64;
        let how = Type::new(11.5 + k as f64, theme::INK, hold);
        canvas.text((210.0, y), text, how);
        canvas.text((210.25, y + 15.0), text, Type { size: 9.3, ..how }.bold());
    }
    canvas
}

#[test]
fn lines_areas_and_text_are_those_of_another_painter() {
    let (most, count) = difference(&sample().finish("name", "about"));
    assert!(most <= 1, "{count} pixels differ, by {most} at most");
}

#[test]
fn a_comparison_tells_a_shift_of_a_tenth_of_a_pixel() {
    let svg = sample().finish("name", "about");
    let moved = svg.replacen("x=\"840\"", "x=\"840.4\"", 1);
    assert_ne!(moved, svg);
    let (ours, theirs) = (ours(&svg), theirs(&moved));
    let channels = ours.data().iter().zip(theirs.data());
    assert!(channels.map(|(a, b)| a.abs_diff(*b)).max() > Some(8));
}

#[test]
fn a_disc_is_round_to_a_tenth_of_a_pixel() {
    let mut canvas = Canvas::new(200, 100);
    for (k, radius) in [2.0, 3.5, 8.0, 30.0].into_iter().enumerate() {
        canvas.dot((30.0 + 40.0 * k as f64, 50.0), radius, theme::INK);
    }
    let (most, count) = difference(&canvas.finish("", ""));
    assert!(most <= 32, "{count} pixels differ, by {most} at most");
}

#[test]
fn every_kind_of_shot_is_painted_as_by_another_painter() {
    for (name, sets) in KINDS {
        let (case, trace) = fired(sets);
        let (most, count) = difference(&svg(&case, &trace, "fill 98 %, sound", Size::default()));
        // Discs alone differ, at their rims.
        assert!(most <= 32 && count < 400, "{name}: {count} by {most}");
    }
}

#[test]
fn things_are_where_the_drawing_puts_them() {
    let mut canvas = Canvas::new(100, 60);
    let stroke = Stroke::solid(theme::INK, theme::INK, 2.0);
    canvas.fill((10.0, 10.0), (30.0, 20.0), theme::ALARM);
    canvas.polygon(&[(40.0, 10.0), (60.0, 10.0), (40.0, 30.0)], theme::GREEN);
    canvas.dot((80.0, 20.0), 6.0, theme::ACCENT);
    canvas.line(&[(10.0, 40.0), (50.0, 40.0)], &stroke.dashed(6.0, 4.0));
    canvas.line(&[(60.0, 40.0), (90.0, 40.0)], &stroke);
    let how = Type::new(10.0, theme::INK, Hold::Start).bold();
    canvas.text((10.0, 52.0), "ll", how);
    let picture = ours(&canvas.finish("", ""));
    let probes = [
        ((11.0, 11.0), theme::ALARM),
        ((29.0, 19.0), theme::ALARM),
        ((31.0, 15.0), theme::WHITE),
        ((42.0, 12.0), theme::GREEN),
        ((56.0, 26.0), theme::WHITE),
        ((80.0, 25.0), theme::ACCENT),
        ((84.9, 24.9), theme::WHITE),
        ((13.0, 40.0), theme::INK),
        ((18.0, 40.0), theme::WHITE),
        ((23.0, 40.0), theme::INK),
        ((75.0, 39.25), theme::INK),
        ((75.0, 38.5), theme::WHITE),
        // An l of DejaVu Sans Bold: advance 0.343, stem from 0.084 to 0.259, 0.76 high.
        ((11.7, 50.0), theme::INK),
        ((15.1, 50.0), theme::INK),
        ((13.4, 50.0), theme::WHITE),
        ((11.7, 55.5), theme::WHITE),
    ];
    for ((x, y), colour) in probes {
        let [x, y] = [x, y].map(|px: f64| (px * f64::from(SCALE)) as u32);
        let seen = picture.pixel(x, y).expect("inside");
        let seen = (seen.red(), seen.green(), seen.blue());
        assert_eq!(seen, (colour.0, colour.1, colour.2), "at {x}, {y}");
    }
}

#[test]
fn what_the_painter_does_not_know_is_an_error_that_names_it() {
    let good = sample().finish("name", "about");
    assert!(png(&good).is_ok());
    let broken = [
        ("<polygon ", "<polygon transform=\"scale(2)\" ", "transform"),
        ("<polygon ", "<ellipse ", "ellipse"),
        ("opacity=\"1\"", "opacity=\"0.5\"", "opacity"),
        ("stroke=\"#0072B2\"", "stroke=\"blue\"", "blue"),
        ("dy=\"0.5ex\"", "dy=\"0.76em\"", "dy"),
        ("font-weight=\"bold\"", "font-weight=\"500\"", "500"),
        (
            "font-family=\"DejaVu Sans",
            "font-family=\"Verdana",
            "font-family",
        ),
        ("text-anchor=\"end\"", "text-anchor=\"left\"", "text-anchor"),
        ("points=\"80,320 ", "points=\"80 ", "points"),
        ("width=\"161\"", "width=\"-161\"", "width"),
        ("viewBox=\"0 0 ", "viewBox=\"4 0 ", "viewBox"),
        (
            "stroke-linejoin=\"round\"",
            "stroke-linejoin=\"bevel\"",
            "linejoin",
        ),
        ("<title", "<style>text {fill: red}</style><title", "style"),
    ];
    for (from, to, word) in broken {
        let svg = good.replacen(from, to, 1);
        assert_ne!(svg, good, "{from} is not in the sample");
        let error = png(&svg).expect_err(word).to_string();
        assert!(error.contains(word), "{word}: {error}");
    }
    let second = good.replacen("<title", "<image/><title", 1);
    let error = png(&second).expect_err("an image").to_string();
    assert!(
        error.contains("line 2") && error.contains("<image>"),
        "{error}"
    );
    for text in ["no drawing", "", "<svg/>", "<html/>"] {
        assert!(png(text).is_err(), "{text:?}");
    }
}
