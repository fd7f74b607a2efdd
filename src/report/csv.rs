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
    let (sign, digits) = match digits.strip_prefix('-') {
        Some(digits) => ("-", digits),
        None => ("", digits),
    };
    let digits = digits.trim_end_matches('0').trim_end_matches('.');
    match exponent.parse::<i32>() {
        // Plain where that is no longer than the exponent's form.
        Ok(e @ -3..=9) => plain(sign, digits, e),
        _ => format!("{sign}{digits}e{exponent}"),
    }
}

/// `d.ddd` times ten to the power of `exponent` without an exponent.
fn plain(sign: &str, digits: &str, exponent: i32) -> String {
    let mut out = String::with_capacity(16);
    out.push_str(sign);
    let (first, rest) = digits.split_at(1);
    let rest = rest.strip_prefix('.').unwrap_or(rest);
    let Ok(whole) = usize::try_from(exponent) else {
        out.push_str("0.");
        out.extend((1..-exponent).map(|_| '0'));
        out.push_str(first);
        out.push_str(rest);
        return out;
    };
    out.push_str(first);
    match rest.split_at_checked(whole) {
        Some((all, "")) => out.push_str(all),
        Some((before, after)) => {
            out.push_str(before);
            out.push('.');
            out.push_str(after);
        }
        None => {
            out.push_str(rest);
            out.extend((rest.len()..whole).map(|_| '0'));
        }
    }
    out
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
        assert_eq!(number(9_999_999_999.4), "9999999999");
        assert_eq!(number(9_999_999_999.6), "1e10");
        assert_eq!(number(-1200.0), "-1200");
        assert_eq!(number(0.001_25), "0.00125");
        assert_eq!(number(f64::NAN), "NaN");
    }

    #[test]
    fn plain_numbers_are_those_of_the_formatter() {
        for e in -3..=9 {
            for digits in [1.0, 1.5, 2.000_000_05, 9.876_543_210_4, 9.999_999_999_96] {
                let value = digits * 10f64.powi(e);
                let exact = format!("{value:.*}", usize::try_from(9 - e).unwrap());
                let short = match exact.contains('.') {
                    true => exact.trim_end_matches('0').trim_end_matches('.'),
                    false => &exact,
                };
                let carried = value >= 9_999_999_999.5;
                assert!(carried || number(value) == short, "{value}: {short}");
            }
        }
    }
}
