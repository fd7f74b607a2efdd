//! The settings chart to print and pin beside the machine.

use super::parts::{Html, document, prose};
use crate::cautions::SCREEN;
use crate::chart::{Cells, Short, cells, foot, groups, reasons, rig, searched, title};
use crate::plot::text::escape;
use arcplunge_core::case::keys::scale_of;
use arcplunge_core::case::model::Metal;
use arcplunge_core::case::read::Resolved;
use arcplunge_core::study::chart::{Chart, KEYS, metal};

/// The page of a chart.
pub fn chart(base: &Resolved, chart: &Chart) -> String {
    let mut page = Html(String::new());
    let title = title(chart);
    page.put(format_args!("<h1>{}</h1>\n", prose(&title)));
    page.paragraph(&rig(chart), "");
    page.paragraph(&format!("{SCREEN} {}", searched(chart)), "");
    page.put(
        "<div class=\"scroll\"><table class=\"chart\">\n<thead><tr><th scope=\"col\">stud</th>",
    );
    let scaled = KEYS.map(|key| scale_of(&chart.base, key).is_some());
    // Marks need the room of the arc time on a phone.
    let arc = if scaled == [false; 2] { "n" } else { "n x" };
    let heads = [
        ("set", "n", true),
        ("mark", "n", scaled[0]),
        ("sound between", "n", true),
        ("margin", "n x", true),
        ("spring", "n", true),
        ("mark", "n", scaled[1]),
        ("arc time", arc, true),
        ("test weld", "w", true),
    ];
    let columns = 1 + heads.iter().filter(|h| h.2).count();
    for (head, class, _) in heads.iter().filter(|h| h.2) {
        page.put(format_args!(
            "<th scope=\"col\" class=\"{class}\">{head}</th>"
        ));
    }
    page.put("</tr></thead>\n");
    for group in groups(chart) {
        page.put(format_args!(
            "<tbody><tr class=\"group\"><th scope=\"rowgroup\" colspan=\"{columns}\">{}</th></tr>\n",
            prose(&group.heading)
        ));
        for line in group.lines {
            match cells(chart, line) {
                Short::Sound(c) => sound(&mut page, &c, scaled),
                Short::Not { stud, hardly, why } => page.put(format_args!(
                    "<tr><th scope=\"row\">{}</th><td class=\"not\" colspan=\"{}\">{}: {}</td></tr>\n",
                    escape(&stud),
                    columns - 1,
                    if hardly { "hardly" } else { "not" },
                    prose(&why)
                )),
            }
        }
        for remark in group.remarks {
            page.put(format_args!(
                "<tr><td class=\"not\" colspan=\"{columns}\">{}</td></tr>\n",
                prose(remark)
            ));
        }
        page.put("</tbody>\n");
    }
    page.put("</table></div>\n");
    page.paragraph(&foot(chart), "soft small");
    page.paragraph(
        "Test weld: who welded and judged it to the standard you work to, and when. Without that a \
         line of this chart is a proposal.",
        "soft small",
    );
    let reasons: Vec<String> = reasons(chart)
        .into_iter()
        .map(|(who, text)| format!("{who}: {text}"))
        .collect();
    if !reasons.is_empty() {
        page.section("Why not, and what helps");
        page.list(&reasons);
    }
    page.cautions(false);
    page.case_without(&chart.base, &base.origins, &varied(chart), &metals(chart));
    document(&title, page)
}

/// The keys the chart sets itself.
fn varied(chart: &Chart) -> Vec<&'static str> {
    let mut keys = KEYS.to_vec();
    keys.extend([
        "stud.size",
        "stud.flange",
        "stud.pip_diameter",
        "stud.pip_length",
    ]);
    keys.extend(["stud.metal", "sheet.metal"]);
    if chart
        .lines
        .iter()
        .any(|l| l.job.method != chart.base.tool.method)
    {
        keys.push("tool.method");
    }
    keys
}

/// Every metal of the chart, once.
fn metals(chart: &Chart) -> Vec<Metal> {
    let mut out: Vec<Metal> = Vec::new();
    for line in &chart.lines {
        for name in [&line.job.stud_metal, &line.job.sheet_metal] {
            if !out.iter().any(|m| m.name == *name) {
                out.extend(metal(&chart.base, name));
            }
        }
    }
    out
}

fn sound(page: &mut Html, c: &Cells, scaled: [bool; 2]) {
    page.put(format_args!(
        "<tr><th scope=\"row\">{}</th>",
        escape(&c.stud)
    ));
    let arc = if scaled == [false; 2] { "n" } else { "n x" };
    for (cell, class, there) in [
        (&c.voltage, "n set", true),
        (&c.marks[0], "n set", scaled[0]),
        (&c.sound, "n", true),
        (&c.margin, "n x", true),
        (&c.force, "n set", true),
        (&c.marks[1], "n set", scaled[1]),
        (&c.arc_time, arc, true),
    ] {
        if there {
            let cell = cell.replace(' ', "\u{a0}");
            page.put(format_args!("<td class=\"{class}\">{}</td>", escape(&cell)));
        }
    }
    page.put("<td class=\"w\"></td></tr>\n");
}
