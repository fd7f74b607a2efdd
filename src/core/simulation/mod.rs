//! One shot: a case becomes lumped numbers, is marched from event to event, melted, forged and judged.

mod burning;
pub(crate) mod cooling;
pub mod course;
pub mod discharge;
pub mod events;
pub mod fire;
pub mod forge;
pub mod front;
pub mod guards;
pub mod heating;
pub mod joints;
pub(crate) mod lanes;
pub mod ledger;
pub mod march;
pub mod melt;
pub mod mesh;
pub mod named;
pub mod phase;
pub mod rig;
pub mod sample;
pub mod scheme;
pub mod shot;
pub mod trace;
pub mod verdict;
