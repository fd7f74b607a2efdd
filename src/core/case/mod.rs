//! What the user writes: quantities with units, the case, its keys and catalogue, and how a file is read.

pub mod catalogue;
pub mod check;
mod demonstration;
pub mod diagnose;
mod face;
pub mod faults;
mod joint;
pub mod joint_id;
mod json;
pub mod keys;
pub mod model;
pub mod pairs;
mod probe;
pub mod quantity;
pub mod read;
pub mod reference;
mod resolved;
pub mod scale;
pub mod schema;
pub mod settings;
mod shop;
pub mod show;
pub mod slip;
pub mod template;
pub mod tolerance;

pub use model::Case;
