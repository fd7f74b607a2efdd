//! A lesson held against its two welds: its changes make cases, its figures are there, its claims are so.

use super::claim::{self, Pair, Trouble};
use super::draft::{Draft, Words};
use super::lesson::{Choice, Lesson};
use super::read::short;
use super::wrong::Wrong;
use crate::controls;
use crate::request::Weld;
use crate::session::Session;
use arcplunge_core::case::diagnose::{Fault, Spot};
use arcplunge_core::case::faults;
use arcplunge_core::case::read::demonstration;
use arcplunge_core::study::assessment::Assessment;

/// The lesson of a draft, with the figures of its welds in its words.
///
/// # Errors
/// With all that is wrong in it.
pub fn hold(draft: &Draft, file: &str) -> Result<Lesson, Vec<Wrong>> {
    let mut wrong = overrides(draft, file);
    wrong.extend(unknown_faults(draft));
    let control = control(draft).unwrap_or_else(|found| {
        wrong.push(found);
        None
    });
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let (base, now) = fired(draft)?;
    let pair = Pair {
        now: &now,
        base: &base,
    };
    happens(draft, &now, &mut wrong);
    for claim in &draft.claims {
        wrong.extend(unheld(claim, &pair));
    }
    let mut fill = |words: &Words| filled(words, file, &pair, &mut wrong);
    let texts = |all: &[Words]| all.iter().map(|w| w.text.clone()).collect();
    let lesson = Lesson {
        title: draft.title.text.clone(),
        say: fill(&draft.say),
        base: texts(&draft.base),
        change: texts(&draft.change),
        faults: texts(&draft.faults),
        question: fill(&draft.question),
        choices: draft
            .choices
            .iter()
            .map(|choice| Choice {
                say: choice.say.text.clone(),
                right: choice.right,
                reason: fill(&choice.reason),
            })
            .collect(),
        answer: fill(&draft.answer),
        look: fill(&draft.look),
        at: draft.at.text.clone(),
        control,
    };
    if wrong.is_empty() {
        Ok(lesson)
    } else {
        Err(wrong)
    }
}

/// What is wrong with the overrides, as of a case.
fn overrides(draft: &Draft, file: &str) -> Vec<Wrong> {
    let all: Vec<&Words> = draft.base.iter().chain(&draft.change).collect();
    let sets: Vec<String> = all.iter().map(|w| w.text.clone()).collect();
    // A base that is wrong by itself is told before what is put on it.
    let alone = demonstration(&sets[..draft.base.len()]).err();
    let Some(told) = alone.or_else(|| demonstration(&sets).err()) else {
        return Vec::new();
    };
    let wrong = told.problems.iter().map(|problem| {
        let span = match problem.spot {
            Spot::Set(index, start, end) => all[index].part(file, start..end),
            _ => draft.head.clone(),
        };
        Wrong {
            span,
            title: match &problem.fault {
                Fault::NotKeyValue { .. } => {
                    "a change is KEY=VALUE, as in `lead.length=12m`".to_string()
                }
                fault => fault.to_string(),
            },
            label: problem.fault.label(),
            help: problem.fault.help(),
        }
    });
    wrong.collect()
}

fn unknown_faults(draft: &Draft) -> Vec<Wrong> {
    let known = || faults::faults().iter().map(|f| f.name.as_str());
    let unknown = draft
        .faults
        .iter()
        .filter(|w| faults::find(&w.text).is_err());
    let wrong = unknown.map(|w| {
        let title = format!("unknown fault `{}`", short(&w.text));
        let wrong = Wrong::new(w.span.clone(), title).near(&w.text, known());
        wrong.with_help("`arcplunge catalogue faults` lists them")
    });
    wrong.collect()
}

