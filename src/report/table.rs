//! The trace as CSV: RFC 4180, SI, ten significant digits.

use std::io::Write;

use arcplunge_core::simulation::trace::Row;

/// Writes the rows of a shot with `earths` earth leads.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, rows: &[Row], earths: usize) -> csv::Result<()> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(out);
    let mut head: Vec<String> = [
        "time_s",
        "phase",
        "current_A",
        "bank_V",
        "weld_V",
        "weld_W",
        "gap_m",
        "speed_m_per_s",
        "melt_stud_m",
        "melt_sheet_m",
    ]
    .map(String::from)
    .to_vec();
    head.extend((0..earths).map(|k| format!("earth_{k}_A")));
    writer.write_record(&head)?;
    let mut record = csv::StringRecord::new();
    for row in rows {
        record.clear();
        record.push_field(&number(row.time_s));
        record.push_field(row.phase.name());
        for value in [
            row.current_A,
            row.bank_V,
            row.weld_V,
            row.weld_power(),
            row.gap_m,
            row.speed_m_per_s,
            row.melt_stud_m,
            row.melt_sheet_m,
        ] {
            record.push_field(&number(value));
        }
        for value in &row.earths_A[..earths] {
            record.push_field(&number(*value));
        }
        writer.write_record(&record)?;
    }
    writer.flush()?;
    Ok(())
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
