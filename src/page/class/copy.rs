//! A phone's own copy: the trainer's weld with one value of the control that is offered.

use crate::controls::Control;
use arcplunge_core::case::model::Case;

/// The overrides that put a control at a value; it stands for every earth lead where its key says so.
///
/// # Errors
/// In words, when it is not a number in the control's unit between the slider's ends, nor one of its words.
pub fn overrides(control: &Control, case: &Case, value: &str) -> Result<Vec<String>, String> {
    let value = control.within(value).ok_or_else(|| {
        let key = control.key();
        format!("error: {key}: expected a value between the ends of the slider\n")
    })?;
    let keys: Vec<String> = match control.key().split_once(".N.") {
        Some((lead, name)) => (0..case.earths.len())
            .map(|k| format!("{lead}.{k}.{name}"))
            .collect(),
        None => vec![control.key().to_string()],
    };
    Ok(keys.iter().map(|key| format!("{key}={value}")).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::controls::{self, by_key};
    use arcplunge_core::case::read::demonstration;

    fn tried(key: &str, value: &str) -> Result<Vec<String>, String> {
        overrides(&by_key(key).unwrap(), &Case::default(), value)
    }

    #[test]
    fn a_value_between_the_ends_is_taken_and_no_other() {
        assert_eq!(tried("lead.length", "12 m").unwrap(), ["lead.length=12 m"]);
        assert_eq!(tried("lead.length", "12").unwrap(), ["lead.length=12 m"]);
        assert_eq!(tried("lead.turns", "3").unwrap(), ["lead.turns=3"]);
        assert_eq!(tried("joints.tool", "worn").unwrap(), ["joints.tool=worn"]);
        assert_eq!(tried("sheet.centre_mark", "none").unwrap().len(), 1);
        let all = tried("earth.N.length", "7 m").unwrap();
        assert_eq!(all, ["earth.0.length=7 m", "earth.1.length=7 m"]);
        for (key, value) in [
            ("lead.length", "0.9 m"),
            ("lead.length", "31 m"),
            ("lead.length", "12 cm"),
            ("lead.length", "12 m\nbank.voltage = 1"),
            ("lead.length", "12 m\" }"),
            ("lead.length", "NaN"),
            ("lead.length", "inf"),
            ("lead.length", "none"),
            ("lead.length", ""),
            ("joints.tool", "welded"),
            ("joints.tool", "11 mohm"),
            ("joints.tool", "-1"),
        ] {
            assert!(tried(key, value).is_err(), "{key}={value}");
        }
    }

    #[test]
    fn every_slider_can_be_tried_at_its_ends() {
        let long = "lead.length=30 m".to_string();
        let mut count = 0;
        for control in controls::all().into_iter().filter(Control::slides) {
            for end in control.ends() {
                let mark = control.key() == "sheet.centre_mark" && end == 0.0;
                let value = if mark { "none".into() } else { end.to_string() };
                let sets = overrides(&control, &Case::default(), &value).unwrap();
                let all: Vec<String> = [long.clone()].into_iter().chain(sets).collect();
                demonstration(&all).unwrap_or_else(|e| panic!("{all:?}: {}", e.render(false)));
                count += 1;
            }
        }
        assert!(count > 40, "{count}");
    }
}
