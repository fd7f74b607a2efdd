//! Many shots: what a single one cannot tell.

pub mod allowance;
pub mod assessment;
pub mod band;
pub mod batch;
pub mod calibrate;
pub mod card;
pub mod chart;
pub mod compare;
pub mod design;
pub mod dial;
pub mod earths;
pub mod edges;
pub mod fit;
pub mod intervals;
pub mod outcome;
pub mod points;
pub mod quantiles;
pub mod range;
pub mod rare;
pub mod remedy;
mod runs;
pub mod scatter;
pub mod sensitivity;
pub mod shift;
pub mod subset;
pub mod sweep;
pub mod weld;
