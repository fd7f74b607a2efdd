//! What helps against a variation, with the figures it brings back.

use super::reserve::reserve;
use crate::format::{engineering, significant};
use crate::reasons::tried;
use arcplunge_core::case::settings::Difference;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::compare::relative;

/// A fill that moves less than this share of itself is not worth mentioning.
const FILL_NOTED: f64 = 0.01;

/// Nor an arc's energy that moves less than this.
const ENERGY_NOTED: f64 = 0.03;

/// What helps: for faults what practice says, for changed keys what undoes the change and what else there is.
pub fn remedy(base: &Assessment, v: &Assessment) -> Vec<String> {
    let mut out: Vec<String> = v.faults.iter().map(|f| f.remedy.clone()).collect();
    let back = brought_back(base, v);
    if !v.faults.is_empty() {
        let offsets = v.shot.verdict == Some(Verdict::Sound) && base.shot.verdict != v.shot.verdict;
        out.extend(back.map(|back| match offsets {
            true => format!(
                "Here the fault makes up for what is wrong without it: with this remedy, {back}. Mend that too; `arcplunge \
                 fire` says what helps."
            ),
            false => format!("With this remedy, {back}."),
        }));
    } else if worse(base, v) {
        let undo: Vec<String> = v.changes.iter().map(undo).collect();
        let back = back.map_or(String::new(), |back| format!(": {back}"));
        out.push(format!("Undo the change ({}){back}.", undo.join("; ")));
        if v.shot.verdict != base.shot.verdict {
            out.extend(tried(&v.case, &v.remedies));
        }
    }
    out
}

/// The variation lost the base's sound weld, or most of its reserve.
fn worse(base: &Assessment, v: &Assessment) -> bool {
    let sound = Some(Verdict::Sound);
    (base.shot.verdict == sound && v.shot.verdict != sound)
        || reserve(Some(base), v).is_some_and(|r| r.fell)
}

fn undo(d: &Difference) -> String {
    match (&d.from, &d.to) {
        (Some(from), Some(_)) => format!("{}: back to {from}", d.key),
        (Some(_), None) => format!("restore {}", d.key),
        _ => format!("remove {}", d.key),
    }
}

/// Verdict, fill and joules of the arc as the base has them; none where nothing moved.
fn brought_back(base: &Assessment, v: &Assessment) -> Option<String> {
    let (a, b) = (&base.shot.figures, &v.shot.figures);
    let word = |s: &Assessment| s.shot.verdict.map_or("discharge test", Verdict::name);
    let mut parts = Vec::new();
    let mut part =
        |name: &str, from: Option<f64>, to: Option<f64>, least, text: fn(f64) -> String| match (
            from, to,
        ) {
            (Some(from), Some(to))
                if relative(Some(from), Some(to)).is_some_and(|m| m.abs() >= least) =>
            {
                parts.push(format!("{name} {} instead of {}", text(from), text(to)));
            }
            (Some(from), None) => parts.push(format!("{name} {} instead of none", text(from))),
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
    let same = base.shot.verdict == v.shot.verdict;
    if same && parts.is_empty() {
        return None;
    }
    let again = if same {
        format!("the weld stays {}", word(base))
    } else {
        format!("the weld is {} again", word(base))
    };
    parts.insert(0, again);
    Some(parts.join(", "))
}
