//! A table in HTML.

use super::inline::{breaking, prose};
use super::table::{Cell, Paper, Row, Style, Table};
use super::tone::Medium;
use crate::format::bound;
use crate::plot::text::escape;

/// The table with its rows in bodies, one for each group.
pub(super) fn set(table: &Table) -> String {
    let mut out = match table.style {
        Style::Figures(_) => "<div class=\"scroll\"><table>\n".to_string(),
        Style::Bars => "<table>".to_string(),
        Style::Classed(class, _) => {
            format!("<div class=\"scroll\"><table class=\"{class}\">\n")
        }
    };
    out += "<thead><tr>";
    for (n, cell) in table.head.iter().enumerate() {
        out += &head(table, n, cell);
    }
    out += "</tr></thead>";
    out += match table.style {
        Style::Bars => "",
        _ => "\n",
    };
    let grouped = matches!(table.rows.first(), Some(Row::Group(..)));
    out += if grouped { "" } else { "<tbody>\n" };
    for (n, row) in table.rows.iter().enumerate() {
        if n > 0 && matches!(row, Row::Group(..)) {
            out += "</tbody>\n";
        }
        out += &body(table, row);
    }
    out += match table.style {
        Style::Figures(_) => "</tbody></table></div>\n",
        Style::Bars => "</tbody></table>\n",
        Style::Classed(..) => "</tbody>\n</table></div>\n",
    };
    out
}

fn head(table: &Table, n: usize, cell: &Cell) -> String {
    let class = class(&table.style, n, 0, table.head.len());
    let words = escape(words(cell));
    match class {
        "" => format!("<th scope=\"col\">{words}</th>"),
        // A column of bars has no name.
        "b" => "<th class=\"b\"></th>".into(),
        class => format!("<th scope=\"col\" class=\"{class}\">{words}</th>"),
    }
}

fn body(table: &Table, row: &Row) -> String {
    let columns = table.head.len();
    match row {
        Row::Cells(cells) | Row::Only(Medium::Paper, cells) => {
            let cells = cells.iter().enumerate();
            let cells: String = cells.map(|(n, c)| cell(table, n, c)).collect();
            format!("<tr>{cells}</tr>\n")
        }
        Row::Only(..) => String::new(),
        Row::Group(_, name) => format!(
            "<tbody><tr class=\"group\"><th scope=\"rowgroup\" colspan=\"{columns}\">{}</th></tr>\n",
            prose(name)
        ),
        Row::Said(name, word, why) => format!(
            "<tr><th scope=\"row\">{}</th><td class=\"not\" colspan=\"{}\">{word}: {}</td></tr>\n",
            escape(name),
            columns - 1,
            prose(why)
        ),
        Row::Remark(remark) => format!(
            "<tr><td class=\"not\" colspan=\"{columns}\">{}</td></tr>\n",
            prose(remark)
        ),
    }
}

fn cell(table: &Table, n: usize, cell: &Cell) -> String {
    let text = words(cell);
    if n == 0 {
        let name = match table.style {
            Style::Figures(_) => breaking(text),
            _ => escape(text),
        };
        return format!("<th scope=\"row\">{name}</th>");
    }
    let class = class(&table.style, n, 1, table.head.len());
    let held = || text.replace(' ', "\u{a0}");
    let words = match (&cell.paper, &table.style) {
        (Paper::Bar(share, less), _) => {
            let (less, share) = (if *less { " less" } else { "" }, share * 100.0);
            format!("<span class=\"bar{less}\" style=\"width:{share:.1}%\"></span>")
        }
        // A number breaks before its bracket only.
        (_, Style::Figures(_)) if class == "n" => escape(&held().replace("\u{a0}(", " (")),
        (_, Style::Figures(_)) => escape(&bound(text)),
        (_, Style::Bars) => escape(text),
        (_, Style::Classed(..)) => escape(&held()),
    };
    match class {
        "" => format!("<td>{words}</td>"),
        class => format!("<td class=\"{class}\">{words}</td>"),
    }
}

/// Class of a column of so many: of its head (0) or its cells (1).
fn class(style: &Style, n: usize, part: usize, columns: usize) -> &'static str {
    match style {
        Style::Figures(numbers) if n >= *numbers => "n",
        Style::Bars if n + 1 == columns => "b",
        Style::Bars if n > 0 => "n",
        Style::Classed(_, classes) => classes[n][part],
        _ => "",
    }
}

fn words(cell: &Cell) -> &str {
    match &cell.paper {
        Paper::Same => &cell.text,
        Paper::Words(words) => words,
        Paper::Bar(..) => "",
    }
}
