//! `dial`: the value of a key that reaches a goal.

use clap::Args;

use super::case_input::{CaseInput, FaultInput};
use super::files::Files;
use super::input::faulted;
use super::outcome::{Outcome, Trouble, failed, suggestion, wrong};
use arcplunge_core::case::Case;
use arcplunge_core::case::keys::nearest;
use arcplunge_core::case::quantity::{Dimension, parse};
use arcplunge_core::case::read::Resolved;
use arcplunge_core::simulation::named::{FIGURES, find};
use arcplunge_core::study::dial::Dial;
use arcplunge_core::study::dial::asked::asked;
use arcplunge_core::study::range::Vary;
use arcplunge_report::dial::{Found, csv, document, json, svg};
use arcplunge_report::provenance::Study;

#[derive(Debug, Args)]
#[command(
    after_help = "Searches from a quarter to four times the present value, a charging voltage up to \
    bank.voltage_max or, without it, 200 V, a spring force from tool.spring_min to tool.spring_max, unless \
    KEY=FROM..TO gives a range. Exit code 1 if there is no such value."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// Key to vary, e.g. bank.voltage or bank.voltage=60..160V; two for the widest margin
    #[arg(long, value_name = "KEY", required = true)]
    pub vary: Vec<String>,
    /// sound, or a figure's value: fill_ratio=1.2, arc_time_s=1.5ms
    #[arg(long, value_name = "GOAL", default_value = "sound")]
    pub target: String,
    #[command(flatten)]
    pub faults: FaultInput,
    #[command(flatten)]
    pub files: Files,
}

enum Goal {
    Sound,
    Figure(&'static str, f64),
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    a.files.check(&a.input, &[], &[])?;
    let goal = goal(&a.target)?;
    let Resolved {
        case: base,
        tolerances,
        ..
    } = faulted(&a.input, &a.faults)?.0;
    if matches!(goal, Goal::Sound) && base.stud.short_resistance.is_some() {
        return wrong(
            "--target sound: a discharge test (stud.short_resistance) has no weld to judge".into(),
        );
    }
    let turn = a
        .vary
        .iter()
        .map(|text| range(&base, text))
        .collect::<Result<Vec<_>, _>>()?;
    match (turn.as_slice(), &goal) {
        ([one, two], _) if one.address.to_string() == two.address.to_string() => {
            return wrong(format!("--vary: {} is given twice", one.address));
        }
        ([_], _) | ([_, _], Goal::Sound) => {}
        ([_, _], _) => return wrong("--vary: two keys need --target sound".into()),
        _ => return wrong("--vary: one key or two".into()),
    }
    let mut out = a.files.open(false)?;
    let dial = Dial::new(base, turn).scattered(tolerances);
    let found = match goal {
        Goal::Figure(name, value) => match find(name) {
            Some(read) => Found::Figure(name, value, dial.reach(read, value)),
            None => return wrong(format!("--target {name}: no such figure")),
        },
        Goal::Sound if dial.turned().len() == 2 => match dial.pair() {
            Ok(pair) => Found::Pair(pair),
            Err(why) => Found::Nowhere(why),
        },
        Goal::Sound => match dial.window(0, None) {
            Ok(window) => Found::Window(dial.advised(0, window)),
            Err(why) => Found::Nowhere(why),
        },
    };
    let study = Study::new("dial", dial.base())
        .map_err(failed)?
        .with("vary", a.vary.clone())
        .with("target", a.target.clone());
    out.csv(&study, |bytes| csv(bytes, &dial, &found))?;
    out.json(|| json(&dial, &found))?;
    out.plot(|| svg(&dial, &found))?;
    out.show(&document(&dial, &found))?;
    Ok(if found.is_there() {
        Outcome::Done
    } else {
        Outcome::Failed
    })
}

/// `KEY`, searched around its present value, or `KEY=FROM..TO`.
pub(super) fn range(base: &Case, text: &str) -> Result<Vary, Trouble> {
    asked(base, text).map_err(|e| {
        let help = suggestion(e.nearest());
        Trouble::Wrong(format!("error: --vary {text}: {e}{help}"))
    })
}

fn goal(text: &str) -> Result<Goal, Trouble> {
    if text == "sound" {
        return Ok(Goal::Sound);
    }
    let form = "write --target sound or --target FIGURE=VALUE, as in fill_ratio=1.2";
    let Some((name, value)) = text.split_once('=') else {
        return wrong(format!("--target {text}: {form}"));
    };
    let known = || FIGURES.iter().map(|(n, _)| *n);
    let Some(figure) = known().find(|n| *n == name.trim()) else {
        let help =
            nearest(name, known()).map_or(form.to_string(), |n| format!("did you mean {n}?"));
        return wrong(format!("--target {name}: no such figure\nhelp: {help}"));
    };
    let value = value.trim();
    let number = match (value.parse::<f64>(), dimension(figure)) {
        (bare, Some((dimension, unit))) => parse(value, dimension).map_err(|e| {
            let help = bare.map_or(String::new(), |_| {
                format!("\nhelp: in SI units it is `--target {figure}={value}{unit}`")
            });
            Trouble::Wrong(format!("error: --target {text}: {e}{help}"))
        })?,
        (Ok(number), None) if number.is_finite() => number,
        _ => {
            return wrong(format!(
                "--target {text}: the value is a number in SI units"
            ));
        }
    };
    Ok(Goal::Figure(figure, number))
}

/// What a figure measures and its unit, where that is one of a case file: a bare number may be meant in another.
fn dimension(figure: &str) -> Option<(Dimension, &str)> {
    let (_, unit) = figure.rsplit_once('_')?;
    let dimension = match unit {
        _ if figure.contains("_per_") => return None,
        "s" => Dimension::Time,
        "m" => Dimension::Length,
        "A" => Dimension::Current,
        "K" => Dimension::Temperature,
        "ohm" => Dimension::Resistance,
        "H" => Dimension::Inductance,
        _ => return None,
    };
    Some((dimension, unit))
}
