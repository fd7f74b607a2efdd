//! A diagnosis problem by problem, for programs that tell their users themselves.

use super::marked::{MOST_SHOWN, render, within};
use super::{Diagnosis, Fault, Problem, Spot};
use crate::case::keys::KeyError;

/// One problem of a diagnosis, in parts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// What is wrong, in words.
    pub message: String,
    /// Full name of the key, where one is concerned.
    pub key: Option<String>,
    /// What stands at the caret; `None` of what concerns the whole.
    pub written: Option<String>,
    /// Line of the file and column in characters, both counted from 1; `None` outside a file.
    pub place: Option<(usize, usize)>,
    /// What was probably meant.
    pub hint: Option<String>,
    /// What could be done about it.
    pub help: Option<String>,
    /// The problem with its line and a caret, as on a terminal.
    pub shown: String,
}

impl Diagnosis {
    /// The problems in parts, in the order of [`Diagnosis::problems`]: as many as a terminal shows.
    pub fn told(&self) -> Vec<Told> {
        let shown = self.problems.iter().take(MOST_SHOWN);
        shown.map(|p| self.tell(p)).collect()
    }

    fn tell(&self, problem: &Problem) -> Told {
        let (text, span) = match problem.spot {
            Spot::Whole => (None, 0..0),
            Spot::File(start, end) => (Some(&self.text), start..end),
            Spot::Set(index, start, end) => (self.sets.get(index), start..end),
        };
        let span = within(text.map_or("", String::as_str), &span);
        let place = match (&problem.spot, text) {
            (Spot::File(..), Some(text)) => {
                let before = &text[..span.start];
                let line = before.rfind('\n').map_or(0, |at| at + 1);
                let column = before[line..].chars().count() + 1;
                Some((before.matches('\n').count() + 1, column))
            }
            _ => None,
        };
        Told {
            message: problem.fault.to_string(),
            key: self.key(problem),
            written: text.map(|text| text[span].to_string()),
            place,
            hint: problem.fault.label(),
            help: problem.fault.help(),
            shown: render(std::iter::once(self.marked(problem)), false),
        }
    }

    /// The key that a problem concerns: as an override names it, else as the fault does.
    fn key(&self, problem: &Problem) -> Option<String> {
        if let Spot::Set(index, ..) = problem.spot {
            let (key, _) = self.sets.get(index)?.split_once('=')?;
            return Some(key.trim().to_string());
        }
        match &problem.fault {
            Fault::UnknownKey { section, name, .. } if section.is_empty() => Some(name.clone()),
            Fault::UnknownKey { section, name, .. } => Some(format!("{section}.{name}")),
            Fault::WrongType { path, .. }
            | Fault::NoUnit { path, .. }
            | Fault::QuotedNumber { path, .. }
            | Fault::Value { path, .. }
            | Fault::Missing { path, .. }
            | Fault::Amount { path, .. }
            | Fault::Shape { path, .. }
            | Fault::NoLimit { path }
            | Fault::Limit { path }
            | Fault::Batch { path, .. }
            | Fault::SaidTwice { path, .. }
            | Fault::Key(
                KeyError::Unknown { path, .. }
                | KeyError::NotANumber { path }
                | KeyError::NotSet { path }
                | KeyError::NoScale { path, .. }
                | KeyError::OffScale { path, .. }
                | KeyError::Value { path, .. },
            ) => Some(path.clone()),
            Fault::Json { path, .. } if !path.is_empty() => Some(path.clone()),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::case::read;

    #[test]
    fn each_problem_has_its_key_its_place_and_its_caret() {
        let text = "title = \"µ\"\n[lead]\nlenght = \"12 m\"\nsection = \"50 mm\"\n";
        let told = read::read_text("bad.toml", text, &[]).unwrap_err().told();
        let keys: Vec<_> = told.iter().map(|t| t.key.as_deref()).collect();
        assert_eq!(keys, [Some("lead.lenght"), Some("lead.section")]);
        assert_eq!(told[0].place, Some((3, 1)));
        assert_eq!(told[0].written.as_deref(), Some("lenght"));
        assert_eq!(told[0].hint.as_deref(), Some("did you mean `length`?"));
        assert!(told[0].shown.contains("--> bad.toml:3:1"));
        assert!(!told[0].shown.contains("50 mm"));
    }

    #[test]
    fn of_very_many_the_first_are_told() {
        let text: String = (0..50_000).map(|k| format!("nonsense{k} = 1\n")).collect();
        let wrong = read::read_text("bad.toml", &text, &[]).unwrap_err();
        assert_eq!((wrong.problems.len(), wrong.told().len()), (50_000, 20));
    }

    #[test]
    fn a_call_is_named_like_a_file() {
        let wrong = read::demonstration(&["bank.voltage=113 W".into()]).unwrap_err();
        let told = wrong.given_by(0, "Case.set").told();
        assert_eq!(told[0].key.as_deref(), Some("bank.voltage"));
        assert_eq!(told[0].written.as_deref(), Some("113 W"));
        assert_eq!(told[0].place, None);
        assert!(
            told[0].shown.contains("--> Case.set:1:14"),
            "{}",
            told[0].shown
        );
    }
}
