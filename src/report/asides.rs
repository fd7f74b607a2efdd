//! What is said beside the verdict: warnings, a remark on voids, what a pull should break, polarity.

use super::format::{celsius, engineering, percent, significant};
use super::title::deciding;
use super::verdict;
use arcplunge_core::case::Case;
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::remarks::{FEW_VOIDS, Remark};
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::band::{Band, Pole};
use arcplunge_core::study::outcome::Outcome;

/// The figure that decides, and behind it what warns.
pub(crate) fn warned(case: &Case, shot: &Shot) -> String {
    let mut out = deciding(case, shot);
    for warning in shot.remarks.iter().filter_map(warning) {
        out.push(' ');
        out.push_str(&warning);
    }
    out
}

/// That the sheet is too thin, or the switch gets too hot, beside a sound weld of a study, whose own shots may end before
/// the back of the sheet is hottest: it is fired to its end.
pub(crate) fn sound_but(case: &Case) -> Option<String> {
    let fired = Outcome::of(case, [], &Settings::default(), &mut Workspace::default());
    let remarks = fired.sound_but_warned()?;
    let but = verdict::beside(fired.verdict(), remarks)?;
    let words: Vec<String> = remarks.iter().filter_map(warning).collect();
    Some(format!("Sound, {but}. {}", words.join(" ")))
}

/// A warning in words; `None` of what only deserves a word.
pub(crate) fn warning(remark: &Remark) -> Option<String> {
    match remark {
        Remark::ThinSheet { least_m } => Some(format!(
            "The sheet is thinner than the {} that such a stud should have.",
            engineering(*least_m, "m")
        )),
        Remark::HotBack { share } if *share >= 1.0 => {
            Some("The sheet is molten through to its back: it sags or holes.".into())
        }
        Remark::HotBack { share } => Some(format!(
            "The back of the sheet gets to {} of its melting point (in kelvin): it dents and may hole.",
            percent(*share)
        )),
        Remark::HotSwitch {
            junction_K,
            limit_K,
        } => Some(format!(
            "A single shot makes the junction of the switch {} hot, above its limit of {}: this rig should not fire it.",
            celsius(*junction_K),
            celsius(*limit_K)
        )),
        Remark::TouchMayStrike { rate_A_per_s } => Some(format!(
            "A stub, unless the touch strikes an arc: the current rises at {} A/µs.",
            significant(rate_A_per_s * 1e-6, 2)
        )),
        Remark::Voids { .. } => None,
    }
}

/// What is worth a word and decides nothing.
pub(crate) fn aside(remark: &Remark) -> Option<String> {
    let Remark::Voids { current_A } = remark else {
        return None;
    };
    let [low, high] = FEW_VOIDS.map(|i| significant(i * 1e-3, 2));
    Some(format!(
        "At touchdown {} flow; a published study, on its own rig, found somewhat fewer voids between {low} and \
         {high} kA.",
        engineering(*current_A, "A")
    ))
}

/// What a pull should break of a sound weld; of another none can tell, and a cold one may lift off whole.
pub(crate) fn breaks_first(shot: &Shot) -> Option<String> {
    shot.holds.breaks_first?;
    let (part, load) = shot.holds.least()?;
    let f = &shot.figures;
    if [f.melt_stud_m, f.melt_sheet_m]
        .iter()
        .all(|melt| *melt == Some(0.0))
    {
        return Some(
            "Neither face was molten at touchdown: what is left of the pip is all that may hold the stud, and no load is told."
                .into(),
        );
    }
    (shot.verdict == Some(Verdict::Sound)).then(|| format!(
        "A pull should break the {} first, at {} at most: an upper bound, pores and a hard zone take their share.",
        part.name(),
        engineering(load, "N")
    ))
}

/// What polarity would do at either end of what is thought possible, where that turns the verdict.
pub(crate) fn polarity(band: Option<&Band>) -> Option<String> {
    let [one, other] = band?.poles?;
    if one.verdict == other.verdict {
        return None;
    }
    let told = |pole: &Pole| {
        let fill = pole
            .fill_ratio
            .map_or(String::new(), |f| format!(", fill {}", significant(f, 3)));
        format!(
            "with {} of the arc's power into the stud and {} into the sheet it is {}{fill}",
            percent(pole.to_stud),
            percent(pole.to_sheet),
            pole.verdict.map_or("none", Verdict::name)
        )
    };
    Some(format!(
        "Which pole the arc heats more is not settled, so that polarity may decide: {}; {}. The other polarity exchanges the two.",
        told(&one),
        told(&other)
    ))
}
