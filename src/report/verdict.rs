//! A verdict's word, the tone it is told in, and what can turn it.

use super::document::Tone;
use super::earths::words::witness;
use arcplunge_core::simulation::remarks::Remark;
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
    let (word, tone) = word(a.shot.verdict);
    let mut full = word.to_string();
    if a.band.as_ref().is_some_and(|b| b.borderline) {
        full += ", borderline";
    }
    if let Some(but) = but(&a.shot) {
        full = format!("{full}, {but}");
    }
    let tone = if full == word { tone } else { Tone::Amber };
    (full, tone)
}

/// What is wrong beside the verdict.
pub fn but(shot: &Shot) -> Option<&'static str> {
    is_too_thin(shot).then_some(match shot.verdict {
        Some(Verdict::Sound) => "but the sheet is too thin",
        _ => "and the sheet is too thin",
    })
}

/// Whether the sheet is thinner than it should be, or gets so hot at the back that it dents.
fn is_too_thin(shot: &Shot) -> bool {
    let mut remarks = shot.remarks.iter();
    remarks.any(|r| matches!(r, Remark::ThinSheet { .. } | Remark::HotBack { .. }))
}

/// Whether arc blow leaves a weld bare somewhere whose filler would be enough.
pub fn is_bare(a: &Assessment) -> bool {
    let lacks = matches!(witness(&a.blow), Some("one-sided" | "missing"));
    a.shot.verdict == Some(Verdict::OneSided) && lacks
}

/// "borderline: 21 cold, 107 sound of 128"; none where nine of ten shots of the band agree.
pub fn borderline(band: Option<&Band>) -> Option<String> {
    let b = band.filter(|b| b.borderline)?;
    Some(format!("borderline: {} of {}", counts(b), b.shots))
}

/// How often each verdict comes, as a sentence; none where every shot of the band agrees.
pub fn unsure(band: Option<&Band>) -> Option<String> {
    let b = band.filter(|b| b.verdicts.len() > 1)?;
    Some(format!(
        "Within the spread of the model's own constants ({} shots) the result is {}.",
        b.shots,
        counts(b)
    ))
}

fn counts(band: &Band) -> String {
    let each = band.verdicts.iter();
    let each: Vec<String> = each.map(|(v, n)| format!("{n} {}", v.name())).collect();
    each.join(", ")
}
