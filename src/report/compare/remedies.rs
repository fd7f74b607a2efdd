//! What helps against a variation, with the figures it brings back.

use super::reserve::reserve;
use crate::format::{capital, engineering, significant};
use crate::tried::tried;
use crate::verdict;
use arcplunge_core::case::settings::Difference;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::compare::relative;

/// A fill that moves less than this share of itself is not worth mentioning.
const FILL_NOTED: f64 = 0.01;

/// Nor an arc's energy that moves less than this.
const ENERGY_NOTED: f64 = 0.03;

/// What helps: for faults what practice says, and what the weld is without them; for changed keys what undoes the change
/// and what else there is.
pub fn remedy(base: &Assessment, v: &Assessment) -> Vec<String> {
    let mut out: Vec<String> = v.faults.iter().map(|f| f.remedy.clone()).collect();
    let same = word(base) == word(v);
    let back = brought_back(base, v);
    if !v.faults.is_empty() {
        let offsets = v.shot.verdict == Some(Verdict::Sound) && base.shot.verdict != v.shot.verdict;
        let without = if v.faults.len() == 1 {
            "without the fault"
        } else {
            "without the faults"
        };
        let too = if same { "likewise " } else { "" };
        out.extend(back.map(|back| {
            let weld = format!("{without} the weld is {too}{}{back}.", word(base));
            match offsets {
                true => format!(
                    "Here the fault makes up for what is wrong without it: {weld} Mend that too; `arcplunge fire` says what \
                     helps."
                ),
                false => capital(&weld),
            }
        }));
    } else if worse(base, v) {
        let undo: Vec<String> = v.changes.iter().map(undo).collect();
        let back = back.map_or(String::new(), |back| match same {
            true => format!(": the weld stays {}{back}", word(base)),
            false => format!(": the weld is {} again{back}", word(base)),
        });
        out.push(format!("Undo the change ({}){back}.", undo.join("; ")));
        if v.shot.verdict != base.shot.verdict {
            out.extend(tried(&v.case, &v.remedies));
        }
    }
    out
}

/// The verdict with what else is wrong, borderline or not.
fn word(s: &Assessment) -> String {
    verdict::with(&s.shot, None).0
}

/// The variation lost the base's sound weld, or most of its reserve.
fn worse(base: &Assessment, v: &Assessment) -> bool {
    let sound = Some(Verdict::Sound);
    (base.shot.verdict == sound && word(v) != word(base))
        || reserve(Some(base), v).is_some_and(|r| r.fell)
}

fn undo(d: &Difference) -> String {
    match (&d.from, &d.to) {
        (Some(from), Some(_)) => format!("{}: back to {from}", d.key),
        (Some(_), None) => format!("restore {}", d.key),
        _ => format!("remove {}", d.key),
    }
}

/// Fill and joules of the arc as the base has them, each behind a comma; none where nothing moved, the verdict included.
fn brought_back(base: &Assessment, v: &Assessment) -> Option<String> {
    let (a, b) = (&base.shot.figures, &v.shot.figures);
    let mut out = String::new();
    let mut part =
        |name: &str, from: Option<f64>, to: Option<f64>, least, text: fn(f64) -> String| match (
            from, to,
        ) {
            (Some(from), Some(to))
                if relative(Some(from), Some(to)).is_some_and(|m| m.abs() >= least) =>
            {
                out += &format!(", {name} {} instead of {}", text(from), text(to));
            }
            (Some(from), None) => out += &format!(", {name} {} instead of none", text(from)),
            _ => {}
        };
    part("fill", a.fill_ratio, b.fill_ratio, FILL_NOTED, |v| {
        significant(v, 3)
    });
    part(
        "arc energy",
        a.arc_energy_J,
        b.arc_energy_J,
        ENERGY_NOTED,
        |v| engineering(v, "J"),
    );
    (word(base) != word(v) || !out.is_empty()).then_some(out)
}
