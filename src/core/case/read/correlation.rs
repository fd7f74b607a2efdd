//! The part `[tolerance.correlation]`: keys that scatter together, `"stud.cone" = { "stud.pip_length" = 0.6 }`.

use toml::Spanned;
use toml::de::DeValue;

use super::draft::{Draft, Home};
use super::named::{Each, each_key};
use super::words::{found, number_text};
use crate::case::diagnose::Fault;
use crate::case::keys::{Address, TOLERANCE};
use crate::case::model::Case;
use crate::case::tolerance::{CORRELATION, Correlation, Tolerances};

/// Reads the whole part.
pub(super) fn table(value: &Spanned<DeValue>, home: Home, draft: &mut Draft) {
    keyed(value, home, draft, &mut |first, partners, home, draft| {
        keyed(partners, home, draft, &mut |second, value, home, draft| {
            let spot = home.spot(value);
            match coefficient([&first, &second], value) {
                Ok(coefficient) => {
                    let keys = [first.clone(), second];
                    draft
                        .correlations
                        .push((Correlation { keys, coefficient }, spot));
                }
                Err(fault) => draft.fault(spot, fault),
            }
        });
    });
}

/// Takes each key of a table.
fn keyed(value: &Spanned<DeValue>, home: Home, draft: &mut Draft, each: &mut Each) {
    let DeValue::Table(table) = value.get_ref() else {
        let wrong = Fault::WrongType {
            path: format!("{TOLERANCE}.{CORRELATION}"),
            found: found(value.get_ref()),
            wanted: "a key with its partners, as in \"stud.cone\" = { \"stud.pip_length\" = 0.6 }"
                .into(),
        };
        return draft.fault(home.spot(value), wrong);
    };
    each_key(("", table), home, draft, |_| false, each);
}

fn coefficient(keys: [&Address; 2], value: &Spanned<DeValue>) -> Result<f64, Fault> {
    let text = number_text(value.get_ref());
    let number = text.and_then(|text| text.parse::<f64>().ok());
    match number {
        Some(c) if c > -1.0 && c < 1.0 => Ok(c),
        _ => Err(wrong(
            keys,
            "write a number between -1 and 1, both left out",
        )),
    }
}

fn wrong(keys: [&Address; 2], why: &'static str) -> Fault {
    let [a, b] = keys;
    Fault::Correlation {
        pair: format!("`{a}` and `{b}`"),
        why,
    }
}

/// Takes what was said over into the tolerances of the case; a later word on a pair wins.
pub(super) fn settle(draft: &mut Draft, case: &Case, all: &mut Tolerances) {
    let scattered: Vec<Address> = all
        .of(case)
        .into_iter()
        .chain(all.of_model(case))
        .map(|t| t.address)
        .collect();
    for (one, spot) in std::mem::take(&mut draft.correlations) {
        if let Err(fault) = fits(&one, &scattered) {
            draft.fault(spot, fault);
            continue;
        }
        let same = |other: &Correlation| one.keys.iter().all(|key| other.keys.contains(key));
        all.correlations.retain(|other| !same(other));
        all.correlations.push(one);
    }
}

fn fits(one: &Correlation, scattered: &[Address]) -> Result<(), Fault> {
    let [a, b] = &one.keys;
    if a == b {
        return Err(wrong([a, b], "a key is not correlated with itself"));
    }
    if one.keys.iter().all(|key| scattered.contains(key)) {
        return Ok(());
    }
    Err(wrong(
        [a, b],
        "both must scatter in this case: give each a spread",
    ))
}

#[cfg(test)]
mod tests {
    use crate::case::read::Text;

    fn said(sets: &[&str]) -> String {
        let sets: Vec<String> = sets.iter().map(ToString::to_string).collect();
        Text::default().read(&sets).map_or_else(
            |d| d.render(false),
            |r| format!("{:?}", r.tolerances.correlations),
        )
    }

    #[test]
    fn correlations_are_read_and_what_cannot_be_is_told() {
        let both = "tolerance.correlation={\"stud.cone\"={\"stud.pip_length\"=0.6}}";
        let tables = "tolerance.correlation={stud={cone={stud={pip_length=0.6}}}}";
        assert_eq!(said(&[both]), said(&[tables]));
        assert!(said(&[both]).contains("0.6"));
        for (text, why) in [
            ("={\"stud.cone\"=0.6}", "a key with its partners"),
            (
                "={\"stud.cone\"={\"stud.pip_length\"=1}}",
                "between -1 and 1",
            ),
            ("={\"stud.cone\"={\"stud.cone\"=0.1}}", "with itself"),
            (
                "={\"stud.cone\"={\"bank.capacitance\"=0.1}}",
                "both must scatter",
            ),
            ("={\"stud.con\"={\"stud.pip_length\"=0.1}}", "stud.con"),
            ("={\"stud.cone\"={\"stud.size\"=0.1}}", "not a number"),
            ("={", "error"),
        ] {
            let said = said(&[&format!("tolerance.correlation{text}")]);
            assert!(said.contains(why), "{text}: {said}");
        }
        for (set, why) in [
            ("tolerance.batch_size=1", "number of studs"),
            (
                "tolerance.stud.cone={spread=\"0.2 deg\", batch=\"0.3 deg\"}",
                "larger",
            ),
            (
                "tolerance.stud.cone={spread=\"0.2 deg\", shape=\"uniform\", batch=\"0.1 deg\"}",
                "only a normal",
            ),
        ] {
            let said = said(&[set]);
            assert!(said.contains(why), "{set}: {said}");
        }
    }
}
