//! Many shots: what they prove, and how they compare.

pub mod prove;
