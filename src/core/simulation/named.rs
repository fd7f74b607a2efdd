//! The key figures by name, in the order of the files.

use super::shot::Figures;

/// Reads one figure of a shot.
pub type Read = fn(&Figures) -> Option<f64>;

/// Every figure: its name with its unit, and how to read it.
pub const FIGURES: [(&str, Read); 28] = [
    ("stored_energy_J", |f| Some(f.stored_energy_J)),
    ("peak_current_A", |f| f.peak_current_A),
    ("time_of_peak_s", |f| f.time_of_peak_s),
    ("pip_touch_s", |f| f.pip_touch_s),
    ("pip_yield_s", |f| f.pip_yield_s),
    ("ignition_s", |f| f.ignition_s),
    ("touchdown_s", |f| f.touchdown_s),
    ("arc_time_s", |f| f.arc_time_s),
    ("touchdown_speed_m_per_s", |f| f.touchdown_speed_m_per_s),
    ("touchdown_current_A", |f| f.touchdown_current_A),
    ("gap_at_ignition_m", |f| f.gap_at_ignition_m),
    ("action_A2s", |f| Some(f.action_A2s)),
    ("current_end_s", |f| f.current_end_s),
    ("melt_stud_m", |f| f.melt_stud_m),
    ("melt_sheet_m", |f| f.melt_sheet_m),
    ("melt_sheet_max_m", |f| f.melt_sheet_max_m),
    ("squeeze_travel_m", |f| f.squeeze_travel_m),
    ("fill_ratio", |f| f.fill_ratio),
    ("rim_fill_min", |f| f.rim_fill_min),
    ("rim_fill_min_at", |f| f.rim_fill_min_at),
    ("welded_share", |f| f.welded_share),
    ("vapour_share", |f| f.vapour_share),
    ("arc_energy_J", |f| f.arc_energy_J),
    ("freeze_s", |f| f.freeze_s),
    ("cooling_rate_K_per_s", |f| f.cooling_rate_K_per_s),
    ("back_face_K", |f| f.back_face_K),
    ("loop_resistance_ohm", |f| Some(f.loop_resistance_ohm)),
    ("loop_inductance_H", |f| Some(f.loop_inductance_H)),
];

/// How to read the figure `name`.
pub fn find(name: &str) -> Option<Read> {
    FIGURES
        .iter()
        .find(|(n, _)| *n == name)
        .map(|(_, read)| *read)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_values_are_those_of_the_json_file() {
        let figures = Figures {
            peak_current_A: Some(6142.0),
            fill_ratio: Some(1.285),
            loop_inductance_H: 5.88e-6,
            ..Figures::default()
        };
        let json = serde_json::to_value(figures).unwrap();
        let json = json.as_object().unwrap();
        assert_eq!(json.len(), FIGURES.len());
        for (name, read) in FIGURES {
            assert_eq!(json[name].as_f64(), read(&figures), "{name}");
        }
    }
}
