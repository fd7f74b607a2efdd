//! A case as text: every key settled, with its unit and where it came from.
//!
//! The text is itself a case file and reads back as the same case.

use std::fmt::Write;

use super::catalogue::{self, OWN};
use super::keys::{
    self, Address, EARTH, Key, Kind, METAL, METAL_KEYS, NONE, Place, SECTIONS, TOLERANCE,
    UNCERTAINTY,
};
use super::model::{Case, Joint, Metal};
use super::quantity::number;
use super::resolved::{Origins, Resolved};
use super::tolerance::{
    Amount, BATCH_SIZE, CORRELATION, Correlation, OTHERS, Spread, Tolerances, USUAL_BATCH,
};

/// What `case show` prints.
pub fn show(resolved: &Resolved) -> String {
    let mut text = write_case(&resolved.case, Some(&resolved.origins));
    tolerances(&mut text, resolved);
    text
}

/// The spreads of all keys that have one; those of the catalogue are said to be left out, as they
/// all stand here.
fn tolerances(text: &mut String, resolved: &Resolved) {
    let all = &resolved.tolerances;
    head(text, true, all);
    for tolerance in all.of(&resolved.case) {
        let origin = if tolerance.usual {
            "catalogue"
        } else {
            "given"
        };
        if let Some(line) = spread(&tolerance.address, Some(&tolerance.spread)) {
            let _ = writeln!(text, "{line:<40}  # {origin}");
        }
    }
    correlations(text, all);
}

/// The spreads that a case itself gives.
fn own_tolerances(text: &mut String, given: &Tolerances) {
    head(text, given.no_others, given);
    for own in &given.own {
        if let Some(line) = spread(&own.address, own.spread.as_ref()) {
            let _ = writeln!(text, "{line}");
        }
    }
    correlations(text, given);
}

/// The head of the section, whether those of the catalogue count, and the studs in a box.
fn head(text: &mut String, no_others: bool, all: &Tolerances) {
    let _ = writeln!(text, "\n[{TOLERANCE}]");
    if no_others {
        let _ = writeln!(text, "{OTHERS} = \"{NONE}\"");
    }
    if all.batch_size != USUAL_BATCH {
        let _ = writeln!(text, "{BATCH_SIZE} = {}", all.batch_size);
    }
}

/// The line of a key's spread.
fn spread(address: &Address, spread: Option<&Spread>) -> Option<String> {
    let number = address.about()?;
    let text = spread.map_or(format!("\"{NONE}\""), |spread| spread.toml(number));
    Some(format!("{} = {text}", quoted(&address.to_string())))
}

/// The keys that scatter together.
fn correlations(text: &mut String, all: &Tolerances) {
    if !all.correlations.is_empty() {
        let _ = writeln!(text, "\n[{TOLERANCE}.{CORRELATION}]");
    }
    let written = |address: &Address| quoted(&address.to_string());
    for (at, one) in all.correlations.iter().enumerate() {
        let first = |other: &&Correlation| other.keys[0] == one.keys[0];
        // A key stands on the left once.
        if all.correlations[..at].iter().any(|other| first(&other)) {
            continue;
        }
        let partner =
            |other: &Correlation| format!("{} = {:?}", written(&other.keys[1]), other.coefficient);
        let partners: Vec<String> = all.correlations.iter().filter(first).map(partner).collect();
        let _ = writeln!(
            text,
            "{} = {{ {} }}",
            written(&one.keys[0]),
            partners.join(", ")
        );
    }
}

/// How well figures are known, where the case says it.
fn uncertainty(text: &mut String, case: &Case) {
    if case.uncertainty.is_empty() {
        return;
    }
    let _ = writeln!(text, "\n[{UNCERTAINTY}]");
    for (key, size) in &case.uncertainty {
        let number = keys::find(key).ok().and_then(|address| address.about());
        if let Some(number) = number {
            let size = Amount::Absolute(*size).toml(number);
            let _ = writeln!(text, "{} = {size}", quoted(key));
        }
    }
}

