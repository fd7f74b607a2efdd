//! A contrast for people and programs: page, JSON, CSV.

mod csv;
mod document;
mod json;
mod moves;
mod remedies;
pub mod reserve;
pub mod rows;
pub mod sentences;
mod tables;

pub use csv::csv;
pub use document::document;
pub use json::json;
pub use remedies::remedy;

use crate::pairs::remarks_of;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::contrast::Contrast;

/// What is not judged of a variation's metals and is not said of the base's already.
pub fn own_remarks(c: &Contrast, v: &Assessment) -> Vec<&'static str> {
    let said = remarks_of(&c.base.case);
    let mut own = remarks_of(&v.case);
    own.retain(|remark| !said.contains(remark));
    own
}
