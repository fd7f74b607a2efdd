//! Shots for people and programs: words, the page in the terminal, JSON, CSV and plots.

#![warn(missing_docs)]

pub mod beside;
pub mod borderline;
pub mod catalogue;
pub mod cautions;
pub mod chart;
pub mod contrast;
pub mod dial;
pub mod earths;
pub mod figures;
pub mod fit;
pub mod format;
pub mod html;
pub mod joints;
pub mod json;
pub mod mark;
pub mod page;
pub mod pairs;
pub mod plot;
pub mod prove;
pub mod quantity;
pub mod reasons;
pub mod scatter;
pub mod sensitivity;
mod sheet;
pub mod sweep;
pub mod table;
pub mod title;
pub mod validation;
