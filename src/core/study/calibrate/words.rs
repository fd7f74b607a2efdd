//! What is seen on a test weld, in the trade's words.

use crate::case::keys::nearest;
use crate::case::quantity::{Dimension, parse};
use crate::simulation::holds::BEND_TEST;

/// The melt that shows round the rim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Witness {
    /// All round.
    Full,
    /// Not all round, nor is it said where.
    Part,
    /// Nowhere.
    None,
    /// It is missing clockwise between two hours of the clock, each above 0 and at most 12.
    Missing(f64, f64),
}

impl Witness {
    const WORDS: [(&str, Witness); 3] = [
        ("full", Witness::Full),
        ("part", Witness::Part),
        ("none", Witness::None),
    ];

    /// Its word; that of missing hours is `part`.
    pub fn name(self) -> &'static str {
        match self {
            Witness::Missing(..) => "part",
            other => name_of(other, Witness::WORDS),
        }
    }

    /// Share of the rim that is missing, and the hour in the middle of it.
    pub fn missing(self) -> Option<(f64, f64)> {
        let Witness::Missing(from, to) = self else {
            return None;
        };
        let long = match (to - from).rem_euclid(12.0) {
            0.0 => 12.0,
            long => long,
        };
        Some((long / 12.0, (from + 0.5 * long).rem_euclid(12.0)))
    }
}

/// Metal thrown round the weld.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spatter {
    /// Hardly any.
    Little,
    /// As usual.
    Some,
    /// Beads all round, or an undercut rim.
    Much,
}

impl Spatter {
    const WORDS: [(&str, Spatter); 3] = [
        ("little", Spatter::Little),
        ("some", Spatter::Some),
        ("much", Spatter::Much),
    ];

    /// Its word.
    pub fn name(self) -> &'static str {
        name_of(self, Spatter::WORDS)
    }
}

/// What gave way in a test to failure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Broke {
    /// The stud.
    Stud,
    /// The weld.
    Weld,
    /// The sheet: a plug came out.
    Sheet,
    /// Nothing.
    Held,
}

/// What became of a stud that was bent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bend {
    /// The weld held.
    Held,
    /// The weld broke at this angle \[rad\].
    Broke(f64),
}

impl Bend {
    /// Whether it counts as held.
    pub fn is_held(self) -> bool {
        match self {
            Bend::Held => true,
            Bend::Broke(angle) => angle >= BEND_TEST.to_radians(),
        }
    }
}

/// What became of a stud that was twisted \[N·m\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Torque {
    /// It failed at this torque.
    Failed(f64),
    /// It was proved to this torque.
    Held(f64),
}

/// Back face of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Back {
    /// No trace.
    Clean,
    /// Temper colours, or a scorched coating.
    Coloured,
    /// A dent or a bulge.
    Dented,
    /// A hole.
    Holed,
}

/// Why a cell is no such observation, and the word that was probably meant.
#[derive(Debug, Clone, PartialEq)]
pub struct NoWord {
    /// In words.
    pub why: String,
    /// The nearest word.
    pub nearest: Option<String>,
}

fn no(cell: &str, wanted: &str, nearest: Option<&str>) -> NoWord {
    let cell: String = cell.chars().take(40).collect();
    NoWord {
        why: format!("`{cell}`: expected {wanted}"),
        nearest: nearest.map(String::from),
    }
}

