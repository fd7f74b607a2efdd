//! What is left above the fill a weld needs, now and in the base.

use crate::format::percent;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::assessment::Assessment;

/// The reserve in words, and whether it fell far.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reserve {
    /// "reserve 29 % → 6 %".
    pub words: String,
    /// Less than half of the base's is left.
    pub fell: bool,
}

/// The reserve of a weld beside that of its base; none where the fill does not decide.
pub fn reserve(base: Option<&Assessment>, now: &Assessment) -> Option<Reserve> {
    let to = now.shot.reserve()?;
    let from = base.and_then(|base| base.shot.reserve());
    let words = match from {
        Some(from) if from > 0.0 && to > 0.0 && to < from && told(from) != told(to) => format!(
            "reserve {} → {}, {} of it gone",
            told(from),
            told(to),
            percent(1.0 - to / from)
        ),
        Some(from) if told(from) != told(to) => format!("reserve {} → {}", told(from), told(to)),
        _ => format!("reserve {}", told(to)),
    };
    Some(Reserve {
        words,
        fell: from.is_some_and(|from| from > 0.0 && to < 0.5 * from),
    })
}

/// "still holds, 62 % of the reserve gone": of a weld that is sound as its base is, but with less to spare.
pub fn holds(base: &Assessment, now: &Assessment) -> Option<String> {
    let sound = |of: &Assessment| of.shot.verdict == Some(Verdict::Sound);
    let (from, to) = (base.shot.reserve()?, now.shot.reserve()?);
    let less = sound(base) && sound(now) && to < from && told(from) != told(to);
    less.then(|| {
        format!(
            "still holds, {} of the reserve gone",
            percent(1.0 - to / from)
        )
    })
}

/// What is left above the fill a weld needs, in words; none where the fill does not decide.
pub fn left(shot: &Shot) -> Option<String> {
    shot.reserve().map(told)
}

fn told(above: f64) -> String {
    if above < 0.0 {
        format!("none, {} short", percent(-above))
    } else {
        percent(above)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::Case;
    use arcplunge_core::study::compare::{Variation, compare};

    #[test]
    fn a_reserve_is_held_against_the_base() {
        let base = Case::default();
        let at = |voltage: f64| {
            let mut case = base.clone();
            case.bank.voltage = voltage;
            Variation {
                name: format!("{voltage} V"),
                faults: Vec::new(),
                case,
            }
        };
        let c = compare(base.clone(), vec![at(111.0), at(102.0), at(80.0)]).unwrap();
        let of = |n: usize| reserve(Some(&c.base), &c.variations[n]).unwrap();
        let alone = reserve(None, &c.base).unwrap();
        assert!(!alone.fell && alone.words.starts_with("reserve "));
        assert!(!alone.words.contains('→'), "{}", alone.words);
        assert!(of(0).words.contains(" → ") && !of(0).fell, "{:?}", of(0));
        assert!(of(1).fell && !of(1).words.contains("short"), "{:?}", of(1));
        let kept = |n: usize| holds(&c.base, &c.variations[n]);
        assert!(kept(1).unwrap().starts_with("still holds, "));
        assert_eq!(kept(2), None);
        assert_eq!(holds(&c.base, &c.base), None);
        assert!(of(2).fell && of(2).words.ends_with(" short"), "{:?}", of(2));
    }
}
