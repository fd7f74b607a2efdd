//! Numbers as marks of the knob or tool on which they are set.

use super::format::significant;
use arcplunge_core::case::Case;
use arcplunge_core::case::keys::{self, Key};

/// The mark of a value, to a tenth, on a fine scale to a whole one; "off" outside the scale, `None`
/// without one.
pub fn mark(case: &Case, path: &str, value: f64) -> Option<String> {
    let scale = keys::scale_of(case, path)?;
    Some(match scale.mark(value) {
        Some(mark) if scale.step() >= 1.0 => format!("{mark:.0}"),
        Some(mark) => format!("{mark:.1}"),
        None => "off".into(),
    })
}

/// What stands beside a value: ", mark 3.0", ", outside the scale from 40 N to 120 N"; beside a mark
/// the number it stands for; nothing without a scale.
pub fn beside(case: &Case, path: &str, value: f64) -> String {
    let Some((key, place)) = keys::mark_of(path) else {
        return String::new();
    };
    let Some(scale) = place.scale(case) else {
        return String::new();
    };
    let number = keys::by_path(place.number).and_then(Key::number);
    let text = |value: f64| {
        let rounded = significant(value, 4).parse().unwrap_or(value);
        number.map_or(String::new(), |n| n.text(rounded))
    };
    if key.path == path {
        return scale
            .value(value)
            .map_or(", outside the scale".into(), |v| format!(", {}", text(v)));
    }
    match mark(case, path, value) {
        Some(mark) if mark != "off" => format!(", mark {mark}"),
        _ => {
            let [low, high] = scale.values();
            format!(", outside the scale from {} to {}", text(low), text(high))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::scale::Scale;

    #[test]
    fn a_value_stands_beside_its_mark() {
        let mut case = Case::default();
        assert_eq!(beside(&case, "tool.spring_force", 80.0), "");
        case.tool.scale = Scale::new(vec![[1.0, 40.0], [5.0, 120.0]]).ok();
        assert_eq!(beside(&case, "tool.spring_force", 80.0), ", mark 3.0");
        assert_eq!(
            beside(&case, "tool.spring_force", 130.0),
            ", outside the scale from 40 N to 120 N"
        );
        assert_eq!(beside(&case, "tool.spring_mark", 3.5), ", 90 N");
        assert_eq!(beside(&case, "bank.voltage", 100.0), "");
        case.bank.scale = Scale::new(vec![[0.0, 40.0], [100.0, 200.0]]).ok();
        assert_eq!(beside(&case, "bank.voltage", 112.0), ", mark 45");
    }
}
