//! What the model says of a weld, in the terms a test weld is looked at.

use std::f64::consts::PI;

use super::course::Computed;
use crate::case::Case;
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::remarks::DENTS;
use crate::simulation::rig::Rig;
use crate::simulation::shot::Shot;

/// Logarithm of the fill, and of loads, that stands for no weld at all.
const NOTHING: f64 = -3.0;

/// Yield in shear over that in tension: von Mises' 1/√3.
const SHEAR: f64 = 0.577;

/// Temperature from which on the back colours \[K\]: temper colours of bare steel come at some 220 °C, from memory.
const COLOURS: f64 = 500.0;

/// What a weld should look like. Logarithms, so that a spread is a share.
#[derive(Debug, Clone, PartialEq)]
pub struct Predicted {
    /// Of the mean fill.
    pub fill: f64,
    /// Of the least fill round the rim.
    pub least: f64,
    /// Hour at which that is.
    pub least_at: Option<f64>,
    /// Boiled share over the limit of the verdict, or fill over the limit where that is more.
    pub thrown: f64,
    /// Of the weld's load over the lesser of stud's and sheet's; of the share that is welded.
    pub weld: f64,
    /// Of the share of the flange that is welded.
    pub share: f64,
    /// Of the sheet's load over the stud's.
    pub sheet: f64,
    /// Of the moment at which the weld breaks over that at which the stud yields.
    pub bending: f64,
    /// Of the torques at which weld and stud yield \[N·m\]; that of a stud not of the catalogue is not known.
    pub torque: [Option<f64>; 2],
    /// Of the back face's temperature over that at which it colours.
    pub coloured: f64,
    /// Of the same over that at which it dents.
    pub dented: f64,
    /// Sheet melted through, over the share of its thickness that is too much.
    pub holed: f64,
    /// From ignition to touchdown \[s\].
    pub arc_time: Option<f64>,
    /// Largest current \[A\].
    pub peak_current: Option<f64>,
    /// Melt on the sheet at touchdown \[m\].
    pub melt: Option<f64>,
    /// What an oscilloscope shows, where one was read.
    pub course: Option<Computed>,
}

impl Predicted {
    /// Fires a case; `None` where it cannot be.
    pub fn of(case: &Case, settings: &Settings, work: &mut Workspace) -> Option<Predicted> {
        let rig = Rig::new(case);
        let shot = fire(&rig, settings, work).ok()?;
        Some(Predicted::read(case, &rig, &shot))
    }

    /// What a shot says.
    pub fn read(case: &Case, rig: &Rig, shot: &Shot) -> Predicted {
        let f = &shot.figures;
        let log = |value: Option<f64>| match value {
            Some(value) if value > 0.0 => value.ln().max(NOTHING),
            _ => NOTHING,
        };
        let holds = &shot.holds;
        let (stud, sheet) = (holds.stud_N, holds.sheet_N.unwrap_or(f64::INFINITY));
        let other = stud.unwrap_or(f64::INFINITY).min(sheet);
        let radius = 0.5 * case.stud.flange;
        let strength = &rig.strength;
        let weaker = strength.metals[0].min(strength.metals[1]);
        // What is welded is a disc about the middle, which bends and twists by the cube of its diameter. The stud's thread as a round bar of its stress area.
        let bar = stud.map(|load| 2.0 * (load / strength.metals[0] / PI).sqrt());
        let welded = f.welded_share.filter(|share| *share > 0.0);
        let twist = |yields: f64, diameter: f64| SHEAR * yields * PI / 12.0 * diameter.powi(3);
        let torques = [
            welded.map(|share| twist(weaker, 2.0 * radius * share.sqrt())),
            bar.map(|bar| twist(strength.metals[0], bar)),
        ];
        let back = f.back_face_K.unwrap_or(case.lead.temperature);
        let sheet_metal = &case.sheet.metal;
        let melted = f.melt_sheet_max_m.unwrap_or(0.0) / rig.faces[1].depth;
        Predicted {
            fill: log(f.fill_ratio),
            least: log(f.rim_fill_min),
            least_at: f.rim_fill_min_at,
            thrown: (f.vapour_share.unwrap_or(0.0) / case.model.hot_share)
                .max(f.fill_ratio.unwrap_or(0.0) / case.model.overfill),
            weld: log(holds.weld_N.map(|load| load / other)),
            share: log(f.welded_share),
            sheet: stud.map_or(NOTHING, |stud| log(Some(sheet / stud))),
            bending: match (holds.weld_N, stud, bar) {
                (Some(weld), Some(stud), Some(bar)) => {
                    let across = 2.0 * radius * welded.unwrap_or(0.0).sqrt();
                    log(Some(weld / stud * across / bar))
                }
                (Some(_), ..) => 1.5 * log(f.welded_share) + 1.0,
                (None, ..) => NOTHING,
            },
            torque: torques.map(|torque| torque.map(f64::ln)),
            coloured: (back / COLOURS).ln(),
            dented: (back / (DENTS * sheet_metal.melting_point)).ln(),
            holed: melted / case.model.burn_share,
            arc_time: f.arc_time_s,
            peak_current: f.peak_current_A,
            melt: f.melt_sheet_m,
            course: None,
        }
    }
}
