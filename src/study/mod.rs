//! Many shots: what a single one cannot tell.

pub mod band;
pub mod batch;
pub mod contrast;
pub mod prove;
