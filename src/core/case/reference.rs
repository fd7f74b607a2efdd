//! The tables of the case file's reference page, made from the registry and the catalogue.

use std::fmt::Write;

use super::catalogue;
use super::keys::{self, Address, EARTH, Key, METAL, METAL_KEYS, SECTIONS, TOLERANCE};
use super::model::Case;
use super::quantity::number;
use super::show::value;
use super::tolerance;
use crate::physics::joint::parting_current;

/// A table of every key: name, default, what is allowed, what it is. Markdown.
pub fn key_tables() -> String {
    let case = Case::default();
    let mut text = String::new();
    rows(&mut text, "At the top", "", &case);
    for (section, about) in SECTIONS {
        let head = match section {
            EARTH => format!("`[[{section}]]`: {about}"),
            METAL => {
                let _ = writeln!(text, "### `[{section}.\"name\"]`: {about}\n");
                text.push_str(&metal_rows());
                continue;
            }
            TOLERANCE => continue,
            _ => format!("`[{section}]`: {about}"),
        };
        rows(&mut text, &head, section, &case);
    }
    text
}

fn rows(text: &mut String, head: &str, section: &str, case: &Case) {
    let _ = writeln!(
        text,
        "### {head}\n\n| key | default | allowed | what it is |\n|---|---|---|---|"
    );
    for key in keys::all().filter(|key| key.section() == section) {
        let (default, allowed) = (default(case, key), allowed(key));
        let _ = writeln!(
            text,
            "| `{}` | {default} | {allowed} | {} |",
            key.name(),
            key.about
        );
    }
    text.push('\n');
}

fn default(case: &Case, key: &'static Key) -> String {
    let (address, earth) = match key.section() {
        EARTH => (Address::Earth(key, 0), Some(0)),
        _ => (Address::Case(key), None),
    };
    match value(case, key, &address, earth, &case.sheet.metal)
        .0
        .as_str()
    {
        "\"none\"" if key.is_part() || !key.may_be_none() => String::new(),
        text => format!("`{text}`"),
    }
}

fn allowed(key: &Key) -> String {
    let bounds = key.number().map(|number| number.bounds());
    match bounds {
        Some(bounds) if key.may_be_none() => format!("{bounds}, or none"),
        Some(bounds) => bounds,
        None => key.wanted().replace('|', "\\|"),
    }
}

fn metal_rows() -> String {
    let mut text = "| key | allowed | what it is |\n|---|---|---|\n".to_string();
    let names = catalogue::metal_names().join(", ");
    let _ = writeln!(
        text,
        "| `like` | {names} | metal that supplies the other figures |"
    );
    for key in METAL_KEYS {
        let _ = writeln!(
            text,
            "| `{}` | {} | {} |",
            key.name,
            key.number.bounds(),
            key.about
        );
    }
    text.push('\n');
    text
}

/// Spreads of the catalogue, with the source of each. Markdown.
pub fn tolerance_tables() -> String {
    let mut text = String::new();
    for (head, entries) in [
        ("From shot to shot", tolerance::usual()),
        (
            "Figures of the model, with `--model`",
            tolerance::uncertainties(),
        ),
        ("What measures a trace, for `fit`", tolerance::measurement()),
    ] {
        let _ = writeln!(
            text,
            "### {head}\n\n| key | spread | source |\n|---|---|---|"
        );
        for entry in entries {
            let (key, spread) = (&entry.key, entry.spread.words(&entry.number));
            let _ = writeln!(text, "| `{key}` | {spread} | {} |", entry.source);
        }
        text.push('\n');
    }
    text
}

/// Tables of the catalogue, with the source of each entry. Markdown.
pub fn catalogue_tables() -> String {
    let mut text =
        "### Joints\n\n| name | resistance | force | parts above | drop | source |\n|---|---|---|---|---|---|\n".to_string();
    for entry in catalogue::joints() {
        let joint = &entry.value;
        let contact = joint.contact();
        let _ = writeln!(
            text,
            "| {} | {} mohm | {} N | {} kA | {} V | {} |",
            joint.name,
            number(contact.resistance * 1e3, 6),
            number(contact.force, 6),
            number(parting_current(contact.force) * 1e-3, 3),
            number(contact.drop, 6),
            entry.source
        );
    }
    text.push_str("\n### Stud sizes\n\n| size | flange | pip diameter | pip length | source |\n|---|---|---|---|---|\n");
    for stud in catalogue::studs() {
        let mm = |length: f64| number(length * 1e3, 6);
        let (flange, pip) = (mm(stud.flange), mm(stud.pip_diameter));
        let length = mm(stud.pip_length);
        let _ = writeln!(
            text,
            "| {} | {flange} mm | {pip} mm | {length} mm | {} |",
            stud.name, stud.source
        );
    }
    text.push_str("\n### Metals\n\n| figure |");
    for name in catalogue::metal_names() {
        let _ = write!(text, " {name} |");
    }
    let _ = writeln!(text, "\n|---|{}", "---|".repeat(catalogue::metals().len()));
    for key in METAL_KEYS {
        let _ = write!(text, "| `{}` |", key.name);
        for entry in catalogue::metals() {
            let _ = write!(text, " {} |", key.number.text(*(key.field)(&entry.value)));
        }
        text.push('\n');
    }
    text.push_str("| also called |");
    for name in catalogue::metal_names() {
        let _ = write!(text, " {} |", catalogue::aliases(name).join(", "));
    }
    text.push_str("\n| source |");
    for entry in catalogue::metals() {
        let _ = write!(text, " {} |", entry.source);
    }
    text.push('\n');
    text
}
