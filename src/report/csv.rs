//! Tables as CSV: RFC 4180, CRLF, SI, ten significant digits; what did not happen is empty.

use std::cmp::Ordering;
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
    let mut out = String::with_capacity(20);
    write(value, &mut out);
    out
}

/// Adds cells of numbers to a row.
pub fn push(row: &mut csv::StringRecord, values: impl IntoIterator<Item = Option<f64>>) {
    let mut text = String::with_capacity(20);
    for value in values {
        text.clear();
        if let Some(value) = value {
            write(value, &mut text);
        }
        row.push_field(&text);
    }
}

/// Digits of a number that are kept.
const KEPT: u32 = 10;

fn write(value: f64, out: &mut String) {
    if value == 0.0 {
        out.push('0');
        return;
    }
    if !value.is_finite() {
        out.push_str(&value.to_string());
        return;
    }
    if value < 0.0 {
        out.push('-');
    }
    let (digits, exponent) = rounded(value.abs());
    let mut buffer = [b'0'; KEPT as usize + 1];
    let digits = shortest(digits, &mut buffer);
    // Plain where that is no longer than the exponent's form.
    if (-3..=9).contains(&exponent) {
        plain(digits, exponent, out);
        return;
    }
    let (first, rest) = digits.split_at(1);
    out.push_str(first);
    if !rest.is_empty() {
        out.push('.');
        out.push_str(rest);
    }
    out.push('e');
    out.push_str(&exponent.to_string());
}

/// Digits of a number above zero without the zeros that end it; `buffer` holds them.
fn shortest(mut number: u64, buffer: &mut [u8; KEPT as usize + 1]) -> &str {
    let (mut from, mut to) = (buffer.len(), buffer.len());
    while number > 0 && from > 0 {
        from -= 1;
        buffer[from] = b'0' + (number % 10) as u8;
        number /= 10;
        if buffer[from] == b'0' && to == from + 1 {
            to = from;
        }
    }
    std::str::from_utf8(&buffer[from..to]).unwrap_or("")
}

/// Digits of a positive number, ten at most, and the exponent of the first. Rounds the fewest digits that tell it from all
/// others, which rounds the number itself unless they lie midway.
fn rounded(value: f64) -> (u64, i32) {
    let mut buffer = ryu::Buffer::new();
    let mut text = buffer.format_finite(value).as_bytes();
    let (mut digits, mut count, mut exponent, mut behind) = (0, 0, 0, false);
    while let [byte, rest @ ..] = text {
        text = rest;
        match byte {
            b'.' => behind = true,
            b'e' => {
                exponent += power(rest);
                break;
            }
            _ => {
                digits = digits * 10 + u64::from(byte - b'0');
                count += u32::from(digits > 0);
                exponent -= i32::from(behind);
            }
        }
    }
    if count <= KEPT {
        return (digits, exponent + count as i32 - 1);
    }
    let unit = 10_u64.pow(count - KEPT);
    let (mut kept, left) = (digits / unit, digits % unit);
    let up = match (2 * left).cmp(&unit) {
        Ordering::Less => false,
        Ordering::Greater => true,
        Ordering::Equal => !exactly(value).starts_with(&kept.to_string()),
    };
    kept += u64::from(up);
    exponent += count as i32 - 1;
    (kept, exponent + i32::from(kept == 10_u64.pow(KEPT)))
}

fn power(text: &[u8]) -> i32 {
    let text = std::str::from_utf8(text).ok();
    text.and_then(|text| text.parse().ok()).unwrap_or(0)
}

/// Digits of a number, ten of them, by the exact formatter.
fn exactly(value: f64) -> String {
    let text = format!("{value:.9e}");
    text.chars().filter(|c| *c != '.').collect()
}

/// `d.ddd` times ten to the power of `exponent` without an exponent.
fn plain(digits: &str, exponent: i32, out: &mut String) {
    let Ok(whole) = usize::try_from(exponent + 1) else {
        out.push_str("0.");
        out.extend((1..-exponent).map(|_| '0'));
        out.push_str(digits);
        return;
    };
    match digits.split_at_checked(whole) {
        Some(("", after)) => {
            out.push_str("0.");
            out.push_str(after);
        }
        Some((all, "")) => out.push_str(all),
        Some((before, after)) => {
            out.push_str(before);
            out.push('.');
            out.push_str(after);
        }
        None => {
            out.push_str(digits);
            out.extend((digits.len()..whole).map(|_| '0'));
        }
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
        assert_eq!(number(9_999_999_999.4), "9999999999");
        assert_eq!(number(9_999_999_999.6), "1e10");
        assert_eq!(number(-1200.0), "-1200");
        assert_eq!(number(0.001_25), "0.00125");
        assert_eq!(number(f64::NAN), "NaN");
    }

    #[test]
    fn numbers_are_rounded_as_the_exact_formatter_rounds_them() {
        let mut seed = 1_u64;
        let mut midway = 0;
        for n in 0..200_000_u64 {
            // Xorshift (G. Marsaglia, J. Stat. Softw. 8 (2003) 14): any bits, and 11 digits that end in 5.
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            let value = match n % 2 {
                0 => f64::from_bits(seed),
                _ => {
                    ((seed % 10_000_000_000) * 10 + 5) as f64 * 10f64.powi((seed % 24) as i32 - 12)
                }
            };
            if !value.is_finite() || value == 0.0 {
                continue;
            }
            let exact: f64 = format!("{value:.9e}").parse().unwrap();
            assert_eq!(number(value).parse::<f64>().unwrap(), exact, "{value:e}");
            midway += n % 2;
        }
        assert!(midway > 90_000);
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
