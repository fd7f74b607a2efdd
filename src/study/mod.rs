//! Many shots: what a single one cannot tell.

pub mod band;
pub mod prove;
