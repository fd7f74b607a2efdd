//! The tool of either method on one rig.

use crate::case::Case;
use crate::case::catalogue::gap_tool;
use crate::case::model::{Method, Tool};

/// The tool with which the rig of a case welds by this method: its own; by the other method what it has of the usual
/// figures of its own method gives way to those of the other. The spring force is the chart's to set.
pub fn tool(base: &Case, method: Method) -> Tool {
    let mut tool = base.tool.clone();
    if method == tool.method {
        return tool;
    }
    tool.method = method;
    let (contact, gap) = (Case::default().tool, gap_tool());
    let pairs = [
        (&mut tool.lift, contact.lift, gap.lift),
        (&mut tool.moving_mass, contact.moving_mass, gap.moving_mass),
        (&mut tool.spring_rate, contact.spring_rate, gap.spring_rate),
    ];
    for (figure, contact, gap) in pairs {
        let [usual, other] = match method {
            Method::Gap => [contact, gap],
            Method::Contact => [gap, contact],
        };
        if *figure == usual {
            *figure = other;
        }
    }
    tool
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::keys::set_text;

    fn case(sets: &[(&str, &str)]) -> Case {
        let mut case = Case::default();
        for (key, text) in sets {
            set_text(&mut case, key, text).unwrap();
        }
        case
    }

    #[test]
    fn the_other_method_has_its_usual_tool_but_for_what_was_given() {
        let by_gap = tool(&Case::default(), Method::Gap);
        let usual = gap_tool();
        assert_eq!(
            [by_gap.lift, by_gap.moving_mass, by_gap.spring_rate],
            [usual.lift, usual.moving_mass, usual.spring_rate]
        );
        assert_eq!(by_gap.method, Method::Gap);
        // What the case gives stays.
        let given = case(&[("tool.lift", "1 mm"), ("tool.moving_mass", "180 g")]);
        let by_gap = tool(&given, Method::Gap);
        assert_eq!([by_gap.lift, by_gap.moving_mass], [1e-3, 0.18]);
        assert_eq!(by_gap.spring_rate, usual.spring_rate);
        // And back again.
        let mut gap = Case::default();
        gap.tool = tool(&gap, Method::Gap);
        assert_eq!(tool(&gap, Method::Contact), Case::default().tool);
        assert_eq!(tool(&gap, Method::Gap), gap.tool);
    }
}
