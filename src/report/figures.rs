//! The key figures of a shot as people read them, with their band.

use super::format::{
    capital, celsius, depth, engineering, grouped, milliseconds, percent, significant,
};
use super::quantity::label;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::study::band::{Band, Range};

/// What a fill is.
pub const FILL: &str = "Fill 1: the melt just fills the space under the cone; any excess is pressed out as a \
collar.";

/// Share of itself by which a figure may differ for rounding.
const ROUNDING: f64 = 1e-9;

/// A figure: name, value, and what the band makes of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// As the page prints it.
    pub name: &'static str,
    /// With its unit; where two belong together, both: "6.14 kA at 0.715 ms".
    pub value: String,
    /// Its spread: "6.03 to 6.24 kA"; empty where there is no band of it.
    pub band: String,
}

/// Figures outside of their own band: the spread moves them almost only one way.
pub fn outside(shot: &Shot, band: &Band) -> Option<String> {
    let f = &shot.figures;
    let beyond = |(name, value, range): (&'static str, Option<f64>, Option<Range>)| {
        let (value, [low, high]) = (value?, range?);
        let least = ROUNDING * value.abs();
        match value {
            v if v > high + least => Some((label(name), "above")),
            v if v < low - least => Some((label(name), "below")),
            _ => None,
        }
    };
    let all = [
        ("peak_current_A", f.peak_current_A, band.peak_current_A),
        ("arc_energy_J", f.arc_energy_J, band.arc_energy_J),
        ("melt_sheet_m", f.melt_sheet_m, band.melt_sheet_m),
        ("fill_ratio", f.fill_ratio, band.fill_ratio),
        ("vapour_share", f.vapour_share, band.vapour_share),
        ("freeze_s", f.freeze_s, band.freeze_s),
    ];
    let found: Vec<(&str, &str)> = all.into_iter().filter_map(beyond).collect();
    let told = [("above", "less"), ("below", "more")].map(|(side, others)| {
        let names = found.iter().filter(|(_, of)| *of == side);
        let names: Vec<&str> = names.map(|(name, _)| *name).collect();
        (!names.is_empty()).then(|| {
            format!(
                "{side} its band: {}. At least nineteen in twenty of the band's shots give {others}, for the spread moves it \
                 almost only that way.",
                names.join(", ")
            )
        })
    });
    let told: Vec<String> = told.into_iter().flatten().map(|t| capital(&t)).collect();
    (!told.is_empty()).then(|| told.join(" "))
}

/// A range of shares, as one where both ends read the same.
fn percents(range: Range) -> String {
    let [low, high] = range.map(percent);
    if low == high {
        low
    } else {
        format!("{} to {high}", low.trim_end_matches(" %"))
    }
}

/// The figures a shot has, in the order of the page.
pub fn rows(shot: &Shot, band: Option<&Band>) -> Vec<Row> {
    let f = &shot.figures;
    let range = |of: fn(&Band) -> Option<Range>, scale: f64, unit: &str| {
        band.and_then(of).map_or(String::new(), |[low, high]| {
            let [low, high] = [low, high].map(|v| significant(v * scale, 3));
            format!("{low} to {high} {unit}")
        })
    };
    let mut rows: Vec<Row> = Vec::new();
    let mut put = |name, value, band| rows.push(Row { name, value, band });
    if let (Some(i), Some(t)) = (f.peak_current_A, f.time_of_peak_s) {
        let value = format!("{} at {}", engineering(i, "A"), milliseconds(t));
        put(
            label("peak_current_A"),
            value,
            range(|b| b.peak_current_A, 1e-3, "kA"),
        );
    }
    if let (Some(t), Some(e)) = (f.arc_time_s, f.arc_energy_J) {
        let value = format!("{}, {}", milliseconds(t), engineering(e, "J"));
        put("arc", value, range(|b| b.arc_energy_J, 1.0, "J"));
    }
    if let (Some(a), Some(b)) = (f.melt_stud_m, f.melt_sheet_m) {
        let value = format!("stud {}, sheet {}", depth(a), depth(b));
        put(
            "melt at touchdown",
            value,
            range(|b| b.melt_sheet_m, 1e6, "µm"),
        );
    }
    if let Some(fill) = f.fill_ratio {
        put(
            label("fill_ratio"),
            significant(fill, 3),
            range(|b| b.fill_ratio, 1.0, ""),
        );
    } else if f.ignition_s.is_some() && f.touchdown_s.is_none() {
        let why = "none: the stud did not come down";
        put(label("fill_ratio"), why.into(), String::new());
    }
    if let (Some(least), Some(at)) = (f.rim_fill_min, f.rim_fill_min_at) {
        let value = format!(
            "{} at {} o'clock",
            significant(least, 3),
            significant(at, 2)
        );
        put(label("rim_fill_min"), value, String::new());
    }
    if let Some(share) = f.vapour_share {
        let range = band.and_then(|b| b.vapour_share);
        put(
            label("vapour_share"),
            percent(share),
            range.map_or(String::new(), percents),
        );
    }
    if let Some(t) = f.freeze_s {
        put(
            label("freeze_s"),
            milliseconds(t),
            range(|b| b.freeze_s, 1e3, "ms"),
        );
    }
    if let Some(rate) = f.cooling_rate_K_per_s {
        let value = format!("{rate:.1e} K/s");
        put(label("cooling_rate_K_per_s"), value, String::new());
    }
    if let Some(t) = f.back_face_K {
        put(label("back_face_K"), celsius(t), String::new());
    }
    let [ohm, henry] = [(f.loop_resistance_ohm, "Ω"), (f.loop_inductance_H, "H")]
        .map(|(value, unit)| engineering(value, unit));
    put(
        "loop without weld",
        format!("{ohm}, {henry}"),
        String::new(),
    );
    let action = format!("{} A²s", grouped(f.action_A2s));
    put(label("action_A2s"), action, String::new());
    rows
}
