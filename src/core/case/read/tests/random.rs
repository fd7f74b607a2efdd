//! Whatever is thrown at the reader, it answers and does not panic.

use proptest::prelude::*;

use super::super::*;
use super::WHOLE;
use crate::case::check::check;

/// Reads and, if it is wrong, renders the answer both ways.
fn survive(text: &str, sets: &[String]) -> Result<(), TestCaseError> {
    match read_text("case.toml", text, sets) {
        Ok(resolved) => prop_assert!(check(&resolved.case).is_empty()),
        Err(told) => {
            prop_assert!(!told.problems.is_empty());
            prop_assert!(told.render(false).starts_with("error: "));
            prop_assert!(told.render(true).contains('\x1b'));
        }
    }
    Ok(())
}

proptest! {
    #[test]
    fn regress_random_bytes_do_not_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        if let Err(told) = read_from("case.toml", &bytes[..], &[]) {
            prop_assert!(told.to_string().starts_with("error: "));
        }
    }

    #[test]
    fn regress_random_text_does_not_panic(text in "\\PC{0,120}", set in "\\PC{0,40}") {
        survive(&text, &[set])?;
    }

    #[test]
    fn regress_damaged_files_do_not_panic(
        cuts in proptest::collection::vec((0_usize..1200, 0_usize..12, "[\\PC\n]{0,6}"), 1..4),
    ) {
        let mut text: Vec<char> = WHOLE.chars().collect();
        for (at, length, patch) in cuts {
            let at = at.min(text.len());
            let end = (at + length).min(text.len());
            text.splice(at..end, patch.chars());
        }
        survive(&text.into_iter().collect::<String>(), &[])?;
    }

    #[test]
    fn regress_files_of_known_words_do_not_panic(
        words in proptest::collection::vec(prop::sample::select(vec![
            "[bank]\n", "[lead]\n", "[[earth]]\n", "[joints]\n", "[stud]\n", "[sheet]\n", "[metal.x]\n",
            "voltage", "length", "clamp", "at", "tool", "size", "metal", "centre_mark", "like", "turns", ".",
            " = ", "\"", "\"5 m\"", "\"loose\"", "5", "nan", "-1e400", "{", "}", "[", "]", ",", "\n", "#", "\u{feff}", "Ω", "\t",
        ]), 0..40),
        set in prop::sample::select(vec![
            "lead.length=12m", "earth.3.at=", "earth.2.at=1m,1m", "stud.size=own", "earth.0=none", "joints.tool={drop=\"1 V\"}",
            "metal.copper.density=1e9 kg/m3", "sheet.centre_mark=none", "stud.short_resistance=0 ohm", "lead.turns=99", "tool.method=gap",
        ]),
    ) {
        survive(&words.concat(), &[set.to_string()])?;
    }
}
