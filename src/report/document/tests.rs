//! What a small document looks like on a terminal and on paper.

use super::{Blocks, Cell, Document, Look, Medium, Row, Style, Table, Tone};

fn filled(fill: impl FnOnce(&mut Blocks)) -> Document {
    let mut document = Document::default();
    fill(&mut document.blocks);
    document
}

/// What stands between the tags of the page's main part.
fn main_part(document: &Document) -> String {
    let html = document.html();
    let (_, rest) = html.split_once("<main>\n").expect("a main part");
    let (main, _) = rest.split_once("</main>").expect("its end");
    // Well-formed, or no browser need show it.
    roxmltree::Document::parse(&format!("<main>{main}</main>")).expect("well-formed");
    main.to_string()
}

#[test]
fn each_medium_shows_its_own_blocks() {
    let document = filled(|b| {
        b.say("both");
        b.in_text(|b| b.line("   blanks  count"));
        b.on_paper(|b| b.paragraph(Look::Small, "small <print>"));
        b.gap();
        b.list(["one", "two"]);
    });
    assert_eq!(
        document.text(false),
        "both\n   blanks  count\n\n  - one\n  - two\n"
    );
    assert_eq!(
        main_part(&document),
        "<p class=\"\">both</p>\n<p class=\"soft small\">small &lt;print&gt;</p>\n\
         <ul>\n<li>one</li>\n<li>two</li>\n</ul>\n"
    );
}

#[test]
fn a_long_word_that_judges_stands_above_its_sentence() {
    let with = |word: &str| {
        filled(|b| b.verdict((word.into(), Tone::Good), 9, "so it is".into())).text(false)
    };
    assert_eq!(with("sound"), "sound    so it is\n");
    assert_eq!(with("discharge"), "discharge\n         so it is\n");
    let document = filled(|b| b.verdict(("cold".into(), Tone::Cold), 9, "why".into()));
    assert_eq!(document.text(true), "\u{1b}[1;34mcold\u{1b}[0m     why\n");
    assert!(main_part(&document).contains("<span class=\"verdict cold\">cold</span> why"));
}

#[test]
fn a_table_is_set_in_columns_and_in_cells() {
    let mut table = Table::new("  {:<5}{:>8}", ["what", "size"], 1);
    table.row(["a", "1 mm"]);
    table.only(Medium::Text, ["rest", "2 mm"]);
    table.only(Medium::Paper, ["all", "3 mm"]);
    let document = filled(|b| b.table(table));
    assert_eq!(
        document.text(false),
        "  what     size\n  a        1 mm\n  rest     2 mm\n"
    );
    assert_eq!(
        main_part(&document),
        "<div class=\"scroll\"><table>\n<thead><tr><th scope=\"col\">what</th>\
         <th scope=\"col\" class=\"n\">size</th></tr></thead>\n<tbody>\n\
         <tr><th scope=\"row\">a</th><td class=\"n\">1\u{a0}mm</td></tr>\n\
         <tr><th scope=\"row\">all</th><td class=\"n\">3\u{a0}mm</td></tr>\n\
         </tbody></table></div>\n"
    );
}

#[test]
fn bars_and_groups_are_drawn_in_both() {
    let mut table = Table::new("  {:<5}{}", ["what", ""], 1);
    table.style = Style::Bars;
    table.rows.push(Row::Group(2, "group".into()));
    table.row(["a".into(), Cell::bar(0.5, 4)]);
    let document = filled(|b| b.table(table));
    assert_eq!(document.text(false), "  what\n  group\n  a    ██\n");
    let main = main_part(&document);
    assert!(
        main.contains("<span class=\"bar\" style=\"width:50.0%\"></span>"),
        "{main}"
    );
    assert!(main.contains("colspan=\"2\">group</th>"), "{main}");
}

#[test]
fn no_line_is_wider_than_a_terminal() {
    let long = "word ".repeat(60);
    let document = filled(|b| {
        b.say(&*long);
        b.note(&*long);
        b.list([&*long]);
        b.verdict(("sound".into(), Tone::Good), 9, long.clone());
    });
    let text = document.text(false);
    assert!(
        text.lines().all(|l| l.chars().count() <= super::WIDTH),
        "{text}"
    );
    assert!(text.lines().count() > 12);
}
