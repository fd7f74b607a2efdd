//! Tables as CSV: RFC 4180, CRLF, SI, ten significant digits; what did not happen is empty.

use std::io::Write;

/// A table in the making.
pub struct Csv<W: Write>(csv::Writer<W>);

impl<W: Write> Csv<W> {
    /// A table with these names of its columns.
    ///
    /// # Errors
    /// When the writer fails.
    pub fn new<T: AsRef<[u8]>>(out: W, head: impl IntoIterator<Item = T>) -> csv::Result<Self> {
        let mut writer = csv::WriterBuilder::new()
            .terminator(csv::Terminator::CRLF)
            .from_writer(out);
        writer.write_record(head)?;
        Ok(Csv(writer))
    }

    /// Adds a row.
    ///
    /// # Errors
    /// When the writer fails, or the row has not as many cells as the head.
    pub fn row<T: AsRef<[u8]>>(&mut self, cells: impl IntoIterator<Item = T>) -> csv::Result<()> {
        self.0.write_record(cells)
    }

    /// Ends the table.
    ///
    /// # Errors
    /// When the writer fails.
    pub fn end(mut self) -> csv::Result<()> {
        Ok(self.0.flush()?)
    }
}

/// A number, or an empty cell.
pub fn cell(value: Option<f64>) -> String {
    value.map_or(String::new(), number)
}

/// `value` with ten significant digits, in the shortest form that keeps them.
pub fn number(value: f64) -> String {
    if value == 0.0 {
        return "0".into();
    }
    let text = format!("{value:.9e}");
    let Some((digits, exponent)) = text.split_once('e') else {
        return text;
    };
    let digits = digits.trim_end_matches('0').trim_end_matches('.');
    match exponent.parse::<i32>() {
        // Plain where that is no longer than the exponent's form.
        Ok(9) => format!("{value:.0}"),
        Ok(e @ -3..=8) => format!("{value:.*}", (9 - e) as usize)
            .trim_end_matches('0')
            .trim_end_matches('.')
            .into(),
        _ => format!("{digits}e{exponent}"),
    }
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn numbers_are_short_and_keep_ten_digits() {
        assert_eq!(number(0.0), "0");
        assert_eq!(number(2e-6), "2e-6");
        assert_eq!(number(112.0), "112");
        assert_eq!(number(6_142.413_812_345), "6142.413812");
        assert_eq!(number(-1.0 / 3.0), "-0.3333333333");
    }
}
