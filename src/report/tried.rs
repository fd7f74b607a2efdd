//! What was tried to help a weld, in a sentence: settings that make it sound, and how surely.

use super::cautions::charging;
use super::format::trimmed;
use arcplunge_core::case::Case;
use arcplunge_core::study::remedy::{Remedies, Tried};

/// What was tried: single settings that make the weld sound, or that none does; and what to check before one is set.
pub fn tried(case: &Case, remedies: &Remedies) -> Option<String> {
    let voltage = lasting(remedies).filter(|t| t.key == "bank.voltage");
    let highest = voltage.filter_map(|t| Some(t.sound?.1));
    let told = [told(remedies)?];
    let check = charging(case, highest).map(String::from);
    Some(told.into_iter().chain(check).collect::<Vec<_>>().join(" "))
}

/// Keys whose sound stretch is worth a setting.
fn lasting(remedies: &Remedies) -> impl Iterator<Item = &Tried> {
    let tried = remedies.tried.iter();
    tried.filter(|t| t.sound.is_some() && !t.middle.is_some_and(|m| m.is_hardly_sound()))
}

fn told(remedies: &Remedies) -> Option<String> {
    let turned = remedies.tried.split_last();
    if turned.is_none() && !remedies.laborious {
        return remedies.tight_joints.then(|| {
            "With every joint tight the weld is sound: mend the joint and leave the settings as they are. One that \
             makes up for it now is wrong once the joint is tight."
                .into()
        });
    }
    let mut help: Vec<String> = lasting(remedies).filter_map(helps).collect();
    if remedies.tight_joints {
        help.insert(0, "with every joint tight".into());
    }
    if remedies.shorter_leads {
        help.push("with all leads half as long".into());
    }
    if remedies.laborious {
        let found = help
            .first()
            .map_or(String::new(), |_| format!("Sound {}. ", help.join("; ")));
        return Some(format!(
            "{found}Not all settings nearby were tried, as shots of this case take long; `arcplunge dial` looks for them."
        ));
    }
    if !help.is_empty() {
        return Some(format!("Tried one at a time: sound {}.", help.join("; ")));
    }
    let by_luck: Vec<String> = remedies.tried.iter().filter_map(helps).collect();
    let (last, others) = turned?;
    let none = match by_luck.is_empty() {
        true => {
            let others: Vec<String> = others.iter().map(range).collect();
            format!(
                "neither {} nor {} makes it sound",
                others.join(", "),
                range(last)
            )
        }
        false => format!("hardly sound {}", by_luck.join("; ")),
    };
    Some(format!(
        "Tried one at a time: {none}. `arcplunge dial` varies two at once."
    ))
}

/// "voltage (61.9 to 203 V)".
fn range(t: &Tried) -> String {
    let (name, _, unit, scale) = words(t.key);
    let (low, high) = t.range;
    format!(
        "{name} ({} to {} {unit})",
        trimmed(low * scale),
        trimmed(high * scale)
    )
}

/// "from 119 to 138 V instead of 112 V (in 121 of 128 shots of its band at 128 V)"; "from 193 to 448 V or more" where no
/// higher one was tried.
fn helps(t: &Tried) -> Option<String> {
    let (_, with, unit, scale) = words(t.key);
    let sound = t.sound?;
    let [low, high, now] = [sound.0, sound.1, t.now].map(|v| trimmed(v * scale));
    let mut values = match low == high {
        true => format!("at {low} {unit}"),
        false => format!("from {low} to {high} {unit}"),
    };
    values += match t.open {
        [true, true] => " and beyond",
        [true, false] => " or less",
        [false, true] => " or more",
        [false, false] => "",
    };
    let surely = t.middle.map_or(String::new(), |m| {
        let (sound, shots, at) = (m.sound, m.shots, trimmed(m.value * scale));
        format!(" (in {sound} of {shots} shots of its band at {at} {unit})")
    });
    Some(format!("{with}{values} instead of {now} {unit}{surely}"))
}

/// A key that is tried as people say it, with its unit and what an SI value is multiplied by.
fn words(key: &str) -> (&'static str, &'static str, &'static str, f64) {
    match key {
        "bank.voltage" => ("voltage", "", "V", 1.0),
        "tool.lift" => ("lift", "with a lift ", "mm", 1e3),
        _ => ("spring force", "with a spring ", "N", 1.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::study::remedy::Middle;

    fn turned(key: &'static str, sound: usize) -> Tried {
        Tried {
            key,
            now: 100.0,
            range: (50.0, 200.0),
            sound: Some((110.0, 120.0)),
            open: [false; 2],
            middle: Some(Middle {
                value: 115.0,
                sound,
                shots: 128,
            }),
        }
    }

    #[test]
    fn a_window_sound_by_luck_is_left_out_beside_a_surer_one() {
        let remedies = Remedies {
            tried: vec![turned("bank.voltage", 5), turned("tool.spring_force", 100)],
            ..Remedies::default()
        };
        assert_eq!(
            tried(&Case::default(), &remedies).unwrap(),
            "Tried one at a time: sound with a spring from 110 to 120 N instead of 100 N (in 100 of 128 shots of its band \
             at 115 N)."
        );
    }
}
