//! `sweep --design`: the rows of a table.

use std::path::Path;

use super::case_input::CaseInput;
use super::input::{read as read_case, rows_of, text};
use super::outcome::{Trouble, complain, suggestion};
use arcplunge_core::simulation::fire::Settings;
use arcplunge_core::study::design::Design;

/// Columns passed over that are named.
const NAMED: usize = 4;

/// The design in the table, on the case of the command.
pub fn read(input: &CaseInput, table: &Path) -> Result<Design, Trouble> {
    let name = table.display();
    let text = text(input)?;
    // What is wrong with the case itself is told as ever.
    let base = read_case(&text, &input.sets)?.case;
    let file = rows_of(table)?;
    let case = |words: &[String]| {
        let sets = [input.sets.as_slice(), words].concat();
        let read = text.read(&sets);
        read.map(|resolved| resolved.case)
            .map_err(|wrong| wrong.render(false))
    };
    let design = Design::read(file, base, Settings::default(), case).map_err(|e| {
        let help = suggestion(e.nearest.as_deref());
        Trouble::Wrong(format!("error: {name}: {e}{help}"))
    })?;
    if !design.passed.is_empty() {
        let passed = design.passed.len();
        let named = design.passed.iter().filter(|head| !head.is_empty());
        let mut named: Vec<&str> = named.take(NAMED).map(String::as_str).collect();
        if passed > named.len() {
            named.push("…");
        }
        complain(&format!(
            "note: {name}: {passed} columns are no keys and passed over: {}",
            named.join(", ")
        ));
    }
    Ok(design)
}
