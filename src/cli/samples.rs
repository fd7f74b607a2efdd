//! The file of `calibrate --keep`: its samples while they move, for the next run to go on from.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use super::outcome::{Trouble, failed};
use super::output::{Output, is_standard, trouble};
use super::resume::another_study;
use arcplunge_core::study::calibrate::Problem;
use arcplunge_core::study::calibrate::sampler::{Effort, ISLANDS, Way};
use arcplunge_report::calibrate::Kept;
use arcplunge_report::provenance::Study;

/// Time between two writings.
const EVERY: Duration = Duration::from_secs(1);

/// Most bytes of a number on its line, and of the study.
const NUMBER: usize = 64;
const STUDY: usize = 1 << 20;

/// What the samples do not hang on: the rig's name, and what is asked of them.
const FREE: [&str; 2] = ["title", "vary"];

/// Keeps samples in a file.
pub struct Keeper<'a> {
    path: &'a Path,
    study: &'a Study,
    /// When they were last written.
    written: Mutex<Option<Instant>>,
}

impl<'a> Keeper<'a> {
    /// In this file, which must be a plain one or new.
    pub fn new(path: &'a Path, study: &'a Study) -> Result<Self, Trouble> {
        // Not by opening it: a pipe would wait for its other end.
        let other = std::fs::metadata(path).is_ok_and(|there| !there.is_file());
        if is_standard(path) || other {
            let name = path.display();
            return Err(Trouble::Wrong(format!(
                "error: --keep: {name} is no plain file"
            )));
        }
        Ok(Keeper {
            path,
            study,
            written: Mutex::new(None),
        })
    }

    /// The samples that are there, those of this problem; `None` where there is no file yet. Where more are to come, it
    /// must be possible to write them.
    pub fn read(&self, problem: &Problem, effort: Effort) -> Result<Option<Way>, Trouble> {
        let kept = self.kept(problem, effort)?;
        if !kept.as_ref().is_some_and(Way::is_there) {
            Output::open(self.path)?;
        }
        Ok(kept)
    }

    fn kept(&self, problem: &Problem, effort: Effort) -> Result<Option<Way>, Trouble> {
        let file = match File::open(self.path) {
            Ok(file) => file,
            Err(e) if e.kind() == ErrorKind::NotFound => return Ok(None),
            Err(e) => return Err(trouble(self.path, &e)),
        };
        let wrong = |why: &dyn std::fmt::Display| {
            let name = self.path.display();
            Trouble::Wrong(format!(
                "error: --keep: {name}: {why}\nhelp: delete it, or name another, to start anew"
            ))
        };
        let most = STUDY + (problem.dimensions() + 4) * ISLANDS * effort.particles * NUMBER;
        let mut text = String::new();
        file.take(most as u64)
            .read_to_string(&mut text)
            .map_err(|e| wrong(&e))?;
        let kept = Kept::read(&text)
            .map_err(|e| wrong(&format_args!("no samples of a calibration: {e}")))?;
        let found = kept.study.differences(self.study, &FREE);
        another_study(
            &format!("--keep: {} has samples", self.path.display()),
            found.iter().map(ToString::to_string).collect(),
            "repeat its command, or name another file",
        )?;
        match problem.knows(&kept.samples, effort) {
            true => Ok(Some(kept.samples)),
            false => Err(wrong(
                &"its samples are not those of this calibration: spreads, or options of the traces, were others",
            )),
        }
    }

    /// Writes them whole, at most once a second unless `now`.
    pub fn keep(&self, way: &Way, now: bool) -> Result<(), Trouble> {
        let mut written = self.written.lock().unwrap_or_else(PoisonError::into_inner);
        if !now && written.is_some_and(|at| at.elapsed() < EVERY) {
            return Ok(());
        }
        let kept = Kept::new(self.study.clone(), way.clone());
        let text = kept.and_then(|kept| kept.text()).map_err(failed)?;
        Output::open(self.path)?.put(text.as_bytes())?;
        *written = Some(Instant::now());
        Ok(())
    }
}
