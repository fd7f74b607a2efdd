//! The lessons on paper: questions for pupils, and the answers for who teaches them.

use super::lesson::{Choice, Lesson};
use arcplunge_report::cautions;
use arcplunge_report::document::{Block, Blocks, Document, Look};

/// A sheet of questions, to be answered by hand.
pub fn questions(lessons: &[Lesson]) -> Document {
    sheet(
        "Questions",
        lessons,
        |b| b.0.push(Block::Form("", vec!["Name", "Date"])),
        |b, lesson| {
            b.list(
                lesson
                    .choices
                    .iter()
                    .zip('A'..)
                    .map(|(choice, letter)| format!("☐ {letter}  {}", choice.say)),
            );
            b.0.push(Block::Form("", vec!["Because"]));
        },
    )
}

/// The same with the answers, and why each choice is right or wrong.
pub fn answers(lessons: &[Lesson]) -> Document {
    let said = |(choice, letter): (&Choice, char)| {
        let mark = if choice.right {
            "☑ right"
        } else {
            "☒ wrong"
        };
        format!("{letter}  {} ({mark}) {}", choice.say, choice.reason)
    };
    sheet(
        "Answers",
        lessons,
        |b| b.note("The figures are computed from the two welds of each lesson."),
        |b, lesson| {
            b.list(lesson.choices.iter().zip('A'..).map(said));
            b.say(&lesson.answer);
            b.paragraph(Look::Note, &lesson.look);
        },
    )
}

fn sheet(
    title: &str,
    lessons: &[Lesson],
    head: impl Fn(&mut Blocks),
    body: impl Fn(&mut Blocks, &Lesson),
) -> Document {
    let mut document = Document {
        title: format!("Stud welding lessons: {}", title.to_lowercase()),
        ..Document::default()
    };
    let b = &mut document.blocks;
    b.heading(1, &document.title);
    head(b);
    for (number, lesson) in (1..).zip(lessons) {
        b.group("section", "weld", |b| {
            b.heading(3, format!("{number}. {}", lesson.title));
            b.say(&lesson.say);
            b.heading(4, &lesson.question);
            body(b, lesson);
        });
    }
    b.on_paper(cautions::dangers);
    document
}
