//! The report of one weld cycle.

use super::super::beside::Beside;
use super::parts::{Html, badge, document, prose};
use crate::figures::{FILL, rows};
use crate::format::milliseconds;
use crate::page::event;
use crate::plot::text::clean;
use crate::reasons::reasons;
use crate::title::{leads, what};
use arcplunge_core::case::read::Resolved;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;

/// The page of a shot: what one takes to the bench on the first sheet, figures and keys behind it; `svg` is the drawing of its curves.
pub fn shot(resolved: &Resolved, rig: &Rig, shot: &Shot, beside: &Beside, svg: &str) -> String {
    let band = beside.band.as_ref();
    let case = &resolved.case;
    let mut page = Html(String::new());
    let own = clean(&case.title);
    let title = if own.is_empty() {
        what(case)
    } else {
        own.clone()
    };
    // What shares the first sheet of paper; the drawing gives way to the words.
    page.put("<div class=\"first\">\n");
    page.put(format_args!("<h1>{}</h1>\n", prose(&title)));
    if !own.is_empty() {
        page.paragraph(&what(case), "soft");
    }
    page.paragraph(&leads(case), "soft");
    let mut reasons = reasons(case, rig, shot, beside).into_iter();
    let first = reasons.next().unwrap_or_default();
    page.put(format_args!(
        "<p>{} {}</p>\n",
        badge(shot, &beside.but(shot.verdict)),
        prose(&first)
    ));
    let rest: Vec<String> = reasons.collect();
    page.list(&rest);

    let rows = rows(shot, band);
    let banded = rows.iter().any(|r| !r.band.is_empty());
    page.drawing(svg, 1);
    let lines: Vec<Vec<String>> = shot
        .events
        .iter()
        .map(|e| {
            let (name, note) = event(e.name, shot);
            vec![name.to_string(), milliseconds(e.time_s), note]
        })
        .collect();
    page.put("<div class=\"pair\">\n");
    page.table(&["event", "time", ""], &lines, 9);
    if shot.verdict.is_some() {
        page.test_weld();
    }
    page.put("</div>\n");
    page.dangers();
    page.put("</div>\n");
    page.section("Figures");
    let head: &[&str] = if banded {
        &["figure", "value", "band"]
    } else {
        &["figure", "value"]
    };
    let lines: Vec<Vec<String>> = rows
        .into_iter()
        .map(|r| {
            let mut line = vec![r.name.to_string(), r.value];
            if banded {
                line.push(r.band);
            }
            line
        })
        .collect();
    page.table(head, &lines, 9);
    if shot.figures.fill_ratio.is_some() {
        page.paragraph(FILL, "soft small");
    }
    if let Some(b) = band.filter(|_| banded) {
        let text = format!(
            "Band: 90 % of {} shots over the spread of the model's own constants.",
            b.shots
        );
        page.paragraph(&text, "soft small");
    }

    page.limits(banded);
    page.section("Where the joules went");
    page.ledger(shot);
    page.joints(rig, shot);
    page.case(case, &resolved.origins);
    document(&title, page)
}
