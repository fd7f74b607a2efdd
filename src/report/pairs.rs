//! What is not judged of a pair of metals, in words that stand near the verdict.

use arcplunge_core::case::Case;
use arcplunge_core::case::pairs::{is_aluminium, is_usual, of};

/// Of metals that are seldom welded on each other.
pub const UNUSUAL: &str = "Not a usual pair: the compatibility of these metals is not judged; melt that fills \
the wedge is not yet a joint.";

/// Of aluminium alloys.
pub const ALUMINIUM: &str = "Aluminium: oxide and pores are not judged.";

/// What is not judged of a stud of one metal on a sheet of another.
pub fn remarks(stud: &str, sheet: &str) -> Vec<&'static str> {
    let unusual = (!is_usual(stud, sheet)).then_some(UNUSUAL);
    let aluminium = [stud, sheet]
        .into_iter()
        .any(is_aluminium)
        .then_some(ALUMINIUM);
    unusual.into_iter().chain(aluminium).collect()
}

/// The same of a case; of a discharge test nothing is judged.
pub fn remarks_of(case: &Case) -> Vec<&'static str> {
    let (stud, sheet) = of(case);
    match case.stud.short_resistance {
        None => remarks(stud, sheet),
        Some(_) => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_said_where_it_holds() {
        assert!(remarks("mild steel", "mild steel").is_empty());
        assert_eq!(remarks("copper", "mild steel"), [UNUSUAL]);
        assert_eq!(
            remarks("mild steel", "aluminium Mg alloy"),
            [UNUSUAL, ALUMINIUM]
        );
        let aluminium = "aluminium Mg alloy";
        assert_eq!(remarks(aluminium, aluminium), [ALUMINIUM]);
    }
}
