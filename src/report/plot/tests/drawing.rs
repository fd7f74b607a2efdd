//! Whole drawings, of every kind of shot.

use super::{KINDS, fired};
use crate::plot::geometry::Rect;
use crate::plot::{Size, shot, svg};
use crate::title;
use arcplunge_core::simulation::events::EventName;

#[test]
fn every_kind_of_shot_makes_a_sound_document() {
    for (name, sets) in KINDS {
        let (case, trace) = fired(sets);
        let line = title::deciding(&case, &trace.shot);
        let text = svg(&case, &trace, &line, Size::default());
        let document = roxmltree::Document::parse(&text).expect("well-formed");
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"), "{name}");
        assert_eq!(root.attribute("viewBox"), Some("0 0 4000 3120"), "{name}");
        assert_eq!(root.attribute("width"), Some("1000"), "{name}");
        let child = |tag: &str| {
            let mut found = root.children().filter(|n| n.has_tag_name(tag));
            found
                .next()
                .and_then(|n| n.text())
                .unwrap_or("")
                .to_string()
        };
        assert_eq!(child("title"), title::what(&case), "{name}");
        assert!(child("desc").contains("trigger"), "{name}");
        assert!(!text.contains("NaN") && !text.contains("inf"), "{name}");
        assert_eq!(text, svg(&case, &trace, &line, Size::default()), "{name}");
    }
}

#[test]
fn curves_stay_in_their_panels() {
    for (name, sets) in KINDS {
        let (case, trace) = fired(sets);
        let figure = shot::figure(&case, &trace, "");
        for size in [
            Size::default(),
            Size {
                width: 720,
                height: 560,
            },
        ] {
            let drawing = figure.draw(size);
            assert_eq!(drawing.frames.len(), figure.panels.len());
            for (frame, curves) in drawing.frames.iter().zip(&drawing.curves) {
                // Places are rounded to a quarter of a pixel.
                let r = Rect {
                    left: frame.rect.left - 0.5,
                    top: frame.rect.top - 0.5,
                    right: frame.rect.right + 0.5,
                    bottom: frame.rect.bottom + 0.5,
                };
                for (x, y) in curves.iter().flatten() {
                    let inside = (r.left..=r.right).contains(x) && (r.top..=r.bottom).contains(y);
                    assert!(inside, "{name}: ({x}, {y}) outside {r:?}");
                }
            }
        }
    }
}

#[test]
fn the_weld_is_not_squeezed_by_a_long_tail() {
    let (_, trace) = fired(&[
        "lead.length=20 m",
        "lead.section=120 mm2",
        "lead.turns=6",
        "bank.esr=0.5 mohm",
    ]);
    let f = &trace.shot.figures;
    let (touchdown, end) = (
        f.touchdown_s.expect("lands"),
        f.current_end_s.expect("ends"),
    );
    assert!(end > 5.0 * touchdown, "the case has a long tail");
    let (_, shown) = super::super::span::shown(&trace);
    assert!(shown < 2.0 * touchdown && shown > f.freeze_s.expect("freezes"));
}

#[test]
fn all_events_are_shown_where_nothing_is_cut() {
    let (case, trace) = fired(&[]);
    let figure = shot::figure(&case, &trace, "");
    assert!(figure.events.iter().all(|e| e.at < figure.range.1));
    assert_eq!(figure.events.len(), trace.shot.events.len());
    assert!(
        trace
            .shot
            .events
            .iter()
            .any(|e| e.name == EventName::Frozen)
    );
}

#[test]
fn what_did_not_happen_is_said_and_not_drawn() {
    let notes = |sets: &[&str]| -> Vec<String> {
        let (case, trace) = fired(sets);
        let panels = shot::figure(&case, &trace, "").panels;
        panels.into_iter().filter_map(|p| p.note).collect()
    };
    assert_eq!(notes(&["bank.voltage=30 V"]), ["no arc, no melt"]);
    assert_eq!(
        notes(&["bank.voltage=1 V"]),
        ["no current flows", "no arc, no melt"]
    );
    assert!(notes(&[]).is_empty());
    let (case, trace) = fired(&["stud.short_resistance=1 mohm"]);
    assert_eq!(shot::figure(&case, &trace, "").panels.len(), 1);
}

#[test]
fn a_title_of_the_user_s_own_is_taken_as_text() {
    let (mut case, trace) = fired(&[]);
    case.title = "<script>&\"'\u{1b}[31m ".to_string() + &"long ".repeat(400);
    let text = svg(&case, &trace, "a <line>", Size::default());
    let document = roxmltree::Document::parse(&text).expect("well-formed");
    assert!(!document.descendants().any(|n| n.has_tag_name("script")));
    let words: Vec<&str> = document
        .descendants()
        .filter(|n| n.has_tag_name("text"))
        .filter_map(|n| n.text())
        .map(str::trim)
        .collect();
    assert!(
        words
            .iter()
            .any(|w| w.starts_with("<script>&\"' [31m long") && w.ends_with('…'))
    );
    // What was welded stays on the paper.
    assert!(words.contains(&title::what(&case).as_str()));
    assert!(words.contains(&"a <line>"));
}
