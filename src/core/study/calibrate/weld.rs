//! Test welds: how each was set, and what was seen on it.

use std::io::Read;

use super::course::{Arc, Course};
use super::words::{self, Back, Bend, Broke, NoWord, Spatter, Torque, Witness};
use crate::case::Case;
use crate::case::quantity::{Dimension, parse, short};
use crate::simulation::fire::Settings;
use crate::study::design::{Aside, Design, DesignError};
use crate::study::fit::trace::Trace;

/// Columns of what is seen.
pub const COLUMNS: [&str; 10] = [
    "witness",
    "spatter",
    "broke",
    "bend",
    "torque",
    "back",
    "arc_time",
    "peak_current",
    "melt",
    "trace",
];

/// Most test welds.
pub const MOST: usize = 1000;

/// Longest arc \[s\] and largest current \[A\] that any weld of this kind may have had.
const LONGEST_ARC: f64 = 1.0;
const LARGEST_CURRENT: f64 = 1e6;

/// What was seen on a weld; nothing of it need be.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Seen {
    /// Melt round the rim.
    pub witness: Option<Witness>,
    /// Metal thrown out.
    pub spatter: Option<Spatter>,
    /// What gave way.
    pub broke: Option<Broke>,
    /// A bend test.
    pub bend: Option<Bend>,
    /// A torque test.
    pub torque: Option<Torque>,
    /// Back face of the sheet.
    pub back: Option<Back>,
    /// From ignition to touchdown \[s\].
    pub arc_time: Option<f64>,
    /// Largest current \[A\].
    pub peak_current: Option<f64>,
    /// Melt on the sheet at touchdown, from a cut \[m\].
    pub melt: Option<f64>,
    /// What an oscilloscope showed.
    pub course: Option<Course>,
}

impl Seen {
    /// The arc that an oscilloscope showed.
    pub fn arc(&self) -> Option<Arc> {
        self.course.and_then(|course| course.arc)
    }

    /// Whether the weld was tested: broken, bent or twisted.
    pub fn is_tested(&self) -> bool {
        self.broke.is_some() || self.bend.is_some() || self.torque.is_some()
    }
}

/// A test weld.
#[derive(Debug, Clone, PartialEq)]
pub struct Weld {
    /// Line of the table, counted from 1.
    pub line: u64,
    /// Which of the cases of [`Welds`] it was welded as.
    pub case: usize,
    /// What was seen.
    pub seen: Seen,
}

/// Test welds of one rig.
#[derive(Debug, Clone, PartialEq)]
pub struct Welds {
    /// Every setting that was welded, once.
    pub cases: Vec<Case>,
    /// The welds, in the order of the table.
    pub welds: Vec<Weld>,
    /// Keys that the table gives, with their unit as in files of SI values.
    pub keys: Vec<String>,
}

impl Welds {
    /// Reads a table (CSV with a head): heads are keys as in [`Design::read`] or columns of [`COLUMNS`]; an empty cell of
    /// these says that nothing was seen. `case` gives `base` with overrides as of `--set`,
    /// `trace` reads a file of an oscilloscope by its name in the table.
    ///
    /// # Errors
    /// By line and column, when a head is nothing of it, a cell no value or word of its column, or a row no case.
    pub fn read(
        table: impl Read,
        base: Case,
        case: impl Fn(&[String]) -> Result<Case, String>,
        trace: impl Fn(&str) -> Result<Trace, String>,
    ) -> Result<Welds, DesignError> {
        let design = Design::read_with(table, base, Settings::default(), &COLUMNS, case)?;
        if design.asides.is_empty() {
            let why = format!(
                "no column says what was seen; expected one of {}",
                COLUMNS.join(", ")
            );
            return Err(DesignError::at(1, why));
        }
        if design.count() > MOST {
            return Err(DesignError::at(1, format!("more than {MOST} test welds")));
        }
        let mut out = Welds {
            cases: Vec::new(),
            welds: Vec::new(),
            keys: design.columns.iter().map(|column| column.name()).collect(),
        };
        for row in 0..design.count() {
            let line = design.asides[0].cells[row].0;
            let case = design.case(row).map_err(|why| DesignError::at(line, why))?;
            let case = match out.cases.iter().position(|other| *other == case) {
                Some(known) => known,
                None => {
                    out.cases.push(case);
                    out.cases.len() - 1
                }
            };
            let mut seen = Seen::default();
            for aside in &design.asides {
                take(&mut seen, aside, row, &out.cases[case], &trace)?;
            }
            out.welds.push(Weld { line, case, seen });
        }
        if out.welds.iter().all(|weld| weld.seen == Seen::default()) {
            let why = "nothing is said of what was seen: every cell of these columns is empty";
            return Err(DesignError::at(1, why));
        }
        Ok(out)
    }
}

