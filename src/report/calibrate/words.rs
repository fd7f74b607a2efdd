//! What was seen and what may have gone wrong, in words.

use crate::format::{plural, significant};
use arcplunge_core::study::calibrate::found::Found;
use arcplunge_core::study::calibrate::suspects::Mistake;
use arcplunge_core::study::calibrate::words::{Spatter, Witness};

/// An effective sample below which, or an R̂ above which, the samples are too few.
pub(super) const FEW: f64 = 60.0;
pub(super) const APART: f64 = 1.1;

/// What a calibrated case says of itself, behind its title: welds, day, and the file they stand in.
pub fn calibrated(title: &str, welds: usize, day: &str, sha256: &str) -> String {
    let welds = plural(welds, "weld");
    let hash = &sha256[..sha256.len().min(8)];
    // A case that was calibrated before keeps what it was called before that.
    let before = title.rfind("calibrated on ");
    let before = before.filter(|at| title[*at..].contains(", file "));
    let title = before.map_or(title, |at| &title[..at]);
    let title = title.trim_end_matches("; ");
    let space = if title.is_empty() { "" } else { "; " };
    format!("{title}{space}calibrated on {welds}, {day}, file {hash}")
}

/// A value of an unknown or of a spread learnt along, to three digits.
pub(super) fn value(found: &Found, place: usize, value: f64) -> String {
    match found.problem.unknowns.all.get(place) {
        Some(unknown) => unknown.draw.number.short(value, 3),
        None => significant(value, 2),
    }
}

/// How well a value is known.
pub(super) fn range(found: &Found, place: usize, [low, middle, high]: [f64; 3]) -> String {
    let [low, middle, high] = [low, middle, high].map(|v| value(found, place, v));
    // The unit stands once.
    let bare = |text: &str| match (text.rsplit_once(' '), middle.rsplit_once(' ')) {
        (Some((number, unit)), Some((_, same))) if unit == same => number.to_string(),
        _ => text.to_string(),
    };
    format!("{} ({} to {})", middle, bare(&low), bare(&high))
}

/// What an unknown is in words.
pub(super) fn about(found: &Found, place: usize) -> String {
    let (unknowns, spreads) = (&found.problem.unknowns.all, &found.problem.spreads.learnt);
    match unknowns.get(place) {
        Some(unknown) => unknown.draw.address().words(),
        None => spreads[place - unknowns.len()].words.into(),
    }
}

/// A mistake as one would say it at the bench.
pub(super) fn mistake(mistake: Mistake) -> String {
    match mistake {
        Mistake::Voltage(voltage) => {
            format!("the bank had {} V", significant(voltage, 3))
        }
        Mistake::Fault(fault) => format!("{} (fault {})", fault.about, fault.name),
    }
}

pub(super) fn outcome((witness, spatter): (Witness, Spatter)) -> String {
    format!("rim {}, spatter {}", witness.name(), spatter.name())
}

/// Why the samples may not be trusted; `None` where they may.
pub(super) fn doubt(found: &Found) -> Option<String> {
    let s = &found.sampled;
    (s.effective < FEW || s.r_hat > APART).then(|| {
        format!(
            "The samples are too few to trust the ends of the ranges (worth {} independent ones, R-hat {:.2}): use \
             more, as in --particles {}.",
            s.effective.round(),
            s.r_hat,
            2 * s.particles.len()
        )
    })
}

#[cfg(test)]
mod tests {
    use super::calibrated;

    #[test]
    fn a_case_says_what_it_was_calibrated_on_last() {
        let hash = "0123456789abcdef";
        let once = calibrated("Bench 3", 12, "2026-11-28", hash);
        assert_eq!(
            once,
            "Bench 3; calibrated on 12 welds, 2026-11-28, file 01234567"
        );
        let twice = calibrated(&once, 1, "2026-11-29", hash);
        assert_eq!(
            twice,
            "Bench 3; calibrated on 1 weld, 2026-11-29, file 01234567"
        );
        let own = calibrated("Bench calibrated on Monday", 2, "2026-11-29", hash);
        assert!(own.starts_with("Bench calibrated on Monday; calibrated on 2"));
        let untitled = calibrated("", 2, "2026-11-29", hash);
        assert_eq!(untitled, "calibrated on 2 welds, 2026-11-29, file 01234567");
        assert_eq!(calibrated(&untitled, 2, "2026-11-29", hash), untitled);
    }
}
