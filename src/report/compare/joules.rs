//! Causes that moved joules: joints that burn, and what the bank held.

use crate::format::{engineering, listed, milliseconds, percent, significant};
use crate::joints::since;
use crate::quantity::signed;
use arcplunge_core::simulation::joints::{JointHeat, Spot, joints};
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::compare::relative;

/// An element that gains less than this share of the bank is not worth mentioning.
pub const GAINED: f64 = 0.01;

/// A cause that moved joules.
struct Cause {
    /// How many \[J\].
    joules: f64,
    /// Whether it is worth a word beside others.
    counts: bool,
    words: String,
}

/// The causes as sentences, those that moved most joules first; behind them those that are worth a word only where there is
/// no other.
pub fn causes(base: &Assessment, v: &Assessment) -> [Vec<String>; 2] {
    let mut all = burning(base, v);
    all.extend(bank(&base.shot, &v.shot));
    all.sort_by(|a, b| b.joules.total_cmp(&a.joules));
    let (told, slight): (Vec<Cause>, Vec<Cause>) = all.into_iter().partition(|c| c.counts);
    [told, slight].map(|causes| causes.into_iter().map(|c| c.words).collect())
}

/// Joints that burn and did not burn so in the base, those alike together.
fn burning(base: &Assessment, v: &Assessment) -> Vec<Cause> {
    let before = joints(&base.rig, &base.shot);
    let stored = v.shot.figures.stored_energy_J;
    let mut hot: Vec<JointHeat> = joints(&v.rig, &v.shot);
    hot.sort_by(|a, b| b.energy_J.total_cmp(&a.energy_J));
    let mut alike: Vec<(Vec<String>, Cause)> = Vec::new();
    for j in hot {
        let was = before.iter().find(|b| b.key == j.key);
        let gained = j.energy_J - was.map_or(0.0, |b| b.energy_J);
        let worse = was.is_none_or(|b| b.spot < j.spot);
        if j.spot == Spot::Cool || !(gained > GAINED * stored || worse) {
            continue;
        }
        let words = burns(&j, stored);
        match alike.iter_mut().find(|(_, cause)| cause.words == words) {
            Some((names, cause)) => {
                names.push(j.name.to_string());
                cause.joules += gained;
            }
            None => {
                let cause = Cause {
                    joules: gained,
                    counts: gained > GAINED * stored || matches!(j.spot, Spot::Melts | Spot::Parts),
                    words,
                };
                alike.push((vec![j.name.to_string()], cause));
            }
        }
    }
    let told = |(names, cause): (Vec<String>, Cause)| Cause {
        words: {
            let each = if names.len() > 1 { "each " } else { "" };
            format!("The {} {each}{}", listed(&names), cause.words)
        },
        ..cause
    };
    alike.into_iter().map(told).collect()
}

/// What a joint did, after its name.
fn burns(j: &JointHeat, stored: f64) -> String {
    let heat = format!(
        "turned {} into heat, {} of the bank; its contact reached {} V",
        engineering(j.energy_J, "J"),
        percent(j.energy_J / stored),
        significant(j.peak_V, 2),
    );
    match (j.spot, j.melts_from_s) {
        (Spot::Melts, from) => {
            let since = from.map_or(String::new(), |_| format!(" from {} on", since(j)));
            format!("{heat}, at which {} melts: it is molten{since}.", j.metal)
        }
        (Spot::Parts, _) => match j.parts_s {
            Some(t) => format!(
                "{heat}: the current forced it apart at {}.",
                milliseconds(t)
            ),
            None => format!("{heat}: it is apart from the start."),
        },
        _ => format!(
            "{heat}; {} softens at {} V and melts at {} V.",
            j.metal, j.softening_V, j.melting_V
        ),
    }
}

fn bank(base: &Shot, other: &Shot) -> Option<Cause> {
    let (from, to) = (base.figures.stored_energy_J, other.figures.stored_energy_J);
    let moved = relative(Some(from), Some(to))?;
    (moved.abs() >= 1e-3).then(|| Cause {
        joules: (to - from).abs(),
        counts: true,
        words: format!(
            "The bank held {} instead of {} ({}).",
            engineering(to, "J"),
            engineering(from, "J"),
            signed(moved * 100.0, "%")
        ),
    })
}
