//! Reports to read and print: one HTML file each, with drawings and style inside, no script, and
//! nothing to fetch.

mod chart;
mod contrast;
mod parts;
mod shot;

pub use chart::chart;
pub use contrast::contrast;
pub use shot::shot;
