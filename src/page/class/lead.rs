//! What the trainer's page shows: weld, moment of the replay, open lesson, and the control offered.

use std::sync::Arc;

use form_urlencoded::parse;
use tokio::sync::OnceCell;

use crate::controls;
use crate::lessons::Lesson;
use crate::request::{self, PageRequest};
use arcplunge_core::study::assessment::Assessment;

/// Longest replay and farthest time taken \[s\]; no weld lasts as long.
const LONGEST: f64 = 60.0;

#[derive(Debug, Default, Clone, PartialEq)]
pub struct Lead {
    /// The weld and what it is compared with.
    pub weld: PageRequest,
    /// Time of the replay \[s\] when this was published.
    pub at: f64,
    /// Seconds of the weld a second; 0 where the replay stands.
    pub pace: f64,
    /// Where a replay that runs will stop \[s\].
    pub until: f64,
    /// The open lesson, from 0.
    pub lesson: Option<usize>,
    /// The choice that is answered.
    pub chosen: Option<usize>,
    /// Key of the control offered.
    control: Option<String>,
}

impl Lead {
    /// The control that phones may try: none while a question is open, for it would give the answer away.
    pub fn offered(&self) -> Option<&str> {
        let asks = self.lesson.is_some() && self.chosen.is_none();
        self.control.as_deref().filter(|_| !asks)
    }
}

/// Reads a weld as [`request::read`] does, and `at`, `pace`, `until`, `lesson`, `chosen` and `control` beside it.
///
/// # Errors
/// In words, when there are too many pairs, or a value is none.
pub fn read(pairs: &str, lessons: &[Lesson]) -> Result<Lead, String> {
    let mut lead = Lead {
        weld: request::read(pairs)?,
        ..Lead::default()
    };
    for (name, value) in parse(pairs.as_bytes()) {
        let wrong = || format!("error: `{name}` is no number that fits\n");
        let time = || -> Result<f64, String> {
            let read: f64 = value.parse().map_err(|_| wrong())?;
            let fits = (0.0..=LONGEST).contains(&read);
            fits.then_some(read).ok_or_else(wrong)
        };
        let whole = || value.parse::<usize>().map_err(|_| wrong());
        match name.as_ref() {
            "at" => lead.at = time()?,
            "pace" => lead.pace = time()?,
            "until" => lead.until = time()?,
            "lesson" => lead.lesson = Some(whole()?).filter(|at| *at < lessons.len()),
            "chosen" => lead.chosen = Some(whole()?),
            "control" => {
                let found = controls::by_key(&value).filter(controls::Control::slides);
                lead.control = found.map(|_| value.into_owned());
            }
            _ => {}
        }
    }
    let choices = lead.lesson.map_or(0, |at| lessons[at].choices.len());
    lead.chosen = lead.chosen.filter(|choice| *choice < choices);
    Ok(lead)
}

/// A weld of the trainer's page, fired once for all phones when the first one asks.
#[derive(Debug, Default)]
pub struct Shown {
    /// Goes up with each weld.
    pub number: u64,
    pub asked: PageRequest,
    /// What it tells, and the weld itself; words of the program where it cannot be fired.
    pub made: OnceCell<Result<Made, String>>,
}

/// A weld that has been fired for the phones.
#[derive(Debug)]
pub struct Made {
    /// The answer, as JSON.
    pub json: Arc<[u8]>,
    /// What a phone's own copy is compared with.
    pub weld: Arc<Assessment>,
}

impl Shown {
    /// The weld after this one.
    pub fn next(&self, asked: PageRequest) -> Shown {
        Shown {
            number: self.number + 1,
            asked,
            made: OnceCell::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lessons::built_in;

    #[test]
    fn the_page_says_what_it_shows() {
        let lead = read(
            "set=lead.length%3D12m&at=0.0012&pace=0.00025&until=0.003&lesson=1&control=lead.length",
            built_in(),
        )
        .unwrap();
        assert_eq!(lead.weld.weld.sets, ["lead.length=12m"]);
        assert_eq!((lead.at, lead.pace, lead.until), (0.0012, 0.00025, 0.003));
        assert_eq!((lead.lesson, lead.chosen), (Some(1), None));
        // No slider while the question is open.
        assert_eq!(lead.offered(), None);
        let lead = read("lesson=1&chosen=0&control=lead.length", built_in()).unwrap();
        assert_eq!(lead.offered(), Some("lead.length"));
        // A choice, and what is no control, is not offered; a lesson that is none is not open.
        for pairs in ["control=stud.size", "control=title", "control="] {
            assert_eq!(read(pairs, built_in()).unwrap().offered(), None, "{pairs}");
        }
        let none = read("lesson=999&chosen=1", built_in()).unwrap();
        assert_eq!((none.lesson, none.chosen), (None, None));
        for pairs in ["at=x", "pace=-1", "until=inf", "at=NaN", "lesson=-1"] {
            assert!(read(pairs, built_in()).is_err(), "{pairs}");
        }
    }
}
