//! A design made of columns of numbers.

use super::{Column, Design, DesignError, MOST_CELLS, Unit};
use crate::case::Case;
use crate::simulation::fire::Settings;
use crate::study::range::{meant, turned};

impl Design {
    /// A design whose columns are keys with their values row by row \[SI\], all columns of one length.
    ///
    /// ```
    /// use arcplunge_core::{Case, Settings, study::design::Design};
    ///
    /// let columns = [("bank.voltage", [100.0, 112.0].as_slice())];
    /// let design = Design::of_numbers(Case::default(), Settings::default(), &columns)?;
    /// assert_eq!(design.count(), 2);
    /// assert_eq!(design.case(0).unwrap().bank.voltage, 100.0);
    /// # Ok::<(), arcplunge_core::study::design::DesignError>(())
    /// ```
    ///
    /// # Errors
    /// When a key is none or holds no number, is given twice, or the columns differ in length. A value that makes no
    /// case is told in its row.
    pub fn of_numbers(
        base: Case,
        settings: Settings,
        columns: &[(&str, &[f64])],
    ) -> Result<Design, DesignError> {
        let rows = columns.first().map_or(0, |(_, values)| values.len());
        let mut heads: Vec<Column> = Vec::new();
        for (key, values) in columns {
            let wrong = |why: String| DesignError::of(1, key, why);
            let (address, number) = turned(&base, key).map_err(|e| DesignError {
                nearest: meant(&e),
                ..wrong(e.to_string())
            })?;
            if heads.iter().any(|other| other.key() == address.to_string()) {
                return Err(wrong("the key is given twice".into()));
            }
            if values.len() != rows {
                let why = format!("{} values, {rows} of the first key", values.len());
                return Err(wrong(why));
            }
            heads.push(Column::Number {
                address,
                number,
                unit: Unit::Si,
            });
        }
        let cells = rows.saturating_mul(heads.len().max(1));
        if cells > MOST_CELLS {
            return Err(DesignError::at(1, format!("more than {MOST_CELLS} cells")));
        }
        let row = |k: usize| columns.iter().map(move |(_, values)| values[k]);
        Ok(Design {
            settings,
            columns: heads,
            passed: Vec::new(),
            asides: Vec::new(),
            bases: vec![(Vec::new(), base.clone())],
            chosen: vec![0; rows],
            numbers: (0..rows).flat_map(row).collect(),
            base,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::simulation::fire::Workspace;

    fn design(columns: &[(&str, &[f64])]) -> Result<Design, DesignError> {
        Design::of_numbers(Case::default(), Settings::default(), columns)
    }

    #[test]
    fn columns_of_numbers_fire_as_the_same_table_does() {
        let table = "bank.voltage [V],stud.cone [rad]\n100,0.02\n112,0.03\n112,9\n";
        let case = |_: &[String]| Err("no words here".to_string());
        let read = Design::read(table.as_bytes(), Case::default(), Settings::default(), case);
        let (read, mut work) = (read.unwrap(), Workspace::default());
        let made = design(&[
            ("bank.voltage", &[100.0, 112.0, 112.0]),
            ("stud.cone", &[0.02, 0.03, 9.0]),
        ]);
        let made = made.unwrap();
        assert_eq!(made.count(), 3);
        for row in 0..3 {
            let row = made.row(row, &mut work);
            assert_eq!(row, read.row(row.index, &mut work));
            assert_eq!(row.outcome.figures().is_some(), row.index < 2);
        }
    }

    #[test]
    fn wrong_columns_are_told() {
        let twice = design(&[("bank.voltage", &[1.0]), ("bank.voltage", &[1.0])]);
        assert!(twice.unwrap_err().why.contains("twice"));
        let uneven = design(&[("bank.voltage", &[1.0]), ("stud.cone", &[])]);
        assert!(uneven.unwrap_err().why.contains("0 values"));
        let unknown = design(&[("bank.volage", &[1.0])]).unwrap_err();
        assert_eq!(unknown.nearest.as_deref(), Some("bank.voltage"));
        let word = design(&[("stud.size", &[1.0])]);
        assert!(word.unwrap_err().why.contains("not a number"));
        assert_eq!(design(&[]).unwrap().count(), 0);
    }
}
