//! `sweep --design`: the rows of a table.

use std::fs::File;
use std::path::Path;

use super::input;
use super::outcome::{Outcome, Trouble, complain, failed, suggestion};
use super::parquet;
use super::stream::Job;
use super::sweep::{Arguments, fired, shows};
use arcplunge_core::simulation::fire::Settings;
use arcplunge_core::simulation::heat_solver::Until;
use arcplunge_core::study::design::Design;
use arcplunge_report::sweep::design::{document, head, json, keys, record, study};

pub fn run(a: &Arguments, table: &Path) -> Result<Outcome, Trouble> {
    a.files
        .check_streamed(&a.input, &[("the design", table)], &a.parquet)?;
    let design = read(a, table)?;
    let total = design.count();
    let shows = shows(a, total)?;
    let mut out = a.files.open(true)?;
    let columns = parquet::open(a.parquet.as_ref(), a.files.csv.as_deref())?;
    let job = Job {
        csv: a.files.csv.as_deref(),
        resume: a.resume,
        part: a.part,
        head: head(&design),
        total,
        study: study(&design).map_err(failed)?,
        keys: &|k| keys(&design, k),
    };
    let rows = fired(
        &job,
        shows,
        |work, k| design.row(k, work),
        |row, out| record(&design, row, out),
    )?;
    if let (Some(out), Some(csv)) = (columns, &a.files.csv) {
        parquet::put(csv, out)?;
    }
    if shows {
        out.json(|| json(&design, &rows))?;
        out.show(&document(&design, &rows))?;
    }
    Ok(Outcome::Done)
}

/// The design in the table, on the case of the command.
fn read(a: &Arguments, table: &Path) -> Result<Design, Trouble> {
    let name = table.display();
    let text = input::text(&a.input)?;
    // What is wrong with the case itself is told as ever.
    input::read(&text, &a.input.sets)?;
    let file = File::open(table).map_err(|e| Trouble::Wrong(format!("error: {name}: {e}")))?;
    let settings = Settings {
        until: Until::BackFace,
        ..Settings::default()
    };
    let case = |words: &[String]| {
        let sets = [a.input.sets.as_slice(), words].concat();
        let read = text.read(&sets);
        read.map(|resolved| resolved.case)
            .map_err(|wrong| wrong.render(false))
    };
    let design = Design::read(file, settings, case).map_err(|e| {
        let help = suggestion(e.nearest.as_deref());
        Trouble::Wrong(format!("error: {name}: {e}{help}"))
    })?;
    if !design.passed.is_empty() {
        let passed: Vec<&str> = design.passed.iter().map(String::as_str).collect();
        let named = passed.iter().filter(|head| !head.is_empty()).take(4);
        let named: Vec<&str> = named.copied().collect();
        let more = if passed.len() > named.len() {
            ", …"
        } else {
            ""
        };
        complain(&format!(
            "note: {name}: {} columns are no keys and passed over: {}{more}",
            passed.len(),
            named.join(", ")
        ));
    }
    Ok(design)
}
