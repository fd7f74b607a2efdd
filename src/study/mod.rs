//! Many shots: what a single one cannot tell.

pub mod band;
pub mod contrast;
pub mod batch;
pub mod prove;
