//! What is left above the fill a weld needs, now and in the base, and to another limit where that is nearer.

use crate::format::percent;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::verdict::{Cause, Verdict};
use arcplunge_core::study::assessment::Assessment;

/// The reserve in words, and whether it fell far.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reserve {
    /// "reserve 29 % → 6 %".
    pub words: String,
    /// Less than half of the base's is left, or of its distance to its nearest limit.
    pub fell: bool,
}

/// The reserve of a weld beside that of its base, and another limit that is nearer; none where the fill does not decide.
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
    let half = |from: Option<f64>, to: f64| from.is_some_and(|from| from > 0.0 && to < 0.5 * from);
    let spared = base.and_then(|base| spare(&base.shot));
    Some(Reserve {
        words: words + &beside(&now.shot),
        fell: half(from, to) || half(spared, spare(&now.shot)?),
    })
}

/// "still holds, 62 % of the reserve gone", "still holds, but 1 % to hot": of a weld that is sound as its base is, but
/// with less to spare.
pub fn holds(base: &Assessment, now: &Assessment) -> Option<String> {
    let sound = |of: &Assessment| of.shot.verdict == Some(Verdict::Sound);
    let less = |from: f64, to: f64| to < from && told(from) != told(to);
    if !sound(base) || !sound(now) {
        return None;
    }
    if let Some(near) = nearer(&now.shot) {
        return less(spare(&base.shot)?, spare(&now.shot)?)
            .then(|| format!("still holds, but {near}"));
    }
    let (from, to) = (base.shot.reserve()?, now.shot.reserve()?);
    less(from, to).then(|| {
        format!(
            "still holds, {} of the reserve gone",
            percent(1.0 - to / from)
        )
    })
}

/// What is left above the fill a weld needs, in words, and another limit that is nearer; none where the fill does not
/// decide.
pub fn left(shot: &Shot) -> Option<String> {
    Some(of_fill(shot)? + &beside(shot))
}

/// The same without that other limit.
pub(crate) fn of_fill(shot: &Shot) -> Option<String> {
    shot.reserve().map(told)
}

/// "1 % to hot": of a sound weld that is nearer to another limit than to too little fill.
pub fn nearer(shot: &Shot) -> Option<String> {
    let near = shot.nearest?;
    let limit = match near.cause {
        Cause::BoiledOff => "hot",
        Cause::Overfilled => "overfill",
        Cause::MeltedThrough => "burn-through",
        Cause::ArcOut => "arc out",
        Cause::Stub => "a stub",
        _ => return None,
    };
    Some(format!("{} to {limit}", percent(near.margin)))
}

/// ", but 1 % to hot", or nothing.
pub(crate) fn beside(shot: &Shot) -> String {
    nearer(shot).map_or(String::new(), |near| format!(", but {near}"))
}

/// What a weld has to spare to the limit it is nearest to.
fn spare(shot: &Shot) -> Option<f64> {
    let nearest = shot.nearest.map(|near| near.margin);
    nearest.or_else(|| shot.reserve())
}

/// What lacks less than this to the fill needed is just short.
const JUST: f64 = 1e-3;

fn told(above: f64) -> String {
    if above < 0.0 && -above < JUST {
        "none, just short".into()
    } else if above < 0.0 {
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
    #[test]
    fn a_weld_near_the_hot_limit_has_little_left_however_full_it_is() {
        let base = Case::default();
        let mut case = base.clone();
        case.bank.voltage = 135.0;
        let variation = Variation {
            name: "135 V".into(),
            faults: Vec::new(),
            case,
        };
        let c = compare(base, vec![variation]).unwrap();
        let (base, near) = (&c.base, &c.variations[0]);
        assert_eq!(near.shot.verdict, Some(Verdict::Sound));
        assert!(near.shot.reserve() > base.shot.reserve());
        let now = reserve(Some(base), near).unwrap();
        assert!(now.fell && now.words.ends_with(" % to hot"), "{now:?}");
        let held = holds(base, near).unwrap();
        assert!(
            held.starts_with("still holds, but ") && held.ends_with(" % to hot"),
            "{held}"
        );
        assert!(left(&near.shot).unwrap().contains(" %, but "));
        assert_eq!(nearer(&base.shot), None);
    }
}
