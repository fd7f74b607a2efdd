//! What is not judged of a pair of metals, in words that stand near the verdict.

use arcplunge_core::case::Case;
use arcplunge_core::case::model::Method;
use arcplunge_core::case::pairs::{is_aluminium, is_steel, is_usual, of};

/// Of metals that are seldom welded on each other.
pub const UNUSUAL: &str = "Not a usual pair: the compatibility of these metals is not judged; melt that fills \
the wedge is not yet a joint.";

/// Of aluminium alloys.
pub const ALUMINIUM: &str = "Aluminium: oxide and pores are not judged.";

/// Of aluminium alloys that are welded without a gap.
pub const CONTACT: &str = "Aluminium is usually welded with a gap (common practice, no source).";

/// What is not judged of a stud of one metal on a sheet of another, or is not usual.
pub fn remarks(stud: &str, sheet: &str, method: Method) -> Vec<&'static str> {
    let aluminium = [stud, sheet].into_iter().any(is_aluminium);
    let all = [
        (!is_usual(stud, sheet), UNUSUAL),
        (aluminium, ALUMINIUM),
        (aluminium && method == Method::Contact, CONTACT),
    ];
    let said = all.into_iter().filter(|(holds, _)| *holds);
    said.map(|(_, words)| words).collect()
}

/// Whether all metals of a case are steels, whose polarity is settled by use.
pub fn is_settled(case: &Case) -> bool {
    let (stud, sheet) = of(case);
    is_steel(stud) && is_steel(sheet)
}

/// The same of a case; of a discharge test nothing is judged.
pub fn remarks_of(case: &Case) -> Vec<&'static str> {
    let (stud, sheet) = of(case);
    match case.stud.short_resistance {
        None => remarks(stud, sheet, case.tool.method),
        Some(_) => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_said_where_it_holds() {
        let contact = |stud, sheet| remarks(stud, sheet, Method::Contact);
        assert!(contact("mild steel", "mild steel").is_empty());
        assert_eq!(contact("copper", "mild steel"), [UNUSUAL]);
        assert_eq!(
            remarks("mild steel", "aluminium Mg alloy", Method::Gap),
            [UNUSUAL, ALUMINIUM]
        );
        let aluminium = "aluminium Mg alloy";
        assert_eq!(remarks(aluminium, aluminium, Method::Gap), [ALUMINIUM]);
        assert_eq!(contact(aluminium, aluminium), [ALUMINIUM, CONTACT]);
    }

    #[test]
    fn only_steels_have_a_settled_polarity() {
        let pair = |stud: &str, sheet: &str| {
            let mut case = Case::default();
            case.set("stud.metal", stud).unwrap();
            case.set("sheet.metal", sheet).unwrap();
            is_settled(&case)
        };
        assert!(pair("mild steel", "stainless 18/8") && pair("stainless 18/8", "mild steel"));
        assert!(!pair("brass 63/37", "mild steel") && !pair("mild steel", "aluminium"));
    }
}
