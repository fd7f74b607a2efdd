//! Parts of a report: the frame, tables, bars, the case, cautions. All text passes [`escape`].

use std::fmt::{Display, Write};

use crate::cautions::{CAUTIONS, LIMITS, SCREEN};
use crate::format::{bound, engineering, significant};
use crate::joints;
use crate::plot::text::{clean, escape};
use arcplunge_core::case::Case;
use arcplunge_core::case::model::Metal;
use arcplunge_core::case::read::{Origin, Origins};
use arcplunge_core::case::settings::{Setting, figures_of, metal_settings, settings};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;

/// A page in the making.
pub struct Html(pub String);

impl Html {
    /// Adds to the page.
    pub fn put(&mut self, part: impl Display) {
        let _ = write!(self.0, "{part}");
    }

    /// A heading of the second rank.
    pub fn section(&mut self, title: &str) {
        self.put(format_args!("<h2>{}</h2>\n", escape(title)));
    }

    pub fn paragraph(&mut self, text: &str, class: &str) {
        self.put(format_args!("<p class=\"{class}\">{}</p>\n", prose(text)));
    }

    pub fn list(&mut self, items: &[String]) {
        if items.is_empty() {
            return;
        }
        self.put("<ul>\n");
        for item in items {
            self.put(format_args!("<li>{}</li>\n", prose(item)));
        }
        self.put("</ul>\n");
    }

    /// A table of text; columns from `numbers` on are set to the right.
    pub fn table(&mut self, head: &[&str], rows: &[Vec<String>], numbers: usize) {
        let class = |n: usize| if n >= numbers { " class=\"n\"" } else { "" };
        self.put("<div class=\"scroll\"><table>\n");
        if !head.is_empty() {
            self.put("<thead><tr>");
            for (n, cell) in head.iter().enumerate() {
                self.put(format_args!(
                    "<th scope=\"col\"{}>{}</th>",
                    class(n),
                    escape(cell)
                ));
            }
            self.put("</tr></thead>\n");
        }
        self.put("<tbody>\n");
        for row in rows {
            self.put("<tr>");
            for (n, cell) in row.iter().enumerate() {
                if n == 0 {
                    self.put(format_args!("<th scope=\"row\">{}</th>", heading(cell)));
                } else {
                    // A number breaks before its bracket only.
                    let cell = if n >= numbers {
                        cell.replace(' ', "\u{a0}").replace("\u{a0}(", " (")
                    } else {
                        bound(cell)
                    };
                    self.put(format_args!("<td{}>{}</td>", class(n), escape(&cell)));
                }
            }
            self.put("</tr>\n");
        }
        self.put("</tbody></table></div>\n");
    }

    /// A drawing; `number` tells its marks from those of others on the page.
    pub fn drawing(&mut self, svg: &str, number: usize) {
        let own = svg
            .replace("id=\"name\"", &format!("id=\"name-{number}\""))
            .replace("id=\"about\"", &format!("id=\"about-{number}\""))
            .replace(
                "\"name about\"",
                &format!("\"name-{number} about-{number}\""),
            );
        self.put(format_args!("<figure>{own}</figure>\n"));
    }

    /// Where the joules went, largest first.
    pub fn ledger(&mut self, shot: &Shot) {
        let stored = shot.figures.stored_energy_J;
        let mut entries = shot.ledger.entries();
        entries.sort_by(|a, b| b.1.total_cmp(&a.1));
        // Less than a millionth of the bank is rounding.
        entries.retain(|e| e.1 > 1e-6 * stored);
        let most = entries.first().map_or(1.0, |e| e.1);
        self.put("<table><thead><tr><th scope=\"col\">element</th><th scope=\"col\" class=\"n\">energy</th>");
        self.put(
            "<th scope=\"col\" class=\"n\">share</th><th class=\"b\"></th></tr></thead><tbody>\n",
        );
        for (name, joules) in &entries {
            self.put(format_args!(
                "<tr><th scope=\"row\">{}</th><td class=\"n\">{}</td><td class=\"n\">{:.1} %</td>\
                 <td class=\"b\"><span class=\"bar\" style=\"width:{:.1}%\"></span></td></tr>\n",
                escape(name),
                engineering(*joules, "J"),
                joules / stored * 100.0,
                joules / most * 100.0
            ));
        }
        self.put(format_args!(
            "<tr><th scope=\"row\">stored in the bank</th><td class=\"n\">{}</td><td class=\"n\">100.0 %</td>\
             <td class=\"b\"></td></tr>\n</tbody></table>\n",
            engineering(stored, "J")
        ));
    }

    /// Joints that suffer, if any.
    pub fn joints(&mut self, rig: &Rig, shot: &Shot) {
        let rows: Vec<Vec<String>> = joints::hot(rig, shot)
            .iter()
            .map(|j| {
                vec![
                    j.name.clone(),
                    format!("{} V", significant(j.peak_V, 2)),
                    joints::spot(j),
                    engineering(j.energy_J, "J"),
                    joints::since(j),
                ]
            })
            .collect();
        if rows.is_empty() {
            return;
        }
        let head = [
            "joint",
            "peak voltage",
            "contact spot",
            "heat",
            "melts from",
        ];
        self.table(&head, &rows, 1);
        self.paragraph(&joints::meaning(), "soft small");
    }

