//! The built-in lessons hold, and a file that does not is told where.

use super::*;
use crate::request::Weld;
use crate::session::Session;
use arcplunge_core::physics::rim::Bare;
use arcplunge_core::simulation::verdict::Verdict;

fn wrong(text: &str) -> String {
    let found = of_text(text).expect_err("the text is sound");
    told("my.toml", text, found, false)
}

/// The first built-in lesson, with one piece of its text replaced.
fn altered(from: &str, to: &str) -> String {
    let all = include_str!("built-in.toml");
    let second = all.match_indices("[[lesson]]").nth(1).unwrap().0;
    assert!(all[..second].contains(from), "{from}");
    wrong(&all[..second].replacen(from, to, 1))
}

#[test]
fn figures_stand_in_the_words_of_every_lesson() {
    assert_eq!(built_in().len(), 6);
    for lesson in built_in() {
        let texts = [&lesson.say, &lesson.question, &lesson.answer, &lesson.look];
        let reasons = lesson.choices.iter().map(|c| &c.reason);
        for text in texts.into_iter().chain(reasons) {
            assert!(!text.contains(['{', '}', '–']), "{text}");
        }
        assert!(lesson.answer.contains(|c: char| c.is_ascii_digit()));
        assert!(lesson.control.is_some(), "{}", lesson.title);
    }
    assert!(
        built_in()[0]
            .answer
            .starts_with("The pip is the spacer. With a gap of ")
    );
}

#[test]
fn what_a_lesson_gives_to_try_comes_out_so() {
    let verdict = |sets: &[&str]| {
        let weld = Weld {
            sets: sets.iter().map(ToString::to_string).collect(),
            ..Weld::default()
        };
        Session::default().shot(&weld).unwrap().shot.verdict
    };
    assert_eq!(verdict(&["tool.spring_force=180 N"]), Some(Verdict::Cold));
    assert_eq!(verdict(&["sheet.centre_mark=0.8 mm"]), Some(Verdict::Cold));
    // Clamps on one side: bare towards them.
    let earths = &built_in()[5];
    let weld = |sets: Vec<String>| {
        let weld = Weld {
            sets,
            ..Weld::default()
        };
        Session::default().shot(&weld).unwrap().blow
    };
    assert_eq!(weld(earths.base.clone()).bare(), Some(Bare::Nowhere));
    let blown = weld([earths.base.clone(), earths.change.clone()].concat());
    assert!(matches!(blown.bare(), Some(Bare::Within { .. })));
    assert!(blown.heading().unwrap().cos() > 0.9);
}

#[test]
fn a_wrong_name_is_told_with_line_caret_and_the_nearest() {
    let key = altered("question =", "qestion =");
    assert!(
        key.contains("unknown key `qestion` in `[[lesson]]`"),
        "{key}"
    );
    assert!(
        key.contains("my.toml:") && key.contains("^^^^^^^ did you mean `question`?"),
        "{key}"
    );
    assert!(key.contains("needs `question`, a text"), "{key}");
    for (from, to, said, near) in [
        (
            "stud.pip_length=",
            "stud.pip_lenght=",
            "unknown key",
            "pip_length",
        ),
        ("=0.5 mm", "=0.5 kg", "kg", "stud.pip_length"),
        (
            "at = \"ignition\"",
            "at = \"ignitoin\"",
            "unknown event",
            "ignition",
        ),
        (
            "arc_time_s falls",
            "arc_tme_s falls",
            "no figure is called",
            "arc_time_s",
        ),
        (
            "{now.arc_time_s}",
            "{now.arc_tim_s}",
            "no figure is called",
            "arc_time_s",
        ),
        (
            "{now.arc_time_s}",
            "{then.arc_time_s}",
            "names no figure",
            "now.NAME",
        ),
        (
            "at = ",
            "control = \"stud.pip\"\nat = ",
            "no control",
            "stud.pip_length",
        ),
        (
            "change = [",
            "faults = [\"lose-clamp\"]\nchange = [",
            "unknown fault",
            "loose-clamp",
        ),
        (
            "right = true",
            "right = \"yes\"",
            "true or false",
            "without quotes",
        ),
        ("right = true\n", "", "0 choices are right", "exactly one"),
        (
            "change = [\"stud.pip_length=0.5 mm\"]\n",
            "",
            "needs a `change` or `faults`",
            "",
        ),
    ] {
        let text = altered(from, to);
        assert!(text.contains(said) && text.contains(near), "{text}");
        assert!(text.contains("my.toml:") && text.contains('^'), "{text}");
    }
}

#[test]
fn the_caret_stands_under_the_part_that_is_wrong() {
    let text = altered("=0.5 mm", "=0.5 kg");
    let caret = text.lines().find(|line| line.contains('^')).unwrap();
    let line = text.lines().find(|line| line.contains("change =")).unwrap();
    let under = caret.find('^').unwrap();
    assert!(line[under..].starts_with("0.5 kg"), "{text}");
}

