//! The key figures of a shot.

use serde::Serialize;

/// The key figures, SI; `None` where the event did not come.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
#[allow(non_snake_case)] // the names of the JSON file, units included
#[non_exhaustive]
pub struct Figures {
    /// Energy of the charged bank \[J\].
    pub stored_energy_J: f64,
    /// Largest current \[A\].
    pub peak_current_A: Option<f64>,
    /// When it flowed \[s\].
    pub time_of_peak_s: Option<f64>,
    /// Gap method: the pip meets the sheet \[s\].
    pub pip_touch_s: Option<f64>,
    /// Contact method: the stud begins to move \[s\].
    pub pip_yield_s: Option<f64>,
    /// The pip bursts \[s\].
    pub ignition_s: Option<f64>,
    /// The flange meets the sheet \[s\].
    pub touchdown_s: Option<f64>,
    /// From ignition to touchdown or to the arc's end \[s\].
    pub arc_time_s: Option<f64>,
    /// Speed of the stud at touchdown \[m/s\].
    pub touchdown_speed_m_per_s: Option<f64>,
    /// Current at touchdown \[A\].
    pub touchdown_current_A: Option<f64>,
    /// Gap at ignition \[m\].
    pub gap_at_ignition_m: Option<f64>,
    /// Action ∫i² of the whole discharge \[A²s\].
    pub action_A2s: f64,
    /// The current ends \[s\].
    pub current_end_s: Option<f64>,
    /// Melt on the stud's face at touchdown \[m\].
    pub melt_stud_m: Option<f64>,
    /// Melt on the sheet's face at touchdown \[m\].
    pub melt_sheet_m: Option<f64>,
    /// Deepest melt of the sheet \[m\].
    pub melt_sheet_max_m: Option<f64>,
    /// Travel of the stud after touchdown, through the melt \[m\].
    pub squeeze_travel_m: Option<f64>,
    /// Filler over the space under the cone; 1 just fills it. `None` where the stud never came down.
    pub fill_ratio: Option<f64>,
    /// Least fill round the rim, with tilt and arc blow.
    pub rim_fill_min: Option<f64>,
    /// Hour of the clock at which it is; `None` where the rim is even all round too.
    pub rim_fill_min_at: Option<f64>,
    /// Share of the flange that is welded.
    pub welded_share: Option<f64>,
    /// Share of the arc's energy that boiled metal off.
    pub vapour_share: Option<f64>,
    /// Energy of the arc \[J\].
    pub arc_energy_J: Option<f64>,
    /// The last melt of the joint freezes \[s\].
    pub freeze_s: Option<f64>,
    /// Cooling rate of the joint over its first 100 K \[K/s\].
    pub cooling_rate_K_per_s: Option<f64>,
    /// Hottest back face of the sheet \[K\].
    pub back_face_K: Option<f64>,
    /// Fixed resistance of the loop \[Ω\].
    pub loop_resistance_ohm: f64,
    /// Inductance of the loop \[H\].
    pub loop_inductance_H: f64,
}