/// Takes what stands in a cell.
fn take(
    seen: &mut Seen,
    aside: &Aside,
    row: usize,
    case: &Case,
    trace: &impl Fn(&str) -> Result<Trace, String>,
) -> Result<(), DesignError> {
    let (line, cell) = &aside.cells[row];
    if cell.is_empty() {
        return Ok(());
    }
    let wrong = |e: NoWord| DesignError {
        nearest: e.nearest,
        ..DesignError::of(*line, aside.name, e.why)
    };
    let number = |dimension, most| number(aside, (*line, cell), dimension, most);
    match aside.name {
        "witness" => seen.witness = Some(words::witness(cell).map_err(wrong)?),
        "spatter" => seen.spatter = Some(words::spatter(cell).map_err(wrong)?),
        "broke" => seen.broke = Some(words::broke(cell).map_err(wrong)?),
        "bend" => seen.bend = Some(words::bend(cell).map_err(wrong)?),
        "torque" => {
            seen.torque = Some(words::torque(cell, aside.unit.as_deref()).map_err(wrong)?);
        }
        "back" => seen.back = Some(words::back(cell).map_err(wrong)?),
        "arc_time" => seen.arc_time = Some(number(Dimension::Time, LONGEST_ARC)?),
        "peak_current" => seen.peak_current = Some(number(Dimension::Current, LARGEST_CURRENT)?),
        "trace" => {
            let course = trace(cell).and_then(|read| Course::of(&read).fits(case));
            seen.course = Some(course.map_err(|why| DesignError::of(*line, aside.name, why))?);
        }
        _ => seen.melt = Some(number(Dimension::Length, case.sheet.thickness)?),
    }
    Ok(())
}

/// A number above zero and no larger than `most`, its unit in the cell or in the head.
fn number(
    aside: &Aside,
    (line, cell): (u64, &str),
    of: Dimension,
    most: f64,
) -> Result<f64, DesignError> {
    let text = match &aside.unit {
        Some(unit) => format!("{cell} {unit}"),
        None => cell.to_string(),
    };
    let value = parse(&text, of).map_err(|e| DesignError {
        nearest: e.nearest().map(String::from),
        ..DesignError::of(line, aside.name, e.to_string())
    })?;
    let why = match of {
        _ if value <= 0.0 => format!("`{cell}`: expected a value above zero"),
        _ if value <= most => return Ok(value),
        Dimension::Length => {
            let sheet = short(most, "mm", of, 4);
            format!("`{text}` is more than the sheet is thick, {sheet}")
        }
        _ => {
            let unit = if of == Dimension::Time { "s" } else { "kA" };
            format!("`{text}`: expected at most {}", short(most, unit, of, 4))
        }
    };
    Err(DesignError::of(line, aside.name, why))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Welds, DesignError> {
        let base = Case::default();
        let case = |sets: &[String]| {
            let mut case = Case::default();
            for set in sets {
                let (key, value) = set.split_once('=').unwrap();
                case.set(key, value).map_err(|e| e.to_string())?;
            }
            Ok(case)
        };
        Welds::read(text.as_bytes(), base, case, |_| Err("no file".into()))
    }

    #[test]
    fn rows_are_settings_and_what_was_seen() {
        let found = read(
            "bank.voltage [V],stud.size,witness,spatter,arc_time [ms],melt\n\
             # first day\n\
             112,M5,full,little,1.2,\n\
             90,M5,6:30-11:30,,,0.1 mm\n\
             112,M5,part,some,,\n",
        )
        .unwrap();
        assert_eq!((found.cases.len(), found.welds.len()), (2, 3));
        assert_eq!(found.welds[2].case, 0);
        assert_eq!(found.welds[0].seen.arc_time, Some(1.2e-3));
        assert_eq!(found.welds[1].seen.melt, Some(1e-4));
        assert_eq!(
            found.welds[1].seen.witness,
            Some(Witness::Missing(6.5, 11.5))
        );
        assert_eq!(found.welds[1].line, 4);
        assert_eq!(found.cases[1].bank.voltage, 90.0);
        let plain = read("witness\nfull\npart\n").unwrap();
        assert_eq!((plain.cases.len(), plain.welds.len()), (1, 2));
    }

    #[test]
    fn a_wrong_table_says_where() {
        for (text, place, word) in [
            ("bank.voltage [V]\n112\n", "line 1", "what was seen"),
            ("bank.voltage [V],witness\n112,\n", "line 1", "every cell"),
            (
                "bank.voltage [V],witness\n112,ful\n",
                "line 2, witness",
                "expected full",
            ),
            (
                "bank.voltage [V],arc_time\n112,1.2\n",
                "line 2, arc_time",
                "unit",
            ),
            (
                "bank.voltage [V],melt [mm]\n112,0\n",
                "line 2, melt",
                "above zero",
            ),
            (
                "arc_time [ms]\n1.2\n1e9\n",
                "line 3, arc_time",
                "at most 1 s",
            ),
            (
                "peak_current\n6 MA\n",
                "line 2, peak_current",
                "at most 1000 kA",
            ),
            (
                "sheet.thickness [mm],melt [mm]\n2,1.9\n1,1.2\n",
                "line 3, melt",
                "the sheet is thick, 1 mm",
            ),
            (
                "bank.voltage [V],witnes\n112,full\n",
                "line 1, witnes",
                "witnes",
            ),
            ("witness,witness\nfull,full\n", "line 1, witness", "twice"),
            ("arc.to_stud,witness\n0.95,full\n", "line 2", "power"),
        ] {
            let said = read(text).unwrap_err().to_string();
            assert!(
                said.contains(place) && said.contains(word),
                "{text}: {said}"
            );
        }
        let nearest = |text| read(text).unwrap_err().nearest;
        assert_eq!(nearest("witnes\nfull\n").as_deref(), Some("witness"));
        assert_eq!(nearest("witness\nful\n").as_deref(), Some("full"));
    }
}
