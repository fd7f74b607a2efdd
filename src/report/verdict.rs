//! A verdict's word, the tone it is told in, and what can turn it.

use super::document::Tone;
use super::earths::words::witness;
use arcplunge_core::simulation::remarks::{Remarks, warn_of_sheet, warn_of_switch};
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::band::Band;

/// Word and tone of a verdict.
pub fn word(verdict: Option<Verdict>) -> (&'static str, Tone) {
    match verdict {
        None => ("discharge test", Tone::Strong),
        Some(v @ Verdict::Sound) => (v.name(), Tone::Good),
        Some(v @ Verdict::Cold) => (v.name(), Tone::Cold),
        Some(v) => (v.name(), Tone::Wrong),
    }
}

/// The same with what the word needs added: ", borderline", ", but the sheet is too thin"; "and" beside another fault.
pub fn full(a: &Assessment) -> (String, Tone) {
    let is_borderline = a.band.as_ref().is_some_and(|b| b.borderline);
    with(&a.shot, is_borderline.then_some("borderline"))
}

/// The same with these words where the verdict can turn; none where that is told elsewhere.
pub fn with(shot: &Shot, unsure: Option<&str>) -> (String, Tone) {
    let (word, tone) = word(shot.verdict);
    let added = unsure.map(String::from).into_iter().chain(but(shot));
    let full = added.fold(word.to_string(), |full, added| format!("{full}, {added}"));
    let tone = if full == word { tone } else { Tone::Amber };
    (full, tone)
}

/// What is wrong beside the verdict.
pub fn but(shot: &Shot) -> Option<String> {
    beside(shot.verdict, &shot.remarks)
}

/// What the remarks of a weld find wrong beside its verdict.
pub(crate) fn beside(verdict: Option<Verdict>, remarks: &Remarks) -> Option<String> {
    let what = match (warn_of_sheet(remarks), warn_of_switch(remarks)) {
        (true, true) => "the sheet is too thin and the switch gets too hot",
        (true, false) => "the sheet is too thin",
        (false, true) => "the switch gets too hot",
        (false, false) => return None,
    };
    let word = match verdict {
        Some(Verdict::Sound) => "but",
        _ => "and",
    };
    Some(format!("{word} {what}"))
}

/// Whether arc blow leaves a weld bare somewhere whose filler would be enough.
pub fn is_bare(a: &Assessment) -> bool {
    let lacks = matches!(witness(&a.blow), Some("one-sided" | "missing"));
    a.shot.verdict == Some(Verdict::OneSided) && lacks
}

/// "borderline: 21 cold, 107 sound of 128"; none where nine of ten shots of the band agree.
pub fn borderline(band: Option<&Band>) -> Option<String> {
    let b = band.filter(|b| b.borderline)?;
    Some(format!(
        "borderline: {} of {}",
        counts(&b.verdicts),
        b.shots
    ))
}

/// How often each verdict comes, as a sentence; none where every shot of the band agrees.
pub fn unsure(band: Option<&Band>) -> Option<String> {
    within(&band?.verdicts, "the result")
}

/// The same of anything that was fired over that spread.
pub fn within(verdicts: &[(Verdict, usize)], what: &str) -> Option<String> {
    let shots: usize = verdicts.iter().map(|(_, n)| n).sum();
    (verdicts.len() > 1).then(|| {
        format!(
            "Within the spread of the model's own constants ({shots} shots) {what} is {}.",
            counts(verdicts)
        )
    })
}

fn counts(verdicts: &[(Verdict, usize)]) -> String {
    let each = verdicts.iter();
    let each: Vec<String> = each.map(|(v, n)| format!("{n} {}", v.name())).collect();
    each.join(", ")
}
