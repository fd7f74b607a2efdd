//! Many shots: what a single one cannot tell.

pub mod assessment;
pub mod band;
pub mod batch;
pub mod chart;
pub mod compare;
pub mod dial;
pub mod earths;
pub mod fit;
pub mod intervals;
pub mod outcome;
pub mod points;
pub mod quantiles;
pub mod range;
pub mod remedy;
mod runs;
pub mod scatter;
pub mod sensitivity;
pub mod shift;
pub mod sweep;
pub mod weld;
