//! A verdict's word, the tone it is told in, and what can turn it.

use std::cmp::Reverse;

use super::document::Tone;
use super::earths::words::witness;
use arcplunge_core::simulation::remarks::{Remarks, warn_of_sheet, warn_of_switch};
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::band::{Band, is_borderline, others};

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
    let unsure = doubt(a.shot.verdict, a.band.as_ref());
    with(&a.shot, unsure.as_deref())
}

/// The same with these words where the verdict can turn; none where that is told elsewhere.
pub fn with(shot: &Shot, unsure: Option<&str>) -> (String, Tone) {
    let (word, tone) = word(shot.verdict);
    // One "but" is enough.
    let is_but = unsure.is_some_and(|unsure| unsure.starts_with("but"));
    let beside = but(shot).map(|words| match words.strip_prefix("but ") {
        Some(rest) if is_but => format!("and {rest}"),
        _ => words,
    });
    let added = unsure.map(String::from).into_iter().chain(beside);
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

/// What the band takes from a verdict: "borderline"; "but hot in 106 of 128" where most of its shots have another; none
/// where nine of ten agree.
pub fn doubt(own: Option<Verdict>, band: Option<&Band>) -> Option<String> {
    let b = band.filter(|b| b.borderline)?;
    Some(outvoted(own, b).unwrap_or_else(|| "borderline".into()))
}

/// The same with how often each comes: "borderline: 21 cold, 107 sound of 128".
pub fn counted_doubt(own: Option<Verdict>, band: Option<&Band>) -> Option<String> {
    let b = band.filter(|b| b.borderline)?;
    let borderline = || format!("borderline: {} of {}", counts(&b.verdicts), b.shots);
    Some(outvoted(own, b).unwrap_or_else(borderline))
}

/// The other verdicts, where most shots of a band have one: the most frequent, and which are more than a few.
fn outvoted(own: Option<Verdict>, b: &Band) -> Option<String> {
    let own = own?;
    if 2 * others(&b.verdicts, own) <= b.shots {
        return None;
    }
    let others = b.verdicts.iter().filter(|(v, _)| *v != own);
    let mut others: Vec<(Verdict, usize)> = others.copied().collect();
    others.sort_by_key(|(_, n)| Reverse(*n));
    let (first, rest) = others.split_first()?;
    let rest = rest.iter().filter(|(_, n)| is_borderline(*n, b.shots));
    let told: Vec<String> = std::iter::once(first)
        .chain(rest)
        .map(|(v, n)| format!("{} in {n}", v.name()))
        .collect();
    Some(format!("but {} of {}", told.join(" and "), b.shots))
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

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::study::assessment::{Depth, assess};

    fn at(volts: f64) -> Assessment {
        let mut case = arcplunge_core::case::Case::default();
        case.bank.voltage = volts;
        assess(case, Vec::new(), Depth::FULL).unwrap()
    }

    #[test]
    fn a_green_word_is_earned_by_most_shots_of_the_band() {
        let outvoted = at(135.0);
        let (word, tone) = full(&outvoted);
        let band = outvoted.band.as_ref().unwrap();
        let hot = band.verdicts.iter().find(|(v, _)| *v == Verdict::Hot);
        let hot = hot.unwrap().1;
        assert!(2 * hot > band.shots, "{band:?}");
        assert_eq!(word, format!("sound, but hot in {hot} of {}", band.shots));
        assert_eq!(tone, Tone::Amber);
        assert_eq!(full(&at(102.0)).0, "sound, borderline");
        assert_eq!(full(&at(112.0)), ("sound".to_string(), Tone::Good));
    }

    #[test]
    fn verdicts_that_only_together_outvote_are_all_named_but_few() {
        let mut band = at(135.0).band.unwrap();
        let verdicts = [
            (Verdict::Cold, 40),
            (Verdict::OneSided, 3),
            (Verdict::Sound, 35),
            (Verdict::Hot, 50),
        ];
        band.verdicts = verdicts.to_vec();
        let told = |band: &Band| doubt(Some(Verdict::Sound), Some(band)).unwrap();
        assert_eq!(told(&band), "but hot in 50 and cold in 40 of 128");
        band.verdicts = vec![(Verdict::Sound, 64), (Verdict::Hot, 64)];
        assert_eq!(told(&band), "borderline");
    }
}