#[test]
fn a_claim_that_is_not_so_is_refused_and_its_opposite_is_held() {
    for (from, to, said) in [
        (
            "fill_ratio falls",
            "fill_ratio rises",
            "do not bear out `fill_ratio rises`: it goes from",
        ),
        ("base.verdict = sound", "base.verdict = cold", "it is sound"),
        (
            "base.verdict = sound",
            "base.verdict = fine",
            "expected `=` and a verdict",
        ),
        ("base.verdict = sound", "base.fill_ratio < 1", "it is 1."),
        (
            "base.verdict = sound",
            "base.fill_ratio < one",
            "a number in the unit",
        ),
        (
            "base.verdict = sound",
            "base.touchdown_s = none",
            "do not bear out",
        ),
        ("base.verdict = sound", "all is well", "is no claim"),
        (
            "base.verdict = sound",
            "gun_lead rises and falls",
            "no figure is called",
        ),
    ] {
        let text = altered(from, to);
        assert!(text.contains(said), "{text}");
    }
    let all = include_str!("built-in.toml");
    for held in ["base.fill_ratio > 1", "now.arc_out_s", "arc to sheet falls"] {
        let text = all.replacen("base.verdict = sound", held, 1);
        assert_eq!(of_text(&text).is_ok(), held != "now.arc_out_s", "{held}");
    }
}

#[test]
fn a_misspelt_element_of_the_ledger_is_told_with_the_nearest() {
    for (from, to) in [
        ("fill_ratio falls", "gun_laed falls"),
        ("{now.fill_ratio}", "{now.gun_laed}"),
    ] {
        let text = altered(from, to);
        assert!(text.contains("no figure is called `gun_laed`"), "{text}");
        assert!(text.contains("did you mean `gun_lead`?"), "{text}");
    }
}

#[test]
fn a_verdict_does_not_fall_and_what_did_not_happen_is_none() {
    let text = altered("fill_ratio falls", "verdict falls");
    assert!(
        text.contains("`verdict falls`: a verdict neither rises nor falls"),
        "{text}"
    );
    assert!(text.contains("now.verdict = cold"), "{text}");
    assert!(!text.contains("did you mean"), "{text}");
    // With a weak spring the faces never meet.
    let all = include_str!("built-in.toml");
    let second = all.match_indices("[[lesson]]").nth(1).unwrap().0;
    let third = all.match_indices("[[lesson]]").nth(2).unwrap().0;
    let text = wrong(&all[second..third].replace("now.touchdown_s = none", "now.touchdown_s < 1"));
    assert!(text.contains("`now.touchdown_s < 1`: it is none"), "{text}");
}

#[test]
fn what_is_no_file_of_lessons_is_refused() {
    for (text, said) in [
        ("", "a file has at least one"),
        ("[[leson]]\ntitle = \"\"\n", "did you mean `lesson`?"),
        ("[lesson]\ntitle = \"a\"\n", "no list of lessons"),
        ("[[lesson]\n", "this is not TOML"),
        ("[[lesson]]\ntitle = 3\n", "takes text in quotes"),
    ] {
        let text = wrong(text);
        assert!(text.contains(said), "{text}");
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"));
    assert!(
        of_file(folder, false)
            .unwrap_err()
            .contains("expected a file")
    );
    let absent = folder.join("no-such-lessons.toml");
    assert!(
        of_file(&absent, false)
            .unwrap_err()
            .contains("there is no such file")
    );
}

#[test]
fn the_example_is_two_lessons_that_hold() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/lessons/guards.toml");
    let lessons = of_file(&path, false).unwrap_or_else(|text| panic!("{text}"));
    assert_eq!(lessons.len(), 2);
    assert!(lessons[0].say.contains("452 J"), "{}", lessons[0].say);
    // E = CU²/2: 72 mF at 108 V hold 420 J, at nine tenths of it 340 J.
    assert!(
        lessons[1].answer.contains("340 J instead of 420 J"),
        "{}",
        lessons[1].answer
    );
}

#[test]
fn the_sheet_of_questions_gives_no_answer_away() {
    let asked = questions(built_in()).html();
    let told = answers(built_in()).html();
    for lesson in built_in() {
        for choice in &lesson.choices {
            // Marks of HTML and bound numbers change a text; its first words do not.
            let first: String = choice
                .reason
                .chars()
                .take_while(|c| c.is_ascii_alphabetic() || *c == ' ')
                .collect();
            if first.len() > 12 {
                assert!(told.contains(&first) && !asked.contains(&first), "{first}");
            }
        }
    }
    assert!(!asked.contains("☑"));
    assert_eq!(told.matches("☑").count(), built_in().len());
    assert!(asked.contains("Stored charge") && told.contains("Stored charge"));
}
