//! What the page asks once, when it opens: its controls, the faults and the lessons.

use serde::Serialize;

use super::class::{Class, Invitation};
use super::controls::{self, Control};
use super::lessons::Lesson;
use arcplunge_core::case::faults::faults;

#[derive(Debug, Serialize)]
pub struct Start<'a> {
    controls: Vec<Control>,
    faults: Vec<FaultRow>,
    lessons: &'a [Lesson],
    /// How phones come in; none where no class is held.
    class: Option<Invitation>,
}

#[derive(Debug, Serialize)]
struct FaultRow {
    name: &'static str,
    about: &'static str,
}

impl<'a> Start<'a> {
    pub fn new(lessons: &'a [Lesson], class: Option<&Class>) -> Start<'a> {
        let row = |f: &'static arcplunge_core::case::faults::Fault| FaultRow {
            name: &f.name,
            about: &f.about,
        };
        Start {
            controls: controls::all(),
            faults: faults().iter().map(row).collect(),
            lessons,
            class: class.map(Class::invitation),
        }
    }
}
