//! Shots for people and programs: documents, JSON, CSV and plots.

pub mod catalogue;
pub mod cautions;
pub mod chart;
pub mod contrast;
pub mod dial;
pub mod document;
pub mod earths;
pub mod figures;
pub mod fire;
pub mod fit;
pub mod format;
pub mod joints;
pub mod json;
pub mod keys;
pub mod mark;
pub mod pairs;
pub mod plot;
pub mod prove;
pub mod quantity;
pub mod reasons;
pub mod scatter;
pub mod sensitivity;
pub mod sweep;
pub mod table;
pub mod title;
pub mod verdict;
