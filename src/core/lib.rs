//! The laws, the case, one simulated weld, and studies of many.

pub mod case;
pub mod physics;
pub mod simulation;
pub mod study;
