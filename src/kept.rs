//! Pages of the handbook whose tables are made by the program: written on demand, else compared.

/// Set this to write the tables instead of comparing them.
const WRITE: &str = "ARCPLUNGE_WRITE_DOCS";

/// The text of docs/`name`.
pub fn read(name: &str) -> String {
    std::fs::read_to_string(path(name)).expect("the page is there")
}

fn path(name: &str) -> String {
    format!("{}/docs/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// Holds docs/`name` against tables that stand between `<!-- mark -->` and `<!-- end of mark -->`.
pub fn hold(name: &str, tables: &[(&str, String)]) {
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
