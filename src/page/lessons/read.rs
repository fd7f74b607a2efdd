//! A file of lessons in TOML, read key by key; all that is wrong in it is told at once.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::draft::{ChoiceDraft, Draft, Words};
use super::wrong::Wrong;
use arcplunge_core::simulation::events::EventName;

/// Keys of a lesson.
const KEYS: [&str; 12] = [
    "title", "say", "base", "change", "faults", "question", "choice", "answer", "look", "at",
    "control", "claims",
];

/// Keys of a choice.
const CHOICE: [&str; 3] = ["say", "right", "reason"];

/// Most lessons of a file, choices of a lesson, entries of a list, and characters of a text.
const MOST_LESSONS: usize = 40;
const MOST_CHOICES: usize = 6;
const MOST_ENTRIES: usize = 60;
const LONGEST: usize = 1500;

/// The lessons of a text.
///
/// # Errors
/// With everything that is wrong by itself; what the welds say against it is found later.
pub fn read(text: &str) -> Result<Vec<Draft>, Vec<Wrong>> {
    let (root, errors) = DeTable::parse_recoverable(text);
    if !errors.is_empty() {
        let syntax = |e: &toml::de::Error| {
            let message = format!("this is not TOML: {}", e.message().trim_end());
            Wrong::new(e.span().unwrap_or(0..0), message)
        };
        let mut wrong: Vec<Wrong> = errors.iter().map(syntax).collect();
        wrong.dedup_by(|a, b| a.span == b.span);
        return Err(wrong);
    }
    let mut reader = Reader::default();
    let drafts = reader.file(root.get_ref());
    if reader.wrong.is_empty() {
        Ok(drafts)
    } else {
        Err(reader.wrong)
    }
}

#[derive(Default)]
struct Reader {
    wrong: Vec<Wrong>,
}

impl Reader {
    fn says(&mut self, span: Range<usize>, title: impl Into<String>) {
        self.wrong.push(Wrong::new(span, title));
    }

    fn file(&mut self, root: &DeTable) -> Vec<Draft> {
        let mut drafts = Vec::new();
        for (name, value) in root {
            let DeValue::Array(list) = value.get_ref() else {
                let known = ["lesson"];
                let title = format!("`{}` is no list of lessons", short(name.get_ref()));
                let wrong = Wrong::new(name.span(), title).near(name.get_ref(), known);
                self.wrong
                    .push(wrong.with_help("write `[[lesson]]` at the head of each lesson"));
                continue;
            };
            if name.get_ref() != "lesson" {
                let title = format!("unknown list `[[{}]]`", short(name.get_ref()));
                self.wrong
                    .push(Wrong::new(name.span(), title).near(name.get_ref(), ["lesson"]));
                continue;
            }
            if list.len() > MOST_LESSONS {
                let title = format!("{} lessons; a file has at most {MOST_LESSONS}", list.len());
                self.says(name.span(), title);
                continue;
            }
            for lesson in list {
                match lesson.get_ref() {
                    DeValue::Table(table) => drafts.push(self.lesson(table, lesson.span())),
                    _ => self.says(lesson.span(), "a lesson is a table, headed `[[lesson]]`"),
                }
            }
        }
        if drafts.is_empty() && self.wrong.is_empty() {
            let title = "no lesson; a file has at least one, headed `[[lesson]]`";
            self.says(0..0, title);
        }
        drafts
    }

    fn lesson(&mut self, table: &DeTable, head: Range<usize>) -> Draft {
        self.known(table, &KEYS, "[[lesson]]");
        let mut text = |key| self.needed(table, key, &head, "[[lesson]]");
        let [title, say, question, answer, look, at] =
            ["title", "say", "question", "answer", "look", "at"].map(&mut text);
        let [base, change, faults, claims] =
            ["base", "change", "faults", "claims"].map(|key| self.list(table, key));
        if change.is_empty() && faults.is_empty() {
            let title = "a lesson needs a `change` or `faults`: what is done to answer it";
            self.says(head.clone(), title);
        }
        let events = EventName::ALL.map(EventName::name);
        if !at.text.is_empty() && !events.contains(&at.text.as_str()) {
            let title = format!("unknown event `{}`", short(&at.text));
            let wrong = Wrong::new(at.span.clone(), title).near(&at.text, events);
            self.wrong
                .push(wrong.with_help(format!("events are {}", events.join(", "))));
        }
        Draft {
            title,
            say,
            question,
            answer,
            look,
            at,
            choices: self.choices(table, &head),
            control: self.text(table, "control"),
            base,
            change,
            faults,
            claims,
            head,
        }
    }

