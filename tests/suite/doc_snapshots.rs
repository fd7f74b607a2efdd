//! Pages of the handbook whose tables are made by the program: written on demand, else compared.

use crate::validation_tables::{check_tables, count_table, measured_remarks, measured_table};
use arcplunge_core::case::read::read_text;
use arcplunge_core::case::reference::{catalogue_tables, key_tables, tolerance_tables};
use arcplunge_validation::{checks, measured};

/// Set this to write the tables instead of comparing them.
const WRITE: &str = "ARCPLUNGE_WRITE_DOCS";

/// The text of docs/`name`.
fn read(name: &str) -> String {
    std::fs::read_to_string(path(name)).expect("the page is there")
}

fn path(name: &str) -> String {
    format!("{}/docs/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// Holds docs/`name` against tables that stand between `<!-- mark -->` and `<!-- end of mark -->`.
fn hold(name: &str, tables: &[(&str, String)]) {
    let page = read(name);
    let made = tables.iter().fold(page.clone(), |page, (mark, tables)| {
        with(&page, mark, tables)
    });
    if std::env::var_os(WRITE).is_some() {
        std::fs::write(path(name), &made).expect("the page can be written");
        return;
    }
    assert!(
        page == made,
        "docs/{name} is out of date: run the tests once with {WRITE}=1"
    );
}

/// The page with the text between two marks replaced.
fn with(page: &str, mark: &str, tables: &str) -> String {
    let (start, end) = (
        format!("<!-- {mark} -->\n"),
        format!("<!-- end of {mark} -->"),
    );
    let (head, rest) = page.split_once(&start).expect("the page has lost a mark");
    let (_, tail) = rest.split_once(&end).expect("the page has lost a mark");
    format!("{head}{start}\n{tables}{end}{tail}")
}

#[test]
fn regress_the_reference_page_is_up_to_date() {
    hold(
        "case-file.md",
        &[
            ("keys", key_tables()),
            ("catalogue", catalogue_tables()),
            ("tolerances", tolerance_tables()),
        ],
    );
}

#[test]
fn regress_every_example_on_the_reference_page_is_a_case() {
    let page = read("case-file.md");
    let examples: Vec<&str> = page
        .split("```toml\n")
        .skip(1)
        .filter_map(|part| part.split("```").next())
        .collect();
    assert!(examples.len() >= 4, "{}", examples.len());
    for example in examples {
        if let Err(told) = read_text("docs/case-file.md", example, &[]) {
            panic!("{told}\n{example}");
        }
    }
}

#[test]
fn regress_the_validation_page_is_up_to_date() {
    let checks = checks();
    let line = |tables: &str| format!("{tables}\n");
    hold(
        "validation.md",
        &[
            ("counts", line(&count_table(&checks))),
            ("checks", line(check_tables(&checks).trim_end())),
        ],
    );
}

#[test]
fn regress_the_page_of_measured_welds_is_up_to_date() {
    let rows = measured::rows();
    let line = |text: &str| format!("{text}\n");
    hold(
        "measured.md",
        &[
            ("experiments", line(&measured_table(&rows))),
            ("remarks", line(&measured_remarks(&rows))),
        ],
    );
}