    /// Room for the weld that decides.
    pub fn test_weld(&mut self) {
        self.put("<table class=\"blank\"><caption>Test welds decide</caption><tbody>\n");
        for name in [
            "date",
            "operator",
            "test welds",
            "bent or torqued",
            "result",
            "signature",
        ] {
            self.put(format_args!(
                "<tr><th scope=\"row\">{name}</th><td></td></tr>\n"
            ));
        }
        self.put("</tbody></table>\n");
    }

    /// Every key with its value and where it came from: what differs from the demonstration case in full, the
    /// others small and folded.
    pub fn case(&mut self, case: &Case, origins: &Origins) {
        self.keys(case, origins, &[], metal_settings(case));
    }

    /// The same without `out`, the keys that are varied, and with the figures of `metals`.
    pub fn case_without(&mut self, case: &Case, origins: &Origins, out: &[&str], metals: &[Metal]) {
        let figures = metals.iter().flat_map(figures_of).collect();
        self.keys(case, origins, out, figures);
    }

    fn keys(&mut self, case: &Case, origins: &Origins, out: &[&str], metals: Vec<Setting>) {
        self.section("The case");
        // The origins know the metals of the case only.
        let own: Vec<String> = metal_settings(case).into_iter().map(|s| s.path).collect();
        let usual = Case::default();
        let known: Vec<Setting> = [settings(&usual), metal_settings(&usual)].concat();
        let shown = settings(case)
            .into_iter()
            .filter(|s| !out.contains(&s.path.as_str()));
        let (same, changed): (Vec<_>, Vec<_>) =
            shown.chain(metals).partition(|s| known.contains(s));
        let row = |s: &Setting| {
            let of_catalogue = s.path.starts_with("metal.") && !own.contains(&s.path);
            let origin = match origins.of_whole(&s.path) {
                _ if of_catalogue => "catalogue".to_string(),
                Origin::Default => "put on by a fault".to_string(),
                given => given.to_string(),
            };
            vec![s.path.clone(), valued(s), origin]
        };
        if changed.is_empty() {
            self.paragraph("Every key is as in the demonstration case.", "");
        } else {
            let rows: Vec<Vec<String>> = changed.iter().map(row).collect();
            self.table(&["key", "value", "origin"], &rows, 3);
        }
        if same.is_empty() {
            return;
        }
        self.put(format_args!(
            "<details><summary>{} keys as in the demonstration case</summary>\n<ul class=\"keys\">\n",
            same.len()
        ));
        for s in &same {
            self.put(format_args!(
                "<li>{} <b>{}</b></li>\n",
                heading(&s.path),
                prose(&valued(s))
            ));
        }
        self.put("</ul>\n</details>\n");
    }

    /// What the verdict is worth, what the model leaves out, the dangers.
    pub fn cautions(&mut self, banded: bool) {
        self.dangers();
        self.limits(banded);
    }

    /// The dangers of the work, and what the verdict is worth.
    pub fn dangers(&mut self) {
        self.put("<section class=\"cautions\">\n<h2>Before you weld</h2>\n");
        let cautions: Vec<String> = CAUTIONS.iter().map(|c| (*c).to_string()).collect();
        self.list(&cautions);
        self.paragraph(SCREEN, "");
        self.put("</section>\n");
    }

    /// What the model leaves out.
    pub fn limits(&mut self, banded: bool) {
        let limits = if banded {
            LIMITS.to_string()
        } else {
            LIMITS.replace(
                "the band shows that",
                "the band of a single shot shows that",
            )
        };
        self.paragraph(&limits, "soft small");
    }
}

/// A value, and what a name stands for.
fn valued(s: &Setting) -> String {
    if s.remark.is_empty() {
        s.value.clone()
    } else {
        format!("{} ({})", s.value, s.remark)
    }
}

/// Text of a paragraph: escaped, number and unit held together.
pub fn prose(text: &str) -> String {
    escape(&bound(&clean(text)))
}

/// A name or key, which may break at its joints.
pub fn heading(name: &str) -> String {
    let mut out = escape(&clean(name));
    for joint in [",", "_", ".", "+"] {
        out = out.replace(joint, &format!("{joint}<wbr>"));
    }
    out
}

/// A verdict as a badge, with what its word needs added, which makes it amber: word and frame, so that no meaning hangs on the
/// colour.
pub fn badge(shot: &Shot, but: &str) -> String {
    let (word, class) = match shot.verdict.map(|v| v.name()) {
        None => ("discharge test", "soft"),
        Some("sound") => ("sound", "sound"),
        Some("cold") => ("cold", "cold"),
        Some(other) => (other, "wrong"),
    };
    let class = if but.is_empty() { class } else { "amber" };
    format!("<span class=\"verdict {class}\">{word}{but}</span>")
}

/// The whole document.
pub fn document(title: &str, body: Html) -> String {
    let title = escape(&clean(title));
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"generator\" content=\"arcplunge {}\">\n<title>{title}</title>\n\
         <style>\n{}</style>\n</head>\n<body>\n<main>\n{}</main>\n</body>\n</html>\n",
        env!("CARGO_PKG_VERSION"),
        include_str!("style.css"),
        body.0
    )
}
