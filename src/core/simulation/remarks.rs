//! What the figures give cause to say beside the verdict: reasons, not verdicts.

use serde::Serialize;

use super::discharge::Discharge;
use super::few::Few;
use super::figures::Figures;
use super::rig::Rig;
use crate::case::model::Method;

/// Back face over the melting point at which a sheet dents (own limit).
pub const DENTS: f64 = 0.7;

/// Currents at touchdown between which a published study found fewer voids, on its own rig \[A\]: Oh & Yoo, from
/// memory; a partial improvement.
pub const FEW_VOIDS: [f64; 2] = [1.2e3, 1.7e3];

/// Rate of the current at a touch above which it may strike an arc \[A/s\]: 50 V over 3 µH, clean surfaces; Germer &
/// Haworth, J. Appl. Phys. 20 (1949) 1085, the scaling ours.
pub const STRIKES: f64 = 17e6;

/// Something to be said.
#[allow(non_snake_case)] // the names of the JSON file, units included
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Remark {
    /// The sheet is thinner than it should be for the stud.
    ThinSheet {
        /// Least thickness \[m\].
        least_m: f64,
    },
    /// The sheet's back face gets so hot that it dents and may hole.
    HotBack {
        /// Its temperature over the melting point of the sheet.
        share: f64,
    },
    /// The current at touchdown is outside of the range in which a study found fewer voids.
    Voids {
        /// The current \[A\].
        current_A: f64,
    },
    /// A single shot from cold makes the junction of the switch hotter than it may be.
    HotSwitch {
        /// Its highest temperature \[K\].
        junction_K: f64,
        /// Its limit \[K\].
        limit_K: f64,
    },
    /// The touch of a stub may strike an arc after all.
    TouchMayStrike {
        /// Rate of the current \[A/s\].
        rate_A_per_s: f64,
    },
}

/// Remarks of a shot; each comes once, so none asks for memory.
pub type Remarks = Few<Remark, 5>;

/// Everything to be said of a shot that cost the switch so much \[J\], what matters most first; of a discharge test only
/// what becomes of the switch.
pub fn remarks(rig: &Rig, figures: &Figures, d: &Discharge, switch: f64) -> Remarks {
    let mut out = Remarks::default();
    let switch = hot_switch(rig, figures, switch);
    if rig.circuit.bolted.is_some() {
        switch.into_iter().for_each(|remark| out.push(remark));
        return out;
    }
    let share = figures
        .back_face_K
        .map(|t| t / rig.faces[1].enthalpy.melting_point);
    let hot = share
        .filter(|share| *share > DENTS)
        .map(|share| Remark::HotBack { share });
    let [low, high] = FEW_VOIDS;
    let voids = figures
        .touchdown_current_A
        .filter(|i| !(low..=high).contains(i))
        .map(|current| Remark::Voids { current_A: current });
    let rate = rig.circuit.voltage / rig.circuit.loop_inductance();
    let strikes = (d.stub.is_some() && rig.stud.method == Method::Gap && rate > STRIKES)
        .then_some(Remark::TouchMayStrike { rate_A_per_s: rate });
    let all = [strikes, thin_sheet(rig), hot, switch, voids];
    for remark in all.into_iter().flatten() {
        out.push(remark);
    }
    out
}

/// Whether the junction of the switch gets too hot.
fn hot_switch(rig: &Rig, figures: &Figures, energy: f64) -> Option<Remark> {
    let limit = rig.switch.limit;
    let junction = rig.switch.from_cold(figures.peak_current_A?, energy);
    (junction > limit).then_some(Remark::HotSwitch {
        junction_K: junction,
        limit_K: limit,
    })
}

/// Whether the sheet that is welded is too thin for the stud.
pub fn thin_sheet(rig: &Rig) -> Option<Remark> {
    let is_thin = rig.circuit.bolted.is_none() && rig.faces[1].depth < rig.strength.least_sheet;
    is_thin.then_some(Remark::ThinSheet {
        least_m: rig.strength.least_sheet,
    })
}

/// Whether some warn of the sheet: that it is too thin for the stud, or that its back gets too hot.
pub fn warn_of_sheet(remarks: &Remarks) -> bool {
    let mut all = remarks.iter();
    all.any(|remark| matches!(remark, Remark::ThinSheet { .. } | Remark::HotBack { .. }))
}

/// Whether one warns of the switch: that its junction gets too hot.
pub fn warn_of_switch(remarks: &Remarks) -> bool {
    let mut all = remarks.iter();
    all.any(|remark| matches!(remark, Remark::HotSwitch { .. }))
}