/// The word of a value among its words.
fn name_of<T: PartialEq, const N: usize>(value: T, words: [(&'static str, T); N]) -> &'static str {
    let found = words.into_iter().find(|(_, other)| *other == value);
    found.map_or("", |(word, _)| word)
}

/// One of some words and nothing else.
fn word<T: Copy, const N: usize>(cell: &str, words: [(&'static str, T); N]) -> Result<T, NoWord> {
    let names = words.map(|(word, _)| word);
    let wanted = match names.as_slice() {
        [others @ .., last] => format!("{} or {last}", others.join(", ")),
        [] => String::new(),
    };
    one_of(cell, words, &wanted)
}

/// One of some words, or another form of what is wanted; case does not matter.
fn one_of<T: Copy, const N: usize>(
    cell: &str,
    words: [(&'static str, T); N],
    wanted: &str,
) -> Result<T, NoWord> {
    let plain = cell.to_lowercase();
    let found = words.iter().find(|(word, _)| *word == plain);
    found
        .map(|(_, value)| *value)
        .ok_or_else(|| no(cell, wanted, nearest(&plain, words.map(|(word, _)| word))))
}

/// An hour of the clock: `6:30`, `6.5`, `6`.
fn hour(text: &str) -> Option<f64> {
    let hour = match text.trim().split_once(':') {
        None => text.trim().parse().ok()?,
        Some((hour, minute)) => {
            let (hour, minute): (f64, f64) = (hour.parse().ok()?, minute.parse().ok()?);
            if hour.fract() != 0.0 || !(0.0..60.0).contains(&minute) {
                return None;
            }
            hour + minute / 60.0
        }
    };
    (0.0..13.0).contains(&hour).then_some(match hour {
        hour if hour < 1.0 => hour + 12.0,
        hour => hour,
    })
}

/// `full`, `part`, `none` or missing hours such as `6:30-11:30`.
///
/// # Errors
/// When the cell is nothing of it.
pub fn witness(cell: &str) -> Result<Witness, NoWord> {
    let wanted = "full, part, none, or the hours where it is missing, such as 6:30-11:30";
    let hours = cell.split_once(['-', '–']);
    if let Some((from, to)) = hours.and_then(|(from, to)| Some((hour(from)?, hour(to)?))) {
        return Ok(Witness::Missing(from, to));
    }
    one_of(cell, Witness::WORDS, wanted)
}

/// `little`, `some` or `much`.
///
/// # Errors
/// When the cell is nothing of it.
pub fn spatter(cell: &str) -> Result<Spatter, NoWord> {
    word(cell, Spatter::WORDS)
}

/// `stud`, `weld`, `sheet` or `held`.
///
/// # Errors
/// When the cell is nothing of it.
pub fn broke(cell: &str) -> Result<Broke, NoWord> {
    let words = [
        ("stud", Broke::Stud),
        ("weld", Broke::Weld),
        ("sheet", Broke::Sheet),
        ("held", Broke::Held),
    ];
    word(cell, words)
}

/// `clean`, `coloured`, `dented` or `holed`.
///
/// # Errors
/// When the cell is nothing of it.
pub fn back(cell: &str) -> Result<Back, NoWord> {
    let words = [
        ("clean", Back::Clean),
        ("coloured", Back::Coloured),
        ("dented", Back::Dented),
        ("holed", Back::Holed),
    ];
    word(cell, words)
}

/// `held`, or `broke 20 deg`.
///
/// # Errors
/// When the cell is nothing of it.
pub fn bend(cell: &str) -> Result<Bend, NoWord> {
    let wanted = "held, broke, or the angle at which it broke, such as broke 20 deg";
    let plain = cell.to_lowercase();
    if let Some(angle) = plain.strip_prefix("broke ") {
        let angle = angle.trim_start_matches("at ");
        return match parse(angle, Dimension::Angle) {
            Ok(angle) if angle >= 0.0 => Ok(Bend::Broke(angle)),
            _ => Err(no(cell, wanted, None)),
        };
    }
    one_of(
        cell,
        [("held", Bend::Held), ("broke", Bend::Broke(0.0))],
        wanted,
    )
}

/// Torques are written in these; all mean N·m.
const NEWTON_METRES: [&str; 4] = ["Nm", "N m", "N*m", "N·m"];

/// A torque \[N·m\]: `12 Nm` at failure, `held 10 Nm` where it was proved; without a unit where the head has it.
///
/// # Errors
/// When the cell is nothing of it.
pub fn torque(cell: &str, unit: Option<&str>) -> Result<Torque, NoWord> {
    let wanted = "the torque at failure such as 12 Nm, or held 12 Nm";
    let held = ["held ", "held at ", ">"];
    let proved = held.iter().rev().find_map(|word| cell.strip_prefix(word));
    let text = proved.unwrap_or(cell).trim();
    let with_unit = NEWTON_METRES
        .iter()
        .find_map(|unit| text.strip_suffix(unit));
    let of_head = unit.is_some_and(|unit| NEWTON_METRES.contains(&unit));
    let number = match (with_unit, of_head) {
        (Some(number), _) => number,
        (None, true) => text,
        (None, false) => return Err(no(cell, wanted, None)),
    };
    let torque = number.trim().parse::<f64>().ok();
    match torque.filter(|torque| *torque > 0.0 && torque.is_finite()) {
        Some(torque) if proved.is_some() => Ok(Torque::Held(torque)),
        Some(torque) => Ok(Torque::Failed(torque)),
        None => Err(no(cell, wanted, None)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_read_as_the_trade_writes_them() {
        assert_eq!(witness("Full"), Ok(Witness::Full));
        assert_eq!(witness("6:30-11:30"), Ok(Witness::Missing(6.5, 11.5)));
        assert_eq!(witness("0:15 – 3").unwrap(), Witness::Missing(12.25, 3.0));
        assert_eq!(bend("held"), Ok(Bend::Held));
        assert!(matches!(bend("broke at 20 deg"), Ok(Bend::Broke(a)) if (a - 0.349).abs() < 1e-3));
        assert!(bend("broke 30 deg").unwrap().is_held() && !bend("broke").unwrap().is_held());
        assert_eq!(torque("12.5 Nm", None), Ok(Torque::Failed(12.5)));
        assert_eq!(torque("held 10", Some("Nm")), Ok(Torque::Held(10.0)));
        assert_eq!(torque("held at 10 N m", None), Ok(Torque::Held(10.0)));
    }

    #[test]
    fn missing_hours_run_clockwise() {
        let missing = |text| witness(text).unwrap().missing().unwrap();
        assert_eq!(missing("6:30-11:30"), (5.0 / 12.0, 9.0));
        assert_eq!(missing("11-1"), (2.0 / 12.0, 0.0));
        assert_eq!(missing("10-2"), (4.0 / 12.0, 0.0));
        assert_eq!(Witness::Full.missing(), None);
    }

    #[test]
    fn a_wrong_word_is_answered_with_the_nearest() {
        assert_eq!(witness("ful").unwrap_err().nearest.as_deref(), Some("full"));
        assert_eq!(
            spatter("littel").unwrap_err().nearest.as_deref(),
            Some("little")
        );
        assert_eq!(
            back("colored").unwrap_err().nearest.as_deref(),
            Some("coloured")
        );
        for wrong in [
            witness("6:70-9").unwrap_err(),
            witness("14-3").unwrap_err(),
            bend("broke 20 mm").unwrap_err(),
            torque("12", None).unwrap_err(),
            torque("-3 Nm", None).unwrap_err(),
        ] {
            assert!(wrong.why.contains("expected"), "{wrong:?}");
        }
    }
}
