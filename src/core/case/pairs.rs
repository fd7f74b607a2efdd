//! Metals commonly welded on each other by capacitor discharge.

use super::model::Case;

/// Usual pairs, stud first. Common practice, no source; the table of combinations in ISO 14555 decides.
pub const USUAL: [(&str, &str); 9] = [
    ("mild steel", "mild steel"),
    ("mild steel", "stainless 18/8"),
    ("stainless 18/8", "mild steel"),
    ("stainless 18/8", "stainless 18/8"),
    ("aluminium Mg alloy", "aluminium Mg alloy"),
    ("brass 63/37", "mild steel"),
    ("brass 63/37", "brass 63/37"),
    ("brass 63/37", "copper"),
    ("copper", "copper"),
];

/// Whether a stud of one metal is usual on a sheet of another; a metal on itself always is.
pub fn is_usual(stud: &str, sheet: &str) -> bool {
    stud == sheet || USUAL.contains(&(stud, sheet))
}

/// Whether a name is that of an aluminium alloy.
pub fn is_aluminium(metal: &str) -> bool {
    let name = metal.to_lowercase();
    name.contains("aluminium") || name.contains("aluminum")
}

/// Whether a name is that of a steel.
pub fn is_steel(metal: &str) -> bool {
    let name = metal.to_lowercase();
    name.contains("steel") || name.contains("stainless")
}

/// Names of the metals of a case, stud first.
pub fn of(case: &Case) -> (&str, &str) {
    (&case.stud.metal.name, &case.sheet.metal.name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::catalogue;

    #[test]
    fn every_pair_is_of_the_catalogue() {
        for (stud, sheet) in USUAL {
            assert!(catalogue::find_metal(stud).is_some(), "{stud}");
            assert!(catalogue::find_metal(sheet).is_some(), "{sheet}");
        }
        let aluminium = catalogue::metal_names()
            .into_iter()
            .filter(|n| is_aluminium(n));
        assert_eq!(aluminium.count(), 1);
    }

    #[test]
    fn the_other_way_round_is_another_pair() {
        assert!(is_usual("brass 63/37", "copper") && !is_usual("copper", "brass 63/37"));
        assert!(is_usual("our alloy", "our alloy") && !is_usual("our alloy", "mild steel"));
    }
}
