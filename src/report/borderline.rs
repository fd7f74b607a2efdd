//! A verdict that the spread of the model's own constants can turn, in words.

use arcplunge_core::study::band::Band;

/// "borderline: 21 cold, 107 sound of 128"; none where nine of ten shots of the band agree.
pub fn short(band: Option<&Band>) -> Option<String> {
    let b = band.filter(|b| b.borderline)?;
    Some(format!("borderline: {} of {}", counts(b), b.shots))
}

/// How often each verdict comes, as a sentence; none where every shot of the band agrees.
pub fn sentence(band: Option<&Band>) -> Option<String> {
    let b = band.filter(|b| b.verdicts.len() > 1)?;
    Some(format!(
        "Within the spread of the model's own constants ({} shots) it comes out {}.",
        b.shots,
        counts(b)
    ))
}

fn counts(band: &Band) -> String {
    let each = band.verdicts.iter();
    let each: Vec<String> = each.map(|(v, n)| format!("{n} {}", v.name())).collect();
    each.join(", ")
}