/// The control beside the answer: the one named, else that of the first change, if the page has one.
fn control(draft: &Draft) -> Result<Option<String>, Wrong> {
    let known = controls::paths();
    let Some(named) = &draft.control else {
        let first = draft.change.first().and_then(|w| w.text.split_once('='));
        let key = first.map(|(key, _)| key.trim().to_string());
        return Ok(key.filter(|key| known.contains(&key.as_str())));
    };
    if known.contains(&named.text.as_str()) {
        return Ok(Some(named.text.clone()));
    }
    let title = format!("the page has no control `{}`", short(&named.text));
    let wrong = Wrong::new(named.span.clone(), title).near(&named.text, &known);
    Err(wrong.with_help(format!("controls are {}", known.join(", "))))
}

fn fired(draft: &Draft) -> Result<(Assessment, Assessment), Vec<Wrong>> {
    let session = Session::default();
    let texts = |all: &[Words]| -> Vec<String> { all.iter().map(|w| w.text.clone()).collect() };
    let base = Weld {
        sets: texts(&draft.base),
        ..Weld::default()
    };
    let now = Weld {
        sets: [texts(&draft.base), texts(&draft.change)].concat(),
        faults: texts(&draft.faults),
        ..Weld::default()
    };
    let fire = |weld: &Weld| {
        session.shot(weld).map_err(|e| {
            let span = draft
                .faults
                .first()
                .map_or(draft.head.clone(), |w| w.span.clone());
            vec![Wrong::new(span, e.trim_start_matches("error: "))]
        })
    };
    Ok((fire(&base)?, fire(&now)?))
}

/// The replay stands at an event of the changed weld.
fn happens(draft: &Draft, now: &Assessment, wrong: &mut Vec<Wrong>) {
    let names: Vec<&str> = now.shot.events.iter().map(|e| e.name.name()).collect();
    if !names.contains(&draft.at.text.as_str()) {
        let title = format!("the changed weld has no `{}`", draft.at.text);
        let help = format!("its events are {}", names.join(", "));
        wrong.push(Wrong::new(draft.at.span.clone(), title).with_help(help));
    }
}

/// What is wrong with a claim.
fn unheld(claim: &Words, pair: &Pair) -> Option<Wrong> {
    let at = |title: String| Wrong::new(claim.span.clone(), title);
    let text = short(&claim.text);
    Some(match claim::hold(&claim.text, pair).err()? {
        Trouble::Form => at(format!("`{text}` is no claim")).with_help(
            "write `NAME rises`, `NAME falls`, `now.NAME < NUMBER` or `base.verdict = sound`",
        ),
        Trouble::Unknown(name) => at(format!("no figure is called `{}`", short(&name)))
            .near(&name, claim::names(pair))
            .with_help(
                "a figure of the JSON, `verdict`, `drift`, `weakest`, or an element of the ledger",
            ),
        Trouble::Value(wanted) => at(format!("`{text}`: expected {wanted}")),
        Trouble::Moves => at(format!("`{text}`: a verdict neither rises nor falls"))
            .with_help("write `now.verdict = cold` or `base.verdict = sound`"),
        Trouble::Untrue(so) => at(format!("the welds do not bear out `{text}`: {so}")),
    })
}

/// A text with the figures put in where it names them: `{now.arc_energy_J}`, `{base.verdict}`.
fn filled(words: &Words, file: &str, pair: &Pair, wrong: &mut Vec<Wrong>) -> String {
    let mut out = String::new();
    let mut rest = words.text.as_str();
    while let Some((before, after)) = rest.split_once('{') {
        let start = words.text.len() - after.len();
        let (name, onward) = after.split_once('}').unwrap_or((after, ""));
        let span = words.part(file, start..start + name.len());
        let figure = claim::side(pair, name).map(|(weld, name)| (name, claim::words(weld, name)));
        match figure {
            Some((_, Some(text))) => {
                out.push_str(before);
                out.push_str(&text);
            }
            Some((name, None)) => {
                let title = format!("no figure is called `{}`", short(name));
                wrong.push(Wrong::new(span, title).near(name, claim::names(pair)));
            }
            None => {
                let title = format!("`{{{}}}` names no figure", short(name));
                let help = "write `{now.NAME}` or `{base.NAME}`, as in `{now.fill_ratio}`";
                wrong.push(Wrong::new(span, title).with_help(help));
            }
        }
        rest = onward;
    }
    out.push_str(rest);
    out
}