    fn choices(&mut self, table: &DeTable, head: &Range<usize>) -> Vec<ChoiceDraft> {
        let Some((_, value)) = table.iter().find(|(name, _)| name.get_ref() == "choice") else {
            self.says(
                head.clone(),
                "a lesson needs choices, each headed `[[lesson.choice]]`",
            );
            return Vec::new();
        };
        let DeValue::Array(list) = value.get_ref() else {
            self.says(
                value.span(),
                "`choice` is a list, each headed `[[lesson.choice]]`",
            );
            return Vec::new();
        };
        let mut choices = Vec::new();
        for choice in list {
            let DeValue::Table(table) = choice.get_ref() else {
                self.says(
                    choice.span(),
                    "a choice is a table, headed `[[lesson.choice]]`",
                );
                continue;
            };
            self.known(table, &CHOICE, "[[lesson.choice]]");
            let mut text = |key| self.needed(table, key, &choice.span(), "[[lesson.choice]]");
            let [say, reason] = ["say", "reason"].map(&mut text);
            let right = self.right(table);
            choices.push(ChoiceDraft { say, right, reason });
        }
        let (count, right) = (list.len(), choices.iter().filter(|c| c.right).count());
        if !(2..=MOST_CHOICES).contains(&count) {
            let title = format!("{count} choices; a lesson has 2 to {MOST_CHOICES}");
            self.says(head.clone(), title);
        } else if right != 1 {
            let title = format!("{right} choices are right; exactly one has `right = true`");
            self.says(head.clone(), title);
        }
        choices
    }

    fn right(&mut self, table: &DeTable) -> bool {
        let found = table.iter().find(|(name, _)| name.get_ref() == "right");
        match found.map(|(_, value)| (value.get_ref(), value.span())) {
            Some((DeValue::Boolean(right), _)) => *right,
            Some((_, span)) => {
                self.says(span, "`right` is true or false, without quotes");
                false
            }
            None => false,
        }
    }

    fn known(&mut self, table: &DeTable, keys: &[&str], place: &str) {
        for (name, _) in table {
            let key: &str = name.get_ref();
            if !keys.contains(&key) {
                let title = format!("unknown key `{}` in `{place}`", short(key));
                let wrong = Wrong::new(name.span(), title).near(key, keys);
                self.wrong
                    .push(wrong.with_help(format!("keys are {}", keys.join(", "))));
            }
        }
    }

    fn needed(&mut self, table: &DeTable, key: &str, head: &Range<usize>, place: &str) -> Words {
        if !table.iter().any(|(name, _)| name.get_ref() == key) {
            self.says(head.clone(), format!("`{place}` needs `{key}`, a text"));
        }
        self.text(table, key).unwrap_or_default()
    }

    fn text(&mut self, table: &DeTable, key: &str) -> Option<Words> {
        let (_, value) = table.iter().find(|(name, _)| name.get_ref() == key)?;
        self.words(value, key)
    }

    fn list(&mut self, table: &DeTable, key: &str) -> Vec<Words> {
        let found = table.iter().find(|(name, _)| name.get_ref() == key);
        let Some((_, value)) = found else {
            return Vec::new();
        };
        match value.get_ref() {
            DeValue::Array(list) if list.len() <= MOST_ENTRIES => {
                list.iter().filter_map(|one| self.words(one, key)).collect()
            }
            _ => {
                let title = format!("`{key}` is a list of at most {MOST_ENTRIES} texts");
                self.says(value.span(), title);
                Vec::new()
            }
        }
    }

    fn words(&mut self, value: &Spanned<DeValue>, key: &str) -> Option<Words> {
        let span = value.span();
        let Some(text) = value.get_ref().as_str() else {
            self.says(span, format!("`{key}` takes text in quotes"));
            return None;
        };
        if text.trim().is_empty() {
            self.says(span.clone(), format!("`{key}` is empty"));
        } else if text.chars().count() > LONGEST {
            let title = format!("`{key}` is longer than {LONGEST} characters");
            self.says(span.clone(), title);
        }
        let text = text.trim_end_matches('\n').to_string();
        Some(Words { text, span })
    }
}

/// A name short enough for a message.
pub fn short(name: &str) -> String {
    name.chars().take(60).collect()
}
