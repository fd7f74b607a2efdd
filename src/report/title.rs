//! What was welded, with what, in one line; and the verdict's one.

use super::format::{engineering, milliseconds, percent, significant, trimmed};
use arcplunge_core::case::Case;
use arcplunge_core::case::model::Method;
use arcplunge_core::simulation::discharge::End;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::verdict::Cause;

/// The heading of a picture: the case's own title and, below it, what it is about; without a title that alone.
pub fn heading(case: &Case) -> (String, Option<String>) {
    match case.title.as_str() {
        "" => (what(case), None),
        own => (own.to_string(), Some(what(case))),
    }
}

/// "M5 mild steel on 1.5 mm mild steel, contact, 72 mF at 112 V (452 J), spring 80 N".
pub fn what(case: &Case) -> String {
    let bank = format!(
        "{} at {} ({})",
        plain(case.bank.capacitance * 1e3, "mF"),
        plain(case.bank.voltage, "V"),
        engineering(0.5 * case.bank.capacitance * case.bank.voltage.powi(2), "J"),
    );
    if let Some(r) = case.stud.short_resistance {
        return format!("Discharge test, bolted {}, {bank}", engineering(r, "Ω"));
    }
    let stud = match case.stud.size.as_str() {
        "own" => format!("{} flange", plain(case.stud.flange * 1e3, "mm")),
        size => size.to_string(),
    };
    let method = match case.tool.method {
        Method::Contact => "contact".to_string(),
        Method::Gap => format!("gap {}", plain(case.tool.lift * 1e3, "mm")),
    };
    format!(
        "{stud} {} on {} {}, {method}, {bank}, spring {}",
        case.stud.metal.name,
        plain(case.sheet.thickness * 1e3, "mm"),
        case.sheet.metal.name,
        plain(case.tool.spring_force, "N"),
    )
}

/// "Gun lead 5 m of 35 mm², earth leads 5 m of 35 mm² and 8 m of 35 mm²".
pub fn leads(case: &Case) -> String {
    let lead = |length: f64, section: f64| {
        format!("{} of {}", plain(length, "m"), plain(section * 1e6, "mm²"))
    };
    let mut earths: Vec<(String, usize)> = Vec::new();
    for earth in &case.earths {
        let words = lead(earth.length, earth.section);
        match earths.iter_mut().find(|(other, _)| *other == words) {
            Some((_, count)) => *count += 1,
            None => earths.push((words, 1)),
        }
    }
    let each = earths.iter().map(|(words, count)| match count {
        1 => words.clone(),
        _ => format!("{count} × {words}"),
    });
    let each: Vec<String> = each.collect();
    format!(
        "Gun lead {}, earth leads {}",
        lead(case.lead.length, case.lead.section),
        each.join(" and ")
    )
}

/// A number as short as it is, to three digits.
fn plain(value: f64, unit: &str) -> String {
    format!("{} {unit}", trimmed(value))
}

/// A place of the rim in words.
pub(crate) fn hour(at: Option<f64>) -> String {
    match at {
        Some(hour) if hour.round() >= 1.0 => format!("at {} o'clock", hour.round()),
        Some(_) => "at 12 o'clock".into(),
        None => "all round".into(),
    }
}

/// The figure that decides, as a sentence.
pub fn deciding(case: &Case, shot: &Shot) -> String {
    let f = &shot.figures;
    let fill = significant(f.fill_ratio.unwrap_or(0.0), 3);
    let vapour = percent(f.vapour_share.unwrap_or(0.0));
    let boiled = if f.vapour_share == Some(0.0) {
        "none"
    } else {
        &vapour
    };
    match shot.cause {
        Cause::Filled => format!(
            "Melt reaches the rim (mean fill {fill}); {boiled} of the arc's energy boiled metal off."
        ),
        Cause::PartFilled => format!(
            "Melt fills the wedge on the mean (fill {fill}), but the rim {} only to {}; {} of the flange is welded.",
            hour(f.rim_fill_min_at),
            percent(f.rim_fill_min.unwrap_or(0.0)),
            percent(f.welded_share.unwrap_or(0.0))
        ),
        Cause::Overfilled => format!(
            "Fill {fill}, more than {}: most of the melt leaves as spatter, and the rim is undercut.",
            significant(case.model.overfill, 2)
        ),
        Cause::Underfilled if shot.volumes.is_propped() => format!(
            "Melt does not reach the rim all round: tilted by more than its cone, the stud stands on its low side, \
             and of the room under it melt fills {} (1 needed; under a square stud the same melt would fill {fill}).",
            significant(shot.volumes.spread(f.fill_ratio.unwrap_or(0.0)), 3)
        ),
        Cause::Underfilled => {
            format!("Melt does not reach the rim all round (fill {fill}, 1 needed).")
        }
        Cause::BoiledOff => format!(
            "{vapour} of the arc's energy boiled metal off, more than the {} a sound weld tolerates (fill {fill}).",
            percent(case.model.hot_share)
        ),
        Cause::MeltedThrough => format!(
            "The sheet melted {} deep, more than {} of its thickness.",
            engineering(f.melt_sheet_max_m.unwrap_or(0.0), "m"),
            percent(case.model.burn_share)
        ),
        Cause::ArcOut => match f.arc_time_s {
            Some(t) => format!(
                "The arc went out after {}, before the stud was down: no weld.",
                milliseconds(t)
            ),
            None => "The arc went out before the stud was down: no weld.".into(),
        },
        Cause::ArcEndless => {
            "The arc still burned at the end of the record: the stud never came down.".into()
        }
        Cause::RecordEnded => {
            "The record ended before the weld was decided: set a longer model.end_time.".into()
        }
        Cause::Stub => "The pip was crushed before it burst: a short, no arc, no weld.".into(),
        Cause::NoIgnition => "The current ended before the pip burst: no arc, no weld.".into(),
        Cause::NeverConducted => {
            "The bank's voltage is below the drops of switch and joints: no current.".into()
        }
        Cause::NeverTouched => {
            "The stud came to rest above the sheet: no contact, no current.".into()
        }
        Cause::DischargeTest => {
            let peak = engineering(f.peak_current_A.unwrap_or(0.0), "A");
            let at = milliseconds(f.time_of_peak_s.unwrap_or(0.0));
            match shot.how {
                End::NeverConducted => {
                    "The bank's voltage is below its own drops: no current.".into()
                }
                _ => format!("Peak {peak} at {at} through the bolted short."),
            }
        }
    }
}
