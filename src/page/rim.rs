//! What the earth leads do to the rim, seen from above.

use std::f64::consts::TAU;

use serde::Serialize;

use super::columns::short;
use super::session::Done;
use arcplunge_report::earths::words::{headline, settled};

/// Points of the rim.
const POINTS: usize = 48;

/// The rim for the drawing, by drift and tilt; lengths \[m\], angles \[rad\] counterclockwise from x.
#[derive(Debug, Serialize)]
#[allow(non_snake_case)] // units in names
pub struct Rim {
    words: String,
    drift_m: Option<f64>,
    heading_rad: Option<f64>,
    /// Fill at even angles.
    fill: Option<Vec<f64>>,
    leads: Vec<Lead>,
}

#[derive(Debug, Serialize)]
#[allow(non_snake_case)]
struct Lead {
    key: String,
    x_m: f64,
    y_m: f64,
    peak_A: f64,
    length_m: f64,
}

impl Rim {
    pub fn of(done: &Done) -> Rim {
        let (case, blow) = (&done.weld.case, &done.weld.blow);
        let at = |k: usize| TAU * k as f64 / POINTS as f64;
        let fill = (0..POINTS).map(|k| blow.rim(at(k)).map(short)).collect();
        let lead = |(k, earth): (usize, &arcplunge_core::case::model::Earth)| Lead {
            key: format!("earth.{k}"),
            x_m: earth.at[0],
            y_m: earth.at[1],
            peak_A: short(done.weld.shot.peak_earths[k]),
            length_m: earth.length,
        };
        Rim {
            words: headline(case, blow).1,
            drift_m: blow.distance().map(settled),
            heading_rad: blow.heading(),
            fill,
            leads: case.earths.iter().enumerate().map(lead).collect(),
        }
    }
}