/// A case as a case file, without remarks: to keep a case that a program has built or changed.
pub fn to_toml(case: &Case) -> String {
    write_case(case, None)
}

/// The same with the spreads that file and overrides give, where they give any.
pub fn to_toml_with(case: &Case, given: &Tolerances) -> String {
    let mut text = write_case(case, None);
    if *given != Tolerances::default() {
        own_tolerances(&mut text, given);
    }
    text
}

fn write_case(case: &Case, origins: Option<&Origins>) -> String {
    let mut page = Page {
        origins,
        text: String::new(),
    };
    if let Some(file) = origins.and_then(|origins| origins.file.as_deref()) {
        let plain: String = file.chars().filter(|c| !c.is_control()).collect();
        let _ = writeln!(page.text, "# {plain}");
    }
    let sheet_metal = sheet_metal(case);
    for key in keys::all().filter(|key| key.section().is_empty()) {
        page.key(case, key, None, &sheet_metal);
    }
    for (section, _) in SECTIONS {
        match section {
            EARTH => {
                for number in 0..case.earths.len() {
                    page.head(&format!("[[{EARTH}]]"));
                    page.keys(case, section, Some(number), &sheet_metal);
                }
            }
            METAL | TOLERANCE => {}
            _ => {
                page.head(&format!("[{section}]"));
                page.keys(case, section, None, &sheet_metal);
            }
        }
    }
    page.metal(&case.stud.metal);
    if sheet_metal != case.stud.metal {
        page.metal(&sheet_metal);
    }
    uncertainty(&mut page.text, case);
    page.text
}

/// The sheet's metal, by another name if a program gave it the stud's name but not its figures.
pub(super) fn sheet_metal(case: &Case) -> Metal {
    let mut metal = case.sheet.metal.clone();
    if metal.name == case.stud.metal.name && metal != case.stud.metal {
        metal.name.push_str(" (sheet)");
    }
    metal
}

struct Page<'a> {
    origins: Option<&'a Origins>,
    text: String,
}

impl Page<'_> {
    fn head(&mut self, head: &str) {
        let _ = writeln!(self.text, "\n{head}");
    }

    fn keys(&mut self, case: &Case, section: &str, earth: Option<usize>, sheet: &Metal) {
        let shown = |key: &&Key| key.section() == section && !key.is_part() && !key.repeats();
        for key in keys::all().filter(shown) {
            self.key(case, key, earth, sheet);
        }
    }

    fn key(&mut self, case: &Case, key: &'static Key, earth: Option<usize>, sheet: &Metal) {
        let address = match earth {
            Some(number) => Address::Earth(key, number),
            None => Address::Case(key),
        };
        let (value, remark) = value(case, key, &address, earth, sheet);
        self.line(key.name(), &value, &address.to_string(), &remark);
    }

    /// One line of the file, with its origin and a remark.
    fn line(&mut self, name: &str, value: &str, path: &str, remark: &str) {
        let start = self.text.len();
        let _ = write!(self.text, "{name} = {value}");
        let Some(origins) = self.origins else {
            self.text.push('\n');
            return;
        };
        const COLUMN: usize = 40;
        let width = self.text[start..].chars().count();
        let gap = " ".repeat(COLUMN.saturating_sub(width).max(2));
        let _ = write!(self.text, "{gap}# {}", origins.of_whole(path));
        if !remark.is_empty() {
            let _ = write!(self.text, ": {remark}");
        }
        self.text.push('\n');
    }

    fn metal(&mut self, metal: &Metal) {
        self.head(&format!("[{METAL}.{}]", quoted(&metal.name)));
        for key in METAL_KEYS {
            let address = Address::Metal(metal.name.clone(), key);
            let value = number_text(&key.number, *(key.field)(metal));
            self.line(key.name, &value, &address.to_string(), "");
        }
    }
}

