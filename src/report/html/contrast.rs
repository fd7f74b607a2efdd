//! The report of a contrast.

use super::parts::{Html, badge, document, heading, prose};
use crate::beside::but;
use crate::borderline;
use crate::contrast::reserve::reserve;
use crate::contrast::rows::{ROWS, signed};
use crate::contrast::sentences::{cause, change, seen};
use crate::contrast::{own_remarks, remedy};
use crate::format::engineering;
use crate::pairs::remarks_of;
use crate::plot::overlay;
use crate::plot::text::{clean, escape};
use crate::title::{deciding, what};
use arcplunge_core::case::read::Resolved;
use arcplunge_core::simulation::trace::Trace;
use arcplunge_core::study::contrast::{Contrast, Fired, ledger_moves};

/// Variations side by side in a table or a drawing: as many as can still be told apart on paper.
const GROUP: usize = 3;

/// Share of the bank from which a ledger move is shown.
const SMALL: f64 = 0.002;

/// The page of a contrast; `traces` are the curves of the base and of each variation.
pub fn contrast(base: &Resolved, c: &Contrast, traces: &[Trace]) -> String {
    let mut page = Html(String::new());
    let case = &c.base.case;
    let own = clean(&case.title);
    let title = if own.is_empty() {
        what(case)
    } else {
        own.clone()
    };
    page.put(format_args!("<h1>{}</h1>\n", prose(&title)));
    if !own.is_empty() {
        page.paragraph(&what(case), "soft");
    }
    weld(&mut page, &c.base);
    for v in &c.variations {
        variation(&mut page, c, v);
    }
    // Groups of about the same size.
    let group = c
        .variations
        .len()
        .div_ceil(c.variations.len().div_ceil(GROUP).max(1))
        .max(1);
    page.section("Figures");
    for group in c.variations.chunks(group) {
        figures(&mut page, c, group);
    }
    page.paragraph(
        "Changes are in per cent of the base, those of shares in percentage points (pts).",
        "soft small",
    );
    page.section("Curves and ledgers");
    if let Some((first, others)) = traces.split_first() {
        let pairs: Vec<_> = c.variations.iter().zip(others).collect();
        for (n, group) in pairs.chunks(group).enumerate() {
            page.drawing(&overlay::svg((&c.base, first), group), n + 1);
        }
    }
    page.section("Where the joules moved");
    for v in &c.variations {
        page.put(format_args!("<h3>{}</h3>\n", heading(&v.name)));
        moves(&mut page, c, v);
        page.joints(&v.rig, &v.shot);
    }
    page.case(case, &base.origins);
    page.cautions(false);
    document(&title, page)
}

fn weld(page: &mut Html, s: &Fired) {
    page.put(format_args!(
        "<section class=\"weld\">\n<h3>{} {}</h3>\n",
        heading(&s.name),
        badge(
            &s.shot,
            &but(s.shot.verdict, s.band.as_ref(), Some(&s.blow))
        )
    ));
    page.paragraph(&deciding(&s.case, &s.shot), "");
    remarks(page, &remarks_of(&s.case));
    left(page, None, s);
    page.put("</section>\n");
}

/// What is left above fill 1, and whether the verdict is borderline.
fn left(page: &mut Html, base: Option<&Fired>, s: &Fired) {
    if let Some(reserve) = reserve(base, s) {
        let class = if reserve.fell { "amber" } else { "" };
        let words = reserve
            .words
            .replacen("reserve", "Reserve above fill 1:", 1);
        page.paragraph(&format!("{words}."), class);
    }
    if let Some(unsure) = borderline::sentence(s.band.as_ref()) {
        page.paragraph(&unsure, "amber");
    }
}

fn remarks(page: &mut Html, remarks: &[&str]) {
    for remark in remarks {
        page.paragraph(remark, "");
    }
}

fn variation(page: &mut Html, c: &Contrast, v: &Fired) {
    page.put(format_args!(
        "<section class=\"weld\">\n<h3>{} {}</h3>\n",
        heading(&v.name),
        badge(
            &v.shot,
            &but(v.shot.verdict, v.band.as_ref(), Some(&v.blow))
        )
    ));
    page.paragraph(&deciding(&v.case, &v.shot), "");
    remarks(page, &own_remarks(c, v));
    left(page, Some(&c.base), v);
    let about: Vec<&str> = v.faults.iter().map(|f| f.about.as_str()).collect();
    let changes: Vec<String> = v.changes.iter().map(change).collect();
    page.put("<dl>\n");
    for (name, text) in [
        ("Fault", about.join("; ")),
        ("Changed", changes.join("; ")),
        ("Cause", cause(&c.base, v)),
        ("Seen on a weld", seen(&c.base, v).join(" ")),
        ("Remedy", remedy(&c.base, v).join(" ")),
    ] {
        if !text.is_empty() {
            page.put(format_args!("<dt>{name}</dt><dd>{}</dd>\n", prose(&text)));
        }
    }
    page.put("</dl>\n");
    if !v.faults.is_empty() {
        page.paragraph(
            "What is seen on a weld and the remedy are common practice, no source.",
            "soft small",
        );
    }
    page.put("</section>\n");
}

fn figures(page: &mut Html, c: &Contrast, group: &[Fired]) {
    let base = &c.base.shot.figures;
    let mut head = vec!["figure", "base"];
    head.extend(group.iter().map(|v| v.name.as_str()));
    let rows: Vec<Vec<String>> = ROWS
        .iter()
        .filter(|row| {
            let mut shots = std::iter::once(&c.base).chain(group);
            shots.any(|s| (row.of)(&s.shot.figures).is_some())
        })
        .map(|row| {
            let mut cells = vec![row.name.to_string(), row.value(base)];
            cells.extend(group.iter().map(|v| {
                let f = &v.shot.figures;
                match row.difference(base, f) {
                    change if change.starts_with("0 ") => "same".to_string(),
                    change if change.is_empty() => row.value(f),
                    change => format!("{} ({change})", row.value(f)),
                }
            }));
            cells
        })
        .collect();
    page.table(&head, &rows, 1);
}

fn moves(page: &mut Html, c: &Contrast, v: &Fired) {
    let stored = c.base.shot.figures.stored_energy_J;
    let mut all = ledger_moves(&c.base.shot, &v.shot);
    all.retain(|m| m.gain().abs() >= SMALL * stored);
    let Some(most) = all.first().map(|m| m.gain().abs()) else {
        page.paragraph("No element gained or lost 0.2 % of the bank.", "");
        return;
    };
    page.put(
        "<table><thead><tr><th scope=\"col\">element</th><th scope=\"col\" class=\"n\">base</th>",
    );
    page.put("<th scope=\"col\" class=\"n\">now</th><th scope=\"col\" class=\"n\">change</th>");
    page.put("<th class=\"b\"></th></tr></thead><tbody>\n");
    for m in &all {
        let less = if m.gain() < 0.0 { " less" } else { "" };
        page.put(format_args!(
            "<tr><th scope=\"row\">{}</th><td class=\"n\">{}</td><td class=\"n\">{}</td>\
             <td class=\"n\">{}</td><td class=\"b\"><span class=\"bar{less}\" style=\"width:{:.1}%\">\
             </span></td></tr>\n",
            escape(&m.name),
            engineering(m.from, "J"),
            engineering(m.to, "J"),
            signed(m.gain(), "J"),
            m.gain().abs() / most * 100.0
        ));
    }
    page.put("</tbody></table>\n");
}
