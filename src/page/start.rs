//! What the page asks once, when it opens: its controls, the faults and the lessons.

use serde::Serialize;

use super::controls::{self, Control};
use super::lessons::{Lesson, lessons};
use arcplunge_core::case::faults::faults;

#[derive(Debug, Serialize)]
pub struct Start {
    controls: Vec<Control>,
    faults: Vec<FaultRow>,
    lessons: &'static [Lesson],
}

#[derive(Debug, Serialize)]
struct FaultRow {
    name: &'static str,
    about: &'static str,
}

impl Start {
    pub fn new() -> Start {
        let row = |f: &'static arcplunge_core::case::faults::Fault| FaultRow {
            name: &f.name,
            about: &f.about,
        };
        Start {
            controls: controls::all(),
            faults: faults().iter().map(row).collect(),
            lessons: lessons(),
        }
    }
}
