//! The settings chart to print and pin beside the machine.

use super::parts::{Html, document, prose};
use crate::case::read::Resolved;
use crate::report::cautions::SCREEN;
use crate::report::chart::{Cells, Short, cells, foot, groups, reasons, rig, searched, title};
use crate::report::plot::text::escape;
use crate::study::chart::Chart;

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
    for (head, class) in [
        ("set", "n"),
        ("sound between", "n"),
        ("margin", "n x"),
        ("spring", "n"),
        ("arc time", "n"),
        ("energy", "n x"),
        ("test weld", "w"),
    ] {
        page.put(format_args!(
            "<th scope=\"col\" class=\"{class}\">{head}</th>"
        ));
    }
    page.put("</tr></thead>\n");
    for group in groups(chart) {
        page.put(format_args!(
            "<tbody><tr class=\"group\"><th scope=\"rowgroup\" colspan=\"8\">{}</th></tr>\n",
            prose(&group.heading)
        ));
        for line in group.lines {
            match cells(line) {
                Short::Sound(c) => sound(&mut page, &c),
                Short::Not { stud, why } => page.put(format_args!(
                    "<tr><th scope=\"row\">{}</th><td class=\"not\" colspan=\"7\">not: {}</td></tr>\n",
                    escape(&stud),
                    prose(&why)
                )),
            }
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
    page.case(&chart.base, &base.origins);
    document(&title, page)
}

fn sound(page: &mut Html, c: &Cells) {
    page.put(format_args!(
        "<tr><th scope=\"row\">{}</th>",
        escape(&c.stud)
    ));
    for (n, cell) in [
        &c.voltage,
        &c.sound,
        &c.margin,
        &c.force,
        &c.arc_time,
        &c.energy,
    ]
    .into_iter()
    .enumerate()
    {
        let class = ["n set", "n", "n x", "n set", "n", "n x"][n];
        let cell = cell.replace(' ', "\u{a0}");
        page.put(format_args!("<td class=\"{class}\">{}</td>", escape(&cell)));
    }
    page.put("<td class=\"w\"></td></tr>\n");
}