/// A number as TOML writes it: a quantity in quotes, a bare number without.
pub(super) fn number_text(number: &keys::Number, value: f64) -> String {
    let text = number.text(value);
    if number.unit.is_empty() {
        text
    } else {
        quoted(&text)
    }
}

/// The value of a key as TOML, and a remark on what a name stands for.
pub(crate) fn value(
    case: &Case,
    key: &Key,
    address: &Address,
    earth: Option<usize>,
    sheet: &Metal,
) -> (String, String) {
    let plain = |text: String| (text, String::new());
    match &key.kind {
        Kind::Number(number, Place::Follows(given, now, _)) if given(case).is_none() => {
            (quoted(NONE), format!("{} follows", number.text(now(case))))
        }
        Kind::Number(number, _) => match address.number(case) {
            Some(value) => (number_text(number, value), mark_text(case, key.path)),
            None => plain(quoted(NONE)),
        },
        Kind::Title => plain(quoted(&case.title)),
        Kind::Choice(choice) => plain(quoted(choice.words[(choice.get)(case)])),
        Kind::Size => plain(quoted(&case.stud.size)),
        Kind::Metal(..) if key.section() == "sheet" => plain(quoted(&sheet.name)),
        Kind::Metal(metal, _) => plain(quoted(&metal(case).name)),
        Kind::Joint(place) => match place.of(case, earth) {
            Some(joint) => joint_text(joint),
            None => plain(quoted(NONE)),
        },
        Kind::Position => {
            let at = earth
                .and_then(|number| case.earths.get(number))
                .map_or([0.0; 2], |lead| lead.at);
            let text = at.map(|length| quoted(&part("earth.N.at.x", length)));
            plain(format!("[{}]", text.join(", ")))
        }
        Kind::Scale(place) => match (place.get)(case) {
            Some(scale) => plain(place.text(scale)),
            None => plain(quoted(NONE)),
        },
        Kind::CentreMark => match case.sheet.centre_mark {
            None => plain(quoted(NONE)),
            Some(mark) => {
                let depth = quoted(&part("sheet.centre_mark.depth", mark.depth));
                let angle = quoted(&part("sheet.centre_mark.angle", mark.angle));
                plain(format!("{{ depth = {depth}, angle = {angle} }}"))
            }
        },
    }
}

/// Where a number stands on its scale, if the case has one.
pub(crate) fn mark_text(case: &Case, path: &str) -> String {
    let scale = keys::mark_of(path).and_then(|(_, mark)| Some((mark, mark.scale(case)?)));
    match scale.map(|(mark, _)| mark.now(case)) {
        None => String::new(),
        Some(Some(mark)) => format!("mark {}", number(mark, 3)),
        Some(None) => "outside the scale".into(),
    }
}

/// A part of a value, as its key writes it.
fn part(path: &str, value: f64) -> String {
    let number = keys::by_path(path).and_then(Key::number);
    number.map_or_else(String::new, |number| number.text(value))
}

/// By name where the figures are the catalogue's, else by figures.
fn joint_text(joint: &Joint) -> (String, String) {
    let parts = [
        ("resistance", Some(joint.resistance)),
        ("force", joint.force),
        ("drop", joint.drop),
    ];
    let given = parts.into_iter().filter_map(|(name, value)| {
        let text = part(&format!("joints.bank.{name}"), value?);
        Some((name, text))
    });
    if catalogue::find_joint(&joint.name) == Some(joint) {
        let texts: Vec<String> = given.map(|(_, text)| text).collect();
        return (quoted(&joint.name), texts.join(", "));
    }
    let mut given: Vec<(&str, String)> = given.collect();
    let text = match given.as_mut_slice() {
        [(_, resistance)] if joint.name == OWN => quoted(resistance),
        all => {
            let parts = all
                .iter()
                .map(|(name, text)| format!("{name} = {}", quoted(text)));
            format!("{{ {} }}", parts.collect::<Vec<_>>().join(", "))
        }
    };
    (text, String::new())
}

/// A basic string of TOML.
fn quoted(text: &str) -> String {
    let mut out = String::from('"');
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests;
