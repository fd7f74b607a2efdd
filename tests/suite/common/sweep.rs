//! Judges any number of cases on all cores, with progress, counts and the most laborious shot.

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
    /// All holds; the shot took this much work.
    Good(u64),
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
    hardest: Mutex<(u64, String)>,
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
/// the given kind needs.
///
/// # Panics
/// When a case failed.
pub fn sweep<C>(
    name: &str,
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
            Outcome::Good(work) => {
                tally.valid.fetch_add(1, Ordering::Relaxed);
                let mut hardest = tally.hardest.lock().expect("a lock");
                if work > hardest.0 {
                    *hardest = (work, command(case, None));
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
    let (work, line) = tally.hardest.into_inner().expect("a lock");
    let valid = tally.valid.into_inner();
    println!(
        "{name}: {} s, {} drawn, {} valid, failures {:#?}\nmost work in a good shot {work}\n    {line}",
        start.elapsed().as_secs(),
        tally.done.into_inner(),
        valid,
        tally.found.lock().expect("a lock"),
    );
    let found = tally.found.into_inner().expect("a lock");
    assert!(found.is_empty(), "{} kinds of failure", found.len());
    assert!(valid > 0, "not one case was valid");
}
