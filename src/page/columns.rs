//! The curves of a weld as columns, SI, to the digits a drawing needs.

use serde::Serialize;

use arcplunge_core::simulation::trace::Row;

/// One list a quantity, one number a row.
#[derive(Debug, Serialize)]
#[allow(non_snake_case)] // the names of the CSV file, units included
pub struct Columns {
    time_s: Vec<f64>,
    phase: Vec<&'static str>,
    current_A: Vec<f64>,
    bank_V: Vec<f64>,
    weld_V: Vec<f64>,
    weld_W: Vec<f64>,
    gap_m: Vec<f64>,
    speed_m_per_s: Vec<f64>,
    melt_stud_m: Vec<f64>,
    melt_sheet_m: Vec<f64>,
    pip_K: Vec<Option<f64>>,
    stud_K: Vec<f64>,
    sheet_K: Vec<f64>,
    earths_A: Vec<Vec<f64>>,
}

/// Digits a drawing needs.
const DIGITS: i32 = 6;

/// `x` rounded to a few significant digits, which halves the text sent.
pub fn short(x: f64) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return 0.0;
    }
    let scale = 10f64.powi(DIGITS - 1 - x.abs().log10().floor() as i32);
    let rounded = (x * scale).round() / scale;
    if rounded.is_finite() { rounded } else { x }
}

impl Columns {
    /// The columns of these rows, with so many earth leads.
    pub fn of(rows: &[Row], earths: usize) -> Columns {
        let column = |f: fn(&Row) -> f64| rows.iter().map(|r| short(f(r))).collect();
        let earth = |k: usize| rows.iter().map(|r| short(r.earths_A[k])).collect();
        Columns {
            // Twelve digits: two rows at one event stay at one time, and no two times fall together.
            time_s: rows
                .iter()
                .map(|r| (r.time_s * 1e12).round() / 1e12)
                .collect(),
            phase: rows.iter().map(|r| r.phase.name()).collect(),
            current_A: column(|r| r.current_A),
            bank_V: column(|r| r.bank_V),
            weld_V: column(|r| r.weld_V),
            weld_W: column(Row::weld_power),
            gap_m: column(|r| r.gap_m),
            speed_m_per_s: column(|r| r.speed_m_per_s),
            melt_stud_m: column(|r| r.melt_stud_m),
            melt_sheet_m: column(|r| r.melt_sheet_m),
            pip_K: rows.iter().map(|r| r.pip_K.map(short)).collect(),
            stud_K: column(|r| r.faces_K[0]),
            sheet_K: column(|r| r.faces_K[1]),
            earths_A: (0..earths).map(earth).collect(),
        }
    }
}
