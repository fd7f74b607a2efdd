//! The drawing as another program lays it out: text where it should be, and a PNG with text in it.

use std::sync::{Arc, OnceLock};

use resvg::usvg::fontdb::Database;
use resvg::usvg::{Group, Node, Options, Tree};
use tiny_skia::Pixmap;

use super::{KINDS, fired};
use crate::plot::canvas::{Canvas, Hold, Type};
use crate::plot::png;
use crate::plot::text::width;
use crate::plot::{Size, shot, theme};
use crate::title;

fn fonts() -> Arc<Database> {
    static FONTS: OnceLock<Arc<Database>> = OnceLock::new();
    let load = || {
        let mut fonts = Database::new();
        fonts.load_font_data(dejavu::sans::regular().to_vec());
        fonts.load_font_data(dejavu::sans::bold().to_vec());
        Arc::new(fonts)
    };
    FONTS.get_or_init(load).clone()
}

/// A drawing, read and laid out by resvg.
pub(super) fn read(svg: &str) -> Tree {
    let options = Options {
        fontdb: fonts(),
        ..Options::default()
    };
    Tree::from_str(svg, &options).expect("a drawing")
}

/// A text and its box \[px\]: left, top, right, bottom.
type Word = (String, [f64; 4]);

fn texts(group: &Group, out: &mut Vec<Word>) {
    for node in group.children() {
        match node {
            Node::Group(inner) => texts(inner, out),
            Node::Text(text) => {
                let b = text.abs_bounding_box();
                let words = text.chunks().iter().map(|c| c.text().trim()).collect();
                let corners = [b.left(), b.top(), b.right(), b.bottom()];
                out.push((words, corners.map(f64::from)));
            }
            _ => {}
        }
    }
}

fn words_of(svg: &str) -> Vec<Word> {
    let tree = read(svg);
    let mut out = Vec::new();
    texts(tree.root(), &mut out);
    out
}

/// Area two boxes share.
fn shared(a: &[f64; 4], b: &[f64; 4]) -> f64 {
    let across = a[2].min(b[2]) - a[0].max(b[0]);
    let down = a[3].min(b[3]) - a[1].max(b[1]);
    across.max(0.0) * down.max(0.0)
}

#[test]
fn agrees_with_the_layout_of_another_program_on_widths() {
    let samples = [
        "current peaks at 6.14 kA, 0.715 ms",
        "M5 mild steel on 1.5 mm mild steel, contact, 72 mF at 112 V (452 J), spring 80 N",
        "voltage, V: bank weld 0123456789 !\"#$%&'()*+,-./:;<=>?@[]^_`{|}~",
    ];
    for text in samples {
        for bold in [false, true] {
            let mut canvas = Canvas::new(1200, 100);
            let how = Type::new(16.0, theme::INK, Hold::Start);
            let how = if bold { how.bold() } else { how };
            canvas.text((10.0, 50.0), text, how);
            let found = words_of(&canvas.finish("", ""));
            let laid = found[0].1[2] - found[0].1[0];
            let own = width(text, 16.0, bold);
            assert!((own / laid - 1.0).abs() < 0.01, "{text}: {own} for {laid}");
        }
    }
}

#[test]
fn no_text_lies_on_another_or_leaves_the_paper() {
    let sizes = [
        Size::default(),
        Size {
            width: 720,
            height: 560,
        },
        Size {
            width: 1600,
            height: 1000,
        },
    ];
    for (name, sets) in KINDS {
        let (case, trace) = fired(sets);
        let line = title::deciding(&case, &trace.shot);
        for size in sizes {
            let svg = crate::plot::svg(&case, &trace, &line, size);
            let words = words_of(&svg);
            assert!(words.len() > 12, "{name}: only {} texts", words.len());
            for (k, (a, at)) in words.iter().enumerate() {
                let inside = at[0] >= 4.0
                    && at[1] >= 0.0
                    && at[2] <= f64::from(size.width) - 4.0
                    && at[3] <= f64::from(size.height);
                assert!(inside, "{name} at {size:?}: {a:?} at {at:?}");
                for (b, other) in &words[k + 1..] {
                    assert!(
                        shared(at, other) == 0.0,
                        "{name} at {size:?}: {a:?} on {b:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn no_curve_runs_through_a_word() {
    for (name, sets) in KINDS {
        let (case, trace) = fired(sets);
        let drawing = shot::figure(&case, &trace, "").draw(Size::default());
        let words = words_of(&drawing.svg);
        for curve in drawing.curves.iter().flatten() {
            for (word, at) in &words {
                // The box of a line of type is higher than its letters.
                let trim = 0.12 * (at[3] - at[1]);
                let word_rect = crate::plot::geometry::Rect {
                    left: at[0],
                    top: at[1] + trim,
                    right: at[2],
                    bottom: at[3] - trim,
                };
                let gap = word_rect.gap_to_line(curve);
                assert!(gap > 0.5, "{name}: a curve at {gap} px from {word:?}");
            }
        }
    }
}

/// Dark pixels in a part of a picture.
fn dark(picture: &Pixmap, (left, top): (u32, u32), (right, bottom): (u32, u32)) -> usize {
    let at = |x, y| picture.pixel(x, y).expect("inside");
    (top..bottom)
        .flat_map(|y| (left..right).map(move |x| (x, y)))
        .filter(|(x, y)| at(*x, *y).green() < 100)
        .count()
}

#[test]
fn a_png_has_its_size_and_its_text_without_system_fonts() {
    let (case, trace) = fired(&[]);
    let mut figure = shot::figure(&case, &trace, "line");
    let bytes = png(&figure.draw(Size::default()).svg).expect("a picture");
    assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n");
    let number = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().expect("four bytes"));
    assert_eq!((number(16), number(20)), (2000, 1560));
    let picture = Pixmap::decode_png(&bytes).expect("a picture");
    let title = ((100, 30), (1900, 85));
    assert!(dark(&picture, title.0, title.1) > 2000);
    // Without a title the same place is empty.
    figure.title.clear();
    let bytes = png(&figure.draw(Size::default()).svg).expect("a picture");
    let picture = Pixmap::decode_png(&bytes).expect("a picture");
    assert_eq!(dark(&picture, title.0, title.1), 0);
}
