//! Judges any number of cases on all cores, with progress, counts and the cases that take most.

use std::collections::BTreeMap;
use std::panic;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use super::judge::MOST_WORK;
use proptest::test_runner::{RngAlgorithm, TestRng};
use rayon::prelude::*;

/// Cases drawn from one seed.
const CHUNK: u64 = 200;

/// Cases of each kind of failure that are reduced and printed.
const SHOWN: u64 = 3;

/// Good cases of most work, and of each other measure, that are kept.
const KEPT: usize = 10;

/// Seconds between two lines of progress.
const EVERY: u64 = 10;

/// What to draw, from the environment.
#[derive(Debug, Clone, Copy)]
pub struct Hunt {
    pub cases: u64,
    pub seed: u64,
    pub work: u64,
}

impl Hunt {
    /// `HUNT_CASES`, `HUNT_SEED`, `HUNT_WORK`.
    pub fn from_env() -> Self {
        let read = |name: &str, or: u64| {
            let given = std::env::var(name).ok();
            given.map_or(or, |v| v.parse().expect("a whole number"))
        };
        Hunt {
            cases: read("HUNT_CASES", 2000),
            seed: read("HUNT_SEED", 1),
            work: read("HUNT_WORK", MOST_WORK),
        }
    }
}

/// What came of a case.
pub enum Outcome {
    /// It breaks a rule, and was told so.
    Refused,
    /// All holds; what it took by each measure.
    Good(Vec<u64>),
    /// What does not hold.
    Bad(String),
}

/// The kind of a failure: its words without the numbers.
pub fn kind(text: &str) -> String {
    let words = text
        .chars()
        .filter(|c| !c.is_ascii_digit() && !"+-.".contains(*c));
    words.take(24).collect()
}

#[derive(Default)]
struct Tally {
    done: AtomicU64,
    valid: AtomicU64,
    found: Mutex<BTreeMap<String, u64>>,
    /// The most by each measure, and the command of its case.
    hardest: Mutex<Vec<Vec<(u64, String)>>>,
}

/// Keeps a case among those of the most by some measure; `command` is asked for only if it is one.
fn keep(most: &mut Vec<(u64, String)>, taken: u64, command: impl FnOnce() -> String) {
    if most.len() == KEPT && most.last().is_some_and(|(least, _)| taken <= *least) {
        return;
    }
    let at = most.partition_point(|(other, _)| *other >= taken);
    most.insert(at, (taken, command()));
    most.truncate(KEPT);
}

impl Tally {
    fn line(&self) -> String {
        format!(
            "{} drawn, {} valid, failures {:?}",
            self.done.load(Ordering::Relaxed),
            self.valid.load(Ordering::Relaxed),
            self.found.lock().expect("a lock")
        )
    }
}

/// Draws cases and judges each; `command` is the line that repeats a case, reduced to what a failure of
/// the given kind needs. Of each of the `measures` the cases that took most are printed.
///
/// # Panics
/// When a case failed.
pub fn sweep<C>(
    name: &str,
    measures: &[&str],
    hunt: Hunt,
    draw: impl Fn(TestRng, u64) -> Vec<C> + Sync,
    judge: impl Fn(&C) -> Outcome + Sync,
    command: impl Fn(&C, Option<&str>) -> String + Sync,
) {
    let (tally, start, over) = (Tally::default(), Instant::now(), AtomicBool::new(false));
    let hook = panic::take_hook();
    panic::set_hook(Box::new(|_| ()));
    let one = |case: &C| {
        match judge(case) {
            Outcome::Refused => {}
            Outcome::Good(taken) => {
                tally.valid.fetch_add(1, Ordering::Relaxed);
                let mut hardest = tally.hardest.lock().expect("a lock");
                hardest.resize(measures.len(), Vec::new());
                for (most, taken) in hardest.iter_mut().zip(taken) {
                    keep(most, taken, || command(case, None));
                }
            }
            Outcome::Bad(text) => {
                tally.valid.fetch_add(1, Ordering::Relaxed);
                let kind = kind(&text);
                let mut found = tally.found.lock().expect("a lock");
                let count = found.entry(kind.clone()).or_default();
                *count += 1;
                let shown = *count <= SHOWN;
                drop(found);
                if shown {
                    println!("{text}\n    {}", command(case, Some(&kind)));
                }
            }
        }
        tally.done.fetch_add(1, Ordering::Relaxed);
    };
    thread::scope(|scope| {
        scope.spawn(|| {
            let mut next = EVERY;
            while !over.load(Ordering::Relaxed) {
                thread::sleep(Duration::from_millis(100));
                if start.elapsed().as_secs() >= next {
                    next += EVERY;
                    eprintln!("{name}: {} s, {}", start.elapsed().as_secs(), tally.line());
                }
            }
        });
        (0..hunt.cases.div_ceil(CHUNK))
            .into_par_iter()
            .for_each(|chunk| {
                let mut bytes = [0; 32];
                bytes[..8].copy_from_slice(&hunt.seed.to_le_bytes());
                bytes[8..16].copy_from_slice(&chunk.to_le_bytes());
                let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &bytes);
                let count = CHUNK.min(hunt.cases - chunk * CHUNK);
                draw(rng, count).iter().for_each(&one);
            });
        over.store(true, Ordering::Relaxed);
    });
    panic::set_hook(hook);
    let hardest = tally.hardest.into_inner().expect("a lock");
    let valid = tally.valid.into_inner();
    println!(
        "{name}: {} s, {} drawn, {} valid, failures {:#?}",
        start.elapsed().as_secs(),
        tally.done.into_inner(),
        valid,
        tally.found.lock().expect("a lock"),
    );
    for (measure, most) in measures.iter().zip(&hardest) {
        println!("most {measure}:");
        most.iter()
            .for_each(|(taken, line)| println!("  {taken}  {line}"));
    }
    let found = tally.found.into_inner().expect("a lock");
    assert!(found.is_empty(), "{} kinds of failure", found.len());
    assert!(valid > 0, "not one case was valid");
}
