//! A case as JSON, and read back from it: alone, or inside the JSON of its own shot.

use serde::Deserialize;

use super::diagnose::{Fault, Problem, Spot};
use super::keys::hint;
use super::model::Case;

/// Where a shot's JSON has the case.
const INSIDE: &str = "case";

/// Whether a text is JSON, as far as its first character tells; no TOML begins like it.
pub(super) fn is_json(text: &str) -> bool {
    text.trim_start().starts_with('{')
}

/// A case as JSON: numbers in SI, names as in the case file.
pub(super) fn to_json(case: &Case) -> String {
    serde_json::to_string_pretty(case).expect("every key is a word")
}

/// Reads a case from its JSON or from that of a shot, whose other parts are passed over. Bounds and rules
/// between keys are not looked at.
pub(super) fn from_json(text: &str) -> Result<Case, Box<Problem>> {
    let whole: serde_json::Value = serde_json::from_str(text).map_err(|e| place(text, "", &e))?;
    let mut reader = serde_json::Deserializer::from_str(text);
    let read = if whole.get(INSIDE).is_some() {
        serde_path_to_error::deserialize(&mut reader).map(|shot: Shot| shot.case)
    } else {
        serde_path_to_error::deserialize(&mut reader)
    };
    read.map_err(|e| place(text, &e.path().to_string(), e.inner()))
}

/// A shot's JSON as far as the case is concerned.
#[derive(Deserialize)]
struct Shot {
    case: Case,
}

/// The parser's error as a problem of the file, with the key and what may have been meant.
fn place(text: &str, path: &str, error: &serde_json::Error) -> Box<Problem> {
    let path = path.strip_prefix("case.").unwrap_or(path);
    let said = error.to_string();
    let message = said
        .rsplit_once(" at line ")
        .map_or(&*said, |(head, _)| head);
    let end = offset(text, error.line(), error.column());
    if let Some(name) = message
        .strip_prefix("unknown field `")
        .and_then(|rest| rest.split('`').next())
    {
        let section = path.rsplit_once('.').map_or("", |(section, _)| section);
        let section = section.split(['[', '.']).next().unwrap_or(section);
        let start = text[..end].rfind(name).unwrap_or(end);
        return Box::new(Problem {
            spot: Spot::File(start, start + name.len()),
            fault: Fault::UnknownKey {
                section: section.to_string(),
                name: name.to_string(),
                hint: hint(section, name),
            },
        });
    }
    Box::new(Problem {
        spot: Spot::File(end.saturating_sub(1), end),
        fault: Fault::Json {
            path: if matches!(path, "." | "?") { "" } else { path }.to_string(),
            message: message.to_string(),
        },
    })
}

/// Bytes before the end of a column of a line, both counted from 1, on a whole character.
fn offset(text: &str, line: usize, column: usize) -> usize {
    let before: usize = text
        .split_inclusive('\n')
        .take(line.saturating_sub(1))
        .map(str::len)
        .sum();
    let mut at = (before + column).min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use crate::case::{Case, read};

    #[test]
    fn regress_a_case_in_json_reads_back_the_same() {
        let mut case = Case::default();
        case.bank.voltage = 112.3;
        case.lead.length = 0.1 + 0.2;
        case.sheet.metal.density = 7000.1;
        case.sheet.metal.name = "own".into();
        let text = case.to_json();
        assert_eq!(Case::from_json(&text).unwrap(), case);
        let shot = format!("{{\"version\": \"0\", \"figures\": {{}}, \"case\": {text}}}");
        assert_eq!(Case::from_json(&shot).unwrap(), case);
        let read = read::read_text("shot.json", &shot, &["bank.voltage=90 V".into()]).unwrap();
        case.bank.voltage = 90.0;
        assert_eq!(read.case, case);
    }

    #[test]
    fn a_slip_in_json_is_shown_where_it_stands() {
        let told = |from: &str, to: &str| {
            let text = Case::default().to_json().replacen(from, to, 1);
            let told = read::read_text("shot.json", &text, &[]).unwrap_err();
            told.render(false)
        };
        let text = told("\"voltage\"", "\"voltge\"");
        assert!(text.contains("unknown key `voltge` in `[bank]`"), "{text}");
        assert!(text.contains("shot.json:5:6"), "{text}");
        assert!(text.contains("did you mean `voltage`?"), "{text}");
        let text = told("112.0", "\"112 V\"");
        assert!(
            text.contains("`bank.voltage`: invalid type: string"),
            "{text}"
        );
        assert!(text.contains("numbers in SI without units"), "{text}");
        let text = told("112.0", "-3.0");
        assert!(text.contains("`bank.voltage`"), "{text}");
        assert!(told("{", "{,").contains("not the JSON of a case"));
    }

    #[test]
    fn a_text_of_the_other_form_or_too_large_a_one_is_refused() {
        let case = Case::default();
        let told = Case::from_toml(&case.to_json()).unwrap_err().to_string();
        assert!(told.contains("this is not TOML"), "{told}");
        let told = Case::from_json(&case.to_toml()).unwrap_err().to_string();
        assert!(told.contains("not the JSON of a case"), "{told}");
        let json = case.to_json();
        // White space beyond the largest size: the control is the same text with less of it.
        let padded = |spaces: usize| format!("{json}{}", " ".repeat(spaces));
        assert_eq!(Case::from_json(&padded(1000)).unwrap(), case);
        let told = Case::from_json(&padded(1 << 20)).unwrap_err().to_string();
        assert!(told.contains("the file is too large for a case"), "{told}");
    }
}
