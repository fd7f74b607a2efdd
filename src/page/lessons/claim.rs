//! What a lesson claims of its two welds, and the figures it may name.
//!
//! A claim is `NAME rises`, `NAME falls`, or `now.NAME SIGN VALUE` and `base.NAME SIGN VALUE`: SIGN is `<`, `>` or `=`,
//! VALUE a number in the unit the name ends on (J for an element of the ledger), a verdict, or `none` for what did not
//! happen.

use arcplunge_core::simulation::named::{FIGURES, find};
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_report::earths::words::settled;
use arcplunge_report::format::engineering;
use arcplunge_report::quantity;

/// What is looked at beside figures and ledger.
const VERDICT: &str = "verdict";
const DRIFT: &str = "drift";
const WEAKEST: &str = "weakest";

/// What a weld without a verdict is.
const TEST: &str = "discharge test";

/// What did not happen.
const NONE: &str = "none";

/// Moves below this share are the solver's noise.
const NOISE: f64 = 1e-3;

/// A lesson's two welds.
pub struct Pair<'a> {
    pub now: &'a Assessment,
    pub base: &'a Assessment,
}

/// Why a claim is none, or does not hold.
#[derive(Debug, Clone, PartialEq)]
pub enum Trouble {
    /// It cannot be read.
    Form,
    /// No figure has this name.
    Unknown(String),
    /// What stands for the value is none; what is expected.
    Value(&'static str),
    /// A verdict, which neither rises nor falls.
    Moves,
    /// The welds say otherwise: so.
    Untrue(String),
}

/// Every name that a claim or an answer may use, each once.
pub fn names(pair: &Pair) -> Vec<String> {
    let mut names: Vec<String> = FIGURES.iter().map(|(name, _)| name.to_string()).collect();
    names.extend([VERDICT, DRIFT, WEAKEST].map(str::to_string));
    for weld in [pair.base, pair.now] {
        let elements = weld.shot.ledger.entries().into_iter();
        names.extend(elements.map(|(element, _)| joined(&element)));
    }
    names.sort();
    names.dedup();
    names
}

/// An element of the ledger as one word: `tool_terminal`.
fn joined(element: &str) -> String {
    element.trim().replace(' ', "_")
}

/// The number of a name \[SI\]; `None` where it did not happen, nothing where no figure has the name.
fn number(weld: &Assessment, name: &str) -> Option<Option<f64>> {
    if let Some(read) = find(name) {
        return Some(read(&weld.shot.figures));
    }
    match name {
        DRIFT => return Some(weld.blow.distance()),
        WEAKEST => return Some(weld.blow.weakest()),
        _ => {}
    }
    let entries = weld.shot.ledger.entries();
    let element = entries.iter().find(|(e, _)| joined(e) == name);
    element.map(|(_, joules)| Some(*joules))
}

/// A figure as people read it; nothing where no figure has the name.
pub fn words(weld: &Assessment, name: &str) -> Option<String> {
    if name == VERDICT {
        return Some(weld.shot.verdict.map_or(TEST, Verdict::name).to_string());
    }
    let value = number(weld, name)?;
    let figure = FIGURES.iter().find(|(n, _)| *n == name);
    Some(match (figure, value) {
        (Some((name, _)), value) => quantity::text(name, value),
        (None, None) => "–".to_string(),
        (None, Some(x)) if name == DRIFT => engineering(settled(x), "m"),
        (None, Some(x)) if name == WEAKEST => format!("{x:.2}"),
        (None, Some(x)) => format!("{x:.0} J"),
    })
}

/// A figure as a claim has it: what did not happen is `none`.
fn told(weld: &Assessment, name: &str) -> Option<String> {
    if name != VERDICT && number(weld, name)?.is_none() {
        return Some(NONE.to_string());
    }
    words(weld, name)
}

/// Whether a weld of the pair and a name in it: `now.fill_ratio`.
pub fn side<'a, 'b>(pair: &'b Pair, text: &'a str) -> Option<(&'b Assessment, &'a str)> {
    let (side, name) = text.split_once('.')?;
    match side.trim() {
        "now" => Some((pair.now, name)),
        "base" => Some((pair.base, name)),
        _ => None,
    }
}

/// Holds a claim against the welds.
///
/// # Errors
/// When it is no claim, or is not so.
pub fn hold(text: &str, pair: &Pair) -> Result<(), Trouble> {
    for (ending, rises) in [(" rises", true), (" falls", false)] {
        if let Some(name) = text.trim().strip_suffix(ending) {
            return moves(&joined(name), rises, pair);
        }
    }
    let (left, sign, right) = ['<', '>', '=']
        .into_iter()
        .find_map(|sign| text.split_once(sign).map(|(l, r)| (l, sign, r.trim())))
        .ok_or(Trouble::Form)?;
    let (weld, name) = side(pair, left).ok_or(Trouble::Form)?;
    let name = joined(name);
    let is = told(weld, &name).ok_or_else(|| Trouble::Unknown(name.clone()))?;
    let holds = if name == VERDICT {
        let known = Verdict::ALL.iter().any(|v| v.name() == right) || right == TEST;
        if sign != '=' || !known {
            return Err(Trouble::Value("`=` and a verdict, such as `= cold`"));
        }
        is == right
    } else {
        let value = number(weld, &name).flatten();
        if right == NONE && sign == '=' {
            value.is_none()
        } else {
            let wanted = right.parse::<f64>().ok().filter(|x| x.is_finite());
            let wanted = wanted.filter(|_| sign != '=').ok_or(Trouble::Value(
                "`<` or `>` and a number in the unit of the name, or `= none`",
            ))?;
            value.is_some_and(|x| if sign == '<' { x < wanted } else { x > wanted })
        }
    };
    if holds {
        return Ok(());
    }
    let exact = number(weld, &name).flatten().map(|x| format!(" ({x:.4e})"));
    let exact = exact.filter(|_| right.contains('e')).unwrap_or_default();
    Err(Trouble::Untrue(format!("it is {is}{exact}")))
}

fn moves(name: &str, rises: bool, pair: &Pair) -> Result<(), Trouble> {
    if name == VERDICT {
        return Err(Trouble::Moves);
    }
    let unknown = || Trouble::Unknown(name.to_string());
    let [from, to] = [pair.base, pair.now].map(|weld| number(weld, name));
    let (from, to) = (from.ok_or_else(unknown)?, to.ok_or_else(unknown)?);
    let moved = from.zip(to).map(|(from, to)| (to - from) / from.abs());
    if moved.is_some_and(|m| if rises { m > NOISE } else { m < -NOISE }) {
        return Ok(());
    }
    let [from, to] = [pair.base, pair.now].map(|weld| told(weld, name).unwrap_or_default());
    Err(Trouble::Untrue(format!("it goes from {from} to {to}")))
}
