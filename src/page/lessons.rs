//! Guided steps for a class: each sets the page up, asks, and answers with the weld's own numbers.

use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

/// A lesson.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
pub struct Lesson {
    /// Heading above it.
    pub title: String,
    /// What is set up, in a sentence or two.
    pub say: String,
    /// The weld it begins with, pinned as the base.
    #[serde(default)]
    pub sets: Vec<String>,
    /// What is changed to answer the question.
    #[serde(default)]
    pub change: Vec<String>,
    /// Names of the faults put on to answer it.
    #[serde(default)]
    pub faults: Vec<String>,
    /// The question.
    pub ask: String,
    /// What a class may say.
    pub choices: Vec<String>,
    /// Which of them is right, from 0.
    pub right: usize,
    /// The answer; `{now.arc_energy_J}` and `{base.fill_ratio}` stand for figures.
    pub answer: String,
    /// Where to look, or what to try next.
    pub look: String,
    /// Event at which the replay stands when the answer is given.
    pub at: String,
}

#[derive(Deserialize)]
struct File {
    lesson: Vec<Lesson>,
}

/// Every lesson, in the order of its file.
pub fn lessons() -> &'static [Lesson] {
    static LESSONS: OnceLock<Vec<Lesson>> = OnceLock::new();
    LESSONS.get_or_init(|| {
        let file: File = toml::from_str(include_str!("lessons.toml"))
            .unwrap_or_else(|e| panic!("the built-in lessons are wrong: {e}"));
        file.lesson
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::request::Weld;
    use crate::session::{Done, Session};
    use arcplunge_core::case::joint_id::JointId;
    use arcplunge_core::case::read::Text;
    use arcplunge_core::physics::rim::Bare;
    use arcplunge_core::simulation::named::FIGURES;
    use arcplunge_core::simulation::verdict::Verdict;

    fn fired(lesson: &Lesson) -> [Done; 2] {
        let session = Session::new(Text::default(), Vec::new());
        let base = Weld {
            sets: lesson.sets.clone(),
            ..Weld::default()
        };
        let now = Weld {
            sets: lesson.sets.iter().chain(&lesson.change).cloned().collect(),
            faults: lesson.faults.clone(),
            ..Weld::default()
        };
        [base, now].map(|weld| {
            session
                .fire(&weld)
                .unwrap_or_else(|e| panic!("{}: {e}", lesson.title))
        })
    }

    /// The names an answer wants put in: `now.fill_ratio`.
    fn names(text: &str) -> impl Iterator<Item = &str> {
        text.split('{')
            .skip(1)
            .map(|part| part.split('}').next().unwrap_or(""))
    }

    #[test]
    fn every_figure_of_an_answer_is_there() {
        for lesson in lessons() {
            let [base, now] = fired(lesson);
            for name in names(&lesson.answer).chain(names(&lesson.look)) {
                let (which, name) = name.split_once('.').unwrap();
                let shot = if which == "now" {
                    &now.weld.shot
                } else {
                    &base.weld.shot
                };
                let figure = FIGURES.iter().find(|(n, _)| *n == name);
                let element = |e: &(String, f64)| e.0.replace(' ', "_") == name;
                let known = ["verdict", "drift", "weakest"].contains(&name)
                    || figure.is_some_and(|(_, read)| read(&shot.figures).is_some())
                    || shot.ledger.entries().iter().any(element);
                assert!(known, "{}: {which}.{name}", lesson.title);
            }
            let event = |e: &arcplunge_core::simulation::events::Event| e.name.name() == lesson.at;
            assert!(
                now.weld.shot.events.iter().any(event),
                "{}: {}",
                lesson.title,
                lesson.at
            );
            assert!(lesson.right < lesson.choices.len());
        }
    }

    #[test]
    fn what_the_lessons_say_beside_the_figures_is_so() {
        let all: Vec<[Done; 2]> = lessons().iter().map(fired).collect();
        let of = |k: usize, w: usize| &all[k][w].weld.shot;
        let fill = |k, w| of(k, w).figures.fill_ratio.unwrap();
        // All begin sound.
        assert!(
            all.iter()
                .all(|w| w[0].weld.shot.verdict == Some(Verdict::Sound))
        );
        // A shorter pip, a shorter arc.
        assert!(of(0, 1).figures.arc_time_s < of(0, 0).figures.arc_time_s);
        // A weak spring: the arc is out first.
        assert!(of(1, 1).figures.touchdown_s.is_none() && of(1, 1).verdict == Some(Verdict::Cold));
        // A loose terminal parts and takes about a fifth.
        let took = of(2, 1).ledger.joints[JointId::Tool] / of(2, 1).figures.stored_energy_J;
        assert!((0.18..0.23).contains(&took), "{took}");
        // A long lead slows and weakens the current.
        assert!(of(3, 1).figures.peak_current_A < of(3, 0).figures.peak_current_A);
        assert!(of(3, 1).figures.time_of_peak_s > of(3, 0).figures.time_of_peak_s);
        // What is to be tried: past 175 N, a mark to the slider's end, more voltage on the loose terminal.
        let verdict = |sets: &[&str]| {
            let weld = Weld {
                sets: sets.iter().map(ToString::to_string).collect(),
                ..Weld::default()
            };
            Session::default().fire(&weld).unwrap().weld.shot.verdict
        };
        assert_eq!(verdict(&["tool.spring_force=180 N"]), Some(Verdict::Cold));
        assert_eq!(verdict(&["sheet.centre_mark=0.8 mm"]), Some(Verdict::Cold));
        // A mark takes the reserve, not yet the weld.
        assert!(fill(4, 1) < fill(4, 0) && (1.0..1.12).contains(&fill(4, 1)));
        // Clamps on one side: filled by energy, bare towards them.
        assert_eq!(of(5, 1).verdict, Some(Verdict::OneSided));
        let blow = &all[5][1].weld.blow;
        assert!(matches!(blow.bare(), Some(Bare::Within { .. })));
        assert!(blow.heading().unwrap().cos() > 0.9);
        assert_eq!(all[5][0].weld.blow.bare(), Some(Bare::Nowhere));
    }
}
