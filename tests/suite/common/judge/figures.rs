//! Figures that must be numbers, in their bounds, and agree with each other.

use arcplunge_core::simulation::figures::Figures;
use arcplunge_core::simulation::shot::Shot;

/// All finite, none below zero, shares at most one.
pub fn figures(shot: &Shot) -> Result<(), String> {
    let f = &shot.figures;
    let all = [
        ("stored energy", Some(f.stored_energy_J)),
        ("peak current", f.peak_current_A),
        ("time of peak", f.time_of_peak_s),
        ("pip touch", f.pip_touch_s),
        ("pip yield", f.pip_yield_s),
        ("ignition", f.ignition_s),
        ("touchdown", f.touchdown_s),
        ("arc time", f.arc_time_s),
        ("touchdown speed", f.touchdown_speed_m_per_s),
        ("touchdown current", f.touchdown_current_A),
        ("gap at ignition", f.gap_at_ignition_m),
        ("action", Some(f.action_A2s)),
        ("current end", f.current_end_s),
        ("melt of the stud", f.melt_stud_m),
        ("melt of the sheet", f.melt_sheet_m),
        ("largest melt of the sheet", f.melt_sheet_max_m),
        ("closed", f.squeeze_travel_m),
        ("fill", f.fill_ratio),
        ("vapour share", f.vapour_share),
        ("arc energy", f.arc_energy_J),
        ("freeze", f.freeze_s),
        ("cooling rate", f.cooling_rate_K_per_s),
        ("back face", f.back_face_K),
        ("loop resistance", Some(f.loop_resistance_ohm)),
        ("loop inductance", Some(f.loop_inductance_H)),
    ];
    for (name, value) in all {
        if let Some(v) = value {
            hold!(v.is_finite() && v >= 0.0, "{name} is {v}");
        }
    }
    hold!(f.loop_inductance_H > 0.0, "no loop inductance");
    hold!(
        f.vapour_share.is_none_or(|s| s <= 1.0),
        "vapour share {:?}",
        f.vapour_share
    );
    hold!(
        f.back_face_K.is_none_or(|t| t >= 293.0),
        "back face {:?} K",
        f.back_face_K
    );
    hold!(
        f.time_of_peak_s.is_some() == f.peak_current_A.is_some(),
        "peak without time"
    );
    arc_and_melt(f)
}

/// Figures of the arc, of touchdown and of the melt are there where these are.
fn arc_and_melt(f: &Figures) -> Result<(), String> {
    let arc = f.ignition_s.is_some();
    hold!(
        [
            f.melt_sheet_max_m.is_some(),
            f.squeeze_travel_m.is_some(),
            f.vapour_share.is_some(),
            f.arc_energy_J.is_some(),
            f.gap_at_ignition_m.is_some()
        ] == [arc; 5],
        "figures of the arc there and not there"
    );
    let down = f.touchdown_s.is_some();
    hold!(down || f.fill_ratio.is_none(), "a fill without a touchdown");
    hold!(
        [
            f.melt_stud_m.is_some(),
            f.melt_sheet_m.is_some(),
            f.touchdown_speed_m_per_s.is_some(),
            f.touchdown_current_A.is_some()
        ] == [down; 4],
        "figures of touchdown there and not there"
    );
    hold!(arc || !down, "touchdown without ignition");
    if let (Some(a), Some(b)) = (f.melt_sheet_m, f.melt_sheet_max_m) {
        hold!(a <= b, "the sheet melted {a} at touchdown, {b} at most");
    }
    let melted = f
        .melt_stud_m
        .zip(f.melt_sheet_m)
        .is_some_and(|(a, b)| a + b > 0.0);
    hold!(
        melted || f.cooling_rate_K_per_s.is_none(),
        "cools at {:?} K/s what never melted",
        f.cooling_rate_K_per_s
    );
    hold!(melted || f.freeze_s.is_none(), "freezes what never melted");
    hold!(
        f.cooling_rate_K_per_s.is_none_or(|r| r < 1e10),
        "cools at {:?} K/s",
        f.cooling_rate_K_per_s
    );
    Ok(())
}

/// A verdict goes by what the shot has.
pub fn verdict(shot: &Shot) -> Result<(), String> {
    use arcplunge_core::simulation::verdict::Verdict;
    let f = &shot.figures;
    if shot.verdict == Some(Verdict::Sound) {
        hold!(
            f.fill_ratio.is_some_and(|r| r >= 1.0)
                && f.touchdown_s.is_some()
                && f.vapour_share.is_some_and(|s| s <= 1.0),
            "sound with fill {:?}",
            f.fill_ratio
        );
    }
    if f.touchdown_s.is_none() {
        hold!(
            !matches!(shot.verdict, Some(Verdict::Sound | Verdict::Hot)),
            "{:?} without touchdown",
            shot.verdict
        );
    }
    Ok(())
}
