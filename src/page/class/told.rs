//! What phones are told: where the replay is, the open question, and the control to try.

use std::time::Duration;

use serde::Serialize;
use serde_json::{Value, json};

use super::lead::Lead;
use crate::controls::{self, Control};
use crate::lessons::Lesson;
use crate::spread::Spread;

#[derive(Debug, Serialize)]
pub struct Told<'a> {
    /// Time of the replay now \[s\], its pace and its end.
    at: f64,
    pace: f64,
    until: f64,
    question: Option<Question<'a>>,
    /// This phone's own vote.
    vote: Option<usize>,
    control: Option<Control>,
}

/// A lesson as the class sees it: nothing of its answer before that is shown.
#[derive(Debug, Serialize)]
struct Question<'a> {
    /// Its number, from 0.
    lesson: usize,
    title: &'a str,
    say: &'a str,
    question: &'a str,
    choices: Vec<&'a str>,
    answer: Option<Answer<'a>>,
}

/// What is told once the trainer has shown it.
#[derive(Debug, Serialize)]
struct Answer<'a> {
    right: Option<usize>,
    reasons: Vec<&'a str>,
    answer: &'a str,
}

impl<'a> Question<'a> {
    fn of(at: usize, lesson: &'a Lesson, answered: bool) -> Question<'a> {
        let choices = || lesson.choices.iter();
        Question {
            lesson: at,
            title: &lesson.title,
            say: &lesson.say,
            question: &lesson.question,
            choices: choices().map(|choice| choice.say.as_str()).collect(),
            answer: answered.then(|| Answer {
                right: choices().position(|choice| choice.right),
                reasons: choices().map(|choice| choice.reason.as_str()).collect(),
                answer: &lesson.answer,
            }),
        }
    }
}

impl<'a> Told<'a> {
    /// What the page shows so long after it was published, to a phone with this vote.
    pub fn of(
        lead: &Lead,
        lessons: &'a [Lesson],
        since: Duration,
        vote: Option<usize>,
    ) -> Told<'a> {
        let open = lead.lesson.and_then(|at| Some((at, lessons.get(at)?)));
        Told {
            at: match lead.pace > 0.0 {
                true => (lead.at + lead.pace * since.as_secs_f64()).min(lead.until),
                false => lead.at,
            },
            pace: lead.pace,
            until: lead.until,
            question: open.map(|(at, lesson)| Question::of(at, lesson, lead.chosen.is_some())),
            vote,
            control: lead.offered().and_then(controls::by_key),
        }
    }

    /// With the number of the change, that of the weld, and what its band makes of it once that is known.
    pub fn json(&self, version: u64, weld: u64, spread: Option<&Spread>) -> Value {
        json!({ "version": version, "weld": weld, "spread": spread, "told": self })
    }
}

#[cfg(test)]
mod tests {
    use super::super::lead::read;
    use super::*;
    use crate::lessons::built_in;

    fn told(pairs: &str) -> String {
        let lead = read(pairs, built_in()).unwrap();
        let told = Told::of(&lead, built_in(), Duration::ZERO, None);
        told.json(1, 1, None).to_string()
    }

    #[test]
    fn nothing_of_an_answer_is_told_before_it_is_shown() {
        for (at, lesson) in built_in().iter().enumerate() {
            let control = lesson.control.as_deref().unwrap_or_default();
            let asked = told(&format!("lesson={at}&control={control}"));
            let shown = told(&format!("lesson={at}&chosen=0&control={control}"));
            let quoted = |text: &str| serde_json::to_string(text).unwrap();
            assert!(asked.contains(&quoted(&lesson.question)) && asked.contains("\"answer\":null"));
            let mut secrets = vec![&lesson.answer];
            secrets.extend(lesson.choices.iter().map(|choice| &choice.reason));
            for secret in secrets {
                assert!(!asked.contains(&quoted(secret)), "{secret}");
                assert!(shown.contains(&quoted(secret)), "{secret}");
            }
            for secret in [&lesson.look, "right", "reasons", "\"key\""] {
                assert!(!asked.contains(secret), "lesson {at} tells {secret}");
            }
            for choice in &lesson.choices {
                assert!(asked.contains(&quoted(&choice.say)));
            }
        }
    }

    #[test]
    fn a_replay_goes_on_since_it_was_published() {
        let lead = read("at=0.001&pace=0.00025&until=0.002", built_in()).unwrap();
        let at = |seconds| Told::of(&lead, built_in(), Duration::from_secs(seconds), None).at;
        assert_eq!(at(0), 0.001);
        assert!((at(2) - 0.0015).abs() < 1e-12);
        assert_eq!(at(100), 0.002);
        let stands = read("at=0.001&until=0.002", built_in()).unwrap();
        assert_eq!(
            Told::of(&stands, built_in(), Duration::from_secs(9), None).at,
            0.001
        );
    }
}
