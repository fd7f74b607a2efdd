//! One shot: a case becomes lumped numbers, is integrated from event to event, melted, forged and judged.

mod burning;
pub(crate) mod cooling;
pub mod discharge;
pub mod discharge_record;
pub mod event_functions;
pub mod events;
pub mod few;
pub mod fire;
pub mod front;
pub mod heat_solver;
pub mod heating;
pub mod integrator;
pub mod joints;
pub mod ledger;
pub mod melt;
pub mod mesh;
pub mod named;
pub mod phase;
pub mod rig;
pub mod sample;
pub mod shot;
pub(crate) mod simd;
pub mod squeeze_flow;
pub mod trace;
pub mod verdict;
pub mod weld;
